"""What a recording itself shows of its errors: how it wanders, lags, jumps and loses fixes."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from quietacre.boundary.error import walking_times
from quietacre.boundary.plane import walked_m

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]
    Mask = NDArray[np.bool_]

#: A path is looked at over so many fixes before and behind, up to this share of a lap and this
#: length. [m]
LOOK_FIXES, LOOK_SHARE, LOOK_M = (1, 2, 4, 8, 16, 32), 1 / 8, 60.0
#: Times between fixes below this are looked at as this. [s]
LEAST_EVERY_S = 1.0
#: A longer wait between fixes counts as so many of the usual ones.
LONGEST_WAIT = 10.0
#: Turns are looked at over this long at least; of the sharpest, so many in a hundred count
#: as the sharpest. [s]
TURN_S, SHARPEST_PCT = 2.0, 2
#: A step shorter than this has no heading. [m]
LEAST_STEP_M = 0.3
#: A median deviation times this is a standard deviation, of a normal error.
NORMAL = 1.4826
#: So few places show nothing.
FEWEST_LOOKS = 5
#: A wait and a step so many times the usual ones are a fix lost; and fewer of them than this,
#: or fewer jumps, are chance.
WAIT_TIMES, STEP_TIMES, LEAST_TIMES = 2.5, 1.8, 4


class Strays(NamedTuple):
    """How far a path strays from straight or even bends, one deviation each.

    ``across_m`` and ``over_s``, shapes (n,): how far, and over which times to either side.
    ``pace_m_s`` and ``lasts_s`` are of the whole path.
    """

    over_s: FloatArray
    across_m: FloatArray
    pace_m_s: float
    lasts_s: float


class Signs(NamedTuple):
    """What the best lap of a recording shows.

    ``strays`` is how far the path strays; ``turn_s`` the time in which its sharpest turns go through a
    radian: no smoothing is slower; ``pace_m_s`` and ``every_s`` how fast and how often;
    ``jumps`` and ``lost`` are shares of its fixes; ``hdop`` the usual dilution and
    ``satellites`` the usual number, NaN where the file has none.
    """

    strays: Strays
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
    return Signs(
        strays=_strays(xy, at_s, usual, long_m),
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


def _strays(xy: FloatArray, at_s: FloatArray, every_s: float, long_m: float) -> Strays:
    """Return how far a path's middle strays from its chord, beyond its usual bend."""
    every_s = max(every_s, LEAST_EVERY_S)
    at_s = np.r_[0.0, np.cumsum(np.minimum(np.diff(at_s), LONGEST_WAIT * every_s))]
    lasts_s = float(at_s[-1])
    pace = long_m / max(lasts_s, 1e-9)
    at = np.arange(0.0, lasts_s, every_s)
    even = np.column_stack([np.interp(at, at_s, xy[:, k]) for k in (0, 1)])
    over, across = [], []
    for fixes in LOOK_FIXES:
        look_m = fixes * every_s * pace
        if look_m > min(LOOK_SHARE * long_m, LOOK_M):
            break
        before, here, after = even[: -2 * fixes], even[fixes:-fixes], even[2 * fixes :]
        chord, off = after - before, here - 0.5 * (before + after)
        size = np.hypot(*chord.T)
        went = size > 0.5 * look_m
        if went.sum() < FEWEST_LOOKS:
            continue
        aside = (off[:, 0] * chord[:, 1] - off[:, 1] * chord[:, 0])[went] / size[went]
        over.append(fixes * every_s)
        across.append(NORMAL * float(np.median(np.abs(aside - np.median(aside)))))
    return Strays(np.array(over), np.array(across), pace, lasts_s)


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
