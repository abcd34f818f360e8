"""Frames of areas are joined with the settings by id, checked in one place."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from quietacre.errors import CRSMismatchError, FrameProblem
from quietacre.model import WGS84

if TYPE_CHECKING:
    import geopandas as gpd
    import pandas as pd

    from quietacre.settings import Property

#: Names of ids shown in one line, at most.
MOST_SHOWN = 5


def check_lonlat(areas: gpd.GeoDataFrame) -> None:
    """Refuse a frame that is not in EPSG:4326.

    Raises
    ------
    CRSMismatchError
        The frame has no reference system, or another.
    """
    crs = getattr(areas, "crs", None)
    if crs is None or crs != WGS84:
        had = "no reference system" if crs is None else (crs.to_string() or crs.name)
        raise CRSMismatchError(
            f"the frame of areas must be in {WGS84} (longitude, latitude), and has {had}",
            fix=f'use areas.to_crs("{WGS84}")'
            if crs is not None
            else f'use areas.set_crs("{WGS84}") when its coordinates are degrees',
        )


def areas_by_id(areas: gpd.GeoDataFrame, prop: Property) -> gpd.GeoDataFrame:
    """Return a frame's rows in the order of the property's areas, joined by ``id``.

    Parameters
    ----------
    areas : one row per area of ``prop`` (EPSG:4326), in any order, with ``id`` as in
        ``prop.area_by_id``.

    Returns
    -------
    GeoDataFrame
        The same rows, the first that of the first area; its index counts from 0.

    Raises
    ------
    FrameProblem
        An id is missing, doubled or unknown, or there is no column ``id``.
    CRSMismatchError
        The frame is not in EPSG:4326.
    """
    check_lonlat(areas)
    wanted = list(prop.area_by_id)
    if "id" not in areas:
        raise FrameProblem(
            "the frame of areas has no column “id”",
            fix="keep the ids that measuring the property gave",
        )
    ids = list(areas["id"])
    seen = set(ids)
    _refuse_ids("twice", {key for key, count in Counter(ids).items() if count > 1})
    _refuse_ids("that no area of the property has", seen - set(wanted))
    missing = [key for key in wanted if key not in seen]
    if missing:
        names = [f"{key} (“{prop.area_by_id[key].name}”)" for key in missing]
        raise FrameProblem(
            f"the frame of areas lacks {_listed(names)}",
            fix="give a row for each area of the property",
        )
    if ids == wanted:
        return areas
    row = {key: number for number, key in enumerate(ids)}
    return areas.iloc[[row[key] for key in wanted]].reset_index(drop=True)


def check_strips(strips: pd.DataFrame, prop: Property) -> None:
    """Refuse strips that go round no area of the property.

    Raises
    ------
    FrameProblem
        ``of`` of a strip is no id of an area.
    """
    unknown = sorted(set(strips["of"]) - set(prop.area_by_id), key=str)
    if unknown:
        raise FrameProblem(
            f"the frame of strips has a strip of {_listed([str(key) for key in unknown])}, "
            "which no area of the property is",
            fix="give “of” the id of the area that the strip goes round",
        )


def _refuse_ids(why: str, ids: set[str]) -> None:
    if ids:
        shown = _listed(sorted(str(key) for key in ids))
        raise FrameProblem(
            f"the frame of areas holds the id {shown} {why}",
            fix="keep one row for each area, with the id that measuring gave it",
        )


def _listed(names: list[str]) -> str:
    more = len(names) - MOST_SHOWN
    return ", ".join(names[:MOST_SHOWN]) + (f" and {more} more" if more > 0 else "")
