"""A walked path step by step, as worked by hand: where it closes, its corners and bends."""

import numpy as np
import pytest
import shapely
from close_steps import closely

from quietacre.boundary import average, closing
from quietacre.boundary.closing import Closings, Path, closings, lap_m2, swept_m2
from quietacre.boundary.faces import Face, ac_said, same_ground, told
from quietacre.boundary.plane import Plane, beside_m, places_m, walked_m
from quietacre.boundary.ring import on_ground, valid_ring
from quietacre.boundary.span import too_far
from quietacre.figures import printed
from quietacre.units import ACRE_M2, MILE_M

SQUARE = np.array([(0.0, 0), (100, 0), (100, 100), (0, 100), (0, 0)])


# along a path


def test_how_far_was_walked_and_what_lies_there():
    walked = walked_m(SQUARE)
    assert walked.tolist() == [0, 100, 200, 300, 400]
    at = places_m(SQUARE, walked, np.array([-5.0, 0, 150, 250, 400, 900]))
    assert at.tolist() == [[0, 0], [0, 0], [100, 50], [50, 100], [0, 0], [0, 0]]


def test_a_point_lies_beside_the_nearest_place_of_a_path():
    along, apart = beside_m(SQUARE, np.array([(50.0, -7), (109, 30), (97, 60), (-3, 100)]))
    assert along == pytest.approx([50, 130, 160, 300], abs=0.26)
    assert apart == pytest.approx([7, 9, 3, 3], abs=0.01)


def test_a_plane_keeps_ground_across_the_antimeridian_together():
    plane = Plane.around(
        np.array([179.999, -179.999, 179.999]), np.array([52.0, 52.0, 52.1])
    )
    xy = plane.xy(np.array([179.999, -179.999]), np.array([52.0, 52.001]))
    # a degree of longitude at 52 north is 68.68 km, one of latitude 111.26 km
    assert np.diff(xy, axis=0)[0] == pytest.approx((137.4, 111.3), rel=1e-3)
    assert plane.lon0 == pytest.approx(179.999)
    assert plane.xy(*plane.lonlat(xy).T) == pytest.approx(xy)
    box = shapely.box(-50, -20, 30, 40)
    assert plane.local(plane.ground(box)).equals_exact(box, 1e-6)


def test_ground_swept_is_positive_against_the_clock():
    assert swept_m2(SQUARE[:-1]) == 10_000
    assert swept_m2(SQUARE[::-1]) == -10_000
    assert lap_m2(closely(SQUARE, 10.0), (0, 40)) == pytest.approx(10_000)


def test_ground_swept_so_far_is_twice_that_about_the_origin():
    path = Path(np.repeat(SQUARE, 2, axis=0))
    assert path.position.tolist() == [0, 2, 4, 6, 8], "repeats are passed over"
    # along the first and the last side nothing is swept; up the second, 100 m² a metre
    swept = path.swept(np.array([0.0, 60, 100, 150, 250, 300, 400]))
    assert swept.tolist() == [0, 0, 0, 5000, 15_000, 20_000, 20_000]
    assert path.near(150.0, 60.0).tolist() == [100, 200]
    assert path.near(140.0, 10.0).tolist() == [100], "the nearest where none is near"


def lap_of(begin, end, side=100.0):
    path = Path(closely(SQUARE * side / 100.0, side / 100.0))
    return closings(path, np.array([begin], float), np.array([end], float))


def test_a_lap_is_scored_by_ground_over_length_gap_and_turn():
    """From a corner of a square and back to it, at a right angle: 30 m for the turn."""
    laps = lap_of(0.0, 400.0)
    assert (laps.length[0, 0], laps.gap[0, 0], laps.ground[0, 0]) == pytest.approx(
        (400, 0, 1e4)
    )
    assert laps.signed[0, 0] == pytest.approx(1e4)
    assert laps.cos[0, 0] == pytest.approx(0.0, abs=1e-9)
    assert laps.score[0, 0] == pytest.approx(1e4 / 430**1.05)
    assert laps.open_score()[0, 0] == pytest.approx(1e4 / 400**1.05)
    # 20 m short of it, the gap counts six times; from the middle of a side it goes straight on
    short = lap_of(0.0, 380.0)
    assert short.score[0, 0] == pytest.approx(1e4 / (380 + 120 + 30) ** 1.05)
    assert short.open_score()[0, 0] == pytest.approx(1e4 / (380 + 120) ** 1.05)
    path = Path(closely([(50, 0), *SQUARE[1:], (50, 0)]))
    straight = closings(path, np.array([0.0]), np.array([400.0]))
    assert straight.cos[0, 0] == pytest.approx(1.0)
    assert straight.score[0, 0] == pytest.approx(1e4 / 400**1.05)
    # a lap walked with the clock is signed the other way
    other = closings(Path(closely(SQUARE[::-1])), np.array([0.0]), np.array([400.0]))
    assert (other.signed[0, 0], other.ground[0, 0]) == pytest.approx((-1e4, 1e4))


