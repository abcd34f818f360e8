"""What a page with boxes to tick must know: the place, and what of its ticks the log has."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from quietacre.cells import FORMULA_STARTS, QUOTE
from quietacre.logbook import LETTERS, OWN_LETTERS, PLACE_COLUMN, UNDO

if TYPE_CHECKING:
    from collections.abc import Mapping


def ticks_data(report: Mapping[str, Any], *, who: str = "") -> dict[str, Any]:
    """Return what the page's boxes go by, for its data.

    Parameters
    ----------
    report : what report.json holds.
    who : whose list it is, "" for anybody's.
    """
    place = report["property"]
    return {
        "place": place["place_id"],
        "own_id": place["own_id"],
        "who": who,
        "logged": report["ticks"],
        "letters": LETTERS,
        "own_letters": OWN_LETTERS,
        "column": PLACE_COLUMN,
        "undo": UNDO,
        "runs": list(FORMULA_STARTS),
        "quote": QUOTE,
    }
