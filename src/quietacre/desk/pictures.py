"""Pictures that are drawn on at the desk: where they lie, and how far off an edge on them may be."""

from __future__ import annotations

import hashlib
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.boundary.laid_picture import LaidPicture, lay_picture
from quietacre.drawing.sheet import polygons_of
from quietacre.errors import BadInput, placed
from quietacre.intake.limits import check_file
from quietacre.intake.picture import FORMATS, MAX_PICTURE_BYTES, picture_size
from quietacre.intake.placed import PICTURES, PlacedFile, placed_pictures, read_placed
from quietacre.model import SETTINGS_FILE
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.boundary.placing import Fit

Said = dict[str, Any]
#: How good a pair is when nobody says, 95 %; as ``quietacre place`` has it. [ft]
POINT_PM_FT = 20.0
MOST_PM_FT = 10_000.0


def size(_folder: Path, said: Said) -> Said:
    """Return a picture's pixels across and down; ``path`` is told by the server alone."""
    path = Path(said["path"])
    if path.suffix.lower() not in FORMATS:
        raise BadInput(
            f"pictures ending in “{path.suffix[:12]}” are not placed",
            fix="save it as PNG or JPEG",
        )
    check_file(path, path.name, MAX_PICTURE_BYTES)
    width, height = picture_size(path, path.name)
    return {"width": width, "height": height}


def place(folder: Path, said: Said) -> Said:
    """Return where a picture lies by the pairs that were clicked, and how far off it may be."""
    return _told(_laid(folder, said))


def place_edge(folder: Path, said: Said) -> Said:
    """Return how far off an edge drawn on such a picture may be, the hand's part left out."""
    polygons = polygons_of(said.get("polygons"))
    return {"edge_pm_ft": _along_ft(_laid(folder, said), polygons)}


def pictures(folder: Path, _said: Said) -> Said:
    """Return the pictures that are placed in the folder; what cannot be used says why."""
    under = _under_map(folder)
    found: list[Said] = []
    for name in placed_pictures(folder):
        try:
            told = read_placed(folder, name)
            row = _told(_lay(told))
        except BadInput as problem:
            found.append({"picture": name, "why": str(problem)})
            continue
        found.append(
            {
                **row, "picture": name, "width": told.width, "height": told.height,
                "pairs": [list(pair) for pair in told.how.pairs],
                "was": _sum(told), "on_map": under == f"{PICTURES}/{name}",
            }
        )  # fmt: skip
    return {"pictures": found}


def picture_pm_ft(
    folder: Path, picture: str, polygons: object, was: str | None = None
) -> float:
    """Return how far off an edge drawn on a placed picture may be, 95 %. [ft]

    ``was`` is what was told of the picture when it was laid under the drawing.

    Raises
    ------
    BadInput
        There is no such picture, or it lies elsewhere since.
    """
    told = read_placed(folder, picture)
    if was is not None and was != _sum(told):
        raise BadInput(
            f"“{picture}” was placed anew since it was laid under this drawing",
            fix="go back and open the drawing again, it waits; look at your edge on the picture, then keep it",
        )
    return _along_ft(_lay(told), polygons_of(polygons))


def _sum(told: PlacedFile) -> str:
    """Return what any change to where a picture lies would change."""
    how = (told.how.pairs, told.how.fit, told.how.point_pm_ft)
    return hashlib.sha256(repr(how).encode()).hexdigest()[:16]


def _along_ft(laid: LaidPicture, polygons: shapely.Geometry) -> float:
    corners = shapely.get_coordinates(polygons)
    return round(float(laid.pm_ft(laid.pixels_at(corners)).max()), 1)


def _laid(folder: Path, said: Said) -> LaidPicture:
    """Return a picture laid by the pairs of a question; by its own where none are told."""
    if said.get("path"):
        told = size(folder, said)
        return _by_pairs(said, told["width"], told["height"])
    kept = read_placed(folder, str(said.get("picture") or ""))
    if said.get("pairs") is None:
        return _lay(kept)
    return _by_pairs(said, kept.width, kept.height)


def _by_pairs(said: Said, width: int, height: int) -> LaidPicture:
    pm = said.get("point_pm_ft")
    pm = POINT_PM_FT if pm is None else pm
    if isinstance(pm, bool) or not isinstance(pm, (int, float)) or not 0 < pm < MOST_PM_FT:
        raise BadInput("how good a pair is, is no length", fix="give feet, above 0")
    fit = said.get("fit")
    if fit not in (None, "similarity", "affine"):
        raise BadInput("there is no such fit", fix="ask similarity or affine")
    pairs = said.get("pairs")
    if not isinstance(pairs, list):
        raise BadInput(
            "there are no pairs", fix="click a place on the picture, then on the map"
        )
    return _lay_pairs(pairs, width, height, fit, float(pm))


def _lay(told: PlacedFile) -> LaidPicture:
    with placed(f"{PICTURES}/{told.name}", ""):
        return _lay_pairs(
            told.how.pairs, told.width, told.height, told.how.fit, told.how.point_pm_ft
        )


def _lay_pairs(
    pairs: Sequence[Sequence[float]], width: int, height: int, fit: Fit | None, pm: float
) -> LaidPicture:
    return lay_picture(pairs, width, height, fit=fit, point_pm_ft=pm)


def _told(laid: LaidPicture) -> Said:
    low_ft, high_ft = laid.errors_ft()
    x, y, pm_ft = laid.grid()
    places = np.column_stack([one.ravel() for one in np.meshgrid(x, y)])
    rings = np.column_stack([laid.lonlat(places), pm_ft.ravel() * FT_M])
    return {
        "fit": laid.placed.fit, "corners": laid.corners(), "pm_ft": low_ft,
        "pm_at_corners_ft": high_ft,
        "grid": {"x": x.tolist(), "y": y.tolist(), "pm_ft": np.round(pm_ft, 2).tolist()},
        "rings": rings.tolist(),  # longitude, latitude, how far off it may be in metres
        "pairs": [{"miss_ft": float(miss)} for miss in laid.misses_ft()],
        "wrong": laid.placed.wrong, "said": laid.words(),
    }  # fmt: skip


def _under_map(folder: Path) -> str | None:
    try:
        chart = tomllib.loads((folder / SETTINGS_FILE).read_bytes().decode("utf-8-sig"))[
            "map"
        ]
        return str(chart["picture"])
    except (OSError, ValueError, KeyError, TypeError):
        return None
