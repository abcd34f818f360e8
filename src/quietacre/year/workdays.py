"""Tasks onto the days a person has: a plain rule at once, then improved and bounded.

The plain rule takes tasks by their last day. Each goes to a day that already has a trip
when one fits, the one nearest its ideal day; else to the open workday nearest its ideal.
``exact`` then looks for fewer trips, and what is proved about them is kept.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, NamedTuple

from quietacre.days import say_day, say_span
from quietacre.quiet import DAY, open_after, shut_by
from quietacre.words import box_and_line
from quietacre.workweek import is_workday
from quietacre.year.asked import (
    kept_days,
    narrow,
    nearer,
    set_asked,
    wishes,
)
from quietacre.year.capacity import DayCapacity

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from quietacre.quiet import Season
    from quietacre.settings import Work
    from quietacre.year.task import Task

Effort = Literal["plain", "place", "best"]


@dataclass
class Assigned:
    """What came out: minutes by day, and what is proved.

    ``unplaced_least`` and ``trips_least`` are lower bounds for any plan of these tasks on
    these days; ``late_days`` sums the days after the ideal, ``late_least`` is its bound
    among plans of as many trips.
    """

    used: dict[dt.date, float] = field(default_factory=dict)
    trips_least: int = 0
    unplaced_least: int = 0
    late_days: int = 0
    late_least: int = 0
    asked: int = 0  # tasks set on days that were asked for, round which the rest is planned


def assign(
    tasks: Sequence[Task], work: Work, quiet_seasons: Sequence[Season], today: dt.date,
    done_on: Mapping[str, dt.date], *, effort: Effort = "best",
) -> Assigned:  # fmt: skip
    """Set each task's day and status; return the days used and what is proved of them.

    A task never lands in a quiet season, outside its window, sooner than its lag after
    the task it follows, or on a day without the time for it; one that fits nowhere is
    "unplaced" and says why. ``done_on`` holds the day of each that is done, by uid. Tasks of
    status "window" have no day to be set. ``effort``: the plain rule only; or a day for every
    task if the search finds one; or the best plan as well.
    """
    capacity = DayCapacity.of(work)
    days = _open_days(tasks, work, quiet_seasons, today, done_on)
    pairs = _pairs(tasks, days)
    _tighten(tasks, days, pairs, _Calendar(work, quiet_seasons))
    pairs = _pairs(tasks, days)
    by_uid = {task.uid: task for task in tasks}
    out = Assigned()
    at, bounds, out.asked = _planned(by_uid, days, pairs, capacity, effort)
    out.trips_least, out.unplaced_least, out.late_least = bounds
    for uid in days:
        task = by_uid[uid]
        day = at.get(uid)
        if day is None:
            task.status = "unplaced"
            task.notes.append(
                _why_not(
                    task,
                    max(today, task.earliest),
                    capacity,
                    _Calendar(work, quiet_seasons),
                )
            )
            continue
        task.scheduled = day
        out.used[day] = out.used.get(day, 0.0) + task.minutes
        out.late_days += max((day - task.ideal).days, 0)
    return out


def _planned(
    by_uid: Mapping[str, Task], days: Mapping[str, list[dt.date]],
    pairs: Sequence[tuple[str, str, int]], capacity: DayCapacity, effort: Effort,
) -> tuple[dict[str, dt.date], tuple[int, int, int], int]:  # fmt: skip
    """Return the days, what is proved of them, and how many were asked for.

    The days asked for are set first and the rest is planned round them. A day that was
    asked for gives way only where another job would have no day at all, and then to the
    nearest that will do.
    """
    fixed = set_asked(by_uid, days, pairs, capacity)
    kept = kept_days(days, fixed, pairs)
    search = _Search(by_uid, pairs, capacity)
    at = _greedy(by_uid, kept, pairs, capacity)
    if effort != "plain" and len(at) < len(days):
        at = search(kept, at, only_place=True)[0]
    if len(at) == len(days):
        best = search(kept, at) if effort == "best" else (at, (0, 0, 0))
        return *best, len(fixed)
    free = _greedy(by_uid, days, pairs, capacity)
    start = free if len(free) > len(at) else at
    wish = wishes(by_uid, days, fixed)
    bounds = (0, 0, 0)
    if effort != "plain":
        start, bounds = search(days, start, only_place=effort == "place", wish=wish)
    at = dict(start)
    nearer(by_uid, days, pairs, capacity, at, fixed)
    return at, bounds, len(fixed)


class _Search(NamedTuple):
    """The search for a better plan than the one it begins with."""

    by_uid: Mapping[str, Task]
    pairs: Sequence[tuple[str, str, int]]
    capacity: DayCapacity

    def __call__(
        self, days: Mapping[str, list[dt.date]], at: Mapping[str, dt.date], *,
        only_place: bool = False, wish: Mapping[tuple[str, dt.date], float] | None = None,
    ) -> tuple[dict[str, dt.date], tuple[int, int, int]]:  # fmt: skip
        from quietacre.year.exact import improved

        return improved(
            self.by_uid, days, self.pairs, self.capacity, at, only_place=only_place,
            wish=wish or {},
        )  # fmt: skip


def _open_days(
    tasks: Sequence[Task], work: Work, quiet_seasons: Sequence[Season], today: dt.date,
    done_on: Mapping[str, dt.date],
) -> dict[str, list[dt.date]]:  # fmt: skip
    """Return the days each open task may have; freeze the done and the passed."""
    days: dict[str, list[dt.date]] = {}
    workday: dict[dt.date, bool] = {}
    for task in sorted(tasks, key=lambda t: (t.latest, t.ideal, t.area, t.task, t.uid)):
        if task.uid in done_on:
            if task.passed:
                task.notes = []  # they said why no day was left for it
            task.scheduled, task.status, task.passed = done_on[task.uid], "done", False
            continue
        if task.status != "planned":
            continue
        if task.latest < today:
            task.status, task.passed = "unplaced", True
            task.notes.append(
                f"its last day, {say_day(task.latest, year=True)}, has passed."
            )
            continue
        start = max(today, task.earliest)
        allowed = []
        for number in range((task.latest - start).days + 1):
            day = start + number * DAY
            if day not in workday:
                workday[day] = is_workday(day, work)
            if workday[day] and shut_by(day, task.words, quiet_seasons) is None:
                allowed.append(day)
        if allowed:
            days[task.uid] = allowed
        else:
            task.status = "unplaced"
            task.notes.append(_shut(task, start, workday, _Calendar(work, quiet_seasons)))
    return days


class _Calendar(NamedTuple):
    """The days the person has, and the quiet seasons."""

    work: Work
    found: Sequence[Season]

    def spare(self, task: Task, first: dt.date) -> list[dt.date]:
        """Return days the task might have from ``first`` on, were they the person's own."""
        days = (first + n * DAY for n in range((task.latest - first).days + 1))
        return [
            day for day in days
            if not is_workday(day, self.work) and day not in self.work.blocked_days
            and shut_by(day, task.words, self.found) is None
        ]  # fmt: skip


