"""The year as report.json holds it: made by docs/make_report_types.py from the records."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypedDict, final

if TYPE_CHECKING:
    from quietacre.report_json.kept_years import YearRecordJson


@final
class SeasonToldJson(TypedDict):
    """A planting's season as it is told, with the day offered for the ``next`` one."""

    key: str
    mix: str | None
    plant: str
    returns: str | None
    year: int
    state: str
    sown_on: str | None
    last: str
    next: str | None
    next_text: str | None


@final
class AfterJson(TypedDict):
    """A job that comes before another, by its uid, and the days between them at least."""

    uid: str
    days: int


@final
class YearTaskJson(TypedDict):
    """One job of the year as it is told."""

    uid: str
    job: str
    log_word: str
    area: str
    area_id: str
    task: str
    label: str
    earliest: str
    ideal: str
    latest: str
    asked: str | None
    scheduled: str | None
    minutes: float
    machine: str
    who: str | None
    reason: str
    after: list[AfterJson]
    amounts: list[str]
    planting: str | None
    status: str
    state: Literal["done", "due", "late", "missed", "planned", "not possible"]
    says: str
    notes: list[str]


@final
class WorkDayJson(TypedDict):
    """A day with work: the minutes of all jobs on it, and the uids of those planned."""

    date: str
    minutes: float
    tasks: list[str]


@final
class QuietRuleJson(TypedDict):
    """A quiet season of the settings, month-day to month-day, and what it keeps out."""

    name: str
    start: str
    end: str
    keeps_out: Literal["all"] | list[str]
    source: str | None


@final
class MissedJobJson(TypedDict):
    """What was missed on a piece of ground, in a sentence."""

    area: str
    area_id: str
    text: str


@final
class PastJobJson(TypedDict):
    """A job of a season that is over, and the day it was done; None when it is not in the log."""

    label: str
    done: str | None


@final
class PastSeasonJson(TypedDict):
    """A season of a planting that is over, and its jobs in order of days."""

    area: str
    area_id: str
    year: int
    planting: str
    plant: str
    sown_on: str | None
    text: str
    jobs: list[PastJobJson]


@final
class OfferedDayJson(TypedDict):
    """The day offered for the next season of a planting; None where no day will do."""

    area: str
    area_id: str
    planting: str
    mix: str | None
    last: str
    day: str | None
    text: str


@final
class WayOutJson(TypedDict):
    """One change after which all jobs have a day, and the trips of the plan with it."""

    kind: str
    text: str
    trips: int


@final
class ConflictJson(TypedDict):
    """Two things of the year that do not go together, on one area or on the whole."""

    code: str
    area: str | None
    area_id: str | None
    level: Literal["info", "caution", "warning"]
    text: str


#: Rain from the first of a month to a day; ``inches`` is None where no day has a value.
MonthRainJson = TypedDict(
    "MonthRainJson",
    {
        "from": "str",
        "to": "str",
        "inches": "float | None",
        "missing_days": "int",
    },
)


@final
class FreezeDatesJson(TypedDict):
    """The dates of one threshold in a year, None where there is no such day."""

    season: str
    threshold_f: float
    years: int
    years_without: int
    pct_10: str | None
    pct_50: str | None
    pct_90: str | None


@final
class GrowingJson(TypedDict):
    """Growing-degree days between the middle freezes, over ``base_f``, and the years counted."""

    base_f: float
    degree_days: float | None
    years: int


@final
class FrostReportJson(TypedDict):
    """The freezes of a daily record; ``base_period`` are its first year and its last."""

    base_period: list[int]
    freezes: list[FreezeDatesJson]
    growing: GrowingJson | None


@final
class DayOddsJson(TypedDict):
    """The odds of a planting rain after a day, and whether the sowing fits on it."""

    date: str
    years: int
    hits: int
    share: float | None
    low: float
    high: float
    dry_median_days: float | None
    dry_long_days: float | None
    work_fits: bool
    trip_already: bool


@final
class WeekendJson(TypedDict):
    """A run of the person's days: the odds of rain after ``date``, and what of the sowing fits."""

    first: str
    last: str
    date: str
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


@final
class PlantingOddsJson(TypedDict):
    """A planting still to come: its days, its weekends, the best of them, its warmth after."""

    uid: str
    area: str
    area_id: str
    planting: str
    planned: str | None
    days: list[DayOddsJson]
    weekends: list[WeekendJson]
    best: WeekendJson | None
    text: str
    to_move: str | None
    degree_days_to_year_end: float | None
    degree_years: int


@final
class WeatherReportJson(TypedDict):
    """What the daily record says to the year's plan; rain in inches."""

    source: str
    first: str
    last: str
    base_period: list[int]
    dropped_by_flag: int
    traces: int
    rain_in: float
    rain_days: int
    this_month: MonthRainJson
    frost: FrostReportJson | None
    plantings: list[PlantingOddsJson]


@final
class YearReportJson(TypedDict):
    """The whole year as report.json holds it."""

    tasks: list[YearTaskJson]
    days: list[WorkDayJson]
    room_minutes: float
    trips: int
    trips_least: int
    late_days: int
    late_least: int
    unplaced: int
    unplaced_least: int
    bound: str
    quiet: list[QuietRuleJson]
    hours_by_month: dict[str, float]
    hours_short_by_month: dict[str, float]
    missed: list[MissedJobJson]
    past: list[PastSeasonJson]
    offers: list[OfferedDayJson]
    menu: list[WayOutJson]
    conflicts: list[ConflictJson]
    weather: WeatherReportJson | None


@final
class RowJson(TypedDict):
    """One figure of two years; None is not known."""

    what: str
    unit: str
    last: float | None
    this: float | None


@final
class GroundBesideJson(TypedDict):
    """The figures of one piece of ground, or of the whole, in two years."""

    area: str
    area_id: str | None
    rows: list[RowJson]


@final
class BesideJson(TypedDict):
    """A year beside the one before it; ``until`` is the day that it is told of."""

    year: int
    before: int
    until: str
    source: str
    ground: list[GroundBesideJson]
    notes: list[str]


@final
class YearsToldJson(TypedDict):
    """A year and the one before it; ``last`` and ``beside`` are None where nothing is known."""

    this: YearRecordJson
    last: YearRecordJson | None
    kept: list[str]
    to_close: int | None
    beside: BesideJson | None
    earlier: BesideJson | None
