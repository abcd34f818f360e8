"""The layers as the page's script reads them: their rows, with shapes as short texts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypedDict, cast

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.thin import thinned
from quietacre.page.pack import whole_text
from quietacre.page.report_data import MOST_ON_MAP
from quietacre.page.side_lengths import sides
from quietacre.short_names import short_names

if TYPE_CHECKING:
    from collections.abc import Mapping

    import geopandas as gpd

#: Coordinates go out as whole millionths of a degree, each told from the one before: a
#: tenth of a metre is more than any receiver knows.
STEPS_PER_DEG = 1_000_000
#: Columns of each layer that the page shows.
LAYER_COLUMNS = {
    "areas": ("id",),
    "strips": ("id", "of", "kind"),
    "weak": ("id", "of", "reason"),
    "passes": ("of",),
    "walks": ("id",),
    "readings": ("id", "what"),
    "bands": ("id",),
    "removed": ("id", "cause"),
    "previous": ("id", "on"),
    "boundary": (),
    "waypoints": ("name",),
    "taped": ("name",),
}


class CodedShape(TypedDict, total=False):
    """A shape as the page's script reads it, by one of these keys.

    Each ring, line or point is one text of whole numbers, see `coded`; a polygon is a list
    of its rings.
    """

    polygons: list[list[str]]
    lines: list[str]
    at: str


class LayerRow(CodedShape, total=False):
    """A row of a layer as the page's script reads it: columns of `LAYER_COLUMNS`, its shape."""

    id: str
    of: str
    kind: str
    reason: str
    what: str
    cause: str
    on: str | None
    name: str | None


def shown_layers(layers: Mapping[str, gpd.GeoDataFrame]) -> dict[str, list[LayerRow]]:
    """Return the rows of each layer that the page shows and that holds something."""
    shown = {
        name: features(layers[name], columns)
        for name, columns in LAYER_COLUMNS.items()
        if name in layers and len(layers[name])
    }
    for named in (shown[layer] for layer in ("waypoints", "taped") if layer in shown):
        short = short_names([row["name"] or "" for row in named], MOST_ON_MAP)
        for row in named:
            row["name"] = short[row["name"] or ""]
    if "passes" in shown:
        shown["passes"] = _together(shown["passes"])
    return shown


def _together(passes: list[LayerRow]) -> list[LayerRow]:
    """Return the passes of each strip as one record, in the order they are driven."""
    of: dict[str, list[str]] = {}
    for one in passes:
        of.setdefault(one["of"], []).extend(one["lines"])
    return [{"of": key, "lines": lines} for key, lines in of.items()]


def features(frame: gpd.GeoDataFrame, columns: tuple[str, ...]) -> list[LayerRow]:
    """Return the rows of a layer as plain records with thinned, coded geometry."""
    shapes = thinned(frame.geometry.to_numpy())
    records = []
    for row, shape in enumerate(shapes):
        if shape is None or shape.is_empty:
            continue
        cells = {
            column: _plain(frame[column].iloc[row]) for column in columns if column in frame
        }
        records.append(cast("LayerRow", {**cells, **coded(shape)}))
    return records


def coded(shape: shapely.Geometry) -> CodedShape:
    """Return a shape as ``polygons``, ``lines`` or ``at``, in steps of a millionth degree.

    Each ring or line is one text of whole numbers: longitude and latitude of its first
    point, then the steps to each next one. Rings leave out the closing point.
    """
    parts = shapely.get_parts(shape)
    if parts[0].geom_type == "Polygon":
        return {
            "polygons": [
                [_steps(shapely.get_coordinates(ring)[:-1]) for ring in _rings(part)]
                for part in parts
            ]
        }
    if parts[0].geom_type == "Point":
        return {"at": _steps(shapely.get_coordinates(parts[0]))}
    return {"lines": [_steps(shapely.get_coordinates(part)) for part in parts]}


def _rings(polygon: shapely.Polygon) -> list[shapely.LinearRing]:
    return [polygon.exterior, *polygon.interiors]


def _steps(xy: np.ndarray) -> str:
    whole = np.round(xy * STEPS_PER_DEG).astype(np.int64)
    keep = np.ones(len(whole), dtype=bool)
    keep[1:] = np.any(np.diff(whole, axis=0) != 0, axis=1)
    whole = whole[keep]
    return whole_text(np.diff(whole, axis=0, prepend=0).ravel().tolist())


def side_rows(layers: Mapping[str, gpd.GeoDataFrame]) -> list[dict[str, str]]:
    """Return corners [steps of a millionth degree] and lengths [ft] of each piece."""
    sides_rows: list[dict[str, str]] = []
    pieces = [
        piece
        for name in ("areas", "strips")
        if name in layers
        for piece in zip(layers[name]["id"], layers[name].geometry, strict=True)
        if not piece[1].is_empty
    ]
    if pieces:
        frame = LocalFrame.around([shape for _, shape in pieces])
        for key, shape in pieces:
            side = sides(shape, frame)
            if side is not None:
                corners = np.column_stack([side.lon, side.lat]) * STEPS_PER_DEG
                steps = np.diff(corners.round().astype(np.int64), axis=0, prepend=0)
                table = np.column_stack([steps, side.length_ft.round().astype(np.int64)])
                reach = [round(side.east_ft), round(side.north_ft)]
                sides_rows.append(
                    {"id": key, "told": whole_text([*table.ravel().tolist(), *reach])}
                )
    return sides_rows


def _plain(value: Any) -> Any:  # noqa: ANN401 - a cell
    return value.item() if isinstance(value, np.generic) else value
