"""What to buy as things stand now, without the year and without writing a file."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, TypedDict

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.desk.asked import Asked
    from quietacre.report_json.need import ListedItemJson


class AmountsTold(TypedDict):
    """What to buy as things stand: lines of the shopping list, and what the plan of products says."""

    lines: list[ListedItemJson]
    said: list[str]


def amounts_json(folder: Path, _asked: Asked) -> AmountsTold:
    """Return the lines of the shopping list, and what the plan of products says.

    Parameters
    ----------
    folder : the property folder.

    Raises
    ------
    BadInput
        A setting or a file cannot be used.
    """
    from quietacre.as_json import plain
    from quietacre.build import seasons_meant, strips_of
    from quietacre.frames import areas_by_id
    from quietacre.measure.property import measure_property
    from quietacre.need.plan import plan_needs
    from quietacre.plugins.run import with_steps
    from quietacre.record.book import book_of
    from quietacre.report import line_acres

    today = dt.date.today()  # noqa: DTZ011 - the person's own day
    measured = measure_property(folder)
    joined = areas_by_id(measured.areas, measured.prop)
    measured = measured._replace(areas=with_steps(joined, measured.extras.plugins))
    prop, areas, extras = measured
    book = book_of(extras.done, prop, extras.kept)
    strips = strips_of(measured, book, today)
    _, meant = seasons_meant(measured, book, today, None)
    needs = plan_needs(
        areas, meant.prop, strips=strips.strips,
        property_acres=line_acres(extras), finished=meant.finished, book=book,
        today=today,
    )  # fmt: skip
    return {"lines": plain(needs.lines), "said": list(needs.fertilizer_plan.said)}
