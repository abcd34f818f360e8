"""The ground of one area, from its drawing, its walk or its walks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.boundary.repair import repair_all
from quietacre.boundary.walk import combine_walks, read_walk
from quietacre.errors import FileProblem
from quietacre.intake.vector import read_layer
from quietacre.measure.records import Ground
from quietacre.model import Layer, Note, folded

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from quietacre.boundary.walk import Walk
    from quietacre.settings import Area, Property


class Files:
    """Reads each file of a property once."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._seen: dict[str, Layer] = {}

    def layer(self, name: str) -> Layer:
        """Return what the file of this name holds."""
        if name not in self._seen:
            self._seen[name] = read_layer(self.folder / name, shown=name)
        return self._seen[name]


def paths(files: str | tuple[str, ...]) -> tuple[str, ...]:
    """Return the names under ``from``, one or several."""
    return (files,) if isinstance(files, str) else tuple(files)


def _pick(layer: Layer, wanted: str | None, area: str) -> shapely.Geometry:
    """Return the polygons of a file that belong to one area, as one geometry."""
    asked = wanted or area
    # as it is typed first: a file may hold names that differ by a capital only
    rows = [i for i, name in enumerate(layer.name) if name == asked]
    names = [folded(name) for name in layer.name]
    rows = rows or [i for i, name in enumerate(names) if name == folded(asked)]
    if not rows and wanted is not None:
        known = ", ".join(sorted({f"“{name}”" for name in layer.name if name})) or "none"
        raise FileProblem(
            f"there is no feature named “{wanted}”",
            fix=f"use one of the names in the file ({known})",
            source=layer.source,
            where=f"area “{area}”",
        )
    if not rows and len(names) > 1 and len({name for name in names if name}) > 1:
        raise FileProblem(
            f"holds {len(names)} features and none is named “{area}”",
            fix='say which one with feature = "…" in property.toml',
            source=layer.source,
            where=f"area “{area}”",
        )
    chosen = layer.geometry[rows] if rows else layer.geometry
    if len(chosen) == 1:
        shape: shapely.Geometry = chosen[0]
        return shape
    return shapely.union_all(chosen)


def drawn_shape(
    layer: Layer, wanted: str | None, area: str
) -> tuple[shapely.Geometry, list[Note]]:
    """Return the ground of an area in a drawing, mended, and what there is to say."""
    shape = _pick(layer, wanted, area)
    fixed, notes = repair_all(np.array([shape], dtype=object), [area], [layer.source])
    return fixed[0], list(notes)


def walk_of(layers: Sequence[Layer], area: Area) -> Walk:
    """Return the walk, or the walks together, round an area."""
    walks = [
        read_walk(
            layer.tracks,
            walked_inside_ft=area.walked_inside_ft or 0.0,
            walked_outside_ft=area.walked_outside_ft or 0.0,
            sky=area.sky,
        )
        for layer in layers
    ]
    return walks[0] if len(walks) == 1 else combine_walks(walks)


def area_ground(files: Files, area: Area) -> Ground:
    """Return an area's ground from its drawing, or from its walk or walks."""
    layers = [files.layer(name) for name in paths(area.files)]
    notes = [note for layer in layers for note in layer.notes]
    points = tuple(point for layer in layers for point in layer.waypoints)
    drawn = [layer for layer in layers if len(layer.geometry)]
    if drawn:
        shapes = []
        for layer in drawn:
            shape, said = drawn_shape(layer, area.feature, area.name)
            shapes.append(shape)
            notes += said
        shape = shapes[0] if len(shapes) == 1 else shapely.union_all(shapes)
        if len(drawn) < len(layers):
            notes.append(
                Note(
                    "drawing-over-walk",
                    f"“{area.name}” has a drawing and a walk; the drawing was measured. "
                    "List only the walks to measure them instead.",
                    level="caution",
                    feature=area.name,
                )
            )
        if area.walked_inside_ft or area.walked_outside_ft:
            notes.append(
                Note(
                    "drawing-not-moved",
                    f"“{area.name}” is drawn, so walked_inside_ft / walked_outside_ft "
                    "was not applied.",
                    level="caution",
                    feature=area.name,
                )
            )
        return Ground(shape, None, "drawn", tuple(notes), points)
    if not any(layer.tracks for layer in layers):
        raise FileProblem(
            "holds no polygon and no track",
            fix="give a file with the edge of the area in it",
            source=layers[0].source,
            where=f"area “{area.name}”",
        )
    walk = walk_of(layers, area)
    return Ground(
        walk.polygon, walk, f"walked: {walk.method}", tuple(notes) + walk.notes, points
    )


def property_line(
    files: Files, prop: Property
) -> tuple[shapely.Geometry | None, list[Note]]:
    """Return the property line, None without one, and what there is to say of it."""
    if prop.property.boundary is None:
        return None, []
    layer = files.layer(prop.property.boundary)
    if len(layer.geometry):
        fixed, notes = repair_all(
            np.array([shapely.union_all(layer.geometry)], dtype=object),
            ["the property line"],
            [layer.source],
        )
        return fixed[0], list(layer.notes) + list(notes)
    if layer.tracks:
        walk = read_walk(layer.tracks, source=layer.source)
        return walk.polygon, list(layer.notes) + list(walk.notes)
    raise FileProblem(
        "holds no polygon and no track",
        fix="draw or walk the property line",
        source=layer.source,
        where="property.boundary",
    )
