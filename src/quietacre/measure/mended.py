"""Ground whose drawing mends a walk: ``over`` in property.toml."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.boundary.mended import days_walked, drawn_over, mended_words
from quietacre.errors import FileProblem
from quietacre.measure.choose import choose
from quietacre.measure.ground import walk_ground
from quietacre.measure.records import Ground
from quietacre.model import Note

if TYPE_CHECKING:
    from quietacre.measure.choose import Files
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
    chosen = []
    for name in names:
        if not files.layer(name).tracks:
            raise _no_walk(name, area)
        word = area.feature
        if word is not None and files.edges(name).pick(word) is None:
            word = None  # it says which of the drawing's
        chosen.append(choose(files, name, word, area.name, was=area.was, as_area=False))
    walks = [edge.walked for one in chosen for edge in one.edges if edge.walked is not None]
    if not walks:
        raise _no_walk(names[0], area)
    walked = walk_ground(chosen, area)
    choice = [note for name in names for note in files.edges(name).notes]
    choice += [note for one in chosen for note in one.notes]
    days = days_walked(edge for one in chosen for edge in one.edges)
    origin = mended_words(days, len(names))
    walk, note = drawn_over(
        walked, ground.shape, area.name, origin, edge_pm_ft=area.edge_pm_ft
    )
    moved = (item for item in ground.notes if item.code != "drawing-not-moved")
    return Ground(
        ground.shape, walk, origin, (*moved, *choice, note, *walk.notes), ground.waypoints,
        walked=days,
    )  # fmt: skip


def _no_walk(name: str, area: Area) -> FileProblem:
    return FileProblem(
        "holds no track, so nothing can be drawn over it",
        fix="name a walk in over, or leave it out",
        source=name,
        where=f"area “{area.name}”",
    )
