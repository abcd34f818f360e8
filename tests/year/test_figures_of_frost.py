"""Frosts of a record whose every freeze is known."""

import datetime as dt
import math

import numpy as np
import pytest

from quietacre.daily import Daily
from quietacre.settings import Property, PropertyInfo
from quietacre.year.frost import Freeze, freezes, frost_report, growing_days_f
from quietacre.year.sowing import freezes_for

D = dt.date


def record(years=12, *, warm=(), missing=()):
    """Lows of 50 °F, 30 °F on April 1 (of odd years 11) and November 1; highs of 70 °F."""
    start = D(2001, 1, 1)
    days = (D(2001 + years, 1, 1) - start).days
    low = np.full(days, 50.0)
    for year in range(2001, 2001 + years):
        if year not in warm:
            low[(D(year, 4, 11 if year % 2 else 1) - start).days] = 30.0
            low[(D(year, 11, 1) - start).days] = 30.0
        if year in missing:
            low[(D(year, 1, 1) - start).days : (D(year, 1, 12) - start).days] = np.nan
            low[(D(year, 10, 1) - start).days : (D(year, 10, 12) - start).days] = np.nan
    return Daily("w.csv", start, np.zeros(days), low, np.full(days, 70.0))


def test_the_last_freeze_of_spring_and_the_first_of_fall():
    spring, fall = (freezes(record(), 32.0, season) for season in ("spring", "fall"))
    assert (spring.years, spring.years_without) == (12, 0)
    assert spring.date(50, 2027) == D(2027, 4, 6)  # the mean of April 1 and April 11
    # ± 1.2816 standard deviations of 5.22 days
    assert [spring.date(level, 2027) for level in (10, 90)] == [
        D(2027, 4, 13),
        D(2027, 3, 30),
    ]
    assert {fall.date(level, 2027) for level in (10, 50, 90)} == {D(2027, 11, 1)}
    assert spring.date(25, 2027) is None
    assert freezes(record(), 28.0, "spring").years_without == 12
    assert freezes(record(), 30.0, "spring").years_without == 0
    assert freezes(record(), 29.9, "spring").day_of_year == {}


@pytest.mark.parametrize(
    ("years", "warm", "missing", "known"),
    [(10, (), (), True), (9, (), (), False), (11, (2003,), (), True), (12, (2003, 2004), (), False),
     (11, (), (2003,), True), (10, (), (2003,), False),
     (20, (2003, 2004), (), False), (21, (2003, 2004), (), True)],
)  # fmt: skip
def test_a_freeze_date_needs_ten_years_that_are_whole_and_few_without(
    years, warm, missing, known
):
    made = freezes(record(years, warm=warm, missing=missing), 32.0, "spring")
    assert made.years == years - len(missing)
    assert made.years_without == len(warm)
    assert (made.date(50, 2027) is not None) is known


def test_the_report_of_frosts_and_of_growing_days():
    made = frost_report(record(), 2027, base_f=50.0, first_year=None, last_year=None)
    assert made.base_period == (2001, 2012)
    assert [(row.season, row.threshold_f) for row in made.freezes] == [
        (season, f) for season in ("spring", "fall") for f in (24.0, 28.0, 32.0, 36.0)
    ]
    row = made.freezes[2]
    assert (row.pct_10, row.pct_50, row.pct_90) == (
        D(2027, 4, 13), D(2027, 4, 6), D(2027, 3, 30),
    )  # fmt: skip
    # April 6 to November 1: 210 days of 60 - 50, one of them with a low of 30 in each year, and
    # the one of April 11 in every other
    degree_days = made.growing.degree_days
    assert degree_days == pytest.approx(210 * 10 - 10 - 10 / 2)
    assert (made.growing.base_f, made.growing.years) == (50.0, 12)
    short = frost_report(record(), 2027, base_f=50.0, first_year=2004, last_year=2008)
    assert short.base_period == (2004, 2008)
    assert short.growing is None
    none = Daily(
        "w.csv", D(2001, 1, 1), np.zeros(9), np.full(9, math.nan), np.full(9, 70.0)
    )
    assert frost_report(none, 2027, base_f=50.0, first_year=None, last_year=None) is None


