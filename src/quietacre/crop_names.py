"""Names of crops: what a person writes, found in the shipped table.

A name is found by the table's own word, by a common name, in the singular or plural, or
by words that fit one crop alone. A misspelt word is never taken for a crop: the nearest
is only offered.
"""

from __future__ import annotations

import difflib
import functools
import re
from dataclasses import dataclass

from quietacre.model import folded
from quietacre.shipped import rows

#: A name less like the word than this is not offered.
LEAST_LIKENESS = 0.75
#: Of many crops that fit, so many are named.
MOST_OFFERED = 6
MANY_WORDS = 2


@dataclass(frozen=True)
class CropName:
    """One crop of the table: its common names, and as what it is sown."""

    crop: str
    names: tuple[str, ...]
    sown_as: str  # "small grain", "legume", "brassica" …
    draws_birds: bool  # doves and waterfowl come to it as seed
    source: str


@functools.cache
def crop_names() -> dict[str, CropName]:
    """Return the table of common names, by crop."""
    return {
        row["crop"]: CropName(
            row["crop"], tuple(n for n in row["names"].split(";") if n), row["sown_as"],
            row["draws_birds"] == "yes", row["source"],
        )
        for row in rows("crop_names")
    }  # fmt: skip


@functools.cache
def sown_as(kind: str) -> frozenset[str]:
    """Return the crops of a kind, such as "small grain"."""
    return frozenset(name.crop for name in crop_names().values() if name.sown_as == kind)


#: Kinds that are no legume, grow in the cool season and take nitrogen once they are up.
TOP_DRESSED = ("small grain", "brassica", "forb")


def top_dressed() -> frozenset[str]:
    """Return the crops that take nitrogen after they are up."""
    return frozenset[str]().union(*(sown_as(kind) for kind in TOP_DRESSED))


@functools.cache
def draws_birds() -> frozenset[str]:
    """Return the crops that doves and waterfowl come to as seed."""
    return frozenset(name.crop for name in crop_names().values() if name.draws_birds)


def table_name(word: str) -> str | None:
    """Return the table's name of the one crop that a word means, None without one."""
    key = _key(word)
    known = _known()
    if key in known:
        return known[key]
    fits = _fitting(key)
    return fits[0] if len(fits) == 1 and len(key) >= MANY_WORDS else None


@functools.lru_cache(maxsize=1024)  # a log says the same few words in thousands of lines
def named_in(text: str) -> tuple[str, ...]:
    """Return the crops that a sentence names, in its order, each once.

    Only whole names count, the longest first: "oats and crimson clover" names both, "clover"
    alone none.
    """
    words = _key(text)
    known = _known()
    longest = max(len(name) for name in known)
    names: list[str] = []
    at = 0
    while at < len(words):
        for size in range(min(longest, len(words) - at), 0, -1):
            crop = known.get(words[at : at + size])
            if crop is not None:
                names.append(crop)
                at += size
                break
        else:
            at += 1
    return tuple(dict.fromkeys(names))


def hint(word: str) -> str:
    """Return what to say of a word that means no crop: "; did you mean “oats”?", or blank."""
    fits = _fitting(_key(word))
    if not fits:
        fits = _alike(_key(word))
    if not fits:
        return ""
    named = ", ".join(f"“{crop}”" for crop in fits[:MOST_OFFERED])
    more = f" or {len(fits) - MOST_OFFERED} more" if len(fits) > MOST_OFFERED else ""
    return f"; did you mean {'one of ' if len(fits) > 1 else ''}{named}{more}?"


def _fitting(key: tuple[str, ...]) -> list[str]:
    """Return the crops of which one name holds every word of ``key``."""
    words = set(key)
    fitting = [crop for name, crop in _known().items() if words and words <= set(name)]
    return list(dict.fromkeys(fitting))


def _alike(key: tuple[str, ...]) -> list[str]:
    """Return the crop whose name is most like ``key``, word for word; none far from it."""
    best, alike = LEAST_LIKENESS, []
    for name, crop in _known().items():
        if len(name) != len(key):
            continue
        ratios = [
            difflib.SequenceMatcher(None, *pair).ratio()
            for pair in zip(key, name, strict=True)
        ]
        if ratios and min(ratios) >= LEAST_LIKENESS and sum(ratios) / len(ratios) > best:
            best, alike = sum(ratios) / len(ratios), [crop]
    return alike


@functools.cache
def _known() -> dict[tuple[str, ...], str]:
    """Return each name, as words in the singular, to its crop."""
    out: dict[tuple[str, ...], str] = {}
    for crop, row in crop_names().items():
        for name in (crop, *row.names):
            out.setdefault(_key(name), crop)
    return out


def _key(word: str) -> tuple[str, ...]:
    """Return a name as its words in the singular, without signs between them."""
    words = re.split(r"[^\w']+", folded(word))
    return tuple(_singular(part) for part in words if part)


def _singular(word: str) -> str:
    if word.endswith("ies"):
        return word[:-3] + "y"
    for plural in ("shes", "ches", "oes", "xes"):
        if word.endswith(plural):
            return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word
