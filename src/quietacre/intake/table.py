"""CSV: one vertex a row, or one shape a row as well-known text."""

from __future__ import annotations

import csv
import io
import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.intake.limits import read_text
from quietacre.intake.wkb import UnreadableShapeError, shape_from_text

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.intake.collect import Collector

LON = ("lon", "long", "longitude", "lng", "x")
LAT = ("lat", "latitude", "y")
NAME = ("name", "area", "plot", "ring")
WKT = ("wkt", "geometry", "geom", "the_geom")
MIN_RING = 3


def collect_table(path: Path, into: Collector) -> None:
    """Add the rings of a table.

    Vertex tables have a longitude and a latitude column, and may have a name column:
    rows of one name make one ring, in file order. Others have a column of WKT.

    Raises
    ------
    FileProblem
        The columns are not there, or a value is not a number.
    """
    text = "\n".join(read_text(path, into.source).splitlines())
    if (
        text.lstrip()[:20]
        .upper()
        .startswith(("POLYGON", "MULTIPOLYGON", "GEOMETRYCOLLECTION"))
    ):
        for number, line in enumerate(text.splitlines(), 1):
            if line.strip():
                into.add(_wkt(line, f"line {number}", into), {}, f"line {number}")
        return
    lines = text.splitlines()
    head = lines[0] if lines else ""
    mark = max(",;\t", key=head.count)
    try:
        rows = list(csv.DictReader(io.StringIO(text), delimiter=mark))
    except csv.Error as problem:
        raise into.problem(
            f"is not a table ({problem})", "save it as CSV again"
        ) from problem
    columns = {
        (key or "").strip().casefold(): key for key in (rows[0] if rows else {}) if key
    }
    lon, lat, name, wkt = (_find(columns, words) for words in (LON, LAT, NAME, WKT))
    if wkt is not None:
        kind = columns.get("kind")
        for number, row in enumerate(rows, 2):
            where = f"line {number}"
            properties = {
                "name": row.get(name or "") or "",
                "kind": row.get(kind or "") or "",
            }
            into.add(_wkt(row[wkt] or "", where, into), properties, where)
        return
    if lon is None or lat is None:
        raise into.problem(
            "has no longitude and latitude columns, and none of WKT",
            "name the columns lon and lat (and name), or wkt",
        )
    rings: dict[str, list[tuple[float, float]]] = {}
    for number, row in enumerate(rows, 2):
        if None in row:
            raise into.problem(
                "has more values than there are columns (decimal commas?)",
                "save it with decimal points",
                f"line {number}",
            )
        if not any(
            (value or "").strip() for value in row.values() if isinstance(value, str)
        ):
            continue
        point = (
            _number(row[lon], "longitude", number, into),
            _number(row[lat], "latitude", number, into),
        )
        rings.setdefault((row.get(name or "") or "").strip(), []).append(point)
    for label, points in rings.items():
        where = f"ring “{label}”" if label else "its ring"
        if len(np.unique(points, axis=0)) < MIN_RING:
            raise into.problem(
                "has fewer than three different points", "add vertices", where
            )
        into.add(shapely.Polygon(points), {"name": label}, where)


def _find(columns: dict[str, str], words: tuple[str, ...]) -> str | None:
    return next((columns[word] for word in words if word in columns), None)


def _number(text: str | None, what: str, line: int, into: Collector) -> float:
    text = (text or "").strip()
    try:
        value = float(text.replace("_", "x"))  # Python reads 1_0 as ten; a table does not
    except ValueError:
        value = math.nan
    if math.isfinite(value):
        return value
    comma = text.count(",") == 1 and "." not in text
    raise into.problem(
        f"{what} “{text[:40]}” " + ("has a decimal comma" if comma else "is not a number"),
        "save it with decimal points" if comma else "mend or delete that row",
        f"line {line}",
    )


def _wkt(text: str, where: str, into: Collector) -> shapely.Geometry | None:
    text = text.strip()
    if text.upper().startswith("SRID="):
        system, _, text = text.partition(";")
        if system.upper() != "SRID=4326":
            raise into.problem(f"is in {system}", "export it in WGS84 (SRID 4326)", where)
    if not text:
        return None
    try:
        return shape_from_text(text)
    except UnreadableShapeError as problem:
        raise into.problem(str(problem), "export it again", where) from problem
