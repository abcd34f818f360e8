"""A picture placed by points: where it lies, and how far off an edge drawn on it may be.

Two pairs of a place on the picture and the same on the ground give a turn, a scale and a shift
(similarity); four or more may also take a skew (affine). What the fit leaves over at its own
points says little of other places (with two pairs it is nothing), so what counts is the error
predicted where an edge is drawn, with Student's t of the pairs left over.

References
----------
"The distribution of target registration error in rigid-body point-based registration", IEEE
Transactions on Medical Imaging 20(9), 2001: residuals do not tell the error elsewhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from quietacre.chance import CIRCULAR_95, Z95
from quietacre.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

Fit = Literal["similarity", "affine"]
UNKNOWNS = {"similarity": 4, "affine": 6}
#: An affine fit needs pairs to spare, or it bends to every error.
FEWEST_AFFINE = 4
#: How often a right set of points may be doubted.
FALSE_ALARM = 0.01
#: A picture that is made north up, a screenshot of a map say, is turned by no more. Ours. [deg]
NORTH_UP_DEG = 0.5
#: Two points so near each other that their line may turn further say nothing of north. [deg]
VAGUE_DEG = 10.0
#: Points that lie in a band so narrow, of its length, say nothing across it.
NARROW = 0.05


@dataclass(frozen=True)
class Placed:
    """A picture's place. ``matrix`` (2, 3) takes (column, row, 1) to ground metres.

    ``sigma_m`` is one axis's error of a pair: from what is left over, or as given for two pairs.
    ``degrees`` of freedom of that; ``wrong`` is the row of a pair that disagrees, or None.
    """

    matrix: FloatArray
    fit: Fit
    sigma_m: float
    degrees: int
    wrong: int | None
    _spread: FloatArray

    def ground_m(self, pixels: FloatArray) -> FloatArray:
        """Return ground metres (n, 2) of picture places (n, 2)."""
        moved: FloatArray = pixels @ self.matrix[:, :2].T + self.matrix[:, 2]
        return moved

    def pm_m(self, pixels: FloatArray) -> FloatArray:
        """Return how far off each place (n, 2) may be on one axis, 95 %, shape (n,). [m]"""
        rows = _design(np.asarray(pixels, dtype=float), self.fit)[::2]
        share = np.einsum("ij,jk,ik->i", rows, self._spread, rows)
        made: FloatArray = t95(self.degrees) * self.sigma_m * np.sqrt(share)
        return made

    def radius_m(self, pixels: FloatArray) -> FloatArray:
        """Return the radius about each place (n, 2) that holds the true one, 95 %, shape (n,). [m]"""
        made: FloatArray = radius95(self.degrees) / t95(self.degrees) * self.pm_m(pixels)
        return made


def t95(degrees: int) -> float:
    """Return Student's two-sided 95 % point; that of a normal error for 0 (sigma is given)."""
    if degrees <= 0:
        return Z95
    from scipy.special import stdtrit

    return float(stdtrit(degrees, 0.975))


def radius95(degrees: int) -> float:
    """Return the 95 % radius of two axes whose one sigma was found with so many degrees.

    The square of it over 2 is a point of Fisher's F; for 0 the sigma is given.
    """
    if degrees <= 0:
        return CIRCULAR_95
    from scipy.special import fdtri

    return float(np.sqrt(2.0 * fdtri(2, degrees, 0.95)))


def place_picture(
    pixels: Sequence[tuple[float, float]], ground_m: Sequence[tuple[float, float]], *,
    fit: Fit | None = None, point_sigma_m: float = 3.0,
) -> Placed:  # fmt: skip
    """Return where a picture lies.

    Parameters
    ----------
    pixels, ground_m : the same places, (column, row) on the picture and metres on the ground.
    fit : "similarity" when left out; "affine" needs four pairs or more.
    point_sigma_m : one axis's error of a pair, used when no pair is left over, and to tell a
        pair that is wrong among few. [m]

    Raises
    ------
    BadInput
        Too few pairs, or pairs in one place or nearly in line.
    """
    here, there = np.asarray(pixels, dtype=float), np.asarray(ground_m, dtype=float)
    fit = fit or "similarity"
    _check(here, fit)
    matrix, left, spread = _solve(here, there, fit)
    degrees = 2 * len(here) - UNKNOWNS[fit]
    sigma = float(np.sqrt((left**2).sum() / degrees)) if degrees else point_sigma_m
    return Placed(
        matrix, fit, sigma, degrees, _wrong_one(here, there, fit, point_sigma_m), spread
    )  # fmt: skip


