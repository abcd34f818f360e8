"""Well-known binary and text, looked at before the geometry library reads them.

The library reads collections by recursion without a limit: a few hundred kilobytes of
nested ones end the whole process. Depth is measured here first, without recursion.
"""

from __future__ import annotations

import re
import struct
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.intake.limits import MAX_NESTING

if TYPE_CHECKING:
    from collections.abc import Sequence

POINT, LINE, POLYGON, MULTIPOLYGON, COLLECTION = 1, 2, 3, 6, 7
HEADER_BYTES = 5
#: Flags that EWKB sets in the type for Z, M and a reference system.
EWKB_Z, EWKB_M, EWKB_SRID = 0x80000000, 0x40000000, 0x20000000


class UnreadableShapeError(ValueError):
    """Well-known binary or text that is not read; the message says why."""


def shape_from_text(text: str) -> shapely.Geometry:
    """Return the geometry of well-known text.

    Raises
    ------
    UnreadableShapeError
        It nests too deep, or is not well-known text.
    """
    depth = 0
    for mark in re.finditer(r"[()]", text):
        depth += 1 if mark.group() == "(" else -1
        if depth > MAX_NESTING:
            raise UnreadableShapeError(f"nests deeper than {MAX_NESTING}")
    try:
        with np.errstate(invalid="ignore"):  # what is not a number is said by the caller
            return shapely.from_wkt(text)
    except (shapely.errors.GEOSException, ValueError, NotImplementedError) as problem:
        raise UnreadableShapeError("is not well-known text") from problem


def shapes_from_binary(blobs: Sequence[bytes]) -> np.ndarray:
    """Return geometries of well-known binary, shape (n,), an object array.

    Raises
    ------
    UnreadableShapeError
        One of them nests too deep, has curves, or is broken.
    """
    for blob in blobs:
        _look(blob)
    try:
        made: np.ndarray = shapely.from_wkb(np.array(blobs, dtype=object))
    except (
        shapely.errors.GEOSException,
        ValueError,
        TypeError,
        NotImplementedError,
    ) as problem:
        words = str(problem).partition(":")[2].strip() or str(problem)
        raise UnreadableShapeError(f"is not sound ({words})") from problem
    return made


def _kind(blob: bytes, at: int) -> tuple[str, int, int, int]:
    """Return byte order, type, ordinates and offset after the header at ``at``."""
    order = "<" if blob[at] == 1 else ">"
    (code,) = struct.unpack_from(f"{order}I", blob, at + 1)
    after = at + HEADER_BYTES + (4 if code & EWKB_SRID else 0)
    ordinates = 2 + bool(code & EWKB_Z) + bool(code & EWKB_M)
    code &= 0x0FFFFFFF
    ordinates += {0: 0, 1: 1, 2: 1, 3: 2}.get(code // 1000, 0)
    return order, code % 1000, ordinates, after


def _look(blob: bytes) -> None:
    """Raise unless the nesting and the types of a geometry can be read safely."""
    try:
        order, kind, _, after = _kind(blob, 0)
        if kind <= POLYGON:
            return
        if kind > COLLECTION:
            raise UnreadableShapeError(
                f"is of type {kind}, which has curves or surfaces that are not read"
            )
        (count,) = struct.unpack_from(f"{order}I", blob, after)
        if kind == MULTIPOLYGON and count == 1:  # by far the most common
            if _kind(blob, after + 4)[1] != POLYGON:
                raise UnreadableShapeError("is not sound (a part of the wrong type)")
            return
        _walk(blob)
    except (struct.error, IndexError) as problem:
        raise UnreadableShapeError("is cut off") from problem


def _walk(blob: bytes) -> None:
    """Step through every part of a multi-geometry, keeping count of the depth."""
    at, left = 0, [1]
    while left:
        if not left[-1]:
            left.pop()
            continue
        left[-1] -= 1
        order, kind, ordinates, at = _kind(blob, at)
        size = 8 * ordinates
        if kind == POINT:
            at += size
            continue
        (count,) = struct.unpack_from(f"{order}I", blob, at)
        at += 4
        if kind == LINE:
            at += size * count
        elif kind == POLYGON:
            for _ in range(count):
                (points,) = struct.unpack_from(f"{order}I", blob, at)
                at += 4 + size * points
        elif kind <= COLLECTION:
            left.append(count)
            if len(left) > MAX_NESTING:
                raise UnreadableShapeError(f"nests deeper than {MAX_NESTING}")
        else:
            raise UnreadableShapeError(f"holds a part of type {kind}, which is not read")
