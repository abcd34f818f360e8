"""The year of a property: tasks, days, quiet seasons, and what does not fit."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from quietacre.model import Note
from quietacre.quiet import DAY, open_after, open_before, seasons, shut_by
from quietacre.workweek import say_day, say_span
from quietacre.year.backward import (
    BURN_FIRST,
    BURN_LAST,
    STEPS,
    Task,
    feed_tasks,
    plot_tasks,
    strip_tasks,
    uid_of,
)
from quietacre.year.moves import out_of_season, trim
from quietacre.year.workdays import Assigned, Rooms, assign

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import geopandas as gpd

    from quietacre.quiet import Season
    from quietacre.settings import Area, Property
    from quietacre.year.record import Daily
    from quietacre.year.workdays import Effort

HORIZON_DAYS = 365
NO_QUIET = (
    "no quiet season is set. Nesting commonly runs from about May 15 to July 4 (common practice, "
    "no source): use your state's own dates; “quietacre year --seasons” lists examples with "
    "their sources."
)
#: Jobs that are not counted back from planting.
OTHER_TASKS = frozenset({
    "spray", "strip cut", "strip inspection", "walk and pull", "burn plan and permit", "firebreak",
    "burn window",
})  # fmt: skip


@dataclass(frozen=True)
class YearPlan:
    """The report's ``year`` and what to say about it."""

    report: dict[str, Any]
    notes: tuple[Note, ...]


@dataclass(frozen=True)
class Ground:
    """What the year is planned from, besides the settings."""

    ids: tuple[str, ...]
    acres: tuple[float, ...]
    needs: Mapping[str, Mapping[str, Any]]
    strips: Sequence[Mapping[str, Any]]
    today: dt.date
    done: Mapping[tuple[str, str], Sequence[dt.date]]


@dataclass(frozen=True)
class Planned:
    """Tasks with their days, and what came out of assigning them."""

    tasks: list[Task]
    seasons: tuple[Season, ...]
    assigned: Assigned

    @property
    def missed(self) -> list[Task]:
        """Return the tasks without a day that still could have had one."""
        return [t for t in self.tasks if t.status == "unplaced" and not t.passed]


def plan_days(ground: Ground, prop: Property, *, effort: Effort = "best") -> Planned:
    """Return every task of the coming year on a day, or with the reason why not."""
    today = ground.today
    plantings = [area.plant for area in prop.area if area.plant]
    last = max([today + HORIZON_DAYS * DAY, *(day + 90 * DAY for day in plantings)])
    found = seasons(prop.quiet, today.year - 2, last.year + 2)
    tasks = _parts(_tasks(ground, prop, last, found), Rooms.of(prop.work).one)
    for task in tasks:
        trim(task, found)
    assigned = assign(tasks, prop.work, found, today, ground.done, effort=effort)
    tasks = _still_told(tasks)
    _parts_in_order(tasks)
    # within a day the order in which an area's tasks were made: what must come first does
    order = {task.uid: number for number, task in enumerate(tasks)}
    tasks.sort(key=lambda t: (t.scheduled or t.ideal, t.area, order[t.uid]))
    return Planned(tasks, found, assigned)


def _still_told(tasks: Sequence[Task]) -> list[Task]:
    """Return the tasks but those of the past that nobody misses.

    A strip cut that was let pass is made good by the next one; what comes before a job of
    the log was surely done.
    """
    before = {task.uid: [uid for uid, _ in task.after] for task in tasks}
    known: set[str] = set()
    left = [task.uid for task in tasks if task.status == "done"]
    while left:
        for uid in before.get(left.pop(), ()):
            if uid not in known:
                known.add(uid)
                left.append(uid)
    return [
        task for task in tasks
        if not (task.passed and ("strip" in task.more_words or task.uid in known))
    ]  # fmt: skip


def _parts_in_order(tasks: Sequence[Task]) -> None:
    """Give the parts of a job their days in order: they are alike, so any may have any."""
    jobs: dict[tuple[str, str, dt.date], list[Task]] = {}
    for task in tasks:
        if task.status == "planned" and task.scheduled:
            jobs.setdefault((task.area, task.task, task.ideal), []).append(task)
    for parts in jobs.values():
        days = sorted(part.scheduled for part in parts if part.scheduled)
        for part, day in zip(parts, days, strict=True):
            part.scheduled = day