def _shut(
    task: Task, start: dt.date, workday: Mapping[dt.date, bool], calendar: _Calendar
) -> str:
    """Say why none of a task's days is open."""
    days = [start + n * DAY for n in range((task.latest - start).days + 1)]
    season = next(
        (s for d in days if workday[d] and (s := shut_by(d, task.words, calendar.found))),
        None,
    )
    span = say_span(start, task.latest)
    if season is not None:
        after = open_after(task.latest, task.words, calendar.found)
        return (
            f"{season.called} shuts your days from {span}; the next open day is "
            f"{say_day(after, year=after.year != start.year)}: move the planting."
        )
    return f"you have no day from {span}; {_cure(task, calendar.spare(task, start))}."


def _pairs(
    tasks: Iterable[Task], days: Mapping[str, Sequence[dt.date]]
) -> list[tuple[str, str, int]]:
    return [
        (before, task.uid, lag)
        for task in tasks
        if task.uid in days
        for before, lag in task.after
        if before in days
    ]


def _tighten(
    tasks: Sequence[Task], days: dict[str, list[dt.date]],
    pairs: Sequence[tuple[str, str, int]], calendar: _Calendar,
) -> None:  # fmt: skip
    """Cut days that a lag rules out; a task left with none is unplaced."""
    by_uid = {task.uid: task for task in tasks}
    for uid in list(days):  # after work already done
        for before, lag in by_uid[uid].after:
            other = by_uid.get(before)
            if other is not None and other.status == "done" and other.scheduled:
                soonest = other.scheduled + lag * DAY
                days[uid] = [day for day in days[uid] if day >= soonest]
        if not days[uid]:
            del days[uid]
            _no_day(by_uid[uid], calendar)
    for uid in narrow(days, pairs):
        _no_day(by_uid[uid], calendar)


