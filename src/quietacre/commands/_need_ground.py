"""``quietacre need lime|removal|exclosure|forage``: lime, what leaves, what grows, deer."""

from __future__ import annotations

import dataclasses

import click

from quietacre.as_json import as_json as json_of
from quietacre.commands._edge import fail_cleanly
from quietacre.commands._need_common import ABOVE_ZERO, ACRES, JSON, show
from quietacre.commands._setting_option import setting_option
from quietacre.errors import NeedProblem
from quietacre.figures import AS_IT_IS, figure
from quietacre.settings import Product, SoilTest


def _passing(texts: tuple[str, ...]) -> tuple[tuple[int, float], ...]:
    out = []
    for text in texts:
        mesh, _, percent = text.partition(":")
        try:
            pair = (int(mesh), float(percent))
        except ValueError as problem:
            raise NeedProblem(
                f"“{text}” is not a sieve", fix="write it as 10:90"
            ) from problem
        if not 0.0 <= pair[1] <= 100.0:  # noqa: PLR2004 - percent
            raise NeedProblem(f"{text}: not a percent", fix="give 0 to 100")
        out.append(pair)
    return tuple(out)


@click.command()
@ACRES
@click.option("--lab-ton-ac", type=ABOVE_ZERO, help="Lime as the laboratory wrote it.")
@click.option(
    "--lab-lb-ac",
    type=ABOVE_ZERO,
    help="The same in pounds (of ENP or ENM, on that basis).",
)
@setting_option(SoilTest, "lime_basis", "--basis", help="What the laboratory counts in.")
@click.option("--basis-pct", type=ABOVE_ZERO, help="The percent its lime is taken to have.")
@click.option("--basis-depth-in", type=ABOVE_ZERO, help="Depth it was written for.")
@click.option("--depth-in", type=ABOVE_ZERO, help="Depth you mix to.")
@click.option("--state", help="Two letters: its fineness weights and assumptions.")
@setting_option(Product, "ecce_pct")
@setting_option(Product, "rnv_pct")
@setting_option(Product, "cce_pct")
@setting_option(Product, "enm_lb_ton")
@setting_option(Product, "enp_lb_ton")
@click.option("--passing", multiple=True, help="mesh:percent, such as 10:90; repeat it.")
@click.option("--buffer", help="“Mehlich”, with --ph, --buffer-ph and --target-ph.")
@setting_option(SoilTest, "ph")
@setting_option(SoilTest, "buffer_ph")
@setting_option(SoilTest, "target_ph")
@JSON
@fail_cleanly
def lime(
    acres: float, lab_ton_ac: float | None, lab_lb_ac: float | None, basis: str | None,
    basis_pct: float | None, basis_depth_in: float | None, depth_in: float | None,
    state: str | None, ecce_pct: float | None, rnv_pct: float | None,
    cce_pct: float | None, enp_lb_ton: float | None, enm_lb_ton: float | None, passing: tuple[str, ...],
    buffer: str | None, ph: float | None, buffer_ph: float | None,
    target_ph: float | None, *, as_json: bool,
) -> None:  # fmt: skip
    """Tons of the lime in hand for a laboratory's figure, or a sourced buffer pH."""
    from quietacre.need.lime import COUNTED, lime_rate
    from quietacre.need.lime_words import months_text, parts_text
    from quietacre.settings import Product, SoilTest

    if sum(x is not None for x in (lab_ton_ac, lab_lb_ac, buffer)) != 1:
        raise NeedProblem(
            "one figure of the laboratory is needed",
            fix="give one of --lab-ton-ac, --lab-lb-ac and --buffer",
        )
    if basis in COUNTED and lab_lb_ac is None:
        raise NeedProblem(f"{basis} is written in pounds", fix="give --lab-lb-ac")
    if basis_pct is not None and basis is None:
        raise NeedProblem("a percent of what?", fix="give --basis with --basis-pct")
    test = SoilTest(
        "the soil test", ph=ph, lime_ton_ac=lab_ton_ac, lime_lb_ac=lab_lb_ac,
        lime_basis=basis, lime_basis_pct=basis_pct,  # type: ignore[arg-type]
        lime_basis_depth_in=basis_depth_in, lime_depth_in=depth_in, buffer=buffer,
        buffer_ph=buffer_ph, target_ph=target_ph,
    )  # fmt: skip
    product = Product(
        "lime", ecce_pct=ecce_pct, rnv_pct=rnv_pct, cce_pct=cce_pct, enp_lb_ton=enp_lb_ton,
        enm_lb_ton=enm_lb_ton,
        passing_pct=_passing(passing),
    )  # fmt: skip
    need = lime_rate(test, product, state.upper() if state else None)
    if need is None:
        show({"acres": acres, "ton": 0.0}, ["no lime is called for"], as_json=as_json)
        return
    lines = [
        f"{figure(need.ton_ac * acres, 'tons', 2)} on {figure(acres, 'ac', AS_IT_IS)} "
        f"({figure(need.ton_ac, 'ton/ac', 2)})",
        need.text,
        *(f"caution: {text}" for text in need.warnings),
        *(f"warning: {text}" for text in need.doubts),
        *([f"warning: {parts_text(need)}"] if len(need.parts_ton_ac) > 1 else []),
        months_text().rstrip("."),
    ]
    result = {"acres": acres, "ton": need.ton_ac * acres, **dataclasses.asdict(need)}
    show(result, lines, as_json=as_json)


