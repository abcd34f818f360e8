"""Copies that a sync service leaves beside a file that two computers changed."""

from __future__ import annotations

import re
import shlex
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING

from quietacre.logbook import LOG, SEEN_FILE
from quietacre.model import SETTINGS_FILE, Note

if TYPE_CHECKING:
    from pathlib import Path

#: Files that people and programs change again and again.
CHANGED_OFTEN = (SETTINGS_FILE, LOG, SEEN_FILE.name)
#: What services put between a name and its ending: a word, a number, a computer's name in
#: capitals; and what they put before the name. Ours, by the general look of such names.
AFTER = re.compile(
    r".*conflict.*"
    r"|\s*\(\d{1,3}\)"
    r"|[\s_-]*(?:copy|kopie|copie|copia)(?:[\s_-]*\(?\d{1,3}\)?)?"
    r"|(?-i:-[A-Z][A-Z0-9-]{3,})",
    re.IGNORECASE | re.DOTALL,
)
BEFORE = re.compile(r"(?:copy of|.*conflict).*", re.IGNORECASE | re.DOTALL)


@dataclass(frozen=True)
class SyncCopy:
    """A file beside another that is likely another computer's copy of it."""

    name: str
    of: str


def sync_copies(folder: Path) -> tuple[SyncCopy, ...]:
    """Return the likely copies of settings and log in a property folder, by name."""
    try:
        names = sorted(path.name for path in folder.iterdir() if path.is_file())
    except OSError:  # whoever reads the folder says so
        return ()
    return tuple(
        SyncCopy(name, of) for name in names for of in CHANGED_OFTEN if is_copy(name, of)
    )


def is_copy(name: str, of: str) -> bool:
    """Return whether a name looks like that of another computer's copy of a file."""
    stem, ending = PurePath(of).stem, PurePath(of).suffix
    if name == of or not name.lower().endswith(ending):
        return False
    bare = name[: -len(ending)]
    if bare.lower().startswith(stem):
        return AFTER.fullmatch(bare[len(stem) :]) is not None
    return bare.lower().endswith(stem) and BEFORE.fullmatch(bare[: -len(stem)]) is not None


def copy_notes(folder: Path) -> tuple[Note, ...]:
    """Return what to say of such copies: what they are, and the command that takes them in."""
    return tuple(
        Note(
            "sync-copy",
            f"“{copy.name}” lies beside {copy.of}, as when two computers changed it; it is not read",
            source=copy.name,
            more=f"See what it has more with: quietacre merge {shlex.quote(str(folder))} "
            f"{shlex.quote(str(folder / copy.name))}; then move it away.",
        )
        for copy in sync_copies(folder)
    )
