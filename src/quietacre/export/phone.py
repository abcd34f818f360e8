"""Lines and points for the phone: GPX 1.1 of boundaries, strips, weak spots and marks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    import geopandas as gpd

#: Phones and handhelds cut names about here. Common practice, no source.
SHORT_NAME = 30
DECIMALS = 7
HALF_TURN = 180.0


def plain_text(text: str) -> str:
    """Return text that XML can carry: no control characters, no half pairs, one line."""
    good = (
        ch
        for ch in " ".join(text.split())
        if (ch >= " " and not "\x7f" <= ch <= "\x9f")
        and not "\ud800" <= ch <= "\udfff"
        and ch not in "\ufffe\uffff"
    )
    return "".join(good)


def short_name(text: str) -> str:
    """Return a name that a small screen shows whole."""
    text = plain_text(text)
    return text if len(text) <= SHORT_NAME else text[: SHORT_NAME - 1] + "…"


def phone_gpx(report: Mapping[str, Any], layers: Mapping[str, gpd.GeoDataFrame]) -> str:
    """Return a GPX 1.1 document: a waypoint and a track for each piece of ground.

    A waypoint stands inside each area, named with its acres; each ring is a track, with
    its holes as further segments; narrow places of a strip are waypoints.

    Notes
    -----
    "GPX 1.1 Schema Documentation", TopoGrafix, 2004: waypoints come before tracks,
    longitudes lie from -180 to below 180.
    """
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="quietacre" xmlns="http://www.topografix.com/GPX/1/1">',
        f"<metadata><name>{escape(plain_text(report['property']['name']))}</name></metadata>",
    ]
    for lon, lat, name, words in _points(report, layers):
        lines.append(
            f"<wpt {_at(lon, lat)}><name>{escape(short_name(name))}</name>"
            f"<desc>{escape(plain_text(words))}</desc></wpt>"
        )
    for name, words, shape in _rings(report, layers):
        lines.append(
            f"<trk><name>{escape(short_name(name))}</name>"
            f"<desc>{escape(plain_text(words))}</desc>"
        )
        for ring in shapely.get_rings(shapely.get_parts(shape)):
            xy = np.round(shapely.get_coordinates(ring), DECIMALS)
            points = "".join(f"<trkpt {_at(x, y)}/>" for x, y in xy)
            lines.append(f"<trkseg>{points}</trkseg>")
        lines.append("</trk>")
    lines.append("</gpx>")
    return "\n".join(lines) + "\n"


def _at(lon: float, lat: float) -> str:
    lon = (lon + HALF_TURN) % (2 * HALF_TURN) - HALF_TURN
    return f'lat="{lat:.{DECIMALS}f}" lon="{lon:.{DECIMALS}f}"'


def _points(
    report: Mapping[str, Any], layers: Mapping[str, gpd.GeoDataFrame]
) -> Iterator[tuple[float, float, str, str]]:
    for area in report["areas"]:
        yield (
            area["lon"],
            area["lat"],
            f"{area['name']} {area['acres']:.2f} ac",
            area["kind"],
        )
    for strip in report["strips"]:
        for weak in strip["weak"]:
            words = f"strip {weak['available_ft']:.0f} ft wide here: {weak['reason']}"
            yield weak["lon"], weak["lat"], f"narrow: {strip['area']}", words
    marks = layers.get("waypoints")
    if marks is not None:
        for name, point in zip(marks["name"], marks.geometry, strict=True):
            yield point.x, point.y, name or "mark", "your own mark"


def _rings(
    report: Mapping[str, Any], layers: Mapping[str, gpd.GeoDataFrame]
) -> Iterator[tuple[str, str, shapely.Geometry]]:
    line = layers.get("boundary")
    if line is not None:
        for shape in line.geometry:
            yield "property line", report["property"]["name"], shape
    for name in ("areas", "strips"):
        frame = layers[name]
        for title, kind, acres, shape in zip(
            frame["name"], frame["kind"], frame["acres"], frame.geometry, strict=True
        ):
            if not shape.is_empty:
                yield title, f"{kind}, {acres:.2f} ac", shape
