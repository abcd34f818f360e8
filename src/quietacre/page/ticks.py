"""What a page with boxes to tick must know: the place, and what of its ticks the log has."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from quietacre.as_json import plain
from quietacre.cells import FORMULA_STARTS, QUOTE
from quietacre.logbook import LETTERS, OWN_LETTERS, PLACE_COLUMN, UNDO

if TYPE_CHECKING:
    from quietacre.report_json.report import TickJson
    from quietacre.report_records import Report


class TicksData(TypedDict):
    """What the boxes of a page go by, as its script reads it.

    ``place`` is the id of the place, ``own_id`` whether property.toml gives it; ``logged`` what
    the log has of jobs that are ticked; the rest is how a line of the log is spelled.
    """

    place: str
    own_id: bool
    who: str
    logged: list[TickJson]
    letters: str
    own_letters: int
    column: str
    undo: str
    runs: list[str]
    quote: str


def ticks_data(report: Report, *, who: str = "") -> TicksData:
    """Return what the page's boxes go by, for its data.

    Parameters
    ----------
    report : everything that was planned.
    who : whose list it is, "" for anybody's.
    """
    place = report.property
    return {
        "place": place.place_id,
        "own_id": place.own_id,
        "who": who,
        "logged": plain(report.ticks),
        "letters": LETTERS,
        "own_letters": OWN_LETTERS,
        "column": PLACE_COLUMN,
        "undo": UNDO,
        "runs": list(FORMULA_STARTS),
        "quote": QUOTE,
    }
