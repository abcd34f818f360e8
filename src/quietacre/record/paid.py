"""Dollars that stand on lines of work: work that was hired, or what was bought with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.intake.log import figure
from quietacre.record.words import BUY

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping

    from quietacre.record.book import Book


def price_on(cells: Mapping[str, str]) -> float:
    """Return the price of a line's cells, 0 where it has none that can be read. [$]"""
    return figure(cells.get("price", "")) or 0.0


def paid_for_work(book: Book | None, first: dt.date, last: dt.date) -> float:
    """Return what was paid from one day to another on lines that are no purchases. [$]

    A line that names several pieces of ground counts once, one whose word nobody knows too.
    """
    lines = {
        id(entry.job): entry.job
        for entry in ((*book.entries, *book.unknown) if book else ())
        if entry.task != BUY and first <= entry.on <= last
    }
    return round(sum(price_on(line.cells) for line in lines.values()), 2)
