"""A daily record of rain and temperature, and what counts as enough of it."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


@dataclass(frozen=True)
class Daily:
    """One value a day from ``start`` on; NaN where the day is missing.

    ``rain_in`` [in], ``low_f`` and ``high_f`` [°F], each of shape (n,).
    """

    source: str
    start: dt.date
    rain_in: NDArray[np.float64]
    low_f: NDArray[np.float64]
    high_f: NDArray[np.float64]
    dropped_by_flag: int = 0
    traces: int = 0

    @property
    def last(self) -> dt.date:
        """Return the last day of the record."""
        return self.start + dt.timedelta(days=len(self.rain_in) - 1)

    def window(self, name: str, first: dt.date, days: int) -> NDArray[np.float64]:
        """Return the values of ``days`` days, NaN for those outside the record."""
        values: NDArray[np.float64] = getattr(self, name)
        begin = (first - self.start).days
        out = np.full(days, math.nan)
        low, high = max(begin, 0), min(begin + days, len(values))
        if low < high:
            out[low - begin : high - begin] = values[low:high]
        return out

    def years(self, first: int | None = None, last: int | None = None) -> range:
        """Return the years of the record that lie in a base period, both ends inclusive."""
        low = self.start.year if first is None else max(first, self.start.year)
        high = self.last.year if last is None else min(last, self.last.year)
        return range(low, high + 1)
