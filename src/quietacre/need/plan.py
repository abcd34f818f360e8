"""What each area takes, and what to buy for all of them together."""

from __future__ import annotations

import contextlib
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from quietacre.errors import NeedProblem
from quietacre.model import Note
from quietacre.need.cautions import all_cautions
from quietacre.need.fertilizer import (
    NUTRIENTS,
    Grade,
    Plan,
    Plot,
    oxide_needs,
    parse_grade,
    plan_fertilizer,
)
from quietacre.need.lime import lime_rate
from quietacre.need.seed import seed_needs
from quietacre.need.spray import over_label, tank_plan
from quietacre.need.tables import crops
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    import pandas as pd

    from quietacre.settings import Area, Mix, Product, Property, SoilTest

LIME = "lime"
PROPERTY_FILE = "property.toml"


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


@dataclass
class _Job:
    """One piece of ground to sow, feed or spray."""

    key: str
    name: str
    acres: float
    low: float
    high: float
    lon: float
    lat: float
    mix: Mix | None
    test: SoilTest | None
    area: Area
    made: bool  # a strip, not a declared area
    need: dict[str, Any] = field(default_factory=dict)
    notes: list[Note] = field(default_factory=list)

    def say(self, code: str, text: str, level: Any = "caution") -> None:  # noqa: ANN401
        self.notes.append(Note(code, text, level, None, self.name, self.lon, self.lat))

    @property
    def spread(self) -> tuple[float, float]:
        """Return acres_low and acres_high over acres."""
        if self.acres <= 0:
            return 1.0, 1.0
        return self.low / self.acres, self.high / self.acres


def plan_needs(
    areas: pd.DataFrame, prop: Property, *, strips: pd.DataFrame | None = None
) -> NeedPlan:
    """Return what every area and strip takes, and what to buy.

    Parameters
    ----------
    areas : one row per area with id, name, kind, acres, acres_low, acres_high [ac] and
        geometry, in the order of ``prop.area``.
    strips : the same columns, and ``of``, the id of the area a strip goes round; a
        strip is sown and fed when that area's ``strip`` names a mix or a soil test.

    Raises
    ------
    NeedProblem
        A seed, grade or label rate cannot be worked with.
    """
    jobs = list(_jobs(areas, prop, strips))
    products = [p for p in prop.product if not p.grade.startswith(LIME)]
    with _named_after(PROPERTY_FILE):
        grades = [_grade(p, prop) for p in products]
    with _named_after(PROPERTY_FILE):
        for job in jobs:
            _sow(job)
            _lime(job, prop)
            _spray(job, prop)
    plots = [plot for job in jobs if (plot := _plot(job)) is not None]
    plan = plan_fertilizer(plots, grades, prop.buying)
    _spread(jobs, plots, grades, plan, prop)
    shopping = [
        *_seed_shopping(jobs, prop),
        *_fertilizer_shopping(jobs, grades, plan),
        *_lime_shopping(jobs, prop),
        *_spray_shopping(jobs, prop),
    ]
    _costs(jobs, shopping)
    for job in jobs:
        job.need["notes"] = [note.to_dict() for note in job.notes]
    return NeedPlan(
        by_id={job.key: job.need for job in jobs},
        shopping=shopping,
        fertilizer_plan={
            "status": plan.status,
            "gap": plan.gap,
            "cost": round(plan.cost, 2),
            "bags": dict(plan.bags),
        },
        how_much=_how_much(areas),
        cautions=all_cautions(),
    )


def _jobs(
    areas: pd.DataFrame, prop: Property, strips: pd.DataFrame | None
) -> Iterator[_Job]:
    mixes = {mix.name: mix for mix in prop.mix}
    tests = {test.name: test for test in prop.soil_test}
    by_id = {}
    for row, area in enumerate(prop.area):
        record = areas.iloc[row]
        by_id[record["id"]] = area
        yield _job(record, area, mixes.get(area.mix or ""), tests.get(area.soil_test or ""))
    if strips is None:
        return
    for row in range(len(strips)):
        record = strips.iloc[row]
        area = by_id[record["of"]]
        settings = area.strip
        mix = mixes.get(settings.mix or "") if settings else None
        test = tests.get(settings.soil_test or "") if settings else None
        if mix is not None or test is not None:
            yield _job(record, area, mix, test, made=True)


