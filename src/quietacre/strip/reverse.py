"""The reverse questions: what a width can hold, from when and until when."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import TYPE_CHECKING, Any

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


def holds(width_ft: float, case: Case, rate: Rate) -> bool:
    """Return whether a width holds from the case's last cut until its next."""
    asked: float = strip_width(case, (rate,))[rate.name]["required_ft"]
    return width_ft >= asked - 1e-6


def answers(width_ft: float, case: Case, rate: Rate) -> dict[str, Any]:
    """Return the reverse questions for one width and rate.

    Returns
    -------
    dict of holds; earliest_last_cut and latest_next_cut (ISO, None when no date does);
    longest_interval_days from the case's last cut; intervals, one for the first of each
    growing month; all of them within the rooting limit.
    """
    early = earliest_last_cut(width_ft, case, rate)
    late = latest_next_cut(width_ft, case, rate)
    days = [dt.date(case.last_cut.year, month, 1) for month in INTERVAL_MONTHS]
    return {
        "holds": holds(width_ft, case, rate),
        "earliest_last_cut": early.isoformat() if early else None,
        "latest_next_cut": late.isoformat() if late else None,
        "longest_interval_days": longest_interval_days(width_ft, case, rate),
        "intervals": [
            {
                "from": day.isoformat(),
                "days": longest_interval_days(width_ft, replace(case, last_cut=day), rate),
            }
            for day in days
        ],
    }


def longest_at_peak(width_ft: float, case: Case, rate: Rate) -> int:
    """Return the days between cuts that a width holds when growth is fastest."""
    peak = replace(case, last_cut=dt.date(case.last_cut.year, *PEAK))
    return longest_interval_days(width_ft, peak, rate)


def pass_by_pass(case: Case, rate: Rate) -> list[dict[str, Any]]:
    """Return what each number of passes holds, and what the last of them bought.

    From one pass to two more than the case asks: width_ft, earliest_last_cut,
    latest_next_cut, and days_bought, by which the latter is later than with one pass less
    (None where no date holds).
    """
    most = strip_width(case, (rate,))[rate.name]["passes"] + MORE_PASSES
    out: list[dict[str, Any]] = []
    before: dt.date | None = None
    for passes in range(1, most + 1):
        width_ft = case.mower.built_ft(passes)
        early = earliest_last_cut(width_ft, case, rate)
        late = latest_next_cut(width_ft, case, rate)
        out.append(
            {
                "passes": passes,
                "width_ft": width_ft,
                "earliest_last_cut": early.isoformat() if early else None,
                "latest_next_cut": late.isoformat() if late else None,
                "days_bought": (late - before).days if late and before else None,
            }
        )
        before = late
    return out
