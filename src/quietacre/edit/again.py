"""A change that was taken back, made once more."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from quietacre.edit.files import content
from quietacre.edit.journal import open_book, paths_to, settle
from quietacre.edit.moves import Halfway, move_files
from quietacre.errors import Clash, FileProblem
from quietacre.intake.newer import check_not_newer

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.edit.book import Book, Entry, Step


def redo(folder: Path, *, state: Path | None = None) -> Step:
    """Make the change once more that was taken back last.

    Parameters
    ----------
    folder : the property folder.
    state : folder for the journals of all places; the person's own when None.

    Raises
    ------
    Clash
        A file is no longer what it was when the change was taken back; nothing is changed.
    FileProblem
        No change was taken back, or others were made since.
    OSError
        The file system refused; all files are as they were.
    """
    with open_book(folder, state) as (real, book):
        recovered = settle(real, book)
        entry = _next(book)
        if entry is None:
            raise FileProblem(
                "there is no change to make again",
                fix="only what was taken back, with no change made since, can be made again",
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


def _next(book: Book) -> Entry | None:
    """Return the step to make again: the oldest of those taken back that still lead on.

    A step that was made while an older one was taken back leads on from another state of the
    files: the older one is not to be made again.
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
