"""What the log says of rain: inches by day, and plantings that wait for it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.intake.log import figure
from quietacre.record.words import RAIN, WAIT

if TYPE_CHECKING:
    from collections.abc import Mapping

    from quietacre.record.book import Book

#: A line that says it has not rained, without a day to wait for, waits this long.
WAIT_DAYS = 7


@dataclass(frozen=True)
class Wait:
    """On the day ``said`` it had not rained, and the planting waits for the day ``until``.

    ``given`` tells whether the person named that day.
    """

    said: dt.date
    until: dt.date
    given: bool


def rain_of(book: Book) -> dict[dt.date, float]:
    """Return the inches of rain of each day that has a line with some. [in]

    Rain stands in its own line ("rain 0.6") or beside a job (``rain_in``). Of several lines
    of one day the largest counts: they are taken to tell of the same rain.
    """
    inches: dict[dt.date, float] = {}
    for entry in book.entries:
        fell = figure(entry.job.cells.get("rain_in", ""))
        if fell is None and entry.task == RAIN:
            fell = entry.rain_in
        if fell is not None:
            inches[entry.on] = max(inches.get(entry.on, 0.0), fell)
    return inches


def waits_of(book: Book, today: dt.date) -> Mapping[str, Wait]:
    """Return the last word on waiting for each piece of ground, up to a day.

    "" holds for all ground.
    """
    waits: dict[str, Wait] = {}
    for entry in book.entries:
        if entry.task != WAIT or entry.on > today:
            continue
        try:
            until = dt.date.fromisoformat(entry.job.cells.get("until", ""))
        except ValueError:
            until = None
        usual = entry.on + dt.timedelta(days=WAIT_DAYS)
        waits[entry.area] = Wait(entry.on, until or usual, until is not None)
    return waits
