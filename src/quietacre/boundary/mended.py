"""A walk whose edge was drawn anew: its ± and its history stay."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.drawn import drawn_area_sd_m2
from quietacre.boundary.plane import Plane
from quietacre.boundary.why import Term, total_sd_m2
from quietacre.errors import FileProblem
from quietacre.figures import AS_IT_IS, feet
from quietacre.figures import acres as acres_words
from quietacre.model import Note
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from quietacre.boundary.edges import Edge
    from quietacre.boundary.walk import Walk
    from quietacre.model import Track

#: A normal error stays within so many of its standard deviations 19 times in 20.
SDS_95 = 1.96
#: Edges nearer to each other than this are one: the drawing follows the walk. Ours. [m]
LEAST_APART_M = 0.5
#: A drawing shares at least this part of the smaller ground with the walk it mends. Ours.
LEAST_SHARED = 0.5
#: With less of its ground a drawing is a piece of a walk, no longer its mended edge. Ours.
LEAST_KEPT = 0.75
#: Degrees of longitude that the sun takes an hour for.
DEG_AN_HOUR = 15.0


def walked_on(tracks: Iterable[Track]) -> tuple[dt.date, ...]:
    """Return the days of walks by the sun over them, earliest first.

    Files have Universal Time, in which an American evening is the next day.
    """
    days = set()
    for track in tracks:
        timed = np.isfinite(track.time_s)
        if timed.any():
            hours = float(np.median(track.lon)) / DEG_AN_HOUR
            local_s = float(track.time_s[timed].min()) + 3600.0 * hours
            days.add((dt.datetime(1970, 1, 1) + dt.timedelta(seconds=local_s)).date())  # noqa: DTZ001
    return tuple(sorted(days))


def days_walked(edges: Iterable[Edge]) -> tuple[dt.date, ...]:
    """Return the days on which edges were walked, earliest first; of drawings none."""
    walks = (edge.walked for edge in edges if edge.walked is not None)
    return walked_on(track for walk in walks for track in walk.tracks)


def mended_words(days: Sequence[dt.date], walks: int) -> str:
    """Return what a drawing was drawn over: "drawn over the walk of May 3, 2026"."""
    what = "the walk" if walks == 1 else f"{walks} walks"
    when = " and ".join(f"{day:%B} {day.day}, {day.year}" for day in days)
    return f"drawn over {what}" + (f" of {when}" if when else "")


def drawn_over(
    walk: Walk, shape: shapely.Geometry, name: str, origin: str, *,
    edge_pm_ft: float | None = None,
) -> tuple[Walk, Note]:  # fmt: skip
    """Return a walk with the ground of a drawing that mends its edge.

    Parameters
    ----------
    walk : the walk, or the walks together.
    shape : polygons of the drawing [deg].
    name : of the area.
    origin : as `mended_words` puts it.
    edge_pm_ft : how far off a drawn corner may be, 95 %; None where nobody said. [ft]

    Returns
    -------
    The walk with the drawing's ground and acres; its ± is that of the walk, in acres; of a
    piece of its ground no more than all of the walked edge that is left can be off;
    widened for the corners that lie beyond the walk's own ± where ``edge_pm_ft`` is given;
    and the note that says how much of the edge is new.

    Raises
    ------
    FileProblem
        The drawing does not lie on the ground of the walk.
    """
    lon, lat = shapely.get_coordinates(walk.polygon).T
    plane = Plane.around(lon, lat)
    old, new = plane.local(walk.polygon), plane.local(shape)
    _check_on_walk(old, new, walk, name)
    reach_m = max(SDS_95 * walk.sigma_m / max(walk.laps, 1.0) ** 0.5, LEAST_APART_M)
    acres = float(area_m2(np.array([shape], dtype=object))[0]) / ACRE_M2
    walked = old.boundary.buffer(reach_m)
    beyond = new.boundary.difference(walked)
    drawn_ac = _drawn_ac(new, edge_pm_ft, walked)
    part = _part_held(walk, old, new, walked)
    low_ac = float(np.hypot(part * (walk.acres - walk.acres_low), drawn_ac))
    high_ac = float(np.hypot(part * (walk.acres_high - walk.acres), drawn_ac))
    terms = tuple(replace(one, half_ac=part * one.half_ac) for one in walk.terms)
    terms = _with_drawn(terms, drawn_ac, edge_pm_ft)
    far_m = _farthest(beyond, old.boundary)
    mended = replace(
        walk,
        polygon=shape,
        acres=acres,
        acres_low=max(acres - low_ac, 0.0),
        acres_high=acres + high_ac,
        half_width_pct=_half_pct(part * walk.half_width_pct * walk.acres, acres, drawn_ac),
        band=plane.ground(new.boundary.buffer(reach_m, quad_segs=4)),
        method=origin,
        terms=terms,
        area_sd_m2=total_sd_m2(terms),
    )
    spot = shape.representative_point()
    return mended, Note(
        "drawn-over-walk",
        f"“{name}” is {origin}, which had {acres_words(walk.acres)}; it has {acres_words(acres)} now",
        "info", walk.source or None, name, spot.x, spot.y,
        more=_how_much(beyond.length, new.length, far_m, edge_pm_ft),
    )  # fmt: skip


def _drawn_ac(
    new: shapely.Geometry, edge_pm_ft: float | None, walked: shapely.Geometry
) -> float:
    """Return how far off the corners drawn beside a walk make the acres, 95 %. [ac]"""
    if edge_pm_ft is None:
        return 0.0
    return SDS_95 * drawn_area_sd_m2(new, edge_pm_ft, beside=walked) / ACRE_M2


def _part_held(
    walk: Walk, old: shapely.Geometry, new: shapely.Geometry, walked: shapely.Geometry
) -> float:
    """Return the part of a walk's ± that a drawing over it keeps: all, or by the edge of a piece.

    A piece of the walked ground is off by no more than its walked edge, all of it one way.
    """
    if new.intersection(old).area >= LEAST_KEPT * old.area:
        return 1.0
    held_m = new.boundary.intersection(walked).length
    half_ac = max(walk.acres - walk.acres_low, walk.acres_high - walk.acres)
    most_ac = max(SDS_95 * walk.sigma_m, LEAST_APART_M) * held_m / ACRE_M2
    return min(1.0, most_ac / half_ac) if half_ac > 0 else 1.0


def _with_drawn(
    terms: tuple[Term, ...], drawn_ac: float, edge_pm_ft: float | None
) -> tuple[Term, ...]:
    """Return the terms of a walk's ±, with that of corners drawn beyond it."""
    if not drawn_ac or edge_pm_ft is None:
        return terms
    text = f"corners drawn beyond the walk, within {feet(edge_pm_ft, AS_IT_IS)}"
    return (*terms, Term("drawn", text, drawn_ac, 1.0, "your edge_pm_ft"))


