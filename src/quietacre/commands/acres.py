"""``quietacre acres``: true acres of anything readable."""

from __future__ import annotations

import sys
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
import numpy as np

from quietacre.acreage.edge_json import edge_json
from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.overlap import covered_m2, find_overlaps, overlap_notes
from quietacre.boundary.repair import repair_all
from quietacre.commands._acres_told import streamed_lines, table
from quietacre.commands._edge import (
    LAYER,
    emit,
    fail_cleanly,
    keep_inputs,
    say,
    say_if_cut_short,
    words,
)
from quietacre.commands._known import Asked, is_known, known_options, write_beside
from quietacre.errors import FileProblem
from quietacre.intake.vector import read_batches, read_layer
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from quietacre.commands._acres_told import MeasuredFiles, StreamedFiles
    from quietacre.export.areas import AreaRow
    from quietacre.model import Cell, Layer


NOTHING_ASKED = Asked()
#: So many notes on files are kept from a stream; the rest are counted.
MOST_SAID = 50
#: So many columns that were left out are named.
MOST_COLUMNS = 12


@dataclass(frozen=True)
class _Area:
    name: str
    kind: str
    source: str
    shape: Any
    acres_low: float | None
    acres_high: float | None
    warnings: tuple[str, ...]
    acres: float | None = None  # of a figure without a place
    perimeter_ft: float | None = None
    columns: Mapping[str, Cell] = field(default_factory=dict)  # the file's others
    number: int = 0  # of the piece in its file, as `add --only` counts


def _file_areas(
    layer: Layer, asked: Asked = NOTHING_ASKED
) -> tuple[list[_Area], list[str]]:
    """Return the areas of one file, and what there is to say about the file."""
    from quietacre.boundary.edges import edges_of, refusal

    if (known := _known_area(layer, asked)) is not None:
        number = len(edges_of(layer).measured) + 1
        return [replace(known, number=number)], [
            note.marked for note in layer.notes if note.code != "waypoints-listed"
        ]
    edges = edges_of(layer)
    notes = [note.marked for note in (*layer.notes, *edges.notes)]
    if not edges.measured:
        for edge in edges.rest:
            if (problem := refusal(edge)) is not None:
                raise problem
        return [], notes
    drawn = [edge for edge in edges.measured if edge.shape is not None]
    areas = _drawn_areas(
        [edge.label for edge in drawn],
        [edge.kind for edge in drawn],
        [edge.shape for edge in drawn],
        layer.source,
    )
    at = {edge.which: number for number, edge in enumerate(edges.measured, 1)}
    areas = [
        replace(a, number=at[edge.which]) for a, edge in zip(areas, drawn, strict=True)
    ]
    for edge in edges.measured:
        if edge.walked is None:
            continue
        walk = edge.walked.walk
        alone = len(edges.measured) == 1 and not edge.name
        areas.append(
            _Area(
                layer.source if alone else edge.label,
                edge.kind,
                layer.source,
                walk.polygon,
                walk.acres_low,
                walk.acres_high,
                tuple(note.marked for note in walk.notes),
                number=at[edge.which],
            )
        )
    return areas, notes


def _known_area(layer: Layer, asked: Asked) -> _Area | None:
    """Return ground known by legs, calls or pins; None of a file that holds other ground."""
    if not is_known(layer, asked):
        return None
    from quietacre.measure.known import known_ground

    left_out: tuple[str, ...] = ()
    if layer.waypoints and (len(layer.geometry) or layer.tracks):
        layer, left_out = (
            replace(layer, geometry=layer.geometry[:0], tracks=()),
            ("its waypoints were taken for corners; what else it holds was not measured.",),
        )
    known = known_ground(layer, asked.how, layer.source)
    if known is None:
        return None
    return _Area(
        layer.source, "", layer.source, known.shape, known.acres_low, known.acres_high,
        (f"{known.method}.", *left_out, *(note.marked for note in known.notes)), known.acres,
        known.perimeter_ft,
    )  # fmt: skip


