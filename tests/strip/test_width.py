"""The width model against its worked numbers; the inverse against the model."""

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quietacre.errors import StripProblem
from quietacre.strip.growth import KUDZU, effective_days
from quietacre.strip.width import (
    Case,
    Mower,
    absorbable_days,
    earliest_last_cut,
    latest_next_cut,
    longest_interval_days,
    strip_width,
)
from quietacre.units import FT_M

# Worked by hand from the formulas of docs/methods-strip.md: mower 1.83 m, overlap
# 0.15 m, edge error 1.0 m, watch lane 1.83 m. (last cut, next cut, effective days,
# central W, passes, built; stress W, passes, built; metres.)
MOWER = Mower(1.83 / FT_M, 0.15 / FT_M)
WORKED = [
    ((5, 14), (7, 6), 48.2, 14.9, 9, 15.3, 17.5, 11, 18.6),
    ((5, 14), (7, 16), 58.2, 17.4, 11, 18.6, 20.6, 13, 22.0),
    ((5, 4), (7, 16), 64.4, 18.9, 12, 20.3, 22.5, 14, 23.7),
    ((4, 30), (7, 12), 62.4, 18.4, 11, 18.6, 21.9, 13, 22.0),
    ((5, 14), (8, 12), 82.6, 23.5, 14, 23.7, 28.0, 17, 28.7),
    ((4, 14), (8, 12), 96.6, 27.0, 16, 27.0, 32.3, 20, 33.7),
    ((3, 31), (8, 26), 109.8, 30.3, 18, 30.4, 36.3, 22, 37.1),
    ((6, 15), (6, 29), 14.0, 6.3, 4, 6.9, 7.1, 5, 8.5),
    ((6, 15), (7, 6), 21.0, 8.1, 5, 8.5, 9.2, 6, 10.2),
    ((6, 15), (7, 13), 28.0, 9.8, 6, 10.2, 11.4, 7, 11.9),
]


def case(last, after, **more):
    return Case(
        dt.date(2027, *last), dt.date(2027, *after), MOWER,
        edge_error_ft=1.0 / FT_M, watch_lane_ft=1.83 / FT_M, **more,
    )  # fmt: skip


@pytest.mark.parametrize("row", WORKED, ids=[f"{r[0]}-{r[1]}" for r in WORKED])
def test_worked_numbers(row):
    last, after, days, *printed = row
    widths = strip_width(case(last, after))
    assert widths["central"].effective_days == pytest.approx(days, abs=0.051)
    for name, (asks, passes, built) in {
        "central": printed[:3], "stress": printed[3:],
    }.items():  # fmt: skip
        got = widths[name]
        assert got.required_ft * FT_M == pytest.approx(asks, abs=0.051)
        assert got.passes == passes
        assert got.width_ft * FT_M == pytest.approx(built, abs=0.051)


def test_low_case_of_the_design_row():
    low = strip_width(case((5, 14), (7, 16)))["low"]
    assert low.required_ft * FT_M == pytest.approx(12.7, abs=0.051)
    assert low.passes == 8
    assert low.width_ft * FT_M == pytest.approx(13.6, abs=0.051)


def test_terms_add_up_and_name_their_source():
    for got in strip_width(case((5, 14), (7, 6), live_node_ft=4.0)).values():
        assert sum(t.ft for t in got.terms) == pytest.approx(got.required_ft)
        assert all(t.source for t in got.terms)


# Season totals. "Weed of the Week: Kudzu", USDA Forest Service, ca 2005, and Kudzu
# identification card, Michigan State University, 2021: 60 ft, 18 m a season;
# Possible Mechanisms of the Invasiveness of Pueraria montana, MDPI, 2023: 20-30 m a season with 3-20 cm a day.
@pytest.mark.parametrize(("rate", "low_m", "high_m"), [(0, 18.0, 18.6), (1, 20.0, 30.0)])
def test_growth_closes_on_published_season_totals(rate, low_m, high_m):
    season = effective_days(dt.date(2027, 1, 1), dt.date(2027, 12, 31))
    assert low_m <= KUDZU[rate].peak_m_day * season <= high_m


def test_a_foot_a_day_all_season_contradicts_every_total():
    season = effective_days(dt.date(2027, 1, 1), dt.date(2027, 12, 31))
    assert 0.305 * season > 1.3 * 30.0


def test_whole_passes_round_up():
    mower = Mower(6.0, 0.5)
    assert [mower.passes(w) for w in (1, 6, 6.01, 11.5, 11.51)] == [1, 1, 2, 2, 3]
    assert mower.built_ft(3) == 17.0
    with pytest.raises(StripProblem, match="overlap"):
        Mower(6.0, 6.0)


def test_cuts_in_the_wrong_order():
    with pytest.raises(StripProblem, match="not after"):
        strip_width(case((7, 6), (5, 14)))


@given(st.integers(100, 200), st.integers(10, 120), st.sampled_from(KUDZU), st.floats(0, 3))
@settings(max_examples=150, deadline=None)
def test_width_and_dates_are_inverses(day, gap, rate, extra_ft):
    last = dt.date(2027, 1, 1) + dt.timedelta(days=day)
    this = Case(last, last + dt.timedelta(days=gap), Mower(6.0, 0.5))
    wide = strip_width(this)[rate.name].required_ft + extra_ft
    # a strip as wide as asked holds at least from the last cut to the next
    assert earliest_last_cut(wide, this, rate) <= this.last_cut
    assert latest_next_cut(wide, this, rate) >= this.until
    # and the dates it gives back need no more than that width
    back = latest_next_cut(wide, this, rate)
    assert effective_days(this.last_cut, back) <= absorbable_days(wide, this, rate) + 1e-9
    assert longest_interval_days(wide, this, rate) <= 28


def test_too_narrow_at_any_date():
    assert earliest_last_cut(5.0, case((5, 14), (7, 16)), KUDZU[1]) is None
    assert latest_next_cut(5.0, case((5, 14), (7, 16)), KUDZU[1]) is None
    assert longest_interval_days(5.0, case((5, 14), (7, 16)), KUDZU[1]) == 0