def _check(here: FloatArray, fit: Fit) -> None:
    least = FEWEST_AFFINE if fit == "affine" else 2
    if len(here) < least:
        raise BadInput(
            f"{len(here)} pairs of points do not place a picture",
            fix=f"give at least {least}, well apart",
        )
    spread = np.linalg.svd(here - here.mean(axis=0), compute_uv=False)
    if spread[0] < 1.0:
        raise BadInput(
            "the points lie on one spot of the picture", fix="choose them well apart"
        )
    if fit == "affine" and spread[1] < NARROW * spread[0]:
        raise BadInput(
            "the points lie nearly in line, so the picture could lean to any side",
            fix="add one well off that line, or leave affine out",
        )


def _design(pixels: FloatArray, fit: Fit) -> FloatArray:
    """Return the equations of each point's two axes, shape (2n, unknowns)."""
    x, y = pixels[:, 0], pixels[:, 1]
    one, none = np.ones(len(x)), np.zeros(len(x))
    if fit == "affine":
        east = np.column_stack([x, y, one, none, none, none])
        north = np.column_stack([none, none, none, x, y, one])
    else:  # rows run down and north runs up: a turn of a mirrored frame
        east = np.column_stack([x, y, one, none])
        north = np.column_stack([-y, x, none, one])
    out = np.empty((2 * len(x), east.shape[1]))
    out[::2], out[1::2] = east, north
    return out


def _solve(
    here: FloatArray, there: FloatArray, fit: Fit
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the matrix (2, 3), what is left over (n, 2), and the unknowns' spread."""
    design = _design(here, fit)
    # scaled, so that pixels of thousands and metres of millions solve well
    scale = np.abs(design).max(axis=0)
    answer, *_ = np.linalg.lstsq(design / scale, there.ravel(), rcond=None)
    answer = answer / scale
    left = there - (design @ answer).reshape(there.shape)
    spread = np.linalg.pinv((design / scale).T @ (design / scale)) / np.outer(scale, scale)
    if fit == "affine":
        matrix = answer.reshape(2, 3)
    else:
        a, b, east, north = answer
        matrix = np.array([[a, b, east], [b, -a, north]])
    return matrix, left, spread


def _wrong_one(
    here: FloatArray, there: FloatArray, fit: Fit, point_sigma_m: float
) -> int | None:
    """Return the pair that disagrees with all others, None when none does or too few are left.

    Each pair's miss of the fit of the others is set against the error predicted for it; over
    all pairs a right set is doubted once in a hundred. Few others tell little of their own
    error; where they agree as well as pairs should, that error is taken for theirs.
    """
    degrees = 2 * (len(here) - 1) - UNKNOWNS[fit]
    if degrees < 2:  # noqa: PLR2004 - the rest must check itself
        return None
    from scipy.special import chdtri, fdtri

    odds, known = [], []
    agree = float(chdtri(degrees, 0.05)) * point_sigma_m**2
    for row in range(len(here)):
        rest = np.arange(len(here)) != row
        matrix, left, spread = _solve(here[rest], there[rest], fit)
        gap = there[row] - (here[row] @ matrix[:, :2].T + matrix[:, 2])
        own, _ = _design(here[[row]], fit)
        over, lever = float((left**2).sum()), 1.0 + float(own @ spread @ own)
        odds.append(float((gap**2).sum()) / (2.0 * max(over / degrees, 1e-18) * lever))
        alike = float((gap**2).sum()) / (point_sigma_m**2 * lever)
        known.append(alike if over <= agree else 0.0)
    for value, limit in (
        (odds, float(fdtri(2, degrees, 1.0 - FALSE_ALARM / len(here)))),
        (known, float(chdtri(2, FALSE_ALARM / len(here)))),
    ):
        worst = int(np.argmax(value))
        if value[worst] > limit:
            return worst
    return None


def wrong_if_north_up(
    pixels: FloatArray, ground_m: FloatArray, *, north_deg: float, point_sigma_m: float
) -> int | None:
    """Return the one of three pairs that is wrong if the picture is north up, else None.

    Three pairs that disagree cannot tell by themselves which is wrong: any two of them fit. If
    the line of two alone runs on the picture as it does on the ground, the third is.

    Parameters
    ----------
    pixels, ground_m : as in `place_picture`, shape (3, 2).
    north_deg : the bearing of true north from the ground's own north. [deg]
    point_sigma_m : one axis's error of a pair. [m]
    """
    straight = []
    for row in range(3):
        one, two = (k for k in range(3) if k != row)
        across, down = pixels[two] - pixels[one]
        east, north = ground_m[two] - ground_m[one]
        length_m = float(np.hypot(east, north))
        if not length_m or not (across or down):
            return None
        off_deg = float(np.degrees(Z95 * np.sqrt(2.0) * point_sigma_m / length_m))
        if off_deg > VAGUE_DEG:
            return None
        turn = np.degrees(np.arctan2(east, north) - np.arctan2(across, -down)) - north_deg
        straight.append(abs(math.remainder(turn, 360.0)) <= NORTH_UP_DEG + off_deg)
    return straight.index(True) if sum(straight) == 1 else None
