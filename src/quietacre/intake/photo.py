"""Photographs: what a JPEG says of its day and place, and its bare pixels.

A decoder that meets damaged bytes may raise anything, so whatever Pillow raises is taken
for damage: of the picture, which is refused, or of what it says of itself, which is left out.

References
----------
"Exchangeable image file format for digital still cameras: Exif", CIPA DC-008: tags 36867,
36868, 34853 and 1, 2, 3, 4, 29, 31 of it (from memory).
"""

from __future__ import annotations

import datetime as dt
import io
import math
import re
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.limits import check_file
from quietacre.library_output import STDERR, silenced
from quietacre.model import Note

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image as PillowImage

MAX_PHOTO_BYTES = 60_000_000
MAX_PHOTO_PIXELS = 250_000_000
#: Where the camera does not say how far off its place may be. Assumption. [m]
USUAL_ERROR_M = 10.0
#: A camera that gives a worse place than this gives none. Ours. [m]
MOST_ERROR_M = 1000.0
EXIF, GPS = 0x8769, 0x8825
TAKEN = (36867, 36868)
LAT_REF, LAT, LON_REF, LON, GPS_DAY, GPS_ERROR = 1, 2, 3, 4, 29, 31
DAY = re.compile(r"\s*(\d{4})[:/.-](\d{2})[:/.-](\d{2})(?!\d)")

JPEG = b"\xff\xd8\xff"
AS_JPEG = "open it in any picture viewer and export it as JPEG"
CAMERA_SETTING = (
    "set the phone's camera to save JPEG (its settings, formats, the most compatible one), "
    "or " + AS_JPEG
)
#: First bytes of other kinds, from a place on; what the kind is called, and what to do.
OTHER_KINDS = (
    (4, b"ftyphei", "an HEIC picture", CAMERA_SETTING),
    (4, b"ftyphev", "an HEIC picture", CAMERA_SETTING),
    (4, b"ftypmif", "an HEIF picture", CAMERA_SETTING),
    (4, b"ftypmsf", "an HEIF picture", CAMERA_SETTING),
    (4, b"ftypavi", "an AVIF picture", CAMERA_SETTING),
    (4, b"ftypcr", "a camera's raw picture", "export it as JPEG from the camera's program"),
    (4, b"ftyp", "a film", "pause it on the picture you want and save that as JPEG"),
    (0, b"\x89PNG", "a PNG picture", AS_JPEG),
    (8, b"WEBP", "a WebP picture", AS_JPEG),
    (8, b"AVI ", "a film", "pause it on the picture you want and save that as JPEG"),
    (0, b"GIF8", "a GIF picture", AS_JPEG),
    (0, b"BM", "a BMP picture", AS_JPEG),
    (0, b"II*\x00", "a TIFF or a camera's raw picture", AS_JPEG),
    (0, b"MM\x00*", "a TIFF or a camera's raw picture", AS_JPEG),
    (0, b"%PDF", "a PDF", "export the picture in it as JPEG"),
)


@dataclass(frozen=True)
class Photo:
    """A photograph as it lies on the disk, and what it says of itself.

    ``taken`` is the day by the camera's own clock; ``gps_day`` the day by the satellites'
    clock, in universal time. ``lon``, ``lat`` [deg] and ``error_m`` [m] are its place.
    Each is None where it says none that can be.
    """

    source: str
    data: bytes
    taken: dt.date | None
    gps_day: dt.date | None
    lon: float | None
    lat: float | None
    error_m: float | None
    notes: tuple[Note, ...] = ()


@timed
def read_photo(path: Path, *, shown: str | None = None) -> Photo:
    """Return a photograph with its day and place; of the picture itself nothing is kept.

    Raises
    ------
    FileProblem
        It is no JPEG, too large, or not to be opened; the message says what makes a JPEG.
    """
    shown = shown or str(path)
    check_file(path, shown, MAX_PHOTO_BYTES)
    data = path.read_bytes()
    image = _opened(data, shown)
    notes = []
    with image:
        exif, gps = _tags(image, EXIF), _tags(image, GPS)
        if exif is None or gps is None:
            notes.append(_note("exif-broken", f"{shown}: what it says of its day and place is "
                               "damaged, and is not used", shown))  # fmt: skip
        if not _decodes(image):
            notes.append(_note("photo-cut-short", f"{shown}: the picture is damaged or cut "
                               "short; copy it from the camera again if you can", shown))  # fmt: skip
    place = _place(gps or {})
    if place is None and any(tag in (gps or {}) for tag in (LAT, LON)):
        notes.append(_note("photo-no-place", f"{shown}: its place is none that can be, and is "
                           "not used", shown))  # fmt: skip
    lon, lat, error_m = place or (None, None, None)
    days = (_day((exif or {}).get(tag)) for tag in TAKEN)
    return Photo(
        shown, data, next((day for day in days if day is not None), None),
        _day((gps or {}).get(GPS_DAY)), lon, lat, error_m, tuple(notes),
    )  # fmt: skip


