"""KML: every placemark of every folder, by a parser that takes no document type."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.intake.limits import MAX_TEXT_BYTES, megabytes

if TYPE_CHECKING:
    from collections.abc import Iterator
    from xml.etree.ElementTree import Element

    from quietacre.intake.collect import Collector

#: Longitude, latitude, height, and no more.
TOO_MANY = 4
#: Folders in folders and collections in collections.
MAX_DEPTH = 512
SHAPES = {"Polygon", "LineString", "LinearRing", "Point", "MultiGeometry"}


def collect_kml(data: bytes, into: Collector, label: str = "") -> None:
    """Add every placemark of a KML document.

    Raises
    ------
    FileProblem
        It is not well-formed KML, or a coordinate in it is not a number.
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
            f"{label}is not well-formed XML ({problem})", "export it again"
        ) from problem
    if _tag(root) != "kml":
        raise into.problem(f"{label}is not KML", "check what the file is")
    _check_depth(root, into, label)
    number = 0
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
        shapes = [_shape(e, where, into) for e in placemark if _tag(e) in SHAPES]
        made = [shape for shape in shapes if shape is not None]
        shape = None if not made else made[0]
        if len(made) > 1:
            shape = shapely.GeometryCollection(made)
        into.add(shape, {"name": name, "kind": _extended(placemark, "kind")}, where)


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
    if tag == "Point":
        return shapely.Point(xy[0])
    return shapely.LineString(xy) if len(xy) > 1 else shapely.Point(xy[0])


def _polygon(element: Element, where: str, into: Collector) -> shapely.Polygon | None:
    rings: dict[str, list[np.ndarray]] = {"outerBoundaryIs": [], "innerBoundaryIs": []}
    for side, found in rings.items():
        for boundary in _children(element, side):
            for ring in _children(boundary, "LinearRing"):
                xy = into.closed(_coordinates(ring, where, into), where)
                if xy is not None:
                    found.append(xy)
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
    rows = []
    for word in _child_text(element, "coordinates").split():
        parts = word.split(",")
        try:
            # Python reads 3_4 as 34; a KML file does not
            lon, lat = (float(part.replace("_", "x")) for part in parts[:2])
        except (IndexError, ValueError):
            lon = lat = math.nan
        # "-87,6,34,2" has four numbers, and its first two are not the place
        if not (math.isfinite(lon) and math.isfinite(lat) and len(parts) < TOO_MANY):
            nan = "nan" in word.casefold() or "inf" in word.casefold()
            raise into.problem(
                f"“{word[:40]}” is not {'a number' if nan else 'a longitude and a latitude'}",
                "export it again with decimal points, longitude and latitude apart by one comma",
                where,
            )
        rows.append((lon, lat))
    return np.array(rows, dtype=float).reshape(-1, 2)
