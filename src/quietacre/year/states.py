"""Every job has a state, with the log as evidence: nothing that was planned disappears.

A job is planned until its days begin, then due; past its last day it is late while it is
still worth doing, and then missed. It is done when the log says so, or says that a job was
done which comes after it. What has no day among the person's is not possible, and says why.
What a late or a missed job costs is common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from quietacre.days import say_day
from quietacre.quiet import DAY
from quietacre.record.words import CUT
from quietacre.year.moves import mine_open

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Collection, Iterable, Sequence

    from quietacre.quiet import Season
    from quietacre.settings import Work
    from quietacre.year.task import Task

State = Literal["done", "due", "late", "missed", "planned", "not possible"]
#: A job that nothing follows is worth doing so long after its last day. Common practice.
LATE_DAYS = 14

#: What a job costs that comes late.
COSTS = {
    "clip": "the residue is taller and rots slower",
    "turn under": "the residue has less time to rot",
    "second disking": "less time for the bed to settle",
    "fertilize": "it is not mixed in",
    "smooth": "less time for the bed to settle",
    "plant": "the stand has less time before frost",
    "set exclosure": "what deer took before is not seen",
    "top-dress": "less of the growth is fed",
    "read exclosure": "growth is judged later than it should be",
    "spray": "the plants are past the stage it was meant for, and the label decides",
    CUT: "the vine has run on meanwhile, so walk the outer edge first",
    "strip inspection": "less time to pull what is found",
    "walk and pull": "what has rooted is harder to pull",
    "burn plan and permit": "less time for the permit and the neighbors",
    "firebreak": "less time before the burn",
}
#: What follows when it was missed, and the nearest cure.
FOLLOWS = {
    "soil test": "lime and fertilizer go by the old test or by none: take one for the next crop",
    "lime": "the pH stays as it is for this crop: spread it for the next",
    "clip": "tall residue goes under the disk: cut it as short as you can before",
    "turn under": "nothing rots before the planting: plant later, or sow into the residue",
    "second disking": "clods and regrowth stay: disk before you sow, or plant later",
    "fertilize": "the crop goes without: top-dress what your soil test asks for",
    "smooth": "seed lies uneven: drag once before and once after you sow",
    "plant": "nothing is sown: take a later window, or another mix of your list",
    "set exclosure": "there is nothing to hold the grazed growth against this year",
    "top-dress": "the later nitrogen is not given: look at the color in spring",
    "read exclosure": "this year's growth is not known: judge it by eye and write that down",
    "spray": "it waits for the next season of its label",
    CUT: "the vine has run on: see the strip's width, and send someone to walk the outer edge",
    "strip inspection": "nobody knows what stands outside the edge: walk it on the next open day",
    "walk and pull": "rooted runners stay: pull them before the next cut",
    "burn plan and permit": "no burn without it: leave the burn for a year",
    "firebreak": "no burn without it: leave the burn for a year",
    "burn window": "leave the burn for a year",
}


def reopen(
    tasks: Sequence[Task], done: Collection[str], quiet_seasons: Sequence[Season], work: Work,
    today: dt.date,
) -> None:  # fmt: skip
    """Give, in place, a job past the last of its days the days it is still worth doing on.

    Or past the last of them that the person has. It is worth doing while what follows can
    still come and no planting is pushed off its day; what nothing follows, ``LATE_DAYS``
    more. ``done`` holds uids of the log.
    """
    follow: dict[str, list[tuple[Task, int]]] = {}
    for task in tasks:
        for uid, lag in task.after:
            follow.setdefault(uid, []).append((task, lag))
    settled = set(done) | before_done(tasks, done)
    sown: dict[str, list[dt.date]] = {}
    for task in tasks:
        if task.task == "plant":
            for ground in (task.planting, task.area):
                sown.setdefault(ground, []).append(task.asked or task.ideal)
    for task in tasks:
        if task.status != "planned" or task.earliest > today or task.uid in settled:
            continue
        over = task.latest < today
        if not over and mine_open(today, task.latest, task.words, quiet_seasons, work):
            continue
        ahead = [d for d in sown.get(task.planting or task.area, ()) if d > task.latest]
        last = useful_until(task, follow.get(task.uid, []), tasks, min(ahead, default=None))
        if not mine_open(today, last, task.words, quiet_seasons, work):
            continue
        task.due_by, task.best_was = task.latest, task.ideal
        task.earliest = task.ideal = today
        task.latest = last
        cost = COSTS.get(task.task)
        why = "it was due by" if over else "no day of yours is left up to"
        task.notes.append(
            f"late: {why} {say_day(task.due_by, year=True)}; it is worth doing until "
            f"{say_day(last)}" + (f", though {cost}." if cost else ".")
        )
        for other, lag in follow.get(task.uid, []):
            room = max((_needed_by(other) - last).days, 0)
            other.after = [
                (uid, min(lag, room) if uid == task.uid else own)
                for uid, own in other.after
            ]


def _needed_by(task: Task) -> dt.date:
    """Return the day by which what comes before a job must be done."""
    return task.asked if task.task == "plant" and task.asked else task.latest


def useful_until(
    task: Task, follow: Sequence[tuple[Task, int]], tasks: Iterable[Task],
    sown: dt.date | None,
) -> dt.date:  # fmt: skip
    """Return the last day on which a job past its own is worth doing."""
    grace = task.latest + LATE_DAYS * DAY
    if "strip" in task.more_words:
        ahead = [
            other.earliest - DAY for other in tasks
            if other.area == task.area and other.task == CUT and other.earliest > task.latest
        ]  # fmt: skip
        return min([grace, *ahead])
    # half of what should lie between is better than nothing between
    ends = [_needed_by(other) - math.ceil(lag / 2) * DAY for other, lag in follow]
    last = min(ends, default=grace)
    if last <= task.latest:
        last = grace
    return min(last, sown - DAY) if sown is not None and task.latest < sown else last


def before_done(tasks: Sequence[Task], done: Collection[str]) -> set[str]:
    """Return the jobs that must have been done, because one that follows them was."""
    before = {task.uid: [uid for uid, _ in task.after] for task in tasks}
    known: set[str] = set()
    left = list(done)
    while left:
        for uid in before.get(left.pop(), ()):
            if uid not in known:
                known.add(uid)
                left.append(uid)
    return known - set(done)


def settle_before_done(tasks: Sequence[Task]) -> None:
    """Mark, in place, as done what must have been: a job that follows it is in the log.

    What may still be done stays, such as lime on a plot that is sown.
    """
    done = {task.uid for task in tasks if task.status == "done"}
    surely = before_done(tasks, done)
    for task in tasks:
        if task.uid in surely and task.passed:
            _take_as_done(task)


def settle_before_burns(tasks: Sequence[Task], done: Collection[str]) -> None:
    """Mark, in place, as done what comes before a burn that is: none of it is wanted any more.

    Parameters
    ----------
    tasks : before they have their days.
    done : the ids of those that the log has.
    """
    surely = before_done(tasks, done)
    for task in tasks:
        if task.kind == "burn" and task.uid in surely:
            _take_as_done(task)


def _take_as_done(task: Task) -> None:
    task.status, task.passed = "done", False
    task.notes = ["taken as done, for a job that follows it is in the log."]


def state_of(task: Task, today: dt.date) -> State:
    """Return the state of a job on a day."""
    if task.status == "done":
        return "done"
    if task.passed or (task.status == "window" and task.latest < today):
        return "missed"
    if task.status == "unplaced":
        return "not possible"
    if task.due_by is not None:
        return "late"
    return "due" if task.earliest <= today else "planned"


def says(task: Task, today: dt.date) -> str:
    """Return the state of a job in a sentence, "" while it is planned."""
    state = state_of(task, today)
    if state == "done":
        return f"done on {say_day(task.scheduled, year=True)}." if task.scheduled else ""
    if state == "missed":
        last = task.due_by or task.latest
        follows = FOLLOWS.get(task.task)
        return f"missed: its last day was {say_day(last, year=True)}" + (
            f". Then {follows}." if follows else "."
        )
    if state == "due":
        return f"due until {say_day(task.latest)}."
    return ""


@dataclass(frozen=True, slots=True)
class MissedJob:
    """What was missed on a piece of ground, in a sentence."""

    area: str
    area_id: str
    text: str


def missed_jobs(tasks: Sequence[Task], today: dt.date) -> list[MissedJob]:
    """Return what was missed.

    Jobs of one piece that come again and again are told in one sentence.
    """
    alike: dict[tuple[str, str], list[Task]] = {}
    for task in tasks:
        if state_of(task, today) == "missed":
            alike.setdefault((task.area, task.task), []).append(task)
    out = []
    for (area, name), some in alike.items():
        follows = FOLLOWS.get(name, "it stays undone")
        missed = [
            f"{task.label}, by {say_day(task.due_by or task.latest, year=True)}: {follows}."
            for task in some
        ]
        if len({task.ideal for task in some}) > 1:
            last = max(task.due_by or task.latest for task in some)
            missed = [
                f"{len(some)} × {name}, the last by {say_day(last, year=True)}, not in the log: "
                f"{follows}."
            ]
        out += [MissedJob(area, some[0].area_id, text) for text in missed]
    return out
