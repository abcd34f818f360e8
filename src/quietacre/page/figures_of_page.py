"""The tables of how figures are said, as the page's script reads them."""

from __future__ import annotations

from typing import TypedDict

from quietacre.figures import BAR, MARK, MEASURES, MOST_PLACES, OWN_WORDS, SIZES, Unit
from quietacre.units import ACRE_M2


class UnitOfPage(TypedDict):
    """A unit as the page's script reads it: how many make a US one, and the decimals said."""

    word: str
    factor: float
    places: int | None
    few: int | None
    zero: float
    lead: str
    fewer: int


class MeasureOfPage(TypedDict):
    """What is measured, in US and metric units, as the page's script reads it."""

    small: float
    neverNothing: bool
    us: UnitOfPage
    metric: UnitOfPage


class FiguresOfPage(TypedDict):
    """How figures are said, as the page's script reads it.

    ``mark`` is the pattern of a figure in a text, ``bar`` what stands between its parts,
    ``own_words`` what stands before words of its own;
    ``sizes`` are those below each of which a metric figure has one more decimal.
    """

    measures: dict[str, MeasureOfPage]
    mark: str
    bar: str
    own_words: str
    sizes: list[float]
    most_places: int
    acre_m2: float


def figures_for_page() -> FiguresOfPage:
    """Return the tables as the page's script reads them."""
    return {
        "measures": {
            word: {
                "small": measure.small,
                "neverNothing": measure.never_nothing,
                "us": _unit_of_page(measure.us),
                "metric": _unit_of_page(measure.metric),
            }
            for word, measure in MEASURES.items()
        },
        "mark": MARK,
        "bar": BAR,
        "own_words": OWN_WORDS,
        "sizes": list(SIZES),
        "most_places": MOST_PLACES,
        "acre_m2": ACRE_M2,
    }


def _unit_of_page(unit: Unit) -> UnitOfPage:
    return {
        "word": unit.word,
        "factor": unit.factor,
        "places": unit.places,
        "few": unit.few,
        "zero": unit.zero,
        "lead": unit.lead,
        "fewer": unit.fewer,
    }
