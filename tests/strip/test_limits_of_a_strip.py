"""Where a strip's rules begin and end: a day, a survey or a transect more or less.

What is lost when one of them is off by one: a width that is trusted a day too long, a cut
called missed that was made in time, a rate of growth taken from too few tapes.
"""

import dataclasses
import datetime as dt
import itertools
import math

import geopandas as gpd
import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.frame import LocalFrame
from quietacre.errors import StripProblem
from quietacre.model import Transect
from quietacre.quiet import seasons
from quietacre.settings import Area, Property, PropertyInfo, Quiet, StripSettings, Work
from quietacre.strip.advance import _way, advance
from quietacre.strip.changes import width_changes
from quietacre.strip.cuts import dated_cuts, growth_of, next_open
from quietacre.strip.growth import KUDZU, effective_days
from quietacre.strip.plan import Known, plan_strips
from quietacre.strip.ring import (
    Obstacle,
    edge_stations,
    lengths_ft,
    ring_acres,
    strip_ring,
)
from quietacre.strip.transects import measured_rate
from quietacre.strip.width import (
    Case,
    Mower,
    absorbable_days,
    earliest_last_cut,
    latest_next_cut,
    longest_interval_days,
)
from quietacre.units import ACRE_FT2, ACRE_M2, FT_M

D = dt.date
FRAME = LocalFrame(-87.6, 34.2)
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))


def disk(radius_m, east=0.0):
    return FRAME.to_lonlat(np.array([shapely.Point(east, 0).buffer(radius_m, 90)]))[0]


def box(x0, y0, x1, y1):
    return FRAME.to_lonlat(np.array([shapely.box(x0, y0, x1, y1)]))[0]


# surveys


def test_two_surveys_of_one_day_may_be_compared_and_the_wrong_order_may_not():
    same = advance(disk(40), disk(41), old_on=D(2027, 5, 1), new_on=D(2027, 5, 1))
    assert (same.days, same.most_ft_year) == (0, None)
    with pytest.raises(StripProblem, match="is of a day before the old one"):
        advance(disk(40), disk(41), old_on=D(2027, 5, 2), new_on=D(2027, 5, 1))
    assert advance(disk(40), disk(41), new_on=D(2027, 5, 1)).days is None


def test_surveys_of_two_places_are_refused():
    with pytest.raises(StripProblem):
        advance(disk(40), disk(40, east=500.0))


@pytest.mark.parametrize("grown_m", [10.0, -10.0])
def test_what_moves_evenly_moves_as_far_on_every_side(grown_m):
    """A disk that grows by 10 m has moved 10 m out, everywhere, and back when it shrinks."""
    moved = advance(disk(60), disk(60 + grown_m), old_sigma_m=0.5, new_sigma_m=0.5)
    assert moved.mean_ft * FT_M == pytest.approx(grown_m, abs=0.05)
    assert moved.most_ft * FT_M == pytest.approx(grown_m, abs=0.05)
    assert len(moved.sectors) == 8
    for side in moved.sectors:
        assert side.mean_ft * FT_M == pytest.approx(grown_m, abs=0.05)
        assert side.low_ft <= side.mean_ft <= side.high_ft
        assert side.seen
    true_ac = math.pi * ((60 + grown_m) ** 2 - 60**2) / ACRE_M2
    assert moved.change.acres == pytest.approx(true_ac, rel=2e-3)


def test_a_patch_that_moved_to_one_side_is_told_by_that_side():
    moved = advance(disk(60), disk(60, east=9.0), old_sigma_m=0.5, new_sigma_m=0.5)
    by = {side.direction: side.mean_ft * FT_M for side in moved.sectors}
    assert by["E"] == pytest.approx(9.0, abs=0.7)
    assert by["W"] == pytest.approx(-9.0, abs=0.7)
    assert by["N"] == pytest.approx(0.0, abs=0.7)
    assert moved.change.acres == pytest.approx(0.0, abs=1e-3)


# tapes


