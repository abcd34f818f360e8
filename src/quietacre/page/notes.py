"""A note in parts: what is wrong in a line, what more there is to say, what helps, who says so."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

HELP = "What would help:"
_STEP = re.compile(r"(?:^|[;.]?\s+)\d+\. ")
_FILE = re.compile(r"\S+\.[a-z]{2,7}\b")
#: A parenthesis that ends in a year or n.d. tells where something was read.
_CITED = re.compile(
    r" \(((?:[^()]|\([^()]*\))*\b(?:n\.d\.|(?:19|20)\d\d)(?:[^()]|\([^()]*\))*)\)"
)
#: A heading shorter than this says too little to stand alone before its colon.
LEAST_HEAD = 25
#: Longer texts, of long names, are not searched for where they were read.
MOST_TOLD = 2000


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
    if not note["more"] and not note["help"] and not note["cited"]:
        return parted(note["text"])
    return Parts(
        _sentence(note["head"]),
        _sentence(note["more"]),
        tuple(_sentence(way) for way in note["help"]),
        note["cited"],
    )


def parted(text: str) -> Parts:
    """Return a note's text in parts; no word of it is lost."""
    lead, _, ways = text.partition(HELP)
    cites = (
        []
        if len(lead) > MOST_TOLD
        else [match.group(1) for match in _CITED.finditer(lead) if ", " in match.group(1)]
    )
    for cite in cites:
        lead = lead.replace(f" ({cite})", "")
    head, more = _first(lead.strip())
    steps = tuple(
        _sentence(step.strip().rstrip(";")) for step in _STEP.split(ways) if step.strip()
    )
    return Parts(_sentence(head), _sentence(more), steps, "; ".join(cites))


def _first(text: str) -> tuple[str, str]:
    """Return the first thing said, up to a full stop or a colon, and what follows it."""
    ends = [
        match.end()
        for match in re.finditer(r"[.:] (?=\S)", text)
        if match.group(0)[0] == "." or match.start() >= LEAST_HEAD
    ]
    # "U.S. 50", "approx. 3": a full stop behind a very short word ends nothing
    ends = [end for end in ends if not re.search(r"(^|[\s(.])\w{1,2}\. $", text[:end])]
    cut = ends[0] if ends else len(text)
    return text[:cut].strip().rstrip(":"), text[cut:].strip()


def _sentence(text: str) -> str:
    """Return a text with a large first letter and a full stop."""
    if not text:
        return ""
    # log.csv stays log.csv
    if text[0].isascii() and not _FILE.match(text):
        text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?…" else f"{text}."
