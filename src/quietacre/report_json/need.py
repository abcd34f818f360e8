"""Amounts as report.json holds them: made by docs/make_report_types.py from the records."""

from __future__ import annotations

from typing import TYPE_CHECKING, NotRequired, TypedDict, final

if TYPE_CHECKING:
    from quietacre.report_json.model import NoteJson


#: One crop of a mix on a piece of ground.
SeedLineJson = TypedDict(
    "SeedLineJson",
    {
        "mix": "str",
        "pass": "int",
        "crop": "str",
        "method": "str",
        "basis": "str",
        "rate_lb_ac": "float",
        "pls_frac": "float",
        "bulk_lb_ac": "float",
        "depth_in": "list[float] | None",
        "seeds_per_lb": "float | None",
        "seeds_from_memory": "bool",
        "seeds_ft2": "float | None",
        "in_mix_lb_ac": "list[float] | None",
        "windows": "dict[str, str]",
        "own_window": "str | None",
        "inoculant": "str | None",
        "from_memory": "bool",
        "source": "str",
        "note": "str | None",
        "lb": "float",
        "lb_low": "float",
        "lb_high": "float",
        "planting": "NotRequired[str]",
    },
)


@final
class FertilizerLineJson(TypedDict):
    """One product on a piece of ground, before planting or kept for top-dressing (``when``)."""

    grade: str
    lb_ac: float
    lb: float
    lb_low: float
    lb_high: float
    bag_lb: float
    bags_exact: float
    n_lb_ac: float
    p2o5_lb_ac: float
    k2o_lb_ac: float
    s_lb_ac: float
    when: str
    on: str | None
    planting: NotRequired[str]


@final
class LimeLineJson(TypedDict):
    """The lime of a piece of ground; ``ton`` is what is spread now, with its range."""

    whole_ton_ac: float
    parts_ton_ac: list[float]
    ton_ac: float
    ton: float
    ton_low: float
    ton_high: float
    product: str | None
    basis: str
    text: str
    months_ahead: list[int]


@final
class SprayLineJson(TypedDict):
    """One spray of a piece of ground; ``done`` and ``left`` are of its product, in its unit."""

    name: str
    use: str
    mode: str
    rate: float
    gal: float
    product: float
    unit: str
    loads_full: int
    last_load_gal: float
    product_per_load: float
    product_last_load: float
    ppe: str | None
    reentry_hours: float | None
    cautions: list[str]
    acres: float
    share: float
    on: str | None
    done: float
    left: float
    gal_low: float
    gal_high: float
    minutes: float


@final
class WorkJson(TypedDict):
    """One job on one piece of ground: minutes in all, passes over it and loads filled."""

    minutes: float
    passes: int
    loads: int
    text: str


@final
class UnmetJson(TypedDict):
    """A nutrient that no product brings as asked, and why. [lb]"""

    nutrient: str
    lb: float
    when: str
    why: str


@final
class LeftShortJson(TypedDict):
    """What the person's own choice leaves out of a nutrient. [lb]"""

    nutrient: str
    lb: float
    asked_lb: float


@final
class DoneJson(TypedDict):
    """What was done of one thing on one piece of ground, in its unit. ``days`` in order."""

    what: str
    item: str
    unit: str
    amount: float
    needed: float | None
    left: float | None
    over: float
    days: list[str]


@final
class NeedJson(TypedDict):
    """What one planting of an area, or one strip, takes."""

    seed: list[SeedLineJson]
    fertilizer: list[FertilizerLineJson]
    lime: LimeLineJson | None
    spray: list[SprayLineJson]
    setting: list[str]
    cost: float | None
    cost_ac: float | None
    notes: list[NoteJson]
    work: dict[str, WorkJson]
    left_out_n_lb_ac: NotRequired[float]
    asked_lb_ac: NotRequired[dict[str, float]]
    asked_of: NotRequired[str]
    done_lb_ac: NotRequired[dict[str, float]]
    unmet: NotRequired[list[UnmetJson]]
    given_lb_ac: NotRequired[dict[str, float]]
    surplus_lb_ac: NotRequired[dict[str, float]]
    left_short: NotRequired[list[LeftShortJson]]
    done: list[DoneJson]


@final
class UsedByJson(TypedDict):
    """What one piece of ground takes of a line of the list."""

    area: str
    id: str
    amount: float


@final
class ListedItemJson(TypedDict):
    """One line of the shopping list as it is told; amounts in ``unit``, prices in dollars."""

    item: str
    what: str
    unit: str
    need: float
    need_low: float
    need_high: float
    done: float
    left: float
    on_hand: float
    from_stock: float
    buy: float
    pack: float | None
    packs: int | None
    packs_low: int | None
    packs_high: int | None
    price: float | None
    cost: float | None
    spent: float | None
    used_by: list[UsedByJson]
    name: str | None
    tons: float | None
    tank_loads: int | None
    left_over: float | None
    note: str | None


@final
class OnHandJson(TypedDict):
    """What the shed holds of one thing: counted, bought and used since, and what is left."""

    item: str
    unit: str
    counted: float
    counted_on: str | None
    bought: float
    used: float
    on_hand: float
    more_used: float
    dated: bool


@final
class SpentJson(TypedDict):
    """Dollars of a year: spent on what the plan takes, on the rest, on work; still to spend."""

    year: int | None
    planned: float
    other: float
    work: float
    total: float
    still: float | None


@final
class RunnerUpJson(TypedDict):
    """A fertilizer plan that does without one product of the better ones; ``more`` dollars."""

    cost: float
    more: float
    bags: dict[str, int]
    products: list[str]
    proof: str


@final
class FertilizerPlanJson(TypedDict):
    """Which fertilizers were chosen, at what cost, and how near the best that is known to be."""

    status: str
    gap: float
    cost: float
    bags: dict[str, int]
    proof: str
    runners_up: list[RunnerUpJson]
    text: list[str]
    said: list[str]


@final
class PrintedRangeJson(TypedDict):
    """What an agency prints; a range of the planted share stands beside the property's own."""

    measure: str
    low: float | None
    high: float | None
    unit: str
    text: str
    source: str
    share_pct: NotRequired[list[float]]
    acres: NotRequired[list[float]]
    verdict: NotRequired[str]


@final
class ForageBalanceJson(TypedDict):
    """What deer would eat, what plots give, and the acres that would do."""

    eaten_lb: float
    given_lb: float
    balance_lb: float
    acres_needed: float
    acres: float
    deer_days_ac: float
    text: str


@final
class ClippedToldJson(TypedDict):
    """What clippings say, and the same in words."""

    pairs: int
    grown_lb_ac: float
    grown_low_high: list[float] | None
    left_lb_ac: float
    eaten_lb_ac: float
    eaten_low_high: list[float] | None
    used_pct: float | None
    text: list[str]


@final
class HowMuchJson(TypedDict):
    """How much is planted, what others print, and what deer would eat of it."""

    planted_acres: float
    property_acres: float | None
    share_pct: float | None
    acres_by_kind: dict[str, float]
    ranges: list[PrintedRangeJson]
    forage: ForageBalanceJson | None
    clipped: ClippedToldJson | None
    text: list[str]


@final
class CautionJson(TypedDict):
    """What to mind, and who decides."""

    topic: str
    text: str
    defer_to: str
