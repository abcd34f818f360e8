"""What to buy for all the ground together, and each piece's share of the cost."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.need.inoculant import PACKET
from quietacre.need.soil import lime_product
from quietacre.need.stock import in_stock
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from quietacre.need.fertilizer import Plan
    from quietacre.need.grade import Grade
    from quietacre.need.job import Job
    from quietacre.settings import Property


@dataclass(frozen=True)
class Share:
    """What one piece of ground takes of a line."""

    area: str
    id: str
    amount: float


@dataclass(frozen=True)
class ShoppingLine:
    """One line of the shopping list; amounts in ``unit``, ``pack`` of them to a pack.

    ``low`` and ``high`` are for the low and the high acreage. Without a pack it is
    bought loose, and ``packs`` is None.
    """

    item: str
    what: str
    unit: str  # "lb", "fl oz", "lb of seed"
    need: float
    need_low: float
    need_high: float
    stock: float
    pack: float | None
    price_usd: float | None  # of a pack
    used_by: tuple[Share, ...]
    name: str | None = None
    tank_loads: int | None = None
    packs_planned: int | None = None  # whole bags of the fertilizer plan
    own_note: str | None = None

    @property
    def buy(self) -> float:
        """Return what the shed does not hold."""
        return max(self.need - self.stock, 0.0)

    def _packs(self, amount: float) -> int | None:
        if self.pack is None:
            return None
        return math.ceil(max(amount - self.stock, 0.0) / self.pack - 1e-9)

    @property
    def packs(self) -> int | None:
        """Return whole packs to buy."""
        return self._packs(self.need) if self.packs_planned is None else self.packs_planned

    @property
    def cost_usd(self) -> float | None:
        """Return dollars of the whole packs, None without a price. [$]"""
        packs = self.packs
        return (
            None
            if self.price_usd is None or packs is None
            else round(self.price_usd * packs, 2)
        )

    @property
    def left_over(self) -> float | None:
        """Return what is left of the packs."""
        packs = self.packs
        if packs is None or self.pack is None:
            return None
        return max(packs * self.pack - self.buy, 0.0)

    @property
    def note(self) -> str | None:
        """Return whether the ± of the acreage changes the number of packs."""
        fewest, most = self._packs(self.need_low), self._packs(self.need_high)
        if self.own_note is not None or fewest is None:
            return self.own_note
        if fewest == most:
            return "the ± of the acreage does not change the number"
        return f"the ± of the acreage changes the number: {fewest} to {most}"

    def to_dict(self) -> dict[str, Any]:
        """Return the line as page, papers and lists read it."""
        return {
            "item": self.item, "what": self.what, "unit": self.unit, "need": self.need,
            "need_low": self.need_low, "need_high": self.need_high,
            "from_stock": min(self.stock, self.need), "buy": self.buy, "pack": self.pack,
            "packs": self.packs, "packs_low": self._packs(self.need_low),
            "packs_high": self._packs(self.need_high), "price": self.price_usd,
            "cost": self.cost_usd,
            "used_by": [
                {"area": one.area, "id": one.id, "amount": one.amount} for one in self.used_by
            ],
            "name": self.name, "tons": self.need / SHORT_TON_LB if self.unit == "lb" else None,
            "tank_loads": self.tank_loads, "left_over": self.left_over, "note": self.note,
        }  # fmt: skip


def shopping_list(
    jobs: Sequence[Job], grades: Sequence[Grade], plan: Plan, prop: Property
) -> list[ShoppingLine]:
    """Return what to buy for all the ground together, seed first."""
    return [
        *_seed_shopping(jobs, prop),
        *_inoculant_shopping(jobs),
        *_fertilizer_shopping(jobs, grades, plan, prop),
        *_lime_shopping(jobs, prop),
        *_spray_shopping(jobs, prop),
    ]


def _use(job: Job, amount: float) -> Share:
    return Share(job.name, job.key, amount)


def _seed_shopping(jobs: Sequence[Job], prop: Property) -> Iterator[ShoppingLine]:
    found: dict[
        tuple[str, float | None, float | None], list[tuple[Job, dict[str, Any]]]
    ] = {}
    for job in jobs:
        if job.mix is None:
            continue
        for seed, row in zip(job.mix.seed, job.need["seed"], strict=True):
            found.setdefault((seed.crop, seed.bag_lb, seed.price_lb), []).append((job, row))
    for (crop, bag_lb, price_lb), rows in found.items():
        price = price_lb * (bag_lb or 1.0) if price_lb is not None else None
        yield ShoppingLine(
            crop, "seed", "lb",
            sum(r["lb"] for _, r in rows), sum(r["lb_low"] for _, r in rows),
            sum(r["lb_high"] for _, r in rows),
            stock=in_stock(prop, crop, bag_lb), pack=bag_lb or 1.0, price_usd=price,
            used_by=tuple(_use(job, r["lb"]) for job, r in rows),
        )  # fmt: skip


def _inoculant_shopping(jobs: Sequence[Job]) -> Iterator[ShoppingLine]:
    """Yield a line for each group of inoculant: the pounds of seed that it must treat."""
    groups: dict[str, list[tuple[Job, Mapping[str, Any]]]] = {}
    for job in jobs:
        for row in job.need["seed"]:
            if row["inoculant"]:
                groups.setdefault(row["inoculant"], []).append((job, row))
    for group, rows in groups.items():
        yield ShoppingLine(
            f"inoculant: {group}", "inoculant", "lb of seed",
            sum(r["lb"] for _, r in rows), sum(r["lb_low"] for _, r in rows),
            sum(r["lb_high"] for _, r in rows),
            stock=0.0, pack=None, price_usd=None, used_by=tuple(_use(job, r["lb"]) for job, r in rows), own_note=PACKET,
        )  # fmt: skip


def _fertilizer_shopping(
    jobs: Sequence[Job], grades: Sequence[Grade], plan: Plan, prop: Property
) -> Iterator[ShoppingLine]:
    names = {product.grade: product.name for product in prop.product}
    for grade in grades:
        rows = [
            (job, row)
            for job in jobs
            for row in job.need["fertilizer"]
            if row["grade"] == grade.grade
        ]
        if not rows:
            continue
        yield ShoppingLine(
            grade.grade, "fertilizer", "lb",
            sum(r["lb"] for _, r in rows), sum(r["lb_low"] for _, r in rows),
            sum(r["lb_high"] for _, r in rows),
            stock=grade.stock_lb, pack=grade.bag_lb, price_usd=grade.price,
            used_by=tuple(_use(job, r["lb"]) for job, r in rows),
            name=names.get(grade.grade), packs_planned=plan.bags.get(grade.grade, 0),
        )  # fmt: skip


def _lime_shopping(jobs: Sequence[Job], prop: Property) -> Iterator[ShoppingLine]:
    limed = [job for job in jobs if job.need["lime"]]
    if not limed:
        return
    product = lime_product(prop)
    # lime nobody has named comes by the ton; a product neither bulk nor bagged, loose
    pack = SHORT_TON_LB if product is None or product.bulk else product.bag_lb
    yield ShoppingLine(
        product.grade if product else "lime (no product listed)", "lime", "lb",
        sum(j.need["lime"]["ton"] for j in limed) * SHORT_TON_LB,
        sum(j.need["lime"]["ton_low"] for j in limed) * SHORT_TON_LB,
        sum(j.need["lime"]["ton_high"] for j in limed) * SHORT_TON_LB,
        stock=in_stock(prop, product.grade, pack or SHORT_TON_LB) if product else 0.0,
        pack=pack,
        price_usd=product.price if product else None,
        used_by=tuple(_use(j, j.need["lime"]["ton"] * SHORT_TON_LB) for j in limed), name=product.name if product else None,
    )  # fmt: skip


def _spray_shopping(jobs: Sequence[Job], prop: Property) -> Iterator[ShoppingLine]:
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
        yield ShoppingLine(
            spray.name, "spray", rows[0][1]["unit"],
            sum(r["product"] for _, r in rows),
            sum(r["product"] * j.spread[0] for j, r in rows),
            sum(r["product"] * j.spread[1] for j, r in rows),
            stock=stock, pack=spray.pack_lb if pounds else spray.pack_fl_oz, price_usd=spray.price,
            used_by=tuple(_use(j, r["product"]) for j, r in rows), tank_loads=_loads(rows),
        )  # fmt: skip


def _loads(rows: Sequence[tuple[Job, Mapping[str, Any]]]) -> int:
    """Return tanks to fill, a partial one counted: each area is mixed for itself."""
    return sum(row["loads_full"] + (row["last_load_gal"] > 0) for _, row in rows)


def share_costs(jobs: Sequence[Job], shopping: Sequence[ShoppingLine]) -> None:
    """Give each area its share of what is bought, by amount."""
    totals = dict.fromkeys((job.key for job in jobs), 0.0)
    for row in shopping:
        used = sum(share.amount for share in row.used_by)
        if row.cost_usd is None or used <= 0:
            continue
        for share in row.used_by:
            totals[share.id] += row.cost_usd * share.amount / used
    for job in jobs:
        cost = totals[job.key]
        if cost > 0 and job.acres > 0:
            job.need["cost"] = round(cost, 2)
            job.need["cost_ac"] = round(cost / job.acres, 2)
