"""How far off an acreage may be, and what says so: sums done again the long way, limits met exactly."""

import numpy as np
import pytest
import shapely

from quietacre.boundary import error, lost
from quietacre.boundary.plane import Plane
from quietacre.boundary.walk import (
    Interval,
    Reading,
    Walk,
    advice_for,
    advised,
    band_of,
    interval_of,
    lap_would_help,
    wide_note,
)
from quietacre.boundary.why import term
from quietacre.model import Note
from quietacre.units import ACRE_M2

PLANE = Plane(-86.3, 33.2)
NONE = np.array([])


# the drift of a receiver along an edge


def summed(xy, at_s, tau_s):
    """The double sum over all points, term by term."""
    count = len(xy)
    normals = [
        (0.5 * (xy[(i + 1) % count][1] - xy[i - 1][1]), -0.5 * (xy[(i + 1) % count][0] - xy[i - 1][0]))
        for i in range(count)
    ]  # fmt: skip
    total = 0.0
    for i, (a, b) in enumerate(normals):
        for j, (c, d) in enumerate(normals):
            total += (a * c + b * d) * np.exp(-abs(at_s[i] - at_s[j]) / tau_s)
    return total**0.5


RING = [(0.0, 0.0), (30.0, 5.0), (40.0, 35.0), (10.0, 50.0), (-15.0, 20.0)]
RING_S = [0.0, 20.0, 50.0, 90.0, 120.0]


@pytest.mark.parametrize("tau_s", [60.0, 7.0, 1e6])
def test_the_area_strays_as_the_double_sum_over_its_points(tau_s):
    found = error.unit_area_sd(np.array(RING), np.array(RING_S), tau_s)
    assert found == pytest.approx(summed(RING, RING_S, tau_s))
    if tau_s == 60.0:
        assert error.unit_area_sd(np.array(RING), np.array(RING_S)) == found


def test_a_ring_of_no_ground_strays_by_nothing():
    assert error.unit_area_sd(np.zeros((5, 2)), np.array(RING_S)) == 0.0
    tiny = np.array(RING) * 1e-3
    assert error.unit_area_sd(tiny, np.array(RING_S)) == pytest.approx(
        1e-3 * summed(RING, RING_S, 60.0)
    )


