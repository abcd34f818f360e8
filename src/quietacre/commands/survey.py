"""``quietacre survey``: a vine patch walked again; how far it moved, and what crossed."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._change_edge import how_back, step_record, tell_recovered
from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands._log_edge import again, ask
from quietacre.days import say_day
from quietacre.figures import acres

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.edit.survey import Surveyed
    from quietacre.strip.since import SurveyMove

DAY = click.DateTime(["%Y-%m-%d"])


@click.command(name="survey")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@click.option("--area", required=True, help="The vine patch, by its name.")
@click.option(
    "--on", type=DAY, metavar="DAY",
    help="The day of the new survey, such as 2027-10-20 (default: the day it was walked).",
)  # fmt: skip
@click.option(
    "--before", "before_on", type=DAY, metavar="DAY",
    help="The day of the present edge, where neither surveyed nor its walk tells it.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print what was changed as JSON.")
@fail_cleanly
def command(
    folder: Path, file: Path, area: str, on: dt.datetime | None,
    before_on: dt.datetime | None, *, as_json: bool,
) -> None:  # fmt: skip
    """Take in a new walk or drawing of a vine patch as its present edge.

    The file is copied into DIR, and the edge it had stays as an earlier survey. How far
    the vine moved since, and what lies beyond the strip, is told at once.
    """
    from quietacre.edit.survey import DayNeeded, take_survey

    try:
        taken = take_survey(
            folder, file, area, on=on.date() if on else None,
            before_on=before_on.date() if before_on else None,
        )  # fmt: skip
    except DayNeeded as problem:
        stand_in = dt.datetime(2027, 10, 20)  # noqa: DTZ001 - shown in a command to type
        key = "on" if problem.option == "--on" else "before_on"
        command_line = again(**{key: stand_in}).replace("2027-10-20", "DAY")
        ask(f"{problem.marked}; nothing was written. Type:", [command_line])
    tell_recovered(taken.step.recovered if taken.step else ())
    move, crossed = _moved(folder, taken.area)
    if as_json:
        emit({
            "area": taken.area, "from": taken.file, "surveyed": taken.on.isoformat(),
            "before": {"from": list(taken.before), "on": taken.before_on.isoformat()},
            "acres": taken.acres, "move": move, "crossed": crossed,
            "step": step_record(taken.step) if taken.step else None,
        })  # fmt: skip
        return
    _say(folder, taken, [*([move.text] if move else []), *crossed])


def _moved(folder: Path, area: str) -> tuple[SurveyMove | None, list[str]]:
    """Return how a patch moved since its last survey, and what crossed its strip, in words.

    Neither asks for amounts or the year, so those are not worked out.
    """
    from quietacre.build import strips_of
    from quietacre.commands.build import today_from
    from quietacre.measure.property import measure_property
    from quietacre.record.book import book_of
    from quietacre.report import since_last_survey, surveys_told

    measured = measure_property(folder)
    prop, _, extras = measured
    key = next(key for key, one in prop.area_by_id.items() if one.name == area)
    moves = surveys_told(measured, key).moves
    strips = strips_of(measured, book_of(extras.done, prop), today_from(None), about=key)
    notes = [note for ring in strips.rings for note in since_last_survey(measured, ring)[1]]
    crossed = [note.marked for note in notes if note.feature == area]
    return (moves[-1] if moves else None), crossed


def _say(folder: Path, taken: Surveyed, names: Sequence[str]) -> None:
    say(
        f"{taken.area}: its edge is now {taken.file}, {acres(taken.acres)}, surveyed "
        f"{say_day(taken.on, year=True)}"
    )
    say(
        f"  the edge of {say_day(taken.before_on, year=True)} stays as an earlier survey "
        f"({', '.join(taken.before)})"
    )
    for note in taken.notes:
        if note.level != "info":
            say(f"  note: {note.marked}")
    for text in names:
        say(f"  {text}")
    say(f"  {how_back(folder)}")
