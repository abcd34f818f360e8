"""A picture of the ground with its place on Earth: GeoTIFF, or an image with a world file.

A decoder that meets damaged bytes may raise anything, so whatever Pillow raises is taken
for a damaged file.

References
----------
"OGC GeoTIFF Standard" 1.1, OGC 19-008r4, 2019: tags 33550, 33922 and 34264, keys 1025,
2048 and 3072. A world file gives the middle of the first pixel; common practice, no source.
"""

from __future__ import annotations

import contextlib
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.limits import check_file, read_text
from quietacre.library_output import STDERR, silenced

if TYPE_CHECKING:
    from pathlib import Path

    from PIL.Image import Image as PillowImage
    from pyproj import CRS

FORMATS = {".tif": "TIFF", ".tiff": "TIFF", ".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG"}
MAX_PICTURE_BYTES = 400_000_000
MAX_PIXELS = 120_000_000
PIXEL_SCALE, TIEPOINTS, TRANSFORMATION, GEO_KEYS = 33550, 33922, 34264, 34735
RASTER_TYPE, GEOGRAPHIC, PROJECTED = 1025, 2048, 3072
PIXEL_IS_POINT, USER_DEFINED = 2, 32767
LONG_PRJ = 20_000

Affine = tuple[float, float, float, float, float, float]


@dataclass(frozen=True)
class Picture:
    """A picture and where it lies.

    ``pixels`` has shape (rows, columns, 3), uint8. ``affine`` is (a, b, c, d, e, f):
    the corner of column i, row j lies at x = a i + b j + c, y = d i + e j + f of ``crs``.
    """

    source: str
    pixels: np.ndarray
    affine: Affine
    crs: CRS


@timed
def read_picture(path: Path, *, shown: str, crs: str | None = None) -> Picture:
    """Return a picture with its place.

    Parameters
    ----------
    path : GeoTIFF (.tif), or .png, .jpg or .tif with a world file beside it.
    shown : how to name it in messages.
    crs : its reference system, for when the file does not say; "EPSG:26916" or so.

    Raises
    ------
    FileProblem
        It is not such a picture, is too large, or does not say where it lies.
    """
    extension = path.suffix.lower()
    if extension not in FORMATS:
        raise FileProblem(
            f"pictures ending in “{extension or 'nothing'}” are not read",
            fix="save it as GeoTIFF, or as PNG or JPEG with a world file",
            source=shown,
        )
    check_file(path, shown, MAX_PICTURE_BYTES)
    image = _open(path, FORMATS[extension], shown)
    with image:
        tags = _tags(image, shown)
        place = _from_tags(tags, shown) or _from_world_file(path, shown)
        if place is None:
            raise FileProblem(
                "does not say where it lies",
                fix="export it as GeoTIFF, or put its world file beside it",
                source=shown,
            )
        system = _system(tags, path, crs, place, image.size, shown)
        pixels = _pixels(image, shown)
    a, b, _, d, e, _ = place
    if abs(a * e - b * d) < 1e-30:  # noqa: PLR2004 - no area
        raise FileProblem("has pixels without size", fix="export it again", source=shown)
    return Picture(shown, pixels, place, system)


def picture_size(path: Path, shown: str) -> tuple[int, int]:
    """Return a picture's pixels across and down, without decoding it.

    Raises
    ------
    FileProblem
        It is no picture of a kind that is read, or is too large.
    """
    with _open(path, FORMATS[path.suffix.lower()], shown) as image:
        return image.size


def _open(path: Path, kind: str, shown: str) -> PillowImage:
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # its own limit is set just below
            with silenced(STDERR):
                image = Image.open(path, formats=[kind])
    except Image.DecompressionBombError as problem:
        raise _too_large(shown) from problem
    except Exception as problem:
        raise FileProblem(
            f"is not a {kind} picture", fix="export it again", source=shown
        ) from problem
    if image.width * image.height > MAX_PIXELS:
        image.close()
        raise _too_large(shown)
    return image


def _too_large(shown: str) -> FileProblem:
    return FileProblem(
        f"has more than {MAX_PIXELS / 1e6:.0f} million pixels",
        fix="cut it to the property, or export it coarser",
        source=shown,
    )


def _pixels(image: PillowImage, shown: str) -> np.ndarray:
    try:
        with silenced(STDERR):  # libtiff tells the terminal of each damaged line
            return _rgb(image, shown)
    except FileProblem:
        raise
    except Exception as problem:
        raise FileProblem(
            "cannot be read whole", fix="export it again", source=shown
        ) from problem


def _tags(image: PillowImage, shown: str) -> dict[int, Any]:
    """Return the tags of a TIFF, none for other pictures."""
    try:
        with silenced(STDERR):
            return dict(getattr(image, "tag_v2", {}) or {})
    except Exception as problem:
        raise FileProblem(
            "its tags are broken", fix="export it again", source=shown
        ) from problem


