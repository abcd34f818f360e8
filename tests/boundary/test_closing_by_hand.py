"""Where a path closes, each choice alone: laps that fit, the best of them, and all of a loop."""

import math

import numpy as np
import pytest
import shapely

from quietacre.boundary import closing
from quietacre.boundary.closing import (
    Closings,
    Path,
    best_pair,
    closings,
    deep_point,
    whole_pair,
)


def lap(corners, begin=0.0, end=None):
    """Return the one lap of a path between two distances walked along it, its ends by default."""
    path = Path(np.array(corners, float))
    end = path.walked[-1] if end is None else end
    return closings(path, np.array([begin]), np.array([end]))


@pytest.mark.parametrize(
    ("corners", "closes"),
    [
        ([(0, 0), (2, 0), (2, 2), (0, 2), (0, 0)], False),  # 8 m round is no lap yet
        ([(0, 0), (2.5, 0), (2.5, 2), (0, 2), (0, 0)], True),
        ([(0, 0), (30, 0), (30, 15), (0, 15)], True),  # 15 m apart is the same place
        ([(0, 0), (30, 0), (30, 15.1), (0, 15.1)], False),
        ([(0, 0), (0, 85), (30, 85), (30, 0)], True),  # 15 in a hundred of 200 m
        ([(0, 0), (0, 84), (32, 84), (32, 0)], False),
        ([(0, 0), (0, 3), (6, 3), (6, 0)], True),  # half of 12 m
        ([(0, 0), (0, 2.9), (6, 2.9), (6, 0)], False),
    ],
)
def test_ends_close_a_lap_up_to_their_limit_and_no_farther(corners, closes):
    found = lap(corners)
    assert bool(found.score[0, 0] > 0) is closes
    assert closes or found.score[0, 0] == 0.0
    assert found.ground[0, 0] == pytest.approx(shapely.Polygon(corners).area)


def test_headings_are_those_of_eight_metres_wherever_the_plot_lies():
    """It sets out to the east, turning south after 4 m, and comes home to the south-west."""
    corners = np.array([(0, 0), (4, 0), (4, -40), (-60, -40), (-60, 60), (12, 16), (0, 0)]) + (
        500.0, -300.0,
    )  # fmt: skip
    found = lap(corners)
    ahead, behind = np.array([4.0, -4.0]), np.array([-0.6, -0.8])
    cos = ahead @ behind / math.hypot(*ahead)
    length = shapely.LineString(corners).length
    ground = shapely.Polygon(corners).area
    assert found.cos[0, 0] == pytest.approx(cos)
    assert found.signed[0, 0] == pytest.approx(-ground), "with the clock"
    assert found.score[0, 0] == pytest.approx(ground / (length + 30 * (1 - cos)) ** 1.05)
    # at its last fix nothing lies ahead
    assert lap(corners, begin=length, end=length).cos[0, 0] == 0.0


def test_a_score_whatever_the_headings_counts_a_metre_at_least():
    one = np.ones((1, 3))
    laps = Closings(one, one, 7 * one, np.array([[0.5, 1.5, -3.0]]), 0 * one, one)
    assert laps.open_score()[0] == pytest.approx([7, 7 / 1.5**1.05, 7])


def given(score, cos=1.0, ground=1e3, length=100.0, gap=0.0):
    score = np.array([score], float)
    rest = [
        np.broadcast_to(np.array(one, float), score.shape)
        for one in (cos, ground, length, gap)
    ]
    return Closings(score, *rest, rest[1])


def test_the_best_lap_is_that_of_most_score_of_those_whose_headings_agree():
    laps = given([0.5, 9.0, 0.4], cos=[1.0, -1.0, 1.0])
    assert laps.best(0.0) == (0, 0)
    assert laps.best(-math.inf) == (0, 1)
    assert given([0.5, 9.0], cos=[0.6, 0.5]).best(0.5) == (0, 0), (
        "an angle as large is refused"
    )
    assert given([0.5], ground=40.0).best(0.0) == (0, 0), "0.004 of 100 m squared is a lap"
    assert given([0.5], ground=39.9).best(0.0) is None
    assert given([0.0], ground=400.0).best(0.0) is None


