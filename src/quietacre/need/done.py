"""What was done of one thing on one piece of ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.need.grade import CRUMB_SHARE

if TYPE_CHECKING:
    import datetime as dt

#: So little more than the plan asked is the scale's or the pen's. [lb or fl oz]
LEAST_OVER = 0.5


@dataclass(frozen=True, slots=True)
class Done:
    """What was done of one thing on one piece of ground, in its unit. ``days`` in order.

    ``needed`` is what the plan asked in all, None of a fertilizer; ``over`` by how much more
    it was than that, crumbs left out.
    """

    what: str  # "seed", "lime", "fertilizer", "spray"
    item: str
    unit: str
    amount: float
    needed: float | None
    left: float | None
    over: float
    days: tuple[dt.date, ...]

    @classmethod
    def of(
        cls, what: str, item: str, unit: str, amount: float, days: tuple[dt.date, ...],
        needed: float | None = None, left: float | None = None,
    ) -> Done:  # fmt: skip
        """Return what was done, and by how much it is over what was asked."""
        more = amount - (amount if needed is None else needed)
        over = more if more > CRUMB_SHARE * (needed or 0.0) + LEAST_OVER else 0.0
        return cls(what, item, unit, amount, needed, left, over, days)
