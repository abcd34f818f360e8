"""A note as it is shown: what is wrong, what more there is to say, what helps, who says so."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

_FILE = re.compile(r"\S+\.[a-z]{2,7}\b")


class Parts(NamedTuple):
    """What is wrong, the rest, what would help in order, and where it was read.

    Each but the first may be empty.
    """

    head: str
    more: str
    help: tuple[str, ...]
    cited: str


def parts_of(note: Mapping[str, Any]) -> Parts:
    """Return the parts of a note of the report as sentences."""
    return Parts(
        _sentence(note["head"]),
        _sentence(note["more"]),
        tuple(_sentence(way) for way in note["help"]),
        note["cited"],
    )


def _sentence(text: str) -> str:
    """Return a text with a large first letter and a full stop."""
    if not text:
        return ""
    # log.csv stays log.csv
    if text[0].isascii() and not _FILE.match(text):
        text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?…" else f"{text}."
