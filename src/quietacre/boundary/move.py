"""The edge of a walk moved out or in, for who kept to one side of it; corners are kept."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.plane import Plane
from quietacre.boundary.ring import on_ground
from quietacre.boundary.walk import advised, interval_of
from quietacre.errors import WalkRefused
from quietacre.figures import AS_IT_IS, acres, feet
from quietacre.model import Note
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from quietacre.boundary.walk import Walk

MITRE_LIMIT = 3.0
#: Pieces that moving the edge in cuts off, of no more than this share together, are crumbs.
CRUMBS = 0.005
#: An edge moved so far that the acres change by more than this factor is doubted.
MUCH_MOVED = 2.0


def move_edge(walk: Walk, offset_ft: float) -> Walk:
    """Return the walk with its edge moved out (positive) or in, corners kept."""
    lon, lat = shapely.get_coordinates(walk.polygon).T
    plane = Plane.around(lon, lat)
    local = plane.local(walk.polygon)
    # smooth first: a mitred offset would turn every wiggle of the walk into a horn
    moved = local.simplify(0.6).buffer(
        offset_ft * FT_M, join_style="mitre", mitre_limit=MITRE_LIMIT
    )
    far = feet(abs(offset_ft), AS_IT_IS)
    if moved.is_empty:
        raise WalkRefused(
            f"nothing is left of the area after moving its edge {far}",
            fix="check walked_inside_ft and walked_outside_ft",
            source=walk.source or None,
        )
    moved, crumbs = _largest(moved, walk)
    polygon = on_ground(moved, plane)
    area = float(area_m2(np.array([polygon], dtype=object))[0])
    band = walk.band
    if band is not None:
        ring = plane.local(polygon).exterior
        reach = 1.96 * walk.sigma_m / max(walk.laps, 1.0) ** 0.5
        band = plane.ground(ring.buffer(reach, quad_segs=4))
    side = "inside" if offset_ft > 0 else "outside"
    doubt: tuple[Note, ...] = ()
    if not 1.0 / MUCH_MOVED < area / ACRE_M2 / walk.acres < MUCH_MOVED:
        doubt = (
            Note(
                "edge-moved-far",
                f"moving the edge {far} made {acres(area / ACRE_M2)} out of the "
                f"{acres(walk.acres)} walked; check walked_{side}_ft.",
                source=walk.source,
                feature=walk.name,
            ),
        )
    interval = interval_of(area, walk.area_sd_m2)
    made = replace(
        walk,
        polygon=polygon,
        **interval._asdict(),
        notes=(*walk.notes, *doubt, *crumbs),
        method=f"{walk.method}, walked {far} {side} the edge",
        band=band,
    )
    # the same feet of error weigh otherwise on more or less ground
    return advised(made)


def _largest(
    moved: shapely.Geometry, walk: Walk
) -> tuple[shapely.Polygon, tuple[Note, ...]]:
    """Return the largest part of a moved edge, and the note of the others when they count."""
    parts = sorted(shapely.get_parts(moved), key=lambda part: part.area)
    largest = parts.pop()
    left_m2 = sum(part.area for part in parts)
    if left_m2 < CRUMBS * largest.area:
        return largest, ()
    text = (
        f"moving the edge in cuts off {len(parts)} piece(s) of {acres(left_m2 / ACRE_M2)} from "
        f"the {acres(largest.area / ACRE_M2)} that are kept; they are not counted."
    )
    return largest, (Note("edge-moved-apart", text, source=walk.source, feature=walk.name),)
