"""Laps averaged to one ring, step by step: figures laid by hand, each limit from both sides."""

import numpy as np
import pytest
import shapely
from close_steps import closely

from quietacre.boundary import average
from quietacre.boundary.closing import swept_m2
from quietacre.boundary.loop import Loop
from quietacre.boundary.plane import unit_vectors


def path_of(steps, turns):
    """Return a path of so many metres a step, each turned by so many degrees from the one before."""
    heading = np.radians(np.cumsum(turns))
    moved = np.array(steps)[:, None] * np.column_stack([np.cos(heading), np.sin(heading)])
    return np.vstack([[0.0, 0.0], np.cumsum(moved, axis=0)])


# what fixes every few seconds cut off


def filled(a, b, before=0.0, after=0.0, size=5.0, farthest=20.0):
    """A step turned by a at its first fix and b at its second; its time is 4.5."""
    path = path_of([4, 4, 4, 3, size, 4, 4, 4, 4], [0, 0, 0, before, a, b, after, 0, 0])
    made = average._filled(np.column_stack([path, np.arange(10.0)]), farthest)
    new = made[made[:, 2] % 1 > 0]
    assert made[made[:, 2] % 1 == 0].tolist() == np.column_stack([path, range(10)]).tolist()
    return path, {time: (x, y) for x, y, time in new.tolist()}


CORNER, ARC, NONE = [2.5, 4.5, 6.5], [2.5, 3.5, 4.5, 5.5, 6.5], [2.5, 6.5]


@pytest.mark.parametrize(
    ("a", "b", "more", "kind"),
    [
        (30, 20, {}, CORNER),
        (20, 30, {}, CORNER),
        (23, 23, {}, CORNER),  # from 45 degrees in all on
        (22, 22, {}, ARC),
        (-30, -20, {}, CORNER),
        (74, 74, {}, CORNER),  # to 150
        (76, 76, {}, NONE),
        (30, -10, {}, ARC),  # against one another they are a wiggle
        (60, -10, {}, [2.5, 5.5, 6.5]),
        (39, 0, {}, ARC),  # of 40 a corner that the fix stands in
        (0, -41, {}, [2.5, 3.5, 6.5]),
        (60, 0, {}, [2.5, 5.5, 6.5]),
        # turned by less than four tenths of it beside
        (30, 30, {"before": 23}, [2.5, 4.5, 6.5]),
        (30, 30, {"before": 25}, ARC),
        (30, 30, {"after": -23}, [2.5, 4.5, 6.5]),
        (30, 30, {"after": -25}, ARC),
        # two steps and a half, and farther apart than is drawn out
        (30, 30, {"size": 2.4}, [2.5, 3.5, 5.5, 6.5]),
        (30, 30, {"size": 2.6}, CORNER),
        (30, 30, {"size": 19.9}, CORNER),
        (30, 30, {"size": 20.1}, [2.5, 3.5, 5.5, 6.5]),
    ],
)
def test_a_step_that_turns_is_a_corner_an_arc_or_neither(a, b, more, kind):
    path, new = filled(a, b, **more)
    assert sorted(new) == kind
    if 4.5 not in new:
        return
    if kind == ARC:
        step = path[5] - path[4]
        outward = np.array([step[1], -step[0]]) * np.radians(a + b) / 16
        assert new[4.5] == pytest.approx((path[4] + path[5]) / 2 + outward)
        return
    ahead, behind = path[4] - path[3], path[5] - path[6]
    sides = [
        shapely.LineString([path[4], path[4] + 40 * ahead]),
        shapely.LineString([path[5], path[5] + 40 * behind]),
    ]
    assert new[4.5] == pytest.approx(shapely.get_coordinates(sides[0] & sides[1])[0])


def test_exactly_two_steps_and_a_half_or_twenty_metres_are_left():
    """Right-angled steps of 1.5 by 2 m, and of 12 by 16."""
    for east, north in ((1.5, 2.0), (12.0, 16.0)):
        path = np.array(
            [(-12, 0), (-8, 0), (-4, 0), (0, 0), (east, north), (east, north + 4),
             (east, north + 8), (east, north + 12)], float
        )  # fmt: skip
        made = average._filled(path, 20.0)
        assert not ((made[:, 0] > 0) & (made[:, 1] < north)).any()
        assert (made == (east, north)).all(axis=1).sum() == 1


