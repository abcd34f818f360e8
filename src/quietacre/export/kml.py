"""The same lines and points as KML 2.2, for phones and globes that read it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

import numpy as np
import shapely

from quietacre.export.phone import (
    DECIMALS,
    MOST_WORDS,
    US,
    lines,
    marks,
    plain_text,
    rings,
    turned,
)
from quietacre.kinds import INK, KINDS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    import geopandas as gpd

    from quietacre.export.quantities import Say
    from quietacre.report_records import Report


def _abgr(color: str) -> str:
    """Return "#rrggbb" as KML writes it: blue, green, red; opacity goes before."""
    return color[5:7] + color[3:5] + color[1:3]


COLORS = {name: _abgr(kind.line) for name, kind in KINDS.items()} | {
    "line": _abgr(INK),
    "pass": _abgr(KINDS["strip"].line),
}
FILLED = "4d"
CLEAR = "00"


def phone_kml(report: Report, layers: Mapping[str, gpd.GeoDataFrame], say: Say = US) -> str:
    """Return a KML document: a folder each of marks, ground and mower passes.

    Notes
    -----
    "OGC KML", OGC 07-147r2, 2008: coordinates are longitude, latitude; outer rings run
    against the clock.
    """
    name = escape(plain_text(report.property.name))
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Document>',
        f"<name>{name}</name>",
        *(_style(kind, color) for kind, color in COLORS.items()),
        "<Folder><name>marks</name>",
    ]
    for lon, lat, title, words in marks(report, layers, say):
        parts.append(
            _placemark(title, words, "line", f"<Point>{_at([(lon, lat)])}</Point>")
        )
    parts.append("</Folder><Folder><name>ground</name>")
    for title, words, kind, shape in rings(report, layers, say):
        parts.append(_placemark(title, words, kind, _polygons(shape)))
    parts.append("</Folder><Folder><name>mower passes and taped lines</name>")
    for title, words, shape in lines(layers, say):
        line = "".join(
            f"<LineString>{_at(shapely.get_coordinates(part))}</LineString>"
            for part in shapely.get_parts(shape)
        )
        parts.append(
            _placemark(title, words, "pass", f"<MultiGeometry>{line}</MultiGeometry>")
        )
    parts.append("</Folder></Document></kml>")
    return "\n".join(parts) + "\n"


def _style(kind: str, color: str) -> str:
    fill = CLEAR if kind == "line" else FILLED
    return (
        f'<Style id="{kind}"><LineStyle><color>ff{color}</color><width>2</width></LineStyle>'
        f"<PolyStyle><color>{fill}{color}</color></PolyStyle></Style>"
    )


def _placemark(name: str, words: str, kind: str, geometry: str) -> str:
    return (
        f"<Placemark><name>{escape(name)}</name>"
        f"<description>{escape(plain_text(words)[:MOST_WORDS])}</description>"
        f"<styleUrl>#{kind}</styleUrl>{geometry}</Placemark>"
    )


def _at(xy: Iterable[Any]) -> str:
    points = " ".join(f"{turned(x):.{DECIMALS}f},{y:.{DECIMALS}f}" for x, y in xy)
    return f"<coordinates>{points}</coordinates>"


def _polygons(shape: shapely.Geometry) -> str:
    parts = []
    for part in shapely.get_parts(shape):
        if part.geom_type != "Polygon":
            continue
        turned_right = shapely.orient_polygons(part)
        outer, *holes = (
            f"<LinearRing>{_at(np.round(shapely.get_coordinates(ring), DECIMALS))}</LinearRing>"
            for ring in (turned_right.exterior, *turned_right.interiors)
        )
        parts.append(
            f"<Polygon><outerBoundaryIs>{outer}</outerBoundaryIs>"
            + "".join(f"<innerBoundaryIs>{hole}</innerBoundaryIs>" for hole in holes)
            + "</Polygon>"
        )
    return (
        parts[0] if len(parts) == 1 else f"<MultiGeometry>{''.join(parts)}</MultiGeometry>"
    )