@pytest.mark.parametrize(
    ("season", "frost", "spring", "fall"),
    [("warm", False, D(2027, 4, 20), D(2027, 10, 6)), ("cool", False, None, D(2027, 10, 6)),
     ("warm", True, D(2027, 4, 13), D(2027, 10, 2)), ("cool", True, None, None)],
)  # fmt: skip
def test_the_days_that_a_planting_waits_for_or_must_not_pass(season, frost, spring, fall):
    """A stand wants 30 days before the first frost of autumn; the year turns with July."""
    place = Property(PropertyInfo("x", last_frost="04-20", first_frost="11-05"))
    known = frost_report(record(), 2027, base_f=50.0, first_year=None, last_year=None)
    made = freezes_for(season, known if frost else None, place)
    assert made.sow_from(D(2027, 1, 1)) == spring
    assert made.sow_by(D(2027, 12, 31)) == fall
    if spring is not None:
        assert made.sow_from(spring) is None
        assert made.sow_from(spring - dt.timedelta(days=1)) == spring
    if fall is not None:
        assert made.sow_by(fall) is None
        assert made.sow_by(fall + dt.timedelta(days=1)) == fall


def test_june_is_held_against_spring_and_july_against_autumn():
    late = Property(PropertyInfo("x", last_frost="07-20", first_frost="07-25"))
    made = freezes_for("warm", None, late)
    assert made.sow_from(D(2027, 6, 30)) == D(2027, 7, 20)
    assert made.sow_from(D(2027, 7, 1)) is None
    assert made.sow_by(D(2027, 7, 1)) == D(2027, 6, 25)
    assert made.sow_by(D(2027, 6, 30)) is None


# to the day


def lows(*marked, years=12):
    """Return years of mild nights but for (first, last, low) month-days of each, NaN for none."""
    start = D(2001, 1, 1)
    days = (D(2001 + years, 1, 1) - start).days
    low = np.full(days, 50.0)
    for year in range(2001, 2001 + years):
        for first, last, value in marked:
            low[(D(year, *first) - start).days : (D(year, *last) - start).days + 1] = value
    return Daily("w.csv", start, np.zeros(days), low, np.full(days, 70.0))


def counted(season, *marked):
    return freezes(lows(*marked), 32.0, season).years


@pytest.mark.parametrize(
    ("season", "on", "found"),
    [
        ("spring", (1, 1), True), ("spring", (6, 30), True), ("spring", (7, 1), False),
        ("fall", (7, 1), True), ("fall", (12, 31), True), ("fall", (6, 30), False),
        ("fall", (1, 1), False),
    ],
)  # fmt: skip
def test_spring_ends_and_fall_begins_with_july(season, on, found):
    made = freezes(lows((on, on, 32.0)), 32.0, season)
    assert made.date(50, 2027) == (D(2027, *on) if found else None)
    assert made.years_without == (0 if found else 12)
    assert freezes(lows((on, on, 32.1)), 32.0, season).years_without == 12


@pytest.mark.parametrize(
    ("season", "first", "last", "whole"),
    [
        # eleven days without a value are too many, ten are not
        ("spring", (1, 1), (1, 10), True), ("spring", (1, 1), (1, 11), False),
        # of spring until about April 30, of fall from August 30 on
        ("spring", (4, 19), (4, 29), False), ("spring", (4, 21), (5, 1), True),
        ("fall", (8, 30), (9, 9), False), ("fall", (8, 29), (9, 8), True),
        ("fall", (12, 21), (12, 31), False), ("spring", (5, 1), (6, 30), True),
        ("fall", (7, 1), (8, 29), True),
    ],
)  # fmt: skip
def test_a_season_is_whole_with_ten_days_missing_where_freezes_come(
    season, first, last, whole
):
    assert counted(season, (first, last, math.nan)) == (12 if whole else 0)


def test_a_level_is_a_day_of_a_year_of_365():
    made = Freeze(32.0, "fall", 20, 0, {10: 400.0, 50: -3.0, 90: 60.4, 25: 59.4})
    assert made.date(10, 2028) == D(2028, 12, 31)
    assert made.date(50, 2028) == D(2028, 1, 1)
    assert [made.date(90, year) for year in (2027, 2028)] == [D(2027, 3, 1), D(2028, 3, 1)]
    assert made.date(25, 2028) == D(2028, 2, 28)


@pytest.mark.parametrize(("last", "years"), [((5, 2), 12), ((5, 3), 0)])
def test_growing_days_leave_out_a_year_with_over_a_tenth_missing(last, years):
    """Of the twenty days from May 1 two may be wanting; they take the mean of the others."""
    record = lows(((5, 1), last, math.nan))
    mean, count = growing_days_f(record, D(2027, 5, 1), D(2027, 5, 20), base_f=50.0)
    assert count == years
    assert mean == (pytest.approx(200.0) if years else None)
    assert growing_days_f(record, D(2027, 6, 2), D(2027, 6, 1), base_f=50.0) == (None, 0)
    one = growing_days_f(
        record, D(2027, 6, 1), D(2027, 6, 1), base_f=50.0, first_year=2003, last_year=2004
    )
    assert one == (10.0, 2)
    assert growing_days_f(record, D(2027, 6, 1), D(2027, 6, 1), base_f=61.0)[0] == 0.0
