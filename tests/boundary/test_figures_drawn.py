"""Legs drawn out and laid on the ground: arcs, corners, turns, and the sketch of them.

A figure laid the wrong way round is ground on the neighbor's side of the fence.
"""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.closing import Path, lap_m2, swept_m2
from quietacre.boundary.figure_place import KnownCorner, edge_of, ground_of, place_figure
from quietacre.boundary.sketch import sketch_svg
from quietacre.boundary.traverse import work_out
from quietacre.errors import BadInput, FileProblem
from quietacre.intake.vector import read_layer
from quietacre.model import Arc, Leg, Traverse
from quietacre.units import ACRE_M2, FT_M

FRAME = LocalFrame(-86.3, 33.2)


def traverse(*legs):
    return Traverse("square", "legs.csv", tuple(legs), "tape")


def leg(azimuth, feet, **more):
    return Leg(azimuth, feet, **more)


SQUARE = traverse(leg(0, 400), leg(90, 400), leg(180, 400), leg(270, 400))


@pytest.mark.parametrize("turn", ["left", "right"])
@pytest.mark.parametrize("radius", [200.0, 250.0, 1000.0])
def test_an_arc_adds_or_takes_its_segment(turn, radius):
    """r² (θ − sin θ) / 2 with θ = 2 asin(200 / r): to the left of a clockwise leg it is taken."""
    curved = leg(90, 400, arc=Arc(radius_ft=radius, turn=turn))
    legs = (SQUARE.legs[0], curved, *SQUARE.legs[2:])
    figure = work_out(SQUARE)
    found = shapely.Polygon(edge_of(figure, legs)).area
    angle = 2 * math.asin(200 / radius)
    segment = radius**2 * (angle - math.sin(angle)) / 2
    wanted = 400**2 + (segment if turn == "right" else -segment)
    assert found == pytest.approx(wanted, rel=5e-3)  # of sixteen chords
    assert shapely.Polygon(edge_of(figure, SQUARE.legs)).area == pytest.approx(400**2)


def known(corner, east_m, north_m):
    lon, lat = FRAME.lonlat(np.array([east_m]), np.array([north_m]))
    return KnownCorner(corner, float(lat[0]), float(lon[0]))


def local(shape):
    return FRAME.to_local(np.array([shape], dtype=object))[0]


SIDE = 400 * FT_M


def test_one_corner_lays_the_figure_with_its_north_and_two_turn_it():
    figure = work_out(SQUARE)
    shape, notes = place_figure(figure, SQUARE.legs, [known(1, 0, 0)], source="l")
    assert local(shape).bounds == pytest.approx((0, 0, SIDE, SIDE), abs=0.02)
    assert [note.code for note in notes] == ["north-assumed"]
    assert area_m2(np.array([shape]))[0] / ACRE_M2 == pytest.approx(figure.acres, rel=1e-5)
    # the second corner lies north of the first by the legs, and east of it on the ground
    turned, notes = place_figure(
        figure, SQUARE.legs, [known(1, 0, 0), known(2, SIDE, 0)], source="l"
    )
    assert notes == ()
    assert local(turned).bounds == pytest.approx((0, -SIDE, SIDE, 0), abs=0.02)


@pytest.mark.parametrize("declination", [-4.0, 10.0])
def test_bearings_of_a_compass_are_turned_by_the_declination(declination):
    """East of true north is clockwise: magnetic north lies to the right of true north."""
    figure = work_out(SQUARE)
    lay, notes = ground_of(figure, [known(1, 0, 0)], declination_deg=declination)
    assert notes == ()
    lonlat = lay(np.array([[0.0, 400.0]]))
    x, y = FRAME.xy(*lonlat.T)
    assert math.degrees(math.atan2(x[0], y[0])) == pytest.approx(declination, abs=0.01)
    assert math.hypot(x[0], y[0]) == pytest.approx(SIDE, abs=0.01)


@pytest.mark.parametrize(("far", "said"), [(1.0, False), (1.3, True)])
def test_two_corners_that_lie_too_far_apart_are_doubted(far, said):
    pair = [known(1, 0, 0), known(3, far * SIDE, far * SIDE)]
    shape, notes = place_figure(work_out(SQUARE), SQUARE.legs, pair, source="l")
    assert [note.code for note in notes] == (["corners-do-not-fit"] if said else [])
    middle = local(shape).centroid
    assert (middle.x, middle.y) == pytest.approx((far * SIDE / 2,) * 2, abs=0.02)


