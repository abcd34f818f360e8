"""Photographs taken into a property folder: the original, byte for byte, and its line."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING

from quietacre.edit.journal import FileChange
from quietacre.edit.loglines import checked_line, ids, new_id
from quietacre.edit.logs import ToWrite
from quietacre.edit.merge import log_days
from quietacre.errors import FileProblem
from quietacre.filenames import safe_name
from quietacre.intake.limits import lies_inside
from quietacre.logbook import PHOTO, PHOTOS

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    import geopandas as gpd

    from quietacre.edit.logs import Writer, Written
    from quietacre.edit.logtext import LogText
    from quietacre.intake.photo import Photo

ENDINGS = (".jpg", ".jpeg", ".jpe")
#: The satellites' day is that of Greenwich: the camera's own may be the one beside it.
DAYS_APART = 1


@dataclass(frozen=True)
class Kept:
    """A photograph in the folder: the name of its file, and what was written for it.

    ``was_there`` says that the same bytes lay there already.
    """

    name: str
    was_there: bool
    written: Written


@dataclass(frozen=True)
class Near:
    """A piece of ground at or near a place, and how far off it is. [m]"""

    area: str
    distance_m: float


def take_in(writer: Writer, photo: Photo, cells: Mapping[str, str]) -> Kept:
    """Copy a photograph into ``photos/`` and write the line that names it, both or neither.

    Parameters
    ----------
    writer : whose log.
    photo : the photograph as it was read.
    cells : of the line, by the name of their column; date and area must be there.

    Returns
    -------
    What lies there now. A photograph that is there already is not copied again, and one
    that the log names gets no second line.

    Raises
    ------
    BadInput
        A cell cannot stand in the log, the log cannot be written, or photos/ leads elsewhere.
    """
    line = checked_line({**cells, "task": PHOTO})
    name, there = "", False

    def make(log: LogText) -> ToWrite:
        nonlocal name, there
        name, there = room_for(writer.folder, photo)
        if there and any(cells.get("photo") == name for _, cells in log.typed()):
            return ToWrite(())
        files = () if there else (FileChange(f"{PHOTOS}/{name}", None, photo.data),)
        return ToWrite([{"id": new_id(ids(log)), **line, "photo": name}], files)

    written = writer.write(make, f"photo: {PurePath(photo.source).name}")
    return Kept(name, there, written)


def room_for(folder: Path, photo: Photo) -> tuple[str, bool]:
    """Return the name a photograph has or gets in ``photos/``, and whether it is there.

    No name is given twice, whatever its capitals: no file is ever written over.

    Raises
    ------
    FileProblem
        photos/ is a link out of the folder, or no folder.
    """
    home = folder / PHOTOS
    if not lies_inside(folder, home) or (home.exists() and not home.is_dir()):
        raise FileProblem(
            "is no folder inside the property's", fix="move it away", source=PHOTOS
        )
    there = {path.name.casefold(): path for path in home.iterdir()} if home.is_dir() else {}
    for path in there.values():
        alike = path.is_file() and path.stat().st_size == len(photo.data)
        if alike and path.read_bytes() == photo.data:
            return path.name, True
    name = safe_name(photo.source.replace("\\", "/").rpartition("/")[2])
    stem, dot, ending = name.rpartition(".")
    if not dot or f".{ending}".lower() not in ENDINGS:
        stem, ending = name, "jpg"
    number, made = 2, safe_name(f"{stem}.{ending}")
    while made.casefold() in there:
        made = safe_name(f"{stem}-{number}.{ending}")
        number += 1
    return made, False


def first_year(log: LogText, settings: Mapping[str, object], today: dt.date) -> int:
    """Return the first year that the log or property.toml speaks of, this year without one."""
    years = [today.year, *(day.year for day in log_days(log).values())]
    left: list[object] = [settings]
    while left:
        value = left.pop()
        if isinstance(value, dt.date):
            years.append(value.year)
        elif isinstance(value, dict):
            left += value.values()
        elif isinstance(value, list):
            left += value
    return min(years)


def doubt_of_day(photo: Photo, first: int, today: dt.date) -> str | None:
    """Return what speaks against the day a photograph says it was taken, None for nothing.

    Parameters
    ----------
    photo : the photograph.
    first : first year that the folder speaks of; a camera that was reset writes one before.
    today : nothing was taken after it.
    """
    day = photo.taken
    if day is None:
        doubt = f"; the satellites' clock says {photo.gps_day}" if photo.gps_day else ""
        return f"does not say which day it was taken{doubt}"
    if day > today:
        return f"says that it was taken on {day}, which is still to come"
    if day.year < first:
        return (
            f"says that it was taken on {day}, before {first}, the first year of this folder: "
            "was the camera's clock reset?"
        )
    if photo.gps_day is not None and abs((photo.gps_day - day).days) > DAYS_APART:
        return f"says {day} by the camera's clock and {photo.gps_day} by the satellites'"
    return None


def ground_near(areas: gpd.GeoDataFrame, photo: Photo) -> list[Near]:
    """Return the pieces of ground by their distance from where a photograph was taken.

    Parameters
    ----------
    areas : with columns name and geometry, EPSG:4326.
    photo : the photograph; without a place there is none near.
    """
    import shapely

    from quietacre.acreage.frame import LocalFrame

    if photo.lon is None or photo.lat is None or not len(areas):
        return []
    spot = shapely.Point(photo.lon, photo.lat)
    frame = LocalFrame.around([spot])
    here, *shapes = frame.to_local([spot, *areas.geometry])  # type: ignore[arg-type]
    near = [
        Near(name, float(shapely.distance(here, shape)))
        for name, shape in zip(areas["name"], shapes, strict=True)
    ]
    return sorted(near, key=lambda one: one.distance_m)
