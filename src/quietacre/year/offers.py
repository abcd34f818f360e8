"""What is offered and never imposed: a planting on its very day, or one trip fewer."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.in_parts import InParts
from quietacre.quiet import shut_by
from quietacre.words import box_and_line
from quietacre.workweek import is_workday
from quietacre.year.capacity import DayCapacity

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Mapping, Sequence

    from quietacre.settings import Property
    from quietacre.year.plan import Planned
    from quietacre.year.task import Task


def off_the_day(plan: Planned, prop: Property) -> Iterator[tuple[str, str]]:
    """Yield (area, sentence) for each planting that could not have the day asked for."""
    at = {task.uid: task.scheduled for task in plan.tasks}
    said_once: set[str] = set()
    for task in plan.tasks:
        day, asked = task.scheduled, task.asked
        if task.task != "plant" or task.status != "planned" or day is None or asked is None:
            continue
        if day == asked or task.planting in said_once:
            continue
        said_once.add(task.planting)
        yield task.area, InParts(
            f"{task.label} was asked for on {say_day(asked)}, but {_why(task, plan, prop, at)}",
            f"it is set on {say_day(day, year=day.year != asked.year)}, the nearest day left"
            + ("." if day not in task.poor else
               " of all, though the windows, frost or law speak against it."),
        )  # fmt: skip


def _why(
    task: Task, plan: Planned, prop: Property,
    at: Mapping[str, dt.date | None],
) -> str:  # fmt: skip
    """Say why the day asked for could not be kept, and what would keep it."""
    asked = task.asked
    assert asked is not None  # noqa: S101 - the caller looked
    if asked < plan.today:
        return "that day has passed"
    season = shut_by(asked, task.words, plan.seasons)
    if season is not None:
        return f"{season.called} shuts that day"
    if not is_workday(asked, prop.work):
        key = "blocked_days" if asked in prop.work.blocked_days else "extra_days"
        cure = (
            "take it out of " + box_and_line("work", key, f"{key} under [work]") if key == "blocked_days"
            else box_and_line("work", key, f"{key} = [{asked.isoformat()}] under [work]")
            + " would keep it, for one trip more"
        )  # fmt: skip
        return f"that is no day of yours ({asked:%A}; {cure})"
    late = [
        uid for uid, lag in task.after
        if (before := at.get(uid)) is not None and (asked - before).days < lag
    ]  # fmt: skip
    if late:
        first = next(one for one in plan.tasks if one.uid == late[0])
        return f"“{first.label}” before it comes too late for that"
    return "that day has not the time left (longer hours_day or a helper would make it)"


def trips_less(plan: Planned, prop: Property) -> Iterator[str]:
    """Yield a sentence for each trip that moving a job off its day asked for would save.

    Every job of the day would fit on days that have a trip already: inside its window, out
    of the quiet, with the spacing and the hours kept, and on no day that a rule speaks
    against. Jobs without a day asked for are not looked at: the plan has moved those.
    """
    by_day: dict[dt.date, list[Task]] = {}
    for task in plan.tasks:
        if task.status == "planned" and task.scheduled:
            by_day.setdefault(task.scheduled, []).append(task)
    for day, here in sorted(by_day.items()):
        if not any(task.asked == day for task in here):
            continue
        moved = _moved(here, {d: t for d, t in by_day.items() if d != day}, plan, prop)
        if moved is None:
            continue
        days_text = "; ".join(
            f"{task.area}, {task.label}, on {say_day(to)}" for task, to in moved
        )
        asked = next(task for task in here if task.asked == day)
        yield InParts(
            f"one trip fewer would do, that of {say_day(day)}, with {days_text}",
            "The plan keeps the day you asked for; to take the other, say so where you asked for it: under "
            f"“{asked.area}”, at the desk or in property.toml.",
        )


def _moved(
    here: Sequence[Task], others: Mapping[dt.date, Sequence[Task]], plan: Planned,
    prop: Property,
) -> list[tuple[Task, dt.date]] | None:  # fmt: skip
    """Return another day's trip for each job of a day, None when one has none."""
    capacity = DayCapacity.of(prop.work)
    drawn: dict[tuple[dt.date, str], float] = {}
    at = {task.uid: task.scheduled for task in plan.tasks}
    for day, tasks in others.items():
        for task in tasks:
            for key, _ in capacity.limits(task.machine):
                drawn[day, key] = drawn.get((day, key), 0.0) + task.minutes
    out: list[tuple[Task, dt.date]] = []
    for task in here:
        limits = capacity.limits(task.machine)
        choices = [
            day for day in others
            if task.earliest <= day <= task.latest and day not in task.poor
            and shut_by(day, task.words, plan.seasons) is None
            and all(drawn.get((day, k), 0.0) + task.minutes <= cap for k, cap in limits)
            and _spaced(task, day, at, plan.tasks)
        ]  # fmt: skip
        if not choices:
            return None
        aim = task.asked or task.ideal
        to = min(choices, key=lambda day, aim=aim: (abs((day - aim).days), day))  # type: ignore[misc]
        at[task.uid] = to
        out.append((replace(task, scheduled=to), to))
        for key, _ in limits:
            drawn[to, key] = drawn.get((to, key), 0.0) + task.minutes
    return out


def _spaced(
    task: Task, day: dt.date, at: Mapping[str, dt.date | None], tasks: Sequence[Task]
) -> bool:
    """Return whether a day keeps the lags to what comes before and after."""
    before = all(
        (day - other).days >= lag
        for uid, lag in task.after
        if (other := at.get(uid)) is not None
    )
    return before and all(
        (other - day).days >= lag
        for one in tasks
        for uid, lag in one.after
        if uid == task.uid and (other := at.get(one.uid)) is not None
    )
