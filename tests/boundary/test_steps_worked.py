"""Which steps are believed and how laps are kept in step, rule by rule, on paths laid out by hand."""

import numpy as np
import pytest
import shapely
from close_steps import closely

from quietacre.boundary import average, clean, closing
from quietacre.boundary.closing import Closings, swept_m2
from quietacre.boundary.edges import _keys, _labels, edges_of
from quietacre.boundary.loop import Loop
from quietacre.model import Layer, Track


def path_of(steps, turns=None):
    """Return a path of so many metres a step, each turned by so many degrees from the one before."""
    heading = np.radians(np.cumsum(np.zeros(len(steps)) if turns is None else turns))
    moved = np.array(steps)[:, None] * np.column_stack([np.cos(heading), np.sin(heading)])
    return np.vstack([[0.0, 0.0], np.cumsum(moved, axis=0)])


# steps that are believed


def test_a_burst_is_believed_by_the_step_beside_it_that_goes_the_same_way():
    """At a pace of 2 m a second and five of slack: 7 m; 1.7 times a step of 3 m is 5.1, and five."""
    plain = clean._believed(path_of([1, 1, 1, 1]), np.arange(5.0), 2.0)
    assert plain.tolist() == [7.0] * 4
    burst = clean._believed(path_of([1, 3, 1, 1]), np.arange(5.0), 2.0)
    assert burst == pytest.approx([10.1, 7.0, 10.1, 7.0])
    # no more than three paces, nor 15 m a second; and only within 60 degrees
    fast = clean._believed(path_of([1, 9, 9, 1]), np.arange(5.0), 2.0)
    assert fast == pytest.approx([11.0] * 4)
    ride = clean._believed(path_of([1, 14, 14, 1]), np.arange(5.0), 8.0)
    assert ride == pytest.approx([20.0] * 4)
    turned = clean._believed(path_of([1, 3, 1, 1], [0, 65, 0, 0]), np.arange(5.0), 2.0)
    assert turned == pytest.approx([7.0, 7.0, 10.1, 7.0])
    bent = clean._believed(path_of([1, 3, 1, 1], [0, 55, 0, 0]), np.arange(5.0), 2.0)
    assert bent == pytest.approx([10.1, 7.0, 10.1, 7.0])
    slow = clean._believed(path_of([1, 3, 1]), np.arange(4.0) * 2, 2.0)
    assert slow == pytest.approx([1.7 * 1.5 * 2 + 5, 9.0, 1.7 * 1.5 * 2 + 5])


def test_a_way_down_a_hill_is_believed_while_it_goes_on_evenly():
    """Steps of 20 m a second, each no more than half as long again as those beside it."""
    xy = path_of([12, 16, 20, 20, 16, 12])
    found = clean._believed(xy, np.arange(7.0), 10.0)
    assert found[2:4] == pytest.approx([30.0, 30.0]), "up to 25 m a second, and five"
    assert found[0] == pytest.approx(20.0), "at an end nothing tells that it goes on"
    speed = np.array([10.0, 14, 10, 16, 10, 10])
    same = np.ones(5, dtype=bool)
    assert clean._steady(speed, same).tolist() == [False, True, False, False, False, False]
    same[1] = False
    assert not clean._steady(np.full(6, 5.0), same)[1:3].any()
    assert clean._steady(np.full(6, 5.0), same)[3:5].all()


@pytest.mark.parametrize(
    ("steps", "pace"),
    [
        (np.full(60, 1.0), 2.0),
        (np.full(60, 3.0), 4.8),  # 1.6 times the usual
        (np.full(60, 12.0), 15.0),
        (np.r_[np.full(30, 2.0), np.full(30, 4.0)], 6.4),  # the quicker three tenths of it
        (np.r_[np.full(46, 2.0), np.full(14, 4.0)], 3.2),
        (np.full(8, 3.0), 4.8),
    ],
)
def test_the_pace_is_that_of_the_quicker_part_over_twelve_seconds(steps, pace):
    xy = path_of(steps)
    assert clean._pace_m_s(xy, np.arange(len(xy)) * 1.0) == pytest.approx(pace, rel=0.02)


def test_fixes_within_forty_after_a_jump_are_looked_at():
    jump = np.zeros(120, dtype=bool)
    jump[10] = True
    assert np.flatnonzero(clean._near(jump)).tolist() == list(range(11, 52))


