"""What is on hand, and what was spent: the stock as it was counted, bought and used since."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.record.goods import Good

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Sequence

    from quietacre.record.goods import Goods
    from quietacre.record.moved import Line
    from quietacre.record.uses import Use
    from quietacre.settings import Property, Stock


@dataclass(frozen=True)
class Held:
    """One thing in the shed, in its own unit.

    ``counted`` is the typed stock of the day ``counted_on``; ``bought`` and ``used`` are of
    the days after it. ``dated`` is False when the stock has no day: then no line changes it,
    and ``bought`` and ``used`` tell what the log has of it all the same.
    """

    item: str
    unit: str
    counted: float = 0.0
    counted_on: dt.date | None = None
    dated: bool = True
    first: dt.date | None = None  # the first purchase, where nothing was counted
    bought: float = 0.0
    used: float = 0.0

    def changes_on(self, day: dt.date) -> bool:
        """Return whether a line of a day changes what is on hand."""
        if self.counted_on is not None:
            return self.dated and day > self.counted_on
        return self.dated and self.first is not None and day >= self.first

    @property
    def balance(self) -> float:
        """Return what must be there by the log; below 0 where a purchase is missing."""
        return self.counted + (self.bought - self.used if self.dated else 0.0)

    @property
    def on_hand(self) -> float:
        """Return what is there, never less than nothing."""
        return max(self.balance, 0.0)


@dataclass(frozen=True)
class Bought:
    """One purchase, in the unit of its item; ``counts`` is False where nobody can say how much.

    ``how`` is "written", or "plan" or "price" where the line says no amount.
    """

    on: dt.date
    line: int
    item: str
    amount: float
    price_usd: float | None
    how: str
    counts: bool = True


def bought_of(
    lines: Sequence[Line], goods: Goods, wanted: Callable[[str], float]
) -> tuple[Bought, ...]:
    """Return the purchases. Without an amount: by what was paid, else what the plan wants.

    Parameters
    ----------
    lines : what was moved.
    goods : what the property buys, for the price of a pack.
    wanted : how much of an item the plan takes in all, in its unit.
    """
    out: list[Bought] = []
    had: dict[str, float] = {}  # what was bought so far, by item
    for line in lines:
        if not line.bought:
            continue
        good = goods.known.get(line.item, Good(line.item, "", "lb", None, None))
        amount, how = line.amount, "written"
        if amount is None:
            amount, how = _without_amount(line, good, had.get(line.item, 0.0), wanted)
        price = line.price_usd
        if price is None and amount and good.price_usd is not None:
            packs = amount / (good.pack or 1.0)
            price, how = good.price_usd * packs, f"{how}, unpriced"
        had[line.item] = had.get(line.item, 0.0) + (amount or 0.0)
        out.append(
            Bought(line.on, line.number, line.item, amount or 0.0, price, how,
                   amount is not None)
        )  # fmt: skip
    return tuple(out)


def _without_amount(
    line: Line, good: Good, had: float, wanted: Callable[[str], float]
) -> tuple[float | None, str]:
    """Return what a purchase without an amount is taken for, None when nobody can say.

    ``had`` is what was bought of it before.
    """
    pack = good.pack or 1.0
    if line.price_usd and good.price_usd:
        return pack * max(round(line.price_usd / good.price_usd), 1), "price"
    whole = wanted(line.item) if line.item else 0.0
    if whole <= 0:
        return None, "plan"
    return pack * math.ceil(max(whole - had, 0.0) / pack - 1e-9), "plan"


def stock_of(
    prop: Property, goods: Goods, bought: Sequence[Bought], uses: Sequence[Use]
) -> dict[str, Held]:
    """Return what is on hand of each item that is in stock or was bought.

    A stock's own day does not count: what was bought or used on it is in the count. Lines
    before it are in the count too. Without stock the log keeps count from the first purchase
    on: what was used before came from what nobody wrote down.
    """
    shed = {}
    counts: dict[str, list[Stock]] = {}
    for stock in prop.stock:
        counts.setdefault(goods.item(stock.item), []).append(stock)
    for item, stocks in counts.items():
        good = goods.known.get(item, Good(item, "", "lb", None, None))
        days = [stock.on for stock in stocks]
        known = [day for day in days if day is not None]
        shed[item] = Held(
            item, good.unit, sum(counted(stock, good) for stock in stocks),
            max(known, default=None), len(known) == len(days),
        )  # fmt: skip
    came: dict[str, float] = {}
    went: dict[str, float] = {}
    first: dict[str, dt.date] = {}
    for one in bought:
        if one.item and one.counts and _after(shed.get(one.item), one.on):
            came[one.item] = came.get(one.item, 0.0) + one.amount
            first[one.item] = min(first.get(one.item, one.on), one.on)
    for use in uses:
        begun = use.item in shed or (use.item in first and use.on >= first[use.item])
        if begun and _after(shed.get(use.item), use.on):
            went[use.item] = went.get(use.item, 0.0) + use.amount
    for item in dict.fromkeys((*came, *went)):
        unit = goods.known[item].unit if item in goods.known else "lb"
        held = shed.get(item) or Held(item, unit)
        shed[item] = replace(
            held,
            bought=came.get(item, 0.0),
            used=went.get(item, 0.0),
            first=first.get(item),
        )
    return shed


def _after(held: Held | None, day: dt.date) -> bool:
    """Return whether a day is after that of a count, or nothing was counted."""
    return held is None or held.counted_on is None or day > held.counted_on


def counted(stock: Stock, good: Good) -> float:
    """Return a typed stock in the unit of its item."""
    if good.unit == "fl oz":
        return stock.amount_fl_oz or (stock.bags or 0.0) * (good.pack or 0.0)
    return (stock.amount_lb or 0.0) + (stock.bags or 0.0) * (good.pack or 0.0)


def spent_of(bought: Sequence[Bought], first: dt.date, last: dt.date) -> dict[str, float]:
    """Return dollars spent from one day to another, by item; "" is what nobody named. [$]"""
    spent: dict[str, float] = {}
    for one in bought:
        if one.price_usd is not None and first <= one.on <= last:
            spent[one.item] = spent.get(one.item, 0.0) + one.price_usd
    return spent
