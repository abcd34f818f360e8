"""The records of the report: a row for each piece of ground, and what holds for all of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from quietacre.boundary.walk import Reading
    from quietacre.model import Cell, Note
    from quietacre.need.cautions import Caution
    from quietacre.need.forage import HowMuch
    from quietacre.need.records import FertilizerPlan, ListedItem, Need, OnHand, Spent
    from quietacre.record.seen import Seen
    from quietacre.strip.keeping import Keeping
    from quietacre.strip.records import Ring, RingSize
    from quietacre.strip.since import PatchMove, Surveys
    from quietacre.year.lived import YearsTold
    from quietacre.year.records import YearReport
    from quietacre.year.seasons import SeasonTold


@dataclass(frozen=True, slots=True)
class PlaceTold:
    """The place itself; ``own_id`` says whether property.toml gives it an id."""

    name: str
    place_id: str
    own_id: bool
    state: str | None
    acres: float | None
    acres_low: float | None
    acres_high: float | None
    note: str | None


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over all areas; ``cost`` is what is to be bought and has a price. [US dollars]"""

    total_acres: float
    total_acres_low: float
    total_acres_high: float
    by_kind: Mapping[str, float]
    overlap_acres: float
    cost: float | None


@dataclass(frozen=True, slots=True)
class DoneJob:
    """One thing that was done on a piece of ground; ``said`` is all of it in words."""

    on: dt.date
    task: str
    said: str


@dataclass(frozen=True, slots=True)
class AreaSize:
    """Acres of an area, what they lie between, its edge, and how it was measured.

    ``half_width_pct`` is half of what lies between them, of its acres.
    """

    acres: float
    acres_low: float
    acres_high: float
    half_width_pct: float
    perimeter_ft: float
    method: str


@dataclass(frozen=True, slots=True)
class FromSteps:
    """What steps of other packages say of an area, by the names of their columns."""

    from_steps: Mapping[str, Cell]


@dataclass(frozen=True, slots=True)
class NoSteps:
    """In place of `FromSteps` where no step of another package is used."""


@dataclass(frozen=True, slots=True)
class AreaReport:
    """An area, and what the amounts, the log, the surveys and the year say of it.

    ``plant`` is the next planting day asked for; ``settings`` how to set the machines, in
    words; ``lon``, ``lat`` a place in it. [deg]
    """

    id: str
    name: str
    kind: str
    source: str
    size: AreaSize
    walk: Reading | None
    need: Need | None
    settings: tuple[str, ...]
    mix: str | None
    plant: dt.date | None
    plantings: tuple[SeasonTold, ...]
    vine: str | None
    surveyed: dt.date | None
    surveys: Surveys
    history: tuple[str, ...]
    record: tuple[DoneJob, ...]
    note: str | None
    steps: FromSteps | NoSteps
    notes: tuple[Note, ...]
    lon: float
    lat: float

    JSON_FLAT: ClassVar = ("size", "surveys", "steps")


@dataclass(frozen=True, slots=True)
class StripReport:
    """A strip or firebreak, and what the amounts, the log, the surveys and the year say of it.

    ``advance`` is the patch that moved farthest since its last survey, ``advance_also`` the
    others; ``keeping`` is None without a planned cut.
    """

    ring: Ring
    need: Need | None
    advance: PatchMove | None
    advance_also: tuple[PatchMove, ...]
    record: tuple[DoneJob, ...]
    keeping: Keeping | None

    JSON_FLAT: ClassVar = ("ring",)

    @property
    def id(self) -> str:
        """Return the letters that it goes by."""
        return self.ring.id

    @property
    def name(self) -> str:
        """Return what it is called."""
        return self.ring.name

    @property
    def kind(self) -> str:
        """Return "strip" or "firebreak"."""
        return self.ring.kind

    @property
    def size(self) -> RingSize:
        """Return its acres, what they lie between, and the length of its edge."""
        return self.ring.size

    @property
    def notes(self) -> tuple[Note, ...]:
        """Return what is to be known of it."""
        return self.ring.wanted.notes


#: A piece of ground: an area, or a strip or firebreak.
Piece = AreaReport | StripReport


@dataclass(frozen=True, slots=True)
class Tick:
    """A line of the log whose id begins with the letters of a job."""

    id: str
    taken_back: bool


@dataclass(frozen=True, slots=True)
class Report:
    """Everything that was planned, in the order of report.json."""

    schema: int
    made_on: dt.date
    version: str
    property: PlaceTold
    totals: Totals
    areas: tuple[AreaReport, ...]
    strips: tuple[StripReport, ...]
    shopping: tuple[ListedItem, ...]
    on_hand: tuple[OnHand, ...]
    spent: Spent
    fertilizer_plan: FertilizerPlan
    how_much: HowMuch
    crops: Mapping[str, Sequence[str]]
    year: YearReport
    ticks: tuple[Tick, ...]
    seen: tuple[Seen, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[Note, ...]
    years: YearsTold

    def pieces(self) -> tuple[Piece, ...]:
        """Return every piece of ground, strips after the areas."""
        return (*self.areas, *self.strips)
