"""What was seen as report.json holds it: made by docs/make_report_types.py from the records."""

from __future__ import annotations

from typing import TypedDict, final


@final
class SeenJson(TypedDict):
    """What somebody saw on a day, as it is told; ``count`` is None when it was not said."""

    on: str
    area: str
    kind: str
    what: str
    count: float | None
    time: str | None
    place: str | None
    who: str | None
    note: str | None
