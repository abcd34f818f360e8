"""GeoJSON by RFC 7946, and older files that name a reference system."""

from __future__ import annotations

import itertools
import json
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.intake.collect import Collector, whole
from quietacre.intake.limits import MAX_NESTING, read_text
from quietacre.intake.reference import to_wgs84

if TYPE_CHECKING:
    from pathlib import Path

KINDS = frozenset(
    {"Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon"}
)


def collect_geojson(path: Path, into: Collector) -> None:
    """Add every feature of a GeoJSON file.

    Raises
    ------
    FileProblem
        It is not JSON, not GeoJSON, or a coordinate in it is not a number.
    """
    document = _load(read_text(path, into.source), into)
    if not isinstance(document, dict) or "type" not in document:
        raise into.problem("is not GeoJSON", "export it again as GeoJSON")
    move = _crs(document.get("crs"), into)
    kind = document["type"]
    if kind == "FeatureCollection":
        features = document.get("features")
        if not isinstance(features, list):
            raise into.problem("has no list of features", "export it again")
        for number, feature in enumerate(features, 1):
            _feature(feature, f"feature {number}", into, move)
    elif kind == "Feature":
        _feature(document, "feature 1", into, move)
    else:
        into.add(_shape(document, "geometry", into), {}, "geometry", move)


def _load(text: str, into: Collector) -> Any:  # noqa: ANN401 - any JSON
    def refuse(word: str) -> None:
        raise into.problem(f"holds {word}, which JSON does not have", "export it again")

    def pairs(items: list[tuple[str, Any]]) -> dict[str, Any]:
        made = dict(items)
        if len(made) < len(items):
            keys = [key for key, _ in items]
            double = next(key for key in keys if keys.count(key) > 1)
            raise into.problem(
                f"has the key “{double}” twice in one object", "export it again"
            )
        return made

    try:
        return json.loads(text, parse_constant=refuse, object_pairs_hook=pairs)
    except json.JSONDecodeError as problem:
        cut = problem.pos >= len(text.rstrip()) or problem.msg.startswith("Unterminated")
        end = "is cut off" if cut else f"is not JSON ({problem.msg})"
        raise into.problem(end, "export it again", f"line {problem.lineno}") from problem
    except RecursionError as problem:
        raise into.problem("nests too deep to be GeoJSON", "export it again") from problem
    except ValueError as problem:  # a number of thousands of digits
        raise into.problem(
            "holds a number too long to read", "export it again"
        ) from problem


def _crs(member: Any, into: Collector) -> Any:  # noqa: ANN401 - JSON in, function out
    if member is None:
        return None
    if not isinstance(member, dict) or member.get("type") != "name":
        raise into.problem(
            "its reference system is a link, which is never followed", "export it in WGS84"
        )
    properties = member.get("properties")
    name = properties.get("name") if isinstance(properties, dict) else None
    if not isinstance(name, str):
        raise into.problem("its reference system has no name", "export it in WGS84")
    if name.endswith(("CRS84", "EPSG::4326", "EPSG:4326")):
        return None
    return to_wgs84(name, into)


def _feature(feature: Any, label: str, into: Collector, move: Any) -> None:  # noqa: ANN401
    if not isinstance(feature, dict) or feature.get("type") != "Feature":
        raise into.problem("is not a GeoJSON feature", "export it again", label)
    properties = feature.get("properties")
    properties = properties if isinstance(properties, dict) else {}
    name = properties.get("name")
    if isinstance(name, str) and name:
        label = f"{label} “{whole(name)}”"
    geometry = feature.get("geometry")
    shape = None if geometry is None else _shape(geometry, label, into)
    into.add(shape, properties, label, move)


def _shape(
    geometry: Any,  # noqa: ANN401 - any JSON
    label: str,
    into: Collector,
    depth: int = 0,
) -> shapely.Geometry | None:
    if not isinstance(geometry, dict):
        raise into.problem("its geometry is not an object", "export it again", label)
    kind = geometry.get("type")
    if kind == "GeometryCollection":
        members = geometry.get("geometries")
        if not isinstance(members, list):
            raise into.problem("its collection has no geometries", "export it again", label)
        if depth >= MAX_NESTING:
            raise into.problem(
                f"its collection nests deeper than {MAX_NESTING}", "export it again", label
            )
        shapes = [_shape(member, label, into, depth + 1) for member in members]
        return shapely.GeometryCollection([shape for shape in shapes if shape is not None])
    if not isinstance(kind, str) or kind not in KINDS:
        raise into.problem(f"“{kind}” is not a geometry type", "export it again", label)
    coordinates = geometry.get("coordinates")
    if not isinstance(coordinates, list):
        raise into.problem("has no coordinates", "export it again", label)
    if not coordinates:
        return None
    if kind == "Point":
        return shapely.Point(_positions([coordinates], label, into)[0])
    if kind == "MultiPoint":
        return shapely.MultiPoint(_positions(coordinates, label, into))
    if kind == "LineString":
        return _line(coordinates, label, into)
    if kind == "MultiLineString":
        return shapely.MultiLineString([_line(line, label, into) for line in coordinates])
    if kind == "Polygon":
        return _polygon(coordinates, label, into)
    polygons = [_polygon(rings, label, into) for rings in coordinates]
    return shapely.MultiPolygon([p for p in polygons if p is not None])


def _positions(points: Any, label: str, into: Collector) -> np.ndarray:  # noqa: ANN401
    """Return positions as an array (n, 2), heights dropped."""
    if not isinstance(points, list):
        raise into.problem(
            "its coordinates are not lists of numbers", "export it again", label
        )
    try:
        if set(map(type, itertools.chain.from_iterable(points))) <= {int, float}:
            table = np.array(points, dtype=float)
            if table.shape[1] >= 2:  # noqa: PLR2004 - longitude and latitude
                return table[:, :2]
    except (TypeError, ValueError, IndexError, OverflowError):
        pass  # not a plain table of numbers: point by point tells which
    rows = []
    for point in points:
        good = (
            isinstance(point, list)
            and len(point) >= 2  # noqa: PLR2004 - longitude and latitude
            and all(type(value) in (int, float) for value in point[:2])
        )
        if not good:
            raise into.problem(
                f"a position is not two numbers but {json.dumps(point)[:40]}",
                "mend or delete that vertex",
                label,
            )
        try:
            rows.append((float(point[0]), float(point[1])))
        except OverflowError as problem:
            raise into.problem(
                "a coordinate is too large to be a number",
                "mend or delete that vertex",
                label,
            ) from problem
    return np.array(rows, dtype=float).reshape(-1, 2)


def _line(points: Any, label: str, into: Collector) -> shapely.LineString:  # noqa: ANN401
    xy = _positions(points, label, into)
    if len(xy) < 2:  # noqa: PLR2004 - a line has two ends
        raise into.problem("a line has fewer than two points", "draw it again", label)
    return shapely.LineString(xy)


def _polygon(rings: Any, label: str, into: Collector) -> shapely.Polygon | None:  # noqa: ANN401
    if not isinstance(rings, list):
        raise into.problem("its rings are not lists", "export it again", label)
    made: list[np.ndarray] = []
    for ring in rings:
        xy = into.closed(_positions(ring, label, into), label)
        if xy is not None:
            made.append(xy)
        elif not made:
            raise into.too_few(label)
        else:
            into.note(
                "hole-dropped", f"{label}: a hole without area was dropped.", label, "info"
            )
    return shapely.Polygon(made[0], made[1:]) if made else None
