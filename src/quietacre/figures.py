"""How numbers are said to people: one rule for paper, page, phone and sentences.

A half goes away from zero, as at school and in the page's own formatter; Python's
formatting would round 66.5 to 66 and 67.5 to 68. The page gets these tables with its data.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import TypedDict

from quietacre.units import (
    ACRE_FT2,
    ACRE_M2,
    FT_M,
    GAL_FL_OZ,
    GAL_L,
    HECTARE_M2,
    IN_M,
    LB_KG,
    LB_OZ,
    MILE_M,
    SHORT_TON_LB,
)

HA_AC = ACRE_M2 / HECTARE_M2
TON_T = SHORT_TON_LB * LB_KG / 1000
FL_OZ_ML = GAL_L * 1000 / GAL_FL_OZ
#: The page's data keep so many digits of a figure; paper says what they say.
DIGITS = 7


def as_sent(value: float) -> float:
    """Return a figure with the digits that the page has of it."""
    return float(f"{value:.{DIGITS}g}")


def number(value: float, places: int = 0) -> str:
    """Return a number with so many decimals, halves away from zero, commas in thousands."""
    return _rounded(as_sent(value), places)


def signed(value: float, places: int = 0) -> str:
    """Return a number with its sign, nothing for a zero."""
    text = number(value, places)
    return text if text.startswith("-") or text == _rounded(0.0, places) else f"+{text}"


def _rounded(value: float, places: int) -> str:
    if not math.isfinite(value):
        return str(value)
    exact = Decimal(repr(value)).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    return f"{exact or abs(exact):,}"


@dataclass(frozen=True)
class Unit:
    """A unit figures are said in: its word, how many make a US one, and decimals.

    ``few`` are the decimals of figures below the measure's ``small``.
    """

    word: str
    factor: float
    places: int
    few: int


@dataclass(frozen=True)
class Measure:
    """How one kind of figure is said. ``small`` is in US units.

    With ``never_nothing`` a figure that is not zero gets two more decimals where it would
    be said as zero.
    """

    us: Unit
    metric: Unit
    small: float = 0.0
    never_nothing: bool = False

    def said(self, value: float, *, metric: bool = False) -> str:
        """Return a figure in US units as it is said, with its unit."""
        unit = self.metric if metric else self.us
        value = as_sent(value)
        places = unit.few if value < self.small else unit.places
        text = _rounded(value * unit.factor, places)
        if self.never_nothing and value and text == _rounded(0.0, places):
            text = _rounded(value * unit.factor, places + 2)
        return f"{text} {unit.word}"


def _measure(
    us: tuple[str, int], metric: tuple[str, float, int], *, small: float = 0.0,
    few: tuple[int, int] | None = None, never_nothing: bool = False,
) -> Measure:  # fmt: skip
    low, low_metric = few or (us[1], metric[2])
    return Measure(
        Unit(us[0], 1.0, us[1], low), Unit(*metric, low_metric), small, never_nothing
    )


MEASURES = {
    "acres": _measure(("ac", 2), ("ha", HA_AC, 2)),
    "feet": _measure(("ft", 0), ("m", FT_M, 0), small=160.0, few=(0, 1)),
    "pounds": _measure(
        ("lb", 0), ("kg", LB_KG, 1), small=100.0, few=(1, 1), never_nothing=True
    ),
    "rate": _measure(("lb/ac", 1), ("kg/ha", LB_KG / HA_AC, 1), never_nothing=True),
    "gallons": _measure(("gal", 1), ("L", GAL_L, 1), never_nothing=True),
    "tons": _measure(("tons", 2), ("t", TON_T, 2), never_nothing=True),
    "fluid_ounces": _measure(("fl oz", 1), ("mL", FL_OZ_ML, 0), never_nothing=True),
}
#: Units that sentences are written in, what one of them is, and its metric name.
SENTENCE_UNITS = {
    "lb/ac": (LB_KG / HA_AC, "kg/ha"), "lb": (LB_KG, "kg"), "oz": (LB_KG * 1000 / LB_OZ, "g"),
    "fl oz": (FL_OZ_ML, "mL"), "sq ft": (FT_M**2, "m²"), "ft": (FT_M, "m"),
    "in.": (IN_M * 1000, "mm"), "in": (IN_M * 1000, "mm"), "gal/ac": (GAL_L / HA_AC, "L/ha"),
    "gal": (GAL_L, "L"), "tons/ac": (TON_T / HA_AC, "t/ha"), "ton/ac": (TON_T / HA_AC, "t/ha"),
    "tons": (TON_T, "t"), "ton": (TON_T, "t"), "ac": (HA_AC, "ha"), "acres": (HA_AC, "ha"),
    "mph": (MILE_M / 1000, "km/h"), "mi": (MILE_M / 1000, "km"),
}  # fmt: skip
#: Units that are a common word too, and what follows where they are a unit.
WORDS_TOO = {"in": r"(?= (?:deep|from|within|of rain)|[,;)])"}
_NUMBER = r"\d[\d,]*(?:\.\d+)?"
_UNITS = "|".join(
    re.escape(unit) + WORDS_TOO.get(unit, "")
    for unit in sorted(SENTENCE_UNITS, key=lambda unit: -len(unit))
)
#: A figure with its unit in a sentence, or two of a range: low, what joins them, high, unit.
#: It is read the same by Python and by the page's script.
SENTENCE_FIGURE = rf"({_NUMBER})(?:(-|–| to )({_NUMBER}))? ({_UNITS})(?![\w/])"
#: What stands in quotation marks is a name, and keeps its figures.
QUOTED = "(“[^”]*”)"
#: Decimals of a figure in a metric sentence: one for each of these that it stays below.
SENTENCE_STEPS = (1.0, 10.0, 100.0)


def sentence_figure(value: float) -> str:
    """Return a figure of a metric sentence: the smaller, the more decimals."""
    return _rounded(value, sum(value < most for most in SENTENCE_STEPS))


def acres(area_ac: float) -> str:
    """Return an area in words: "2.31 ac"."""
    return MEASURES["acres"].said(area_ac)


def feet(length_ft: float) -> str:
    """Return a length in words: "67 ft"."""
    return MEASURES["feet"].said(length_ft)


#: Under this, seeds are counted by the acre, as planters are set. [1/sq ft]
FEW_SEEDS_FT2 = 5.0


def seeds(count_ft2: float, *, live: bool) -> str:
    """Return seeds in words: "39.0 live seeds a sq ft", of a crop of few "15,000 seeds an acre"."""
    what = "live seeds" if live else "seeds"
    if count_ft2 >= FEW_SEEDS_FT2:
        return f"{number(count_ft2, 1)} {what} a sq ft"
    return f"{number(round(count_ft2 * ACRE_FT2, -2))} {what} an acre"


class UnitOfPage(TypedDict):
    """A unit as the page's script reads it: how many make a US one, and the decimals said."""

    word: str
    factor: float
    places: int
    few: int


