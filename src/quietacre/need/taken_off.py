"""What was done already is taken off what a piece of ground needs: lime, feed, seed, spray."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from quietacre.errors import NeedProblem
from quietacre.figures import figure
from quietacre.need.asked import TOP
from quietacre.need.done import Done
from quietacre.need.grade import CRUMB_SHARE, NUTRIENTS, parse_grade
from quietacre.need.job import NEVER
from quietacre.need.lime import LATER_YEARS, lime_rate
from quietacre.need.soil import lime_product
from quietacre.record.uses import Window, amounts_within, days_within, season_of
from quietacre.record.words import LIME, TOP_DRESS
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Sequence

    from quietacre.need.fertilizer import Plot
    from quietacre.need.job import Job
    from quietacre.record.uses import Use
    from quietacre.settings import Property

#: Part of a lime rate that is spread later waits so long after the part before: ``mo-lime``.
NEXT_PART_DAYS = 730
#: What stays in the ground from one season to the next counts since the soil test.
STAYING = ("p2o5", "k2o")


def take_off_seed(job: Job, uses: Sequence[Use]) -> Iterable[Done]:
    """Take the seed off once its ground was sown, and yield what was sown.

    Here and below ``uses`` are those of the job's own ground.
    """
    if job.sown_on is None or not job.seed:
        return
    sown = amounts_within(uses, "seed", job.season)
    for row in job.seed:
        amount = sown.pop(row.crop, 0.0)
        days = days_within(uses, "seed", job.season, row.crop)
        yield Done.of("seed", row.crop, "lb", amount, days or (job.sown_on,), row.lb, 0.0)
    for crop, amount in sown.items():  # another mix than was planned
        if crop:
            days = days_within(uses, "seed", job.season, crop)
            yield Done.of("seed", crop, "lb", amount, days, 0.0, 0.0)
    job.seed = ()


def take_off_lime(
    job: Job, uses: Sequence[Use], prop: Property, today: dt.date
) -> Iterable[Done]:
    """Take lime since the soil test off what the test asks, by its worth."""
    window = job.since_test(LIME)
    spread = amounts_within(uses, "lime", window)
    if job.lime_line is None or job.lime is None:
        pounds = sum(spread.values())
        if pounds > 0 and job.limed_with is None:  # the test asks for none
            item = next(iter(spread))
            days = days_within(uses, "lime", window)
            yield Done.of("lime", item, "lb", pounds, days, 0.0, 0.0)
        return
    ton = sum(
        lb / SHORT_TON_LB * lime_worth(job, item, prop) for item, lb in spread.items()
    )
    if ton <= 0:
        return
    parts = [part * job.acres for part in job.lime.parts_ton_ac]
    days = days_within(uses, "lime", window)
    due = 1 + sum((today - day).days >= NEXT_PART_DAYS for day in days[:1])
    now = sum(parts[:due])
    left = now - ton
    left = left if left >= CRUMB_SHARE * now else 0.0
    yield Done.of(
        "lime", job.lime.product or LIME, "lb", ton * SHORT_TON_LB, days,
        now * SHORT_TON_LB, left * SHORT_TON_LB,
    )  # fmt: skip
    if len(parts) > due and left <= 0:
        job.say(
            "lime-in-parts",
            "what goes on now of the lime is down; "
            f"{figure(parts[due] / job.acres, 'tons an acre', 2)} more go on {LATER_YEARS}, by a soil test taken then.",
            "info",
        )
    if left <= 0:
        job.lime_line = None
        return
    low, high = job.spread
    job.lime_line = dataclasses.replace(
        job.lime_line,
        ton=left,
        ton_ac=left / job.acres,
        ton_low=left * low,
        ton_high=left * high,
    )


def lime_worth(job: Job, item: str, prop: Property) -> float:
    """Return tons of the planned lime that a ton of another is worth on this soil test.

    A lime that the property does not list, or whose quality cannot be set against the
    test's, counts as the planned one; that is said.
    """
    planned = lime_product(prop)
    used = next((p for p in prop.product if p.grade == item), None)
    if planned is None or item == planned.grade or job.test is None:
        return 1.0
    if used is not None:
        try:
            by_planned = lime_rate(job.test, planned, prop.property.state)
            by_used = lime_rate(job.test, used, prop.property.state)
        except NeedProblem:
            by_planned = by_used = None
        if by_planned and by_used and by_used.ton_ac > 0:
            return by_planned.ton_ac / by_used.ton_ac
    job.say(
        "log-lime",
        f"the log has “{item}” on it, whose worth is not known",
        more=f"it counts as {planned.grade}.",
    )
    return 1.0


def take_off_feed(
    job: Job, plots: Sequence[Plot], uses: Sequence[Use], others: Sequence[Window] = ()
) -> tuple[list[Plot], list[Done]]:
    """Return the plots of a job with what was spread, and what that was.

    ``others`` are the seasons of the other plantings of its ground: what was spread in one
    is told there, though its phosphate and potash may count here.

    Phosphate and potash count since the soil test, nitrogen and sulfur within the season.
    Nitrogen that was top-dressed counts for what is kept for top-dressing first. What was spread
    on ground that asks for nothing, and so has no plots, is told too.
    """
    staying = staying_days(job)
    done_lb = spread_lb(job, uses)
    asked = {plot.key: plot for plot in plots}
    later = asked.get(job.key + TOP)
    wanted = later.need_lb_ac["n"] * later.acres if later else 0.0
    top = min(_nutrients(uses, job.season, TOP_DRESS)["n"], wanted)
    now = asked.get(job.key)
    over = done_lb["n"] - top - (now.need_lb_ac["n"] * now.acres if now else 0.0)
    top += min(max(over, 0.0), wanted - top)
    first = {**done_lb, "n": done_lb["n"] - top}
    out = [
        dataclasses.replace(
            plot,
            given_lb_ac={"n": top / plot.acres} if plot is later
            else {k: lb / plot.acres for k, lb in first.items() if lb > 0},
        )
        if plot.acres > 0
        else plot
        for plot in plots
    ]  # fmt: skip
    if any(done_lb.values()) and job.acres > 0:
        job.done_lb_ac = {k: lb / job.acres for k, lb in done_lb.items()}
    mine = [
        use for use in uses
        if job.season.holds(use.on)
        or (staying.holds(use.on) and not any(one.holds(use.on) for one in others))
    ]  # fmt: skip
    return out, list(_feed_done(mine))


def staying_days(job: Job) -> Window:
    """Return the days whose phosphate and potash count for a planting."""
    return NEVER if job.fed_before else job.since_test("fertilizer")


def spread_lb(job: Job, uses: Sequence[Use]) -> dict[str, float]:
    """Return the nutrients of a planting that were spread, by the days that count. [lb]"""
    season, since = (_nutrients(uses, window) for window in (job.season, staying_days(job)))
    return {k: (since if k in STAYING else season)[k] for k in NUTRIENTS}


def _feed_done(uses: Sequence[Use]) -> Iterable[Done]:
    """Yield each fertilizer of some uses."""
    for item, lb in amounts_within(uses, "fertilizer", Window()).items():
        if item:
            days = days_within(uses, "fertilizer", Window(), item)
            yield Done.of("fertilizer", item, "lb", lb, days)


def _nutrients(
    uses: Iterable[Use], window: Window, task: str | None = None
) -> dict[str, float]:
    """Return nutrients that were spread within some days. [lb]"""
    nutrients = dict.fromkeys(NUTRIENTS, 0.0)
    mine = [use for use in uses if task is None or use.task == task]
    for item, lb in amounts_within(mine, "fertilizer", window).items():
        try:
            shares = parse_grade(item)
        except NeedProblem:
            continue
        for nutrient, share in zip(NUTRIENTS, shares, strict=True):
            nutrients[nutrient] += lb * share
    return nutrients


def take_off_spray(job: Job, uses: Sequence[Use], today: dt.date) -> Iterable[Done]:
    """Write, in place, how much of each spray's product was used and is left, and yield it.

    A spray with a day counts what was sprayed within half a year of it, one without in the
    year of ``today``.
    """
    taken: dict[str, float] = {}
    last = {row.tank.name: number for number, row in enumerate(job.spray)}
    for number, row in enumerate(job.spray):
        window = season_of(row.on, today)
        name, product = row.tank.name, row.tank.product
        used = amounts_within(uses, "spray", window).get(name, 0.0) - taken.get(name, 0.0)
        if number != last[name]:  # what is more than a spray takes is of the next
            used = min(used, product)
        used = max(used, 0.0)
        taken[name] = taken.get(name, 0.0) + used
        left = max(product - used, 0.0)
        left = left if left >= CRUMB_SHARE * product else 0.0
        job.spray[number] = dataclasses.replace(row, done=used, left=left)
        if used > 0:
            days = days_within(uses, "spray", window, name)
            yield Done.of("spray", name, row.tank.unit, used, days, product, left)
