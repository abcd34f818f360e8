"""Tasks onto the days a person has: fewest trips by a plain greedy rule.

Tasks are taken by their last day. Each goes to a day that already has a trip when one
lies in its window and has the time, the one nearest its ideal day; else to the open
workday nearest its ideal day.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.workweek import is_workday
from quietacre.year.season import DAY, shut_by

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from quietacre.settings import Work
    from quietacre.year.backward import Task
    from quietacre.year.season import Season


def assign(
    tasks: Sequence[Task], work: Work, found: Sequence[Season], today: dt.date,
    done: Mapping[tuple[str, str], dt.date],
) -> dict[dt.date, float]:  # fmt: skip
    """Set each task's day and status; return the minutes used by day.

    A task never lands in a quiet season, outside its window, or on a day without the
    time for it; one that fits nowhere is "unplaced" and says why. ``done`` holds the
    day of finished (area, task) pairs: those are frozen.
    """
    room = work.hours_day * 60.0 - work.trip_minutes
    used: dict[dt.date, float] = {}
    for task in sorted(tasks, key=lambda t: (t.latest, t.ideal, t.area, t.task)):
        finished = done.get((task.area, task.task))
        if finished is not None and abs((finished - task.ideal).days) < 200:  # noqa: PLR2004 - this year's
            task.scheduled, task.status = finished, "done"
            continue
        if task.latest < today:
            task.status = "unplaced"
            task.notes.append(f"its last day, {task.latest.isoformat()}, has passed.")
            continue
        minutes = task.minutes / (1 + work.helpers)
        day = _best_day(task, minutes, work, found, max(today, task.earliest), used, room)
        if day is None:
            task.status = "unplaced"
            task.notes.append(_why_not(task, minutes, room))
            continue
        task.scheduled = day
        used[day] = used.get(day, 0.0) + minutes
    return used


def _best_day(  # a search over one window
    task: Task, minutes: float, work: Work, found: Sequence[Season], start: dt.date,
    used: Mapping[dt.date, float], room: float,
) -> dt.date | None:  # fmt: skip
    best: tuple[int, int, dt.date] | None = None
    day = start
    while day <= task.latest:
        fits = minutes <= room - used.get(day, 0.0) or (minutes > room and day not in used)
        if is_workday(day, work) and fits and shut_by(day, task.words, found) is None:
            score = (int(day not in used), abs((day - task.ideal).days), day)
            if best is None or score < best:
                best = score
        day += DAY
    return best[2] if best else None


def _why_not(task: Task, minutes: float, room: float) -> str:
    span = f"{task.earliest.isoformat()} to {task.latest.isoformat()}"
    if minutes > room:
        return f"needs {minutes / 60:.1f} h on a day, and none from {span} is free for it."
    return (
        f"no workday from {span} is open and has the time; add a day or move the planting."
    )
