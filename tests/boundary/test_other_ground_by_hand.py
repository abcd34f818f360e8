"""Other ground that a recording goes round: what is said of it, and how it is told apart."""

import math

import numpy as np
import pytest
import shapely
from close_steps import closely

from quietacre.boundary import faces
from quietacre.boundary.error import T_95, edge_area_sd
from quietacre.boundary.faces import Face, ac_said, other_faces, same_ground, told
from quietacre.figures import printed
from quietacre.units import ACRE_M2


@pytest.mark.parametrize(
    ("where", "code", "said"),
    [
        ("between", "loop-between", "walk shuts in about 0.50 ac more between its way in and its way out, beside the 2.00 ac counted; if that is your ground, walk round it by itself."),
        ("inside", "loop-inside", "walk also goes round about 0.50 ac inside its 2.00 ac, which is counted with them; if that is a patch to be kept, record it as a walk of its own and list it as an area, so that its ground is taken off."),
        ("joined", "loop-joined", "about 0.50 of the 2.00 ac of walk are a loop of their own that touches the rest at one place; if they are no part of it, cut them off in the recorder."),
        ("divided", "loop-divided", "walk runs through its 2.00 ac on the way in and on the way out, with about 0.50 ac on one side and 1.50 ac on the other; if these are two pieces of ground, record each as a walk of its own."),
        ("narrow", "loop-narrow", "walk comes near itself midway, with about 0.50 ac on one side and 1.50 ac on the other; if one of them is no part of your ground, walk round the other alone."),
        ("alone", "second-loop", "walk also goes round about 0.50 ac beside its 2.00 ac, which is not counted; if that is a piece of ground of yours, cut it off in the recorder, as a walk of its own."),
    ],
)  # fmt: skip
def test_what_is_said_of_other_ground(where, code, said):
    face = Face(0.5 * ACRE_M2, where)
    name, words = told(face, 2.0 * ACRE_M2, "walk", 3.0)
    assert (name, printed(words)) == (code, said)


def test_a_loop_of_its_own_is_told_with_its_range():
    edge = shapely.box(0, 0, 60, 40)
    half_m2 = T_95 * edge_area_sd(edge, 2.0)
    _, words = told(Face(2_400.0, "alone", edge), 8_000.0, "walk", 2.0)
    low, high = ((2_400.0 + way * half_m2) / ACRE_M2 for way in (-1, 1))
    assert (
        f"about 0.59 ac (between {low:.2f} and {high:.2f}) beside its 1.98 ac"
        in printed(words)
    )
    _, words = told(Face(100.0, "alone", edge), 8_000.0, "walk", 2.0)
    high = (100.0 + half_m2) / ACRE_M2
    assert f"about 0.025 ac (between 0 and {high:.3f}) beside" in printed(words).replace(
        "0.000", "0"
    )


def test_one_side_of_divided_ground_is_never_less_than_nothing():
    _, words = told(Face(5_000.0, "divided"), 4_000.0, "walk", 2.0)
    assert "about 1.24 ac on one side and 0.000 ac on the other" in printed(words)


@pytest.mark.parametrize(
    ("acres", "said"),
    [((0.5,), "0.50 ac"), ((0.1,), "0.10 ac"), ((0.09,), "0.090 ac"), ((1.2, 3.41), "1.20 and 3.41 ac"),
     ((0.0984, 3.41), "0.098 and 3.410 ac")],
)  # fmt: skip
def test_ground_of_less_than_a_tenth_is_said_to_a_thousandth(acres, said):
    assert printed(ac_said(*(one * ACRE_M2 for one in acres))) == said
    assert printed(ac_said(*(one * ACRE_M2 for one in acres), bare=True)) == said[:-3]


@pytest.mark.parametrize(
    ("m2", "same"), [(500.0, False), (510.0, True), (1_990.0, True), (2_000.0, False)]
)
def test_a_face_is_a_loop_told_otherwise_within_half_and_twice_its_ground(m2, same):
    own = [Face(1_000.0, "alone"), Face(90_000.0, "inside")]
    assert same_ground(Face(m2, "between"), own) is same
    assert not same_ground(Face(m2, "between"), [])


def round_of(x, y, wide, tall):
    return [(x, y), (x + wide, y), (x + wide, y + tall), (x, y + tall), (x, y)]


def walked(*parts):
    """Return a path of several lines, and where each begins in it."""
    paths = [closely(part) for part in parts]
    starts = np.cumsum([0, *(len(path) for path in paths)])
    return np.vstack(paths), starts.tolist()


GROUND = shapely.box(0, 0, 100, 100)


def loops_of(before, after):
    lap = round_of(0, 0, 100, 100)
    xy, starts = walked(before, lap, after)
    return other_faces(xy, (starts[1], starts[2] - 1), GROUND, 400.0)


