"""A line of the log as a person says it, told once for terminal, desk, papers and page."""

from __future__ import annotations

import datetime as dt
import re
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.figures import AS_IT_IS, figure, in_words, money, number
from quietacre.intake.log import figure as read_figure
from quietacre.logbook import LOG_FILE, log_unit
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from quietacre.logbook import LogUnit

#: The cells that name the line, and those that are said together with others.
NAMING = frozenset(("id", "date", "area", "task"))
TOGETHER = frozenset(("item", "amount", "unit", "bag_lb"))
ISO_DAY = re.compile(r"\d{4}-\d\d-\d\d")
#: A word after which an amount follows of itself: "limed 4 tons", "sown 20 lb".
DONE_WORD = re.compile(r"\w*(ed|ght|wn|ead|rew|ut)")


def line_said(cells: Mapping[str, str]) -> str:
    """Return a line of the log without its day and ground, its figures values until printed.

    "planted 2 bags of crimson clover, 25 lb each; 60 minutes; by José".

    Parameters
    ----------
    cells : the cells of the line by their column, its task among them.
    """
    task = cells.get("task", "")
    what, until = _what(cells), cells.get("until", "")
    first = task
    if what:
        first += (" " if DONE_WORD.fullmatch(task.casefold()) else ": ") + what
    elif until:
        first += f" until {_day(until)}"
    rest = [
        said
        for name, cell in _in_order(cells)
        if cell and not (name == "until" and not what) and (said := _said(name, cell))
    ]
    return "; ".join([first, *rest])


def _in_order(cells: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Yield the cells that are said one by one: those of the log first, then any others."""
    done = NAMING | TOGETHER
    for name in dict.fromkeys((*LOG_FILE.names, *cells)):
        if name in cells and name not in done:
            yield name, cells[name]


def _what(cells: Mapping[str, str]) -> str:
    """Return how much of what: "2 bags of crimson clover, 25 lb each"."""
    item, typed = cells.get("item", ""), cells.get("amount", "")
    word, bag_lb = cells.get("unit", ""), cells.get("bag_lb", "")
    unit, value = log_unit(word or ("bag" if bag_lb else "")), read_figure(typed)
    if value is None or unit is None:
        much = f"{typed} {word}".strip()
    else:
        much = _much(value, word, unit)
    what = " of ".join(part for part in (much, item) if part)
    each = read_figure(bag_lb) if bag_lb else None
    if not bag_lb:
        return what
    weight = figure(each, "lb", AS_IT_IS) if each is not None else bag_lb
    return ", ".join(part for part in (what, f"{weight} each") if part)


def _much(value: float, word: str, unit: LogUnit) -> str:
    """Return an amount with its unit, one of it without an s."""
    told = _plain(value)
    if unit.counts == "bag":
        one = (word or unit.name).removesuffix("s")
        return f"{told} {one}{'' if value == 1 else 's'}"
    plural = "s" if unit.name == "ton" and value != 1 else ""
    if unit.each == SHORT_TON_LB:
        return in_words(f"{told} {unit.name}{plural}", value, "tons")
    return in_words(f"{told} {unit.name}", value * unit.each, unit.counts)


def _plain(value: float) -> str:
    """Return a figure as it was typed, commas in its thousands."""
    return number(value) if value == round(value) else f"{value:,.10g}"


def _said(name: str, cell: str) -> str:
    """Return one cell in words; a figure that is none stands as it was typed."""
    value, how = read_figure(cell), HOW.get(name)
    if name in FIGURES:
        return f"{name.partition('_')[0]} {cell}" if value is None else FIGURES[name](value)
    return how(cell) if how else f"{name} {cell}"


def _day(cell: str) -> str:
    if not ISO_DAY.fullmatch(cell):
        return cell
    try:
        return say_day(dt.date.fromisoformat(cell), year=True)
    except ValueError:
        return cell


def _minutes(value: float) -> str:
    return f"{_plain(value)} minute{'' if value == 1 else 's'}"


#: What is said of a figure, by its column.
FIGURES: Mapping[str, Callable[[float], str]] = {
    "price": lambda paid: f"{money(paid)} paid",
    "minutes": _minutes,
    "rate_lb_ac": lambda rate: f"at {figure(rate, 'lb/ac', AS_IT_IS)}",
    "stand": lambda score: f"came up {score:g} of 10",
    "rain_in": lambda rain: f"{figure(rain, 'in', AS_IT_IS)} of rain",
}
#: What is said of words, by their column.
HOW: Mapping[str, Callable[[str], str]] = {
    "mix": lambda mix: f"the mix {mix}",
    "method": lambda method: method,
    "until": lambda day: f"until {_day(day)}",
    "ground": lambda how: f"the ground {how}",
    "note": lambda words: words,
    "photo": lambda name: f"photograph {name}",
    "who": lambda who: f"by {who}",
}
