"""Setting the machine: what to catch, weigh and pace so that the rate comes out right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.figures import AS_IT_IS, figure
from quietacre.need.positive import refuse_unless_positive
from quietacre.units import ACRE_FT2, ACRE_HR_FT_MPH, GAL_FL_OZ, LB_OZ, MPH_FT_MIN

if TYPE_CHECKING:
    from collections.abc import Mapping

    from quietacre.need.records import SeedLine

THOUSAND_FT2 = 1_000.0
IN_FT = 12.0
#: The side of a square of 1/128 acre, as printed: 342 sq ft for 340. [ft]
HAND_FT = 18.5
#: Less than this an acre few spreaders throw evenly. Common practice, no source. [lb/ac]
THIN_LB_AC = 50.0
#: What draws water or worse when it is blended. From memory.
NEVER_BLENDED = (frozenset({"34-0-0", "46-0-0"}),)
#: gal/ac = 5940 × gal/min ÷ (mph × inches): 43,560 × 12 ÷ 88.
SPRAYER_FACTOR = ACRE_FT2 * IN_FT / MPH_FT_MIN


def lb_on_area(rate_lb_ac: float, area_ft2: float = THOUSAND_FT2) -> float:
    """Return pounds that must land on an area; 1,000 sq ft when none is given. [lb]"""
    refuse_unless_positive(rate_lb_ac=rate_lb_ac, area_ft2=area_ft2)
    return rate_lb_ac * area_ft2 / ACRE_FT2


def rate_from_catch_lb_ac(caught_lb: float, width_ft: float, distance_ft: float) -> float:
    """Return the rate that a catch stands for. [lb/ac]

    Notes
    -----
    rate = seed ÷ area; acres = width × distance ÷ 43,560: Virginia Tech 418-121
    (Teutsch), n.d.
    """
    refuse_unless_positive(caught_lb=caught_lb, width_ft=width_ft, distance_ft=distance_ft)
    return caught_lb * ACRE_FT2 / (width_ft * distance_ft)


def course_ft(swath_ft: float, area_ft2: float = THOUSAND_FT2) -> float:
    """Return how far to drive at a swath to cover an area. [ft]"""
    refuse_unless_positive(swath_ft=swath_ft, area_ft2=area_ft2)
    return area_ft2 / swath_ft


def ft_per_bag(bag_lb: float, rate_lb_ac: float, swath_ft: float) -> float:
    """Return how far one bag goes. [ft]"""
    refuse_unless_positive(bag_lb=bag_lb, rate_lb_ac=rate_lb_ac, swath_ft=swath_ft)
    return bag_lb * ACRE_FT2 / (rate_lb_ac * swath_ft)


def passes(width_ft: float, swath_ft: float) -> int:
    """Return passes that cover a width; the swath is what overlaps evenly, not the throw."""
    refuse_unless_positive(width_ft=width_ft, swath_ft=swath_ft)
    return max(1, -int(-(width_ft / swath_ft - 1e-9) // 1))


def course_128_ft(width_in: float) -> float:
    """Return the course on which fluid ounces caught are gallons an acre. [ft]

    1/128 acre at the width one nozzle (or all nozzles of one band) covers.
    """
    refuse_unless_positive(width_in=width_in)
    return ACRE_FT2 / GAL_FL_OZ * IN_FT / width_in


def caught_gal_ac(caught_fl_oz: float, distance_ft: float, width_in: float) -> float:
    """Return gallons an acre that a catch over any course and band stands for. [gal/ac]

    Notes
    -----
    Sprayer calibration table for band-spraying of herbicides, University of Florida, n.d.,
    prints it for 300 ft.
    """
    refuse_unless_positive(
        caught_fl_oz=caught_fl_oz, distance_ft=distance_ft, width_in=width_in
    )
    return caught_fl_oz / GAL_FL_OZ * ACRE_FT2 / (distance_ft * width_in / IN_FT)


def capacity_ac_hr(width_ft: float, mph: float, efficiency: float) -> float:
    """Return acres an hour: ft × mph × efficiency / 8.25. [ac/h]

    Notes
    -----
    AEN-73, University of Kentucky, 1991; PM 696, Iowa State University, 2001.
    """
    refuse_unless_positive(width_ft=width_ft, mph=mph, efficiency=efficiency)
    return width_ft * mph * efficiency / ACRE_HR_FT_MPH


def spray_gal_ac(nozzle_gal_min: float, mph: float, width_in: float) -> float:
    """Return gallons an acre by the 5940 formula. [gal/ac]"""
    refuse_unless_positive(nozzle_gal_min=nozzle_gal_min, mph=mph, width_in=width_in)
    return SPRAYER_FACTOR * nozzle_gal_min / (mph * width_in)


def nozzle_gal_min(gal_ac: float, mph: float, width_in: float) -> float:
    """Return the flow one nozzle must give for a rate. [gal/min]"""
    refuse_unless_positive(gal_ac=gal_ac, mph=mph, width_in=width_in)
    return gal_ac * mph * width_in / SPRAYER_FACTOR


def seeds_per_row_ft(seeds_ac: float, row_in: float) -> float:
    """Return seeds on a foot of row for a population. [1/ft]"""
    refuse_unless_positive(seeds_ac=seeds_ac, row_in=row_in)
    return seeds_ac * (row_in / IN_FT) / ACRE_FT2


def drill_oz_per_row(rate_lb_ac: float, row_in: float, distance_ft: float) -> float:
    """Return ounces that one row of a drill drops over a distance. [oz]"""
    refuse_unless_positive(rate_lb_ac=rate_lb_ac, row_in=row_in, distance_ft=distance_ft)
    return rate_lb_ac * LB_OZ * (row_in / IN_FT) * distance_ft / ACRE_FT2


def spreader_line(item: str, rate_lb_ac: float, bag_lb: float, swath_ft: float) -> str:
    """Return a spreader's check in one line: 1,000 sq ft, its course, feet a bag."""
    return (
        f"{item}: {figure(rate_lb_ac, 'lb/ac', 0)} is {figure(lb_on_area(rate_lb_ac), 'lb', 1)} on "
        f"{figure(THOUSAND_FT2, 'sq ft', 0)} (a course of {figure(course_ft(swath_ft), 'ft', 0)}); "
        f"with a swath of {figure(swath_ft, 'ft', 0)} a {figure(bag_lb, 'lb', 0)} bag goes "
        f"{figure(ft_per_bag(bag_lb, rate_lb_ac, swath_ft), 'ft', 0)}"
    )


