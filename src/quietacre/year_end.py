"""A calendar year as it is kept: planned on its last day, with what it came to."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.build import plan_records, seasons_meant
from quietacre.intake.calendar import issued_before
from quietacre.measure.property import measure_property
from quietacre.record.book import book_of
from quietacre.render import all_files
from quietacre.year.lived import open_jobs

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from quietacre.kept_years import YearRecord


@dataclass(frozen=True)
class ClosedYear:
    """A year to keep: its record, its papers by name, and the plantings that stand elsewhere.

    ``moved_on`` names ground whose planting has a date of a later year already.
    """

    record: YearRecord
    files: Mapping[str, bytes]
    planned_on: dt.date
    moved_on: tuple[str, ...]


def close_year(
    folder: Path, year: int, today: dt.date, tell: Callable[[str], None] = lambda _step: None
) -> ClosedYear:  # fmt: skip
    """Return a year of a property as it is kept, without writing a file.

    It is planned on the last day of the year, or of its last season where that runs into the
    next one; never on a day to come.

    Raises
    ------
    BadInput
        A setting or a file cannot be used.
    """
    tell("reading and measuring")
    measured = measure_property(folder)
    book = book_of(measured.extras.done, measured.prop)
    _, meant = seasons_meant(measured, book, today, year)
    ends = (row.last for row in meant.rows if row.year == year)
    on = min(today, max([dt.date(year, 12, 31), *ends]))
    report, layers = plan_records(measured, today=on, tell=tell, year=year)
    issued, notes = issued_before(folder)
    report = replace(report, notes=(*report.notes, *notes))
    seasons = {row.key: row.year for area in report.areas for row in area.plantings}
    record = replace(
        report.years.this,
        made_on=today.isoformat(),
        open_jobs=open_jobs(report.year.tasks, seasons, year),
    )
    tell("writing")
    files = all_files(folder, measured, report, layers, issued)
    files.pop("calendar.ics", None)  # who opened it again would move events back
    moved = tuple(
        dict.fromkeys(
            area.name for area in report.areas for row in area.plantings if row.year > year
        )
    )
    return ClosedYear(record, files, on, moved)