FAR = [(-300, 0), (-20, 0), (0, 0)]


@pytest.mark.parametrize("first", [True, False])
def test_a_loop_before_or_after_stands_alone_with_its_edge(first):
    loop = [(0, 0), (-100, 0), *round_of(-200, -60, 60, 50), (-100, 0), (0, 0)]
    faces_found = (
        loops_of(loop, [(0, 0), (1, 0)]) if first else loops_of([(0, 1), (0, 0)], loop)
    )
    (face,) = [one for one in faces_found if one.where == "alone"]
    assert face.m2 == pytest.approx(3_000.0, rel=0.05)
    assert face.edge.area == pytest.approx(3_000.0, rel=0.1)


@pytest.mark.parametrize(("side", "seen"), [(25, False), (45, True)])
def test_a_piece_of_path_of_two_fifths_of_a_lap_may_hold_a_loop(side, seen):
    # 400 m of lap: 160 m
    found = loops_of(
        [(0, 1), (0, 0)], [(0, 0), *round_of(-side - 10, -side - 10, side, side)]
    )
    assert any(face.where == "alone" for face in found) is seen


@pytest.mark.parametrize(
    ("corner", "wide", "seen"),
    [(30, 40, True), (10, 77, True), (10, 80, False), (2, 40, False)],
)
def test_a_loop_inside_is_a_patch_of_less_than_three_fifths_that_keeps_off_the_edge(
    corner, wide, seen
):
    way = [(0, 0), (corner, corner)]
    found = loops_of(
        [(0, 1), (0, 0)],
        [
            *way,
            *round_of(corner, corner, wide, wide),
            *round_of(corner, corner, wide, wide)[1:],
        ],
    )
    inside = [face for face in found if face.where == "inside"]
    assert bool(inside) is seen
    for face in inside:
        assert face.m2 == pytest.approx(wide**2, rel=0.05)


def shut_in(before, after, ground=GROUND):
    return faces._shut_in([closely(before), closely(after)], ground)


@pytest.mark.parametrize(
    ("deep", "m2"),
    [(60, 6_000.0), (40, 4_000.0), (10, None)],
)
def test_ground_between_the_way_in_and_out_and_the_edge(deep, m2):
    # in along the west side of it and out along the east; both ends meet below
    found = shut_in(
        [(50, -deep), (0, -deep), (0, 0)], [(100, 0), (100, -deep), (52, -deep)]
    )
    if m2 is None:
        assert found == []
        return
    (face,) = found
    assert face.where == "between"
    assert face.m2 == pytest.approx(m2, rel=0.06)


@pytest.mark.parametrize(("gap", "shut"), [(20, True), (24, True), (40, False)])
def test_two_ends_as_far_as_a_bridge_shut_ground_in(gap, shut):
    deep = 60
    found = shut_in(
        [(50 - gap / 2, -deep), (0, -deep), (0, 0)],
        [(100, 0), (100, -deep), (50 + gap / 2, -deep)],
    )
    assert bool(found) is shut


@pytest.mark.parametrize(
    ("ground", "m2"), [(GROUND, 3_400.0), (shapely.box(0, 0, 100, 140), None)]
)
def test_where_the_ways_cross_and_their_ends_lie_far_apart_a_quarter_counts(ground, m2):
    # the way out crosses the way in; both run on, their ends 200 m apart
    found = shut_in(
        [(150, -60), (0, -30), (0, 0)], [(100, 0), (100, -30), (-50, -60)], ground
    )
    assert [face.where for face in found] == ([] if m2 is None else ["between"])
    if m2 is not None:
        assert found[0].m2 == pytest.approx(m2, rel=0.05)


def test_a_way_through_the_ground_shuts_nothing_in():
    assert shut_in([(50, 120), (50, 50), (0, 0)], [(100, 0), (100, -60), (52, 118)]) == []


def test_two_ways_that_run_together_or_hardly_go_anywhere_shut_nothing_in():
    assert shut_in([(-200, 0), (0, 0)], [(0, 2), (-200, 2)]) == []
    assert shut_in([(-2, 0), (0, 0)], [(0, 0), (-2, 0)]) == []


@pytest.mark.parametrize("deep", [12.0, 24.0, 40.0])
def test_a_way_crosses_the_ground_more_than_fifteen_metres_in_from_the_edge(deep):
    line = shapely.LineString([(50, -30), (50, deep)])
    places = [(50, -30 + at) for at in np.arange(0.0, 30.0 + deep, 8.0)]
    far_in = sum(y > 8.0 and y < 92.0 for _, y in places)
    assert faces._crosses(line, GROUND, GROUND.boundary) == (far_in * 8.0 > 15.0)
    assert math.isclose(faces.HALF_WIDTH_M, 8.0)
