"""Loops that touch, ways in and out, ground between them: each rule on figures laid out by hand."""

import numpy as np
import pytest
import shapely
from close_steps import closely

from quietacre.boundary import faces, loop, two_laps
from quietacre.boundary.closing import Path
from quietacre.boundary.two_laps import Row


def square(side, x=0.0, y=0.0):
    return closely([(x, y), (x + side, y), (x + side, y + side), (x, y + side), (x, y)])


# two laps of one recording


def test_the_best_two_laps_are_those_one_after_the_other():
    score = np.zeros((6, 6))
    score[0, 2], score[1, 5], score[3, 5], score[2, 4] = 5.0, 8.0, 3.0, 2.0
    assert two_laps._best_two(score) == ((0, 2), (3, 5)), (
        "one may begin where the other ends"
    )
    score[2, 4] = 4.0
    assert two_laps._best_two(score) == ((0, 2), (2, 4))
    alone = np.zeros((6, 6))
    alone[1, 5] = 8.0
    assert two_laps._best_two(alone) is None


@pytest.mark.parametrize(
    ("one", "two", "gap_m", "good"),
    [
        (square(100), square(60, 105), 5.0, True),
        (square(100), square(27, 105), 5.0, False),  # 7.3 in a hundred of the larger
        (square(100), square(29.5, 105), 5.0, True),  # 8.7
        (square(100), square(60, 73), 5.0, False),  # 45 in a hundred of the smaller overlap
        (square(100), square(60, 83.5), 5.0, True),  # 27
        (
            square(100),
            closely([(105, 0), (205, 0), (205, 11.5), (105, 11.5), (105, 0)]),
            5.0,
            False,
        ),
        (
            square(100),
            closely([(105, 0), (205, 0), (205, 13), (105, 13), (105, 0)]),
            5.0,
            True,
        ),
        (square(100), square(60, 140), 44.0, False),  # 30 m deep, less than 0.7 of 44
        (square(100), square(60, 140), 41.0, True),
    ],
)
def test_two_laps_lie_side_by_side_with_ground_in_each(one, two, gap_m, good):
    assert two_laps._beside(one, two, gap_m) is good
    assert two_laps._beside(two, one, gap_m) is good


def test_ground_enclosed_is_all_of_a_lap_that_crosses_itself():
    assert two_laps.enclosed(square(10)).area == pytest.approx(100)
    bow = np.array([(0, 0), (10, 10), (10, 0), (0, 10), (0, 0)], float)
    assert two_laps.enclosed(bow).area == pytest.approx(50)


@pytest.mark.parametrize(
    ("apart", "bend", "pinched"), [(5.0, 0.0, True), (5.0, 50.0, True), (5.0, 80.0, False)]
)
def test_two_sides_that_run_on_against_one_another_are_pinched(apart, bend, pinched):
    """East for 60 m and back beside it; a path that turns there by more than 60 degrees is a neck."""
    turn = np.radians(bend)
    there = closely([(-60, 0), (0, 0), (60 * np.cos(turn), 60 * np.sin(turn))])
    back = closely([(60, apart), (-60, apart)])
    path = Path(np.vstack([there, back]))
    found = two_laps._pinched(path, np.array([60.0, path.walked[-1] - 60.0]))
    assert found is pinched
    same_way = Path(np.vstack([closely([(-60, 0), (60, 0)]), closely([(-60, 5), (60, 5)])]))
    assert not two_laps._pinched(same_way, np.array([60.0, same_way.walked[-1] - 60.0]))


def test_a_lap_made_of_pieces_of_two_is_cut_up():
    """Positions along the path; the lap begins in the one and ends in the other."""
    xy = closely([(0, 0), (200, 0)])
    row = Row((10, 50), (80, 120), False)
    assert loop._cut_up(xy, (30, 100), row)
    assert not loop._cut_up(xy, (5, 130), row)
    # one end alone counts where the lap does not close
    assert loop._cut_up(xy, (30, 130), row)
    assert loop._cut_up(xy, (5, 100), row)
    closed = np.vstack([closely([(0, 0), (65, 0)]), closely([(65, 1), (0, 1)])])
    assert not loop._cut_up(closed, (30, 101), Row((10, 50), (103, 120), False))
    assert not loop._cut_up(xy, (50, 80), row)


