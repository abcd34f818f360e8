"""``quietacre strip``: the ring on the ground, and where it is too thin."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from quietacre.commands._edge import (
    LAYER,
    emit,
    fail_cleanly,
    keep_inputs,
    say,
    say_if_cut_short,
)
from quietacre.commands._setting_option import setting_option
from quietacre.figures import AS_IT_IS, acres, feet, figure, number
from quietacre.settings import Equipment

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.as_json import JsonObject
    from quietacre.model import Cell
    from quietacre.strip.passes import Pass
    from quietacre.strip.ring import Obstacle, Stations


def survey(path: Path, layer: str | None = None) -> tuple[Any, float | None]:
    """Return all the ground of a file as one valid geometry, and its edge's error.

    A walk gives its ring and sigma [m]; a drawing has no sigma of its own: None. ``layer``
    is the one to read of a GeoPackage.

    Raises
    ------
    BadInput
        The file holds nothing that encloses ground.
    """
    import shapely

    from quietacre.boundary.edges import edges_of
    from quietacre.intake.vector import read_layer
    from quietacre.measure.choose import acres_of, joined_shape, nothing_in

    say_if_cut_short([path])
    edges = edges_of(read_layer(path, shown=str(path), layer=layer))
    if not edges.measured:
        raise nothing_in(edges, "")
    drawn = [edge for edge in edges.measured if edge.shape is not None]
    walks = [edge.walked.walk for edge in edges.measured if edge.walked is not None]
    shapes = [walk.polygon for walk in walks]
    notes = [*edges.notes, *(note for walk in walks for note in walk.notes)]
    if drawn:
        shape, joining = joined_shape(drawn, edges.source, None)
        shapes.append(shape)
        notes += joining
    for note in notes:
        say(f"note: {note.marked}", err=True)
    if len(edges.measured) > 1:
        sizes = acres_of(edges.measured, edges.source)
        say(
            f"note: {len(sizes)} edges of {edges.source} are taken together, "
            f"{acres(sum(sizes))}.",
            err=True,
        )
    sigma = max((walk.edge_sigma_m for walk in walks), default=None)
    return (shapes[0] if len(shapes) == 1 else shapely.union_all(shapes)), sigma


def edge_of(path: Path, layer: str | None = None) -> Any:  # noqa: ANN401 - a geometry
    """Return the ground of a file, or of one layer, without the error of its edge."""
    return survey(path, layer)[0]


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
@click.option(
    "--timber",
    type=click.Path(path_type=Path),
    multiple=True,
    help="File with trees a runner could climb; may be repeated.",
)
@setting_option(Equipment, "mower_width_ft")
@setting_option(Equipment, "mower_overlap_ft")
@setting_option(Equipment, "mower_mph")
@setting_option(Equipment, "field_efficiency")
@setting_option(Equipment, "fuel_gal_hr")
@click.option(
    "--first",
    type=click.Choice(["outer", "inner"]),
    default="outer",
    show_default=True,
    help="Which pass is driven first: outer mows toward the patch.",
)
@click.option(
    "--passes-out",
    type=click.Path(path_type=Path),
    help="Write the mower passes to this .geojson or .gpkg.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Write the strip to this .geojson or .gpkg.",
)
@LAYER
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@fail_cleanly
def command(
    file: Path, width_ft: float, boundary: Path | None, keep_out: tuple[Path, ...],
    timber: tuple[Path, ...], mower_width_ft: float, mower_overlap_ft: float, mower_mph: float,
    field_efficiency: float, fuel_gal_hr: float, first: str, passes_out: Path | None,
    out: Path | None, layer: str | None, *, as_json: bool,
) -> None:  # fmt: skip
    """The strip round the patch in FILE: acres, mower passes, and where it is too thin.

    Every ten feet of the edge is judged: PASS, NARROW (less than asked) or FAIL (no whole
    mower pass fits, or the property line lies inside).
    """
    import numpy as np

    from quietacre.acreage.equal_area import area_m2
    from quietacre.export.layer_file import check_ending, write_layer
    from quietacre.strip.passes import Drive, mower_passes
    from quietacre.strip.ring import edge_stations, strip_ring
    from quietacre.strip.wanted import vine_cautions
    from quietacre.strip.width import Mower
    from quietacre.units import ACRE_M2

    keep_inputs(
        (file, *((boundary,) if boundary else ()), *keep_out, *timber), out, passes_out
    )
    check_ending(out)
    check_ending(passes_out)
    site = _site(file, boundary, keep_out, timber, layer)
    ring = strip_ring(site.patch, width_ft, boundary=site.line, keep_out=site.keep_out)
    mower = Mower(mower_width_ft, mower_overlap_ft)
    stations = edge_stations(
        site.patch, width_ft, site.obstacles, fail_below_ft=mower.width_ft
    )
    passes = mower_passes(
        site.patch, width_ft, mower, Drive(mower_mph, field_efficiency, fuel_gal_hr),
        boundary=site.line, keep_out=site.keep_out, outermost_first=first == "outer",
    )  # fmt: skip
    acres, patch_acres = area_m2(np.array([ring, site.patch], dtype=object)) / ACRE_M2
    if out is not None:
        write_layer(out, "strip", [(_ring_row(width_ft, float(acres)), ring)])
    if passes_out is not None:
        write_layer(passes_out, "passes", [_pass_row(one) for one in passes])
    result = {
        "width_ft": width_ft,
        "acres": float(acres),
        "patch_acres": float(patch_acres),
        "stations": {
            word.lower(): stations.count(word) for word in ("PASS", "NARROW", "FAIL")
        },
        "weak": _weak_rows(stations),
        "passes": [one.figures() for one in passes],
        "cautions": vine_cautions("kudzu"),
    }
    if as_json:
        emit(result)
        return
    _tell(result, passes)
    for what, path in (("strip", out), ("passes", passes_out)):
        if path is not None:
            say(f"{what}: {path}")


@dataclass(frozen=True)
class _Site:
    """The patch, and what its strip keeps off: the property line, other ground, trees."""

    patch: Any
    line: Any
    keep_out: list[Any]
    obstacles: list[Obstacle]


def _site(
    file: Path, boundary: Path | None, keep_out: tuple[Path, ...], timber: tuple[Path, ...],
    layer: str | None,
) -> _Site:  # fmt: skip
    """Return the ground of every file that was named; ``layer`` is the patch's."""
    from quietacre.strip.plan import CLIMB_FT
    from quietacre.strip.ring import Obstacle, beyond

    patch = edge_of(file, layer)
    line = edge_of(boundary) if boundary else None
    others = [(str(path), edge_of(path)) for path in keep_out]
    obstacles = [Obstacle(name, shape) for name, shape in others]
    obstacles += [
        Obstacle(f"timber {path} within climbing reach", edge_of(path), CLIMB_FT)
        for path in timber
    ]
    if line is not None:
        obstacles.append(beyond(line))
    return _Site(patch, line, [shape for _, shape in others], obstacles)


