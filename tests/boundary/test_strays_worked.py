"""How far a corner may stand off the rest of its ring before it is doubted, by hand."""

import numpy as np
import pytest
import shapely

from quietacre.boundary.strays import far_corners

#: The corners of a ring but its far one, in widths; it comes between the last and the first.
KITE = ((0.0, 0.5), (-0.6, 0.0), (0.0, -0.5))
FIVE = ((0.0, 0.5), (-0.6, 0.4), (-0.6, -0.4), (0.0, -0.5))
SIX = ((0.0, 0.5), (-0.4, 0.45), (-0.6, 0.0), (-0.4, -0.45), (0.0, -0.5))
CROSSED = (FIVE[0], FIVE[2], FIVE[1], FIVE[3])
DART = ((0.0, 0.5), (0.3, 0.0), (0.0, -0.5))
LAT_DEG = 40.0
WIDTH_DEG = 0.002


def ring(rest, times):
    """Return a polygon whose far corner stands so many widths of the others off the nearest."""
    rest = np.array(rest)
    across = np.hypot(*np.ptp(rest, axis=0))
    reach = max(x + np.sqrt((times * across) ** 2 - y**2) for x, y in rest)
    xy = np.vstack([rest, (reach, 0.0)]) * WIDTH_DEG
    xy[:, 0] /= np.cos(np.radians(LAT_DEG))
    return shapely.Polygon(xy + (-86.0, LAT_DEG))


def doubted(shape):
    return {note.code for note in far_corners(np.array([shape]), ["A"], ["a.geojson"])}


@pytest.mark.parametrize(
    ("rest", "limit"), [(KITE, 1.5), (FIVE, 1.3), (SIX, 1.15), (CROSSED, 0.8), (DART, 0.8)]
)
def test_a_corner_may_stand_off_by_so_many_widths_of_the_others(rest, limit):
    """A ring of few corners shows less of its shape, and one that is odd is believed less."""
    assert doubted(ring(rest, limit - 0.02)) == set()
    assert doubted(ring(rest, limit + 0.02)) == {"corner-far"}
