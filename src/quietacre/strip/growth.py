"""How far a runner grows between two days.

The leading runner's daily extension is a peak rate times a weight that rises and
falls with the season, linear between month middles. The weights are an assumption
for about 33° N; their sum, some 134.6 days at the peak rate, is held against
published season totals in the tests.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

#: Weight at the middle of each month, January to December. Assumption, about 33° N.
MONTH_WEIGHT = (0.0, 0.0, 0.0, 0.25, 0.70, 1.0, 1.0, 0.80, 0.50, 0.15, 0.0, 0.0)
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
    Rate("low", 0.136, 1.0, "USDA Forest Service, Weed of the Week: Kudzu, ca 2005: 60 ft a season"),
    Rate("central", 0.20, 1.25, "Kato-Noguchi, review entry, MDPI, 2023: 3-20 cm a day, 20-30 m a season"),
    Rate("stress", 0.305, 1.0, "USDA Forest Service, Weed of the Week: Kudzu, ca 2005: 1 ft a day"),
)  # fmt: skip


def weight(day: dt.date) -> float:
    """Return the seasonal weight of one day, 0 to 1."""
    return float(_weights(np.array([day.toordinal()]))[0])


def _weights(ordinals: np.ndarray) -> np.ndarray:
    first = dt.date.fromordinal(int(ordinals.min()))
    last = dt.date.fromordinal(int(ordinals.max()))
    knots, values = [], []
    for year in range(first.year - 1, last.year + 2):
        for month in range(1, 13):
            knots.append(dt.date(year, month, 15).toordinal())
            values.append(MONTH_WEIGHT[month - 1])
    weights: np.ndarray = np.interp(ordinals, knots, values)
    return weights


def effective_days(last_cut: dt.date, next_cut: dt.date) -> float:
    """Return the growth between two cuts as days at the peak rate.

    Days after ``last_cut`` up to and including ``next_cut`` count; 0 when the cuts
    are in the wrong order.
    """
    if next_cut <= last_cut:
        return 0.0
    ordinals = np.arange(last_cut.toordinal() + 1, next_cut.toordinal() + 1)
    return float(_weights(ordinals).sum())