@click.command()
@click.option("--deer", type=ABOVE_ZERO, required=True, help="How many come.")
@click.option("--intake-lb-day", type=ABOVE_ZERO, required=True,
              help="Dry matter a deer takes from plots a day.")  # fmt: skip
@click.option("--days", type=ABOVE_ZERO, required=True, help="For how many days.")
@click.option("--yield-lb-ac", type=ABOVE_ZERO, required=True,
              help="Dry matter grown in those days.")  # fmt: skip
@click.option("--utilisation", type=click.FloatRange(0, 1, min_open=True), required=True,
              help="Part that can be eaten, 0.5 for half.")  # fmt: skip
@click.option("--acres", type=click.FloatRange(min=0), default=0.0, help="Planted.")
@JSON
@fail_cleanly
def forage(
    deer: float, intake_lb_day: float, days: float, yield_lb_ac: float, utilisation: float,
    acres: float, *, as_json: bool,
) -> None:  # fmt: skip
    """What deer would eat against what plots give, and how many acres that takes."""
    from quietacre.need.forage import forage_balance, published_ranges, range_line

    balance = forage_balance(deer, intake_lb_day, days, yield_lb_ac, utilisation, acres)
    ranges = published_ranges()
    lines = [
        balance.text,
        f"{figure(balance.acres_needed, 'ac', 2)} needed; the ground carries "
        f"{figure(balance.deer_days_ac, 'deer-days an acre', 0)}",
        "printed elsewhere:",
        *(f"  {range_line(row)}" for row in ranges),
    ]
    show({**json_of(balance), "ranges": ranges}, lines, as_json=as_json)