@pytest.mark.parametrize(
    ("side", "end", "closes"),
    [
        (100.0, 350.0, True),  # 50 m of 350: less than 15 in a hundred, 52.5
        (100.0, 345.0, False),  # 55 of 345 m: more than 51.75
        (20.0, 66.0, True),  # 14 m: the same place
        (20.0, 63.0, False),  # 17 m
        (4.0, 12.0, True),  # 4 m of 12
        (4.0, 9.0, False),  # 5 m of 9: more than half of it
        (2.4, 7.5, False),  # a lap of less than 8 m
        (2.4, 8.5, True),
    ],
)
def test_a_lap_closes_when_its_ends_are_near_for_its_length(side, end, closes):
    assert bool(lap_of(0.0, end, side).score[0, 0] > 0) is closes


def one_lap(ground, length=100.0, cos=1.0, score=1.0):
    some = [np.array([[one]], float) for one in (score, cos, ground, length, 0.0, ground)]
    return Closings(*some)


def test_a_needle_and_a_lap_that_turns_back_are_none():
    assert one_lap(41.0).best(0.0) == (0, 0)
    assert one_lap(39.0).best(0.0) is None, "there and back along a line: 0.004 of 100²"
    assert one_lap(500.0, cos=0.4).best(0.5) is None
    assert one_lap(500.0, cos=0.6).best(0.5) == (0, 0)
    assert one_lap(500.0, score=0.0).best(0.0) is None


@pytest.mark.parametrize("lead", [0, 40])
def test_the_lap_is_found_behind_a_way_in(lead):
    way = closely([(50.0, -lead - 1.0), (50.0, -1.0)]) if lead else np.zeros((0, 2))
    xy = np.vstack([way, closely([(50, 0), *SQUARE[1:], (50, 0)])])
    first, last = closing.best_pair(xy)
    assert first == pytest.approx(len(way), abs=2)
    assert last == pytest.approx(len(xy) - 1, abs=2)
    assert closing.best_pair(closely([(0, 0), (300, 0), (0, 0)])) is None
    assert closing.best_pair(np.zeros((5, 2))) is None
    # three fixes and the return to the first are the fewest that go round
    triangle = np.array([(0.0, 0), (20, 0), (10, 17), (0, 0)])
    assert closing.best_pair(triangle) == (0, 3)


def test_the_deepest_point_of_a_square_is_its_middle():
    point, deep = closing.deep_point(closely(SQUARE))
    assert point == pytest.approx((50, 50), abs=5)
    assert deep == pytest.approx(50, abs=5.1)
    assert closing.deep_point(closely([(0, 0), (50, 0), (0, 0)])) is None


# corners and bends between fixes


def test_a_corner_that_was_stepped_over_is_put_back():
    """Its two sides are drawn on until they meet; the time there lies between."""
    xy = [
        (-8, 0),
        (-4, 0),
        (0, 0),
        (4, 0),
        (8, 0),
        (10, 2),
        (10, 6),
        (10, 10),
        (10, 14),
        (10, 18),
    ]
    path = np.column_stack([np.array(xy, float), np.arange(10) * 4.0])
    made = average._filled(path, 20.0)
    corner = np.flatnonzero(made[:, 2] == 18.0)
    assert made[corner] == pytest.approx(np.array([(10.0, 0.0, 18.0)]))
    assert shapely.LineString(made[:, :2]).length == pytest.approx(18 + 18)
    mirrored = average._filled(path * (1, -1, 1), 20.0)
    assert mirrored == pytest.approx(made * (1, -1, 1))


def polygon_of(corners, radius):
    turn = 2 * np.pi * np.arange(corners + 6) / corners
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])


