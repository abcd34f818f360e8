"""Two loops of one recording: figures laid by hand, each limit from both sides."""

import numpy as np
import pytest
import shapely
from close_steps import closely
from shapely.ops import substring

from quietacre.boundary import two_laps
from quietacre.boundary.closing import Path
from quietacre.boundary.two_laps import Halves, halves, in_a_row


def two_squares(one, two, neck):
    """Two squares two metres apart, joined by a lane of so many metres, walked round as one."""
    middle = min(one, two) / 2
    low, high = middle - neck / 2, middle + neck / 2
    far, end = one + 2, one + 2 + two
    return [(0, middle), (0, 0), (one, 0), (one, low), (far, low), (far, 0), (end, 0), (end, two),
            (far, two), (far, high), (one, high), (one, one), (0, one), (0, middle)]  # fmt: skip


def begun_at(corners, at_m):
    """The same round, begun so far along it."""
    line = shapely.LineString(corners)
    at_m %= line.length
    parts = substring(line, at_m, line.length), substring(line, 0, at_m)
    return [*parts[0].coords, *list(parts[1].coords)[1:]]


def halved(corners, **more):
    xy = closely(corners)
    return halves(xy, (0, len(xy) - 1), **more)


def near(m2):
    return pytest.approx(m2, abs=6)


# two loops side by side


def test_a_lap_with_a_neck_is_two_halves_that_meet_in_the_middle_of_it():
    """60 m squares, a neck of 6: 30 + 60 + 27 + 1 m to it, and each has a metre of the lane."""
    lap = halved(two_squares(60, 60, 6))
    assert lap == Halves((118, 354), pytest.approx(3606), pytest.approx(3606), at_end=False)
    # the same lap within a longer path
    xy = np.vstack([closely([(-40, 30), (-1, 30)]), closely(two_squares(60, 60, 6))])
    assert halves(xy, (40, 512)) == Halves((158, 394), near(3606), near(3606), at_end=False)
    unlike = halved(two_squares(60, 40, 6))
    assert (unlike.inner_m2, unlike.outer_m2) == (near(1606), near(3606))
    turned = halved(two_squares(60, 60, 6)[::-1])
    assert turned == Halves(
        (118, 354), pytest.approx(3606), pytest.approx(3606), at_end=False
    )


@pytest.mark.parametrize(
    ("one", "two", "neck", "two_loops"),
    [
        (60, 60, 21, True),  # 20 m; between two places the path may come 1.4 m nearer
        (60, 60, 22, False),
        (30, 30, 12, True),  # four tenths of 30 m
        (30, 30, 13.5, False),
        (100, 27, 4, False),  # eight hundredths of the larger
        (100, 29, 4, True),
    ],
)
def test_a_neck_is_narrow_for_its_halves(one, two, neck, two_loops):
    assert (halved(two_squares(one, two, neck)) is not None) == two_loops


def test_a_wider_neck_may_be_asked_for():
    corners = two_squares(80, 80, 30)
    assert halved(corners) is None
    assert halved(corners, neck=(0.55, 35.0)) == Halves(
        (146, 438), near(6430), near(6430), at_end=False
    )


@pytest.mark.parametrize(
    ("degrees", "opens"), [(7, False), (8, False), (9, True), (14, True)]
)
def test_from_a_neck_the_sides_go_apart(degrees, opens):
    """12 m wide, 25 m on 12 m and 50 times the sine; 10.5 m must be 0.55 of that at most."""
    end = 6 + 80 * np.tan(np.radians(degrees))
    corners = [(-70, 0), (-70, -40), (0, -40), (0, -6), (80, -end), (80, end), (0, 6), (0, 40),
               (-70, 40), (-70, 0)]  # fmt: skip
    assert (halved(corners) is not None) == opens


