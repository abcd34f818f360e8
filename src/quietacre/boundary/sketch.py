"""A figure of legs as a picture: corners by number, the gap it leaves, north up."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

import numpy as np

from quietacre.bearings import quadrant_words
from quietacre.boundary.deed import deed_care, deed_traverse
from quietacre.boundary.figure_place import edge_of
from quietacre.boundary.traverse import departures_ft, work_out
from quietacre.errors import BadInput
from quietacre.figures import acres, feet, printed
from quietacre.figures import figure as mark

if TYPE_CHECKING:
    from quietacre.boundary.traverse import Figure
    from quietacre.model import Layer, Traverse

WIDE, TALL, EDGE = 640.0, 640.0, 70.0
INK, FAINT, GAP = "#222222", "#777777", "#b3261e"


def sketch_svg(layer: Layer, *, metric: bool = False) -> str:
    """Return the legs or calls of a layer as SVG, its figures in US or metric units.

    Raises
    ------
    BadInput
        It holds neither, or its legs close nothing.
    """
    traverse, figure = _worked(layer)
    east, north = departures_ft(traverse.legs)
    read = np.vstack([[0.0, 0.0], np.column_stack([np.cumsum(east), np.cumsum(north)])])
    edge = edge_of(figure, traverse.legs)
    low = np.minimum(edge.min(axis=0), read.min(axis=0))
    span = np.maximum(edge.max(axis=0), read.max(axis=0)) - low
    scale = min(
        (WIDE - 2 * EDGE) / max(span[0], 1.0), (TALL - 2 * EDGE) / max(span[1], 1.0)
    )

    def at(point: np.ndarray) -> tuple[float, float]:
        x, y = (point - low) * scale
        return EDGE + float(x), TALL - EDGE - float(y)

    ring = " ".join(f"{x:.1f},{y:.1f}" for x, y in map(at, edge))
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:.0f} {TALL + 40:.0f}" '
        'font-family="sans-serif" font-size="13">',
        f'<polygon points="{ring}" fill="#f3f0e6" stroke="{INK}" stroke-width="2"/>',
    ]
    (x1, y1), (x2, y2) = at(read[-1]), at(read[0])
    lines.append(
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{GAP}" '
        'stroke-width="2" stroke-dasharray="4 3"/>'
    )
    corners = figure.xy_ft
    for row, leg in enumerate(traverse.legs):
        x, y = at(corners[row])
        lines.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="{INK}"/>')
        lines.append(f'<text x="{x + 6:.1f}" y="{y - 6:.1f}" fill="{INK}">{row + 1}</text>')
        x, y = at((corners[row] + corners[(row + 1) % len(corners)]) / 2)
        label = f"{quadrant_words(leg.azimuth_deg)}, {feet(leg.length_ft, 1)}"
        label = html.escape(printed(label, metric=metric))
        lines.append(
            f'<text x="{x:.1f}" y="{y:.1f}" fill="{FAINT}" font-size="11" text-anchor="middle">{label}</text>'
        )
    label = (
        f"{acres(figure.acres)}, "
        f"{mark(figure.acres_low, 'ac', to=figure.acres_high, joined=' to ', bare=True)}; misses its "
        f"beginning by {feet(figure.misclosure_ft, 1)} (1:{figure.ratio:,.0f}). Not a survey."
    )
    label = printed(label, metric=metric)
    lines += [
        f'<path d="M {WIDE - 30:.0f} 60 v -36 m -6 10 l 6 -10 l 6 10" stroke="{INK}" fill="none"/>',
        f'<text x="{WIDE - 30:.0f}" y="78" text-anchor="middle" fill="{INK}">N</text>',
        f'<text x="{EDGE:.0f}" y="{TALL + 14:.0f}" fill="{INK}">{html.escape(label)}</text>',
        "</svg>",
    ]
    return "\n".join(lines) + "\n"


def _worked(layer: Layer) -> tuple[Traverse, Figure]:
    """Return the legs of a layer and their figure."""
    if layer.deed is not None:
        traverse = deed_traverse(layer.deed)
        return traverse, work_out(traverse, care=deed_care(traverse.legs))
    if layer.traverse is not None:
        return layer.traverse, work_out(layer.traverse)
    raise BadInput(
        "there are no legs to draw",
        fix="give a table of legs or a deed",
        source="--sketch",
    )
