"""The year of a property: tasks, days, quiet seasons, and what does not fit."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from quietacre.days import say_day, say_span
from quietacre.in_parts import InParts
from quietacre.plantings import sown_of
from quietacre.quiet import DAY, open_after, open_before, seasons, shut_by
from quietacre.year.amounts import say_done
from quietacre.year.backward import plot_tasks
from quietacre.year.begun import jobs_from_begin
from quietacre.year.behind_rain import Rain, behind_rain
from quietacre.year.capacity import DayCapacity
from quietacre.year.feeding import feed_tasks
from quietacre.year.logged import frozen_days
from quietacre.year.minutes import ring_minutes
from quietacre.year.moves import out_of_season, trim
from quietacre.year.rounds import burns_due, round_tasks
from quietacre.year.sown_already import sown_already
from quietacre.year.states import reopen, settle_before_burns, settle_before_done
from quietacre.year.steps import BURN_FIRST, BURN_LAST
from quietacre.year.strip_jobs import strip_tasks
from quietacre.year.takes import NOTHING
from quietacre.year.task import PART, Task, uid_of
from quietacre.year.workdays import Assigned, assign

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.plantings import Sown
    from quietacre.quiet import Season
    from quietacre.record.book import Entry
    from quietacre.settings import Area, Property
    from quietacre.year.frost import FrostReport
    from quietacre.year.rings import WorkedRing
    from quietacre.year.takes import Takes
    from quietacre.year.workdays import Effort

HORIZON_DAYS = 365
#: Papers of a burn, and disking where no firebreak is laid out. Assumptions.
DESK_MINUTES = 60.0
UNKNOWN_BREAK_MINUTES = 90.0


@dataclass(frozen=True)
class Ground:
    """What the year is planned from, besides the settings."""

    ids: tuple[str, ...]
    acres: tuple[float, ...]
    takes: Mapping[str, Takes]
    strips: Sequence[WorkedRing]
    today: dt.date
    done: Mapping[tuple[str, str], Sequence[dt.date]]
    frost: FrostReport | None = None  # of the daily record, when there is one
    rain: Rain = field(default_factory=Rain)
    ticked: Mapping[str, Entry] = field(default_factory=dict)  # by the letters of the job
    walked: Mapping[str, dt.date] = field(default_factory=dict)  # each's first walk


@dataclass(frozen=True)
class Planned:
    """Tasks with their days, and what came out of assigning them."""

    tasks: list[Task]
    seasons: tuple[Season, ...]
    assigned: Assigned
    today: dt.date
    left_out: Sequence[Task] = ()  # from before anybody could log them

    @property
    def missed(self) -> list[Task]:
        """Return the tasks without a day that still could have had one."""
        return [t for t in self.tasks if t.status == "unplaced" and not t.passed]


def plan_days(ground: Ground, prop: Property, *, effort: Effort = "best") -> Planned:
    """Return every task of the coming year on a day, or with the reason why not."""
    today = ground.today
    plantings = [sown.plant for sown in sown_of(prop) if sown.plant]
    last = max([today + HORIZON_DAYS * DAY, *(day + 90 * DAY for day in plantings)])
    quiet_seasons = seasons(prop.quiet, today.year - 2, last.year + 2)
    happened = {
        key: tuple(day for day in days if day <= today) for key, days in ground.done.items()
    }
    ground = replace(
        ground, done={key: days for key, days in happened.items() if days},
        ticked={job: line for job, line in ground.ticked.items() if line.on <= today},
    )  # fmt: skip
    whole = _tasks(ground, prop, last, quiet_seasons)
    frozen = frozen_days(whole, ground.done, ground.ticked)
    whole, left_out = jobs_from_begin(whole, prop, ground.strips, frozen, ground.walked)
    reopen(whole, set(frozen), quiet_seasons, prop.work, today)
    tasks = _parts(whole, DayCapacity.of(prop.work).one)
    for task in tasks:
        trim(task, quiet_seasons)
    done_on = frozen_days(tasks, ground.done, ground.ticked)
    settle_before_burns(tasks, done_on)
    assigned = assign(tasks, prop.work, quiet_seasons, today, done_on, effort=effort)
    settle_before_done(tasks)
    _parts_in_order(tasks)
    # within a day the order in which an area's tasks were made: what must come first does
    order = {task.uid: number for number, task in enumerate(tasks)}
    tasks.sort(key=lambda t: (t.scheduled or t.ideal, t.area, order[t.uid]))
    return Planned(tasks, quiet_seasons, assigned, today, left_out)


def _parts_in_order(tasks: Sequence[Task]) -> None:
    """Give the parts of a job their days in order: they are alike, so any may have any."""
    jobs: dict[tuple[str, str, tuple[str, dt.date]], list[Task]] = {}
    for task in tasks:
        if task.status == "planned" and task.scheduled:
            jobs.setdefault((task.area, task.task, task.job), []).append(task)
    for parts in jobs.values():
        days = sorted(part.scheduled for part in parts if part.scheduled)
        for part, day in zip(parts, days, strict=True):
            part.scheduled = day


def _parts(tasks: Sequence[Task], room: float) -> list[Task]:
    """Return the tasks with those longer than a day cut into equal parts."""
    out: list[Task] = []
    parts_of: dict[str, list[str]] = {}
    for task in tasks:
        count = math.ceil(task.minutes / room - 1e-9)
        if count <= 1:
            out.append(task)
            continue
        parts = [
            replace(
                task,
                uid=task.uid if n == 0 else uid_of(task.uid, f"part {n + 1}"),
                lasting=uid_of(task.lasting or task.uid, f"part {n + 1}"),
                whole=task.letters,
                label=f"{task.label}{PART}{n + 1} of {count})",
                minutes=task.minutes / count,
                amounts=[f"{a} (whole job)" for a in task.amounts],
                notes=list(task.notes) if n == 0 else [],
            )
            for n in range(count)
        ]
        parts_of[task.uid] = [part.uid for part in parts]
        out += parts
    for task in out:
        task.after = [
            (uid, lag)
            for before, lag in task.after
            for uid in parts_of.get(before, [before])
        ]
    return out


def _tasks(  # glue over areas and strips
    ground: Ground, prop: Property, last: dt.date, quiet_seasons: Sequence[Season]
) -> list[Task]:
    by_id: dict[str, Area] = {}
    out: list[Task] = []
    today = ground.today
    acres_by_id = dict(zip(ground.ids, ground.acres, strict=True))
    soon = min(last, today + HORIZON_DAYS * DAY)
    burns = burns_due(prop, acres_by_id, today, soon, ground.done)
    sown: dict[str, list[Sown]] = {}
    for one in sown_of(prop):
        sown.setdefault(one.area_id, []).append(one)
    for key, area in prop.area_by_id.items():
        by_id[key], acres = area, acres_by_id[key]
        out += _planted(sown[key], acres, ground, prop, quiet_seasons)
        out += feed_tasks(
            area, key, ground.takes.get(key, NOTHING), prop, quiet_seasons, today
        )
        if area.kind == "burn" and (burns is None or key in burns):
            line = next(
                (s for s in ground.strips if s.kind == "firebreak" and s.of == key),
                None,
            )
            over = today > dt.date(today.year, *BURN_LAST)
            years = range(today.year, today.year + 1 + over)
            for year in years if burns is None else burns[key]:
                out += _burn_tasks(area, key, prop, today, quiet_seasons, line, year)
    out += round_tasks(prop, acres_by_id, quiet_seasons, today, soon, ground.done)
    for strip in ground.strips:
        if strip.kind == "strip":
            logged = [
                day for (area, _), days in ground.done.items() if area == strip.name
                for day in days
            ]  # fmt: skip
            out += strip_tasks(
                strip, [by_id[key] for key in strip.round_ids], prop,
                quiet_seasons, today, soon, logged,
            )  # fmt: skip
    return out


def _planted(
    plantings: Sequence[Sown], acres: float, ground: Ground, prop: Property,
    quiet_seasons: Sequence[Season],
) -> list[Task]:  # fmt: skip
    """Return the tasks of every planting of an area; one not sown yet goes behind rain."""
    plots = [
        list(
            plot_tasks(
                sown, acres, ground.takes.get(sown.key, NOTHING), prop, quiet_seasons, ground.today,
                ground.done, ground.frost,
            )
        )
        for sown in plantings
    ]  # fmt: skip
    every = [task for plot in plots for task in plot]
    frozen = frozen_days(every, ground.done, ground.ticked)
    for sown, plot in zip(plantings, plots, strict=True):
        for task in plot:
            if task.uid in frozen:
                say_done(task, ground.takes.get(sown.key, NOTHING))
        sown_on = next(
            (frozen.get(task.uid) for task in plot if task.task == "plant"), None
        )
        if sown_on is not None:
            sown_already(plot, sown_on, frozen, quiet_seasons, prop.work)
        else:
            behind_rain(
                plot, sown, ground.rain, prop, ground.today, quiet_seasons, ground.frost
            )
    return every


def _burn_tasks(
    area: Area, area_id: str, prop: Property, today: dt.date, quiet_seasons: Sequence[Season],
    line: WorkedRing | None, year: int,
) -> list[Task]:  # fmt: skip
    """Return what comes before any burn of a year, and the window; not the burn's day.

    The weather and the permit pick that. Dormant-season window (February 1 to March 15):
    common practice, no source. The disking takes what the passes of its firebreak ``line``
    take; where none is laid out, ``UNKNOWN_BREAK_MINUTES``.
    """
    opens, shuts = dt.date(year, *BURN_FIRST), dt.date(year, *BURN_LAST)
    reason = "before a dormant-season burn; the permit and the weather pick its day"
    disking = ring_minutes(line, "disk", prop.equipment) if line else UNKNOWN_BREAK_MINUTES
    made: dict[str, Task] = {}
    for name, label, early, ideal, late, minutes, machine in (
        ("burn plan and permit", "written burn plan, permit, burn manager, neighbors",
         dt.date(year - 1, 12, 1), opens, opens + 14 * DAY, DESK_MINUTES, "desk"),
        ("firebreak", "disk the firebreak round it", dt.date(year, 1, 1), opens + 7 * DAY,
         opens + 21 * DAY, disking, "disk"),
        ("burn window", "burn window: only with permit, plan, crew and weather", opens, opens,
         shuts, 0.0, "by hand"),
    ):  # fmt: skip
        task = Task(
            uid=uid_of(prop.property.known_by, area.first_name, name, str(year)), area=area.name,
            area_id=area_id, kind=area.kind, task=name, label=label, earliest=early,
            ideal=ideal, latest=late, minutes=minutes, machine=machine, reason=reason,
            status="window" if name == "burn window" else "planned",
            more_words=("firebreak",) if name == "firebreak" else (),
        )  # fmt: skip
        if name != "burn window":
            out_of_season(task, opens, quiet_seasons, prop.work)
        made[name] = task
    window = made["burn window"]  # who burned had what must come before
    window.after = [(task.uid, 0) for task in made.values() if task is not window]
    _open_window(window, quiet_seasons, today)
    return list(made.values())


def _open_window(window: Task, quiet_seasons: Sequence[Season], today: dt.date) -> None:
    """Cut a window to its longest stretch of open days not yet over; else it has no place."""
    best: tuple[int, dt.date, dt.date] | None = None
    day = open_after(window.earliest, window.words, quiet_seasons)
    while day <= window.latest:
        end = day
        while (
            end < window.latest and shut_by(end + DAY, window.words, quiet_seasons) is None
        ):
            end += DAY
        length = (end - day).days + 1
        if end >= today and (best is None or length > best[0]):
            best = (length, day, end)
        day = open_after(end + DAY, window.words, quiet_seasons)
    if best is None:
        window.status, window.passed = "unplaced", True
        before = open_before(window.earliest, window.words, quiet_seasons)
        cure = (
            f"burn by {say_day(before)}, if the permit and the burn manager allow it, or leave it "
            "for a year."
            if before >= today
            else "leave it for a year."
        )
        span = say_span(window.earliest, window.latest)
        window.notes.append(InParts(f"no open day is left from {span}", cure))
        return
    window.earliest = window.ideal = best[1]
    window.latest = best[2]
