"""What is said of areas that lie where they should not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.figures import acres, figure
from quietacre.model import Note
from quietacre.units import ACRE_M2, MILE_M

if TYPE_CHECKING:
    from collections.abc import Sequence

#: A property is a few miles across; an area farther off than this from the
#: middle of the rest was surely misread. Common practice, no source.
FAR_OFF_DEG = 0.5


def _apart_mi(lon: float, lat: float, other_lon: float, other_lat: float) -> float:
    """Return how far two places are apart on the ellipsoid. [mi]"""
    from pyproj import Geod  # it loads slowly, and hardly ever is a place so far off

    return float(Geod(ellps="WGS84").inv(lon, lat, other_lon, other_lat)[2]) / MILE_M


def place_notes(
    names: Sequence[str], shapes: np.ndarray, boundary: shapely.Geometry | None
) -> tuple[Note, ...]:
    """Return notes on areas that lie where they should not.

    Parameters
    ----------
    names : the areas' names, in the order of ``shapes``.
    shapes : their polygons. [deg]
    boundary : the property line, or None. [deg]
    """
    if not len(shapes):
        return ()
    notes = []
    points = shapely.point_on_surface(shapes)
    middle_lon = float(np.nanmedian(shapely.get_x(points)))
    middle_lat = float(np.nanmedian(shapely.get_y(points)))
    for name, shape, point in zip(names, shapes, points, strict=True):
        where = {"feature": name, "lon": point.x, "lat": point.y}
        off = max(abs((point.x - middle_lon + 180) % 360 - 180), abs(point.y - middle_lat))
        if off > FAR_OFF_DEG:
            far_mi = _apart_mi(point.x, point.y, middle_lon, middle_lat)
            notes.append(
                Note(
                    "area-far-off",
                    f"“{name}” lies {figure(far_mi, 'miles')} from the rest of the property; "
                    "check its file's coordinates and reference system.",
                    **where,
                )
            )
        elif boundary is not None and not shape.intersects(boundary):
            notes.append(
                Note("area-outside", f"“{name}” lies outside the property line.", **where)
            )
        elif boundary is not None:
            outside = float(area_m2(np.array([shape.difference(boundary)]))[0])
            share = outside / max(float(area_m2(np.array([shape]))[0]), 1e-9)
            if share > 0.02 and outside > ACRE_M2 / 50:  # noqa: PLR2004 - walk error
                notes.append(
                    Note(
                        "area-crosses-boundary",
                        f"{acres(outside / ACRE_M2)} of “{name}” lie outside the property "
                        "line; nothing should be sown or cut there without the neighbor.",
                        **where,
                    )
                )
    return tuple(notes)
