"""A recording that no walk of an edge makes: miles across, from one jump."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from quietacre.units import MILE_M

if TYPE_CHECKING:
    from numpy.typing import NDArray

#: No area that one walk goes round is wider.
MOST_ACROSS_MI = 30.0
#: So many fixes far off, or this share of them, are jumps of the receiver, not a journey.
FEW_FIXES, FEW_SHARE = 1, 0.01


class Span(NamedTuple):
    """How far across fixes lie, and the longest step: the fix it leads to and its length."""

    across_mi: float
    fix: int
    jump_mi: float


def too_far(xy: NDArray[np.float64]) -> Span | None:
    """Return how far fixes lie apart when that is too far for one area, None when it is not.

    Parameters
    ----------
    xy : array, shape (n, 2), metres about the middle fix.
    """
    off = np.hypot(*xy.T)
    far = int((off > 0.5 * MOST_ACROSS_MI * MILE_M).sum())
    if far <= max(FEW_FIXES if len(xy) > 20 else 0, FEW_SHARE * len(xy)):  # noqa: PLR2004
        return None
    across = float(np.hypot(*np.ptp(xy, axis=0)))
    if across <= MOST_ACROSS_MI * MILE_M:
        return None
    steps = np.hypot(*np.diff(xy, axis=0).T)
    fix = int(np.argmax(steps)) + 1
    return Span(across / MILE_M, fix, float(steps[fix - 1]) / MILE_M)
