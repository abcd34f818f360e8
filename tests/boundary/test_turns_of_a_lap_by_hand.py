"""The laps of a path and the one that is meant: figures laid by hand, each limit from both sides."""

import numpy as np
import pytest
import shapely
from close_steps import closely
from shapely.ops import substring

from quietacre.boundary import loop
from quietacre.boundary.faces import Face
from quietacre.boundary.loop import Loop, find_loop
from quietacre.boundary.two_laps import Halves, Row

# the laps of a loop


def test_a_square_is_one_lap_and_a_triangle_of_four_fixes_too():
    xy = closely([(50, 0), (100, 0), (100, 100), (0, 100), (0, 0), (50, 0)])
    for path in (xy, xy[::-1]):
        assert find_loop(path) == Loop(
            ((0, 400),), 0.0, (), 0.0, pytest.approx(50, abs=5), ()
        )
    corners = np.array([(0, 0), (60, 0), (30, 50), (0, 0)], float)
    assert find_loop(corners).laps == ((0, 3),)
    assert find_loop(corners[:3]) is None
    assert find_loop(closely([(0, 0), (200, 0)])) is None


@pytest.mark.parametrize(
    ("side", "gap", "bridged"), [(100, 14, False), (100, 16, True), (250, 28, False), (250, 31, True)]
)  # fmt: skip
def test_a_gap_of_three_hundredths_of_a_lap_or_fifteen_metres_is_no_gap(side, gap, bridged):
    half = side / 2
    xy = closely([(half, 0), (side, 0), (side, side), (0, side), (0, 0), (half - gap, 0)])
    found = find_loop(xy)
    assert found.laps == ((0, len(xy) - 1),)
    assert found.gap_m == pytest.approx(gap if bridged else 0.0)


@pytest.mark.parametrize(("more", "counts"), [(54, False), (66, True), (150, True)])
def test_less_than_three_twentieths_of_a_further_lap_is_none(more, counts):
    """Seen from the middle: 60 m of 400, begun at a corner, are less than an eighth; half a side more."""
    around = [(50, 0), (100, 0), (100, 100), (0, 100), (0, 0), (50, 0)]
    line = shapely.LineString(around)
    ahead = [*around, *list(substring(line, 0, more).coords)[1:]]
    found = find_loop(closely(ahead))
    x, y = np.array(ahead[-1]) - 50
    turned = (np.arctan2(y, x) + np.pi / 2) % (2 * np.pi) / (2 * np.pi)
    assert (turned >= 0.15) == counts
    total = len(closely(ahead)) - 1
    assert bool(found.parts) == counts
    if not counts:
        assert (found.parts, found.part_laps) == ((), 0.0)
    else:
        assert found.part_laps == pytest.approx(turned, abs=0.02)
        assert found.ends == (pytest.approx(0, abs=2), pytest.approx(total, abs=2))


@pytest.mark.parametrize(
    ("part", "told"),
    [(0.69, 2.0), (0.7, 2.7), (0.75, 2.8), (0.9, 2.9), (0.91, 3.0), (1.3, 3.0)],
)
def test_a_last_piece_counts_from_seven_tenths_and_is_a_lap_above_nine(part, told):
    some = Loop(((5, 9), (9, 13)), 0.0, (), part, 5.0)
    assert some.counted == told


# where a turn ends


def once_round(nearest, count=400, a_turn=199.9):
    """Angles of so many places a turn, all 50 m off the first but for these distances."""
    off = np.full(count, 50.0)
    off[0] = 0.0
    for at, apart in nearest.items():
        off[at] = apart
    xy = np.column_stack([off, np.zeros(count)])
    return xy, 2 * np.pi * np.arange(count) / a_turn


@pytest.mark.parametrize(
    ("nearest", "back"),
    [
        ({190: 2.0, 171: 1.0}, 171),  # 0.93 turns are 186 places; from 0.92 of those
        ({190: 2.0, 170: 1.0}, 190),
        ({190: 2.0, 203: 1.0}, 203),  # to 1.08 of them, and three
        ({190: 2.0, 204: 1.0}, 190),
    ],
)
def test_a_turn_ends_where_the_path_is_nearest_about_there(nearest, back):
    xy, swept = once_round(nearest)
    away = np.zeros(len(xy), dtype=bool)
    assert loop._turn_later(xy, swept, away, 0, 1) == back
    # the same path followed to its beginning
    assert loop._turn_later(xy[::-1], -swept[::-1], away, 399, -1) == 399 - back
    # and against the way it turns
    assert loop._turn_later(xy, -swept, away, 0, 1) is None
    assert loop._turn_later(xy[::-1], swept[::-1], away, 399, -1) is None