def taped(count, *, year=2026, rate=0.131, spread=0.05):
    start, end = D(year, 6, 1), D(year, 6, 22)
    days = effective_days(start, end)
    return [
        Transect(
            "v", str(n), start, end, days * rate * math.exp(spread * (n % 3 - 1)), False
        )
        for n in range(count)
    ]


def test_five_tapes_make_a_rate_and_four_do_not():
    assert measured_rate(taped(4)) is None
    five = measured_rate(taped(5))
    assert (five.transects, five.seasons, five.lower_bounds) == (5, 1, 0)
    assert "5 transects over 1 season:" in five.text


def test_tapes_that_did_not_move_or_ended_before_the_vine_ran_count_for_nothing():
    winter = [
        dataclasses.replace(one, start=D(2026, 1, 2), end=D(2026, 1, 20))
        for one in taped(3)
    ]
    still = [dataclasses.replace(one, advance_m=0.0) for one in taped(3)]
    assert measured_rate(taped(4) + winter + still) is None
    assert measured_rate(taped(5) + winter + still).transects == 5


def test_the_rate_is_the_tapes_own_with_the_printed_factor():
    """Median 0.131 m a day, k from the printed table, as worked by hand."""
    logs = [math.log(0.131) + 0.05 * (n % 3 - 1) for n in range(10)]
    got = measured_rate(taped(10))
    assert got.median_m_day == pytest.approx(math.exp(np.mean(logs)), rel=1e-6)
    upper = math.exp(np.mean(logs) + 2.355 * np.std(logs, ddof=1))
    assert got.upper_m_day == pytest.approx(upper, rel=1e-3)
    assert not got.replaces_default
    both = measured_rate(taped(10) + taped(10, year=2025))
    assert both.replaces_default
    assert "over 2 seasons" in both.text
    assert "it replaces fast growth" in both.text


# the dates that a width holds between

CASE = Case(
    D(2027, 5, 14), D(2027, 7, 6), Mower(6.0, 0.5), edge_error_ft=3.0, watch_lane_ft=6.0
)


@pytest.mark.parametrize("rate", KUDZU, ids=lambda rate: rate.name)
@pytest.mark.parametrize("width_ft", [20.0, 35.0, 50.0, 90.0])
def test_a_width_holds_until_its_day_and_not_the_day_after(width_ft, rate):
    room = absorbable_days(width_ft, CASE, rate)
    assert room == pytest.approx(
        (width_ft - CASE.fixed_ft) * FT_M / (rate.safety * rate.peak_m_day)
    )
    day = latest_next_cut(width_ft, CASE, rate)
    held = effective_days(CASE.last_cut, day, CASE.season)
    after = effective_days(CASE.last_cut, day + dt.timedelta(days=1), CASE.season)
    assert held <= room + 1e-9 < after
    first = earliest_last_cut(width_ft, CASE, rate)
    assert effective_days(first, CASE.until, CASE.season) <= room + 1e-9
    assert effective_days(first - dt.timedelta(days=1), CASE.until, CASE.season) > room
    days = longest_interval_days(width_ft, CASE, rate)
    assert days <= (day - CASE.last_cut).days


def test_a_width_of_nothing_but_margins_holds_no_day():
    width_ft = CASE.fixed_ft
    assert latest_next_cut(width_ft, CASE, KUDZU[0]) == CASE.last_cut
    assert earliest_last_cut(width_ft, CASE, KUDZU[0]) == CASE.until
    assert latest_next_cut(width_ft - 0.1, CASE, KUDZU[0]) is None
    assert earliest_last_cut(width_ft - 0.1, CASE, KUDZU[0]) is None


def test_the_next_open_day_is_the_persons_own_outside_the_quiet():
    quiet = seasons([Quiet("nesting", "05-15", "07-05")], 2026, 2028)
    assert next_open(D(2027, 5, 20), (), quiet, EVERY_DAY) == D(2027, 7, 6)
    assert next_open(D(2027, 7, 6), (), quiet, EVERY_DAY) == D(2027, 7, 6)
    saturdays = next_open(D(2027, 5, 20), (), quiet, Work(("sat",)))
    assert (saturdays, saturdays.weekday()) == (D(2027, 7, 10), 5)


