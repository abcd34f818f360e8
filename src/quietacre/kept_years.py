"""What one calendar year came to, on each piece of ground and on the whole; kept in years/.

What the log does not say is None, which is told as not known: never as nothing.
"""

from __future__ import annotations

import dataclasses
import json
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from quietacre.as_json import as_json

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from quietacre.report_json.kept_years import PieceYearJson, TakenAmountJson

#: The folder of a property that keeps years, and the file of a kept one that holds its record.
YEARS, RECORD = "years", "year.json"
#: The form of that file; it goes up when an older program would misread it.
FORM = 1
LEAST_YEAR, MOST_YEAR = 1900, 2200
#: What another edge or another name changes; it is no correction of the year.
_NOT_LIVED = ("area", "acres", "area_id", "kind")


@dataclass(frozen=True)
class PieceYear:
    """One piece of ground in one year. [ac, lb, $, h]

    ``dollars`` are of what was used on it, at the price paid; of the whole place, those spent
    in the year. ``days`` are days with work; ``hours`` those written, of ``jobs`` lines of work
    ``untimed`` have none. ``stand`` is the last score, 0 to 10.
    """

    area: str
    area_id: str | None = None
    kind: str | None = None
    acres: float | None = None
    mixes: tuple[str, ...] = ()
    seed_lb: float = 0.0
    fertilizer_lb: float = 0.0
    lime_lb: float = 0.0
    planned_amounts: int = 0  # lines without an amount, for which the plan's was taken
    dollars: float | None = None
    days: int = 0
    jobs: int = 0
    untimed: int = 0
    hours: float | None = None
    stand: float | None = None


@dataclass(frozen=True)
class OpenJob:
    """A job of the year that was not done when it was closed."""

    area: str
    label: str
    state: str
    latest: str

    @property
    def carried(self) -> bool:
        """Return whether it is still worth doing, and so stays in the plan."""
        return self.state != "missed"


@dataclass(frozen=True)
class TakenAmount:
    """What a line of the log without an amount was taken for, when its year was closed.

    ``amount`` is in pounds, of what is fluid in fluid ounces.
    """

    on: str
    area: str
    task: str
    item: str
    amount: float


@dataclass(frozen=True)
class YearRecord:
    """One calendar year of a property.

    ``kept`` is the folder under years/ that it was read from, blank for one worked out now;
    ``rain_from`` is "record" (the weather station's), "log", or blank where no rain is known.
    """

    year: int
    made_on: str
    whole: PieceYear
    pieces: tuple[PieceYear, ...] = ()
    rain_in: float | None = None
    rain_from: str = ""
    open_jobs: tuple[OpenJob, ...] = ()
    work_dollars: float = 0.0  # of the dollars, those on lines of work, by their day
    taken: tuple[TakenAmount, ...] = ()
    kept: str = field(default="", compare=False)

    @property
    def lived(self) -> bool:
        """Return whether anything is known of it."""
        return bool(self.kept or self.whole.jobs or self.whole.dollars)

    def same_as(self, other: YearRecord) -> bool:
        """Return whether two records tell the same of what happened in the year."""
        return _lived(self) == _lived(other)

    def renamed(self, now: Callable[[str], str]) -> YearRecord:
        """Return it with its ground by the names that it has now."""
        pieces = (dataclasses.replace(one, area=now(one.area)) for one in self.pieces)
        taken = (dataclasses.replace(one, area=now(one.area)) for one in self.taken)
        return dataclasses.replace(self, pieces=tuple(pieces), taken=tuple(taken))

    def to_json(self) -> str:
        """Return the text of the file that keeps it."""
        record = as_json(self)
        del record["kept"]
        return json.dumps({"form": FORM, **record}, indent=1, ensure_ascii=False) + "\n"


def _lived(record: YearRecord) -> list[Any]:
    pieces = [dataclasses.asdict(piece) for piece in (record.whole, *record.pieces)]
    cells = [
        {key: _rounded(value) for key, value in piece.items() if key not in _NOT_LIVED}
        for piece in pieces
    ]
    return [
        cells[0],
        sorted(cells[1:], key=repr),
        record.year,
        _rounded(record.rain_in),
        _rounded(record.work_dollars),
    ]


def _rounded(value: Any) -> Any:  # noqa: ANN401 - any value of a record
    if isinstance(value, list):
        return tuple(value)
    return round(value, 2) if isinstance(value, float) else value


def read_record(text: str, kept: str) -> YearRecord:
    """Return the record in the text of a kept year's file.

    Raises
    ------
    ValueError
        It is no such file, or of a newer form.
    """
    data = json.loads(text)
    if not isinstance(data, dict) or data.pop("form", None) != FORM:
        message = "is no record of a year that this program can read"
        raise ValueError(message)
    try:
        whole = _piece(data.pop("whole"))
        pieces = tuple(_piece(one) for one in data.pop("pieces"))
        jobs = tuple(OpenJob(**one) for one in data.pop("open_jobs"))
        taken = taken_amounts(data.pop("taken", ()))
        record = YearRecord(
            whole=whole, pieces=pieces, open_jobs=jobs, taken=taken, kept=kept, **data
        )
        if not LEAST_YEAR <= record.year <= MOST_YEAR:
            raise ValueError(record.year)
    except (KeyError, TypeError, AttributeError) as problem:
        message = f"lacks or does not know {problem}"
        raise ValueError(message) from problem
    return record


def _piece(record: PieceYearJson) -> PieceYear:
    for key, value in record.items():
        if isinstance(value, float) and not math.isfinite(value):
            raise ValueError(key)
    piece = PieceYear(**record)  # type: ignore[arg-type]  # its list becomes a tuple
    return dataclasses.replace(piece, mixes=tuple(piece.mixes))


def taken_amounts(rows: Iterable[TakenAmountJson]) -> tuple[TakenAmount, ...]:
    """Return amounts that were taken for lines without one, from their rows.

    Raises
    ------
    TypeError, ValueError
        A row lacks a key, has one more, or holds an amount that is no figure.
    """
    taken = tuple(TakenAmount(**row) for row in rows)
    for one in taken:
        if not math.isfinite(one.amount):
            raise ValueError(one.item)
    return taken
