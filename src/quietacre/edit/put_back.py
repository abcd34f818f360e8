"""Settings that cannot be read any more, put back as the journal has them."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.edit.book import Book
from quietacre.edit.journal import FileChange, change, read
from quietacre.edit.state import where_home
from quietacre.errors import FileProblem
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.edit.journal import Step


@dataclass(frozen=True)
class KnownSettings:
    """The newest bytes of property.toml that the journal has, and the step they are of."""

    step: Step
    data: bytes


def unreadable(data: bytes | None) -> str:
    """Return why settings are no TOML, with their line; "" where they are."""
    if data is None:
        return "it is not there"
    try:
        tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        return "it is not in UTF-8"
    except RecursionError:
        return "its tables go too deep"
    except ValueError as problem:
        return str(problem)
    return ""


def known_settings(folder: Path, *, state: Path | None = None) -> KnownSettings | None:
    """Return the settings of a place as quietacre wrote them last, None where it never did.

    Parameters
    ----------
    folder : the property folder.
    state : folder for the journals of all places; the person's own when None.
    """
    home = where_home(folder.resolve(), state)
    if not home.is_dir():
        return None
    book = Book(home)
    for number, what in reversed(book.numbers().items()):
        if what not in ("done", "undone"):
            continue
        try:
            if SETTINGS_FILE not in book.head(number, what).paths:
                continue
            entry = book.entry(number, what)
        except (FileProblem, FileNotFoundError):  # damaged, or swept meanwhile
            continue
        side = next(one for one in entry.changes if one.path == SETTINGS_FILE)
        data = side.after if what == "done" else side.before
        if data is not None and not unreadable(data):
            return KnownSettings(entry.step, data)
    return None


def put_back_settings(folder: Path, *, state: Path | None = None) -> Step:
    """Put property.toml back as quietacre wrote it last; what stands there goes in the journal.

    Parameters
    ----------
    folder, state : as for `known_settings`.

    Raises
    ------
    FileProblem
        The settings can be read, or the journal has none of this place.
    Clash, OSError
        As `journal.change`.
    """
    now = read(folder, SETTINGS_FILE)
    if not unreadable(now):
        raise FileProblem(
            "can be read, so nothing is put back",
            fix="take back the last change with: quietacre undo DIR",
            source=SETTINGS_FILE,
        )
    known = known_settings(folder, state=state)
    if known is None:
        raise FileProblem(
            "cannot be put back: the journal of this computer has no settings of this place",
            fix="mend the line named, or restore a copy of the place",
            source=SETTINGS_FILE,
        )
    step = change(
        folder,
        lambda _: (FileChange(SETTINGS_FILE, now, known.data),),
        f"{SETTINGS_FILE} put back as of “{known.step.label}”",
        state=state,
    )
    assert step is not None  # noqa: S101 - what cannot be read differs from what can
    return step