@pytest.mark.parametrize(
    ("ground", "length", "gap", "taken"),
    [(2000.0, 200.0, 15.0, True), (1999.0, 200.0, 15.0, False), (2000.0, 282.9, 15.0, False),
     (2000.0, 282.8, 15.0, True), (2000.0, 200.0, 15.1, False)],
)  # fmt: skip
def test_a_sharp_corner_begins_a_lap_of_twice_the_ground_that_closes_and_is_no_needle(
    ground, length, gap, taken
):
    laps = given([1, 1], ground=[ground, 1000], length=[length, 100], gap=[gap, 0])
    assert closing._begins_in_a_corner(laps, (0, 0), (0, 1)) is taken
    exact = given([1], ground=[1000.0], length=[200.0], gap=[15.0])
    assert closing._begins_in_a_corner(exact, (0, 0), None), "a fortieth of 200 m squared"


# the best pair: nodes first, then the fixes near two of them


class Told:
    """Answers in place of scored laps, one after another; keeps what was asked."""

    def __init__(self, monkeypatch, *answers):
        self.answers, self.asked = list(answers), []
        monkeypatch.setattr(closing, "closings", self)

    def __call__(self, path, begin, end):
        self.asked.append((begin.tolist(), end.tolist()))
        return self.answers.pop(0)(len(begin), len(end))


def scored(at, **more):
    """An answer that has these scores at (row, column), zero elsewhere, and so much else there."""

    def answer(rows, columns):
        shape = (rows, columns)
        made = {"score": 0.0, "cos": 1.0, "ground": 1e4, "length": 400.0, "gap": 0.0}
        fields = {name: np.full(shape, one) for name, one in made.items()}
        for place, score in at.items():
            fields["score"][place] = score
        for name, values in more.items():
            for place, value in values.items():
                fields[name][place] = value
        return Closings(*fields.values(), fields["ground"])

    return answer


