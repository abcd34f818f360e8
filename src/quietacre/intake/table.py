"""CSV: one vertex a row, or one shape a row as well-known text."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.intake.limits import read_text
from quietacre.intake.rows import column_names, named_rows, number_in
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
    columns = column_names(text, into.source)
    rows = named_rows(text, into.source)
    lon, lat, name, wkt = (_find(columns, words) for words in (LON, LAT, NAME, WKT))
    if wkt is not None:
        for number, row in rows:
            where = f"line {number}"
            properties = {"name": row.get(name or "", ""), "kind": row.get("kind", "")}
            into.add(_wkt(row[wkt], where, into), properties, where)
        return
    if lon is None or lat is None:
        raise into.problem(
            "has no longitude and latitude columns, and none of WKT",
            "name the columns lon and lat (and name), or wkt",
        )
    rings: dict[str, list[tuple[float, float]]] = {}
    fix = "mend or delete that row"
    for number, row in rows:
        point = (
            number_in(row[lon], "longitude", fix, into.source, number),
            number_in(row[lat], "latitude", fix, into.source, number),
        )
        rings.setdefault(row.get(name or "", "").strip(), []).append(point)
    for label, points in rings.items():
        where = f"ring “{label}”" if label else "its ring"
        if len(np.unique(points, axis=0)) < MIN_RING:
            raise into.problem(
                "has fewer than three different points", "add vertices", where
            )
        into.add(shapely.Polygon(points), {"name": label}, where)


def _find(columns: list[str], words: tuple[str, ...]) -> str | None:
    return next((word for word in words if word in columns), None)


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