def _weak_rows(stations: Stations) -> list[JsonObject]:
    """Return the stretches that are too thin, as JSON has them."""
    from quietacre.strip.ring import lengths_ft

    return [
        {
            "verdict": one.verdict,
            "length_ft": length_ft,
            "available_ft": one.available_ft,
            "reason": one.reason,
        }
        for one, length_ft in zip(
            stations.weak, lengths_ft([w.line for w in stations.weak]), strict=True
        )
    ]


def _ring_row(width_ft: float, acres: float) -> dict[str, Cell]:
    return {"name": "strip", "width_ft": width_ft, "acres": acres}


def _pass_row(one: Pass) -> tuple[dict[str, Cell], Any]:
    from quietacre.as_json import as_json

    return {"name": f"pass {one.number}", **as_json(one.figures())}, one.line


def _tell(result: Mapping[str, Any], passes: Sequence[Pass]) -> None:
    """Say the acres, the passes, where it is too thin, and the cautions."""
    say(
        f"strip {figure(result['width_ft'], 'ft', AS_IT_IS)} wide: "
        f"{figure(result['acres'], 'ac measured')} round {figure(result['patch_acres'], 'ac measured')}"
    )
    say(
        f"{len(passes)} mower passes, {feet(sum(p.length_ft for p in passes))}, "
        f"{number(sum(p.minutes for p in passes))} minutes, "
        f"{figure(sum(p.fuel_gal for p in passes), 'gal', 1)} of fuel"
    )
    for row in result["weak"]:
        say(
            f"{row['verdict']}: {feet(row['available_ft'])} along {feet(row['length_ft'])}, "
            f"because of {row['reason']}"
        )
    for text in result["cautions"]:
        say(f"caution: {text}")