def test_of_seldom_fixes_no_corner_is_made():
    """A twelfth of chord and turn, whatever the turn."""
    path, new = filled(80, 60, farthest=50.0)
    assert sorted(new) == ARC
    step = path[5] - path[4]
    outward = np.array([step[1], -step[0]]) * np.radians(140) / 12
    assert new[4.5] == pytest.approx((path[4] + path[5]) / 2 + outward)


def test_a_path_of_five_steps_is_the_shortest_that_is_filled():
    five = path_of([4] * 5, [0, 10, 10, 10, 10])
    assert len(average._filled(five, 20.0)) == 7
    four = path_of([4] * 4, [0, 10, 10, 10])
    assert average._filled(four, 20.0) is four


@pytest.mark.parametrize(
    ("step", "wait", "far"), [(10.0, 5.0, 20.0), (10.5, 5.0, 26.25), (7.0, 5.0, 20.0)]
)
def test_fixes_saved_by_time_more_than_ten_metres_apart_are_seldom(step, wait, far):
    xy = np.column_stack([step * np.arange(12.0), np.zeros(12)])
    assert average._farthest_filled(xy, wait * np.arange(12)) == far
    assert average._farthest_filled(xy, np.full(12, np.nan)) == 20.0, "without times"


# one lap closed


def test_what_a_lap_begun_in_a_corner_misses_is_shared_out_across_both_sides():
    """Four metres short along the last side: half of it counts across the middle of both ways."""
    lap = closely([(0, 0), (60, 0), (60, 60), (0, 60), (0, 4)])
    ring, times = average._closed_lap(lap, np.arange(len(lap)) * 1.0, 0.0, 20.0)
    assert ring[0] == pytest.approx((1.0, 1.0), abs=1e-3)
    back = np.exp(-1 / 25)  # a metre before the end
    assert ring[-1] == pytest.approx((-back, 5 - back), abs=1e-3)
    assert (times[0], times[-1]) == (0.0, pytest.approx(len(lap) - 1, abs=2.0))


def test_a_small_lap_has_twelve_places_and_its_own_fixes():
    """Three, four and five metres: a place each metre, and its corners among them."""
    lap = np.array([(0, 0), (3, 0), (3, 4), (0, 0)], float)
    ring, times = average._closed_lap(lap, np.array([0.0, 3, 7, 12]), 0.0, 20.0)
    assert len(ring) == 12
    assert times == pytest.approx(np.arange(12.0))
    assert ring[[0, 3, 7]] == pytest.approx(lap[:3])
    # a fix half a metre on is its own place, one within the half metre is none
    more = np.array([(0, 0), (0.45, 0), (0.55, 0), (3, 0), (3, 4), (0, 0)], float)
    ring, _ = average._closed_lap(more, np.arange(6.0), 0.0, 20.0)
    assert ring[:3, 0] == pytest.approx([0.0, 0.55, 1.0])
    assert len(ring) == 13


def test_a_lap_has_a_place_each_two_metres_or_less():
    lap = np.array([(0, 0), (30, 0), (30, 40), (0, 0)], float)
    ring, times = average._closed_lap(lap, np.array([5.0, 35, 75, 125]), 0.0, 20.0)
    assert len(ring) == 60
    assert times == pytest.approx(5 + 2.0 * np.arange(60))
    closed, later = average._closed_lap(lap[:3], np.array([5.0, 35, 75]), 50.0, 20.0)
    assert closed == pytest.approx(ring), "its gap is bridged"
    assert later[:36] == pytest.approx(times[:36])
    # at 1.2 m a second
    assert later[36:] == pytest.approx(75 + (2.0 * np.arange(36, 60) - 70) / 1.2)


def test_a_pause_on_the_edge_is_one_place_when_it_was_reached():
    lap = np.array([(0, 0), (3, 0), (3, 0), (3, 4), (0, 0)], float)
    ring, times = average._closed_lap(lap, np.array([0.0, 3, 50, 54, 59]), 0.0, 20.0)
    assert len(ring) == 12
    assert times[:4] == pytest.approx([0, 1, 2, 3])
    assert times[7] == pytest.approx(54)


def test_a_vector_of_no_length_has_no_direction():
    found = unit_vectors(np.array([(3.0, 4.0), (0.0, 0.0), (0.0, -1e-12)]))
    assert found == pytest.approx(np.array([(0.6, 0.8), (0, 0), (0, -1)]))
    assert unit_vectors(np.array([0.0, -2.0])).tolist() == [0.0, -1.0]


# laps kept in step

SQUARE = [(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)]
BASE = closely(SQUARE, 2.0)[:-1]
EVERY = np.arange(200)
EDGE = 2.0 * EVERY


