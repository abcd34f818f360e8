"""The ± of a walk, piece by piece, as worked by hand; and what it must do whatever the walk.

A ± that is too small sends a landowner home with seed for ground that is not there; one too
large asks for laps that buy nothing.
"""

import dataclasses

import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.boundary import error
from quietacre.boundary.differ import OtherReading, differ_note, holding
from quietacre.boundary.drawn import drawn_area_sd_m2, map_scale_pm_ft
from quietacre.boundary.level import slope_of
from quietacre.boundary.margin import counted, sky_terms
from quietacre.boundary.points import walk_of
from quietacre.boundary.signs import jumped_share, signs_of
from quietacre.boundary.sky import chance_blocked
from quietacre.boundary.span import too_far
from quietacre.boundary.thin import thin
from quietacre.boundary.walk import advice_for, interval_of, lap_would_help, wide_note
from quietacre.boundary.why import own_sd_m2, term, total_sd_m2
from quietacre.errors import WalkRefused
from quietacre.figures import printed
from quietacre.units import ACRE_M2, FT_M, MILE_M

FRAME = LocalFrame(-86.3, 33.2)

# the interval


def test_an_interval_is_the_area_and_2_31_deviations_either_way():
    # 10 acres, one deviation of a tenth of an acre
    found = interval_of(10 * ACRE_M2, 0.1 * ACRE_M2)
    assert found.acres == pytest.approx(10.0)
    assert (found.acres_low, found.acres_high) == pytest.approx((10 - 0.231, 10 + 0.231))
    assert found.half_width_pct == pytest.approx(2.31)
    assert interval_of(ACRE_M2, 9 * ACRE_M2).acres_low == 0.0, "no ground is less than none"


def test_terms_add_as_the_root_of_their_squares():
    terms = [term("a", "", 300.0, 0.0, ""), term("b", "", 400.0, 1.0, "")]
    assert total_sd_m2(terms) == pytest.approx(500.0)
    assert own_sd_m2(terms) == pytest.approx(300.0), (
        "what all laps share is not a lap's own"
    )
    assert total_sd_m2([]) == 0.0


@pytest.mark.parametrize(("half", "said"), [(15.0, False), (15.1, True), (40.0, True)])
def test_from_fifteen_percent_on_a_poor_acreage_is_said(half, said):
    notes = wide_note(half, shapely.Point(-86, 33), "w.gpx", "W")
    assert bool(notes) is said
    if said:
        assert f"only to ± {half:.0f} %" in notes[0].text
        assert [way.split(", ")[0] for way in notes[0].help] == [
            "walk the edge again",
            "set a pin at each corner",
            "take the calls of a deed",
        ]


def test_a_way_out_of_a_poor_acreage_that_would_not_help_is_not_named():
    area = 10 * ACRE_M2
    middle = shapely.Point(-86, 33)
    for common, ways in ((0.0, 3), (1.0, 2)):
        terms = [term("drift", "", 0.2 * area, common, "")]
        helps = lap_would_help(area, terms, 1.0)
        (note,) = wide_note(39.2, middle, "w.gpx", "W", lap_helps=helps)
        assert len(note.help) == ways
        assert note.text.count("walk the edge again") == ways - 2


def test_another_lap_is_advised_where_it_buys_something():
    area = 10 * ACRE_M2
    lap = [term("drift", "", 0.05 * area, 0.0, "")]  # ± 11.6 %
    (text,) = advice_for(area, lap, 1.0)
    # two laps: 11.55 / √2 is 8.2
    assert "bring ± 12 % to about ± 8 %" in text
    common = [term("edge", "", 0.05 * area, 1.0, "")]
    assert "would not bring ± 12 % down by much" in advice_for(area, common, 1.0)[0]
    assert advice_for(area, [term("drift", "", 0.02 * area, 0.0, "")], 1.0) == ()


# drift


def square_ring(side, step=2.0):
    ring = shapely.LinearRing([(0, 0), (side, 0), (side, side), (0, side)])
    at = np.arange(0.0, ring.length, step)
    return shapely.get_coordinates(shapely.line_interpolate_point(ring, at)), at


def test_drift_that_never_changes_shifts_the_plot_and_keeps_its_acres():
    xy, at = square_ring(100.0)
    still = error.unit_area_sd(xy, at / 1.2, tau_s=1e9)
    assert still == pytest.approx(0.0, abs=0.5)


