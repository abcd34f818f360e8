"""What is told of a year: its jobs and days, what is proved, what does not fit, what was missed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, Literal

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping

    from quietacre.model import Level
    from quietacre.year.past import PastSeason
    from quietacre.year.states import MissedJob, State
    from quietacre.year.weather_records import WeatherReport


@dataclass(frozen=True, slots=True)
class After:
    """A job that comes before another, by its uid, and the days between them at least."""

    uid: str
    days: int


@dataclass(frozen=True, slots=True)
class YearTask:
    """One job of the year as it is told.

    ``job`` are the letters that a line of the log or a tick knows it by, ``log_word`` the word
    that a line has for it; ``asked`` the day that the person asked for; ``scheduled`` the day
    it has; ``after`` the jobs it waits for; ``says`` its state in words.
    """

    uid: str
    job: str
    log_word: str
    area: str
    area_id: str
    task: str
    label: str
    earliest: dt.date
    ideal: dt.date
    latest: dt.date
    asked: dt.date | None
    scheduled: dt.date | None
    minutes: float
    machine: str
    who: str | None
    reason: str
    after: tuple[After, ...]
    amounts: tuple[str, ...]
    planting: str | None
    status: str
    state: State
    says: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WorkDay:
    """A day with work: the minutes of all jobs on it, and the uids of those planned."""

    date: dt.date
    minutes: float
    tasks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Bounds:
    """Trips, days late and jobs without a day, and the least of each that any plan could have."""

    trips: int
    trips_least: int
    late_days: int
    late_least: int
    unplaced: int
    unplaced_least: int
    bound: str


@dataclass(frozen=True, slots=True)
class QuietRule:
    """A quiet season of the settings, month-day to month-day, and what it keeps out."""

    name: str
    start: str
    end: str
    keeps_out: Literal["all"] | tuple[str, ...]
    source: str | None


@dataclass(frozen=True, slots=True)
class MonthHours:
    """Hours planned in each month (2027-07), and hours of jobs that have no day."""

    hours_by_month: Mapping[str, float]
    hours_short_by_month: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class OfferedDay:
    """The day offered for the next season of a planting; None where no day will do."""

    area: str
    area_id: str
    planting: str
    mix: str | None
    last: dt.date
    day: dt.date | None
    text: str


@dataclass(frozen=True, slots=True)
class WayOut:
    """One change after which all jobs have a day, and the trips of the plan with it."""

    kind: str
    text: str
    trips: int


@dataclass(frozen=True, slots=True)
class Conflict:
    """Two things of the year that do not go together, on one area or on the whole."""

    code: str
    area: str | None
    area_id: str | None
    level: Level
    text: str


@dataclass(frozen=True, slots=True)
class YearReport:
    """The whole year as report.json holds it."""

    tasks: tuple[YearTask, ...]
    days: tuple[WorkDay, ...]
    room_minutes: float
    bounds: Bounds
    quiet: tuple[QuietRule, ...]
    hours: MonthHours
    missed: tuple[MissedJob, ...]
    past: tuple[PastSeason, ...]
    offers: tuple[OfferedDay, ...]
    menu: tuple[WayOut, ...]
    conflicts: tuple[Conflict, ...]
    weather: WeatherReport | None

    JSON_FLAT: ClassVar = ("bounds", "hours")
