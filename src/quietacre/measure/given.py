"""Ground that comes as shapes or walks and not out of files, measured as a build does."""

from __future__ import annotations

from typing import TYPE_CHECKING

import geopandas as gpd
import numpy as np
import shapely

from quietacre.boundary.repair import repair_all
from quietacre.boundary.walk import Walk
from quietacre.errors import CRSMismatchError, FrameProblem
from quietacre.measure.beside import previous_layer, side_layers
from quietacre.measure.records import Extras, Ground, Measured
from quietacre.measure.sizes import sizes_of
from quietacre.measure.trees import with_trees
from quietacre.model import WGS84
from quietacre.plugins.load import load_plugins
from quietacre.plugins.run import plugin_notes

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.model import Note
    from quietacre.settings import Property

#: What to call ground that came from no file.
SOURCE = "given"


def measure_given(
    prop: Property,
    ground: Mapping[str, shapely.Geometry | Walk] | gpd.GeoDataFrame,
    *,
    boundary: shapely.Geometry | None = None,
) -> Measured:
    """Return the ground of each area measured, for ``plan_property`` or any one step.

    Parameters
    ----------
    prop : settings, from ``settings_from``.
    ground : the polygon (longitude, latitude on WGS84) or the walk of each area, by its
        name; or a frame in any reference system with ``name``, a row for each area.
    boundary : the property line, or None. [deg]

    Returns
    -------
    Measured
        As ``measure_property`` gives it. ``areas`` has one row per area (EPSG:4326).

    Raises
    ------
    FrameProblem
        An area has no ground, or ground no area; a shape is no polygon.
    CRSMismatchError
        The frame has no reference system.
    """
    if isinstance(ground, gpd.GeoDataFrame):
        ground = _by_name(ground)
    _check_names(prop, ground)
    ids = list(prop.area_by_id)
    pieces = with_trees(
        prop.area, [_piece(area.name, ground[area.name]) for area in prop.area]
    )
    line_notes: Sequence[Note] = ()
    if boundary is not None:
        boundary, line_notes = _mended(boundary, "the property line")
    sizes = sizes_of(prop, pieces, boundary)
    plugins = load_plugins(prop.use)
    layers = side_layers(prop, ids, pieces, boundary)
    layers["previous"] = previous_layer({})
    extras = Extras(
        boundary=boundary,
        walks={key: p.walk for key, p in zip(ids, pieces, strict=True) if p.walk},
        surveys={},
        layers=layers,
        overlap_acres=sizes.overlap_acres,
        total_acres=sizes.total_acres,
        notes=(*plugin_notes(plugins), *line_notes, *sizes.notes),
        area_notes={key: p.notes for key, p in zip(ids, pieces, strict=True)},
        methods={key: p.method for key, p in zip(ids, pieces, strict=True)},
        plugins=plugins,
    )
    return Measured(prop, sizes.frame(), extras)


def _by_name(frame: gpd.GeoDataFrame) -> dict[str, shapely.Geometry]:
    if frame.crs is None:
        raise CRSMismatchError(
            "the frame has no reference system",
            fix=f'use set_crs("{WGS84}") when its coordinates are degrees',
        )
    if "name" not in frame or not frame["name"].is_unique:
        raise FrameProblem(
            "the frame lacks “name”, or has one twice",
            fix="give each row a name of its own",
        )
    return dict(zip(frame["name"], frame.to_crs(WGS84).geometry, strict=True))


def _check_names(prop: Property, ground: Mapping[str, object]) -> None:
    names = [area.name for area in prop.area]
    lacking = [name for name in names if name not in ground]
    if lacking:
        raise FrameProblem(
            f"no ground is given for “{lacking[0]}”",
            fix="give the shape or walk of each area",
        )
    unknown = [name for name in ground if name not in names]
    if unknown:
        raise FrameProblem(
            f"ground is given for “{unknown[0]}”, and no area of that name is in the settings",
            fix="name the area there, or leave its ground out",
        )


def _piece(name: str, given: shapely.Geometry | Walk) -> Ground:
    if isinstance(given, Walk):
        return Ground(given.polygon, given, f"walked: {given.method}", given.notes, ())
    shape, notes = _mended(given, name)
    return Ground(shape, None, "drawn", tuple(notes), ())


def _mended(shape: shapely.Geometry, name: str) -> tuple[shapely.Geometry, Sequence[Note]]:
    """Return a polygon mended as a drawn one is, and what was mended."""
    if getattr(shape, "geom_type", "") not in ("Polygon", "MultiPolygon") or shape.is_empty:
        raise FrameProblem(
            f"the ground of “{name}” is no polygon",
            fix="give a polygon of longitudes and latitudes, or a walk",
        )
    corners = shapely.get_coordinates(shape)
    if not np.isfinite(corners).all() or (np.abs(corners) > (180.0, 90.0)).any():
        raise FrameProblem(
            f"the ground of “{name}” is not in longitude and latitude",
            fix="give degrees, longitude first; a frame may be in any reference system",
        )
    mended, notes = repair_all(np.array([shape], dtype=object), [name], [SOURCE])
    return mended[0], notes
