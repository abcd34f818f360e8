"""The jobs of a planted plot, and how many days before planting each is done.

The days are common practice, no source: clip about six weeks before planting, turn the
residue under while it is green, let it rot three weeks (four when cool or woody), disk
again, drag smooth about two weeks before, then plant behind rain.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.workweek import DISK_DAYS

if TYPE_CHECKING:
    from collections.abc import Sequence

#: First and last day of a dormant-season burn. Common practice, no source.
BURN_FIRST, BURN_LAST = (2, 1), (3, 15)
PRACTICE = "(common practice, no source)"


@dataclass(frozen=True)
class Step:
    """A task of every planted plot: days before planting, latest first in time.

    ``earliest``, ``ideal`` and ``latest`` are days before the planting date (negative:
    after it).
    """

    task: str
    label: str
    earliest: int
    ideal: int
    latest: int
    machine: str
    reason: str
    when: str = "always"  # or "soil test", "lime", "fertilizer", "grass"


STEPS = (
    Step("soil test", "take a soil test", 330, 240, 150, "on foot",
         "results and lime come months before planting " + PRACTICE, "soil test"),
    Step("lime", "spread lime", 240, 180, 90, "spreader",
         "lime works over months " + PRACTICE, "lime"),
    Step("clip", "clip", 56, 42, 42, "mower",
         "about six weeks before planting " + PRACTICE),
    Step("turn under", "turn the residue under green", 42, 40, 32, "disk",
         "while it is green, then three weeks to rot, four when cool or woody " + PRACTICE),
    Step("second disking", "disk again", 21, 17, DISK_DAYS, "disk",
         "breaks clods and takes the regrowth " + PRACTICE),
    Step("fertilize", "spread fertilizer", 17, 14, 8, "spreader",
         "mixed in by the smoothing (common practice, no source)", "fertilizer"),
    Step("smooth", "drag smooth", 16, 14, 8, "drag",
         "about two weeks before planting " + PRACTICE),
    Step("plant", "plant behind rain", 3, 0, -14, "spreader",
         "wait for rain, then sow behind it " + PRACTICE),
    Step("set exclosure", "set a wire cage that keeps deer off one spot", 3, -7, -21, "on foot",
         "shows what deer take against what grows " + PRACTICE),
    Step("top-dress", "top-dress nitrogen at the rate of your soil test", -28, -37, -51, "spreader",
         "about 30 days after emergence (Deer Lab, Cool Season Plants, Mississippi State University, n.d.); "
         "a week to emerge is an assumption", "grass"),
    Step("read exclosure", "clip and weigh inside and outside the cage", -50, -60, -90, "on foot",
         "about two months of grazing " + PRACTICE),
)  # fmt: skip

#: A planting may come so long after its day, and what goes before it with it. Assumption.
LATE_SOWING = dt.timedelta(days=30)


def planting_meant(task: str, on: dt.date, days: Sequence[dt.date]) -> dt.date:
    """Return which planting of some ground a job of a day was done for, by its planting day.

    What goes before planting is for the next one, what comes after it for the last one, with
    ``LATE_SOWING`` either way; a planting, and a job that no step has, is for the nearest.
    """
    ideal = next((step.ideal for step in STEPS if step.task == task), 0)
    ahead = [day for day in days if on <= day + LATE_SOWING]
    behind = [day for day in days if on >= day - LATE_SOWING]
    if ideal > 0 and ahead:
        return min(ahead)
    if ideal < 0 and behind:
        return max(behind)
    return min(days, key=lambda day: (abs(day - on), day))
