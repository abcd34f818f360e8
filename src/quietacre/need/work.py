"""Minutes of work: passes over the ground, loads filled, water hauled, a strip walked."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from quietacre.figures import AS_IT_IS, figure
from quietacre.in_parts import InParts
from quietacre.need.machine import capacity_ac_hr
from quietacre.need.records import Work
from quietacre.words import box_and_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.need.records import SeedLine
    from quietacre.settings import Equipment, Product

#: Being there while a truck spreads. Common practice, no source.
TRUCK_MINUTES = 30.0
#: More loads than this of one's own spreader, and a truck is named. Ours.
MANY_LOADS = 10


def machine_ac_hr(machine: str, gear: Equipment) -> float:
    """Return acres an hour of a machine of the property. [ac/h]"""
    width_ft, mph = {
        "mower": (gear.mower_width_ft - gear.mower_overlap_ft, gear.mower_mph),
        "disk": (gear.disk_width_ft, gear.disk_mph),
        "drag": (gear.drag_width_ft, gear.drag_mph),
        "drill": (gear.drill_width_ft, gear.drill_mph),
        "spreader": (gear.spreader_swath_ft, gear.spreader_mph),
        "sprayer": (gear.spray_swath_ft, gear.spray_mph),
    }[machine]
    return capacity_ac_hr(width_ft, mph, gear.field_efficiency)


def loads_of(pounds: float, load_lb: float) -> int:
    """Return loads that carry these pounds, a part load counted."""
    return max(math.ceil(pounds / load_lb - 1e-9), 0)


def spread_work(acres: float, pounds: Sequence[float], gear: Equipment) -> Work:
    """Return the work of spreading products one after another, a pass for each. [lb]"""
    loads = sum(loads_of(lb, gear.spreader_load_lb) for lb in pounds)
    return _over(acres, "spreader", len(pounds), loads, gear)


def sow_work(acres: float, rows: Sequence[SeedLine], gear: Equipment) -> Work:
    """Return the work of sowing: its passes, their loads, and covering what was broadcast."""
    drilled = rows[0].method == "drill"
    machine = "drill" if drilled else "spreader"
    load_lb = gear.drill_load_lb if drilled else gear.spreader_load_lb
    passes: dict[int, float] = {}
    for row in rows:
        passes[row.pass_] = passes.get(row.pass_, 0.0) + row.lb
    loads = sum(loads_of(lb, load_lb) for lb in passes.values())
    cover = 0 if drilled else len(passes)
    return _over(acres, machine, len(passes), loads, gear, cover)


def lime_work(
    acres: float, pounds: float, gear: Equipment, product: Product | None
) -> Work:
    """Return the work of liming: one's own spreader load by load, or a truck that is met."""
    if product is not None and product.spread_for_you:
        return Work(TRUCK_MINUTES + gear.fixed_minutes, 1, 0, "spread by truck")
    work = spread_work(acres, [pounds], gear)
    if work.loads <= MANY_LOADS:
        return work
    note = InParts(
        f"{figure(pounds, 'lb', 0)} of lime are {work.loads} loads of "
        f"{figure(gear.spreader_load_lb, 'lb', AS_IT_IS)}, "
        f"{work.minutes / 60:.1f} hours",
        "ask for a truck that spreads it, and say so: "
        + box_and_line("product", "spread_for_you", "spread_for_you = true under the lime")
        + ".",
    )
    return Work(work.minutes, work.passes, work.loads, work.text, note)


def spray_minutes(acres: float, tanks: int, gear: Equipment) -> float:
    """Return minutes of spraying: the swath over the ground, and each tank filled. [min]"""
    field = 60.0 * acres / machine_ac_hr("sprayer", gear)
    return field + tanks * gear.tank_minutes + gear.fixed_minutes


def pull_minutes(acres: float, gear: Equipment) -> float:
    """Return minutes of walking all of some ground and pulling what has rooted. [min]"""
    return 60.0 * acres / gear.walk_pull_ac_hr + gear.fixed_minutes


def _over(
    acres: float, machine: str, passes: int, loads: int, gear: Equipment, cover: int = 0
) -> Work:
    field = passes * 60.0 * acres / machine_ac_hr(machine, gear)
    dragged = cover * 60.0 * acres / machine_ac_hr("drag", gear)
    minutes = field + dragged + loads * gear.load_minutes + gear.fixed_minutes
    parts = [
        f"{passes} passes" if passes > 1 else "",
        f"{loads} loads" if loads > 1 else "",
        "covered" if cover else "",
    ]
    return Work(minutes, passes, loads, ", ".join(part for part in parts if part))
