"""What each area takes, and what to buy for all of them together."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.as_json import as_json
from quietacre.errors import NeedProblem
from quietacre.frames import areas_by_id
from quietacre.model import SETTINGS_FILE
from quietacre.need.account import account_of, lines_until, mark_sown, mark_stood
from quietacre.need.account_notes import account_notes, on_hand_of, spent_of_year
from quietacre.need.asked import TOP
from quietacre.need.cautions import all_cautions
from quietacre.need.crop_said import crop_lines
from quietacre.need.fertilizer import plan_fertilizer
from quietacre.need.forage import how_much
from quietacre.need.job import jobs_of, leave_out_finished, need_of
from quietacre.need.plan_lines import (
    left_out_lines,
    plan_lines,
    price_notes,
    short_lines,
    unmet_lines,
)
from quietacre.need.records import FertilizerPlan, RunnerUp
from quietacre.need.shopping import share_costs, shopping_list
from quietacre.need.soil import lime, look_at_test, say_of_lime, test_lines
from quietacre.need.sown import sow
from quietacre.need.sprayed import spray
from quietacre.need.spread import spread
from quietacre.need.stock import grade_of
from quietacre.need.tables import crops
from quietacre.need.too_much import too_much_lines
from quietacre.need.worked import count_whole, count_work
from quietacre.record.words import LIME

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Container, Iterable, Iterator, Mapping, Sequence

    import geopandas as gpd
    import pandas as pd

    from quietacre.model import Note
    from quietacre.need.account import Account
    from quietacre.need.cautions import Caution
    from quietacre.need.fertilizer import Plan, Plot
    from quietacre.need.forage import HowMuch
    from quietacre.need.grade import Grade
    from quietacre.need.job import Job
    from quietacre.need.records import ListedItem, Need, OnHand, Spent
    from quietacre.need.tables import Crop
    from quietacre.record.book import Book
    from quietacre.record.on_hand import Bought
    from quietacre.record.uses import Use
    from quietacre.report_json.need import ListedItemJson, NeedJson
    from quietacre.settings import Product, Property


RUNNERS_UP = 2


@contextlib.contextmanager
def _named_after(source: str) -> Iterator[None]:
    """Name the file in a problem that does not know where its figures came from."""
    try:
        yield
    except NeedProblem as problem:
        if problem.source is None:
            problem.source = source
        raise


@dataclass(frozen=True)
class NeedPlan:
    """Amounts by planting's key or strip id, the shopping list, and what to say about them."""

    needs: Mapping[str, Need]
    lines: tuple[ListedItem, ...]
    fertilizer_plan: FertilizerPlan
    how_much: HowMuch
    cautions: tuple[Caution, ...]
    notes: tuple[Note, ...]  # of the whole property
    crops: dict[str, list[str]]  # what the table holds of each crop that is sown
    on_hand: tuple[OnHand, ...]  # what the shed holds by the stock and the log
    spent: Spent  # dollars spent this year, and still to spend
    uses: tuple[Use, ...] = ()  # what went onto the ground, by the log
    bought: tuple[Bought, ...] = ()  # and what was bought

    @property
    def by_id(self) -> dict[str, NeedJson]:
        """Return the amounts as report.json holds them."""
        return {key: as_json(need) for key, need in self.needs.items()}

    @property
    def shopping(self) -> list[ListedItemJson]:
        """Return the shopping list as report.json holds it."""
        return [as_json(line) for line in self.lines]