def _drawn_areas(
    labels: Sequence[str], kinds: Sequence[str], drawn: Iterable[Any], source: str
) -> list[_Area]:
    """Return drawn edges as areas, each with what was mended in it."""
    shapes = np.empty(len(labels), dtype=object)
    shapes[:] = list(drawn)
    mended, notes = repair_all(shapes, labels, [source] * len(labels))
    by_feature: dict[str | None, list[str]] = {}
    for note in notes:
        by_feature.setdefault(note.feature, []).append(note.marked)
    return [
        _Area(label, kind, source, shape, None, None, tuple(by_feature.get(label, ())))
        for label, kind, shape in zip(labels, kinds, mended, strict=True)
    ]


def _batch_areas(layer: Layer) -> tuple[list[_Area], list[str]]:
    """Return the areas of a part of a file, named as far as a part can tell."""
    if layer.tracks or layer.waypoints or layer.traverse or layer.deed:
        areas, notes = _file_areas(layer)
        if any(area.shape is None for area in areas):
            raise FileProblem(
                "is a figure without a place, which no table of areas can hold",
                fix="give its known corners in a property.toml", source=layer.source,
            )  # fmt: skip
        return areas, notes
    labels = [
        name or feature for name, feature in zip(layer.name, layer.feature, strict=True)
    ]
    areas = _drawn_areas(labels, layer.kind, layer.geometry, layer.source)
    if layer.columns:
        areas = [
            replace(area, columns=columns)
            for area, columns in zip(areas, layer.columns, strict=True)
        ]
    return areas, [note.marked for note in layer.notes]


def measure_files(
    paths: tuple[Path, ...], asked: Asked = NOTHING_ASKED, layer: str | None = None,
    *, edges: bool = False,
) -> MeasuredFiles:  # fmt: skip
    """Return the acres of every area in the files, as the JSON says them.

    Parameters
    ----------
    paths : the files to read.
    asked : what was said of pins, legs and calls.
    layer : the one layer to read of a GeoPackage.
    edges : whether to give each edge, and its number in its file.

    Raises
    ------
    BadInput
        A file cannot be read, or holds nothing to measure.
    """
    areas: list[_Area] = []
    warnings: list[str] = []
    for path in paths:
        held = read_layer(path, shown=str(path), own_units=asked.own_units, layer=layer)
        warnings += write_beside(held, asked, paths)
        measured, notes = _file_areas(held, asked)
        if not measured:
            what = "only waypoints" if held.waypoints else "no polygon and no track"
            raise FileProblem(
                f"holds {what}", fix="give a file with an edge to measure", source=str(path)
            )
        areas += measured
        warnings += notes
    shapes, square_m, rows = _measured(areas)
    for row, area in zip(rows, areas, strict=True) if edges else ():
        row["number"], row["edge"] = area.number, edge_json(area.shape)
    unplaced = np.array([area.shape is None for area in areas])
    loose_ac = sum(row["acres"] for row, alone in zip(rows, unplaced, strict=True) if alone)
    shapes, square_m = shapes[~unplaced], square_m[~unplaced]
    overlaps = find_overlaps(shapes, source=", ".join(map(str, paths)))
    names = [area.name for area in areas if area.shape is not None]
    warnings += [note.marked for note in overlap_notes(overlaps, names, square_m)]
    total_ac = covered_m2(shapes, overlaps) / ACRE_M2 + loose_ac
    return {"total_acres": total_ac, "areas": rows, "warnings": warnings}


def _measured(areas: list[_Area]) -> tuple[Any, Any, list[AreaRow]]:
    """Return the shapes, their areas [m²] and a row for each."""
    shapes = np.array([area.shape for area in areas], dtype=object)
    square_m = area_m2(shapes)
    perimeters = perimeter_m(shapes) / FT_M
    rows: list[AreaRow] = []
    for area, size, perimeter in zip(areas, square_m / ACRE_M2, perimeters, strict=True):
        acres = float(size) if area.acres is None else area.acres
        rows.append(
            {
                "name": area.name,
                "kind": area.kind,
                "source": area.source,
                "acres": acres,
                "acres_low": acres if area.acres_low is None else float(area.acres_low),
                "acres_high": acres if area.acres_high is None else float(area.acres_high),
                "perimeter_ft": float(perimeter) or area.perimeter_ft or 0.0,
                "warnings": list(area.warnings),
            }
        )
    return shapes, square_m, rows


