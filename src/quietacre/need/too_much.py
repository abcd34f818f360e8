"""What the log has more of than the plan asked: lime, nutrients, seed and spray, in pounds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.figures import figure
from quietacre.logbook import LOG
from quietacre.need.asked import TOP
from quietacre.need.done import LEAST_OVER
from quietacre.need.fertilizer import cap_lb_ac
from quietacre.need.grade import NUTRIENTS
from quietacre.need.taken_off import spread_lb
from quietacre.record.uses import amounts_within
from quietacre.record.words import LIME

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from quietacre.need.account import Account
    from quietacre.need.job import Job
    from quietacre.record.uses import Use
    from quietacre.settings import Buying

MORE_CODE = "more-than-asked"
#: What asks for each.
ASKS = {"seed": "the mix", "lime": "the soil test", "spray": "the rate"}


def say_too_much(
    job: Job, uses: Sequence[Use], account: Account, buying: Buying
) -> None:  # fmt: skip
    """Say on a piece of ground what the log has more of than was asked.

    Lime, seed and spray by more than crumbs, nutrients by more than a plan itself may go
    over (``over_pct``, ``over_lb_ac``).

    Parameters
    ----------
    uses : those of the job's own ground.
    """
    over = [
        _told(one.over, one.unit, one.item if one.what != LIME else LIME, one.needed or 0.0,
              one.amount, ASKS[one.what])
        for one in account.done.get(job.key, ())
        if one.over and one.what in ASKS
    ]  # fmt: skip
    heavy = any(one.over for one in account.done.get(job.key, ()) if one.what != "seed")
    fed = list(_fed_too_much(job, uses, account, buying))
    over += fed
    over += list(_limed_untested(job, uses))
    if not over:
        return
    job.say(
        MORE_CODE,
        f"{LOG} has more than was asked: {'; '.join(over)}.",
        "warning" if heavy or fed else "caution",
        more="If a line stands twice or on the wrong ground, take it back with "
        "quietacre log DIR --undo ID. What lies there stays there: of lime and nutrients a new "
        "soil test tells, of a spray its label, and no more of it is planned here.",
    )


def _told(
    over: float, unit: str, item: str, asked: float, done: float, who: str
) -> str:  # fmt: skip
    if who == ASKS["seed"] and asked <= 0:
        return f"{figure(over, unit, 0)} of {item}, which is not in the mix"
    first = f"{figure(over, unit, 0)} of {item} too much"
    if asked <= 0:
        return f"{first} ({who} asks for none)"
    wanted, gone = (figure(amount, unit, 0, bare=True) for amount in (asked, done))
    return f"{first} ({who} asks for {wanted}, {gone} went out)"


def _fed_too_much(
    job: Job, uses: Sequence[Use], account: Account, buying: Buying
) -> Iterator[str]:
    """Yield each nutrient that was spread beyond what a plan may go over."""
    if job.acres <= 0:
        return
    plots = [p for p in account.plots if p.key.removesuffix(TOP) == job.key]
    done = spread_lb(job, uses)
    for nutrient in NUTRIENTS:
        asked = sum(p.need_lb_ac.get(nutrient, 0.0) * p.acres for p in plots)
        if nutrient == "s" and not asked:
            continue  # nobody asked, so what a product brings of it is no fault
        most = cap_lb_ac(asked / job.acres, buying) * job.acres
        if done[nutrient] > most + LEAST_OVER:
            over = done[nutrient] - asked
            yield _told(over, "lb", nutrient.upper(), asked, done[nutrient], "the plan")


def _limed_untested(job: Job, uses: Sequence[Use]) -> Iterator[str]:
    """Yield the lime of the season on ground that no soil test is named for."""
    if job.test is not None:
        return
    pounds = sum(amounts_within(uses, LIME, job.season).values())
    if pounds > LEAST_OVER:
        yield f"{figure(pounds, 'lb', 0)} of lime, for which no soil test asks"


def too_much_lines(jobs: Sequence[Job]) -> list[str]:
    """Return what the terminal says of ground that has more than was asked."""
    return [
        f"{job.called}: {note.head}"
        for job in jobs
        for note in job.notes
        if note.code == MORE_CODE
    ]