def plan_needs(
    areas: gpd.GeoDataFrame, prop: Property, *, strips: pd.DataFrame | None = None,
    property_acres: float | None = None, book: Book | None = None,
    today: dt.date | None = None, finished: Container[str] = (),
) -> NeedPlan:  # fmt: skip
    """Return what every area and strip takes, and what to buy.

    Parameters
    ----------
    areas : one row per area (EPSG:4326) with id, name, kind, acres, acres_low,
        acres_high [ac] and geometry, in any order.
    strips : the same columns, and ``of``, the id of the area a strip goes round; a
        strip is sown and fed when that area's ``strip`` names a mix or a soil test.
    property_acres : inside the property line, None when no line is drawn. [ac]
    book : what happened: what was spread and sown is taken off, what was bought is on hand.
    today : the day of the plan; without it no line of the book counts.
    finished : keys of plantings that take nothing more: their season is over.

    Raises
    ------
    NeedProblem
        A seed, grade or label rate cannot be worked with.
    FrameProblem
        The areas cannot be joined with ``prop``, or a strip goes round none of them.
    """
    areas = areas_by_id(areas, prop)
    table = crops(prop.property.state, prop.property.region)
    jobs = list(jobs_of(areas, prop, strips, table, today, finished))
    lines = lines_until(book, prop, today)
    mark_sown(jobs, lines)
    mark_stood(jobs, lines, prop)
    with _named_after(SETTINGS_FILE):
        products = _fertilizers(prop)
        _work_out(jobs, prop, today)
        account = account_of(jobs, lines, products, prop, today)
        grades = [grade_of(p, account.shed) for p in products]
        _say(jobs)
        plots = _unfinished(jobs, account.plots)
        plan = _fertilizer_plan(plots, grades, prop)
    spread(jobs, plots, grades, plan, prop)
    _count_done(jobs, account, prop)
    shop = shopping_list(jobs, grades, plan, prop, account)
    share_costs(jobs, shop)
    listed = tuple(line.listed() for line in shop)
    notes = account_notes(jobs, account, prop)
    texts = _said([job for job in jobs if not job.finished], prop)
    return NeedPlan(
        needs={job.key: need_of(job) for job in jobs},
        lines=listed,
        fertilizer_plan=_plan_told(plan, texts),
        how_much=how_much(areas, property_acres, prop.forage),
        cautions=all_cautions(),
        notes=(*price_notes(listed, plan), *notes),
        crops=_crops_sown(jobs, table),
        on_hand=on_hand_of(account),
        spent=spent_of_year(account, shop, book, today),
        uses=account.uses,
        bought=account.bought,
    )


def _fertilizers(prop: Property) -> list[Product]:
    """Return the fertilizers that can be bought."""
    return [p for p in prop.product if not p.grade.startswith(LIME)]


def _say(jobs: Sequence[Job]) -> None:
    """Say of lime what is to be said, and nothing of ground that takes nothing more."""
    for job in jobs:
        say_of_lime(job)
    leave_out_finished(jobs)


def _unfinished(jobs: Sequence[Job], plots: Iterable[Plot]) -> list[Plot]:
    """Return the plots to feed whose ground still takes something."""
    finished = {job.key for job in jobs if job.finished}
    return [plot for plot in plots if plot.key.removesuffix(TOP) not in finished]


def _fertilizer_plan(
    plots: Sequence[Plot], grades: Sequence[Grade], prop: Property
) -> Plan:
    """Return what feeds the plots that ask for more than they have."""
    asking = [plot for plot in plots if plot.asks_more]
    return plan_fertilizer(asking, grades, prop.buying, runners_up=RUNNERS_UP)


def _work_out(jobs: Sequence[Job], prop: Property, today: dt.date | None) -> None:
    """Work out, in place, the seed, the lime and the sprays of each piece of ground."""
    for job in jobs:
        sow(job, prop)
        look_at_test(job, today)
        lime(job, prop)
        spray(job, prop)
        count_whole(job, prop)


def _count_done(jobs: Sequence[Job], account: Account, prop: Property) -> None:
    """Write, in place, what was done of each job, and the work that is left."""
    for job in jobs:
        job.done = account.done.get(job.key, ())
        count_work(job, prop)


def _said(jobs: Sequence[Job], prop: Property) -> list[str]:
    """Return what the terminal says too: what is left short, left out, or cannot be met."""
    return [
        *short_lines(
            [(job.called, row.nutrient, row.lb) for job in jobs for row in job.left_short],
            prop.buying,
        ),
        *left_out_lines(
            [(job.called, (job.left_out_n_lb_ac or 0.0) * job.acres) for job in jobs]
        ),
        *test_lines(jobs),
        *too_much_lines(jobs),
        *unmet_lines([(job.called, row) for job in jobs for row in job.unmet]),
    ]


def _plan_told(plan: Plan, texts: Sequence[str]) -> FertilizerPlan:
    """Return the fertilizer plan as it is told."""
    return FertilizerPlan(
        status=plan.status,
        gap=plan.gap,
        cost=round(plan.cost, 2),
        bags=dict(plan.bags),
        proof=plan.proof,
        runners_up=tuple(
            RunnerUp(
                cost=round(other.cost, 2),
                more=round(other.cost - plan.cost, 2),
                bags=dict(other.bags),
                products=tuple(other.products),
                proof=other.proof,
            )
            for other in plan.runners_up
        ),
        text=(*plan_lines(plan), *texts),
        said=tuple(texts),
    )


def _crops_sown(jobs: Sequence[Job], table: Mapping[str, Crop]) -> dict[str, list[str]]:
    """Return what the table holds of each crop that is sown, in lines."""
    sown = sorted({row.crop for job in jobs for row in job.seed})
    return {name: crop_lines(table[name]) for name in sown if name in table}
