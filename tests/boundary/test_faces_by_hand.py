"""Other ground that a recording goes round: squares by hand, and what is said of them."""

import numpy as np
import pytest
import shapely

from quietacre.boundary.faces import (
    Face,
    _loop_apart,
    ac_said,
    other_faces,
    same_ground,
    told,
)
from quietacre.figures import printed
from quietacre.units import ACRE_M2

GROUND = shapely.box(0, 0, 200, 200)


def square(x, y, side, step=2.0):
    """Fixes round a square and back to its first corner, counter-clockwise."""
    line = shapely.box(x, y, x + side, y + side).exterior.reverse()
    at = np.arange(0.0, line.length + step / 2, step)
    return shapely.get_coordinates(shapely.line_interpolate_point(line, at))


def test_acres_below_a_tenth_are_told_to_a_thousandth():
    assert printed(ac_said(0.1 * ACRE_M2)) == "0.10 ac"
    assert printed(ac_said(0.0996 * ACRE_M2)) == "0.100 ac"
    assert printed(ac_said(1.2 * ACRE_M2, 3.41 * ACRE_M2)) == "1.20 and 3.41 ac"
    assert printed(ac_said(0.05 * ACRE_M2, 3.41 * ACRE_M2, bare=True)) == "0.050 and 3.410"


@pytest.mark.parametrize(
    ("where", "code", "said"),
    [
        ("between", "loop-between", "North shuts in about 0.50 ac more between"),
        (
            "inside",
            "loop-inside",
            "North also goes round about 0.50 ac inside its 2.00 ac,",
        ),
        ("joined", "loop-joined", "about 0.50 of the 2.00 ac of North are a loop"),
        ("divided", "loop-divided", "about 0.50 ac on one side and 1.50 ac on the other"),
        ("narrow", "loop-narrow", "about 0.50 ac on one side and 1.50 ac on the other"),
        ("alone", "second-loop", "goes round about 0.50 ac beside its 2.00 ac, which"),
    ],
)
def test_other_ground_is_told_with_both_figures(where, code, said):
    found, text = told(Face(0.5 * ACRE_M2, where), 2.0 * ACRE_M2, "North", 3.0)
    assert found == code
    assert said in printed(text)
    assert "between 0" not in printed(text)


def test_the_rest_is_never_less_than_nothing():
    _, text = told(Face(2.5 * ACRE_M2, "narrow"), 2.0 * ACRE_M2, "North", 3.0)
    assert "0.000 ac on the other" in printed(text)


def test_the_same_ground_is_between_half_and_twice_the_acres():
    own = [Face(100.0, "alone")]
    said = [same_ground(Face(m2, "between"), own) for m2 in (50.0, 51.0, 199.0, 200.0)]
    assert said == [False, True, True, False]
    assert not same_ground(Face(100.0, "between"), [])


def test_a_loop_beside_the_ground_stands_alone():
    face = _loop_apart(square(300, 0, 60), GROUND)
    assert face.where == "alone"
    assert face.m2 == pytest.approx(3600.0, rel=0.02)
    assert face.edge.area == pytest.approx(3600.0, rel=0.02)


@pytest.mark.parametrize(
    ("x", "side", "found"),
    [(70, 60, True), (25, 150, True), (20, 160, False), (9, 60, True), (7, 60, False),
     (95, 10, False)],
)  # fmt: skip
def test_a_loop_inside_is_small_and_keeps_off_the_edge(x, side, found):
    """Less than six tenths of the ground, wider than drift, 8 m from the edge for the most."""
    face = _loop_apart(square(x, 25 if side > 100 else 70, side), GROUND)
    assert (face is not None) is found
    if found:
        assert face.where == "inside"
        assert face.m2 == pytest.approx(side**2, rel=0.03)


def test_three_fixes_make_no_loop():
    assert _loop_apart(square(300, 0, 60)[:3], GROUND) is None


def test_a_loop_after_the_lap_is_found_and_a_short_way_out_is_not():
    lap = square(0, 0, 200)
    way = np.vstack([lap, np.column_stack([np.arange(0, -100, -2.0), np.zeros(50)])])
    ends = (0, len(lap) - 1)
    assert other_faces(way, ends, GROUND, 800.0) == ()
    (face,) = other_faces(np.vstack([way, square(-160, 0, 60)]), ends, GROUND, 800.0)
    assert face.where == "alone"
    assert face.m2 == pytest.approx(3600.0, rel=0.02)
