"""Pictures and figures laid on the ground: where they lie, what is doubted, and what is said."""

import math
from dataclasses import replace

import numpy as np
import pytest
from pyproj import Transformer
from pyproj.exceptions import ProjError

from quietacre.boundary import figure_place, laid_picture
from quietacre.boundary.figure_place import KnownCorner, ground_of, paths_of, place_figure
from quietacre.boundary.laid_picture import LaidPicture, lay_picture, metres
from quietacre.boundary.placing import Placed, place_picture
from quietacre.boundary.traverse import work_out
from quietacre.errors import BadInput, FileProblem
from quietacre.figures import printed
from quietacre.model import Arc, Leg, Traverse
from quietacre.units import FT_M

SYSTEM = "EPSG:32616"
BACK = Transformer.from_crs(SYSTEM, "EPSG:4326", always_xy=True)
#: On the middle of its zone, where north on the grid is north.
GROUND = np.array([500_000.0, 3_650_000.0])
PIXELS = np.array([(0.0, 0), (1000, 0), (1000, 800), (0, 800), (400, 300), (650, 520)])
UP = np.array([[0.5, 0.0], [0.0, -0.5]])


def laid(pixels, off=0.0, turn_deg=0.0, **more):
    at = math.radians(turn_deg)
    turn = np.array([[math.cos(at), -math.sin(at)], [math.sin(at), math.cos(at)]])
    ground = np.asarray(pixels) @ UP.T @ turn + GROUND + off
    pairs = [(*p, *BACK.transform(*g)) for p, g in zip(pixels, ground, strict=True)]
    size = np.asarray(pixels).max(axis=0)
    return lay_picture(pairs, int(size[0]), int(size[1]), **more)


SIGMA_M = 20 * FT_M / 2.4477


# which pairs are doubted


def bent(times):
    """Three pairs of which the last lies off by so much that 9.21 deviations² are passed so far."""
    off = np.zeros((3, 2))
    off[2] = (1.0, 0.0)
    pixels = PIXELS[:3]
    ground = pixels @ UP.T + off
    fit = place_picture(pixels, ground)
    left2 = ((fit.ground_m(pixels) - ground) ** 2).sum()
    # once in a hundred -2 ln 0.01 is passed, of two degrees
    return off * math.sqrt(times * -2 * math.log(0.01) * SIGMA_M**2 / left2)


@pytest.mark.parametrize(("times", "apart"), [(0.998, False), (1.002, True)])
def test_three_pairs_lie_apart_from_nine_squared_deviations_on(times, apart):
    assert laid(PIXELS[:3], bent(times)).apart is apart
    # so many pairs tell which is wrong: nothing is said of all of them
    more = np.zeros((6, 2))
    more[:3] = bent(40.0)
    assert not laid(PIXELS, more).apart
    # of four pairs a leaning fit leaves two over, and cannot tell which is wrong
    four = np.zeros((4, 2))
    four[2] = (60.0, -40.0)
    leaning = laid(PIXELS[:4], four, fit="affine")
    assert (leaning.apart, leaning.wrong_if_north_up, leaning.doubted) == (True, None, None)
    assert "with 5 or more it is told which one" in printed(leaning.words()[-1])


def test_north_is_asked_only_of_pairs_that_lie_apart():
    """Turned by 0.7 degrees, of which the shortest line alone is unsure."""
    pixels = np.array([(0.0, 0), (2000, 0), (1000, 16_000)])
    made = laid(pixels, turn_deg=0.7)
    assert (made.apart, made.wrong_if_north_up, made.doubted) == (False, None, None)