@pytest.mark.parametrize(
    ("corners", "chord", "farthest", "filled"),
    [
        (12, 10.0, 20.0, True),
        (10, 10.0, 20.0, True),  # turns of 36 degrees
        (8, 10.0, 20.0, False),  # turns of 45 are corners that fixes stand in
        (12, 2.6, 20.0, True),
        (12, 2.4, 20.0, False),  # nearer than two steps
        (12, 19.5, 20.0, True),
        (12, 20.5, 20.0, False),  # nothing is known of what lies between
    ],
)
def test_a_chord_of_a_bend_becomes_its_arc(corners, chord, farthest, filled):
    radius = chord / 2 / np.sin(np.pi / corners)
    path = polygon_of(corners, radius)
    made = average._filled(path, farthest)
    assert (len(made) > len(path)) is filled
    new = [one for one in made if not (np.abs(path - one).sum(axis=1) < 1e-9).any()]
    assert len(new) == (len(path) - 5 if filled else 0)
    for one in new:
        assert np.hypot(*one) == pytest.approx(radius, rel=2e-3)


def test_of_seldom_fixes_corner_and_bend_are_put_a_twelfth_out():
    """A chord of 30 m that turns by 45 degrees at both ends: 30 / 12 of a quarter turn."""
    radius = 15 / np.sin(np.pi / 8)
    path = polygon_of(8, radius)
    made = average._filled(path, 50.0)
    assert len(made) == len(path) * 2 - 5
    new = [one for one in made if not (np.abs(path - one).sum(axis=1) < 1e-9).any()]
    middle = radius * np.cos(np.pi / 8)
    for one in new:
        assert np.hypot(*one) == pytest.approx(middle + 30 * (np.pi / 2) / 12)


@pytest.mark.parametrize(
    ("step", "waits", "far"), [(12.0, 10.0, 30.0), (9.0, 10.0, 20.0), (11.0, 10.0, 27.5)]
)
def test_how_far_apart_a_path_is_still_drawn_out(step, waits, far):
    xy = np.column_stack([step * np.arange(40.0), np.zeros(40)])
    even = np.arange(40) * waits
    assert average._farthest_filled(xy, even) == far
    seldom = np.cumsum(np.where(np.arange(40) % 3 == 0, 9 * waits, waits))
    assert average._farthest_filled(xy, seldom) == 20.0, "saved where it turns"


def test_what_a_lap_misses_is_shared_out_near_its_ends_and_across_the_edge():
    """It ends 4 m north of where it began, in the middle of a side: 2 m each, by 25 m of edge."""
    xy = closely([(0, 0), (60, 0), (60, 100), (-60, 100), (-60, 4), (0, 4)])
    ring, times = average._closed_lap(xy, np.arange(len(xy)) * 1.0, 0.0, 20.0)
    at = {
        x: ring[(np.abs(ring[:, 0] - x) < 0.3) & (ring[:, 1] < 10), 1].mean()
        for x in (25, 50, -25)
    }
    assert ring[0] == pytest.approx((0.0, 2.0), abs=0.01)
    assert at[25] == pytest.approx(2 / np.e, abs=0.03)
    assert at[50] == pytest.approx(2 / np.e**2, abs=0.03)
    assert at[-25] == pytest.approx(4 - 2 / np.e, abs=0.03)
    assert (np.diff(times) > 0).all()
    # stopping short along the edge is no miss
    short = closely([(0, 0), (60, 0), (60, 100), (-60, 100), (-60, 0), (-6, 0)])
    ring, _ = average._closed_lap(short, np.arange(len(short)) * 1.0, 0.0, 20.0)
    assert np.abs(ring[ring[:, 1] < 50, 1]).min() == pytest.approx(0.0, abs=0.01)
    assert shapely.Polygon(ring).area == pytest.approx(12_000, rel=1e-3)


def test_a_gap_is_closed_by_a_straight_line_at_the_usual_pace():
    xy = closely([(0, 0), (60, 0), (60, 100), (0, 100), (0, 36)])
    when = np.arange(len(xy)) * 1.0
    ring, times = average._closed_lap(xy, when, 36.0, 20.0)
    assert shapely.Polygon(ring).area == pytest.approx(6000, rel=1e-6)
    steps = np.hypot(*np.diff(np.vstack([ring, ring[:1]]), axis=0).T)
    assert steps.max() < 2.1
    # the last point lies within two metres of the start: 36 m at 1.2 m a second later
    assert times[-1] == pytest.approx(when[-1] + 30.0, abs=1.8)


