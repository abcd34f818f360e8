"""The numbers with which the desk's page works out acres and lengths while a corner moves.

The page has no formula of its own: it sums products of powers, as ``equal_area`` does, and the
powers and what each is multiplied by come from here, for the latitude of the place.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from quietacre.acreage.series import (
    SERIES_DEG,
    SERIES_POWERS,
    degree_m,
    series_coefficients,
)
from quietacre.units import ACRE_M2, FT_M

#: Powers of the latitude that a degree's length is given by: to 1e-12 within the reach.
DEGREE_POWERS = 5


@dataclass(frozen=True)
class LiveNumbers:
    """What a page needs within ``reach_deg`` of the latitude ``lat_deg``.

    With Δλ and Δφ an edge's extent [deg] and m its middle's latitude less ``lat_deg``, a
    ring's area in acres is the sum over edges and ``terms`` (i, j, k, by) of
    by · Δλ^i · Δφ^j · m^k. ``east_ft`` and ``north_ft`` are a degree's length there, in
    powers of m from the lowest.
    """

    lat_deg: float
    reach_deg: float
    terms: tuple[tuple[int, int, int, float], ...]
    east_ft: tuple[float, ...]
    north_ft: tuple[float, ...]


def live_numbers(lat_deg: float) -> LiveNumbers:
    """Return the page's numbers for ground about a latitude.

    Parameters
    ----------
    lat_deg : latitude of the middle of the place. [deg]
    """
    by = series_coefficients(np.asarray(lat_deg))
    east_ft, north_ft = (_powers_of_degree(lat_deg, which) for which in (0, 1))
    return LiveNumbers(
        lat_deg=float(lat_deg),
        reach_deg=SERIES_DEG,
        terms=tuple(
            (i, j, k, float(some / ACRE_M2))
            for (i, j, k), some in zip(SERIES_POWERS, by, strict=True)
        ),
        east_ft=east_ft,
        north_ft=north_ft,
    )


def _powers_of_degree(lat_deg: float, which: int) -> tuple[float, ...]:
    """Return a degree's length east (0) or north (1) in powers of the latitude off. [ft]"""
    fit = np.polynomial.Chebyshev.interpolate(
        lambda m: degree_m(lat_deg + m)[which] / FT_M,
        DEGREE_POWERS,
        domain=[-SERIES_DEG, SERIES_DEG],
    )
    return tuple(map(float, fit.convert(kind=np.polynomial.Polynomial).coef))
