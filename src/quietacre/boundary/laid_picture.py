"""A picture laid on the ground by pairs of places: its corners, its error anywhere, its world file."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from quietacre.boundary.placing import (
    FALSE_ALARM,
    FEWEST_AFFINE,
    Placed,
    place_picture,
    wrong_if_north_up,
)
from quietacre.chance import CIRCULAR_95
from quietacre.errors import BadInput
from quietacre.figures import feet
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from quietacre.boundary.placing import Fit

    FloatArray = NDArray[np.float64]

#: The error is told on so many columns and rows of a picture.
GRID = 9
#: The zones of the world's grid end there. [deg]
MOST_LAT_DEG = 84.0
#: With so many pairs, one that is wrong can be told from the rest: those must check themselves.
ENOUGH = {"similarity": 4, "affine": 5}
PAIR_NUMBERS = 4
#: A fit that may lean leaves over so many times less where the picture leans. Ours.
LEANS = 5.0


@dataclass(frozen=True)
class LaidPicture:
    """A picture on the ground. ``system`` is the grid whose metres ``placed`` is in.

    ``pixels`` (n, 2) are the pairs' places on it, from its upper left; ``ground_m`` (n, 2) the
    same in metres of the system. ``leans`` says that a picture let lean would fit far better,
    ``apart`` that too few pairs to tell which is wrong lie further apart than they should;
    ``wrong_if_north_up`` is the row of the one of three that is wrong if north is up on it.
    """

    placed: Placed
    system: str
    width: int
    height: int
    pixels: FloatArray
    ground_m: FloatArray
    leans: bool
    apart: bool
    wrong_if_north_up: int | None

    @property
    def doubted(self) -> int | None:
        """Return the row of the pair that is likely wrong, None when none is."""
        return self.wrong_if_north_up if self.placed.wrong is None else self.placed.wrong

    @property
    def outline(self) -> FloatArray:
        """Return its corners in pixels from the upper left on, clockwise, shape (4, 2)."""
        w, h = self.width, self.height
        return np.array([(0, 0), (w, 0), (w, h), (0, h)], dtype=float)

    def corners(self) -> list[list[float]]:
        """Return longitude and latitude of its corners, from the upper left on, clockwise."""
        return [[float(x), float(y)] for x, y in self.lonlat(self.outline)]

    def lonlat(self, pixels: FloatArray) -> FloatArray:
        """Return longitude and latitude of places on it, shape (n, 2). [deg]"""
        from pyproj import Transformer

        move = Transformer.from_crs(self.system, "EPSG:4326", always_xy=True)
        east, north = self.placed.ground_m(pixels).T
        lon, lat = move.transform(east, north, errcheck=True)
        return np.column_stack([lon, lat])

    def pixels_at(self, lonlat: FloatArray) -> FloatArray:
        """Return the places on it of longitudes and latitudes, shape (n, 2)."""
        east, north = metres(self.system, lonlat[:, 0], lonlat[:, 1])
        matrix = self.placed.matrix
        gap = np.column_stack([east, north]) - matrix[:, 2]
        return np.asarray(np.linalg.solve(matrix[:, :2], gap.T).T, dtype=np.float64)

    def pm_ft(self, pixels: FloatArray) -> FloatArray:
        """Return the radius that holds 95 % of the true places, shape (n,). [ft]"""
        return np.asarray(self.placed.radius_m(pixels) / FT_M)

    def errors_ft(self) -> tuple[float, float]:
        """Return the largest such radius between the points, and in the corners. [ft]"""
        inside = np.vstack([self.pixels, self.pixels.mean(axis=0)])
        return float(self.pm_ft(inside).max()), float(self.pm_ft(self.outline).max())

    def grid(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Return columns, rows and the radius at each crossing, shape (rows, columns). [ft]"""
        x, y = np.linspace(0, self.width, GRID), np.linspace(0, self.height, GRID)
        places = np.column_stack([one.ravel() for one in np.meshgrid(x, y)])
        return x, y, self.pm_ft(places).reshape(GRID, GRID)

    def misses_ft(self) -> FloatArray:
        """Return how far each pair lies from where the fit puts it, shape (n,). [ft]"""
        gap = self.placed.ground_m(self.pixels) - self.ground_m
        return np.asarray(np.hypot(*gap.T) / FT_M)

    def world_file(self) -> bytes:
        """Return the six lines of a world file: the middle of the first pixel last."""
        (a, b, c), (d, e, f) = self.placed.matrix.tolist()
        middle = (c + (a + b) / 2.0, f + (d + e) / 2.0)
        return "".join(f"{value:.10f}\n" for value in (a, d, b, e, *middle)).encode()

    def words(self) -> list[str]:
        """Return what to say of how it lies."""
        low, high = (feet(value) for value in self.errors_ft())
        lines = [
            f"an edge drawn between the points may be off by {low}, in the picture's corners by {high} "
            "(95 %)"
        ]
        if self.leans:
            lines.append(
                "it fits far better when it may lean, as a photograph of a paper does: place it as affine"
            )
        if self.placed.wrong is not None:
            lines.append(
                f"pair {self.placed.wrong + 1} disagrees with all others; look at it and place it again"
            )
        elif len(self.pixels) < (enough := ENOUGH[self.placed.fit]):
            count = len(self.pixels)
            if self.wrong_if_north_up is not None:
                lines.append(
                    f"the {count} pairs do not fit each other: if north is straight up on the picture, pair "
                    f"{self.wrong_if_north_up + 1} is the wrong one; place it again, or place another: with "
                    f"{enough} or more it is told without that"
                )
            elif self.apart:
                lines.append(
                    f"the {count} pairs do not fit each other: one is likely wrong, or the picture leans; with "
                    f"{enough} or more it is told which one, so place another"
                )
            else:
                lines.append(
                    f"with {count} pairs a wrong one cannot be told; {enough} or more check themselves"
                )
        return lines


