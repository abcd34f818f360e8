"""Changes to a property folder: written ahead, applied whole, taken back in order.

A change is of one or more files. Before the first is touched, the old and the new bytes of
all are in the journal and on the disk. A process that ends in between leaves a step under
way; the next one that means to change the folder carries it to its end, but only where the
files are still what they were: else it is a clash, and both are kept.
"""

from __future__ import annotations

import contextlib
import dataclasses
from typing import TYPE_CHECKING

from quietacre.edit.book import UNDER_WAY, Book, Entry, FileChange, Recovered, Step
from quietacre.edit.files import LeadsOut, check_writable, content, located, mode_of
from quietacre.edit.moves import Halfway, move_files, moves_of, put_all_back
from quietacre.edit.state import place_home, turn, where_home
from quietacre.errors import Clash, FileProblem
from quietacre.intake.newer import check_not_newer
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from pathlib import Path

__all__ = [
    "FileChange",
    "Recovered",
    "Step",
    "apply",
    "change",
    "cut_short",
    "read",
    "recover",
    "steps",
    "undo",
]


SEE_THEM = "quietacre undo DIR --list"
NEVER_MADE = "was never made"


def read(folder: Path, path: str) -> bytes | None:
    """Return the bytes of a file of a property folder, None where there is none.

    Raises
    ------
    LeadsOut
        The path, or a link on it, leads out of the folder.
    """
    return content(located(_real(folder), path))


def apply(
    folder: Path, changes: Sequence[FileChange], label: str, *, state: Path | None = None
) -> Step:
    """Change files of a property folder, all of them or none.

    Parameters
    ----------
    folder : the property folder.
    changes : each file once; those that change nothing are left out.
    label : what was done, in a person's words, as ``undo --list`` shows it.
    state : folder for the journals of all places; the person's own when None.

    Returns
    -------
    The step; what it holds is on the disk. ``recovered`` tells of steps cut short before,
    which were carried to their end first. Call `recover` before reading what is to be
    changed, or that may have changed it.

    Raises
    ------
    Clash
        A file is not as ``before`` says: it was changed meanwhile. Nothing is changed, and
        what was to be written is kept beside the journal.
    FileProblem
        A file leads out of the folder or is marked read-only, another program is changing
        the folder, or a newer version wrote it.
    OSError
        The file system refused; all files are as they were.
    """
    step = change(folder, lambda _: changes, label, state=state)
    if step is None:
        message = "no file changes"
        raise ValueError(message)
    return step


def change(
    folder: Path,
    make: Callable[[Path], Sequence[FileChange]],
    label: str,
    *,
    state: Path | None = None,
) -> Step | None:
    """Read files of a property folder and change them, with no other such change between.

    Parameters
    ----------
    folder : the property folder.
    make : given the folder, reads what it needs and returns the changes; called once it is
        this program's turn, when what was cut short before is at its end.
    label, state : as in `apply`.

    Returns
    -------
    The step, as `apply`; None when nothing changes.

    Raises
    ------
    Clash, FileProblem, OSError
        As `apply`; and whatever ``make`` raises, before anything is changed.
    """
    with open_book(folder, state) as (real, book):
        recovered = settle(real, book)
        check_not_newer(real)
        wanted = tuple(item for item in make(real) if item.before != item.after)
        if not wanted:
            return None
        paths = paths_to(real, wanted)
        differ = [c for p, c in zip(paths, wanted, strict=True) if content(p) != c.before]
        if differ:
            raise _clash(book, differ, max(book.numbers(), default=0) + 1)
        modes = [mode_of(path) for path in paths]
        entry = book.begin(label, wanted, modes, _folders_to_make(real, paths))
        try:
            move_files(real, entry, forward=True)
        except Halfway:
            raise  # the step stays begun: it is finished at the next start
        except Clash:
            book.forget(entry)
            raise _clash(book, wanted, entry.step.number) from None
        except BaseException:
            book.forget(entry)
            raise
        entry = book.turn_to(entry, "done")
        with contextlib.suppress(OSError):
            book.sweep()
        return dataclasses.replace(entry.step, recovered=recovered)


def paths_to(folder: Path, changes: Sequence[FileChange]) -> list[Path]:
    """Return the files that changes lead to; all may be written, and each is named once."""
    paths = [located(folder, item.path) for item in changes]
    if len(set(paths)) < len(paths):
        message = "a file is changed twice in one step"
        raise ValueError(message)
    for path, item in zip(paths, changes, strict=True):
        check_writable(path, item.path)
    return paths


def undo(folder: Path, *, number: int | None = None, state: Path | None = None) -> Step:
    """Take back the last step that stands, or the one of a number.

    Parameters
    ----------
    folder : the property folder.
    number : which step; the last one that is done when None.
    state : folder for the journals of all places; the person's own when None.

    Raises
    ------
    Clash
        A file of the step is no longer what the step made of it. Nothing is changed, and
        the earlier bytes are kept beside the journal.
    FileProblem
        There is no such step, or its record is damaged.
    OSError
        The file system refused; all files are as they were.
    """
    with open_book(folder, state) as (real, book):
        recovered = settle(real, book)
        known = book.numbers()
        standing = [n for n, what in known.items() if what == "done"]
        if number is None and not standing:
            raise FileProblem(
                "there is no change to take back",
                fix="changes made by hand, or from another computer, are not in this journal",
                source=str(folder),
            )
        chosen = standing[-1] if number is None else number
        if chosen not in standing:
            raise FileProblem(
                f"change {chosen} {_no_step(known.get(chosen))}",
                fix=f"see them with: {SEE_THEM}",
                source=str(folder),
            )
        entry = book.entry(chosen, "done")
        if (
            SETTINGS_FILE not in entry.step.paths
        ):  # what made it newer may be this very step
            check_not_newer(real)
        paths = paths_to(real, entry.changes)
        pairs = zip(paths, entry.changes, strict=True)
        if any(content(path) != item.after for path, item in pairs):
            raise clash_of(book, entry, paths)
        book.note_taken_back(chosen)
        entry = book.turn_to(entry, "undoing", sync=True)
        try:
            move_files(real, entry, forward=False)
        except Halfway:
            raise
        except Clash:
            book.turn_to(entry, "done", sync=True)
            raise clash_of(book, entry, paths) from None
        except BaseException:
            book.turn_to(entry, "done", sync=True)
            raise
        entry = book.turn_to(entry, "undone")
        return dataclasses.replace(entry.step, recovered=recovered)


