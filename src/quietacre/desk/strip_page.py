"""The strip of one piece as the page shows it: widths, what changes them, weak stretches, cures."""

from __future__ import annotations

import datetime as dt
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path

ESTIMATES = ("low", "central", "stress")


def strip_json(folder: Path, said: dict[str, Any]) -> dict[str, Any]:
    """Return the strip round an area with its figures; ``strip`` is None where it has none.

    Parameters
    ----------
    folder : the property folder.
    said : ``area``, the name of the piece.

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
    key = named.get(str(said.get("area")))
    book = book_of(extras.done, prop)
    today = dt.date.today()  # noqa: DTZ011 - the person's own day
    plan = strips_of(measured, book, today)
    row = next(
        (
            one
            for one in plan.report
            if key is not None and key in (one["of"], *one["also_of"])
        ),
        None,
    )
    if row is None or key is None:
        return {"strip": None, "changes": []}
    known = known_for_strips(measured, book, today)
    changes = width_changes(areas, prop, known, key) if row["kind"] == "strip" else []
    return {"strip": _shown(row), "changes": [asdict(change) for change in changes]}


def _shown(row: dict[str, Any]) -> dict[str, Any]:
    """Return what of a strip's report row the page shows."""
    widths = row["width"] or {}
    return {
        "name": row["name"], "kind": row["kind"], "width_ft": row["width_ft"],
        "acres": row["acres"], "holds": row.get("holds"), "design": row.get("design"),
        "estimates": [
            {"name": name, "required_ft": widths[name]["required_ft"],
             "terms": widths[name]["terms"]}
            for name in ESTIMATES if name in widths
        ],
        "weak": [
            {k: weak[k] for k in ("reason", "available_ft", "length_ft")} for weak in row["weak"]
        ],
        "remedies": [
            {"remedy": r["remedy"], "costs": r.get("costs"), "works": r["works"], "text": r["text"]}
            for r in row.get("remedies") or ()
        ],
        "passes": {k: row["passes"][k] for k in ("count", "minutes", "fuel_gal")}
        if row.get("passes") else None,
        "law": row["law"] and row["law"]["text"],
        "cautions": [c if isinstance(c, str) else c["text"] for c in row["cautions"]],
        "notes": [{"level": n["level"], "text": n["text"]} for n in row["notes"]],
    }  # fmt: skip
