"""``quietacre log``: one line of what happened."""

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
from quietacre.errors import BadInput
from quietacre.logbook import JOB, LOG, PHOTOS, UNDO
from quietacre.model import folded
from quietacre.record.words import needs_ground

if TYPE_CHECKING:
    import datetime as dt


@click.command(name="log")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.argument("task", required=False, metavar="[TASK]")
@click.option("--area", help="The piece of ground, or the strip round one, by its name.")
@click.option(
    "--on", type=click.DateTime(["%Y-%m-%d"]), metavar="DAY",
    help="The day it was done, such as 2027-07-04 (default: today).",
)  # fmt: skip
@column_options
@click.option(
    "--job", default="", metavar="LETTERS",
    help="The job of the year that it was, by its letters in report.json.",
)  # fmt: skip
@click.option("--any-area", is_flag=True, help="Take a name that property.toml has not.")
@click.option(
    "--table", type=click.Path(path_type=Path), metavar="FILE",
    help="Lines of a filled sheet, as a CSV with columns of the log, in one change.",
)  # fmt: skip
@click.option("--undo", "undo_id", metavar="ID", help="Take back the line of this id.")
@WAIT
@click.option("--json", "as_json", is_flag=True, help="Print the line as JSON.")
@fail_cleanly
def command(
    folder: Path, task: str | None, area: str | None, on: dt.datetime | None,
    job: str, table: Path | None, undo_id: str | None, wait_s: float | None, *, any_area: bool, as_json: bool,
    **cells: str | None,
) -> None:  # fmt: skip
    """Write one line into DIR/log.csv: what was done, where and when.

    What is bought, and rain, need no --area; several pieces of ground stand between
    semicolons.

    Lines are added, never taken out. A mistake is mended with --undo ID: a line that
    takes the other back. Every other byte of the file stays; columns it lacks are
    added at the end of its first line.
    """
    from quietacre.edit.logs import take_back, write_line

    writer = writer_of(folder, wait_s)
    if table is not None:
        from quietacre.commands._sheet import write_table

        if task or area or on or job or undo_id or any(cells.values()):
            raise BadInput(
                "stands alone: the file says what was done, where and when",
                fix="give it without a task and other options", source="--table",
            )  # fmt: skip
        write_table(folder, writer, table, any_area=any_area, as_json=as_json)
        return
    given = {name: cell for name, cell in cells.items() if cell}
    task, area = (task or "").strip() or None, (area or "").strip() or None
    day = day_done(on)
    if job and JOB.fullmatch(job) is None:
        raise BadInput(
            f"“{job[:20]}” names no job", fix="take the letters of “job” in report.json",
            source="--job",
        )  # fmt: skip
    if undo_id is not None:
        if task is not None or area is not None:
            ask("--undo takes a line back as it is; type:", [again(task=None, area=None)])
        written = take_back(writer, undo_id, day, given)
    else:
        task = _asked_for(task, area)
        place = ""
        if area is not None:
            place = known_area(folder, area, any_area=any_area, task=task)
        kept = with_bag_lb(folder, given)
        written = write_line(
            writer, {"date": day.isoformat(), "area": place, "task": task, **kept}, job=job
        )
    line = dict(written.lines[0])
    _tell_missing(folder, line.get("photo"))
    if as_json:
        emit({"line": line, "columns_added": list(written.columns)})
    else:
        _tell(folder, line, undone=undo_id is not None)
    tell_written(folder, written)


def _asked_for(task: str | None, area: str | None) -> str:
    """Return the task; end with 2 and the command to type where it or its ground is not said."""
    if task is None or (area is None and needs_ground(task)):
        whole = again(task=task or "TASK", area=area or "NAME")
        ask("say what was done and where, such as:", [whole])
    if folded(task) == UNDO:
        ask(
            "a line is taken back by its id; type:",
            [again(task=None, area=None, undo_id="ID")],
        )
    return task


def _tell_missing(folder: Path, picture: str | None) -> None:
    """Say that a photograph of a line is not there."""
    if picture and not (folder / PHOTOS / picture).is_file():
        say(f"{PHOTOS}/{picture} is not there: quietacre photo keeps one", err=True)


def _tell(folder: Path, line: dict[str, str], *, undone: bool) -> None:
    """Say the line that was written, and how to take it back."""
    from quietacre.edit.loglines import line_words

    name = line.pop("id")
    say(f"{LOG}: {line_words(line)}")
    if not undone:
        say(
            f"  its id is {name}; take it back with: quietacre log {shlex.quote(str(folder))} "
            f"--undo {name}"
        )
