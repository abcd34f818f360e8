"""One layer as a file of its own: GeoPackage or GeoJSON, by the ending of its name."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.errors import FileProblem
from quietacre.export.areas import append_layer
from quietacre.export.atomic import staged, write_atomic

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from quietacre.model import Cell

GEOJSON = (".geojson", ".json")


def check_ending(path: Path | None) -> None:
    """Raise FileProblem when a layer cannot be written under a name; None is no name."""
    if path is not None and path.suffix.lower() not in (".gpkg", *GEOJSON):
        raise FileProblem(
            f"files ending in “{path.suffix or 'nothing'}” are not written",
            fix="name a .gpkg or a .geojson",
            source=str(path),
        )


def write_layer(
    path: Path, layer: str, features: Sequence[tuple[Mapping[str, Cell], shapely.Geometry]]
) -> None:
    """Write features in longitude and latitude, whole or not at all.

    Parameters
    ----------
    path : ends in .gpkg, .geojson or .json.
    layer : what the layer of a GeoPackage is called.
    features : columns of text and numbers, the same for each, and shapes.

    Raises
    ------
    FileProblem
        The name has another ending.
    """
    check_ending(path)
    if path.suffix.lower() in GEOJSON:
        collection = {
            "type": "FeatureCollection",
            "features": [
                {"type": "Feature", "properties": dict(columns),
                 "geometry": json.loads(shapely.to_geojson(shape))}
                for columns, shape in features
            ],
        }  # fmt: skip
        write_atomic(path, json.dumps(collection, indent=1) + "\n")
        return
    shapes = np.empty(len(features), dtype=object)
    shapes[:] = [shape for _, shape in features]
    names = list(features[0][0]) if features else []
    columns = {name: _array([row[name] for row, _ in features]) for name in names}
    with staged(path) as stage:
        append_layer(stage, layer, shapes, columns)


def _array(values: Sequence[Any]) -> np.ndarray:
    numbers = all(isinstance(value, (int, float)) for value in values)
    return np.array(values, dtype=None if numbers else object)
