"""What is told of the daily record: rain after each day, weekends, freezes, this month."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

if TYPE_CHECKING:
    import datetime as dt

    from quietacre.year.frost import FrostReport
    from quietacre.year.rain import MonthRain, Odds


@dataclass(frozen=True, slots=True)
class DayOdds:
    """The odds of a planting rain after a day, and whether the sowing fits on it."""

    odds: Odds
    work_fits: bool
    trip_already: bool

    JSON_FLAT: ClassVar = ("odds",)


@dataclass(frozen=True, slots=True)
class Weekend:
    """A run of the person's days: the odds of rain after ``date``, and what of the sowing fits.

    ``date`` is the day on which the sowing is done; ``work_share`` the part of it that fits;
    ``short_of`` what there is too little of; ``score`` both shares joined.
    """

    first: dt.date
    last: dt.date
    date: dt.date
    share: float | None
    low: float
    high: float
    hits: int
    years: int
    minutes: float
    free_minutes: float
    work_share: float
    short_of: str | None
    score: float


@dataclass(frozen=True, slots=True)
class PlantingOdds:
    """A planting still to come: its days, its weekends, the best of them, its warmth after."""

    uid: str
    area: str
    area_id: str
    planting: str
    planned: dt.date | None
    days: tuple[DayOdds, ...]
    weekends: tuple[Weekend, ...]
    best: Weekend | None
    text: str
    to_move: str | None
    degree_days_to_year_end: float | None
    degree_years: int


@dataclass(frozen=True, slots=True)
class WeatherReport:
    """What the daily record says to the year's plan; rain in inches."""

    source: str
    first: dt.date
    last: dt.date
    base_period: tuple[int, int]
    dropped_by_flag: int
    traces: int
    rain_in: float
    rain_days: int
    this_month: MonthRain
    frost: FrostReport | None
    plantings: tuple[PlantingOdds, ...]
