"""Shapefile through fiona, held to its one driver."""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING

from quietacre.intake.reference import to_wgs84
from quietacre.intake.shapes import UNREADABLE, Shapes, open_shapes

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.errors import FileProblem
    from quietacre.intake.collect import Collector
    from quietacre.intake.reference import Move

SHP_MAGIC = b"\x00\x00\x27\x0a"
MAX_PRJ_BYTES = 100_000
#: Bytes of the head of a .shp or .shx file, of a row of .shx, of the head of a .dbf file:
#: "ESRI Shapefile Technical Description", Environmental Systems Research Institute, 1998
#: (from memory).
SHP_HEAD, SHX_ROW, DBF_HEAD = 100, 8, 12
#: Null, point, line, polygon, multipoint; with heights, with measures; surfaces.
SHAPE_TYPES = {0, 1, 3, 5, 8, 11, 13, 15, 18, 21, 23, 25, 28, 31}


def collect_shapefile(path: Path, into: Collector, label: str) -> None:
    """Add every feature of one shapefile.

    Raises
    ------
    FileProblem
        A companion file is missing, or it is in no known reference system.
    """
    with path.open("rb") as handle:
        head = handle.read(SHP_HEAD)
        if head[:4] != SHP_MAGIC:
            raise into.problem(f"{label}is not a shapefile", "check what the file is")
        if int.from_bytes(head[32:36], "little") not in SHAPE_TYPES:
            raise into.problem(f"{label}holds no known type of shape", "export it again")
    _check_whole(path, into, label)
    names = {p.suffix.lower() for p in path.parent.glob(f"{_literal(path.stem)}.*")}
    if ".shx" not in names:
        raise into.problem(
            f"{label}its .shx file is missing",
            "keep the .shp, .shx, .dbf and .prj together",
        )
    _check_system(path, into, label)
    _collect(path, into, label)


def _check_whole(path: Path, into: Collector, label: str) -> None:
    """Raise FileProblem when a file is shorter than it says, or they do not go together.

    Features beyond the end would be left out as if they had no shape, or not be seen.
    """
    declared = _said_bytes(path)
    if path.stat().st_size < declared:
        raise _cut_off(into, f"{label}", path.stat().st_size, declared)
    counts: dict[str, int] = {}
    for companion in path.parent.glob(f"{_literal(path.stem)}.*"):
        ending, size = companion.suffix.lower(), companion.stat().st_size
        if ending == ".shx":
            if size < (declared := _said_bytes(companion)):
                raise _cut_off(into, f"{label}its .shx file ", size, declared)
            counts[ending] = (size - SHP_HEAD) // SHX_ROW
        elif ending == ".dbf" and size >= DBF_HEAD:
            with companion.open("rb") as handle:
                rows, head, row = struct.unpack("<4xIHH", handle.read(DBF_HEAD))
            if size < head + rows * row:
                raise _cut_off(into, f"{label}its .dbf file ", size, head + rows * row)
            counts[ending] = rows
    if len(set(counts.values())) > 1:
        raise into.problem(
            f"{label}has {counts['.shx']:,} shapes and {counts['.dbf']:,} rows of names",
            "export it again; its .shp, .shx and .dbf do not belong together",
        )


def _said_bytes(path: Path) -> int:
    """Return the length that a .shp or .shx file says it has; 0 of one without a head."""
    with path.open("rb") as handle:
        head = handle.read(SHP_HEAD)
    return 2 * int.from_bytes(head[24:28], "big") if len(head) == SHP_HEAD else SHP_HEAD


def _cut_off(into: Collector, what: str, size: int, declared: int) -> FileProblem:
    return into.problem(
        f"{what}is cut off: it has {size:,} of its {declared:,} bytes",
        "copy or export it again",
    )


def _check_system(path: Path, into: Collector, label: str) -> None:
    """Raise FileProblem when the .prj file is there and says nothing that is known."""
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    for companion in path.parent.glob(f"{_literal(path.stem)}.*"):
        if companion.suffix.lower() != ".prj":
            continue
        text = companion.read_bytes()[:MAX_PRJ_BYTES].decode("utf-8", "replace").strip()
        try:
            # well-known text only: a link or a name is no reference system
            CRS.from_wkt(text.lstrip("\ufeff"))
        except CRSError as problem:
            raise into.problem(
                f"{label}its .prj file is not a reference system",
                "export it again in WGS84",
            ) from problem


def _literal(stem: str) -> str:
    """Return a file stem with glob signs made plain."""
    return "".join(f"[{ch}]" if ch in "*?[" else ch for ch in stem)


def _collect(path: Path, into: Collector, label: str) -> None:
    from quietacre.intake.own_process import (
        can_read_in_own_process,
        shapes_from_own_process,
    )

    large = can_read_in_own_process(path)
    try:
        with (
            shapes_from_own_process(path, into, label)
            if large
            else open_shapes(path) as shapes
        ):
            _add(shapes, into, label)
    except UNREADABLE as problem:
        raise into.problem(
            f"{label}cannot be read ({problem})", "export it again"
        ) from problem


def _add(shapes: Shapes, into: Collector, label: str) -> None:
    """Add every feature; say which has a shape that cannot be read."""
    if shapes.count == 0:
        into.note("empty-layer", f"{label or 'the layer '}has no features.", level="info")
    move = _mover(shapes, into, label)
    for number, (shape, properties) in enumerate(shapes.rows, 1):
        into.add(shape, properties, f"{label}feature {number}", move)


def _mover(shapes: Shapes, into: Collector, label: str) -> Move | None:
    """Return the function to WGS84; without a system, degrees are believed and said."""
    if shapes.system:
        return to_wgs84(shapes.system, into, label.rstrip(", ") or None)
    if shapes.bounds is not None:
        west, south, east, north = shapes.bounds
        if not (-360.0 <= west <= east <= 360.0 and -90.0 <= south <= north <= 90.0):  # noqa: PLR2004
            raise into.problem(
                f"{label}does not say its reference system (no .prj), and its coordinates "
                f"such as {west:.10g}, {south:.10g} are not degrees",
                "add its .prj file, or export it in WGS84",
            )
        into.note(
            "crs-assumed",
            f"{label}does not say its reference system; its coordinates look like degrees "
            "and are taken as WGS84.",
            level="caution",
        )
    return None
