"""How far the vine's edge moved between two surveys, and what the walks can see of it.

Each point of the new edge gets its distance to the old edge, positive where it lies
outside the old patch. Two walks of sigma a and b cannot see a movement smaller than

    1.645 √(a² + b²)

(one-sided 95 % of the difference of two normal errors): two 2.1 m tracks cannot see
less than 4.9 m. The errors of one walk drift together, so averaging its many points
does not help, and none is claimed.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.errors import StripProblem
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
class Advance:
    """Movement of the patch edge; outward is positive.

    ``limit_ft`` is the least movement of one place the two surveys can see; ``seen`` says
    whether any of the eight sides moved more than chance gives one of eight. ``breach`` is the part of the new patch that lies
    outside the strip, in longitude and latitude; empty when there is none or no strip.
    """

    sectors: tuple[Sector, ...]
    mean_ft: float
    most_ft: float
    lon: float
    lat: float
    limit_ft: float
    seen: bool
    days: int | None
    most_ft_year: float | None
    breach: shapely.Geometry
    breaches: tuple[Breach, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Return the figures for JSON."""
        return {
            "sectors": [asdict(s) for s in self.sectors],
            "mean_ft": self.mean_ft,
            "most_ft": self.most_ft,
            "limit_ft": self.limit_ft,
            "seen": self.seen,
            "days": self.days,
            "most_ft_year": self.most_ft_year,
            "breach": not self.breach.is_empty,
            "breaches": [asdict(b) for b in self.breaches],
            "lon": self.lon,
            "lat": self.lat,
            "text": self.text,
        }

    @property
    def text(self) -> str:
        """Return what a person should take from it, in plain words."""
        if not self.seen:
            return (
                f"these two surveys cannot see a movement below {self.limit_ft:.0f} ft; no side "
                "of the edge moved more than their own errors can make it seem (its farthest "
                f"point: {self.most_ft:+.0f} ft)."
            )
        side = max(self.sectors, key=lambda s: s.mean_ft)
        if not (side.seen and side.mean_ft > 0):
            side = min(self.sectors, key=lambda s: s.mean_ft)
        way = "out" if side.mean_ft > 0 else "back"
        words = (
            f"the edge moved {way} {abs(side.mean_ft):.0f} ft on the {side.direction} side "
            f"(nine times in ten between {side.low_ft:+.0f} and {side.high_ft:+.0f}), "
            f"{self.most_ft:+.0f} ft at its farthest"
        )
        if self.most_ft_year is not None:
            words += f", {self.most_ft_year:.0f} ft a year"
        return f"{words}; less than {self.limit_ft:.0f} ft could not have been seen."


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
    frame = LocalFrame.around([old, new])
    shapes = [old, new, *([strip] if strip is not None else [])]
    before, after, *rest = frame.to_local(np.array(shapes, dtype=object))
    ring = after.boundary
    count = max(int(ring.length / STEP_M), 16)
    points = shapely.line_interpolate_point(
        ring, np.linspace(0, ring.length, count, endpoint=False)
    )
    moved = shapely.distance(points, before.boundary)
    moved = np.where(shapely.contains(before, points), -moved, moved)
    centre = before.centroid
    sector = _sides(shapely.get_coordinates(points), centre)
    sigmas = [DRAWN_SIGMA_M if s is None else s for s in (old_sigma_m, new_sigma_m)]
    both_m = math.hypot(*sigmas)
    limit_m = ONE_SIDED_95 * both_m
    sectors = []
    for k in np.unique(sector):
        mean, most_m = float(moved[sector == k].mean()), float(moved[sector == k].max())
        sectors.append(
            Sector(
                COMPASS[k], m_to_ft(mean), m_to_ft(most_m), m_to_ft(mean - limit_m),
                m_to_ft(mean + limit_m), abs(mean) > limit_m,
            )
        )  # fmt: skip
    seen = any(abs(s.mean_ft) > m_to_ft(ANY_SIDE_SD * both_m) for s in sectors)
    most = int(np.argmax(moved))
    lon, lat = shapely.get_coordinates(frame.to_lonlat(points[most : most + 1]))[0]
    days = (new_on - old_on).days if old_on and new_on else None
    most_ft = float(m_to_ft(moved[most]))
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
        mean_ft=float(m_to_ft(moved.mean())),
        most_ft=most_ft,
        lon=float(lon),
        lat=float(lat),
        limit_ft=float(m_to_ft(limit_m)),
        seen=seen,
        days=days,
        most_ft_year=most_ft / days * DAYS_A_YEAR if seen and days and days > 0 else None,
        breach=breach,
        breaches=places,
    )


def _sides(xy: np.ndarray, centre: shapely.Point) -> np.ndarray:
    """Return which of the eight sides of the centre each place lies on, 0 for north."""
    away = xy - [centre.x, centre.y]
    turn: np.ndarray = np.round(np.degrees(np.arctan2(away[:, 0], away[:, 1])) / 45.0)
    return turn.astype(int) % 8


def _breaches(
    out: shapely.Geometry, frame: LocalFrame, centre: shapely.Point
) -> tuple[Breach, ...]:
    """Return each piece of vine beyond the strip, the largest first."""
    parts = [p for p in shapely.get_parts(out) if p.geom_type == "Polygon" and p.area > 0]
    found = []
    for part in sorted(parts, key=lambda p: -p.area):
        point = part.representative_point()
        lon, lat = frame.lonlat(np.array([point.x]), np.array([point.y]))
        side = int(_sides(np.array([[point.x, point.y]]), centre)[0])
        found.append(
            Breach(float(lon[0]), float(lat[0]), COMPASS[side], part.area / ACRE_M2)
        )
    return tuple(found)
