"""CSV: one vertex a row, or one shape a row as well-known text."""

from __future__ import annotations

import itertools
import re
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.intake.limits import MAX_TEXT_BYTES, read_text
from quietacre.intake.rows import column_names, named_rows, number_in
from quietacre.intake.wkb import UnreadableShapeError, shape_from_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    from quietacre.intake.collect import Collector

LON = ("lon", "long", "longitude", "lng", "x")
LAT = ("lat", "latitude", "y")
NAME = ("name", "area", "plot", "ring")
SHAPE_WORDS = ("POLYGON", "MULTIPOLYGON", "GEOMETRYCOLLECTION")
WKT = ("wkt", "geometry", "geom", "the_geom")
#: Columns that tell rings apart where names do not, and that number their vertices.
PARTS = ("id", "fid", "part", "polygon", "vertex_part")
ORDER = ("order", "vertex", "vertex_index", "sequence", "seq", "point")
MIN_RING = 3
LINE_ENDS = re.compile(r"\r\n?")
EXCEL_MARK = re.compile(r"sep=.\n")


def collect_table(path: Path, into: Collector) -> None:
    """Add the rings of a table.

    Vertex tables have a longitude and a latitude column, and may have a name column:
    rows of one name make one ring, in file order. Others have a column of WKT.

    Raises
    ------
    FileProblem
        The columns are not there, or a value is not a number.
    """
    text = LINE_ENDS.sub("\n", read_text(path, into.source))
    if EXCEL_MARK.match(text):  # a spreadsheet's own note on what parts the cells
        text = text.partition("\n")[2]
    if text.lstrip()[:20].upper().startswith(SHAPE_WORDS):
        for number, line in enumerate(text.splitlines(), 1):
            if line.strip():
                into.add(_wkt(line, f"line {number}", into), {}, f"line {number}")
        return
    # a shape of thousands of corners is one long cell
    columns = column_names(text, into.source, most_signs=MAX_TEXT_BYTES)
    rows = named_rows(text, into.source, most_signs=MAX_TEXT_BYTES)
    lon, lat, wkt = (_find(columns, words) for words in (LON, LAT, WKT))
    names = [word for word in NAME if word in columns]
    if wkt is not None:
        for number, row in rows:
            where = f"line {number}"
            properties = {"name": _name(row, names), "kind": row.get("kind", "")}
            into.add(_wkt(row[wkt], where, into), properties, where)
        return
    if lon is None or lat is None:
        raise into.problem(
            "has no longitude and latitude columns, and none of WKT",
            "name the columns lon and lat (and name), or wkt",
        )
    for label, points in _vertex_rings(list(rows), columns, (lon, lat), into):
        where = f"ring “{label}”" if label else "its ring"
        if len(np.unique(points, axis=0)) < MIN_RING:
            raise into.problem(
                "has fewer than three different points", "add vertices", where
            )
        into.add(shapely.Polygon(points), {"name": label}, where)


def _vertex_rings(
    rows: Sequence[tuple[int, Mapping[str, str]]],
    columns: list[str],
    lonlat: tuple[str, str],
    into: Collector,
) -> Iterator[tuple[str, list[tuple[float, float]]]]:
    """Yield the name and the points of each ring of a table with a vertex a row."""
    lon, lat = lonlat
    names = [word for word in NAME if word in columns]
    parts = _part_columns(rows, columns)
    rings: dict[tuple[str, ...], list[tuple[float, float]]] = {}
    places: dict[tuple[str, ...], float] = {}
    order = _find(columns, ORDER)
    fix = "mend or delete that row"
    for number, row in rows:
        point = (
            number_in(row[lon], "longitude", fix, into.source, number),
            number_in(row[lat], "latitude", fix, into.source, number),
        )
        key = (_name(row, names), *(row[part].strip() for part in parts))
        ring = rings.setdefault(key, [])
        # another may begin at one again
        ended = len(ring) > MIN_RING and ring[0] == ring[-1]
        ring.append(point)
        if order is not None and row[order].strip():
            place = number_in(row[order], order, fix, into.source, number)
            if place < places.get(key, place) and not ended:
                raise into.problem(
                    f"its rows are not in the order of the column {order}",
                    f"sort them by {order}",
                    f"line {number}",
                )
            places[key] = place
    yield from ((label, points) for (label, *_), points in rings.items())


def _name(row: Mapping[str, str], columns: Sequence[str]) -> str:
    """Return the first name in a row that is not blank."""
    return next((row[column].strip() for column in columns if row[column].strip()), "")


def _part_columns(
    rows: Sequence[tuple[int, Mapping[str, str]]], columns: Sequence[str]
) -> list[str]:
    """Return columns that number rings or parts: each number holds for a run of rows."""
    parts = []
    for column in PARTS:
        if column not in columns:
            continue
        cells = [row[column].strip() for _, row in rows]
        runs = 1 + sum(one != two for one, two in itertools.pairwise(cells))
        # a number of one's own for every vertex is the vertex's, not the ring's
        if MIN_RING * runs <= len(cells) and "" not in cells:
            parts.append(column)
    return parts


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
