"""What would help where a strip's width does not hold, the cheapest first."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.figures import AS_IT_IS, feet, figure
from quietacre.strip.growth import effective_days
from quietacre.strip.reverse import holds
from quietacre.strip.width import (
    STAKED_EDGE_M,
    earliest_last_cut,
    latest_next_cut,
    strip_width,
)
from quietacre.units import ACRE_FT2, FT_M
from quietacre.words import settings_words

if TYPE_CHECKING:
    from quietacre.strip.growth import Rate
    from quietacre.strip.width import Case

STAKED_FT = STAKED_EDGE_M / FT_M
#: Less than this off the edge's error is not worth staking for. Assumption. [ft]
LEAST_GAIN_FT = 0.5
#: Growth this short is no nesting cover. Assumption. [in]
BARE_IN = 4.0


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing that would help where a strip does not hold.

    ``works`` is None where only the ground can tell; ``on`` the day that it goes by.
    """

    remedy: str
    costs: str
    works: bool | None
    on: dt.date | None
    text: str


@dataclass(frozen=True, slots=True)
class PullBack:
    """The vine given up along an edge, so that the strip gets its width: feet, and acres.

    ``acres_given_up`` is None where the length of the edge is not known.
    """

    remedy: str
    costs: str
    works: None
    on: None
    pull_back_ft: float
    ring_ft: float
    acres_given_up: float | None
    text: str


def remedies(
    width_ft: float,
    case: Case,
    rate: Rate,
    *,
    length_ft: float | None = None,
    patch_ac: float | None = None,
    bare: bool = False,
) -> tuple[Remedy | PullBack, ...]:
    """Return what would make a width hold, the cheapest first; empty when it holds already.

    Parameters
    ----------
    width_ft : the width there is. [ft]
    bare : whether the strip is kept bare already.
    length_ft : length of the edge it falls short along, for the acres given up. [ft]
    patch_ac : the vine's own ground, which no more can be given up of. [ac]

    Notes
    -----
    The order is by cost, common practice, no source: stakes first, giving up last.
    """
    asked = strip_width(case, (rate,))[rate.name].required_ft
    if width_ft >= asked - 1e-6:
        return ()
    short_ft = math.ceil(asked - width_ft - 1e-6)
    return (
        *_stake(width_ft, case, rate),
        _shorter(width_ft, case, rate),
        _pull(width_ft, case, rate),
        _bare(width_ft, case, rate, bare=bare),
        _pull_back(short_ft, asked, length_ft, patch_ac),
        Remedy(
            remedy="give up keeping it",
            costs="years of work, and the vine",
            works=True,
            on=None,
            text="treat the whole patch as extension advises: eradication, 3 to 10 years (Alabama "
            "Extension, ANR-65, 1999).",
        ),
    )


def _stake(width_ft: float, case: Case, rate: Rate) -> list[Remedy]:
    """Return what stakes along the edge would save: its error is part of the width asked."""
    gain_ft = case.edge_error_ft - STAKED_FT
    if gain_ft < LEAST_GAIN_FT:
        return []
    staked = replace(case, edge_error_ft=STAKED_FT)
    asked = strip_width(staked, (rate,))[rate.name].required_ft
    works = holds(width_ft, staked, rate)
    label = settings_words()["strip"].keys["staked"].label
    return [
        Remedy(
            remedy="stake the edge",
            costs="stakes and some hours",
            works=works,
            on=None,
            text=f"stake or tape the patch's edge and say so (“{label}”): {feet(gain_ft)} of "
            f"the width is the walk's own error, and {feet(asked)} are asked then"
            + ("; that is enough." if works else ", still more than there is."),
        )
    ]


def _shorter(width_ft: float, case: Case, rate: Rate) -> Remedy:
    late = latest_next_cut(width_ft, case, rate)
    shorter = late is not None and late > case.last_cut
    return Remedy(
        remedy="shorter season for the strip only",
        costs="no money; the nests in the strip",
        works=shorter,
        on=late if shorter else None,
        text=f"cut the strip by {say_day(late)}, {(case.until - late).days} days "
        "sooner than planned with its slip; the rest of the place stays quiet."
        if shorter and late
        else "no cut after the last one comes soon enough.",
    )


def _pull(width_ft: float, case: Case, rate: Rate) -> Remedy:
    early = earliest_last_cut(width_ft, case, rate)
    clean = replace(case, live_node_ft=0.0)
    pulled = holds(width_ft, clean, rate)
    in_time = early is not None and early < case.until
    if pulled:
        words = "pull or dig every live node outside the edge on foot before the season; then it holds."
    elif early is not None and in_time:
        words = (
            "pull and roll back the runners on foot; on this width the last time may be no "
            f"earlier than {say_day(early)}, inside the season if that falls there."
        )
    else:
        words = "pulling on foot alone does not make this width hold at any date."
    return Remedy(
        remedy="hand-pulling on foot",
        costs="hours on foot",
        works=pulled or in_time,
        on=early,
        text=words,
    )


def _bare(width_ft: float, case: Case, rate: Rate, *, bare: bool) -> Remedy:
    middle = _half_way(case)
    halves = (replace(case, next_cut=middle, slip_days=0), replace(case, last_cut=middle))
    enough = all(holds(width_ft, half, rate) for half in halves)
    return Remedy(
        remedy="bare strip",
        costs="a cut or a disking every week or two from green-up",
        works=enough,
        on=middle,
        text=("it is kept bare: " if bare else "")
        + f"keep the strip bare or under {figure(BARE_IN, 'in', AS_IT_IS)} from green-up, so nothing nests in it; "
        f"only then can one pass inside the quiet season, about {say_day(middle)}, "
        "be defended" + ("." if enough else ", and one pass is not enough here."),
    )


def _pull_back(
    short_ft: float, asked_ft: float, length_ft: float | None, patch_ac: float | None
) -> PullBack:
    acres = None if length_ft is None else short_ft * length_ft / ACRE_FT2
    if acres is not None and patch_ac is not None and acres >= patch_ac:
        acres = patch_ac
        loss = ", and hardly any of the patch is left."
    else:
        loss = (
            f" and the patch {figure(acres, 'ac', 2)} smaller."
            if acres is not None
            else "."
        )
    return PullBack(
        remedy="pull the patch edge back",
        costs="digging or treating, by the label",
        works=None,
        on=None,
        pull_back_ft=short_ft,
        ring_ft=asked_ft,
        acres_given_up=acres,
        text=f"kill or dig the vine back {feet(short_ft)} there; the strip is then "
        f"{feet(asked_ft)} wide{loss}",
    )


def _half_way(case: Case) -> dt.date:
    """Return the day by which half of the growth between the cuts has run."""
    whole = effective_days(case.last_cut, case.until, case.season)
    day = case.last_cut
    while effective_days(case.last_cut, day, case.season) < whole / 2:
        day += dt.timedelta(days=1)
    return day
