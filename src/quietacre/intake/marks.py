"""marks.geojson: gates, stands, feeders, trees and water marked on a place, and taped lines.

A point is a mark, a line one that was taped. Each feature has ``kind`` and ``name``; what
other programs put beside these stays when a mark is changed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.errors import FileProblem
from quietacre.intake.features import features_of, json_in, no_features
from quietacre.intake.limits import decode
from quietacre.model import MARK_KINDS, MARKS, TAPE, Mark
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

MOST_MARKS = 20_000
MOST_LETTERS = 200
WIDEST_LAT, WIDEST_LON = 90.0, 540.0


def features_in(data: bytes) -> list[dict[str, object]]:
    """Return the features of the file as they stand.

    Raises
    ------
    FileProblem
        It is not such a file.
    """
    whole = json_in(decode(data, MARKS), MARKS, fix="mend it, or take it away")
    features = features_of(whole, MARKS)
    if not all(isinstance(one, dict) for one in features):
        raise no_features(MARKS)
    if len(features) > MOST_MARKS:
        raise FileProblem(
            f"holds more than {MOST_MARKS:,} marks", fix="split the file", source=MARKS
        )
    return features


def marks_in(data: bytes) -> tuple[Mark, ...]:
    """Return the marks of the file's bytes.

    Raises
    ------
    FileProblem
        It is not such a file, or a feature of it is no mark.
    """
    return tuple(mark_of(one, number) for number, one in enumerate(features_in(data), 1))


def mark_of(feature: Mapping[str, object], number: int) -> Mark:
    """Return one feature as a mark; ``number`` counts from 1."""
    properties = feature.get("properties")
    properties = properties if isinstance(properties, dict) else {}
    name = str(properties.get("name") or "")[:MOST_LETTERS]
    where = f"feature {number}" + (f" “{name}”" if name else "")
    shape = feature.get("geometry")
    shape = shape if isinstance(shape, dict) else {}
    points = shape.get("coordinates")
    if shape.get("type") == "Point":
        points = [points]
    elif shape.get("type") != "LineString":
        raise FileProblem(
            "is no point and no line", fix="mark it with a point", source=MARKS, where=where
        )
    at = _places(points, where)
    kind = str(properties.get("kind") or (TAPE if len(at) > 1 else "mark"))
    if kind not in MARK_KINDS or (kind == TAPE) != (len(at) > 1):
        raise FileProblem(
            f"“{kind[:40]}” is no kind of mark" if kind not in MARK_KINDS
            else "a line is taped, and a point is not",
            fix=f"write {', '.join(MARK_KINDS)}", source=MARKS, where=where,
        )  # fmt: skip
    key = str(feature.get("id") or f"n{number}")[:MOST_LETTERS]
    return Mark(
        key, kind, name, at, str(properties.get("note") or "")[:MOST_LETTERS], length_ft(at)
    )


def length_ft(at: Sequence[tuple[float, float]]) -> float:
    """Return how long a line is on the ground, 0 for a point. [ft]"""
    if len(at) < 2:  # noqa: PLR2004 - a line has two ends
        return 0.0
    from pyproj import Geod

    lon, lat = np.array(at).T
    return float(Geod(ellps="WGS84").line_length(lon, lat)) / FT_M


def shape_of(mark: Mark) -> shapely.Geometry:
    """Return where a mark lies, in longitude, latitude. [deg]"""
    return shapely.Point(mark.at[0]) if len(mark.at) == 1 else shapely.LineString(mark.at)


def _places(points: Any, where: str) -> tuple[tuple[float, float], ...]:  # noqa: ANN401
    try:
        xy = np.array([point[:2] for point in points], dtype=float)
    except (TypeError, ValueError, IndexError):
        xy = np.zeros(0)
    if xy.ndim != 2 or xy.shape[1:] != (2,) or not len(xy) or not np.isfinite(xy).all():  # noqa: PLR2004 - lon, lat
        raise FileProblem(
            "has no place", fix="give longitude and latitude", source=MARKS, where=where
        )
    if (np.abs(xy) > (WIDEST_LON, WIDEST_LAT)).any():
        raise FileProblem(
            "lies nowhere on Earth", fix="give longitude, then latitude", source=MARKS,
            where=where,
        )  # fmt: skip
    return tuple((float(x), float(y)) for x, y in xy)
