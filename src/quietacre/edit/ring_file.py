"""The file of a drawn edge: how it is written, what it is called, and read as a build reads it."""

from __future__ import annotations

import json
import tempfile
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.boundary.edges import edges_of
from quietacre.edit import journal
from quietacre.edit.toml_table import areas_in, texts_in
from quietacre.errors import FileProblem
from quietacre.filenames import safe_name
from quietacre.intake.vector import read_layer
from quietacre.measure.choose import joined_shape

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from quietacre.edit.toml_table import TomlTable
    from quietacre.model import Note

#: Where drawings lie in a property folder.
DRAWN = "drawn"
#: An edge is drawn to an inch: digits of a degree behind the point; and finer where that
#: would let a narrow place cross itself. Ours.
DIGITS = (7, 9, 12)


def ring_file(shape: shapely.Geometry, name: str, digits: Sequence[int] = DIGITS) -> bytes:
    """Return a drawn edge as a GeoJSON file.

    Parameters
    ----------
    shape : polygons in longitude, latitude. [deg]
    name : what the feature goes by.
    digits : digits of a degree behind the point, the first that keeps the rings valid; all
        of them when none are named.
    """
    tried = (shapely.transform(shape, partial(np.round, decimals=d)) for d in digits)
    fine = next((one for one in tried if one.is_valid), shape)
    feature = {
        "type": "Feature",
        "properties": {"name": name},
        "geometry": json.loads(shapely.to_geojson(fine)),
    }
    whole = {"type": "FeatureCollection", "features": [feature]}
    return (json.dumps(whole, indent=1, ensure_ascii=False) + "\n").encode()


def ring_name(
    folder: Path, document: TomlTable, area: TomlTable, coming: Collection[str]
) -> str:
    """Return the file for an area's drawn edge: its own, or one that is not there yet."""
    used = [file for other in areas_in(document) if other.get("name") != area["name"]
            for key in ("from", "over") for file in texts_in(other, key)]  # fmt: skip
    stem = safe_name(f"{area['name']}.geojson").removesuffix(".geojson")
    for number in range(1, 1_000_000):
        file = f"{DRAWN}/{stem}{'' if number == 1 else f' {number}'}.geojson"
        mine = area.get("from") == file and file not in used and _one_feature(folder, file)
        if mine or (file not in coming and journal.read(folder, file) is None):
            return file
    raise AssertionError  # pragma: no cover


def _one_feature(folder: Path, file: str) -> bool:
    """Return whether a file holds a single feature, so that nothing else is lost with it."""
    try:
        features = json.loads(journal.read(folder, file) or b"{}").get("features", [])
    except (ValueError, AttributeError):
        return False
    return len(features) < 2  # noqa: PLR2004 - one


def read_again(
    data: bytes, file: str, name: str
) -> tuple[shapely.Geometry, tuple[Note, ...]]:
    """Return a drawn edge as a build will read it; what would have to be mended is refused."""
    with tempfile.TemporaryDirectory() as room:
        path = Path(room) / "ring.geojson"
        path.write_bytes(data)
        layer = read_layer(path, shown=file)
    edges = edges_of(layer)
    if len(edges.measured) != 1 or edges.measured[0].shape is None:
        raise FileProblem("is no edge round ground", fix="draw a ring", source=file)
    if not edges.measured[0].shape.is_valid:
        why = shapely.is_valid_reason(edges.measured[0].shape)
        raise FileProblem(
            f"crosses itself ({why})", fix="draw it without crossing it", source=file
        )
    shape, notes = joined_shape(edges.measured, file, name)
    return shape, (*layer.notes, *edges.notes, *notes)
