"""Figures as a person says them, in US or metric units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.figures import (
    MEASURES,
    money,
    number,
    printed,
)
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    import datetime as dt

    from quietacre.need.records import Spent


@dataclass(frozen=True)
class Say:
    """Says figures; ``metric`` turns US units into metric ones."""

    metric: bool = False

    def _said(self, measure: str, value: float) -> str:
        return MEASURES[measure].said(value, metric=self.metric)

    def acres(self, area_ac: float) -> str:
        """Return an area with its unit."""
        return self._said("ac", area_ac)

    def feet(self, length_ft: float) -> str:
        """Return a length with its unit."""
        return self._said("ft", length_ft)

    def inches(self, depth_in: float) -> str:
        """Return a depth of rain with its unit."""
        return self._said("in", depth_in)

    def pounds(self, weight_lb: float) -> str:
        """Return a weight with its unit."""
        return self._said("lb", weight_lb)

    def rate(self, rate_lb_ac: float) -> str:
        """Return a rate with its unit."""
        return self._said("lb/ac", rate_lb_ac)

    def gallons(self, volume_gal: float) -> str:
        """Return a volume with its unit."""
        return self._said("gal", volume_gal)

    def tons(self, weight_ton: float) -> str:
        """Return a weight in tons with its unit."""
        return self._said("tons", weight_ton)

    def amount(self, value: float, unit: str) -> str:
        """Return an amount of a thing sold by pound, fluid ounce or otherwise."""
        if unit.partition(" ")[0] == "lb":  # or of something: "lb of seed"
            return self.pounds(value) + unit.removeprefix("lb")
        if unit == "fl oz":
            return self._said("fl oz", value)
        return f"{number(value, 1)} {unit}"

    def needed(self, value: float, unit: str, pack: float | None) -> str:
        """Return an amount to buy: in tons where it is sold by the ton."""
        if unit == "lb" and pack == SHORT_TON_LB:
            return self.tons(value / SHORT_TON_LB)
        return self.amount(value, unit)

    def packs(self, count: int, pack: float, unit: str) -> str:
        """Return how many packs to buy: "5 × 50 lb", or "21 tons" of what comes loose."""
        if unit == "lb" and pack == SHORT_TON_LB and not self.metric:
            return f"{count} ton{'' if count == 1 else 's'}"
        return f"{count} × {self.pack(pack, unit)}"

    def words(self, text: str) -> str:
        """Return a text with its figures in these units."""
        return printed(text, metric=self.metric)

    def cost_of_area(self, dollars_ac: float) -> str:
        """Return what an acre or a hectare costs."""
        return self._said("$ an acre", dollars_ac)

    def pack(self, value: float, unit: str) -> str:
        """Return the size of a pack: a whole one without its decimal."""
        return self.amount(value, unit).replace(".0 ", " ")


def minutes(value: float) -> str:
    """Return a stretch of time: minutes, or hours from an hour and a half on."""
    return f"{number(value)} min" if value < 90 else f"{number(value / 60, 1)} h"  # noqa: PLR2004


def spent_words(spent: Spent) -> str:
    """Return what was spent this year, that on work by itself; blank when nothing was."""
    if not spent.total:
        return ""
    work = (
        f", of it {money(spent.work)} on work hired, or bought with it"
        if spent.work
        else ""
    )
    return f"spent in {spent.year}: {money(spent.total)}{work}"


def day(date: dt.date, *, year: bool = True) -> str:
    """Return a date as "Sat, August 14, 2027"; the page says it the same way."""
    return f"{date:%a}, {say_day(date, year=year)}"


def span(first: dt.date, last: dt.date) -> str:
    """Return the days from one date to another: "August 14 to September 2"."""
    return f"{say_day(first)} to {say_day(last)}"
