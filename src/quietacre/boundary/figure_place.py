"""A figure of legs laid on the ground by one or more known corners, its curves drawn out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.errors import FileProblem
from quietacre.figures import feet
from quietacre.in_parts import InParts
from quietacre.model import Note
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from quietacre.boundary.traverse import Figure
    from quietacre.model import Leg

    FloatArray = NDArray[np.float64]

#: Known corners whose distance differs from the figure's by more are doubted: a wrong unit, vara
#: or corner. [share of it]
LENGTH_SHARE = 0.02
#: Points along a curve.
ARC_POINTS = 16


@dataclass(frozen=True)
class KnownCorner:
    """A corner of a figure whose place is known. ``corner`` counts from 1. [deg]"""

    corner: int
    lat: float
    lon: float


def edge_of(figure: Figure, legs: Sequence[Leg]) -> FloatArray:
    """Return the edge of a figure with its curves drawn out, shape (n, 2). [ft]"""
    return np.vstack([path[:-1] for path in paths_of(figure.xy_ft, legs)])


def paths_of(corners_ft: FloatArray, legs: Sequence[Leg]) -> list[FloatArray]:
    """Return each leg from corner to corner with its curve drawn out, shapes (n, 2). [ft]

    ``corners_ft`` has a row for each leg, where it begins; the last ends at the first.
    """
    out = []
    for row, leg in enumerate(legs):
        start, end = corners_ft[row], corners_ft[(row + 1) % len(corners_ft)]
        path = [start]
        if leg.arc is not None:
            path += list(_along_arc(start, end, leg.arc.radius_ft, leg.arc.turn == "left"))
        out.append(np.array([*path, end]))
    return out


def _along_arc(
    start: FloatArray, end: FloatArray, radius_ft: float, turns_left: bool
) -> FloatArray:
    """Return points between the ends of an arc of under half a circle, shape (n, 2)."""
    chord = end - start
    length = float(np.hypot(*chord))
    to_left = np.array([-chord[1], chord[0]]) / length
    side = 1.0 if turns_left else -1.0  # the center lies to the side it turns to
    center = (start + end) / 2.0 + side * to_left * math.sqrt(
        max(radius_ft**2 - (length / 2.0) ** 2, 0.0)
    )
    first = math.atan2(*(start - center)[::-1])
    last = math.atan2(*(end - center)[::-1])
    turn = (
        (last - first) % (2 * math.pi) if turns_left else -((first - last) % (2 * math.pi))
    )
    angles = first + turn * np.linspace(0.0, 1.0, ARC_POINTS + 2)[1:-1]
    return center + radius_ft * np.column_stack([np.cos(angles), np.sin(angles)])


def place_figure(
    figure: Figure, legs: Sequence[Leg], known: Sequence[KnownCorner], *,
    declination_deg: float | None = None, source: str = "",
) -> tuple[shapely.Polygon, tuple[Note, ...]]:  # fmt: skip
    """Return a figure as a polygon in longitude and latitude, and what to say of its place.

    Parameters and errors are those of `ground_of`.
    """
    lay, notes = ground_of(figure, known, declination_deg=declination_deg, source=source)
    return shapely.Polygon(lay(edge_of(figure, legs))), notes


def ground_of(
    figure: Figure, known: Sequence[KnownCorner], *, declination_deg: float | None = None,
    source: str = "",
) -> tuple[Callable[[FloatArray], FloatArray], tuple[Note, ...]]:  # fmt: skip
    """Return what lays places of a figure (n, 2) [ft] on the ground (n, 2) [deg], and notes.

    Parameters
    ----------
    known : at least one corner. With one, the figure's north is true north turned by the
        declination; with more, it is turned and shifted to fit them. Its size stays.
    declination_deg : east of true north positive. [deg]

    Raises
    ------
    FileProblem
        No corner is known, or one is not of the figure.
    """
    count = len(figure.xy_ft)
    if not known:
        raise FileProblem(
            "is a figure without a place",
            fix="give one or two of its corners: placed = [{ corner = 1, lat = 33.2, lon = -86.3 }]",
            source=source, where=figure.name or None,
        )  # fmt: skip
    for one in known:
        if not 1 <= one.corner <= count:
            raise FileProblem(
                f"has no corner {one.corner}", fix=f"count its corners from 1 to {count}",
                source=source, where=figure.name or None,
            )  # fmt: skip
    frame = LocalFrame(known[0].lon, known[0].lat)
    east, north = frame.xy(
        np.array([k.lon for k in known]), np.array([k.lat for k in known])
    )
    there = np.column_stack([east, north])
    here = figure.xy_ft[[k.corner - 1 for k in known]] * FT_M
    turn_rad, notes = _turn(here, there, known, declination_deg, source, figure.name)
    cos, sin = math.cos(turn_rad), math.sin(turn_rad)
    turn = np.array([[cos, sin], [-sin, cos]])  # clockwise, as bearings count
    middle, there_middle = here.mean(axis=0), there.mean(axis=0)

    def lay(xy_ft: FloatArray) -> FloatArray:
        xy = (np.asarray(xy_ft) * FT_M - middle) @ turn.T + there_middle
        return np.column_stack(frame.lonlat(xy[:, 0], xy[:, 1]))

    return lay, notes


def _turn(
    here: FloatArray, there: FloatArray, known: Sequence[KnownCorner],
    declination_deg: float | None, source: str, name: str,
) -> tuple[float, tuple[Note, ...]]:  # fmt: skip
    """Return how far clockwise the figure is turned, and what to say of it."""
    if len(known) == 1:
        turn = math.radians(declination_deg or 0.0)
        if declination_deg is not None:
            return turn, ()
        turn_text = InParts(
            "it is placed by one corner with its bearings taken from true north",
            "If they are from magnetic north, give declination_deg (0 where they are true); a second "
            "known corner is better.",
        )
        return turn, (Note("north-assumed", turn_text, "caution", source, name or None),)
    a, b = here - here.mean(axis=0), there
    # the turn that leaves least over, clockwise positive; one middle taken off does for both
    across, along = (
        float((a[:, 1] * b[:, 0] - a[:, 0] * b[:, 1]).sum()),
        float((a * b).sum()),
    )
    # the first known corner is the middle of the ground's own frame
    paper, ground = float(np.hypot(*(here[1] - here[0]))), float(np.hypot(*there[1]))
    notes = []
    if abs(ground - paper) > LENGTH_SHARE * paper:
        notes.append(
            Note(
                "corners-do-not-fit",
                f"corners {known[0].corner} and {known[1].corner} lie {feet(ground / FT_M)} apart on the "
                f"ground and {feet(paper / FT_M)} by the legs",
                source=source, feature=name or None,
                more="a wrong corner, or a wrong unit of length.",
            )
        )  # fmt: skip
    return math.atan2(across, along), tuple(notes)
