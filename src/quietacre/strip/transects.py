"""A growth rate from taped transects: what the leading runner stays under.

Each transect gives the advance of the furthest live tip between two days, hence a peak
rate: advance over effective days. In logarithms these are taken as normal; the rate that
90 % of runners stay under, with 95 % confidence, is mean + k × sd.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from quietacre.errors import StripProblem
from quietacre.in_parts import InParts
from quietacre.strip.growth import BASE, KUDZU, Rate, Season, effective_days
from quietacre.words.growth import growth_word

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.model import Transect

CONTENT = 0.90
CONFIDENCE = 0.95
LEAST_TRANSECTS = 5
#: Seasons that must have been measured before a rate below the default counts.
SEASONS = 2


def k_factor(count: int, content: float = CONTENT, confidence: float = CONFIDENCE) -> float:
    """Return the factor of a one-sided normal tolerance limit.

    Notes
    -----
    Noncentral t: k = t(confidence; n - 1, z(content) √n) / √n.
    """
    from scipy.stats import nct, norm

    if count < 2:  # noqa: PLR2004 - no spread in one
        raise StripProblem("one transect has no spread", fix="tape ten or more a patch")
    root = math.sqrt(count)
    return float(nct.ppf(confidence, count - 1, norm.ppf(content) * root) / root)


@dataclass(frozen=True, slots=True)
class Measured:
    """A patch's own rate. ``upper_m_day`` is the tolerance limit at full weight. [m/day]"""

    transects: int
    lower_bounds: int
    seasons: int
    k: float
    median_m_day: float
    upper_m_day: float
    replaces_default: bool
    text: str

    @property
    def rate(self) -> Rate:
        """Return it as a rate of the width model, never below the low rate × safety."""
        least = KUDZU[0].peak_m_day * KUDZU[1].safety
        words = f"your tapes: {self.transects} transects, {self.seasons} seasons, k {self.k:.2f}"
        return Rate("measured", max(self.upper_m_day, least), 1.0, words)


def measured_rate(rows: Sequence[Transect], season: Season = BASE) -> Measured | None:
    """Return the rate that a patch's transects support; None with fewer than five.

    A rate above the default stress rate counts at once; one below it only after two
    seasons. Lower bounds enter no mean, and the limit never lies below any of them.
    """
    rates: list[float] = []
    bounds: list[float] = []
    years: set[int] = set()
    for row in rows:
        days = effective_days(row.start, row.end, season)
        if days <= 0 or row.advance_m <= 0:
            continue
        (bounds if row.censored else rates).append(row.advance_m / days)
        years.add(row.end.year)
    if len(rates) < LEAST_TRANSECTS:
        return None
    logs = np.log(rates)
    k = k_factor(len(rates))
    upper = max([float(np.exp(logs.mean() + k * logs.std(ddof=1))), *bounds])
    default = KUDZU[-1].peak_m_day
    counts = upper > default or len(years) >= SEASONS
    head = f"{len(rates)} transects over {len(years)} season{'s' if len(years) > 1 else ''}"
    words = (
        f"90 % of runners stay under {upper:.2f} m a day at the peak, with 95 % confidence"
    )
    fast = growth_word(KUDZU[-1].name)
    if upper > default:
        words += f"; that is above {fast}, so it is used at once."
    elif counts:
        words += f"; it replaces {fast}."
    else:
        words += f"; one season buys no width: {fast} stays until a second is taped."
    return Measured(
        len(rates),
        len(bounds),
        len(years),
        k,
        float(np.exp(logs.mean())),
        upper,
        counts,
        InParts(head, words),
    )