def test_drift_that_changes_at_once_is_the_sum_over_fixes():
    """Each fix errs by itself: √Σ(half the chord beside it)², 2 m sides of 200 fixes."""
    xy, at = square_ring(100.0)
    chords = 0.5 * (np.roll(xy, -1, axis=0) - np.roll(xy, 1, axis=0))
    alone = float(np.sqrt((chords**2).sum()))
    assert error.unit_area_sd(xy, at / 1.2, tau_s=1e-6) == pytest.approx(alone)
    assert alone == pytest.approx(2.0 * np.sqrt(200), rel=0.02)


def test_drift_of_a_minute_lies_between_and_grows_with_the_plot():
    small, at = square_ring(50.0)
    large, along = square_ring(200.0)
    assert 10 < error.unit_area_sd(small, at / 1.2) < error.unit_area_sd(large, along / 1.2)
    # the same fixes, turned, shifted and walked the other way
    turned = small @ np.array([[0.6, 0.8], [-0.8, 0.6]]) + (500, -300)
    known = error.unit_area_sd(small, at / 1.2)
    assert error.unit_area_sd(turned, at / 1.2) == pytest.approx(known)
    assert error.unit_area_sd(small[::-1], at / 1.2) == pytest.approx(known, rel=1e-6)
    dense, every = square_ring(200.0, 0.5)
    assert len(dense) > error.MOST_NODES
    assert error.unit_area_sd(dense, every / 1.2) == pytest.approx(
        error.unit_area_sd(large, along / 1.2), rel=0.03
    )


def test_an_error_weighs_more_on_a_small_plot():
    # 0.57 + 3.2 σ / √A: at 2 m over 100 m by 100 it is 0.634
    assert error.widened(1000.0, 2.0, 10_000.0) == pytest.approx(634.0)
    assert error.widened(1000.0, 2.0, 1e12) == pytest.approx(570.0, rel=1e-3)
    # alone, as between two surveys: 0.84 + 4.2 × 2 / 100
    assert error.widened(1000.0, 2.0, 10_000.0, by=error.WIDEN_ALONE) == pytest.approx(
        924.0
    )


def test_edges_of_two_pieces_err_by_themselves():
    one, two = shapely.box(0, 0, 100, 100), shapely.box(500, 0, 600, 100)
    both = error.edge_area_sd(shapely.MultiPolygon([one, two]), 2.0)
    alone = error.edge_area_sd(one, 2.0)
    factor = (0.84 + 4.2 * 2 / 20_000**0.5) / (0.84 + 4.2 * 2 / 100)
    assert both == pytest.approx(alone * 2**0.5 * factor, rel=1e-6)
    assert error.edge_area_sd(one, 4.0) > 2 * alone


def test_times_of_the_file_are_used_when_they_can_be():
    xy = np.array([[0.0, 0.0], [12.0, 0.0], [12.0, 6.0]])
    times = np.array([5.0, 6.0, 9.0])
    assert error.walking_times(xy, times) is times
    pace = [0.0, 10.0, 15.0]  # 1.2 m a second
    for bad in ([5.0, np.nan, 9.0], [5.0, 4.0, 9.0], [5.0, 5.0, 5.0], []):
        assert error.walking_times(xy, np.array(bad)) == pytest.approx(pace)


def test_laps_apart_tell_how_far_a_fix_strays():
    # two laps that lie 4 m apart everywhere: each strays by 4 / √2
    sigma, looks = error.sigma_from_laps(np.full(100, 4.0))
    assert sigma == pytest.approx(4 / 2**0.5)
    assert looks == 4.0
    assert error.sigma_from_laps(np.full(10, -4.0)) == (pytest.approx(4 / 2**0.5), 1.0)


def test_what_laps_show_outweighs_the_guess_the_more_there_is_of_it():
    assert [error.blend_sigma(sky, None, 0.0) for sky in ("open", None, "canopy")] == [
        2.0, 2.5, 4.5,
    ]  # fmt: skip
    little, much = (error.blend_sigma("open", 6.0, looks) for looks in (1.0, 100.0))
    assert 2.0 < little < much < 6.0
    # a look weighs 2, the guess 1 / 0.35² = 8.16: the mean of their logarithms
    weight = 1 / 0.35**2
    by_hand = np.exp((weight * np.log(2.0) + 2 * np.log(6.0)) / (weight + 2))
    assert little == pytest.approx(by_hand)
    assert error.blend_sigma("open", 0.01, 1e9) == pytest.approx(0.5), (
        "laps may share an error"
    )


