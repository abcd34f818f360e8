"""The measured ground of a property folder, as the page draws it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

#: Digits of a degree that the page draws: about four inches.
DIGITS = 6


def ground_json(folder: Path) -> dict[str, Any]:
    """Return areas with their acres, edges and notes, and the property line.

    Raises
    ------
    BadInput
        A setting or a file cannot be used.
    """
    import shapely

    from quietacre.measure.property import measure_property

    measured = measure_property(folder)
    rows = []
    for row in measured.areas.itertuples():
        notes = measured.extras.area_notes.get(row.id, ())
        rows.append(
            {
                "id": row.id, "name": row.name, "kind": row.kind, "acres": row.acres,
                "acres_low": row.acres_low, "acres_high": row.acres_high,
                "perimeter_ft": row.perimeter_ft, "method": row.method,
                "edge": _rounded(shapely.geometry.mapping(row.geometry)),
                "notes": [{"level": note.level, "text": note.text} for note in notes],
            }
        )  # fmt: skip
    line = measured.extras.boundary
    return {
        "areas": rows,
        "line": None if line is None else _rounded(shapely.geometry.mapping(line)),
        "total_acres": measured.extras.total_acres,
        "notes": [{"level": n.level, "text": n.text} for n in measured.extras.notes],
    }


def _rounded(shape: Any) -> Any:  # noqa: ANN401 - a GeoJSON geometry
    """Return a geometry with as many digits as a screen can show."""
    if isinstance(shape, float):
        return round(shape, DIGITS)
    if isinstance(shape, (list, tuple)):
        return [_rounded(item) for item in shape]
    if isinstance(shape, dict):
        return {key: _rounded(item) for key, item in shape.items()}
    return shape
