"""How far off an edge may be that is partly another's: of its old corners, and of the hand's."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.drawn import drawn_area_sd_m2
from quietacre.chance import CIRCULAR_95, Z95
from quietacre.figures import AS_IT_IS, figure
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.measure.records import Ground
    from quietacre.settings import Area

#: Errors are tried up to this one, to find which gives a ± of acres, so near. [ft]
MOST_FT, NEAR_FT = 5_000.0, 0.02


@dataclass(frozen=True)
class OldEdge:
    """An edge that a new one is made of. ``pm_ft`` is its error, 95 %, None where unknown. [ft]"""

    name: str
    shape: shapely.Geometry
    pm_ft: float | None


@dataclass(frozen=True)
class EdgeError:
    """The error of a new edge, 95 %, None where it is unknown [ft]; and what to say of it."""

    pm_ft: float | None
    said: str = ""


def old_edge(area: Area, ground: Ground, *, joined: bool = False) -> OldEdge:
    """Return an area's edge, with its error as a drawing would have to have it.

    The error of a walk that stays beside the edge is told by the walk, unless the area is
    ``joined`` to another and its walk stays behind.
    """
    pm_ft = area.edge_pm_ft
    if pm_ft is None and (joined or ground.walk is None):
        pm_ft = pm_ft_of(ground)
    return OldEdge(area.name, ground.shape, pm_ft)


def new_error(
    hand_ft: float | None, old: Sequence[OldEdge], shape: shapely.Geometry, *, walked: bool
) -> EdgeError:
    """Return how far off a new edge may be.

    Parameters
    ----------
    hand_ft : how good the hand was that drew; None where no corner was put by hand. [ft]
    old : the edges it was made of, the one it takes the place of first.
    shape : the new edge.
    walked : whether a walk stays beside it: then the error is that of the rest.

    Notes
    -----
    An edge is as good as its worst corners: those that stayed where they were have the error
    they had, and one corner moved on a near view makes the others no better.
    """
    if walked:
        some = [pm for pm in (hand_ft, *(one.pm_ft for one in old)) if pm is not None]
        return EdgeError(max(some, default=None))
    stayed = [one for one in old if _share_corner(one.shape, shape)]
    if not stayed:
        return EdgeError(hand_ft if hand_ft is not None or not old else old[0].pm_ft)
    unknown = [one.name for one in stayed if one.pm_ft is None]
    known = [pm for pm in (hand_ft, *(one.pm_ft for one in stayed)) if pm is not None]
    if unknown:
        warning = f"corners of {' and '.join(unknown)} have no known error, so the edge has no ± until it is said how far off it may be (edge_pm_ft)"
        return EdgeError(None, warning if known else "")
    worst = max(known)
    if hand_ft is not None and worst > hand_ft:
        return EdgeError(
            worst,
            f"corners that stayed may be off by {figure(worst, 'ft', AS_IT_IS)}, so that holds for "
            "all",
        )
    return EdgeError(worst)


def _share_corner(one: shapely.Geometry, other: shapely.Geometry) -> bool:
    here, there = (
        set(map(tuple, shapely.get_coordinates(s).tolist())) for s in (one, other)
    )
    return not here.isdisjoint(there)


def pm_ft_of(ground: Ground) -> float | None:
    """Return the error of corners that gives ground the ± it has. [ft]"""
    if ground.walk is not None or ground.edge_sigma_m is not None:
        return round(ground.sigma_m * CIRCULAR_95 / FT_M, 1)
    if ground.acres_range is None:
        return None
    low_ac, high_ac = ground.acres_range
    frame = LocalFrame.around([ground.shape])
    local = frame.to_local(np.array([ground.shape], dtype=object))[0]
    wanted_m2 = (high_ac - low_ac) / 2.0 * ACRE_M2 / Z95
    low_ft, high_ft = 0.0, MOST_FT
    # the larger the error, the fewer small corners count, so it is no plain share
    while high_ft - low_ft > NEAR_FT:
        middle_ft = (low_ft + high_ft) / 2.0
        if drawn_area_sd_m2(local, middle_ft) < wanted_m2:
            low_ft = middle_ft
        else:
            high_ft = middle_ft
    return round(high_ft, 1) or None
