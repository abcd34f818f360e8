"""Single slips of writing that would close a figure: a flipped letter, a digit, a unit."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.bearings import land_units, quadrant_words
from quietacre.figures import feet

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from quietacre.model import Leg

#: Units that stand for one another in a slip of the pen.
MIXED_UNITS = ("foot", "chain", "rod", "yard", "meter")


@dataclass(frozen=True)
class Suspect:
    """A leg whose one change closes the figure: what is there, and what would close it."""

    number: int
    text: str
    change: str
    misclosure_ft: float


def likely_slips(legs: Sequence[Leg], closes_ft: float) -> Iterator[Suspect]:
    """Yield the single slips that close the figure to ``closes_ft``. [ft]"""
    east = sum(leg.length_ft * math.sin(math.radians(leg.azimuth_deg)) for leg in legs)
    north = sum(leg.length_ft * math.cos(math.radians(leg.azimuth_deg)) for leg in legs)
    for number, leg in enumerate(legs, 1):
        rest_east = east - leg.length_ft * math.sin(math.radians(leg.azimuth_deg))
        rest_north = north - leg.length_ft * math.cos(math.radians(leg.azimuth_deg))
        for change, words in _changes(leg):
            turn = math.radians(change.azimuth_deg)
            gap = math.hypot(
                rest_east + change.length_ft * math.sin(turn),
                rest_north + change.length_ft * math.cos(turn),
            )
            if gap <= closes_ft:
                yield Suspect(number, leg.text, words, gap)


def _changes(leg: Leg) -> Iterator[tuple[Leg, str]]:
    """Yield a leg with one slip undone, and the words for it."""
    azimuth = leg.azimuth_deg
    for other in (180.0 - azimuth, -azimuth, 180.0 + azimuth):
        yield replace(leg, azimuth_deg=other), quadrant_words(other)
    for other in _angle_slips(azimuth):
        yield replace(leg, azimuth_deg=other), quadrant_words(other)
    step = leg.step_ft or 0.1
    for other in _digit_slips(leg.length_ft / step):
        yield replace(leg, length_ft=other * step), feet(other * step, 1)
    units = {unit.name: unit.feet for unit in land_units().values()}
    for one in MIXED_UNITS:
        for two in MIXED_UNITS:
            if one != two:
                length_ft = leg.length_ft * units[two] / units[one]
                yield replace(leg, length_ft=length_ft), f"{two}s, not {one}s"


def _angle_slips(azimuth_deg: float) -> Iterator[float]:
    """Yield azimuths with one digit of their quadrant angle's degrees or minutes changed."""
    south, west = 90.0 < azimuth_deg < 270.0, azimuth_deg > 180.0  # noqa: PLR2004 - quarters
    base = 180.0 if south else 360.0 if west else 0.0
    sign = -1.0 if south != west else 1.0
    angle = sign * (azimuth_deg - base)
    degrees, minutes = divmod(round(angle * 60.0), 60)
    for other in _digit_slips(degrees):
        if other <= 90:  # noqa: PLR2004 - a quarter
            yield base + sign * (other + minutes / 60.0)
    for other in _digit_slips(minutes):
        if other < 60:  # noqa: PLR2004 - an hour's minutes
            yield base + sign * (degrees + other / 60.0)


def _digit_slips(number: float) -> Iterator[int]:
    """Yield whole numbers that differ from this one by a digit, or by two swapped ones."""
    digits = str(round(number))
    seen = {digits}
    for place, digit in enumerate(digits):
        for other in "0123456789":
            slip = digits[:place] + other + digits[place + 1 :]
            if slip not in seen:
                seen.add(slip)
                yield int(slip)
        if place:
            slip = digits[: place - 1] + digit + digits[place - 1] + digits[place + 1 :]
            if slip not in seen:
                seen.add(slip)
                yield int(slip)
