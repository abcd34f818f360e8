"""The reverse questions: what a width can hold, and what would help when it does not."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from quietacre.days import say_day
from quietacre.strip.growth import effective_days
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


def remedies(
    width_ft: float,
    case: Case,
    rate: Rate,
    *,
    length_ft: float | None = None,
    bare: bool = False,
) -> list[dict[str, Any]]:
    """Return what would make a width hold, ranked; empty when it holds already.

    Parameters
    ----------
    width_ft : the width there is. [ft]
    bare : whether the strip is kept bare already.
    length_ft : length of the edge it falls short along, for the acres given up. [ft]

    Returns
    -------
    list of dicts with remedy, text, works (None where only the ground can tell), and the
    figures of each: pull_back_ft and acres_given_up, on (a day, ISO).

    Notes
    -----
    The order is common practice, no source: the vine's own ground first, giving up last.
    """
    asked = strip_width(case, (rate,))[rate.name]["required_ft"]
    if width_ft >= asked - 1e-6:
        return []
    short_ft = math.ceil(asked - width_ft - 1e-6)
    return [
        _pull_back(short_ft, asked, length_ft),
        _kept_bare(width_ft, case, rate, bare=bare),
        _hand_pulling(width_ft, case, rate),
        _shorter_season(width_ft, case, rate),
        {
            "remedy": "give up keeping it",
            "works": True,
            "on": None,
            "text": "treat the whole patch as extension advises: eradication, 3 to 10 years.",
        },
    ]


def _kept_bare(width_ft: float, case: Case, rate: Rate, *, bare: bool) -> dict[str, Any]:
    """Return the strip kept bare, with one pass when half of the growth has run."""
    middle = _half_way(case)
    halves = (replace(case, next_cut=middle, slip_days=0), replace(case, last_cut=middle))
    bare_ok = all(holds(width_ft, half, rate) for half in halves)
    return {
        "remedy": "bare strip",
        "works": bare_ok,
        "on": middle.isoformat(),
        "text": ("it is kept bare: " if bare else "")
        + "keep the strip bare or under 4 in from green-up, so nothing nests in it; "
        f"only then can one pass inside the quiet season, about {say_day(middle)}, "
        "be defended" + ("." if bare_ok else ", and one pass is not enough here."),
    }


def _hand_pulling(width_ft: float, case: Case, rate: Rate) -> dict[str, Any]:
    """Return what pulling on foot does: of live nodes outside, or of runners once more."""
    early = earliest_last_cut(width_ft, case, rate)
    later = early is not None and early < case.until
    clean = replace(case, live_node_ft=0.0)
    pulled = case.live_node_ft > 0 and holds(width_ft, clean, rate)
    if pulled:
        words = "pull or dig every live node outside the edge on foot before the season; then it holds."
    elif early is not None and later:
        words = (
            "pull and roll back the runners on foot; on this width the last time may be no "
            f"earlier than {say_day(early)}, inside the season if that falls there."
        )
    else:
        words = "pulling on foot alone does not make this width hold at any date."
    return {
        "remedy": "hand-pulling on foot",
        "works": pulled or later,
        "on": early.isoformat() if early else None,
        "text": words,
    }


def _shorter_season(width_ft: float, case: Case, rate: Rate) -> dict[str, Any]:
    """Return the strip cut sooner than planned, while the rest of the place stays quiet."""
    late = latest_next_cut(width_ft, case, rate)
    shorter = late is not None and late > case.last_cut
    return {
        "remedy": "shorter season for the strip only",
        "works": shorter,
        "on": late.isoformat() if shorter and late else None,
        "text": f"cut the strip by {say_day(late)}, {(case.until - late).days} days "
        "sooner than planned with its slip; the rest of the place stays quiet."
        if shorter and late
        else "no cut after the last one comes soon enough.",
    }


def _pull_back(short_ft: float, asked_ft: float, length_ft: float | None) -> dict[str, Any]:
    from quietacre.units import ACRE_FT2

    acres = None if length_ft is None else short_ft * length_ft / ACRE_FT2
    return {
        "remedy": "pull the patch edge back",
        "works": None,
        "on": None,
        "pull_back_ft": short_ft,
        "ring_ft": asked_ft,
        "acres_given_up": acres,
        "text": f"kill or dig the vine back {short_ft:.0f} ft there; the strip is then "
        f"{asked_ft:.0f} ft wide"
        + (f" and the patch {acres:.2f} ac smaller." if acres is not None else "."),
    }


def _half_way(case: Case) -> dt.date:
    """Return the day by which half of the growth between the cuts has run."""
    whole = effective_days(case.last_cut, case.until, case.season)
    day = case.last_cut
    while effective_days(case.last_cut, day, case.season) < whole / 2:
        day += dt.timedelta(days=1)
    return day
