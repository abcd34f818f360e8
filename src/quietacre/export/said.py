"""Figures as a person says them, in US or metric units."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from quietacre.days import say_day, say_month_day
from quietacre.units import ACRE_M2, FT_M, GAL_FL_OZ, GAL_L, HECTARE_M2, LB_KG, SHORT_TON_LB

HA_AC = ACRE_M2 / HECTARE_M2
#: Below this many a figure keeps its decimal.
SMALL_FT, SMALL_LB = 160, 100


#: Units that sentences are written in, what one of them is, and its metric name; the page's
#: words.js has the same.
_UNITS = {
    "lb/ac": (LB_KG / HA_AC, "kg/ha"), "lb": (LB_KG, "kg"), "oz": (LB_KG * 1000 / 16, "g"),
    "fl oz": (GAL_L * 1000 / GAL_FL_OZ, "mL"), "sq ft": (FT_M**2, "m²"), "ft": (FT_M, "m"),
    "in.": (25.4, "mm"), "in": (25.4, "mm"), "gal/ac": (GAL_L / HA_AC, "L/ha"),
    "gal": (GAL_L, "L"), "tons/ac": (SHORT_TON_LB * LB_KG / 1000 / HA_AC, "t/ha"),
    "ton/ac": (SHORT_TON_LB * LB_KG / 1000 / HA_AC, "t/ha"),
    "tons": (SHORT_TON_LB * LB_KG / 1000, "t"), "ton": (SHORT_TON_LB * LB_KG / 1000, "t"),
    "ac": (HA_AC, "ha"), "acres": (HA_AC, "ha"), "mph": (1.609344, "km/h"), "mi": (1.609344, "km"),
}  # fmt: skip
_NUMBER = r"\d[\d,]*(?:\.\d+)?"
_FIGURE = re.compile(
    rf"({_NUMBER})(?:(-|–| to )({_NUMBER}))? (lb/ac|lb|oz|fl oz|sq ft|ft|in\."
    r"|in(?= (?:deep|from|within|of rain)|[,;)])|gal/ac|gal|tons?/ac|tons?|acres|ac|mph|mi)(?![\w/])"
)
_QUOTED = re.compile(r"(“[^”]*”)")


def _metric(found: re.Match[str]) -> str:
    low, to, high, unit = found.groups()
    factor, word = _UNITS[unit]

    def told(text: str) -> str:
        value = float(text.replace(",", "")) * factor
        places = sum(value < most for most in (1, 10, 100))
        return f"{value:,.{places}f}"

    return told(low) + (to + told(high) if high else "") + f" {word}"


@dataclass(frozen=True)
class Say:
    """Says figures; ``metric`` turns US units into metric ones."""

    metric: bool = False

    def acres(self, area_ac: float) -> str:
        """Return an area with its unit."""
        return f"{area_ac * HA_AC:,.2f} ha" if self.metric else f"{area_ac:,.2f} ac"

    def feet(self, length_ft: float) -> str:
        """Return a length with its unit."""
        if self.metric:
            return f"{length_ft * FT_M:,.{1 if length_ft < SMALL_FT else 0}f} m"
        return f"{length_ft:,.0f} ft"

    def pounds(self, weight_lb: float) -> str:
        """Return a weight with its unit."""
        if self.metric:
            return f"{weight_lb * LB_KG:,.1f} kg"
        return f"{weight_lb:,.{1 if weight_lb < SMALL_LB else 0}f} lb"

    def rate(self, rate_lb_ac: float) -> str:
        """Return a rate with its unit."""
        if self.metric:
            return f"{rate_lb_ac * LB_KG / HA_AC:,.1f} kg/ha"
        return f"{rate_lb_ac:,.1f} lb/ac"

    def gallons(self, volume_gal: float) -> str:
        """Return a volume with its unit."""
        if self.metric:
            return f"{volume_gal * GAL_L:,.1f} L"
        return f"{volume_gal:,.1f} gal"

    def tons(self, weight_ton: float) -> str:
        """Return a weight in tons with its unit."""
        if self.metric:
            return f"{weight_ton * SHORT_TON_LB * LB_KG / 1000:,.2f} t"
        return f"{weight_ton:,.2f} tons"

    def amount(self, value: float, unit: str) -> str:
        """Return an amount of a thing sold by pound, fluid ounce or otherwise."""
        if unit == "lb":
            return self.pounds(value)
        if unit == "fl oz":
            if self.metric:
                return f"{value / GAL_FL_OZ * GAL_L * 1000:,.0f} mL"
            return f"{value:,.1f} fl oz"
        return f"{value:,.1f} {unit}"

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
        """Return a sentence with its figures in these units; names in quotes stay."""
        if not self.metric:
            return text
        parts = _QUOTED.split(text)
        return "".join(
            part if part.startswith("“") else _FIGURE.sub(_metric, part) for part in parts
        )

    def cost_of_area(self, dollars_ac: float) -> str:
        """Return what an acre or a hectare costs."""
        if self.metric:
            return f"{money(dollars_ac / HA_AC)} a hectare"
        return f"{money(dollars_ac)} an acre"

    def pack(self, value: float, unit: str) -> str:
        """Return the size of a pack: a whole one without its decimal."""
        return self.amount(value, unit).replace(".0 ", " ")


def minutes(value: float) -> str:
    """Return a stretch of time: minutes, or hours from an hour and a half on."""
    return f"{value:.0f} min" if value < 90 else f"{value / 60:,.1f} h"  # noqa: PLR2004


def money(value: float | None) -> str:
    """Return dollars and cents, nothing for nothing."""
    return "" if value is None else f"${value:,.2f}"


def day(iso: str, *, year: bool = True) -> str:
    """Return a date as "Sat, August 14, 2027"; the page says it the same way."""
    date = dt.date.fromisoformat(iso)
    return f"{date:%a}, {say_day(date, year=year)}"


def span(first: str, last: str) -> str:
    """Return the days from one date to another: "August 14 to September 2"."""
    return f"{say_month_day(first[5:])} to {say_month_day(last[5:])}"