class MeasureOfPage(TypedDict):
    """What is measured, in US and metric units, as the page's script reads it."""

    small: float
    neverNothing: bool
    us: UnitOfPage
    metric: UnitOfPage


class FiguresOfPage(TypedDict):
    """How figures are said, as the page's script reads it.

    ``sentences`` are factor and word of each unit in a text, ``sentence`` and ``quoted`` the
    patterns by which its figures and its names are found; ``steps`` are the sizes below each
    of which such a figure has one more decimal.
    """

    measures: dict[str, MeasureOfPage]
    sentences: dict[str, list[float | str]]
    sentence: str
    quoted: str
    steps: list[float]
    acre_m2: float


def for_page() -> FiguresOfPage:
    """Return the tables as the page's script reads them."""
    return {
        "measures": {
            name: {
                "small": measure.small,
                "neverNothing": measure.never_nothing,
                "us": _unit_of_page(measure.us),
                "metric": _unit_of_page(measure.metric),
            }
            for name, measure in MEASURES.items()
        },
        "sentences": {unit: list(words) for unit, words in SENTENCE_UNITS.items()},
        "sentence": SENTENCE_FIGURE,
        "quoted": QUOTED,
        "steps": list(SENTENCE_STEPS),
        "acre_m2": ACRE_M2,
    }


def _unit_of_page(unit: Unit) -> UnitOfPage:
    return {
        "word": unit.word,
        "factor": unit.factor,
        "places": unit.places,
        "few": unit.few,
    }


def money(value: float | None) -> str:
    """Return dollars and cents, nothing for nothing."""
    return "" if value is None else f"${number(value, 2)}"
