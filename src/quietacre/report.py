"""The report: a row for each piece of ground, and what holds for all of it, from the records of a run."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from quietacre import __version__
from quietacre.acreage.equal_area import area_m2
from quietacre.logbook import id_of
from quietacre.need.merged import merged_need
from quietacre.plantings import planting_keys, plantings_of
from quietacre.plugins.run import step_columns
from quietacre.record.line_said import line_said
from quietacre.report_records import (
    AreaReport,
    AreaSize,
    DoneJob,
    FromSteps,
    NoSteps,
    PlaceTold,
    Report,
    StripReport,
    Tick,
    Totals,
)
from quietacre.units import ACRE_M2
from quietacre.year.seasons import first_day, season_told

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    import geopandas as gpd
    import pandas as pd

    from quietacre.measure.records import Extras, Measured
    from quietacre.model import Note
    from quietacre.need.plan import NeedPlan
    from quietacre.need.records import ListedItem, Need
    from quietacre.plugins import Plugins
    from quietacre.record.book import Book
    from quietacre.settings import Property
    from quietacre.strip.keeping import Keeping
    from quietacre.strip.plan import StripPlan
    from quietacre.strip.records import Ring
    from quietacre.strip.since import PatchMove, Surveys
    from quietacre.year.lived import YearsTold
    from quietacre.year.next_planting import Offer
    from quietacre.year.report import YearPlan
    from quietacre.year.seasons import Seasons


#: The form of report.json; it goes up when a key changes its meaning.
SCHEMA = 1


def report_of(
    measured: Measured, book: Book, strips: StripPlan, needs: NeedPlan, year: YearPlan,
    meant: Seasons, years: YearsTold, today: dt.date,
) -> Report:  # fmt: skip
    """Return the report of everything that was planned."""
    from quietacre.record.seen import seen_of, seen_told
    from quietacre.strip.keeping import keeping_by_ring

    prop, areas, extras = measured
    seen, seen_notes = seen_of(extras.seen, prop, today)
    kept = keeping_by_ring(strips.rings, areas, prop, extras.degree_days, year.year.tasks)
    return Report(
        schema=SCHEMA,
        made_on=today,
        version=__version__,
        property=place_told(prop, extras),
        totals=_totals(areas, extras, needs.lines),
        areas=tuple(
            _area_report(measured, row, needs.needs, book, meant, year.offers)
            for row in range(len(areas))
        ),
        strips=tuple(
            _strip_report(measured, ring, needs.needs, book, kept[ring.id])
            for ring in strips.rings
        ),
        shopping=needs.lines,
        on_hand=needs.on_hand,
        spent=needs.spent,
        fertilizer_plan=needs.fertilizer_plan,
        how_much=needs.how_much,
        crops=needs.crops,
        year=year.year,
        ticks=tuple(Tick(name, back) for name, back in sorted(book.ticks.items())),
        seen=tuple(seen_told(one) for one in seen),
        cautions=needs.cautions,
        notes=(*extras.notes, *book.notes, *seen_notes, *needs.notes, *year.notes),
        years=years,
    )


def surveys_told(measured: Measured, area_id: str) -> Surveys:
    """Return the surveys of an area and its movements, none without an earlier survey."""
    from quietacre.strip.since import surveys_of

    prop, areas, extras = measured
    walk = extras.walks.get(area_id)
    return surveys_of(
        areas.loc[areas["id"] == area_id].iloc[0],
        prop.area_by_id[area_id].surveyed,
        extras.surveys.get(area_id, ()),
        walk.edge_sigma_m if walk else None,
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
            new_sigma_m=walk.edge_sigma_m if (walk := extras.walks.get(key)) else None,
        )
        for key in ring.round_ids
        if key in extras.surveys and ring.kind == "strip"
        for last in extras.surveys[key][-1:]
    ]
    return since_survey(patches, ring.wanted.width_ft)


def _strip_report(
    measured: Measured,
    ring: Ring,
    needs: Mapping[str, Need],
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


def place_told(prop: Property, extras: Extras) -> PlaceTold:
    """Return what the report says of the place itself."""
    acres = line_acres(extras)
    return PlaceTold(
        name=prop.property.name,
        place_id=id_of(prop.property.known_by),
        own_id=prop.property.id is not None,
        state=prop.property.state,
        acres=acres,
        acres_low=acres,
        acres_high=acres,
        note=prop.property.note,
    )


def line_acres(extras: Extras) -> float | None:
    """Return the acres inside the property line, None without one."""
    if extras.boundary is None:
        return None
    return float(area_m2(np.array([extras.boundary], dtype=object))[0]) / ACRE_M2


def _totals(
    areas: gpd.GeoDataFrame, extras: Extras, shopping: Sequence[ListedItem]
) -> Totals:
    # Walks err independently, so their half-widths add in squares.
    below = float(np.sqrt(((areas["acres"] - areas["acres_low"]) ** 2).sum()))
    above = float(np.sqrt(((areas["acres_high"] - areas["acres"]) ** 2).sum()))
    costs = [row.cost for row in shopping if row.cost is not None]
    return Totals(
        total_acres=extras.total_acres,
        total_acres_low=max(extras.total_acres - below, 0.0),
        total_acres_high=extras.total_acres + above,
        by_kind={
            kind: float(group["acres"].sum())
            for kind, group in areas.groupby("kind", sort=True)
        },
        overlap_acres=max(extras.overlap_acres, 0.0),
        cost=round(float(sum(costs)), 2) if costs else None,
    )


def _area_report(
    measured: Measured,
    row: int,
    needs: Mapping[str, Need],
    book: Book,
    meant: Seasons,
    offers: Sequence[Offer],
) -> AreaReport:
    prop, areas, extras = measured
    record = areas.iloc[row]
    settings = prop.area_by_id[record["id"]]
    walk = extras.walks.get(record["id"])
    point = record.geometry.representative_point()
    sown = [row for row in meant.rows if row.area_id == record["id"]]
    offered = {offer.season.key: (offer.day, offer.text) for offer in offers}
    mine = [needs[key] for key in planting_keys(record["id"], settings) if key in needs]
    need = merged_need(mine) if mine else None
    return AreaReport(
        id=record["id"],
        name=record["name"],
        kind=record["kind"],
        source=record["source"],
        size=_size(record, extras.methods.get(record["id"], record["method"])),
        walk=walk.reading if walk else None,
        need=need,
        settings=need.setting if need else (),
        mix=", ".join(row.mix for row in plantings_of(settings) if row.mix) or None,
        plant=first_day(sown),
        plantings=tuple(season_told(row, offered.get(row.key)) for row in sown),
        vine=settings.vine,
        surveyed=settings.surveyed,
        surveys=surveys_told(measured, record["id"]),
        history=settings.history,
        record=_record(book, record["name"]),
        note=settings.note,
        steps=_from_steps(record, extras.plugins),
        notes=tuple(extras.area_notes.get(record["id"], ())),
        lon=point.x,
        lat=point.y,
    )


def _size(record: pd.Series, method: str) -> AreaSize:
    half = (record["acres_high"] - record["acres_low"]) / 2
    return AreaSize(
        acres=record["acres"],
        acres_low=record["acres_low"],
        acres_high=record["acres_high"],
        half_width_pct=100 * half / record["acres"] if record["acres"] > 0 else 0.0,
        perimeter_ft=record["perimeter_ft"],
        method=method,
    )


def _record(book: Book, name: str) -> tuple[DoneJob, ...]:
    """Return what was done on one piece of ground, the newest first."""
    return tuple(
        DoneJob(job.on, job.task, line_said({**job.cells, "task": job.task}))
        for job in book.of(name)
    )


def _from_steps(record: pd.Series, plugins: Plugins) -> FromSteps | NoSteps:
    """Return what steps of other packages say of one area."""
    columns = step_columns(plugins)
    if not columns:
        return NoSteps()
    return FromSteps({column.name: record[column.name] for column in columns})
