"""A walk as a picture: what was kept, what was set aside and why, the ring, its ±."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.boundary.plane import Plane
from quietacre.figures import MEASURES, acres, figure, printed
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from PIL import ImageDraw

    from quietacre.boundary.differ import OtherReading
    from quietacre.boundary.walk import Walk

    FloatArray = NDArray[np.float64]

SIZE = 720
MARGIN = 30
#: A PNG is drawn this many times larger and brought down, so that its lines are smooth.
FINE = 2
#: One mark for each cause, so that colour is never needed to tell them apart.
MARKS = {
    "spike": '<path d="M-5-5L5 5M-5 5L5-5" stroke="#a3132b" stroke-width="2"/>',
    "repeat": '<circle r="4" fill="none" stroke="#4b4b4b" stroke-width="1.5"/>',
    "way in": '<path d="M0-4L4 4L-4 4Z" fill="#6b4a00"/>',
    "way out": '<path d="M0 4L4-4L-4-4Z" fill="#6b4a00"/>',
}
OTHER = '<rect x="-3" y="-3" width="6" height="6" fill="none" stroke="#4b4b4b"/>'
#: Dashes of readings that differ, one after another.
DASHES = ("8 3", "2 3", "8 3 2 3")
#: Lengths of the scale bar, in feet or metres.
ROUND = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


@dataclass(frozen=True)
class _Layout:
    """Where everything lies on the sheet, in its own units, north up."""

    ring: shapely.Geometry
    band: shapely.Geometry | None
    kept: FloatArray
    gone: FloatArray
    scale: float
    tall: float
    readings: tuple[shapely.Geometry, ...] = ()

    def rings(self, shape: shapely.Geometry) -> list[FloatArray]:
        """Return the rings of a shape that is laid out already."""
        return [
            shapely.get_coordinates(ring)
            for part in shapely.get_parts(shape)
            for ring in (part.exterior, *part.interiors)
        ]


def _laid_out(walk: Walk) -> _Layout:
    lonlat = shapely.get_coordinates(walk.polygon)
    plane = Plane.around(*lonlat.T)
    kept = plane.xy(walk.kept_lon, walk.kept_lat)
    gone = plane.xy(walk.removed_lon, walk.removed_lat)
    ring = plane.local(walk.polygon)
    band = None if walk.band is None else plane.local(walk.band)
    readings = [plane.local(one.polygon) for one in _apart(walk)]
    shapes = [shape for shape in (ring, band, *readings) if shape is not None]
    ends = np.vstack([shapely.get_coordinates(shapes), kept, gone])
    low, high = ends.min(axis=0), ends.max(axis=0)
    scale = (SIZE - 2 * MARGIN) / max(float((high - low).max()), 1.0)

    def at(xy: FloatArray) -> FloatArray:
        return np.column_stack(
            [MARGIN + (xy[:, 0] - low[0]) * scale, MARGIN + (high[1] - xy[:, 1]) * scale]
        )

    return _Layout(
        ring=shapely.transform(ring, at),
        band=None if band is None else shapely.transform(band, at),
        kept=at(kept),
        gone=at(gone),
        scale=scale,
        tall=2 * MARGIN + float(high[1] - low[1]) * scale,
        readings=tuple(shapely.transform(one, at) for one in readings),
    )


def _apart(walk: Walk) -> tuple[OtherReading, ...]:
    """Return the readings of an edge that were said to differ."""
    differ = any(note.code == "readings-differ" for note in walk.notes)
    return walk.readings if differ else ()


def walk_svg(walk: Walk, *, metric: bool = False) -> str:
    """Return the walk drawn as SVG text, north up, with a legend and a scale bar.

    Its figures are in US or metric units.
    """
    laid = _laid_out(walk)

    def path(shape: shapely.Geometry) -> str:
        return "".join(
            "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ring) + "Z"
            for ring in laid.rings(shape)
        )

    body = []
    if laid.band is not None:
        body.append(f'<path d="{path(laid.band)}" fill="#7db8e8" fill-opacity=".4" '
                    'fill-rule="evenodd"/>')  # fmt: skip
    body += [
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="1.6" fill="#111"/>' for x, y in laid.kept
    ]
    body.append(
        f'<path d="{path(laid.ring)}" fill="none" stroke="#0b5394" stroke-width="2"/>'
    )
    body += [
        f'<path d="{path(one)}" fill="none" stroke="#0d473d" stroke-width="1.5" '
        f'stroke-dasharray="{DASHES[k % len(DASHES)]}"/>'
        for k, one in enumerate(laid.readings)
    ]
    for (x, y), cause in zip(laid.gone, walk.removed_cause, strict=True):
        mark = MARKS.get(cause, OTHER)
        body.append(f'<g transform="translate({x:.1f} {y:.1f})">{mark}</g>')
    return _sheet(walk, body, laid.scale, laid.tall, metric=metric)


def _bar(scale: float, *, metric: bool) -> tuple[str, float]:
    """Return what stands under the scale bar, of a round length, and how wide it is drawn."""
    one_m = 1.0 if metric else FT_M
    bar = max((n for n in ROUND if n * one_m * scale <= SIZE / 3), default=ROUND[0])
    unit = MEASURES["ft"].metric if metric else MEASURES["ft"].us
    return f"{bar} {unit.word}, north up", bar * one_m * scale


def _title(walk: Walk, *, metric: bool) -> str:
    between = figure(walk.acres_low, "ac", to=walk.acres_high, joined=" and ", bare=True)
    said = printed(f"{acres(walk.acres)}, between {between}", metric=metric)
    title = f"{walk.name or 'walked area'}: {said}"
    return "".join(ch if ch.isprintable() else " " for ch in title)


def _reading_words(one: OtherReading, *, metric: bool) -> str:
    return printed(f"{one.what}, {acres(one.acres)}", metric=metric)


@dataclass(frozen=True)
class _Pen:
    """Draws the marks of the SVG on a picture that is ``FINE`` times larger."""

    draw: ImageDraw.ImageDraw

    def line(self, points: Sequence[tuple[float, float]], color: str, width: float) -> None:
        fine = [(x * FINE, y * FINE) for x, y in points]
        self.draw.line(fine, color, round(width * FINE))

    def mark(self, cause: str, x: float, y: float) -> None:
        """Draw the mark of a cause, or of a fix kept, of the ring or of its band."""

        def box(wide: float, high: float) -> tuple[float, float, float, float]:
            return (
                (x - wide) * FINE,
                (y - high) * FINE,
                (x + wide) * FINE,
                (y + high) * FINE,
            )

        if cause == "kept":
            self.draw.ellipse(box(1.6, 1.6), "#111")
        elif cause == "ring":
            self.line([(x - 8, y), (x + 8, y)], "#0b5394", 2)
        elif cause == "reading":
            self.line([(x - 8, y), (x + 8, y)], "#0d473d", 1.5)
        elif cause == "band":
            self.draw.rectangle(box(8, 5), "#cbe3f6")
        elif cause == "spike":
            self.line([(x - 5, y - 5), (x + 5, y + 5)], "#a3132b", 2)
            self.line([(x - 5, y + 5), (x + 5, y - 5)], "#a3132b", 2)
        elif cause in ("way in", "way out"):
            tip = -4 if cause == "way in" else 4
            points = [(x, y + tip), (x + 4, y - tip), (x - 4, y - tip)]
            self.draw.polygon([(a * FINE, b * FINE) for a, b in points], "#6b4a00")
        elif cause == "repeat":
            self.draw.ellipse(box(4, 4), outline="#4b4b4b", width=FINE)
        else:
            self.draw.rectangle(box(3, 3), outline="#4b4b4b", width=FINE)


def walk_png(walk: Walk, *, metric: bool = False) -> bytes:
    """Return the same drawing as a PNG, drawn twice as large and brought down."""
    from PIL import Image, ImageDraw, ImageFont

    laid = _laid_out(walk)
    counts = Counter(walk.removed_cause)
    legend = [("kept", f"kept, {len(walk.kept_lon)}"), ("ring", "the boundary"),
              ("band", "where the true edge lies, 95 %")]  # fmt: skip
    legend += [(c, f"set aside: {c}, {counts[c]}") for c in sorted(counts)]
    legend += [("reading", _reading_words(one, metric=metric)) for one in _apart(walk)]
    top = int(laid.tall) + 24
    size = (SIZE * FINE, (top + 22 * len(legend) + 10) * FINE)
    sheet = Image.new("RGB", size, "#fff")
    if laid.band is not None:
        mask = Image.new("L", size, 0)
        fill = ImageDraw.Draw(mask)
        for number, ring in enumerate(laid.rings(laid.band)):  # later rings are holes
            fill.polygon([(x * FINE, y * FINE) for x, y in ring], fill=0 if number else 102)
        sheet.paste(Image.new("RGB", size, "#7db8e8"), mask=mask)
    draw = ImageDraw.Draw(sheet)
    font = ImageFont.load_default(14 * FINE)

    pen = _Pen(draw)
    for x, y in laid.kept:
        pen.mark("kept", x, y)
    for ring in laid.rings(laid.ring):
        pen.line([(x, y) for x, y in ring], "#0b5394", 2)
    for one in laid.readings:
        for ring in laid.rings(one):
            pen.line([(x, y) for x, y in ring], "#0d473d", 1.5)
    for (x, y), cause in zip(laid.gone, walk.removed_cause, strict=True):
        pen.mark(cause, x, y)
    for number, (cause, words) in enumerate(legend):
        pen.mark(cause, 30, top + 22 * number)
        draw.text((48 * FINE, (top + 22 * number) * FINE), words, "#111", font, anchor="lm")
    words, wide = _bar(laid.scale, metric=metric)
    left = SIZE - MARGIN - wide
    pen.line(
        [(left, top - 5), (left, top), (left + wide, top), (left + wide, top - 5)],
        "#111",
        2,
    )
    draw.text((left * FINE, (top + 14) * FINE), words, "#111", font, anchor="lm")
    title = _title(walk, metric=metric)
    draw.text((MARGIN * FINE, 13 * FINE), title, "#111", font, anchor="lm")
    packed = io.BytesIO()
    sheet.resize((size[0] // FINE, size[1] // FINE), Image.Resampling.LANCZOS).save(
        packed, "PNG", optimize=True
    )
    return packed.getvalue()


def _sheet(walk: Walk, body: list[str], scale: float, tall: float, *, metric: bool) -> str:
    """Return the whole drawing: the map above, the words and the scale below."""
    counts = {cause: walk.removed_cause.count(cause) for cause in set(walk.removed_cause)}
    legend = [
        ('<circle r="1.6" fill="#111"/>', f"kept, {len(walk.kept_lon)}"),
        ('<path d="M-8 0H8" stroke="#0b5394" stroke-width="2"/>', "the boundary"),
        ('<rect x="-8" y="-5" width="16" height="10" fill="#7db8e8" fill-opacity=".4"/>',
         "where the true edge lies, 95 %"),
    ] + [
        (MARKS.get(cause, OTHER), f"set aside: {cause}, {counts[cause]}")
        for cause in sorted(counts)
    ] + [
        ('<path d="M-8 0H8" stroke="#0d473d" stroke-width="1.5" '
         f'stroke-dasharray="{DASHES[k % len(DASHES)]}"/>', _reading_words(one, metric=metric))
        for k, one in enumerate(_apart(walk))
    ]  # fmt: skip
    top = int(tall) + 24
    rows = [
        f'<g transform="translate(30 {top + 22 * k})">{mark}'
        f'<text x="18" y="5">{escape(words)}</text></g>'
        for k, (mark, words) in enumerate(legend)
    ]
    bar, wide = _bar(scale, metric=metric)
    rows.append(
        f'<g transform="translate({SIZE - MARGIN - wide:.1f} {top})">'
        f'<path d="M0-5V0H{wide:.1f}V-5" fill="none" stroke="#111" stroke-width="2"/>'
        f'<text y="18">{bar}</text></g>'
    )
    bottom = top + 22 * len(legend) + 10
    clean = _title(walk, metric=metric)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIZE} {bottom}" '
        f'width="{SIZE}" height="{bottom}" font-family="sans-serif" font-size="14">'
        f"<title>{escape(clean)}</title>"
        f'<rect width="{SIZE}" height="{bottom}" fill="#fff"/>'
        f'<text x="{MARGIN}" y="18">{escape(clean)}</text>'
        + "".join(body + rows)
        + "</svg>\n"
    )
