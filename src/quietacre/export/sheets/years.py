"""Last year beside this one on paper: the whole, then each piece of ground."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from quietacre.export.paper import FULL_W, MARGIN, Column
from quietacre.export.quantities import day
from quietacre.figures import money, number

if TYPE_CHECKING:
    from typing import Literal

    from quietacre.export.quantities import Say
    from quietacre.export.sheets.book import Book
    from quietacre.year.beside import Row


UNKNOWN = "not known"
#: So much room for the next table, or it goes over the page. [mm]
TABLE_MM = 50.0


def draw_years(book: Book) -> None:
    """Draw what two years came to, side by side; nothing where the last is not known."""
    years = book.report.years.beside
    if not years:
        return
    book.pdf.add_page()
    column = Column(book.pdf, MARGIN, MARGIN, FULL_W)
    column.text(f"{years.before} beside {years.year}", size=17, font="head")
    column.text(
        f"{years.year} is told up to {day(dt.date.fromisoformat(years.until))}; {years.before} {years.source}.",
        soft=True,
    )
    for note in years.notes:
        column.text(f"{note}.", soft=True)
    for ground in years.ground:
        column.room(TABLE_MM)
        column.head(ground.area)
        rows = [
            (row.what, figure(row, "last", book.say), figure(row, "this", book.say))
            for row in ground.rows
        ]
        heads = ("", str(years.before), str(years.year))
        column.table(heads, rows, (4, 3, 3))


def figure(row: Row, which: Literal["last", "this"], say: Say) -> str:
    """Return a figure of a year in words; what is not known is said."""
    value, unit = row.last if which == "last" else row.this, row.unit
    if value is None:
        return UNKNOWN
    if unit == "ac":
        return say.acres(value)
    if unit == "lb":
        return say.pounds(value)
    if unit == "$":
        return money(value)
    if unit == "in":
        return say.inches(value)
    return number(value, 0 if unit == "days" else 1) + (" of 10" if unit == "of 10" else "")
