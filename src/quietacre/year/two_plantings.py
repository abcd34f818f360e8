"""Two plantings of one area that pull against each other: the ground is not free in time."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.in_parts import InParts
from quietacre.plantings import sown_of
from quietacre.quiet import DAY
from quietacre.year.steps import STEPS

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Mapping

    from quietacre.plantings import Sown
    from quietacre.settings import Property
    from quietacre.year.plan import Planned
    from quietacre.year.task import Task

#: A crop stands as long as it takes to read what deer took of it. Assumption.
STANDS_DAYS = -next(step.earliest for step in STEPS if step.task == "read exclosure")
#: The first work on the ground itself before a planting.
FIRST_WORK = ("clip", "turn under", "second disking", "smooth", "plant")


def overlaps(plan: Planned, prop: Property) -> Iterator[tuple[str, str]]:
    """Yield (area, sentence) where a planting's work begins before the last can be off."""
    by_area: dict[str, list[Sown]] = {}
    for sown in sown_of(prop):
        if sown.plant is not None:
            by_area.setdefault(sown.area_id, []).append(sown)
    tasks: dict[str, list[Task]] = {}
    for task in plan.tasks:
        tasks.setdefault(task.planting, []).append(task)
    for plantings in by_area.values():
        plantings.sort(key=lambda one: one.plant_day)
        for first, second in itertools.pairwise(plantings):
            begins = _begins(second, tasks)
            if begins is None:
                continue
            work, day = begins
            off = _off(first, tasks)
            if day < off:
                yield (
                    first.name,
                    InParts(
                        f"{second.called}: its preparation begins ({work.task}, best on {say_day(day)}) "
                        f"before {first.called} of {say_day(first.plant_day)} can be off, "
                        f"{say_day(off, year=True)} at the soonest ({STANDS_DAYS} days and its later "
                        "jobs, an assumption)",
                        "give them days further apart, or leave one out.",
                    ),
                )


def _begins(sown: Sown, tasks: Mapping[str, list[Task]]) -> tuple[Task, dt.date] | None:
    """Return the first work on the ground for a planting, and its best day."""
    work = [t for t in tasks.get(sown.key, ()) if t.task in FIRST_WORK]
    first = min(work, key=lambda t: t.best_was or t.ideal, default=None)
    return (first, first.best_was or first.ideal) if first else None


def _off(sown: Sown, tasks: Mapping[str, list[Task]]) -> dt.date:
    """Return the soonest day on which a crop is done with, its later jobs too."""
    planted = sown.plant_day
    later = [t.earliest for t in tasks.get(sown.key, ()) if t.earliest > planted]
    return max([planted + STANDS_DAYS * DAY, *later])
