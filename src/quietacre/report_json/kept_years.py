"""Years that are closed as report.json holds them: made by docs/make_report_types.py from the records."""

from __future__ import annotations

from typing import TypedDict, final


@final
class PieceYearJson(TypedDict):
    """One piece of ground in one year. [ac, lb, $, h]"""

    area: str
    area_id: str | None
    kind: str | None
    acres: float | None
    mixes: list[str]
    seed_lb: float
    fertilizer_lb: float
    lime_lb: float
    planned_amounts: int
    dollars: float | None
    days: int
    jobs: int
    untimed: int
    hours: float | None
    stand: float | None


@final
class OpenJobJson(TypedDict):
    """A job of the year that was not done when it was closed."""

    area: str
    label: str
    state: str
    latest: str


@final
class TakenAmountJson(TypedDict):
    """What a line of the log without an amount was taken for, when its year was closed."""

    on: str
    area: str
    task: str
    item: str
    amount: float


@final
class YearRecordJson(TypedDict):
    """One calendar year of a property."""

    year: int
    made_on: str
    whole: PieceYearJson
    pieces: list[PieceYearJson]
    rain_in: float | None
    rain_from: str
    open_jobs: list[OpenJobJson]
    work_dollars: float
    taken: list[TakenAmountJson]
    kept: str