def _job(
    record: Any,  # noqa: ANN401 - a row
    area: Area,
    mix: Mix | None,
    test: SoilTest | None,
    *,
    made: bool = False,
) -> _Job:
    point = record["geometry"].representative_point()
    job = _Job(
        record["id"], record["name"], float(record["acres"]), float(record["acres_low"]),
        float(record["acres_high"]), point.x, point.y, mix, test, area, made,
    )  # fmt: skip
    job.need = {
        "seed": [], "fertilizer": [], "lime": None, "spray": [], "setting": [],
        "cost": None, "cost_ac": None, "notes": [],
    }  # fmt: skip
    return job


def _sow(job: _Job) -> None:
    if job.mix is None:
        return
    job.need["seed"], said = seed_needs(job.mix, job.acres, job.low, job.high)
    for text in said:
        job.say("table-rate-as-live-seed", text, "info")
    memory = [row["crop"] for row in job.need["seed"] if row["from_memory"]]
    if memory:
        job.say(
            "rate-from-memory",
            f"the {job.mix.method} rate of {', '.join(memory)} is from memory, read in no "
            "source: check it with extension.",
        )
    groups = {row["inoculant"] for row in job.need["seed"] if row["inoculant"]}
    for group in sorted(groups):
        job.say("inoculate", f"inoculate: {group}; sow within a day of it.", "info")


def _lime_product(prop: Property) -> Product | None:
    """Return the first lime the person can buy."""
    return next((p for p in prop.product if p.grade.startswith(LIME)), None)


def _lime(job: _Job, prop: Property) -> None:
    if job.test is None:
        return
    lime = lime_rate(job.test, _lime_product(prop))
    if lime is None:
        return
    low, high = job.spread
    ton = lime.ton_ac * job.acres
    job.need["lime"] = {
        "ton_ac": lime.ton_ac, "ton": ton, "ton_low": ton * low, "ton_high": ton * high,
        "product": lime.product, "basis": lime.basis, "text": lime.text,
    }  # fmt: skip


def _spray(job: _Job, prop: Property) -> None:
    if job.made:
        return
    sprays = {spray.name: spray for spray in prop.spray}
    for feed in job.area.feed:
        spray = sprays[feed.spray]
        gear = prop.equipment
        row = tank_plan(spray, job.acres * feed.share, gear.tank_gal, gear.spray_gal_ac)
        low, high = job.spread
        row |= {
            "acres": job.acres * feed.share, "on": feed.on.isoformat() if feed.on else None,
            "gal_low": row["gal"] * low, "gal_high": row["gal"] * high,
        }  # fmt: skip
        job.need["spray"].append(row)
        warning = over_label(spray)
        if warning:
            job.say("above-label", warning, "warning")
        if job.area.kind == "patch" and spray.use == "foliar feed":
            job.say(
                "feeding-the-vine",
                "feeding the vine makes it run: re-survey its edge and widen the strip; "
                "no trial shows what it gains as browse.",
            )


def _plot(job: _Job) -> Plot | None:
    """Return what an area needs, None when it is not fertilized."""
    mode = job.area.fertilizer or ("soil test" if job.test else "none")
    grown = [
        crops()[seed.crop]
        for seed in (job.mix.seed if job.mix else ())
        if seed.crop in crops()
    ]
    if mode == "none":
        return None
    if mode == "maintenance":
        if not grown:
            return None
        need = {
            nutrient: max(crop.maintenance_lb_ac[k] for crop in grown)
            for k, nutrient in enumerate(NUTRIENTS)
        }
        job.say(
            "maintenance-default",
            "these are maintenance figures, not a soil test's: a placeholder. Take a sample.",
            "warning",
        )
    else:
        if job.test is None:
            job.say(
                "no-soil-test",
                "no soil test is named, so nothing is fertilized.",
                "warning",
            )
            return None
        given = job.test.need_lb_ac or job.test.need_ppm
        if given is None:
            return None
        need = oxide_needs(given, ppm=job.test.need_lb_ac is None)
    if grown and all(crop.legume for crop in grown) and need["n"] > 0:
        job.say(
            "legume-no-nitrogen",
            f"legumes only: the {need['n']:.0f} lb/ac of nitrogen asked for is left out.",
            "info",
        )
        need["n"] = 0.0
    if not any(need.values()):
        return None
    return Plot(job.key, job.acres, need, job.area.max_products)


def _grade(product: Product, prop: Property) -> Grade:
    n, p2o5, k2o = parse_grade(product.grade)
    bag_lb = SHORT_TON_LB if product.bulk else (product.bag_lb or 50.0)
    left = _in_stock(prop, product.grade, bag_lb)
    return Grade(product.grade, n, p2o5, k2o, bag_lb, product.price, left, product.max_bags)