# the sky


@pytest.mark.parametrize("laps", [1.0, 2.0, 4.0])
def test_blocked_sky_costs_metres_all_round_and_half_of_it_whatever_the_laps(laps):
    assert sky_terms(0.01, "x", 400.0, laps) == []
    whole, half = (sky_terms(b, "your hint", 400.0, laps)[0] for b in (1.0, 0.5))
    variance = 0.5 + 0.5 / laps
    assert whole.sd_m2 == pytest.approx(3.3 * 400 * variance**0.5)
    assert half.sd_m2 == pytest.approx(whole.sd_m2 / 2)
    assert whole.common == pytest.approx(0.5 / variance)
    assert "11 ft all round, shown by your hint" in printed(whole.text)


def lap(step=2.0, stray=0.0, seed=3, every_s=2.0):
    xy, _ = square_ring(100.0, step)
    xy = np.vstack([xy, xy[:1]])
    xy = xy + np.random.default_rng(seed).normal(0, stray, xy.shape) if stray else xy
    return xy, every_s * np.arange(len(xy))


def seen(xy, times, **more):
    jumped = more.pop("jumped", np.zeros(len(xy), dtype=bool))
    return signs_of(xy, times, jumped=jumped, hdop=1.0, satellites=9.0, **more)


def test_a_recording_tells_its_pace_and_how_often_it_saved():
    xy, times = lap()
    signs = seen(xy, times)
    assert signs.pace_m_s == pytest.approx(1.0, rel=1e-6)
    assert signs.every_s == pytest.approx(2.0)
    assert (signs.lost, signs.jumps) == (0.0, 0.0)
    assert (signs.hdop, signs.satellites) == (1.0, 9.0)
    assert signs.strays.across_m[:4] == pytest.approx(0.0, abs=0.3)  # corners are few
    # 50 m to either side are an eighth of the way round, and 16 fixes 32 m
    assert signs.strays.over_s == pytest.approx([2, 4, 8, 16, 32])


def test_a_path_of_white_noise_strays_by_the_root_of_one_and_a_half():
    """The middle of three errs by itself, and by half of each of the others: √(1 + ¼ + ¼)."""
    strays = seen(*lap(stray=1.0)).strays
    assert strays.across_m[:2] == pytest.approx(1.5**0.5, rel=0.15)


def test_a_path_that_strays_more_is_likelier_under_blocked_sky():
    chance = [chance_blocked(seen(*lap(stray=stray)).strays) for stray in (0.2, 1.0, 3.0)]
    assert chance == sorted(chance)
    assert chance[2] > 2 * chance[0]


def test_a_chance_counts_for_half_at_43_in_a_hundred():
    assert (counted(0.0), counted(1e-40)) == (0.0, 0.0)
    assert counted(0.43) == pytest.approx(0.5)
    # 1 / (1 + (0.43 / 0.5)^10) and the same of 0.3
    assert counted(0.5) == pytest.approx(0.819, abs=1e-3)
    assert counted(0.3) == pytest.approx(0.0266, abs=1e-4)


def test_lost_fixes_and_jumps_count_from_four_on():
    xy, times = lap()
    for lost, share in ((3, 0.0), (5, 5 / (len(xy) - 11))):
        keep = np.ones(len(xy), dtype=bool)
        for n in range(lost):
            keep[10 + 20 * n : 12 + 20 * n] = False
        found = seen(xy[keep], times[keep]).lost
        assert found == pytest.approx(share, rel=0.02)
    jumped = np.zeros(100, dtype=bool)
    jumped[[5, 6, 20, 40]] = True  # three jumps, one of two fixes
    assert jumped_share(jumped) == 0.0
    jumped[60] = True
    assert jumped_share(jumped) == pytest.approx(0.05)


# the ground


@pytest.mark.parametrize("slope", [0.05, 0.15, 0.4])
def test_a_slope_is_that_of_the_plane_through_the_heights(slope):
    xy, _ = square_ring(100.0)
    height = 200.0 + slope * (0.6 * xy[:, 0] + 0.8 * xy[:, 1])
    assert slope_of(xy, height) == pytest.approx(slope)
    some = height.copy()
    some[::3] = np.nan
    some[1] = 40_000.0
    assert slope_of(xy, some) == pytest.approx(slope)


