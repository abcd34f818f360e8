"""Ground whose drawing mends a walk: ``over`` in property.toml."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.boundary.over import drawn_over, said_over, walked_on
from quietacre.boundary.walk import combine_walks, read_walk
from quietacre.errors import FileProblem
from quietacre.measure.records import Ground
from quietacre.model import Note

if TYPE_CHECKING:
    from quietacre.measure.ground import Files
    from quietacre.settings import Area


def ground_over(files: Files, area: Area, ground: Ground) -> Ground:
    """Return an area's ground with the walk that its drawing was drawn over, if any.

    Raises
    ------
    BadInput
        What ``over`` names is no walk, or lies elsewhere.
    """
    if area.over is None:
        return ground
    if ground.walk is not None:
        text = (
            f"“{area.name}” has over, but is no drawing: its own walk was measured, and what "
            "over names was not read."
        )
        note = Note("over-not-drawn", text, level="caution", feature=area.name)
        return ground._replace(notes=(*ground.notes, note))
    names = (area.over,) if isinstance(area.over, str) else area.over
    layers = [files.layer(name) for name in names]
    for layer in layers:
        if not layer.tracks:
            raise FileProblem(
                "holds no track, so nothing can be drawn over it",
                fix="name a walk in over, or leave it out",
                source=layer.source,
                where=f"area “{area.name}”",
            )
    walks = [
        read_walk(
            layer.tracks,
            walked_inside_ft=area.walked_inside_ft or 0.0,
            walked_outside_ft=area.walked_outside_ft or 0.0,
            sky=area.sky,
            source=layer.source,
        )
        for layer in layers
    ]
    days = walked_on(track for layer in layers for track in layer.tracks)
    said = said_over(days, len(walks))
    walk, note = drawn_over(combine_walks(walks), ground.shape, area.name, said)
    moved = (item for item in ground.notes if item.code != "drawing-not-moved")
    return Ground(ground.shape, walk, said, (*moved, note, *walk.notes), ground.waypoints)