def small_pixels(data: bytes, most_px: int, *, shown: str) -> NDArray[np.uint8]:
    """Return the bare pixels of a JPEG, upright and made small.

    Parameters
    ----------
    data : the bytes of the JPEG.
    most_px : longest side at most. [pixels]
    shown : how to name it in messages.

    Returns
    -------
    array, shape (rows, columns, 3), uint8; nothing else of the file.

    Raises
    ------
    FileProblem
        It cannot be read whole.
    """
    import numpy as np
    from PIL import ImageOps

    image = _opened(data, shown)
    try:
        with warnings.catch_warnings(), silenced(STDERR), image:
            warnings.simplefilter("ignore")
            image.draft("RGB", (most_px, most_px))
            image.load()
            try:
                upright = ImageOps.exif_transpose(image) or image
            except Exception:  # noqa: BLE001 - damaged tags: it stays as it lies
                upright = image
            plain = upright.convert("RGB")
            plain.thumbnail((most_px, most_px))
            return np.array(plain, dtype=np.uint8)
    except Exception as problem:
        raise _broken(shown) from problem


def _opened(data: bytes, shown: str) -> PillowImage:
    from PIL import Image

    if not data.startswith(JPEG):
        raise _another_kind(data, shown)
    try:
        with warnings.catch_warnings(), silenced(STDERR):
            warnings.simplefilter("ignore")  # its own limit is set just below
            image = Image.open(io.BytesIO(data), formats=["JPEG"])
    except Image.DecompressionBombError as problem:
        raise _too_large(shown) from problem
    except Exception as problem:
        raise _broken(shown) from problem
    if image.width * image.height > MAX_PHOTO_PIXELS:
        image.close()
        raise _too_large(shown)
    return image


def _another_kind(data: bytes, shown: str) -> FileProblem:
    for at, first, called, fix in OTHER_KINDS:
        if data[at : at + len(first)] == first:
            return FileProblem(
                f"is {called}; photographs are kept as JPEG", fix=fix, source=shown
            )
    return FileProblem("is no JPEG picture", fix=AS_JPEG, source=shown)


def _broken(shown: str) -> FileProblem:
    return FileProblem(
        "is a damaged JPEG",
        fix="copy it from the camera again, or " + AS_JPEG,
        source=shown,
    )


def _too_large(shown: str) -> FileProblem:
    return FileProblem(
        f"has more than {MAX_PHOTO_PIXELS / 1e6:.0f} million pixels",
        fix="export it smaller",
        source=shown,
    )


def _note(code: str, text: str, shown: str) -> Note:
    return Note(code, text + ".", "caution", shown)


def _tags(image: PillowImage, directory: int) -> Mapping[int, Any] | None:
    """Return the tags of a directory of the Exif data, None when it is damaged."""
    try:
        with warnings.catch_warnings(), silenced(STDERR):
            warnings.simplefilter("ignore")
            tags = image.getexif()
            if image.info.get("exif") and not tags:
                return None  # Pillow reads what it cannot make out as nothing
            return dict(tags.get_ifd(directory))
    except Exception:  # noqa: BLE001 - any damage
        return None


def _decodes(image: PillowImage) -> bool:
    """Return whether the whole picture is there; it is looked at in small."""
    try:
        with warnings.catch_warnings(), silenced(STDERR):
            warnings.simplefilter("ignore")
            image.draft("RGB", (1, 1))
            image.load()
    except Exception:  # noqa: BLE001 - any damage
        return False
    return True


def _words(value: object) -> str:
    if isinstance(value, bytes):
        value = value.decode("ascii", "replace")
    return value.strip("\x00 \t") if isinstance(value, str) else ""


def _day(value: object) -> dt.date | None:
    """Return the day that a tag begins with, None for none that can be."""
    match = DAY.match(_words(value))
    if match is None:
        return None
    try:
        return dt.date(*(int(part) for part in match.groups()))
    except ValueError:  # a camera whose clock was never set writes zeros
        return None


def _number(value: object) -> float:
    """Return a tag's number; nan for none, as where a fraction is over zero."""
    try:
        return float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return math.nan


def _place(gps: Mapping[int, Any]) -> tuple[float, float, float] | None:
    """Return longitude and latitude [deg] and their error [m], None for no place."""
    lat = _degrees(gps.get(LAT), gps.get(LAT_REF), "NS", 90.0)
    lon = _degrees(gps.get(LON), gps.get(LON_REF), "EW", 180.0)
    if (
        lat is None or lon is None or (lat == 0.0 and lon == 0.0)
    ):  # a receiver without a fix
        return None
    error_m = _number(gps.get(GPS_ERROR))
    if not math.isfinite(error_m) or error_m <= 0.0:
        return lon, lat, USUAL_ERROR_M
    return (lon, lat, error_m) if error_m <= MOST_ERROR_M else None


def _degrees(parts: object, side: object, sides: str, most: float) -> float | None:
    """Return signed degrees of degrees, minutes and seconds, None for none that can be."""
    if not isinstance(parts, (tuple, list)) or len(parts) != 3:  # noqa: PLR2004
        return None
    degrees, minutes, seconds = (_number(part) for part in parts)
    letter = _words(side)[:1].upper()
    value = degrees + minutes / 60.0 + seconds / 3600.0
    whole = degrees >= 0.0 and 0.0 <= minutes <= 60.0 and 0.0 <= seconds <= 60.0  # noqa: PLR2004
    if (
        not math.isfinite(value)
        or not whole
        or value > most
        or letter not in sides
        or not letter
    ):
        return None
    return -value if letter == sides[1] else value