def _check_on_walk(
    old: shapely.Geometry, new: shapely.Geometry, walk: Walk, name: str
) -> None:
    """Raise FileProblem for a drawing that hardly shares ground with its walk."""
    if old.intersection(new).area < LEAST_SHARED * min(old.area, new.area):
        raise FileProblem(
            "the drawing does not lie on the ground of the walk that “over” names",
            fix="name the walk it was drawn over, or leave over out",
            source=walk.source or None,
            where=f"area “{name}”",
        )


def _farthest(beyond: shapely.Geometry, edge: shapely.Geometry) -> float:
    """Return how far a line lies from an edge at its farthest. [m]"""
    corners = shapely.points(shapely.get_coordinates(shapely.segmentize(beyond, 1.0)))
    return float(shapely.distance(corners, edge).max()) if len(corners) else 0.0


def _half_pct(walked_pct_ac: float, acres: float, drawn_ac: float) -> float:
    """Return half the width of the ± as a share of the acres that are drawn now. [%]"""
    if not acres:
        return 0.0
    return float(np.hypot(walked_pct_ac, 100.0 * drawn_ac)) / acres


def _how_much(
    beyond_m: float, length_m: float, far_m: float, edge_pm_ft: float | None
) -> str:
    if not beyond_m:
        return "All of its edge lies within the walk's own ±, which holds on."
    share_text = (
        "is the walk's."
        if edge_pm_ft is None
        else f"is the walk's, widened for drawn corners within {feet(edge_pm_ft)}."
    )
    return (
        f"{feet(beyond_m / FT_M)} of its {feet(length_m / FT_M)} of edge lie beyond the ± of the "
        f"walk, {feet(far_m / FT_M)} at most: there the edge is as good as the drawing. The ± {share_text}"
    )
