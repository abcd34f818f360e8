"""``quietacre year``: the year worked backwards, as a list to read."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import click

from quietacre.commands._edge import emit, fail_cleanly
from quietacre.commands.build import TODAY, today_from


def year_lines(year: dict[str, Any]) -> list[str]:
    """Return the tasks month by month, then what does not fit."""
    lines = []
    month = ""
    for task in year["tasks"]:
        if task["status"] == "unplaced" or not task["scheduled"]:
            continue
        day = dt.date.fromisoformat(task["scheduled"])
        if f"{day:%B %Y}" != month:
            month = f"{day:%B %Y}"
            lines.append(month)
        mark = "done" if task["status"] == "done" else f"{task['minutes']:.0f} min"
        amounts = f" [{'; '.join(task['amounts'])}]" if task["amounts"] else ""
        lines.append(
            f"  {day:%a} {day.day:>2}  {task['area']}: {task['label']}, {mark}{amounts}"
        )
        lines += [f"          {text}" for text in task["notes"]]
    for season in year["quiet"]:
        lines.append(
            f"quiet: {season['name']}, {season['start']} to {season['end']} "
            f"({season['source'] or 'no source given'})"
        )
    missed = [task for task in year["tasks"] if task["status"] == "unplaced"]
    if missed:
        lines.append("does not fit:")
        lines += [f"  {t['area']}: {t['label']}: {' '.join(t['notes'])}" for t in missed]
    lines.append(f"{year['trips']} trips")
    return lines


@click.command(name="year")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@TODAY
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(folder: Path, today: dt.datetime | None, *, as_json: bool) -> None:
    """Print the year of a property folder: what, where, on which of your days.

    Counted back from each planting date, on the days under [work], never inside a
    quiet season. Nothing is written; a build puts the same plan into calendar.ics.
    """
    from quietacre.build import measure_property, plan_property

    report, _ = plan_property(measure_property(folder), today=today_from(today))
    if as_json:
        emit(report["year"])
    else:
        click.echo("\n".join(year_lines(report["year"])))
