"""What to buy for all the ground together, and each piece's share of the cost."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.figures import figure
from quietacre.need.inoculant import PACKET
from quietacre.need.records import ListedItem, UsedBy
from quietacre.need.soil import lime_product
from quietacre.need.stock import CRUMB_PACK
from quietacre.record.goods import pack_lb
from quietacre.record.words import LIME
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Sequence

    from quietacre.need.account import Account
    from quietacre.need.fertilizer import Plan
    from quietacre.need.grade import Grade
    from quietacre.need.job import Job
    from quietacre.need.records import SeedLine
    from quietacre.settings import Property

#: Less than this is not worth saying. [lb or fl oz]
THIN = 0.5


@dataclass(frozen=True)
class Share:
    """What one piece of ground, or one planting of it, takes of a line."""

    area: str
    id: str
    amount: float
    key: str  # of the job


@dataclass(frozen=True)
class ShoppingLine:
    """One line of the shopping list; amounts in ``unit``, ``pack`` of them to a pack.

    ``left`` is what is still to go out, ``low`` and ``high`` for the low and the high
    acreage; ``done`` is what went out already and ``whole`` what was asked before that,
    their sum where it is None. Without a pack it is bought loose, and ``packs`` is None.
    """

    item: str
    what: str
    unit: str  # "lb", "fl oz", "lb of seed"
    left: float
    left_low: float
    left_high: float
    stock: float
    pack: float | None
    price_usd: float | None  # of a pack
    used_by: tuple[Share, ...]
    name: str | None = None
    tank_loads: int | None = None
    packs_planned: int | None = None  # whole bags of the fertilizer plan
    own_note: str | None = None
    done: float = 0.0
    whole: float | None = None
    over: float = 0.0  # what went out beyond what was asked
    counted_on: dt.date | None = None
    spent_usd: float | None = None  # this year

    @property
    def need(self) -> float:
        """Return what was asked in all, before anything was done."""
        return self.left + self.done if self.whole is None else self.whole

    @property
    def buy(self) -> float:
        """Return what the shed does not hold."""
        return max(self.left - self.stock, 0.0)

    def _packs(self, amount: float) -> int | None:
        if self.pack is None:
            return None
        crumb = 1e-9 + (CRUMB_PACK if self.stock > 0 else 0.0)
        return math.ceil(max((amount - self.stock) / self.pack - crumb, 0.0))

    @property
    def packs(self) -> int | None:
        """Return whole packs to buy."""
        return self._packs(self.left) if self.packs_planned is None else self.packs_planned

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
        """Return what went out too much, whether the ± changes the packs, and crumbs."""
        over = (
            f"{figure(self.over, self.unit, 0)} more went out than was asked"
            if self.over
            else ""
        )
        return "; ".join(filter(None, (over, self._packs_note))) or None

    @property
    def _packs_note(self) -> str | None:
        fewest, most = self._packs(self.left_low), self._packs(self.left_high)
        if self.own_note is not None or fewest is None:
            return self.own_note
        if self.left <= 0:
            return None
        thin = self.buy - (self.packs or 0) * (self.pack or 0.0)
        crumbs = (
            f"; {figure(thin, self.unit, 1)} short of whole packs, spread so much thinner"
            if thin > THIN
            else ""
        )
        if fewest == most:
            return f"the ± of the acreage does not change the number{crumbs}"
        return f"the ± of the acreage changes the number: {fewest} to {most}{crumbs}"

    def listed(self) -> ListedItem:
        """Return the line as it is told."""
        low, high = self.left_low - self.left, self.left_high - self.left
        return ListedItem(
            item=self.item, what=self.what, unit=self.unit, need=self.need,
            need_low=self.need + low, need_high=self.need + high,
            done=self.done, left=self.left, on_hand=self.stock,
            from_stock=min(self.stock, self.left), buy=self.buy, pack=self.pack,
            packs=self.packs, packs_low=self._packs(self.left_low),
            packs_high=self._packs(self.left_high), price=self.price_usd,
            cost=self.cost_usd, spent=self.spent_usd,
            used_by=tuple(UsedBy(one.area, one.id, one.amount) for one in self.used_by),
            name=self.name, tons=self.need / SHORT_TON_LB if self.unit == "lb" else None,
            tank_loads=self.tank_loads, left_over=self.left_over, note=self.note,
        )  # fmt: skip


def shopping_list(
    jobs: Sequence[Job], grades: Sequence[Grade], plan: Plan, prop: Property,
    account: Account,
) -> list[ShoppingLine]:  # fmt: skip
    """Return what to buy for all the ground together, seed first.

    What was done in a finished season is no part of it.
    """
    done = {job.key: account.done.get(job.key, ()) for job in jobs if not job.finished}
    account = replace(account, done=done)
    lines = [
        *_seed_shopping(jobs, account),
        *_inoculant_shopping(jobs),
        *_fertilizer_shopping(jobs, grades, plan, prop, account),
        *_lime_shopping(jobs, prop, account),
        *_spray_shopping(jobs, prop, account),
    ]
    return [
        replace(
            line, counted_on=held.counted_on if held else None,
            spent_usd=account.spent.get(line.item), over=_over(account, line),
        )
        for line in lines
        for held in [account.shed.get(line.item)]
    ]  # fmt: skip


def _use(job: Job, amount: float) -> Share:
    return Share(job.called, job.area_id, amount, job.key)


def _on_hand(account: Account, item: str) -> float:
    held = account.shed.get(item)
    return held.on_hand if held else 0.0


def _over(account: Account, line: ShoppingLine) -> float:
    """Return what of a line went out beyond what was asked, on all ground."""
    return sum(
        one.over for some in account.done.values() for one in some
        if one.what == line.what and (line.what == LIME or one.item == line.item)
    )  # fmt: skip


def _whole(account: Account, what: str, item: str, left: float) -> tuple[float, float]:
    """Return what was asked of an item in all, and what was done of it."""
    done = [
        one for some in account.done.values() for one in some
        if (one.what, one.item) == (what, item)
    ]  # fmt: skip
    asked = sum(one.needed - (one.left or 0.0) for one in done if one.needed is not None)
    return left + asked, sum(one.amount for one in done)


def _seed_shopping(jobs: Sequence[Job], account: Account) -> Iterator[ShoppingLine]:
    bags: dict[tuple[str, float | None, float | None], list[tuple[Job, SeedLine]]] = {}
    for job in jobs:
        if job.mix is None:
            continue
        mine = [bags.setdefault((s.crop, s.bag_lb, s.price_lb), []) for s in job.mix.seed]
        # none may be left to sow
        for lines, row in zip(mine, job.seed, strict=bool(job.seed)):
            lines.append((job, row))
    stock_used: dict[
        str, float
    ] = {}  # one crop may come in several bags: the shed serves one
    for (crop, bag_lb, price_lb), rows in bags.items():
        first = crop not in stock_used
        price = price_lb * (bag_lb or 1.0) if price_lb is not None else None
        left = sum(r.lb for _, r in rows)
        whole, done = _whole(account, "seed", crop, left) if first else (left, 0.0)
        stock = max(_on_hand(account, crop) - stock_used.get(crop, 0.0), 0.0)
        stock_used[crop] = stock_used.get(crop, 0.0) + left
        if whole <= 0 and done <= 0:
            continue
        yield ShoppingLine(
            crop, "seed", "lb", left, sum(r.lb_low for _, r in rows),
            sum(r.lb_high for _, r in rows),
            stock=stock, pack=bag_lb or 1.0, price_usd=price,
            used_by=tuple(_use(job, r.lb) for job, r in rows), done=done, whole=whole,
        )  # fmt: skip


def _inoculant_shopping(jobs: Sequence[Job]) -> Iterator[ShoppingLine]:
    """Yield a line for each group of inoculant: the pounds of seed that it must treat."""
    groups: dict[str, list[tuple[Job, SeedLine]]] = {}
    for job in jobs:
        for row in job.seed:
            if row.inoculant:
                groups.setdefault(row.inoculant, []).append((job, row))
    for group, rows in groups.items():
        yield ShoppingLine(
            f"inoculant: {group}", "inoculant", "lb of seed",
            sum(r.lb for _, r in rows), sum(r.lb_low for _, r in rows),
            sum(r.lb_high for _, r in rows),
            stock=0.0, pack=None, price_usd=None, used_by=tuple(_use(job, r.lb) for job, r in rows), own_note=PACKET,
        )  # fmt: skip


def _fertilizer_shopping(
    jobs: Sequence[Job], grades: Sequence[Grade], plan: Plan, prop: Property,
    account: Account,
) -> Iterator[ShoppingLine]:  # fmt: skip
    names = {product.grade: product.name for product in prop.product}
    for grade in grades:
        rows = [
            (job, row) for job in jobs for row in job.fertilizer if row.grade == grade.grade
        ]
        _, done = _whole(account, "fertilizer", grade.grade, 0.0)
        if not rows and done <= 0:
            continue
        yield ShoppingLine(
            grade.grade, "fertilizer", "lb",
            sum(r.lb for _, r in rows), sum(r.lb_low for _, r in rows),
            sum(r.lb_high for _, r in rows),
            stock=_on_hand(account, grade.grade), pack=grade.bag_lb, price_usd=grade.price,
            used_by=tuple(_use(job, r.lb) for job, r in rows),
            name=names.get(grade.grade), packs_planned=plan.bags.get(grade.grade, 0),
            done=done,
        )  # fmt: skip


def _lime_shopping(
    jobs: Sequence[Job], prop: Property, account: Account
) -> Iterator[ShoppingLine]:
    limed = [(job, job.lime_line) for job in jobs if job.lime_line]
    product = lime_product(prop)
    done = [one for some in account.done.values() for one in some if one.what == LIME]
    if not limed and not done:
        return
    # lime nobody has named comes by the ton; a product neither bulk nor bagged, loose
    pack = SHORT_TON_LB if product is None else pack_lb(product)
    left = sum(lime.ton for _, lime in limed) * SHORT_TON_LB
    yield ShoppingLine(
        product.grade if product else "lime (no product listed)", LIME, "lb", left,
        sum(lime.ton_low for _, lime in limed) * SHORT_TON_LB,
        sum(lime.ton_high for _, lime in limed) * SHORT_TON_LB,
        stock=_on_hand(account, product.grade) if product else 0.0,
        pack=pack,
        price_usd=product.price if product else None,
        used_by=tuple(_use(job, lime.ton * SHORT_TON_LB) for job, lime in limed), name=product.name if product else None,
        done=sum(one.amount for one in done),
        whole=left + sum((one.needed or 0.0) - (one.left or 0.0) for one in done),
    )  # fmt: skip


def _spray_shopping(
    jobs: Sequence[Job], prop: Property, account: Account
) -> Iterator[ShoppingLine]:
    for spray in prop.spray:
        rows = [(j, r) for j in jobs for r in j.spray if r.tank.name == spray.name]
        if not rows:
            continue
        unit = rows[0][1].tank.unit
        pounds = unit == "lb"
        yield ShoppingLine(
            spray.name, "spray", unit,
            sum(r.left for _, r in rows),
            sum(r.left * j.spread[0] for j, r in rows),
            sum(r.left * j.spread[1] for j, r in rows),
            stock=_on_hand(account, spray.name), pack=spray.pack_lb if pounds else spray.pack_fl_oz, price_usd=spray.price,
            used_by=tuple(_use(j, r.left) for j, r in rows), tank_loads=sum(r.tank.loads for _, r in rows),
            done=sum(r.done for _, r in rows), whole=sum(r.tank.product for _, r in rows),
        )  # fmt: skip


def share_costs(jobs: Sequence[Job], shopping: Sequence[ShoppingLine]) -> None:
    """Give each area its share of what is bought, by amount."""
    totals = dict.fromkeys((job.key for job in jobs), 0.0)
    for row in shopping:
        used = sum(share.amount for share in row.used_by)
        if row.cost_usd is None or used <= 0:
            continue
        for share in row.used_by:
            totals[share.key] += row.cost_usd * share.amount / used
    for job in jobs:
        cost = totals[job.key]
        if cost > 0 and job.acres > 0:
            job.cost = cost
