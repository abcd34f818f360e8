"""The rows of a table that a spreadsheet saved: CSV, or with semicolons or tabs."""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.intake.limits import MAX_TEXT_BYTES
from quietacre.workweek import LAST_YEAR

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

MARKS = ",;\t"
#: Nobody kept a daily record before.
FIRST_RECORD = 1700
#: No word or figure of a table is so long; a shape may be.
MOST_SIGNS = 131_072


def plain_rows(
    text: str, source: str, *, most_signs: int = MOST_SIGNS
) -> Iterator[tuple[int, list[str]]]:
    """Yield the number of the line that each row ends on, and its cells.

    Line ends may be those of any system. What parts the cells is what the first line
    has most of. ``most_signs`` is how long a cell may be.

    Raises
    ------
    FileProblem
        It is no table, has a cell that is far too long, or a quote that is not closed.
    """
    csv.field_size_limit(MAX_TEXT_BYTES)
    held: list[str] = []  # the lines of the row that is being read
    mark = mark_between(text)
    reader = csv.reader(_held(io.StringIO(text, newline=None), held), delimiter=mark)
    try:
        for row in reader:
            if len(held) > 1 and not _closes(held, mark):
                raise FileProblem(
                    "a quote is opened and not closed where its cell ends",
                    fix="close it, or take it away", source=source,
                    where=f"line {reader.line_num - len(held) + 1}",
                )  # fmt: skip
            held.clear()
            if any(len(cell) > most_signs for cell in row):
                raise FileProblem(
                    f"is not a table (a cell of more than {most_signs:,} signs)",
                    fix="save it as CSV again", source=source,
                    where=f"line {reader.line_num}",
                )  # fmt: skip
            if row:
                yield reader.line_num, row
    except csv.Error as problem:
        raise FileProblem(
            f"is not a table ({problem})", fix="save it as CSV again", source=source,
            where=f"line {reader.line_num}",
        ) from problem  # fmt: skip


def _held(lines: Iterable[str], held: list[str]) -> Iterator[str]:
    """Yield lines, whatever ends them, and keep each in ``held``."""
    for line in lines:
        held.append(line)
        yield line


def _closes(lines: Sequence[str], mark: str) -> bool:
    """Return whether the quotes of a row over several lines close where their cells end.

    If not, a quote swallowed the rows below it.
    """
    try:
        next(csv.reader(lines, delimiter=mark, strict=True), None)
    except csv.Error:
        return False
    return True


def mark_between(text: str) -> str:
    """Return what parts the cells of a table: what its first line has most of."""
    head = next((line for line in io.StringIO(text, newline=None) if line.strip()), "")
    return max(MARKS, key=head.count)


def named_rows(
    text: str,
    source: str,
    *,
    need: Sequence[str] = (),
    more: bool = False,
    most_signs: int = MOST_SIGNS,
) -> Iterator[tuple[int, dict[str, str]]]:
    """Yield the line and the cells of each row below the first, by column name.

    Names are in lower case without spaces round them; a cell that is not there is empty.
    Rows without any text are left out. What stands beyond the last column is left out
    when ``more`` is allowed.

    Raises
    ------
    FileProblem
        It is no table, a column of ``need`` is missing, as in a table that begins with its
        rows, two columns have one name, or a row is longer than the first.
    """
    rows = plain_rows(text, source, most_signs=most_signs)
    number, head = next(rows, (1, []))
    names = checked_names(head, source, number, need=need)
    for number, row in rows:
        if not any(cell.strip() for cell in row):
            continue
        if not more and any(cell.strip() for cell in row[len(names) :]):
            raise FileProblem(
                "has more values than there are columns (decimal commas?)",
                fix="save it with decimal points", source=source, where=f"line {number}",
            )  # fmt: skip
        yield number, dict.fromkeys(names, "") | dict(zip(names, row, strict=False))


def checked_names(
    head: Sequence[str], source: str, number: int, *, need: Sequence[str] = ()
) -> list[str]:
    """Return the names of the columns of a first line, in lower case.

    Raises
    ------
    FileProblem
        A column of ``need`` is missing, or two columns have one name.
    """
    names = _names(head)
    missing = [column for column in need if column not in names]
    if missing:
        raise FileProblem(
            f"has no column {missing[0]}",
            fix=f"begin it with a line such as {','.join(need)}", source=source,
        )  # fmt: skip
    twice = sorted({name for name in names if name and names.count(name) > 1})
    if twice:
        raise FileProblem(
            f"has two columns named {twice[0]}", fix="rename or delete one", source=source,
            where=f"line {number}",
        )  # fmt: skip
    return names


def column_names(text: str, source: str, *, most_signs: int = MOST_SIGNS) -> list[str]:
    """Return the names of the columns, in lower case.

    Raises
    ------
    FileProblem
        It is no table.
    """
    rows = plain_rows(text, source, most_signs=most_signs)
    return _names(next((row for _, row in rows), []))


def _names(head: Sequence[str]) -> list[str]:
    return [name.strip().casefold() for name in head]


def number_in(cell: str, what: str, fix: str, source: str, line: int) -> float:
    """Return the number that a cell holds.

    Raises
    ------
    FileProblem
        It is none, or has a decimal comma; ``what`` and ``fix`` say which and what to do.
    """
    cell = cell.strip()
    try:
        value = float(cell.replace("_", "x"))  # Python reads 1_0 as ten; a table does not
    except ValueError:
        value = math.nan
    if math.isfinite(value):
        return value
    comma = cell.count(",") == 1 and "." not in cell
    raise FileProblem(
        f"{what} “{cell[:40]}” ".lstrip()
        + ("has a decimal comma" if comma else "is not a number"),
        fix="save it with decimal points" if comma else fix,
        source=source,
        where=f"line {line}",
    )


def day_in(cell: str, source: str, line: int) -> dt.date:
    """Return the day that a cell holds.

    Raises
    ------
    FileProblem
        It is none, or of a year that cannot be.
    """
    try:
        day = dt.date.fromisoformat(cell.strip())
    except ValueError as problem:
        raise FileProblem(
            f"“{cell.strip()[:20]}” is not a date", fix="write it as 2027-07-04",
            source=source, where=f"line {line}",
        ) from problem  # fmt: skip
    check_year(day, source, line)
    return day


def check_year(day: dt.date, source: str, line: int) -> None:
    """Raise FileProblem for a day of a year in which nothing was recorded or will be."""
    if not FIRST_RECORD <= day.year <= LAST_YEAR:
        raise FileProblem(
            f"{day} cannot be", fix="check its year", source=source, where=f"line {line}"
        )
