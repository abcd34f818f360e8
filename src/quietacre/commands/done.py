"""``quietacre done``: a job of the year is done."""

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
    column_options,
    day_done,
    known_area,
    tell_written,
    with_bag_lb,
    writer_of,
)
from quietacre.days import say_day
from quietacre.errors import BadInput
from quietacre.logbook import LOG

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from quietacre.year.records import YearTask

#: So many of the jobs that may be meant are told.
TOLD = 8


@click.command(name="done")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument("words", metavar="[WORDS]", required=False)
@click.option(
    "--area", "areas", multiple=True, help="The ground or strip; may be repeated."
)
@click.option(
    "--on", type=click.DateTime(["%Y-%m-%d"]), metavar="DAY",
    help="The day it was done, such as 2027-07-04 (default: today).",
)  # fmt: skip
@click.option(
    "--from", "tick_files", multiple=True, type=click.Path(path_type=Path), metavar="FILE",
    help="A file of ticks from a phone, in place of words; may be repeated.",
)  # fmt: skip
@click.option(
    "--any-place", is_flag=True, help="Take ticks that another place's map wrote, too."
)
@column_options
@WAIT
@click.option("--json", "as_json", is_flag=True, help="Print the lines as JSON.")
@fail_cleanly
def command(
    folder: Path, words: str | None, areas: tuple[str, ...], on: dt.datetime | None,
    tick_files: tuple[Path, ...], wait_s: float | None, *, any_place: bool, as_json: bool, **cells: str | None,
) -> None:  # fmt: skip
    """Say that a job of the year is done, in your words: "mowed the strip".

    The job that is meant is found among those due and late, told, and written as a line
    of DIR/log.csv; then what comes next is told. Where two pieces of ground have such a
    job, nothing is written and the commands to type are told.

    With --from, what was ticked on a map or a helper's list is written instead, each tick
    once, however often its file is given.
    """
    if tick_files:
        if words or areas or on or any(cells.values()):
            raise BadInput(
                "stands alone: the file says what was done, where and when",
                fix="give it without words and other options", source="--from",
            )  # fmt: skip
        _bring(folder, tick_files, wait_s, any_place=any_place, as_json=as_json)
        return
    if not words:
        raise BadInput(
            "says nothing of what was done",
            fix='name it, such as "mowed the strip", or give a tick file with --from',
            source="quietacre done",
        )
    from quietacre.build import plan_records
    from quietacre.commands._shares import share_cells
    from quietacre.edit.logs import write_line
    from quietacre.measure.property import measure_property
    from quietacre.year.which_job import jobs_meant

    writer = writer_of(folder, wait_s)
    day = day_done(on)
    named = [known_area(folder, area, any_area=False) for area in areas]
    measured = measure_property(folder)
    report, _ = plan_records(measured, today=day)
    tasks = report.year.tasks
    meant = jobs_meant(tasks, words, named, measured.prop, day)
    _settle(folder, meant, words, named)
    given = with_bag_lb(folder, {name: cell for name, cell in cells.items() if cell})
    shares = share_cells(given, meant, report)
    for text in () if as_json else shares.words:
        say(text)
    lines = []
    for task, mine in zip(meant, shares.cells, strict=True):
        line = {"date": day.isoformat(), "area": task.area, "task": task.log_word}
        written = write_line(writer, {**line, **mine}, job=task.job)
        lines.append(dict(written.lines[0]))
        if not as_json:
            _tell(folder, task, lines[-1])
        tell_written(folder, written)
    if as_json:
        emit({"lines": lines})
    else:
        _tell_next(tasks, meant)


def _bring(
    folder: Path, files: tuple[Path, ...], wait_s: float | None, *, any_place: bool,
    as_json: bool,
) -> None:  # fmt: skip
    """Write what was ticked in files, each tick once."""
    from quietacre.commands._ticks import bring_ticks, read_ticks

    bring_ticks(
        folder, writer_of(folder, wait_s), [read_ticks(path) for path in files],
        any_place=any_place, as_json=as_json,
    )  # fmt: skip


def _settle(
    folder: Path, meant: Sequence[YearTask], words: str, named: Sequence[str]
) -> None:
    """End with 2 and the commands to type unless it is clear which jobs are meant."""
    without = [area for area in named if all(task.area != area for task in meant)]
    if not meant or without:
        where = f" on {without[0]}" if without else ""
        ask(
            f"no job of the year that is due, late or near goes by “{words}”{where}; nothing was "
            "written. See what is planned, or write a line of the log all the same:",
            [f"quietacre year {shlex.quote(str(folder))}",
             again(areas=()).replace("quietacre done", "quietacre log", 1)
             + f" --area {shlex.quote(without[0] if without else 'NAME')}"],
        )  # fmt: skip
    alike = [task for task in meant if sum(t.area == task.area for t in meant) > 1]
    if alike or (not named and len(meant) > 1):
        ask(
            f"“{words}” may mean {len(meant)} jobs; nothing was written. Type one of:",
            [again(areas=(task.area,), words=task.label if alike else words)
             for task in meant[:TOLD]],
        )  # fmt: skip


def _tell(folder: Path, task: YearTask, line: Mapping[str, str]) -> None:
    """Say which job was meant, and how to take the line back."""
    state = {"late": "was late", "due": "was due", "missed": "had been missed"}
    was = state.get(task.state, "was planned for later")
    say(f"{task.area}: {task.label}, which {was}; {LOG} has it, done on {line['date']}")
    say(
        f"  its id is {line['id']}; take it back with: quietacre log "
        f"{shlex.quote(str(folder))} --undo {line['id']}"
    )


def _tell_next(tasks: Sequence[YearTask], meant: Sequence[YearTask]) -> None:
    """Say what comes next on the same ground, and of all."""
    from quietacre.year.which_job import comes_next

    done = {task.uid for task in meant}
    here = comes_next(tasks, done, meant[0].area)
    ahead = comes_next(tasks, done, None)
    for where, task in (("there", here), ("of all", ahead)):
        if (
            task is not None
            and task.scheduled
            and not (where == "of all" and here == ahead)
        ):
            day = task.scheduled
            say(
                f"next {where}: {task.area}: {task.label}, {day:%A}, "
                f"{say_day(day, year=True)}"
            )