def _spread(
    jobs: Sequence[_Job],
    plots: Sequence[Plot],
    grades: Sequence[Grade],
    plan: Plan,
    prop: Property,
) -> None:
    """Put each area's share of the plan into its amounts, and say what stays short."""
    by_key = {plot.key: plot for plot in plots}
    for job in jobs:
        plot = by_key.get(job.key)
        if plot is None:
            continue
        low, high = job.spread
        for grade in grades:
            pounds = plan.pounds.get((job.key, grade.grade))
            if pounds is None or job.acres <= 0:
                continue
            rate = pounds / job.acres
            job.need["fertilizer"].append(
                {
                    "grade": grade.grade, "lb_ac": rate, "lb": pounds,
                    "lb_low": pounds * low, "lb_high": pounds * high,
                    "bag_lb": grade.bag_lb, "bags_exact": pounds / grade.bag_lb,
                    "n_lb_ac": rate * grade.n, "p2o5_lb_ac": rate * grade.p2o5,
                    "k2o_lb_ac": rate * grade.k2o,
                }
            )  # fmt: skip
            swath = prop.equipment.spreader_swath_ft
            job.need["setting"].append(_setting(grade.grade, rate, grade.bag_lb, swath))
        job.need["asked_lb_ac"] = dict(plot.need_lb_ac)
        for nutrient in NUTRIENTS:
            short = plan.short_lb.get((job.key, nutrient), 0.0)
            if short > 0.5:  # noqa: PLR2004 - half a pound
                job.say(
                    "need-not-met",
                    f"{short:.0f} lb of {nutrient.upper()} cannot be met from the products "
                    "listed without going over a cap; list another grade.",
                    "warning",
                )


def _setting(grade: str, rate_lb_ac: float, bag_lb: float, swath_ft: float) -> str:
    """Return the check of a spreader: what 1,000 sq ft take, how far a bag goes."""
    per_thousand = rate_lb_ac / 43.56
    distance_ft = bag_lb * 43_560 / (rate_lb_ac * swath_ft) if rate_lb_ac else 0.0
    return (
        f"{grade}: {rate_lb_ac:.0f} lb/ac is {per_thousand:.1f} lb on 1,000 sq ft; at a "
        f"{swath_ft:.0f} ft swath a {bag_lb:.0f} lb bag goes {distance_ft:,.0f} ft"
    )


def _item(
    item: str, what: str, unit: str, need: float, low: float, high: float, *,
    stock: float, pack: float | None, price: float | None, used: list[dict[str, Any]],
) -> dict[str, Any]:  # fmt: skip
    buy = max(need - stock, 0.0)

    def packs(amount: float) -> int | None:
        return None if pack is None else math.ceil(max(amount - stock, 0.0) / pack - 1e-9)

    count, fewest, most = packs(need), packs(low), packs(high)
    note = None
    if count is not None and fewest != most:
        note = f"the ± of the acreage changes the number: {fewest} to {most}"
    return {
        "item": item, "what": what, "unit": unit, "need": need, "need_low": low,
        "need_high": high, "from_stock": min(stock, need), "buy": buy, "pack": pack,
        "packs": count, "packs_low": fewest, "packs_high": most, "price": price,
        "cost": None if price is None or count is None else round(price * count, 2),
        "used_by": used, "note": note,
    }  # fmt: skip


def _in_stock(prop: Property, item: str, pack_lb: float | None) -> float:
    return sum(
        (s.amount_lb or 0.0) + (s.bags or 0.0) * (pack_lb or 0.0)
        for s in prop.stock
        if s.item == item
    )


def _seed_shopping(jobs: Sequence[_Job], prop: Property) -> Iterator[dict[str, Any]]:
    found: dict[
        tuple[str, float | None, float | None], list[tuple[_Job, dict[str, Any]]]
    ] = {}
    for job in jobs:
        if job.mix is None:
            continue
        for seed, row in zip(job.mix.seed, job.need["seed"], strict=True):
            found.setdefault((seed.crop, seed.bag_lb, seed.price_lb), []).append((job, row))
    for (crop, bag_lb, price_lb), rows in found.items():
        price = price_lb * (bag_lb or 1.0) if price_lb is not None else None
        yield _item(
            crop, "seed", "lb",
            sum(r["lb"] for _, r in rows), sum(r["lb_low"] for _, r in rows),
            sum(r["lb_high"] for _, r in rows),
            stock=_in_stock(prop, crop, bag_lb), pack=bag_lb or 1.0, price=price,
            used=[{"area": job.name, "amount": r["lb"]} for job, r in rows],
        )  # fmt: skip


