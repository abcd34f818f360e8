"""What each area takes, and what to buy for all of them together."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.errors import NeedProblem
from quietacre.frames import areas_by_id
from quietacre.need.asked import plots_of
from quietacre.need.cautions import all_cautions
from quietacre.need.fertilizer import plan_fertilizer
from quietacre.need.forage import how_much
from quietacre.need.job import jobs_of
from quietacre.need.plan_lines import (
    left_out_lines,
    plan_lines,
    price_notes,
    short_lines,
    unmet_lines,
)
from quietacre.need.shopping import share_costs, shopping_list
from quietacre.need.soil import LIME, lime, look_at_test
from quietacre.need.sown import sow
from quietacre.need.sprayed import spray
from quietacre.need.spread import spread
from quietacre.need.stock import grade_of
from quietacre.need.tables import crop_lines, crops
from quietacre.need.worked import count_work
from quietacre.shipped import cite

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    import geopandas as gpd
    import pandas as pd

    from quietacre.model import Note
    from quietacre.need.fertilizer import Plan
    from quietacre.need.job import Job
    from quietacre.need.tables import Crop
    from quietacre.settings import Property

PROPERTY_FILE = "property.toml"
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
    """Amounts by area or strip id, the shopping list, and what to say about them."""

    by_id: dict[str, dict[str, Any]]
    shopping: list[dict[str, Any]]
    fertilizer_plan: dict[str, Any]
    how_much: dict[str, Any]
    cautions: list[dict[str, str]]
    notes: tuple[Note, ...]  # of the whole property
    crops: dict[str, list[str]]  # what the table holds of each crop that is sown


def plan_needs(
    areas: gpd.GeoDataFrame, prop: Property, *, strips: pd.DataFrame | None = None,
    property_acres: float | None = None,
) -> NeedPlan:  # fmt: skip
    """Return what every area and strip takes, and what to buy.

    Parameters
    ----------
    areas : one row per area (EPSG:4326) with id, name, kind, acres, acres_low,
        acres_high [ac] and geometry, in any order.
    strips : the same columns, and ``of``, the id of the area a strip goes round; a
        strip is sown and fed when that area's ``strip`` names a mix or a soil test.
    property_acres : inside the property line, None when no line is drawn. [ac]

    Raises
    ------
    NeedProblem
        A seed, grade or label rate cannot be worked with.
    FrameProblem
        The areas cannot be joined with ``prop``, or a strip goes round none of them.
    """
    areas = areas_by_id(areas, prop)
    table = crops(prop.property.state, prop.property.region)
    jobs = list(jobs_of(areas, prop, strips, table))
    products = [p for p in prop.product if not p.grade.startswith(LIME)]
    with _named_after(PROPERTY_FILE):
        grades = [grade_of(p, prop) for p in products]
    with _named_after(PROPERTY_FILE):
        for job in jobs:
            sow(job, prop)
            look_at_test(job)
            lime(job, prop)
            spray(job, prop)
        plots = [plot for job in jobs for plot in plots_of(job)]
        plan = plan_fertilizer(plots, grades, prop.buying, runners_up=RUNNERS_UP)
    spread(jobs, plots, grades, plan, prop)
    for job in jobs:
        count_work(job, prop)
    lines = shopping_list(jobs, grades, plan, prop)
    share_costs(jobs, lines)
    shopping = [line.to_dict() for line in lines]
    said = _said(jobs, prop)
    for job in jobs:
        job.need["notes"] = [note.to_dict() for note in job.notes]
    return NeedPlan(
        by_id={job.key: job.need for job in jobs},
        shopping=shopping,
        fertilizer_plan=_plan_report(plan, said),
        how_much=how_much(areas, property_acres, prop.forage),
        cautions=all_cautions(),
        notes=tuple(price_notes(shopping, plan)),
        crops=_crops_sown(jobs, table),
    )


def _said(jobs: Sequence[Job], prop: Property) -> list[str]:
    """Return what the terminal says too: what is left short, left out, or cannot be met."""
    return [
        *short_lines(
            [
                (j.name, row["nutrient"], row["lb"])
                for j in jobs
                for row in j.need.get("left_short", ())
            ],
            prop.buying,
        ),
        *left_out_lines(
            [(j.name, j.need.get("left_out_n_lb_ac", 0.0) * j.acres) for j in jobs]
        ),
        *unmet_lines([(j.name, row) for j in jobs for row in j.need.get("unmet", ())]),
    ]


def _plan_report(plan: Plan, said: list[str]) -> dict[str, Any]:
    """Return the fertilizer plan as page and papers read it."""
    return {
        "status": plan.status,
        "gap": plan.gap,
        "cost": round(plan.cost, 2),
        "bags": dict(plan.bags),
        "proof": plan.proof,
        "runners_up": [
            {
                "cost": round(other.cost, 2),
                "more": round(other.cost - plan.cost, 2),
                "bags": dict(other.bags),
                "products": list(other.products),
                "proof": other.proof,
            }
            for other in plan.runners_up
        ],
        "text": [*plan_lines(plan), *said],
        "said": said,
    }


def _crops_sown(jobs: Sequence[Job], table: Mapping[str, Crop]) -> dict[str, list[str]]:
    """Return what the table holds of each crop that is sown, in lines."""
    sown = sorted({row["crop"] for job in jobs for row in job.need["seed"]})
    return {
        name: [*crop_lines(table[name]), cite(table[name].source)]
        for name in sown
        if name in table
    }
