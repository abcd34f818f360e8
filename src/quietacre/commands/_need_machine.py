"""``quietacre need spreader|drill|sprayer|planter``: setting the machine."""

from __future__ import annotations

import click

from quietacre.commands._edge import fail_cleanly
from quietacre.commands._need_common import ABOVE_ZERO, JSON, show
from quietacre.commands._setting_option import setting_option
from quietacre.errors import NeedProblem
from quietacre.figures import AS_IT_IS, figure
from quietacre.settings import Equipment, Product


def _caught(
    caught_lb: float | None, catch_width_ft: float | None, catch_ft: float | None
) -> tuple[float, float, float] | None:
    given = (caught_lb, catch_width_ft, catch_ft)
    if all(value is None for value in given):
        return None
    if caught_lb is None or catch_width_ft is None or catch_ft is None:
        raise NeedProblem(
            "a catch needs its pounds, width and distance",
            fix="give --caught-lb, --catch-width-ft and --catch-ft",
        )
    return caught_lb, catch_width_ft, catch_ft


@click.command()
@click.option(
    "--rate-lb-ac", type=ABOVE_ZERO, required=True, help="Pounds an acre to spread."
)
@click.option(
    "--swath-ft", type=ABOVE_ZERO, required=True,
    help="Width that overlaps evenly, not the throw.",
)  # fmt: skip
@setting_option(Product, "bag_lb", default=50.0, show_default=True)
@click.option("--plot-width-ft", type=ABOVE_ZERO, help="Counts the passes.")
@click.option("--caught-lb", type=ABOVE_ZERO, help="What a trial put out.")
@click.option("--catch-width-ft", type=ABOVE_ZERO, help="Width of what catches it.")
@click.option("--catch-ft", type=ABOVE_ZERO, help="How far the trial went.")
@JSON
@fail_cleanly
def spreader(
    rate_lb_ac: float, swath_ft: float, bag_lb: float, plot_width_ft: float | None,
    caught_lb: float | None, catch_width_ft: float | None, catch_ft: float | None,
    *, as_json: bool,
) -> None:  # fmt: skip
    """Check a spreader: pounds on 1,000 sq ft, feet a bag, passes, a trial's rate."""
    from quietacre.need import machine

    per_thousand = machine.lb_on_area(rate_lb_ac)
    course = machine.course_ft(swath_ft)
    distance = machine.ft_per_bag(bag_lb, rate_lb_ac, swath_ft)
    result = {
        "lb_per_1000_ft2": per_thousand,
        "course_ft_for_1000_ft2": course,
        "ft_per_bag": distance,
    }
    lines = [
        f"{figure(per_thousand, 'lb', 2)} on {figure(1000, 'sq ft')}: a course of "
        f"{figure(course, 'ft', 1)} at {figure(swath_ft, 'ft', AS_IT_IS)}",
        f"a {figure(bag_lb, 'lb', AS_IT_IS)} bag goes {figure(distance, 'ft', 1)}",
    ]
    if plot_width_ft is not None:
        result["passes"] = machine.passes(plot_width_ft, swath_ft)
        lines.append(
            f"{result['passes']} passes cover {figure(plot_width_ft, 'ft', AS_IT_IS)}"
        )
    catch = _caught(caught_lb, catch_width_ft, catch_ft)
    if catch is not None:
        result["caught_lb_ac"] = machine.rate_from_catch_lb_ac(*catch)
        lines.append(_against(result["caught_lb_ac"], rate_lb_ac))
    show(result, lines, as_json=as_json)


def _against(measured: float, wanted: float) -> str:
    off = round(100 * (measured / wanted - 1))
    way = f"{abs(off)} % {'over' if off > 0 else 'under'}" if off else "right on it"
    asked = figure(wanted, "lb/ac", AS_IT_IS, bare=True)
    return f"the trial put out {figure(measured, 'lb/ac', 1)}: {way}; {asked} is wanted"


@click.command()
@click.option("--rate-lb-ac", type=ABOVE_ZERO, required=True, help="Out of the bag.")
@click.option(
    "--row-in", type=ABOVE_ZERO, default=7.5, show_default=True, help="Inches between rows."
)
@click.option("--rows", type=click.IntRange(min=1), default=1, show_default=True,
              help="Rows that are caught.")  # fmt: skip
@click.option(
    "--course-ft",
    type=ABOVE_ZERO,
    default=100.0,
    show_default=True,
    help="Length of the course.",
)
@click.option("--caught-oz", type=ABOVE_ZERO, help="What those rows dropped.")
@JSON
@fail_cleanly
def drill(
    rate_lb_ac: float, row_in: float, rows: int, course_ft: float, caught_oz: float | None,
    *, as_json: bool,
) -> None:  # fmt: skip
    """Check a drill: ounces that rows drop over a course."""
    from quietacre.need import machine
    from quietacre.units import LB_OZ

    ounces = rows * machine.drill_oz_per_row(rate_lb_ac, row_in, course_ft)
    result = {"oz": ounces, "rows": rows, "course_ft": course_ft}
    lines = [
        f"{figure(ounces, 'oz', 2)} out of {rows} row(s) of {figure(row_in, 'in.', AS_IT_IS)} "
        f"over {figure(course_ft, 'ft', AS_IT_IS)}"
    ]
    if caught_oz is not None:
        rate = machine.rate_from_catch_lb_ac(
            caught_oz / LB_OZ, rows * row_in / 12, course_ft
        )
        result["caught_lb_ac"] = rate
        lines.append(_against(rate, rate_lb_ac))
    show(result, lines, as_json=as_json)


