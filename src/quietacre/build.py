"""The whole run, in order: read, boundary, measure, strips, needs, year, page.

Everything here is glue. Each step is a function of its own module and can be
run alone; this module only decides what goes into which.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from quietacre import __version__
from quietacre.acreage.equal_area import area_m2
from quietacre.errors import FileProblem
from quietacre.export.outputs import OUTPUTS
from quietacre.frames import areas_by_id
from quietacre.logbook import id_of
from quietacre.measure.property import measure_property
from quietacre.model import OUT, Note
from quietacre.need.merged import merged_need
from quietacre.plantings import planting_keys, plantings_of
from quietacre.plugins.run import step_columns, with_steps, written_by
from quietacre.record.book import book_of
from quietacre.record.rain import rain_of, waits_of
from quietacre.units import ACRE_M2
from quietacre.year.seasons import first_day, season_row

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    import geopandas as gpd

    from quietacre.measure.records import Extras, Frames, Measured
    from quietacre.model import Issued
    from quietacre.need.plan import NeedPlan
    from quietacre.plugins import Plugins
    from quietacre.record.book import Book
    from quietacre.settings import Property
    from quietacre.strip.plan import StripPlan
    from quietacre.words.columns import Column
    from quietacre.year.next_planting import Offer
    from quietacre.year.report import YearPlan
    from quietacre.year.seasons import Seasons

#: Steps of a build, in order, as a person would name them.
STEPS = (
    "reading and measuring",
    "strips",
    "amounts",
    "the year",
    "map",
    "writing",
)


def _record(book: Book, name: str) -> list[dict[str, str]]:
    """Return what was done on one piece of ground, the newest first."""
    return [
        {"on": job.on.isoformat(), "task": job.task, "more": job.more}
        for job in book.of(name)
    ]


@dataclass(frozen=True)
class Built:
    """A finished build: the report, the layers, and every file to write."""

    report: dict[str, Any]
    layers: Frames
    files: Mapping[str, bytes]


def plan_property(
    measured: Measured,
    *,
    today: dt.date,
    tell: Callable[[str], None] = lambda _step: None,
    year: int | None = None,
) -> tuple[dict[str, Any], Frames]:
    """Return the report and the layers of a measured property.

    Parameters
    ----------
    measured : what ``measure_property`` returned.
    today : the day the plan is made.
    tell : called with the name of each step as it begins.
    year : the calendar year whose plantings are meant, where they come back each year;
        that of the day and the log when None.
    """
    from quietacre.need.plan import plan_needs
    from quietacre.strip.plan import plan_strips
    from quietacre.year.behind_rain import rain_known
    from quietacre.year.lived import Lived, years_report
    from quietacre.year.report import plan_year
    from quietacre.year.seasons import seasons_of

    joined = areas_by_id(measured.areas, measured.prop)
    measured = measured._replace(areas=with_steps(joined, measured.extras.plugins))
    prop, areas, extras = measured
    book = book_of(extras.done, prop)
    tell(STEPS[1])
    strips = plan_strips(
        areas,
        prop,
        extras.boundary,
        today=today,
        walk_sigma=dict(zip(areas["id"], areas["sigma_m"], strict=True)),
        degree_days=extras.degree_days,
        transects=extras.transects,
        cuts=book.cuts(),
    )
    book = book.named(_ring_names(prop, strips.report))
    tell(STEPS[2])
    acres = _property_report(prop, extras)["acres"]
    rain = rain_known(extras.weather, rain_of(book), waits_of(book, today), today)
    meant = seasons_of(
        prop, today, book.days_done(), rain=rain, ticked=book.ticked(), year=year
    )
    needs = plan_needs(
        areas, meant.prop, strips=strips.strips, property_acres=acres,
        finished=meant.finished,
        book=book, today=today,
    )  # fmt: skip
    tell(STEPS[3])
    planned = plan_year(
        areas,
        meant.prop,
        today=today,
        needs=needs.by_id,
        strips_report=strips.report,
        done=book.days_done(),
        weather=extras.weather,
        ticked=book.ticked(),
        rain=rain,
        meant=meant,
    )
    report = _report(measured, book, strips, needs, planned, meant, today)
    lived = Lived(
        book, needs.uses, needs.bought, _grounds(areas, strips.report), extras.total_acres,
        extras.weather,
    )  # fmt: skip
    report["years"] = years_report(year or today.year, lived, prop, today, extras.kept)
    layers = {
        "areas": areas,
        "strips": strips.strips,
        "weak": strips.weak,
        "passes": strips.passes,
        **extras.layers,
    }
    return plain(report), layers


def _grounds(
    areas: gpd.GeoDataFrame, strips: Sequence[Mapping[str, Any]]
) -> list[tuple[str, str, str, float]]:
    """Return name, id, kind and acres of each piece of ground, strips after the areas."""
    rows = zip(areas["name"], areas["id"], areas["kind"], areas["acres"], strict=True)
    made = [(row["name"], row["id"], row["kind"], row["acres"]) for row in strips]
    return [(name, key, kind, float(acres)) for name, key, kind, acres in (*rows, *made)]


def _ring_names(prop: Property, rings: Sequence[Mapping[str, Any]]) -> dict[str, str]:
    """Return the name of each strip and firebreak by what it is called for each area in it."""
    return {
        f"{prop.area_by_id[key].name} {row['kind']}": row["name"]
        for row in rings
        for key in (row["of"], *row["also_of"])
    }


def _report(
    measured: Measured, book: Book, strips: StripPlan, needs: NeedPlan, year: YearPlan,
    meant: Seasons, today: dt.date,
) -> dict[str, Any]:  # fmt: skip
    """Return the report of everything that was planned."""
    from quietacre.strip.keeping import add_keeping

    prop, areas, extras = measured
    strip_rows = [_strip_row(measured, row, needs.by_id, book) for row in strips.report]
    add_keeping(strip_rows, areas, prop, extras.degree_days, year.report["tasks"])
    return {
        "schema": 1,
        "made_on": today.isoformat(),
        "version": __version__,
        "property": _property_report(prop, extras),
        "totals": _totals(areas, extras, needs.shopping),
        "areas": [
            _area_report(measured, row, needs.by_id, book, meant, year.offers)
            for row in range(len(areas))
        ],
        "strips": strip_rows,
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
        "cautions": needs.cautions,
        "notes": [
            note.to_dict()
            for note in (*extras.notes, *book.notes, *needs.notes, *year.notes)
        ],
    }


def _strip_row(
    measured: Measured, row: Mapping[str, Any], needs: Mapping[str, Any], book: Book
) -> dict[str, Any]:
    """Return a strip for the report: its amounts, its record, and since its last survey."""
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
        for key in (row["of"], *row["also_of"])
        if key in extras.surveys and row["kind"] == "strip"
        for last in extras.surveys[key][-1:]
    ]
    moves, notes = since_survey(patches, row["width_ft"])
    return {
        **row,
        "need": needs.get(row["id"]),
        "advance": moves[0] if moves else None,
        "advance_also": moves[1:],
        "record": _record(book, row["name"]),
        "notes": [*row["notes"], *(note.to_dict() for note in notes)],
    }


def _property_report(prop: Property, extras: Extras) -> dict[str, Any]:
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
    from quietacre.strip.since import survey_rows

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
        **survey_rows(
            record,
            settings.surveyed,
            extras.surveys.get(record["id"], ()),
            walk.sigma_m if walk else None,
        ),
        "history": list(settings.history),
        "record": _record(book, record["name"]),
        "note": settings.note,
        **_from_steps(record, extras.plugins),
        "notes": [note.to_dict() for note in extras.area_notes.get(record["id"], ())],
        "lon": point.x,
        "lat": point.y,
    }


def _from_steps(record: Mapping[str, Any], plugins: Plugins) -> dict[str, Any]:
    """Return what steps of other packages say of one area; nothing where none is used."""
    columns = step_columns(plugins)
    if not columns:
        return {}
    return {"from_steps": {column.name: record[column.name] for column in columns}}


def plain(value: Any) -> Any:  # noqa: ANN401 - any JSON
    """Return ``value`` with numpy scalars unwrapped, NaN as None, tuples as lists."""
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float):
        return round(value, 6) if math.isfinite(value) else None
    return value


def build_property(
    folder: Path, *, today: dt.date, tell: Callable[[str], None] = lambda _step: None
) -> Built:
    """Work out everything for a property folder, without writing a file.

    Raises
    ------
    BadInput
        A setting or a file cannot be used.
    """
    tell(STEPS[0])
    measured = measure_property(folder)
    report, layers = plan_property(measured, today=today, tell=tell)
    tell(STEPS[4])
    files = all_files(folder, measured, report, layers)
    return Built(report, layers, files)


def _issued(folder: Path) -> tuple[tuple[Issued, ...], tuple[Note, ...]]:
    """Return the events of the calendar that stands in the outputs, and what is said of it."""
    from quietacre.intake.calendar import read_issued

    shown = f"{OUT}/calendar.ics"
    if not (folder / shown).is_file():
        return (), ()
    try:
        return read_issued(folder / shown, shown=shown), ()
    except FileProblem as problem:
        text = f"{problem}; events that fell away are not cancelled in your calendar."
        return (), (Note("calendar-unread", text, "caution", shown),)


def all_files(
    folder: Path, measured: Measured, report: dict[str, Any], layers: Frames
) -> dict[str, bytes]:
    """Return every file of a build by name, those of other packages among them."""
    plugins = measured.extras.plugins
    under = _under(folder, measured)
    issued, notes = _issued(folder)
    report["notes"] += [note.to_dict() for note in notes]
    files = render_files(
        report, layers, measured.prop, under, step_columns(plugins), issued=issued
    )
    return files | dict(written_by(plugins, report, layers, OUTPUTS))


def _under(folder: Path, measured: Measured) -> dict[str, Any] | None:
    """Return the picture laid under the map, None when none is asked for."""
    chart = measured.prop.map
    if chart.picture is None or not len(measured.areas):
        return None
    from quietacre.intake.picture import read_picture
    from quietacre.page.under import laid_under

    path = folder / chart.picture
    picture = read_picture(path, shown=chart.picture, crs=chart.picture_crs)
    edge = measured.extras.boundary
    west, south, east, north = (
        edge.bounds if edge is not None else measured.areas.total_bounds
    )
    return laid_under(picture, (west, south, east, north))


def render_files(
    report: dict[str, Any],
    layers: Frames,
    prop: Property,
    under: dict[str, Any] | None = None,
    more: Sequence[Column] = (),
    *,
    issued: Sequence[Issued] = (),
) -> dict[str, bytes]:
    """Return every output file by name, as bytes.

    ``under`` is the map's picture, ``more`` the columns that steps of other packages added,
    ``issued`` the events of the calendar written before.
    """
    from quietacre.export.calendar import calendar_ics, plan_csv
    from quietacre.export.geopackage import geopackage_bytes
    from quietacre.export.kml import phone_kml
    from quietacre.export.lists import report_json, shopping_csv
    from quietacre.export.phone import phone_gpx
    from quietacre.export.said import Say
    from quietacre.export.sheets import field_sheets_pdf
    from quietacre.export.styles import ground_sld
    from quietacre.page.map import render_page

    say = Say(prop.map.units == "metric")
    chart = prop.map
    tiles = None
    if chart.tiles is not None:
        tiles = {
            "url": chart.tiles,
            "credit": chart.tiles_credit,
            "most_zoom": chart.tiles_most_zoom,
        }
    page = render_page(report, layers, units=chart.units, under=under, tiles=tiles)
    return {
        "map.html": page.encode(),
        "field-sheets.pdf": field_sheets_pdf(report, layers, units=prop.map.units),
        "areas.gpkg": geopackage_bytes(layers, report, more),
        "ground.sld": ground_sld("areas").encode(),
        "report.json": report_json(report).encode(),
        "shopping.csv": shopping_csv(report).encode(),
        "plan.csv": plan_csv(report).encode(),
        "calendar.ics": calendar_ics(
            report, event_for=prop.calendar.event_for, issued=issued
        ),
        "phone.gpx": phone_gpx(report, layers, say).encode(),
        "phone.kml": phone_kml(report, layers, say).encode(),
    }
