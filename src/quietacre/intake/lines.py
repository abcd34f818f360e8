"""A file that holds one line: where ground is to be split, or a road runs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.features import json_in
from quietacre.intake.limits import read_text
from quietacre.intake.vector import read_layer

if TYPE_CHECKING:
    from pathlib import Path

GEOJSON = (".geojson", ".json")


@timed
def read_line(path: Path, *, shown: str | None = None) -> list[list[float]]:
    """Return the one line of a GeoJSON, GPX or KML file, as [longitude, latitude]. [deg]

    Raises
    ------
    FileProblem
        It holds no line, or something besides.
    """
    shown = shown or str(path)
    if path.suffix.lower() in GEOJSON:
        lines = _in_geojson(path, shown)
    else:
        layer = read_layer(path, shown=shown)
        lines = [[list(at) for at in zip(t.lon, t.lat, strict=True)] for t in layer.tracks]
        lines += [[] for _ in layer.geometry]
    if len(lines) != 1 or not lines[0]:
        raise FileProblem(
            f"holds {len(lines)} features, not one line",
            fix="give the line alone",
            source=shown,
        )
    line: list[list[float]] = lines[0]
    return line


def _in_geojson(path: Path, shown: str) -> list[Any]:
    """Return the positions of each line; an empty list for what is none."""
    whole = json_in(read_text(path, shown), shown)
    features = whole.get("features", [whole]) if isinstance(whole, dict) else []
    lines = []
    for feature in features if isinstance(features, list) else []:
        shape = feature.get("geometry", feature) if isinstance(feature, dict) else None
        is_line = isinstance(shape, dict) and shape.get("type") == "LineString"
        lines.append(
            shape.get("coordinates") or [] if is_line and shape is not None else []
        )
    return lines