@pytest.mark.parametrize("corner", [0, 5])
def test_a_corner_that_the_figure_has_not_is_refused(corner):
    with pytest.raises(FileProblem, match=f"has no corner {corner}"):
        place_figure(work_out(SQUARE), SQUARE.legs, [known(corner, 0, 0)])
    with pytest.raises(FileProblem, match="a figure without a place"):
        place_figure(work_out(SQUARE), SQUARE.legs, [])


# the sketch


def numbers(text):
    return [float(one) for one in re.findall(r"-?\d+\.\d", text)]


def test_the_sketch_shows_the_figure_upright_in_its_frame(tmp_path):
    path = tmp_path / "legs.csv"
    path.write_text("bearing,distance\nN 0 E,400\nN 90 E,200\nS 0 E,400\nN 90 W,190\n")
    svg = sketch_svg(read_layer(path))
    ring = np.reshape(numbers(re.search(r'points="([^"]*)"', svg)[1]), (-1, 2))
    assert len(ring) == 4
    # 70 to 570: the tall side fills it, north is up, the wide side is half as long
    assert ring[:, 1].min() == pytest.approx(70.0, abs=1.0)
    assert ring[:, 1].max() == pytest.approx(570.0, abs=1.0)
    assert ring[1, 1] < ring[0, 1], "the first leg runs north"
    assert ring[2, 0] > ring[1, 0], "the second runs east"
    assert np.ptp(ring[:, 0]) == pytest.approx(500 * 195 / 400, abs=8.0)
    gap = numbers(re.search(r"<line [^>]*>", svg)[0])[:4]
    assert math.hypot(gap[0] - gap[2], gap[1] - gap[3]) == pytest.approx(
        500 * 10 / 400, abs=0.5
    )
    assert "misses its beginning by 10.0 ft" in svg
    assert svg.count("<circle") == 4
    for number in (1, 2, 3, 4):
        assert f">{number}</text>" in svg
    assert "200.0 ft</text>" in svg


def test_what_has_no_legs_has_no_sketch(tmp_path):
    path = tmp_path / "p.csv"
    path.write_text("lon,lat\n-86.3,33.2\n-86.2,33.2\n-86.2,33.3\n")
    with pytest.raises(BadInput, match="no legs to draw"):
        sketch_svg(read_layer(path))


# ground swept by a path


def test_ground_is_swept_left_about_positive_and_right_about_negative():
    square = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    assert swept_m2(square) == 100.0
    assert swept_m2(square[::-1]) == -100.0
    assert swept_m2(square + (500.0, -300.0)) == pytest.approx(100.0)
    closed = np.vstack([square, square[:1]])
    assert lap_m2(np.vstack([[(-9.0, -9.0)], closed]), (1, 5)) == 100.0


def test_what_is_swept_up_to_a_place_is_the_triangle_so_far():
    path = Path(np.array([(1.0, 0.0), (1.0, 0.0), (1.0, 2.0), (0.0, 2.0)]))
    assert len(path.walked) == 3, "a fix that stands still is no step"
    assert path.swept(np.array([0.0, 1.0, 2.0, 3.0])) == pytest.approx([0.0, 1.0, 2.0, 4.0])
    assert path.place(np.array([1.0, 2.5])) == pytest.approx(
        np.array([(1.0, 1.0), (0.5, 2.0)])
    )
    assert path.near(1.9, 0.5).tolist() == [2.0]
    assert path.near(1.2, 0.1).tolist() == [2.0], "the nearest, where none is within reach"
    assert path.near(1.0, 1.0).tolist() == [0.0, 2.0]


def test_a_figure_keeps_its_acres_wherever_it_lies():
    figure = work_out(SQUARE)
    acres = []
    for lat in (12.0, 33.2, 61.0):
        corner = KnownCorner(1, lat, -86.3)
        shape, _ = place_figure(figure, SQUARE.legs, [corner], source="l")
        acres.append(area_m2(np.array([shape]))[0] / ACRE_M2)
    assert acres == pytest.approx([figure.acres] * 3, rel=1e-5)
    doubled = replace(SQUARE, legs=tuple(leg(one.azimuth_deg, 800) for one in SQUARE.legs))
    assert work_out(doubled).acres == pytest.approx(4 * figure.acres)
