"""``quietacre acres``: true acres of anything readable."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
import numpy as np

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.overlap import covered_m2, find_overlaps, overlap_notes
from quietacre.boundary.repair import repair_all
from quietacre.commands._edge import emit, fail_cleanly
from quietacre.errors import BadInput, FileProblem
from quietacre.intake.vector import read_layer
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from quietacre.model import Layer, Note


@dataclass(frozen=True)
class _Area:
    name: str
    kind: str
    source: str
    shape: Any
    acres_low: float | None
    acres_high: float | None
    warnings: tuple[str, ...]


def _file_areas(layer: Layer) -> tuple[list[_Area], list[str]]:
    """Return the areas of one file, and what there is to say about the file."""
    said = [note.text for note in layer.notes]
    found = []
    if len(layer.geometry):
        labels = [
            name or feature for name, feature in zip(layer.name, layer.feature, strict=True)
        ]
        shapes, notes = repair_all(layer.geometry, labels, [layer.source] * len(labels))
        by_feature: dict[str | None, list[str]] = {}
        for note in notes:
            by_feature.setdefault(note.feature, []).append(note.text)
        for label, kind, shape in zip(labels, layer.kind, shapes, strict=True):
            texts = tuple(by_feature.get(label, ()))
            found.append(_Area(label, kind, layer.source, shape, None, None, texts))
    if layer.tracks:
        found += _walk_areas(layer, said)
    return found, said


def _walk_areas(layer: Layer, said: list[str]) -> list[_Area]:
    """Return each track that closes as an area; say why the others do not."""
    from quietacre.boundary.walk import read_walk

    found, refused = [], []
    for track in layer.tracks:
        try:
            walk = read_walk([track])
        except BadInput as problem:
            refused.append(problem)
            continue
        texts = tuple(note.text for note in walk.notes)
        found.append(
            _Area(
                track.name or layer.source,
                "",
                layer.source,
                walk.polygon,
                walk.acres_low,
                walk.acres_high,
                texts,
            )
        )
    if refused and not found and not len(layer.geometry):
        raise refused[0]
    said += [str(problem) for problem in refused]
    return found


def measure_files(paths: tuple[Path, ...]) -> dict[str, Any]:
    """Return the acres of every area in the files, as the JSON says them.

    Raises
    ------
    BadInput
        A file cannot be read, or holds nothing to measure.
    """
    areas: list[_Area] = []
    warnings: list[str] = []
    for path in paths:
        layer = read_layer(path, shown=str(path))
        found, said = _file_areas(layer)
        if not found:
            what = "only waypoints" if layer.waypoints else "no polygon and no track"
            raise FileProblem(
                f"holds {what}", fix="give a file with an edge to measure", source=str(path)
            )
        areas += found
        warnings += said
    shapes = np.array([area.shape for area in areas], dtype=object)
    square_m = area_m2(shapes)
    perimeters = perimeter_m(shapes) / FT_M
    overlaps = find_overlaps(shapes)
    names = [area.name for area in areas]
    overlap_said: tuple[Note, ...] = overlap_notes(overlaps, names, square_m)
    warnings += [note.text for note in overlap_said]
    rows = []
    for area, size, perimeter in zip(areas, square_m / ACRE_M2, perimeters, strict=True):
        acres = float(size)
        rows.append(
            {
                "name": area.name,
                "kind": area.kind,
                "source": area.source,
                "acres": acres,
                "acres_low": acres if area.acres_low is None else float(area.acres_low),
                "acres_high": acres if area.acres_high is None else float(area.acres_high),
                "perimeter_ft": float(perimeter),
                "warnings": list(area.warnings),
            }
        )
    return {
        "total_acres": covered_m2(shapes, overlaps) / ACRE_M2,
        "areas": rows,
        "warnings": warnings,
    }


def table(result: dict[str, Any]) -> str:
    """Return the measured areas as lines to read."""
    rows = result["areas"]
    wide = min(max([len(row["name"]) for row in rows] + [5]), 48)
    lines = []
    for row in rows:
        plus_minus = (row["acres_high"] - row["acres_low"]) / 2
        margin = f" ± {plus_minus:.2f}" if plus_minus > 0 else ""
        name = row["name"] if len(row["name"]) <= wide else row["name"][: wide - 1] + "…"
        lines.append(
            f"{name:<{wide}}  {row['acres']:>10.3f} ac{margin}   "
            f"{row['perimeter_ft']:>10,.0f} ft round"
        )
        lines += [f"    note: {text}" for text in row["warnings"]]
    lines.append(f"{'total':<{wide}}  {result['total_acres']:>10.3f} ac")
    lines += [f"note: {text}" for text in result["warnings"]]
    return "\n".join(lines)


@click.command(name="acres")
@click.argument(
    "files", nargs=-1, required=True, metavar="FILE…", type=click.Path(path_type=Path)
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(files: tuple[Path, ...], *, as_json: bool) -> None:
    """True acres of every area in the files, on the ground, not on the map sheet.

    Reads GPX, GeoJSON, KML, KMZ, GeoPackage, Shapefile (bare or zipped) and CSV.
    Ground drawn twice is counted once in the total.
    """
    result = measure_files(files)
    if as_json:
        emit(result)
    else:
        click.echo(table(result))
