"""Legs to a figure: misclosure, precision, the compass rule, acres and their ±.

The figure lies on a plane, east and north in feet, its first corner at the origin. Legs are
balanced by the compass rule [1]_: each takes a share of the misclosure by its length. The ± is
that of the balanced area under independent errors of every length and bearing, by its numerical
derivatives, and of a scale error common to all lengths, which closes perfectly and cannot be
seen: a pace 3 % long adds 6 % of area.

References
----------
.. [1] "Traverse Calculations", CIVL 1112, University of Memphis, n.d.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from quietacre.boundary.typing_slips import Suspect, likely_slips
from quietacre.chance import Z95
from quietacre.errors import FileProblem
from quietacre.figures import AS_IT_IS, feet
from quietacre.units import ACRE_FT2

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from quietacre.model import Leg, Traverse

    FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Care:
    """How finely legs were measured, one standard deviation each.

    ``length_share`` of a length; ``bearing_deg``; ``scale_share``, common to all lengths.
    """

    length_share: float
    bearing_deg: float
    scale_share: float
    source: str


#: Common practice, no source: a tape and a hand compass; paces, whose scale is 1:100 on open
#: ground ("FE 345 Pacing", University of Washington, n.d.); an old deed's chain and compass.
CARE = {
    "tape": Care(0.002, 1.0, 0.001, "common practice, no source"),
    "pace": Care(0.02, 2.0, 0.01, "FE 345 Pacing, University of Washington, n.d., the scale; "
                 "the rest common practice, no source"),
    "deed": Care(0.0, 0.0, 0.0, "the rounding of the deed's own figures"),
}  # fmt: skip
#: The square of a misclosure over its expectation passes this once in twenty (it is about
#: exponential): a leg is then likely wrong.
LIKELY_WRONG = 1.73
#: Fewer legs enclose nothing, unless one is a curve.
FEWEST_LEGS = 3
#: Legs that may be wrong are named up to so many.
NAMED = 4
#: Steps of the numerical derivatives.
STEP_FT, STEP_RAD = 1e-3, 1e-5
#: A closure of no misclosure at all is told as this precision. [1]
BEST_RATIO = 1_000_000


@dataclass(frozen=True)
class Figure:
    """A traverse worked out.

    ``xy_ft`` shape (n, 2) are the balanced corners, east and north of the first; the figure
    closes on it. ``arcs_ft2`` is what its curves add. ``ratio`` is perimeter over misclosure.
    """

    name: str
    xy_ft: FloatArray
    acres: float
    acres_low: float
    acres_high: float
    perimeter_ft: float
    misclosure_ft: float
    expected_ft: float
    ratio: float
    suspects: tuple[Suspect, ...]

    @property
    def doubtful(self) -> bool:
        """Return whether it closes worse than its errors explain."""
        return self.misclosure_ft > LIKELY_WRONG * self.expected_ft

    @property
    def missed(self) -> str:
        """Return by how much it misses its beginning, in words."""
        return (
            f"it misses its beginning by {feet(self.misclosure_ft, 1)} in "
            f"{feet(self.perimeter_ft, bare=True)} (1:{self.ratio:,.0f})"
        )


def departures_ft(legs: Sequence[Leg]) -> tuple[FloatArray, FloatArray]:
    """Return eastings (departures) and northings (latitudes) of legs, shape (n,). [ft]"""
    azimuth = np.radians([leg.azimuth_deg for leg in legs])
    length = np.array([leg.length_ft for leg in legs])
    return length * np.sin(azimuth), length * np.cos(azimuth)


def double_meridian_area_ft2(east: FloatArray, north: FloatArray) -> float:
    """Return twice the area by double meridian distances, counter-clockwise positive. [ft²]

    ``east`` and ``north`` are balanced departures and latitudes, shape (n,). [ft]
    """
    dmd = np.empty_like(east)
    dmd[0] = east[0]
    for row in range(1, len(east)):
        dmd[row] = dmd[row - 1] + east[row - 1] + east[row]
    return float((dmd * north).sum())


def segment_ft2(chord_ft: float, radius_ft: float) -> float:
    """Return the area between a chord and its arc of under half a circle. [ft²]"""
    half = np.arcsin(min(chord_ft / (2.0 * radius_ft), 1.0))
    return float(radius_ft**2 * (2.0 * half - np.sin(2.0 * half)) / 2.0)


def work_out(traverse: Traverse, *, care: Care | None = None) -> Figure:
    """Return the figure of a traverse.

    Parameters
    ----------
    traverse : its legs, in order; the last ends where the first began.
    care : how finely it was measured; by its method when left out.

    Raises
    ------
    FileProblem
        The legs go round nothing, or a curve is tighter than its chord allows.
    """
    legs = traverse.legs
    care = care or CARE[traverse.method]
    east, north = departures_ft(legs)
    length = np.array([leg.length_ft for leg in legs])
    perimeter = float(length.sum())
    if perimeter <= 0 or (len(legs) < FEWEST_LEGS and not any(leg.arc for leg in legs)):
        raise FileProblem(
            f"its {len(legs)} legs go round nothing", fix="give every leg",
            source=traverse.source, where=traverse.name or None,
        )  # fmt: skip
    misclosure = float(np.hypot(east.sum(), north.sum()))
    if misclosure > perimeter / 4.0:
        raise FileProblem(
            f"its legs end {feet(misclosure)} from where they began, of {feet(perimeter)} in all",
            fix="the leg back to the start is missing, or a bearing is turned about; " + _advice(traverse, care),
            source=traverse.source, where=traverse.name or None,
        )  # fmt: skip
    arcs = _arcs_ft2(traverse)
    area_ft2 = _area_ft2(length, _azimuths(legs), arcs)
    sd_ft2 = _area_sd_ft2(legs, care, arcs)
    balanced_east = east - east.sum() * length / perimeter
    balanced_north = north - north.sum() * length / perimeter
    xy = np.column_stack([np.cumsum(balanced_east), np.cumsum(balanced_north)])
    xy = np.vstack([[0.0, 0.0], xy[:-1]])
    acres, half = area_ft2 / ACRE_FT2, Z95 * sd_ft2 / ACRE_FT2
    if not acres:
        raise FileProblem(
            "its legs go round nothing", fix="check the bearings", source=traverse.source,
            where=traverse.name or None,
        )  # fmt: skip
    expected = _expected_ft(legs, care)
    figure = Figure(
        traverse.name, xy, acres, max(acres - half, 0.0), acres + half, perimeter, misclosure,
        expected, min(perimeter / max(misclosure, 1e-9), BEST_RATIO), (),
    )  # fmt: skip
    if not figure.doubtful:
        return figure
    return replace(figure, suspects=_suspects(legs, LIKELY_WRONG * expected))


def _advice(traverse: Traverse, care: Care) -> str:
    """Return the changes of one leg that would close a figure that is far from closing."""
    some = _suspects(traverse.legs, LIKELY_WRONG * _expected_ft(traverse.legs, care))
    if not some:
        return "check each leg against your notes"
    changes = [f"leg {one.number} ({one.text}) as {one.change}" for one in some[:NAMED]]
    return f"one of these alone would close it: {'; '.join(changes)}"


def _azimuths(legs: Sequence[Leg]) -> FloatArray:
    return np.radians([leg.azimuth_deg for leg in legs])


def _arcs_ft2(traverse: Traverse) -> float:
    """Return what curves add to the counter-clockwise area: those to the left bulge right."""
    total = 0.0
    for leg in traverse.legs:
        if leg.arc is None:
            continue
        if leg.length_ft > 2.0 * leg.arc.radius_ft * (1 + 1e-9):
            raise FileProblem(
                f"a curve of {feet(leg.arc.radius_ft, AS_IT_IS)} radius has no chord of "
                f"{feet(leg.length_ft, AS_IT_IS)}",
                fix="check radius and chord", source=traverse.source, where=leg.place or leg.text,
            )  # fmt: skip
        part = segment_ft2(leg.length_ft, leg.arc.radius_ft)
        total += part if leg.arc.turn == "left" else -part
    return total


def _area_ft2(length: FloatArray, azimuth: FloatArray, arcs_ft2: float) -> float:
    """Return the area of legs balanced by the compass rule, curves included."""
    east, north = length * np.sin(azimuth), length * np.cos(azimuth)
    share = length / length.sum()
    east, north = east - east.sum() * share, north - north.sum() * share
    return abs(double_meridian_area_ft2(east, north) / 2.0 + arcs_ft2)


def _errors(legs: Sequence[Leg], care: Care) -> tuple[FloatArray, FloatArray]:
    """Return one standard deviation of each length [ft] and bearing [rad], rounding included."""
    length = np.array([leg.length_ft for leg in legs])
    round_ft = np.array([leg.step_ft for leg in legs]) / np.sqrt(12.0)
    round_deg = np.array([leg.step_deg for leg in legs]) / np.sqrt(12.0)
    return (
        np.hypot(length * care.length_share, round_ft),
        np.radians(np.hypot(care.bearing_deg, round_deg)),
    )


def _expected_ft(legs: Sequence[Leg], care: Care) -> float:
    """Return the misclosure to expect, root mean square. [ft]"""
    sd_ft, sd_rad = _errors(legs, care)
    length = np.array([leg.length_ft for leg in legs])
    return float(np.sqrt((sd_ft**2 + (length * sd_rad) ** 2).sum()))


def _area_sd_ft2(legs: Sequence[Leg], care: Care, arcs_ft2: float) -> float:
    """Return one standard deviation of the balanced area. [ft²]"""
    length, azimuth = np.array([leg.length_ft for leg in legs]), _azimuths(legs)
    sd_ft, sd_rad = _errors(legs, care)
    area = _area_ft2(length, azimuth, arcs_ft2)
    total = (2.0 * area * care.scale_share) ** 2
    for row in range(len(legs)):
        more = length.copy()
        more[row] += STEP_FT
        slope_ft = (_area_ft2(more, azimuth, arcs_ft2) - area) / STEP_FT
        turned = azimuth.copy()
        turned[row] += STEP_RAD
        slope_rad = (_area_ft2(length, turned, arcs_ft2) - area) / STEP_RAD
        total += (slope_ft * sd_ft[row]) ** 2 + (slope_rad * sd_rad[row]) ** 2
    return float(np.sqrt(total))


def _suspects(legs: Sequence[Leg], closes_ft: float) -> tuple[Suspect, ...]:
    """Return legs of which one change closes the figure, the best first."""
    east, north = departures_ft(legs)
    gap = np.array([east.sum(), north.sum()])
    slips = sorted(likely_slips(legs, closes_ft), key=lambda one: one.misclosure_ft)
    some: list[Suspect] = []
    for number, leg in enumerate(legs, 1):
        own = np.array([east[number - 1], north[number - 1]])
        wanted = own - gap  # what this leg would have to be
        length = float(np.hypot(*wanted))
        off_ft = abs(length - leg.length_ft)
        azimuth = float(np.degrees(np.arctan2(wanted[0], wanted[1])) % 360.0)
        off_deg = abs((azimuth - leg.azimuth_deg + 180.0) % 360.0 - 180.0)
        across = leg.length_ft * np.radians(off_deg)
        if across <= closes_ft < off_ft:
            some.append(Suspect(number, leg.text, f"{feet(length, 1)} long", float(across)))
        elif off_ft <= closes_ft < across:
            some.append(Suspect(number, leg.text, f"azimuth {azimuth:.1f}°", float(off_ft)))
    # a slip of the pen is likelier than any figure at all
    return (*slips, *sorted(some, key=lambda one: one.misclosure_ft))
