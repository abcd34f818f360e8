"""How numbers are said to people: one rule for paper, page, phone and sentences.

A half goes away from zero, as at school and in the page's own formatter; Python's
formatting would round 66.5 to 66 and 67.5 to 68. The page gets these tables with its data.

A figure in a text is a value until the text is printed: `figure` marks it, and `printed` says
it in the units that are asked for, where terminal, paper, page and files begin.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

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

if TYPE_CHECKING:
    from collections.abc import Sequence

HA_AC = ACRE_M2 / HECTARE_M2
TON_T = SHORT_TON_LB * LB_KG / 1000
FL_OZ_ML = GAL_L * 1000 / GAL_FL_OZ
#: The page's data keep so many digits of a figure; paper says what they say.
DIGITS = 7


def as_sent(value: float) -> float:
    """Return a figure with the digits that the page has of it."""
    return float(f"{value:.{DIGITS}g}")


def number(value: float, places: int = 0) -> str:
    """Return a number with so many decimals, halves away from zero, commas in thousands.

    Less than no decimals round to tens and hundreds.
    """
    return _rounded(as_sent(value), places)


def signed(value: float, places: int = 0) -> str:
    """Return a number with its sign, nothing for a zero."""
    return _with_sign(number(value, places))


def _rounded(value: float, places: int) -> str:
    if not math.isfinite(value):
        return str(value)
    exact = Decimal(repr(value)).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    return f"{int(exact) if places < 0 else exact or abs(exact):,}"


@dataclass(frozen=True)
class Unit:
    """A unit figures are said in: its word, how many make a US one, and decimals.

    Decimals below 0 round to tens and hundreds, where a figure is not known to the last one.
    ``places`` are the decimals, ``few`` those of figures below the measure's ``small``; None
    gives the smaller figures the more of them. ``zero`` is what is added to a figure turned
    by the factor, ``lead`` what stands before it. ``fewer`` are the decimals that a metric
    figure has less than others of its size: a tenth of a millimeter is nothing in a field.
    """

    word: str
    factor: float
    places: int | None
    few: int | None
    zero: float = 0.0
    lead: str = ""
    fewer: int = 0


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

    def said(self, value: float, *, metric: bool = False, places: int | None = None) -> str:
        """Return a figure in US units as it is said, with its unit."""
        unit = self.metric if metric else self.us
        return f"{self.number(value, metric=metric, places=places)} {unit.word}"

    def number(
        self, value: float, *, metric: bool = False, places: int | None = None
    ) -> str:
        """Return a figure in US units as it is said, without the word of its unit.

        Parameters
        ----------
        value : the figure in US units.
        metric : whether it is said in metric ones.
        places : decimals of the US figure, ``AS_IT_IS`` for those that it has; the metric one
            then has the more decimals, the smaller it is. None for those of the measure.
        """
        unit = self.metric if metric else self.us
        value = as_sent(value)
        told = value * unit.factor + unit.zero
        if places is not None:
            return unit.lead + (
                _by_size(told, unit.fewer) if metric else _with_places(told, places)
            )
        decimals = unit.few if value < self.small else unit.places
        if decimals is None:
            return unit.lead + _by_size(told, unit.fewer)
        text = _rounded(told, decimals)
        if self.never_nothing and value and text == _rounded(0.0, decimals):
            text = _rounded(told, decimals + 2)
        return unit.lead + text


#: For ``places``: as many decimals as a figure has, four at most.
AS_IT_IS = -1
MOST_PLACES = 4
#: Where the measure does not say it, a metric figure has one decimal for each of these that it
#: stays below.
SIZES = (1.0, 10.0, 100.0)


def _by_size(value: float, fewer: int = 0) -> str:
    """Return a number with the more decimals, the smaller it is; next to nothing is 0."""
    places = max(sum(abs(value) < most for most in SIZES) - fewer, 0)
    told = (_rounded(value, places), _rounded(value, places + 2))
    return next((text for text in told if re.search("[1-9]", text)), "0")


def _with_places(value: float, places: int) -> str:
    if places != AS_IT_IS:
        return _rounded(value, places)
    text = _rounded(value, MOST_PLACES)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _measure(
    us: tuple[str, int], metric: tuple[str, float, int | None], *, small: float = 0.0,
    few: tuple[int, int] | None = None, never_nothing: bool = False, fewer: int = 0,
) -> Measure:  # fmt: skip
    low, low_metric = few or (us[1], metric[2])
    return Measure(
        Unit(us[0], 1.0, us[1], low),
        Unit(*metric, low_metric, fewer=fewer),
        small,
        never_nothing,
    )


#: What figures are said in, by the word of the US unit. Python, page and papers read it.
MEASURES = {
    "ac": _measure(("ac", 2), ("ha", HA_AC, 2)),
    "ac measured": _measure(
        ("ac", 3), ("ha", HA_AC, 3)
    ),  # of a file: nothing is planned on it
    "acres": _measure(("acres", 2), ("ha", HA_AC, 2)),
    "acres an hour": _measure(("acres an hour", 1), ("ha an hour", HA_AC, None)),
    "deer-days an acre": _measure(
        ("deer-days an acre", 0), ("deer-days a hectare", 1 / HA_AC, 0)
    ),
    "ft": _measure(("ft", 0), ("m", FT_M, 0), small=160.0, few=(0, 1)),
    "in": _measure(("in", 1), ("mm", IN_M * 1000, None), fewer=1),
    "in.": _measure(("in.", 1), ("mm", IN_M * 1000, None), fewer=1),
    "inches": _measure(("inches", 0), ("mm", IN_M * 1000, 0)),
    "mi": _measure(("mi", 1), ("km", MILE_M / 1000, None)),
    "miles": _measure(("miles", 0), ("km", MILE_M / 1000, None)),
    "mph": _measure(("mph", 1), ("km/h", MILE_M / 1000, None)),
    "sq ft": _measure(("sq ft", 0), ("m²", FT_M**2, None), fewer=1),
    "lb": _measure(
        ("lb", 0), ("kg", LB_KG, 1), small=100.0, few=(1, 1), never_nothing=True
    ),
    "oz": _measure(("oz", 1), ("g", LB_KG * 1000 / LB_OZ, None)),
    "lb/ac": _measure(("lb/ac", 1), ("kg/ha", LB_KG / HA_AC, 1), never_nothing=True),
    "gal": _measure(("gal", 1), ("L", GAL_L, 1), never_nothing=True),
    "gal/ac": _measure(("gal/ac", 1), ("L/ha", GAL_L / HA_AC, None)),
    "gal a minute": _measure(("gal a minute", 2), ("L a minute", GAL_L, None)),
    "gal/min": _measure(("gal/min", 2), ("L/min", GAL_L, None)),
    "tons": _measure(("tons", 2), ("t", TON_T, 2), never_nothing=True),
    "tons/ac": _measure(("tons/ac", 2), ("t/ha", TON_T / HA_AC, None)),
    "ton/ac": _measure(("ton/ac", 2), ("t/ha", TON_T / HA_AC, None)),
    "tons an acre": _measure(("tons an acre", 2), ("t a hectare", TON_T / HA_AC, None)),
    "tons of lime an acre": _measure(
        ("tons of lime an acre", 2), ("t of lime a hectare", TON_T / HA_AC, None)
    ),
    "fl oz": _measure(("fl oz", 1), ("mL", FL_OZ_ML, 0), never_nothing=True),
    "fl oz/ac": _measure(("fl oz/ac", 1), ("mL/ha", FL_OZ_ML / HA_AC, None)),
    "seeds on a foot of row": _measure(
        ("seeds on a foot of row", 2), ("seeds on a meter of row", 1 / FT_M, None)
    ),
    "seeds a sq ft": _measure(("seeds a sq ft", 1), ("seeds a m²", FT_M**-2, None)),
    "live seeds a sq ft": _measure(
        ("live seeds a sq ft", 1), ("live seeds a m²", FT_M**-2, None)
    ),
    "seeds a square foot": _measure(
        ("seeds a square foot", 1), ("seeds a m²", FT_M**-2, None)
    ),
    "seeds an acre": _measure(("seeds an acre", 0), ("seeds a hectare", 1 / HA_AC, -2)),
    "live seeds an acre": _measure(
        ("live seeds an acre", 0), ("live seeds a hectare", 1 / HA_AC, -2)
    ),
    "seeds a pound": _measure(("seeds a pound", 0), ("seeds a kg", 1 / LB_KG, -2)),
    "a pound": _measure(("a pound", 0), ("a kg", 1 / LB_KG, -2)),
    "$ an acre": Measure(
        Unit("an acre", 1.0, 2, 2, lead="$"), Unit("a hectare", 1 / HA_AC, 2, 2, lead="$")
    ),
    "°F": Measure(Unit("°F", 1.0, 0, 0), Unit("°C", 5 / 9, 0, 0, zero=-160 / 9)),
    "°F days": _measure(("°F days", 0), ("°C days", 5 / 9, 0)),
}
#: What a figure in a text stands between, until it is printed: unit, decimals with a + before
#: them for a sign and a * behind them for no word of the unit, and its value or several with
#: what joins them.
BEFORE, AFTER, BAR = "⟦", "⟧", "|"
SIGN, BARE = "+", "*"
MARK = f"{BEFORE}([^{BEFORE}{AFTER}]*){AFTER}"
_MARK = re.compile(MARK)
#: What stands, in place of decimals, before the words that say a figure in US units.
OWN_WORDS = "="
#: A figure in a text of a shipped table: {8 ft}, {10-20 ft}, {half an inch=0.5 in}.
_WRITTEN = re.compile(
    r"\{(?:([^={}]+)=)?(\d[\d.]*)(?:( to | by |-|–)(\d[\d.]*))? ([^{}]+)\}"
)


def figure(
    value: float, unit: str, places: int | None = None, *, to: float | None = None,
    joined: str = "–", sign: bool = False, bare: bool = False,
) -> str:  # fmt: skip
    """Return a figure for a text: it stays a value until `printed` says it.

    Parameters
    ----------
    value : the figure in US units.
    unit : a word of ``MEASURES``.
    places : decimals in US units, ``AS_IT_IS`` for those that it has, None for those of the unit.
    to : the other end of a range, which ``joined`` joins to the first: "10–12 lb/ac".
    sign, bare : as for `figures_in`.
    """
    values = [value] if to is None else [value, to]
    return figures_in(unit, values, places, joined, sign=sign, bare=bare)


def span_of(
    low: float, high: float | None, unit: str, places: int = AS_IT_IS, *, bare: bool = False
) -> str:
    """Return a printed range for a text: "60-80 lb/ac", "60 lb/ac", "60 or more lb/ac"."""
    if high is None:
        return f"{figure(low, unit, places, bare=bare)[: -len(AFTER)]}{BAR} or more{AFTER}"
    return figure(
        low, unit, places, to=None if low == high else high, joined="-", bare=bare
    )


def in_words(words: str, value: float, unit: str) -> str:
    """Return a figure for a text that is said in words in US units: "half an inch"."""
    if unit not in MEASURES:
        raise KeyError(unit)
    return f"{BEFORE}{BAR.join([unit, OWN_WORDS + words, repr(as_sent(value))])}{AFTER}"


def with_figures(text: str) -> str:
    """Return a text of a shipped table with its figures, written as {8-10 ft}, as values."""
    return _WRITTEN.sub(_written, text) if "{" in text else text


def _written(match: re.Match[str]) -> str:
    words, first, joined, last, unit = match.groups()
    if words:
        return in_words(words, float(first), unit)
    to = float(last) if last else None
    return figure(float(first), unit, AS_IT_IS, to=to, joined=joined or "")


def figures_in(
    unit: str, values: Sequence[float], places: int | None = None, joined: str = ", ",
    last: str | None = None, *, sign: bool = False, bare: bool = False,
) -> str:  # fmt: skip
    """Return several figures of one unit for a text, as "8, 10 and 12 ft".

    ``joined`` stands between them, ``last`` before the last one where it is another. With
    ``sign`` a figure above zero has its +, with ``bare`` the word of the unit is left out.
    """
    if unit not in MEASURES:
        raise KeyError(unit)
    told = [f"{as_sent(value)!r}" for value in values]
    between = [joined] * (len(told) - 1)
    if last is not None and between:
        between[-1] = last
    parts = [told[0]] + [
        part for pair in zip(between, told[1:], strict=True) for part in pair
    ]
    how = f"{SIGN * sign}{'' if places is None else places}{BARE * bare}"
    return f"{BEFORE}{BAR.join([unit, how, *parts])}{AFTER}"


def printed(text: str, *, metric: bool = False) -> str:
    """Return a text with its figures in US or metric units; one without any as it is."""
    if BEFORE not in text:
        return text
    return _MARK.sub(lambda mark: _print_mark(mark, metric=metric), text)


def _print_mark(mark: re.Match[str], *, metric: bool) -> str:
    unit, *rest = mark[1].split(BAR)
    measure = MEASURES.get(unit)
    try:
        how = rest[0]
        own_words = how.startswith(OWN_WORDS)
        decimals = "0" if own_words else how.removeprefix(SIGN).removesuffix(BARE)
        places = int(decimals) if decimals else None
        values = [float(value) for value in rest[1::2]]
    except (IndexError, ValueError):
        return mark[0]
    if measure is None or not values:  # somebody's own brackets
        return mark[0]
    if own_words and not metric:
        return how.removeprefix(OWN_WORDS)
    between = [*rest[2::2], ""]
    numbers = [measure.number(value, metric=metric, places=places) for value in values]
    if how.startswith(SIGN):
        numbers = [_with_sign(told) for told in numbers]
    text = "".join(part for pair in zip(numbers, between, strict=False) for part in pair)
    word = (measure.metric if metric else measure.us).word
    return text if how.endswith(BARE) else f"{text} {word}"


def _with_sign(told: str) -> str:
    """Return a number as it is told with its sign, nothing for a zero."""
    nothing = re.search("[1-9]", told) is None
    return told if nothing or told.startswith("-") else f"{SIGN}{told}"


def acres(area_ac: float, places: int | None = None, *, bare: bool = False) -> str:
    """Return an area for a text: "2.31 ac" when it is printed; the rest as for `figure`."""
    return figure(area_ac, "ac", places, bare=bare)


def feet(length_ft: float, places: int | None = None, *, bare: bool = False) -> str:
    """Return a length for a text: "67 ft" when it is printed; the rest as for `figure`."""
    return figure(length_ft, "ft", places, bare=bare)


#: Under this, seeds are counted by the acre, as planters are set. [1/sq ft]
FEW_SEEDS_FT2 = 5.0


def seeds(count_ft2: float, *, live: bool) -> str:
    """Return seeds for a text: "39.0 live seeds a sq ft", of a crop of few "15,000 seeds an acre"."""
    what = "live seeds" if live else "seeds"
    if count_ft2 >= FEW_SEEDS_FT2:
        return figure(count_ft2, f"{what} a sq ft")
    return figure(round(count_ft2 * ACRE_FT2, -2), f"{what} an acre")


def money(value: float | None) -> str:
    """Return dollars and cents, nothing for nothing."""
    return "" if value is None else f"${number(value, 2)}"
