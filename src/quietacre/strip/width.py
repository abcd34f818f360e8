"""How wide the strip must be to hold the runners until the next cut.

    W = safety × growth(last cut, next cut) + live node + edge error + watch lane

rounded up to whole mower passes. The same relation is turned round for the
questions of what a given width can hold.
"""

from __future__ import annotations

import bisect
import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.errors import StripProblem
from quietacre.figures import AS_IT_IS, figure
from quietacre.quiet import DAY
from quietacre.strip.growth import BASE, KUDZU, Rate, Season, effective_days
from quietacre.units import FT_M, m_to_ft

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable

#: 95 % one-sided point of a normal error.
ONE_SIDED_95 = 1.645
STAKED_EDGE_M = 1.0  # assumption
#: Rooting limit: an interval above about four weeks lets nodes root. Assumption.
NODE_LIMIT_DAYS = 28
MOST_DAYS = 400


@dataclass(frozen=True)
class Mower:
    """A mower's cutting width and the overlap of neighbouring passes. [ft]"""

    width_ft: float
    overlap_ft: float

    def __post_init__(self) -> None:
        if not self.width_ft > self.overlap_ft >= 0.0:
            raise StripProblem(
                f"a mower {_ft(self.width_ft)} wide cannot overlap {_ft(self.overlap_ft)}",
                fix="give an overlap smaller than the cutting width",
            )

    def passes(self, width_ft: float) -> int:
        """Return the whole passes that cover at least ``width_ft``."""
        more = (width_ft - self.width_ft) / (self.width_ft - self.overlap_ft)
        return max(1, math.ceil(more - 1e-9) + 1)

    def built_ft(self, passes: int) -> float:
        """Return the width that so many passes cover. [ft]"""
        return self.width_ft + (passes - 1) * (self.width_ft - self.overlap_ft)


@dataclass(frozen=True)
class Case:
    """What the width is worked out for.

    ``next_cut`` is the planned one; ``slip_days`` is how late weather can make it.
    ``watch_lane_ft`` None means one mower width.
    """

    last_cut: dt.date
    next_cut: dt.date
    mower: Mower
    slip_days: int = 0
    edge_error_ft: float = STAKED_EDGE_M / FT_M
    live_node_ft: float = 0.0
    watch_lane_ft: float | None = None
    season: Season = BASE

    @property
    def until(self) -> dt.date:
        """Return the day the strip must hold until."""
        return self.next_cut + self.slip_days * DAY

    @property
    def fixed_ft(self) -> float:
        """Return the terms that do not grow. [ft]"""
        lane = self.mower.width_ft if self.watch_lane_ft is None else self.watch_lane_ft
        return self.live_node_ft + self.edge_error_ft + lane


@dataclass(frozen=True, slots=True)
class Term:
    """One part of a width, and where it comes from. [ft]"""

    term: str
    ft: float
    source: str


@dataclass(frozen=True, slots=True)
class Width:
    """The width by one rate: as built in whole passes, and as asked, term by term. [ft]"""

    width_ft: float
    required_ft: float
    passes: int
    days: int
    effective_days: float
    terms: tuple[Term, ...]


def _ft(length_ft: float) -> str:
    return figure(length_ft, "ft", AS_IT_IS)


def edge_error_ft(sigma_m: float) -> float:
    """Return the edge error of a walked edge, one-sided 95 %. [ft]"""
    return m_to_ft(ONE_SIDED_95 * sigma_m)


def strip_width(case: Case, rates: tuple[Rate, ...] = KUDZU) -> dict[str, Width]:
    """Return the width by the name of each rate ("low", "central", "stress").

    Raises
    ------
    StripProblem
        The next cut is not after the last.
    """
    if case.until <= case.last_cut:
        raise StripProblem(
            f"the next cut ({case.until}) is not after the last ({case.last_cut})",
            fix="give the cuts in order",
        )
    days = effective_days(case.last_cut, case.until, case.season)
    lane = case.mower.width_ft if case.watch_lane_ft is None else case.watch_lane_ft
    out: dict[str, Width] = {}
    for rate in rates:
        run_ft = m_to_ft(rate.peak_m_day * days)
        required = rate.safety * run_ft + case.fixed_ft
        passes = case.mower.passes(required)
        safety = f"× {rate.safety:g}: assumption"
        walked = "1.645 × the walk's sigma, or 1 m when staked: assumption"
        out[rate.name] = Width(
            width_ft=case.mower.built_ft(passes),
            required_ft=required,
            passes=passes,
            days=(case.until - case.last_cut).days,
            effective_days=days,
            terms=(
                Term("runner growth", run_ft, rate.source),
                Term("safety", (rate.safety - 1.0) * run_ft, safety),
                Term("live nodes outside the edge", case.live_node_ft, "the walk along the edge"),
                Term("edge error", case.edge_error_ft, walked),
                Term("watch lane", lane, "one mower pass: assumption"),
            ),
        )  # fmt: skip
    return out


def absorbable_days(width_ft: float, case: Case, rate: Rate) -> float:
    """Return the peak-rate days of growth that a width can absorb; negative: none."""
    return (width_ft - case.fixed_ft) * FT_M / (rate.safety * rate.peak_m_day)


# patches of one place often ask the same
@functools.lru_cache(maxsize=1 << 12)
def earliest_last_cut(width_ft: float, case: Case, rate: Rate) -> dt.date | None:
    """Return the earliest last cut that still holds until the case's next cut.

    None when no date does.
    """
    room = absorbable_days(width_ft, case, rate)
    if room < 0:
        return None
    held = _days_held(
        lambda days: effective_days(case.until - days * DAY, case.until, case.season), room
    )
    return case.until - held * DAY


@functools.lru_cache(maxsize=1 << 12)
def latest_next_cut(width_ft: float, case: Case, rate: Rate) -> dt.date | None:
    """Return the latest day the strip holds until after the case's last cut."""
    room = absorbable_days(width_ft, case, rate)
    if room < 0:
        return None
    held = _days_held(
        lambda days: effective_days(case.last_cut, case.last_cut + days * DAY, case.season),
        room,
    )
    return case.last_cut + held * DAY


def _days_held(growth: Callable[[int], float], room: float) -> int:
    """Return the most days whose growth still fits; the longer, the more growth."""
    days = range(1, MOST_DAYS + 1)
    return bisect.bisect_right(days, room + 1e-9, key=growth)


def longest_interval_days(width_ft: float, case: Case, rate: Rate) -> int:
    """Return the longest interval from the case's last cut, within the rooting limit."""
    until = latest_next_cut(width_ft, case, rate)
    if until is None:
        return 0
    return min((until - case.last_cut).days, NODE_LIMIT_DAYS)
