"""Strips and firebreaks that lie on the same ground, or beside each other: said.

Each is counted whole. Two burn blocks with a lane between share the break in it; two that
meet have a break on each side of one line; a strip that a missed cut makes wider may reach
its neighbor's.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.overlap import SLIVER_M2, Overlap, find_overlaps
from quietacre.figures import acres
from quietacre.model import SETTINGS_FILE, Note
from quietacre.units import m2_to_ac

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from quietacre.strip.records import Ring


class OnGround(NamedTuple):
    """A strip or a firebreak, the ground it goes round, and its own. [deg]"""

    ring: Ring
    inside: shapely.Geometry
    shape: shapely.Geometry


def shared_ground_told(
    several: Sequence[OnGround], plots: Sequence[tuple[str, shapely.Geometry]]
) -> tuple[Ring, ...]:
    """Return strips and firebreaks, the first of each two that share work with a note.

    ``plots`` are what is sown, by name: a strip that lies on one has a note, too. Less than
    ``SLIVER_M2`` of ground is left unsaid.
    """
    told = [one.ring for one in several]
    shapes = np.array([one.shape for one in several], dtype=object)
    shared = {
        (pair.first, pair.second): pair
        for pair in find_overlaps(shapes, source=SETTINGS_FILE)
        if pair.area_m2 >= SLIVER_M2
    }
    beside = dict(_side_by_side(several, shared))
    for pair, overlap in shared.items():
        if pair not in beside:
            told[pair[0]] = told[pair[0]].noted([_on_same_ground(several, overlap)])
    for pair, note in beside.items():
        told[pair[0]] = told[pair[0]].noted([note])
    for number, note in _on_plots(several, plots):
        told[number] = told[number].noted([note])
    return tuple(told)


def _on_plots(
    several: Sequence[OnGround], plots: Sequence[tuple[str, shapely.Geometry]]
) -> Iterator[tuple[int, Note]]:
    """Yield a note for each strip or firebreak on the ground of a plot."""
    tree = shapely.STRtree([one.shape for one in several])
    for name, plot in plots:
        for number in sorted(tree.query(plot, predicate="intersects")):
            ring = several[number].ring
            on_plot = shapely.intersection(several[number].shape, plot)
            size_m2 = area_m2(np.array([on_plot]))[0]
            if size_m2 >= SLIVER_M2:
                point = shapely.point_on_surface(on_plot)
                yield (
                    int(number),
                    Note(
                        "strip-on-plot",
                        f"{ring.name} lies on {_acres(size_m2)} of “{name}”",
                        lon=point.x,
                        lat=point.y,
                        more="It is in the acres of both: seed and fertilizer of the plot are counted"
                        f" on it. If the {ring.kind} is kept there, draw the plot's edge back to it.",
                    ),
                )


def _on_same_ground(several: Sequence[OnGround], overlap: Overlap) -> Note:
    names = _names(several[overlap.first], several[overlap.second])
    return Note(
        "strips-overlap",
        f"{names} lie on the same {_acres(overlap.area_m2)}",
        lon=overlap.lon,
        lat=overlap.lat,
        more="Its acres, hours and fuel are counted in both; where one working of the ground does"
        " for both, they are needed once.",
    )


def _side_by_side(
    several: Sequence[OnGround], shared: Mapping[tuple[int, int], Overlap]
) -> Iterator[tuple[tuple[int, int], Note]]:
    """Yield each two firebreaks that lie in each other's blocks, with a note."""
    breaks = [n for n, one in enumerate(several) if one.ring.kind == "firebreak"]
    for pair in combinations(breaks, 2):
        one, other = several[pair[0]], several[pair[1]]
        if not shapely.intersects(one.shape, other.inside):
            continue
        inside = shapely.intersection([one.shape, other.shape], [other.inside, one.inside])
        sizes_m2 = area_m2(inside)
        if min(sizes_m2) < SLIVER_M2:
            continue
        point = shapely.point_on_surface(inside[0])
        ends = (
            f", and {_acres(shared[pair].area_m2)} beside is in both"
            if pair in shared
            else ""
        )
        yield (
            pair,
            Note(
                "breaks-side-by-side",
                f"{_names(one, other)} run side by side where the blocks meet",
                lon=point.x,
                lat=point.y,
                more=f"They take {' and '.join(_acres(size) for size in sizes_m2)} there{ends}; each is"
                " counted whole. If one break between the blocks is enough for the burn manager, it is"
                " worked once.",
            ),
        )


def _acres(size_m2: float) -> str:
    return acres(m2_to_ac(float(size_m2)))


def _names(one: OnGround, other: OnGround) -> str:
    return f"{one.ring.name} and {other.ring.name}"
