"""Acres are level acres: said where a recording shows that the ground slopes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from quietacre.model import Note

if TYPE_CHECKING:
    import shapely
    from numpy.typing import NDArray

    from quietacre.model import Track

    FloatArray = NDArray[np.float64]

#: From this slope on it matters: a hundredth of the acres. Common practice, no source.
SLOPE = 0.15
#: A slope is believed where it is so many times what heights off a plane make of it, and
#: heights err together over so many fixes.
SURE_TIMES, TOGETHER = 5.0, 60
LEAST_FIXES = 30
#: No ground is higher; a height beyond is none.
HIGHEST_M = 9000.0


def slope_of(xy: FloatArray, height_m: FloatArray | None) -> float:
    """Return how steep the plane through the fixes of a lap is, rise over run; 0 if unsure.

    Parameters
    ----------
    xy : array, shape (n, 2). [m]
    height_m : array, shape (n,), NaN where a fix has none; None where the file has none.
    """
    if height_m is None:
        return 0.0
    plausible = np.abs(np.nan_to_num(height_m, nan=np.inf)) <= HIGHEST_M
    if plausible.sum() < LEAST_FIXES:
        return 0.0
    design = np.column_stack(
        [xy[plausible] - xy[plausible].mean(axis=0), np.ones(plausible.sum())]
    )
    fit, _, rank, _ = np.linalg.lstsq(design, height_m[plausible], rcond=None)
    if rank < 3:  # noqa: PLR2004 - a line has no plane
        return 0.0
    off = float(np.std(height_m[plausible] - design @ fit))
    looks = max(plausible.sum() / TOGETHER, 1.0)
    narrow = (
        float(np.linalg.svd(design[:, :2], compute_uv=False)[-1]) / plausible.sum() ** 0.5
    )
    slope = float(np.hypot(*fit[:2]))
    return slope if slope > SURE_TIMES * off / (narrow * looks**0.5) else 0.0


def level_note(
    xy: FloatArray, height_m: FloatArray | None, track: Track, middle: shapely.Point
) -> tuple[Note, ...]:
    """Return the remark that acres are level acres, where the ground slopes by ``SLOPE``."""
    slope = slope_of(xy, height_m)
    if slope < SLOPE:
        return ()
    less = 100.0 * (1.0 - 1.0 / np.hypot(1.0, slope))
    more = (
        f"Acres are level acres, as on deeds and maps: about {less:.0f} % less than the ground "
        "itself, which is what a spreader drives over."
    )
    return (
        Note("level-acres", f"the ground slopes about {100 * slope:.0f} % by the recording's "
             "heights", "info", track.source, track.name or None, middle.x, middle.y, more),
    )  # fmt: skip
