"""Lines for the log: checked cells, the letters that name a line, lines that take one back."""

from __future__ import annotations

import hashlib
import math
import secrets
from typing import TYPE_CHECKING

from quietacre.errors import BadInput
from quietacre.logbook import COLUMNS, MOST_SCORE, UNDO
from quietacre.model import folded

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Collection, Mapping

    from quietacre.edit.logtext import LogText

#: Consonants: no spreadsheet takes them for a number, a date or a word.
LETTERS = "bcdfghjkmnpqrstvwxz"
#: Of 6,000 lines written apart, two alike once in 18,000 times: such a pair is asked about.
ID_LETTERS = 9
LONGEST_CELL = 10_000


def new_id(taken: Collection[str]) -> str:
    """Return letters that name a line and that no other line of the log has."""
    while True:
        made = "".join(secrets.choice(LETTERS) for _ in range(ID_LETTERS))
        if made not in taken:
            return made


def id_of(said: str) -> str:
    """Return letters that name a line by what it holds: the same for the same words."""
    number = int.from_bytes(hashlib.sha256(said.encode("utf-8", "surrogatepass")).digest())
    made = ""
    for _ in range(ID_LETTERS):
        number, place = divmod(number, len(LETTERS))
        made += LETTERS[place]
    return made


def ids(log: LogText) -> set[str]:
    """Return the id of every line of a log that has one."""
    if "id" not in log.columns:
        return set()
    at = log.columns.index("id")
    return {row[at].strip() for _, row in log.lines if len(row) > at} - {""}


def checked_cells(cells: Mapping[str, str]) -> dict[str, str]:
    """Return the cells of a line as they go into the log; blank ones are left out.

    Line breaks and other gaps become a space, so that a line stays one line.

    Raises
    ------
    BadInput
        A figure is none, a day cannot be, or a cell is no text or far too long.
    """
    holds = {column.name: column.holds for column in COLUMNS}
    made = {}
    for name, typed in cells.items():
        cell = " ".join(typed.split())
        if not cell:
            continue
        if not all(ch.isprintable() for ch in cell) or len(cell) > LONGEST_CELL:
            raise BadInput(
                f"{name} is no line of words", fix="type it again without odd signs",
                source="--" + name.replace("_", "-"),
            )  # fmt: skip
        if holds.get(name) in ("number", "score"):
            _check_number(cell, name, most=MOST_SCORE if holds[name] == "score" else None)
        made[name] = cell
    return made


def _check_number(cell: str, name: str, most: float | None) -> None:
    try:
        value = float(cell.replace("_", "x"))  # Python reads 1_0 as ten; a table does not
    except ValueError:
        value = math.nan
    if math.isfinite(value) and 0 <= value <= (math.inf if most is None else most):
        return
    comma = " has a decimal comma: write it with a point" if "," in cell else ""
    upto = "0 or more" if most is None else f"0 to {most:g}"
    raise BadInput(
        f"“{cell[:40]}”{comma or ' is not a number of ' + upto}",
        fix="type a plain number such as 12.5",
        source="--" + name.replace("_", "-"),
    )


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
            f"no line has the id “{name}”", fix="look in its column id", source="log.csv"
        )
    if len(meant) < len(marked):
        raise BadInput(
            f"the line of {name} is taken back already",
            fix="write it again if it was done after all", source="log.csv",
            where=f"line {meant[0][0]}",
        )  # fmt: skip
    return {
        "id": name, "date": on.isoformat(), "area": meant[0][1].get("area", ""), "task": UNDO,
    }  # fmt: skip


def said_line(cells: Mapping[str, str]) -> str:
    """Return a line as a person reads it: "2027-07-04 North bottom: mow; minutes 30"."""
    first = f"{cells.get('date', '')} {cells.get('area', '')}: {cells.get('task', '')}"
    rest = [
        f"{name} {cell}"
        for name, cell in cells.items()
        if name not in ("date", "area", "task") and cell
    ]
    return "; ".join([first.strip(), *rest])
