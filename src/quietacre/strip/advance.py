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
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.strip.width import ONE_SIDED_95
from quietacre.units import m_to_ft

if TYPE_CHECKING:
    import datetime as dt

STEP_M = 3.0
#: A breach must clear the walks' error by this many standard deviations: about one
#: false call in a hundred unchanged pairs, with some eight independent places an edge.
BREACH_SD = 3.0
COMPASS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
DAYS_A_YEAR = 365.25
#: Staked or drawn edges, when no sigma is known. [m] Assumption.
DRAWN_SIGMA_M = 1.0


@dataclass(frozen=True)
class Sector:
    """Movement of one side of the patch. [ft] ``mean`` and the farthest point."""

    direction: str
    mean_ft: float
    most_ft: float


@dataclass(frozen=True)
class Advance:
    """Movement of the patch edge; outward is positive.

    ``limit_ft`` is the least movement the two surveys can see; ``seen`` says whether
    the farthest point exceeds it. ``breach`` is the part of the new patch that lies
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

    def to_dict(self) -> dict[str, Any]:
        """Return the figures for JSON."""
        return {
            "sectors": [
                {"direction": s.direction, "mean_ft": s.mean_ft, "most_ft": s.most_ft}
                for s in self.sectors
            ],
            "mean_ft": self.mean_ft,
            "most_ft": self.most_ft,
            "limit_ft": self.limit_ft,
            "seen": self.seen,
            "days": self.days,
            "most_ft_year": self.most_ft_year,
            "breach": not self.breach.is_empty,
            "lon": self.lon,
            "lat": self.lat,
            "text": self.text,
        }

    @property
    def text(self) -> str:
        """Return what a person should take from it, in plain words."""
        if not self.seen:
            return (
                f"these two surveys cannot see a movement below {self.limit_ft:.0f} ft; the "
                f"farthest point of the edge is {self.most_ft:+.0f} ft, which is within that."
            )
        side = max(self.sectors, key=lambda s: s.most_ft).direction
        words = (
            f"the edge moved out {self.most_ft:.0f} ft at its farthest, on the {side} side"
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
    xy = shapely.get_coordinates(points) - [centre.x, centre.y]
    sector = np.round(np.degrees(np.arctan2(xy[:, 0], xy[:, 1])) / 45.0).astype(int) % 8
    sectors = tuple(
        Sector(
            COMPASS[k],
            float(m_to_ft(moved[sector == k].mean())),
            float(m_to_ft(moved[sector == k].max())),
        )
        for k in range(8)
        if (sector == k).any()
    )
    sigmas = [DRAWN_SIGMA_M if s is None else s for s in (old_sigma_m, new_sigma_m)]
    limit_m = ONE_SIDED_95 * math.hypot(*sigmas)
    most = int(np.argmax(moved))
    lon, lat = shapely.get_coordinates(frame.to_lonlat(points[most : most + 1]))[0]
    days = (new_on - old_on).days if old_on and new_on else None
    most_ft = float(m_to_ft(moved[most]))
    breach = shapely.Polygon()
    if rest:
        # ground of the new patch beyond the old patch and its strip, clear of the walks' error
        held = shapely.union_all([before, rest[0]]).buffer(BREACH_SD * math.hypot(*sigmas))
        breach = frame.to_lonlat(np.array([after.difference(held)], dtype=object))[0]
    return Advance(
        sectors=sectors,
        mean_ft=float(m_to_ft(moved.mean())),
        most_ft=most_ft,
        lon=float(lon),
        lat=float(lat),
        limit_ft=float(m_to_ft(limit_m)),
        seen=bool(moved[most] > limit_m),
        days=days,
        most_ft_year=most_ft / days * DAYS_A_YEAR if days and days > 0 else None,
        breach=breach,
    )
