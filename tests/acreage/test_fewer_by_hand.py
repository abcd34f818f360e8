"""Lines of very many corners with fewer of them: what is straight, round, or nothing."""

import numpy as np
import pytest
import shapely

from quietacre.acreage.fewer import MOST_AT_ONCE, fewer_corners

MANY = MOST_AT_ONCE + 5_000


def circle(radius, count=MANY):
    turn = np.linspace(0.0, 2.0 * np.pi, count)
    xy = radius * np.column_stack([np.cos(turn), np.sin(turn)])
    xy[-1] = xy[0]
    return xy


def test_a_straight_line_of_very_many_corners_has_two_left():
    xy = np.column_stack([np.linspace(0.0, 100.0, MANY), np.zeros(MANY)])
    line = fewer_corners(shapely.LineString(xy), 0.5)
    assert line.geom_type == "LineString"
    assert shapely.get_coordinates(line).tolist() == [[0.0, 0.0], [100.0, 0.0]]


def test_a_ring_smaller_than_the_tolerance_stays_a_ring():
    ring = shapely.LinearRing(circle(0.1))
    assert fewer_corners(ring, 5.0) is ring
    polygon = fewer_corners(shapely.Polygon(circle(100.0), [circle(0.1)]), 5.0)
    assert polygon.geom_type == "Polygon"
    assert len(polygon.interiors) == 1
    assert shapely.get_num_coordinates(polygon.exterior) < 100


@pytest.mark.parametrize("tolerance", [0.01, 1.0])
def test_a_circle_keeps_within_the_tolerance(tolerance):
    ring = fewer_corners(shapely.LinearRing(circle(100.0)), tolerance)
    assert ring.geom_type == "LinearRing"
    # a chord of a circle lies its sagitta off: so many corners, twice as far at most
    fewest = np.pi / np.arccos(1.0 - 2.0 * tolerance / 100.0)
    assert fewest < shapely.get_num_coordinates(ring) < 6.0 * fewest
    assert (
        shapely.hausdorff_distance(ring, shapely.LinearRing(circle(100.0)))
        <= 2.0 * tolerance
    )


def test_several_shapes_stay_of_their_kind_and_few_corners_are_thinned_at_once():
    line = shapely.LineString(
        np.column_stack([np.linspace(0.0, 100.0, MANY), np.zeros(MANY)])
    )
    two = shapely.MultiLineString([line, shapely.LineString([(0, 1), (1, 1.01), (2, 1)])])
    thinned = fewer_corners(two, 0.5)
    assert thinned.geom_type == "MultiLineString"
    assert [len(part.coords) for part in thinned.geoms] == [2, 2]
    small = shapely.LineString([(0, 0), (50, 0.2), (100, 0)])
    assert fewer_corners(small, 0.5).equals(shapely.LineString([(0, 0), (100, 0)]))
    assert fewer_corners(small, 0.1).equals(small)
