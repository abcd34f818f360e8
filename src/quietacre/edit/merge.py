"""Lines of other logs brought into one: what is new, what is here already, what is asked.

A line is known by its id. One without an id is known by its cells and those of all the lines
above it, so a file that is merged twice, or again after it has grown, adds its lines once,
and two equal lines of one file stay two. A line that is alike in all cells to one of another
file may be the same work or more of it: that is asked.
"""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from quietacre.errors import FileProblem
from quietacre.intake.log import MOST, figure
from quietacre.intake.logdays import Figures, is_day_first, read_day
from quietacre.intake.rows import FIRST_RECORD
from quietacre.logbook import UNDO, id_of
from quietacre.model import folded
from quietacre.workweek import LAST_YEAR

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Container, Iterator, Mapping, Sequence

    from quietacre.edit.logtext import LogText

#: A line alike in all cells: the same work, or more of it.
Alike = Literal["same", "more"]
#: A line of an id that is here with other cells: keep ours, or take theirs as well.
Changed = Literal["ours", "both"]

Words = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Question:
    """A line of another file that cannot be placed, and the line of ours it is held against."""

    kind: Literal["alike", "changed"]
    source: str
    line: int
    cells: Mapping[str, str]
    ours: Mapping[str, str]


@dataclass(frozen=True)
class FromFile:
    """What became of one file's lines."""

    source: str
    added: int = 0
    known: int = 0
    alike: int = 0  # taken for the same as ours, because it was said so
    changed: int = 0  # ours kept, because it was said so


@dataclass(frozen=True)
class Merged:
    """Lines to add to a log, what became of each file, and what has to be asked first."""

    lines: tuple[dict[str, str], ...]
    files: tuple[FromFile, ...]
    questions: tuple[Question, ...] = ()


@dataclass(frozen=True)
class LogLine:
    """A line of a log: its number, its cells, its own id or the one its place gives it.

    ``named`` says whether the id is its own.
    """

    number: int
    cells: dict[str, str]
    name: str
    named: bool

    @property
    def mark(self) -> tuple[str, bool]:
        """What tells it from others: a line and the one that takes it back share an id."""
        return self.name, folded(self.cells.get("task", "")) == UNDO

    @cached_property
    def words(self) -> Words:
        """What all cells but the id say: in any order, a figure however it is written."""
        return tuple(sorted((n, _told(n, c)) for n, c in self.cells.items() if n != "id"))


def _told(name: str, cell: str) -> str:
    """Return what a cell says: a spreadsheet makes 0.5 of 0.50, a person writes Mow and mow."""
    value = figure(cell) if name in MOST else None
    return folded(cell) if value is None else repr(value)


Pools = dict[tuple[Words, bool], list[LogLine]]


