"""A letter page to write on: texts wrapped in columns, tables, fonts out of packages."""

from __future__ import annotations

import functools
from importlib.metadata import files as package_files
from typing import TYPE_CHECKING

from fpdf import FPDF
from fpdf.fonts import TTFFont

from quietacre.export.phone import plain_text
from quietacre.export.plat import INK, RGB, SOFT
from quietacre.figures import printed
from quietacre.short_names import short_name
from quietacre.words.for_reader import for_reader

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    from quietacre.as_json import Sayer

FONTS = {
    "": ("font-source-sans-pro", "SourceSansPro-Regular.ttf"),
    "B": ("font-source-sans-pro", "SourceSansPro-Semibold.ttf"),
}
HEADS = ("font-source-serif-pro", "SourceSerifPro-Semibold.ttf")
#: A letter page and its margin. [mm]
PAGE_W, PAGE_H, MARGIN = 215.9, 279.4, 14.0
FULL_W = PAGE_W - 2 * MARGIN
#: Longer texts are cut on paper; the page shows them whole.
MOST_TEXT = 700
#: Most letters of a heading: no name that is meant as one is longer.
MOST_HEAD = 200
#: Most letters of what a PDF is called in the window of a reader.
MOST_TITLE = 90
#: A paragraph with a bar of so many lines or fewer goes on elsewhere whole.
MOST_WHOLE = 14
#: What a bar takes of the line [mm]; the height of a line for each point of its size [mm];
#: the room after a paragraph. [mm]
BAR_MM, LINE, AFTER_MM = 3.0, 0.44, 0.7
#: Size of a heading, the room before it [mm], and at least as much of what it is over. [mm]
HEAD_SIZE, HEAD_GAP_MM, UNDER_HEAD_MM = 11.5, 1.6, 6.0
#: What is higher than this is torn in two wherever it stands. [mm]
MOST_UNDER_MM = 120.0


@functools.cache
def _font(package: str, name: str) -> str:
    font_path = next(path for path in package_files(package) or () if path.name == name)
    return str(font_path.locate())


class Paper(FPDF):
    """A letter page whose texts are printed, and cleaned of what the font cannot write.

    ``say`` prints the figures of every text that is written.
    """

    def __init__(self, title: str, made: dt.datetime, say: Sayer = printed) -> None:
        super().__init__(unit="mm", format="letter")
        for style, (package, name) in FONTS.items():
            self.add_font("body", style, _font(package, name))
        self.add_font("head", "", _font(*HEADS))
        # as wide as the count of the thickest pile of sheets will be
        self.alias_nb_pages("{count}")
        self.set_margin(MARGIN)
        self.set_auto_page_break(auto=False)
        self.set_creation_date(made)
        self.set_producer("quietacre")
        self.foot = ""
        self.say = say
        self._em: dict[tuple[str, str], float] = {}  # of texts in each font
        self.set_title(self.fit(short_name(title, MOST_TITLE)))
        self.set_lang("en-US")

    def fit(self, text: str, most: int = MOST_TEXT) -> str:
        """Return text on one line, printed and cut, a lozenge for letters the font has not."""
        text = plain_text(for_reader(self.say(text)))
        if len(text) > most:
            text = text[: most - 1] + "…"
        font = self.fonts["body"]
        assert isinstance(font, TTFFont)  # noqa: S101 - set above
        return "".join(ch if ord(ch) in font.cmap else "◊" for ch in text)

    def wide(self, text: str) -> float:
        """Return how wide a text is in the font set now. [mm]"""
        font = self.font_family + self.font_style
        em = self._em.get((font, text))
        if em is None:
            em = self._em[font, text] = (
                sum(self.wide(letter) for letter in text) / self.font_size
                if len(text) > 1
                else self.get_string_width(text) / self.font_size
            )
        return em * self.font_size

    def wrap(self, text: str, most_mm: float) -> list[str]:
        """Return a text in lines no wider than that; a word too long for one is broken."""
        lines, line, used = [], "", 0.0
        space = self.wide(" ")
        for whole in text.split(" "):
            word, width = whole, self.wide(whole)
            if line and used + space + width <= most_mm:
                line, used = f"{line} {word}", used + space + width
                continue
            if line:
                lines.append(line)
            while width > most_mm and len(word) > 1:
                keep = max(1, int(len(word) * most_mm / width))
                while keep > 1 and self.wide(word[:keep]) > most_mm:
                    keep -= 1
                lines.append(word[:keep])
                word = word[keep:]
                width = self.wide(word)
            line, used = word, width
        return [*lines, line] if line else lines

    def footer(self) -> None:
        """Write the property, the day and the number of the page."""
        self.set_xy(MARGIN, PAGE_H - 10)
        self.set_font("body", "", 8)
        self.set_text_color(*SOFT)
        self.cell(FULL_W - 20, 4, self.foot)
        self.cell(20, 4, f"page {self.page_no()} of {{count}}", align="R")
        self.set_text_color(*INK)


