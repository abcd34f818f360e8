"""``quietacre need``: quick amounts for acres, without a property folder."""

from __future__ import annotations

import click

from quietacre.commands import _need_fertilizer, _need_ground, _need_machine
from quietacre.commands._edge import fail_cleanly
from quietacre.commands._need_common import ACRES, JSON, show
from quietacre.errors import NeedProblem
from quietacre.words import option_help


def _in_bushels(crop: str, pounds: float) -> list[str]:
    """Return pounds of a seed sold by the bushel in bushels."""
    from quietacre.need.tables import bushels_lb

    if crop not in bushels_lb():
        return []
    lb, memory = bushels_lb()[crop]
    return [
        f"{pounds / lb:.1f} bushels of {lb:g} lb" + (" (from memory)" if memory else "")
    ]


def _known_state(state: str | None) -> str | None:
    """Return a state's two letters as the tables write them."""
    from quietacre.windows import states

    if state is None:
        return None
    if state.upper() not in states():
        raise NeedProblem(
            f"no figure was read for a state “{state}”",
            fix=f"give two letters, one of {', '.join(sorted(states()))}; or leave --state out",
        )
    return state.upper()


@click.group(name="need")
def command() -> None:
    """Pounds, bags and tank loads for acres."""


@command.command()
@ACRES
@click.option("--crop", required=True, help="A crop of the table, such as “oats”.")
@click.option(
    "--method",
    type=click.Choice(["broadcast", "drill"]),
    default="broadcast",
    help=option_help("mix", "method"),
)
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
@click.option(
    "--germination", type=click.FloatRange(0, 1), help=option_help("seed", "germination")
)
@click.option(
    "--hard", type=click.FloatRange(0, 1), default=0.0, help=option_help("seed", "hard")
)
@click.option(
    "--region",
    type=click.Choice(["upper South", "coastal plain", "Midwest"], case_sensitive=False),
    help="Whose planting window holds; every one is shown without it.",
)
@click.option(
    "--state", help="Two letters, such as AL: whose printed figures are taken first."
)
@JSON
@fail_cleanly
def seed(
    acres: float, crop: str, method: str, rate_lb_ac: float | None, basis: str | None,
    share: float | None, purity: float | None, germination: float | None, hard: float,
    region: str | None, state: str | None,
    *, as_json: bool,
) -> None:  # fmt: skip
    """Pounds of one seed out of the bag."""
    from quietacre.crop_names import hint, table_name
    from quietacre.need.seed import seed_needs
    from quietacre.need.tables import crop_lines, crops
    from quietacre.settings import Mix, Seed

    table = crops(_known_state(state), region)
    asked, crop = crop, table_name(crop) or crop
    if crop not in table and rate_lb_ac is None:
        raise NeedProblem(
            f"“{crop}” is not in the crop table{hint(crop)}",
            fix="name one that quietacre crops lists, or give --rate-lb-ac",
        )
    if share is None and rate_lb_ac is None:
        share = 1.0
    tagged = purity is not None or germination is not None
    if rate_lb_ac is not None and tagged and basis is None:
        raise NeedProblem(
            "with a tag your rate may count bagged or live seed",
            fix="say --basis bulk or --basis pls",
        )
    if basis == "pls" and (purity is None or germination is None):
        raise NeedProblem(
            "live seed is counted from the tag", fix="give --purity and --germination"
        )
    entry = Seed(crop, share=share if rate_lb_ac is None else None, rate_lb_ac=rate_lb_ac,
                 basis=basis or ("bulk" if rate_lb_ac else None),  # type: ignore[arg-type]
                 purity=purity, germination=germination, hard=hard)  # fmt: skip
    mix = Mix("one crop", (entry,), method)  # type: ignore[arg-type]
    rows, said = seed_needs(mix, acres, acres, acres, table)
    row = rows[0]
    lines = [
        *([] if asked == crop else [f"“{asked}” is read as “{crop}”"]),
        f"{row['lb']:.1f} lb of {crop} on {acres:g} ac ({row['bulk_lb_ac']:.2f} lb/ac, {method})",
        f"rate {row['rate_lb_ac']:.2f} lb/ac {row['basis']}; "
        + (
            f"{100 * row['pls_frac']:.1f} % live; "
            if purity or germination
            else "no tag given, all of it counted as live; "
        )
        + f"source: {row['source']}"
        + (" (this rate from memory)" if row["from_memory"] else ""),
        *_in_bushels(crop, row["lb"]),
        *(crop_lines(table[crop]) if crop in table else ()),
        *(text for _, text, _ in said),
    ]
    show(
        {"acres": acres, **row, "notes": [text for _, text, _ in said]},
        lines,
        as_json=as_json,
    )


@command.command()
@ACRES
@click.option(
    "--rate-fl-oz-ac",
    type=click.FloatRange(min=0, min_open=True),
    help=option_help("spray", "rate_fl_oz_ac"),
)
@click.option(
    "--rate-lb-ac",
    type=click.FloatRange(min=0, min_open=True),
    help=option_help("spray", "rate_lb_ac"),
)
@click.option(
    "--rate-pct-volume",
    type=click.FloatRange(0, 100, min_open=True),
    help=option_help("spray", "rate_pct_volume"),
)
@click.option(
    "--max-rate",
    type=click.FloatRange(min=0, min_open=True),
    help="The label's maximum, in the unit of the rate.",
)
@click.option(
    "--spray-gal-ac",
    type=click.FloatRange(min=0, min_open=True),
    default=15.0,
    show_default=True,
    help=option_help("equipment", "spray_gal_ac"),
)
@click.option(
    "--tank-gal",
    type=click.FloatRange(min=0, min_open=True),
    default=25.0,
    show_default=True,
    help=option_help("equipment", "tank_gal"),
)
@JSON
@fail_cleanly
def spray(
    acres: float, rate_fl_oz_ac: float | None, rate_lb_ac: float | None,
    rate_pct_volume: float | None, max_rate: float | None, spray_gal_ac: float,
    tank_gal: float, *, as_json: bool,
) -> None:  # fmt: skip
    """Gallons, product and tank loads from the rate on your own label."""
    from quietacre.need.spray import over_label, tank_plan
    from quietacre.settings import Spray

    entry = Spray(
        "the product", "spot spray", rate_fl_oz_ac=rate_fl_oz_ac, rate_lb_ac=rate_lb_ac,
        rate_pct_volume=rate_pct_volume, max_rate_fl_oz_ac=max_rate,
        max_rate_lb_ac=max_rate, max_rate_pct_volume=max_rate,
    )  # fmt: skip
    warning = over_label(entry)
    row = tank_plan(entry, acres, tank_gal, spray_gal_ac)
    lines = [
        f"{row['gal']:.1f} gal with {row['product']:.1f} {row['unit']} of product",
        f"{row['loads_full']} full tanks of {tank_gal:g} gal ({row['product_per_load']:.2f} "
        f"{row['unit']} each), then {row['last_load_gal']:.1f} gal "
        f"({row['product_last_load']:.2f} {row['unit']})",
        *([f"warning: {warning}"] if warning else []),
        *(f"caution: {text}" for text in row["cautions"]),
    ]
    show({"acres": acres, **row, "warning": warning}, lines, as_json=as_json)


for _sub in (*_need_fertilizer.COMMANDS, *_need_ground.COMMANDS, *_need_machine.COMMANDS):
    command.add_command(_sub)
