"""The footnotes of the sheets: what each figure rests on, piece by piece."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.export.paper import FULL_W, MARGIN, Column
from quietacre.page.why import HOURS, SUMS, why_of
from quietacre.report_records import StripReport

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre.export.sheets.book import Book
    from quietacre.report_records import Piece


#: Of more pieces than this the map tells why; on paper it would be a book. Ours.
MOST_PIECES = 60

#: Most letters of what is told of one figure.
MOST_OF_A_FIGURE = 2500


def write_why(book: Book) -> None:
    """Draw the sheet that tells why each figure of the pieces is what it is."""
    tasks = book.report.year.tasks
    pieces = [(piece, lines) for piece in book.pieces if (lines := why_of(piece, tasks))]
    if not pieces:
        return
    book.pdf.add_page()
    column = Column(book.pdf, MARGIN, MARGIN, FULL_W)
    column.text("Why these figures", size=17, font="head")
    column.text(f"The sums. {SUMS} {HOURS}", size=8)
    for piece, lines in pieces[:MOST_PIECES]:
        column.head(piece.name)
        for row in lines:
            words = "; ".join(row.lines)
            column.text(f"{row.about}: {words}.", size=8, cut=MOST_OF_A_FIGURE)
        for line in _of_a_vine(piece):
            column.text(line, size=8)
    if len(pieces) > MOST_PIECES:
        left = len(pieces) - MOST_PIECES
        column.text(f"{left} pieces more: the map tells why on each card.", soft=True)


def _of_a_vine(piece: Piece) -> Iterator[str]:
    """Return what is published of a strip's vine or a break, and what keeping it takes."""
    if isinstance(piece, StripReport):
        for row in piece.ring.wanted.guidance:
            yield f"Published, {row.text}."
        if piece.keeping:
            yield from piece.keeping.text
