"""What a recording itself shows of its errors: how it wanders, lags, jumps and loses fixes."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from quietacre.boundary.error import walking_times
from quietacre.boundary.plane import places_m, walked_m

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]
    Mask = NDArray[np.bool_]

#: A path is looked at over this long, between these shares of a lap and lengths. [s, m]
LOOK_S, LOOK_SHARE, LOOK_M = 8.0, 1 / 30, (4.0, 20.0)
#: Turns are looked at over this long at least; of the sharpest, so many in a hundred count
#: as the sharpest. [s]
TURN_S, SHARPEST_PCT = 2.0, 2
#: A step shorter than this has no heading. [m]
LEAST_STEP_M = 0.3
#: A median deviation times this is a standard deviation, of a normal error.
NORMAL = 1.4826
#: A wait and a step so many times the usual ones are a fix lost; and fewer of them than this,
#: or fewer jumps, are chance.
WAIT_TIMES, STEP_TIMES, LEAST_TIMES = 2.5, 1.8, 4


class Signs(NamedTuple):
    """What the best lap of a recording shows.

    ``wander_m`` is how far the path strays from straight or even bends, one deviation, and
    ``look_s`` over how long; ``turn_s`` the time in which its sharpest turns go through a
    radian: no smoothing is slower; ``pace_m_s`` and ``every_s`` how fast and how often;
    ``jumps`` and ``lost`` are shares of its fixes; ``hdop`` the usual dilution and
    ``satellites`` the usual number, NaN where the file has none.
    """

    wander_m: float
    look_s: float
    turn_s: float
    pace_m_s: float
    every_s: float
    jumps: float
    lost: float
    hdop: float = float("nan")
    satellites: float = float("nan")


def signs_of(
    xy: FloatArray, time_s: FloatArray, *, jumped: Mask, hdop: float, satellites: float
) -> Signs:
    """Return what a lap shows.

    Parameters
    ----------
    xy, time_s : the cleaned fixes of one lap, shapes (n, 2) [m] and (n,) [s].
    jumped : which fixes were set aside as jumps, in order, of the whole recording.
    hdop, satellites : the usual ones of its fixes, NaN where the file has none.
    """
    at_s = walking_times(xy, time_s)
    walked = walked_m(xy)
    long_m, long_s = float(walked[-1]), float(at_s[-1] - at_s[0])
    pace = long_m / max(long_s, 1e-9)
    wait = np.diff(at_s)
    step = np.hypot(*np.diff(xy, axis=0).T)
    usual = float(np.median(wait)) if len(wait) else 0.0
    look_m = float(np.clip(min(LOOK_S * pace, LOOK_SHARE * long_m), *LOOK_M))
    return Signs(
        wander_m=_wander_m(xy, walked, look_m),
        look_s=look_m / max(pace, 1e-9),
        turn_s=_turn_s(xy, at_s, usual),
        pace_m_s=pace,
        every_s=usual,
        jumps=jumped_share(jumped),
        lost=_share(
            (wait > WAIT_TIMES * usual) & (step > STEP_TIMES * np.median(step))
            if usual > 0
            else np.zeros(len(wait), dtype=bool)
        ),
        hdop=hdop,
        satellites=satellites,
    )


def _wander_m(xy: FloatArray, walked: FloatArray, look_m: float) -> float:
    """Return how far a path's middle strays from its chord, beyond its usual bend. [m]"""
    at = np.arange(look_m, walked[-1] - look_m, 1.0)
    if len(at) < 4:  # noqa: PLR2004 - nothing to look at
        return float("nan")
    before, here, after = (places_m(xy, walked, at + d) for d in (-look_m, 0.0, look_m))
    chord = after - before
    chord = chord / np.maximum(np.hypot(*chord.T), 1e-9)[:, None]
    off = here - 0.5 * (before + after)
    across = off[:, 0] * chord[:, 1] - off[:, 1] * chord[:, 0]
    return float(NORMAL * np.median(np.abs(across - np.median(across))))


def _turn_s(xy: FloatArray, at_s: FloatArray, every_s: float) -> float:
    """Return in what time the sharpest turns of a path go through a radian. [s]"""
    step, wait = np.diff(xy, axis=0), np.diff(at_s)
    moving = (np.hypot(*step.T) > LEAST_STEP_M) & (wait > 0)
    if moving.sum() < 4:  # noqa: PLR2004 - no turns to look at
        return float("nan")
    heading = np.unwrap(np.arctan2(step[moving, 1], step[moving, 0]))
    middle = (0.5 * (at_s[:-1] + at_s[1:]))[moving]
    over = max(TURN_S, every_s)
    at = np.arange(middle[0], middle[-1] - over, max(1.0, 0.5 * every_s))
    if len(at) < 4:  # noqa: PLR2004 - as above
        return float("nan")
    turned = np.abs(np.interp(at + over, middle, heading) - np.interp(at, middle, heading))
    few = max(len(turned) * SHARPEST_PCT // 100, 3)
    return float(over / max(np.sort(turned)[-few], 1e-3))


def _share(which: Mask) -> float:
    """Return the share of what is true, 0 where it may be chance."""
    return float(which.mean()) if which.sum() >= LEAST_TIMES else 0.0


def jumped_share(jumped: Mask) -> float:
    """Return the share of fixes that are jumps, 0 where there were too few jumps."""
    began = np.diff(np.r_[False, jumped].astype(int)) > 0
    return float(jumped.mean()) if began.sum() >= LEAST_TIMES else 0.0
