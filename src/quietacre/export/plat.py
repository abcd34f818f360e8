"""Ground drawn on paper: outlines with a pattern for each kind, and side lengths."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre import kinds
from quietacre.acreage.fewer import fewer_corners
from quietacre.acreage.frame import sound
from quietacre.kinds import KINDS, Kind, rgb
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from fpdf import FPDF
    from numpy.typing import NDArray

    from quietacre.acreage.frame import LocalFrame
    from quietacre.export.quantities import Say
    from quietacre.page.side_lengths import Sides

    FloatArray = NDArray[np.float64]

RGB = tuple[int, int, int]
INK: RGB = rgb(kinds.INK)
SOFT: RGB = (91, 90, 79)
FAINT: RGB = (165, 156, 134)
RED: RGB = (165, 28, 20)


HATCH_MM = 2.2
SIGN_MM = 4.0
#: A printer shows no bend smaller than this.
FINEST_MM = 0.04
#: Strokes of each sign, in millimetres from its middle.
SIGNS: dict[str, list[list[tuple[float, float]]]] = {
    "dot": [[(-0.5, 0), (0, 0.7), (0.5, 0), (0, -0.7), (-0.5, 0)]],
    "plus": [[(-0.8, 0), (0.8, 0)], [(0, -0.8), (0, 0.8)]],
    "tree": [[(-0.8, 0.8), (0, -0.9), (0.8, 0.8), (-0.8, 0.8)]],
    "wave": [[(-1.4, 0), (-0.7, -0.6), (0, 0), (0.7, 0.6), (1.4, 0)]],
    "cross": [[(-0.7, -0.7), (0.7, 0.7)], [(-0.7, 0.7), (0.7, -0.7)]],
}


class Plat:
    """Draws shapes given in local metres of the property into a box on the page.

    Parameters
    ----------
    pdf : the page to draw on, in millimetres.
    frame : local metres of the property.
    shapes : what must fit into the box. [m]
    left_mm, top_mm, wide_mm, high_mm : the box. [mm]
    edge_mm : room kept free inside it. [mm]
    """

    def __init__(
        self,
        pdf: FPDF,
        frame: LocalFrame,
        shapes: Iterable[shapely.Geometry],
        *,
        left_mm: float,
        top_mm: float,
        wide_mm: float,
        high_mm: float,
        edge_mm: float,
    ) -> None:
        self.pdf, self.frame = pdf, frame
        self.box = shapely.box(left_mm, top_mm, left_mm + wide_mm, top_mm + high_mm)
        west, south, east, north = shapely.total_bounds(list(shapes))
        self.mm_per_m = min(
            (wide_mm - 2 * edge_mm) / max(east - west, 1e-6),
            (high_mm - 2 * edge_mm) / max(north - south, 1e-6),
        )
        self._middle = ((west + east) / 2, (south + north) / 2)
        self._at = (left_mm + wide_mm / 2, top_mm + high_mm / 2)

    def on_paper(self, shape: shapely.Geometry) -> shapely.Geometry:
        """Return a shape in millimetres of the page, as fine as print shows."""
        fewer = fewer_corners(shapely.transform(shape, self._mm), FINEST_MM)
        return sound(np.array([fewer], dtype=object))[0]

    def _mm(self, xy: FloatArray) -> FloatArray:
        x = self._at[0] + (xy[:, 0] - self._middle[0]) * self.mm_per_m
        y = self._at[1] - (xy[:, 1] - self._middle[1]) * self.mm_per_m
        return np.column_stack([x, y])

    def fill(self, shape: shapely.Geometry, kind: str) -> None:
        """Draw ground: its fill, pattern and outline."""
        look, paper = KINDS[kind], self.on_paper(shape)
        for part in _polygons(paper):
            self._paint(part, look.fill_rgb)
            fill_pattern(self.pdf, part, look)
        self.outline(shape, look.line_rgb, width_mm=0.5)

    def _paint(self, part: shapely.Polygon, color: RGB) -> None:
        """Fill a polygon and leave its holes as they are."""
        self.pdf.set_fill_color(*color)
        outer, *holes = shapely.get_rings(shapely.orient_polygons(part))
        xy = shapely.get_coordinates(outer)
        # one line round it all: into each hole, round it the other way, and back
        for hole in holes:
            xy = np.vstack([xy, shapely.get_coordinates(hole), xy[:1]])
        self.pdf.polygon(xy.tolist(), style="F")

    def outline(
        self,
        shape: shapely.Geometry,
        color: RGB,
        *,
        width_mm: float = 0.3,
        dash_mm: tuple[float, float] | None = None,
    ) -> None:
        """Draw the edge of a shape, or a line, cut to the box."""
        edge = self.on_paper(shape)
        if edge.geom_type.endswith("Polygon"):
            edge = edge.boundary
        stroke(self.pdf, _lines(edge.intersection(self.box)), color, width_mm, dash_mm)

    def sides(self, sides: Sides, say: Say) -> None:
        """Write the length of each side outside it, with a dot at each corner."""
        xy = self._mm(np.column_stack(self.frame.xy(sides.lon, sides.lat)))
        step = np.roll(xy, -1, axis=0) - xy
        turn = math.copysign(
            1.0, float((xy[:, 0] * step[:, 1] - xy[:, 1] * step[:, 0]).sum())
        )
        self.pdf.set_fill_color(*INK)
        for (x, y), (dx, dy), length_ft in zip(xy, step, sides.length_ft, strict=True):
            size = math.hypot(dx, dy) or 1.0
            self.pdf.circle(x, y, 0.6, style="F")
            text = say.feet(float(length_ft))
            width = self.pdf.get_string_width(text)
            self.pdf.text(
                x + dx / 2 + turn * dy / size * (2.0 + width / 2) - width / 2,
                y + dy / 2 - turn * dx / size * 3.2 + 1.0,
                text,
            )

    def north_and_scale(self, say: Say) -> None:
        """Draw an arrow to the north and a bar of a round length."""
        left, top, right, bottom = self.box.bounds
        self.pdf.set_fill_color(*INK)
        x, y = right - 5, top + 3
        self.pdf.polygon([(x, y), (x + 1.6, y + 4.5), (x - 1.6, y + 4.5)], style="F")
        self.pdf.text(x - self.pdf.get_string_width("N") / 2, y + 8, "N")
        unit_m = 1.0 if say.metric else FT_M
        room = 24.0 / self.mm_per_m / unit_m
        ten = 10.0 ** math.floor(math.log10(room))
        bar = next(step * ten for step in (5, 2, 1) if step * ten <= room)
        long = bar * unit_m * self.mm_per_m
        x, y = left + 3, bottom - 3
        points = [(x, y - 1.5), (x, y), (x + long, y), (x + long, y - 1.5)]
        stroke(self.pdf, [np.array(points)], INK, 0.35, None)
        self.pdf.text(x + 1, y - 1.2, f"{bar:,.0f} {'m' if say.metric else 'ft'}")


def _polygons(shape: shapely.Geometry) -> list[Any]:
    return [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]


def _lines(shape: shapely.Geometry) -> list[FloatArray]:
    return [
        shapely.get_coordinates(part)
        for part in shapely.get_parts(shape)
        if part.geom_type in ("LineString", "LinearRing")
    ]


def stroke(
    pdf: FPDF,
    lines: Iterable[FloatArray],
    color: RGB,
    width_mm: float,
    dash_mm: tuple[float, float] | None,
) -> None:
    """Draw lines, each of shape (n, 2). [mm]"""
    pdf.set_draw_color(*color)
    pdf.set_line_width(width_mm)
    if dash_mm:
        pdf.set_dash_pattern(*dash_mm)
    # as one path: a drawing of many strokes is several times smaller and sooner made
    k, h = pdf.k, pdf.h
    path = [
        f"{(h - y) * k:.2f}".join((f"{x * k:.2f} ", " l" if n else " m"))
        for line in lines
        for n, (x, y) in enumerate(line.tolist())
    ]
    if path:
        pdf._out(" ".join([*path, "S"]))  # noqa: SLF001 - fpdf2 has no public path so plain
    if dash_mm:
        pdf.set_dash_pattern()


def fill_pattern(pdf: FPDF, part: shapely.Polygon, look: Kind) -> None:
    """Draw the pattern of a kind inside a polygon given in millimetres of the page."""
    if look.hatch is not None:
        stroke(pdf, _hatch(part, look.hatch), look.line_rgb, 0.18, None)
    elif look.sign is not None:
        stroke(pdf, _signs(part, SIGNS[look.sign]), look.line_rgb, 0.22, None)


def _hatch(part: shapely.Polygon, degrees: float) -> list[FloatArray]:
    left, top, right, bottom = part.bounds
    angle = math.radians(degrees)
    along = np.array([math.cos(angle), math.sin(angle)])
    across = np.array([-along[1], along[0]])
    corners = np.array([[left, top], [left, bottom], [right, top], [right, bottom]])
    low, high = (corners @ across).min(), (corners @ across).max()
    start, end = (corners @ along).min(), (corners @ along).max()
    # a grid that is the same all over the page, so that neighbors line up
    offsets = np.arange(math.ceil(low / HATCH_MM), math.floor(high / HATCH_MM) + 1)
    if not len(offsets):  # narrower than the pattern
        return []
    ends = np.array([[start], [end]]) * along
    rays = shapely.linestrings([ends + offset * HATCH_MM * across for offset in offsets])
    shapely.prepare(part)
    return [line for cut in shapely.intersection(rays, part) for line in _lines(cut)]


def _signs(
    part: shapely.Polygon, strokes: list[list[tuple[float, float]]]
) -> Iterator[FloatArray]:
    left, top, right, bottom = part.bounds
    rows = range(math.floor(top / SIGN_MM), math.ceil(bottom / SIGN_MM) + 1)
    columns = range(math.floor(left / SIGN_MM), math.ceil(right / SIGN_MM) + 1)
    grid = [((c + 0.5 * (r % 2)) * SIGN_MM, r * SIGN_MM) for r in rows for c in columns]
    points = np.array(grid, dtype=float)
    inside = shapely.contains_xy(part.buffer(-0.9), points[:, 0], points[:, 1])
    for point in points[inside]:
        for line in strokes:
            yield point + np.array(line)
