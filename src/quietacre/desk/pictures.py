"""Pictures that are drawn on at the desk: where they lie, and how far off an edge on them may be."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict, get_args

import numpy as np
import shapely

from quietacre.boundary.laid_picture import LaidPicture, lay_picture
from quietacre.boundary.placing import Fit
from quietacre.drawing.sheet import polygons_of
from quietacre.errors import BadInput, placed
from quietacre.intake.limits import check_file
from quietacre.intake.picture import FORMATS, MAX_PICTURE_BYTES, picture_size
from quietacre.intake.placed import PICTURES, PlacedFile, placed_pictures, read_placed
from quietacre.intake.plain_settings import plain_settings
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.desk.asked import Asked

#: How good a pair is when nobody says, 95 %; as ``quietacre place`` has it. [ft]
POINT_PM_FT = 20.0
MOST_PM_FT = 10_000.0


class PictureSize(TypedDict):
    """Pixels across and down."""

    width: int
    height: int


class PairTold(TypedDict):
    """How far a pair lies from where the fit puts it. [ft]"""

    miss_ft: float


class GridTold(TypedDict):
    """How far off the picture may be at places of it, a row of ``pm_ft`` for each ``y``. [px, ft]"""

    x: list[float]
    y: list[float]
    pm_ft: list[list[float]]


class Laid(TypedDict):
    """Where a picture lies, and how far off it may be: between its points, in its corners. [ft]

    ``corners`` are longitude and latitude from the upper left on, clockwise; ``rings``
    longitude, latitude and how far off it may be there in metres; ``wrong`` the row of a pair
    that is likely wrong.
    """

    fit: Fit
    corners: list[list[float]]
    pm_ft: float
    pm_at_corners_ft: float
    grid: GridTold
    rings: list[list[float]]
    wrong: int | None
    said: list[str]


class LaidTold(Laid):
    """Where a picture would lie, with how far each of its pairs misses."""

    pairs: list[PairTold]


class PlacedTold(PictureSize, Laid):
    """A picture placed in the folder: as `LaidTold`, with the pairs it is placed by.

    ``was`` is what any change to where it lies would change; ``on_map`` whether it lies under
    the map.
    """

    pairs: list[list[float]]
    picture: str
    was: str
    on_map: bool


class NotPlaced(TypedDict):
    """A picture that cannot be used, and why."""

    picture: str
    why: str


class PicturesTold(TypedDict):
    """The pictures that are placed in a folder."""

    pictures: list[PlacedTold | NotPlaced]


class EdgeTold(TypedDict):
    """How far off an edge on a picture may be, 95 %. [ft]"""

    edge_pm_ft: float


def size(_folder: Path, asked: Asked) -> PictureSize:
    """Return a picture's pixels across and down; ``path`` is told by the server alone."""
    path = Path(str(asked["path"]))
    if path.suffix.lower() not in FORMATS:
        raise BadInput(
            f"pictures ending in “{path.suffix[:12]}” are not placed",
            fix="save it as PNG or JPEG",
        )
    check_file(path, path.name, MAX_PICTURE_BYTES)
    width, height = picture_size(path, path.name)
    return {"width": width, "height": height}


def place(folder: Path, asked: Asked) -> LaidTold:
    """Return where a picture lies by the pairs that were clicked, and how far off it may be."""
    return _told(_laid(folder, asked))


def place_edge(folder: Path, asked: Asked) -> EdgeTold:
    """Return how far off an edge drawn on such a picture may be, the hand's part left out."""
    polygons = polygons_of(asked.get("polygons"))
    return {"edge_pm_ft": _along_ft(_laid(folder, asked), polygons)}


def pictures(folder: Path, _asked: Asked) -> PicturesTold:
    """Return the pictures that are placed in the folder; what cannot be used says why."""
    under = _under_map(folder)
    placed: list[PlacedTold | NotPlaced] = []
    for name in placed_pictures(folder):
        try:
            place_file = read_placed(folder, name)
            row = _told(_lay(place_file))
        except BadInput as problem:
            placed.append({"picture": name, "why": str(problem)})
            continue
        placed.append(
            {
                **row, "picture": name, "width": place_file.width, "height": place_file.height,
                "pairs": [list(pair) for pair in place_file.how.pairs],
                "was": _sum(place_file), "on_map": under == f"{PICTURES}/{name}",
            }
        )  # fmt: skip
    return {"pictures": placed}


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
    place_file = read_placed(folder, picture)
    if was is not None and was != _sum(place_file):
        raise BadInput(
            f"“{picture}” was placed anew since it was laid under this drawing",
            fix="go back and open the drawing again, it waits; look at your edge on the picture, then keep it",
        )
    return _along_ft(_lay(place_file), polygons_of(polygons))


def _sum(place_file: PlacedFile) -> str:
    """Return what any change to where a picture lies would change."""
    how = (place_file.how.pairs, place_file.how.fit, place_file.how.point_pm_ft)
    return hashlib.sha256(repr(how).encode()).hexdigest()[:16]


def _along_ft(laid: LaidPicture, polygons: shapely.Geometry) -> float:
    corners = shapely.get_coordinates(polygons)
    return round(float(laid.pm_ft(laid.pixels_at(corners)).max()), 1)


def _laid(folder: Path, asked: Asked) -> LaidPicture:
    """Return a picture laid by the pairs of a question; by its own where none are told."""
    if asked.get("path"):
        size_px = size(folder, asked)
        return _by_pairs(asked, size_px["width"], size_px["height"])
    kept = read_placed(folder, str(asked.get("picture") or ""))
    if asked.get("pairs") is None:
        return _lay(kept)
    return _by_pairs(asked, kept.width, kept.height)


def _by_pairs(asked: Asked, width: int, height: int) -> LaidPicture:
    pm = asked.get("point_pm_ft")
    pm = POINT_PM_FT if pm is None else pm
    if isinstance(pm, bool) or not isinstance(pm, (int, float)) or not 0 < pm < MOST_PM_FT:
        raise BadInput("how good a pair is, is no length", fix="give feet, above 0")
    asked_fit = asked.get("fit")
    fit = next((one for one in get_args(Fit) if one == asked_fit), None)
    if fit is None and asked_fit is not None:
        raise BadInput("there is no such fit", fix="ask similarity or affine")
    pairs = asked.get("pairs")
    if not isinstance(pairs, list):
        raise BadInput(
            "there are no pairs", fix="click a place on the picture, then on the map"
        )
    return _lay_pairs(pairs, width, height, fit, float(pm))


def _lay(place_file: PlacedFile) -> LaidPicture:
    with placed(f"{PICTURES}/{place_file.name}", ""):
        return _lay_pairs(
            place_file.how.pairs,
            place_file.width,
            place_file.height,
            place_file.how.fit,
            place_file.how.point_pm_ft,
        )


def _lay_pairs(
    pairs: Sequence[Sequence[float]], width: int, height: int, fit: Fit | None, pm: float
) -> LaidPicture:
    return lay_picture(pairs, width, height, fit=fit, point_pm_ft=pm)


def _told(laid: LaidPicture) -> LaidTold:
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
        "wrong": laid.doubted, "said": laid.words(),
    }  # fmt: skip


def _under_map(folder: Path) -> str | None:
    chart = (plain_settings(folder) or {}).get("map")
    return str(chart["picture"]) if isinstance(chart, dict) and "picture" in chart else None
