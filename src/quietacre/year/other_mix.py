"""Another mix of the property's own list, for a planting that can no longer keep its window."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.in_parts import InParts
from quietacre.plantings import sown_of
from quietacre.quiet import DAY
from quietacre.workweek import WEEK_DAYS
from quietacre.year.moves import mine_open
from quietacre.year.sowing import poor_days, windows_by_crop

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre.plantings import Sown
    from quietacre.settings import Mix, Property
    from quietacre.year.frost import FrostReport
    from quietacre.year.plan import Planned
    from quietacre.year.task import Task

#: Another mix is offered when it can be sown within so long.
OFFERED_DAYS = 90


def other_mixes(
    plan: Planned, prop: Property, frost: FrostReport | None
) -> Iterator[tuple[str, str]]:
    """Yield (area, sentence) for each planting with no good day left, and what could be sown.

    A day is good when a printed window of each crop has it, no frost comes too soon after
    it, it is open and one of the person's. Only mixes whose crops all have known windows
    are offered.
    """
    named: set[str] = set()
    plantings = {sown.key: sown for sown in sown_of(prop)}
    for task in plan.tasks:
        if task.task != "plant" or task.status == "done" or task.planting in named:
            continue
        area = plantings.get(task.planting)
        if area is None or not _too_late(task, area, plan, prop):
            continue
        named.add(task.planting)
        offers = [
            f"“{mix.name}” {when}"
            for mix in prop.mix
            if mix.name != area.mix
            and (when := _sown_when(mix, task, area, plan, prop, frost))
        ]
        yield (
            task.area,
            InParts(
                f"{area.tag}what it was to be sown with can no longer be sown on a day of yours inside its "
                "windows and in time before frost",
                (
                    f"Of your other mixes {'; '.join(offers)}. To take one, set mix and plant of this "
                    "ground; to sow late all the same, leave them."
                    if offers
                    else f"None of your other mixes has a day within {OFFERED_DAYS} days either: leave "
                    "it to next year, or ask your county extension office what still takes."
                ),
            ),
        )


def _too_late(task: Task, area: Sown, plan: Planned, prop: Property) -> bool:
    """Return whether a planting's time has come or it was moved, and no good day is left."""
    if area.plant is None or task.asked is None:
        return False
    if plan.today < area.plant and task.asked <= area.plant:
        return False
    first = max(plan.today, task.earliest)
    mine = mine_open(first, task.latest, task.words, plan.seasons, prop.work)
    return task.poor.issuperset(mine)


def _sown_when(
    mix: Mix, task: Task, area: Sown, plan: Planned, prop: Property,
    frost: FrostReport | None,
) -> str | None:  # fmt: skip
    """Return when another mix can be sown, in words; None when it cannot or nobody knows."""
    other = dataclasses.replace(area, mix=mix.name)
    if not mix.seed or not all(windows_by_crop(other, prop)):
        return None
    first = max(plan.today, task.earliest)
    last = first + OFFERED_DAYS * DAY
    poor = poor_days(other, first, last, frost, prop)
    mine = mine_open(first, last, task.words, plan.seasons, prop.work)
    good = [day for day in mine if day not in poor]
    if not good:
        return None
    end = good[0]
    while end < last and end + DAY not in poor:
        end += DAY
    if (good[0] - first).days > WEEK_DAYS:
        return f"from {say_day(good[0])} to {say_day(end)}"
    return f"until {say_day(end)}"
