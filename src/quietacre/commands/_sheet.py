"""A filled paper sheet entered as one table: several lines of the log in one change."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from quietacre.commands._edge import emit, say
from quietacre.commands._log_edge import known_names, tell_written
from quietacre.commands._lost import lines_said
from quietacre.commands.build import today_from
from quietacre.errors import BadInput, FileProblem
from quietacre.logbook import JOB, JOB_COLUMN, LOG, NAMES, UNDO
from quietacre.model import folded, names_like
from quietacre.record.words import needs_ground

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from quietacre.edit.logs import Writer
    from quietacre.edit.logtext import LogText


def write_table(
    folder: Path, writer: Writer, table: Path, *, any_area: bool, as_json: bool
) -> None:
    """Write the lines of a table into the log in one change, or none of them.

    Raises
    ------
    BadInput
        A line cannot stand in the log; it is named by its number.
    """
    from quietacre.edit.loglines import checked_line, line_words
    from quietacre.edit.logs import read_other, write_lines

    log = read_other(table)
    spelled = None if any_area else _spelled(folder)
    lines = []
    for number, cells in _lines(log):
        try:
            line = checked_line(_checked(cells, spelled))
        except BadInput as problem:
            raise FileProblem(
                f"{problem.what}, so no line was written", fix=problem.fix, source=log.source,
                where=f"line {number}",
            ) from problem  # fmt: skip
        lines.append((line, cells.get(JOB_COLUMN, "")))
    if not lines:
        raise FileProblem("has no line to write", fix="fill one in", source=log.source)
    written = write_lines(writer, lines, f"log: {lines_said(len(lines))} of a sheet")
    made = [dict(line) for line in written.lines]
    if as_json:
        emit({"lines": made, "columns_added": list(written.columns)})
    else:
        say(
            f"{LOG}: {lines_said(len(made))} written; quietacre undo takes them back as one"
        )
        for line in made:
            say(f"  {line_words({k: v for k, v in line.items() if k != 'id'})}")
    tell_written(folder, written)


def _lines(log: LogText) -> list[tuple[int, dict[str, str]]]:
    """Return the lines of a table, their days as the log has them."""
    from quietacre.edit.merge import log_days

    days = log_days(log)
    return [
        (number, cells | ({"date": days[number].isoformat()} if number in days else {}))
        for number, cells in log.typed()
    ]


def _spelled(folder: Path) -> Mapping[str, str] | None:
    """Return the names of the ground by their folded form, None when nobody knows them."""
    names = known_names(folder)
    return None if names is None else {folded(name): name for name in names}


def _checked(cells: Mapping[str, str], spelled: Mapping[str, str] | None) -> dict[str, str]:
    """Return the cells that go into the log.

    Raises
    ------
    BadInput
        Its day, its ground or its job cannot be.
    """
    day, job = cells.get("date", ""), cells.get(JOB_COLUMN, "")
    try:
        on = dt.date.fromisoformat(day)
    except ValueError as problem:
        raise BadInput(f"“{day[:20]}” is no day", fix="write it as 2027-07-04") from problem
    if on > today_from(None):
        raise BadInput(f"{on} is still to come", fix="log a thing once it is done")
    if job and JOB.fullmatch(job) is None:
        raise BadInput(f"“{job[:20]}” names no job", fix="leave the column job blank")
    area, task = cells.get("area", ""), cells.get("task", "")
    if folded(task) == UNDO:
        raise BadInput("takes a line back", fix="use quietacre log DIR --undo ID")
    parts = [part.strip() for part in area.split(";") if part.strip()]
    if not parts and needs_ground(task):
        raise BadInput("names no ground", fix="give its area")
    if spelled is not None:
        for part in parts:
            if folded(part) not in spelled:
                near = names_like(part, spelled.values(), 1)
                cure = f"write {near[0]}" if near else "give --any-area"
                raise BadInput(f"no ground is called “{part}”", fix=cure)
        area = "; ".join(spelled[folded(part)] for part in parts)
    return {name: cells[name] for name in NAMES if name in cells and name != "id"} | {
        "area": area
    }
