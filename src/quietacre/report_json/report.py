"""The whole report as report.json holds it: made by docs/make_report_types.py from the records."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NotRequired, TypedDict, final

if TYPE_CHECKING:
    from quietacre.report_json.boundary import ReadingJson
    from quietacre.report_json.model import NoteJson
    from quietacre.report_json.need import (
        CautionJson,
        FertilizerPlanJson,
        HowMuchJson,
        ListedItemJson,
        NeedJson,
        OnHandJson,
        SpentJson,
    )
    from quietacre.report_json.record import SeenJson
    from quietacre.report_json.strip import (
        AnswersJson,
        EdgeVerdictsJson,
        FactJson,
        KeepingJson,
        LawJson,
        MeasuredJson,
        MowerPassesJson,
        PassBoughtJson,
        PatchMoveJson,
        PullBackJson,
        RemedyJson,
        SurveyAcresJson,
        SurveyMoveJson,
        WeakStretchJson,
        WidthJson,
        WorkedForJson,
    )
    from quietacre.report_json.year import SeasonToldJson, YearReportJson, YearsToldJson


@final
class PlaceToldJson(TypedDict):
    """The place itself; ``own_id`` says whether property.toml gives it an id."""

    name: str
    place_id: str
    own_id: bool
    state: str | None
    acres: float | None
    acres_low: float | None
    acres_high: float | None
    note: str | None


@final
class TotalsJson(TypedDict):
    """Sums over all areas; ``cost`` is what is to be bought and has a price. [US dollars]"""

    total_acres: float
    total_acres_low: float
    total_acres_high: float
    by_kind: dict[str, float]
    overlap_acres: float
    cost: float | None


@final
class DoneJobJson(TypedDict):
    """One thing that was done on a piece of ground; ``said`` is all of it in words."""

    on: str
    task: str
    said: str


@final
class AreaReportJson(TypedDict):
    """An area, and what the amounts, the log, the surveys and the year say of it."""

    id: str
    name: str
    kind: str
    source: str
    acres: float
    acres_low: float
    acres_high: float
    half_width_pct: float
    perimeter_ft: float
    method: str
    walk: ReadingJson | None
    need: NeedJson | None
    settings: list[str]
    mix: str | None
    plant: str | None
    plantings: list[SeasonToldJson]
    vine: str | None
    surveyed: str | None
    surveys: list[SurveyAcresJson]
    moves: list[SurveyMoveJson]
    history: list[str]
    record: list[DoneJobJson]
    note: str | None
    from_steps: NotRequired[dict[str, str | float | bool | None]]
    notes: list[NoteJson]
    lon: float
    lat: float


@final
class StripReportJson(TypedDict):
    """A strip or firebreak, and what the amounts, the log, the surveys and the year say of it."""

    of: str
    area: str
    bare: bool
    name: str
    kind: Literal["strip", "firebreak"]
    width_ft: float
    width: dict[str, WidthJson] | None
    law: LawJson | None
    cautions: list[str]
    guidance: list[FactJson]
    measured: NotRequired[MeasuredJson | None]
    design: NotRequired[str]
    notes: list[NoteJson]
    case: WorkedForJson | None
    also_of: list[str]
    id: str
    acres: float
    acres_low: float
    acres_high: float
    length_ft: float
    stations: EdgeVerdictsJson
    weak: list[WeakStretchJson]
    holds: bool | None
    reverse: dict[str, AnswersJson] | None
    remedies: list[RemedyJson | PullBackJson]
    extra_passes: NotRequired[list[PassBoughtJson]]
    cut_every_days: NotRequired[int]
    passes: MowerPassesJson | None
    need: NeedJson | None
    advance: PatchMoveJson | None
    advance_also: list[PatchMoveJson]
    record: list[DoneJobJson]
    keeping: KeepingJson | None


@final
class TickJson(TypedDict):
    """A line of the log whose id begins with the letters of a job."""

    id: str
    taken_back: bool


@final
class ReportJson(TypedDict):
    """Everything that was planned, in the order of report.json."""

    schema: int
    made_on: str
    version: str
    property: PlaceToldJson
    totals: TotalsJson
    areas: list[AreaReportJson]
    strips: list[StripReportJson]
    shopping: list[ListedItemJson]
    on_hand: list[OnHandJson]
    spent: SpentJson
    fertilizer_plan: FertilizerPlanJson
    how_much: HowMuchJson
    crops: dict[str, list[str]]
    year: YearReportJson
    ticks: list[TickJson]
    seen: list[SeenJson]
    cautions: list[CautionJson]
    notes: list[NoteJson]
    years: YearsToldJson
