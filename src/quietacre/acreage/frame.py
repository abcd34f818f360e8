"""Local metric frames: where lengths, widths and buffers live.

A frame is an azimuthal equal-area projection centred on the property or patch.
Within a few miles of its centre it keeps lengths and areas to parts per
million, which no national or world projection does. Never buffer anywhere
else.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray
    from pyproj import Transformer

    FloatArray = NDArray[np.float64]


def sound(shapes: NDArray[np.object_]) -> NDArray[np.object_]:
    """Return shapes whose polygons overlays can work with.

    A polygon whose parts touch may no longer be valid when its corners move by the rounding
    of a projection; its ground stays the same within that rounding.
    """
    bad = np.flatnonzero(~shapely.is_valid(shapes))
    if not len(bad):
        return shapes
    out: NDArray[np.object_] = np.array(shapes, dtype=object)
    for row in bad.tolist():
        made = shapely.make_valid(out[row], method="structure", keep_collapsed=False)
        parts = [p for p in shapely.get_parts(made) if p.geom_type == "Polygon"]
        out[row] = parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)
    return out


@dataclass(frozen=True)
class LocalFrame:
    """A metric frame centred at ``lon0``, ``lat0`` [deg] on WGS84.

    ``lon0`` may lie beyond 180°: what comes back lies within half a turn of it, so that
    ground across the antimeridian stays in one piece and beside its neighbors.

    Scale error at distance d from the centre is about d²/(8 R²): 0.4 ppm at
    seven miles.
    """

    lon0: float
    lat0: float

    @classmethod
    def around(cls, geometries: Iterable[shapely.Geometry]) -> LocalFrame:
        """Return the frame centred on what is given, longitude wrap included.

        Raises
        ------
        ValueError
            There is nothing but empty geometry.
        """
        xy = shapely.get_coordinates(np.array(list(geometries), dtype=object))
        if not len(xy):
            raise ValueError("a frame needs at least one coordinate")
        lon = xy[0, 0] + (xy[:, 0] - xy[0, 0] + 180.0) % 360.0 - 180.0
        lon0 = (lon.min() + lon.max()) / 2
        lat0 = (xy[:, 1].min() + xy[:, 1].max()) / 2
        return cls(float(lon0), float(lat0))

    @cached_property
    def _transformer(self) -> Transformer:
        from pyproj import Transformer

        # by name instead of by looking up reference systems: the same steps, a hundred
        # times sooner, and every patch has a frame of its own
        lat, lon = map(np.format_float_positional, (self.lat0, self.lon0))
        return Transformer.from_pipeline(
            "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad "
            f"+step +proj=laea +lat_0={lat} +lon_0={lon} +ellps=WGS84"
        )

    def xy(self, lon: FloatArray, lat: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return metres east and north of the centre; shapes are kept."""
        x, y = self._transformer.transform(lon, lat, errcheck=True)
        return x, y

    def lonlat(self, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return longitude and latitude [deg] of local metres; shapes are kept."""
        lon, lat = self._transformer.transform(x, y, direction="INVERSE", errcheck=True)
        return lon - 360.0 * np.round((lon - self.lon0) / 360.0), lat

    def to_local(self, geometries: NDArray[np.object_]) -> NDArray[np.object_]:
        """Return shapely geometries, shape (n,), in local metres."""
        return self._move(geometries, self.xy)

    def to_lonlat(self, geometries: NDArray[np.object_]) -> NDArray[np.object_]:
        """Return shapely geometries, shape (n,), in longitude, latitude [deg]."""
        return self._move(geometries, self.lonlat)

    @staticmethod
    def _move(
        geometries: NDArray[np.object_],
        change: Callable[[FloatArray, FloatArray], tuple[FloatArray, FloatArray]],
    ) -> NDArray[np.object_]:
        array = np.asarray(geometries, dtype=object)

        def moved(coords: FloatArray) -> FloatArray:
            return np.column_stack(change(coords[:, 0], coords[:, 1]))

        out: NDArray[np.object_] = shapely.transform(array, moved)
        return out
