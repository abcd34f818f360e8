"""What each setting of a strip does to its width, when that one alone is changed."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.settings import StripSettings
from quietacre.strip.groups import wanted_in_groups

if TYPE_CHECKING:
    import geopandas as gpd

    from quietacre.settings import Property
    from quietacre.strip.groups import Known

#: Smaller than this is no change worth telling. [ft]
LEAST_FT = 0.5
#: What is tried: a key, its value, and what that means on the ground. What is so already, or
#: counts for nothing beside the other settings, changes no width and is not told.
TRIED: tuple[tuple[str, Any, str], ...] = (
    ("staked", True, "the edge is staked or taped"),
    ("slip_days", 0, "no cut ever slips past its day"),
    *(("slip_days", days, f"a cut may slip {days} days") for days in (3, 7, 14)),
    ("live_node_ft", 0.0, "the outer edge is walked, and no live node stands outside it"),
    ("watch_lane_ft", 0.0, "no lane is kept open beyond it to see what crossed"),
)


@dataclass(frozen=True)
class WidthChange:
    """One setting of a strip with another value: the width asked for then. [ft]"""

    key: str
    value: object
    words: str
    width_ft: float


def width_changes(
    areas: gpd.GeoDataFrame, prop: Property, known: Known, area_id: str
) -> list[WidthChange]:
    """Return what single changes of an area's strip settings make of its width.

    Parameters
    ----------
    areas : one row per area (EPSG:4326) in the order of ``prop``, as `plan_strips` takes them.
    known : what the widths are worked out from.
    area_id : the patch.

    Returns
    -------
    Those that change the width by half a foot or more, the narrowest first; empty where the
    width is the person's own.
    """
    row = list(prop.area_by_id).index(area_id)
    now = prop.area[row].strip or StripSettings()
    if now.width_ft is not None:
        return []
    before = _width_ft(areas, prop, known, row, now)
    changes = []
    for key, value, words in TRIED:
        width = _width_ft(areas, prop, known, row, dataclasses.replace(now, **{key: value}))
        if abs(width - before) >= LEAST_FT:
            changes.append(WidthChange(key, value, words, width))
    return sorted(changes, key=lambda change: (change.width_ft, change.key))


def _width_ft(
    areas: gpd.GeoDataFrame, prop: Property, known: Known, row: int, strip: StripSettings
) -> float:
    """Return the width that a strip is wanted to have with some settings. [ft]"""
    changed = [
        dataclasses.replace(area, strip=strip) if place == row else area
        for place, area in enumerate(prop.area)
    ]
    other = dataclasses.replace(prop, area=tuple(changed))
    made, groups = wanted_in_groups(areas, other, known)
    together = next((rows for rows in groups if row in rows), [row])
    return max(float(made[one].ring.width_ft) for one in together)
