"""Walks as report.json holds them: made by docs/make_report_types.py from the records."""

from __future__ import annotations

from typing import TypedDict, final


@final
class TermJson(TypedDict):
    """One part of a ±."""

    code: str
    text: str
    half_ac: float
    common: float
    source: str


@final
class ReadingJson(TypedDict):
    """How a walk was read: laps, fixes left out by cause, how far a fix strays [m], advice."""

    laps: float
    removed: dict[str, int]
    sigma_m: float
    advice: list[str]
    method: str
    why: list[TermJson]
