"""Lines that were in a log and are gone: noticed, kept, and offered back.

An old spreadsheet saved over the log takes with it what was written meanwhile. So the log as
it was last seen is kept in the person's own state folder, and lines that vanish from one look
to the next go into a list there until they are brought back or let go.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from itertools import combinations
from typing import TYPE_CHECKING

from quietacre.edit.book import Book
from quietacre.edit.journal import read
from quietacre.edit.logtext import LogText, read_log_text, with_lines
from quietacre.edit.merge import LogLine, Words, log_lines
from quietacre.edit.state import place_home, turn
from quietacre.errors import FileProblem
from quietacre.export.atomic import write_atomic
from quietacre.logbook import LOG, NEEDED

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from pathlib import Path

SEEN, LOST = "log-seen.csv", "log-lost.csv"
#: How the list of them is called where a file's name would stand.
VANISHED = "the lines that vanished"
#: A line that shares two of its day, area and task with a new one was mended by hand.
ENOUGH_SHARED = 2


def look(folder: Path, *, state: Path | None = None) -> tuple[dict[str, str], ...]:
    """Look at a property folder's log, and return the lines that are gone from it.

    Parameters
    ----------
    folder : the property folder.
    state : folder for the journals of all places; the person's own when None.

    Returns
    -------
    The cells of each line that was seen once, is gone, and was neither brought back nor let
    go; those that `undo` took back are not among them.

    Raises
    ------
    FileProblem
        The log cannot be read, or the state folder cannot be made.
    """
    real = folder.resolve()
    home = place_home(real, state)
    data = read(folder, LOG) or b""
    with turn(home, real):
        seen = _bytes(home / SEEN)
        if seen is not None and not data.startswith(seen):
            _keep_gone(home, seen, read_log_text(data))
        if seen != data:
            _remember(home / SEEN, data)
        if not (home / LOST).exists():
            return ()
        return tuple(line.cells for line in _missing(home, read_log_text(data)))


def _keep_gone(home: Path, seen: bytes, now: LogText) -> None:
    """Put the lines that were seen, and are gone, on the list of such lines."""
    try:
        before = read_log_text(seen)
    except FileProblem:  # cut short by a full disk
        return
    marks = _taken_back(home)
    held = _kept(home / LOST) or read_log_text(b"")
    marks |= {line.mark for line in log_lines(held)}
    new = [line for line in gone(before, now) if line.mark not in marks]
    if new:
        lines = [line.cells | {"id": line.name} for line in new]
        write_atomic(home / LOST, with_lines(held, lines).data)


def lost_lines(folder: Path, *, state: Path | None = None) -> LogText | None:
    """Return the list of lines that are gone, None when there is none."""
    held = _kept(place_home(folder.resolve(), state) / LOST)
    if held is None:
        return None
    return read_log_text(held.data, VANISHED)


def let_go(folder: Path, *, state: Path | None = None) -> None:
    """Forget the lines that are gone: they were meant to go, or are back."""
    home = place_home(folder.resolve(), state)
    with turn(home, folder.resolve()):
        (home / LOST).unlink(missing_ok=True)


def gone(before: LogText, now: LogText) -> tuple[LogLine, ...]:
    """Return the lines of a log that a later one has not.

    A line is found again by its id, or by its cells when the later one has no id for it.
    A line without an id that was mended by hand is not gone.
    """
    there = list(log_lines(now))
    marks = {line.mark for line in there if line.named}
    plain = Counter(line.words for line in there if not line.named)
    missing = []
    for line in sorted(log_lines(before), key=lambda line: line.named):
        if line.named and line.mark in marks:
            continue
        if plain[line.words] > 0:
            plain[line.words] -= 1
            continue
        missing.append(line)
    claim = _mended(plain.elements())
    left = [line for line in missing if line.named or not claim(line)]
    return tuple(sorted(left, key=lambda line: line.number))


def _mended(others: Iterable[Words]) -> Callable[[LogLine], bool]:
    """Return what tells whether a line is one of others as it was mended by hand.

    Each of the others stands for one line.
    """
    waiting: defaultdict[Words, list[int]] = defaultdict(list)
    for number, words in enumerate(others):
        for pair in _pairs(words):
            waiting[pair].append(number)
    claimed: set[int] = set()

    def claim(line: LogLine) -> bool:
        for pair in _pairs(line.words):
            while waiting[pair]:
                number = waiting[pair].pop()
                if number not in claimed:
                    claimed.add(number)
                    return True
        return False

    return claim


def _pairs(words: Words) -> Iterator[Words]:
    """Yield two of a line's day, area and task: so much of it stays when it is mended."""
    yield from combinations([cell for cell in words if cell[0] in NEEDED], ENOUGH_SHARED)


def _missing(home: Path, now: LogText) -> list[LogLine]:
    """Return the lines on the list that are not back."""
    held = _kept(home / LOST)
    if held is None:
        return []
    marks = {line.mark for line in log_lines(now)}
    left = [line for line in log_lines(held) if line.mark not in marks]
    if not left:
        (home / LOST).unlink(missing_ok=True)
    return left


def _taken_back(home: Path) -> set[tuple[str, bool]]:
    """Return what tells the lines that `undo` took out of the log from others."""
    book, marks = Book(home), set()
    for number, state in book.numbers().items():
        if state != "undone":
            continue
        try:
            changes = book.entry(number, state).changes
        except FileProblem:  # a damaged record: then its lines are offered back
            continue
        for change in changes:
            if change.path == LOG and change.after is not None:
                after = read_log_text(change.after)
                was = read_log_text(change.before or b"")
                marks |= {line.mark for line in gone(after, was)}
    return marks


def _bytes(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None


def _remember(path: Path, data: bytes) -> None:
    """Keep the log as it was seen. Lost with the power, it is an older one: no harm."""
    stage = path.with_suffix(".part")
    stage.write_bytes(data)
    stage.replace(path)


def _kept(path: Path) -> LogText | None:
    data = _bytes(path)
    try:
        return None if data is None else read_log_text(data)
    except FileProblem:
        return None
