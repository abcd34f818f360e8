"""The sample's picture from above: an invented GeoTIFF, the same to the byte everywhere.

Written without a library, uncompressed, so that no packer's version changes it.
"""

from __future__ import annotations

import random
import struct
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

Ring = list[tuple[float, float]]
RGB = tuple[int, int, int]

#: Feet of ground under one pixel.
PIXEL_FT = 16.0
SHADES = 6
#: Darkest and palest tone of each cover.
TONES: dict[str, tuple[RGB, RGB]] = {
    "woods": ((168, 182, 150), (206, 214, 186)),
    "open": ((214, 208, 172), (234, 228, 198)),
    "pines": ((150, 170, 144), (184, 198, 172)),
    "water": ((172, 194, 200), (190, 208, 212)),
    "bare": ((222, 212, 192), (236, 228, 212)),
}
COVERS = tuple(TONES)


def picture_tif(
    covers: Sequence[tuple[str, Ring]],
    reach_ft: tuple[float, float, float, float],
    lonlat: Callable[[float, float], tuple[float, float]],
) -> bytes:
    """Return a GeoTIFF of the covers, later ones over earlier ones, woods elsewhere.

    Parameters
    ----------
    covers : name of a cover and its outline. [ft]
    reach_ft : west, south, east, north. [ft]
    lonlat : feet to longitude and latitude. [deg]
    """
    west, south, east, north = reach_ft
    x = np.arange(west, east, PIXEL_FT) + PIXEL_FT / 2
    y = np.arange(north, south, -PIXEL_FT) - PIXEL_FT / 2
    shade = _mottle(len(y), len(x))
    cover = np.zeros(shade.shape, dtype=np.int64)
    for name, ring in covers:
        cover[_inside(ring, x, y)] = COVERS.index(name)
    pixels = (cover * SHADES + shade).astype(np.uint8)
    lon, lat = lonlat(west, north)
    far_lon, far_lat = lonlat(west + PIXEL_FT * len(x), north - PIXEL_FT * len(y))
    step = ((far_lon - lon) / len(x), (lat - far_lat) / len(y))
    return _tiff(pixels, (lon, lat), step)


def _mottle(rows: int, columns: int) -> np.ndarray:
    """Return shades 0 to SHADES - 1 in soft patches, shape (rows, columns)."""
    rng = random.Random(2027)  # noqa: S311 - invented ground, not a secret
    total = np.zeros((rows, columns))
    for cells, weight in ((9, 0.5), (24, 0.3), (70, 0.2)):
        knots = np.array(
            [[rng.random() for _ in range(cells + 2)] for _ in range(cells + 2)]
        )
        r, c = np.linspace(0, cells, rows), np.linspace(0, cells, columns)
        r0, c0 = r.astype(int), c.astype(int)
        fr, fc = (r - r0)[:, None], (c - c0)[None, :]
        top = knots[r0][:, c0] * (1 - fc) + knots[r0][:, c0 + 1] * fc
        low = knots[r0 + 1][:, c0] * (1 - fc) + knots[r0 + 1][:, c0 + 1] * fc
        total += weight * (top * (1 - fr) + low * fr)
    shades: np.ndarray = np.clip(((total - 0.25) * 2 * SHADES).astype(int), 0, SHADES - 1)
    return shades


def _inside(ring: Ring, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return which pixels lie inside a ring (crossings to the left are odd)."""
    odd = np.zeros((len(y), len(x)), dtype=bool)
    for (x0, y0), (x1, y1) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if y0 == y1:
            continue
        rows = (y > min(y0, y1)) & (y <= max(y0, y1))
        cross = x0 + (y - y0) * (x1 - x0) / (y1 - y0)
        odd ^= rows[:, None] & (x[None, :] > cross[:, None])
    return odd


def _palette() -> list[int]:
    """Return red, then green, then blue of 256 palette entries, 16 bits each."""
    colors: list[RGB] = []
    for dark, pale in TONES.values():
        for step in range(SHADES):
            red, green, blue = (
                d + (p - d) * step // (SHADES - 1) for d, p in zip(dark, pale, strict=True)
            )
            colors.append((red, green, blue))
    colors += [(0, 0, 0)] * (256 - len(colors))
    return [color[band] * 257 for band in range(3) for color in colors]


def _tiff(
    pixels: np.ndarray, corner: tuple[float, float], step: tuple[float, float]
) -> bytes:
    """Return an uncompressed palette GeoTIFF in longitude and latitude.

    "TIFF Revision 6.0", Adobe, 1992; "OGC GeoTIFF Standard" 1.1, OGC 19-008r4, 2019.
    """
    rows, columns = pixels.shape
    keys = [1, 1, 0, 3, 1024, 0, 1, 2, 1025, 0, 1, 1, 2048, 0, 1, 4326]
    entries: list[tuple[int, str, list[float]]] = [
        (256, "I", [columns]), (257, "I", [rows]), (258, "H", [8]), (259, "H", [1]),
        (262, "H", [3]), (273, "I", [8]), (277, "H", [1]), (278, "I", [rows]),
        (279, "I", [rows * columns]), (320, "H", [*map(float, _palette())]),
        (33550, "d", [step[0], step[1], 0.0]),
        (33922, "d", [0.0, 0.0, 0.0, corner[0], corner[1], 0.0]),
        (34735, "H", [*map(float, keys)]),
    ]  # fmt: skip
    kinds = {"H": 3, "I": 4, "d": 12}
    body = pixels.tobytes() + (b"\x00" if rows * columns % 2 else b"")
    at = 8 + len(body)
    directory, more = struct.pack("<H", len(entries)), b""
    start = at + 2 + 12 * len(entries) + 4
    for tag, kind, values in entries:
        whole = [v if kind == "d" else int(v) for v in values]
        packed = struct.pack(f"<{len(whole)}{kind}", *whole)
        place = packed.ljust(4, b"\x00")
        if len(packed) > 4:  # noqa: PLR2004 - what fits into an entry
            place = struct.pack("<I", start + len(more))
            more += packed
        directory += struct.pack("<HHI", tag, kinds[kind], len(whole)) + place
    directory += struct.pack("<I", 0)
    return struct.pack("<2sHI", b"II", 42, at) + body + directory + more
