"""Mower passes of a strip: concentric lines, how long, how many minutes, how much fuel.

The middle of pass k lies half a cutting width and k working widths outside the patch.
A pass is left out where half the machine would stand on ground it may not enter, so a
clipped stretch keeps a sliver that only a smaller tool reaches.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame, sound
from quietacre.strip.ring import QUARTER_CHORDS, lengths_ft
from quietacre.units import ACRE_FT2, ACRE_HR_FT_MPH, FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.strip.width import Mower

#: Bits of a pass shorter than this are not driven. [m]
LEAST_PASS_M = 2.0


class Drive(NamedTuple):
    """How a machine goes: speed [mph], field efficiency 0-1, fuel [gal/hr]."""

    mph: float
    efficiency: float
    fuel_gal_hr: float


@dataclass(frozen=True, slots=True)
class PassFigures:
    """One pass, in the order driven, without its line; ``from_edge_ft`` is to its middle."""

    number: int
    from_edge_ft: float
    length_ft: float
    minutes: float
    fuel_gal: float


class Pass(NamedTuple):
    """One pass, in the order driven: ``line`` [deg] is the middle of the swath."""

    number: int
    line: shapely.Geometry
    from_edge_ft: float
    length_ft: float
    minutes: float
    fuel_gal: float

    def figures(self) -> PassFigures:
        """Return all of it but the line, for a record."""
        return PassFigures(
            self.number, self.from_edge_ft, self.length_ft, self.minutes, self.fuel_gal
        )


def pass_minutes(length_ft: float, working_ft: float, drive: Drive) -> float:
    """Return the minutes of a length mowed: its acres over ft × mph × efficiency / 8.25.

    Notes
    -----
    AEN-73, University of Kentucky, 1991 (field capacity).
    """
    acres_hour = working_ft * drive.mph * drive.efficiency / ACRE_HR_FT_MPH
    return 60.0 * (length_ft * working_ft / ACRE_FT2) / acres_hour


def mower_passes(
    patch: shapely.Geometry,
    width_ft: float,
    mower: Mower,
    drive: Drive,
    *,
    boundary: shapely.Geometry | None = None,
    keep_out: Sequence[shapely.Geometry] = (),
    outermost_first: bool = True,
) -> list[Pass]:
    """Return the passes that mow the strip, in the order they are driven.

    Parameters
    ----------
    patch, width_ft, boundary, keep_out : as for ``strip_ring``.
    outermost_first : mow toward the patch, so that runners are cut off and thrown back
        at it; False begins at the patch.
    """
    frame = LocalFrame.around([patch])
    others = [shape for shape in (boundary, *keep_out) if shape is not None]
    local, *moved = sound(frame.to_local(np.array([patch, *others], dtype=object)))
    half_m = mower.width_ft * FT_M / 2
    shut = []
    if boundary is not None:
        inside = moved.pop(0)
        shut.append(inside.boundary.buffer(half_m))
    if moved:
        shut.append(shapely.union_all(moved).buffer(half_m))
    count = mower.passes(width_ft)
    step = mower.width_ft - mower.overlap_ft
    # the last pass ends at the strip's own edge, also when that is no whole pass
    outer = max(width_ft - mower.width_ft / 2, mower.width_ft / 2)
    away = [min(mower.width_ft / 2 + k * step, outer) for k in range(count)]
    lines, from_edge = [], []
    for distance in reversed(away) if outermost_first else away:
        line = local.buffer(distance * FT_M, quad_segs=QUARTER_CHORDS).boundary
        if boundary is not None:
            line = line.intersection(inside)
        if shut:
            line = line.difference(shapely.union_all(shut))
        line = _drivable(line)
        if not line.is_empty:
            lines.append(line)
            from_edge.append(distance)
    back = frame.to_lonlat(np.array(lines, dtype=object))
    out = []
    for number, (line, distance, length) in enumerate(
        zip(back, from_edge, lengths_ft(list(back)), strict=True), 1
    ):
        minutes = pass_minutes(length, step, drive)
        fuel = minutes / 60.0 * drive.fuel_gal_hr
        out.append(Pass(number, line, distance, length, minutes, fuel))
    return out


def _drivable(line: shapely.Geometry) -> shapely.Geometry:
    """Return a line's parts joined where they meet, without bits too short to drive."""
    parts = [
        part
        for part in shapely.get_parts(line)
        if part.geom_type == "LineString" and not part.is_empty
    ]
    joined = shapely.get_parts(shapely.line_merge(shapely.MultiLineString(parts)))
    long = [part for part in joined if part.length >= LEAST_PASS_M]
    return long[0] if len(long) == 1 else shapely.MultiLineString(long)
