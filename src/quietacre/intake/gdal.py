"""GeoPackage and Shapefile through fiona, held to one driver each."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING, Any

import shapely

from quietacre.intake.collect import Collector, to_wgs84

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

SQLITE_MAGIC = b"SQLite format 3\x00"
SHP_MAGIC = b"\x00\x00\x27\x0a"
SECONDS_TO_LOOK = 10_000_000  # SQLite steps before looking at the tables is given up


def collect_geopackage(path: Path, into: Collector) -> None:
    """Add every feature table of a GeoPackage; views are refused, never run.

    Raises
    ------
    FileProblem
        It is not a GeoPackage, or holds something that cannot be read.
    """
    with path.open("rb") as handle:
        if handle.read(16) != SQLITE_MAGIC:
            raise into.problem("is not a GeoPackage", "check what the file is")
    layers = _tables(path, into)
    if not layers:
        raise into.problem("has no layer of features", "export it again with one")
    for layer in layers:
        label = f"layer {layer}, " if len(layers) > 1 else ""
        _collect(path, into, "GPKG", label, layer=layer)


def _tables(path: Path, into: Collector) -> list[str]:
    """Return the names of feature tables, looked up without running a view."""
    query = (
        "SELECT c.table_name, m.type FROM gpkg_contents AS c "
        "JOIN sqlite_master AS m ON lower(m.name) = lower(c.table_name) "
        "WHERE c.data_type = 'features' ORDER BY c.table_name"
    )
    plain = (
        "SELECT name, type, sql FROM sqlite_master WHERE name IN "
        "('gpkg_contents', 'gpkg_geometry_columns', 'gpkg_spatial_ref_sys')"
    )
    uri = f"{path.resolve().as_uri()}?mode=ro&immutable=1"
    steps = 0

    def watch() -> int:
        nonlocal steps
        steps += 10_000
        return int(steps > SECONDS_TO_LOOK)

    try:
        with closing(sqlite3.connect(uri, uri=True)) as base:
            base.set_progress_handler(watch, 10_000)
            own = base.execute(plain).fetchall()
            if any(kind != "table" for _, kind, _ in own):
                raise into.problem("its own tables are views", "export it again")
            rows = base.execute(query).fetchall()
    except sqlite3.Error as problem:
        raise into.problem(
            f"is not a sound GeoPackage ({problem})", "export it again"
        ) from problem
    views = [name for name, kind in rows if kind != "table"]
    if views:
        raise into.problem(
            f"layer “{views[0]}” is a view, which is never run",
            "export the layer as a table",
        )
    return [name for name, _ in rows]


def collect_shapefile(path: Path, into: Collector, label: str) -> None:
    """Add every feature of one shapefile.

    Raises
    ------
    FileProblem
        A companion file is missing, or it is in no known reference system.
    """
    with path.open("rb") as handle:
        if handle.read(4) != SHP_MAGIC:
            raise into.problem(f"{label}is not a shapefile", "check what the file is")
    names = {p.suffix.lower() for p in path.parent.glob(f"{_literal(path.stem)}.*")}
    if ".shx" not in names:
        raise into.problem(
            f"{label}its .shx file is missing",
            "keep the .shp, .shx, .dbf and .prj together",
        )
    _collect(path, into, "ESRI Shapefile", label)


def _literal(stem: str) -> str:
    """Return a file stem with glob signs made plain."""
    return "".join(f"[{ch}]" if ch in "*?[" else ch for ch in stem)


def _collect(
    path: Path, into: Collector, driver: str, label: str, layer: str | None = None
) -> None:
    import fiona
    from fiona.errors import FionaError

    settings = {"OGR_SQLITE_LOAD_EXTENSIONS": "NO", "GDAL_DISABLE_READDIR_ON_OPEN": "NO"}
    try:
        with fiona.Env(**settings), fiona.open(path, driver=driver, layer=layer) as source:
            if len(source) == 0:
                into.note(
                    "empty-layer", f"{label or 'the layer '}has no features.", level="info"
                )
            move = _mover(source, into, label)
            for number, feature in enumerate(source, 1):
                name = f"{label}feature {number}"
                shape = _shape(feature, name, into)
                into.add(shape, dict(feature.properties), name, move)
    except FionaError as problem:
        raise into.problem(
            f"{label}cannot be read ({problem})", "export it again"
        ) from problem
    except (RuntimeError, UnicodeDecodeError, OSError) as problem:
        raise into.problem(
            f"{label}cannot be read ({problem})", "export it again"
        ) from problem


def _shape(feature: Any, name: str, into: Collector) -> Any:  # noqa: ANN401 - fiona's types
    if feature.geometry is None:
        return None
    try:
        return shapely.geometry.shape(feature.geometry)
    except (ValueError, TypeError, shapely.errors.GEOSException) as problem:
        raise into.problem(
            f"its shape cannot be read ({problem})", "draw it again", name
        ) from problem


def _mover(source: Any, into: Collector, label: str) -> Callable[..., Any] | None:  # noqa: ANN401
    """Return the function to WGS84; without a system, degrees are believed and said."""
    if source.crs_wkt:
        return to_wgs84(source.crs_wkt, into, label.rstrip(", ") or None)
    if len(source):
        west, south, east, north = source.bounds
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
