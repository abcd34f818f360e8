"""A note as it is shown: what is wrong, what more there is to say, what helps, who says so."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from quietacre.in_parts import HELP

if TYPE_CHECKING:
    from quietacre.model import Note

#: How grave a note is, the worst first, as it is said.
LEVEL_WORDS = {"warning": "Warning", "caution": "Caution", "info": "Note"}
#: What stands before the source of a note.
READ_IN = "Read in: "
_FILE = re.compile(r"\S+\.[a-z]{2,7}\b")


class Parts(NamedTuple):
    """What is wrong, the rest, what would help in order, and where it was read.

    Each but the first may be empty.
    """

    head: str
    more: str
    help: tuple[str, ...]
    cited: str


def parts_of(note: Note) -> Parts:
    """Return the parts of a note of the report as sentences."""
    return Parts(
        _sentence(note.head),
        _sentence(note.more),
        tuple(_sentence(way) for way in note.help),
        note.cited,
    )


def words_for_page() -> dict[str, object]:
    """Return the words that stand around a note, as the page's script reads them."""
    return {"levels": LEVEL_WORDS, "help": HELP, "read": READ_IN}


def _sentence(text: str) -> str:
    """Return a text with a large first letter and a full stop."""
    if not text:
        return ""
    # log.csv stays log.csv
    if text[0].isascii() and not _FILE.match(text):
        text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?…" else f"{text}."
