"""What each setting of a strip does to its width, when that one alone is changed."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.settings import StripSettings
from quietacre.strip.groups import wanted_in_groups

if TYPE_CHECKING:
    from collections.abc import Iterator

    import geopandas as gpd

    from quietacre.settings import Property
    from quietacre.strip.groups import Known

#: Smaller than this is no change worth telling. [ft]
LEAST_FT = 0.5
#: Days that a planned cut slips, tried in place of the present ones.
SLIPS = (0, 3, 7, 14)


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
    for key, value, words in _tried(now):
        width = _width_ft(areas, prop, known, row, dataclasses.replace(now, **{key: value}))
        if abs(width - before) >= LEAST_FT:
            changes.append(WidthChange(key, value, words, width))
    return sorted(changes, key=lambda change: (change.width_ft, change.key))


def _tried(now: StripSettings) -> Iterator[tuple[str, Any, str]]:
    """Yield a key, another value, and what that means on the ground."""
    if not now.staked and now.edge_error_ft is None:
        yield "staked", True, "the edge is staked or taped"
    for days in SLIPS:
        if days != now.slip_days:
            word = "day" if days == 1 else "days"
            yield (
                "slip_days",
                days,
                (
                    "no cut ever slips past its day"
                    if days == 0
                    else f"a cut may slip {days} {word}"
                ),
            )
    if now.live_node_ft is None or now.live_node_ft > 0:
        yield (
            "live_node_ft",
            0.0,
            "the outer edge is walked, and no live node stands outside it",
        )
    if now.watch_lane_ft is None or now.watch_lane_ft > 0:
        yield "watch_lane_ft", 0.0, "no lane is kept open beyond it to see what crossed"
    if not now.bare:
        yield (
            "bare",
            True,
            "it is kept bare from green-up, so that one cut inside the quiet can be defended",
        )


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
