"""A place taken into an edge as a corner: where the edge runs nearest to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.drawing.sheet import Sheet, parts_of, redrawn, sound_or_refused, whole

if TYPE_CHECKING:
    from quietacre.drawing.sheet import Redrawn


def take_in(shape: shapely.Geometry, place: tuple[float, float]) -> Redrawn:
    """Return ground with a place as one more corner of the edge that runs nearest to it.

    Parameters
    ----------
    shape : polygons in longitude, latitude. [deg]
    place : longitude and latitude. [deg]

    Raises
    ------
    BadInput
        The edge would cross itself.
    """
    point = shapely.Point(place)
    sheet = Sheet([shape, point])
    xy = shapely.get_coordinates(sheet.lay(point))[0]
    nearest = (np.inf, 0, 0)
    for number, ring in enumerate(_rings(shape)):
        ends = shapely.get_coordinates(sheet.lay(ring))
        gap_m = shapely.distance(
            shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1)), shapely.Point(xy)
        )
        corner = int(gap_m.argmin())
        nearest = min(nearest, (float(gap_m[corner]), number, corner))
    rings = iter(
        shapely.LinearRing(
            np.insert(shapely.get_coordinates(ring), nearest[2] + 1, place, 0)
        )
        if number == nearest[1]
        else ring
        for number, ring in enumerate(_rings(shape))
    )
    parts = [
        shapely.Polygon(next(rings), [next(rings) for _ in part.interiors])
        for part in shapely.get_parts(shape)
    ]
    made = sound_or_refused(whole(parts), "the piece with this corner")
    return redrawn(sheet, [whole(parts_of(sheet.lay(made)))], [shape], 0.0, [])


def _rings(shape: shapely.Geometry) -> list[shapely.LinearRing]:
    return [
        ring
        for part in shapely.get_parts(shape)
        for ring in (part.exterior, *part.interiors)
    ]
