"""The sheet of one piece of ground: its shape, its amounts, its jobs, boxes to fill in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from quietacre.export.paper import MARGIN, MOST_HEAD, PAGE_W, Column
from quietacre.export.plat import FAINT, RED, SOFT, Plat
from quietacre.export.quantities import minutes
from quietacre.export.sheets.amounts import write_amounts
from quietacre.export.sheets.care import care_of, write_care
from quietacre.export.sheets.jobs import job_mm, write_job
from quietacre.kinds import KINDS
from quietacre.page.side_lengths import sides
from quietacre.report_records import StripReport

if TYPE_CHECKING:
    from quietacre.export.sheets.book import Book
    from quietacre.report_records import Piece


#: Left and right column of a field sheet. [mm]
LEFT_W, RIGHT_W = 98.0, 83.0
HAND_ROW_MM = 9.0
#: What is written on a line each below the boxes, and the room for it. [mm]
BY_HAND, HAND_LINE_MM = ("rain", "ground", "who"), 8.5
#: Boxes in less room than this are of no use.
LEAST_HAND_MM = 46.0
#: Most letters of history and cautions that leave room for the boxes below them.
MOST_BESIDE = 1400
#: Height of the map on a sheet; lower where the jobs would drive the rest off the sheet. [mm]
MAP_MM, LOW_MAP_MM, MANY_JOBS = 70.0, 54.0, 8


def draw_field(book: Book, piece: Piece) -> None:
    """Draw the sheet of one piece of ground."""
    pdf = book.pdf
    pdf.add_page()
    first = pdf.page_no()
    right = Column(pdf, PAGE_W - MARGIN - RIGHT_W, MARGIN, RIGHT_W)
    shape = book.shape.get(piece.id)
    if shape is not None:
        _plat(book, right, piece, shape)
    care = care_of(piece)
    beside = sum(len(text) for _, text, _ in care) <= MOST_BESIDE
    if beside:
        write_care(right, care)
    pdf.page = first
    # what the left column cannot take goes on below the map, then on a second sheet
    second = f"{book.called(piece.name, MOST_HEAD)}, second sheet"
    left = Column(pdf, MARGIN, MARGIN, LEFT_W, (right.x, right.y, RIGHT_W), second)
    _words(book, left, piece)
    if not beside:
        write_care(left, care)
    below = left if left.x == right.x else right
    if pdf.page != first:
        below = Column(pdf, right.x, MARGIN, RIGHT_W)
    elif below.left_mm() < LEAST_HAND_MM:
        pdf.add_page()
        Column(pdf, MARGIN, MARGIN, LEFT_W).text(second, size=13, font="head")
        below = Column(pdf, right.x, MARGIN, RIGHT_W)
    _by_hand(book, below)
    pdf.page = max(pdf.pages)


def _plat(book: Book, column: Column, piece: Piece, shape: shapely.Geometry) -> None:
    pdf = book.pdf
    open_ = [job for job in book.jobs.get(piece.id, ()) if job.status != "done"]
    many = len(open_) > MANY_JOBS
    high = LOW_MAP_MM if many else MAP_MM
    assert book.frame is not None  # noqa: S101 - for the type checker
    local = book.local[piece.id]
    plat = Plat(
        pdf, book.frame, [local],
        left_mm=column.x, top_mm=column.y, wide_mm=RIGHT_W, high_mm=high, edge_mm=13,
    )  # fmt: skip
    west, south, east, north = local.bounds
    near = shapely.box(west, south, east, north).buffer(max(east - west, north - south) / 2)
    for row in sorted(book.tree.query(near)):
        if book.keys[row] != piece.id:
            plat.outline(book.local[book.keys[row]], FAINT, dash_mm=(1.2, 0.9))
    plat.fill(local, piece.kind)
    book.draw_lines(plat, piece.id)
    edge_sides = sides(shape, book.frame)
    pdf.set_font("body", "B", 8.5)
    if edge_sides is not None:
        plat.sides(edge_sides, book.say)
    plat.north_and_scale(book.say)
    pdf.set_draw_color(*SOFT)
    pdf.set_line_width(0.2)
    pdf.rect(column.x, column.y, RIGHT_W, high)
    column.y += high + 1
    if edge_sides is not None:
        column.text(
            f"{book.say.feet(edge_sides.east_ft)} west to east, {book.say.feet(edge_sides.north_ft)} "
            "south to north. Lengths run along the edge, dot to dot.",
            size=8.5, soft=True,
        )  # fmt: skip


def _by_hand(book: Book, column: Column) -> None:
    pdf = book.pdf
    column.head("By hand")
    widths = (16.0, 33.0, 18.0, 16.0)
    pdf.set_draw_color(*SOFT)
    pdf.set_line_width(0.2)
    pdf.set_font("body", "B", 8.5)
    x = column.x
    for title, width in zip(
        ("date", "what was done", "amount", "minutes"), widths, strict=True
    ):
        pdf.set_xy(x, column.y)
        pdf.cell(width, 5, title, border=1)
        x += width
    column.y += 5
    while column.left_mm() > HAND_ROW_MM + len(BY_HAND) * HAND_LINE_MM:
        x = column.x
        for width in widths:
            pdf.rect(x, column.y, width, HAND_ROW_MM)
            x += width
        column.y += HAND_ROW_MM
    for word in BY_HAND:
        column.y += HAND_LINE_MM
        pdf.text(column.x, column.y, word)
        pdf.line(column.x + 14, column.y + 0.6, column.x + RIGHT_W, column.y + 0.6)


def _words(book: Book, column: Column, piece: Piece) -> None:
    say = book.say
    column.text(book.called(piece.name, MOST_HEAD), size=17, font="head")
    vine = None if isinstance(piece, StripReport) else piece.vine
    column.text(KINDS[piece.kind].word + (f" ({vine})" if vine else ""), soft=True)
    half = (piece.size.acres_high - piece.size.acres_low) / 2
    column.text(
        say.acres(piece.size.acres)
        + (f" ± {say.acres(half)}" if half > 0.0005 else ""),  # noqa: PLR2004
        size=15, font="head",
    )  # fmt: skip
    if isinstance(piece, StripReport):
        column.text(f"{say.feet(piece.ring.wanted.width_ft)} wide, {say.feet(piece.size.length_ft)} along the edge")  # fmt: skip
        if case := piece.ring.wanted.case:
            column.text(f"Worked out for: {case.why}", soft=True)
        _strip(book, column, piece)
    else:
        column.text(
            f"{piece.size.method}, {say.feet(piece.size.perimeter_ft)} round",
            soft=True,
        )
    write_amounts(book, column, piece)
    every = book.jobs.get(piece.id, [])
    jobs = [task for task in every if task.status != "done"]
    if jobs:
        column.head("When", job_mm(book, column, jobs[0], name=False))
        for task in jobs:
            x, page = column.x, book.pdf.page
            column.room(job_mm(book, column, task, name=False))
            if (x, page) != (column.x, book.pdf.page):
                column.head("When, going on")
            write_job(book, column, task, name=False)
    if len(jobs) < len(every):
        count = len(every) - len(jobs)
        what = (
            "1 job of the plan is done"
            if count == 1
            else f"{count} jobs of the plan are done"
        )
        column.text(f"{what}, and not listed", soft=True)


def _strip(book: Book, column: Column, piece: StripReport) -> None:
    say = book.say
    if piece.ring.weak:
        column.head("Too thin")
        column.table(
            ("why", "there", "along"),
            [(w.reason, say.feet(w.available_ft), say.feet(w.length_ft)) for w in piece.ring.weak],
            (5, 2, 2),
        )  # fmt: skip
    frame = book.layers.get("passes")
    if frame is not None:
        mine = frame[frame["of"] == piece.id]
        if len(mine):
            column.head("Disk passes" if piece.kind == "firebreak" else "Mower passes")
            parts = [
                f"{len(mine)} passes, {say.feet(float(mine['length_ft'].sum()))} to drive"
            ]
            if "minutes" in mine:
                parts.append(f"about {minutes(float(mine['minutes'].sum()))}")
            if "fuel_gal" in mine:
                parts.append(f"{say.gallons(float(mine['fuel_gal'].sum()))} of fuel")
            column.text(", ".join(parts))
    if advance := piece.advance:
        column.head("Since the last survey")
        moves = (advance, *piece.advance_also)
        for patch in moves:
            whose = f"{patch.area}: " if len(moves) > 1 else ""
            column.text(whose + patch.moved.text)
    if law := piece.ring.wanted.law:
        column.text(f"Law: {law.state or 'state not given'}: {law.text}", bar=RED)
