"""The products to be had, as grades with what is on hand of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.need.grade import Grade, parse_grade
from quietacre.record.goods import BAG_LB, pack_lb

if TYPE_CHECKING:
    from collections.abc import Mapping

    from quietacre.record.on_hand import Held
    from quietacre.settings import Product

#: What lacks of whole packs by less than this share of one is not bought: it is spread so
#: much thinner. Common practice, no source.
CRUMB_PACK = 0.05


def grade_of(product: Product, shed: Mapping[str, Held]) -> Grade:
    """Return a product of the property file as a grade, with what is on hand of it."""
    n, p2o5, k2o, s = parse_grade(product.grade)
    bag_lb = pack_lb(product) or BAG_LB
    left = enough_of(product.grade, shed, bag_lb)
    return Grade(
        product.grade, n, p2o5, k2o, s, bag_lb, product.price, left, product.max_bags
    )


def enough_of(item: str, shed: Mapping[str, Held], pack: float | None) -> float:
    """Return how much may be taken of what is on hand: crumbs more than there is.

    Where nothing is on hand there is nothing to stretch.
    """
    held = shed.get(item)
    if held is None or held.on_hand <= 0:
        return 0.0
    return held.on_hand + CRUMB_PACK * (pack or 0.0)