@pytest.mark.parametrize("count", [320, 321, 640])
def test_of_many_points_three_hundred_and_twenty_are_summed(count):
    turn = 2 * np.pi * np.arange(count) / count
    wave = 40 + 5 * np.sin(7 * turn)
    xy = wave[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])
    at_s = np.arange(count) * 1.5
    rows = [(count - 1) * k // 319 for k in range(320)]
    x, y, t = xy[rows, 0], xy[rows, 1], at_s[rows]
    gx = 0.5 * (np.append(y[1:], y[0]) - np.append(y[-1:], y[:-1]))
    gy = -0.5 * (np.append(x[1:], x[0]) - np.append(x[-1:], x[:-1]))
    kernel = np.exp(-np.abs(np.subtract.outer(t, t)) / 60.0)
    wanted = np.sqrt(gx @ kernel @ gx + gy @ kernel @ gy)
    assert error.unit_area_sd(xy, at_s) == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize(
    ("side", "points"), [(3.0, 8), (30.0, 40), (300.0, 320)]
)  # a point each three metres
def test_a_drawn_edge_strays_as_one_that_was_walked(side, points):
    ring = shapely.box(0, 0, side, side).exterior
    at_m = np.arange(points) * ring.length / points
    xy = [ring.interpolate(at).coords[0] for at in at_m]
    unit = error.unit_area_sd(np.array(xy), at_m / 1.2)
    wanted = 2.0 * unit * (0.84 + 4.2 * 2.0 / side)
    assert error.edge_area_sd(shapely.box(0, 0, side, side), 2.0) == pytest.approx(wanted)


def test_edges_of_several_rings_add_as_squares():
    outer, hole, apart = (0, 0, 90, 90), (30, 30, 60, 60), (200, 0, 230, 30)
    whole = shapely.union(shapely.box(*outer) - shapely.box(*hole), shapely.box(*apart))
    area = 90**2 - 30**2 + 30**2
    own = [
        error.edge_area_sd(shapely.box(*one), 2.0) / (0.84 + 4.2 * 2.0 / (one[2] - one[0]))
        for one in (outer, hole, apart)
    ]
    wanted = np.sqrt(sum(one**2 for one in own)) * (0.84 + 4.2 * 2.0 / area**0.5)
    assert error.edge_area_sd(whole, 2.0) == pytest.approx(wanted, rel=1e-6)


def test_a_small_plot_is_widened_the_most_and_none_is_less_than_a_metre_wide():
    assert error.widened(10.0, 2.0, 400.0) == pytest.approx(10 * (0.57 + 3.2 * 2 / 20))
    assert error.widened(10.0, 2.0, 0.25) == pytest.approx(10 * (0.57 + 3.2 * 2))
    assert error.widened(10.0, 2.0, 1.21) == pytest.approx(10 * (0.57 + 3.2 * 2 / 1.1))
    assert error.widened(10.0, 2.0, 400.0, by=(1.0, 0.5)) == pytest.approx(10.5)


@pytest.mark.parametrize(
    ("times", "own"),
    [
        ([5.0, 6.0, 9.0], True),
        ([5.0, 5.0, 9.0], True),  # two within one second
        ([5.0, 5.0, 5.0], False),
        ([5.0, 4.0, 9.0], False),
        ([5.0, np.nan, 9.0], False),
        ([], False),
    ],
)
def test_times_that_tell_nothing_are_made_from_the_pace(times, own):
    xy = np.array([(0.0, 0), (12, 0), (12, 6)])
    found = error.walking_times(xy, np.array(times))
    assert found.tolist() == (times if own else pytest.approx([0.0, 10.0, 15.0]))


@pytest.mark.parametrize(("count", "looks"), [(1, 1.0), (25, 1.0), (26, 1.04), (100, 4.0)])
def test_two_laps_apart_tell_of_each_by_half(count, looks):
    apart = np.full(count, 3.0)
    apart[::2] = -3.0
    assert error.sigma_from_laps(apart) == pytest.approx((3 / 2**0.5, looks))
    assert error.sigma_from_laps(np.array([3.0, 4.0, 5.0]))[0] == pytest.approx(
        (50 / 6) ** 0.5
    )


def test_what_laps_show_is_weighed_with_the_guess_in_logs():
    guess = {"open": 2.0, "canopy": 4.5, None: 2.5}
    for sky, sigma_m in guess.items():
        assert error.blend_sigma(sky, None, 0.0) == sigma_m
        assert error.blend_sigma(sky, 1.0, 0.0) == pytest.approx(sigma_m)
        # two looks for each unit of its weight: as much as the guess
        as_much = 0.5 / 0.35**2
        assert error.blend_sigma(sky, 1.2, as_much) == pytest.approx(np.sqrt(1.2 * sigma_m))
        # and twice as much
        both = error.blend_sigma(sky, 1.2, 2 * as_much)
        assert both == pytest.approx((1.2**2 * sigma_m) ** (1 / 3))
        # laps that agree share what is wrong with both: half a metre at least
        least = error.blend_sigma(sky, 0.1, as_much)
        assert least == pytest.approx(np.sqrt(0.5 * sigma_m))


# lost fixes


def line_of(steps, waits=2.0):
    at_s = np.r_[0.0, np.cumsum(np.broadcast_to(waits, len(steps)))]
    return np.column_stack([np.r_[0.0, np.cumsum(steps)], np.zeros(len(steps) + 1)]), at_s


def lost_of(steps, waits=2.0):
    return np.flatnonzero(lost.lost_steps(*line_of(steps, waits))).tolist()


def test_a_step_of_twenty_metres_or_of_five_usual_ones_hides_nothing():
    assert lost_of([2.0] * 10 + [20.0]) == []
    assert lost_of([2.0] * 10 + [20.5]) == [10]
    assert lost_of([6.0] * 10 + [30.0]) == []
    assert lost_of([6.0] * 10 + [30.5]) == [10]
    assert lost_of([]) == []
    assert lost.lost_steps(np.zeros((1, 2)), np.zeros(1)).dtype == bool


def test_a_long_side_at_the_usual_pace_hides_nothing_at_either_limit():
    """A metre a second but for three of the long steps; the waits of it all and the way are one."""
    steps = np.tile([3.0, 3.0, 30.0], 12)
    waits = steps.copy()
    waits[[5, 8, 11]] = 37.5, 18.0, 34.5
    assert lost_of(steps, waits) == [], "1.25 times what the step needs, and 0.6 times"
    waits[[5, 8, 11]] = 37.75, 17.75, 34.5
    assert lost_of(steps, waits) == [5, 8]
    waits[[5, 8, 11]] = 60.0, 15.0, 15.0
    assert lost_of(steps, waits) == [5, 8, 11]
    # a fix that was saved twice is no step
    steps[0], waits[[0, 5, 8, 11]] = 0.0, (0.5, 37.5, 18.0, 34.0)
    assert lost_of(steps, waits) == []


@pytest.mark.parametrize(
    ("count", "usual", "gone"), [(5, 4.5, True), (5, 4.25, False), (4, 2.0, True)]
)
def test_without_times_two_fifths_of_the_way_in_five_long_steps_are_saved_so(
    count, usual, gone
):
    """Of 300 m, 120 in five steps: just not enough."""
    steps = np.r_[np.full(40, usual), np.full(count, 24.0)]
    assert lost_of(steps, np.nan) == (list(range(40, 40 + count)) if gone else [])
    assert lost_of(steps, 0.0) == lost_of(steps, np.nan), (
        "a clock that stands still is none"
    )


@pytest.mark.parametrize(
    ("waits", "even"),
    [
        ([1.0] * 9 + [2.5] * 2, True),  # the tenth that is longest, at two and a half
        ([1.0] * 9 + [2.75] * 2, False),
        ([1.0] * 10 + [99.0], True),
        ([7.0], True),  # two fixes
        ([1.0, 0.0, 1.0], False),
        ([1.0, np.nan, 1.0], False),
    ],
)
def test_fixes_saved_by_time_wait_evenly(waits, even):
    xy, at_s = line_of([5.0] * len(waits), waits)
    assert lost.evenly_saved(xy, at_s) is even


def test_what_is_lost_counts_within_the_lap():
    xy, at_s = line_of([40.0, *[1.0] * 60, 50.0, *[1.0] * 60, 30.0])
    assert lost.lost_share(xy, at_s, (0, 122), 0.0) == pytest.approx(90 / 210)
    assert lost.lost_share(xy, at_s, (1, 123), 10.0) == pytest.approx(90 / 210)
    assert lost.lost_share(xy, at_s, (1, 122), 0.0) == pytest.approx(50 / 170)
    every = lost.chords_over_lost(xy, at_s, (0, 123))
    assert every == pytest.approx(np.sqrt(40**4 + 50**4 + 30**4) / 12)
    assert lost.chords_over_lost(xy, at_s, (1, 122)) == pytest.approx(50**2 / 12)


# the interval of a walk, and what is said of it


def test_an_interval_holds_both_ends_and_the_share():
    found = interval_of(2 * ACRE_M2, 0.1 * ACRE_M2)
    assert found == Interval(*(pytest.approx(one) for one in (2.0, 1.769, 2.231, 11.55)))
    wide = interval_of(0.2 * ACRE_M2, 0.1 * ACRE_M2)
    assert wide == Interval(*(pytest.approx(one) for one in (0.2, 0.0, 0.431, 115.5)))


@pytest.mark.parametrize(("bump", "kept"), [(0.18, False), (0.22, True)])
def test_the_band_of_an_edge_follows_what_is_a_fifth_of_it(bump, kept):
    """1.96 · 3 m over √4 is 2.94 m; a corner that is less than a fifth of that is passed over."""
    reach = 2.94
    corners = [
        (0, 0),
        (100, 0),
        (100, 45),
        (100 + bump * reach, 50),
        (100, 55),
        (100, 100),
        (0, 100),
    ]
    band = PLANE.local(band_of(shapely.Polygon(corners), 3.0, 4.0, PLANE))
    assert band.covers(shapely.Point(100 + 1.1 * reach, 50)) is kept
    assert band.bounds[:2] == pytest.approx((-reach, -reach), abs=1e-6)
    assert not band.covers(shapely.Point(50, 50))


def test_the_band_of_a_square_is_two_strips_with_corners_of_four_chords():
    """Round each corner a quarter of a figure of sixteen sides."""
    band = PLANE.local(band_of(shapely.box(0, 0, 100, 100), 2.0, 1.0, PLANE))
    reach = 3.92
    outside = 400 * reach + 8 * np.sin(np.pi / 8) * reach**2
    inside = 100**2 - (100 - 2 * reach) ** 2
    assert band.area == pytest.approx(outside + inside, rel=1e-7)


@pytest.mark.parametrize("helps", [True, False])
def test_a_poor_acreage_is_warned_of_where_it_lies(helps):
    middle = shapely.Point(-86.3, 33.2)
    assert wide_note(15.0, middle, "w.gpx", "W", lap_helps=helps) == ()
    lap = (
        "walk the edge again, best the other way round and on another day, and use both walks "
        "together"
    )
    others = (
        "set a pin at each corner, or tape the sides, and use those instead",
        "take the calls of a deed, or of a survey's plat",
    )
    (note,) = wide_note(15.6, middle, "w.gpx", "W", lap_helps=helps)
    assert note == Note(
        "wide-interval", "the acreage is known only to ± 16 %", "warning", "w.gpx", "W",
        -86.3, 33.2, help=(lap, *others) if helps else others,
    )  # fmt: skip
    if helps:
        assert wide_note(15.6, middle, "w.gpx", "W") == (note,)


def test_one_more_lap_halves_what_laps_do_not_share():
    """Of one lap a half is left, of two two thirds, of three three quarters."""
    terms = [term("drift", "", 400.0, 0.0, ""), term("edge", "", 300.0, 1.0, "")]
    for laps, left in ((1.0, 1 / 2), (2.0, 2 / 3), (3.0, 3 / 4)):
        (said,) = advice_for(1e4, terms, laps)
        better = 2.31 * np.sqrt(400**2 * left + 300**2) / 100
        assert said == (
            f"One more lap would bring ± 12 % to about ± {better:.0f} %, best the other way "
            "round; on another day it helps at least as much."
        )
    half = [term("drift", "", 400.0, 0.5, "")]
    assert f"about ± {2.31 * 4 * 0.75**0.5:.0f} %" in advice_for(1e4, half, 1.0)[0]
    assert advice_for(1e4, terms[1:], 1.0) == (
        "More laps would not bring ± 7 % down by much; corners marked by pins, or a tape, would.",
    )


@pytest.mark.parametrize(("half_pct", "said"), [(5.0, False), (5.001, True)])
def test_five_percent_are_not_yet_worth_a_lap(half_pct, said):
    terms = [term("drift", "", half_pct / 231 * 1e4, 0.0, "")]
    assert bool(advice_for(1e4, terms, 1.0)) is said


@pytest.mark.parametrize(("common", "helps"), [(0.8, True), (0.81, False)])
def test_a_lap_that_leaves_more_than_nineteen_twentieths_helps_little(common, helps):
    """√(0.8 + 0.2 / 2) is 0.949, √(0.81 + 0.19 / 2) 0.951."""
    assert lap_would_help(1e4, [term("edge", "", 500.0, common, "")], 1.0) is helps


def a_walk(terms, half_width_pct, notes=()):
    shape = PLANE.ground(shapely.box(0, 0, 100, 100))
    acres = 1e4 / ACRE_M2
    return Walk(
        shape, acres, acres - 0.4, acres + 0.4, half_width_pct, "walked", 1.0, {"jump": 2}, 2.5,
        ("old",), notes, None, NONE, NONE, NONE, NONE, (), "w.gpx", "W", terms=terms,
    )  # fmt: skip


def test_a_walk_is_told_anew_what_would_make_it_better():
    other, old = Note("other", "words"), Note("wide-interval", "old words")
    lap = (term("drift", "", 700.0, 0.0, ""),)
    found = advised(a_walk(lap, 16.2, (old, other)))
    middle = found.polygon.representative_point()
    assert found.notes == (other, *wide_note(16.2, middle, "w.gpx", "W"))
    assert found.advice == advice_for(1e4, lap, 1.0)
    # of so many laps, and in another file
    more = advised(a_walk(lap, 16.2), 20.0, "b.gpx")
    assert more.notes == wide_note(16.2, middle, "b.gpx", "W", lap_helps=False)
    assert more.advice == advice_for(1e4, lap, 20.0)
    assert advised(a_walk(lap, 16.2), 0.0, "").notes[0].source == ""
    assert advised(a_walk(lap, 15.0, (old,))).notes == ()


def test_how_a_walk_was_read_and_its_row_of_figures():
    terms = (term("drift", "", 700.0, 0.0, ""),)
    walk = a_walk(terms, 16.2)
    assert walk.reading == Reading(1.0, {"jump": 2}, 2.5, ("old",), "walked", terms)
    assert (walk.area_sd_m2, walk.blocked) == (0.0, 0.0)
    assert walk.edge_sigma_m == pytest.approx(2.5 * 2.31 / 1.959964, rel=1e-6)
    frame = walk.to_frame()
    assert frame.drop(columns="geometry").to_dict("records") == [{
        "name": "W", "source": "w.gpx", "acres": walk.acres, "acres_low": walk.acres_low,
        "acres_high": walk.acres_high, "half_width_pct": 16.2, "method": "walked", "laps": 1.0,
        "sigma_m": 2.5,
    }]  # fmt: skip
    assert frame.crs == "EPSG:4326"
    assert frame.geometry[0] == walk.polygon
