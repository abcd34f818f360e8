"""Fewer vertices for the page and the phone, with a bound on the ground it changes."""

from __future__ import annotations

import shapely

#: Most that thinning may change an area, as a share of it.
MOST_CHANGE = 0.0005


def thin(
    polygon: shapely.Polygon, *, tolerance_m: float, most_change: float = MOST_CHANGE
) -> shapely.Polygon:
    """Return a polygon with fewer vertices whose area is the same within a bound.

    Parameters
    ----------
    polygon : valid polygon in local metres.
    tolerance_m : farthest that the edge may move. [m]
    most_change : most that the area may change. [1]

    Returns
    -------
    Polygon, valid. The tolerance is halved until the bound holds; when none serves the
    polygon comes back as it is.
    """
    area = float(polygon.area)
    while tolerance_m > 1e-3:  # noqa: PLR2004 - a millimetre changes nothing worth having
        fewer = shapely.simplify(polygon, tolerance_m, preserve_topology=True)
        changed = abs(float(fewer.area) - area)
        if fewer.is_valid and not fewer.is_empty and changed <= most_change * area:
            return fewer
        tolerance_m /= 2.0
    return polygon
