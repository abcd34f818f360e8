"""The first sheet: the whole place, the key of its kinds, its ground and what to buy."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from quietacre.export.paper import FULL_W, MARGIN, MOST_HEAD, PAGE_W, Column
from quietacre.export.plat import INK, Plat, fill_pattern
from quietacre.export.quantities import day, spent_words
from quietacre.figures import money
from quietacre.kinds import KINDS
from quietacre.short_names import short_name

if TYPE_CHECKING:
    from quietacre.export.sheets.book import Book


#: Most letters of a name on the map.
MOST_ON_MAP = 28


def draw_cover(book: Book) -> None:
    """Draw the first sheet."""
    pdf, say, totals = book.pdf, book.say, book.report.totals
    pdf.add_page()
    column = Column(pdf, MARGIN, MARGIN, FULL_W)
    name = short_name(book.report.property.name, MOST_HEAD)
    column.text(name, size=22, font="head")
    half = (totals.total_acres_high - totals.total_acres_low) / 2
    gist = [
        say.acres(totals.total_acres) + (f" ± {say.acres(half)}" if half > 0.005 else ""),  # noqa: PLR2004
        f"{len(book.report.areas)} pieces of ground",
        f"{money(totals.cost)} to buy" if totals.cost else "",
        f"made {day(book.report.made_on)}",
    ]  # fmt: skip
    column.text(" · ".join(part for part in gist if part), soft=True)
    if book.frame is not None:
        _map(book, column, 112)
    _key(book, column)
    if note := book.report.property.note:
        column.text(note)
    _totals(book, column)


def _map(book: Book, column: Column, high_mm: float) -> None:
    pdf = book.pdf
    assert book.frame is not None  # noqa: S101 - for the type checker
    plat = Plat(
        pdf, book.frame, [*book.local.values(), *book.edge],
        left_mm=MARGIN, top_mm=column.y, wide_mm=FULL_W, high_mm=high_mm, edge_mm=6,
    )  # fmt: skip
    for piece in book.pieces:
        if piece.id in book.local:
            plat.fill(book.local[piece.id], piece.kind)
    for line in book.edge:
        plat.outline(line, INK, width_mm=0.5, dash_mm=(4, 1.5))
    book.draw_lines(plat, None)
    _names(book, plat)
    pdf.set_font("body", "", 8)
    plat.north_and_scale(book.say)
    pdf.set_draw_color(*INK)
    pdf.set_line_width(0.2)
    pdf.rect(MARGIN, column.y, FULL_W, high_mm)
    column.y += high_mm + 2


def _names(book: Book, plat: Plat) -> None:
    """Write names where they fit, the largest ground first, on a pale ground."""
    pdf = book.pdf
    taken: list[shapely.Geometry] = []
    pdf.set_font("body", "B", 7.5)
    for area in sorted(book.report.areas, key=lambda a: -a.size.acres):
        shape = book.shape.get(area.id)
        if shape is None:
            continue
        name = book.called(area.name, MOST_ON_MAP)
        width = pdf.wide(name)
        (at,) = book.moved([shapely.Point(area.lon, area.lat)])
        point = plat.on_paper(at)
        box = shapely.box(point.x - width / 2, point.y - 1.6, point.x + width / 2, point.y + 1.6)  # fmt: skip
        if any(box.intersects(other) for other in taken) or not plat.box.contains(box):
            continue
        taken.append(box)
        pdf.set_fill_color(255, 255, 255)
        with pdf.local_context(fill_opacity=0.75):
            pdf.rect(box.bounds[0] - 0.5, box.bounds[1], width + 1, 3.2, style="F")
        pdf.text(point.x - width / 2, point.y + 1, name)


def _key(book: Book, column: Column) -> None:
    pdf = book.pdf
    used = [kind for kind in KINDS if any(p.kind == kind for p in book.pieces)]
    pdf.set_font("body", "", 8.5)
    x = MARGIN
    for kind in used:
        width = pdf.get_string_width(KINDS[kind].word) + 13
        if x + width > PAGE_W - MARGIN:
            x, column.y = MARGIN, column.y + 5
        box = shapely.box(x, column.y, x + 8, column.y + 4)
        pdf.set_fill_color(*KINDS[kind].fill_rgb)
        pdf.rect(x, column.y, 8, 4, style="F")
        fill_pattern(pdf, box, KINDS[kind])
        pdf.set_draw_color(*KINDS[kind].line_rgb)
        pdf.rect(x, column.y, 8, 4)
        pdf.text(x + 9, column.y + 3, KINDS[kind].word)
        x += width
    column.y += 6.5


def _totals(book: Book, column: Column) -> None:
    pdf, say, totals, top = book.pdf, book.say, book.report.totals, column.y
    page = pdf.page_no()
    left = Column(pdf, MARGIN, top, 66)
    left.head("Ground")
    rows = [
        (KINDS[kind].word, str(sum(a.kind == kind for a in book.report.areas)), say.acres(acres))
        for kind, acres in totals.by_kind.items()
    ]  # fmt: skip
    for kind in ("strip", "firebreak"):
        made = [s.size.acres for s in book.report.strips if s.kind == kind]
        if made:
            rows.append((KINDS[kind].word, str(len(made)), say.acres(sum(made))))
    left.table(("kind", "pieces", "area"), rows, (4, 2, 3))
    if acres := book.report.property.acres:
        left.text(f"Inside the property line: {say.acres(acres)}")
    pdf.page = page
    right = Column(pdf, MARGIN + 72, top, FULL_W - 72)
    right.head("To buy" + (f": {money(totals.cost)}" if totals.cost else ""))
    _write_shopping(book, right)
    pdf.page = max(pdf.pages)


def _write_shopping(book: Book, column: Column) -> None:
    """Write what is needed, done, on hand and to buy, what it costs and what was spent."""
    say, shopping = book.say, book.report.shopping
    begun = any(s.done or s.on_hand for s in shopping)
    rows = []
    for s in shopping:
        needed, done, held = (
            say.needed(one, s.unit, s.pack) for one in (s.need, s.done, s.on_hand)
        )
        buy = (
            say.amount(s.buy, s.unit) if s.packs is None or s.pack is None
            else say.packs(s.packs, s.pack, s.unit)
        )  # fmt: skip
        if s.buy <= 0 and not s.packs:
            buy = "none"
        mine = (done if s.done else "", held if s.on_hand else "") if begun else ()
        rows.append((s.item, needed, *mine, buy, "" if buy == "none" else money(s.cost)))
    if not rows:
        column.text("Nothing: no mix, soil test or spray is named yet.")
        return
    heads = ("item", "need", *(("done", "on hand") if begun else ()), "buy", "cost")
    column.table(heads, rows, (5, 3, 3, 3, 4, 3) if begun else (5, 3, 4, 3))
    spent = book.report.spent
    if words := spent_words(spent):
        still = money(spent.still) if spent.still else "nothing that has a price"
        column.text(f"{words[0].upper()}{words[1:]}. Still to spend: {still}.")
