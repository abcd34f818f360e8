"""Every file that a build writes, from its report and its layers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.as_json import plain, with_texts
from quietacre.export.outputs import OUTPUTS
from quietacre.plugins.run import step_columns, written_by

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from quietacre.measure.records import Frames, Measured
    from quietacre.model import Issued
    from quietacre.page.underlay import LaidUnder
    from quietacre.report_records import Report
    from quietacre.settings import Property
    from quietacre.words.columns import Column


def all_files(
    folder: Path, measured: Measured, report: Report, layers: Frames,
    issued: Sequence[Issued],
) -> dict[str, bytes]:  # fmt: skip
    """Return every file of a build by name, those of other packages among them.

    ``issued`` are the events of the calendar written before.
    """
    plugins = measured.extras.plugins
    under = _under(folder, measured)
    files = render_files(
        report, layers, measured.prop, under, step_columns(plugins), issued=issued
    )
    if not plugins.outputs:
        return files
    return files | written_by(plugins, plain(report), layers, OUTPUTS)


def render_files(
    report: Report,
    layers: Frames,
    prop: Property,
    under: LaidUnder | None = None,
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
    from quietacre.export.quantities import Say
    from quietacre.export.sheets import field_sheets_pdf
    from quietacre.export.styles import ground_sld
    from quietacre.page.map import TileService, render_page

    say = Say(prop.map.units == "metric")
    chart = prop.map
    tiles = None
    if chart.tiles is not None:
        tiles = TileService(
            url=chart.tiles, credit=chart.tiles_credit, most_zoom=chart.tiles_most_zoom
        )
    page = render_page(report, layers, units=chart.units, under=under, tiles=tiles)
    # page, papers and GeoPackage print the figures of their texts themselves, report.json is in US units
    said = with_texts(report, say.words)
    return {
        "map.html": page.encode(),
        "field-sheets.pdf": field_sheets_pdf(report, layers, units=prop.map.units),
        "areas.gpkg": geopackage_bytes(layers, report, more, say.words),
        "ground.sld": ground_sld("areas").encode(),
        "report.json": report_json(report).encode(),
        "shopping.csv": shopping_csv(said).encode(),
        "plan.csv": plan_csv(said).encode(),
        "calendar.ics": calendar_ics(
            said, event_for=prop.calendar.event_for, issued=issued
        ),
        "phone.gpx": phone_gpx(said, layers, say).encode(),
        "phone.kml": phone_kml(said, layers, say).encode(),
    }


def _under(folder: Path, measured: Measured) -> LaidUnder | None:
    """Return the picture laid under the map, None when none is asked for."""
    chart = measured.prop.map
    if chart.picture is None or not len(measured.areas):
        return None
    from quietacre.intake.picture import read_picture
    from quietacre.page.underlay import laid_under

    path = folder / chart.picture
    picture = read_picture(path, shown=chart.picture, crs=chart.picture_crs)
    edge = measured.extras.boundary
    west, south, east, north = (
        edge.bounds if edge is not None else measured.areas.total_bounds
    )
    return laid_under(picture, (west, south, east, north))
