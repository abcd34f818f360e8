"""What ``acres`` asks of ground that is known by pins, legs or calls."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from quietacre.commands._edge import keep_inputs, shows_metric
from quietacre.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable

    from quietacre.edit.entries import KnownFile
    from quietacre.intake.vector import OwnUnits
    from quietacre.measure.known import HowKnown
    from quietacre.model import Layer
    from quietacre.settings.types import Sky


@dataclass(frozen=True)
class Asked:
    """The options on such ground, as they were given."""

    corners: Literal["straight", "curved"] | None = None
    order: Literal["time", "number", "file", "ring"] | None = None
    sky: Sky | None = None
    pace_ft: float | None = None
    vara_ft: float | None = None
    table: Path | None = None
    sketch: Path | None = field(default=None)

    @property
    def how(self) -> HowKnown:
        """Return what measuring needs of them."""
        from quietacre.measure.known import HowKnown

        return HowKnown(self.corners, self.order, self.sky)

    @property
    def own_units(self) -> OwnUnits:
        """Return what reading needs of them."""
        from quietacre.intake.vector import OwnUnits

        return OwnUnits(self.pace_ft, self.vara_ft)


#: What a figure without a place still needs; a build asks for it in the same words.
PLACED_LINE = "# placed = [{ corner = 1, lat = 0.0, lon = 0.0 }]  # where a corner lies: needed to build"


def known_file(layer: Layer, asked: Asked) -> KnownFile | None:
    """Return what a file of pins, legs or calls is; None of a file that holds other ground.

    Raises
    ------
    BadInput
        Something must be asked of the person, or is not understood.
    """
    if not is_known(layer, asked):
        return None
    from dataclasses import replace

    from quietacre.edit.entries import KnownFile
    from quietacre.measure.known import known_ground

    layer = replace(layer, geometry=layer.geometry[:0], tracks=())
    known = known_ground(layer, asked.how, layer.source)
    if known is None:
        return None
    lines = []
    for key, value in (
        ("corners", asked.corners if known.figure is None else None),
        ("order", asked.order if known.figure is None else None),
        ("sky", asked.sky if known.figure is None else None),
    ):
        if value is not None:
            lines.append(f'{key} = "{value}"')
    for key, feet in (("pace_ft", asked.pace_ft), ("vara_ft", asked.vara_ft)):
        if feet is not None and known.figure is not None:
            lines.append(f"{key} = {feet:g}")
    if known.shape is None:
        lines.append(PLACED_LINE)
    return KnownFile(known.acres, tuple(lines), known.notes)


def is_known(layer: Layer, asked: Asked) -> bool:
    """Return whether a file is to be read as pins, legs or calls."""
    if layer.deed is not None or layer.traverse is not None:
        return True
    others = len(layer.geometry) or layer.tracks
    return bool(layer.waypoints) and (asked.corners is not None or not others)


def known_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options on ground known by pins, legs or calls."""
    above_zero = click.FloatRange(min=0, min_open=True)
    path = click.Path(path_type=Path, dir_okay=False)
    for option in (
        click.option("--sketch", type=path, help="Draw a table of legs or a deed as this .svg."),
        click.option("--table", type=path, help="Write a deed's calls as understood to this .csv."),
        click.option("--vara-ft", type=above_zero, help="Length of a vara of a deed."),
        click.option("--pace-ft", type=above_zero, help="Length of a pace of a table of legs."),
        click.option("--sky", type=click.Choice(["open", "canopy"]), help="Over the pins."),
        click.option(
            "--order", type=click.Choice(["time", "number", "file", "ring"]),
            help="How pins follow one another; their times, else the numbers in their names.",
        ),
        click.option(
            "--corners", type=click.Choice(["straight", "curved"]),
            help="Take waypoints for corners, with the edge straight or curved between them.",
        ),
    ):  # fmt: skip
        command = option(command)
    return command


def write_beside(layer: Layer, asked: Asked, inputs: tuple[Path, ...]) -> list[str]:
    """Write the table of calls and the sketch that were asked for; say what was written.

    Raises
    ------
    BadInput
        The file holds nothing to write them of.
    """
    from quietacre.export.atomic import write_atomic

    written: list[str] = []
    keep_inputs(inputs, asked.table, asked.sketch)
    if asked.table is not None:
        if layer.deed is None:
            raise BadInput(
                "there are no calls to write", fix="give a deed's text", source="--table"
            )
        from quietacre.boundary.deed import call_rows

        rows = call_rows(layer.deed.calls)
        text = io.StringIO()
        writer = csv.DictWriter(text, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
        write_atomic(asked.table, text.getvalue())
        written.append(f"{len(rows)} calls: {asked.table}")
    if asked.sketch is not None:
        from quietacre.boundary.sketch import sketch_svg

        write_atomic(asked.sketch, sketch_svg(layer, metric=shows_metric()))
        written.append(f"sketch: {asked.sketch}")
    return written