def test_a_place_between_two_fixes_far_apart_is_lost():
    path = Path(
        np.column_stack([np.r_[np.arange(0.0, 20), np.arange(45.0, 60)], np.zeros(35)])
    )
    assert two_laps._lost_at(path, np.array([30.0]))
    assert not two_laps._lost_at(path, np.array([10.0, 50.0]))
    near = Path(
        np.column_stack([np.r_[np.arange(0.0, 20), np.arange(38.5, 60)], np.zeros(42)])
    )
    assert not two_laps._lost_at(near, np.array([30.0])), "19.5 m"


def test_a_path_that_runs_straight_through_where_it_comes_to_two_laps_crosses_them():
    """It comes and goes in line for 20 m; by one lane no farther apart than 10 m."""
    loops = closely(
        [
            (100, 0),
            (160, 0),
            (160, 60),
            (100, 60),
            (100, 0),
            (40, 0),
            (40, -60),
            (100, -60),
            (100, 0),
        ]
    )

    def runs(before, after):
        path = Path(np.vstack([closely(before)[:-1], loops, closely(after)[1:]]))
        begin = shapely.LineString(before).length
        return two_laps._runs_through(path, begin, begin + 480.0)

    assert runs([(40, 0), (100, 0)], [(100, 0), (100, 60)]) == (True, False)
    assert runs([(100, -10), (100, 0)], [(100, 0), (100, 60)]) == (False, True), (
        "it begins there"
    )
    assert runs([(100, 60), (100, 0)], [(100, 0), (100, 60)])[1], "in and out by one lane"
    turned = runs([(100, 60), (100, 0)], [(100, 0), (160, 0)])
    assert turned == (False, False)
    back = runs([(40, 0), (100, 0)], [(100, 0), (100, 60), (40, 60), (40, 8)])
    assert back[1], "its two ends are one place"


# the laps of a loop


def test_a_turn_later_the_path_is_back():
    xy = np.vstack([square(50)[:-1], square(50)[:-1], square(50)])
    swept = np.unwrap(np.arctan2(xy[:, 1] - 25, xy[:, 0] - 25))
    away = np.zeros(len(xy), dtype=bool)
    assert loop._turn_later(xy, swept, away, 0, 1) == 200
    assert loop._turn_later(xy, swept, away, 30, 1) == 230
    assert loop._turn_later(xy, swept, away, 430, -1) == 230
    assert loop._turn_later(xy, swept, away, 450, 1) is None
    assert loop._turn_later(xy, -swept, away, 0, 1) is None
    # a fifth of it away from the edge is another loop
    for count, found in ((38, 200), (43, None)):
        off = away.copy()
        off[60 : 60 + count] = True
        assert loop._turn_later(xy, swept, off, 0, 1) == found
    laps = loop._all_laps(xy, swept, away, (200, 400))
    assert laps == [(200, 400), (400, 600), (0, 200)]


def test_the_edge_is_left_where_the_path_goes_away_or_another_way():
    xy = closely([(0, 0), (100, 0)])
    no = np.zeros(101, dtype=bool)

    def left(stray=no, away=no, astray=no):
        return loop._leaves(xy, stray, away, astray)

    assert left() == 100
    from_40, from_60 = np.arange(101) >= 40, np.arange(101) >= 60
    assert left(stray=from_40, away=from_60) == 39, "straying on until away is the way out"
    back = from_40 & ~((np.arange(101) >= 50) & (np.arange(101) < 55))
    assert left(stray=back, away=from_60) == 54, "coming back is drift"
    assert left(stray=from_40) == 100
    # another way than the edge for 25 m
    for length, stop in ((23, 100), (27, 29)):
        other = (np.arange(101) >= 30) & (np.arange(101) < 30 + length)
        assert left(astray=other) == stop
    assert left(astray=np.ones(101, dtype=bool)) == 0
    assert left(astray=np.arange(101) < 30) == 0
    assert left(stray=np.ones(101, dtype=bool), away=from_60) == 0


