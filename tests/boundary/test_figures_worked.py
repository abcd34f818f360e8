"""Legs, slips of the pen and curves as worked by hand on paper."""

import math

import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.deed import MODERN, OLD
from quietacre.boundary.figure_place import (
    KnownCorner,
    edge_of,
    ground_of,
    paths_of,
    place_figure,
)
from quietacre.boundary.traverse import (
    CARE,
    Care,
    departures_ft,
    double_meridian_area_ft2,
    segment_ft2,
    work_out,
)
from quietacre.boundary.typing_slips import _angle_slips, _digit_slips, likely_slips
from quietacre.errors import FileProblem
from quietacre.figures import printed
from quietacre.model import Arc, Leg, Traverse
from quietacre.units import ACRE_FT2, FT_M

EXACT = Care(0.0, 0.0, 0.0, "")


def legs(*courses, **more):
    return tuple(Leg(float(azimuth), float(feet), **more) for azimuth, feet in courses)


def figure(*courses, care=None, method="tape", **more):
    return work_out(Traverse("T", "t.csv", legs(*courses, **more), method), care=care)


# areas


def test_double_meridian_distances_of_a_square_by_hand():
    """North, east, south, west: distances 0, 100, 200, 100; twice the area, clockwise."""
    east, north = np.array([0.0, 100, 0, -100]), np.array([100.0, 0, -100, 0])
    assert double_meridian_area_ft2(east, north) == -20_000.0
    # the other way round, and from a corner that does not begin northward
    assert double_meridian_area_ft2(-east[::-1], -north[::-1]) == 20_000.0
    east, north = np.array([30.0, 40, -70]), np.array([0.0, 50, -50])
    assert double_meridian_area_ft2(east, north) == 1500.0


def test_departures_are_east_by_the_sine_and_north_by_the_cosine():
    east, north = departures_ft(legs((30, 100), (120, 100), (210, 100)))
    assert east == pytest.approx([50.0, 86.60254, -50.0])
    assert north == pytest.approx([86.60254, -50.0, -86.60254])


def test_a_segment_of_a_circle():
    assert segment_ft2(200.0, 100.0) == pytest.approx(math.pi * 100**2 / 2)
    # a chord as long as the radius spans 60 degrees: r² (π/3 - √3/2) / 2
    assert segment_ft2(50.0, 50.0) == pytest.approx(2500 * (math.pi / 3 - 3**0.5 / 2) / 2)
    assert segment_ft2(200.0000001, 100.0) == pytest.approx(math.pi * 5000)


def test_the_compass_rule_gives_each_leg_a_share_by_its_length():
    """300 north, 400 east, 297 south, 390 west: 10 ft east and 3 ft north too far."""
    made = figure((0, 300), (90, 400), (180, 297), (270, 390))
    around = 1387.0
    walked = np.array([0.0, 300.0, 700.0, 997.0])
    wanted = np.array([(0, 0), (0, 300), (400, 300), (400, 3)], float)
    wanted -= walked[:, None] / around * np.array([10.0, 3.0])
    assert made.xy_ft == pytest.approx(wanted)
    assert made.acres == pytest.approx(shapely.Polygon(wanted).area / ACRE_FT2)
    assert made.perimeter_ft == around
    assert made.misclosure_ft == pytest.approx(math.hypot(10, 3))
    assert made.ratio == pytest.approx(around / math.hypot(10, 3))
    # a length to 1 in 500, a bearing to a degree
    expected = math.sqrt(
        sum((x / 500) ** 2 + (x * math.pi / 180) ** 2 for x in (300, 400, 297, 390))
    )
    assert made.expected_ft == pytest.approx(expected)
    assert not made.doubtful
    assert made.suspects == ()