@pytest.mark.parametrize(
    ("side", "before", "at_end"),
    [
        (60, 5, True),
        (60, 26, True),  # six hundredths of 472 m
        (60, 32, False),
        (25, 14, True),  # of 200 m, 15 m
        (25, 18, False),
    ],
)
def test_a_loop_walked_right_before_or_after_the_other_is_at_an_end(side, before, at_end):
    corners = two_squares(side, side, 6)
    line = shapely.LineString(corners)
    neck = line.project(shapely.Point(side + 1, side / 2 - 3))
    ahead = halved(begun_at(corners, neck - before))
    assert ahead.at_end == at_end
    assert ahead.inner[0] == pytest.approx(before, abs=3)
    behind = halved(begun_at(corners, line.length - neck + before))
    assert behind.at_end == at_end
    assert behind.inner[1] == pytest.approx(line.length - before, abs=3)


# two laps in a row


def in_turn(side, gap):
    """Two squares, each walked but for a gap before its end, the second 80 m to the west."""
    half = side / 2
    one = [(half, 0), (side, 0), (side, side), (0, side), (0, 0), (half - gap, 0)]
    two = [(-80, 0), (-80, side), (-80 - side, side), (-80 - side, 0), (-80 - gap, 0)]
    return closely([*one, *two])


@pytest.mark.parametrize(
    ("side", "gap", "alone", "together"),
    [
        (60, 0, True, True),
        (60, 20, True, True),  # 20 m, and half of what lies between two places
        (60, 22, False, True),
        (60, 28, False, True),  # 30 m where they make up the outline
        (60, 33, False, False),
        (30, 13, True, True),  # 0.45 of 30 m
        (30, 15, False, True),
    ],
)
def test_two_laps_in_a_row_each_close_by_themselves(side, gap, alone, together):
    xy = in_turn(side, gap)
    first = 4 * side - gap
    second = first + side / 2 - gap + 80
    wanted = [0, first, second, second + 4 * side - gap]
    for best_m2, found in ((side**2, alone), (2 * side**2, together)):
        row = in_a_row(xy, best_m2)
        assert (row is not None) == found
        if row is not None:
            assert [*row.one, *row.two] == pytest.approx(wanted, abs=5)
            assert row.crossed is False


@pytest.mark.parametrize(
    ("times", "made_up"), [(0.82, False), (0.88, True), (1.14, True), (1.18, False)]
)
def test_two_laps_make_up_the_outline_to_within_fifteen_hundredths(times, made_up):
    """A gap of 25 m takes about two hundredths of the ground of both."""
    row = in_a_row(in_turn(60, 25), 7200 / times)
    assert (row is not None) == made_up


@pytest.mark.parametrize(("best_m2", "found"), [(44_000, True), (46_500, False)])
def test_a_crumb_of_the_best_lap_is_no_lap(best_m2, found):
    """Eight hundredths of it."""
    assert (in_a_row(in_turn(60, 10), best_m2) is not None) == found


def test_no_way_at_all_holds_no_laps():
    assert in_a_row(np.zeros((6, 2)), 100.0) is None
    assert in_a_row(closely([(0, 0), (200, 0)]), 100.0) is None


@pytest.mark.parametrize(
    ("degrees", "straight"), [(0, True), (30, True), (33, False), (90, False)]
)
def test_a_path_runs_straight_through_within_thirty_two_degrees(degrees, straight):
    """A cosine of 0.85, over 20 m before and behind."""
    turn = np.radians(degrees)
    off = np.array([np.cos(turn), np.sin(turn)])
    ways = [(-30, 0), (0, 0), 60 * off, 60 * off + (0, 80), (0, 80), (0, 0), 30 * off]
    path = Path(closely(ways))
    begin, end = 30.0, float(path.walked[-1]) - 30.0
    assert two_laps._runs_through(path, begin, end)[0] is False, "it comes back from above"
    straight_on = Path(closely([(-30, 0), (0, 0), 90 * off]))
    assert two_laps._runs_through(straight_on, 30.0, 90.0)[0] is straight


