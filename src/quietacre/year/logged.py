"""Which tasks of the year the log has as done, and on which day."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

from quietacre.quiet import DAY
from quietacre.year.steps import planting_meant
from quietacre.year.task import PART

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping, Sequence

    from quietacre.record.book import Entry
    from quietacre.year.task import Task

#: A log entry counts for the task nearest in the year, not last year's.
SAME_YEAR_DAYS = 200
#: And for one of several alike when it lies this near its window.
NEAR_DAYS = 7


def frozen_days(
    tasks: Sequence[Task], done: Mapping[tuple[str, str], Sequence[dt.date]],
    ticked: Mapping[str, Entry] | None = None,
) -> dict[str, dt.date]:  # fmt: skip
    """Return the logged day of each task that is done.

    A line with the letters of a job is that one, whatever its words and day; it is no other.
    Lines without are told by their words: a job that comes once a year is done by the last entry of its year, all its parts with it; a
    part by an entry of its own label; of jobs that repeat (strip cuts) each entry is the
    nearest one's, of jobs of several plantings that of the planting it was done for. Of a job
    that comes round only its letters and the labels of its parts are asked for here.
    """
    alike: dict[tuple[str, str], dict[tuple[str, dt.date], list[Task]]] = {}
    out, used = _ticked_days(tasks, ticked or {})
    for task in tasks:
        if task.uid in out or (task.in_turn and PART not in task.label):
            continue
        if not task.in_turn:
            by_job = alike.setdefault((task.area, task.task), {})
            by_job.setdefault(task.job, []).append(task)
        for day in done.get((task.area, task.label), ()):
            if (task.area, task.label, day) not in used and abs(
                (day - task.job[1]).days
            ) < SAME_YEAR_DAYS:
                out[task.uid] = day
    for key, by_job in alike.items():
        once = _once_a_year(by_job)
        left = dict(by_job)
        planted = [same for same in by_job.values() if same[0].planted_for]
        for day in done.get(key, ()):
            if (*key, day) in used:
                continue
            if planted:
                # a long log holds many years, of which only the nearest can be meant
                if all(abs((day - one[1]).days) >= SAME_YEAR_DAYS for one in by_job):
                    continue
                meant = planting_meant(key[1], day, planted[0][0].planting_days)
                out.update({
                    task.uid: day for same in planted for task in same
                    if task.planted_for == meant
                    and abs((day - task.job[1]).days) < SAME_YEAR_DAYS
                })  # fmt: skip
                continue
            near = [
                job for job, same in left.items()
                if (abs((day - job[1]).days) < SAME_YEAR_DAYS if job in once else
                    same[0].earliest - NEAR_DAYS * DAY <= day <= same[0].latest + NEAR_DAYS * DAY)
            ]  # fmt: skip
            if near:
                job = min((abs((day - one[1]).days), one[1], one) for one in near)[2]
                out.update({task.uid: day for task in left[job]})
                if job not in once:
                    del left[job]
    return out


def _once_a_year(jobs: Iterable[tuple[str, dt.date]]) -> set[tuple[str, dt.date]]:
    """Return the jobs that have no other like them within a year's reach.

    A burn of this spring and of the next is in the list as soon as the first can begin.
    """
    by_day = sorted(jobs, key=lambda job: job[1])
    near: set[tuple[str, dt.date]] = set()
    for one, other in itertools.pairwise(by_day):
        if (other[1] - one[1]).days < SAME_YEAR_DAYS:
            near |= {one, other}
    return set(by_day) - near


def _ticked_days(
    tasks: Sequence[Task], ticked: Mapping[str, Entry]
) -> tuple[dict[str, dt.date], set[tuple[str, str, dt.date]]]:
    """Return the day of each task whose letters the log has, and the lines that say so."""
    out: dict[str, dt.date] = {}
    used: set[tuple[str, str, dt.date]] = set()
    for task in tasks:
        line = ticked.get(task.letters) or ticked.get(task.whole)
        if line is not None:
            out[task.uid] = line.on
            used.add((line.area, line.task, line.on))
    return out, used
