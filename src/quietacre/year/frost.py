"""Last spring and first fall freezes, and growing-degree days, from a daily record."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np

from quietacre.days import on_year

if TYPE_CHECKING:
    from quietacre.daily import Daily

#: Spring ends and fall begins here: no freeze is looked for across it.
MIDSUMMER = (7, 1)
#: A season with more days missing than this is not counted. Assumption.
MOST_MISSING_DAYS = 10
LEAST_YEARS = 10
LEVELS_PCT = (10, 50, 90)
FREEZE_F = (24.0, 28.0, 32.0, 36.0)
HALF_YEAR_SPRING_DAYS = 120  # January 1 to April 30 must be nearly whole


@dataclass(frozen=True)
class Freeze:
    """Dates of one threshold: chance in percent of a freeze as late (or as early)."""

    threshold_f: float
    season: str  # "spring" or "fall"
    years: int
    years_without: int
    day_of_year: dict[int, float]

    def date(self, level_pct: int, year: int) -> dt.date | None:
        """Return the date of a level in a year, None when there is no such day."""
        if level_pct not in self.day_of_year:
            return None
        # the table is of 365-day years: day 60 is March 1 whatever the year
        day = dt.date(2001, 1, 1) + dt.timedelta(
            days=min(max(round(self.day_of_year[level_pct]), 1), 365) - 1
        )
        return on_year(year, day.month, day.day)


def freezes(
    record: Daily, threshold_f: float, season: str, *, first_year: int | None = None,
    last_year: int | None = None, levels_pct: tuple[int, ...] = LEVELS_PCT,
) -> Freeze:  # fmt: skip
    """Return the dates by which the last (first) freeze comes with the chances asked for.

    In spring, level 10 is the day after which one year in ten still has a low of
    ``threshold_f`` or under; in fall, the day before which one year in ten has had one. A
    normal curve is fitted to the years' dates; none is given from fewer than ten years,
    or when a tenth of the years or more has no such low.
    """
    with_freeze: list[int] = []
    without = 0
    for year in record.years(first_year, last_year):
        middle = dt.date(year, *MIDSUMMER)
        first = dt.date(year, 1, 1) if season == "spring" else middle
        days = (middle - first).days if season == "spring" else 184
        lows = record.window("low_f", first, days)
        part = lows[:HALF_YEAR_SPRING_DAYS] if season == "spring" else lows[60:]
        if int(np.isnan(part).sum()) > MOST_MISSING_DAYS:
            continue
        cold = np.flatnonzero(lows <= threshold_f)
        if len(cold) == 0:
            without += 1
            continue
        day = first + dt.timedelta(days=int(cold[-1] if season == "spring" else cold[0]))
        # days of a 365-day year
        with_freeze.append((on_year(2001, day.month, day.day) - dt.date(2000, 12, 31)).days)
    years = len(with_freeze) + without
    if len(with_freeze) < LEAST_YEARS or without * 10 >= years:
        return Freeze(threshold_f, season, years, without, {})
    curve = NormalDist(
        float(np.mean(with_freeze)), max(float(np.std(with_freeze, ddof=1)), 1e-9)
    )
    return Freeze(threshold_f, season, years, without, {
        level: curve.inv_cdf(1 - level / 100 if season == "spring" else level / 100)
        for level in levels_pct
    })  # fmt: skip


def growing_days_f(
    record: Daily, first: dt.date, last: dt.date, *, base_f: float,
    first_year: int | None = None, last_year: int | None = None,
) -> tuple[float | None, int]:  # fmt: skip
    """Return mean growing-degree days [°F·day] between two days of a year, and years counted.

    Each day adds its mean of high and low over ``base_f``, nothing when under it. A year
    with more than a tenth of the days missing is left out; other gaps take its mean day.
    """
    sums = []
    days = (last - first).days + 1
    for year in record.years(first_year, last_year):
        begin = on_year(year, first.month, first.day)
        middle = (
            record.window("low_f", begin, days) + record.window("high_f", begin, days)
        ) / 2
        if days < 1 or np.isnan(middle).sum() > days / 10:
            continue
        sums.append(float(np.nanmean(np.maximum(middle - base_f, 0.0)) * days))
    return (float(np.mean(sums)) if sums else None), len(sums)


@dataclass(frozen=True, slots=True)
class FreezeDates:
    """The dates of one threshold in a year, None where there is no such day.

    In spring one year in ten freezes later than ``pct_10``, in fall one in ten before it.
    """

    season: str
    threshold_f: float
    years: int
    years_without: int
    pct_10: dt.date | None
    pct_50: dt.date | None
    pct_90: dt.date | None


@dataclass(frozen=True, slots=True)
class Growing:
    """Growing-degree days between the middle freezes, over ``base_f``, and the years counted."""

    base_f: float
    degree_days: float | None
    years: int


@dataclass(frozen=True, slots=True)
class FrostReport:
    """The freezes of a daily record; ``base_period`` are its first year and its last."""

    base_period: tuple[int, int]
    freezes: tuple[FreezeDates, ...]
    growing: Growing | None

    def of(self, season: str, threshold_f: float) -> FreezeDates:
        """Return the dates of one threshold in "spring" or "fall"."""
        return next(
            row
            for row in self.freezes
            if row.season == season and math.isclose(row.threshold_f, threshold_f)
        )


def frost_report(
    record: Daily, year: int, *, base_f: float, first_year: int | None,
    last_year: int | None,
) -> FrostReport | None:  # fmt: skip
    """Return the freeze dates for the report, with their base period; None without lows."""
    if np.isnan(record.low_f).all():
        return None
    span = record.years(first_year, last_year)
    rows = []
    for season in ("spring", "fall"):
        for threshold in FREEZE_F:
            freeze = freezes(
                record, threshold, season, first_year=first_year, last_year=last_year
            )
            ten, half, ninety = (freeze.date(level, year) for level in LEVELS_PCT)
            rows.append(
                FreezeDates(
                    season, threshold, freeze.years, freeze.years_without, ten, half, ninety
                )
            )
    made = FrostReport((span.start, span.stop - 1), tuple(rows), None)
    spring, fall = (made.of(season, 32.0).pct_50 for season in ("spring", "fall"))
    if spring is None or fall is None:
        return made
    mean, years = growing_days_f(
        record, spring, fall, base_f=base_f, first_year=first_year, last_year=last_year
    )
    return replace(made, growing=Growing(base_f, mean, years))
