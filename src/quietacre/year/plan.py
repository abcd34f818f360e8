"""The year of a property: tasks, days, quiet seasons, and what does not fit."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.model import Note
from quietacre.year.backward import Task, feed_tasks, plot_tasks, strip_tasks, uid_of
from quietacre.year.season import DAY, seasons
from quietacre.year.workdays import assign

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import geopandas as gpd

    from quietacre.settings import Area, Property
    from quietacre.year.season import Season

HORIZON_DAYS = 365


@dataclass(frozen=True)
class YearPlan:
    """The report's ``year`` and what to say about it."""

    report: dict[str, Any]
    notes: tuple[Note, ...]


def plan_year(
    areas: gpd.GeoDataFrame, prop: Property, *, today: dt.date,
    needs: Mapping[str, Mapping[str, Any]], strips_report: Sequence[Mapping[str, Any]] = (),
    done: Mapping[tuple[str, str], dt.date] | None = None,
) -> YearPlan:  # fmt: skip
    """Return every task of the coming year on a day, or the reason why not.

    Parameters
    ----------
    areas : one row per area with id, name, kind, acres and geometry, in the order of
        ``prop.area``.
    today : the day of the plan; it looks a year ahead, or to the last planting.
    needs : amounts by area id, for what to bring.
    strips_report : the strips, with id, of, name, acres and length_ft.
    done : day of finished (area, task) pairs.
    """
    plantings = [area.plant for area in prop.area if area.plant]
    last = max([today + HORIZON_DAYS * DAY, *(day + 14 * DAY for day in plantings)])
    found = seasons(prop.quiet, today.year - 1, last.year + 1)
    tasks = list(_tasks(areas, prop, today, last, needs, strips_report, found))
    used = assign(tasks, prop.work, found, today, done or {})
    tasks.sort(
        key=lambda t: (t.scheduled or t.ideal, t.area, not t.on_foot, t.earliest, t.task)
    )
    trips = len(used)
    minutes_by_month: dict[str, float] = {}
    for day, minutes in sorted(used.items()):
        key = day.isoformat()[:7]
        minutes_by_month[key] = minutes_by_month.get(key, 0.0) + minutes
    report = {
        "tasks": [_task_report(task) for task in tasks],
        "days": [
            {
                "date": day.isoformat(),
                "minutes": minutes,
                "tasks": [
                    t.uid for t in tasks if t.scheduled == day and t.status == "planned"
                ],
            }
            for day, minutes in sorted(used.items())
        ],
        "trips": trips,
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
        "hours_by_month": {key: value / 60 for key, value in minutes_by_month.items()},
    }
    return YearPlan(report, tuple(_notes(tasks, areas, prop)))


def _tasks(  # glue over areas and strips
    areas: gpd.GeoDataFrame, prop: Property, today: dt.date, last: dt.date,
    needs: Mapping[str, Mapping[str, Any]], strips_report: Sequence[Mapping[str, Any]],
    found: Sequence[Season],
) -> list[Task]:  # fmt: skip
    by_id: dict[str, Area] = {}
    out: list[Task] = []
    for row, area in enumerate(prop.area):
        record = areas.iloc[row]
        by_id[record["id"]] = area
        need = needs.get(record["id"]) or {}
        acres = float(record["acres"])
        out += plot_tasks(area, record["id"], acres, need, prop, found)
        out += feed_tasks(area, record["id"], need, prop, found, today)
        if area.kind == "burn":
            out += _burn_tasks(area, record["id"], prop, today)
    for strip in strips_report:
        area = by_id[strip["of"]]
        if strip["kind"] == "strip":
            out += strip_tasks(
                strip, area, prop, found, today, min(last, today + HORIZON_DAYS * DAY)
            )
    return out


def _burn_tasks(area: Area, area_id: str, prop: Property, today: dt.date) -> list[Task]:
    """Return the asking and the firebreak that come before any burn, not the burn's day.

    The weather and the permit pick that. Dormant-season window: common practice, no source.
    """
    year = today.year if today < dt.date(today.year, 2, 15) else today.year + 1
    window = dt.date(year, 2, 1)
    made = []
    for name, label, start, end, minutes in (
        ("burn plan and permit", "written burn plan, permit, burn manager, neighbors",
         dt.date(year - 1, 12, 1), window, 60.0),
        ("firebreak", "disk the firebreak round it", dt.date(year, 1, 1), window + 7 * DAY, 90.0),
    ):  # fmt: skip
        task = Task(
            uid=uid_of(prop.property.name, area.name, name, str(year)), area=area.name,
            area_id=area_id, kind=area.kind, task=name, label=label, earliest=start, ideal=end,
            latest=end + 14 * DAY, minutes=minutes,
            machine="disk" if name == "firebreak" else "desk",
            reason="before a dormant-season burn; the permit and the weather pick its day",
        )  # fmt: skip
        made.append(task)
    return made


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
        "amounts": task.amounts,
        "status": task.status,
        "notes": task.notes,
    }


def _notes(tasks: Sequence[Task], areas: gpd.GeoDataFrame, prop: Property) -> list[Note]:
    """Return a note for each task that does not fit or had to move."""
    points = areas.geometry.representative_point()
    place = {key: (p.x, p.y) for key, p in zip(areas["id"], points, strict=True)}
    notes = []
    for task in tasks:
        lon, lat = place.get(task.area_id, (None, None))
        for text in task.notes:
            code = "task-unplaced" if task.status == "unplaced" else "task-moved"
            notes.append(
                Note(code, f"{task.label}: {text}", "warning", None, task.area, lon, lat)
            )
    if not prop.quiet and tasks:
        notes.append(
            Note(
                "no-quiet-season",
                "no quiet season is set. Nesting commonly runs from about May 15 to July 4 "
                "(common practice, no source): use your state's own dates.",
                "caution",
            )
        )
    return notes