@pytest.mark.parametrize(
    ("turn_deg", "astray"), [(0, False), (65, False), (80, True), (180, True)]
)
def test_a_path_goes_another_way_beyond_seventy_two_degrees(turn_deg, astray):
    ring = square(200)
    turn = np.radians(turn_deg)
    xy = np.array([100.0, 0.0]) + np.linspace(-30, 30, 61)[:, None] * (
        np.cos(turn),
        np.sin(turn),
    )
    found = loop._astray(xy, ring, np.full(61, 100.0))
    assert found[10:-10].all() == astray
    assert found[10:-10].any() == astray


# other ground


GROUND = shapely.box(0, 0, 100, 100)


@pytest.mark.parametrize(("deep", "crosses"), [(20, False), (29, True), (100, True)])
def test_a_way_in_crosses_the_ground_where_it_runs_fifteen_metres_deep_in_it(deep, crosses):
    """Deeper than 8 m from the edge, looked at each 8 m."""
    line = shapely.LineString([(50, -40), (50, deep)])
    assert faces._crosses(line, GROUND, GROUND.boundary) is crosses
    along = shapely.LineString([(-40, 6), (140, 6)])
    assert not faces._crosses(along, GROUND, GROUND.boundary)


def between(wide, tall, ends=0.0):
    """A way in from the west side and out by the south: ground shut in outside the corner."""
    way_in = closely([(-wide, ends - tall), (-wide, 50), (0, 50)])
    way_out = closely([(50, 0), (50, -tall), (-wide, -tall)])
    return way_in, way_out


def test_ground_between_the_way_in_and_the_way_out_is_told():
    found = faces._shut_in(between(60, 60), GROUND)
    (face,) = found
    assert face.where == "between"
    assert face.m2 == pytest.approx(110 * 110 - 50 * 50, rel=0.02)
    # no wider than sixteen metres it is drift
    assert faces._shut_in(between(14, 14), GROUND) == []
    assert len(faces._shut_in(between(20, 20), GROUND)) == 1
    # ways that end far apart shut nothing in but what they cross
    way_in, way_out = between(60, 60)
    assert faces._shut_in([way_in[60:], way_out[:-60]], GROUND) == []
    assert faces._shut_in([way_in[20:], way_out], GROUND) != [], "20 m apart they may still"
    assert faces._shut_in([way_in[-3:], way_out[:3]], GROUND) == []


def test_loops_before_and_after_are_told_by_where_they_lie():
    apart = faces._loop_apart(square(60, 200), GROUND)
    assert (apart.where, apart.m2) == ("alone", pytest.approx(3600, rel=0.05))
    assert apart.edge.area == pytest.approx(3600, rel=0.05)
    inside = faces._loop_apart(square(40, 30, 30), GROUND)
    assert (inside.where, inside.m2) == ("inside", pytest.approx(1600, rel=0.05))
    assert faces._loop_apart(square(80, 10, 10), GROUND) is None, "a lap, not a patch"
    assert faces._loop_apart(square(74, 13, 13), GROUND).where == "inside"
    assert faces._loop_apart(square(14, 40, 40), GROUND) is None, (
        "seven metres deep is drift"
    )
    assert faces._loop_apart(square(18, 40, 40), GROUND).where == "inside"
    assert faces._loop_apart(square(60, 4, 30), GROUND) is None, (
        "a side of it along the edge"
    )
    assert faces._loop_apart(closely([(200, 0), (260, 0)]), GROUND) is None
    assert faces._loop_apart(square(60, 200)[:3], GROUND) is None


def test_other_ground_is_told_the_largest_first_and_once():
    lap = closely([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)])
    before = np.vstack([square(70, 0, -120), closely([(0, -119), (0, -1)])])
    after = np.vstack([closely([(-1, 0), (-99, 0)]), square(90, -190, 0)])
    xy = np.vstack([before, lap, after])
    ends = (len(before), len(before) + len(lap) - 1)
    found = faces.other_faces(xy, ends, GROUND, 400.0)
    assert [face.where for face in found] == ["alone", "alone"]
    assert [face.m2 for face in found] == pytest.approx([8100, 4900], rel=0.05)
    # a piece shorter than two fifths of the lap holds no loop of its own
    small = np.vstack([closely([(0, -30), (0, -1)]), lap, square(30, -40, 0)])
    assert faces.other_faces(small, (30, 430), GROUND, 400.0) == ()
