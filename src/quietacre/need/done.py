"""What was done of one thing on one piece of ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from quietacre.need.grade import CRUMB_SHARE

if TYPE_CHECKING:
    import datetime as dt

#: So little more than the plan asked is the scale's or the pen's. [lb or fl oz]
LEAST_OVER = 0.5


@dataclass(frozen=True, slots=True)
class Done:
    """What was done of one thing on one piece of ground, in its unit. ``days`` in order."""

    what: str  # "seed", "lime", "fertilizer", "spray"
    item: str
    unit: str
    amount: float
    days: tuple[dt.date, ...]
    needed: float | None = None  # what the plan asked in all; None of a fertilizer
    left: float | None = None

    JSON_KEYS: ClassVar = (
        "what",
        "item",
        "unit",
        "amount",
        "needed",
        "left",
        "over",
        "days",
    )

    @property
    def over(self) -> float:
        """Return by how much more it was than the plan asked, crumbs left out."""
        more = self.amount - (self.amount if self.needed is None else self.needed)
        return more if more > CRUMB_SHARE * (self.needed or 0.0) + LEAST_OVER else 0.0
