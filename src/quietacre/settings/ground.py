"""Settings of ground: an area, its strip, its feeds and its harvest."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le
from pydantic import Field

from quietacre.settings.days import TaskRule
from quietacre.settings.types import (
    STRICT,
    AreaKind,
    Days,
    Fed,
    NotNegative,
    Paths,
    PlantDay,
    Positive,
    PositiveFraction,
    Sky,
    Word,
)


@dataclass(frozen=True)
class Previous:
    """``surveys = [{ from, on }, …]``: the patch edge of an earlier survey.

    ``previous = { from, on }`` is one of them.
    """

    __pydantic_config__ = STRICT

    files: Annotated[Paths, Field(alias="from")]
    on: dt.date
    feature: str | None = None  # one named feature of a file that holds many


@dataclass(frozen=True)
class StripSettings:
    """``strip = { … }`` of a patch or burn block."""

    __pydantic_config__ = STRICT

    width_ft: Positive | None = None  # worked out when left blank
    last_cut: dt.date | None = None
    next_cut: dt.date | None = None
    slip_days: Days = 10
    staked: bool = False
    edge_error_ft: NotNegative | None = None
    live_node_ft: NotNegative | None = None
    watch_lane_ft: NotNegative | None = None
    mix: str | None = None
    soil_test: str | None = None
    bare: bool = False  # kept bare from green-up, so nothing nests in it
    temperatures: str | None = None  # file of daily lows and highs


@dataclass(frozen=True)
class Feed:
    """``feed = { … }``: foliar feed or spot spray, from the person's label."""

    __pydantic_config__ = STRICT

    spray: Word  # name of a [[spray]]
    share: PositiveFraction = 1.0  # part of the area that is treated
    on: dt.date | None = None


@dataclass(frozen=True)
class Harvest:
    """``harvest = { … }``: hay, grain or straw that is hauled off the ground."""

    __pydantic_config__ = STRICT

    what: Word  # a line of the removal table, such as "hay"
    ton_ac: Positive | None = None
    bu_ac: Positive | None = None


@dataclass(frozen=True)
class PlacedCorner:
    """``placed = [ { … } ]``: a corner of a figure whose place on the ground is known."""

    __pydantic_config__ = STRICT

    corner: Annotated[int, Ge(1)]
    lat: Annotated[float, Ge(-90.0), Le(90.0)]
    lon: Annotated[float, Ge(-180.0), Le(180.0)]


@dataclass(frozen=True)
class Planting:
    """``plantings = [ { … } ]``: one of several plantings of an area in a year."""

    __pydantic_config__ = STRICT

    mix: str | None = None
    plant: PlantDay | None = None
    soil_test: str | None = None
    fertilizer: Fed | None = None
    topdress_n_lb_ac: Positive | None = None  # part of the nitrogen kept for later
    topdress_on: PlantDay | None = None


@dataclass(frozen=True)
class Area:
    """``[[area]]``: one piece of ground and what is meant for it."""

    __pydantic_config__ = STRICT

    name: Word
    kind: AreaKind
    files: Annotated[Paths, Field(alias="from")]
    feature: str | None = None  # one named feature of a file that holds many
    over: Paths | None = None  # the walk that the drawing in ``from`` was drawn over
    walked_inside_ft: NotNegative | None = None
    walked_outside_ft: NotNegative | None = None
    sky: Sky | None = None
    corners: Literal["straight", "curved"] | None = None  # of ground between pins
    order: Literal["time", "number", "file", "ring"] | None = None  # of those pins
    placed: tuple[PlacedCorner, ...] = ()  # of a tape's or a deed's figure
    declination_deg: Annotated[float, Ge(-180.0), Le(180.0)] | None = None
    pace_ft: Positive | None = None
    vara_ft: Positive | None = None
    edge_pm_ft: Positive | None = None  # how far off a drawn edge may be, 95 %
    map_scale: Annotated[float, Ge(100.0)] | None = None  # 24000 of a map of 1:24,000
    mix: str | None = None
    plant: PlantDay | None = None
    soil_test: str | None = None
    fertilizer: Fed | None = None
    plantings: tuple[Planting, ...] = ()  # several; in place of the five keys of one
    harvest: Harvest | None = None
    vine: str | None = None
    previous: Previous | None = None
    surveys: tuple[Previous, ...] = ()  # earlier ones; ``previous`` is one of them
    surveyed: dt.date | None = None
    strip: StripSettings | None = None
    feed: tuple[Feed, ...] = ()
    tasks: tuple[TaskRule, ...] = ()
    max_products: Annotated[int, Ge(1)] | None = None
    topdress_n_lb_ac: Positive | None = None  # part of the nitrogen kept for later
    topdress_on: PlantDay | None = None
    nitrogen_on_legumes: bool = False  # before planting, whatever the legumes' share
    residue: Literal["green", "woody"] = "green"  # what is turned under
    history: tuple[str, ...] = ()
    note: str | None = None
    who: Word | None = None  # who does the jobs on it
    was: tuple[Word, ...] = ()  # names it had before, the oldest first

    @property
    def earlier(self) -> tuple[Previous, ...]:
        """Return the earlier surveys, the oldest first, each once."""
        every = (*self.surveys, *([self.previous] if self.previous else []))
        return tuple(sorted(dict.fromkeys(every), key=lambda survey: survey.on))

    @property
    def first_name(self) -> str:
        """Return the name it had first: its jobs keep what they are known by."""
        return self.was[0] if self.was else self.name
