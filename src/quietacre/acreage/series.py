"""What the sums of a ring's area are multiplied by, and how long a degree is: WGS84.

The formula and its references stand in ``equal_area``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]

WGS84_A_M = 6_378_137.0
WGS84_F = 1 / 298.257223563
WGS84_E2 = WGS84_F * (2 - WGS84_F)
WGS84_E = WGS84_E2**0.5

#: Latitude span up to which the truncated series is exact to 1e-13. [deg]
SERIES_DEG = 0.15

RAD = np.pi / 180.0

#: The sums over edges that a ring's area is made of: powers of Δλ, of Δφ and of m.
SERIES_POWERS = (
    (1, 0, 1), (1, 0, 2), (1, 0, 3), (1, 0, 4), (1, 2, 0), (1, 2, 1), (3, 0, 0), (3, 0, 1),
)  # fmt: skip


def series_coefficients(lat0: FloatArray) -> tuple[FloatArray, ...]:
    """Return what each sum of ``SERIES_POWERS`` is multiplied by at latitudes. [m²/deg^k]

    The signed area of a ring within ``SERIES_DEG`` of ``lat0`` [deg] is the sum of the
    products; Δλ, Δφ and m are in degrees, m from ``lat0``.
    """
    q1, q2, q3, q4 = _ordinate_derivatives(lat0 * RAD)
    n2, dn2, m2, dm2 = _sliver_coefficients(lat0 * RAD)
    return (
        q1 * RAD**2,
        q2 / 2 * RAD**3,
        q3 / 6 * RAD**4,
        q4 / 24 * RAD**5,
        (q2 / 8 + m2) * RAD**3,
        (q3 / 8 + dm2) * RAD**4,
        n2 * RAD**3,
        dn2 * RAD**4,
    )


def degree_m(lat: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return how long a degree east and a degree north are at latitudes [deg]. [m]"""
    sin = np.sin(lat * RAD)
    w = 1.0 - WGS84_E2 * sin * sin
    east = WGS84_A_M / np.sqrt(w) * np.cos(lat * RAD)
    north = WGS84_A_M * (1.0 - WGS84_E2) / w**1.5
    return RAD * east, RAD * north


def _ordinate_derivatives(
    phi: FloatArray,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return the first four derivatives of Q by latitude. [m²/rad^k]

    Q' = M N cos φ = a²(1 − e²) cos φ / w², with w = 1 − e² sin² φ.
    """
    sin, cos = np.sin(phi), np.cos(phi)
    w = 1.0 - WGS84_E2 * sin * sin
    w1 = -2.0 * WGS84_E2 * sin * cos
    w2 = -2.0 * WGS84_E2 * (cos * cos - sin * sin)
    w3 = 8.0 * WGS84_E2 * sin * cos
    # v = w⁻² and its derivatives, then Leibniz with cos φ
    v = w**-2
    v1 = -2.0 * w1 * w**-3
    v2 = 6.0 * w1**2 * w**-4 - 2.0 * w2 * w**-3
    v3 = -24.0 * w1**3 * w**-5 + 18.0 * w1 * w2 * w**-4 - 2.0 * w3 * w**-3
    scale = WGS84_A_M**2 * (1.0 - WGS84_E2)
    return (
        scale * cos * v,
        scale * (cos * v1 - sin * v),
        scale * (cos * v2 - 2.0 * sin * v1 - cos * v),
        scale * (cos * v3 - 3.0 * sin * v2 - 3.0 * cos * v1 + sin * v),
    )


def _sliver_coefficients(
    phi: FloatArray,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return N² cos² φ sin φ/12 and M² sin φ/4, each with its slope by φ. [m²]"""
    sin, cos = np.sin(phi), np.cos(phi)
    w = 1.0 - WGS84_E2 * sin * sin
    w1 = -2.0 * WGS84_E2 * sin * cos
    a2 = WGS84_A_M**2
    n2 = a2 * cos * cos * sin / (12.0 * w)
    dn2 = a2 * (cos**3 - 2.0 * sin * sin * cos) / (12.0 * w) - n2 * w1 / w
    top = a2 * (1.0 - WGS84_E2) ** 2 / 4.0
    m2 = top * sin / w**3
    dm2 = top * cos / w**3 - 3.0 * m2 * w1 / w
    return n2, dn2, m2, dm2
