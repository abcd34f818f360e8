"""The whole run, in order: read, boundary, measure, strips, needs, year, page.

Everything here is glue. Each step is a function of its own module and can be
run alone; this module only decides what goes into which.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from quietacre.as_json import plain, rounded
from quietacre.frames import areas_by_id
from quietacre.intake.calendar import issued_before
from quietacre.measure.property import measure_property
from quietacre.plugins.run import with_steps
from quietacre.record.book import book_of
from quietacre.record.rain import rain_of, waits_of
from quietacre.render import all_files
from quietacre.report import line_acres, report_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    import geopandas as gpd

    from quietacre.measure.records import Extras, Frames, Measured
    from quietacre.record.book import Book
    from quietacre.report_records import Report
    from quietacre.settings import Property
    from quietacre.strip.groups import Known
    from quietacre.strip.plan import StripPlan
    from quietacre.strip.records import Ring
    from quietacre.year.behind_rain import Rain
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


@dataclass(frozen=True)
class Built:
    """A finished build: what was measured, the report, the layers, and every file to write."""

    measured: Measured
    report: Report
    layers: Frames
    files: Mapping[str, bytes]


class Plan(NamedTuple):
    """What was planned of a property: its report, figures as report.json has them, and layers."""

    report: Report
    layers: Frames


def plan_property(
    measured: Measured,
    *,
    today: dt.date,
    tell: Callable[[str], None] = lambda _step: None,
    year: int | None = None,
) -> tuple[Report, Frames]:
    """Return the report, as report.json holds it, and the layers of a measured property.

    The parameters are those of `plan_records`.
    """
    report, layers = plan_records(measured, today=today, tell=tell, year=year)
    return plain(report), layers


def plan_records(
    measured: Measured,
    *,
    today: dt.date,
    tell: Callable[[str], None] = lambda _step: None,
    year: int | None = None,
) -> Plan:
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
    from quietacre.year.lived import Lived, years_of
    from quietacre.year.report import plan_year

    joined = areas_by_id(measured.areas, measured.prop)
    measured = measured._replace(areas=with_steps(joined, measured.extras.plugins))
    prop, areas, extras = measured
    book = book_of(extras.done, prop, extras.kept)
    tell(STEPS[1])
    strips = strips_of(measured, book, today)
    book = book.named(_ring_names(prop, strips.rings))
    tell(STEPS[2])
    rain, meant = seasons_meant(measured, book, today, year)
    needs = plan_needs(
        areas, meant.prop, strips=strips.strips, property_acres=line_acres(extras),
        finished=meant.finished, book=book, today=today,
    )  # fmt: skip
    tell(STEPS[3])
    planned = plan_year(
        areas,
        meant.prop,
        today=today,
        needs=needs.needs,
        strips_report=strips.rings,
        done=book.days_done(),
        weather=extras.weather,
        ticked=book.ticked(),
        rain=rain,
        meant=meant,
        walked=extras.walked,
    )
    lived = Lived(
        book, needs.uses, needs.bought, _grounds(areas, strips.rings), extras.total_acres,
        extras.weather,
    )  # fmt: skip
    years = years_of(year or today.year, lived, prop, today, extras.kept)
    report = report_of(measured, book, strips, needs, planned, meant, years, today)
    return Plan(rounded(report), _layers(areas, strips, extras))


def seasons_meant(
    measured: Measured, book: Book, today: dt.date, year: int | None = None
) -> tuple[Rain, Seasons]:
    """Return what is known of rain, and the season of each planting that is meant on a day."""
    from quietacre.year.behind_rain import rain_known
    from quietacre.year.seasons import seasons_of

    weather = measured.extras.weather
    rain = rain_known(weather, rain_of(book), waits_of(book, today), today)
    meant = seasons_of(
        measured.prop, today, book.days_done(), rain=rain, ticked=book.ticked(), year=year
    )
    return rain, meant


def known_for_strips(measured: Measured, book: Book, today: dt.date) -> Known:
    """Return what the widths of a property's strips are worked out from."""
    from quietacre.strip.groups import Known

    _, areas, extras = measured
    return Known(
        today,
        dict(zip(areas["id"], areas["sigma_m"], strict=True)),
        extras.degree_days,
        extras.transects,
        book.cuts(),
        book.one_strip(),
    )


def strips_of(
    measured: Measured, book: Book, today: dt.date, *, about: str | None = None
) -> StripPlan:
    """Return the strips and firebreaks of a property, or those round one area alone."""
    from quietacre.strip.plan import plan_strips

    known = known_for_strips(measured, book, today)
    prop, areas, extras = measured
    return plan_strips(areas, prop, extras.boundary, **known._asdict(), about=about)


def _layers(areas: gpd.GeoDataFrame, strips: StripPlan, extras: Extras) -> Frames:
    """Return every layer of a plan by name."""
    return {
        "areas": areas,
        "strips": strips.strips,
        "weak": strips.weak,
        "passes": strips.passes,
        **extras.layers,
    }


def _grounds(
    areas: gpd.GeoDataFrame, rings: Sequence[Ring]
) -> list[tuple[str, str, str, float]]:
    """Return name, id, kind and acres of each piece of ground, strips after the areas."""
    rows = zip(areas["name"], areas["id"], areas["kind"], areas["acres"], strict=True)
    made = [(ring.name, ring.id, ring.kind, ring.size.acres) for ring in rings]
    return [(name, key, kind, float(acres)) for name, key, kind, acres in (*rows, *made)]


def _ring_names(prop: Property, rings: Sequence[Ring]) -> dict[str, str]:
    """Return the name of each strip and firebreak by what it is called for each area in it."""
    return {
        f"{prop.area_by_id[key].name} {ring.kind}": ring.name
        for ring in rings
        for key in ring.round_ids
    }


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
    planned, layers = plan_records(measured, today=today, tell=tell)
    tell(STEPS[4])
    issued, notes = issued_before(folder)
    report = replace(planned, notes=(*planned.notes, *notes))
    files = all_files(folder, measured, report, layers, issued)
    return Built(measured, report, layers, files)