def thin_text(item: str, rates_lb_ac: Mapping[str, float]) -> str:
    """Return what to do with a product too thin to spread by itself, blank where it is not.

    Parameters
    ----------
    rates_lb_ac : what goes on that ground that day, by product. [lb/ac]
    """
    if rates_lb_ac[item] >= THIN_LB_AC:
        return ""
    others = [
        other
        for other in rates_lb_ac
        if other != item and frozenset({item, other}) not in NEVER_BLENDED
    ]
    most = max(others, key=lambda other: rates_lb_ac[other], default=None)
    cure = (
        f"blend it with {most} and spread {figure(rates_lb_ac[item] + rates_lb_ac[most], 'lb/ac', 0)} "
        "in one pass"
        if most
        else "ask the store for a blend"
    )
    return f"; few spreaders throw so little evenly (common practice, no source): {cure}"


def seed_line(row: SeedLine, swath_ft: float, drill_ft: float) -> str:
    """Return the check of a seed's machine: pounds to catch over a course."""
    rate = row.bulk_lb_ac
    if row.method == "drill":
        ounces = lb_on_area(rate, drill_ft * 100.0) * LB_OZ
        return (
            f"{row.crop}: a {figure(drill_ft, 'ft', AS_IT_IS)} drill drops "
            f"{figure(ounces, 'oz', 1)} out of the bag in {figure(100.0, 'ft', 0)}, all rows caught"
        )
    return (
        f"{row.crop}: {figure(lb_on_area(rate) * LB_OZ, 'oz', 1)} out of the bag on "
        f"{figure(THOUSAND_FT2, 'sq ft', 0)}, a course of {figure(course_ft(swath_ft), 'ft', 0)} "
        f"with a swath of {figure(swath_ft, 'ft', AS_IT_IS)}"
    )


def hand_gun_line(gal_ac: float) -> str:
    """Return a hand gun's check: what wets a square of 1/128 acre.

    Notes
    -----
    How to Calibrate a Handgun, Mesa County (Colorado), n.d.
    """
    return (
        "hand gun: time how long it takes to wet "
        f"{figure(HAND_FT, 'ft', AS_IT_IS, to=HAND_FT, joined=' by ')} with water, then spray as "
        "long into a bucket: fluid ounces caught are gallons an acre, "
        f"{figure(gal_ac, 'fl oz', AS_IT_IS)} as planned here"
    )


def sprayer_line(gal_ac: float, swath_ft: float, mph: float) -> str:
    """Return a sprayer's check: the 1/128 acre course and the flow it must give."""
    inches = swath_ft * IN_FT
    flow = nozzle_gal_min(gal_ac, mph, inches)
    return (
        f"sprayer: over {figure(course_128_ft(inches), 'ft', 0)} at "
        f"{figure(swath_ft, 'ft', AS_IT_IS)} wide catch {figure(gal_ac, 'fl oz', AS_IT_IS)} from all "
        f"nozzles (fluid ounces are gallons an acre); at {figure(mph, 'mph', AS_IT_IS)} "
        f"{figure(gal_ac, 'gal/ac', AS_IT_IS)} is {figure(flow, 'gal a minute', 2)} over the whole "
        "width (check with water alone)"
    )