def stream_files(
    paths: tuple[Path, ...],
    out: Path,
    tell: Callable[[Path, int, int], None] = lambda _path, _done, _total: None,
    layer: str | None = None,
) -> StreamedFiles:
    """Write the acres of every area to a table, some thousand areas at a time.

    Memory stays bounded, so ground that is drawn twice is not looked for.

    Parameters
    ----------
    paths : the files to read.
    out : a .csv or .gpkg file to write, whole or not at all.
    tell : called with the file, the features done and their number.
    layer : the one layer to read of a GeoPackage.

    Raises
    ------
    BadInput
        A file cannot be read or holds nothing to measure, or ``out`` is one of them.
    """
    from quietacre.export.areas import areas_file

    keep_inputs(paths, out)
    warnings: list[str] = []
    unsaid = count = 0
    left_out: set[str] = set()
    total_m2 = 0.0
    with areas_file(out, words) as write:
        for path in paths:
            before = count
            for part, done, many in read_batches(path, shown=str(path), layer=layer):
                areas, notes = _batch_areas(part)
                if areas:
                    shapes, square_m, rows = _measured(areas)
                    left_out |= write(rows, shapes, [area.columns for area in areas])
                    total_m2 += float(square_m.sum())
                    count += len(rows)
                room = MOST_SAID - len(warnings)
                warnings += notes[:room]
                unsaid += len(notes[room:])
                tell(path, done, many)
            if count == before:
                raise FileProblem(
                    "holds no polygon and no track",
                    fix="give a file with an edge to measure",
                    source=str(path),
                )
    warnings += _streamed_said(unsaid, left_out)
    return {
        "total_acres": total_m2 / ACRE_M2,
        "area_count": count,
        "out": str(out),
        "warnings": warnings,
    }


def _streamed_said(unsaid: int, left_out: set[str]) -> Iterator[str]:
    """Yield what a table written bit by bit does not hold."""
    if unsaid:
        yield f"{unsaid:,} more notes on the files are not shown."
    if left_out:
        names = ", ".join(f"“{name}”" for name in sorted(left_out)[:MOST_COLUMNS])
        yield f"columns that the first features have not are left out: {names}."
    yield "Areas were added up; ground drawn twice was not looked for."


@click.command(name="acres")
@click.argument(
    "files", nargs=-1, required=True, metavar="FILE…", type=click.Path(path_type=Path)
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write a row an area to this .csv, .gpkg or .geojson, in a stream.",
)
@LAYER
@known_options
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option(
    "--edges", is_flag=True, help="With --json: each edge too, with its number in its file."
)
@fail_cleanly
def command(
    files: tuple[Path, ...],
    out: Path | None,
    layer: str | None,
    *,
    as_json: bool,
    edges: bool,
    **known: Any,  # noqa: ANN401
) -> None:
    """True acres of every area in the files, on the ground, not on the map sheet.

    Reads GPX, GeoJSON, KML, KMZ, GeoPackage, Shapefile (bare or zipped) and CSV; waypoints
    as corners, a table of bearings and distances, and the calls of a deed (a .txt).
    Ground drawn twice is counted once in the total.

    With --out the areas go to a table as they are read, so that a GeoPackage of a
    million areas fits in little memory; overlaps are not looked for then. Other columns
    of a GeoPackage or GeoJSON are carried through, in their order.
    """
    say_if_cut_short(files)
    if out is not None:
        streamed = _stream_with_bar(files, out, layer)
        emit(streamed) if as_json else say(streamed_lines(streamed))
        return
    measured = measure_files(files, Asked(**known), layer, edges=edges)
    emit(measured) if as_json else say(table(measured))


def _stream_with_bar(
    files: tuple[Path, ...], out: Path, layer: str | None
) -> StreamedFiles:
    """Stream the files, with a bar on the terminal for each."""
    shown: list[Any] = []

    def tell(path: Path, done: int, total: int) -> None:
        if not shown or shown[0] != path:
            close()
            bar = click.progressbar(
                length=max(total, 1),
                label=f"measuring {path.name}",
                file=sys.stderr,
                hidden=not sys.stderr.isatty(),
                width=24,
            )
            shown[:] = [path, bar, 0]
        shown[1].update(done - shown[2])
        shown[2] = done

    def close() -> None:
        if shown:
            shown[1].render_finish()
            shown.clear()

    try:
        return stream_files(files, out, tell, layer)
    finally:
        close()