def test_a_lap_begun_elsewhere_keeps_step_over_the_seam():
    """Begun a hundred metres along the edge."""
    along = (EDGE - 100.0) % 400.0
    steady = average._in_step(BASE, EVERY, along, 400.0)
    assert steady == pytest.approx(along)
    ahead = (EDGE + 30.0) % 400.0
    assert average._in_step(BASE, EVERY, ahead, 400.0) == pytest.approx(ahead)
    # never beyond the piece's own ends
    short = average._in_step(BASE, EVERY, EDGE - 1.0, 390.0)
    assert short == pytest.approx(np.clip(EDGE - 1.0, 0, 390))


@pytest.mark.parametrize(("off", "gone"), [(7, True), (8, False)])
def test_what_fifteen_metres_of_edge_do_not_say_is_no_step(off, gone):
    """Seven places of fifteen."""
    along = EDGE + 3.0
    along[80 : 80 + off] += 9.0
    steady = average._in_step(BASE, EVERY, along, 900.0)
    assert (np.abs(steady - EDGE - 3.0).max() < 1e-9) == gone


def test_of_few_places_three_are_looked_at():
    base = closely(SQUARE, 25.0)[:-1]
    edge = 25.0 * np.arange(16)
    along = edge + 3.0
    along[4] += 9.0
    found = average._in_step(base, np.arange(16), along, 900.0)
    assert found == pytest.approx(edge + 3.0)
    along[5] += 9.0
    assert average._in_step(base, np.arange(16), along, 900.0)[4:6] == pytest.approx(
        edge[4:6] + 3.0 + 6.0
    )


def whole_piece(path, near_m=25.0):
    return average._Piece(path, np.arange(len(path)) * 1.0, True, near_m, True)


def test_beside_a_corner_the_other_lap_has_its_own():
    """Two metres outside, the nearest place is on either side of it, in step it is the corner."""
    out = closely([(-2, -2), (102, -2), (102, 102), (-2, 102), (-2, -2)])
    match, near, tells = average._beside(
        whole_piece(out), BASE, average._chords(BASE, 10), 20
    )
    assert tells
    assert near.sum() >= 195
    for corner, wanted in ((50, (102, -2)), (100, (102, 102)), (150, (-2, 102))):
        assert match[corner] == pytest.approx(wanted, abs=0.3)


LINE = np.column_stack([np.arange(0.0, 120.0, 2.0), np.zeros(60)])
EAST = np.tile((1.0, 0.0), (60, 1))


@pytest.mark.parametrize(("turned", "same"), [(59, True), (61, False)])
def test_a_piece_goes_the_way_of_the_edge_within_sixty_degrees(turned, same):
    way = np.array([np.cos(np.radians(turned)), np.sin(np.radians(turned))])
    path = np.array([60.0, 0.0]) + np.linspace(-40, 40, 81)[:, None] * way
    _, near, tells = average._beside(whole_piece(path), LINE, EAST, 20.0)
    assert near.any() == same
    assert tells is same


@pytest.mark.parametrize(
    ("usual", "farthest"), [(1.0, 8.0), (2.5, 10.0)]
)  # eight metres, or four times the usual distance
def test_a_piece_that_runs_away_is_a_way_out(usual, farthest):
    run = [(0, usual), (90, usual), (110, usual + 20)]
    _, near, _ = average._beside(whole_piece(closely(run, 0.5)), LINE, EAST, 20.0)
    last = LINE[near][-1, 0]
    # from 90 m on it lies off by x - 90 more, at a slope of one: nearest at a right angle
    apart = shapely.LineString(run).distance(shapely.Point(last, 0))
    beyond = shapely.LineString(run).distance(shapely.Point(last + 2, 0))
    assert apart <= farthest + 0.1
    assert beyond > farthest - 0.1
    assert near[: int(last / 2) + 1].all()


# the laps together


