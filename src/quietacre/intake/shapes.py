"""The features of a shapefile as fiona gives them, with no word on what they mean."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import fiona
import shapely
from fiona.errors import FionaError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

#: What fiona raises on a file that it cannot make out; the NameError is its own slip,
#: on an odd .prj.
UNREADABLE = (FionaError, RuntimeError, UnicodeDecodeError, OSError, NameError)


class ShapeUnreadError(RuntimeError):
    """One shape cannot be read; the message says which."""


@dataclass(frozen=True)
class Shapes:
    """An open shapefile: ``rows`` gives each shape with its properties, once.

    ``system`` is well-known text or ""; ``bounds`` are west, south, east and north in
    it, None without features.
    """

    system: str
    bounds: tuple[float, ...] | None
    count: int
    rows: Iterator[tuple[shapely.Geometry | None, Mapping[str, object]]]


@contextmanager
def open_shapes(path: Path) -> Iterator[Shapes]:
    """Give what a shapefile holds, through the one driver that may read it."""
    with fiona.open(path, driver="ESRI Shapefile") as source:
        count = len(source)
        bounds = tuple(source.bounds) if count else None
        yield Shapes(source.crs_wkt, bounds, count, _rows(source))


def _rows(source: Any) -> Iterator[tuple[shapely.Geometry | None, Mapping[str, object]]]:  # noqa: ANN401
    for number, feature in enumerate(source, 1):
        shape = None
        if feature.geometry is not None:
            try:
                shape = shapely.geometry.shape(feature.geometry)
            except (ValueError, TypeError, shapely.errors.GEOSException) as problem:
                raise ShapeUnreadError(
                    f"the shape of feature {number}: {problem}"
                ) from problem
        yield shape, dict(feature.properties)