@click.command()
@click.option("--width-in", type=ABOVE_ZERO, required=True,
              help="Nozzle spacing, or the band or swath of the nozzles you catch together.")  # fmt: skip
@click.option("--caught-fl-oz", type=ABOVE_ZERO,
              help="Caught over the course: all nozzles of that width, water only.")  # fmt: skip
@click.option("--gal-min", type=ABOVE_ZERO, help="Flow over that width.")
@click.option("--mph", type=ABOVE_ZERO, help="Speed on the course.")
@click.option("--gal-ac", type=ABOVE_ZERO, help="Wanted: gives the flow at --mph.")
@click.option("--course-ft", type=ABOVE_ZERO,
              help="How far you drove while catching; the 1/128 acre course when left out.")  # fmt: skip
@JSON
@fail_cleanly
def sprayer(
    width_in: float, caught_fl_oz: float | None, gal_min: float | None, mph: float | None,
    gal_ac: float | None, course_ft: float | None, *, as_json: bool,
) -> None:  # fmt: skip
    """Check a sprayer: any course and band, the 1/128 acre course, the 5940 formula."""
    from quietacre.need import machine

    if (gal_min is not None or gal_ac is not None) and mph is None:
        raise NeedProblem("a flow needs a speed", fix="give --mph")
    course = machine.course_128_ft(width_in)
    result = {"course_ft": course}
    lines = [
        f"1/128 acre at {figure(width_in, 'in.', AS_IT_IS)} is {figure(course, 'ft', 0)}: ounces "
        "caught are gal/ac" + ("" if gal_ac is None else _wanted_catch(gal_ac))
    ]
    if caught_fl_oz is not None:
        driven = course if course_ft is None else course_ft
        rate = machine.caught_gal_ac(caught_fl_oz, driven, width_in)
        result["caught_gal_ac"] = rate
        lines.append(
            f"caught {figure(caught_fl_oz, 'fl oz', AS_IT_IS)} over {figure(driven, 'ft', 0)} of "
            f"{figure(width_in, 'in.', AS_IT_IS)}: {figure(rate, 'gal/ac', 1)}"
        )
    elif course_ft is not None:
        raise NeedProblem("a course is driven to catch", fix="give --caught-fl-oz")
    if mph is not None and gal_min is not None:
        result["gal_ac"] = machine.spray_gal_ac(gal_min, mph, width_in)
        lines.append(
            f"{figure(gal_min, 'gal/min', AS_IT_IS)} at {figure(mph, 'mph', AS_IT_IS)}: "
            f"{figure(result['gal_ac'], 'gal/ac', 1)}"
        )
    if mph is not None and gal_ac is not None:
        result["gal_min"] = machine.nozzle_gal_min(gal_ac, mph, width_in)
        lines.append(
            f"{figure(gal_ac, 'gal/ac', AS_IT_IS)} at {figure(mph, 'mph', AS_IT_IS)}: "
            f"{figure(result['gal_min'], 'gal/min', 3)}"
        )
    lines.append(
        "caution: calibrate with water alone; the label decides rate and equipment"
    )
    show(result, lines, as_json=as_json)


def _wanted_catch(gal_ac: float) -> str:
    caught = figure(gal_ac, "fl oz", AS_IT_IS)
    return f", {caught} for the {figure(gal_ac, 'gal/ac', AS_IT_IS)} wanted"


@click.command()
@click.option("--seeds-ac", type=ABOVE_ZERO, required=True, help="Population wanted.")
@click.option("--row-in", type=ABOVE_ZERO, required=True, help="Inches between rows.")
@JSON
@fail_cleanly
def planter(seeds_ac: float, row_in: float, *, as_json: bool) -> None:
    """Seeds on a foot of row, and inches between them."""
    from quietacre.need import machine

    per_ft = machine.seeds_per_row_ft(seeds_ac, row_in)
    result = {"seeds_per_row_ft": per_ft, "spacing_in": 12 / per_ft}
    lines = [
        f"{figure(per_ft, 'seeds on a foot of row', 2)}, one every "
        f"{figure(12 / per_ft, 'in.', 2)}"
    ]
    show(result, lines, as_json=as_json)


@click.command()
@click.option("--width-ft", type=ABOVE_ZERO, required=True, help="Width that it works.")
@click.option("--mph", type=ABOVE_ZERO, required=True, help="Speed in work.")
@setting_option(Equipment, "field_efficiency", "--efficiency", required=True)
@click.option("--acres", type=ABOVE_ZERO, help="Gives the hours on so much ground.")
@JSON
@fail_cleanly
def capacity(
    width_ft: float, mph: float, efficiency: float, acres: float | None, *, as_json: bool
) -> None:
    """Acres an hour of a machine, and its hours on some ground."""
    from quietacre.need import machine

    acres_hour = machine.capacity_ac_hr(width_ft, mph, efficiency)
    result = {"acres_hour": acres_hour}
    lines = [
        f"{figure(acres_hour, 'acres an hour', 1)}: {figure(width_ft, 'ft', AS_IT_IS)} at "
        f"{figure(mph, 'mph', AS_IT_IS)}, {efficiency:.0%}"
    ]
    if acres is not None:
        result["hours"] = acres / acres_hour
        lines.append(
            f"{figure(acres, 'ac', AS_IT_IS)} take {acres / acres_hour:.2f} hours in the field"
        )
    show(result, lines, as_json=as_json)


COMMANDS = (spreader, drill, sprayer, planter, capacity)