def test_north_is_that_of_the_first_pair():
    """A degree east of the middle of the zone north lies 0.54 degrees west of the grid's."""
    lonlat = np.array([(-87.0, 33.0), (-86.0, 33.0), (-87.0, 33.6)])
    ground = np.column_stack(metres(SYSTEM, *lonlat.T))
    line = ground[1] - ground[0]
    # the first two lie on the picture as they do on the ground, the third does not
    at = np.array([(0.0, 0.0), (line[0], -line[1]), (9000.0, -30_000)]) / 100
    at += (0, 700)
    pairs = [(*p, *q) for p, q in zip(at.tolist(), lonlat.tolist(), strict=True)]
    made = lay_picture(pairs, 1000, 800)
    assert made.apart
    assert made.doubted == made.wrong_if_north_up == 2
    turned = [pairs[1], pairs[0], pairs[2]]
    assert lay_picture(turned, 1000, 800).doubted is None


def leaning(k):
    """Six pairs that lean by so much, and miss a leaning fit by a little."""
    noise = np.array([(2.0, -1), (-1, 2), (1, 1), (-2, -1), (1.5, -2), (-1.5, 1)])
    return PIXELS[:, ::-1] * (k, 0.0) + noise * 3.0


def over(off, columns):
    """Return one deviation of what a fit leaves over, by least squares of each axis or of both."""
    x, y = PIXELS.T
    if columns == 6:
        design = np.column_stack([x, y, np.ones(6)])
        rest = [np.linalg.lstsq(design, axis, rcond=None)[1][0] for axis in off.T]
        return math.sqrt(sum(rest) / 6)
    z, w = x - 1j * y, off[:, 0] + 1j * off[:, 1]
    made = np.column_stack([z, np.ones(6)])
    return math.sqrt(np.linalg.lstsq(made, w, rcond=None)[1][0].real / 8)


@pytest.mark.parametrize(("times", "leans"), [(4.95, False), (5.05, True)])
def test_a_picture_leans_where_a_leaning_fit_leaves_five_times_less(times, leans):
    low, high = 0.0, 1.0
    for _ in range(60):
        k = (low + high) / 2
        off = leaning(k)
        below = over(off, 4) < times * over(off, 6)
        low, high = (k, high) if below else (low, k)
    made = laid(PIXELS, leaning(low))
    assert made.leans is leans
    assert ("place it as affine" in " ".join(made.words())) is leans
    # who says how it is to be placed knows whether it leans
    assert not laid(PIXELS, leaning(low), fit="similarity").leans
    assert not laid(PIXELS, leaning(low), fit="affine").leans


def test_pairs_that_fit_within_their_error_do_not_lean():
    lean = PIXELS[:, ::-1] * (1e-3, 0.0)
    assert over(lean, 4) < SIGMA_M
    assert over(lean, 6) < over(lean, 4) / 5
    assert not laid(PIXELS, lean).leans
    in_line = np.array([(0.0, 0), (300, 1), (600, 0), (1000, 1)])
    assert not laid(in_line, np.array([(0.0, 9), (0, -9), (0, 9), (0, -9)])).leans


# a record of it


def record(**more):
    matrix = np.array([[0.5, 0.0, GROUND[0]], [0.0, -0.5, GROUND[1]]])
    spread = np.zeros((4, 4))
    spread[2, 2] = 0.25
    fit = Placed(matrix, "similarity", 2.0, 4, None, spread)
    given = {
        "placed": fit, "system": SYSTEM, "width": 1000, "height": 800, "pixels": PIXELS[:4],
        "ground_m": PIXELS[:4] @ UP.T + GROUND, "leans": False, "apart": False,
        "wrong_if_north_up": None,
    }  # fmt: skip
    return LaidPicture(**{**given, **more})


