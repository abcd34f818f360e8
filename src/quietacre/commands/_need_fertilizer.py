"""``quietacre need fertilizer``: whole bags for a soil test's needs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import fail_cleanly
from quietacre.commands._need_common import ACRES, JSON, show
from quietacre.commands._setting_option import setting_option
from quietacre.errors import NeedProblem
from quietacre.figures import figure
from quietacre.settings import Buying

if TYPE_CHECKING:
    from quietacre.as_json import JsonObject
    from quietacre.need.fertilizer import Plan
    from quietacre.need.grade import Grade

NOT_NEGATIVE = click.FloatRange(min=0)
BAG_LB = 50.0


def _product(text: str) -> Grade:
    """Return the product that “13-13-13:50:17.50” means."""
    from quietacre.need.grade import Grade, parse_grade

    grade, _, rest = text.partition(":")
    bag, _, price = rest.partition(":")
    try:
        bag_lb, cost = float(bag or BAG_LB), float(price) if price else None
        good = 0 < bag_lb < float("inf") and (cost is None or 0 <= cost < float("inf"))
    except ValueError:
        good = False
    if not good:
        raise NeedProblem(f"“{text}” is not a product", fix="write it as 13-13-13:50:17.50")
    return Grade(grade, *parse_grade(grade), bag_lb, cost)


def _surplus_and_short(
    plan: Plan, grades: list[Grade], asked_lb: dict[str, float], pct: float
) -> list[str]:
    """Return lines on what is spread over the need, and what is left short by choice."""
    from quietacre.need.fertilizer import LEAST_LB
    from quietacre.need.grade import NUTRIENTS

    lines = []
    unmet = {nutrient for _, nutrient in plan.short_lb}
    for k, nutrient in enumerate(NUTRIENTS):
        given = sum(
            g.fractions[k] * plan.pounds.get(("plot", g.grade), 0.0) for g in grades
        )
        over = given - asked_lb[nutrient]
        if over > LEAST_LB and (nutrient != "s" or asked_lb["s"]):
            lines.append(f"surplus: {figure(over, 'lb', 1)} {nutrient.upper()}")
        if over < -LEAST_LB and nutrient not in unmet:
            lines.append(
                f"left short by your choice of {pct:g} %: {figure(-over, 'lb', 1)} "
                f"{nutrient.upper()}"
            )
    return lines


def _cost_lines(plan: Plan, acres: float) -> list[str]:
    """Return the cost of the plan and its runners-up, and what has no price."""
    lines = []
    lacks = (
        f" without {', '.join(plan.unpriced)}, of no known price" if plan.unpriced else ""
    )
    if plan.cost:
        lines.append(
            f"cost: ${plan.cost:,.2f} ({figure(plan.cost / acres, '$ an acre')}){lacks}; "
            f"{plan.proof}"
        )
    elif plan.assumed:
        lines.append(f"no cost: {plan.proof}")
    for other in plan.runners_up:
        bags = ", ".join(f"{count} of {grade}" for grade, count in other.bags.items())
        left = f" without {', '.join(other.unpriced)}" if other.unpriced else ""
        lines.append(
            f"runner-up: {bags}" + (f", ${other.cost:,.2f}{left}" if other.cost else "")
        )
    return lines


@click.command()
@ACRES
@click.option("--n", "nitrogen", type=NOT_NEGATIVE, default=0.0, help="lb/ac of N.")
@click.option("--p2o5", type=NOT_NEGATIVE, default=0.0, help="lb/ac of P₂O₅.")
@click.option("--k2o", type=NOT_NEGATIVE, default=0.0, help="lb/ac of K₂O.")
@click.option("--s", "sulfur", type=NOT_NEGATIVE, default=0.0, help="lb/ac of S.")
@click.option(
    "--product",
    "products",
    multiple=True,
    required=True,
    help="grade:bag_lb:price, such as 13-13-13:50:17.50; may be repeated.",
)
@setting_option(Buying, "short_pct")
@JSON
@fail_cleanly
def fertilizer(
    acres: float, nitrogen: float, p2o5: float, k2o: float, sulfur: float,
    products: tuple[str, ...], short_pct: float,
    *, as_json: bool,
) -> None:  # fmt: skip
    """Whole bags that meet a soil test's needs at least cost."""
    from quietacre.need.fertilizer import Plot, plan_fertilizer, why_short
    from quietacre.settings import Buying

    grades = [_product(text) for text in products]
    asked = {"n": nitrogen, "p2o5": p2o5, "k2o": k2o, "s": sulfur}
    buying, plot = Buying(short_pct=short_pct), Plot("plot", acres, asked)
    plan = plan_fertilizer([plot], grades, buying, runners_up=2)
    rows: list[JsonObject] = [
        {"grade": grade, "lb": lb, "lb_ac": lb / acres, "bags": plan.bags.get(grade, 0)}
        for (_, grade), lb in plan.pounds.items()
    ]
    short = {nutrient: pounds for (_, nutrient), pounds in plan.short_lb.items()}
    why = {nutrient: why_short(plot, nutrient, grades, buying) for nutrient in short}
    asked_lb = {nutrient: rate * acres for nutrient, rate in asked.items()}
    lines = [
        *(
            f"{figure(pounds, 'lb', 1)} of {grade} ({figure(pounds / acres, 'lb/ac', 0)}): "
            f"{plan.bags.get(grade, 0)} bags"
            for (_, grade), pounds in plan.pounds.items()
        ),
        *(
            f"short of {figure(lb, 'lb', 0)} {k.upper()}: {why[k]}"
            for k, lb in short.items()
        ),
        *_surplus_and_short(plan, grades, asked_lb, short_pct),
        *_cost_lines(plan, acres),
    ]
    result = {"acres": acres, "products": rows, "short_lb": short, "why_short": why,
              "cost": plan.cost, "cost_ac": plan.cost / acres,
              "unpriced": list(plan.unpriced),
              "runners_up": [{"bags": dict(p.bags), "cost": p.cost} for p in plan.runners_up],
              "status": plan.status, "gap": plan.gap}  # fmt: skip
    show(result, lines, as_json=as_json)


COMMANDS = (fertilizer,)
