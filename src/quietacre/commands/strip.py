"""``quietacre strip``: the ring on the ground, and where it is too thin."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from quietacre.commands._edge import emit, fail_cleanly


def survey(path: Path) -> tuple[Any, float | None]:
    """Return all the ground of a file as one valid geometry, and its edge's error.

    A walk gives its ring and sigma [m]; a drawing has no sigma of its own: None.

    Raises
    ------
    BadInput
        The file holds nothing that encloses ground.
    """
    import shapely

    from quietacre.boundary.repair import repair_all
    from quietacre.boundary.walk import read_walk
    from quietacre.intake.vector import read_layer

    layer = read_layer(path, shown=str(path))
    if not len(layer.geometry):
        walk = read_walk(layer.tracks)
        return walk.polygon, walk.sigma_m
    shapes, notes = repair_all(
        layer.geometry, layer.feature, [layer.source] * len(layer.feature)
    )
    for note in notes:
        click.echo(f"note: {note.text}", err=True)
    return shapely.union_all(shapes), None


def edge_of(path: Path) -> Any:  # noqa: ANN401 - a geometry
    """Return the ground of a file, without the error of its edge."""
    return survey(path)[0]


@click.command(name="strip")
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@click.option(
    "--width-ft",
    type=click.FloatRange(min=0, min_open=True),
    required=True,
    help="Width on the ground.",
)
@click.option(
    "--boundary",
    type=click.Path(path_type=Path),
    help="File with the property line: the strip is cut back to it.",
)
@click.option(
    "--keep-out",
    type=click.Path(path_type=Path),
    multiple=True,
    help="File with water or other ground to keep off; may be repeated.",
)
@click.option("--out", type=click.Path(path_type=Path), help="Write the strip as GeoJSON.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(
    file: Path, width_ft: float, boundary: Path | None, keep_out: tuple[Path, ...],
    out: Path | None, *, as_json: bool,
) -> None:  # fmt: skip
    """The strip round the patch in FILE: its acres, and where it is too thin."""
    import numpy as np
    import shapely

    from quietacre.acreage.equal_area import area_m2
    from quietacre.export.whole import write_whole
    from quietacre.strip.plan import VINE_CAUTIONS
    from quietacre.strip.ring import lengths_ft, strip_ring, weak_lines
    from quietacre.units import ACRE_M2

    patch = edge_of(file)
    line = edge_of(boundary) if boundary else None
    others = [(str(path), edge_of(path)) for path in keep_out]
    ring = strip_ring(
        patch, width_ft, boundary=line, keep_out=[shape for _, shape in others]
    )
    obstacles = list(others)
    if line is not None:
        obstacles.append(("property line", line.boundary))
    thin = weak_lines(patch, width_ft, obstacles)
    weak = [
        {"length_ft": length_ft, "available_ft": there_ft, "reason": reason}
        for (_, there_ft, reason), length_ft in zip(
            thin, lengths_ft([stretch for stretch, _, _ in thin]), strict=True
        )
    ]
    acres, patch_acres = area_m2(np.array([ring, patch], dtype=object)) / ACRE_M2
    if out is not None:
        feature = {
            "type": "Feature",
            "properties": {"name": "strip", "width_ft": width_ft, "acres": float(acres)},
            "geometry": json.loads(shapely.to_geojson(ring)),
        }
        collection = {"type": "FeatureCollection", "features": [feature]}
        write_whole(out, json.dumps(collection, indent=1) + "\n")
    result = {
        "width_ft": width_ft,
        "acres": float(acres),
        "patch_acres": float(patch_acres),
        "weak": weak,
        "cautions": list(VINE_CAUTIONS),
    }
    if as_json:
        emit(result)
        return
    click.echo(f"strip {width_ft:g} ft wide: {acres:.3f} ac round {patch_acres:.3f} ac")
    for row in weak:
        click.echo(
            f"too thin: {row['available_ft']:.0f} ft along {row['length_ft']:.0f} ft, "
            f"because of {row['reason']}"
        )
    for text in VINE_CAUTIONS:
        click.echo(f"caution: {text}")
    if out is not None:
        click.echo(f"strip: {out}")
