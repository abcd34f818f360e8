"""The days a person has: weekdays, named extra days, blocked days."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from quietacre.settings import Work

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
#: Nobody is without a free day for longer than this; a search stops here.
MOST_DAYS = 60


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
