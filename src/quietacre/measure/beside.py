"""What lies beside the areas: walks, bands, fixes set aside, marks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import geopandas as gpd
import numpy as np
import shapely

from quietacre.figures import acres, feet
from quietacre.intake.marks import shape_of
from quietacre.measure.ground import paths
from quietacre.model import TAPE, WGS84

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.boundary.differ import OtherReading
    from quietacre.measure.records import Frames, Ground
    from quietacre.model import Mark, SurveyedEdge
    from quietacre.settings import Property

#: Notes that say that readings of an edge differ.
SAID_APART = frozenset({"readings-differ", "drawing-over-walk"})


def side_layers(
    prop: Property,
    ids: Sequence[str],
    ground: Sequence[Ground],
    boundary: shapely.Geometry | None,
    marks: Sequence[Mark] = (),
) -> Frames:
    """Return walks, removed fixes, ± bands, readings, marks, taped lines and the property line."""
    readings = _readings_apart(ids, ground)
    return {
        "readings": _frame(
            {
                "id": [key for key, _ in readings],
                "what": [f"{one.what}, {acres(one.acres)}" for _, one in readings],
            },
            [one.polygon for _, one in readings],
        ),
        **_walk_layers(prop, ids, ground),
        **_mark_layers(ground, marks),
        "boundary": _frame(
            {"name": [prop.property.name] if boundary is not None else []},
            [boundary] if boundary is not None else [],
        ),
    }


def _frame(columns: dict[str, list[Any]], shapes: list[Any]) -> gpd.GeoDataFrame:
    return gpd.GeoDataFrame(columns, geometry=shapes, crs=WGS84)


def _walk_layers(prop: Property, ids: Sequence[str], ground: Sequence[Ground]) -> Frames:
    """Return the walks, their ± bands and the fixes that were left out."""
    walks, bands, removed = [], [], []
    for key, area, piece in zip(ids, prop.area, ground, strict=True):
        walk = piece.walk
        if walk is None:
            continue
        source = ", ".join(paths(area.files))
        if len(walk.kept_lon) > 1:
            line = shapely.linestrings(np.column_stack([walk.kept_lon, walk.kept_lat]))
            walks.append((key, source, line))
        if walk.band is not None and not walk.band.is_empty:
            bands.append((key, walk.band))
        removed += [
            (key, cause, shapely.Point(lon, lat))
            for lon, lat, cause in zip(
                walk.removed_lon, walk.removed_lat, walk.removed_cause, strict=True
            )
        ]
    return {
        "walks": _frame(
            {"id": [w[0] for w in walks], "source": [w[1] for w in walks]},
            [w[2] for w in walks],
        ),
        "bands": _frame({"id": [b[0] for b in bands]}, [b[1] for b in bands]),
        "removed": _frame(
            {"id": [r[0] for r in removed], "cause": [r[1] for r in removed]},
            [r[2] for r in removed],
        ),
    }


def _mark_layers(ground: Sequence[Ground], marks: Sequence[Mark]) -> Frames:
    """Return the points of the files and the marks, and lines that were taped."""
    points = {
        (point.name, point.lon, point.lat): point
        for piece in ground
        for point in piece.waypoints
    }.values()
    named = [(p.name, shapely.Point(p.lon, p.lat)) for p in points]
    named += [(mark.title, shape_of(mark)) for mark in marks if mark.kind != TAPE]
    taped = [mark for mark in marks if mark.kind == TAPE]
    return {
        "waypoints": _frame(
            {"name": [name for name, _ in named]}, [point for _, point in named]
        ),
        "taped": _frame(
            {
                "name": [f"{m.name or m.kind}, {feet(m.length_ft)}" for m in taped],
                "length_ft": [m.length_ft for m in taped],
            },
            [shape_of(m) for m in taped],
        ),
    }


def _readings_apart(
    ids: Sequence[str], ground: Sequence[Ground]
) -> list[tuple[str, OtherReading]]:
    """Return the readings of edges that were said to differ, each with its area's id."""
    return [
        (key, reading)
        for key, piece in zip(ids, ground, strict=True)
        if SAID_APART.intersection(note.code for note in piece.notes)
        for reading in (piece.readings or (piece.walk.readings if piece.walk else ()))
    ]


def previous_layer(surveys: Mapping[str, Sequence[SurveyedEdge]]) -> gpd.GeoDataFrame:
    """Return the earlier surveys as a layer, each with its day, the oldest first."""
    rows = [(key, survey) for key, some in surveys.items() for survey in some]
    return gpd.GeoDataFrame(
        {
            "id": [key for key, _ in rows],
            "on": [one.on.isoformat() if one.on else None for _, one in rows],
        },
        geometry=[one.shape for _, one in rows],
        crs=WGS84,
    )