def test_the_longest_chain_of_believable_fixes_is_kept():
    """Of two stretches 100 m apart the longer stays; over fixes left out a step may be longer."""
    xy = np.vstack([path_of([1] * 9), path_of([1] * 19) + (0, 100)])
    believed = np.full(29, 7.0)
    off = clean._off_chain(xy, believed, 2.0 * np.arange(30), 5.0)
    assert np.flatnonzero(off).tolist() == list(range(10))
    xy = path_of([1] * 29)
    xy[12:15] += (0, 100)
    off = clean._off_chain(xy, believed, 2.0 * np.arange(30), 5.0)
    assert np.flatnonzero(off).tolist() == [12, 13, 14]
    xy[15:] += (
        10.5,
        0,
    )  # 14.5 m in four steps of two and five of slack: from two fixes before
    off = clean._off_chain(xy, believed, 2.0 * np.arange(30), 5.0)
    assert np.flatnonzero(off).tolist() == [10, 11, 12, 13, 14]
    assert not clean._off_chain(xy, believed, 2.0 * np.arange(30), 7.0)[:12].any()
    assert not clean._off_chain(path_of([1] * 29), believed, np.zeros(30), 0.0).any()


@pytest.mark.parametrize(
    ("count", "back", "kept"), [(6, 1, True), (6, 3, False), (4, 0, False)]
)
def test_five_long_steps_that_do_not_come_back_are_a_way_of_saving(count, back, kept):
    """Long sides of a plot; jumps go out and back within four fixes, in a third of them."""
    steps, turns = [], []
    for n in range(count):
        steps += [1.0] * 6 + [50.0]
        turns += [0.0] * 6 + [60.0]
        if n < back:
            steps += [1.0, 50.0]
            turns += [0.0, 180.0]
    xy = path_of(steps, turns)
    long = np.array(steps) > 20
    assert clean._saved_by_turns(xy, long) is kept


@pytest.mark.parametrize(
    ("path", "jump"),
    [
        ([(0, 0), (0, 100), (2, 100), (2, 0)], True),
        ([(0, 0), (0, 100), (2, 100), (2, 200)], False),  # it goes on
        (
            [(0, 0), (0, 24), (2, 24), (2, 0)],
            False,
        ),  # less than half of the longest believed
        ([(0, 0), (0, 26), (2, 26), (2, 0)], True),
        ([(0, 0), (0, 100), (45, 100), (90, 100), (130, 100), (130, 0)], True),
        (
            [
                (0, 0),
                (0, 100),
                (40, 100),
                (80, 100),
                (60, 140),
                (40, 120),
                (20, 100),
                (2, 0),
            ],
            False,
        ),
    ],
)
def test_a_jump_goes_out_and_back_and_no_way_of_its_own(path, jump):
    """The longest step that is believed is 50 m."""
    assert clean._comes_back(np.array(path, float), 50.0) is jump


def test_at_an_end_a_jump_lies_off_by_more_than_the_rest_is_wide():
    xy = np.vstack([[(0.0, 130.0)], closely([(0, 0), (100, 0)], 10.0)])
    off = np.zeros(len(xy), dtype=bool)
    off[0] = True
    assert clean._out_and_back(xy, off, 50.0).tolist() == off.tolist()
    xy[0, 1] = 90.0
    assert not clean._out_and_back(xy, off, 50.0).any()
    last = np.vstack([closely([(0, 0), (100, 0)], 10.0), [(100.0, 130.0)]])
    assert clean._out_and_back(last, off[::-1], 50.0).tolist() == off[::-1].tolist()


# laps kept in step


def test_another_lap_keeps_step_with_the_edge():
    """A lap that lies 2 m outside: beside each place of the edge, its own place there."""
    base = closely([(0, 0), (100, 0), (100, 100), (0, 100), (0, 2)], 2.0)
    chord = average._chords(base, 10)
    out = closely([(-2, -2), (102, -2), (102, 102), (-2, 102), (-2, -2)], 2.0)
    piece = average._Piece(out, np.arange(len(out)) * 2.0, True, 25.0, True)
    match, near, which = average._beside(piece, base, chord, 20.0)
    assert which
    assert near.mean() > 0.95
    middle = np.flatnonzero((base[:, 1] == 0) & (base[:, 0] > 30) & (base[:, 0] < 70))
    assert match[middle] == pytest.approx(base[middle] + (0, -2), abs=0.5)
    far = average._Piece(out, piece.time_s, True, 1.5, True)
    assert not average._beside(far, base, chord, 20.0)[1].any()
    # the other way round is no way along it
    back = average._Piece(out[::-1], piece.time_s, True, 25.0, True)
    assert not average._beside(back, base, chord, 20.0)[1].any()
    still = average._Piece(np.zeros((3, 2)), np.arange(3.0), True, 25.0, True)
    assert average._beside(still, base, chord, 20.0) is None