def test_a_turn_is_three_places_at_least_and_ends_with_the_path():
    xy, swept = once_round({2: 0.5, 3: 2.0}, 12, 3.2)
    away = np.zeros(12, dtype=bool)
    assert loop._turn_later(xy, swept, away, 0, 1) == 3
    xy, swept = once_round({190: 2.0, 195: 1.0}, 196)
    assert loop._turn_later(xy, swept, np.zeros(196, dtype=bool), 0, 1) == 195
    short, angle = once_round({185: 1.0}, 186)
    assert loop._turn_later(short, angle, np.zeros(186, dtype=bool), 0, 1) is None
    enough, angle = once_round({186: 1.0}, 187)
    assert loop._turn_later(enough, angle, np.zeros(187, dtype=bool), 0, 1) == 186


@pytest.mark.parametrize(("count", "back"), [(39, 199), (40, None)])
def test_a_turn_of_which_a_fifth_is_away_is_none(count, back):
    xy, swept = once_round({199: 1.0})
    away = np.zeros(400, dtype=bool)
    away[200:] = True
    away[100 : 100 + count] = True
    assert loop._turn_later(xy, swept, away, 0, 1) == back
    # its last place counts among its two hundred, and none behind it
    away[200:] = False
    away[138], away[199] = False, True
    assert loop._turn_later(xy, swept, away, 0, 1) == back


def test_of_two_squares_walked_in_turn_the_larger_is_the_loop_and_the_other_told_once():
    one = [(40, 0), (80, 0), (80, 80), (0, 80), (0, 0), (40, 0)]
    two = [(40, -60), (160, -60), (160, 0), (220, 0), (220, -60), (160, -60)]
    found = find_loop(closely([*one, *two]))
    assert found.laps == ((0, pytest.approx(320, abs=2)),)
    (face,) = found.others
    assert (face.where, face.m2) == ("alone", pytest.approx(3600, rel=0.02))
    assert face.edge.area == pytest.approx(3600, rel=0.02)


def test_a_piece_before_the_first_lap_counts_as_one_behind_the_last_does():
    """Three eighths of a lap more, with a way out of 57 m to the outside, and the same walked back."""
    around = [(50, 0), (100, 0), (100, 100), (0, 100), (0, 0), (50, 0)]
    more = [(100, 0), (100, 100)]
    xy = np.vstack([closely([*around, *more]), closely([(101, 101), (141, 141)])])
    behind, before = find_loop(xy), find_loop(xy[::-1])
    assert len(behind.laps) == len(before.laps) == 1
    assert 0.2 < behind.part_laps < 3 / 8
    assert 0.2 < before.part_laps < 3 / 8


def test_laps_are_found_whichever_way_round_they_were_walked():
    square = closely([(0, 0), (50, 0), (50, 50), (0, 50), (0, 0)])
    one, back = square[1:], square[::-1][1:]
    xy = np.vstack([square, back, one, one, back])
    swept = np.unwrap(np.arctan2(xy[:, 1] - 25, xy[:, 0] - 25))
    away = np.zeros(len(xy), dtype=bool)
    found = loop._all_laps(xy, swept, away, (400, 600))
    assert found[0] == (400, 600)
    assert sorted(found) == [(0, 200), (200, 400), (400, 600), (600, 800), (800, 1000)]


# one of two


def asked(monkeypatch, row=None, cut_up=False, splits=(), wide=None, m2=None):
    """What is told of a lap from 0 to 100 of a path, with what is known of it given."""
    left = list(splits)

    def split(_xy, _lap, neck=None):
        if neck is not None:
            assert neck == (0.55, 35.0)
            return wide
        return left.pop(0) if left else None

    monkeypatch.setattr(loop, "in_a_row", lambda *_: row)
    monkeypatch.setattr(loop, "_cut_up", lambda *_: cut_up)
    monkeypatch.setattr(loop, "halves", split)
    monkeypatch.setattr(loop, "lap_m2", lambda _, lap: (m2 or {}).get(lap, 1000.0))
    monkeypatch.setattr(loop, "_closed_near", lambda _, first, last: (first, last))
    xy = closely([(0, 0), (30, 0), (30, 20), (0, 20), (0, 0)])
    return loop._one_of_two(xy, (0, 100))


ROW = Row((2, 20), (30, 60), crossed=False)
M2 = {ROW.one: 1000.0, ROW.two: 2000.0}


def test_of_two_in_a_row_the_larger_is_meant_and_the_smaller_told(monkeypatch):
    lap, (face,) = asked(monkeypatch, ROW, m2=M2)
    assert lap == ROW.two
    assert (face.m2, face.where) == (1000.0, "alone")
    xy = closely([(0, 0), (30, 0), (30, 20), (0, 20), (0, 0)])
    assert face.edge.equals(shapely.Polygon(xy[2:21]))
    lap, (face,) = asked(monkeypatch, ROW, m2={ROW.one: 2000.0, ROW.two: 1000.0})
    assert lap == ROW.one
    assert face.edge.equals(shapely.Polygon(xy[30:61]))
    crossed = Row(ROW.one, ROW.two, crossed=True)
    assert asked(monkeypatch, crossed, m2=M2) == ((0, 100), (Face(1000.0, "divided"),))


