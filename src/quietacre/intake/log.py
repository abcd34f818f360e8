"""log.csv: what happened, one thing a line, read kindly.

A line that cannot be read is a note with its number, and never stops a build.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.cells import typed_cell
from quietacre.errors import FileProblem, one_line
from quietacre.intake.deadline import timed
from quietacre.intake.limits import read_text
from quietacre.intake.logdays import Figures, is_day_first, read_day
from quietacre.intake.rows import FIRST_RECORD, named_rows
from quietacre.logbook import COLUMNS, LOG_FILE, NEEDED, LineFile
from quietacre.model import Job, Note
from quietacre.workweek import LAST_YEAR

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping
    from pathlib import Path

THOUSANDS = re.compile(r"\d{1,3}(,\d{3})+(\.\d+)?")
#: Columns that hold a figure, and the most of it.
MOST = LOG_FILE.most

#: Columns besides the date that hold a day.
DAYS = tuple(c.name for c in COLUMNS if c.holds == "day" and c.name not in NEEDED)
ISO_DAY = re.compile(r"\d{4}-\d\d-\d\d")


@dataclass(frozen=True)
class LogRead:
    """The lines of a log that could be read, in their order, and what is to be said."""

    jobs: tuple[Job, ...] = ()
    notes: tuple[Note, ...] = ()


@timed
def read_log(path: Path, *, shown: str | None = None, file: LineFile = LOG_FILE) -> LogRead:
    """Return every line of a log that has a day and a task.

    The columns of the logbook may stand in any order; those besides date, area and task
    are also kept as words.

    Raises
    ------
    FileProblem
        It is no table, has no column date, area or task, or a quote that never closes.
    """
    shown = shown or str(path)
    rows = [
        (number, {name: typed_cell(cell.strip()) for name, cell in row.items()})
        for number, row in named_rows(
            read_text(path, shown), shown, need=file.needed, more=True
        )
    ]
    for number, row in rows:
        if "\n" in row["date"]:
            raise FileProblem(
                "has a quote that is never closed, which takes the lines below it",
                fix="close or take out the quote", source=shown, where=f"line {number}",
            )  # fmt: skip
    read = {number: read_day(row["date"]) for number, row in rows if row["date"]}
    day_first, notes = _order(read, shown)
    own = (*file.needed, "area", "id")
    jobs = []
    for number, row in rows:
        day_read = read.get(number)
        day = (
            day_read.day(day_first=day_first) if isinstance(day_read, Figures) else day_read
        )
        wrong = _wrong(row, day, file.what)
        if wrong or day is None:
            notes.append(
                _note("log-line", f"{wrong}, so the line counts for nothing", shown, number)
            )
            continue
        cells = _plain_days(
            {name: cell for name, cell in row.items() if name and cell}, day_first=day_first
        )
        notes += [
            _note("log-figure", text, shown, number) for text in _figures(cells, file)
        ]
        jobs.append(
            Job(day, row.get("area", ""), row[file.what], number,
                cells.get("id", ""), {k: v for k, v in cells.items() if k not in own})
        )  # fmt: skip
    return LogRead(tuple(jobs), tuple(notes))


def _note(code: str, text: str, shown: str, number: int | None = None) -> Note:
    where = shown if number is None else f"{shown}, line {number}"
    level = "info" if code in ("log-figure", "log-days") else "caution"
    return Note(code, f"{where}: {text}.", level, shown)  # type: ignore[arg-type]


def _wrong(row: Mapping[str, str], day: dt.date | None, what: str) -> str:
    """Return why a line cannot be read, "" when it can."""
    if not row["date"]:
        return "it has no date"
    quoted = f"“{one_line(row['date'][:20])}”"
    if day is None:
        return f"{quoted} is not a date (write it as 2027-07-04)"
    if not FIRST_RECORD <= day.year <= LAST_YEAR:
        return f"{quoted} cannot be (check its year)"
    return "" if row[what] else f"it has no {what}"


def _order(
    read: Mapping[int, dt.date | Figures | None], shown: str
) -> tuple[bool, list[Note]]:
    """Return whether the day comes before the month, and what to say of it."""
    figures = {n: day for n, day in read.items() if isinstance(day, Figures)}
    first = [n for n, day in figures.items() if day.proves == "first"]
    second = [n for n, day in figures.items() if day.proves == "second"]
    open_ = [n for n, day in figures.items() if not day.proves and day.first != day.second]
    if not open_:
        return False, []
    if first and second:
        text = (
            f"line {first[0]} has the day before the month and line {second[0]} the month before "
            f"the day; {_lines(open_)} could be either and {_are(open_)} read month first"
        )
        return False, [_note("log-days-mixed", text, shown)]
    if is_day_first(figures.values()):
        text = (
            f"the day is read before the month in {_lines(open_)} too, because line {first[0]} "
            "can be read only so"
        )
        return True, [_note("log-days", text, shown)]
    return False, []


def _lines(numbers: list[int]) -> str:
    return f"line {numbers[0]}" if len(numbers) == 1 else f"{len(numbers)} lines"


def _are(numbers: list[int]) -> str:
    return "is" if len(numbers) == 1 else "are"


def _plain_days(cells: Mapping[str, str], *, day_first: bool) -> dict[str, str]:
    """Return cells with the days among them as 2027-07-04, however a spreadsheet wrote them."""
    out = dict(cells)
    for name in DAYS:
        day_read = read_day(out.get(name, ""))
        day = (
            day_read.day(day_first=day_first) if isinstance(day_read, Figures) else day_read
        )
        if day is not None:
            out[name] = day.isoformat()
    return out


def _figures(cells: Mapping[str, str], file: LineFile) -> Iterable[str]:
    """Yield what is said of cells that should hold a figure or a day and do not."""
    for name in DAYS:
        if name in cells and not ISO_DAY.fullmatch(cells[name]):
            yield f"{name} “{one_line(cells[name][:20])}” is no day and is kept as words"
    for name, most in file.most.items():
        if name in cells and figure(cells[name], most) is None:
            yield f"{name} “{one_line(cells[name][:20])}” is no figure and is kept as words"


def figure(cell: str, most: float = math.inf) -> float | None:
    """Return the figure of a cell, from 0 to ``most``; None when it holds none.

    "$1,234.50" is read; "0,4" is not, for nobody can say whether it is four tenths.
    """
    plain = cell.strip().removeprefix("$").strip()
    if THOUSANDS.fullmatch(plain):
        plain = plain.replace(",", "")
    try:
        value = float(plain.replace("_", "x"))
    except ValueError:
        return None
    return value if math.isfinite(value) and 0.0 <= value <= most else None
