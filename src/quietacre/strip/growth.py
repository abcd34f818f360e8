"""How far a runner grows between two days.

The leading runner's daily extension is a peak rate times a weight that rises and
falls with the season, linear between month middles. The weights are an assumption
for about 33° N; their sum, some 134.6 days at the peak rate, is held against
published season totals in the tests.
"""

from __future__ import annotations

import datetime as dt
import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from quietacre.days import on_year
from quietacre.errors import FileProblem, StripProblem
from quietacre.figures import figure
from quietacre.units import f_to_c

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.daily import Daily

#: Weight at the middle of each month, January to December. Assumption, about 33° N.
MONTH_WEIGHT = (0.0, 0.0, 0.0, 0.25, 0.70, 1.0, 1.0, 0.80, 0.50, 0.15, 0.0, 0.0)
MOST_GAP_DAYS = 31
#: The frost dates those weights were drawn for. Assumption.
BASE_LAST_FROST = (3, 31)
BASE_FIRST_FROST = (11, 5)


@dataclass(frozen=True)
class Rate:
    """One view of the leading runner's peak daily growth. [m/day]"""

    name: str
    peak_m_day: float
    safety: float
    source: str


#: Kudzu. Low closes on 18 m a season, central on 20-30 m a season, stress is the
#: "foot a day" of the popular literature: a peak, not a mean.
KUDZU = (
    Rate("low", 0.136, 1.25, f"USDA Forest Service, Weed of the Week: Kudzu, ca 2005: {figure(60, 'ft')} a season"),
    Rate("central", 0.20, 1.25, "Possible Mechanisms of the Invasiveness of Pueraria montana, MDPI, 2023: 3-20 cm a day, 20-30 m a season"),
    Rate("stress", 0.305, 1.0, f"USDA Forest Service, Weed of the Week: Kudzu, ca 2005: {figure(1, 'ft')} a day"),
)  # fmt: skip


#: Base of the degree-days. No published value was found for runners; assumption.
BASE_C = 10.0
YEAR_DAYS = 366
LEAP_DAY = 59  # from 0


@dataclass(frozen=True)
class Season:
    """When growth runs here: the frost dates, and degree-days when they are known.

    ``last_frost``, ``first_frost`` are (month, day); the weights are stretched from the
    frost dates they were drawn for to these. ``degree_days`` holds the mean degree-days
    of each day of a leap year, shape (366,); with it a gap's share of the year's
    degree-days is reckoned too, and the larger of both answers is taken.
    """

    last_frost: tuple[int, int] = BASE_LAST_FROST
    first_frost: tuple[int, int] = BASE_FIRST_FROST
    degree_days: tuple[float, ...] | None = None

    def __post_init__(self) -> None:
        if self.first_frost <= self.last_frost:
            raise StripProblem(
                "the first frost of autumn does not come after the last of spring",
                fix="give last_frost and first_frost as month-day, in that order",
            )


BASE = Season()


def runs(day: dt.date, season: Season = BASE) -> bool:
    """Return whether the vine runs on a day: after the last frost, to the first."""
    return season.last_frost < (day.month, day.day) <= season.first_frost


def weight(day: dt.date, season: Season = BASE) -> float:
    """Return the seasonal weight of one day, 0 to 1."""
    return float(
        _year_weights(day.year, season.last_frost, season.first_frost)[_place(day)]
    )


@functools.lru_cache(maxsize=256)
def _year_weights(
    year: int, last_frost: tuple[int, int], first_frost: tuple[int, int]
) -> np.ndarray:
    """Return the weight of each day of a year, shape (365,) or (366,)."""
    new_year = dt.date(year, 1, 1).toordinal()
    spring, autumn = (
        dt.date(year, *frost).toordinal() for frost in (BASE_LAST_FROST, BASE_FIRST_FROST)
    )
    here = on_year(year, *last_frost).toordinal()
    stretch = (on_year(year, *first_frost).toordinal() - here) / (autumn - spring)
    # from the middle of March to that of November; outside them the weight is zero
    middles = np.array([dt.date(year, month, 15).toordinal() for month in range(3, 12)])
    knots = here + (middles - spring) * stretch
    days = np.arange(new_year, dt.date(year + 1, 1, 1).toordinal())
    weights: np.ndarray = np.interp(days, knots, MONTH_WEIGHT[2:11])
    return weights


def _place(day: dt.date) -> int:
    return (day - dt.date(day.year, 1, 1)).days


def effective_days(last_cut: dt.date, next_cut: dt.date, season: Season = BASE) -> float:
    """Return the growth between two cuts as days at the peak rate.

    Days after ``last_cut`` up to and including ``next_cut`` count; 0 when the cuts
    are in the wrong order.
    """
    by_weight = 0.0
    by_warmth = 0.0
    for year in range(last_cut.year, next_cut.year + 1):
        start = _place(last_cut) + 1 if year == last_cut.year else 0
        end = _place(next_cut) + 1 if year == next_cut.year else None
        weights = _year_weights(year, season.last_frost, season.first_frost)
        by_weight += float(weights[start:end].sum())
        if season.degree_days is not None:
            daily = np.array(season.degree_days)
            if len(weights) < YEAR_DAYS:
                daily = np.delete(daily, LEAP_DAY)
            by_warmth += float(daily[start:end].sum() / daily.sum() * weights.sum())
    return max(by_weight, by_warmth)


def _row(day: dt.date) -> int:
    """Return the day's place in a leap year, from 0."""
    return (day.replace(year=2024) - dt.date(2024, 1, 1)).days


def degree_days_of(record: Daily) -> tuple[float, ...]:
    """Return mean degree-days for each day of a year from a daily record, shape (366,).

    Raises
    ------
    FileProblem
        The record has no day with a low and a high.
    StripProblem
        The days do not cover a year.
    """
    known = np.flatnonzero(~np.isnan(record.low_f + record.high_f))
    if not len(known):
        raise FileProblem(
            "holds no day with a low and a high",
            fix="name the columns date,low_f,high_f (or low_c,high_c)", source=record.source,
        )  # fmt: skip
    low_c, high_c = (
        np.asarray(f_to_c(values[known]))  # type: ignore[arg-type]
        for values in (record.low_f, record.high_f)
    )
    days = [record.start + dt.timedelta(days=int(n)) for n in known]
    return degree_days(days, low_c, high_c)


def degree_days(
    days: Sequence[dt.date], low_c: np.ndarray, high_c: np.ndarray, base_c: float = BASE_C
) -> tuple[float, ...]:
    """Return mean degree-days above a base for each day of a leap year, shape (366,).

    Parameters
    ----------
    days, low_c, high_c : daily records, shape (n,), of one or more years. [°C]

    Raises
    ------
    StripProblem
        They leave more than a month of the year uncovered.
    """
    warmth = np.maximum((np.asarray(low_c) + np.asarray(high_c)) / 2 - base_c, 0.0)
    rows = np.array([_row(day) for day in days], dtype=int)
    count = np.bincount(rows, minlength=YEAR_DAYS)
    known = np.flatnonzero(count)
    gaps = np.diff(np.concatenate([known, known + YEAR_DAYS]))
    if not len(known) or gaps.max() > MOST_GAP_DAYS or not warmth.any():
        raise StripProblem(
            "the temperatures do not cover a whole year",
            fix="give a row a day for at least one year, with no gap of more than a month",
        )
    mean = np.bincount(rows, warmth, minlength=YEAR_DAYS)[known] / count[known]
    filled = np.interp(np.arange(YEAR_DAYS), known, mean, period=YEAR_DAYS)
    return tuple(float(value) for value in filled)
