"""Whether coordinates can be places on Earth, and the turn that everybody counts them in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.errors import FileProblem
from quietacre.intake.reference import FULL_TURN

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.intake.file_notes import FileNotes
    from quietacre.intake.reference import Move

#: South of this nobody plants; swapped coordinates of the Americas land here. [deg]
FAR_SOUTH = -60.0
#: Only so near to a pole is a ring looked at that may go round it. [deg]
POLAR = 89.0


def moved(
    shapes: np.ndarray, move: Move, features: Sequence[str], file_notes: FileNotes
) -> np.ndarray:
    """Return shapes in longitude and latitude; name the one that cannot go there."""
    if move.takes_degrees(shapes):
        raise file_notes.problem(
            f"its reference system “{move.system}” counts in lengths, but its coordinates "
            "look like degrees",
            "export it in WGS84, or with the system its coordinates are in",
            features[0],
        )
    try:
        moved: np.ndarray = shapely.transform(shapes, move)
    except FileProblem:
        raise
    except Exception:
        for shape, feature in zip(shapes, features, strict=True):
            try:
                shapely.transform(shape, move)
            except Exception as problem:
                raise file_notes.problem(
                    "lies where its reference system cannot go",
                    "check the file's reference system",
                    feature,
                ) from problem
        raise
    return moved


def one_turn(
    shapes: np.ndarray, features: Sequence[str], file_notes: FileNotes
) -> np.ndarray:
    """Return shapes with longitudes as everybody counts them, whole shapes at a time.

    A file that counts from 0 to 360 would else lie beside another of the same ground.
    """
    bounds = shapely.bounds(shapes)
    middle = (bounds[:, 0] + bounds[:, 2]) / 2.0
    shapes = shapes.copy()
    for row in np.flatnonzero(np.abs(middle) > FULL_TURN / 2).tolist():
        turn = FULL_TURN * round(float(middle[row]) / FULL_TURN)
        shapes[row] = shapely.transform(shapes[row], lambda xy, t=turn: xy - (t, 0.0))
    wide = bounds[:, 2] - bounds[:, 0] > FULL_TURN / 2
    wide &= np.maximum(bounds[:, 1], -bounds[:, 3]) > POLAR
    for row in np.flatnonzero(wide).tolist():
        for ring in shapely.get_rings(shapes[row]):
            step = np.diff(shapely.get_coordinates(ring)[:, 0])
            if abs((step - FULL_TURN * np.round(step / FULL_TURN)).sum()) > 1.0:
                raise file_notes.problem(
                    "its edge goes right round a pole",
                    "draw it again",
                    features[row],
                )
    return shapes


def check_places(
    shapes: np.ndarray, features: Sequence[str], file_notes: FileNotes
) -> None:
    """Check coordinates; only features that look wrong are looked at one by one."""
    xy, owner = shapely.get_coordinates(shapes, return_index=True)
    sound = (np.abs(xy) <= (FULL_TURN, 90.0)).all(axis=1)  # false for NaN too
    sound &= xy[:, 1] >= FAR_SOUTH
    for row in np.unique(owner[~sound]).tolist():
        _check(shapes[row], features[row], file_notes)


def _check(shape: shapely.Geometry, feature: str, file_notes: FileNotes) -> None:
    xy = shapely.get_coordinates(shape)
    if not np.isfinite(xy).all():
        raise file_notes.problem(
            "has a coordinate that is not a number",
            "mend or delete that vertex",
            feature,
        )
    worst_lon, worst_lat = np.abs(xy).max(axis=0)
    if worst_lon > FULL_TURN or worst_lat > FULL_TURN:
        raise file_notes.problem(
            f"coordinates such as {xy[0, 0]:.10g}, {xy[0, 1]:.10g} are not degrees, "
            "and the file does not say what they are",
            "export it in longitude and latitude (WGS84), or with its reference system",
            feature,
        )
    if worst_lat > 90.0:  # noqa: PLR2004 - the pole
        raise file_notes.problem(
            f"latitude {xy[np.abs(xy[:, 1]).argmax(), 1]:.6g} is beyond a pole",
            "latitude and longitude look swapped: export with longitude first",
            feature,
        )
    if xy[:, 1].min() < FAR_SOUTH:
        file_notes.note(
            "looks-swapped",
            f"{feature} lies at latitude {xy[:, 1].min():.1f}; if it should not, its "
            "latitude and longitude are swapped.",
            feature,
        )
