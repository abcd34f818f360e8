"""Sizes of pieces of ground, each and all together: what every way of measuring ends in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import geopandas as gpd
import numpy as np

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.overlap import Overlap, covered_m2, find_overlaps, overlap_notes
from quietacre.measure.beside import place_notes
from quietacre.measure.ground import paths
from quietacre.model import WGS84
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    import shapely

    from quietacre.measure.records import Ground
    from quietacre.model import Note
    from quietacre.settings import Property


@dataclass(frozen=True)
class Sizes:
    """One row per area as ``measure_property`` describes it, and the ground of all.

    ``total_acres`` counts ground that two areas share once; ``overlap_acres`` is what
    was counted twice without that. [ac]
    """

    areas: gpd.GeoDataFrame
    shapes: np.ndarray
    total_acres: float
    overlap_acres: float
    notes: tuple[Note, ...]  # on areas that overlap, and on places that look wrong


def sizes_of(
    prop: Property, ground: Sequence[Ground], boundary: shapely.Geometry | None
) -> Sizes:
    """Return the sizes of the areas' ground, given in the order of the settings.

    ``boundary`` is the property line or None. [deg]
    """
    shapes = np.array([piece.shape for piece in ground] or [None], dtype=object)
    shapes = shapes[: len(ground)]
    square_m = area_m2(shapes)
    areas = _frame(prop, ground, shapes, square_m)
    overlaps: Sequence[Overlap] = find_overlaps(shapes)
    total_m2 = covered_m2(shapes, overlaps)
    return Sizes(
        areas,
        shapes,
        total_m2 / ACRE_M2,
        float(square_m.sum() - total_m2) / ACRE_M2,
        (
            *overlap_notes(overlaps, list(areas["name"]), square_m),
            *place_notes(areas, boundary),
        ),
    )


def _frame(
    prop: Property, ground: Sequence[Ground], shapes: np.ndarray, square_m: np.ndarray
) -> gpd.GeoDataFrame:
    acres = square_m / ACRE_M2
    rows: dict[str, Any] = {
        "id": list(prop.area_by_id),
        "name": [area.name for area in prop.area],
        "kind": [area.kind for area in prop.area],
        "source": [", ".join(paths(area.files)) for area in prop.area],
        "acres": acres,
        "acres_low": [
            piece.between(float(acre))[0] for piece, acre in zip(ground, acres, strict=True)
        ],
        "acres_high": [
            piece.between(float(acre))[1] for piece, acre in zip(ground, acres, strict=True)
        ],
        "perimeter_ft": perimeter_m(shapes) / FT_M,
        "sigma_m": [piece.sigma_m for piece in ground],
        "method": [piece.method for piece in ground],
    }
    return gpd.GeoDataFrame(rows, geometry=list(shapes), crs=WGS84)
