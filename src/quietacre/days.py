"""Days of a year that come back every year, and the words for a day.

One rule for February 29: it is a day of the year, and in a year without one it is the 28th.
"""

from __future__ import annotations

import calendar
import datetime as dt
import re

#: A year with a February 29, to hold a month and a day against.
LEAP_YEAR = 2024


def on_year(year: int, month: int, day: int) -> dt.date:
    """Return a day of a year; February 29 becomes the 28th when there is none."""
    if (month, day) == (2, 29) and not calendar.isleap(year):
        day = 28
    return dt.date(year, month, day)


def month_day(text: str) -> tuple[int, int]:
    """Return "05-15" as (5, 15).

    Raises
    ------
    ValueError
        No year has such a day.
    """
    month, day = int(text[:2]), int(text[3:])
    dt.date(LEAP_YEAR, month, day)
    return month, day


def say_day(day: dt.date, *, year: bool = False) -> str:
    """Return a day as a person says it: "May 14", or "May 14, 2027"."""
    return f"{day:%B} {day.day}" + (f", {day.year}" if year else "")


def no_such_day(text: str) -> str:
    """Return "2027 has no February 29" of a day written so that never comes, else ""."""
    match = re.fullmatch(r"(\d{4})-(\d\d)-(\d\d)", text)
    year, month, day = map(int, match.groups()) if match else (0, 0, 0)
    if not (year and 1 <= month <= 12 and 1 <= day <= 31):  # noqa: PLR2004
        return ""
    if day <= calendar.monthrange(year, month)[1]:
        return ""
    return f"{year} has no {calendar.month_name[month]} {day}"


def say_month_day(text: str) -> str:
    """Return "07-03" as "July 3"."""
    return say_day(dt.date(LEAP_YEAR, *month_day(text)))


def say_span(first: dt.date, last: dt.date, *, year: bool = False) -> str:
    """Return "May 14", "May 14 to 16", or "May 30 to June 2", with the year when asked."""
    if first == last:
        return say_day(first, year=year)
    if (first.year, first.month) == (last.year, last.month):
        return f"{first:%B} {first.day} to {last.day}" + (f", {last.year}" if year else "")
    return f"{say_day(first, year=year and first.year != last.year)} to {say_day(last, year=year)}"
