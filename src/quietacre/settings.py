"""Everything property.toml may hold, as frozen dataclasses.

Each class is a table of the file; each field is a key. A field whose name is
not a legal key in Python carries its key as an alias (``from``). Ranges are
written as types, so ``intake.property`` can check a whole file at once and
name the key path of every fault. Nothing here reads a file.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import functools
from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, MinLen
from pydantic import Field

Positive = Annotated[float, Gt(0.0)]
NotNegative = Annotated[float, Ge(0.0)]
Fraction = Annotated[float, Ge(0.0), Le(1.0)]
PositiveFraction = Annotated[float, Gt(0.0), Le(1.0)]
Percent = Annotated[float, Ge(0.0), Le(100.0)]
Count = Annotated[int, Ge(0)]
#: Longer than any job waits; a date so far off is surely a slip of the pen.
Days = Annotated[int, Ge(0), Le(1000)]
DaysBefore = Annotated[int, Ge(-1000), Le(1000)]
Word = Annotated[str, MinLen(1)]
MONTH_DAY = r"^(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$"
MonthDay = Annotated[str, Field(pattern=MONTH_DAY)]
STATE = r"^[A-Z]{2}$"
State = Annotated[str, Field(pattern=STATE)]
Paths = str | tuple[str, ...]
#: Nothing but an address: it also goes into the page's security policy.
TILES = r"^https://[A-Za-z0-9.-]+(:[0-9]+)?/[A-Za-z0-9._~/{}?=&%+@-]+$"
TileAddress = Annotated[str, Field(pattern=TILES)]
#: How each text that has a form is written, for messages.
FORMS = {
    MONTH_DAY: "month-day, as “05-15”",
    STATE: "two capital letters",
    TILES: "an address that begins with https:// and holds {z}, {x} and {y}, without spaces or "
    "quotes, as “https://tiles.example.org/{z}/{x}/{y}.png”",
}

AreaKind = Literal["plot", "patch", "native", "timber", "water", "road", "keepout", "burn"]

#: Columns of planting windows in the crop table.
Region = Literal["upper South", "coastal plain", "Midwest"]

STRICT = {"extra": "forbid"}


@dataclass(frozen=True)
class PropertyInfo:
    """``[property]``: the place itself."""

    __pydantic_config__ = STRICT

    name: Word
    boundary: str | None = None
    state: State | None = None
    region: Region | None = None  # whose planting windows hold here; all when blank
    note: str | None = None
    last_frost: MonthDay | None = None  # of spring; shifts the vine's growth
    first_frost: MonthDay | None = None  # of autumn
    keep_vine_confirmed: bool = False  # the state rule has been read and allows it
    format: Annotated[int, Ge(1)] | None = None  # a folder of a newer one is only read


@dataclass(frozen=True)
class Quiet:
    """``[[quiet]]``: a no-disturbance season, both ends inclusive."""

    __pydantic_config__ = STRICT

    name: Word
    start: MonthDay
    end: MonthDay
    keeps_out: Literal["all"] | tuple[str, ...] = "all"
    source: str | None = None


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
    spreader_load_lb: Positive = 400.0
    drill_load_lb: Positive = 300.0
    load_minutes: NotNegative = 10.0  # filling spreader or drill, driving to the bags
    tank_minutes: NotNegative = 20.0  # filling the tank, hauling the water
    walk_pull_ac_hr: Positive = 1.0  # walking a strip and pulling what has rooted


@dataclass(frozen=True)
class Previous:
    """``previous = { from, on }``: the patch edge of an earlier survey."""

    __pydantic_config__ = STRICT

    files: Annotated[Paths, Field(alias="from")]
    on: dt.date


@dataclass(frozen=True)
class StripSettings:
    """``strip = { … }`` of a patch or burn block."""

    __pydantic_config__ = STRICT

    width_ft: Positive | None = None  # worked out when left blank
    last_cut: dt.date | None = None
    next_cut: dt.date | None = None
    slip_days: Days = 10
    staked: bool = False
    edge_error_ft: NotNegative | None = None
    live_node_ft: NotNegative | None = None
    watch_lane_ft: NotNegative | None = None
    mix: str | None = None
    soil_test: str | None = None
    bare: bool = False  # kept bare from green-up, so nothing nests in it
    temperatures: str | None = None  # file of daily lows and highs


@dataclass(frozen=True)
class Feed:
    """``feed = { … }``: foliar feed or spot spray, from the person's label."""

    __pydantic_config__ = STRICT

    spray: Word  # name of a [[spray]]
    share: PositiveFraction = 1.0  # part of the area that is treated
    on: dt.date | None = None