class Column:
    """Writes downwards in a column; when full it goes on elsewhere or on a new page.

    ``beside`` is where it goes on first: left and top of free room on the same page, and
    how wide that is. [mm] ``name`` is written at the top of a new page.
    """

    def __init__(
        self, pdf: Paper, x_mm: float, y_mm: float, wide_mm: float,
        beside: tuple[float, float, float] | None = None, name: str = "",
    ) -> None:  # fmt: skip
        self.name = name
        self.pdf, self.x, self.y, self.wide = pdf, x_mm, y_mm, wide_mm
        self.beside, self._home = beside, (x_mm, wide_mm)

    def room(self, high_mm: float) -> None:
        """Go on elsewhere unless so much is free."""
        if self.y + high_mm <= PAGE_H - MARGIN:
            return
        if self.beside and self.beside[1] + high_mm <= PAGE_H - MARGIN:
            self.x, self.y, self.wide = self.beside
        else:
            self.pdf.add_page()
            self.x, self.wide = self._home
            self.y = MARGIN
            if self.name:
                font = self.pdf.font_family, self.pdf.font_style, self.pdf.font_size_pt
                self.text(self.name, size=13, font="head")
                self.pdf.set_font(*font)
        self.beside = None

    def left_mm(self) -> float:
        """Return how much room is left on this page. [mm]"""
        return PAGE_H - MARGIN - self.y

    def high(
        self, text: str, *, size: float, bold: bool = False, bar: RGB | None = None,
        cut: int = MOST_TEXT,
    ) -> float:  # fmt: skip
        """Return how high a paragraph would be here, with the room after it. [mm]"""
        self.pdf.set_font("body", "B" if bold else "", size)
        wide = self.wide - (BAR_MM if bar else 0.0)
        return len(self.pdf.wrap(self.pdf.fit(text, cut), wide)) * size * LINE + AFTER_MM

    def least_mm(
        self, text: str, *, size: float, bar: RGB | None = None, bold: bool = False,
        cut: int = MOST_TEXT,
    ) -> float:  # fmt: skip
        """Return the room without which a paragraph begins elsewhere. [mm]"""
        high = self.high(text, size=size, bar=bar, bold=bold, cut=cut) - AFTER_MM
        return high if bar and high <= MOST_WHOLE * size * LINE + 0.01 else size * LINE

    def _keep_whole(self, text: str, size: float, indent: float) -> None:
        """Go on elsewhere before a paragraph with a bar that would be torn in two here."""
        self.pdf.set_font("body", "", size)
        lines = self.pdf.wrap(text, self.wide - indent - BAR_MM)
        if len(lines) <= MOST_WHOLE:
            self.room(len(lines) * size * LINE)

    def text(
        self, text: str, *, size: float = 9.5, bold: bool = False, soft: bool = False,
        font: str = "body", indent: float = 0.0, bar: RGB | None = None, cut: int = MOST_TEXT,
    ) -> None:  # fmt: skip
        """Write a paragraph; ``bar`` draws a stroke of that colour beside it."""
        pdf, high, text = self.pdf, size * LINE, self.pdf.fit(text, cut)
        if bar:
            self._keep_whole(text, size, indent)
        pdf.set_font(font, "B" if bold and font == "body" else "", size)
        inset = indent + (BAR_MM if bar else 0.0)
        lines, wide = pdf.wrap(text, self.wide - inset), self.wide
        while lines:
            self.room(high)
            if self.wide != wide:  # it goes on where lines are shorter or longer
                lines, wide = pdf.wrap(" ".join(lines), self.wide - inset), self.wide
            line = lines.pop(0)
            if bar:
                pdf.set_fill_color(*bar)
                pdf.rect(self.x + indent, self.y, 0.9, high, style="F")
            pdf.set_text_color(*(SOFT if soft else INK))
            pdf.text(self.x + inset, self.y + 0.76 * high, line)
            self.y += high
        pdf.set_text_color(*INK)
        self.y += AFTER_MM

    def head(self, text: str, under_mm: float = UNDER_HEAD_MM) -> None:
        """Write a heading with a rule below it.

        ``under_mm`` is what the first thing under it takes: it goes on elsewhere with that,
        and never stands alone at the foot of a column.
        """
        self.y += HEAD_GAP_MM
        self.pdf.set_font("head", "", HEAD_SIZE)
        text = short_name(text, MOST_HEAD)
        lines = len(self.pdf.wrap(self.pdf.fit(text), self.wide))
        self.room(lines * HEAD_SIZE * LINE + AFTER_MM + min(under_mm, MOST_UNDER_MM))
        self.text(text, size=HEAD_SIZE, font="head")
        self.pdf.set_draw_color(*INK)
        self.pdf.set_line_width(0.3)
        self.pdf.line(self.x, self.y - 0.5, self.x + self.wide, self.y - 0.5)
        self.y += 0.6

    def table(
        self, heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float]
    ) -> None:
        """Write a table; all columns but the first stand to the right."""
        self._row(heads, shares, bold=True)
        for row in rows:
            self._row(row, shares)
        self.y += 1.0

    def _row(
        self, cells: Sequence[str], shares: Sequence[float], *, bold: bool = False
    ) -> None:
        pdf, high = self.pdf, 4.0
        self.room(high)
        widths = [self.wide * share / sum(shares) for share in shares]
        pdf.set_font("body", "B" if bold else "", 9)
        wrapped = [
            pdf.wrap(pdf.fit(cell, 160), width - 1) or [""]
            for cell, width in zip(cells, widths, strict=True)
        ]
        tall = max(len(lines) for lines in wrapped) * high
        self.room(tall)
        x = self.x
        for number, (lines, width) in enumerate(zip(wrapped, widths, strict=True)):
            for n, line in enumerate(lines):
                start = x + width - pdf.wide(line) if number else x
                pdf.text(start, self.y + (n + 0.76) * high, line)
            x += width
        self.y += tall + 0.4
        pdf.set_draw_color(*(INK if bold else (217, 210, 192)))
        pdf.set_line_width(0.3 if bold else 0.15)
        pdf.line(self.x, self.y, self.x + self.wide, self.y)
        self.y += 0.4
