"""Names made short for a small screen or a narrow column, so that they stay apart.

What tells two pieces of one field apart often stands at the end: "…, north half". So a long
name is cut in its middle, and keeps its beginning and its end.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from itertools import takewhile
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

CUT = "…"
#: The part of a cut name that is its end.
END_SHARE = 0.4
#: The end begins at a word where one begins so many letters before it, or in its first half.
WORD_NEAR = 3


def short_name(name: str, most: int) -> str:
    """Return a name of no more than ``most`` letters: its beginning, "…" and its end."""
    return _cut(name, most, _end(name, most)) if len(name) > most else name


def short_names(names: Iterable[str], most: int) -> dict[str, str]:
    """Return the short name of each: different names stay different, as far as letters reach.

    Those that would be cut to the same are cut where they differ, and if that does not tell
    them apart, are numbered in their order.
    """
    whole = list(dict.fromkeys(names))
    short = {name: short_name(name, most) for name in whole}
    for group in _alike(short):
        short |= _cut_where_they_differ(group, most)
    taken = set(short.values())
    for group in _alike(short):
        for number, name in enumerate(group, 1):
            short[name] = _numbered(name, number, most, taken)
            taken.add(short[name])
    return short


def _alike(short: dict[str, str]) -> list[list[str]]:
    """Return the names that have the same short one, in groups."""
    count = Counter(short.values())
    groups: dict[str, list[str]] = {}
    for name, cut in short.items():
        if count[cut] > 1:
            groups.setdefault(cut, []).append(name)
    return list(groups.values())


def _cut_where_they_differ(group: list[str], most: int) -> dict[str, str]:
    """Return names with what begins where they differ after their beginning."""
    at = _common_letters(group)
    long = max(int((most - 1) * END_SHARE), 1)
    out = {}
    for name in group:
        from_word = name.rfind(" ", max(at - long // 2, 0), at + 1)
        start = from_word if from_word >= 0 else at
        end = name[start : start + long]
        if start + long < len(name) and long > 1:
            end = end[:-1].rstrip() + CUT
        out[name] = _cut(name, most, end) if len(name) > most else name
    return out


def _common_letters(group: list[str]) -> int:
    """Return how many letters the names begin with alike."""
    alike = (len(set(letters)) == 1 for letters in zip(*group, strict=False))
    return sum(1 for _ in takewhile(bool, alike))


def _numbered(name: str, number: int, most: int, taken: Collection[str]) -> str:
    """Return a name with a number at its end that no other one has."""
    while True:
        end = f" ({number})"
        made = short_name(name, max(most - len(end), 1)) + end
        if made not in taken:
            return made
        number += 1


def _end(name: str, most: int) -> str:
    """Return the end of a name that stands behind the "…", from a word's start if one is near."""
    long = int((most - 1) * END_SHARE)
    at = len(name) - long
    word = name.find(" ", max(at - WORD_NEAR, 0), at + long // 2)
    return name[word if word >= 0 else at :]


def _cut(name: str, most: int, end: str) -> str:
    """Return as much of a name's beginning as there is room for before its end."""
    while end and unicodedata.combining(end[0]):  # an accent without its letter
        end = end[1:]
    beginning = name[: max(most - len(CUT) - len(end), 0)]
    return beginning.rstrip(" ,;") + CUT + end