def test_what_is_said_of_a_picture_is_said_once_each():
    sure = "an edge drawn between the points may be off by 12 ft, in the picture's corners by 12 ft (95 %)"
    # √(2 · 6.944) of 2 m, and the root of a quarter of it
    assert math.sqrt(2 * 6.944) * 2.0 / 2 / FT_M == pytest.approx(12.2, abs=0.05)

    def said(**more):
        return [printed(line) for line in record(**more).words()]

    assert said() == [sure]
    assert said(apart=True, wrong_if_north_up=1) == [sure], "of four pairs one is told"
    leans = "it fits far better when it may lean, as a photograph of a paper does: place it as affine"
    assert said(leans=True) == [sure, leans]
    wrong = replace(record().placed, wrong=2)
    pair = "pair 3 disagrees with all others; look at it and place it again"
    assert said(placed=wrong) == [sure, pair]
    assert said(placed=wrong, pixels=PIXELS[:3]) == [sure, pair]
    three = {"pixels": PIXELS[:3], "ground_m": PIXELS[:3] @ UP.T + GROUND}
    assert said(**three) == [
        sure, "with 3 pairs a wrong one cannot be told; 4 or more check themselves",
    ]  # fmt: skip
    assert said(**three, apart=True) == [
        sure,
        "the 3 pairs do not fit each other: one is likely wrong, or the picture leans; with 4 or "
        "more it is told which one, so place another",
    ]
    assert said(**three, apart=True, wrong_if_north_up=0) == [
        sure,
        "the 3 pairs do not fit each other: if north is straight up on the picture, pair 1 is the "
        "wrong one; place it again, or place another: with 4 or more it is told without that",
    ]
    assert record(wrong_if_north_up=1).doubted == 1
    assert record(placed=wrong, wrong_if_north_up=1).doubted == 2
    assert record(placed=replace(wrong, wrong=0), wrong_if_north_up=1).doubted == 0


def test_the_grid_runs_from_corner_to_corner():
    x, y, radius_ft = record().grid()
    assert x.tolist() == [125.0 * n for n in range(9)]
    assert y.tolist() == [100.0 * n for n in range(9)]
    assert radius_ft == pytest.approx(
        np.full((9, 9), math.sqrt(2 * 6.944) / FT_M), rel=1e-4
    )
    uneven = laid(PIXELS[:3]).grid()
    middle = laid(PIXELS[:3]).pm_ft(np.array([(250.0, 700.0)]))
    assert uneven[2][7, 2] == pytest.approx(middle[0])


def test_the_worst_between_the_points_is_at_one_of_them_or_in_their_middle():
    made = laid(PIXELS[:2], off=0.0)
    inside, corners = made.errors_ft()
    assert inside == pytest.approx(20.0, rel=1e-3), "at a point it is a point's own"
    assert corners == pytest.approx(made.pm_ft(made.outline).max())


def test_a_world_file_has_six_lines_and_the_middle_of_the_first_pixel():
    matrix = np.array([[0.5, 0.25, 1000.0], [0.125, -0.5, 2000.0]])
    lines = record(placed=replace(record().placed, matrix=matrix)).world_file()
    assert lines == (
        b"0.5000000000\n0.1250000000\n0.2500000000\n-0.5000000000\n1000.3750000000\n1999.8125000000\n"
    )


def test_what_lies_on_no_ground_is_an_error_not_an_endless_place():
    with pytest.raises(ProjError):
        metres(SYSTEM, np.array([-87.0]), np.array([95.0]))
    with pytest.raises(ProjError):
        record().lonlat(np.array([(1e12, 1e12)]))
    assert laid_picture._north_deg(SYSTEM, -87.0, 33.0) == pytest.approx(0.0, abs=1e-9)
    # tan of it is tan of the degrees east times the sine of the latitude
    lean = math.degrees(math.atan(math.tan(math.radians(1)) * math.sin(math.radians(33))))
    assert laid_picture._north_deg(SYSTEM, -86.0, 33.0) == pytest.approx(-lean, abs=1e-5)


def test_a_pair_may_lie_on_the_line_where_the_day_changes():
    for lon, zone in ((180.0, 1), (-180.0, 1), (179.9, 60)):
        made = lay_picture([(0, 0, lon, 0.0), (900, 700, lon * 0.9999, -0.01)], 1000, 800)
        assert made.system == f"EPSG:{32600 + zone}"


