"""How likely trees or walls blocked the sky over a walk, by how its path strays.

The error of a fix is taken as a first-order Gauss-Markov process, of deviation sigma and
correlation time tau, that a receiver may smooth over a time L. How far such a path strays from
straight over a time h (the middle of three places from the line between the others) has the variance

    sigma² (3 R(0) - 4 R(h) + R(2h)) / 2,   R(t) = (exp(-t/tau) - L/tau exp(-t/L)) / (1 - (L/tau)²),

to which come white noise and the bends of the edge. Seen over one to some thirty seconds that tells
sigma, tau and L apart as far as they can be told. The chance is what remains of even odds after what
was seen, over all of sigma, tau and L. A path that is smoothed much, or whose fixes are far apart, looks alike under either
sky: its chance stays near a half.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from quietacre.boundary.error import SIGMA_LOG_SD, SIGMA_M

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from quietacre.boundary.signs import Strays

    FloatArray = NDArray[np.float64]

#: How far a fix is off on one axis, the median [m] and the spread of its logarithm. Under open sky and of
#: receivers that smooth, as in ``error``; of fixes as they come under trees or beside walls: laps of real
#: recordings between walls lie 8 to 10 m off, phones under leaves 3.5 to 8 (Forestry 90, 2017).
OPEN = (SIGMA_M["open"], SIGMA_LOG_SD)
BLOCKED_SMOOTHED = (SIGMA_M["canopy"], SIGMA_LOG_SD)
BLOCKED_RAW = (8.0, 0.25)
#: Correlation times [s]; real laps have about 20. Times of smoothing [s], the first for none; and the
#: share of receivers that do not smooth. Assumptions.
TAU_S = np.geomspace(12.0, 90.0, 5)
SMOOTHED_S = np.array([0.0, 2.0, 3.5, 6.0, 10.0, 17.0])
RAW_SHARE = 0.4
#: White noise of a fix [m], and what is left of it when it is smoothed. Assumption.
WHITE_M, WHITE_LEFT = 0.35, 0.1
#: How far an edge bends away from straight over 20 m to either side, in so many steps: from the first
#: to the second over its own length, as squares, strips, elbows and lobed plots do [m²]; or to the third
#: if that is more, as real paths do however long they are [m]. Over other lengths, to these powers of
#: them: an even bend has 2, roads and trails 1.5 (recordings that gpxpy 1.6.2 and sweat 0.25.0 carry).
BENDS_M2, WINDING_M, BEND_STEPS, BEND_OVER_M = (400.0, 1200.0), 3.0, 4, 20.0
BEND_POWERS = np.array([1.5, 2.0])
#: How far off all this is, as a logarithm's deviation; how much of what is looked at counts, as the
#: median of its size tells less than the mean of its square. Assumptions.
MISFIT, COUNTS = 0.15, 0.4
#: The chance before anything is looked at, by the person's hint: an edge stands beside timber as often
#: as not; who says that the sky was open is mostly right (a hint of trees counts by itself). Assumption.
BEFORE = {None: 0.5, "open": 0.1, "canopy": 0.5}
SPREADS, STEPS = 2.2, 9


class _Fixes(NamedTuple):
    """Sizes of a fix's error [m] and how likely each is, shapes (n,)."""

    sigma_m: FloatArray
    share: FloatArray


def chance_blocked(strays: Strays, sky: str | None = None) -> float:
    """Return how likely the sky was blocked, 0 to 1.

    Parameters
    ----------
    strays : how far the path strays, over which times.
    sky : "open", "canopy" or None, the person's hint.
    """
    before = BEFORE[sky]
    open_sky = (1.0 - before) * _likelihood(strays, _spread(*OPEN), _spread(*OPEN))
    blocked = before * _likelihood(
        strays, _spread(*BLOCKED_RAW), _spread(*BLOCKED_SMOOTHED)
    )
    both = open_sky + blocked
    return float(blocked / both) if both > 0 else before


def _spread(median_m: float, log_sd: float) -> _Fixes:
    z = np.linspace(-SPREADS, SPREADS, STEPS)
    share = np.exp(-0.5 * z**2)
    return _Fixes(median_m * np.exp(log_sd * z), share / share.sum())


def _likelihood(strays: Strays, raw: _Fixes, smoothed: _Fixes) -> float:
    """Return how likely a path strays as it does, of receivers that smooth and that do not."""
    if not len(strays.over_s):
        return 1.0
    h = strays.over_s
    long_m = strays.pace_m_s * strays.lasts_s
    own = [m2 / long_m for m2 in BENDS_M2]
    bends = np.geomspace(own[0], max(own[1], WINDING_M), BEND_STEPS)
    reach = (h * strays.pace_m_s / BEND_OVER_M) ** BEND_POWERS[:, None]
    bend_m2 = (bends[:, None, None] * reach).reshape(-1, 1, len(h)) ** 2
    damped = np.minimum(0.25 / np.maximum(SMOOTHED_S, 0.25), 1.0) * WHITE_LEFT
    damped[0] = 1.0
    other_m2 = bend_m2 + 1.5 * WHITE_M**2 * damped[:, None]
    drift = _drift(h)
    looks = np.maximum(strays.lasts_s / (2.0 * h) * COUNTS, 1.5)
    variance = 0.5 / looks + MISFIT**2
    seen = np.log(np.maximum(strays.across_m, 1e-3))

    def likely(fixes: _Fixes, which: slice) -> float:
        sigma2 = fixes.sigma_m[:, None, None, None, None] ** 2
        told = 0.5 * np.log(sigma2 * drift[:, None, which] + other_m2[:, which])
        each = np.exp(-0.5 * ((seen - told) ** 2 / variance).sum(axis=-1))
        return float((each.mean(axis=(1, 2, 3)) * fixes.share).sum())

    return RAW_SHARE * likely(raw, slice(0, 1)) + (1.0 - RAW_SHARE) * likely(
        smoothed, slice(1, None)
    )


def _drift(h: FloatArray) -> FloatArray:
    """Return the variance of straying for sigma = 1 m, shape (tau, smoothing, h). [1]"""
    tau, smoothing = TAU_S[:, None, None], SMOOTHED_S[None, :, None]
    share = smoothing / tau

    def kept(t: FloatArray | float) -> FloatArray:
        own = np.exp(-t / tau)
        late = np.exp(-t / np.maximum(smoothing, 1e-9))
        return np.asarray((own - share * late) / (1.0 - share**2))

    return 1.5 * kept(0.0) - 2.0 * kept(h) + 0.5 * kept(2.0 * h)
