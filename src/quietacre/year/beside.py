"""Two calendar years side by side, for the page and the papers alike: rows of plain figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from quietacre.kept_years import PieceYear

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre.kept_years import YearRecord


class Told(NamedTuple):
    """One thing that is told of a year: its words, its unit, its key in the record."""

    what: str
    unit: str  # "ac", "lb", "$", "days", "h", "in", "of 10"
    key: str


TOLD = (
    Told("acres", "ac", "acres"), Told("seed", "lb", "seed_lb"),
    Told("fertilizer", "lb", "fertilizer_lb"), Told("lime", "lb", "lime_lb"),
    Told("dollars", "$", "dollars"), Told("days with work", "days", "days"),
    Told("hours", "h", "hours"), Told("stand", "of 10", "stand"),
)  # fmt: skip
RAIN = Told("rain", "in", "rain_in")


@dataclass(frozen=True, slots=True)
class Row:
    """One figure of two years; None is not known."""

    what: str
    unit: str
    last: float | None
    this: float | None


@dataclass(frozen=True, slots=True)
class GroundBeside:
    """The figures of one piece of ground, or of the whole, in two years."""

    area: str
    area_id: str | None
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """A year beside the one before it; ``until`` is the day that it is told of."""

    year: int
    before: int
    until: str
    source: str
    ground: tuple[GroundBeside, ...]
    notes: tuple[str, ...]


def beside(last: YearRecord, this: YearRecord) -> Beside:
    """Return a year beside the one before it: the whole first, then each piece of ground."""
    rain = Row(RAIN.what, RAIN.unit, last.rain_in, this.rain_in)
    ground = [GroundBeside("all ground", None, (*_rows(last.whole, this.whole), rain))]
    before = {piece.area: piece for piece in last.pieces}
    now = {piece.area: piece for piece in this.pieces}
    for name in dict.fromkeys((*before, *now)):
        old, new = before.get(name), now.get(name)
        known = new or old
        rows = _rows(old or _nothing(known), new or _nothing(known))
        ground.append(GroundBeside(name, known.area_id if known else None, tuple(rows)))
    source = (
        f"as kept in years/{last.kept}"
        if last.kept
        else "by the log as it stands now, for the year was not closed"
    )
    notes = (*_notes(last), *_notes(this))
    return Beside(this.year, last.year, this.made_on, source, tuple(ground), notes)


def _nothing(known: PieceYear | None) -> PieceYear:
    """Return the year of ground on which nothing was done."""
    return PieceYear(known.area if known else "", acres=known.acres if known else None)


def _rows(last: PieceYear, this: PieceYear) -> Iterator[Row]:
    for measure in TOLD:
        yield Row(
            measure.what,
            measure.unit,
            getattr(last, measure.key),
            getattr(this, measure.key),
        )


def _notes(record: YearRecord) -> Iterator[str]:
    """Yield what makes the figures of a year less than sure."""
    whole = record.whole
    if whole.hours is not None and whole.untimed:
        yield (
            f"{record.year}: {whole.untimed} of {whole.jobs} lines of work have no minutes, so the "
            "hours were more"
        )
    if whole.planned_amounts:
        lines = whole.planned_amounts
        which = "1 line names" if lines == 1 else f"{lines} lines name"
        yield f"{record.year}: {which} no amount, so the plan's was taken"
    if record.work_dollars:
        yield (
            f"{record.year}: ${record.work_dollars:,.2f} of the dollars stand on lines of work: work "
            "that was hired, or what was bought with it"
        )
    if record.rain_from == "log":
        yield f"{record.year}: the rain is what the log says, not a station's record"
