"""Any file a person has an edge in, read to one kind of layer on WGS84.

The reader is chosen by the file's name and held to it: first bytes are checked,
GDAL is told the one driver it may use, nothing is fetched from anywhere.
"""

from __future__ import annotations

import dataclasses
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.intake.collect import Collector
from quietacre.intake.deadline import in_time
from quietacre.intake.limits import check_file

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from quietacre.model import Layer

#: Features that are measured at a time when a file is streamed.
STREAM_FEATURES = 16_384
#: Files that a person may think are read out of a zip.
UNREAD_IN_ZIP = (".gpx", ".geojson", ".json", ".gpkg", ".kmz", ".csv", ".zip")
#: Files that may hold a table of legs, or a deed's words.
LEG_FILES = (".csv", ".tsv", ".txt")
KNOWN = ".gpx .geojson .json .kml .kmz .gpkg .shp .zip .csv .tsv .txt .wkt"


@dataclasses.dataclass(frozen=True)
class OwnUnits:
    """Lengths that only the person knows: of a pace, and of a deed's vara. [ft]"""

    pace_ft: float | None = None
    vara_ft: float | None = None


def read_layer(
    path: Path,
    *,
    shown: str | None = None,
    own_units: OwnUnits | None = None,
    readers: Mapping[str, Callable[[Path, str], Layer]] | None = None,
    layer: str | None = None,
) -> Layer:
    """Return everything one file holds, in longitude and latitude on WGS84.

    Parameters
    ----------
    path : GPX, GeoJSON, KML, KMZ, GeoPackage, Shapefile (bare or zipped), or CSV of
        vertices or WKT; told apart by extension.
    shown : how to name it in messages; its path when left out.
    own_units : of a table of legs in paces, or of a deed in varas.
    readers : what reads further endings, given the path and how to show it.
    layer : the one layer to read of a GeoPackage; all of them when None.

    Returns
    -------
    Layer
        Polygons as drawn (not yet repaired), tracks, waypoints, legs or calls, and notes
        on whatever was left out, assumed or looks wrong.

    Raises
    ------
    FileProblem
        The file cannot be read or trusted.
    """
    path = Path(path)
    shown = shown or str(path)
    extension = path.suffix.lower()
    _check_layer(extension, layer, shown)
    if str(path).startswith(("/vsi", "\\vsi")):
        raise FileProblem("is not a file of yours", fix="give a plain file", source=shown)
    if extension == ".gpx":  # tracks: read point by point, into a layer of its own
        from quietacre.intake.gpx import read_gpx

        return read_gpx(path, shown=shown)
    if readers and extension in readers:
        check_file(path, shown)
        with in_time(path, shown):
            return readers[extension](path, shown)
    if extension not in READERS:
        check_file(path, shown)
        raise FileProblem(
            f"files ending in “{extension or 'nothing'}” are not read",
            fix=f"export it as one of {KNOWN}",
            source=shown,
        )
    check_file(path, shown)
    into = Collector(shown, layer=layer)
    with in_time(path, shown):
        if extension in LEG_FILES:
            legs = _legs(path, shown, own_units or OwnUnits())
            if legs is not None:
                return legs
        READERS[extension](path, into)
        return into.layer()


def _check_layer(extension: str, layer: str | None, shown: str) -> None:
    """Raise FileProblem when a layer is named of a file that has none."""
    if layer is not None and extension != ".gpkg":
        raise FileProblem(
            f"has no layers to choose “{layer}” from", fix="leave --layer out, or give a .gpkg",
            source=shown,
        )  # fmt: skip


def _legs(path: Path, shown: str, own: OwnUnits) -> Layer | None:
    """Return the legs or the calls that a text holds; None when it holds something else."""
    import numpy as np

    from quietacre.intake.deed import deed_in, is_deed
    from quietacre.intake.legs import is_leg_table, legs_in
    from quietacre.intake.limits import read_text
    from quietacre.model import Layer

    text = read_text(path, shown)
    empty = Layer(shown, np.array([], dtype=object), (), (), ())
    if is_deed(text):
        deed = deed_in(text, shown, vara_ft=own.vara_ft)
        return dataclasses.replace(empty, deed=deed)
    if is_leg_table(text, shown):
        traverse = legs_in(text, shown, pace_ft=own.pace_ft)
        return dataclasses.replace(empty, traverse=traverse)
    return None