def test_a_piece_is_the_edge_only_between_its_own_ends():
    base = closely([(0, 0), (100, 0), (100, 100), (0, 100), (0, 2)], 2.0)
    chord = average._chords(base, 10)
    part = closely([(20, 1), (80, 1)], 2.0)
    piece = average._Piece(part, np.arange(len(part)) * 2.0, False, 8.0, True)
    _, near, _ = average._beside(piece, base, chord, 20.0)
    found = base[near]
    assert found[:, 1].tolist() == [0.0] * len(found)
    assert (found[:, 0].min(), found[:, 0].max()) == pytest.approx((22, 78), abs=2.1)


@pytest.mark.parametrize(("depth", "parts", "near"), [(60.0, 0.8, 25.0), (20.0, 0.8, 16.0), (60.0, 0.5, 8.0),
                                                      (5.0, 0.5, 4.0)])  # fmt: skip
def test_how_near_a_piece_must_keep(depth, parts, near):
    """25 m, or eight tenths of the plot's half-width; 8 m for little of a lap."""
    lap = closely([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)])
    xy = np.vstack([lap, lap[::-1][1:], lap[:100]])
    when = np.arange(len(xy)) * 1.0
    ends = len(lap) - 1
    some = Loop(
        ((0, ends), (ends, 2 * ends)), 0.0, ((2 * ends, len(xy) - 1),), parts, depth
    )
    pieces = average._pieces(xy, when, some, swept_m2(lap))
    assert [piece.whole for piece in pieces] == [True, False]
    assert pieces[0].near_m == min(25.0, 0.8 * depth)
    assert pieces[1].near_m == pytest.approx(near)
    assert [piece.same_way for piece in pieces] == [False, True]
    # the lap walked the other way is turned about, its clock too
    assert pieces[0].path[0].tolist() == xy[2 * ends].tolist()
    assert (np.diff(pieces[0].time_s) > 0).all()


def test_chords_point_along_the_ring():
    ring = closely([(0, 0), (100, 0), (100, 100), (0, 100), (0, 1)])
    found = average._chords(ring, 10)
    assert found[50] == pytest.approx((1, 0))
    assert found[150] == pytest.approx((0, 1))
    assert found[250] == pytest.approx((-1, 0))
    assert np.hypot(*found.T) == pytest.approx(1.0)


# where a path closes


def some_laps(ground, length, gap):
    given = [
        np.array([one], float)
        for one in ([1.0, 1.0], [0.0, 0.0], ground, length, gap, ground)
    ]
    return Closings(*given)


@pytest.mark.parametrize(
    ("ground", "length", "gap", "one"),
    [
        ([2100, 1000], [280, 200], [10, 0], True),
        ([1900, 1000], [280, 200], [10, 0], False),  # less than twice any other
        (
            [2100, 1000],
            [295, 200],
            [10, 0],
            False,
        ),  # a needle: less than a fortieth of 295²
        ([2100, 1000], [280, 200], [16, 0], False),  # its ends lie 16 m apart
    ],
)
def test_a_lap_may_begin_in_a_sharp_corner(ground, length, gap, one):
    laps = some_laps(ground, length, gap)
    assert closing._begins_in_a_corner(laps, (0, 0), (0, 1)) is one
    stout = ground[0] >= 0.025 * length[0] ** 2 and gap[0] <= 15
    assert closing._begins_in_a_corner(laps, (0, 0), None) is stout


def test_a_triangle_begun_in_its_sharp_corner_is_found():
    xy = closely([(0, 0), (100, -22), (100, 22), (0, 0)])
    assert closing.best_pair(xy) == (
        pytest.approx(0, abs=4),
        pytest.approx(len(xy) - 1, abs=4),
    )


def test_of_a_pinched_loop_all_is_taken():
    """Half of it closes best at the pinch; the whole closes too, and encloses more."""
    waist = [
        (0, 0),
        (60, 0),
        (60, 28),
        (66, 30),
        (110, 2),
        (110, 60),
        (66, 32),
        (60, 34),
        (60, 60),
        (0, 60),
        (0, 0),
    ]
    xy = closely([(30, 0), *waist[1:], (30, 0)])
    first, last = closing.whole_pair(xy)
    assert (first, last) == (pytest.approx(0, abs=4), pytest.approx(len(xy) - 1, abs=4))


