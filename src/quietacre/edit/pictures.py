"""Placed pictures kept in a property folder, to be drawn on at the desk."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from quietacre.edit import journal
from quietacre.edit.property_file import change_settings
from quietacre.edit.toml_plain import Change, Set
from quietacre.filenames import safe_name
from quietacre.intake.placed import PICTURES, PLACED, PlacedPairs

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.boundary.laid_picture import LaidPicture
    from quietacre.boundary.placing import Fit
    from quietacre.edit.journal import Step
    from quietacre.edit.toml_table import TomlTable


@dataclass(frozen=True)
class KeptPicture:
    """A picture that was kept, by its path in the folder; ``step`` is None where it stood so."""

    picture: str
    step: Step | None


def keep_picture(
    folder: Path, name: str, data: bytes, laid: LaidPicture, world_ending: str, *,
    fit: Fit | None, point_pm_ft: float, on_map: bool = False, state: Path | None = None,
) -> KeptPicture:  # fmt: skip
    """Keep a picture, its world file and its pairs; the same picture is placed anew.

    Parameters
    ----------
    name : what its file is called; another picture of that name gets a number.
    data : the picture's bytes.
    laid : where it lies.
    world_ending : of its world file, such as ".pgw".
    on_map : whether it is laid under the finished map, as [map] picture.

    Raises
    ------
    BadInput, OSError
        As `change_settings`.
    """
    picture = _path(folder, safe_name(name), data)
    pairs = tuple(
        (x, y, lon, lat)
        for (x, y), (lon, lat) in zip(laid.pixels.tolist(), _lonlat(laid), strict=True)
    )
    files = {
        picture: data,
        picture + PLACED: PlacedPairs(pairs, fit, point_pm_ft).spelled(),
        str(PurePosixPath(picture).with_suffix(world_ending)): laid.world_file(),
    }

    def make(_document: TomlTable) -> list[Change]:
        if not on_map:
            return []
        return [Set(("map", "picture"), picture), Set(("map", "picture_crs"), laid.system)]

    label = f"place the picture {PurePosixPath(picture).name}"
    return KeptPicture(
        picture, change_settings(folder, make, label, files=files, state=state).step
    )


def _lonlat(laid: LaidPicture) -> list[tuple[float, float]]:
    """Return longitude and latitude of a picture's pairs, to under an inch."""
    from pyproj import Transformer

    move = Transformer.from_crs(laid.system, "EPSG:4326", always_xy=True)
    lon, lat = move.transform(*laid.ground_m.T)
    return [(round(float(x), 9), round(float(y), 9)) for x, y in zip(lon, lat, strict=True)]


def _path(folder: Path, name: str, data: bytes) -> str:
    """Return where a picture goes: where the same bytes lie under its name, or a free name."""
    stem, dot, ending = name.rpartition(".")
    for number in range(1, 1_000_000):
        word = name if number == 1 else f"{stem} {number}{dot}{ending}"
        path = f"{PICTURES}/{word}"
        there = journal.read(folder, path)
        if there is None or there == data:
            return path
    raise AssertionError  # pragma: no cover
