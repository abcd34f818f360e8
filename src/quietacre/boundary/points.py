"""A walk from plain points, for ground that comes from no file."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from quietacre.boundary.read import read_walk
from quietacre.errors import WalkRefused
from quietacre.model import Track

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.boundary.walk import Walk


def walk_of(
    points: Sequence[Sequence[float]],
    time_s: Sequence[float] | None = None,
    *,
    name: str = "walk",
    walked_inside_ft: float = 0.0,
    walked_outside_ft: float = 0.0,
    sky: str | None = None,
) -> Walk:
    """Return the boundary of one walk, with its ±.

    Parameters
    ----------
    points : shape (n, 2), longitude and latitude of each fix in the order walked. [deg]
    time_s : shape (n,), seconds since any one moment; None when they are not known.
    walked_inside_ft, walked_outside_ft : how far inside or outside the true edge the
        walker kept. [ft]
    sky : "open", "canopy" or None, a hint of the receiver's error.

    Raises
    ------
    WalkRefused
        The points are no longitudes and latitudes, or close into no loop.
    """
    lonlat = np.asarray(points, dtype=float)
    if lonlat.shape[1:] != (2,):
        raise WalkRefused(
            "points are not pairs", fix="give longitude and latitude of each", source=name
        )
    known = np.full(len(lonlat), np.nan) if time_s is None else np.asarray(time_s, float)
    if len(known) != len(lonlat):
        raise WalkRefused(
            f"{len(lonlat)} points have {len(known)} times",
            fix="give a time for each, or none",
            source=name,
        )
    if not np.isfinite(lonlat).all() or (np.abs(lonlat) > (180.0, 90.0)).any():
        raise WalkRefused(
            "holds a point that is no longitude and latitude",
            fix="give degrees, longitude first",
            source=name,
        )
    segment = np.zeros(len(lonlat), dtype=int)
    track = Track(name, name, "track", lonlat[:, 0], lonlat[:, 1], known, segment)
    return read_walk(
        [track],
        walked_inside_ft=walked_inside_ft,
        walked_outside_ft=walked_outside_ft,
        sky=sky,
        source=name,
    )
