"""What may be typed behind a figure in a box."""

from __future__ import annotations

import functools

from quietacre.units import HOUR_MIN
from quietacre.words import TYPED, UNITS

#: What a unit by the acre may have behind its word.
ACRE, BY_ACRE = " an acre", ("", " an acre", " per acre", "/acre", "/ac")


@functools.cache
def units_typed() -> dict[str, dict[str, float]]:
    """Return the words that may be typed in the box of each unit, and how many of it each is."""
    out = {}
    for unit in {"dollars", *UNITS.values()}:
        first = unit.removesuffix(ACRE)
        ends = ("",) if first == unit else BY_ACRE
        words = (first, *TYPED.get(first, ()))
        out[unit] = dict.fromkeys((word + end for end in ends for word in words), 1.0)
    out["minutes"] |= dict.fromkeys(out["hours"], HOUR_MIN)
    return out