def test_pairs_that_are_none_say_what_each_should_be():
    for pairs in ([(0, 0, 1)], [("x", 0, 1, 2)], [5, 6], []):
        with pytest.raises(BadInput) as told:
            lay_picture(pairs, 100, 100)
        assert str(told.value) == (
            "the pairs are none; give x, y, longitude and latitude of each"
        )


# a figure of legs


SQUARE = Traverse(
    "square",
    "legs.csv",
    tuple(Leg(azimuth, 400.0) for azimuth in (0, 90, 180, 270)),
    "tape",
)
SIDE_M = 400 * FT_M
FIGURE = work_out(SQUARE)


@pytest.mark.parametrize(("turn", "side"), [("left", 1), ("right", -1)])
def test_a_curve_has_sixteen_points_on_its_circle(turn, side):
    """A quarter of a circle of 100 ft, from its south to its east, about a center to its left."""
    chord = 100 * math.sqrt(2)
    corners = np.array([(0.0, -100 * side), (100.0, 0)])
    legs = [Leg(45, chord, arc=Arc(100.0, turn)), Leg(225, chord)]
    curve, back = paths_of(corners, legs)
    at = np.linspace(-math.pi / 2, 0, 18)
    on_circle = 100 * np.column_stack([np.cos(at), np.sin(at) * side])
    assert curve == pytest.approx(on_circle, abs=1e-9)
    assert back.tolist() == [corners[1].tolist(), corners[0].tolist()]


def test_half_a_circle_has_its_center_on_its_chord():
    curve, _ = paths_of(
        np.array([(0.0, 0), (200.0, 0)]),
        [Leg(90, 200, arc=Arc(100.0, "left")), Leg(270, 200)],
    )
    assert np.hypot(curve[:, 0] - 100, curve[:, 1]) == pytest.approx(100.0)
    assert curve[8:10].mean(axis=0) == pytest.approx((100.0, -99.6), abs=0.1)
    # a radius a hair too short for its chord is taken for half a circle
    short, _ = paths_of(
        np.array([(0.0, 0), (200.0, 0)]),
        [Leg(90, 200, arc=Arc(99.9, "left")), Leg(270, 200)],
    )
    assert np.hypot(short[1:-1, 0] - 100, short[1:-1, 1]) == pytest.approx(99.9)


def turned(here, there, known=None, name="F"):
    known = known or [KnownCorner(n + 1, 0.0, 0.0) for n in range(len(here))]
    return figure_place._turn(
        np.array(here, float), np.array(there, float), known, None, "l.csv", name
    )


@pytest.mark.parametrize(
    ("far", "said"), [(102.0, False), (102.1, True), (98.0, False), (97.9, True)]
)
def test_two_corners_may_lie_a_fiftieth_farther_apart_than_by_the_legs(far, said):
    """Not from the origin: the first corner of a figure may be any."""
    turn, notes = turned([(50, 30), (50, 130)], [(0, 0), (far, 0)])
    assert turn == pytest.approx(math.pi / 2)
    assert bool(notes) is said
    if said:
        (note,) = notes
        assert (note.code, note.level, note.source, note.feature) == (
            "corners-do-not-fit", "warning", "l.csv", "F",
        )  # fmt: skip
        assert note.text == (
            f"corners 1 and 2 lie {far / FT_M:.0f} ft apart on the ground and {100 / FT_M:.0f} ft "
            "by the legs: a wrong corner, or a wrong unit of length."
        )
        (unnamed,) = turned([(50, 30), (50, 130)], [(0, 0), (far, 0)], name="")[1]
        assert unnamed.feature is None