def test_what_is_written_to_a_foot_and_a_degree_is_rounded_to_them():
    """The rounding of a last digit is a twelfth of its square."""
    made = figure((0, 400), (90, 400), (180, 400), (270, 400), care=EXACT, step_ft=1.0,
                  step_deg=2.0)  # fmt: skip
    turn = math.radians(2.0) / 12**0.5
    assert made.expected_ft == pytest.approx(2 * math.hypot(1 / 12**0.5, 400 * turn))
    assert made.misclosure_ft < 1e-9
    assert made.ratio == 1_000_000


@pytest.mark.parametrize(
    ("care", "length", "bearing_deg", "scale"),
    [
        (CARE["tape"], 1 / 500, 1.0, 1 / 1000),
        (CARE["pace"], 1 / 50, 2.0, 1 / 100),
        (OLD, 1 / 200, 1.0, 1 / 1000),
        (MODERN, 1 / 5000, 30 / 3600, 1 / 20_000),
    ],
    ids=["tape", "pace", "old deed", "survey"],
)
def test_how_finely_a_square_is_known_by_how_it_was_measured(
    care, length, bearing_deg, scale
):
    """Its closure by each leg's error; its acres by those, and by the scale of all lengths."""
    made = figure((0, 400), (90, 400), (180, 400), (270, 400), care=care)
    turn = math.radians(bearing_deg)
    assert made.expected_ft == pytest.approx(2 * 400 * math.hypot(length, turn))
    half = (made.acres_high - made.acres_low) / 2 / made.acres
    rest = math.sqrt((half / 1.96) ** 2 - (2 * scale) ** 2)
    exact = figure(
        (0, 400), (90, 400), (180, 400), (270, 400), care=Care(length, bearing_deg, 0.0, "")
    )
    assert rest == pytest.approx((exact.acres_high / exact.acres - 1) / 1.96, rel=1e-3)


def test_a_scale_that_all_lengths_share_doubles_in_the_acres():
    made = figure((0, 400), (90, 400), (180, 400), (270, 400), care=Care(0, 0, 0.03, ""))
    assert made.acres == pytest.approx(160_000 / ACRE_FT2)
    assert made.acres_high - made.acres == pytest.approx(
        1.96 * 2 * 0.03 * made.acres, rel=1e-4
    )
    assert made.acres_low == pytest.approx(2 * made.acres - made.acres_high)
    loose = figure((0, 400), (90, 400), (180, 400), (270, 400), care=Care(0, 0, 0.6, ""))
    assert loose.acres_low == 0.0


def test_the_range_of_a_square_whose_bearings_err():
    """Drawn 4,000 times, seed 3, each balanced and measured as a ring of corners."""
    rng = np.random.default_rng(3)
    care = Care(0.01, 1.0, 0.0, "")
    turn = np.radians([0.0, 90, 180, 270] + rng.normal(0, 1.0, (4000, 4)))
    length = 400 * (1 + rng.normal(0, 0.01, (4000, 4)))
    step = np.stack([length * np.sin(turn), length * np.cos(turn)], axis=2)
    share = (length / length.sum(axis=1, keepdims=True))[:, :, None]
    corner = np.cumsum(step - step.sum(axis=1, keepdims=True) * share, axis=1)
    x, y = corner[:, :, 0], corner[:, :, 1]
    area = 0.5 * np.abs((x * np.roll(y, -1, 1) - np.roll(x, -1, 1) * y).sum(axis=1))
    made = figure((0, 400), (90, 400), (180, 400), (270, 400), care=care)
    half = (made.acres_high - made.acres_low) / 2
    assert half == pytest.approx(1.96 * area.std() / ACRE_FT2, rel=0.04)