def plan_year(
    areas: gpd.GeoDataFrame, prop: Property, *, today: dt.date,
    needs: Mapping[str, Mapping[str, Any]], strips_report: Sequence[Mapping[str, Any]] = (),
    done: Mapping[tuple[str, str], Sequence[dt.date]] | None = None, weather: Daily | None = None,
) -> YearPlan:  # fmt: skip
    """Return the year for the report, and notes on what does not fit.

    Parameters
    ----------
    areas : one row per area with id, name, kind, acres and geometry, in the order of
        ``prop.area``.
    today : the day of the plan; it looks a year ahead, or to the last planting.
    needs : amounts by area id, for what to bring.
    strips_report : the strips, with id, of, name, acres and length_ft.
    done : days of finished (area, task) pairs.
    weather : the daily record, when there is one.
    """
    from quietacre.year.conflicts import conflicts
    from quietacre.year.menu import ways_out
    from quietacre.year.weather import weather_report

    ground = Ground(
        tuple(areas["id"]), tuple(float(a) for a in areas["acres"]), needs, strips_report,
        today, done or {},
    )  # fmt: skip
    plan = plan_days(ground, prop)
    out = plan.assigned
    missed = plan.missed
    hours: dict[str, float] = {}
    short: dict[str, float] = {}
    for day, minutes in sorted(out.used.items()):
        hours[day.isoformat()[:7]] = hours.get(day.isoformat()[:7], 0.0) + minutes / 60
    for task in missed:
        key = task.ideal.isoformat()[:7]
        short[key] = short.get(key, 0.0) + task.minutes / 60
    weather_rows = weather_report(weather, prop, plan, today) if weather else None
    named = conflicts(plan, prop, weather_rows, strips_report)
    menu = ways_out(ground, prop, plan, weather_rows) if missed else []
    report = {
        "tasks": [_task_report(task) for task in plan.tasks],
        "days": [
            {
                "date": day.isoformat(),
                "minutes": minutes,
                "tasks": [
                    t.uid
                    for t in plan.tasks
                    if t.scheduled == day and t.status == "planned"
                ],
            }
            for day, minutes in sorted(out.used.items())
        ],
        "room_minutes": Rooms.of(prop.work).people,
        "trips": len(out.used),
        "trips_least": out.trips_least,
        "late_days": out.late_days,
        "late_least": out.late_least,
        "unplaced": len(missed),
        "unplaced_least": out.unplaced_least,
        "bound": bound_words(out, len(missed)),
        "quiet": [
            {
                "name": rule.name,
                "start": rule.start,
                "end": rule.end,
                "keeps_out": "all" if rule.keeps_out == "all" else list(rule.keeps_out),
                "source": rule.source,
            }
            for rule in prop.quiet
        ],
        "hours_by_month": hours,
        "hours_short_by_month": dict(sorted(short.items())),
        "menu": menu,
        "conflicts": named,
        "weather": weather_rows,
    }
    notes = (*_notes(plan.tasks, areas, prop, named), *_log_notes(ground, plan, prop))
    return YearPlan(report, notes)


def bound_words(out: Assigned, missed: int) -> str:
    """Return the trips with what is proved of them, in words."""
    trips = len(out.used)
    if out.trips_least >= trips:
        text = f"{trips} trips; no plan of these tasks has fewer"
    else:
        text = f"{trips} trips; at least {out.trips_least} proved"
    if out.late_days:
        text += f". Added over all tasks, {out.late_days} days after their ideal days"
        text += (
            "; no plan of as many trips has less"
            if out.late_least >= out.late_days
            else f"; at least {out.late_least} proved"
        )
    if missed:
        least = out.unplaced_least
        proved = f", and at least {least} in any plan" if least else ""
        text += f". {missed} {'task does' if missed == 1 else 'tasks do'} not fit{proved}"
    return text + "."


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
                label=f"{task.label} (part {n + 1} of {count})",
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
    ground: Ground, prop: Property, last: dt.date, found: Sequence[Season]
) -> list[Task]:
    by_id: dict[str, Area] = {}
    out: list[Task] = []
    today = ground.today
    for key, acres, area in zip(ground.ids, ground.acres, prop.area, strict=True):
        by_id[key] = area
        need = ground.needs.get(key) or {}
        out += plot_tasks(area, key, acres, need, prop, found, today, ground.done)
        out += feed_tasks(area, key, need, prop, found, today)
        if area.kind == "burn":
            out += _burn_tasks(area, key, prop, today, found)
    for strip in ground.strips:
        if strip["kind"] == "strip":
            logged = [
                day for (area, _), days in ground.done.items() if area == strip["name"]
                for day in days
            ]  # fmt: skip
            out += strip_tasks(
                strip, [by_id[key] for key in (strip["of"], *strip.get("also_of", ()))], prop,
                found, today, min(last, today + HORIZON_DAYS * DAY), logged,
            )  # fmt: skip
    return out


