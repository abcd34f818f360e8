"""How far the vine's edge moved between two surveys, and what the walks can see of it.

Each point of the new edge gets its distance to the old edge, positive where it lies
outside the old patch. Two walks of sigma a and b cannot see a movement smaller than

    1.645 √(a² + b²)

(one-sided 95 % of the difference of two normal errors): two 2.1 m tracks cannot see
less than 4.9 m at one place. The errors of one walk drift together along a side, so
averaging its many points does not help there. Round the whole edge the drift turns many
times, so the change in acres sees even growth that no side by itself can show.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame, sound
from quietacre.boundary.error import T_95, edge_area_sd
from quietacre.errors import StripProblem
from quietacre.figures import feet, figure
from quietacre.strip.width import ONE_SIDED_95
from quietacre.units import ACRE_M2, m_to_ft

if TYPE_CHECKING:
    import datetime as dt

STEP_M = 3.0
#: A breach must clear the walks' error by this many standard deviations: about one
#: false call in a hundred unchanged pairs, with some eight independent places an edge.
BREACH_SD = 3.0
#: One of eight sides must clear this to be called movement, 95 % one-sided over all.
ANY_SIDE_SD = 2.49
#: Or this many sides must each clear their own range. On simulated unchanged pairs three
#: do so in one of fifty, one or two in one of five (``tests/strip/test_advance_pairs.py``).
MANY_SIDES = 3


COMPASS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
DAYS_A_YEAR = 365.25
#: Staked or drawn edges, when no sigma is known. [m] Assumption.
DRAWN_SIGMA_M = 1.0


@dataclass(frozen=True)
class Sector:
    """Movement of one side of the patch. [ft] ``mean`` and the farthest point.

    ``low_ft`` to ``high_ft`` holds the side's true mean nine times in ten; ``seen`` says
    whether the mean clears what the two surveys can see.
    """

    direction: str
    mean_ft: float
    most_ft: float
    low_ft: float
    high_ft: float
    seen: bool


@dataclass(frozen=True)
class Breach:
    """Ground of the vine beyond the strip: where, on which side, how much. [ac]"""

    lon: float
    lat: float
    direction: str
    acres: float


@dataclass(frozen=True)
class Change:
    """Change in acres between the surveys, with the range that holds it 19 times in 20."""

    acres: float
    acres_low: float
    acres_high: float

    @property
    def seen(self) -> bool:
        """Return whether the range leaves out no change."""
        return self.acres_low > 0 or self.acres_high < 0

    @property
    def text(self) -> str:
        """Return the change with its range, in words."""
        return (
            f"{figure(self.acres, 'ac', sign=True)} (19 times in 20 between "
            f"{_between(self.acres_low, self.acres_high, 'ac')})"
        )


@dataclass(frozen=True, slots=True)
class AdvanceFigures:
    """What is told of an `Advance`: its figures and its words, without the ground itself.

    ``breach`` says whether any vine lies outside the strip.
    """

    sectors: tuple[Sector, ...]
    mean_ft: float
    most_ft: float
    limit_ft: float
    seen: bool
    seen_by: tuple[str, ...]
    change_ac: float
    change_ac_low: float
    change_ac_high: float
    days: int | None
    most_ft_year: float | None
    breach: bool
    breaches: tuple[Breach, ...]
    lon: float
    lat: float
    text: str


@dataclass(frozen=True)
class Advance:
    """Movement of the patch edge; outward is positive.

    ``limit_ft`` is the least movement of one place the two surveys can see. ``seen_by``
    says what shows movement: one side that moved more than chance gives one of eight
    (``"a side"``), at least three sides each beyond its own range (``"many sides"``), the
    change in acres (``"acres"``). ``breach`` is the part of the new patch that lies
    outside the strip, in longitude and latitude; empty when there is none or no strip.
    """

    sectors: tuple[Sector, ...]
    change: Change
    mean_ft: float
    most_ft: float
    lon: float
    lat: float
    limit_ft: float
    seen_by: tuple[str, ...]
    days: int | None
    most_ft_year: float | None
    breach: shapely.Geometry
    breaches: tuple[Breach, ...] = ()

    def figures(self) -> AdvanceFigures:
        """Return what is told of it."""
        return AdvanceFigures(
            sectors=self.sectors,
            mean_ft=self.mean_ft,
            most_ft=self.most_ft,
            limit_ft=self.limit_ft,
            seen=self.seen,
            seen_by=self.seen_by,
            change_ac=self.change.acres,
            change_ac_low=self.change.acres_low,
            change_ac_high=self.change.acres_high,
            days=self.days,
            most_ft_year=self.most_ft_year,
            breach=not self.breach.is_empty,
            breaches=self.breaches,
            lon=self.lon,
            lat=self.lat,
            text=self.text,
        )

    @property
    def seen(self) -> bool:
        """Return whether anything shows that the edge moved."""
        return bool(self.seen_by)

    @property
    def text(self) -> str:
        """Return what a person should take from it, in plain words."""
        if "a side" in self.seen_by:
            words = self._side_words()
        elif self.seen:
            words = self._whole_words()
        else:
            return self._unseen_words()
        return f"{words}; less than {feet(self.limit_ft)} at one place could not have been seen."

    def _side_words(self) -> str:
        """Return the movement of the side that moved most."""
        grown = [s for s in self.sectors if s.low_ft > 0]
        side = (
            max(grown, key=lambda s: s.mean_ft)
            if grown
            else min(self.sectors, key=lambda s: s.mean_ft)
        )
        words = (
            f"the edge moved {_way(side.mean_ft)} {feet(abs(side.mean_ft))} on the "
            f"{side.direction} side (nine times in ten between "
            f"{_between(side.low_ft, side.high_ft, 'ft')}), {_moved_ft(self.most_ft)} at its "
            "farthest"
        )
        if self.most_ft_year is not None:
            words += f", {feet(self.most_ft_year)} a year"
        if self.change.seen:
            words += f"; the patch changed by {self.change.text}"
        return words

    def _whole_words(self) -> str:
        """Return movement that shows in the acres or in many sides, not in one side."""
        moved = self._sides_seen()
        if "acres" not in self.seen_by:
            return f"{moved}; the patch changed by {self.change.text}"
        grew = "grew" if self.change.acres > 0 else "shrank"
        words = (
            f"the patch {grew}: {self.change.text}; its edge moved {_way(self.mean_ft)} "
            f"{feet(abs(self.mean_ft))} on average"
        )
        if self.days:
            words += f", {feet(abs(self.mean_ft) / self.days * DAYS_A_YEAR)} a year"
        return f"{words}; {moved}" if moved else words

    def _unseen_words(self) -> str:
        """Return that no movement is shown, and which sides make one look again."""
        words = (
            f"these two surveys cannot see a movement below {feet(self.limit_ft)} at one "
            f"place; the patch changed by {self.change.text}"
        )
        if moved := self._sides_seen():
            return (
                f"{words}. {moved[0].upper()}{moved[1:]}; of eight sides one or two do so by "
                "chance in one unchanged pair of five, so tape that edge before you call it "
                "growth."
            )
        return (
            f"{words}; no side of the edge moved more than their own errors can make it seem "
            f"(its farthest point: {_moved_ft(self.most_ft)})."
        )

    def _sides_seen(self) -> str:
        """Return the sides whose own ranges leave out no movement, in words."""
        sides = [f"{s.direction} {_moved_ft(s.mean_ft)}" for s in self.sectors if s.seen]
        return (
            f"these sides moved beyond their own ranges: {', '.join(sides)}"
            if sides
            else ""
        )


def _moved_ft(moved_ft: float) -> str:
    return figure(moved_ft, "ft", sign=True)


def _between(low: float, high: float, unit: str) -> str:
    """Return a range with its signs, its unit told beside it already."""
    return figure(low, unit, to=high, joined=" and ", sign=True, bare=True)


def _way(moved_ft: float) -> str:
    return "out" if moved_ft > 0 else "back"


def advance(  # old, new, and what is known of them
    old: shapely.Geometry, new: shapely.Geometry, *, old_on: dt.date | None = None,
    new_on: dt.date | None = None, old_sigma_m: float | None = None,
    new_sigma_m: float | None = None, strip: shapely.Geometry | None = None,
) -> Advance:  # fmt: skip
    """Return the movement from the old edge to the new.

    Parameters
    ----------
    old, new : the patch at two surveys, in longitude and latitude. [deg]
    old_on, new_on : days of the surveys, for a rate.
    old_sigma_m, new_sigma_m : error of each edge; 1 m when unknown (drawn, staked). [m]
    strip : the strip that held the old patch. [deg]
    """
    _check_surveys(old, new, old_on, new_on)
    frame = LocalFrame.around([old, new])
    sigmas = [DRAWN_SIGMA_M if s is None else s for s in (old_sigma_m, new_sigma_m)]
    shapes = [old, new, *([strip] if strip is not None else [])]
    before, after, *rest = sound(frame.to_local(np.array(shapes, dtype=object)))
    points, moved = _moved(before, after)
    centre = before.centroid
    sector = _sides(shapely.get_coordinates(points), centre)
    both_m = math.hypot(*sigmas)
    limit_m = ONE_SIDED_95 * both_m
    sectors = [_sector(COMPASS[k], moved[sector == k], limit_m) for k in np.unique(sector)]
    change = _change(before, after, sigmas)
    most = int(np.argmax(moved))
    lon, lat = shapely.get_coordinates(frame.to_lonlat(points[[most]]))[0]
    days = (new_on - old_on).days if old_on and new_on else None
    most_ft = float(m_to_ft(moved[most]))
    seen_by = _seen_by(sectors, change, both_m)
    breach = shapely.Polygon()
    places: tuple[Breach, ...] = ()
    if rest:
        # ground of the new patch beyond the old patch and its strip, clear of the walks' error
        held = shapely.union_all([before, rest[0]]).buffer(BREACH_SD * both_m)
        out = after.difference(held)
        breach = frame.to_lonlat(np.array([out], dtype=object))[0]
        places = _breaches(out, frame, centre)
    return Advance(
        sectors=tuple(sectors),
        change=change,
        mean_ft=float(m_to_ft(moved.mean())),
        most_ft=most_ft,
        lon=float(lon),
        lat=float(lat),
        limit_ft=float(m_to_ft(limit_m)),
        seen_by=seen_by,
        days=days,
        most_ft_year=most_ft / days * DAYS_A_YEAR if seen_by and days else None,
        breach=breach,
        breaches=places,
    )


def _check_surveys(
    old: shapely.Geometry,
    new: shapely.Geometry,
    old_on: dt.date | None,
    new_on: dt.date | None,
) -> None:
    """Raise StripProblem for surveys in the wrong order, or of two patches."""
    if old_on is not None and new_on is not None and new_on < old_on:
        raise StripProblem(
            f"the new survey ({new_on}) is of a day before the old one ({old_on})",
            fix="give the older survey first, each with its own day",
        )
    if not old.intersects(new):
        raise StripProblem(
            "the two surveys share no ground",
            fix="give two surveys of one patch; a patch that is new has no earlier one",
        )


def _moved(
    before: shapely.Geometry, after: shapely.Geometry
) -> tuple[np.ndarray, np.ndarray]:
    """Return points along the new edge, and how far outside the old one each lies. [m]"""
    ring = after.boundary
    count = max(int(ring.length / STEP_M), 16)
    points = shapely.line_interpolate_point(
        ring, np.linspace(0, ring.length, count, endpoint=False)
    )
    moved = shapely.distance(points, before.boundary)
    return points, np.where(shapely.contains(before, points), -moved, moved)


def _sector(direction: str, moved: np.ndarray, limit_m: float) -> Sector:
    """Return one side's movement, from that of its points. [m]"""
    mean, most_m = float(moved.mean()), float(moved.max())
    return Sector(
        direction, m_to_ft(mean), m_to_ft(most_m), m_to_ft(mean - limit_m),
        m_to_ft(mean + limit_m), abs(mean) > limit_m,
    )  # fmt: skip