def test_a_third_lap_of_two_fifths_more_ground_is_meant_unless_it_is_pieces_of_both(
    monkeypatch,
):
    third = {**M2, (0, 100): 4200.0}
    assert asked(monkeypatch, ROW, m2=third) == ((0, 100), ())
    assert asked(monkeypatch, ROW, m2={**M2, (0, 100): 4199.0})[0] == ROW.two
    assert asked(monkeypatch, ROW, cut_up=True, m2=third)[0] == ROW.two


def test_a_lap_that_begins_or_ends_with_one_of_two_is_not_cut_out_of_it():
    line = closely([(0, 0), (200, 0)])
    back = np.vstack([closely([(0, 0), (60, 0)]), closely([(60, 1), (0, 1)])])
    # it closes: begun with the first of both, it is no piece of that
    assert not loop._cut_up(back, (10, 111), Row((10, 50), (80, 120), crossed=False))
    assert loop._cut_up(back, (11, 110), Row((10, 50), (80, 120), crossed=False))
    # it does not close: begun with the second of both
    assert not loop._cut_up(line, (60, 100), Row((10, 50), (60, 120), crossed=False))
    assert loop._cut_up(line, (59, 100), Row((10, 50), (60, 120), crossed=False))
    # twenty metres are still closed
    assert not loop._cut_up(line, (95, 115), Row((10, 50), (100, 120), crossed=False))
    assert loop._cut_up(line, (95, 116), Row((10, 50), (100, 120), crossed=False))


@pytest.mark.parametrize(
    ("split", "lap", "told"),
    [
        # a small curl of the edge is told; from a fifth on it is the loop that is meant
        (Halves((20, 60), 199.0, 1000.0, at_end=False), (0, 100), (Face(199.0, "joined"),)),
        (Halves((20, 60), 200.0, 1000.0, at_end=False), (20, 60), ()),
        (Halves((20, 60), 900.0, 1000.0, at_end=False), (20, 60), ()),
        # of two walked one after the other it is the larger
        (Halves((20, 60), 100.0, 1000.0, at_end=True), (60, 100), ()),
        (Halves((40, 61), 100.0, 1000.0, at_end=True), (0, 40), ()),
        (Halves((40, 60), 100.0, 1000.0, at_end=True), (0, 40), ()),
        (Halves((20, 60), 1000.0, 1000.0, at_end=True), (20, 60), ()),
        (Halves((20, 60), 1100.0, 1000.0, at_end=True), (20, 60), ()),
    ],
)
def test_of_a_lap_that_is_two_the_loop_that_is_meant(monkeypatch, split, lap, told):
    assert asked(monkeypatch, splits=[split]) == (lap, told)


def test_a_lap_is_halved_three_times_at_most(monkeypatch):
    splits = [
        Halves((10 * n, 100 - 10 * n), 900.0, 1000.0, at_end=False) for n in (1, 2, 3, 4)
    ]
    wide = Halves((10, 60), 600.0, 500.0, at_end=False)
    assert asked(monkeypatch, splits=splits, wide=wide) == ((30, 70), ())
    assert asked(monkeypatch, splits=splits[:2], wide=wide) == (
        (20, 80),
        (Face(500.0, "narrow"),),
    )


@pytest.mark.parametrize(("inner", "told"), [(149.0, False), (150.0, True), (400.0, True)])
def test_a_side_at_a_wide_neck_is_told_from_three_twentieths_of_the_lap_on(
    monkeypatch, inner, told
):
    for one, two in ((inner, 800.0), (800.0, inner)):
        wide = Halves((10, 60), one, two, at_end=False)
        faces = (Face(inner, "narrow"),) if told else ()
        assert asked(monkeypatch, wide=wide) == ((0, 100), faces)


def test_a_lap_is_closed_best_within_fifteen_metres_of_about_there():
    lead = closely([(50, -80), (50, -1)])
    lap = closely([(50, 0), (100, 0), (100, 100), (0, 100), (0, 0), (50, 0)])
    xy = np.vstack([lead, lap, closely([(50, -1), (50, -80)])])
    for first, last in ((80, 480), (70, 490), (90, 470), (72, 474)):
        found = loop._closed_near(xy, first, last)
        assert found == (pytest.approx(80, abs=2), pytest.approx(480, abs=2))
    line = closely([(0, 0), (200, 0)])
    assert loop._closed_near(line, 20, 120) == (20, 120)


def test_of_a_loop_that_stands_alone_the_most_ground_is_told():
    edge, more = shapely.box(0, 0, 30, 30), shapely.box(0, 0, 36, 36)
    face, whole = Face(900.0, "alone", edge), Face(1296.0, "alone", more)
    less = Face(700.0, "alone", shapely.box(0, 0, 28, 25))
    between = Face(1200.0, "between", more)
    assert loop._told_whole(face, (less, whole, between)) == whole
    assert loop._told_whole(face, (less, between)) == face
    assert loop._told_whole(face, ()) == face
    joined = Face(900.0, "joined")
    assert loop._told_whole(joined, (whole,)) == joined
