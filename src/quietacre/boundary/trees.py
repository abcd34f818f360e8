"""Walks beside trees that the map of the place shows: sky that may be blocked."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import shapely

from quietacre.boundary.margin import sky_terms
from quietacre.boundary.plane import Plane
from quietacre.boundary.walk import advised, interval_of
from quietacre.boundary.why import half_words, total_sd_m2
from quietacre.model import Note
from quietacre.units import ACRE_M2, FT_M
from quietacre.words import box_and_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.boundary.walk import Walk

#: Trees so near to an edge block a part of its sky. Common practice, no source. [ft]
NEAR_FT = 50.0
#: Less of an edge than this beside trees is not counted; all of it is worth so much of
#: blocked sky, as the half of the sky over the open side is not blocked. Assumption.
LEAST_SHARE, WORTH = 0.1, 0.8


def share_beside(walk: Walk, trees: shapely.Geometry) -> float:
    """Return which share of a walk's edge lies within ``NEAR_FT`` of trees, 0 to 1.

    ``trees`` are polygons in longitude, latitude.
    """
    lon, lat = shapely.get_coordinates(walk.polygon).T
    plane = Plane.around(lon, lat)
    edge = plane.local(walk.polygon).boundary
    woods = plane.local(trees).buffer(NEAR_FT * FT_M)
    return float(edge.intersection(woods).length / edge.length)


def beside_trees(walk: Walk, share: float) -> Walk:
    """Return a walk with the ± that trees along a share of its edge make, and a note of it.

    The walk itself comes back where its recording or its hint says as much already, and
    where the hint says that the sky was open. What a recording cannot show, the map answers.
    """
    blocked = WORTH * share
    unknown = any(note.code == "sky-unknown" for note in walk.notes)
    if (
        share < LEAST_SHARE
        or walk.sky == "open"
        or (blocked <= walk.blocked and not unknown)
    ):
        return walk
    blocked = max(blocked, walk.blocked)
    lon, lat = shapely.get_coordinates(walk.polygon).T
    edge_m = float(Plane.around(lon, lat).local(walk.polygon).boundary.length)
    voice = f"the map, which has trees along {100 * share:.0f} % of the edge"
    terms = tuple(t for t in walk.terms if t.code != "sky")
    terms += tuple(sky_terms(blocked, voice, edge_m, walk.laps))
    area, sd_m2 = walk.acres * ACRE_M2, total_sd_m2(terms)
    interval = interval_of(area, sd_m2)
    middle = walk.polygon.representative_point()
    before = (walk.acres_high - walk.acres_low) / 2.0
    after = (interval.acres_high - interval.acres_low) / 2.0
    made = f"± {half_words(before)} was made ± {half_words(after, bare=True)}"
    if unknown:
        made = f"it is taken as blocked: ± {half_words(after)}"
    note = Note(
        "trees-beside",
        f"trees stand along {100 * share:.0f} % of the edge on the map and nothing was said of "
        f"the sky, so {made}",
        "info", walk.source or None, walk.name or None, middle.x, middle.y,
        help=("where it is open, say so: " + box_and_line("area", "sky", 'sky = "open"'),),
    )  # fmt: skip
    return advised(
        replace(
            walk, **interval._asdict(), terms=terms, area_sd_m2=sd_m2, blocked=blocked,
            notes=(*_without_unknown(walk.notes), note),
        )
    )  # fmt: skip


def _without_unknown(notes: Sequence[Note]) -> list[Note]:
    """Return notes without that of a sky that the recording alone cannot show."""
    return [note for note in notes if note.code != "sky-unknown"]
