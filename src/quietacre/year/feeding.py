"""Foliar feeds and spot sprays as dated tasks."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from quietacre.figures import figure
from quietacre.quiet import DAY
from quietacre.year.minutes import field_minutes
from quietacre.year.moves import out_of_season
from quietacre.year.task import Task, uid_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from quietacre.quiet import Season
    from quietacre.settings import Area, Property
    from quietacre.year.takes import Takes


def feed_tasks(
    area: Area, area_id: str, takes: Takes, prop: Property,
    quiet_seasons: Sequence[Season], today: dt.date,
) -> Iterator[Task]:  # fmt: skip
    """Yield the foliar feeds and spot sprays: on their date, or in the usual weeks.

    Without a date, browse is fed after leaf-out (April 1 to May 10) and vines are spot
    sprayed in summer growth (June 1 to August 31): assumptions, about 33° N.
    """
    uses = {spray.name: spray.use for spray in prop.spray}
    seen: dict[str, int] = {}
    for row in takes.spray:
        seen[row.name] = seen.get(row.name, 0) + 1
        feed = uses.get(row.name) != "spot spray"
        if row.on is not None:
            ideal = row.on
            yearly = [(ideal - 7 * DAY, ideal, ideal + 7 * DAY)]
            reason = "the date you set; the label decides weather and wear"
        else:
            ends = ((4, 1), (4, 20), (5, 10)) if feed else ((6, 1), (7, 10), (8, 31))
            over = today > dt.date(today.year, *ends[2])
            yearly = [
                (dt.date(year, *ends[0]), dt.date(year, *ends[1]), dt.date(year, *ends[2]))
                for year in range(today.year, today.year + 1 + over)
            ]
            reason = (
                "no date set: after leaf-out" if feed else "no date set: in full growth"
            ) + (" (assumption, about 33° N); the label decides weather and wear")
        for early, ideal, late in yearly:
            task = Task(
                uid=uid_of(prop.property.known_by, area.first_name, "spray", row.name, ideal.isoformat()),
                lasting=uid_of(prop.property.known_by, area.first_name, "spray", row.name,
                               str(ideal.year), str(seen[row.name])),
                area=area.name, area_id=area_id, kind=area.kind, task="spray",
                label=("feed with " if feed else "spray ") + row.name, earliest=early,
                ideal=ideal, latest=late,
                minutes=row.minutes or field_minutes(row.acres, "sprayer", prop.equipment),
                machine="sprayer",
                reason=reason,
                amounts=[f"{figure(row.gal, 'gal')} with {figure(row.product, row.unit, 1)}"],
            )  # fmt: skip
            out_of_season(task, ideal, quiet_seasons, prop.work)
            task.asked = task.ideal if row.on else None
            yield task
