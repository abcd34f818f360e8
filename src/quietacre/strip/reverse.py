"""The reverse questions: what a width can hold, from when and until when."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.strip.width import (
    earliest_last_cut,
    latest_next_cut,
    longest_interval_days,
    strip_width,
)

if TYPE_CHECKING:
    from quietacre.strip.growth import Rate
    from quietacre.strip.width import Case

#: First of these months are the days that intervals are shown from.
INTERVAL_MONTHS = range(4, 11)
#: Growth is at its peak from the middle of June. Assumption, as the weights.
PEAK = (6, 15)
#: Passes shown beyond what is asked.
MORE_PASSES = 2


@dataclass(frozen=True, slots=True)
class Interval:
    """How many days may lie between two cuts, the first of them on a day."""

    from_: dt.date
    days: int


@dataclass(frozen=True, slots=True)
class Answers:
    """What one width can hold at one rate, all within the rooting limit.

    The days are None when no date does; ``longest_interval_days`` is from the case's last
    cut; ``intervals`` has one for the first of each growing month.
    """

    holds: bool
    earliest_last_cut: dt.date | None
    latest_next_cut: dt.date | None
    longest_interval_days: int
    intervals: tuple[Interval, ...]


@dataclass(frozen=True, slots=True)
class PassBought:
    """What a number of passes holds, and the days that the last of them bought.

    None where no date holds.
    """

    passes: int
    width_ft: float
    earliest_last_cut: dt.date | None
    latest_next_cut: dt.date | None
    days_bought: int | None


def holds(width_ft: float, case: Case, rate: Rate) -> bool:
    """Return whether a width holds from the case's last cut until its next."""
    return width_ft >= strip_width(case, (rate,))[rate.name].required_ft - 1e-6


def answers(width_ft: float, case: Case, rate: Rate) -> Answers:
    """Return the reverse questions for one width and rate."""
    days = [dt.date(case.last_cut.year, month, 1) for month in INTERVAL_MONTHS]
    return Answers(
        holds=holds(width_ft, case, rate),
        earliest_last_cut=earliest_last_cut(width_ft, case, rate),
        latest_next_cut=latest_next_cut(width_ft, case, rate),
        longest_interval_days=longest_interval_days(width_ft, case, rate),
        intervals=tuple(
            Interval(
                day, longest_interval_days(width_ft, replace(case, last_cut=day), rate)
            )
            for day in days
        ),
    )


def longest_at_peak(width_ft: float, case: Case, rate: Rate) -> int:
    """Return the days between cuts that a width holds when growth is fastest."""
    peak = replace(case, last_cut=dt.date(case.last_cut.year, *PEAK))
    return longest_interval_days(width_ft, peak, rate)


def pass_by_pass(case: Case, rate: Rate) -> tuple[PassBought, ...]:
    """Return what each number of passes holds, from one to two more than the case asks."""
    most = strip_width(case, (rate,))[rate.name].passes + MORE_PASSES
    out: list[PassBought] = []
    before: dt.date | None = None
    for passes in range(1, most + 1):
        width_ft = case.mower.built_ft(passes)
        early = earliest_last_cut(width_ft, case, rate)
        late = latest_next_cut(width_ft, case, rate)
        bought = (late - before).days if late and before else None
        out.append(PassBought(passes, width_ft, early, late, bought))
        before = late
    return tuple(out)
