"""What is in the shed, and the products to be had, as grades with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.need.grade import Grade, parse_grade
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from quietacre.settings import Product, Property


def grade_of(product: Product, prop: Property) -> Grade:
    """Return a product of the property file as a grade, with what the shed holds of it."""
    n, p2o5, k2o, s = parse_grade(product.grade)
    bag_lb = SHORT_TON_LB if product.bulk else (product.bag_lb or 50.0)
    left = in_stock(prop, product.grade, bag_lb)
    return Grade(
        product.grade, n, p2o5, k2o, s, bag_lb, product.price, left, product.max_bags
    )


def in_stock(prop: Property, item: str, pack_lb: float | None) -> float:
    """Return pounds of an item in the shed. [lb]"""
    return sum(
        (s.amount_lb or 0.0) + (s.bags or 0.0) * (pack_lb or 0.0)
        for s in prop.stock
        if s.item == item
    )
