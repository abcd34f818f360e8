"""The ± of ground drawn on a map, a picture or a screen.

A drawn corner is off by as much as the map is, and as the hand is. Corners err by themselves, so
the acreage's variance is that of pins; corners closer together than the error err together and
are taken as one. Errors that a whole map shares move the ground and not its acres, so this is an
upper figure.

References
----------
"Map Accuracy Standards" with the National Map Accuracy Standards of 1947, US Geological Survey:
1/30 inch on maps of larger scale than 1:20,000, 1/50 inch on others, for 90 % of well-defined
points.
"""

from __future__ import annotations

import numpy as np
import shapely

from quietacre.chance import CIRCULAR_90, CIRCULAR_95
from quietacre.units import FT_M, IN_M

LARGE_SCALE = 20_000
LARGE_IN, SMALL_IN = 1 / 30, 1 / 50


def map_scale_pm_ft(scale: float) -> float:
    """Return the 95 % radius about a well-defined point of a map of 1 to ``scale``. [ft]"""
    inches = LARGE_IN if scale < LARGE_SCALE else SMALL_IN
    error_90_m = inches * IN_M * scale
    return float(error_90_m * CIRCULAR_95 / CIRCULAR_90 / FT_M)


def drawn_area_sd_m2(
    shape: shapely.Geometry, edge_pm_ft: float, *, beside: shapely.Geometry | None = None
) -> float:
    """Return one standard deviation of the acreage of drawn polygons. [m²]

    Parameters
    ----------
    shape : polygons in local metres.
    edge_pm_ft : how far off a drawn corner may be, 95 % of the time. [ft]
    beside : ground whose corners are known otherwise and do not count, in local metres.
    """
    radius_m = edge_pm_ft * FT_M
    sigma = radius_m / CIRCULAR_95
    total = 0.0
    for ring in shapely.get_rings(shapely.get_parts(shape)):
        plain = shapely.get_coordinates(shapely.simplify(ring, radius_m))[:-1]
        if len(plain) < 3:  # noqa: PLR2004 - nothing but error is left
            plain = shapely.get_coordinates(ring)[:-1]
        across = np.roll(plain, -1, axis=0) - np.roll(plain, 1, axis=0)
        own = np.ones(len(plain), dtype=bool)
        if beside is not None:
            own = ~shapely.covers(beside, shapely.points(plain))
        total += 0.25 * sigma**2 * float((across[own] ** 2).sum())
        total += 0.5 * int(own.sum()) * sigma**4
    return float(np.sqrt(total))
