"""The account of what was done: read from the log, held against the whole plan, taken off.

This is the one place where the record and the amounts meet; the plan of fertilizer is made
afterwards, of what is left.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from quietacre.need.asked import plots_of
from quietacre.need.before import stood_in_log
from quietacre.need.gross import Gross
from quietacre.need.stock import grade_of
from quietacre.need.taken_off import (
    take_off_feed,
    take_off_lime,
    take_off_seed,
    take_off_spray,
)
from quietacre.record.goods import goods_of
from quietacre.record.moved import lines_of
from quietacre.record.on_hand import Bought, Held, bought_of, spent_of, stock_of
from quietacre.record.uses import by_ground, sown_days, uses_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from quietacre.need.done import Done
    from quietacre.need.fertilizer import Plot
    from quietacre.need.job import Job
    from quietacre.record.book import Book
    from quietacre.record.goods import Goods
    from quietacre.record.moved import Line
    from quietacre.record.uses import Use
    from quietacre.settings import Product, Property


@dataclass(frozen=True)
class Account:
    """What was done of the plan, what is on hand, what was spent.

    ``plots`` are the needs of all ground with what was spread; ``done`` what was done of
    each job, by its key; ``spent`` dollars of the year of ``today``, by item.
    """

    lines: tuple[Line, ...] = ()
    uses: tuple[Use, ...] = ()
    bought: tuple[Bought, ...] = ()
    shed: Mapping[str, Held] = field(default_factory=dict)
    plots: tuple[Plot, ...] = ()
    done: Mapping[str, tuple[Done, ...]] = field(default_factory=dict)
    spent: Mapping[str, float] = field(default_factory=dict)
    goods: Goods | None = None


def lines_until(
    book: Book | None, prop: Property, today: dt.date | None
) -> tuple[Line, ...]:
    """Return what the log says was moved, up to a day; nothing without a log or a day."""
    if book is None or today is None:
        return ()
    return lines_of(book, goods_of(prop), today)


def mark_sown(jobs: Sequence[Job], lines: Sequence[Line]) -> None:
    """Give each job, in place, the day of its season on which it was sown."""
    days = sown_days(lines)
    for job in jobs:
        mine = [day for day in days.get(job.name, ()) if job.season.holds(day)]
        if job.mix is not None:
            job.sown_on = max(mine, default=None)


def mark_stood(jobs: Sequence[Job], lines: Sequence[Line], prop: Property) -> None:
    """Give each job, in place, what the log says was sown there before its season."""
    stood = stood_in_log(lines, prop)
    for job in jobs:
        first = job.season.first
        job.stood = tuple(
            one for one in stood.get(job.name, ()) if first and one.on and one.on < first
        )


def account_of(
    jobs: Sequence[Job], lines: Sequence[Line], products: Sequence[Product], prop: Property,
    today: dt.date | None,
) -> Account:  # fmt: skip
    """Take what was done off the jobs, in place, and return the account of it.

    Parameters
    ----------
    jobs : with the whole of what their ground needs.
    lines : what was moved, as ``lines_until`` returns it.
    products : the fertilizers to be had.
    prop, today : the settings; the day of the plan, None when no line counts.

    Raises
    ------
    NeedProblem
        A grade is none.
    """
    goods = goods_of(prop)
    by_job = {job.key: plots_of(job) for job in jobs}
    plots = tuple(plot for some in by_job.values() for plot in some)
    if today is None or not lines:
        shed = stock_of(prop, goods, (), ())
        return Account(shed=shed, plots=plots, goods=goods)
    rough = stock_of(prop, goods, bought_of(lines, goods, lambda _item: 0.0), ())
    gross = Gross(
        jobs, {plot.key: plot for plot in plots}, [grade_of(p, rough) for p in products],
        prop, goods.lime, today,
    )  # fmt: skip
    uses = uses_of(lines, gross)
    bought = bought_of(lines, goods, gross.wanted)
    here = by_ground(uses)
    done = {}
    fed: list[Plot] = []
    for job in jobs:
        mine = here.get(job.name, [])
        others = [one.season for one in jobs if one.name == job.name and one is not job]
        left, spread = take_off_feed(job, by_job[job.key], mine, others)
        fed += left
        done[job.key] = (
            *take_off_seed(job, mine), *take_off_lime(job, mine, prop, today), *spread,
            *take_off_spray(job, mine, today),
        )  # fmt: skip
    return Account(
        tuple(lines), uses, bought, stock_of(prop, goods, bought, uses), tuple(fed), done,
        spent_of(bought, today.replace(month=1, day=1), today), goods,
    )  # fmt: skip
