"""Which of the jobs of the year a person means who says that one is done."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.model import folded
from quietacre.record.book import Names
from quietacre.record.words import Words

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Collection, Iterable, Sequence

    from quietacre.settings import Property
    from quietacre.year.records import YearTask


#: A job to come is meant when its days begin so soon, on ground that was named whenever; one
#: that was missed, when its days were over so lately.
SOON_DAYS, LATELY_DAYS = 60, 14
#: States in the order in which their jobs are likelier meant.
LIKELY = (("late", "due"), ("not possible",), ("missed",), ("planned",))


def jobs_meant(
    tasks: Sequence[YearTask],
    words_said: str,
    areas: Collection[str],
    prop: Property,
    on: dt.date,
) -> list[YearTask]:
    """Return the jobs that may be meant, one for each piece of ground and job.

    Those due or late on the day come first; only when none of them fits, those that have
    no day, those that were missed lately, and those still to come. Of parts, and of a job
    that comes again, the first open one is meant.

    Parameters
    ----------
    tasks : jobs of the year, planned on the day ``on``.
    words_said : the person's words for the job, or the label of one.
    areas : names of the ground, all of it when empty.
    """
    names = Names.of(prop.area)
    words = Words.of(prop)
    mine = [
        task for task in tasks
        if (not areas or task.area in areas) and _says(task, words_said, names, words)
    ]  # fmt: skip
    for states in LIKELY:
        fits = [
            task
            for task in mine
            if task.state in states and _near(task, on, named=bool(areas))
        ]
        if fits:
            return _first_of_each(fits, words_said, names, words)
    return []


def _says(task: YearTask, words_said: str, names: Names, words: Words) -> bool:
    """Return whether words stand for a job."""
    if folded(words_said) in (folded(task.label), folded(task.task)):
        return True
    meaning = words.meaning(words_said, names.ground(task.area))
    return meaning is not None and task.task in meaning.tasks


def _near(task: YearTask, on: dt.date, *, named: bool) -> bool:
    """Return whether the days of a job are near enough to a day for it to be meant."""
    if task.state == "missed":
        return (on - task.latest).days <= LATELY_DAYS
    return named or (task.earliest - on).days <= SOON_DAYS


def _first_of_each(
    tasks: Iterable[YearTask], words_said: str, names: Names, words: Words
) -> list[YearTask]:
    """Return one job for each piece of ground, the word's first job before its second."""

    def order(task: YearTask) -> tuple[int, dt.date, str]:
        meaning = words.meaning(words_said, names.ground(task.area))
        known = meaning.tasks if meaning else ()
        place = known.index(task.task) if task.task in known else len(known)
        return place, task.ideal, task.label

    exact = [task for task in tasks if folded(task.label) == folded(words_said)]
    firsts: dict[tuple[str, str], YearTask] = {}
    for task in sorted(exact or tasks, key=order):
        # sprays go by what is sprayed; of other jobs a word means the first
        kind = task.label if task.task == "spray" else ""
        firsts.setdefault((task.area, kind), task)
    return list(firsts.values())


def comes_next(
    tasks: Sequence[YearTask], done: Collection[str], area: str | None
) -> YearTask | None:
    """Return the job that comes next on some ground, or on any; None without one.

    ``done`` holds the uids of those that were just done.
    """
    ahead = [
        task for task in tasks
        if task.status == "planned" and task.scheduled and task.uid not in done
        and (area is None or task.area == area)
    ]  # fmt: skip
    return min(ahead, key=lambda task: (task.scheduled, task.area), default=None)
