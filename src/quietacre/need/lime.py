"""Tons of lime: as the laboratory wrote it, for the product in hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from quietacre.settings import Product, SoilTest


@dataclass(frozen=True)
class Lime:
    """Lime to spread: tons of product per acre, and how that came about."""

    ton_ac: float
    product: str | None
    basis: str
    text: str


def lime_rate(test: SoilTest, product: Product | None) -> Lime | None:
    """Return tons of product per acre, None when the test asks for none.

    The laboratory's figure is scaled by the quality it was written for over the
    product's (ECCE), and by the depth mixed over the depth it was written for.

    Notes
    -----
    Doubling the rate for half the quality: Mackowiak, Hay & Forage Grower, n.d.
    """
    asked = test.lime_ton_ac
    if asked is None and test.lime_lb_ac is not None:
        asked = test.lime_lb_ac / SHORT_TON_LB
    if not asked:
        return None
    basis_pct = test.lime_basis_ecce_pct or 100.0
    steps = [f"laboratory: {asked:g} ton/ac at ECCE {basis_pct:g} %"]
    rate = asked
    if test.lime_basis_depth_in and test.lime_depth_in:
        rate *= test.lime_depth_in / test.lime_basis_depth_in
        steps.append(f"mixed {test.lime_depth_in:g} in. of {test.lime_basis_depth_in:g}")
    quality = product.ecce_pct if product else None
    if quality:
        rate *= basis_pct / quality
        steps.append(f"product at ECCE {quality:g} %")
    elif product is not None:
        steps.append("product's ECCE not given: taken as the laboratory's basis")
    return Lime(
        rate, product.grade if product else None, f"ECCE {basis_pct:g} %", "; ".join(steps)
    )