@dataclass(frozen=True)
class Harvest:
    """``harvest = { … }``: hay, grain or straw that is hauled off the ground."""

    __pydantic_config__ = STRICT

    what: Word  # a line of the removal table, such as "hay"
    ton_ac: Positive | None = None
    bu_ac: Positive | None = None


@dataclass(frozen=True)
class PlacedCorner:
    """``placed = [ { … } ]``: a corner of a figure whose place on the ground is known."""

    __pydantic_config__ = STRICT

    corner: Annotated[int, Ge(1)]
    lat: Annotated[float, Ge(-90.0), Le(90.0)]
    lon: Annotated[float, Ge(-180.0), Le(180.0)]


@dataclass(frozen=True)
class Area:
    """``[[area]]``: one piece of ground and what is meant for it."""

    __pydantic_config__ = STRICT

    name: Word
    kind: AreaKind
    files: Annotated[Paths, Field(alias="from")]
    feature: str | None = None  # one named feature of a file that holds many
    over: Paths | None = None  # the walk that the drawing in ``from`` was drawn over
    walked_inside_ft: NotNegative | None = None
    walked_outside_ft: NotNegative | None = None
    sky: Literal["open", "canopy"] | None = None
    corners: Literal["straight", "curved"] | None = None  # of ground between pins
    order: Literal["time", "number", "file", "ring"] | None = None  # of those pins
    placed: tuple[PlacedCorner, ...] = ()  # of a tape's or a deed's figure
    declination_deg: Annotated[float, Ge(-180.0), Le(180.0)] | None = None
    pace_ft: Positive | None = None
    vara_ft: Positive | None = None
    edge_pm_ft: Positive | None = None  # how far off a drawn edge may be, 95 %
    map_scale: Annotated[float, Ge(100.0)] | None = None  # 24000 of a map of 1:24,000
    mix: str | None = None
    plant: dt.date | None = None
    soil_test: str | None = None
    fertilizer: Literal["soil test", "maintenance", "removal", "none"] | None = None
    harvest: Harvest | None = None
    vine: str | None = None
    previous: Previous | None = None
    surveyed: dt.date | None = None
    strip: StripSettings | None = None
    feed: tuple[Feed, ...] = ()
    tasks: tuple[TaskRule, ...] = ()
    max_products: Annotated[int, Ge(1)] | None = None
    topdress_n_lb_ac: Positive | None = None  # part of the nitrogen kept for later
    topdress_on: dt.date | None = None
    nitrogen_on_legumes: bool = False  # before planting, whatever the legumes' share
    residue: Literal["green", "woody"] = "green"  # what is turned under
    history: tuple[str, ...] = ()
    note: str | None = None
    was: tuple[Word, ...] = ()  # names it had before, the oldest first

    @property
    def first_name(self) -> str:
        """Return the name it had first: its jobs keep what they are known by."""
        return self.was[0] if self.was else self.name


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


@dataclass(frozen=True)
class TaskRule:
    """``[[task]]`` or ``tasks = [ … ]``: change or add a task of the year."""

    __pydantic_config__ = STRICT

    task: Word
    days_before: DaysBefore | None = None  # ideal, counted back from planting
    earliest_days_before: DaysBefore | None = None
    latest_days_before: DaysBefore | None = None
    minutes: NotNegative | None = None
    machine: str | None = None
    skip: bool = False
    on: dt.date | None = None
    crop: str | None = None
    kind: AreaKind | None = None


EVERY = r"^[1-9][0-9]? (year|years|month|months)$"
Every = Annotated[str, Field(pattern=EVERY)]
FORMS[EVERY] = "a length of time, as “3 years” or “6 months”"


@dataclass(frozen=True)
class Round:
    """``[[round]]``: a job that comes round without a planting."""

    __pydantic_config__ = STRICT

    task: Word  # its word, as the log has it
    every: Every
    months: tuple[MonthDay, MonthDay]  # the time of year it belongs to
    kind: AreaKind | None = None
    area: str | None = None
    label: str | None = None
    machine: str = "on foot"
    minutes: NotNegative | None = None
    offset: Annotated[int, Ge(0), Le(99)] = 0  # years by which the turns are moved on
    after_quiet: bool = (
        False  # where quiet days take all of its time: after them, not before
    )
    source: str | None = None


