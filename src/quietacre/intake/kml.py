"""KML: every placemark of every folder, by a parser that takes no document type.

Lines and tracks (``gx:Track``, ``gx:MultiTrack``) become tracks, as those of a GPX do:
whether a line was walked or drawn is judged with the walks, not here.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.intake.gpx import parse_time
from quietacre.intake.limits import MAX_TEXT_BYTES, megabytes
from quietacre.model import Track

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from xml.etree.ElementTree import Element

    from quietacre.intake.collect import Collector

#: Longitude, latitude, height, and no more.
TOO_MANY = 4
#: Folders in folders and collections in collections.
MAX_DEPTH = 512
SHAPES = {"Polygon", "LinearRing", "Point", "MultiGeometry"}
LINES = {"LineString", "Track", "MultiTrack"}
#: A file with more lines than this holds contours or roads, not walks.
MOST_LINES = 200


def collect_kml(data: bytes, into: Collector, label: str = "") -> None:
    """Add every placemark of a KML document.

    Raises
    ------
    FileProblem
        It is no whole KML, or a coordinate in it is not a number.
    """
    from xml.etree.ElementTree import ParseError

    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import fromstring

    if len(data) > MAX_TEXT_BYTES:
        raise into.problem(
            f"is {megabytes(len(data))}; the limit is {megabytes(MAX_TEXT_BYTES)}",
            "split it",
        )
    try:
        root = fromstring(data, forbid_dtd=True)
    except DefusedXmlException as problem:
        raise into.problem(
            f"{label}declares a document type, which KML never needs", "export it again"
        ) from problem
    except (ParseError, LookupError, ValueError, RecursionError) as problem:
        raise into.problem(
            f"{label}is not a KML file, or a damaged one ({problem})",
            "check what the file is, or export it again",
        ) from problem
    if _tag(root) != "kml":
        raise into.problem(f"{label}is not KML", "check what the file is")
    _check_depth(root, into, label)
    number = 0
    lines: list[tuple[Track, str, str]] = []
    if any(_tag(element) == "NetworkLink" for element in root.iter()):
        into.note(
            "network-link",
            f"{label}links to something on a network; links are never followed.",
            level="caution",
        )
    for placemark in root.iter():
        if _tag(placemark) != "Placemark":
            continue
        number += 1
        name = _child_text(placemark, "name")
        where = f"{label}placemark {number}" + (f" “{name}”" if name else "")
        kind = _extended(placemark, "kind")
        shapes = [_shape(e, where, into) for e in placemark if _tag(e) in SHAPES]
        made = [shape for shape in shapes if shape is not None]
        placemark_lines = list(_lines(placemark, name, where, into))
        lines += [(track, kind, where) for track in placemark_lines]
        shape = None if not made else made[0]
        if len(made) > 1:
            shape = shapely.GeometryCollection(made)
        if shape is not None or not placemark_lines:
            into.add(shape, {"name": name, "kind": kind}, where)
    _add_lines(lines, into)


def _add_lines(lines: Sequence[tuple[Track, str, str]], into: Collector) -> None:
    """Take lines as tracks, or as drawn when there are too many for walks."""
    if len(lines) > MOST_LINES:
        into.note(
            "lines-as-drawn",
            f"the file holds {len(lines):,} lines, too many for walks; they are read as drawn.",
            level="caution",
        )
    for track, kind, where in lines:
        if len(lines) > MOST_LINES:
            shape = shapely.LineString(np.column_stack([track.lon, track.lat]))
            into.add(shape, {"name": track.name, "kind": kind}, where)
        else:
            into.add_track(replace(track, area_kind=into.kind(kind)), where)


def _lines(element: Element, name: str, where: str, into: Collector) -> Iterator[Track]:
    """Yield the lines and tracks of a placemark, collections included."""
    for child in element:
        tag = _tag(child)
        if tag == "MultiGeometry":
            yield from _lines(child, name, where, into)
        elif tag in LINES:
            track = (
                _line(child, name, where, into)
                if tag == "LineString"
                else _recorded(child, name, where, into)
            )
            if track is not None:
                yield track


def _line(element: Element, name: str, where: str, into: Collector) -> Track | None:
    """Return a line as a track without times; None of fewer than two points."""
    xy = _coordinates(element, where, into)
    if len(xy) < 2:  # noqa: PLR2004 - a line has two ends
        return None
    blank = np.full(len(xy), math.nan)
    return Track(
        name,
        into.source,
        "line",
        xy[:, 0],
        xy[:, 1],
        blank,
        np.zeros(len(xy), np.int64),
    )


def _recorded(element: Element, name: str, where: str, into: Collector) -> Track | None:
    """Return a ``gx:Track``, or the pieces of a ``gx:MultiTrack`` as segments of one."""
    pieces = [element] if _tag(element) == "Track" else list(_children(element, "Track"))
    places, times, segment = [], [], []
    for number, piece in enumerate(pieces):
        words = [(child.text or "").split() for child in _children(piece, "coord")]
        here = [_place(word, where, into) for word in words]
        whens = [parse_time(child.text or "") for child in _children(piece, "when")]
        if len(whens) != len(here):
            if whens:
                into.note(
                    "bad-times",
                    f"{where}: {len(whens)} times for {len(here)} places; read without times.",
                    where,
                    "caution",
                )
            whens = [math.nan] * len(here)
        places += here
        times += whens
        segment += [number] * len(here)
    if len(places) < 2:  # noqa: PLR2004 - a line has two ends
        into.note(
            "empty-track", f"{where}: its track has no points; left out.", where, "info"
        )
        return None
    bad = sum(map(math.isnan, times))
    if bad and bad < len(times):
        into.note(
            "bad-times",
            f"{where}: {bad} points have a time that cannot be read; they are used without it.",
            where,
            "info",
        )
    xy = np.array(places, dtype=float)
    return Track(
        name, into.source, "track", xy[:, 0], xy[:, 1], np.array(times, dtype=float),
        np.array(segment, dtype=np.int64),
    )  # fmt: skip


def _check_depth(root: Element, into: Collector, label: str) -> None:
    level = [root]
    depth = 0
    while level:
        depth += 1
        if depth > MAX_DEPTH:
            raise into.problem(
                f"{label}nests elements deeper than {MAX_DEPTH}", "export it again"
            )
        level = [child for element in level for child in element]


def _tag(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]


def _children(element: Element, tag: str) -> Iterator[Element]:
    return (child for child in element if _tag(child) == tag)


def _child_text(element: Element, tag: str) -> str:
    return next(((child.text or "").strip() for child in _children(element, tag)), "")


def _extended(placemark: Element, key: str) -> str:
    """Return an ExtendedData value, plain or typed."""
    for element in placemark.iter():
        if (
            _tag(element) in ("Data", "SimpleData")
            and element.get("name", "").casefold() == key
        ):
            return (element.text or "").strip() or _child_text(element, "value")
    return ""


def _shape(element: Element, where: str, into: Collector) -> Any:  # noqa: ANN401 - a geometry
    tag = _tag(element)
    if tag == "MultiGeometry":
        shapes = [_shape(child, where, into) for child in element if _tag(child) in SHAPES]
        return shapely.GeometryCollection([shape for shape in shapes if shape is not None])
    if tag == "Polygon":
        return _polygon(element, where, into)
    xy = _coordinates(element, where, into)
    if not len(xy):
        return None
    return shapely.LineString(xy) if len(xy) > 1 else shapely.Point(xy[0])


def _polygon(element: Element, where: str, into: Collector) -> shapely.Polygon | None:
    rings: dict[str, list[np.ndarray]] = {"outerBoundaryIs": [], "innerBoundaryIs": []}
    for side, parts in rings.items():
        for boundary in _children(element, side):
            for ring in _children(boundary, "LinearRing"):
                xy = into.closed(_coordinates(ring, where, into), where)
                if xy is not None:
                    parts.append(xy)
                elif side == "outerBoundaryIs":
                    raise into.too_few(where)
    if not rings["outerBoundaryIs"]:
        return None
    if len(rings["outerBoundaryIs"]) > 1:
        raise into.problem(
            f"one polygon has {len(rings['outerBoundaryIs'])} outer edges",
            "draw each piece as a polygon of its own",
            where,
        )
    return shapely.Polygon(rings["outerBoundaryIs"][0], rings["innerBoundaryIs"])


def _coordinates(element: Element, where: str, into: Collector) -> np.ndarray:
    """Return the coordinates of a ring, line or point as an array (n, 2)."""
    words = _child_text(element, "coordinates").split()
    rows = [_place(word.split(","), where, into) for word in words]
    return np.array(rows, dtype=float).reshape(-1, 2)


def _place(parts: Sequence[str], where: str, into: Collector) -> tuple[float, float]:
    """Return a longitude and a latitude from their words."""
    try:
        # Python reads 3_4 as 34; a KML file does not
        lon, lat = (float(part.replace("_", "x")) for part in parts[:2])
    except (IndexError, ValueError):
        lon = lat = math.nan
    # "-87,6,34,2" has four numbers, and its first two are not the place
    if math.isfinite(lon) and math.isfinite(lat) and len(parts) < TOO_MANY:
        return lon, lat
    word = ",".join(parts)
    nan = "nan" in word.casefold() or "inf" in word.casefold()
    raise into.problem(
        f"“{word[:40]}” is not {'a number' if nan else 'a longitude and a latitude'}",
        "export it again with decimal points, longitude and latitude apart by one comma",
        where,
    )
