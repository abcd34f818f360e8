"""Settings of the place itself, and the whole of property.toml."""

from __future__ import annotations

import dataclasses
import datetime as dt
import functools
from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le

from quietacre.settings.amounts import (
    Buying,
    Equipment,
    Forage,
    Mix,
    Product,
    SoilTest,
    Spray,
    Stock,
)
from quietacre.settings.days import CropRule, Lags, Quiet, Round, TaskRule, Weather, Work
from quietacre.settings.ground import Area
from quietacre.settings.types import STRICT, MonthDay, Region, State, TileAddress, Word


@dataclass(frozen=True)
class PropertyInfo:
    """``[property]``: the place itself."""

    __pydantic_config__ = STRICT

    name: Word
    boundary: str | None = None
    state: State | None = None
    region: Region | None = None  # whose planting windows hold here; all when blank
    note: str | None = None
    last_frost: MonthDay | None = None  # of spring; shifts the vine's growth
    first_frost: MonthDay | None = None  # of autumn
    keep_vine_confirmed: bool = False  # the state rule has been read and allows it
    format: Annotated[int, Ge(1)] | None = None  # a folder of a newer one is only read
    begun: dt.date | None = None  # jobs from before are not asked for
    id: Word | None = None  # what calendars and ticks know the place by, whatever its name

    @property
    def known_by(self) -> str:
        """Return what calendars and ticks know the place by: its id, its name without one."""
        return self.id or self.name


@dataclass(frozen=True)
class MapSettings:
    """``[map]``: how the map is shown first."""

    __pydantic_config__ = STRICT

    units: Literal["us", "metric"] = "us"
    picture: str | None = None  # laid under the map and embedded
    picture_crs: str | None = None  # for a picture that does not say
    tiles: TileAddress | None = None  # a service the page may ask for pictures
    tiles_credit: str | None = None
    tiles_most_zoom: Annotated[int, Ge(1), Le(22)] = 19


#: What has an event of its own in the calendar.
EventFor = Literal["trip", "job"]


@dataclass(frozen=True)
class CalendarSettings:
    """``[calendar]``: how the year goes into a calendar."""

    __pydantic_config__ = STRICT

    event_for: EventFor = "trip"


@dataclass(frozen=True)
class Use:
    """``[use]``: what other packages give, by the names they give it."""

    __pydantic_config__ = STRICT

    readers: tuple[Word, ...] = ()
    steps: tuple[Word, ...] = ()
    outputs: tuple[Word, ...] = ()


@dataclass(frozen=True)
class Property:
    """A whole property.toml."""

    __pydantic_config__ = STRICT

    property: PropertyInfo
    quiet: tuple[Quiet, ...] = ()
    equipment: Equipment = Equipment()
    area: tuple[Area, ...] = ()
    mix: tuple[Mix, ...] = ()
    soil_test: tuple[SoilTest, ...] = ()
    product: tuple[Product, ...] = ()
    stock: tuple[Stock, ...] = ()
    spray: tuple[Spray, ...] = ()
    buying: Buying = Buying()
    forage: Forage | None = None
    task: tuple[TaskRule, ...] = ()
    round: tuple[Round, ...] = ()
    lags: Lags = Lags()
    crop: dict[str, CropRule] = dataclasses.field(default_factory=dict)
    work: Work = Work()
    weather: Weather | None = None
    map: MapSettings = MapSettings()
    calendar: CalendarSettings = CalendarSettings()
    use: Use = Use()
    log_words: dict[str, Word] = dataclasses.field(default_factory=dict)

    @functools.cached_property
    def area_by_id(self) -> dict[str, Area]:
        """Return the areas by the ids that frames and the report know them by."""
        return {f"a{number:02d}": area for number, area in enumerate(self.area, 1)}
