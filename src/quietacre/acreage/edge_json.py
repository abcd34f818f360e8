"""An edge as GeoJSON has it, with as many digits as a screen can show."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

#: Digits of a degree that a page draws: about four inches.
DIGITS = 6


def edge_json(shape: BaseGeometry | None) -> Any:  # noqa: ANN401 - a GeoJSON geometry
    """Return a shape in degrees as a GeoJSON geometry; None for ground without a place."""
    if shape is None:
        return None
    return shapely.geometry.mapping(
        shapely.transform(shape, lambda xy: np.round(xy, DIGITS))
    )