@pytest.mark.parametrize(("turn", "sign"), [("left", -1), ("right", 1)])
@pytest.mark.parametrize("mirrored", [False, True])
def test_a_curve_adds_where_it_bulges_and_takes_off_where_it_is_hollow(
    turn, sign, mirrored
):
    """Clockwise round a square, a curve to the right bulges out; counter-clockwise, in."""
    courses = [(0, 200), (90, 200), (180, 200), (270, 200)]
    if mirrored:
        courses = [(360 - azimuth, feet) for azimuth, feet in courses]
        sign = -sign
    some = list(legs(*courses))
    some[1] = Leg(some[1].azimuth_deg, 200.0, arc=Arc(200.0, turn))
    made = work_out(Traverse("", "", tuple(some), "tape"))
    part = 200**2 * (math.pi / 3 - 3**0.5 / 2) / 2
    assert made.acres * ACRE_FT2 == pytest.approx(200**2 + sign * part)
    outline = shapely.Polygon(edge_of(made, some))
    assert outline.area == pytest.approx(200**2 + sign * part, rel=1e-3)


def test_half_a_circle_is_two_legs_and_two_straight_ones_are_nothing():
    half = (Leg(90.0, 200.0, arc=Arc(100.0, "left")), Leg(270.0, 200.0))
    made = work_out(Traverse("", "", half, "tape"))
    assert made.acres * ACRE_FT2 == pytest.approx(math.pi * 100**2 / 2)
    with pytest.raises(FileProblem, match="its 2 legs go round nothing"):
        figure((90, 200), (270, 200))
    tight = (Leg(90.0, 200.0, arc=Arc(99.9, "left"), text="a curve"), Leg(270.0, 200.0))
    with pytest.raises(FileProblem, match="99.9 ft radius has no chord of 200 ft") as told:
        work_out(Traverse("", "t.csv", tight, "tape"))
    assert told.value.where == "a curve"
    with pytest.raises(FileProblem, match="go round nothing"):
        figure((0, 100), (90, 0), (180, 100))
    with pytest.raises(FileProblem, match="go round nothing") as told:
        figure((0, 0), (90, 0), (180, 0))
    assert (told.value.where, told.value.source) == ("T", "t.csv")


# closing


@pytest.mark.parametrize(("back", "doubtful"), [(377, False), (374, True), (423, False),
                                                (426, True)])  # fmt: skip
def test_a_figure_is_doubted_when_it_misses_by_1_73_times_what_is_expected(back, doubtful):
    """Of a square of 400 ft taped to 1 in 500 and a degree 14.0 ft are expected: 24.3."""
    made = figure((0, 400), (90, 400), (180, 400), (270, back))
    assert made.doubtful is doubtful
    assert bool(made.suspects) is doubtful


@pytest.mark.parametrize(("back", "refused"), [(92, False), (68, True)])
def test_a_figure_that_ends_a_quarter_of_its_length_away_is_refused(back, refused):
    courses = (0, 400), (90, 400), (180, 400), (270, back)
    if not refused:  # 308 of 1,292 ft
        assert figure(*courses).doubtful
        return
    with pytest.raises(FileProblem, match="end 332 ft from where they began, of 1,268 ft"):
        figure(*courses)


def test_the_leg_that_would_close_it_is_told_with_what_it_would_have_to_be():
    courses = [(10, 500), (80, 420), (170, 380), (263.5, 0)]
    east, north = departures_ft(legs(*courses))
    courses[3] = (math.degrees(math.atan2(-east.sum(), -north.sum())) % 360,
                  math.hypot(east.sum(), north.sum()))  # fmt: skip
    closed = figure(*courses)
    assert closed.misclosure_ft < 1e-9
    long = [*courses]
    long[2] = (170, 480)
    told = {one.number: one for one in figure(*long).suspects}
    assert printed(told[3].change).startswith("380.0 ft")
    assert told[3].misclosure_ft == pytest.approx(0.0, abs=0.1)
    bent = [*courses]
    bent[0] = (33, 500)
    told = [printed(one.change) for one in figure(*bent).suspects if one.number == 1]
    assert any("azimuth 10.0°" in change or "N 10" in change for change in told)


# slips


