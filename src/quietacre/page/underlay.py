"""A picture laid under the map: cut to the property, drawn again on the page's own grid."""

from __future__ import annotations

import base64
import io
from typing import TYPE_CHECKING, TypedDict

import numpy as np

from quietacre.errors import FileProblem

if TYPE_CHECKING:
    from quietacre.intake.picture import Picture

#: Longest side of what is embedded, and how finely it is packed.
MOST_PIXELS, QUALITY = 1400, 72
#: Room round the property, as a share of its size.
ROOM = 0.12
PAPER = (245, 240, 227)
#: The sphere of web maps. [m]
SPHERE_M = 6378137.0


class LaidUnder(TypedDict):
    """A picture under the map: a JPEG as a data address, and [[south, west], [north, east]] of it.

    The bounds are in degrees.
    """

    data: str
    bounds: list[list[float]]


def laid_under(picture: Picture, bounds: tuple[float, float, float, float]) -> LaidUnder:
    """Return a picture as the page embeds it.

    Parameters
    ----------
    picture : the picture and its place.
    bounds : west, south, east, north of the property. [deg]

    Rows run evenly in the Mercator projection the page draws in; each pixel takes the
    nearest of the picture.

    Raises
    ------
    FileProblem
        The picture and the property do not overlap.
    """
    from PIL import Image
    from pyproj import Transformer

    west, south, east, north = bounds
    room_x, room_y = (east - west) * ROOM, (north - south) * ROOM
    west, east, south, north = west - room_x, east + room_x, south - room_y, north + room_y
    left, right = np.radians([west, east]) * SPHERE_M
    bottom, top = (_mercator(lat) for lat in (south, north))
    step = max(right - left, top - bottom) / MOST_PIXELS
    columns = max(1, round((right - left) / step))
    rows = max(1, round((top - bottom) / step))
    x = left + (np.arange(columns) + 0.5) * (right - left) / columns
    y = top - (np.arange(rows) + 0.5) * (top - bottom) / rows
    lon = np.degrees(x / SPHERE_M)
    lat = np.degrees(2 * np.arctan(np.exp(y / SPHERE_M)) - np.pi / 2)
    move = Transformer.from_crs("EPSG:4326", picture.crs, always_xy=True)
    east_of, north_of = move.transform(*np.meshgrid(lon, lat))
    a, b, c, d, e, f = picture.affine
    size = a * e - b * d
    column = np.floor((e * (east_of - c) - b * (north_of - f)) / size)
    row = np.floor((a * (north_of - f) - d * (east_of - c)) / size)
    high, wide = picture.pixels.shape[:2]
    inside = (column >= 0) & (column < wide) & (row >= 0) & (row < high)
    if not inside.any():
        raise FileProblem(
            "does not lie where the property does",
            fix="check the picture and its picture_crs",
            source=picture.source,
        )
    out = np.empty((rows, columns, 3), dtype=np.uint8)
    out[:] = PAPER
    out[inside] = picture.pixels[row[inside].astype(int), column[inside].astype(int)]
    packed = io.BytesIO()
    Image.fromarray(out).save(packed, "JPEG", quality=QUALITY, optimize=True)
    data = base64.b64encode(packed.getvalue()).decode()
    return {
        "data": f"data:image/jpeg;base64,{data}",
        "bounds": [[south, west], [north, east]],
    }


def _mercator(lat: float) -> float:
    """Return the northing of a latitude on the sphere of web maps. [m]"""
    return float(np.log(np.tan(np.pi / 4 + np.radians(lat) / 2)) * SPHERE_M)