def _cure(task: Task, spare: Sequence[dt.date], *, late: bool = False) -> str:
    """Return what would give the task a day; ``late``: one as late as may be.

    ``spare`` are days that are not the person's own yet. A day added among those they have
    changes nothing, so without one to add it takes more time on them.
    """
    if spare:
        day = (
            spare[-1] if late else min(spare, key=lambda d: (abs((d - task.ideal).days), d))
        )
        cure = "add a day to " + box_and_line(
            "work", "extra_days", f"extra_days = [{day.isoformat()}] under [work]"
        )
    else:
        hours = box_and_line("work", "hours_day", "hours_day under [work]")
        helpers = box_and_line("work", "helpers", "helpers under [work]")
        cure = f"give the days you have more {hours}, or one more of {helpers}"
    return cure + (", or move the planting" if task.kind == "plot" else "")


def _no_day(task: Task, calendar: _Calendar) -> None:
    task.status = "unplaced"
    task.notes.append(
        f"none of your days up to {say_day(task.latest)} is late enough after the task before "
        f"it; {_cure(task, calendar.spare(task, task.earliest), late=True)}."
    )


def _greedy(
    by_uid: Mapping[str, Task], days: Mapping[str, list[dt.date]],
    pairs: Sequence[tuple[str, str, int]], capacity: DayCapacity,
) -> dict[str, dt.date]:  # fmt: skip
    """Return a day for each task that the plain rule can place."""
    left: dict[tuple[dt.date, str], float] = {}
    trips: set[dt.date] = set()
    at: dict[str, dt.date] = {}
    ranges = {uid: (allowed[0], allowed[-1]) for uid, allowed in days.items()}
    follow: dict[str, list[tuple[str, int]]] = {uid: [] for uid in days}
    lead: dict[str, list[tuple[str, int]]] = {uid: [] for uid in days}
    for first, second, lag in pairs:
        follow[first].append((second, lag))
        lead[second].append((first, lag))

    def narrowed(uid: str, day: dt.date) -> dict[str, tuple[dt.date, dt.date]] | None:
        """Return the ranges of the tasks tied to this one, None when one has no day left."""
        new = {uid: (day, day)}
        queue = [uid]
        while queue:
            one = queue.pop()
            low, high = new[one]
            ties = [(other, low + lag * DAY, dt.date.max) for other, lag in follow[one]]
            ties += [(other, dt.date.min, high - lag * DAY) for other, lag in lead[one]]
            for other, at_least, at_most in ties:
                if other in at or ranges.get(other) is None:
                    continue
                old_low, old_high = new.get(other, ranges[other])
                allowed = days[other]
                i = bisect_left(allowed, max(old_low, at_least))
                j = bisect_right(allowed, min(old_high, at_most))
                if i >= j:
                    return None
                if (allowed[i], allowed[j - 1]) != (old_low, old_high):
                    new[other] = (allowed[i], allowed[j - 1])
                    queue.append(other)
        return new

    for uid in days:  # in order of their last day
        task = by_uid[uid]
        limits = capacity.limits(task.machine)
        low, high = ranges[uid]
        choices = [
            day
            for day in days[uid]
            if low <= day <= high
            and all(task.minutes <= left.get((day, k), cap) + 1e-9 for k, cap in limits)
        ]
        choices.sort(key=lambda d: (d not in trips, abs((d - task.ideal).days), d))
        for day in choices:
            new = narrowed(uid, day)
            if new is None:
                continue
            ranges.update(new)
            at[uid] = day
            trips.add(day)
            for key, cap in limits:
                left[day, key] = left.get((day, key), cap) - task.minutes
            break
    return at


def _why_not(task: Task, first: dt.date, capacity: DayCapacity, calendar: _Calendar) -> str:
    if task.minutes > capacity.one:
        return f"needs {task.minutes / 60:.1f} h on a day, and no day is that long."
    cure = _cure(task, calendar.spare(task, first))
    if first == task.latest:
        return f"{say_day(first)}, its only day, has not the time left; {cure}."
    return (
        f"none of your open days from {say_span(first, task.latest)} has the time; {cure}."
    )
