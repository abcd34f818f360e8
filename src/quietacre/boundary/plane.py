"""A small flat frame for one plot: metres east and north of a middle point."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.series import degree_m

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]


#: Places along a path are looked up this far apart. [m]
BESIDE_M = 0.5


def walked_m(xy: FloatArray) -> FloatArray:
    """Return the distance walked up to each point of a path, shape (n,). [m]"""
    walked: FloatArray = np.r_[0.0, np.cumsum(np.hypot(*np.diff(xy, axis=0).T))]
    return walked


def places_m(xy: FloatArray, walked: FloatArray, at: FloatArray) -> FloatArray:
    """Return the places at distances ``at`` along a path, its ends beyond them. [m]

    ``walked`` is what ``walked_m`` says of ``xy``; the result has shape (len(at), 2).
    """
    return np.column_stack([np.interp(at, walked, xy[:, k]) for k in (0, 1)])


def beside_m(xy: FloatArray, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return how far along a path each point lies beside it, and how far from it. [m]

    To half of ``BESIDE_M``. Measuring every point against every step would grow with the
    square of the fixes.
    """
    walked = walked_m(xy)
    at = np.linspace(0.0, walked[-1], int(walked[-1] / BESIDE_M) + 2)
    # a tree of points that need not be loaded first, which takes longer than most walks
    tree = shapely.STRtree(shapely.points(places_m(xy, walked, at)), node_capacity=4)
    (_, nearest), apart = tree.query_nearest(
        shapely.points(points), return_distance=True, all_matches=False
    )
    return at[nearest], np.asarray(apart)


def unit_vectors(vectors: FloatArray) -> FloatArray:
    """Return one vector, or several, as long as one each; those of no length as they are."""
    size = np.hypot(*vectors.T)[..., None]
    return np.asarray(np.divide(vectors, size, out=np.zeros_like(vectors), where=size > 0))


@dataclass(frozen=True)
class Plane:
    """Equirectangular metres about ``lon0``, ``lat0`` [deg].

    With the ellipsoid's two radii at the middle, lengths hold to parts in 1e4 a mile
    away; the final acreage never comes from here but from the ellipsoid.
    """

    lon0: float
    lat0: float

    @classmethod
    def around(cls, lon: FloatArray, lat: FloatArray) -> Plane:
        """Return the plane centred on the fixes, across the antimeridian too."""
        turned = lon[0] + (lon - lon[0] + 180.0) % 360.0 - 180.0
        return cls(float(np.median(turned)), float(np.median(lat)))

    @property
    def _scale(self) -> tuple[float, float]:
        east, north = degree_m(np.asarray(self.lat0))
        return float(east), float(north)

    def xy(self, lon: FloatArray, lat: FloatArray) -> FloatArray:
        """Return local metres, shape (n, 2)."""
        east, north = self._scale
        d_lon = (np.asarray(lon) - self.lon0 + 180.0) % 360.0 - 180.0
        return np.column_stack([d_lon * east, (np.asarray(lat) - self.lat0) * north])

    def lonlat(self, xy: FloatArray) -> FloatArray:
        """Return longitude and latitude [deg], shape (n, 2)."""
        east, north = self._scale
        return np.column_stack([self.lon0 + xy[:, 0] / east, self.lat0 + xy[:, 1] / north])

    def local(self, shape: shapely.Geometry) -> shapely.Geometry:
        """Return a geometry in longitude, latitude as one in local metres."""
        return shapely.transform(shape, lambda c: self.xy(c[:, 0], c[:, 1]))

    def ground(self, shape: shapely.Geometry) -> shapely.Geometry:
        """Return a geometry in local metres as one in longitude, latitude."""
        return shapely.transform(shape, self.lonlat)
