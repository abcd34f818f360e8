"""Settings of amounts: equipment, mixes, soil tests, products, sprays and forage."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, MinLen

from quietacre.settings.types import (
    STRICT,
    Count,
    Fraction,
    MonthDay,
    NotNegative,
    Percent,
    Positive,
    PositiveFraction,
    State,
    Word,
)


@dataclass(frozen=True)
class Equipment:
    """``[equipment]``: what the person owns and how it is set."""

    __pydantic_config__ = STRICT

    mower_width_ft: Positive = 6.0
    mower_overlap_ft: NotNegative = 0.5
    mower_mph: Positive = 3.0
    disk_width_ft: Positive = 6.0
    disk_mph: Positive = 4.0
    drag_width_ft: Positive = 8.0
    drag_mph: Positive = 4.0
    drill_width_ft: Positive = 6.0
    drill_mph: Positive = 4.0
    spreader_swath_ft: Positive = 20.0
    spreader_mph: Positive = 4.0
    tank_gal: Positive = 25.0
    spray_gal_ac: Positive = 15.0
    spray_swath_ft: Positive = 10.0
    spray_mph: Positive = 3.0
    field_efficiency: PositiveFraction = 0.7
    fixed_minutes: NotNegative = 10.0  # hitching, gates and turning, per job
    fuel_gal_hr: NotNegative = 2.0
    fuel_price_gal: NotNegative | None = None
    spreader_load_lb: Positive = 400.0
    drill_load_lb: Positive = 300.0
    load_minutes: NotNegative = 10.0  # filling spreader or drill, driving to the bags
    tank_minutes: NotNegative = 20.0  # filling the tank, hauling the water
    walk_pull_ac_hr: Positive = 1.0  # walking a strip and pulling what has rooted


@dataclass(frozen=True)
class Seed:
    """One entry of ``seed = [ … ]`` in a mix."""

    __pydantic_config__ = STRICT

    crop: Word
    share: PositiveFraction | None = None  # of the full rate
    rate_lb_ac: Positive | None = None
    seeds_ft2: Positive | None = None  # seeds on a square foot, in place of a rate
    seeds_per_lb: Positive | None = None  # of this lot, in place of the table's
    basis: Literal["bulk", "pls"] | None = None
    purity: PositiveFraction | None = None
    germination: PositiveFraction | None = None
    hard: Fraction = 0.0  # hard or dormant seed, counts as live
    coating: Fraction = 0.0  # share of the bag's weight that is coating
    price_lb: NotNegative | None = None
    bag_lb: Positive | None = None
    plant_from: MonthDay | None = None  # your own planting window, in place of the table's
    plant_to: MonthDay | None = None


@dataclass(frozen=True)
class Mix:
    """``[[mix]]``: what is sown together."""

    __pydantic_config__ = STRICT

    name: Word
    seed: Annotated[tuple[Seed, ...], MinLen(1)]
    method: Literal["broadcast", "drill"] = "broadcast"
    note: str | None = None


@dataclass(frozen=True)
class NeedLbAc:
    """``need_lb_ac = { … }``: nutrients the laboratory asked for, lb/ac.

    Oxide keys (``p2o5``, ``k2o``) and elemental keys (``p``, ``k``) cannot
    both be given for one nutrient.
    """

    __pydantic_config__ = STRICT

    n: NotNegative | None = None
    p2o5: NotNegative | None = None
    k2o: NotNegative | None = None
    p: NotNegative | None = None
    k: NotNegative | None = None
    s: NotNegative | None = None


@dataclass(frozen=True)
class SoilTest:
    """``[[soil_test]]``: what the laboratory wrote, with its basis."""

    __pydantic_config__ = STRICT

    name: Word
    ph: Annotated[float, Gt(2.0), Le(11.0)] | None = None
    on: dt.date | None = None
    lime_ton_ac: NotNegative | None = None
    lime_lb_ac: NotNegative | None = None
    lime_basis: Literal["ECCE", "RNV", "CCE", "ENP", "ENM", "pure"] | None = None
    lime_basis_pct: Positive | None = None  # the percent the rate was written for
    lime_basis_ecce_pct: Positive | None = None  # the same, said in one key
    lime_state: State | None = None
    lime_basis_depth_in: Positive | None = None
    lime_depth_in: Positive | None = None
    buffer: Word | None = None  # "Mehlich": the one with coefficients read in a source
    buffer_ph: Annotated[float, Gt(2.0), Le(11.0)] | None = None
    target_ph: Annotated[float, Gt(2.0), Le(11.0)] | None = None
    last_lime_ton_ac: NotNegative = 0.0
    last_lime_months: NotNegative = 0.0
    soil_class: Literal["mineral", "mineral-organic", "organic"] = "mineral"
    need_lb_ac: NeedLbAc | None = None
    need_ppm: NeedLbAc | None = None


@dataclass(frozen=True)
class Product:
    """``[[product]]``: a fertilizer or lime the person can buy."""

    __pydantic_config__ = STRICT

    grade: Word  # "13-13-13", "21-0-0-24S", "lime-ag", "lime-pellet"
    name: str | None = None
    bag_lb: Positive | None = None
    bulk: bool = False  # sold by the ton, price per ton
    spread_for_you: bool = False  # the seller spreads it by truck
    price: NotNegative | None = None
    ecce_pct: Positive | None = None
    rnv_pct: Positive | None = None
    cce_pct: Positive | None = None
    enp_lb_ton: Positive | None = None
    enm_lb_ton: Positive | None = None
    passing_pct: tuple[tuple[int, Percent], ...] = ()  # mesh, percent passing it
    max_bags: Count | None = None


@dataclass(frozen=True)
class Stock:
    """``[[stock]]``: what is left in the shed."""

    __pydantic_config__ = STRICT

    item: Word  # a grade, a crop or a spray name
    amount_lb: NotNegative | None = None
    bags: NotNegative | None = None
    amount_fl_oz: NotNegative | None = None
    on: dt.date | None = None  # the day it was counted


@dataclass(frozen=True)
class Spray:
    """``[[spray]]``: a label rate the person typed from their own label."""

    __pydantic_config__ = STRICT

    name: Word
    use: Literal["foliar feed", "spot spray"]
    rate_fl_oz_ac: Positive | None = None
    rate_lb_ac: Positive | None = None
    rate_pct_volume: Annotated[float, Gt(0.0), Le(100.0)] | None = None
    max_rate_fl_oz_ac: Positive | None = None
    max_rate_lb_ac: Positive | None = None
    max_rate_pct_volume: Positive | None = None
    spray_gal_ac: Positive | None = None
    pack_fl_oz: Positive | None = None
    pack_lb: Positive | None = None
    price: NotNegative | None = None
    ppe: str | None = None  # as the label lists it
    reentry_hours: NotNegative | None = None


@dataclass(frozen=True)
class Buying:
    """``[buying]``: how strictly fertilizer must meet the need."""

    __pydantic_config__ = STRICT

    short_pct: Percent = 0.0  # a nutrient may fall this far short
    over_pct: Percent = 50.0  # and go this far over
    over_lb_ac: NotNegative = 10.0  # or this many pounds, whichever is more
    max_products: Annotated[int, Ge(1)] = 3
    seconds: Positive = 120.0  # of the processor, the last resort of planning fertilizer


@dataclass(frozen=True)
class Clips:
    """``clips = { … }`` of ``[forage]``: clippings in and beside exclosures, in pairs."""

    __pydantic_config__ = STRICT

    area_ft2: Positive  # ground of each clipping
    dry_frac: PositiveFraction  # dry weight over the weights given; 1 when dried first
    inside_g: Annotated[tuple[NotNegative, ...], MinLen(1)]
    outside_g: Annotated[tuple[NotNegative, ...], MinLen(1)]


@dataclass(frozen=True)
class Forage:
    """``[forage]``: the deer to feed from plots, and what the plots grow."""

    __pydantic_config__ = STRICT

    deer: Positive
    intake_lb_day: Positive  # dry matter a deer takes from the plots
    days: Positive
    utilisation: PositiveFraction  # part of what grows that deer can take
    yield_lb_ac: Positive | None = None  # dry matter grown in those days, or
    clips: Clips | None = None  # what exclosures say it was
