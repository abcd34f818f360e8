"""The corners of one area's program: the cheapest way to feed it within its limit of products."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np

from quietacre.need.program import POUND, SHORT_PENALTY
from quietacre.solver import dot

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from quietacre.need.program import Case, Floats

#: Corners of one area's program gone through at most; with more products than that, step 2
#: is left out. Ours.
MOST_CORNERS = 60_000
SLACK = 1e-9


class Corners:
    """Every corner of one area's program that uses at most ``most`` products.

    With prices a pound, the cheapest way to feed one area lies where as many nutrients
    stand at their least or most as products are used; the inverses are the same for all
    areas.
    """

    def __init__(self, share: Floats, most: int) -> None:
        g, m = share.shape
        self.share = share
        self.blocks: list[tuple[NDArray[np.int64], tuple[int, ...], Floats]] = []
        for size in range(1, min(most, m, g) + 1):
            sets = np.array(list(itertools.combinations(range(g), size)), dtype=np.int64)
            for picked in itertools.combinations(range(m), size):
                square = share[sets][:, :, list(picked)].transpose(0, 2, 1)
                size_of = _determinant(square)
                fits = np.abs(size_of) > SLACK
                if fits.any():
                    inverse = _inverse(square[fits], size_of[fits])
                    self.blocks.append((sets[fits], picked, inverse))

    @staticmethod
    def count(products: int, nutrients: int, most: int) -> int:
        """Return how many corners there would be."""
        return sum(
            math.comb(products, size) * math.comb(nutrients, size) * 2**size
            for size in range(1, min(most, nutrients, products) + 1)
        )

    def cheapest(self, prices: Floats, least: Floats, most: Floats) -> tuple[float, Floats]:
        """Return what an area costs at least at prices a pound, and the pounds it takes."""
        price = prices + POUND
        best = SHORT_PENALTY * float(least.sum())
        chosen = np.zeros(len(prices))
        for sets, picked, inverse in self.blocks:
            ends = [
                [v for v in {float(least[k]), float(most[k])} if v < math.inf]
                for k in picked
            ]
            for right in itertools.product(*ends):
                pounds = dot(inverse, right)
                good = (pounds >= -SLACK).all(axis=1)
                if not good.any():
                    continue
                pours, named = np.maximum(pounds[good], 0.0), sets[good]
                carried = (pours[:, :, None] * self.share[named]).sum(axis=1)
                keeps = (carried <= most + 1e-7).all(axis=1)
                if not keeps.any():
                    continue
                missing = np.maximum(least - carried[keeps], 0.0).sum(axis=1)
                cost = (pours[keeps] * price[named[keeps]]).sum(
                    axis=1
                ) + SHORT_PENALTY * missing
                at = int(cost.argmin())
                if cost[at] < best - SLACK:
                    best, chosen = float(cost[at]), np.zeros(len(prices))
                    chosen[named[keeps][at]] = pours[keeps][at]
        return best, chosen


def _determinant(square: Floats) -> Floats:
    """Return determinants of small squares, expanded along the first row."""
    size = len(square.T)
    if size == 0:
        return np.ones(len(square))
    out: Floats = np.zeros(len(square))
    for at in range(size):
        out = out + (-1.0) ** at * square[:, 0, at] * _determinant(_minor(square, 0, at))
    return out


def _inverse(square: Floats, determinant: Floats) -> Floats:
    """Return inverses of small squares, alike on any processor (``solver.dot``)."""
    out = np.empty_like(square)
    for i, j in itertools.product(range(len(square.T)), repeat=2):
        out[:, j, i] = (-1.0) ** (i + j) * _determinant(_minor(square, i, j)) / determinant
    return out


def _minor(square: Floats, row: int, column: int) -> Floats:
    return np.delete(np.delete(square, row, axis=1), column, axis=2)


def corners_of(case: Case) -> Mapping[int, Corners]:
    """Return the corners by how many products may be used."""
    g, m = case.share.shape
    limits = {min(int(limit), m, g) for limit in case.limit}
    return {
        limit: Corners(case.share, limit)
        for limit in limits
        if Corners.count(g, m, limit) <= MOST_CORNERS
    }


def cheapest_on(
    case: Case, corners: Mapping[int, Corners], prices: Floats, i: int
) -> tuple[float, Floats] | None:
    """Return what area ``i`` costs at least and the pounds it takes, None when not gone through."""
    g, m = case.share.shape
    known = corners.get(min(int(case.limit[i]), m, g))
    if known is None:
        return None
    return known.cheapest(prices, case.least[i], case.most[i])