def test_each_piece_is_as_the_first_lap_was_walked():
    lap = closely(SQUARE)
    xy = np.vstack([lap, lap[1:], lap[::-1][1:], lap[1:100]])
    when = np.arange(len(xy)) * 1.0
    some = Loop(((0, 400), (400, 800), (800, 1200)), 0.0, ((1200, len(xy) - 1),), 0.3, 50.0)
    same, back, part = average._pieces(xy, when, some, swept_m2(lap))
    assert same.path.tolist() == xy[400:801].tolist()
    assert same.time_s.tolist() == when[400:801].tolist()
    assert same[2:] == (True, 25.0, True)
    assert back.path.tolist() == xy[800:1201][::-1].tolist()
    assert back.time_s.tolist() == (-when[800:1201][::-1]).tolist()
    assert back[2:] == (True, 25.0, False)
    assert part.path.tolist() == xy[1200:].tolist()
    assert part.time_s.tolist() == when[1200:].tolist()
    assert part[2:] == (False, 8.0, True)
    turned = average._pieces(xy, when, some, -swept_m2(lap))
    assert [piece.same_way for piece in turned] == [False, True, True]
    enough = average._pieces(xy, when, Loop(*((*some_of(some), 0.7, 50.0))), 1.0)
    assert enough[-1].near_m == 25.0, "seven tenths of a lap are proof"


def some_of(loop):
    return loop.laps, loop.gap_m, loop.parts


def bulged(north):
    """Round a square, its south side bulged between 35 and 65 m along it."""
    return closely([(0, 0), (35, 0), (50, north), (65, 0), *SQUARE[1:]])


def test_where_the_first_lap_has_no_fixes_the_others_say_where_the_edge_is():
    first = np.vstack([closely([(0, 0), (35, 0)]), closely([(65, 0), *SQUARE[1:]])])
    two, three = bulged(-5.0), bulged(-3.0)
    xy = np.vstack([first, two[1:], three[1:]])
    a, b, c = np.cumsum([len(first) - 1, len(two) - 1, len(three) - 1]).tolist()
    when = np.arange(len(xy)) * 1.0

    def south(laps):
        mean = average.average(xy, when, Loop(laps, 0.0, (), 0.0, 50.0))
        middle = np.abs(mean.ring[:, 0] - 50) < 1.1
        return mean, mean.ring[middle & (mean.ring[:, 1] < 50), 1]

    alone, flat = south(((0, a),))
    assert flat == pytest.approx(0.0)
    assert (alone.laps, len(alone.each), alone.apart_m.tolist()) == (1.0, 1, [])
    mean, low = south(((0, a), (a, b)))
    assert low.min() == pytest.approx(-5.0, abs=0.5)
    hidden = 15 / len(mean.ring)  # a place each two metres
    assert mean.laps == pytest.approx(2 - hidden, abs=0.006)
    mean, low = south(((0, a), (a, b), (b, c)))
    assert low.min() == pytest.approx(-4.0, abs=0.5), "the mean of those two"
    assert mean.laps == pytest.approx(3 - hidden, abs=0.006)
    assert [lap.same_way for lap in mean.each] == [True] * 3
    places = mean.ring[(mean.ring[:, 1] > 2)]
    assert np.abs(places - 50).max() == pytest.approx(50, abs=0.1)


def test_the_first_lap_is_the_one_that_was_given_and_none_of_the_way_out():
    lap = closely([(50, 0), (100, 0), (100, 100), (0, 100), (0, 0), (50, 0)])
    xy = np.vstack([closely([(50, -40), (50, -1)]), lap, closely([(50, 1), (50, 30)])])
    when = np.arange(len(xy)) * 1.25
    found = average.average(xy, when, Loop(((40, 440),), 0.0, (), 0.0, 50.0))
    ring, times = average._closed_lap(lap, when[40:441], 0.0, 20.0)
    assert found.ring.tolist() == ring.tolist()
    assert found.time_s.tolist() == times.tolist()
    assert shapely.Polygon(found.ring).area == pytest.approx(10_000)
    (each,) = found.each
    assert each.same_way
    assert each.ring.tolist() == ring.tolist()


@pytest.mark.parametrize("other_way", [False, True])
def test_how_far_another_lap_lies_beside_the_first(other_way):
    """Three metres inside all round; walked the other way, that is no drift."""
    lap, inner = closely(SQUARE), closely([(3, 3), (97, 3), (97, 97), (3, 97), (3, 3)])
    xy = np.vstack([lap, inner[::-1] if other_way else inner])
    laps = ((0, 400), (401, 401 + len(inner) - 1))
    mean = average.average(xy, np.arange(len(xy)) * 1.0, Loop(laps, 0.0, (), 0.0, 50.0))
    assert np.median(mean.apart_m) == pytest.approx(0.0 if other_way else -3.0, abs=0.3)
    assert mean.apart_m.mean() == pytest.approx(0.0 if other_way else -3.0, abs=0.3)
    assert [one.same_way for one in mean.each] == [True, not other_way]
    assert shapely.Polygon(mean.each[1].ring).area == pytest.approx(94**2, rel=5e-3)