# acres and ranges


@pytest.mark.parametrize(
    ("radius_m", "width_ft"), [(30.0, 20.0), (60.0, 60.0), (150.0, 100.0)]
)
def test_the_ring_round_a_disk_is_the_schoolbook_s(radius_m, width_ft):
    """π (2 r w + w²)."""
    wide_m = width_ft * FT_M
    true_ac = math.pi * (2 * radius_m * wide_m + wide_m**2) / ACRE_M2
    assert ring_acres([disk(radius_m)], width_ft)[0] == pytest.approx(true_ac, rel=1e-3)
    drawn = area_m2(np.array([strip_ring(disk(radius_m), width_ft)]))[0] / ACRE_M2
    assert drawn == pytest.approx(true_ac, rel=1e-3)


def planned(shape, *, low=0.0, high=0.0):
    """Return the report's row of the strip round one patch, its acres known within a range."""
    area = Area("V", "patch", "v.gpx", vine="kudzu", strip=StripSettings(width_ft=40.0))
    prop = Property(PropertyInfo("x"), area=(area,), work=EVERY_DAY)
    frame = frame_of(shape, low, high)
    return plan_strips(frame, prop, None, today=D(2027, 1, 2), walk_sigma={}).report[0]


def frame_of(shape, low=0.0, high=0.0):
    acres = float(area_m2(np.array([shape]))[0]) / ACRE_M2
    columns = {
        "id": ["a01"], "name": ["V"], "kind": ["patch"], "acres": [acres],
        "acres_low": [acres - low], "acres_high": [acres + high],
    }  # fmt: skip
    return gpd.GeoDataFrame(columns, geometry=[shape], crs=4326)


def test_the_range_of_a_strip_is_that_of_its_patch_edge_carried_out():
    """A disk known to half an acre: its edge lies somewhere in a band, and the strip with it."""
    row = planned(disk(60), low=0.5, high=0.5)
    length_ft = float(perimeter_m(np.array([disk(60)]))[0]) / FT_M
    shift_m = 0.5 * ACRE_FT2 / length_ft * FT_M
    wide_m = 40.0 * FT_M
    for key, radius_m in (
        ("acres_low", 60 - shift_m),
        ("acres", 60.0),
        ("acres_high", 60 + shift_m),
    ):
        true_ac = math.pi * (2 * radius_m * wide_m + wide_m**2) / ACRE_M2
        assert row[key] == pytest.approx(true_ac, rel=2e-3), key
    assert row["length_ft"] == pytest.approx(length_ft, rel=1e-3)


def test_a_patch_known_exactly_has_a_strip_known_exactly():
    row = planned(disk(60))
    assert row["acres_low"] == pytest.approx(row["acres"]) == row["acres_high"]


# stations


@pytest.mark.parametrize("hard", [True, False])
def test_stations_add_up_to_the_edge_and_are_thin_where_the_pond_is(hard):
    patch = box(-50, -50, 50, 50)
    pond = Obstacle("pond", box(55, -10, 90, 10), hard=hard)
    found = edge_stations(patch, 40.0, [pond], fail_below_ft=10.0)
    assert found.verdict.tolist().count("PASS") + sum(
        found.verdict == ("FAIL" if hard else "NARROW")
    ) == len(found.verdict)
    thin = found.verdict != "PASS"
    # nearer than 40 ft (12.2 m) to a pond 5 m off and 20 m long: 20 m and two slants of 11 m
    share = thin.sum() / len(thin)
    assert share * 400 == pytest.approx(20 + 2 * math.sqrt(12.192**2 - 5**2), abs=3.0)
    assert found.available_ft[thin].min() * FT_M == pytest.approx(5.0, abs=0.05)
    assert (found.available_ft[~thin] == 40.0).all()
    assert len({(x, y) for x, y in zip(found.lon, found.lat, strict=True)}) == len(thin)
    assert set(found.reason[thin]) == {"pond"}
    (weak,) = found.weak
    assert (weak.reason, weak.verdict) == ("pond", "FAIL" if hard else "NARROW")
    # a station stands for the ground up to the next one
    assert lengths_ft([weak.line])[0] * FT_M == pytest.approx(share * 400, abs=0.1)
    assert weak.available_ft * FT_M == pytest.approx(5.0, abs=0.05)


