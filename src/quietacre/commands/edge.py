"""``quietacre edge``: edges of areas split, cut, joined, clipped, led along others, straightened."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import fail_cleanly
from quietacre.commands._edge_keep import (
    keep_one,
    keep_table_of,
    keep_these,
    line_in,
    place_of,
    ring_in,
    tell_clash,
)
from quietacre.errors import BadInput
from quietacre.model import AREA_KINDS, SETTINGS_FILE

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

DIR = click.argument(
    "folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR"
)
AREA = click.argument("area", metavar="AREA")
FILE = click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
JSON = click.option("--json", "as_json", is_flag=True, help="Print what was kept as JSON.")
FEET = click.FloatRange(min=0, min_open=True)
PM = click.option(
    "--edge-pm-ft",
    type=FEET,
    help="How far off a corner of the edge may be, 95 %; as it was when left out.",
)


@click.group(name="edge")
def command() -> None:
    """Change the edges of areas: each change is one step that undo takes back.

    The old file stays; the area's `from` names the new one. Lines and rings are read from
    GeoJSON, KML or GPX.
    """


def _kept(run: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command what all of them share: how it fails, and JSON."""
    return fail_cleanly(JSON(run))


@command.command()
@DIR
@AREA
@FILE
@click.option(
    "--as", "names", multiple=True, metavar="NAME",
    help="What to call the second piece, and each further one; AREA 2, AREA 3 when left out.",
)  # fmt: skip
@_kept
def split(
    folder: Path, area: str, file: Path, names: tuple[str, ...], *, as_json: bool
) -> None:
    """Split AREA by the line in FILE; the largest piece keeps the name.

    The other pieces become areas with the same settings. The acres stay what they were.
    """
    from quietacre.drawing import cut
    from quietacre.edit.redraw import NewEdge

    place = place_of(folder)
    name = place.area(area).name
    made = cut.split(place.ground(area).shape, line_in(file))
    taken = {one.name.casefold() for one in place.prop.area}
    free = (
        f"{name} {n}" for n in range(2, 10_000) if f"{name} {n}".casefold() not in taken
    )
    called = [*names, *(word for word in free if word not in names)]
    if len(names) > len(made.pieces) - 1:
        raise BadInput(
            f"{len(names)} names were given for {len(made.pieces) - 1} new pieces",
            fix="leave some out", source="--as",
        )  # fmt: skip
    edges = [NewEdge(made.pieces[0], name)]
    edges += [
        NewEdge(piece, None, word, like=name)
        for piece, word in zip(made.pieces[1:], called, strict=False)
    ]
    keep_these(folder, edges, made.said, f"split {name} by a line", as_json=as_json)


@command.command()
@DIR
@AREA
@FILE
@PM
@_kept
def hole(
    folder: Path, area: str, file: Path, edge_pm_ft: float | None, *, as_json: bool
) -> None:
    """Cut a hole into AREA: the ring in FILE."""
    from quietacre.drawing import cut

    place = place_of(folder)
    made = cut.hole(place.ground(area).shape, ring_in(file))
    keep_one(folder, place, area, made, "cut a hole into", edge_pm_ft, as_json=as_json)


@command.command()
@DIR
@AREA
@click.argument("others", nargs=-1, required=True, metavar="OTHER…")
@_kept
def join(folder: Path, area: str, others: tuple[str, ...], *, as_json: bool) -> None:
    """Join AREA and OTHER areas that share an edge; the settings are those of AREA."""
    from quietacre.drawing import join as joining
    from quietacre.edit.redraw import NewEdge

    place = place_of(folder)
    names = [place.area(word).name for word in (area, *others)]
    made = joining.join([place.ground(name).shape for name in names])
    label = f"join {', '.join(names)}"
    edges = [NewEdge(made.pieces[0], names[0])]
    keep_these(folder, edges, made.said, label, out=names[1:], as_json=as_json)


@command.command()
@DIR
@AREA
@_kept
def clip(folder: Path, area: str, *, as_json: bool) -> None:
    """Cut off what of AREA lies outside the property line."""
    from quietacre.drawing import cut

    place = place_of(folder)
    line = place.line()
    if line is None:
        raise BadInput(
            "there is no property line", fix="give its file in [property] boundary",
            source=SETTINGS_FILE,
        )  # fmt: skip
    made = cut.clip(place.ground(area).shape, line)
    keep_one(folder, place, area, made, "clip to the line", None, as_json=as_json)


@command.command(name="without")
@DIR
@AREA
@click.argument("others", nargs=-1, required=True, metavar="OTHER…")
@_kept
def without_(folder: Path, area: str, others: tuple[str, ...], *, as_json: bool) -> None:
    """Take out of AREA what OTHER areas cover: a road through a plot."""
    from quietacre.drawing import cut

    place = place_of(folder)
    made = cut.without(
        place.ground(area).shape, [place.ground(one).shape for one in others]
    )
    keep_one(folder, place, area, made, "take other ground out of", None, as_json=as_json)


@command.command()
@DIR
@AREA
@click.argument("others", nargs=-1, metavar="[OTHER…]")
@click.option(
    "--within-ft", type=FEET, required=True, help="How near counts as the same edge."
)
@_kept
def snap(
    folder: Path, area: str, others: tuple[str, ...], within_ft: float, *, as_json: bool
) -> None:
    """Let the edge of AREA follow those of OTHER areas, or of all and the property line."""
    from quietacre.drawing.follow import follow

    place = place_of(folder)
    near = [place.ground(one).shape for one in others]
    if not others:
        line = place.line()
        near = [*place.neighbors(area).values(), *([line] if line is not None else [])]
    made = follow(place.ground(area).shape, near, within_ft)
    keep_one(folder, place, area, made, "let neighbors' edges lead", None, as_json=as_json)