def test_a_slope_that_is_not_sure_is_none():
    xy, _ = square_ring(100.0)
    noise = np.random.default_rng(5).normal(0, 8.0, len(xy))
    assert slope_of(xy, noise) == 0.0
    assert slope_of(xy, None) == 0.0
    assert slope_of(xy[:29], 0.4 * xy[:29, 0]) == 0.0, "29 fixes are too few"
    assert slope_of(np.column_stack([xy[:, 0], xy[:, 0]]), 0.4 * xy[:, 0]) == 0.0


def test_a_journey_is_told_from_a_jump():
    near = np.random.default_rng(1).uniform(-500, 500, (200, 2))
    assert too_far(near) is None
    one = near.copy()
    one[100] = (60 * MILE_M, 0)
    assert too_far(one) is None, "one fix of two hundred is a jump"
    many = near.copy()
    many[150:, 0] += 40 * MILE_M
    found = too_far(many)
    assert found.across_mi == pytest.approx(40.0, abs=1.0)
    assert (found.fix, found.jump_mi) == (150, pytest.approx(40.0, abs=1.0))


# drawn edges


def test_a_map_of_a_scale_is_good_to_a_thirtieth_or_a_fiftieth_of_an_inch():
    """United States National Map Accuracy Standards, Bureau of the Budget, 1947 (from memory)."""
    # 1/30 inch of 1:12,000 is 33.3 ft and 1/50 of 1:24,000 is 40 ft, nine points in ten;
    # of a circular error 95 % lie within 1.1406 times that
    assert map_scale_pm_ft(12_000) == pytest.approx(12_000 / 30 / 12 * 1.1406, rel=1e-3)
    assert map_scale_pm_ft(24_000) == pytest.approx(24_000 / 50 / 12 * 1.1406, rel=1e-3)
    assert map_scale_pm_ft(19_999) > map_scale_pm_ft(20_000)


def test_a_drawn_square_is_known_as_its_corners_are():
    """SD of a square of side a is √2 a σ, as of pins; and a hair more."""
    sigma = 15 * FT_M / 2.4477
    found = drawn_area_sd_m2(shapely.box(0, 0, 200, 200), 15.0)
    assert found == pytest.approx(np.sqrt(2 * 200**2 * sigma**2 + 2 * sigma**4), rel=1e-3)
    two = shapely.MultiPolygon([shapely.box(0, 0, 200, 200), shapely.box(500, 0, 700, 200)])
    assert drawn_area_sd_m2(two, 15.0) == pytest.approx(found * 2**0.5)
    known = drawn_area_sd_m2(
        shapely.box(0, 0, 200, 200), 15.0, beside=shapely.box(-1, -1, 201, 100)
    )
    assert known == pytest.approx(found / 2**0.5), "two of its corners are known otherwise"


# readings that differ


def reading(acres, what="a", laps=1.0):
    return OtherReading(what, acres, shapely.box(0, 0, 1, 1), laps)


@pytest.mark.parametrize(
    ("other", "level"), [(30.19, None), (31.0, None), (31.1, "caution"), (34.0, "warning")]
)
def test_readings_that_chance_does_not_explain_are_said(other, level):
    """2.5 deviations of √(0.3² + 0.3²) are 1.06 ac; under a fiftieth nothing is told apart."""
    notes = differ_note(
        [reading(30.0, "first"), reading(other, "second")], [0.3, 0.3],
        source="w", name="W", middle=shapely.Point(0, 0),
    )  # fmt: skip
    assert [note.level for note in notes] == ([level] if level else [])
    if notes:
        assert f"30.00 ac (first) and {other:.2f} ac (second)" in notes[0].text
    assert (
        differ_note([reading(10.0)], [0.3], source="", name="", middle=shapely.Point())
        == ()
    )
    near = differ_note(
        [reading(10.0), reading(10.15)],
        [0.0, 0.0],
        source="",
        name="",
        middle=shapely.Point(0, 0),
    )
    assert near == ()


def test_the_plus_minus_is_made_to_hold_every_reading():
    terms = (term("drift", "", 0.1 * ACRE_M2, 0.0, ""),)  # ± 0.231 ac
    assert holding(10.0, [10.2, 9.8], terms) == terms
    wider = holding(10.0, [10.2, 9.0], terms)
    assert 2.31 * total_sd_m2(wider) / ACRE_M2 == pytest.approx(1.0)
    assert "the farthest by 1.00 ac" in printed(wider[-1].text)


# thinning and plain points


