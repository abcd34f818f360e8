"""``quietacre close``: a year is over; what it was is kept, and never written over."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands.build import today_from
from quietacre.days import say_day
from quietacre.errors import BadInput
from quietacre.figures import figure, number
from quietacre.kept_years import YEARS
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from quietacre.edit.years import KeptYear
    from quietacre.year_end import ClosedYear

UNKNOWN = "not known"
MOST = 12


@click.command(name="close")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument("year", type=int, metavar="YEAR")
@click.option(
    "--today",
    type=click.DateTime(["%Y-%m-%d"]),
    help="Close it on this day (default: today).",
)
@click.option("--json", "as_json", is_flag=True, help="Print what was kept as JSON.")
@fail_cleanly
def command(
    folder: Path, year: int, today: dt.datetime | None, *, as_json: bool
) -> None:  # fmt: skip
    """Keep YEAR of DIR under years/YEAR: report, lists, map and papers.

    A season belongs to the year of its planting day. Jobs that are still open are listed,
    and stay in the plan. What is kept is never written over: when the log of a closed
    year was mended, close it again, and the corrected year is kept beside it.
    """
    from quietacre.edit.years import keep_year
    from quietacre.errors import FileProblem
    from quietacre.year_end import close_year

    day = today_from(today)
    if not (folder / SETTINGS_FILE).is_file():
        raise FileProblem(
            "there is no property.toml",
            fix="name the property's folder",
            source=str(folder),
        )
    if year >= day.year:
        raise BadInput(
            f"{year} is not over", fix=f"close it from January 1, {year + 1} on",
            source="quietacre close",
        )  # fmt: skip
    closed = close_year(folder, year, day)
    if not closed.record.lived:
        raise BadInput(
            f"nothing of {year} is in the log", fix="write what was done, or name another year",
            source="quietacre close",
        )  # fmt: skip
    kept = keep_year(folder, closed.record, closed.files, day)
    if as_json:
        emit({
            "folder": f"{YEARS}/{kept.name}", "new": kept.new, "corrects": kept.corrects,
            "planned_on": closed.planned_on.isoformat(), "record": closed.record,
            "carried": [job.label for job in closed.record.open_jobs if job.carried],
            "moved_on": list(closed.moved_on), "came_to": _whole_words(closed),
        })  # fmt: skip
        return
    _tell(closed, kept, year)


def _tell(closed: ClosedYear, kept: KeptYear, year: int) -> None:
    """Say where the year is kept, what it came to, and which jobs are open."""
    if not kept.new:
        say(
            f"{year} is kept already in {YEARS}/{kept.name}, and nothing of it has changed since"
        )
        return
    beside = f", corrected; {YEARS}/{kept.corrects} stays as it is" if kept.corrects else ""
    say(f"kept: {YEARS}/{kept.name}{beside}: {len(closed.files) + 1} files, planned on "
        f"{say_day(closed.planned_on, year=True)}")  # fmt: skip
    say("  it stays: quietacre undo takes back changes, not a year that is closed")
    for text in _whole_words(closed):
        say(f"  {text}")
    open_ = [job for job in closed.record.open_jobs if job.carried]
    missed = [job for job in closed.record.open_jobs if not job.carried]
    for heading, jobs in (
        ("still open, and carried over in the plan", open_),
        ("missed", missed),
    ):
        if jobs:
            say(f"{heading}: {len(jobs)}")
        for job in jobs[:MOST]:
            last = dt.date.fromisoformat(job.latest)
            say(f"  {job.area}: {job.label}, by {say_day(last, year=True)}")
        if len(jobs) > MOST:
            say(f"  and {len(jobs) - MOST} more: {YEARS}/{kept.name}/year.json has all")
    if closed.moved_on:
        say(
            f"planned for a later year already, so what {year} was planned to be is not kept of it: "
            f"{', '.join(closed.moved_on)}"
        )
    say("the days of the next season: quietacre next DIR")


def _whole_words(closed: ClosedYear) -> list[str]:
    """Return what the whole place came to in a year, what is not known said."""
    whole, record = closed.record.whole, closed.record
    hours = UNKNOWN if whole.hours is None else number(whole.hours, 1)
    if whole.hours is not None and whole.untimed:
        hours += f" ({whole.untimed} of {whole.jobs} lines without minutes)"
    rain = UNKNOWN if record.rain_in is None else figure(record.rain_in, "in", 1)
    dollars = UNKNOWN if whole.dollars is None else f"${whole.dollars:,.2f}"
    stand = UNKNOWN if whole.stand is None else f"{number(whole.stand, 1)} of 10"
    lines = [
        f"days with work: {whole.days}, hours: {hours}; spent: {dollars}; rain: {rain}"
        + (" by the log" if record.rain_from == "log" else ""),
        f"seed {figure(whole.seed_lb, 'lb', 0)}, fertilizer {figure(whole.fertilizer_lb, 'lb', 0)}, "
        f"lime {figure(whole.lime_lb, 'lb', 0)}; stand: {stand}",
    ]
    if record.work_dollars:
        lines.append(
            f"${record.work_dollars:,.2f} of it stand on lines of work: work that was hired, or what "
            "was bought with it"
        )
    if whole.planned_amounts:
        lines.append(
            f"lines that name no amount: {whole.planned_amounts}; the plan's was taken for them"
        )
    return lines