@click.command()
@click.option("--what", help="What is hauled off; without it the table is listed.")
@click.option("--ton-ac", type=ABOVE_ZERO, help="Yield, for hay.")
@click.option("--bu-ac", type=ABOVE_ZERO, help="Yield, for grain.")
@click.option(
    "--acres", type=ABOVE_ZERO, default=1.0, show_default=True, help="Area hauled from."
)
@JSON
@fail_cleanly
def removal(
    what: str | None, ton_ac: float | None, bu_ac: float | None, acres: float,
    *, as_json: bool,
) -> None:  # fmt: skip
    """N, P₂O₅ and K₂O hauled off with hay or grain, and what would put them back."""
    from quietacre.need.removal import (
        need_from_removal,
        removal_lines,
        removals,
        removed_lb_ac,
    )

    if what is None:
        table = [{"what": r.what, "unit": r.unit, "lb_per_unit": r.lb_per_unit}
                 for r in removals().values()]  # fmt: skip
        show(
            {"table": table},
            [f"{row['what']} (by the {row['unit']})" for row in table],
            as_json=as_json,
        )
        return
    off = removed_lb_ac(what, ton_ac=ton_ac, bu_ac=bu_ac)
    need = need_from_removal(what, ton_ac=ton_ac, bu_ac=bu_ac)
    asked = ", ".join(f"{figure(need[k], 'lb/ac', 0)} {k.upper()}" for k in need)
    typed = " ".join(f"--{k} {need[k]:.0f}" for k in need)
    lines = [
        *removal_lines(what, off),
        f"to put it back: {asked}; on {figure(acres, 'ac', AS_IT_IS)} that is "
        + ", ".join(f"{figure(need[k] * acres, 'lb', 0)} {k.upper()}" for k in need)
        + f" (need fertilizer {typed} … picks the bags)",
    ]
    show(
        {"what": what, "acres": acres, "removed_lb_ac": off, "put_back_lb_ac": need},
        lines,
        as_json=as_json,
    )


@click.command()
@click.option("--wire-ft", type=ABOVE_ZERO, help="Wire of one round cage.")
@click.option("--roll-ft", type=ABOVE_ZERO, help="Wire on the roll.")
@click.option("--inside-g", multiple=True, type=click.FloatRange(min=0),
              help="Clipped inside a cage; repeat it.")  # fmt: skip
@click.option("--outside-g", multiple=True, type=click.FloatRange(min=0),
              help="Clipped beside it, in the same order.")  # fmt: skip
@click.option("--area-ft2", type=ABOVE_ZERO, help="Ground of each clipping.")
@click.option("--dry-frac", type=click.FloatRange(0, 1, min_open=True),
              help="Dry weight over the weights given; 1 when dried first.")  # fmt: skip
@JSON
@fail_cleanly
def exclosure(
    wire_ft: float | None, roll_ft: float | None, inside_g: tuple[float, ...],
    outside_g: tuple[float, ...], area_ft2: float | None, dry_frac: float | None,
    *, as_json: bool,
) -> None:  # fmt: skip
    """A cage's size, and what clippings in and beside it say of growth and browse."""
    from quietacre.need.exclosure import (
        HOW,
        browse,
        cage_ft2,
        cage_lines,
        cages_of_roll,
    )

    clipped = bool(inside_g or outside_g)
    if wire_ft is None and not clipped:
        raise NeedProblem(
            "nothing is asked",
            fix="give --wire-ft, or clippings with --inside-g and --outside-g",
        )
    if roll_ft is not None and wire_ft is None:
        raise NeedProblem("a roll makes cages of a length", fix="give --wire-ft")
    if clipped and (area_ft2 is None or dry_frac is None):
        raise NeedProblem(
            "clippings are of some ground, and dry or not",
            fix="give --area-ft2 and --dry-frac (1 when dried first)",
        )
    result: dict[str, object] = {}
    lines: list[str] = []
    if wire_ft is not None:
        result["cage_ft2"] = cage_ft2(wire_ft)
        if roll_ft is not None:
            result["cages"] = cages_of_roll(roll_ft, wire_ft)
        lines += cage_lines(wire_ft, roll_ft)
    if area_ft2 is not None and dry_frac is not None and clipped:
        eaten = browse(inside_g, outside_g, area_ft2, dry_frac)
        result |= dataclasses.asdict(eaten)
        lines += [*eaten.lines(), HOW]
        lines.append(
            f"for the forage balance: need forage --yield-lb-ac {eaten.grown_lb_ac:.0f} …"
        )
    show(result, lines, as_json=as_json)


COMMANDS = (lime, removal, exclosure, forage)