def line(metres, step):
    """A straight path with a fix each so many metres: where it closes is told, not found."""
    return np.column_stack(
        [np.arange(0.0, metres + step / 2, step), np.zeros(metres // step + 1)]
    )


@pytest.mark.parametrize(("metres", "nodes"), [(10, 13), (100, 51), (1000, 201)])
def test_a_path_has_a_node_each_two_metres_twelve_at_least_and_two_hundred_at_most(
    metres, nodes, monkeypatch
):
    told = Told(monkeypatch, scored({}))
    assert best_pair(line(metres, 2)) is None
    ((begin, end),) = told.asked
    assert begin == end == pytest.approx(np.linspace(0, metres, nodes))


def test_the_fixes_within_a_node_of_the_best_two_are_tried(monkeypatch):
    """Nodes each 5 m, at 50 m and at 900 m; of fixes each 2 m five lie within one of them."""
    told = Told(
        monkeypatch,
        scored({(10, 180): 0.5}),
        scored({(1, 2): 0.5, (3, 4): 9.0}, cos={(3, 4): -1.0}),
    )
    assert best_pair(line(1000, 2)) == (24, 450)
    assert told.asked[1] == ([46, 48, 50, 52, 54], [896, 898, 900, 902, 904])


@pytest.mark.parametrize(("ground", "pair"), [(2.5e4, (22, 451)), (1.5e4, (24, 450))])
def test_a_lap_begun_in_a_sharp_corner_is_taken_for_twice_the_ground(
    ground, pair, monkeypatch
):
    """The other turns back; of the fixes near it those are tried that turn back as well."""
    fine = scored({(1, 2): 0.5, (2, 3): 9.0}, cos={(2, 3): -1.0})
    nodes = scored({(10, 180): 0.5, (9, 180): 0.6}, cos={(9, 180): -1.0},
                   ground={(9, 180): ground})  # fmt: skip
    told = Told(monkeypatch, nodes, fine)
    first, last = best_pair(line(1000, 2))
    begin = [46, 48, 50, 52, 54] if pair == (24, 450) else [40, 42, 44, 46, 48, 50]
    assert told.asked[1][0] == begin
    assert (first, last) == pair


@pytest.mark.parametrize(("end", "pair"), [(2, None), (3, (0, 3))])
def test_a_lap_has_three_steps_at_least(end, pair, monkeypatch):
    """Of fixes each 10 m and nodes each 2 m, the one near the beginning and one near the end."""
    Told(monkeypatch, scored({(0, 5 * end): 0.5}), scored({(0, 0): 0.5}))
    assert best_pair(line(100, 10)) == pair


def test_repeated_fixes_are_passed_over_and_counted_in_the_answer():
    square = np.array([(0.0, 0), (20, 0), (20, 20), (0, 20), (0, 0)])
    assert best_pair(np.repeat(square, 3, axis=0)) == (0, 12)


# all of a loop


INNER = {(0, 0): 1.0}


@pytest.mark.parametrize(
    ("score", "ground", "gap", "whole"),
    [
        (0.8, 1500.0, 0.0, True),
        (0.79, 1500.0, 0.0, False),
        (0.9, 1100.0, 0.0, True),
        (0.9, 1099.0, 0.0, False),
        (0.9, 2000.0, 0.0, True),
        (0.9, 2001.0, 0.0, False),
        (0.9, 1500.0, 15.0, True),
        (0.9, 1500.0, 15.1, False),
    ],
)
def test_a_lap_round_the_best_one_is_the_loop_where_it_closes_as_well(
    score, ground, gap, whole, monkeypatch
):
    """It scores eight tenths, encloses 1.1 to 2 times the ground, and its ends are one place."""
    monkeypatch.setattr(closing, "best_pair", lambda _: (10, 60))
    place = (5, 9)
    told = Told(
        monkeypatch,
        scored(
            {**INNER, place: score},
            ground={(0, 0): 1000.0, place: ground},
            gap={place: gap},
        ),
    )
    assert whole_pair(line(200, 2)) == ((2, 60) if whole else (10, 60))
    # from the first fix on to 8 m within the lap, and from 8 m before its end to the last
    assert told.asked == [([20, *range(29)], [120, *range(112, 201)])]


def test_of_several_loops_round_the_best_one_that_of_most_ground_is_taken(monkeypatch):
    monkeypatch.setattr(closing, "best_pair", lambda _: (10, 60))
    answer = scored(
        {**INNER, (2, 9): 0.99, (3, 17): 0.85, (4, 11): 0.5},
        ground={(0, 0): 1000.0, (2, 9): 1300.0, (3, 17): 1700.0, (4, 11): 1900.0},
    )
    Told(monkeypatch, answer)
    assert whole_pair(line(200, 2)) == (1, 64)


def test_a_loop_of_less_than_three_steps_is_none(monkeypatch):
    monkeypatch.setattr(closing, "best_pair", lambda _: (10, 13))
    ground = {(0, 0): 1000.0}
    for place, pair in (((24, 5), (10, 13)), ((25, 11), (10, 13)), ((23, 11), (11, 14))):
        answer = scored({**INNER, place: 1.0}, ground={**ground, place: 1500.0})
        Told(monkeypatch, answer)
        assert whole_pair(line(200, 2)) == pair
    monkeypatch.setattr(closing, "best_pair", lambda _: None)
    assert whole_pair(line(200, 2)) is None


# the ground of a lap, and the point inside


def test_the_ground_of_a_lap_ends_with_its_last_fix():
    xy = np.array([(9.0, 9), (0, 0), (10, 0), (10, 10), (0, 10), (0, 0), (-90, 40)])
    assert closing.lap_m2(xy, (1, 5)) == 100.0
    assert closing.lap_m2(xy, (1, 3)) == 50.0


@pytest.mark.parametrize("side", [0.5, 40.0])
def test_the_point_deep_inside_is_found_to_a_twentieth_of_the_width(side):
    """Of an L, in its largest part where it crosses itself; to 5 cm at least."""
    lap = side * np.array(
        [(0, 0), (1, 0.1), (2, 0), (2, 1), (1.1, 1), (1, 2.2), (0, 2), (0, 0)]
    )
    shape = shapely.Polygon(lap)
    near = max(math.sqrt(shape.area) / 20, 0.05)
    radius = shapely.maximum_inscribed_circle(shape.simplify(near / 2), near)
    point, deep = deep_point(lap)
    assert point.tolist() == list(radius.coords[0])
    assert deep == radius.length
    # with a small second ground hung on by a corner
    twice = np.vstack(
        [lap, side * np.array([(-0.2, 0.0), (-0.2, -0.2), (0, -0.2), (0, 0)])]
    )
    assert deep_point(twice)[0] == pytest.approx(point, abs=1e-9)
