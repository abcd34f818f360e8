"""Several walks of one edge combined to one, each by how well it is known."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.differ import OtherReading, differ_note, holding
from quietacre.boundary.plane import Plane
from quietacre.boundary.ring import on_ground, valid_ring
from quietacre.boundary.walk import (
    Walk,
    advised,
    band_of,
    interval_of,
    without_wide,
)
from quietacre.boundary.why import combined, own_sd_m2, total_sd_m2
from quietacre.errors import WalkRefused
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from quietacre.boundary.why import Term

    FloatArray = NDArray[np.float64]

#: Of three or more, one this many of its deviations off the middle one counts for less.
OUT_OF_LINE_SD = 1.5


def _refuse_copies(walks: Sequence[Walk]) -> None:
    """Raise WalkRefused when one recording is given twice: it would halve the ± for nothing."""
    seen: dict[bytes, str] = {}
    for walk in walks:
        key = walk.kept_lon.tobytes() + walk.kept_lat.tobytes()
        if key in seen:
            raise WalkRefused(
                f"is the same recording as {seen[key]}",
                fix="list it once; the ± of two walks holds for two walks only",
                source=walk.source or None,
            )
        seen[key] = walk.source or "one before it"


def combine_walks(walks: Sequence[Walk]) -> Walk:
    """Return one boundary from several walks of the same edge.

    Each counts by how well it is known, and for less the farther it strays from
    the middle one of three or more. The walk with the smallest variance gives the course
    of the edge, which the others pull to the weighted mean; a walk whose area disagrees
    is named in a note.

    Raises
    ------
    WalkRefused
        The walks do not lie on the same ground, or one recording is given twice.
    """
    if len(walks) == 1:
        return walks[0]
    _refuse_copies(walks)
    ordered = sorted(walks, key=lambda walk: walk.area_sd_m2)
    base = ordered[0]
    areas = np.array([walk.acres * ACRE_M2 for walk in ordered])
    weights = _weights(areas, [walk.terms for walk in ordered])
    lon, lat = shapely.get_coordinates(base.polygon.exterior).T
    plane = Plane.around(lon, lat)
    area = float(areas @ weights)
    terms = combined([walk.terms for walk in ordered], weights.tolist())
    terms = holding(area / ACRE_M2, [walk.acres for walk in ordered], terms)
    sd = total_sd_m2(terms)
    polygon_xy = _stretched(_mean_ring(ordered, weights, plane), area, plane)
    polygon = on_ground(polygon_xy, plane)
    interval = interval_of(area, sd)
    laps = sum(walk.laps for walk in ordered)
    sigma = float(np.average([walk.sigma_m for walk in ordered], weights=weights))
    middle = polygon.representative_point()
    readings = _readings(ordered)
    own_sd_ac = [own_sd_m2(walk.terms) / ACRE_M2 for walk in ordered]
    shared = {"source": base.source, "name": base.name, "middle": middle}
    notes = [
        *without_wide([note for walk in ordered for note in walk.notes]),
        *differ_note(readings, own_sd_ac, **shared),
    ]
    walk = Walk(
        polygon=polygon,
        **interval._asdict(),
        method=f"{len(ordered)} walks combined",
        laps=laps,
        removed=_removed(ordered),
        sigma_m=sigma,
        advice=(),
        notes=tuple(notes),
        band=band_of(polygon_xy, sigma, laps, plane),
        **_fixes(ordered),
        source=", ".join(walk.source for walk in ordered),
        name=base.name,
        area_sd_m2=sd,
        terms=terms,
        sky=base.sky,
        blocked=max(walk.blocked for walk in ordered),
        readings=readings,
    )
    return advised(walk, source=base.source)


def _fixes(walks: Sequence[Walk]) -> dict[str, Any]:
    """Return the fixes of all walks, those kept and those left out, as a walk has them."""
    names = ("kept_lon", "kept_lat", "removed_lon", "removed_lat")
    fixes = {
        name: np.concatenate([getattr(walk, name) for walk in walks]) for name in names
    }
    return {
        **fixes,
        "removed_cause": tuple(c for walk in walks for c in walk.removed_cause),
    }


def _removed(walks: Sequence[Walk]) -> dict[str, int]:
    """Return how many fixes of all walks were left out for each cause."""
    removed: dict[str, int] = {}
    for walk in walks:
        for cause, count in walk.removed.items():
            removed[cause] = removed.get(cause, 0) + count
    return removed


def _readings(walks: Sequence[Walk]) -> tuple[OtherReading, ...]:
    return tuple(
        OtherReading(reading_name(walk, walks), walk.acres, walk.polygon, walk.laps)
        for walk in walks
    )


def reading_name(walk: Walk, among: Sequence[Walk]) -> str:
    """Return what to call one of several walks: by its file, its name, or its place."""
    for column in ("source", "name"):
        if len({getattr(one, column) for one in among}) == len(among):
            return str(getattr(walk, column))
    return f"walk {[one is walk for one in among].index(True) + 1}"


def _weights(areas: FloatArray, terms: Sequence[Sequence[Term]]) -> FloatArray:
    """Return how much each walk counts, together 1, shape (n,).

    They are those of the least variance, by what walks share and what they do not.
    """
    own = np.maximum([own_sd_m2(some) for some in terms], 1e-6)
    both = np.diag(own**2)
    # in their order: sums in the order of a set end in another last digit in the next run
    for code in dict.fromkeys(one.code for some in terms for one in some):
        shared = np.array(
            [
                sum(one.sd_m2 * one.common**0.5 for one in some if one.code == code)
                for some in terms
            ]
        )
        both += np.outer(shared, shared)
    weights = np.maximum(np.linalg.solve(both, np.ones(len(own))), 0.0)
    if len(areas) > 2:  # noqa: PLR2004 - of two, neither is the middle one
        # after Huber: one that strays from the middle one counts for less
        strays = np.abs(areas - np.median(areas)) / own
        weights *= OUT_OF_LINE_SD / np.maximum(strays, OUT_OF_LINE_SD)
    return np.asarray(weights / weights.sum())


def _mean_ring(
    ordered: Sequence[Walk], weights: FloatArray, plane: Plane
) -> shapely.Polygon:
    """Return the edge of the best known walk, pulled to the weighted mean of all. [m]"""
    base = ordered[0]
    base_xy = plane.local(base.polygon)
    ring = shapely.get_coordinates(base_xy.exterior)[:-1]
    points = shapely.points(ring)
    total = ring * weights[0]
    for walk, weight in zip(ordered[1:], weights[1:], strict=True):
        other = plane.local(walk.polygon)
        shared = other.intersection(base_xy).area
        if shared < 0.5 * min(other.area, base_xy.area):
            raise WalkRefused(
                f"does not lie on the same ground as {base.source}",
                fix="list only walks of the same edge under one area",
                source=walk.source,
            )
        edge = other.exterior
        match = shapely.get_coordinates(
            shapely.line_interpolate_point(edge, shapely.line_locate_point(edge, points))
        )
        total += match * weight
    polygon_xy = valid_ring(total)
    if polygon_xy is None:
        raise WalkRefused(
            "the walks do not combine", fix="list them apart", source=base.source
        )
    return polygon_xy


def _stretched(polygon_xy: shapely.Polygon, area: float, plane: Plane) -> shapely.Polygon:
    """Return a polygon stretched a hair, so that it holds ``area`` on the ground. [m²]"""
    drawn = float(area_m2(np.array([on_ground(polygon_xy, plane)], dtype=object))[0])
    stretch = (area / drawn) ** 0.5
    centre = polygon_xy.centroid
    stretched: shapely.Polygon = shapely.transform(
        polygon_xy, lambda c: (c - [centre.x, centre.y]) * stretch + [centre.x, centre.y]
    )
    return stretched
