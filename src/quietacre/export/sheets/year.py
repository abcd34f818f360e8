"""The year on paper: twelve months of bands, then every job by its day."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import shapely

from quietacre.days import month_day, on_year, say_month_day
from quietacre.export.paper import FULL_W, MARGIN, Column
from quietacre.export.plat import FAINT, INK, RED, SOFT, fill_pattern
from quietacre.export.sheets.jobs import job_mm, write_job
from quietacre.kinds import KINDS, QUIET
from quietacre.report_records import StripReport

if TYPE_CHECKING:
    from collections.abc import Callable

    from quietacre.export.sheets.book import Book
    from quietacre.report_records import Piece
    from quietacre.year.records import YearTask


#: The band of a year shows so many months, and more only as far as there is work.
YEAR_MONTHS, MOST_MONTHS = 12, 24
#: Most letters of a name before its band.
MOST_BAND = 26


def draw_year(book: Book) -> None:
    """Draw the year: its quiet seasons, its bands, its jobs by month, what does not fit."""
    year = book.report.year
    if not year.tasks:
        return
    book.pdf.add_page()
    column = Column(book.pdf, MARGIN, MARGIN, FULL_W)
    column.text("The year, worked backwards", size=17, font="head")
    column.text(year.bounds.bound, soft=True)
    for quiet in year.quiet:
        out = quiet.keeps_out
        what = "everything" if out == "all" else ", ".join(out)
        column.text(
            f"Quiet: {quiet.name}, {say_month_day(quiet.start)} to "
            f"{say_month_day(quiet.end)}, {what} ({quiet.source or 'no source given'})",
            bar=SOFT,
        )
    _bands(book, column)
    month = ""
    for task in year.tasks:
        if not task.scheduled:
            continue
        if f"{task.scheduled:%B %Y}" != month:
            month = f"{task.scheduled:%B %Y}"
            column.head(month, job_mm(book, column, task, name=True))
        write_job(book, column, task, name=True)
    open_ = [t for t in year.tasks if t.status == "window" and t.state != "missed"]
    if open_:
        column.head(
            "Windows: the weather and the law choose the day",
            job_mm(book, column, open_[0], name=True),
        )
        for task in open_:
            write_job(book, column, task, name=True)
    if year.missed:
        column.head("Missed")
        for row in year.missed:
            column.text(f"{row.area}: {row.text}", bar=RED)
    short = [t for t in year.tasks if t.state == "not possible"]
    if short:
        column.head("Does not fit", job_mm(book, column, short[0], name=True))
        for task in short:
            write_job(book, column, task, name=True)
    if year.menu:
        column.text("Any one of these makes all of it fit, each tried on a whole plan:")
        for way in year.menu:
            column.text(f"{way.text} ({way.trips} trips)", bar=SOFT)
    if year.past:
        column.head("Seasons that are over")
        for season in year.past:
            column.text(f"{season.area}, {season.text}")
    if year.weather:
        column.head("Rain")
        for plant in year.weather.plantings:
            column.text(f"{plant.area}: {plant.text}.")


def _bands(book: Book, column: Column) -> None:
    """Draw twelve months or more for each piece that has work."""
    first = book.report.made_on.replace(day=1)
    days_planned = [t.scheduled for t in book.report.year.tasks if t.scheduled]
    last = max(days_planned or [book.report.made_on]).replace(day=1)
    months = [first]
    while len(months) < YEAR_MONTHS or (months[-1] < last and len(months) < MOST_MONTHS):
        months.append((months[-1] + dt.timedelta(days=32)).replace(day=1))
    end = (months[-1] + dt.timedelta(days=32)).replace(day=1)
    left, wide, high = column.x + 44, column.wide - 44, 5.0
    days = (end - first).days

    def at(date: dt.date) -> float:
        return left + wide * min(max((date - first).days, 0), days) / days

    pdf = book.pdf
    column.y += 1
    pdf.set_font("body", "", 8)
    for month, after in zip(months, [*months[1:], end], strict=True):
        middle = (at(month) + at(after)) / 2
        pdf.text(middle - 1, column.y + 2, f"{month:%b}"[0])
    column.y += 3
    for piece in book.pieces:
        jobs = book.jobs.get(piece.id)
        if not jobs:
            continue
        column.room(high + 1.4)
        y = column.y
        pdf.set_font("body", "B", 8.5)
        pdf.text(column.x, y + 3.6, book.called(piece.name, MOST_BAND))
        for start, stop in _quiet_days(book, piece, months[0].year, end.year):
            if at(stop) > at(start):
                pdf.set_fill_color(*QUIET.fill_rgb)
                pdf.rect(at(start), y, at(stop) - at(start), high, style="F")
                box = shapely.box(at(start), y, at(stop), y + high)
                fill_pattern(pdf, box, QUIET)
        pdf.set_draw_color(*FAINT)
        pdf.set_line_width(0.15)
        pdf.rect(left, y, wide, high)
        for month in months[1:]:
            pdf.line(at(month), y, at(month), y + high)
        for task in jobs:
            _marked(book, task, at, y + high / 2)
        column.y += high + 1.4
    column.text("Shaded: quiet. Bar: the days a job may fall on. Dot: planned. Cross: does not fit.", size=8, soft=True)  # fmt: skip


def _quiet_days(
    book: Book, piece: Piece, first: int, last: int
) -> list[tuple[dt.date, dt.date]]:
    days = []
    # a strip is shut by what its patches are called, too
    of = piece.ring.round_ids if isinstance(piece, StripReport) else ()
    words = {piece.kind, piece.name}
    for area in book.report.areas:
        if area.id in of:
            words |= {area.kind, area.name}
    for quiet in book.report.year.quiet:
        out = quiet.keeps_out
        if out != "all" and not words.intersection(out):
            continue
        for year in range(first - 1, last + 1):
            start = on_year(year, *month_day(quiet.start))
            stop = on_year(year + (quiet.end < quiet.start), *month_day(quiet.end))
            days.append((start, stop + dt.timedelta(days=1)))
    return days


def _marked(book: Book, task: YearTask, at: Callable[[dt.date], float], y: float) -> None:
    pdf = book.pdf
    pdf.set_draw_color(*KINDS["native"].line_rgb)
    pdf.set_line_width(0.7)
    start, stop = task.earliest, task.latest
    if task.scheduled:
        pdf.line(at(start), y, at(stop), y)
        x = at(task.scheduled)
        pdf.set_fill_color(*INK)
        pdf.circle(x, y, 0.9, style="F")
        return
    if task.status == "window":  # days that may serve, none of them chosen
        pdf.line(at(start), y, at(stop), y)
        return
    x = at(stop)
    pdf.set_draw_color(*RED)
    pdf.line(x - 1, y - 1, x + 1, y + 1)
    pdf.line(x - 1, y + 1, x + 1, y - 1)
