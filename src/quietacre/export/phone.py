"""Lines and points for the phone: GPX 1.1 of boundaries, strips, mower passes and marks."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

import numpy as np
import shapely

from quietacre.boundary.thin import thinned
from quietacre.export.quantities import Say
from quietacre.kinds import KINDS
from quietacre.short_names import short_names

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    import geopandas as gpd

    from quietacre.need.records import Need
    from quietacre.report_records import Report

#: Phones and handhelds cut names about here. Common practice, no source.
SHORT_NAME = 30
#: A description longer than this helps nobody in the field.
MOST_WORDS = 300
DECIMALS = 7
HALF_TURN = 180.0
US = Say()
#: Control characters, half pairs and what is no character.
NOT_IN_XML = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


def plain_text(text: str) -> str:
    """Return text that XML can carry: no control characters, no half pairs, one line."""
    return NOT_IN_XML.sub("", " ".join(text.split()))


def _short(names: Iterable[str], most: int = SHORT_NAME) -> dict[str, str]:
    """Return what a small screen calls each name, whole or cut, different ones apart."""
    names = list(names)
    short = short_names(map(plain_text, names), most)
    return {name: short[plain_text(name)] for name in names}


def phone_gpx(report: Report, layers: Mapping[str, gpd.GeoDataFrame], say: Say = US) -> str:
    """Return a GPX 1.1 document: a waypoint and a track for each piece of ground.

    A waypoint stands inside each area, named with its acres; each ring is a track, with
    its holes as further segments; narrow places of a strip are waypoints; each mower pass
    is a track of its own, in the order they are driven.

    Notes
    -----
    "GPX 1.1 Schema Documentation", TopoGrafix, 2004: waypoints come before tracks,
    longitudes lie from -180 to below 180.
    """
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="quietacre" xmlns="http://www.topografix.com/GPX/1/1">',
        f"<metadata><name>{escape(plain_text(report.property.name))}</name></metadata>",
    ]
    for lon, lat, name, words in marks(report, layers, say):
        out.append(
            f"<wpt {_at(lon, lat)}><name>{escape(name)}</name>"
            f"<desc>{escape(plain_text(words)[:MOST_WORDS])}</desc></wpt>"
        )
    for name, words, _, shape in rings(report, layers, say):
        out.append(
            f"<trk><name>{escape(name)}</name>"
            f"<desc>{escape(plain_text(words)[:MOST_WORDS])}</desc>"
        )
        for ring in shapely.get_rings(shapely.get_parts(shape)):
            xy = np.round(shapely.get_coordinates(ring), DECIMALS)
            points = "".join(f"<trkpt {_at(x, y)}/>" for x, y in xy)
            out.append(f"<trkseg>{points}</trkseg>")
        out.append("</trk>")
    for name, words, shape in lines(layers, say):
        out.append(
            f"<trk><name>{escape(name)}</name>"
            f"<desc>{escape(plain_text(words)[:MOST_WORDS])}</desc>"
        )
        for part in shapely.get_parts(shape):
            points = "".join(
                f"<trkpt {_at(x, y)}/>" for x, y in shapely.get_coordinates(part)
            )
            out.append(f"<trkseg>{points}</trkseg>")
        out.append("</trk>")
    out.append("</gpx>")
    return "\n".join(out) + "\n"


def _at(lon: float, lat: float) -> str:
    return f'lat="{lat:.{DECIMALS}f}" lon="{turned(lon):.{DECIMALS}f}"'


def turned(lon: float) -> float:
    """Return a longitude from -180 to below 180. [deg]"""
    return (lon + HALF_TURN) % (2 * HALF_TURN) - HALF_TURN


def marks(
    report: Report, layers: Mapping[str, gpd.GeoDataFrame], say: Say
) -> Iterator[tuple[float, float, str, str]]:
    """Yield longitude, latitude [deg], short name and words of each point for the phone."""
    sizes = [say.acres(area.size.acres) for area in report.areas]
    room = SHORT_NAME - len(max(sizes, key=len, default="")) - 1
    called = _short((area.name for area in report.areas), room)
    for area, size in zip(report.areas, sizes, strict=True):
        yield (
            area.lon,
            area.lat,
            f"{called[area.name]} {size}",
            KINDS[area.kind].word + _amounts(area.need, say),
        )
    narrow = _short(f"narrow: {strip.ring.wanted.area}" for strip in report.strips)
    for strip in report.strips:
        for weak in strip.ring.weak:
            words = (
                f"strip {say.feet(weak.available_ft)} wide here: {say.words(weak.reason)}"
            )
            yield weak.lon, weak.lat, narrow[f"narrow: {strip.ring.wanted.area}"], words
    marks = layers.get("waypoints")
    if marks is not None:
        names = [say.words(name or "mark") for name in marks["name"]]
        own = _short(names)
        for name, point in zip(names, marks.geometry, strict=True):
            yield point.x, point.y, own[name], "your own mark"


def _amounts(need: Need | None, say: Say) -> str:
    """Return what goes on an area, for the words under its mark."""
    if not need:
        return ""
    parts = [f"{say.pounds(s.lb)} {s.crop}" for s in need.seed]
    parts += [f"{say.pounds(f.lb)} {f.grade}" for f in need.fertilizer]
    lime = need.lime
    parts += [f"{say.tons(lime.ton)} of lime"] if lime else []
    return "".join(f"; {part}" for part in parts)


def lines(
    layers: Mapping[str, gpd.GeoDataFrame], say: Say
) -> Iterator[tuple[str, str, shapely.Geometry]]:
    """Yield short name, words and line of each taped line and each mower pass."""
    taped = layers.get("taped")
    if taped is not None:
        names = [say.words(name) for name in taped["name"]]
        own = _short(names)
        for name, shape in zip(names, taped.geometry, strict=True):
            yield own[name], "taped", shape
    passes = layers.get("passes")
    if passes is None:
        return
    of = dict(zip(layers["strips"]["id"], layers["strips"]["name"], strict=True))
    before = f"pass {max(passes['number'], default=0)} "
    called = _short(of.values(), SHORT_NAME - len(before))
    for key, number, length_ft, shape in zip(
        passes["of"],
        passes["number"],
        passes["length_ft"],
        thinned(passes.geometry.to_numpy()),
        strict=True,
    ):
        if not shape.is_empty:
            yield (
                f"pass {number} {called[of[key]]}",
                say.feet(length_ft),
                shape,
            )


def rings(
    report: Report, layers: Mapping[str, gpd.GeoDataFrame], say: Say
) -> Iterator[tuple[str, str, str, shapely.Geometry]]:
    """Yield short name, words, kind and shape of the property line and each piece of ground.

    Shapes have as few vertices as a phone needs, areas within 0.05 %.
    """
    line = layers.get("boundary")
    if line is not None:
        for shape in thinned(line.geometry.to_numpy()):
            yield "property line", report.property.name, "line", shape
    frames = [layers[name] for name in ("areas", "strips")]
    called = _short(title for frame in frames for title in frame["name"])
    for frame in frames:
        for title, kind, acres, shape in zip(
            frame["name"],
            frame["kind"],
            frame["acres"],
            thinned(frame.geometry.to_numpy()),
            strict=True,
        ):
            if not shape.is_empty:
                yield called[title], f"{KINDS[kind].word}, {say.acres(acres)}", kind, shape
