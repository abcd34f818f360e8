"""The day of a line of the log, in every form that a spreadsheet writes it.

2027-03-05, 3/5/2027, 3/5/27, Mar 5 2027, 5-Mar-27, or the number of the day since the end of
1899. Of two figures the month comes first, unless another line of the file proves that the
day does.
"""

from __future__ import annotations

import calendar
import datetime as dt
import re
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable

#: Day 0 of a spreadsheet's numbers, which counts a February 29, 1900, that never was.
SERIAL_FROM = dt.date(1899, 12, 30)
#: Numbers of days in 2000 to 2099; others are slips of the pen.
SERIAL_FIRST, SERIAL_LAST = 36_526, 73_050
MOST_MONTHS = 12
CENTURY = 100

_TIME = r"(?:[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?: ?[AaPp][Mm])?Z?)?"
_ISO = re.compile(rf"(\d{{4}})-(\d{{1,2}})-(\d{{1,2}}){_TIME}")
_YEAR_FIRST = re.compile(rf"(\d{{4}})[/.](\d{{1,2}})[/.](\d{{1,2}}){_TIME}")
_FIGURES = re.compile(rf"(\d{{1,2}})([/.-])(\d{{1,2}})\2(\d{{4}}|\d{{2}}){_TIME}")
_SERIAL = re.compile(r"(\d{5})(?:[.,]\d+)?")
_MONTH_FIRST = re.compile(r"([A-Za-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4}|\d{2})")
_DAY_FIRST = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th)?[ -]([A-Za-z]{3,9})\.?,?[ -](\d{4}|\d{2})"
)


class Figures(NamedTuple):
    """A day in figures whose month may be either of the first two."""

    first: int
    second: int
    year: int

    @property
    def proves(self) -> str:
        """Return which figure must be the day: "first", "second", or "" for either."""
        if self.first > MOST_MONTHS >= self.second:
            return "first"
        return "second" if self.second > MOST_MONTHS >= self.first else ""

    def day(self, *, day_first: bool) -> dt.date | None:
        """Return the day, None when there is none."""
        if self.proves:
            day_first = self.proves == "first"
        month, day = (self.second, self.first) if day_first else (self.first, self.second)
        return _day(self.year, month, day)


def read_day(cell: str) -> dt.date | Figures | None:
    """Return the day of a cell, figures that may be read two ways, or None."""
    text = " ".join(cell.split())
    if match := _ISO.fullmatch(text) or _YEAR_FIRST.fullmatch(text):
        return _day(int(match[1]), int(match[2]), int(match[3]))
    if match := _FIGURES.fullmatch(text):
        return Figures(int(match[1]), int(match[3]), _year(match[4]))
    if match := _SERIAL.fullmatch(text):
        number = int(match[1])
        known = SERIAL_FIRST <= number <= SERIAL_LAST
        return SERIAL_FROM + dt.timedelta(days=number) if known else None
    if match := _MONTH_FIRST.fullmatch(text):
        return _day(_year(match[3]), _month(match[1]), int(match[2]))
    if match := _DAY_FIRST.fullmatch(text):
        return _day(_year(match[3]), _month(match[2]), int(match[1]))
    return None


def _month(word: str) -> int:
    """Return the number of a month by its name or its first letters, 0 for none."""
    for number in range(1, MOST_MONTHS + 1):
        name = calendar.month_name[number].casefold()
        if name.startswith(word.casefold()) or word.casefold() == "sept" == name[:4]:
            return number
    return 0


def _year(text: str) -> int:
    return int(text) + (2000 if int(text) < CENTURY and len(text) == len("27") else 0)


def _day(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def is_day_first(days: Iterable[dt.date | Figures | None]) -> bool:
    """Return whether figures that may be read two ways have the day first, as others prove."""
    proofs = {day.proves for day in days if isinstance(day, Figures)}
    return "first" in proofs and "second" not in proofs
