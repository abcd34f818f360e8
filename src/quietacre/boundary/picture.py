"""A walk as a picture: what was kept, what was set aside and why, the ring, its ±."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.boundary.plane import Plane
from quietacre.units import FT_M

if TYPE_CHECKING:
    from quietacre.boundary.walk import Walk

SIZE = 720
MARGIN = 30
#: One mark for each cause, so that colour is never needed to tell them apart.
MARKS = {
    "spike": '<path d="M-5-5L5 5M-5 5L5-5" stroke="#a3132b" stroke-width="2"/>',
    "repeat": '<circle r="4" fill="none" stroke="#4b4b4b" stroke-width="1.5"/>',
    "way in": '<path d="M0-4L4 4L-4 4Z" fill="#6b4a00"/>',
    "way out": '<path d="M0 4L4-4L-4-4Z" fill="#6b4a00"/>',
}
OTHER = '<rect x="-3" y="-3" width="6" height="6" fill="none" stroke="#4b4b4b"/>'
ROUND_FT = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


def walk_svg(walk: Walk) -> str:
    """Return the walk drawn as SVG text, north up, with a legend and a scale bar."""
    ring = shapely.get_coordinates(walk.polygon)
    plane = Plane.around(ring[:, 0], ring[:, 1])
    kept = plane.xy(walk.kept_lon, walk.kept_lat)
    gone = plane.xy(walk.removed_lon, walk.removed_lat)

    shapes = [plane.local(s) for s in (walk.polygon, walk.band) if s is not None]
    ends = np.vstack([shapely.get_coordinates(shapes), kept, gone])
    low, high = ends.min(axis=0), ends.max(axis=0)
    scale = (SIZE - 2 * MARGIN) / max(float((high - low).max()), 1.0)

    def at(xy: Any) -> Any:  # noqa: ANN401 - an array of points
        flat = np.atleast_2d(xy)
        return np.column_stack([
            MARGIN + (flat[:, 0] - low[0]) * scale, MARGIN + (high[1] - flat[:, 1]) * scale
        ])  # fmt: skip

    def path(shape: shapely.Geometry) -> str:
        rings = [
            "M"
            + "L".join(f"{x:.1f} {y:.1f}" for x, y in at(shapely.get_coordinates(r)))
            + "Z"
            for part in shapely.get_parts(shape)
            for r in (part.exterior, *part.interiors)
        ]
        return "".join(rings)

    body = []
    if walk.band is not None:
        body.append(f'<path d="{path(shapes[1])}" fill="#7db8e8" fill-opacity=".4" '
                    'fill-rule="evenodd"/>')  # fmt: skip
    body += [
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="1.6" fill="#111"/>' for x, y in at(kept)
    ]
    body.append(
        f'<path d="{path(shapes[0])}" fill="none" stroke="#0b5394" stroke-width="2"/>'
    )
    for (x, y), cause in zip(at(gone), walk.removed_cause, strict=True):
        mark = MARKS.get(cause, OTHER)
        body.append(f'<g transform="translate({x:.1f} {y:.1f})">{mark}</g>')
    return _sheet(walk, body, scale, 2 * MARGIN + float(high[1] - low[1]) * scale)


def _sheet(walk: Walk, body: list[str], scale: float, tall: float) -> str:
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
    ]  # fmt: skip
    top = int(tall) + 24
    rows = [
        f'<g transform="translate(30 {top + 22 * k})">{mark}'
        f'<text x="18" y="5">{escape(words)}</text></g>'
        for k, (mark, words) in enumerate(legend)
    ]
    bar = max((f for f in ROUND_FT if f * FT_M * scale <= SIZE / 3), default=ROUND_FT[0])
    wide = bar * FT_M * scale
    rows.append(
        f'<g transform="translate({SIZE - MARGIN - wide:.1f} {top})">'
        f'<path d="M0-5V0H{wide:.1f}V-5" fill="none" stroke="#111" stroke-width="2"/>'
        f'<text y="18">{bar} ft, north up</text></g>'
    )
    title = (
        f"{walk.name or 'walked area'}: {walk.acres:.2f} ac, between "
        f"{walk.acres_low:.2f} and {walk.acres_high:.2f}"
    )
    bottom = top + 22 * len(legend) + 10
    clean = "".join(ch if ch.isprintable() else " " for ch in title)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIZE} {bottom}" '
        f'width="{SIZE}" height="{bottom}" font-family="sans-serif" font-size="14">'
        f"<title>{escape(clean)}</title>"
        f'<rect width="{SIZE}" height="{bottom}" fill="#fff"/>'
        f'<text x="{MARGIN}" y="18">{escape(clean)}</text>'
        + "".join(body + rows)
        + "</svg>\n"
    )
