"""What is told of amounts: the lines of a piece of ground, of the list to buy, of the shed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping

    from quietacre.model import Note
    from quietacre.need.done import Done
    from quietacre.need.spray import TankPlan


@dataclass(frozen=True, slots=True)
class SeedLine:
    """One crop of a mix on a piece of ground.

    ``rate_lb_ac`` counts as ``basis`` says, ``bulk_lb_ac`` is out of the bag; ``pls_frac`` is
    the part of it that is live seed. ``lb_low`` and ``lb_high`` are for the low and the high
    acreage. ``pass_`` is the pass it goes out in; ``planting`` the key of its planting.
    """

    mix: str
    pass_: int
    crop: str
    method: str
    basis: str
    rate_lb_ac: float
    pls_frac: float
    bulk_lb_ac: float
    depth_in: tuple[float, float] | None
    seeds_per_lb: float | None
    seeds_from_memory: bool
    seeds_ft2: float | None
    in_mix_lb_ac: tuple[float, float] | None
    windows: Mapping[str, str]
    own_window: str | None
    inoculant: str | None
    from_memory: bool
    source: str
    note: str | None
    lb: float
    lb_low: float
    lb_high: float
    planting: str | None = None

    JSON_MAY_LACK: ClassVar = ("planting",)


@dataclass(frozen=True, slots=True)
class FertilizerLine:
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
    on: dt.date | None
    planting: str | None = None

    JSON_MAY_LACK: ClassVar = ("planting",)

    def nutrient_lb_ac(self, nutrient: str) -> float:
        """Return what it brings of a nutrient ("n", "p2o5", "k2o", "s"). [lb/ac]"""
        return {
            "n": self.n_lb_ac,
            "p2o5": self.p2o5_lb_ac,
            "k2o": self.k2o_lb_ac,
            "s": self.s_lb_ac,
        }[nutrient]


@dataclass(frozen=True, slots=True)
class LimeLine:
    """The lime of a piece of ground; ``ton`` is what is spread now, with its range."""

    whole_ton_ac: float
    parts_ton_ac: tuple[float, ...]
    ton_ac: float
    ton: float
    ton_low: float
    ton_high: float
    product: str | None
    basis: str
    text: str
    months_ahead: tuple[int, int]


@dataclass(frozen=True, slots=True)
class SprayLine:
    """One spray of a piece of ground; ``done`` and ``left`` are of its product, in its unit."""

    tank: TankPlan
    acres: float
    share: float
    on: dt.date | None
    done: float
    left: float
    gal_low: float
    gal_high: float
    minutes: float

    JSON_FLAT: ClassVar = ("tank",)


@dataclass(frozen=True, slots=True)
class Unmet:
    """A nutrient that no product brings as asked, and why. [lb]"""

    nutrient: str
    lb: float
    when: str
    why: str


@dataclass(frozen=True, slots=True)
class LeftShort:
    """What the person's own choice leaves out of a nutrient. [lb]"""

    nutrient: str
    lb: float
    asked_lb: float


@dataclass(frozen=True, slots=True)
class Work:
    """One job on one piece of ground: minutes in all, passes over it and loads filled."""

    minutes: float
    passes: int
    loads: int
    text: str  # "3 passes, 5 loads"; blank when there is one pass and at most one load
    note: str = ""

    JSON_KEYS: ClassVar = ("minutes", "passes", "loads", "text")


@dataclass(frozen=True, slots=True)
class Need:
    """What one planting of an area, or one strip, takes.

    ``cost`` is its share of what is bought [US dollars]; ``setting`` how to set the machines;
    ``work`` the minutes, passes and loads by job. The pounds an acre by nutrient are those
    asked for, spread before, given in all, and given beyond what is asked; None where nothing
    is fertilized. ``asked_of`` says whose figures they are. ``left_out_n_lb_ac`` is nitrogen left out ahead of legumes.
    """

    seed: tuple[SeedLine, ...]
    fertilizer: tuple[FertilizerLine, ...]
    lime: LimeLine | None
    spray: tuple[SprayLine, ...]
    setting: tuple[str, ...]
    cost: float | None
    cost_ac: float | None
    notes: tuple[Note, ...]
    work: Mapping[str, Work]
    left_out_n_lb_ac: float | None
    asked_lb_ac: Mapping[str, float] | None
    asked_of: str | None
    done_lb_ac: Mapping[str, float] | None
    unmet: tuple[Unmet, ...] | None
    given_lb_ac: Mapping[str, float] | None
    surplus_lb_ac: Mapping[str, float] | None
    left_short: tuple[LeftShort, ...] | None
    done: tuple[Done, ...]

    JSON_MAY_LACK: ClassVar = ("left_out_n_lb_ac", "asked_lb_ac", "asked_of", "done_lb_ac", "unmet",
                               "given_lb_ac", "surplus_lb_ac", "left_short")  # fmt: skip


@dataclass(frozen=True, slots=True)
class UsedBy:
    """What one piece of ground takes of a line of the list."""

    area: str
    id: str
    amount: float


@dataclass(frozen=True, slots=True)
class ListedItem:
    """One line of the shopping list as it is told; amounts in ``unit``, prices in dollars.

    ``need`` is what is asked in all, ``left`` what is still to go out, ``buy`` what the shed
    does not hold; ``packs`` are whole ones of ``pack``, None of what is bought loose.
    """

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
    used_by: tuple[UsedBy, ...]
    name: str | None
    tons: float | None
    tank_loads: int | None
    left_over: float | None
    note: str | None

    @property
    def not_priced(self) -> bool:
        """Return whether it is bought at a price nobody gave."""
        return not_priced(self.price, self.buy, self.what)


def not_priced(price: float | None, buy: float, what: str) -> bool:
    """Return whether a line is bought at a price nobody gave; packets are no such line."""
    return price is None and buy > 0 and what != "inoculant"


@dataclass(frozen=True, slots=True)
class OnHand:
    """What the shed holds of one thing: counted, bought and used since, and what is left.

    ``more_used`` is what was used beyond that; ``dated`` whether the count has a day.
    """

    item: str
    unit: str
    counted: float
    counted_on: dt.date | None
    bought: float
    used: float
    on_hand: float
    more_used: float
    dated: bool


@dataclass(frozen=True, slots=True)
class Spent:
    """Dollars of a year: spent on what the plan takes, on the rest, on work; still to spend."""

    year: int | None
    planned: float
    other: float
    work: float
    total: float
    still: float | None


@dataclass(frozen=True, slots=True)
class RunnerUp:
    """A fertilizer plan that does without one product of the better ones; ``more`` dollars."""

    cost: float
    more: float
    bags: Mapping[str, int]
    products: tuple[str, ...]
    proof: str


@dataclass(frozen=True, slots=True)
class FertilizerPlan:
    """Which fertilizers were chosen, at what cost, and how near the best that is known to be.

    ``said`` is what the terminal says too, ``text`` all of it.
    """

    status: str
    gap: float
    cost: float
    bags: Mapping[str, int]
    proof: str
    runners_up: tuple[RunnerUp, ...]
    text: tuple[str, ...]
    said: tuple[str, ...]
