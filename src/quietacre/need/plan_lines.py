"""The fertilizer plan in plain words: what was chosen, what is left short, what has no price."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.figures import figure
from quietacre.model import Note
from quietacre.words import box_and_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.need.fertilizer import Plan
    from quietacre.need.records import ListedItem, Unmet
    from quietacre.settings import Buying

#: A doubt that moves acres, bags or dollars by more than this is a warning.
DOUBT_PCT = 5.0


def plan_lines(plan: Plan) -> list[str]:
    """Return the plan and its runners-up in plain words."""
    if not plan.pounds:
        return []

    def line(one: Plan) -> str:
        bags = ", ".join(f"{count} of {grade}" for grade, count in one.bags.items())
        return f"{bags or 'nothing to buy, the shed holds it'}{_cost(one)} ({one.proof})"

    out = [f"Chosen: {line(plan)}."]
    for number, other in enumerate(plan.runners_up, 1):
        known = not plan.unpriced and not other.unpriced and other.cost > 0
        more = f", ${other.cost - plan.cost:,.2f} more" if known else ""
        out.append(f"Runner-up {number}: {line(other)}{more}.")
    if not plan.runners_up:
        out.append(
            "No runner-up: no plan was found that does without one of these products and meets "
            "the needs as well."
        )
    return out


def _cost(plan: Plan) -> str:
    """Return what the priced bags cost, and which bags that leaves out."""
    lacks = ", ".join(plan.unpriced)
    if plan.cost <= 0:
        return f", no price given for {lacks}" if lacks else ""
    return f": ${plan.cost:,.2f}" + (
        f" without {lacks}, of no known price" if lacks else ""
    )


def short_lines(left_short: Sequence[tuple[str, str, float]], buying: Buying) -> list[str]:
    """Return what short_pct leaves out, by nutrient. [lb]

    Parameters
    ----------
    left_short : name of the ground, nutrient and pounds left out by choice.
    """
    if not left_short:
        return []
    totals: dict[str, float] = {}
    for _, nutrient, pounds in left_short:
        totals[nutrient] = totals.get(nutrient, 0.0) + pounds
    places = dict.fromkeys(name for name, _, _ in left_short)
    return [
        f"left short by up to the {buying.short_pct:g} % of your choice: "
        + ", ".join(
            f"{figure(lb, 'lb', 0)} {nutrient.upper()}" for nutrient, lb in totals.items()
        )
        + f" on {', '.join(places)}"
    ]


def left_out_lines(left_out: Sequence[tuple[str, float]]) -> list[str]:
    """Return the nitrogen left out ahead of legumes, by name of the ground. [lb]"""
    left = [(name, pounds) for name, pounds in left_out if pounds > 0]
    if not left:
        return []
    return [
        f"{figure(sum(lb for _, lb in left), 'lb', 0)} N left out ahead of mixes with many legumes on "
        f"{', '.join(name for name, _ in left)}: “Look into” says how to feed the grain"
    ]


def unmet_lines(unmet: Sequence[tuple[str, Unmet]]) -> list[str]:
    """Return what cannot be met, ground by ground, in lines, then each reason once."""
    return [
        *(
            f"{name}: {figure(row.lb, 'lb', 0)} {row.nutrient.upper()} cannot be met ({row.when})"
            for name, row in unmet
        ),
        *dict.fromkeys(row.why for _, row in unmet),
    ]


def price_notes(shopping: Sequence[ListedItem], plan: Plan) -> list[Note]:
    """Return what to say of lines of the shopping list that have no price."""
    lacking = [row.item for row in shopping if row.not_priced]
    if not lacking:
        return []
    some = any(row.cost for row in shopping)
    more = (
        ("the cost is of the other lines only" if some else "no cost is said")
        + "; say it in "
        + box_and_line("product", "price", "price")
        + ", of seed in "
        + box_and_line("seed", "price_lb", "price_lb")
    )
    if plan.assumed and plan.pounds:
        more += f". Of fertilizers, {plan.proof}"
    head = f"no price is given for {', '.join(lacking)}"
    return [Note("no-price", head, "warning" if some else "info", more=f"{more}.")]