@dataclass(frozen=True)
class Lags:
    """``[lags]``, or ``lags = { … }`` of a crop: least days from one job to the next."""

    __pydantic_config__ = STRICT

    soil_test_days: Days | None = None  # from the test to lime and fertilizer: 14
    lime_days: Days | None = None  # lime to planting: 90
    clip_days: Days | None = None  # clipping to planting: 42, more when the rot is longer
    rot_days: Days | None = None  # residue turned under to the second disking: 21
    rot_more_days: Days | None = None  # more rot when cool, and when woody: 7
    settle_days: Days | None = None  # smoothing to planting: 5
    top_dress_days: Days | None = None  # planting to top-dressing: 28
    exclosure_days: Days | None = None  # cage set to cage read: 42


@dataclass(frozen=True)
class CropRule:
    """``[crop.NAME]``: what holds for one crop wherever it is sown."""

    __pydantic_config__ = STRICT

    window: Word | None = None  # planting window, in place of the table's: "Sep 1-Oct 15"
    lags: Lags = Lags()
    tasks: tuple[TaskRule, ...] = ()


@dataclass(frozen=True)
class Work:
    """``[work]``: the days a person has."""

    __pydantic_config__ = STRICT

    weekdays: tuple[Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"], ...] = (
        "sat",
        "sun",
    )
    hours_day: Positive = 8.0
    helpers: Count = 0
    tractors: Annotated[int, Ge(1)] = 1
    extra_days: tuple[dt.date, ...] = ()
    blocked_days: tuple[dt.date, ...] = ()
    trip_minutes: NotNegative = 0.0  # driving there and back, out of the day


@dataclass(frozen=True)
class Weather:
    """``[weather]``: a daily record, and what counts as a planting rain."""

    __pydantic_config__ = STRICT

    files: Annotated[str, Field(alias="from")]
    rain_in: Positive = 0.5
    rain_days: Annotated[int, Ge(1), Le(60)] = 7
    growing_base_f: float = 50.0
    first_year: int | None = None  # base period; the whole record when blank
    last_year: int | None = None


@dataclass(frozen=True)
class MapSettings:
    """``[map]``: how the map is shown first."""

    __pydantic_config__ = STRICT

    units: Literal["us", "metric"] = "us"
    picture: str | None = None  # laid under the map and embedded
    picture_crs: str | None = None  # for a picture that does not say
    tiles: TileAddress | None = None  # a service the page may ask for pictures
    tiles_credit: str | None = None
    tiles_most_zoom: Annotated[int, Ge(1), Le(22)] = 19


@dataclass(frozen=True)
class Use:
    """``[use]``: what other packages give, by the names they give it."""

    __pydantic_config__ = STRICT

    readers: tuple[Word, ...] = ()
    steps: tuple[Word, ...] = ()
    outputs: tuple[Word, ...] = ()


@dataclass(frozen=True)
class Property:
    """A whole property.toml."""

    __pydantic_config__ = STRICT

    property: PropertyInfo
    quiet: tuple[Quiet, ...] = ()
    equipment: Equipment = Equipment()
    area: tuple[Area, ...] = ()
    mix: tuple[Mix, ...] = ()
    soil_test: tuple[SoilTest, ...] = ()
    product: tuple[Product, ...] = ()
    stock: tuple[Stock, ...] = ()
    spray: tuple[Spray, ...] = ()
    buying: Buying = Buying()
    forage: Forage | None = None
    task: tuple[TaskRule, ...] = ()
    round: tuple[Round, ...] = ()
    lags: Lags = Lags()
    crop: dict[str, CropRule] = dataclasses.field(default_factory=dict)
    work: Work = Work()
    weather: Weather | None = None
    map: MapSettings = MapSettings()
    use: Use = Use()
    log_words: dict[str, Word] = dataclasses.field(default_factory=dict)

    @functools.cached_property
    def area_by_id(self) -> dict[str, Area]:
        """Return the areas by the ids that frames and the report know them by."""
        return {f"a{number:02d}": area for number, area in enumerate(self.area, 1)}
