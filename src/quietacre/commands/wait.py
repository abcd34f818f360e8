"""``quietacre wait``: it has not rained, and plantings wait for a day."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import emit, fail_cleanly, say
from quietacre.commands._log_edge import (
    WAIT,
    again,
    ask,
    day_done,
    known_area,
    tell_written,
    writer_of,
)
from quietacre.days import say_day
from quietacre.errors import BadInput
from quietacre.logbook import LOG

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from quietacre.measure.records import Measured
    from quietacre.year.records import YearReport, YearTask

#: Nobody waits longer for a planting rain; a later day is a slip of the pen.
MOST_DAYS = 120
PLANT = "plant"
#: Conflicts that tell what waiting costs.
TOLD = ("other-mix", "no-crop-window", "frost-window", "planting-off-its-day")


@click.command(name="wait")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.option(
    "--until", type=click.DateTime(["%Y-%m-%d"]), metavar="DAY", required=True,
    help="The day the planting waits for, such as 2027-10-09.",
)  # fmt: skip
@click.option(
    "--area", "areas", multiple=True,
    help="The ground that waits; may be repeated (default: all that is due or late).",
)  # fmt: skip
@WAIT
@click.option("--json", "as_json", is_flag=True, help="Print the lines as JSON.")
@fail_cleanly
def command(
    folder: Path, until: dt.datetime, areas: tuple[str, ...], wait_s: float | None,
    *, as_json: bool,
) -> None:  # fmt: skip
    """Say that it has not rained: the plan goes on from the day you name.

    One line a piece of ground is written into DIR/log.csv. The planting waits, what
    follows it waits with it, and a planting rain in the log or the record ends the wait.
    What can no longer be sown in its window is told, with your other mixes that can.
    """
    from quietacre.edit.logs import write_line
    from quietacre.measure.property import measure_property, with_log_of

    writer = writer_of(folder, wait_s)
    today, last = day_done(None), until.date()
    if not 0 < (last - today).days <= MOST_DAYS:
        raise BadInput(
            f"{last} is no day to wait for (the clock says {today})",
            fix=f"name a day after it, at most {MOST_DAYS} days on", source="--until",
        )  # fmt: skip
    named = [known_area(folder, area, any_area=False) for area in areas]
    measured = measure_property(folder)
    waiting = _waiting(_year(measured, today).tasks, named, today)
    _settle(folder, waiting, named)
    lines = []
    for area in waiting:
        line = {"date": today.isoformat(), "area": area, "task": "wait",
                "until": last.isoformat()}  # fmt: skip
        written = write_line(writer, line)
        lines.append(dict(written.lines[0]))
        if not as_json:
            name = lines[-1]["id"]
            say(
                f"{area}: it has not rained, it waits until {say_day(last, year=True)}; {LOG} has it"
            )
            say(f"  its id is {name}; take it back with: quietacre log {shlex.quote(str(folder))} "
                f"--undo {name}")  # fmt: skip
        tell_written(folder, written)
    if as_json:
        emit({"lines": lines})
        return
    _tell_plan(_year(with_log_of(measured, folder), today), waiting)


def _year(measured: Measured, today: dt.date) -> YearReport:
    """Return the year of the report, planned on a day."""
    from quietacre.build import plan_records

    report, _ = plan_records(measured, today=today)
    return report.year


def _waiting(tasks: Sequence[YearTask], named: Sequence[str], today: dt.date) -> list[str]:
    """Return the ground whose planting waits: that named, or all whose time has come.

    Of ground that is named a planting still to come may wait too, and one missed.
    """
    here = [
        task for task in tasks
        if task.task == PLANT and task.state != "done"
        and (task.area in named if named else
             task.state in ("due", "late") or task.earliest <= today <= task.latest)
    ]  # fmt: skip
    return list(dict.fromkeys(task.area for task in here))


def _settle(folder: Path, waiting: Sequence[str], named: Sequence[str]) -> None:
    """End with 2 and a command to type unless every piece named has a planting that can wait."""
    without = [area for area in named if area not in waiting]
    if waiting and not without:
        return
    where = f"on {without[0]} " if without else ""
    which = "can wait" if without else "is due or late; name the ground that waits"
    ask(
        f"no planting {where}{which}; nothing was written. See what is planned, or name it:",
        [f"quietacre year {shlex.quote(str(folder))}", again(areas=("NAME",))],
    )


def _tell_plan(year: YearReport, waiting: Sequence[str]) -> None:
    """Say on which day each planting is now, and what its mix says to that."""
    for task in year.tasks:
        if task.task == PLANT and task.area in waiting and task.state != "done":
            when = task.scheduled
            say(
                f"{task.area}: {task.label}, now "
                + (f"{when:%A}, {say_day(when, year=True)}" if when else "without a day")
            )
            for text in () if when else task.notes:
                say(f"  {text}")
    for row in year.conflicts:
        if row.area in waiting and row.code in TOLD:
            say(f"{row.area}: {row.text}", err=True)