def test_thinning_keeps_the_acres_within_the_bound():
    angle = np.linspace(0, 2 * np.pi, 721)[:-1]
    disk = shapely.Polygon(100 * np.column_stack([np.cos(angle), np.sin(angle)]))
    for bound in (0.01, 0.0005, 1e-6):
        fewer = thin(disk, tolerance_m=5.0, most_change=bound)
        assert abs(fewer.area / disk.area - 1) <= bound
        assert bound < 1e-5 or len(fewer.exterior.coords) < len(disk.exterior.coords) / 3
        assert fewer.is_valid
    assert thin(disk, tolerance_m=0.0005) is disk


def points(side=100.0):
    xy, at = square_ring(side)
    xy = np.vstack([xy, xy[:1]])
    return np.column_stack(FRAME.lonlat(xy[:, 0], xy[:, 1])), np.append(at, 4 * side)


def test_points_without_a_file_are_a_walk():
    lonlat, at = points()
    walk = walk_of(lonlat.tolist(), at.tolist(), name="Shelf", sky="open")
    assert walk.acres == pytest.approx(100**2 / ACRE_M2, rel=5e-3)
    assert (walk.name, walk.source, walk.sky) == ("Shelf", "Shelf", "open")
    assert walk.acres_low < walk.acres < walk.acres_high
    untimed = walk_of(lonlat)
    assert untimed.acres == pytest.approx(walk.acres, rel=1e-3)
    moved = walk_of(lonlat, at, walked_inside_ft=10.0)
    true = (100 + 20 * FT_M) ** 2 / ACRE_M2
    assert moved.acres == pytest.approx(true, rel=8e-3)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda p, t: (p[:, :1], t), "points are not pairs"),
        (lambda p, t: (p[:, 0], t), "points are not pairs"),
        (lambda p, t: (p, t[:-1]), "points have 200 times"),
        (lambda p, t: (p + (0, 60), t), "no longitude and latitude"),
        (lambda p, t: (p * (np.nan, 1), t), "no longitude and latitude"),
    ],
)
def test_points_that_are_none_are_refused(change, words):
    lonlat, at = points()
    with pytest.raises(WalkRefused, match=words):
        walk_of(*change(lonlat, at))


# whatever the walk


def noisy(seed, sigma=1.0):
    rng = np.random.default_rng(seed)
    lonlat, at = points(120.0)
    count = len(at)
    drift = np.cumsum(rng.normal(0, sigma / 15, (count, 2)), axis=0)
    drift -= np.linspace(0, 1, count)[:, None] * drift[-1]
    x, y = FRAME.xy(*lonlat.T)
    return np.column_stack(FRAME.lonlat(x + drift[:, 0], y + drift[:, 1])), at


@pytest.mark.parametrize("seed", [1, 2])
def test_acres_and_margin_do_not_depend_on_where_when_or_which_way(seed):
    lonlat, at = noisy(seed)
    plain = walk_of(lonlat, at)
    same = {
        "later": walk_of(lonlat, at + 86_400.0),
        "the other way": walk_of(lonlat[::-1], at[-1] - at[::-1]),
        "elsewhere": walk_of(lonlat + (2.0, 0.0), at),
    }
    for how, walk in same.items():
        assert walk.acres == pytest.approx(plain.acres, rel=2e-3), how
        assert walk.half_width_pct == pytest.approx(plain.half_width_pct, rel=0.08), how
        assert walk.laps == pytest.approx(plain.laps, abs=0.02), how
        assert walk.removed == plain.removed, how


def test_what_is_known_worse_has_a_wider_margin():
    lonlat, at = noisy(3)
    half = {
        sky: walk_of(lonlat, at, sky=sky).half_width_pct for sky in ("open", None, "canopy")
    }
    assert (
        half["open"] <= half[None] < half["canopy"]
    )  # its path shows an open sky by itself
    laps = np.vstack([lonlat, noisy(4)[0][1:], noisy(5)[0][1:]])
    times = np.arange(len(laps)) * 2.0
    three = walk_of(laps, times)
    assert three.laps == pytest.approx(3.0, abs=0.1)
    assert three.half_width_pct < half[None], "three laps are known better than one"
    gap = walk_of(lonlat[:-8], at[:-8])
    assert gap.half_width_pct >= half[None], "a gap is not known"
    by = {one.code: one for one in gap.terms}
    assert dataclasses.asdict(by["edge"])["common"] == 1.0
