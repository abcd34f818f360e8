"""The calendar of an earlier build: which events were given out."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.limits import read_text
from quietacre.model import AT, OUT, Issued, Note

if TYPE_CHECKING:
    from pathlib import Path

#: A year of a large place takes a tenth of this.
MOST_BYTES = 20_000_000


@timed
def read_issued(path: Path, *, shown: str) -> tuple[Issued, ...]:
    """Return our events of a calendar, in its order; those of other programs are left out.

    Raises
    ------
    FileProblem
        It is no calendar.
    """
    from icalendar import Calendar

    text = read_text(path, shown, MOST_BYTES)
    try:
        events = [
            _issued(event)
            for event in Calendar.from_ical(text).walk("VEVENT")
            if str(event.get("uid", "")).endswith(AT)
        ]
    except (ValueError, KeyError, AttributeError, TypeError, IndexError) as problem:
        raise FileProblem(
            "is no calendar that can be read",
            fix="move it away and build again",
            source=shown,
        ) from problem
    return tuple(one for one in events if one is not None)


def _issued(event: Any) -> Issued | None:  # noqa: ANN401 - the library's own event
    """Return one event of ours, None when a person gave it a time of day."""
    first, end = event["dtstart"].dt, event["dtend"].dt
    if type(first) is not dt.date or type(end) is not dt.date:
        return None
    return Issued(
        str(event["uid"]).removesuffix(AT), first, end - dt.timedelta(days=1),
        str(event.get("summary", "")), str(event.get("status", "")) == "CANCELLED",
    )  # fmt: skip


def issued_before(folder: Path) -> tuple[tuple[Issued, ...], tuple[Note, ...]]:
    """Return the events of the calendar that stands in the outputs, and what is said of it."""
    shown = f"{OUT}/calendar.ics"
    if not (folder / shown).is_file():
        return (), ()
    try:
        return read_issued(folder / shown, shown=shown), ()
    except FileProblem as problem:
        text = f"{problem}; events that fell away are not cancelled in your calendar."
        return (), (Note("calendar-unread", text, "caution", shown),)
