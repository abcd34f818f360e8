"""The measured ground of a property folder, as the page draws it."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from quietacre.figures import printed

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from quietacre.measure.records import Extras, Measured
    from quietacre.measure.sizes import AreaSize
    from quietacre.model import Note


class NoteTold(TypedDict):
    """A note in short."""

    level: str
    text: str


class AreaTold(TypedDict):
    """A measured area; ``edge`` is a geometry of GeoJSON, None without a place. [ac, ft]"""

    id: str
    name: str
    kind: str
    acres: float
    acres_low: float
    acres_high: float
    perimeter_ft: float
    method: str
    edge: object
    notes: list[NoteTold]


class GroundTold(TypedDict):
    """The measured ground of a place; ``line`` is a geometry of GeoJSON, None without one. [ac]"""

    areas: list[AreaTold]
    line: object
    total_acres: float
    notes: list[NoteTold]


def ground_json(folder: Path) -> GroundTold:
    """Return areas with their acres, edges and notes, and the property line.

    Raises
    ------
    BadInput
        A setting or a file cannot be used.
    """
    from quietacre.measure.property import measured_in

    # years of days take as long to read as all its walks, and the year asks for them
    found = measured_in(folder, weather=False)
    return _told(found.sizes.areas, found.extras)


def ground_told(measured: Measured) -> GroundTold:
    """Return the ground of a build as the page draws it."""
    return _told(measured.areas.itertuples(), measured.extras)


def _told(areas: Iterable[AreaSize], extras: Extras) -> GroundTold:
    """Return measured areas, each a row, as the page draws them."""
    from quietacre.acreage.edge_json import edge_json

    rows: list[AreaTold] = []
    for row in areas:
        notes = extras.area_notes.get(row.id, ())
        rows.append(
            {
                "id": row.id, "name": row.name, "kind": row.kind, "acres": row.acres,
                "acres_low": row.acres_low, "acres_high": row.acres_high,
                "perimeter_ft": row.perimeter_ft, "method": printed(row.method),
                "edge": edge_json(row.geometry),
                "notes": _notes(notes),
            }
        )  # fmt: skip
    line = extras.boundary
    return {
        "areas": rows,
        "line": edge_json(line),
        "total_acres": extras.total_acres,
        "notes": _notes(extras.notes),
    }


def _notes(notes: Iterable[Note]) -> list[NoteTold]:
    from quietacre.desk.said import for_desk

    return [{"level": note.level, "text": for_desk(note.text)} for note in notes]