def test_a_setback_and_a_least_width_are_taken_off_and_held_against():
    patch = box(-50, -50, 50, 50)
    found = edge_stations(
        patch,
        40.0,
        [Obstacle("wood", box(55, -50, 90, 50), setback_ft=6.0)],
        fail_below_ft=12.0,
    )
    (weak,) = found.weak
    # 5 m is 16.4 ft, less 6 ft of setback: 10.4 ft, under the 12 that the strip needs
    assert weak.available_ft == pytest.approx(16.4 - 6.0, abs=0.2)
    assert weak.verdict == "FAIL"


# what one setting does


@pytest.mark.parametrize("slip", [0, 3, 7, 14])
def test_every_slip_but_the_present_one_is_tried(slip):
    shape = disk(60)
    area = Area("V", "patch", "v.gpx", vine="kudzu", strip=StripSettings(slip_days=slip))
    frame = frame_of(shape)
    prop = Property(PropertyInfo("x"), area=(area,), work=EVERY_DAY)
    found = width_changes(frame, prop, Known(D(2027, 1, 2), {}, {}, (), {}), "a01")
    tried = {one.value: one for one in found if one.key == "slip_days"}
    # a change within one pass of the mower changes nothing, and is not told
    assert {7, 14} - {slip} <= set(tried) <= {0, 3, 7, 14} - {slip}
    widths = [tried[days].width_ft for days in sorted(tried)]
    assert widths == sorted(widths), "a cut that may slip longer asks for no less"
    if 0 in tried:
        assert tried[0].words == "no cut ever slips past its day"
    if 3 in tried:
        assert tried[3].words == "a cut may slip 3 days"
    offered = {one.key for one in found}
    assert {"staked", "watch_lane_ft"} & offered


# cuts at the ends of the season: the vine runs from March 11 to November 20


def cuts(start, end):
    place = PropertyInfo("x", last_frost="03-10", first_frost="11-20")
    quiet = seasons([Quiet("q", start, end)], 2026, 2029)
    made = dated_cuts(
        (), quiet, EVERY_DAY, StripSettings(), growth_of(place), every_days=14,
        first=D(2027, 1, 1), last=D(2027, 12, 31),
    )  # fmt: skip
    return list(made)


@pytest.mark.parametrize(
    ("start", "end", "counts"),
    [
        ("02-01", "03-10", False),
        ("02-01", "03-11", True),
        ("11-20", "12-10", True),
        ("11-21", "12-10", False),
        ("05-15", "07-03", True),
    ],
)
def test_a_quiet_season_counts_where_the_vine_runs_in_it_for_a_day(start, end, counts):
    found = cuts(start, end)
    labels = [cut.label for cut in found]
    assert any("before" in label or "after" in label for label in labels) is counts
    shut = seasons([Quiet("q", start, end)], 2026, 2029)
    for cut in found:
        assert cut.earliest <= cut.ideal <= cut.latest
        assert next_open(cut.ideal, (), shut, EVERY_DAY) == cut.ideal, "no job in the quiet"


def test_between_quiets_the_strip_is_cut_every_fortnight():
    days = sorted(cut.ideal for cut in cuts("05-15", "07-03") if cut.task == "strip cut")
    gaps = [(two - one).days for one, two in itertools.pairwise(days)]
    # the one long gap is the quiet season itself
    assert sum(gap > 14 for gap in gaps) == 1
    assert max(gaps) >= 50
    assert D(2027, 3, 11) <= days[0] <= D(2027, 3, 25)
    assert days[-1] <= D(2027, 11, 21)


@pytest.mark.parametrize(("moved_ft", "way"), [(0.4, "out"), (30.0, "out"), (-0.4, "back")])
def test_an_edge_that_moved_less_than_a_foot_moved_out_or_back_too(moved_ft, way):
    assert _way(moved_ft) == way
