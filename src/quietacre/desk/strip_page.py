"""The strip of one piece as the page shows it: widths, what changes them, weak stretches, cures."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import TYPE_CHECKING, TypedDict

from quietacre.as_json import as_json
from quietacre.strip.records import WantedStrip
from quietacre.words.growth import growth_word, growth_words

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.desk.asked import Asked
    from quietacre.report_json.strip import TermJson
    from quietacre.strip.changes import WidthChange
    from quietacre.strip.records import Ring


class EstimateShown(TypedDict):
    """A width by one growth: as asked, what it is made of, and in whole passes. [ft]"""

    name: str
    word: str
    required_ft: float
    terms: list[TermJson]
    passes: int
    width_ft: float


class WeakShown(TypedDict):
    """A stretch where a strip is thinner than asked. [ft]"""

    reason: str
    available_ft: float
    length_ft: float


class RemedyShown(TypedDict):
    """One thing that would help where a strip does not hold."""

    remedy: str
    costs: str
    works: bool | None
    text: str


class PassesShown(TypedDict):
    """How often a machine goes round, and what that takes. [min, gal]"""

    count: int
    minutes: float
    fuel_gal: float


class NoteShown(TypedDict):
    """A note in short."""

    level: str
    text: str


class StripShown(TypedDict):
    """What of a strip or a break the page shows. [ft, ac]"""

    name: str
    kind: str
    width_ft: float
    acres: float
    holds: bool | None
    design: str | None
    estimates: list[EstimateShown]
    weak: list[WeakShown]
    remedies: list[RemedyShown]
    passes: PassesShown | None
    law: str | None
    cautions: list[str]
    notes: list[NoteShown]


class ChangeShown(TypedDict):
    """One setting of a strip with another value, and the width asked for then. [ft]"""

    key: str
    value: object
    words: str
    width_ft: float


class StripOfTold(TypedDict):
    """The strip round an area, None where it has none, and what would change its width."""

    strip: StripShown | None
    changes: list[ChangeShown]


def strip_json(folder: Path, asked: Asked) -> StripOfTold:
    """Return the strip round an area with its figures; ``strip`` is None where it has none.

    Parameters
    ----------
    folder : the property folder.
    asked : ``area``, the name of the piece.

    Raises
    ------
    BadInput
        A setting or a file cannot be used.
    """
    from quietacre.build import known_for_strips, strips_of
    from quietacre.measure.property import measure_property
    from quietacre.record.book import book_of
    from quietacre.strip.changes import width_changes

    measured = measure_property(folder)
    prop, areas, extras = measured
    named = {area.name: key for key, area in prop.area_by_id.items()}
    key = named.get(str(asked.get("area")))
    book = book_of(extras.done, prop)
    today = dt.date.today()  # noqa: DTZ011 - the person's own day
    plan = strips_of(measured, book, today)
    ring = next(
        (one for one in plan.rings if key is not None and key in one.round_ids), None
    )
    if ring is None or key is None:
        return {"strip": None, "changes": []}
    known = known_for_strips(measured, book, today)
    changes = width_changes(areas, prop, known, key) if ring.kind == "strip" else []
    return {"strip": _shown(ring), "changes": [_change(change) for change in changes]}


def _change(change: WidthChange) -> ChangeShown:
    return {
        "key": change.key,
        "value": change.value,
        "words": change.words,
        "width_ft": change.width_ft,
    }


def _shown(ring: Ring) -> StripShown:
    """Return what of a strip the page shows."""
    wanted, holding = ring.wanted, ring.holding
    widths = wanted.width or {}
    return {
        "name": ring.name, "kind": ring.kind, "width_ft": wanted.width_ft,
        "acres": ring.size.acres, "holds": holding.holds,
        "design": wanted.design if isinstance(wanted, WantedStrip) else None,
        "estimates": [
            {"name": name, "word": growth_word(name), "required_ft": widths[name].required_ft,
             "terms": as_json(widths[name].terms), "passes": widths[name].passes,
             "width_ft": widths[name].width_ft}
            for name in growth_words() if name in widths
        ],
        "weak": [
            {"reason": weak.reason, "available_ft": weak.available_ft, "length_ft": weak.length_ft}
            for weak in ring.weak
        ],
        "remedies": [
            {"remedy": one.remedy, "costs": one.costs, "works": one.works, "text": one.text}
            for one in holding.remedies
        ],
        "passes": {"count": ring.passes.count, "minutes": ring.passes.minutes,
                   "fuel_gal": ring.passes.fuel_gal} if ring.passes else None,
        "law": wanted.law.text if wanted.law else None,
        "cautions": list(wanted.cautions),
        # what would help stands in a list of its own
        "notes": [{"level": note.level, "text": replace(note, help=()).text}
                  for note in wanted.notes],
    }  # fmt: skip
