"""Settings of days: quiet seasons, tasks and their lags, the days a person has, the weather."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le
from pydantic import Field

from quietacre.settings.types import (
    STRICT,
    AreaKind,
    Count,
    Days,
    DaysBefore,
    Every,
    MonthDay,
    NotNegative,
    Positive,
    Word,
)


@dataclass(frozen=True)
class Quiet:
    """``[[quiet]]``: a no-disturbance season, both ends inclusive."""

    __pydantic_config__ = STRICT

    name: Word
    start: MonthDay
    end: MonthDay
    keeps_out: Literal["all"] | tuple[str, ...] = "all"
    source: str | None = None


@dataclass(frozen=True)
class TaskRule:
    """``[[task]]`` or ``tasks = [ … ]``: change or add a task of the year."""

    __pydantic_config__ = STRICT

    task: Word
    days_before: DaysBefore | None = None  # ideal, counted back from planting
    earliest_days_before: DaysBefore | None = None
    latest_days_before: DaysBefore | None = None
    minutes: NotNegative | None = None
    machine: str | None = None
    skip: bool = False
    on: dt.date | None = None
    crop: str | None = None
    kind: AreaKind | None = None
    who: Word | None = None  # who does it

    @property
    def changes(self) -> bool:
        """Return whether it changes when or how the task is done, not only who does it."""
        own = (self.days_before, self.earliest_days_before, self.latest_days_before,
               self.minutes, self.machine, self.on)  # fmt: skip
        return self.skip or any(value is not None for value in own)


@dataclass(frozen=True)
class Round:
    """``[[round]]``: a job that comes round without a planting."""

    __pydantic_config__ = STRICT

    task: Word  # its word, as the log has it
    every: Every
    months: tuple[MonthDay, MonthDay]  # the time of year it belongs to
    kind: AreaKind | None = None
    area: str | None = None
    label: str | None = None
    machine: str = "on foot"
    minutes: NotNegative | None = None
    offset: Annotated[int, Ge(0), Le(99)] = 0  # years by which the turns are moved on
    who: Word | None = None  # who does it
    after_quiet: bool = (
        False  # where quiet days take all of its time: after them, not before
    )
    source: str | None = None


@dataclass(frozen=True)
class Lags:
    """``[lags]``, or ``lags = { … }`` of a crop: least days from one job to the next."""

    __pydantic_config__ = STRICT

    soil_test_days: Days | None = None  # from the test to lime and fertilizer: 14
    lime_days: Days | None = None  # lime to planting: 90
    clip_days: Days | None = None  # clipping to planting: 42, more when the rot is longer
    rot_days: Days | None = None  # residue turned under to the second disking: 21
    rot_more_days: Days | None = None  # more rot when cool, and when woody: 7
    settle_days: Days | None = None  # smoothing to planting: 5
    top_dress_days: Days | None = None  # planting to top-dressing: 28
    exclosure_days: Days | None = None  # cage set to cage read: 42


@dataclass(frozen=True)
class CropRule:
    """``[crop.NAME]``: what holds for one crop wherever it is sown."""

    __pydantic_config__ = STRICT

    window: Word | None = None  # planting window, in place of the table's: "Sep 1-Oct 15"
    lags: Lags = Lags()
    tasks: tuple[TaskRule, ...] = ()


@dataclass(frozen=True)
class Work:
    """``[work]``: the days a person has."""

    __pydantic_config__ = STRICT

    weekdays: tuple[Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"], ...] = (
        "sat",
        "sun",
    )
    hours_day: Positive = 8.0
    helpers: Count = 0
    tractors: Annotated[int, Ge(1)] = 1
    extra_days: tuple[dt.date, ...] = ()
    blocked_days: tuple[dt.date, ...] = ()
    trip_minutes: NotNegative = 0.0  # driving there and back, out of the day


@dataclass(frozen=True)
class Weather:
    """``[weather]``: a daily record, and what counts as a planting rain."""

    __pydantic_config__ = STRICT

    files: Annotated[str, Field(alias="from")]
    rain_in: Positive = 0.5
    rain_days: Annotated[int, Ge(1), Le(60)] = 7
    growing_base_f: float = 50.0
    first_year: int | None = None  # base period; the whole record when blank
    last_year: int | None = None
