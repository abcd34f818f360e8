"""The whole document: cover, a sheet for each worked piece, the year, cautions, footnotes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.export.quantities import Say
from quietacre.export.sheets.book import Book
from quietacre.export.sheets.care import write_cautions
from quietacre.export.sheets.cover import draw_cover
from quietacre.export.sheets.field import draw_field
from quietacre.export.sheets.why import write_why
from quietacre.export.sheets.year import draw_year
from quietacre.export.sheets.years import draw_years
from quietacre.kinds import WORKED

if TYPE_CHECKING:
    from collections.abc import Mapping

    import geopandas as gpd

    from quietacre.report_records import Report


def field_sheets_pdf(
    report: Report, layers: Mapping[str, gpd.GeoDataFrame], *, units: str = "us"
) -> bytes:
    """Return the sheets as a PDF.

    Parameters
    ----------
    report : everything that was planned.
    layers : EPSG:4326 frames by name; areas and strips with id, kind and geometry.
    units : "us" or "metric".
    """
    book = Book(report, layers, Say(units == "metric"))
    draw_cover(book)
    for piece in book.pieces:
        if piece.kind in WORKED:
            draw_field(book, piece)
    draw_year(book)
    draw_years(book)
    write_cautions(book)
    write_why(book)
    return bytes(book.pdf.output())