def _seen_by(sectors: list[Sector], change: Change, both_m: float) -> tuple[str, ...]:
    """Return what shows movement that the errors of the surveys hardly make."""
    shown = {
        "a side": any(abs(s.mean_ft) > m_to_ft(ANY_SIDE_SD * both_m) for s in sectors),
        "many sides": sum(s.seen for s in sectors) >= MANY_SIDES,
        "acres": change.seen,
    }
    return tuple(name for name, holds in shown.items() if holds)


def _change(
    before: shapely.Geometry, after: shapely.Geometry, sigmas: list[float]
) -> Change:
    """Return the change in acres; ``before`` and ``after`` in metres."""
    sd_m2 = math.hypot(
        *(edge_area_sd(s, m) for s, m in zip((before, after), sigmas, strict=True))
    )
    acres, half = (m2 / ACRE_M2 for m2 in (after.area - before.area, T_95 * sd_m2))
    return Change(acres, acres - half, acres + half)


def _sides(xy: np.ndarray, centre: shapely.Point) -> np.ndarray:
    """Return which of the eight sides of the centre each place lies on, 0 for north."""
    away = xy - [centre.x, centre.y]
    turn: np.ndarray = np.round(np.degrees(np.arctan2(away[:, 0], away[:, 1])) / 45.0)
    return turn.astype(int) % 8


def _breaches(
    out: shapely.Geometry, frame: LocalFrame, centre: shapely.Point
) -> tuple[Breach, ...]:
    """Return each piece of vine beyond the strip, the largest first."""
    parts = [part for part in shapely.get_parts(out) if not part.is_empty]
    breaches = []
    for part in sorted(parts, key=lambda p: -p.area):
        point = part.representative_point()
        lon, lat = frame.lonlat(np.array([point.x]), np.array([point.y]))
        side = int(_sides(np.array([[point.x, point.y]]), centre)[0])
        breaches.append(
            Breach(float(lon[0]), float(lat[0]), COMPASS[side], part.area / ACRE_M2)
        )
    return tuple(breaches)