def _rgb(image: PillowImage, shown: str) -> np.ndarray:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # odd metadata is no reason to stop
        if image.mode in ("I;16", "I;16B", "I", "F"):
            raise FileProblem(
                "is not a picture of eight bits a color",
                fix="export it as an ordinary RGB picture",
                source=shown,
            )
        if "A" in image.mode or "transparency" in image.info:
            from PIL import Image

            plain = Image.new("RGBA", image.size, (245, 240, 227, 255))
            plain.alpha_composite(image.convert("RGBA"))
            image = plain
        return np.asarray(image.convert("RGB"))


def _from_tags(tags: dict[int, Any], shown: str) -> Affine | None:
    """Return the affine of a GeoTIFF's tags, None without them."""
    try:
        place = _affine_of_tags(tags)
    except (TypeError, ValueError, IndexError) as problem:
        raise FileProblem(
            "its GeoTIFF tags are broken", fix="export it again", source=shown
        ) from problem
    if place is not None and not np.isfinite(place).all():
        raise FileProblem(
            "its GeoTIFF tags are broken", fix="export it again", source=shown
        )
    return place


def _affine_of_tags(tags: dict[int, Any]) -> Affine | None:
    if TRANSFORMATION in tags:
        m = [float(v) for v in tags[TRANSFORMATION]]
        place = (m[0], m[1], m[3], m[4], m[5], m[7])
    elif PIXEL_SCALE in tags and TIEPOINTS in tags:
        wide, high = (float(v) for v in tags[PIXEL_SCALE][:2])
        i, j, _, x, y = (float(v) for v in tags[TIEPOINTS][:5])
        place = (wide, 0.0, x - i * wide, 0.0, -high, y + j * high)
    else:
        return None
    if _keys(tags).get(RASTER_TYPE) == PIXEL_IS_POINT:
        return _half_pixel_back(place)
    return place


def _half_pixel_back(place: Affine) -> Affine:
    a, b, c, d, e, f = place
    return (a, b, c - (a + b) / 2, d, e, f - (d + e) / 2)


def _keys(tags: dict[int, Any]) -> dict[int, int]:
    """Return the GeoTIFF keys that hold a plain number."""
    raw = [int(v) for v in tags.get(GEO_KEYS, ())]
    return {raw[i]: raw[i + 3] for i in range(4, len(raw) - 3, 4) if raw[i + 1] == 0}


def _beside(path: Path, *endings: str) -> Path | None:
    for ending in endings:
        for name in (ending, ending.upper()):
            neighbor = path.with_suffix(name)
            if neighbor.is_file():
                return neighbor
    return None


def _from_world_file(path: Path, shown: str) -> Affine | None:
    end = path.suffix.lower()
    world = _beside(path, f".{end[1]}{end[-1]}w", f"{end}w", ".wld")
    if world is None:
        return None
    name = f"{shown}: {world.name}"
    words = read_text(world, name, 10_000).replace(",", ".").split()
    try:
        a, d, b, e, c, f = (float(word) for word in words)
        finite = bool(np.isfinite([a, b, c, d, e, f]).all())
    except ValueError:
        finite = False
    if not finite:
        raise FileProblem(
            "a world file is six numbers, a line each", fix="export it again", source=name
        )
    return _half_pixel_back((a, b, c, d, e, f))


def _system(
    tags: dict[int, Any],
    path: Path,
    given: str | None,
    place: Affine,
    size: tuple[int, int],
    shown: str,
) -> CRS:
    """Return the picture's reference system: as told, as tagged, beside it, or degrees."""
    from pyproj import CRS
    from pyproj.exceptions import CRSError

    keys = _keys(tags)
    code = keys.get(PROJECTED) or keys.get(GEOGRAPHIC)
    wanted: str | int | None = given
    if wanted is None and code and code != USER_DEFINED:
        wanted = code
    neighbor = None if wanted is not None else _beside(path, ".prj")
    if wanted is not None or neighbor is not None:
        with contextlib.suppress(CRSError):
            if neighbor is None:
                return CRS.from_user_input(wanted)
            # well-known text only: a link or a name is no reference system
            text = read_text(neighbor, f"{shown}: {neighbor.name}", LONG_PRJ)
            return CRS.from_wkt(text.strip())
        raise FileProblem(
            "its reference system is not known",
            fix='say which with picture_crs = "EPSG:…" under [map]',
            source=shown,
        )
    a, b, c, d, e, f = place
    x = [c, c + a * size[0] + b * size[1]]
    y = [f, f + d * size[0] + e * size[1]]
    if max(map(abs, x)) <= 360.0 and max(map(abs, y)) <= 90.0:  # noqa: PLR2004 - degrees
        return CRS.from_epsg(4326)
    raise FileProblem(
        "does not say its reference system",
        fix='say which with picture_crs = "EPSG:…" under [map]',
        source=shown,
    )
