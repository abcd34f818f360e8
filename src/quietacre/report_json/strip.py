"""Strips and firebreaks as report.json holds them: made by docs/make_report_types.py from the records."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NotRequired, TypedDict, final

if TYPE_CHECKING:
    from quietacre.report_json.model import NoteJson


@final
class SurveyAcresJson(TypedDict):
    """Acres of a patch at one survey, and what they lie between 19 times in 20. [ac]"""

    on: str | None
    acres: float
    acres_low: float
    acres_high: float
    source: str


@final
class SurveyMoveJson(TypedDict):
    """How a patch moved from one survey to the next; outward is positive."""

    from_on: str | None
    to_on: str | None
    days: int | None
    change_ac: float
    change_ac_low: float
    change_ac_high: float
    mean_ft: float
    most_ft: float
    seen: bool
    text: str


@final
class TermJson(TypedDict):
    """One part of a width, and where it comes from. [ft]"""

    term: str
    ft: float
    source: str


@final
class WidthJson(TypedDict):
    """The width by one rate: as built in whole passes, and as asked, term by term. [ft]"""

    width_ft: float
    required_ft: float
    passes: int
    days: int
    effective_days: float
    terms: list[TermJson]


@final
class StepJson(TypedDict):
    """One step of getting rid of a vine, and its season."""

    when: str
    what: str
    source: str


@final
class LawJson(TypedDict):
    """What is known of keeping a vine in a state."""

    state: str | None
    status: str
    text: str
    source: str | None
    eradication: list[StepJson]


@final
class FactJson(TypedDict):
    """What others print of a vine or a break, with the ids of its sources."""

    text: str
    source: str


@final
class MeasuredJson(TypedDict):
    """A patch's own rate. ``upper_m_day`` is the tolerance limit at full weight. [m/day]"""

    transects: int
    lower_bounds: int
    seasons: int
    k: float
    median_m_day: float
    upper_m_day: float
    replaces_default: bool
    text: str


@final
class WorkedForJson(TypedDict):
    """The days that a width was worked out for, and the patch ``of`` which; ``why`` in words."""

    of: str
    last_cut: str
    next_cut: str
    slip_days: int
    why: str


#: How much of the edge is wide enough, and the places that were looked at.
EdgeVerdictsJson = TypedDict(
    "EdgeVerdictsJson",
    {
        "pass_ft": "float",
        "narrow_ft": "float",
        "fail_ft": "float",
        "count": "int",
        "pass": "int",
        "narrow": "int",
        "fail": "int",
    },
)


@final
class WeakStretchJson(TypedDict):
    """A stretch where a strip is thinner than asked; ``lon``, ``lat`` its middle. [deg]"""

    id: str
    verdict: str
    length_ft: float
    available_ft: float
    reason: str
    lon: float
    lat: float


#: How many days may lie between two cuts, the first of them on a day.
IntervalJson = TypedDict(
    "IntervalJson",
    {
        "from": "str",
        "days": "int",
    },
)


@final
class AnswersJson(TypedDict):
    """What one width can hold at one rate, all within the rooting limit."""

    holds: bool
    earliest_last_cut: str | None
    latest_next_cut: str | None
    longest_interval_days: int
    intervals: list[IntervalJson]


@final
class RemedyJson(TypedDict):
    """One thing that would help where a strip does not hold."""

    remedy: str
    costs: str
    works: bool | None
    on: str | None
    text: str


@final
class PullBackJson(TypedDict):
    """The vine given up along an edge, so that the strip gets its width: feet, and acres."""

    remedy: str
    costs: str
    works: None
    on: None
    pull_back_ft: float
    ring_ft: float
    acres_given_up: float | None
    text: str


@final
class PassBoughtJson(TypedDict):
    """What a number of passes holds, and the days that the last of them bought."""

    passes: int
    width_ft: float
    earliest_last_cut: str | None
    latest_next_cut: str | None
    days_bought: int | None


@final
class PassFiguresJson(TypedDict):
    """One pass, in the order driven, without its line; ``from_edge_ft`` is to its middle."""

    number: int
    from_edge_ft: float
    length_ft: float
    minutes: float
    fuel_gal: float


@final
class MowerPassesJson(TypedDict):
    """The passes of a machine over a strip, in the ``order`` driven, and what they come to."""

    count: int
    order: str
    length_ft: float
    minutes: float
    fuel_gal: float
    each: list[PassFiguresJson]


@final
class SectorJson(TypedDict):
    """Movement of one side of the patch. [ft] ``mean`` and the farthest point."""

    direction: str
    mean_ft: float
    most_ft: float
    low_ft: float
    high_ft: float
    seen: bool


@final
class BreachJson(TypedDict):
    """Ground of the vine beyond the strip: where, on which side, how much. [ac]"""

    lon: float
    lat: float
    direction: str
    acres: float


@final
class PatchMoveJson(TypedDict):
    """How one patch of a strip moved since its last survey."""

    area: str
    sectors: list[SectorJson]
    mean_ft: float
    most_ft: float
    limit_ft: float
    seen: bool
    seen_by: list[str]
    change_ac: float
    change_ac_low: float
    change_ac_high: float
    days: int | None
    most_ft_year: float | None
    breach: bool
    breaches: list[BreachJson]
    lon: float
    lat: float
    text: str


@final
class EffortJson(TypedDict):
    """Work on a vine: cuts, hours of people and gallons of fuel, dollars of fuel if known."""

    cuts: int
    hours: float
    fuel_gal: float
    dollars: float | None


@final
class KeepingJson(TypedDict):
    """A year of keeping a vine, and a season or two of mowing all of it."""

    keep: EffortJson
    rid_often: EffortJson
    rid_monthly: EffortJson
    nests: list[str]
    text: list[str]


@final
class RingJson(TypedDict):
    """A strip or a firebreak on the ground."""

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
