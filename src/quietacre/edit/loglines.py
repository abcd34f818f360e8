"""Lines for the log: checked cells, the letters that name a line, lines that take one back."""

from __future__ import annotations

import math
import secrets
from typing import TYPE_CHECKING

from quietacre.cells import fits_a_line
from quietacre.errors import BadInput
from quietacre.intake.log import figure
from quietacre.logbook import (
    ID_LETTERS,
    LETTERS,
    LOG,
    LOG_FILE,
    OWN_LETTERS,
    UNDO,
    UNIT_NAMES,
    LineFile,
    log_unit,
)
from quietacre.model import folded
from quietacre.record.line_said import line_said

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Collection, Mapping

    from quietacre.edit.logtext import LogText

LONGEST_CELL = 10_000


def new_id(taken: Collection[str], job: str = "") -> str:
    """Return letters that name a line and that no other line of the log has.

    ``job`` are the letters of the job of the year that the line is, when it is one.
    """
    while True:
        count = OWN_LETTERS if job else ID_LETTERS
        made = "".join(secrets.choice(LETTERS) for _ in range(count))
        made = f"{job}-{made}" if job else made
        if made not in taken:
            return made


def ids(log: LogText) -> set[str]:
    """Return the id of every line of a log that has one."""
    if "id" not in log.columns:
        return set()
    at = log.columns.index("id")
    return {row[at].strip() for _, row in log.lines if len(row) > at} - {""}


def checked_line(cells: Mapping[str, str]) -> dict[str, str]:
    """Return the cells of a line as they go into the log, as `checked_cells`.

    Raises
    ------
    BadInput
        Its day or its task is blank, its amount counts what is no unit; or as `checked_cells`.
    """
    made = checked_cells(cells)
    unit = made.get("unit", "")
    if unit and "amount" in made and log_unit(unit) is None:
        raise BadInput(
            f"“{unit[:40]}” is no unit that an amount counts",
            fix=f"write one of {UNIT_NAMES}; what is counted otherwise goes into the note",
            source="--unit",
        )
    for name in ("date", "task"):
        if name not in made:
            raise BadInput(f"a line needs its {name}", fix="give it", source=LOG)
    return made


def checked_cells(cells: Mapping[str, str], file: LineFile = LOG_FILE) -> dict[str, str]:
    """Return cells as they go into the log, or into another file of lines, in its usual order; blank ones are left out.

    Line breaks and other gaps become a space, so that a line stays one line.

    Raises
    ------
    BadInput
        A figure is none, or a cell is no text or far too long.
    """
    most = file.most
    order = {name: number for number, name in enumerate(file.names)}
    made = {}
    for name, typed in cells.items():
        cell = " ".join(typed.split())
        source = "--" + name.replace("_", "-")
        if not cell:
            continue
        if not fits_a_line(cell) or len(cell) > LONGEST_CELL:
            raise BadInput(
                f"{name} is no line of words", fix="type it again without odd signs",
                source=source,
            )  # fmt: skip
        if name in most and figure(cell, most[name]) is None:
            comma = " (a decimal comma?)" if "," in cell else ""
            upto = "0 or more" if math.isinf(most[name]) else f"0 to {most[name]:g}"
            raise BadInput(
                f"“{cell[:40]}” is not a number of {upto}{comma}",
                fix="type a plain number such as 12.5", source=source,
            )  # fmt: skip
        made[name] = cell
    return dict(sorted(made.items(), key=lambda item: order.get(item[0], len(order))))


def undo_line(log: LogText, name: str, on: dt.date) -> dict[str, str]:
    """Return the line that takes back the line of an id.

    Raises
    ------
    BadInput
        No line has that id, or it is taken back already.
    """
    marked = [(n, cells) for n, cells in log.typed() if cells.get("id") == name]
    meant = [(n, cells) for n, cells in marked if folded(cells.get("task", "")) != UNDO]
    if not meant:
        raise BadInput(
            f"no line has the id “{name}”", fix="look in its column id", source=LOG
        )
    if len(meant) < len(marked):
        raise BadInput(
            f"the line of {name} is taken back already",
            fix="write it again if it was done after all", source=LOG,
            where=f"line {meant[0][0]}",
        )  # fmt: skip
    return {
        "id": name, "date": on.isoformat(), "area": meant[0][1].get("area", ""), "task": UNDO,
    }  # fmt: skip


def line_words(cells: Mapping[str, str]) -> str:
    """Return a line as a person reads it: "2027-07-04 North bottom: mow; 30 minutes".

    Its figures are values until they are printed.
    """
    where = f"{cells.get('date', '')} {cells.get('area', '')}".strip()
    return f"{where}: {line_said(cells)}"
