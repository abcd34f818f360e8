"""``quietacre walk``: a walk, or several of one edge, to a boundary with its ±."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from quietacre.commands._edge import emit, fail_cleanly, keep_inputs, say, shows_metric
from quietacre.errors import BadInput
from quietacre.figures import figure, printed
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.as_json import JsonObject
    from quietacre.boundary.walk import Walk
    from quietacre.model import Cell


def ring_row(walk: Walk) -> tuple[dict[str, Cell], Any]:
    """Return the boundary with its figures, as a feature's columns and shape."""
    import shapely

    columns: dict[str, Cell] = {
        "name": walk.name or "walked area",
        "acres": walk.acres,
        "acres_low": walk.acres_low,
        "acres_high": walk.acres_high,
        "method": printed(walk.method),
    }
    return columns, shapely.orient_polygons(walk.polygon)


def walk_record(walk: Walk, sources: list[str]) -> JsonObject:
    """Return what is printed as JSON: as for ``acres``, and how the walk was read."""
    from quietacre.acreage.equal_area import perimeter_m
    from quietacre.units import FT_M

    warnings = [note.text for note in walk.notes]
    perimeter = float(perimeter_m([walk.polygon])[0]) / FT_M  # type: ignore[arg-type]
    return {
        "total_acres": walk.acres,
        "areas": [
            {
                "name": walk.name, "kind": "", "source": ", ".join(sources),
                "acres": walk.acres, "acres_low": walk.acres_low,
                "acres_high": walk.acres_high, "perimeter_ft": perimeter,
                "warnings": warnings,
            }
        ],
        "warnings": warnings,
        **asdict(walk.reading),
        "half_width_pct": walk.half_width_pct,
        "area_sd_ac": walk.area_sd_m2 / ACRE_M2,
    }  # fmt: skip


@click.command(name="walk")
@click.argument(
    "files", nargs=-1, required=True, metavar="FILE…", type=click.Path(path_type=Path)
)
@click.option(
    "--walked-inside-ft",
    type=click.FloatRange(min=0),
    default=0.0,
    help="You kept this far inside the true edge.",
)
@click.option(
    "--walked-outside-ft",
    type=click.FloatRange(min=0),
    default=0.0,
    help="You kept this far outside the true edge.",
)
@click.option("--sky", type=click.Choice(["open", "canopy"]), help="A hint, never needed.")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Write the ring to this .geojson or .gpkg.",
)
@click.option(
    "--picture",
    type=click.Path(path_type=Path),
    help="Draw fixes kept and set aside, the ring and its ±, as SVG or PNG.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(
    files: tuple[Path, ...], walked_inside_ft: float, walked_outside_ft: float,
    sky: str | None, out: Path | None, picture: Path | None, *, as_json: bool,
) -> None:  # fmt: skip
    """Turn a recorded walk into a boundary, and say how far off its acres may be.

    Give several files when they are walks of the same edge: they are combined.
    """
    from quietacre.boundary.combine import combine_walks
    from quietacre.boundary.recordings import file_walk
    from quietacre.export.atomic import write_atomic
    from quietacre.export.layer_file import check_ending, write_layer
    from quietacre.intake.vector import read_layer

    if picture is not None and picture.suffix.lower() not in (".svg", ".png"):
        raise BadInput(
            "a walk is drawn as SVG or PNG",
            fix="end its name in .svg or .png",
            source=str(picture),
        )
    keep_inputs(files, out, picture)
    check_ending(out)
    walks = [
        file_walk(
            read_layer(path, shown=str(path)).tracks,
            walked_inside_ft=walked_inside_ft,
            walked_outside_ft=walked_outside_ft,
            sky=sky,
            source=str(path),
        )
        for path in files
    ]
    walk = combine_walks(walks)
    if out is not None:
        write_layer(out, "walk", [ring_row(walk)])
    if picture is not None:
        from quietacre.boundary.picture import walk_png, walk_svg

        png = picture.suffix.lower() == ".png"
        draw = walk_png if png else walk_svg
        write_atomic(picture, draw(walk, metric=shows_metric()))
    record = walk_record(walk, [str(path) for path in files])
    if as_json:
        emit(record)
        return
    _tell(walk, [note.marked for note in walk.notes])
    if out is not None:
        say(f"ring: {out}")
    if picture is not None:
        say(f"picture: {picture}")


def _tell(walk: Walk, warnings: Sequence[str]) -> None:
    """Say the acres of a walk, what was left out, why its ± is what it is, and the notes."""
    from quietacre.boundary.why import why_lines

    between = figure(
        walk.acres_low, "ac measured", to=walk.acres_high, joined=" and ", bare=True
    )
    half_ac = (walk.acres_high - walk.acres_low) / 2
    say(
        f"{figure(walk.acres, 'ac measured')}, between {between} (± {walk.half_width_pct:.1f} %, 95 %)"
    )
    left = ", ".join(f"{count} {cause}" for cause, count in walk.removed.items()) or "none"
    stray = figure(walk.sigma_m / FT_M, "ft", 0)
    say(f"{walk.method}; points left out: {left}; a point strays about {stray}")
    say(f"why ± {figure(half_ac, 'ac', 2)}, as the root of the squares of:")
    for line in why_lines(walk.terms):
        say(f"  {line}")
    for text in (*warnings, *walk.advice):
        say(f"note: {text}")