def _fertilizer_shopping(
    jobs: Sequence[_Job], grades: Sequence[Grade], plan: Plan
) -> Iterator[dict[str, Any]]:
    for grade in grades:
        rows = [
            (job, row)
            for job in jobs
            for row in job.need["fertilizer"]
            if row["grade"] == grade.grade
        ]
        if not rows:
            continue
        yield _item(
            grade.grade, "fertilizer", "lb",
            sum(r["lb"] for _, r in rows), sum(r["lb_low"] for _, r in rows),
            sum(r["lb_high"] for _, r in rows),
            stock=grade.stock_lb, pack=grade.bag_lb, price=grade.price,
            used=[{"area": job.name, "amount": r["lb"]} for job, r in rows],
        ) | {"packs": plan.bags.get(grade.grade, 0),
             "cost": None if grade.price is None
             else round(grade.price * plan.bags.get(grade.grade, 0), 2)}  # fmt: skip


def _lime_shopping(jobs: Sequence[_Job], prop: Property) -> Iterator[dict[str, Any]]:
    limed = [job for job in jobs if job.need["lime"]]
    if not limed:
        return
    product = _lime_product(prop)
    # lime nobody has named comes by the ton; a product neither bulk nor bagged, loose
    pack = SHORT_TON_LB if product is None or product.bulk else product.bag_lb
    yield _item(
        product.grade if product else "lime (no product listed)", "lime", "lb",
        sum(j.need["lime"]["ton"] for j in limed) * SHORT_TON_LB,
        sum(j.need["lime"]["ton_low"] for j in limed) * SHORT_TON_LB,
        sum(j.need["lime"]["ton_high"] for j in limed) * SHORT_TON_LB,
        stock=_in_stock(prop, product.grade, pack or SHORT_TON_LB) if product else 0.0,
        pack=pack,
        price=product.price if product else None,
        used=[{"area": j.name, "amount": j.need["lime"]["ton"] * SHORT_TON_LB} for j in limed],
    )  # fmt: skip


def _spray_shopping(jobs: Sequence[_Job], prop: Property) -> Iterator[dict[str, Any]]:
    for spray in prop.spray:
        rows = [(j, r) for j in jobs for r in j.need["spray"] if r["name"] == spray.name]
        if not rows:
            continue
        pounds = rows[0][1]["unit"] == "lb"
        stock = sum(
            (s.amount_lb if pounds else s.amount_fl_oz) or 0.0
            for s in prop.stock
            if s.item == spray.name
        )
        yield _item(
            spray.name, "spray", rows[0][1]["unit"],
            sum(r["product"] for _, r in rows),
            sum(r["product"] * j.spread[0] for j, r in rows),
            sum(r["product"] * j.spread[1] for j, r in rows),
            stock=stock, pack=spray.pack_lb if pounds else spray.pack_fl_oz, price=spray.price,
            used=[{"area": j.name, "amount": r["product"]} for j, r in rows],
        )  # fmt: skip


def _costs(jobs: Sequence[_Job], shopping: Sequence[Mapping[str, Any]]) -> None:
    """Give each area its share of what is bought, by amount."""
    totals = dict.fromkeys((job.name for job in jobs), 0.0)
    for row in shopping:
        used = sum(share["amount"] for share in row["used_by"])
        if row["cost"] is None or used <= 0:
            continue
        for share in row["used_by"]:
            totals[share["area"]] += row["cost"] * share["amount"] / used
    for job in jobs:
        cost = totals[job.name]
        if cost > 0 and job.acres > 0:
            job.need["cost"] = round(cost, 2)
            job.need["cost_ac"] = round(cost / job.acres, 2)


def _how_much(areas: pd.DataFrame) -> dict[str, Any]:
    """Return the planted share beside the ranges that agencies print."""
    planted = float(sum(areas["acres"][areas["kind"] == "plot"]))
    return {
        "planted_acres": planted,
        "ranges": [
            {"share_pct": [1.0, 10.0],
             "source": "WMS-06-07 (Mengak), University of Georgia, 2006"},
            {"share_pct": [3.0, 5.0],
             "source": "Cool-season page, Mississippi Dept. of Wildlife, Fisheries and Parks, n.d."},
        ],
    }  # fmt: skip