def test_laps_counted_and_their_ends():
    some = Loop(((50, 90), (90, 130)), 0.0, ((130, 150), (20, 50)), 0.0, 5.0)
    assert some.ends == (20, 150)
    for part, told in ((0.69, 2.0), (0.71, 2.7), (0.89, 2.9), (0.91, 3.0)):
        assert Loop(some.laps, 0.0, some.parts, part, 5.0).counted == told


# names of edges


def test_edges_of_one_name_are_numbered_and_shown_apart():
    assert _labels(["South", "", "South", "North", ""]) == [
        "South 1", "unnamed 1", "South 2", "North", "unnamed 2",
    ]  # fmt: skip
    assert _labels(["South", "South", "south 2"]) == ["South 1", "South 2'", "south 2"]
    assert _labels([""]) == ["unnamed 1"]


def layer_of(names):
    layer = Layer.__new__(Layer)
    boxes = [shapely.box(n, 0, n + 0.001, 0.001) for n in range(len(names))]
    for key, value in {
        "source": "e.kml", "geometry": boxes, "name": list(names), "kind": ["plot"] * len(names),
        "feature": [f"feature {n + 1}" for n in range(len(names))], "tracks": (),
    }.items():  # fmt: skip
        object.__setattr__(layer, key, value)
    return layer


def test_a_word_means_an_edge_by_name_by_number_or_by_place():
    edges = edges_of(layer_of(["South", "North", "South", "", "south"]))
    assert [one.key for one in edges.measured] == [
        "South#1",
        "North",
        "South#2",
        "unnamed#1",
        "south",
    ]
    assert [one.places for one in edges.measured] == [(1,), (2,), (3,), (4,), (5,)]

    def places(word):
        picked = edges.pick(word)
        return None if picked is None else [one.places[0] for one in picked.edges]

    assert places("South") == [1, 3]
    assert places("SOUTH") == [1, 3, 5]
    assert places("North") == [2]
    assert places("South#2") == [3]
    assert places("South#3") is None
    assert places("South#0") is None
    assert places("unnamed#1") == [4]
    assert places("#4") == [4]
    assert places("#9") is None
    assert places("East") is None
    assert edges.pick("#4").number == 4
    assert (edges.pick("South#2").how, edges.pick("South#2").number) == ("numbered", 2)
    assert edges.known() == "“South#1”, “North”, “South#2”, “unnamed#1”, “south”"
    assert edges.known(2) == "“South#1”, “North” and 3 more"
    assert edges_of(layer_of([])).known() == "none"


def test_walks_without_a_name_are_numbered_as_drawings_are():
    edges = edges_of(layer_of(["", "A", ""]))
    assert [one.label for one in edges.measured] == ["unnamed 1", "A", "unnamed 2"]
    assert [one.key for one in edges.measured] == ["unnamed#1", "A", "unnamed#2"]
    assert [one.which for one in edges.measured][1] == ((2,), "A")
    called = edges_of(layer_of(["unnamed", "", "a#1", "A", "a"]))
    for edge in called.measured:
        (found,) = called.pick(edge.key).edges
        assert found.places == edge.places, edge.key


def test_a_line_whose_ends_meet_is_an_edge_beside_the_drawings():
    """Drawn with six points, so no walk; its place in the file comes after the drawings."""
    ring = np.array(
        [(-86.3, 33.2), (-86.299, 33.2), (-86.299, 33.201), (-86.3, 33.201), (-86.3, 33.2)]
    )
    layer = layer_of(["South"])
    line = Track(
        "Bench",
        "e.kml",
        "line",
        ring[:, 0],
        ring[:, 1],
        np.full(5, np.nan),
        np.zeros(5, int),
    )
    object.__setattr__(layer, "tracks", (line,))
    edges = edges_of(layer)
    assert [one.key for one in edges.measured] == ["South", "Bench"]
    (bench,) = edges.pick("Bench").edges
    assert bench.places == (2,)
    assert bench.shape.equals(shapely.Polygon(ring))
    assert bench.where == "track 1"
    assert edges.pick("#2").edges == (bench,)


def test_a_key_is_no_name_of_another_edge():
    edges = edges_of(layer_of(["A", "A", "A#1"])).measured
    assert _keys(edges) == ["#1", "A#2", "A#1"]
    for edge in edges:
        assert (
            edges_of(layer_of(["A", "A", "A#1"])).pick(edge.key).edges[0].places
            == edge.places
        )
