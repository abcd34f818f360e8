"""The days that were asked for come first: they are kept while they are legal.

A planting (or another job with a day of its own) is set on the day asked for. Where that
cannot be, it takes the nearest day that no printed window, frost or law speaks against, and
only when there is none the nearest of the others. Trips are saved round these days, never
by moving them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.quiet import DAY

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping, Sequence

    from quietacre.year.capacity import DayCapacity
    from quietacre.year.task import Task

Days = dict[str, list["dt.date"]]
Pair = tuple[str, str, int]


def rank(task: Task, day: dt.date) -> tuple[bool, bool, int, dt.date]:
    """Return how far a day is from what was asked for: the least is the best."""
    assert task.asked is not None  # noqa: S101 - the caller looked
    off = abs((day - task.asked).days)
    return off > 0, day in task.poor, off, day


def narrow(days: Days, pairs: Sequence[Pair]) -> list[str]:
    """Cut, in place, the days that a lag rules out; return the tasks left with none."""
    lost: list[str] = []
    changed = True
    while changed:
        changed = False
        for first, second, lag in pairs:
            if first not in days or second not in days:
                continue
            kept = [d for d in days[second] if d >= days[first][0] + lag * DAY]
            if not kept:
                del days[second]
                lost.append(second)
                changed = True
                continue
            sooner = [d for d in days[first] if d <= kept[-1] - lag * DAY]
            changed |= len(kept) < len(days[second]) or len(sooner) < len(days[first])
            days[first], days[second] = sooner, kept
    return lost


def set_asked(
    by_uid: Mapping[str, Task], days: Mapping[str, list[dt.date]], pairs: Sequence[Pair],
    capacity: DayCapacity,
) -> dict[str, dt.date]:  # fmt: skip
    """Return the day of each task that has one asked for, where the hours allow it.

    The best day with minutes left is taken, tasks with the fewest days first; no two that
    are tied by a lag get days too near to each other.
    """
    left: dict[tuple[dt.date, str], float] = {}
    at: dict[str, dt.date] = {}
    wanted = [uid for uid in days if by_uid[uid].asked is not None]

    def order(uid: str) -> tuple[int, float, dt.date, str]:
        task = by_uid[uid]
        good = sum(day not in task.poor for day in days[uid])
        return good, -task.minutes, task.ideal, uid

    for uid in sorted(wanted, key=order):
        task = by_uid[uid]
        limits = capacity.limits(task.machine)
        for day in sorted(days[uid], key=lambda day, task=task: rank(task, day)):  # type: ignore[misc]
            fits = all(task.minutes <= left.get((day, k), cap) + 1e-9 for k, cap in limits)
            if fits and _spaced(uid, day, at, pairs):
                at[uid] = day
                for key, cap in limits:
                    left[day, key] = left.get((day, key), cap) - task.minutes
                break
    return at


def _spaced(
    uid: str, day: dt.date, at: Mapping[str, dt.date], pairs: Sequence[Pair]
) -> bool:
    """Return whether a day keeps the lags to the tasks that have theirs already."""
    days = {**at, uid: day}
    return all(
        (days[second] - days[first]).days >= lag
        for first, second, lag in pairs
        if uid in {first, second} and first in days and second in days
    )


def kept_days(
    days: Mapping[str, list[dt.date]], at: Mapping[str, dt.date], pairs: Sequence[Pair],
) -> Days:  # fmt: skip
    """Return the days of every task, those of ``at`` on their own day only."""
    out = {uid: [at[uid]] if uid in at else list(allowed) for uid, allowed in days.items()}
    return out if not narrow(out, pairs) else dict(days)


def wishes(
    by_uid: Mapping[str, Task], days: Mapping[str, list[dt.date]], loose: Iterable[str]
) -> dict[tuple[str, dt.date], float]:
    """Return what each day costs a task that would rather have the day asked for."""
    out: dict[tuple[str, dt.date], float] = {}
    for uid in loose:
        for day in days[uid]:
            off, poor, far, _ = rank(by_uid[uid], day)
            out[uid, day] = 0.0 if not off else 1.0 + far / 30.0 + (10.0 if poor else 0.0)
    return out


def nearer(
    by_uid: Mapping[str, Task], days: Mapping[str, list[dt.date]], pairs: Sequence[Pair],
    capacity: DayCapacity, at: dict[str, dt.date], loose: Iterable[str],
) -> None:  # fmt: skip
    """Move, in place, tasks to a day nearer to the one asked for while one has the minutes."""
    left: dict[tuple[dt.date, str], float] = {}

    def draw(uid: str, day: dt.date, sign: int) -> None:
        for key, cap in capacity.limits(by_uid[uid].machine):
            left[day, key] = left.get((day, key), cap) - sign * by_uid[uid].minutes

    for uid, day in at.items():
        draw(uid, day, 1)
    again = True
    while again:
        again = False
        for uid in sorted(set(loose) & set(at)):
            task, now = by_uid[uid], at[uid]
            draw(uid, now, -1)
            better = [
                day for day in days[uid]
                if rank(task, day) < rank(task, now) and _spaced(uid, day, at, pairs)
                and all(task.minutes <= left.get((day, k), cap) + 1e-9
                        for k, cap in capacity.limits(task.machine))
            ]  # fmt: skip
            at[uid] = min(better, key=lambda day, task=task: rank(task, day), default=now)  # type: ignore[misc]
            again |= at[uid] != now
            draw(uid, at[uid], 1)
