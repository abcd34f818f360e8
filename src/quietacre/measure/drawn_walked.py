"""An area that has a drawing and a walk: two readings of one edge, the drawing measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.boundary.differ import OtherReading
from quietacre.boundary.plane import Plane
from quietacre.errors import WalkRefused
from quietacre.figures import acres as acres_words
from quietacre.model import Note, doubt_level

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.boundary.walk import Walk
    from quietacre.measure.records import Ground
    from quietacre.model import Level

#: A walk of which less than this is shared with the drawing goes round other ground.
SAME_GROUND = 0.5


def held_with_walks(
    ground: Ground, acres: float, walks: Sequence[Walk | WalkRefused], name: str
) -> Ground:
    """Return drawn ground whose ± holds the walks of the same edge too, and says so.

    Parameters
    ----------
    ground, acres : what was drawn, with its own ± where it has one.
    walks : the walks listed beside it, each as read or why it could not be.
    name : of the area.
    """
    read = [walk for walk in walks if not isinstance(walk, WalkRefused)]
    same = [walk for walk in read if _same(ground.shape, walk)]
    sizes = ", ".join(acres_words(walk.acres) for walk in read) or "that could not be read"
    what = f"“{name}” has a drawing of {acres_words(acres)} and a walk ({sizes}); the drawing was measured"
    if not same:
        far = "" if not read else "They do not lie on the same ground."
        return _with_note(ground, what, far, "caution", name)
    low, high = ground.between(acres)
    own = (high - low) / 2.0 or max((w.acres_high - w.acres_low) / 2.0 for w in same)
    apart = max(abs(walk.acres - acres) for walk in same)
    half = float(np.hypot(apart, own))
    held = ground._replace(
        acres_range=(max(acres - half, 0.0), acres + half),
        readings=(
            OtherReading("the drawing", acres, ground.shape),
            *(OtherReading("the walk", walk.acres, walk.polygon) for walk in same),
        ),
    )
    level = doubt_level(apart, acres)
    more = f"Both are on the map, and the ± of {acres_words(half)} holds both."
    return _with_note(held, what, more, level, name)


def _with_note(ground: Ground, what: str, more: str, level: Level, name: str) -> Ground:
    note = Note(
        "drawing-over-walk", what, level, feature=name, more=more,
        help=("list only the walks to measure them instead",),
    )  # fmt: skip
    return ground._replace(notes=(*ground.notes, note))


def _same(shape: shapely.Geometry, walk: Walk) -> bool:
    """Return whether a walk shares enough of the smaller ground with a drawing."""
    lon, lat = shapely.get_coordinates(walk.polygon).T
    plane = Plane.around(lon, lat)
    drawn, walked = plane.local(shape), plane.local(walk.polygon)
    return bool(
        drawn.intersection(walked).area >= SAME_GROUND * min(drawn.area, walked.area)
    )
