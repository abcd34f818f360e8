"""How far off the acreage of a walk may be.

A fix's error drifts: per axis it is taken as a first-order Gauss-Markov process
with standard deviation sigma and correlation time tau. To first order the area's
error is the boundary integral of the across-track error, so

    Var(A) = sigma² Σ_i Σ_j (g_i · g_j) exp(−|t_i − t_j| / tau),
    g_i = half of (p_{i+1} − p_{i−1}) turned a quarter.

References
----------
.. [1] Tomaštík et al., "Horizontal accuracy and applicability of smartphone GNSS
   positioning in forests", Forestry 90, 2017: phone RMSE 1.9-2.4 m in the open,
   5.0-11.5 m under leaves.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.boundary.plane import walked_m
from quietacre.chance import Z95

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

#: Median sigma before anything is known of the walk, by sky. From [1], as one axis.
SIGMA_M = {"open": 2.0, "canopy": 4.5, None: 2.5}
#: Spread of that guess, as a factor's logarithm. Assumption.
SIGMA_LOG_SD = 0.35
#: Laps that agree to less than this share what is wrong with both. [m] Assumption.
LEAST_SEEN_M = 0.5
#: Correlation time. Assumption: receivers drift over tens of seconds to minutes.
TAU_S = 60.0
#: Pace assumed when a file has no usable times. [m/s] Common practice, no source.
PACE_M_S = 1.2
#: Two-sided 95 % point of Student's t when sigma itself is a guess (about 8 degrees
#: of freedom for the spread above). From a table of t; computed by any library.
T_95 = 2.31
#: So many times larger is a sigma that stands for itself, for being a guess.
SIGMA_UNSURE = T_95 / Z95
#: The ± is scaled by the first plus the second times sigma over the plot's width, for
#: what the drift alone leaves out: where a walk joins and leaves the edge, lost fixes,
#: lobes pinched apart. These cost metres, so small plots the most. Set on simulated walks.
WIDEN = (0.57, 3.2)
#: The same where no other term stands beside the drift, as between two surveys of one edge.
WIDEN_ALONE = (0.84, 4.2)
MOST_NODES = 320
#: Places along an edge whose errors are added up. [m]
EDGE_STEP_M = 3.0


def unit_area_sd(xy: FloatArray, time_s: FloatArray, tau_s: float = TAU_S) -> float:
    """Return the area's standard deviation for sigma = 1 m. [m²/m]

    Parameters
    ----------
    xy : array, shape (n, 2), the closed ring without its repeated end. [m]
    time_s : array, shape (n,), when each point was walked. [s]
    """
    if len(xy) > MOST_NODES:
        rows = np.linspace(0, len(xy) - 1, MOST_NODES).astype(int)
        xy, time_s = xy[rows], time_s[rows]
    chord = 0.5 * (np.roll(xy, -1, axis=0) - np.roll(xy, 1, axis=0))
    normal = np.column_stack([chord[:, 1], -chord[:, 0]])
    kernel = np.exp(-np.abs(time_s[:, None] - time_s[None, :]) / tau_s)
    variance = float(((kernel @ normal) * normal).sum())
    return float(np.sqrt(max(variance, 0.0)))


def edge_area_sd(shape: shapely.Geometry, sigma_m: float) -> float:
    """Return the area's standard deviation of any polygons whose edge was walked. [m²]

    The edge is taken as walked at the usual pace, each ring by itself. ``shape`` is in
    metres; a drawn edge is taken to err along its length as a walk's does.
    """
    total = 0.0
    for ring in shapely.get_parts(shapely.boundary(shape)):
        count = int(np.clip(ring.length / EDGE_STEP_M, 8, MOST_NODES))
        at_m = np.linspace(0.0, ring.length, count, endpoint=False)
        xy = shapely.get_coordinates(shapely.line_interpolate_point(ring, at_m))
        total += unit_area_sd(xy, at_m / PACE_M_S) ** 2
    return widened(sigma_m * total**0.5, sigma_m, shape.area, by=WIDEN_ALONE)


def widened(
    sd_m2: float, sigma_m: float, area_m2: float, by: tuple[float, float] = WIDEN
) -> float:
    """Return the area's standard deviation with what drift alone leaves out. [m²]"""
    base, small = by
    return float(sd_m2 * (base + small * sigma_m / np.sqrt(max(area_m2, 1.0))))


def walking_times(xy: FloatArray, time_s: FloatArray) -> FloatArray:
    """Return times that can be used: the file's own, or from the pace of a walk."""
    has_times = len(time_s) > 0 and bool(np.isfinite(time_s).all())
    if has_times and (np.diff(time_s) >= 0).all() and time_s[-1] > time_s[0]:
        return time_s
    return walked_m(xy) / PACE_M_S


def sigma_from_laps(apart_m: FloatArray) -> tuple[float, float]:
    """Return sigma [m] and how many independent looks it rests on.

    ``apart_m`` is the signed distance between two laps at places along the edge; it
    is the difference of two independent drifts, so its mean square is 2 sigma².
    """
    rms = float(np.sqrt(np.mean(np.square(apart_m)) / 2.0))
    return rms, max(len(apart_m) / 25.0, 1.0)


def blend_sigma(sky: str | None, seen_m: float | None, looks: float) -> float:
    """Return sigma from the prior guess and from what laps show, weighed in logs."""
    prior = SIGMA_M[sky]
    if seen_m is None:
        return prior
    seen_m = max(seen_m, LEAST_SEEN_M)
    prior_weight = 1.0 / SIGMA_LOG_SD**2
    seen_weight = 2.0 * looks  # the variance of log s is about 1/(2 n)
    mean = (prior_weight * np.log(prior) + seen_weight * np.log(seen_m)) / (
        prior_weight + seen_weight
    )
    return float(np.exp(mean))