def test_the_slips_of_a_number_are_a_digit_changed_or_two_swapped():
    tens = {2, 22, 32, 42, 52, 62, 72, 82, 92}
    ones = {10, 11, 13, 14, 15, 16, 17, 18, 19}
    found = list(_digit_slips(12.0))
    assert set(found) == tens | ones | {21}
    assert len(found) == 19, "each once"
    assert set(_digit_slips(5.4)) == {0, 1, 2, 3, 4, 6, 7, 8, 9}
    assert 330 in set(_digit_slips(303)), "the last two swapped"
    assert 33 in set(_digit_slips(303)), "the first two swapped"
    assert 303 not in set(_digit_slips(303))


#: N 45° 30' E with one digit of its degrees, or of its minutes, wrong.
NORTH_EAST = (
    {n + 0.5 for n in (5, 15, 25, 35, 55, 65, 75, 85, 40, 41, 42, 43, 44, 46, 47, 48, 49, 54)}
    | {45 + n / 60 for n in (0, 10, 20, 40, 50, 31, 32, 33, 34, 35, 36, 37, 38, 39, 3)}
)  # fmt: skip


@pytest.mark.parametrize(
    "quarter",
    [lambda a: a, lambda a: 180 - a, lambda a: 180 + a, lambda a: 360 - a],
    ids=["NE", "SE", "SW", "NW"],
)
def test_the_slips_of_a_bearing_are_those_of_its_degrees_and_minutes(quarter):
    found = list(_angle_slips(quarter(45.5)))
    assert sorted(found) == pytest.approx(sorted(map(quarter, NORTH_EAST)))


@pytest.mark.parametrize(
    ("row", "written", "words"),
    [
        (1, (270.0, 400.0), "due east"),
        (3, (90.0, 400.0), "due west"),
        (0, (180.0, 400.0), "due north"),
        (0, (0.0, 440.0), "400.0 ft"),
        (2, (180.0, 400.0 / 66.0), "chains, not foots"),
        (2, (180.0, 400.0 / 0.3048), "foots, not meters"),
    ],
)
def test_one_slip_that_closes_a_square_is_found(row, written, words):
    courses = [(0.0, 400.0), (90.0, 400.0), (180.0, 400.0), (270.0, 400.0)]
    courses[row] = written
    found = [one for one in likely_slips(legs(*courses), 1.0) if one.number == row + 1]
    told = [printed(one.change).lower().replace("feet", "foots") for one in found]
    assert any(words.split(",")[0] in one for one in told), told
    assert min(one.misclosure_ft for one in found) == pytest.approx(0.0, abs=1e-6)
    assert max(one.misclosure_ft for one in found) <= 1.0


# on the ground


def test_a_curve_is_drawn_out_along_its_circle():
    corners = np.array([(0.0, 0.0), (200.0, 0.0), (200.0, 300.0), (0.0, 300.0)])
    some = [
        *legs((90, 200)),
        Leg(0.0, 300.0, arc=Arc(250.0, "left")),
        *legs((270, 200), (180, 300)),
    ]
    paths = paths_of(corners, some)
    assert [len(path) for path in paths] == [2, 18, 2, 2]
    curve = paths[1]
    # the center lies 200 ft to the left of the middle of a chord of 300
    assert np.hypot(curve[:, 0] - 0.0, curve[:, 1] - 150.0) == pytest.approx(250.0)
    assert curve[:, 0].max() > 249
    assert np.diff(curve[:, 1]).min() > 0
    steps = np.hypot(*np.diff(curve, axis=0).T)
    assert steps == pytest.approx(steps[0])
    some[1] = Leg(0.0, 300.0, arc=Arc(250.0, "right"))
    hollow = paths_of(corners, some)[1]
    assert np.hypot(hollow[:, 0] - 400.0, hollow[:, 1] - 150.0) == pytest.approx(250.0)
    some[1] = Leg(0.0, 300.0, arc=Arc(150.0, "left"))
    round_end = paths_of(corners, some)[1]
    assert np.hypot(round_end[:, 0] - 200.0, round_end[:, 1] - 150.0) == pytest.approx(
        150.0
    )


