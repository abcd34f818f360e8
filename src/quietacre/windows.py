"""Planting windows as crop tables print them: "Aug 15-Oct 1; Feb-Mar", "May", "Jun 1".

A text is cut into clauses at semicolons, commas and "or"; what stands in brackets is a
remark. Months begin with a capital letter, so that "may winterkill" is no month.
"""

from __future__ import annotations

import calendar
import datetime as dt
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.days import LEAP_YEAR, month_day, on_year

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.settings import CropRule, Seed

MonthDayPair = tuple[int, int]
Range = tuple[MonthDayPair, MonthDayPair]

MONTHS = {name: number for number, name in enumerate(calendar.month_abbr) if name}
#: Days of a month that "early", "mid" and "late" mean. Common practice, no source.
PARTS = {"early": (1, 10), "mid": (11, 20), "late": (21, 31)}
#: "about Jun 1", or a lone "Jun 1", is a day to aim at: this much either way. Assumption.
ABOUT_DAYS = 7
FORMS = "“Sep 1-Oct 15”, “late Aug-early Oct”, “May”, “Jun 1” or “Aug 15-Oct 1; Feb-Mar”"

REGIONS = {
    "window_upper_south": "upper South",
    "window_coastal_plain": "coastal plain",
    "window_midwest": "Midwest",
}

_MONTH = (
    r"(?:Jan(?:uary)?|Feb(?:ruary)?|Mar(?:ch)?|Apr(?:il)?|May|June?|July?|Aug(?:ust)?|"
    r"Sept?(?:ember)?|Oct(?:ober)?|Nov(?:ember)?|Dec(?:ember)?)"
)
_PART = r"(?:early|mid|late)(?:/(?:early|mid|late))?"
_POINT = rf"(?:{_PART}[ -])?\b{_MONTH}\b\.?(?: \d{{1,2}}\b)?"
_SAYS = re.compile(
    rf"(?:(?P<part>{_PART})[ -])?(?P<month>{_MONTH})\.?(?: (?P<day>\d{{1,2}}))?"
)
_SPAN = re.compile(
    rf"(?P<first>{_POINT})\s*(?:[-–—]|\bto\b|\bthrough\b)\s*(?P<last>{_POINT}|\d{{1,2}}\b)"
)  # fmt: skip
_WEEKS = re.compile(rf"first (?P<weeks>\d) weeks (?:of )?(?P<month>{_MONTH})\b")
_UNTIL = re.compile(rf"\b(?:to|until|by|before) (?:about )?(?P<last>{_POINT})")
_FROM = re.compile(rf"\b(?:from|after) (?:about )?(?P<first>{_POINT})")
_LONE = re.compile(rf"(?P<point>{_POINT})")
#: Clauses that rightly hold no date: the ground decides, the crop does not do there, a remark.
_NO_DATE = re.compile(
    r"\bsoil >?\s*\d+ F\b|\badapted\b|^marginal$|^doubtful\b|^see |^needs |^may ", re.IGNORECASE
)  # fmt: skip
_NUMBERS = re.compile(r"^(\d{2})-(\d{2}) to (\d{2})-(\d{2})$")


@dataclass(frozen=True)
class Window:
    """The (month, day) ranges of a text, both ends inclusive, and the clauses not read.

    A range whose first day comes after its last runs across New Year.
    """

    ranges: tuple[Range, ...]
    unread: tuple[str, ...]


def read_window(text: str) -> Window:
    """Return the ranges of a planting window, and what of it could not be read."""
    ranges: list[Range] = []
    unread: list[str] = []
    plain = re.sub(r"\([^)]*\)|\[[^\]]*\]", " ", text)
    for piece in re.split(r"[;,]|\bor\b", plain):
        clause = " ".join(piece.split())
        if not clause:
            continue
        try:
            found = _clause(clause)
        except ValueError:  # there is no June 31
            found = []
            unread.append(clause)
            continue
        if not found and not _NO_DATE.search(clause):
            unread.append(clause)
        ranges += found
    return Window(tuple(ranges), tuple(unread))


def window_days(text: str) -> list[Range]:
    """Return the (month, day) ranges of a planting window as the crop table prints it."""
    return list(read_window(text).ranges)


def windows_of(
    seed: Seed, row: Mapping[str, str] | None, own: CropRule | None = None,
    region: str | None = None,
) -> dict[str, list[Range]]:  # fmt: skip
    """Return the planting windows of a crop by what they hold for.

    The person's own, where one is given with the seed or under [crop.NAME], stands in for
    those of the crop table; a region leaves its own window of the table only.
    """
    if seed.plant_from and seed.plant_to:
        own_range = (month_day(seed.plant_from), month_day(seed.plant_to))
        return {"your own window": [own_range]}
    if own is not None and own.window:
        return {"your own window": window_days(own.window)}
    found = {REGIONS[key]: window_days(row[key]) for key in REGIONS} if row else {}
    return {
        name: ranges for name, ranges in found.items() if ranges and region in (None, name)
    }


def inside(day: dt.date, ranges: Sequence[Range]) -> bool:
    """Return whether a day lies in one of the ranges, those across New Year included."""
    for low, high in ranges:
        first, last = (on_year(day.year, *end) for end in (low, high))
        if (first <= day <= last) if low <= high else (day >= first or day <= last):
            return True
    return False


def _clause(clause: str) -> list[Range]:
    numbers = _NUMBERS.match(clause)
    if numbers:
        low = _real(int(numbers[1]), int(numbers[2]))
        return [(low, _real(int(numbers[3]), int(numbers[4])))]
    found: list[Range] = []
    left = clause
    for match in _SPAN.finditer(clause):
        first = _ends(match["first"])[0]
        last = match["last"]
        end = _real(first[0], int(last)) if last.isdigit() else _ends(last)[1]
        found.append((first, end))
    left = _SPAN.sub(" ", left)
    for match in _WEEKS.finditer(left):
        month = MONTHS[match["month"][:3]]
        found.append(((month, 1), _real(month, 7 * int(match["weeks"]))))
    left = _WEEKS.sub(" ", left)
    # the table leaves the other end to soil and frost: nothing is ruled out on that side
    found += [((1, 1), _ends(match["last"])[1]) for match in _UNTIL.finditer(left)]
    left = _UNTIL.sub(" ", left)
    found += [(_ends(match["first"])[0], (12, 31)) for match in _FROM.finditer(left)]
    left = _FROM.sub(" ", left)
    for match in _LONE.finditer(left):
        low, high = _ends(match["point"])
        if low == high:  # a day, not a month
            middle = dt.date(LEAP_YEAR, *low)
            about = dt.timedelta(days=ABOUT_DAYS)
            first_day, last_day = middle - about, middle + about
            low = (first_day.month, first_day.day)
            high = (last_day.month, last_day.day)
        found.append((low, high))
    return found


def _ends(point: str) -> Range:
    """Return the first and the last day that "Aug", "late Aug" or "Aug 15" means."""
    match = _SAYS.fullmatch(point)
    assert match is not None  # noqa: S101 - the caller matched it
    month = MONTHS[match["month"][:3]]
    most = calendar.monthrange(LEAP_YEAR, month)[1]
    if match["day"]:
        day = _real(month, int(match["day"]))
        return day, day
    if match["part"]:
        parts = [PARTS[word] for word in match["part"].split("/")]
        return (month, parts[0][0]), (month, min(parts[-1][1], most))
    return (month, 1), (month, most)


def _real(month: int, day: int) -> MonthDayPair:
    """Return the day of a month; ValueError when there is none."""
    dt.date(LEAP_YEAR, month, day)
    return month, day
