"""What a property buys and spreads, by every word it may go by, and how it is sold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.crop_names import table_name
from quietacre.logbook import log_unit
from quietacre.model import folded
from quietacre.record.words import LIME
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from collections.abc import Mapping

    from quietacre.settings import Product, Property, Seed

#: A bag of fertilizer whose weight nobody wrote. Common practice, no source.
BAG_LB = 50.0


@dataclass(frozen=True)
class Good:
    """One thing that is bought: what a pack holds and costs; ``unit`` is "lb" or "fl oz".

    ``pack`` is None when it comes in no bags that anybody told of. ``kind`` is "seed",
    "fertilizer", "lime" or "spray".
    """

    item: str
    kind: str
    unit: str
    pack: float | None
    price_usd: float | None  # of a pack; of a pound of seed without bags


def pack_lb(product: Product) -> float | None:
    """Return the weight of one pack of a product; lime that is in no bags has none. [lb]"""
    if product.bulk:
        return SHORT_TON_LB
    return product.bag_lb or (None if product.grade.startswith(LIME) else BAG_LB)


def pack_price(seed: Seed) -> float | None:
    """Return what a bag of seed costs, or a pound where it comes loose. [$]"""
    return None if seed.price_lb is None else seed.price_lb * (seed.bag_lb or 1.0)


@dataclass(frozen=True)
class Goods:
    """Everything a property buys, by name."""

    known: Mapping[str, Good]
    words: Mapping[str, str]
    lime: str  # the lime that is meant where none is named; blank without one

    def item(self, typed: str) -> str:
        """Return the name of what a cell means, the cell itself when nothing has it."""
        good = self.words.get(folded(typed))
        if good is None and typed:
            crop = table_name(typed)
            good = self.words.get(folded(crop)) if crop else None
        if good is None and self.lime and LIME in folded(typed).split():
            good = self.lime
        return typed.strip() if good is None else good


def bag_lb_of(prop: Property, cells: Mapping[str, str]) -> float | None:
    """Return what a bag of a line weighs by the settings, None where it need not be written.

    That is where the line counts no bags, says what they weigh, or nobody knows.
    """
    unit = log_unit(cells.get("unit", ""))
    if cells.get("bag_lb") or unit is None or unit.counts != "bag":
        return None
    goods = goods_of(prop)
    good = goods.known.get(goods.item(cells.get("item", "")))
    return good.pack if good is not None and good.unit == "lb" else None


def goods_of(prop: Property) -> Goods:
    """Return what a property buys: its products, the seed of its mixes, its sprays."""
    known: dict[str, Good] = {}
    words: dict[str, str] = {}
    for product in prop.product:
        kind = "lime" if product.grade.startswith(LIME) else "fertilizer"
        good = Good(product.grade, kind, "lb", pack_lb(product), product.price)
        known.setdefault(product.grade, good)
        for word in (product.grade, product.name):
            if word:
                words.setdefault(folded(word), product.grade)
    for seed in (seed for mix in prop.mix for seed in mix.seed):
        crop = next(
            (name for name in known if folded(name) == folded(seed.crop)), seed.crop
        )
        if crop not in known or known[crop].pack is None:
            known[crop] = Good(crop, "seed", "lb", seed.bag_lb, pack_price(seed))
        words.setdefault(folded(crop), crop)
        table = table_name(crop)
        if table:
            words.setdefault(folded(table), crop)
    for spray in prop.spray:
        fluid = spray.rate_lb_ac is None
        pack = spray.pack_fl_oz if fluid else spray.pack_lb
        unit = "fl oz" if fluid else "lb"
        known.setdefault(spray.name, Good(spray.name, "spray", unit, pack, spray.price))
        words.setdefault(folded(spray.name), spray.name)
    limes = [product.grade for product in prop.product if product.grade.startswith(LIME)]
    return Goods(known, words, limes[0] if limes else "")
