"""``quietacre year``: the year worked backwards, as a list to read."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands.build import TODAY, log_lines, today_from
from quietacre.days import say_month_day, say_span
from quietacre.workweek import say_notes

if TYPE_CHECKING:
    from quietacre.year.records import QuietRule, YearReport, YearTask


def year_lines(year: YearReport) -> list[str]:
    """Return the jobs day by day, then what does not fit, conflicts and weather."""
    lines = [f"quiet: {_quiet_words(season)}" for season in year.quiet]
    if not year.quiet:
        from quietacre.year.report import NO_QUIET

        lines.append(NO_QUIET)
    lines += _day_lines(year)
    if year.missed:
        lines.append("missed:")
        lines += [f"  {row.area}: {row.text}" for row in year.missed]
    if year.past:
        lines.append("over, and quiet:")
        lines += [f"  {row.area}, {row.text}" for row in year.past]
    if year.offers:
        lines.append("sow again? (quietacre next DIR --write sets the days)")
        lines += [
            f"  {row.area}{', ' + row.mix if row.mix else ''}: {row.text}"
            for row in year.offers
        ]
    left = [task for task in year.tasks if task.state == "not possible"]
    if left:
        lines.append("does not fit:")
        lines += [f"  {t.area}: {t.label}: {say_notes(t.notes)}" for t in left]
    lines += [
        f"window: {t.area}: {t.label}, {say_span(t.earliest, t.latest, year=True)}"
        for t in year.tasks
        if t.status == "window" and t.state != "missed"
    ]
    lines += _short_lines(year)
    if year.conflicts:
        lines.append("conflicts:")
        lines += [
            f"  {row.area + ': ' if row.area else ''}{row.text}" for row in year.conflicts
        ]
    if year.weather:
        from quietacre.year.weather_said import weather_lines

        lines += weather_lines(year.weather)
    lines.append(year.bounds.bound)
    return lines


def _short_lines(year: YearReport) -> list[str]:
    """Return the hours that are short in each month, and what would help; none without any."""
    short = year.hours.hours_short_by_month
    if not short:
        return []
    months = "; ".join(
        f"{dt.date.fromisoformat(f'{month}-01'):%B %Y} {hours:.1f}"
        for month, hours in short.items()
    )
    return [
        f"hours short: {sum(short.values()):.1f} ({months})",
        "any one of these would make it fit, each tried on a whole plan:"
        if year.menu
        else "no single change was found that makes all of it fit; combine some",
        *(f"  {row.text} ({row.trips} trips)" for row in year.menu),
    ]


def _quiet_words(season: QuietRule) -> str:
    ends = f"{say_month_day(season.start)} to {say_month_day(season.end)}"
    what = season.keeps_out
    who = "everything" if what == "all" else ", ".join(what)
    return f"{season.name}, {ends}, {who} ({season.source or 'no source given'})"


def _day_lines(year: YearReport) -> list[str]:
    """Return each month, each day with its hours, and the jobs of the day."""
    lines: list[str] = []
    minutes = {row.date: row.minutes for row in year.days}
    month, date = "", None
    for task in year.tasks:
        day = task.scheduled
        if task.status not in {"planned", "done"} or day is None:
            continue
        if f"{day:%B %Y}" != month:
            month = f"{day:%B %Y}"
            lines.append(month)
        if day != date:
            date = day
            hours = ""  # of a day in the past nothing is planned
            if date in minutes:
                hours = f", {minutes[date] / 60:.1f} h of {year.room_minutes / 60:.1f}"
            lines.append(f"  {day:%a} {day.day}{hours}")
        lines.append(f"    {task.area}: {task.label}, {_mark(task)}")
        lines += [f"      {text}" for text in task.notes]
    return lines


def _mark(task: YearTask) -> str:
    """Return how a job stands: done or its minutes, by what, whose, and what it takes."""
    mark = "done" if task.status == "done" else f"{task.minutes:.0f} min"
    if task.state in ("due", "late"):
        mark = f"{task.state}, {mark}"
    if task.status == "planned" and task.machine not in {"desk", "by hand"}:
        mark += f" {task.machine}"
    mark += f", {task.who}" if task.who else ""
    return mark + (f" [{'; '.join(task.amounts)}]" if task.amounts else "")


def season_lines() -> list[str]:
    """Return the shipped nesting and no-mow dates, each with its source."""
    from quietacre.shipped import cite, rows

    lines = ["Examples read in the sources named, not rules for your land: ask your county's",
             "FSA or wildlife office, then write your own dates under [[quiet]]."]  # fmt: skip
    for row in rows("nesting"):
        span = f"{row['start'] or '?'} to {row['end'] or '?'}"
        source = (
            "from memory, verify" if row["from_memory"] == "yes" else cite(row["source"])
        )
        note = f"; {row['note']}" if row["note"] and row["note"] != "verify" else ""
        lines.append(f"{row['state']}: {span}, {row['kind']} ({source}{note})")
    return lines


@click.command(name="year")
@click.argument(
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    required=False,
)
@TODAY
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option(
    "--seasons", is_flag=True, help="List examples of quiet seasons; needs no DIR."
)
@fail_cleanly
def command(
    folder: Path | None, today: dt.datetime | None, *, as_json: bool, seasons: bool
) -> None:
    """Print the year of a property folder: what, where, on which of your days.

    Counted back from each planting date, on the days under [work], never inside a
    quiet season. Nothing is written; a build puts the same plan into calendar.ics.
    """
    if seasons:
        say("\n".join(season_lines()))
        return
    if folder is None:
        raise click.UsageError("give a property folder, or --seasons")
    from quietacre.as_json import plain
    from quietacre.build import plan_records
    from quietacre.measure.property import measure_property

    report, _ = plan_records(measure_property(folder), today=today_from(today))
    if as_json:
        emit(plain(report.year))
    else:
        odd = log_lines((note.code, note.marked) for note in report.notes)
        say("\n".join([*odd, *year_lines(report.year)]))
