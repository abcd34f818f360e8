"""Where a recording has lost fixes, and what that may hide of the edge.

A receiver that saves a fix every few seconds shows lost fixes as a long wait. One that
saves by distance or by turns waits on every straight side: there a long step hides edge
only where the time it took, at the recording's own pace, is far more than the step needs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from quietacre.boundary.plane import walked_m

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]
    Mask = NDArray[np.bool_]

#: Fixes this many times farther apart than usual, and this far, hide a piece of edge. [m]
LOST_TIMES, LOST_M = 5.0, 20.0
#: Waits between fixes are even when the long ones, a tenth of them, last no longer than so
#: many times the usual.
EVEN_TIMES, LONG_SHARE = 2.5, 0.9
#: A step that is straight at the usual pace takes about as long as it needs: no less and no
#: more than so many times.
STRAIGHT_TIMES = (0.6, 1.25)
#: So many long steps in a lap without times, and this share of its length, are a way of saving.
MANY_LONG, MANY_SHARE = 5, 0.4


def lost_steps(xy: FloatArray, time_s: FloatArray) -> Mask:
    """Return over which steps of a path fixes were lost, shape (n - 1,).

    Parameters
    ----------
    xy : array, shape (n, 2). [m]
    time_s : array, shape (n,), NaN without times.
    """
    steps = np.hypot(*np.diff(xy, axis=0).T)
    if not len(steps):
        return np.zeros(0, dtype=bool)
    usual = float(np.median(steps))
    long: Mask = steps > max(LOST_TIMES * usual, LOST_M)
    if not long.any():
        return long
    wait = np.diff(time_s)
    if not _rises(wait):
        kept = long.sum() >= MANY_LONG and steps[long].sum() > MANY_SHARE * steps.sum()
        return np.zeros(len(steps), dtype=bool) if kept else long
    if _even(wait):
        return long
    pace = float(steps.sum() / wait.sum())
    # a recorder that saves by turns goes at its own pace along a straight side
    least, most = STRAIGHT_TIMES
    went = wait * pace
    return np.asarray(long & ((went > most * steps) | (went < least * steps)))


def over_lost(xy: FloatArray, time_s: FloatArray, along: FloatArray) -> Mask:
    """Return which places along a path lie on a line over lost fixes, shape of ``along``."""
    lost = lost_steps(xy, time_s)
    if not lost.any():
        return np.zeros(len(along), dtype=bool)
    walked = walked_m(xy)
    on = np.clip(np.searchsorted(walked, along, side="right") - 1, 0, len(lost) - 1)
    return np.asarray(lost[on])


def evenly_saved(xy: FloatArray, time_s: FloatArray) -> bool:
    """Return whether fixes were saved by time, and not where the path turns."""
    wait = np.diff(time_s)
    return len(xy) > 1 and _rises(wait) and _even(wait)


def _rises(wait: FloatArray) -> bool:
    return bool(np.isfinite(wait).all() and (wait > 0).all())


def _even(wait: FloatArray) -> bool:
    return bool(np.quantile(wait, LONG_SHARE) <= EVEN_TIMES * np.median(wait))


def lost_share(
    xy: FloatArray, time_s: FloatArray, lap: tuple[int, int], gap_m: float
) -> float:
    """Return the part of a lap over which fixes were lost, its gap included."""
    part = slice(lap[0], lap[1] + 1)
    steps = np.hypot(*np.diff(xy[part], axis=0).T)
    lost = float(steps[lost_steps(xy[part], time_s[part])].sum()) + gap_m
    return lost / (float(steps.sum()) + gap_m)


def chords_over_lost(xy: FloatArray, time_s: FloatArray, lap: tuple[int, int]) -> float:
    """Return what straight lines over lost fixes may be wrong by, one deviation. [m²]"""
    part = slice(lap[0], lap[1] + 1)
    steps = np.hypot(*np.diff(xy[part], axis=0).T)
    # an edge that bends by an eighth of the chord makes a sliver of a twelfth of its square
    return float(np.sqrt((steps[lost_steps(xy[part], time_s[part])] ** 4).sum()) / 12.0)
