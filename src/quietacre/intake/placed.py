"""A placed picture of a property folder: the pairs it was placed by, in a file beside it."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Literal

from quietacre.errors import FileProblem
from quietacre.intake.limits import check_file, read_text
from quietacre.intake.picture import MAX_PICTURE_BYTES, picture_size

if TYPE_CHECKING:
    from pathlib import Path

#: Where placed pictures lie in a property folder, and what their pairs' files end in.
PICTURES, PLACED = "pictures", ".placed.json"


@dataclass(frozen=True)
class PlacedPairs:
    """How a picture was placed: column, row, longitude, latitude of each pair; the fit."""

    pairs: tuple[tuple[float, float, float, float], ...]
    fit: Literal["similarity", "affine"] | None = None
    point_pm_ft: float = 20.0

    def spelled(self) -> bytes:
        """Return the file of it."""
        return (json.dumps(asdict(self), indent=1) + "\n").encode()


@dataclass(frozen=True)
class PlacedFile:
    """A placed picture: its name, its size in pixels, and its pairs."""

    name: str
    width: int
    height: int
    how: PlacedPairs


def placed_pictures(folder: Path) -> tuple[str, ...]:
    """Return the names of the pictures that are placed in a property folder, in order."""
    room = folder / PICTURES
    if not room.is_dir() or room.is_symlink():
        return ()
    names = {
        path.name for path in room.iterdir() if path.is_file() and not path.is_symlink()
    }
    return tuple(sorted(name for name in names if name + PLACED in names))


def read_placed(folder: Path, name: str) -> PlacedFile:
    """Return a placed picture of a property folder.

    Raises
    ------
    FileProblem
        There is none of that name, or its files cannot be used.
    """
    if name not in placed_pictures(folder):
        raise FileProblem(f"there is no picture “{name[:60]}” here", fix="place it first")
    path, shown = folder / PICTURES / name, f"{PICTURES}/{name}"
    check_file(path, shown, MAX_PICTURE_BYTES)
    width, height = picture_size(path, shown)
    place_file = f"{shown}{PLACED}"
    try:
        row = json.loads(read_text(path.with_name(name + PLACED), place_file))
        pairs = tuple(
            (float(a), float(b), float(c), float(d)) for a, b, c, d in row["pairs"]
        )
        fit, pm = row.get("fit"), float(row.get("point_pm_ft", 20.0))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as problem:
        raise FileProblem(
            "holds no pairs", fix="place the picture again", source=place_file
        ) from problem
    if fit not in (None, "similarity", "affine") or not 0 < pm < 1e6:  # noqa: PLR2004 - feet
        raise FileProblem(
            "holds no pairs", fix="place the picture again", source=place_file
        )
    return PlacedFile(name, width, height, PlacedPairs(pairs, fit, pm))