def metres(system: str, lon: FloatArray, lat: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return metres east and north of a grid, of longitudes and latitudes."""
    from pyproj import Transformer

    move = Transformer.from_crs("EPSG:4326", system, always_xy=True)
    east, north = move.transform(lon, lat, errcheck=True)
    return east, north


def _north_deg(system: str, lon: float, lat: float) -> float:
    """Return the bearing of true north on a grid. [deg]"""
    from pyproj import Proj

    return float(-Proj(system).get_factors(lon, lat).meridian_convergence)


def _checked(
    pairs: Sequence[Sequence[float]], width: int, height: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return places on the picture (n, 2), longitudes and latitudes, or raise BadInput."""
    try:
        table = np.array([list(pair) for pair in pairs], dtype=float)
    except (TypeError, ValueError):
        table = np.zeros(0)
    if table.shape[1:] != (PAIR_NUMBERS,) or not np.isfinite(table).all():
        raise BadInput(
            "the pairs are none", fix="give x, y, longitude and latitude of each"
        )
    pixels, lon, lat = table[:, :2], table[:, 2], table[:, 3]
    off = (pixels < 0) | (pixels > (width, height))
    if off.any():
        x, y = pixels[off.any(axis=1)][0]
        raise BadInput(
            f"{x:g},{y:g} lies off the picture", fix=f"it has {width} by {height} pixels"
        )
    nowhere = (np.abs(lat) > MOST_LAT_DEG) | (np.abs(lon) > 180.0)  # noqa: PLR2004 - degrees
    if nowhere.any():
        raise BadInput(
            f"{lat[nowhere][0]:g},{lon[nowhere][0]:g} is no place",
            fix="write latitude first",
        )
    return pixels, lon, lat


def lay_picture(
    pairs: Sequence[Sequence[float]], width: int, height: int, *, fit: Fit | None = None,
    point_pm_ft: float = 20.0,
) -> LaidPicture:  # fmt: skip
    """Return where a picture lies.

    Parameters
    ----------
    pairs : column and row on the picture, then longitude and latitude of the same place.
    width, height : of the picture. [pixels]
    fit : as in `place_picture`.
    point_pm_ft : how far off a pair may be, 95 %. [ft]

    Raises
    ------
    BadInput
        A pair is none; there are too few, or they lie on one spot or nearly in line.
    """
    pixels, lon, lat = _checked(pairs, width, height)
    zone = int((lon[0] + 180.0) // 6.0) % 60 + 1
    system = f"EPSG:{(32_600 if lat[0] >= 0 else 32_700) + zone}"
    ground = np.column_stack(metres(system, lon, lat))
    here = [(x, y) for x, y in pixels.tolist()]
    there = [(x, y) for x, y in ground.tolist()]
    sigma_m = point_pm_ft * FT_M / CIRCULAR_95
    placed = place_picture(here, there, fit=fit, point_sigma_m=sigma_m)
    leans = apart = False
    if placed.degrees and len(here) < ENOUGH[placed.fit]:
        from scipy.special import chdtri

        limit = float(chdtri(placed.degrees, FALSE_ALARM)) * sigma_m**2
        apart = placed.degrees * placed.sigma_m**2 > limit
    by_north = None
    if apart and len(here) == 3:  # noqa: PLR2004 - as that function has it
        by_north = wrong_if_north_up(
            pixels,
            ground,
            north_deg=_north_deg(system, lon[0], lat[0]),
            point_sigma_m=sigma_m,
        )
    if fit is None and len(here) >= FEWEST_AFFINE and placed.sigma_m > sigma_m:
        with contextlib.suppress(BadInput):  # nearly in line
            leaning = place_picture(here, there, fit="affine", point_sigma_m=sigma_m)
            leans = leaning.sigma_m * LEANS < placed.sigma_m
    return LaidPicture(
        placed, system, width, height, pixels, ground, leans, apart, by_north
    )
