"""The parts of the look for a far corner, each by hand."""

import numpy as np
import pytest
import shapely

from quietacre.boundary.strays import _corners, _farthest, _largest_of_others, _sides

CLOSED = np.array([(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (1.0, 7.0), (0.0, 0.0)])


def others_by_hand(ring):
    """The largest x and y of the other corners; the closing point is the first."""
    found = [np.delete(ring[:-1], at, axis=0).max(axis=0) for at in range(len(ring) - 1)]
    return np.array([*found, found[0]])


@pytest.mark.parametrize("turned", range(4))
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_the_largest_of_the_other_corners(turned, sign):
    """Two corners share the largest x, so taking one away leaves it; the largest y is alone."""
    ring = sign * np.vstack([np.roll(CLOSED[:-1], turned, axis=0)] * 2)[:5]
    both = np.vstack([ring, ring + 10.0])
    assert _largest_of_others(both, np.array([0, 5])) == pytest.approx(
        np.vstack([others_by_hand(ring), others_by_hand(ring + 10.0)])
    )


def test_the_shorter_side_at_each_corner():
    rings = np.array(
        [shapely.LinearRing(CLOSED / 1e4), shapely.LinearRing(CLOSED[:3] / 1e4)]
    )
    xy, first, shorter = _sides(rings)
    assert first.tolist() == [0, 5]
    assert xy * 1e4 == pytest.approx(np.vstack([CLOSED, CLOSED[:3], CLOSED[:1]]))
    assert shorter * 1e4 == pytest.approx([4, 3, 3, 5, 4, 4, 3, 3, 4])


def test_a_point_on_a_straight_side_is_no_corner():
    square = [(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
    assert _corners(np.array(square)) == 4
    assert _corners(np.array([square[0], (5.0, -0.1), *square[2:]])) == 5


def test_the_corner_that_stands_out_most():
    """The nearest of the others is 40 ft off along a 3-4-5 triangle, the others 5 wide."""
    flat = np.array([(0.0, 0.0), (3.0, 0.0), (3.0, 4.0), (0.0, 4.0), (27.0, 36.0)])
    assert _farthest(flat) == (4, pytest.approx(40.0), pytest.approx(5.0))
