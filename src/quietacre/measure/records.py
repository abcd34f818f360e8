"""What measuring a property found: the records that the rest of a build works on."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from quietacre.plugins import Plugins

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping

    import geopandas as gpd
    import shapely

    from quietacre.boundary.differ import OtherReading
    from quietacre.boundary.walk import Walk
    from quietacre.daily import Daily
    from quietacre.kept_years import YearRecord
    from quietacre.model import Job, Note, SurveyedEdge, Transect
    from quietacre.settings import Property

#: By name; the library of frames takes longest to load, and not all of a measuring needs it.
Frames = dict[str, "gpd.GeoDataFrame"]


@dataclass(frozen=True)
class Extras:
    """What measuring found besides the areas themselves.

    ``boundary`` is the property line or None; ``walks``, ``surveys`` and ``methods`` go
    by area id, the oldest survey first; ``layers`` holds walks, removed, bands, previous, boundary and
    waypoints as EPSG:4326 frames.
    """

    boundary: shapely.Geometry | None
    walks: Mapping[str, Walk]
    surveys: Mapping[str, tuple[SurveyedEdge, ...]]
    overlap_acres: float
    total_acres: float
    notes: tuple[Note, ...]
    area_notes: Mapping[str, tuple[Note, ...]] = field(default_factory=dict)
    methods: Mapping[str, str] = field(default_factory=dict)  # how each is known
    layers: Frames = field(default_factory=dict)
    done: tuple[Job, ...] = ()
    seen: tuple[Job, ...] = ()
    degree_days: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    transects: tuple[Transect, ...] = ()
    weather: Daily | None = None
    plugins: Plugins = field(default_factory=Plugins)
    kept: tuple[YearRecord, ...] = ()  # years that were closed, the oldest first
    walked: Mapping[str, dt.date] = field(
        default_factory=dict
    )  # the first day of each's walks


class Measured(NamedTuple):
    """A property read and measured, before anything is planned on it."""

    prop: Property
    areas: gpd.GeoDataFrame
    extras: Extras


class Ground(NamedTuple):
    """One area's ground, however it was recorded."""

    shape: shapely.Geometry
    walk: Walk | None
    method: str
    notes: tuple[Note, ...]
    waypoints: tuple[Any, ...]
    acres_range: tuple[float, float] | None = None  # where neither walk nor shape tells it
    edge_sigma_m: float | None = None
    readings: tuple[OtherReading, ...] = ()  # of an edge that was read more than once
    walked: tuple[dt.date, ...] = ()  # the days of its walks, the earliest first

    def between(self, acres: float) -> tuple[float, float]:
        """Return the acres it lies between, 95 %; ``acres`` twice where nothing is known."""
        if self.walk is not None:
            return self.walk.acres_low, self.walk.acres_high
        return self.acres_range or (acres, acres)

    @property
    def sigma_m(self) -> float:
        """Return one axis's error of its edge, NaN where nothing is known. [m]"""
        if self.walk is not None:
            return self.walk.edge_sigma_m
        return math.nan if self.edge_sigma_m is None else self.edge_sigma_m
