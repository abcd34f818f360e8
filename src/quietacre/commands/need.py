"""``quietacre need``: quick amounts for acres, without a property folder."""

from __future__ import annotations

import math
from typing import Any

import click

from quietacre.commands._edge import emit, fail_cleanly
from quietacre.errors import NeedProblem

ACRES = click.option(
    "--acres", type=click.FloatRange(min=0, min_open=True), required=True, help="Area."
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


def _show(result: dict[str, Any], lines: list[str], *, as_json: bool) -> None:
    if as_json:
        emit(result)
    else:
        click.echo("\n".join(lines))


@click.group(name="need")
def command() -> None:
    """Pounds, bags and tank loads for acres."""


@command.command()
@ACRES
@click.option("--crop", required=True, help="A crop of the table, such as “oats”.")
@click.option("--method", type=click.Choice(["broadcast", "drill"]), default="broadcast")
@click.option(
    "--rate-lb-ac",
    type=click.FloatRange(min=0, min_open=True),
    help="Your own rate instead of the table's.",
)
@click.option("--basis", type=click.Choice(["bulk", "pls"]), help="What that rate counts.")
@click.option(
    "--share", type=click.FloatRange(0, 1, min_open=True), help="Of the full rate."
)
@click.option("--purity", type=click.FloatRange(0, 1), help="From the tag, 0.98 for 98 %.")
@click.option("--germination", type=click.FloatRange(0, 1))
@click.option("--hard", type=click.FloatRange(0, 1), default=0.0)
@JSON
@fail_cleanly
def seed(
    acres: float, crop: str, method: str, rate_lb_ac: float | None, basis: str | None,
    share: float | None, purity: float | None, germination: float | None, hard: float,
    *, as_json: bool,
) -> None:  # fmt: skip
    """Pounds of one seed out of the bag."""
    import difflib

    from quietacre.need.seed import seed_needs
    from quietacre.need.tables import crops
    from quietacre.settings import Mix, Seed

    if crop not in crops() and rate_lb_ac is None:
        near = difflib.get_close_matches(crop, crops(), n=1)
        raise NeedProblem(
            f"“{crop}” is not in the crop table"
            + (f"; nearest is “{near[0]}”" if near else ""),
            fix="name a crop of the table, or give --rate-lb-ac",
        )
    if share is None and rate_lb_ac is None:
        share = 1.0
    entry = Seed(crop, share=share if rate_lb_ac is None else None, rate_lb_ac=rate_lb_ac,
                 basis=basis or ("bulk" if rate_lb_ac else None),  # type: ignore[arg-type]
                 purity=purity, germination=germination, hard=hard)  # fmt: skip
    mix = Mix("one crop", (entry,), method)  # type: ignore[arg-type]
    rows, said = seed_needs(mix, acres, acres, acres)
    row = rows[0]
    lines = [
        f"{row['lb']:.1f} lb of {crop} on {acres:g} ac ({row['bulk_lb_ac']:.2f} lb/ac, {method})",
        f"rate {row['rate_lb_ac']:.2f} lb/ac {row['basis']}; {100 * row['pls_frac']:.1f} % live; "
        f"source: {row['source']}"
        + (" (this rate from memory)" if row["from_memory"] else ""),
        *(text for _, text, _ in said),
    ]
    _show(
        {"acres": acres, **row, "notes": [text for _, text, _ in said]},
        lines,
        as_json=as_json,
    )


@command.command()
@ACRES
@click.option(
    "--n", "nitrogen", type=click.FloatRange(min=0), default=0.0, help="lb/ac of N."
)
@click.option("--p2o5", type=click.FloatRange(min=0), default=0.0, help="lb/ac of P₂O₅.")
@click.option("--k2o", type=click.FloatRange(min=0), default=0.0, help="lb/ac of K₂O.")
@click.option(
    "--product",
    "products",
    multiple=True,
    required=True,
    help="grade:bag_lb:price, such as 13-13-13:50:17.50; may be repeated.",
)
@JSON
@fail_cleanly
def fertilizer(
    acres: float, nitrogen: float, p2o5: float, k2o: float, products: tuple[str, ...],
    *, as_json: bool,
) -> None:  # fmt: skip
    """Whole bags that meet a soil test's needs at least cost."""
    from quietacre.need.fertilizer import Grade, Plot, parse_grade, plan_fertilizer
    from quietacre.settings import Buying

    grades = []
    for text in products:
        grade, _, rest = text.partition(":")
        bag, _, price = rest.partition(":")
        try:
            bag_lb, cost = float(bag or 50), float(price) if price else None
        except ValueError as problem:
            raise NeedProblem(
                f"“{text}” is not a product", fix="write it as 13-13-13:50:17.50"
            ) from problem
        n, p, k = parse_grade(grade)
        grades.append(Grade(grade, n, p, k, bag_lb, cost))
    asked = {"n": nitrogen, "p2o5": p2o5, "k2o": k2o}
    plan = plan_fertilizer([Plot("plot", acres, asked)], grades, Buying())
    rows = [
        {
            "grade": grade,
            "lb": pounds,
            "lb_ac": pounds / acres,
            "bags": plan.bags.get(grade, 0),
        }
        for (_, grade), pounds in plan.pounds.items()
    ]
    short = {nutrient: pounds for (_, nutrient), pounds in plan.short_lb.items()}
    lines = [f"{r['lb']:.1f} lb of {r['grade']} ({r['lb_ac']:.0f} lb/ac): {r['bags']} bags"
             for r in rows]  # fmt: skip
    lines += [f"short of {pounds:.0f} lb {nutrient.upper()}: list another grade"
              for nutrient, pounds in short.items()]  # fmt: skip
    if plan.cost:
        lines.append(f"cost: ${plan.cost:,.2f}")
    result = {"acres": acres, "products": rows, "short_lb": short, "cost": plan.cost,
              "status": plan.status, "gap": plan.gap}  # fmt: skip
    _show(result, lines, as_json=as_json)


@command.command()
@ACRES
@click.option("--rate-fl-oz-ac", type=click.FloatRange(min=0, min_open=True))
@click.option("--rate-lb-ac", type=click.FloatRange(min=0, min_open=True))
@click.option("--rate-pct-volume", type=click.FloatRange(0, 100, min_open=True))
@click.option(
    "--spray-gal-ac",
    type=click.FloatRange(min=0, min_open=True),
    default=15.0,
    show_default=True,
)
@click.option(
    "--tank-gal",
    type=click.FloatRange(min=0, min_open=True),
    default=25.0,
    show_default=True,
)
@JSON
@fail_cleanly
def spray(
    acres: float, rate_fl_oz_ac: float | None, rate_lb_ac: float | None,
    rate_pct_volume: float | None, spray_gal_ac: float, tank_gal: float, *, as_json: bool,
) -> None:  # fmt: skip
    """Gallons, product and tank loads from the rate on your own label."""
    from quietacre.need.spray import tank_plan
    from quietacre.settings import Spray

    entry = Spray(
        "the product", "spot spray", rate_fl_oz_ac=rate_fl_oz_ac, rate_lb_ac=rate_lb_ac,
        rate_pct_volume=rate_pct_volume,
    )  # fmt: skip
    row = tank_plan(entry, acres, tank_gal, spray_gal_ac)
    lines = [
        f"{row['gal']:.1f} gal with {row['product']:.1f} {row['unit']} of product",
        f"{row['loads_full']} full tanks of {tank_gal:g} gal ({row['product_per_load']:.2f} "
        f"{row['unit']} each), then {row['last_load_gal']:.1f} gal "
        f"({row['product_last_load']:.2f} {row['unit']})",
        *(f"caution: {text}" for text in row["cautions"]),
    ]
    _show({"acres": acres, **row}, lines, as_json=as_json)


@command.command()
@click.option("--rate-lb-ac", type=click.FloatRange(min=0, min_open=True), required=True)
@click.option(
    "--swath-ft",
    type=click.FloatRange(min=0, min_open=True),
    required=True,
    help="Width that overlaps evenly, not the throw.",
)
@click.option("--bag-lb", type=click.FloatRange(min=0, min_open=True), default=50.0)
@JSON
@fail_cleanly
def spreader(rate_lb_ac: float, swath_ft: float, bag_lb: float, *, as_json: bool) -> None:
    """Check a spreader: pounds on 1,000 sq ft, and how far a bag goes."""
    from quietacre.units import ACRE_FT2

    per_thousand = rate_lb_ac * 1000 / ACRE_FT2
    distance = bag_lb * ACRE_FT2 / (rate_lb_ac * swath_ft)
    if not math.isfinite(distance):
        raise NeedProblem("the bag never ends", fix="check the rate and the swath")
    result = {
        "lb_per_1000_ft2": per_thousand,
        "course_ft_for_1000_ft2": 1000 / swath_ft,
        "ft_per_bag": distance,
    }
    lines = [
        f"{per_thousand:.2f} lb on 1,000 sq ft: a course of {1000 / swath_ft:.1f} ft at "
        f"{swath_ft:g} ft",
        f"a {bag_lb:g} lb bag goes {distance:,.1f} ft",
    ]
    _show(result, lines, as_json=as_json)
