"""The way from a file's reference system to longitude and latitude."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

if TYPE_CHECKING:
    from pyproj import CRS, Transformer

    from quietacre.intake.file_notes import FileNotes

#: A whole circle. [deg]
FULL_TURN = 360.0
#: Shapes that are mostly smaller than this, near the origin of a system in lengths, are
#: degrees: no plot is so small. [m]
TINY_M = 10.0


@dataclass(frozen=True)
class Move:
    """The way from a file's reference system to longitude and latitude.

    ``far_origin``: the system's ground lies far from where its numbers are small.
    """

    system: str
    transformer: Transformer
    counts_lengths: bool
    unit_m: float
    far_origin: bool

    def __call__(self, xy: np.ndarray) -> np.ndarray:
        """Return coordinates (n, 2) in longitude and latitude. [deg]"""
        if not len(xy):
            return xy
        lon, lat = self.transformer.transform(xy[:, 0], xy[:, 1], errcheck=True)
        return np.column_stack([lon, lat])

    def takes_degrees(self, shapes: np.ndarray) -> bool:
        """Return whether shapes said to be in lengths are in degrees after all."""
        bounds = shapely.bounds(shapes)
        bounds = bounds[np.isfinite(bounds).all(axis=1)]
        limits = (FULL_TURN / 2, 90.0, FULL_TURN / 2, 90.0)
        if not self.counts_lengths or not len(bounds) or (np.abs(bounds) > limits).any():
            return False
        size_m = (bounds[:, 2:] - bounds[:, :2]).max(axis=1) * self.unit_m
        size_m = size_m[size_m > 0]
        return self.far_origin or (len(size_m) > 0 and float(np.median(size_m)) < TINY_M)


def to_wgs84(definition: Any, into: FileNotes, feature: str | None = None) -> Move | None:  # noqa: ANN401
    """Return the function to longitude and latitude, None when nothing must move.

    ``definition`` is anything pyproj reads: an authority code or WKT. Axis order is
    always east first. The reference system's own foot is used, survey or not.

    Raises
    ------
    FileProblem
        The reference system is not one of places on Earth, or is not known.
    """
    from pyproj import CRS, Transformer
    from pyproj.exceptions import CRSError

    try:
        crs = CRS.from_user_input(definition)
    except CRSError as problem:
        raise into.problem(
            "its reference system is not known", "export it in WGS84", feature
        ) from problem
    if crs.is_bound:
        crs = crs.source_crs or crs
    if not (crs.is_geographic or crs.is_projected or crs.is_compound):
        raise into.problem(
            f"its reference system “{crs.name}” is not one of places on Earth",
            "export it in WGS84",
            feature,
        )
    if crs.is_geographic and _is_wgs84(crs.name):
        return None
    return Move(
        crs.name,
        Transformer.from_crs(crs, "EPSG:4326", always_xy=True),
        counts_lengths=crs.is_projected,
        unit_m=crs.axis_info[0].unit_conversion_factor if crs.is_projected else 1.0,
        far_origin=_far_origin(crs),
    )


def _far_origin(crs: CRS) -> bool:
    """Return whether a projected system's own numbers are large, by its false origin."""
    steps = crs.coordinate_operation.params if crs.coordinate_operation else ()
    return crs.is_projected and any(
        abs(float(step.value)) > FULL_TURN
        for step in steps
        if "false" in step.name.lower()  # "False easting", "Easting at false origin"
    )


def _is_wgs84(name: str) -> bool:
    return name in ("WGS 84", "WGS 84 (CRS84)", "GCS_WGS_1984", "WGS84") or name.startswith(
        "WGS 84 longitude-latitude"
    )
