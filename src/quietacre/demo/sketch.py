"""The sample's piece of ground that was drawn on a picture placed by points, and the picture.

The picture is an invented sketch on paper, written without a library and not packed, so that it is
the same to the byte everywhere. It lies a little askew. Four marks on it were found again on the
ground by a phone; the knoll's edge was then drawn on it, dot by dot.
"""

from __future__ import annotations

import itertools
import json
import math
import struct
import zlib
from typing import TYPE_CHECKING

import numpy as np

from quietacre.demo.formats import INVENTED, geojson_of
from quietacre.demo.ground import lonlat

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from quietacre.demo.ground import Ring

#: Columns and rows; feet of ground under a pixel; how far it is turned; what its middle shows.
WIDE, TALL = 480, 400
FEET_PX = 1.9
TURN_DEG = 4.0
MIDDLE_FT = (-1640.0, 1360.0)
INK_PX = 1.2
#: Two stones of the property line, two old pear trees: each with the phone's own error there. [ft]
MARKS: list[tuple[tuple[float, float], tuple[float, float]]] = [
    ((-1980.0, 1660.0), (3.0, -2.0)),
    ((-1300.0, 1667.4), (-2.5, 3.5)),
    ((-1500.0, 1060.0), (1.5, 4.0)),
    ((-1688.0, 1082.0), (-3.0, -3.0)),
]
#: The knoll as it is.
KNOLL: Ring = [
    (-1804, 1302), (-1716, 1256), (-1598, 1270), (-1522, 1342),
    (-1538, 1462), (-1634, 1528), (-1748, 1508), (-1822, 1414),
]  # fmt: skip
#: How far off the hand that drew its edge was at each corner. [pixels]
HAND_PX = ((1, 0), (-1, 1), (0, -1), (1, 1), (-1, 0), (0, 1), (1, -1), (-1, -1))
#: How good a place found by the phone is, 95 %. [ft]
POINT_PM_FT = 12.0
#: What was drawn, as the placed picture has it. [deg]
DRAWN: Ring = [
    (-87.6229726, 34.2175801), (-87.6226962, 34.2174455), (-87.6222978, 34.2174962),
    (-87.6220439, 34.2176845), (-87.6221117, 34.2180202), (-87.6224231, 34.2181945),
    (-87.6227907, 34.2181509), (-87.6230506, 34.2178891),
]  # fmt: skip
#: The picture's world file.
WORLD = """0.5770020826
0.0393083407
0.0393083407
-0.5770020826
442519.7286155387
3786579.6543621840
"""
NAME = "knoll-sketch"


def sketch_files() -> dict[str, bytes]:
    """Return the picture, its pairs, its world file and the edge drawn on it, by path."""
    png = f"pictures/{NAME}.png"
    pairs = {"pairs": pairs_of(), "fit": None, "point_pm_ft": POINT_PM_FT}
    texts = {
        png + ".placed.json": json.dumps(pairs, indent=1) + "\n",
        f"pictures/{NAME}.pgw": WORLD,
        "drawn/sumac-knoll.geojson": geojson_of([("Sumac knoll", "native", DRAWN)]),
    }
    return {png: _png(_inked())} | {path: text.encode() for path, text in texts.items()}


def pairs_of() -> list[list[float]]:
    """Return column and row of each mark, and longitude and latitude of where it was found."""
    rows = []
    for (x, y), (east, north) in MARKS:
        column, row = pixel_of(x, y)
        lon, lat = lonlat(x + east, y + north)
        rows.append([round(column), round(row), round(lon, 7), round(lat, 7)])
    return rows


def drawn_px() -> Ring:
    """Return columns and rows of the edge's corners as they were clicked."""
    return [
        (round(column) + east, round(row) + south)
        for (column, row), (east, south) in zip(
            [pixel_of(x, y) for x, y in KNOLL], HAND_PX, strict=True
        )
    ]


def pixel_of(x_ft: float, y_ft: float) -> tuple[float, float]:
    """Return column and row of a place, as the sketch shows it."""
    east, north = x_ft - MIDDLE_FT[0], y_ft - MIDDLE_FT[1]
    cos, sin = math.cos(math.radians(TURN_DEG)), math.sin(math.radians(TURN_DEG))
    return (
        WIDE / 2 + (cos * east + sin * north) / FEET_PX,
        TALL / 2 + (sin * east - cos * north) / FEET_PX,
    )


def _inked() -> NDArray[np.bool_]:
    """Return which pixels the pencil touched, shape (rows, columns)."""
    strokes = [
        _line((-1990.0, 1180.0), MARKS[0][0]),
        _line(MARKS[0][0], (-1200.0, 1668.5)),
    ]
    knoll = [pixel_of(x, y) for x, y in KNOLL]
    strokes += list(itertools.pairwise([*knoll, knoll[0]]))
    for (x, y), _ in MARKS:  # a cross at each mark
        column, row = pixel_of(x, y)
        strokes += [
            ((column - 6, row), (column + 6, row)),
            ((column, row - 6), (column, row + 6)),
        ]
    strokes += [((30, TALL - 24), (30 + 200 / FEET_PX, TALL - 24))]  # a bar of 200 ft
    column, row = np.meshgrid(np.arange(WIDE) + 0.5, np.arange(TALL) + 0.5)
    ink = np.zeros((TALL, WIDE), dtype=bool)
    for (x0, y0), (x1, y1) in strokes:
        long = max(math.hypot(x1 - x0, y1 - y0), 1e-9)
        along = ((column - x0) * (x1 - x0) + (row - y0) * (y1 - y0)) / long**2
        along = np.clip(along, 0.0, 1.0)
        off = np.hypot(column - x0 - along * (x1 - x0), row - y0 - along * (y1 - y0))
        ink |= off < INK_PX
    return ink


def _line(
    start_ft: tuple[float, float], end_ft: tuple[float, float]
) -> tuple[tuple[float, float], tuple[float, float]]:
    return pixel_of(*start_ft), pixel_of(*end_ft)


def _png(ink: NDArray[np.bool_]) -> bytes:
    """Return black on white, a bit a pixel, not packed.

    "Portable Network Graphics (PNG) Specification", second edition, World Wide Web Consortium, 2003.
    """
    rows = np.packbits(~ink, axis=1)
    plain = b"".join(b"\x00" + row.tobytes() for row in rows)
    stored = bytearray(b"\x78\x01")
    for at in range(0, len(plain), 65_535):
        part = plain[at : at + 65_535]
        last = at + len(part) == len(plain)
        stored += struct.pack("<BHH", last, len(part), 65_535 - len(part)) + part
    stored += struct.pack(">I", zlib.adler32(plain))
    head = struct.pack(">IIBBBBB", ink.shape[1], ink.shape[0], 1, 0, 0, 0, 0)
    chunks = (
        (b"IHDR", head),
        (b"tEXt", b"Comment\x00" + INVENTED.encode("latin-1")),
        (b"IDAT", bytes(stored)),
        (b"IEND", b""),
    )
    body = b"".join(
        struct.pack(">I", len(data))
        + kind
        + data
        + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in chunks
    )
    return b"\x89PNG\r\n\x1a\n" + body
