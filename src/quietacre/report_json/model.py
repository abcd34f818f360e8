"""Notes as report.json holds them: made by docs/make_report_types.py from the records."""

from __future__ import annotations

from typing import Literal, TypedDict, final


@final
class NoteJson(TypedDict):
    """One thing a person should know, and the place it points at."""

    code: str
    level: Literal["info", "caution", "warning"]
    text: str
    head: str
    more: str
    help: list[str]
    cited: str
    source: str | None
    feature: str | None
    lon: float | None
    lat: float | None
