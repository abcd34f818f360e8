"""A change that was taken back, made once more."""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
from typing import TYPE_CHECKING

from quietacre.edit.book import Book
from quietacre.edit.files import content, located
from quietacre.edit.journal import NEVER_MADE, SEE_THEM, open_book, paths_to, settle
from quietacre.edit.moves import Halfway, move_files
from quietacre.edit.state import where_home
from quietacre.errors import Clash, FileProblem
from quietacre.intake.newer import check_not_newer

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.edit.book import Entry, Step


def redo(folder: Path, *, number: int | None = None, state: Path | None = None) -> Step:
    """Make the change once more that was taken back last, or the one of a number.

    A change that was made meanwhile ends what was taken back before it: that is made again
    only by its number.

    Parameters
    ----------
    folder : the property folder.
    number : which step; when None the one taken back last, with no change made since.
    state : folder for the journals of all places; the person's own when None.

    Raises
    ------
    Clash
        A file is no longer what it was when the change was taken back; nothing is changed.
    FileProblem
        No change was taken back, or others were made since; or there is no such step.
    OSError
        The file system refused; all files are as they were.
    """
    with open_book(folder, state) as (real, book):
        recovered = settle(real, book)
        entry = _next(book) if number is None else _named(book, number)
        if entry is None:
            raise FileProblem(
                "there is no change to make again",
                fix="only what was taken back, with no change made since, can be made again; "
                f"{SEE_THEM} shows what can be by its number",
                source=str(folder),
            )
        check_not_newer(real)
        paths = paths_to(real, entry.changes)
        pairs = zip(paths, entry.changes, strict=True)
        differ = [item.path for path, item in pairs if content(path) != item.before]
        if differ:
            raise Clash(
                f"was changed since “{entry.step.label}” was taken back, so that is not made again",
                fix="change it by hand", source=", ".join(differ),
            )  # fmt: skip
        entry = book.turn_to(entry, "begun", sync=True)
        try:
            move_files(real, entry, forward=True)
        except Halfway:
            raise  # the step stays begun: it is finished at the next start
        except BaseException:
            book.turn_to(entry, "undone", sync=True)
            raise
        entry = book.turn_to(entry, "done")
        return dataclasses.replace(entry.step, recovered=recovered)


def makeable_again(folder: Path, *, state: Path | None = None) -> frozenset[int]:
    """Return the numbers of the steps taken back whose files are as they were before them.

    Parameters
    ----------
    folder, state : as in `redo`.
    """
    real = folder.resolve()
    book = Book(where_home(real, state))
    if not book.home.is_dir():
        return frozenset()
    now: dict[str, str | None] = {}

    def stands(path: str, wanted: str | None) -> bool:
        if path not in now:
            data = content(located(real, path))
            now[path] = None if data is None else hashlib.sha256(data).hexdigest()
        return now[path] == wanted

    found = set()
    for number, what in book.numbers().items():
        # a damaged record, a path that leads out now, another program that is at it
        with contextlib.suppress(FileProblem, OSError):
            if what == "undone" and all(
                stands(path, wanted)
                for path, wanted in book.sums_before(number, what).items()
            ):
                found.add(number)
    return frozenset(found)


def _named(book: Book, number: int) -> Entry:
    """Return the step of a number; raise FileProblem where it was not taken back."""
    what = book.numbers().get(number)
    if what == "undone":
        return book.entry(number, "undone")
    why = {None: "is not in the journal", "done": "stands, so it is not made again"}
    raise FileProblem(
        f"change {number} {why.get(what, NEVER_MADE)}",
        fix=f"see them with: {SEE_THEM}",
        source="quietacre undo",
    )


def _next(book: Book) -> Entry | None:
    """Return the step that was taken back last, with no change made since."""
    taken_back = book.taken_back()
    if taken_back:
        return book.entry(taken_back[-1], "undone")
    return _next_by_bytes(book)


def _next_by_bytes(book: Book) -> Entry | None:
    """Return the oldest of the steps taken back that still lead on, where no order is known.

    So it is in a journal of an older version, which did not note the order. A step that was
    made of another state of the files than an older one left ends that one.
    """
    known = book.numbers()
    last = max((number for number, what in known.items() if what == "done"), default=0)
    alive: list[Entry] = []
    for number, what in known.items():
        if what != "undone" or number < last:
            continue
        entry = book.entry(number, "undone")
        while alive and not _leads_on(alive, entry):
            alive.pop()
        alive.append(entry)
    return alive[0] if alive else None


def _leads_on(before: list[Entry], entry: Entry) -> bool:
    """Return whether a step was made of what the steps before it left."""
    left = {item.path: item.after for one in before for item in one.changes}
    return all(left.get(item.path, item.before) == item.before for item in entry.changes)