@command.command()
@DIR
@AREA
@FILE
@click.option("--long-way", is_flag=True, help="Make the longer way round straight.")
@PM
@_kept
def straighten(
    folder: Path, area: str, file: Path, edge_pm_ft: float | None, *, long_way: bool,
    as_json: bool,
) -> None:  # fmt: skip
    """Make the edge of AREA straight between the two ends of the line in FILE.

    It straightens a wavering stretch, and cuts off a notch or a spur.
    """
    from quietacre.drawing import stretch

    place = place_of(folder)
    ends = list(line_in(file).coords)
    shape = place.ground(area).shape
    made = stretch.straighten(shape, ends[0], ends[-1], long_way=long_way)
    keep_one(folder, place, area, made, "straighten", edge_pm_ft, as_json=as_json)


@command.command()
@DIR
@AREA
@click.option("--spur-ft", type=FEET, help="Cut off what sticks out and is narrower.")
@click.option("--notch-ft", type=FEET, help="Fill what runs in and is narrower.")
@_kept
def trim(
    folder: Path, area: str, spur_ft: float | None, notch_ft: float | None, *, as_json: bool
) -> None:
    """Cut off spurs of AREA, and fill notches, by how narrow they are."""
    from quietacre.drawing import stretch

    place = place_of(folder)
    shape = place.ground(area).shape
    made = stretch.trim(shape, spur_ft=spur_ft or 0.0, notch_ft=notch_ft or 0.0)
    keep_one(folder, place, area, made, "trim", None, as_json=as_json)


@command.command()
@DIR
@FILE
@click.option("--as", "name", required=True, metavar="NAME", help="What to call it.")
@click.option("--width-ft", type=FEET, required=True, help="Across it.")
@click.option("--kind", type=click.Choice(AREA_KINDS), default="road", show_default=True,
              help="What it is.")  # fmt: skip
@PM
@_kept
def road(
    folder: Path, file: Path, name: str, width_ft: float, kind: str, edge_pm_ft: float | None,
    *, as_json: bool,
) -> None:  # fmt: skip
    """Make an area of the line in FILE: a road, a lane, a firebreak, so many feet wide."""
    from quietacre.drawing import stretch
    from quietacre.edit.redraw import NewEdge

    made = stretch.strip_along(line_in(file), width_ft)
    edges = [NewEdge(made.pieces[0], None, name, kind, edge_pm_ft=edge_pm_ft)]
    keep_these(folder, edges, made.said, f"draw {name}", as_json=as_json)


@command.command()
@DIR
@FILE
@click.option(
    "--area", metavar="AREA", help="The area it measures; a new one when left out."
)
@click.option("--as", "name", metavar="NAME", help="What to call a new area.")
@click.option("--kind", type=click.Choice(AREA_KINDS), default="plot", show_default=True,
              help="What a new area is.")  # fmt: skip
@click.option(
    "--placed", multiple=True, required=True, metavar="N=LAT,LON",
    help="Where corner N of it lies; two corners are better than one.",
)  # fmt: skip
@click.option("--declination-deg", type=click.FloatRange(-180, 180), help="East positive.")
@click.option("--pace-ft", type=FEET, help="Length of a pace of a table of legs.")
@click.option("--vara-ft", type=FEET, help="Length of a vara of a deed.")
@_kept
def table(
    folder: Path, file: Path, area: str | None, name: str | None, kind: str,
    placed: tuple[str, ...], declination_deg: float | None, pace_ft: float | None,
    vara_ft: float | None, *, as_json: bool,
) -> None:  # fmt: skip
    """Measure an area by the table of legs, or the deed, in FILE.

    The rows are read first; one that is not understood is named, and nothing is written.
    """
    if (area is None) == (name is None):
        raise BadInput(
            "one of --area and --as is needed",
            fix="name an area, or a new one",
            source="--area",
        )
    keep_table_of(
        folder,
        file,
        area,
        name,
        kind,
        placed,
        declination_deg,
        pace_ft,
        vara_ft,
        as_json=as_json,
    )


@command.command()
@DIR
@FILE
@_kept
def keep(folder: Path, file: Path, *, as_json: bool) -> None:
    """Keep the polygons of a GeoJSON FILE, each for the area that its properties name.

    A feature with `area` becomes that area's edge; one with `name` (and `kind`, `like`) a new
    area, with the settings of the one it is like; `edge_pm_ft` is how far off its corners may
    be. Beside `features`, `out` lists areas to take out.
    """
    from quietacre.drawing.sheet import polygons_of
    from quietacre.edit.redraw import EdgeClash, NewEdge
    from quietacre.intake.new_edges import read_new_edges

    new_edges = read_new_edges(file)
    edges = [
        NewEdge(polygons_of(list(one.polygons), one.area or one.name or "the piece"), one.area,
                one.name, one.kind, one.like, one.was, one.edge_pm_ft, one.hand_pm_ft)
        for one in new_edges.edges
    ]  # fmt: skip
    names = ", ".join(one.area or one.name for one in new_edges.edges)
    label = new_edges.label or f"draw {names}"
    try:
        keep_these(folder, edges, (), label, out=new_edges.out, as_json=as_json)
    except EdgeClash as problem:
        if as_json:
            tell_clash(problem)
        raise
