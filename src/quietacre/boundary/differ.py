"""Readings of one edge that differ: laps, ways round, days, people, a drawing and a walk.

A ± that leaves out what was itself read of the edge is no ±: where one reading lies beyond
it, the ± is made to hold it, and where they differ by more than chance makes them, it is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from quietacre.boundary.closing import swept_m2
from quietacre.boundary.error import T_95
from quietacre.boundary.ring import on_ground, valid_ring
from quietacre.boundary.why import Term, total_sd_m2
from quietacre.figures import acres as acres_words
from quietacre.model import Note, doubt_level
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Sequence

    import shapely

    from quietacre.boundary.average import Averaged
    from quietacre.boundary.plane import Plane

#: Two readings that differ by more than this many standard deviations of their difference
#: differ by more than chance.
DIFFER_SD = 2.5
#: Readings nearer to each other than this share are not told apart.
LEAST_SHARE = 0.02


@dataclass(frozen=True)
class OtherReading:
    """One reading of an edge among several.

    ``what`` it is called, its acres, its ground in longitude and latitude, and on how many
    laps it rests.
    """

    what: str
    acres: float
    polygon: shapely.Geometry
    laps: float = 1.0


def ways_round(mean: Averaged, plane: Plane) -> tuple[OtherReading, ...]:
    """Return the laps of each way round as readings; none where all go the same way."""
    ways = []
    for same, what in ((True, "the way it began"), (False, "the other way round")):
        rings = [lap.ring for lap in mean.each if lap.same_way == same]
        if not rings:
            return ()
        polygon = valid_ring(np.mean(rings, axis=0))
        if polygon is None:
            return ()
        count = f"{len(rings)} laps" if len(rings) > 1 else "a lap"
        ways.append(
            OtherReading(
                f"{count} {what}",
                polygon.area / ACRE_M2,
                on_ground(polygon, plane),
                len(rings),
            )
        )
    return tuple(ways)


def lap_acres(mean: Averaged) -> list[float]:
    """Return what each whole lap encloses. [ac]"""
    return [abs(swept_m2(lap.ring)) / ACRE_M2 for lap in mean.each]


def holding(
    acres: float, readings: Sequence[float], terms: Sequence[Term]
) -> tuple[Term, ...]:
    """Return terms whose ± holds every reading of the edge, and the acres taken from them.

    Parameters
    ----------
    acres : what was taken. [ac]
    readings : what each reading says. [ac]
    terms : what the ± is made of so far.
    """
    far = max((abs(one - acres) for one in readings), default=0.0)
    half = T_95 * total_sd_m2(terms) / ACRE_M2
    if far <= half:
        return tuple(terms)
    more = float(np.sqrt(far**2 - half**2))
    text = f"readings that differ, the farthest by {acres_words(far)}"
    return (*terms, Term("readings", text, more, 1.0, "what was read of this edge"))


def differ_note(
    readings: Sequence[OtherReading], sds_ac: Sequence[float], *, source: str, name: str,
    middle: shapely.Point,
) -> tuple[Note, ...]:  # fmt: skip
    """Return the note that readings differ by more than chance makes them, if they do.

    ``sds_ac`` is one standard deviation of each, of what they do not share. [ac]
    """
    if len(readings) < 2:  # noqa: PLR2004 - nothing to differ
        return ()
    order = np.argsort([one.acres for one in readings])
    low, high = int(order[0]), int(order[-1])
    apart = readings[high].acres - readings[low].acres
    chance = DIFFER_SD * float(np.hypot(sds_ac[low], sds_ac[high]))
    if apart <= max(chance, LEAST_SHARE * readings[high].acres):
        return ()
    readings_text = " and ".join(
        f"{acres_words(readings[k].acres)} ({readings[k].what})" for k in (low, high)
    )
    share = apart / readings[low].acres
    return (
        Note(
            "readings-differ",
            f"readings of this edge differ by more than chance: {readings_text}",
            doubt_level(share),
            source or None, name or None, middle.x, middle.y,
            more="Both are drawn in the picture, and the ± holds both.",
            help=("look where they part, and leave out the one that went wrong",),
        ),
    )  # fmt: skip
