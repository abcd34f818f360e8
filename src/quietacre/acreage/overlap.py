"""Ground that is drawn twice: found, said, and counted once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame, sound
from quietacre.errors import FileProblem
from quietacre.figures import acres
from quietacre.model import Note
from quietacre.units import m2_to_ac

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

#: Shared edges walked twice overlap by slivers; below this part of the smaller
#: area, and this area, nobody cares. Common practice, no source.
SLIVER_SHARE = 0.005
SLIVER_M2 = 20.0
#: Sharing this part of both, two areas are one; of the smaller, it lies inside.
SAME_SHARE = 0.98
#: Pairs whose boxes meet; in a county's plats each area has some ten of them.
PAIRS = 50_000
PAIRS_AN_AREA = 50
PAIRS_AT_ONCE = 5_000_000
#: So many enclosed areas are named, the rest counted.
NAMED = 3


@dataclass(frozen=True)
class Overlap:
    """Two areas, by position, that share ``area_m2`` of ground."""

    first: int
    second: int
    area_m2: float
    lon: float
    lat: float


def find_overlaps(
    geometries: NDArray[np.object_], *, source: str | None = None
) -> tuple[Overlap, ...]:
    """Return every pair of polygons that share ground, slivers included.

    Parameters
    ----------
    geometries : array, shape (n,), valid polygons in longitude, latitude. [deg]
    source : where they come from, for the message.

    Raises
    ------
    FileProblem
        So many lie on one another that looking at each pair would take for ever.
    """
    left, right = _neighbors(geometries, source)
    shared = shapely.intersection(geometries[left], geometries[right])
    area = area_m2(shared)
    overlapping = np.flatnonzero(area > 0.0)
    points = shapely.point_on_surface(shared[overlapping])
    return tuple(
        Overlap(int(left[i]), int(right[i]), float(area[i]), float(point.x), float(point.y))
        for i, point in zip(overlapping, points, strict=True)
    )


def heaped(geometries: NDArray[np.object_]) -> bool:
    """Return whether boxes meet in so many pairs that looking at each would take for ever."""
    count = len(geometries)
    tree = shapely.STRtree(geometries)
    # so many at a time that their pairs fit in memory whatever lies on what
    step = PAIRS_AT_ONCE // (count + 1) + 1
    near = 0
    for start in range(0, count, step):
        near += tree.query(geometries[start : start + step]).shape[1]
        if near > _most_pairs(count):
            return True
    return False


def _most_pairs(count: int) -> int:
    return PAIRS + PAIRS_AN_AREA * count


def _neighbors(
    geometries: NDArray[np.object_], source: str | None
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the pairs that touch or share ground, by position, the lesser first."""
    if heaped(geometries):
        count = len(geometries)
        raise FileProblem(
            f"its {count:,} areas lie on one another in more than "
            f"{_most_pairs(count):,} pairs",
            fix="keep each piece of ground once",
            source=source,
        )
    tree = shapely.STRtree(geometries)
    left, right = tree.query(geometries, predicate="intersects")
    return left[left < right], right[left < right]


def covered_m2(geometries: NDArray[np.object_], overlaps: Sequence[Overlap]) -> float:
    """Return the ground covered by all polygons together, each acre once. [m²]

    Only polygons that share ground are merged, so the rest keep full precision.
    """
    touched = sorted({i for pair in overlaps for i in (pair.first, pair.second)})
    alone = np.ones(len(geometries), dtype=bool)
    alone[touched] = False
    total = float(area_m2(geometries[alone]).sum())
    if touched:
        total += _merged_m2(geometries[touched])
    return total


def _merged_m2(geometries: NDArray[np.object_]) -> float:
    frame = LocalFrame.around(geometries)
    merged = shapely.union_all(sound(frame.to_local(geometries)))
    return float(area_m2(frame.to_lonlat(np.array([merged], dtype=object)))[0])


def overlap_notes(
    overlaps: Sequence[Overlap],
    names: Sequence[str],
    areas_m2: NDArray[np.float64],
    *,
    source: str | None = None,
) -> tuple[Note, ...]:
    """Return a note for each overlap bigger than a sliver."""
    notes: list[Note] = []
    inside: dict[int, list[Overlap]] = {}
    for pair in overlaps:
        sizes = float(areas_m2[pair.first]), float(areas_m2[pair.second])
        if pair.area_m2 < max(SLIVER_M2, SLIVER_SHARE * min(sizes)):
            continue
        if pair.area_m2 > SAME_SHARE * max(sizes):
            first, second = names[pair.first], names[pair.second]
            what = f"“{first}” and “{second}” are the same ground, drawn twice"
            notes.append(_note(what, first, pair, source))
        elif pair.area_m2 > SAME_SHARE * min(sizes):
            outer = (pair.first, pair.second)[int(np.argmax(sizes))]
            inside.setdefault(outer, []).append(pair)
        else:
            first, second = names[pair.first], names[pair.second]
            what = f"“{first}” and “{second}” share {acres(m2_to_ac(pair.area_m2), 3)}"
            notes.append(_note(what, first, pair, source))
    for outer, pairs in inside.items():
        inner = [names[p.second if p.first == outer else p.first] for p in pairs]
        some = ", ".join(f"“{name}”" for name in inner[:NAMED]) + (
            " …" if len(inner) > NAMED else ""
        )
        what = f"“{names[outer]}” encloses {len(inner)} other: {some}"
        notes.append(_note(what, names[outer], pairs[0], source))
    return tuple(notes)


def _note(what: str, feature: str, pair: Overlap, source: str | None) -> Note:
    return Note(
        "areas-overlap",
        f"{what}; counted once in the total",
        source=source,
        feature=feature,
        lon=pair.lon,
        lat=pair.lat,
        more="Amounts are worked out for each: redraw one if the ground is sown only once.",
    )