@dataclass
class _Known:
    """Lines that are in the log, or will be, by what tells them apart."""

    marks: dict[tuple[str, bool], LogLine] = field(default_factory=dict)
    words: defaultdict[Words, list[LogLine]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def add(self, line: LogLine) -> None:
        self.marks.setdefault(line.mark, line)
        self.words[line.words].append(line)


def merge(
    own: LogText | None,
    others: Sequence[LogText],
    *,
    alike: Alike | None = None,
    changed: Changed | None = None,
) -> Merged:
    """Return the lines of other logs that one log lacks.

    Parameters
    ----------
    own : the log, None for one that is not there yet.
    others : what each other file holds.
    alike, changed : what is so of every line of that kind; asked when None.

    Raises
    ------
    FileProblem
        A line of another file has no day or task, or more cells than columns.
    """
    known = _Known()
    for line in log_lines(own) if own is not None else ():
        known.add(line)
    lines: list[dict[str, str]] = []
    files, questions = [], []
    for other in others:
        counts: Counter[str] = Counter()
        new: list[LogLine] = []
        pools: Pools = {}
        _check(other)
        theirs = list(log_lines(other))
        here = {line.mark for line in theirs}
        for line in theirs:
            what, ours = _judged(line, known, here, pools, alike, changed)
            counts[what] += 1
            if what in ("alike?", "changed?"):
                kind: Literal["alike", "changed"] = "alike" if what[0] == "a" else "changed"
                questions.append(
                    Question(
                        kind,
                        other.source,
                        line.number,
                        line.cells,
                        ours.cells if ours else {},
                    )
                )
            elif what in ("added", "both"):
                new.append(line if what == "added" else _renamed(line))
                known.marks.setdefault(new[-1].mark, new[-1])
        for line in new:  # alike lines of one file are told apart by its own order
            known.words[line.words].append(line)
            lines.append(line.cells | {"id": line.name})
        files.append(
            FromFile(
                other.source, len(new), counts["known"], counts["same"], counts["ours"]
            )
        )
    return Merged(tuple(lines), tuple(files), tuple(questions))


def _judged(
    line: LogLine,
    known: _Known,
    here: Container[tuple[str, bool]],
    pools: Pools,
    alike: Alike | None,
    changed: Changed | None,
) -> tuple[str, LogLine | None]:
    """Return what a line is to a log, and the line of the log it was held against.

    ``here`` tells the lines of its own file; ``pools`` are the lines of the log that those
    alike to them are held against, each once.
    """
    ours = known.marks.get(line.mark)
    if ours is not None:
        if ours.words == line.words or line.mark[1]:
            return "known", ours
        if _renamed(line).mark in known.marks:
            return "known", ours
        return {"ours": "ours", "both": "both", None: "changed?"}[changed], ours
    left = pools.get((line.words, line.named))
    if left is None:
        left = pools[line.words, line.named] = [
            other for other in reversed(known.words.get(line.words, ()))
            if not (line.named and other.named) and other.mark not in here
        ]  # fmt: skip
    if left:
        return {"same": "same", "more": "added", None: "alike?"}[alike], left.pop()
    return "added", None


def _renamed(line: LogLine) -> LogLine:
    """Return a line under an id that its cells give it."""
    name = id_of(f"{line.name}\x1d{line.words}")
    return LogLine(line.number, line.cells | {"id": name}, name, named=True)


def log_lines(log: LogText) -> Iterator[LogLine]:
    """Yield a log's lines, each with its id or the one that it and those above it give.

    Days are in one form, so that the same line is alike however a spreadsheet wrote them.
    """
    chain = hashlib.sha256()
    days = log_days(log)
    for number, typed in log.typed():
        day = days.get(number)
        cells = typed if day is None else typed | {"date": day.isoformat()}
        line = LogLine(number, cells, cells.get("id", ""), named="id" in cells)
        chain.update(repr((line.words, cells.get("id"))).encode("utf-8", "surrogatepass"))
        yield (
            line
            if line.named
            else LogLine(number, cells, id_of(chain.hexdigest()), named=False)
        )


def log_days(log: LogText) -> dict[int, dt.date]:
    """Return the day of each line that has one, by the number of the line."""
    read = {
        number: read_day(cells["date"]) for number, cells in log.typed() if "date" in cells
    }
    first = is_day_first(read.values())
    days = {
        number: day_read.day(day_first=first) if isinstance(day_read, Figures) else day_read
        for number, day_read in read.items()
    }
    return {number: day for number, day in days.items() if day is not None}


def unsure_day(log: LogText) -> tuple[int, dt.date] | None:
    """Return the first line whose day could be read two ways, and the day it is read as."""
    days = log_days(log)
    if is_day_first(read_day(cells.get("date", "")) for _, cells in log.typed()):
        return None  # another line proves it
    for number, cells in log.typed():
        day = read_day(cells.get("date", ""))
        open_ = isinstance(day, Figures) and not day.proves and day.first != day.second
        if open_ and number in days:
            return number, days[number]
    return None


def _check(log: LogText) -> None:
    """Raise FileProblem for lines that are not whole, all of them at once."""
    faults = []
    for number, row in log.lines:
        if any(cell.strip() for cell in row[len(log.columns) :]):
            faults.append((number, "has more values than there are columns"))
    days = log_days(log)
    for number, cells in log.typed():
        missing = [name for name in ("date", "task") if name not in cells]
        if missing:
            faults.append((number, f"has no {missing[0]}"))
        elif number not in days or not FIRST_RECORD <= days[number].year <= LAST_YEAR:
            faults.append((number, f"“{cells['date'][:20]}” is not a date"))
    if faults:
        faults.sort()
        number, what = faults[0]
        more = ", ".join(str(n) for n, _ in faults[1:20])
        raise FileProblem(
            what + (f"; so do lines {more}" if more else ""),
            fix="mend that, then merge it; nothing was changed",
            source=log.source,
            where=f"line {number}",
        )