@pytest.mark.parametrize(
    ("apart", "lane", "ends_m"), [(9.5, True, None), (10.5, False, None), (30.0, True, 14.5),
                                  (30.0, False, 15.5)]
)  # fmt: skip
def test_in_and_out_by_one_lane_lie_ten_metres_apart_or_their_ends_meet(
    apart, lane, ends_m
):
    """At 20, 35 and 50 m."""
    way_in, way_out = [(-60, 0), (0, 0)], [(0, apart), (-60, apart)]
    way_out.append((-90, apart) if ends_m is None else (-60, ends_m))
    path = Path(closely([*way_in, (60, 0), (60, apart), *way_out], 0.5))
    assert two_laps._runs_through(path, 60.0, 180.0 + apart)[1] is lane


@pytest.mark.parametrize(("begin", "left"), [(19.5, False), (20.0, True), (25.0, True)])
def test_from_twenty_metres_of_way_on_a_path_comes_to_two_laps(begin, left):
    path = Path(closely([(0, 0), (200, 0)], 0.5))
    assert two_laps._runs_through(path, begin, 100.0)[0] is left
    assert two_laps._runs_through(path, 100.0, 200.0 - begin)[0] is left
    assert two_laps._runs_through(path, begin, 100.0)[1] is not left


def test_two_laps_may_share_three_tenths_of_the_smaller():
    """Squares of 100 and 60 m; a strip of 17 m by 60, and of 19."""
    for west, beside in ((83.0, True), (81.0, False)):
        one = closely([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)])
        two = one * 0.6 + (west, 0.0)
        assert two_laps._beside(one, two, 5.0) is beside
        assert two_laps._beside(two, one, 5.0) is beside


@pytest.mark.parametrize(("turn_m", "pinched"), [(7.0, False), (8.5, True), (13.0, True)])
def test_sides_that_run_on_for_twelve_metres_are_pinched(turn_m, pinched):
    """East and back five metres beside; a right angle so far before and behind.

    Over 12 m of path the two ways agree to within 60 degrees from 7.6 m on.
    """
    there = [(-60, -60), (-turn_m, -60), (-turn_m, 0), (turn_m, 0), (turn_m, -60)]
    back = [(turn_m, 60), (turn_m, 5), (-turn_m, 5), (-turn_m, 60)]
    path = Path(np.array([*there, (90, -60), (90, 60), *back], float))
    one = 60 - turn_m + 60 + turn_m
    two = (
        60
        - turn_m
        + 60
        + 2 * turn_m
        + 60
        + (90 - turn_m)
        + 120
        + (90 - turn_m)
        + 55
        + turn_m
    )
    assert path.place(np.array([one, two])) == pytest.approx(np.array([(0, 0), (0, 5)]))
    assert two_laps._pinched(path, np.array([one, two])) is pinched


def test_no_two_laps_are_the_best_where_none_scores():
    assert two_laps._best_two(np.zeros((5, 5))) is None
    score = np.zeros((5, 5))
    score[0, 2] = score[2, 4] = 0.5
    assert two_laps._best_two(score) == ((0, 2), (2, 4))
    score[1, 3] = 0.6  # better, and over both
    assert two_laps._best_two(score) == ((0, 2), (2, 4))
    score[1, 3], score[1, 4] = 0.0, 0.6
    assert two_laps._best_two(score) == ((0, 2), (2, 4))


def test_two_triangles_of_three_steps_are_the_least_that_is_a_row():
    one = np.array([(0, 0), (30, 0), (15, 26), (0, 0)], float)
    xy = np.vstack([one, one + (100, 0)])
    path = Path(xy)
    at = path.walked
    laps = two_laps.closings(path, at, at)
    assert two_laps._row(xy, path, at, laps, ((0, 3), (4, 7))) == two_laps.Row(
        (0, 3), (4, 7), crossed=False
    )
    assert two_laps._row(xy, path, at, laps, ((0, 2), (4, 7))) is None
    assert two_laps._row(xy, path, at, laps, ((0, 3), (4, 6))) is None
    # over one another they are no two
    over = np.vstack([one, one + (10, 0)])
    again = Path(over)
    laps = two_laps.closings(again, again.walked, again.walked)
    assert two_laps._row(over, again, again.walked, laps, ((0, 3), (4, 7))) is None
