"""The days a person has: weekdays, named extra days, blocked days."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from quietacre.settings import Work

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
#: Nobody is without a free day for longer than this; a search stops here.
MOST_DAYS = 60
WEEK_DAYS = 7
#: Dates outside are slips of the pen.
FIRST_YEAR, LAST_YEAR = 1900, 2200
#: The residue lies turned under this long before it is disked again. Common practice, no
#: source: three weeks when it is green and warm, four when it is cool or woody, five if both.
ROT_DAYS = 21
#: And the second disking comes at least this long before planting. Common practice, no source.
DISK_DAYS = 11


def say_notes(notes: Iterable[str]) -> str:
    """Return notes as one sentence, cut by semicolons."""
    return "; ".join(note.rstrip(".") for note in notes)


def is_workday(day: dt.date, work: Work) -> bool:
    """Return whether the person has this day."""
    if day in work.blocked_days:
        return False
    return day in work.extra_days or WEEKDAYS[day.weekday()] in work.weekdays


def nearest_workday(day: dt.date, work: Work, step: int) -> dt.date:
    """Return the first workday from ``day`` on in steps of ``step`` days (1 or −1).

    ``day`` itself when none is found within two months.
    """
    look = day
    for _ in range(MOST_DAYS):
        if is_workday(look, work):
            return look
        look += dt.timedelta(days=step)
    return day


def weekends(days: Iterable[dt.date]) -> list[tuple[dt.date, ...]]:
    """Return workdays as weekends: runs of days one after another, in order.

    A run longer than a week, of somebody who has every day, is cut at its Mondays.
    """
    out: list[list[dt.date]] = []
    for day in sorted(set(days)):
        if out and (day - out[-1][-1]).days == 1:
            out[-1].append(day)
        else:
            out.append([day])
    runs: list[tuple[dt.date, ...]] = []
    for run in out:
        if len(run) <= WEEK_DAYS:
            runs.append(tuple(run))
            continue
        part: list[dt.date] = []
        for day in run:
            if part and day.weekday() == 0:
                runs.append(tuple(part))
                part = []
            part.append(day)
        runs.append(tuple(part))
    return runs
