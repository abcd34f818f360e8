"""Planting goes behind rain: what fell, what is waited for, and what that moves.

A planting rain is ``rain_in`` inches within ``rain_days`` days, as ``[weather]`` says. When
one has fallen inside the planting's days it is sown right behind it; when the log says that
it has not rained, the planting and what follows it wait for the day that was named.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from quietacre.days import say_day
from quietacre.figures import AS_IT_IS, figure
from quietacre.in_parts import InParts
from quietacre.logbook import LOG
from quietacre.quiet import DAY
from quietacre.settings import Weather
from quietacre.year.moves import mine_open, move_on, out_of_season
from quietacre.year.sowing import poor_days
from quietacre.year.states import LATE_DAYS
from quietacre.year.steps import STEPS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.daily import Daily
    from quietacre.plantings import Sown
    from quietacre.quiet import Season
    from quietacre.record.rain import Wait
    from quietacre.settings import Property
    from quietacre.year.frost import FrostReport
    from quietacre.year.task import Task

#: Ground is moist enough to sow for so long after a planting rain. Common practice, no source.
MOIST_DAYS = 5
#: A record that ends longer ago than this says nothing of the rain of today.
FRESH_DAYS = 4
#: A planting that waited may be sown for so long after the day it waited for, as one that
#: did not may after its own.
AFTER_DAYS = -next(step.latest for step in STEPS if step.task == "plant")
#: A word on waiting said longer before a planting's first day is of another planting.
EARLY_DAYS = 60


@dataclass(frozen=True)
class Rain:
    """What is known of rain: inches by day, and the last day of the station's record."""

    by_day: Mapping[dt.date, float] = field(default_factory=dict)
    record_last: dt.date | None = None
    waits: Mapping[str, Wait] = field(default_factory=dict)

    def waited(self, area: str) -> Wait | None:
        """Return the last word on waiting for a piece of ground, its own or that for all."""
        waits = [self.waits[name] for name in (area, "") if name in self.waits]
        return max(waits, key=lambda wait: wait.said, default=None)

    def planting_rain(
        self, first: dt.date, last: dt.date, rain_in: float, rain_days: int
    ) -> tuple[dt.date, float] | None:
        """Return the last wet day that made a planting rain, and its inches; None without one."""
        day = last
        while day >= first:
            if self.by_day.get(day, 0.0) > 0.0:
                days = (day - n * DAY for n in range(rain_days))
                fell = sum(self.by_day.get(one, 0.0) for one in days)
                if fell >= rain_in - 1e-9:
                    return day, fell
            day -= DAY
        return None


def rain_known(
    record: Daily | None, logged: Mapping[dt.date, float], waits: Mapping[str, Wait],
    today: dt.date,
) -> Rain:  # fmt: skip
    """Return the rain of the last year up to a day; the person's own gauge comes first."""
    by_day: dict[dt.date, float] = {}
    last = None
    if record is not None and not np.isnan(record.rain_in).all():
        span = 366
        first = today - (span - 1) * DAY
        values = record.window("rain_in", first, span)
        known = np.flatnonzero(~np.isnan(values))
        by_day = {first + int(n) * DAY: float(values[n]) for n in known}
        last = first + int(known[-1]) * DAY if len(known) else None
    by_day |= {day: inches for day, inches in logged.items() if day <= today}
    return Rain(by_day, last, waits)


def behind_rain(
    tasks: Sequence[Task], area: Sown, rain: Rain, prop: Property, today: dt.date,
    quiet_seasons: Sequence[Season], frost: FrostReport | None = None,
) -> None:  # fmt: skip
    """Move, in place, a planting that is not done yet behind rain, and what follows it.

    Parameters
    ----------
    tasks : the jobs of one planting, each after those it follows.
    quiet_seasons : the quiet seasons.
    frost : the frost report of the daily record, when there is one.
    """
    plant = next((task for task in tasks if task.task == "plant"), None)
    if plant is None or plant.asked is None:
        return
    ask = prop.weather
    inches = ask.rain_in if ask else Weather.rain_in
    days = ask.rain_days if ask else Weather.rain_days
    first, asked = plant.earliest, plant.asked
    wait = rain.waited(area.name)
    if wait is not None and (
        wait.said < first - EARLY_DAYS * DAY
        or (area.season_to is not None and wait.said > area.season_to)
    ):
        wait = None  # it was said of another planting
    dry_from = first - MOIST_DAYS * DAY if wait is None else max(first, wait.said)
    over = (
        plant.latest if wait is None else max(plant.latest, wait.until + AFTER_DAYS * DAY)
    )
    wet = rain.planting_rain(
        dry_from, min(today, over + LATE_DAYS * DAY), inches, days
    )  # later rain is of another planting, and brings back none that is over
    if wet is not None and wet[0] + MOIST_DAYS * DAY >= max(today, first):
        _sow_behind(plant, *wet, quiet_seasons, prop, today)
    else:
        if wait is not None and wait.until > asked:
            plant.earliest = plant.ideal = plant.asked = wait.until
            plant.latest = max(plant.latest, wait.until + AFTER_DAYS * DAY)
            plant.notes.append(_waits(wait))
        if plant.asked < today <= plant.latest:
            plant.notes += _still_dry(rain, dry_from, today, inches, days)
    if plant.asked != asked:
        plant.poor = poor_days(area, plant.earliest, plant.latest, frost, prop)
        for task in move_on(tasks, plant, max(plant.asked - asked, dt.timedelta(0))):
            out_of_season(task, plant.asked, quiet_seasons, prop.work)


def _sow_behind(
    plant: Task, fell_on: dt.date, fell_in: float, quiet_seasons: Sequence[Season],
    prop: Property, today: dt.date,
) -> None:  # fmt: skip
    """Move, in place, a planting to the first open day of one's own behind a rain."""
    plant.earliest = max(plant.earliest, min(fell_on + DAY, today))
    soonest = max(plant.earliest, fell_on + DAY, today)
    latest = soonest + (AFTER_DAYS - 1) * DAY
    days = mine_open(soonest, latest, plant.words, quiet_seasons, prop.work)
    plant.asked = plant.ideal = next(iter(days), soonest)
    plant.latest = max(plant.latest, plant.asked, fell_on + MOIST_DAYS * DAY)
    plant.notes.append(
        InParts(
            f"{figure(fell_in, 'in')} of rain fell up to {say_day(fell_on)}",
            f"sow behind it, by about {say_day(fell_on + MOIST_DAYS * DAY)} while the ground is "
            "moist.",
        )
    )


def _waits(wait: Wait) -> str:
    """Return the sentence on a planting that waits."""
    return InParts(
        f"it had not rained by {say_day(wait.said)} ({LOG}): it waits until "
        f"{say_day(wait.until)}"
        + ("" if wait.given else ", a week, for the line names no day"),
        "Where weeds have greened up by then, drag once more right before you sow.",
    )


def _still_dry(
    rain: Rain, first: dt.date, today: dt.date, inches: float, days: int
) -> list[str]:
    """Return what to do when no planting rain is known; nothing where rain would not be."""
    known = [*rain.by_day, *([rain.record_last] if rain.record_last else [])]
    last = max(known, default=None)
    if last is None or (today - last).days > FRESH_DAYS:
        return []
    return [
        InParts(
            f"no planting rain ({figure(inches, 'in', AS_IT_IS)} within {days} days) is known since "
            f"{say_day(first)}, up to {say_day(last)}",
            "say that it has not rained, and the plan goes on from the day you name (quietacre "
            "wait DIR --until DAY).",
        )
    ]