@pytest.mark.parametrize("deg", [-170, -30, 0, 45, 120])
def test_the_turn_of_three_corners_is_the_one_that_leaves_least_over(deg):
    """Clockwise, as bearings count; each corner is off by a little, all together by none."""
    here = np.array([(0.0, 0), (0, 90), (60, 20)])
    at = -math.radians(deg)
    there = here @ np.array([[math.cos(at), math.sin(at)], [-math.sin(at), math.cos(at)]])
    turn, notes = turned(here, there - there[0])
    assert math.degrees(turn) == pytest.approx(deg)
    assert notes == ()
    off = np.array([(0.0, 0), (0.7, -0.2), (0.3, 0.9)])

    def left(angle):
        c, s = math.cos(-angle), math.sin(-angle)
        moved = (here - here.mean(axis=0)) @ np.array([[c, s], [-s, c]])
        to = there - there[0] + off
        return float(((moved - to + to.mean(axis=0)) ** 2).sum())

    best, _ = turned(here, there - there[0] + off)
    assert left(best) < min(left(best - 1e-3), left(best + 1e-3))


def test_one_corner_has_its_bearings_from_true_north_unless_told_otherwise():
    one = [KnownCorner(1, 33.2, -86.3)]
    turn, (note,) = turned([(0, 0)], [(0, 0)], one, name="")
    assert turn == 0.0
    assert (note.code, note.level, note.source, note.feature) == (
        "north-assumed", "caution", "l.csv", None,
    )  # fmt: skip
    assert note.text == (
        "it is placed by one corner with its bearings taken from true north. If they are from magnetic "
        "north, give declination_deg (0 where they are true); a second known corner is better."
    )
    assert turned([(0, 0)], [(0, 0)], one)[1][0].feature == "F"


@pytest.mark.parametrize(("name", "where"), [("square", "square"), ("", None)])
def test_a_figure_without_a_place_or_such_a_corner_says_what_to_give(name, where):
    figure = replace(FIGURE, name=name)
    with pytest.raises(FileProblem) as told:
        place_figure(figure, SQUARE.legs, [], source="l.csv")
    assert (told.value.what, told.value.fix, told.value.source, told.value.where) == (
        "is a figure without a place",
        "give one or two of its corners: placed = [{ corner = 1, lat = 33.2, lon = -86.3 }]",
        "l.csv", where,
    )  # fmt: skip
    for corner in (0, 5):
        with pytest.raises(FileProblem) as told:
            ground_of(figure, [KnownCorner(1, 33.2, -86.3), KnownCorner(corner, 33.2, -86.3)],
                      source="l.csv")  # fmt: skip
        assert (told.value.what, told.value.fix, told.value.source, told.value.where) == (
            f"has no corner {corner}", "count its corners from 1 to 4", "l.csv", where,
        )  # fmt: skip


def test_a_figure_is_shifted_so_that_its_known_corners_miss_alike():
    """The fourth corner known lies where the figure puts it, each off by half of what is missing."""
    first = KnownCorner(4, 33.2, -86.3)
    frame = figure_place.LocalFrame(-86.3, 33.2)
    lon, lat = frame.lonlat(np.array([-SIDE_M]), np.array([1.0]))
    second = KnownCorner(1, float(lat[0]), float(lon[0]))
    lay, notes = ground_of(FIGURE, [first, second])
    assert notes == ()
    east, north = frame.xy(*lay(FIGURE.xy_ft).T)
    # from corner 4 to corner 1 it runs west, and a metre of 400 ft to the north
    middle = np.array([-SIDE_M / 2, 0.5])
    along = np.array([-SIDE_M, 1.0]) / math.hypot(SIDE_M, 1.0) * SIDE_M / 2
    assert (east[0], north[0]) == pytest.approx(middle + along, abs=0.02)
    assert (east[3], north[3]) == pytest.approx(middle - along, abs=0.02)
    # the square lies to the north of that side
    up = np.array([along[1], -along[0]]) * 2
    assert (east[1], north[1]) == pytest.approx(middle + along + up, abs=0.02)