SQUARE = ((0, 1000), (90, 1000), (180, 1000), (270, 1000))


def on_ground(known, **more):
    made = figure(*SQUARE)
    polygon, notes = place_figure(made, legs(*SQUARE), known, **more)
    frame = LocalFrame(-86.3, 33.2)
    return np.array(frame.xy(*shapely.get_coordinates(polygon).T)).T / FT_M, notes


def test_one_known_corner_places_a_figure_by_north():
    """The second corner, 1,000 ft north of the first, stands on the known place."""
    known = [KnownCorner(2, 33.2, -86.3)]
    xy, (note,) = on_ground(known)
    assert xy == pytest.approx(
        np.array([(0, -1000), (0, 0), (1000, 0), (1000, -1000), (0, -1000)]), abs=0.05
    )
    assert (note.code, note.feature) == ("north-assumed", "T")
    turned, none = on_ground(known, declination_deg=30.0)
    assert none == ()
    # the needle points 30 degrees east of north: the first corner lies back along it
    assert turned[0] == pytest.approx((-500.0, -866.0), abs=0.1)
    assert on_ground(known, declination_deg=0.0)[0] == pytest.approx(xy)


@pytest.mark.parametrize(
    ("apart_ft", "told"), [(1000, False), (1015, False), (1022, True), (978, True)]
)
def test_two_known_corners_turn_and_shift_it(apart_ft, told):
    """Its first side runs east on the ground; a side of another length is said."""
    frame = LocalFrame(-86.3, 33.2)
    (lon,), (lat,) = frame.lonlat(np.array([apart_ft * FT_M]), np.array([0.0]))
    xy, notes = on_ground(
        [KnownCorner(1, 33.2, -86.3), KnownCorner(2, float(lat), float(lon))]
    )
    middle = apart_ft / 2
    assert xy[:2] == pytest.approx(
        np.array([(middle - 500, 0), (middle + 500, 0)]), abs=0.05
    )
    assert xy[2] == pytest.approx((middle + 500, -1000), abs=0.1)
    assert [note.code for note in notes] == (["corners-do-not-fit"] if told else [])
    if told:
        assert f"{apart_ft:,} ft apart on the ground and 1,000 ft by the legs" in str(
            notes[0].text
        )


@pytest.mark.parametrize("turn_deg", [30.0, 115.0, -70.0])
@pytest.mark.parametrize("corners", [(1, 2), (3, 1), (2, 4, 1)])
def test_known_corners_turn_a_figure_whichever_they_are(turn_deg, corners):
    """The whole figure, turned to the right so far, comes out of any two of its corners."""
    frame = LocalFrame(-86.3, 33.2)
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    true = np.array([(0, 0), (0, 1000), (1000, 1000), (1000, 0)]) @ np.array(
        [[cos, -sin], [sin, cos]]
    )
    true += (150.0, -320.0)
    lon, lat = frame.lonlat(*(true.T * FT_M))
    xy, notes = on_ground(
        [KnownCorner(k, float(lat[k - 1]), float(lon[k - 1])) for k in corners]
    )
    assert xy[:-1] == pytest.approx(true, abs=0.2)
    assert notes == ()


@pytest.mark.parametrize("corner", [0, 5])
def test_a_corner_that_a_figure_has_not_is_refused(corner):
    with pytest.raises(FileProblem, match=f"has no corner {corner}"):
        ground_of(figure(*SQUARE), [KnownCorner(corner, 33.2, -86.3)])
    with pytest.raises(FileProblem, match="without a place") as told:
        ground_of(figure(*SQUARE), [], source="t.csv")
    assert (told.value.where, told.value.source) == ("T", "t.csv")
    for good in (1, 4):
        ground_of(figure(*SQUARE), [KnownCorner(good, 33.2, -86.3)])