def _burn_tasks(
    area: Area, area_id: str, prop: Property, today: dt.date, found: Sequence[Season]
) -> list[Task]:
    """Return what comes before any burn, and the window; not the burn's day.

    The weather and the permit pick that. Dormant-season window (February 1 to March 15):
    common practice, no source.
    """
    year = today.year + (today > dt.date(today.year, *BURN_LAST))
    opens, shuts = dt.date(year, *BURN_FIRST), dt.date(year, *BURN_LAST)
    reason = "before a dormant-season burn; the permit and the weather pick its day"
    made: dict[str, Task] = {}
    for name, label, early, ideal, late, minutes, machine in (
        ("burn plan and permit", "written burn plan, permit, burn manager, neighbors",
         dt.date(year - 1, 12, 1), opens, opens + 14 * DAY, 60.0, "desk"),
        ("firebreak", "disk the firebreak round it", dt.date(year, 1, 1), opens + 7 * DAY,
         opens + 21 * DAY, 90.0, "disk"),
        ("burn window", "burn window: only with permit, plan, crew and weather", opens, opens,
         shuts, 0.0, "by hand"),
    ):  # fmt: skip
        task = Task(
            uid=uid_of(prop.property.name, area.name, name, str(year)), area=area.name,
            area_id=area_id, kind=area.kind, task=name, label=label, earliest=early,
            ideal=ideal, latest=late, minutes=minutes, machine=machine, reason=reason,
            status="window" if name == "burn window" else "planned",
            more_words=("firebreak",) if name == "firebreak" else (),
        )  # fmt: skip
        if name != "burn window":
            out_of_season(task, opens, found, prop.work)
        made[name] = task
    _open_window(made["burn window"], found, today)
    return list(made.values())


def _open_window(window: Task, found: Sequence[Season], today: dt.date) -> None:
    """Cut a window to its longest stretch of open days not yet over; else it has no place."""
    best: tuple[int, dt.date, dt.date] | None = None
    day = open_after(window.earliest, window.words, found)
    while day <= window.latest:
        end = day
        while end < window.latest and shut_by(end + DAY, window.words, found) is None:
            end += DAY
        length = (end - day).days + 1
        if end >= today and (best is None or length > best[0]):
            best = (length, day, end)
        day = open_after(end + DAY, window.words, found)
    if best is None:
        window.status, window.passed = "unplaced", True
        before = open_before(window.earliest, window.words, found)
        cure = (
            f"burn by {say_day(before)}, if the permit and the burn manager allow it, or leave it "
            "for a year."
            if before >= today
            else "leave it for a year."
        )
        span = say_span(window.earliest, window.latest)
        window.notes.append(f"no open day is left from {span}: {cure}")
        return
    window.earliest = window.ideal = best[1]
    window.latest = best[2]


def _task_report(task: Task) -> dict[str, Any]:
    return {
        "uid": task.uid,
        "area": task.area,
        "area_id": task.area_id,
        "task": task.task,
        "label": task.label,
        "earliest": task.earliest.isoformat(),
        "ideal": task.ideal.isoformat(),
        "latest": task.latest.isoformat(),
        "scheduled": task.scheduled.isoformat() if task.scheduled else None,
        "minutes": task.minutes,
        "machine": task.machine,
        "reason": task.reason,
        "after": [{"uid": uid, "days": lag} for uid, lag in task.after],
        "amounts": task.amounts,
        "status": task.status,
        "notes": task.notes,
    }


def _notes(
    tasks: Sequence[Task], areas: gpd.GeoDataFrame, prop: Property,
    named: Sequence[Mapping[str, Any]],
) -> list[Note]:  # fmt: skip
    """Return a note for each task that does not fit or had to move, and each conflict."""
    points = areas.geometry.representative_point()
    place = {key: (p.x, p.y) for key, p in zip(areas["id"], points, strict=True)}
    notes = []
    for task in tasks:
        lon, lat = place.get(task.area_id, (None, None))
        code = "task-unplaced" if task.status == "unplaced" else "task-moved"
        notes += [
            Note(code, f"{task.label}: {text}", "warning", None, task.area, lon, lat)
            for text in task.notes
            if task.task != "burn window"  # the conflict says it
        ]
    for row in named:
        lon, lat = place.get(row["area_id"], (None, None))
        notes.append(
            Note(row["code"], row["text"], row["level"], None, row["area"], lon, lat)
        )
    if not prop.quiet and tasks:
        notes.append(Note("no-quiet-season", NO_QUIET, "caution"))
    return notes


def _log_notes(ground: Ground, plan: Planned, prop: Property) -> list[Note]:
    """Return a note for each log entry that names no job this program knows."""
    names = {area.name for area in prop.area} | {s["name"] for s in ground.strips}
    words = {task.task for task in plan.tasks} | {step.task for step in STEPS} | OTHER_TASKS
    words |= {rule.task for rule in (*prop.task, *(r for a in prop.area for r in a.tasks))}
    labels = {(task.area, task.label) for task in plan.tasks}
    notes = []
    for area, task in ground.done:
        if area not in names:
            wrong, known = f"“{area}” is no area or strip", names
        elif task not in words and (area, task) not in labels:
            wrong = f"“{task}” is no job known on “{area}”"
            known = words | {label for of, label in labels if of == area}
        else:
            continue
        near = get_close_matches(area if known is names else task, sorted(known), n=1)
        text = f"log.csv: {wrong}, so the entry counts for nothing" + (
            f"; did you mean “{near[0]}”?" if near else "."
        )
        where = area if area in names else None
        notes.append(Note("log-unknown", text, "caution", "log.csv", where))
    return notes