# other ground


def said_of(face):
    code, text = told(face, 2 * ACRE_M2, "“W”", 2.0)
    return code, printed(text)


def test_other_ground_is_told_in_acres_with_what_is_left():
    said = [printed(ac_said(ac * ACRE_M2)) for ac in (0.0994, 0.1)]
    assert said == ["0.099 ac", "0.10 ac"]
    code, text = said_of(Face(0.5 * ACRE_M2, "divided"))
    assert code == "loop-divided"
    assert "with about 0.50 ac on one side and 1.50 ac on the other" in text
    assert "between" not in text
    joined = said_of(Face(0.5 * ACRE_M2, "alone"))[1]
    assert "goes round about 0.50 ac beside its 2.00 ac" in joined, (
        "no range where no edge is known"
    )
    alone = Face(1e4, "alone", shapely.box(0, 0, 100, 100))
    code, text = said_of(alone)
    assert code == "second-loop"
    low, high = (
        float(one) for one in text.split("(between ")[1].split(")")[0].split(" and ")
    )
    assert low + high == pytest.approx(2 * 1e4 / ACRE_M2, abs=0.02)
    assert high > low


@pytest.mark.parametrize(
    ("times", "same"), [(0.49, False), (0.52, True), (1.95, True), (2.1, False)]
)
def test_ground_shut_in_is_a_loop_of_its_own_within_twice_its_acres(times, same):
    assert same_ground(Face(times * 100.0, "between"), [Face(100.0, "alone")]) is same
    assert not same_ground(Face(100.0, "between"), [])


# rings, and recordings that are none


def test_a_pinched_ring_is_bridged_and_its_crumbs_are_left():
    """An hour-glass of two squares whose sides cross by half a metre in the middle."""
    ring = np.array(
        [(0, 0), (100, 49.8), (200, 0), (200, 100), (100, 49.6), (0, 100)], float
    )
    made = valid_ring(ring)
    assert made.is_valid
    assert made.area == pytest.approx(10_000, rel=0.03), "both halves are kept"
    curl = np.vstack([closely(SQUARE, 5.0)[:10], [(60, 6), (66, 3), (58, -3), (52, 1)],
                      closely(SQUARE, 5.0)[12:-1]])  # fmt: skip
    assert valid_ring(curl).area == pytest.approx(10_000, rel=0.01)
    assert valid_ring(SQUARE).equals(shapely.Polygon(SQUARE))
    assert valid_ring(np.array([(0.0, 0), (10, 0), (20, 0), (10, 0)])) is None


def test_a_slit_is_closed_on_the_ground():
    plane = Plane(-86.3, 33.2)
    plain = shapely.box(0, 0, 100, 50)
    assert plane.local(on_ground(plain, plane)).equals_exact(plain, 1e-6)
    touching = shapely.Polygon(
        [(0, 0), (100, 0), (100, 50), (50, 50), (50, 0.0), (49.9999, 50), (0, 50)]
    )
    made = on_ground(touching, plane)
    assert made.is_valid
    assert plane.local(made).area in (
        pytest.approx(5000, rel=1e-3), pytest.approx(2500, rel=1e-3)
    )  # fmt: skip


@pytest.mark.parametrize(("miles", "far"), [(29.0, False), (31.0, True), (36.0, True)])
def test_thirty_miles_are_no_ground_that_one_walk_goes_round(miles, far):
    xy = np.zeros((200, 2))
    xy[:100, 0], xy[100:, 0] = -miles / 2 * MILE_M, miles / 2 * MILE_M
    found = too_far(xy)
    assert (found is not None) is far
    if far:
        assert found == (pytest.approx(miles), 100, pytest.approx(miles))


@pytest.mark.parametrize(
    ("count", "off", "far"), [(1000, 10, False), (1000, 11, True), (25, 1, False), (25, 2, True),
                              (20, 1, True)]
)  # fmt: skip
def test_a_few_fixes_far_off_are_jumps_of_the_receiver(count, off, far):
    xy = np.zeros((count, 2))
    xy[count // 2 : count // 2 + off, 1] = 40 * MILE_M
    assert (too_far(xy) is not None) is far
