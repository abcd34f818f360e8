"""Parts of the sheets printed alone: a list of chosen jobs, and the sheet of one piece."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.export.paper import FULL_W, MARGIN, Column
from quietacre.export.plat import SOFT
from quietacre.export.quantities import Say, day, minutes
from quietacre.export.sheets.book import Book
from quietacre.export.sheets.field import draw_field
from quietacre.export.sheets.jobs import job_mm, write_job

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    import geopandas as gpd

    from quietacre.report_records import Report
    from quietacre.year.records import YearTask


def job_list_pdf(
    report: Report, layers: Mapping[str, gpd.GeoDataFrame], tasks: Sequence[YearTask], *,
    title: str, about: Sequence[str] = (), units: str = "us",
) -> bytes:  # fmt: skip
    """Return some jobs of the year as a PDF: by day, each with a box to tick.

    Parameters
    ----------
    report : everything that was planned.
    layers : EPSG:4326 frames by name; areas and strips with id, kind and geometry.
    tasks : the jobs to list, in order, as the report's year has them.
    title : what stands above them.
    about : what is to be said of the list, a sentence each.
    units : "us" or "metric".
    """
    book = Book(report, layers, Say(units == "metric"))
    book.pdf.add_page()
    column = Column(book.pdf, MARGIN, MARGIN, FULL_W)
    column.text(title, size=17, font="head")
    for text in about:
        column.text(text, bar=SOFT)
    if not tasks:
        column.text("No job is planned for these days.")
    days: dict[dt.date, list[YearTask]] = {}
    for task in tasks:
        days.setdefault(task.scheduled or task.earliest, []).append(task)
    for on, some in days.items():
        total = sum(task.minutes for task in some)
        column.head(
            day(on) + (f", {minutes(total)} in all" if total else ""),
            job_mm(book, column, some[0], name=True),
        )
        for task in some:
            write_job(book, column, task, name=True)
    column.head("Before you act on it")
    for row in report.cautions:
        words = row.text
        column.text(f"{row.topic}: {words} Who decides: {row.defer_to}.", size=8, bar=SOFT)
    return bytes(book.pdf.output())


def one_sheet_pdf(
    report: Report, layers: Mapping[str, gpd.GeoDataFrame], piece_id: str, *,
    units: str = "us",
) -> bytes:  # fmt: skip
    """Return the field sheet of one piece of ground as a PDF.

    Parameters
    ----------
    report, layers, units : as `job_list_pdf`.
    piece_id : the id of the area or strip.
    """
    book = Book(report, layers, Say(units == "metric"))
    draw_field(book, next(piece for piece in book.pieces if piece.id == piece_id))
    return bytes(book.pdf.output())
