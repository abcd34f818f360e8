"""Sizes of pieces of ground, each and all together: what every way of measuring ends in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.overlap import Overlap, covered_m2, find_overlaps, overlap_notes
from quietacre.figures import printed
from quietacre.measure.ground import paths
from quietacre.measure.misplaced import place_notes
from quietacre.model import WGS84
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    import geopandas as gpd
    import shapely

    from quietacre.measure.records import Ground
    from quietacre.model import Note
    from quietacre.settings import Property


class AreaSize(NamedTuple):
    """One area measured: a row of the frame that ``measure_property`` describes. [ac, ft, m]"""

    id: str
    name: str
    kind: str
    source: str
    acres: float
    acres_low: float
    acres_high: float
    perimeter_ft: float
    sigma_m: float
    method: str
    geometry: shapely.Geometry


#: Its columns of words.
WORDS = ("id", "name", "kind", "source", "method")


@dataclass(frozen=True)
class Sizes:
    """One row per area as ``measure_property`` describes it, and the ground of all.

    ``total_acres`` counts ground that two areas share once; ``overlap_acres`` is what
    was counted twice without that. [ac]
    """

    areas: tuple[AreaSize, ...]
    total_acres: float
    overlap_acres: float
    notes: tuple[Note, ...]  # on areas that overlap, and on places that look wrong

    @property
    def shapes(self) -> np.ndarray:
        """Return the areas' ground, (n,) of polygons. [deg]"""
        return _shapes([area.geometry for area in self.areas])

    def frame(self) -> gpd.GeoDataFrame:
        """Return the areas as a frame (EPSG:4326), figures in words in US units."""
        import geopandas as gpd  # takes longest to load, and figures alone do without it

        columns = {
            name: np.array(
                [getattr(area, name) for area in self.areas],
                # of no areas, too
                dtype=object if name in WORDS else np.float64,
            )
            for name in AreaSize._fields[:-1]
        }
        columns["method"][:] = [printed(area.method) for area in self.areas]
        return gpd.GeoDataFrame(columns, geometry=list(self.shapes), crs=WGS84)


def sizes_of(
    prop: Property, ground: Sequence[Ground], boundary: shapely.Geometry | None
) -> Sizes:
    """Return the sizes of the areas' ground, given in the order of the settings.

    ``boundary`` is the property line or None. [deg]
    """
    shapes = _shapes([piece.shape for piece in ground])
    square_m = area_m2(shapes)
    names = [area.name for area in prop.area]
    overlaps: Sequence[Overlap] = find_overlaps(shapes)
    total_m2 = covered_m2(shapes, overlaps)
    return Sizes(
        tuple(_rows(prop, ground, shapes, square_m / ACRE_M2)),
        total_m2 / ACRE_M2,
        float(square_m.sum() - total_m2) / ACRE_M2,
        (
            *overlap_notes(overlaps, names, square_m),
            *place_notes(names, shapes, boundary),
        ),
    )


def _shapes(some: Sequence[shapely.Geometry]) -> np.ndarray:
    """Return geometries as an array of them, however few."""
    return np.array(some or [None], dtype=object)[: len(some)]


def _rows(
    prop: Property, ground: Sequence[Ground], shapes: np.ndarray, acres: np.ndarray
) -> list[AreaSize]:
    perimeter_ft = perimeter_m(shapes) / FT_M
    return [
        AreaSize(
            key, area.name, area.kind, ", ".join(paths(area.files)),
            float(acres[n]), *piece.between(float(acres[n])), float(perimeter_ft[n]),
            piece.sigma_m, piece.method, shapes[n],
        )
        for n, ((key, area), piece) in enumerate(
            zip(prop.area_by_id.items(), ground, strict=True)
        )
    ]  # fmt: skip
