"""The report: a row for each piece of ground, and what holds for all of it, from the records of a run."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from quietacre import __version__
from quietacre.acreage.equal_area import area_m2
from quietacre.as_json import as_json
from quietacre.logbook import id_of
from quietacre.need.merged import merged_need
from quietacre.plantings import planting_keys, plantings_of
from quietacre.plugins.run import step_columns
from quietacre.units import ACRE_M2
from quietacre.year.seasons import first_day, season_row

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    import geopandas as gpd

    from quietacre.measure.records import Extras, Measured
    from quietacre.model import Note
    from quietacre.need.plan import NeedPlan
    from quietacre.plugins import Plugins
    from quietacre.record.book import Book
    from quietacre.settings import Property
    from quietacre.strip.keeping import Keeping
    from quietacre.strip.plan import StripPlan
    from quietacre.strip.records import Ring
    from quietacre.strip.since import PatchMove, Surveys
    from quietacre.year.next_planting import Offer
    from quietacre.year.report import YearPlan
    from quietacre.year.seasons import Seasons


def report_of(
    measured: Measured, book: Book, strips: StripPlan, needs: NeedPlan, year: YearPlan,
    meant: Seasons, today: dt.date,
) -> dict[str, Any]:  # fmt: skip
    """Return the report of everything that was planned."""
    from quietacre.record.seen import seen_of, seen_row
    from quietacre.strip.keeping import keeping_by_ring

    prop, areas, extras = measured
    seen, seen_notes = seen_of(extras.seen, prop, today)
    kept = keeping_by_ring(
        strips.rings, areas, prop, extras.degree_days, year.report["tasks"]
    )
    return {
        "schema": 1,
        "made_on": today.isoformat(),
        "version": __version__,
        "property": property_row(prop, extras),
        "totals": _totals(areas, extras, needs.shopping),
        "areas": [
            _area_report(measured, row, needs.by_id, book, meant, year.offers)
            for row in range(len(areas))
        ],
        "strips": [
            _strip_report(measured, ring, needs.by_id, book, kept[ring.id])
            for ring in strips.rings
        ],
        "shopping": needs.shopping,
        "on_hand": needs.on_hand,
        "spent": needs.spent,
        "fertilizer_plan": needs.fertilizer_plan,
        "how_much": needs.how_much,
        "crops": needs.crops,
        "year": year.report,
        "ticks": [
            {"id": name, "taken_back": back} for name, back in sorted(book.ticks.items())
        ],
        "seen": [seen_row(one) for one in seen],
        "cautions": needs.cautions,
        "notes": [
            note.to_dict()
            for note in (*extras.notes, *book.notes, *seen_notes, *needs.notes, *year.notes)
        ],
    }


def surveys_told(measured: Measured, area_id: str) -> Surveys:
    """Return the surveys of an area and its movements, none without an earlier survey."""
    from quietacre.strip.since import surveys_of

    prop, areas, extras = measured
    walk = extras.walks.get(area_id)
    return surveys_of(
        areas.loc[areas["id"] == area_id].iloc[0],
        prop.area_by_id[area_id].surveyed,
        extras.surveys.get(area_id, ()),
        walk.sigma_m if walk else None,
    )


def since_last_survey(measured: Measured, ring: Ring) -> tuple[list[PatchMove], list[Note]]:
    """Return how each patch in a strip moved since its last survey, and what crossed it."""
    from quietacre.strip.since import Surveyed, since_survey

    prop, areas, extras = measured
    shapes = dict(zip(areas["id"], areas.geometry, strict=True))
    patches = [
        Surveyed(
            name=prop.area_by_id[key].name,
            old=last.shape,
            new=shapes[key],
            old_on=last.on,
            new_on=prop.area_by_id[key].surveyed,
            old_sigma_m=last.sigma_m,
            new_sigma_m=walk.sigma_m if (walk := extras.walks.get(key)) else None,
        )
        for key in ring.round_ids
        if key in extras.surveys and ring.kind == "strip"
        for last in extras.surveys[key][-1:]
    ]
    return since_survey(patches, ring.wanted.width_ft)


@dataclass(frozen=True, slots=True)
class DoneJob:
    """One thing that was done on a piece of ground; ``more`` is the rest of it in words."""

    on: dt.date
    task: str
    more: str


@dataclass(frozen=True, slots=True)
class StripReport:
    """A strip or firebreak, and what the amounts, the log, the surveys and the year say of it.

    ``advance`` is the patch that moved farthest since its last survey, ``advance_also`` the
    others; ``keeping`` is None without a planned cut.
    """

    ring: Ring
    need: Mapping[str, Any] | None
    advance: PatchMove | None
    advance_also: tuple[PatchMove, ...]
    record: tuple[DoneJob, ...]
    keeping: Keeping | None

    JSON_FLAT: ClassVar = ("ring",)


def _strip_report(
    measured: Measured,
    ring: Ring,
    needs: Mapping[str, Any],
    book: Book,
    keeping: Keeping | None,
) -> StripReport:
    moves, notes = since_last_survey(measured, ring)
    return StripReport(
        ring=ring.noted(notes),
        need=needs.get(ring.id),
        advance=moves[0] if moves else None,
        advance_also=tuple(moves[1:]),
        record=_record(book, ring.name),
        keeping=keeping,
    )


def property_row(prop: Property, extras: Extras) -> dict[str, Any]:
    """Return what the report says of the place itself."""
    acres = None
    if extras.boundary is not None:
        acres = float(area_m2(np.array([extras.boundary], dtype=object))[0]) / ACRE_M2
    return {
        "name": prop.property.name,
        "place_id": id_of(prop.property.known_by),
        "own_id": prop.property.id is not None,
        "state": prop.property.state,
        "acres": acres,
        "acres_low": acres,
        "acres_high": acres,
        "note": prop.property.note,
    }


def _totals(
    areas: gpd.GeoDataFrame, extras: Extras, shopping: Sequence[Mapping[str, Any]]
) -> dict[str, Any]:
    # Walks err independently, so their half-widths add in squares.
    below = float(np.sqrt(((areas["acres"] - areas["acres_low"]) ** 2).sum()))
    above = float(np.sqrt(((areas["acres_high"] - areas["acres"]) ** 2).sum()))
    costs = [row["cost"] for row in shopping if row.get("cost") is not None]
    return {
        "total_acres": extras.total_acres,
        "total_acres_low": max(extras.total_acres - below, 0.0),
        "total_acres_high": extras.total_acres + above,
        "by_kind": {
            kind: float(group["acres"].sum())
            for kind, group in areas.groupby("kind", sort=True)
        },
        "overlap_acres": max(extras.overlap_acres, 0.0),
        "cost": round(float(sum(costs)), 2) if costs else None,
    }


def _area_report(
    measured: Measured,
    row: int,
    needs: Mapping[str, Mapping[str, Any]],
    book: Book,
    meant: Seasons,
    offers: Sequence[Offer],
) -> dict[str, Any]:
    prop, areas, extras = measured
    record = areas.iloc[row]
    settings = prop.area_by_id[record["id"]]
    walk = extras.walks.get(record["id"])
    point = record.geometry.representative_point()
    half = (record["acres_high"] - record["acres_low"]) / 2
    sown = [row for row in meant.rows if row.area_id == record["id"]]
    offered = {offer.season.key: (offer.day, offer.text) for offer in offers}
    mine = [needs[key] for key in planting_keys(record["id"], settings) if key in needs]
    need = merged_need(mine) if mine else None
    return {
        "id": record["id"],
        "name": record["name"],
        "kind": record["kind"],
        "source": record["source"],
        "acres": record["acres"],
        "acres_low": record["acres_low"],
        "acres_high": record["acres_high"],
        "half_width_pct": 100 * half / record["acres"] if record["acres"] > 0 else 0.0,
        "perimeter_ft": record["perimeter_ft"],
        "method": record["method"],
        "walk": asdict(walk.reading) if walk else None,
        "need": need,
        "settings": list(need["setting"]) if need and need.get("setting") else [],
        "mix": ", ".join(row.mix for row in plantings_of(settings) if row.mix) or None,
        "plant": first_day(sown),
        "plantings": [season_row(row, offered.get(row.key)) for row in sown],
        "vine": settings.vine,
        "surveyed": settings.surveyed.isoformat() if settings.surveyed else None,
        **as_json(surveys_told(measured, record["id"])),
        "history": list(settings.history),
        "record": _record(book, record["name"]),
        "note": settings.note,
        **_from_steps(record, extras.plugins),
        "notes": [note.to_dict() for note in extras.area_notes.get(record["id"], ())],
        "lon": point.x,
        "lat": point.y,
    }


def _record(book: Book, name: str) -> tuple[DoneJob, ...]:
    """Return what was done on one piece of ground, the newest first."""
    return tuple(DoneJob(job.on, job.task, job.more) for job in book.of(name))


def _from_steps(record: Mapping[str, Any], plugins: Plugins) -> dict[str, Any]:
    """Return what steps of other packages say of one area; nothing where none is used."""
    columns = step_columns(plugins)
    if not columns:
        return {}
    return {"from_steps": {column.name: record[column.name] for column in columns}}
