"""Jobs from before there was a record of the place, or an edge to work along.

Nobody can have logged them, so that nothing of them is known: they are not asked for.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.model import SETTINGS_FILE, Note

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from quietacre.settings import Area, Property
    from quietacre.year.rings import WorkedRing
    from quietacre.year.task import Task


def jobs_from_begin(
    tasks: Sequence[Task], prop: Property, strips: Sequence[WorkedRing], logged: Collection[str],
    walked: Mapping[str, dt.date],
) -> tuple[list[Task], list[Task]]:  # fmt: skip
    """Return the jobs that are asked for, and those from before anybody could log them.

    What is logged stays, and what comes before a job that stays. Of a planting all jobs stay
    or go, by the last day of its planting.

    Parameters
    ----------
    tasks : of a year, before they have their days.
    strips : those that the jobs may be of.
    logged : the ids of jobs that the log has.
    walked : the first day on which each area was walked, by id, where files tell it.
    """
    worked = {task.area for task in tasks if task.uid in logged}
    begins = _begins(prop, [ring for ring in strips if ring.name not in worked], walked)
    begun = prop.property.begun
    sown = {
        key: any(task.uid in logged for task in plot) or _planted_from(plot, begun)
        for key, plot in _plots(tasks).items()
    }
    by_uid = {task.uid: task for task in tasks}
    stays: set[str] = set()
    left = [
        task
        for task in tasks
        if task.uid in logged
        or task.status == "done"
        or (sown[_plot(task)] if task.planting else _is_from(task, begins.get(task.area, begun)))
    ]  # fmt: skip
    while left:
        task = left.pop()
        if task.uid not in stays:
            stays.add(task.uid)
            left += [by_uid[uid] for uid, _ in task.after if uid in by_uid]
    kept = [task for task in tasks if task.uid in stays]
    for task in kept:
        task.after = [(uid, lag) for uid, lag in task.after if uid in stays]
    return kept, [task for task in tasks if task.uid not in stays]


def _plot(task: Task) -> tuple[str, dt.date | None]:
    return task.planting, task.planted_for


def _plots(tasks: Iterable[Task]) -> dict[tuple[str, dt.date | None], list[Task]]:
    """Return the jobs of each planting and year."""
    plots: dict[tuple[str, dt.date | None], list[Task]] = {}
    for task in tasks:
        if task.planting:
            plots.setdefault(_plot(task), []).append(task)
    return plots


def _planted_from(plot: Iterable[Task], begun: dt.date | None) -> bool:
    days = [task.latest for task in plot if task.task == "plant"]
    return begun is None or not days or max(days) >= begun


def _is_from(task: Task, begins: dt.date | None) -> bool:
    return begins is None or task.latest >= begins


def _begins(
    prop: Property, strips: Iterable[WorkedRing], walked: Mapping[str, dt.date]
) -> Mapping[str, dt.date]:
    """Return the first survey of the edge of each strip, where it is known of all patches.

    The day on which the record begins where that is later. Strips with jobs in the log are not
    meant: they were there before a survey that is known.
    """
    begun = prop.property.begun
    out = {}
    for strip in strips:
        days = [
            _first_survey(prop.area_by_id[key], walked.get(key)) for key in strip.round_ids
        ]
        known = [day for day in days if day is not None]
        if len(known) == len(days):
            out[strip.name] = min(known) if begun is None else max(min(known), begun)
    return out


def _first_survey(area: Area, walked: dt.date | None) -> dt.date | None:
    days = [walked, area.surveyed, *(survey.on for survey in area.earlier)]
    return min((day for day in days if day is not None), default=None)


def begun_notes(left_out: Sequence[tuple[str, dt.date]], prop: Property) -> list[Note]:
    """Return a note on the jobs that are not asked for: the ground and the last day of each."""
    if not left_out:
        return []
    counts = Counter(area for area, _ in left_out)
    places = ", ".join(f"{count} on “{area}”" for area, count in counts.items())
    last = max(day for _, day in left_out)
    jobs = "1 job is" if len(left_out) == 1 else f"{len(left_out)} jobs are"
    begun = prop.property.begun
    since = (
        f"the record of this place begins {say_day(begun, year=True)} (begun)"
        if begun and last < begun
        else "the edge that they go by was not surveyed yet (surveyed)"
    )
    text = f"{jobs} not asked for, {places}, the last due by {say_day(last, year=True)}: {since}"
    more = "what was done then can still be logged."
    return [Note("jobs-before-begin", text, "info", SETTINGS_FILE, more=more)]
