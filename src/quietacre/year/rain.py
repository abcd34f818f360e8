"""How often a planting rain came after a day, counted year by year.

Each year is one trial: days of one year go together, so days are never pooled.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from quietacre.chance import Z95
from quietacre.days import on_year

if TYPE_CHECKING:
    import datetime as dt

    from quietacre.daily import Daily

#: Rain of a day below this leaves it dry. Common practice, no source.
DRY_IN = 0.1
#: A dry spell is followed for this long.
SPELL_DAYS = 60


def wilson(hits: int, trials: int, z: float = Z95) -> tuple[float, float]:
    """Return the score interval of a share.

    Notes
    -----
    E. B. Wilson, Probable inference, the law of succession, and statistical inference,
    Journal of the American Statistical Association 22, 1927, 209-212.
    """
    if trials == 0:
        return 0.0, 1.0
    share = hits / trials
    middle = (share + z * z / (2 * trials)) / (1 + z * z / trials)
    half = (
        z
        / (1 + z * z / trials)
        * math.sqrt(share * (1 - share) / trials + z * z / (4 * trials * trials))
    )
    # exact ends: 0 of n cannot be under 0, n of n not over 1
    return (0.0 if hits == 0 else middle - half), (1.0 if hits == trials else middle + half)


@dataclass(frozen=True, slots=True)
class Odds:
    """Years with a planting rain out of years counted, and the dry spells after the day."""

    date: dt.date
    years: int
    hits: int
    share: float | None
    low: float
    high: float
    dry_median_days: float | None
    dry_long_days: float | None


@dataclass(frozen=True, slots=True)
class MonthRain:
    """Rain from the first of a month to a day; ``inches`` is None where no day has a value."""

    from_: dt.date
    to: dt.date
    inches: float | None
    missing_days: int


def rain_odds(
    record: Daily, day: dt.date, *, rain_in: float, rain_days: int,
    first_year: int | None = None, last_year: int | None = None,
) -> Odds:  # fmt: skip
    """Return how often ``rain_in`` or more fell in ``rain_days`` days from ``day`` on.

    A year counts when no day of the window is missing. The dry spell is the run of days
    under 0.1 in from ``day`` on, at most 60: its median, and the one of nine years in ten.
    """
    hits = years = 0
    spells: list[int] = []
    for year in record.years(first_year, last_year):
        first = on_year(year, day.month, day.day)
        window = record.window("rain_in", first, rain_days)
        if not np.isnan(window).any():
            years += 1
            hits += bool(window.sum() >= rain_in - 1e-9)
        spell = record.window("rain_in", first, SPELL_DAYS)
        wet = np.flatnonzero(~(spell < DRY_IN))  # missing ends the look as well
        if len(wet) == 0:
            spells.append(SPELL_DAYS)
        elif not np.isnan(spell[wet[0]]):
            spells.append(int(wet[0]))
    low, high = wilson(hits, years)
    return Odds(
        day, years, hits, hits / years if years else None, low, high,
        float(np.median(spells)) if spells else None,
        float(np.quantile(spells, 0.9)) if spells else None,
    )  # fmt: skip


def rain_this_month(record: Daily, today: dt.date) -> MonthRain:
    """Return the inches from the first of the month to ``today``, and days without a value."""
    first = today.replace(day=1)
    window = record.window("rain_in", first, (today - first).days + 1)
    missing = int(np.isnan(window).sum())
    known = missing < len(window)
    inches = round(float(np.nansum(window)), 2) if known else None
    return MonthRain(first, today, inches, missing)
