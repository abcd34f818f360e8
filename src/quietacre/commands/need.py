"""``quietacre need``: quick amounts for acres, without a property folder."""

from __future__ import annotations

import click

from quietacre.as_json import as_json as json_of
from quietacre.commands import (
    _need_fertilizer,
    _need_ground,
    _need_machine,
    _need_seed,
)
from quietacre.commands._edge import fail_cleanly
from quietacre.commands._need_common import ACRES, JSON, show
from quietacre.commands._setting_option import setting_option
from quietacre.figures import AS_IT_IS, figure
from quietacre.settings import Equipment, Spray


@click.group(name="need")
def command() -> None:
    """Pounds, bags and tank loads for acres."""


@command.command()
@ACRES
@setting_option(Spray, "rate_fl_oz_ac")
@setting_option(Spray, "rate_lb_ac")
@setting_option(Spray, "rate_pct_volume")
@click.option(
    "--max-rate",
    type=click.FloatRange(min=0, min_open=True),
    help="The label's maximum, in the unit of the rate.",
)
@setting_option(Equipment, "spray_gal_ac")
@setting_option(Equipment, "tank_gal")
@JSON
@fail_cleanly
def spray(
    acres: float, rate_fl_oz_ac: float | None, rate_lb_ac: float | None,
    rate_pct_volume: float | None, max_rate: float | None, spray_gal_ac: float,
    tank_gal: float, *, as_json: bool,
) -> None:  # fmt: skip
    """Gallons, product and tank loads from the rate on your own label."""
    from quietacre.need.spray import over_label, tank_plan

    entry = Spray(
        "the product", "spot spray", rate_fl_oz_ac=rate_fl_oz_ac, rate_lb_ac=rate_lb_ac,
        rate_pct_volume=rate_pct_volume, max_rate_fl_oz_ac=max_rate,
        max_rate_lb_ac=max_rate, max_rate_pct_volume=max_rate,
    )  # fmt: skip
    warning = over_label(entry)
    tank = tank_plan(entry, acres, tank_gal, spray_gal_ac)
    lines = [
        f"{figure(tank.gal, 'gal', 1)} with {figure(tank.product, tank.unit, 1)} of product",
        f"{tank.loads_full} full tanks of {figure(tank_gal, 'gal', AS_IT_IS)} "
        f"({figure(tank.product_per_load, tank.unit, 2)} each), then "
        f"{figure(tank.last_load_gal, 'gal', 1)} ({figure(tank.product_last_load, tank.unit, 2)})",
        *([f"warning: {warning}"] if warning else []),
        *(f"caution: {text}" for text in tank.cautions),
    ]
    shown = {"acres": acres, **json_of(tank), "warning": warning}
    show(shown, lines, as_json=as_json)


for _sub in (
    *_need_seed.COMMANDS,
    *_need_fertilizer.COMMANDS,
    *_need_ground.COMMANDS,
    *_need_machine.COMMANDS,
):
    command.add_command(_sub)