def read_batches(
    path: Path, *, shown: str | None = None, layer: str | None = None
) -> Iterator[tuple[Layer, int, int]]:
    """Yield what one file holds, some thousand features at a time.

    A GeoPackage is read from the disk as it goes, so that memory stays bounded however
    many features it has; other files are read whole, within their limits, first. Other
    columns of the features are kept. ``layer`` is as in `read_layer`.

    Yields
    ------
    layer, done, total : a part of the file; features so far, and in all.

    Raises
    ------
    FileProblem
        The file cannot be read or trusted.
    """
    path = Path(path)
    shown = shown or str(path)
    if path.suffix.lower() == ".gpkg":
        from quietacre.intake.geopackage import stream_geopackage

        check_file(path, shown)
        into = Collector(shown, layer=layer, keep=True)
        done = taken = 0
        for done, total in stream_geopackage(path, into):
            if done - taken >= STREAM_FEATURES:
                taken = done
                yield into.take(), done, total
        yield into.layer(), done, done
        return
    whole = _with_columns(path, shown, layer)
    total = len(whole.geometry)
    for start in range(0, max(total, 1), STREAM_FEATURES):
        part = slice(start, start + STREAM_FEATURES)
        piece = dataclasses.replace(
            whole,
            geometry=whole.geometry[part],
            name=whole.name[part],
            kind=whole.kind[part],
            feature=whole.feature[part],
            columns=whole.columns[part],
        )
        if start:
            piece = dataclasses.replace(piece, tracks=(), waypoints=(), notes=())
        yield piece, min(part.stop, total), total


def _with_columns(path: Path, shown: str, layer: str | None) -> Layer:
    """Return what a file holds, with the other columns of its features where it is GeoJSON."""
    _check_layer(path.suffix.lower(), layer, shown)
    if READERS.get(path.suffix.lower()) is not _geojson:
        return read_layer(path, shown=shown)
    check_file(path, shown)
    into = Collector(shown, keep=True)
    with in_time(path, shown):
        _geojson(path, into)
        return into.layer()


def _geojson(path: Path, into: Collector) -> None:
    from quietacre.intake.geojson import collect_geojson

    collect_geojson(path, into)


def _kml(path: Path, into: Collector) -> None:
    from quietacre.intake.kml import collect_kml

    collect_kml(path.read_bytes(), into)


def _kmz(path: Path, into: Collector) -> None:
    from quietacre.intake.archive import unpack
    from quietacre.intake.kml import collect_kml

    with tempfile.TemporaryDirectory(prefix="quietacre-") as place:
        members = unpack(path, Path(place), into.source, (".kml",))
        if not members:
            raise FileProblem("holds no KML", fix="export it again", source=into.source)
        for member in members:
            label = f"{member.name}, " if len(members) > 1 else ""
            collect_kml(member.path.read_bytes(), into, label)


def _geopackage(path: Path, into: Collector) -> None:
    from quietacre.intake.geopackage import collect_geopackage

    collect_geopackage(path, into)


def _shapefile(path: Path, into: Collector) -> None:
    from quietacre.intake.gdal import collect_shapefile

    collect_shapefile(path, into, "")


def _zip(path: Path, into: Collector) -> None:
    from quietacre.intake.archive import others_inside, unpack
    from quietacre.intake.gdal import collect_shapefile
    from quietacre.intake.kml import collect_kml

    wanted = (".shp", ".shx", ".dbf", ".prj", ".cpg", ".kml")
    with tempfile.TemporaryDirectory(prefix="quietacre-") as place:
        members = unpack(path, Path(place), into.source, wanted)
        unread = others_inside(path, UNREAD_IN_ZIP)
        if unread:
            names = ", ".join(unread[:3]) + (" …" if len(unread) > 3 else "")  # noqa: PLR2004
            into.note(
                "not-read-in-zip",
                f"left unread: {names}",
                more="Only shapefiles and KML are read in a zip; give other files as they are.",
            )
        shapes = [m for m in members if m.path.suffix in (".shp", ".kml")]
        if not shapes:
            raise FileProblem(
                "holds no shapefile and no KML",
                fix="zip the .shp, .shx, .dbf and .prj together",
                source=into.source,
            )
        for shape in sorted(shapes, key=lambda m: m.name):
            label = f"{shape.name}, " if len(shapes) > 1 else ""
            if shape.path.suffix == ".kml":
                collect_kml(shape.path.read_bytes(), into, label)
            else:
                collect_shapefile(shape.path, into, label)


def _table(path: Path, into: Collector) -> None:
    from quietacre.intake.table import collect_table

    collect_table(path, into)


READERS: dict[str, Callable[[Path, Collector], None]] = {
    ".geojson": _geojson,
    ".json": _geojson,
    ".kml": _kml,
    ".kmz": _kmz,
    ".gpkg": _geopackage,
    ".shp": _shapefile,
    ".zip": _zip,
    ".csv": _table,
    ".tsv": _table,
    ".txt": _table,
    ".wkt": _table,
}
#: Every ending that is read here; a reader of another package may take none of them.
ENDINGS = frozenset({".gpx", *READERS})