def steps(folder: Path, *, state: Path | None = None) -> tuple[Step, ...]:
    """Return the steps of a property folder in the order they were made, oldest first.

    A step whose record is damaged is given with what is known of it.
    """
    home = where_home(_real(folder), state)
    if not home.is_dir():
        return ()
    book = Book(home)
    numbers = []
    for number, what in book.numbers().items():
        with contextlib.suppress(FileNotFoundError):  # another program is at it
            numbers.append(book.head(number, what))
    return tuple(numbers)


def cut_short(folder: Path, *, state: Path | None = None) -> bool:
    """Return whether a step is under way, as one that was cut short is; looks at names alone."""
    try:
        home = where_home(_real(folder), state)
    except FileProblem:  # no journal can be kept of this folder, so no step is in one
        return False
    return home.is_dir() and any(s in UNDER_WAY for s in Book(home).numbers().values())


def recover(folder: Path, *, state: Path | None = None) -> tuple[Recovered, ...]:
    """Carry a step that was cut short to its end, and say what became of it.

    A step that began is finished, one that was being taken back is taken back; where a file
    is neither what it was nor what it was to be, no file is changed and what could not be
    put in place is kept beside the journal.
    """
    with open_book(folder, state) as (real, book):
        return settle(real, book)


def _real(folder: Path) -> Path:
    if not folder.is_dir():
        raise FileProblem(
            "is not a folder", fix="name the property's folder", source=str(folder)
        )
    return folder.resolve()


@contextlib.contextmanager
def open_book(folder: Path, state: Path | None) -> Iterator[tuple[Path, Book]]:
    """Give the folder and its journal while it is this program's turn to change it."""
    real = _real(folder)
    home = place_home(real, state)
    with turn(home, real):
        yield real, Book(home)


def _no_step(state: str | None) -> str:
    if state is None:
        return "is not in the journal"
    return "is taken back already" if state == "undone" else NEVER_MADE


def _folders_to_make(folder: Path, paths: Sequence[Path]) -> list[str]:
    folders = {
        one.relative_to(folder).as_posix()
        for path in paths
        for one in path.parents
        if one != folder and one.is_relative_to(folder) and not one.exists()
    }
    return sorted(folders, key=lambda one: one.count("/"))


def settle(folder: Path, book: Book) -> tuple[Recovered, ...]:
    """Carry what was cut short to its end; there is one such step at most."""
    unfinished = []
    for number, state in book.numbers().items():
        if state not in UNDER_WAY:
            continue
        entry = book.entry(number, state)
        forward = state == "begun"
        try:
            move_files(folder, entry, forward=forward)
        except Halfway:
            raise
        except (Clash, LeadsOut):
            kept = _give_up(folder, book, entry, forward=forward)
            entry = book.turn_to(entry, "clash" if forward else "done", sync=True)
            unfinished.append(Recovered(entry.step, "clash", kept))
        else:
            entry = book.turn_to(entry, "done" if forward else "undone", sync=True)
            unfinished.append(
                Recovered(entry.step, "finished" if forward else "taken back")
            )
    return tuple(unfinished)


def _give_up(folder: Path, book: Book, entry: Entry, *, forward: bool) -> tuple[Path, ...]:
    """Put files of a step that cannot be finished back to where it began; keep the others."""
    with contextlib.suppress(LeadsOut):
        put_all_back(moves_of(folder, entry, forward=forward))
    wanted = [(c.path, c.after if forward else c.before) for c in entry.changes]
    return tuple(
        book.keep(entry.step.number, path, data)
        for path, data in wanted
        if data is not None
    )


def _clash(book: Book, changes: Sequence[FileChange], number: int) -> Clash:
    """Return the clash of a change whose files are not as it was made for; both are kept."""
    kept = [
        book.keep(number, change.path, change.after)
        for change in changes
        if change.after is not None
    ]
    where = f"; what was to be written is kept in {kept[0]}" if kept else ""
    return Clash(
        "was changed by another program meanwhile, so it was left as it is" + where,
        fix="look at it, and ask for the change once more",
        source=", ".join(change.path for change in changes),
    )


def clash_of(book: Book, entry: Entry, paths: Sequence[Path]) -> Clash:
    """Return why a step is not taken back: its files are not as it left them; they are kept."""
    differ = [
        change
        for path, change in zip(paths, entry.changes, strict=True)
        if content(path) != change.after
    ] or list(entry.changes)
    kept = [
        book.keep(entry.step.number, change.path, change.before)
        for change in differ
        if change.before is not None
    ]
    where = f"; what it was before is kept in {kept[0]}" if kept else ""
    return Clash(
        f"was changed since “{entry.step.label}”, so that is not taken back{where}",
        fix="change it by hand",
        source=", ".join(change.path for change in differ),
    )
