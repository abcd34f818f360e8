"""Jobs that quiet seasons push aside: moved before or after, in order, the consequence said."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.in_parts import InParts, with_words
from quietacre.quiet import DAY, open_after, open_before, shut_by
from quietacre.windows import inside
from quietacre.workweek import MOST_DAYS, is_workday

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Collection, Mapping, Sequence

    from quietacre.quiet import Season
    from quietacre.settings import Work
    from quietacre.windows import Range
    from quietacre.year.task import Task

YEAR_DAYS = 366
#: A job that has moved may have this many days more: two weekends.
FORTNIGHT = 13 * DAY
#: Tasks that move after a quiet season rather than before it: what they follow is done.
MOVES_AFTER = frozenset({"plant", "set exclosure", "top-dress", "read exclosure", "spray"})


def mine_open(
    first: dt.date,
    last: dt.date,
    words: Sequence[str],
    quiet_seasons: Sequence[Season],
    work: Work,
) -> list[dt.date]:
    """Return the days from ``first`` to ``last`` that the person has and no season shuts."""
    days = [first + n * DAY for n in range((last - first).days + 1)]
    return [
        day
        for day in days
        if is_workday(day, work) and shut_by(day, words, quiet_seasons) is None
    ]


def _that_shuts(task: Task, quiet_seasons: Sequence[Season], work: Work) -> Season | None:
    """Return a season when seasons shut every day that the person has for a task.

    That of its best day, else of an end of its days, else of the first day; None when a day is
    open. Of a task in whose time the person has no day, every day counts.
    """
    days = [task.earliest + n * DAY for n in range((task.latest - task.earliest).days + 1)]
    mine = [day for day in days if is_workday(day, work)] or days
    if any(shut_by(day, task.words, quiet_seasons) is None for day in mine):
        return None
    named = (task.ideal, task.latest, task.earliest, *mine)
    return _season_of(named, task.words, quiet_seasons) if mine else None


def _season_of(
    days: Sequence[dt.date], words: Sequence[str], quiet_seasons: Sequence[Season]
) -> Season | None:
    return next((s for day in days if (s := shut_by(day, words, quiet_seasons))), None)


def _mine(
    day: dt.date, step: dt.timedelta, words: Sequence[str], quiet_seasons: Sequence[Season],
    work: Work,
) -> dt.date:  # fmt: skip
    """Return the nearest open day of the person's from ``day`` on, in steps."""
    opened = open_after if step == DAY else open_before
    first = look = opened(day, words, quiet_seasons)
    for _ in range(MOST_DAYS):
        if is_workday(look, work):
            return look
        look = opened(look + step, words, quiet_seasons)
    return first


def planting_day(
    plant: dt.date, window: tuple[dt.date, dt.date], words: Sequence[str],
    quiet_seasons: Sequence[Season], work: Work, ranges: Sequence[Range],
) -> tuple[dt.date, str | None]:  # fmt: skip
    """Return the day the plot's year is counted back from, and a note when it is another.

    A planting whose whole window is quiet moves before the season or after it: into the
    crop's own window when one of them is in it, else to the nearer one.
    """
    first, last = window
    days = [first + n * DAY for n in range((last - first).days + 1)]
    season = _season_of([plant, *days], words, quiet_seasons)
    mine = [day for day in days if is_workday(day, work)] or days
    if season is None or any(shut_by(day, words, quiet_seasons) is None for day in mine):
        return plant, None
    before = _mine(first, -DAY, words, quiet_seasons, work)
    after = _mine(last, DAY, words, quiet_seasons, work)
    if max((plant - before).days, (after - plant).days) > YEAR_DAYS:
        return plant, f"{season.called} leaves no open day within a year."
    best = min(
        (after, before), key=lambda day: (not inside(day, ranges), abs((day - plant).days))
    )
    other = before if best == after else after
    return best, InParts(
        f"planting {say_day(plant)} falls in {season.called}: moved "
        f"{'after' if best == after else 'before'} it, to {_say(best, plant)}, and the work "
        "before it with it",
        f"The nearest open day on the other side is {_say(other, plant)}.",
    )


def _say(day: dt.date, beside: dt.date) -> str:
    return say_day(day, year=day.year != beside.year)


def out_of_season(
    task: Task, plant: dt.date, quiet_seasons: Sequence[Season], work: Work, clip_days: int = 0,
    *, later: bool = False,
) -> None:  # fmt: skip
    """Move a task all of whose days are quiet, and say what that means.

    It moves before the season, or after it when it follows planting or ``later`` is set.
    """
    season = _that_shuts(task, quiet_seasons, work)
    if season is None:
        return
    before = open_before(task.latest, task.words, quiet_seasons)
    # open, but on none of the person's days
    if before > season.last:
        before = open_before(season.last, task.words, quiet_seasons)
    after = _mine(task.latest, DAY, task.words, quiet_seasons, work)
    called = season.called
    later = later or task.task in MOVES_AFTER
    far = after if later else before
    if abs((far - task.latest).days) > YEAR_DAYS:
        task.notes.append(f"{called} leaves no open day within a year.")
        return
    if later:
        task.notes.append(
            InParts(
                f"falls in {called}; moved after it, to {_say(after, task.latest)} or later",
                f"The last open day before is {_say(before, task.latest)}.",
            )
        )
        task.earliest = task.ideal = after
        task.latest = open_before(after + FORTNIGHT, task.words, quiet_seasons)
        return
    if task.task == "clip":
        task.notes.append(
            InParts(
                f"planting {say_day(plant)} cannot be prepared after {called}",
                f"clip by {_say(before, plant)} or plant on or after "
                f"{_say(after + clip_days * DAY, plant)}.",
            )
        )
    else:
        task.notes.append(
            InParts(
                f"falls in {called}; moved before it, to {_say(before, task.latest)} or sooner",
                f"The next open day would be {_say(after, task.latest)}.",
            )
        )
    task.latest = task.ideal = before
    task.earliest = open_before(before - FORTNIGHT, task.words, quiet_seasons)


def trim(task: Task, quiet_seasons: Sequence[Season]) -> None:
    """Cut quiet days off the ends of a task's window, and keep its ideal day off them."""
    first = open_after(task.earliest, task.words, quiet_seasons)
    last = open_before(task.latest, task.words, quiet_seasons)
    if first > last:
        return  # nothing of it is open; it says so when it gets no day
    task.earliest, task.latest = first, last
    ideal = min(max(task.ideal, first), last)
    sides = (
        open_before(ideal, task.words, quiet_seasons),
        open_after(ideal, task.words, quiet_seasons),
    )
    task.ideal = min(sides, key=lambda day: abs((day - ideal).days))


def in_order(
    made: Mapping[str, Task], pairs: Sequence[tuple[str, str, int]],
    fixed: Collection[str], plant: dt.date, quiet_seasons: Sequence[Season], work: Work,
) -> None:  # fmt: skip
    """Move what a moved task would leave too little time: later ones later, sooner ones sooner.

    ``pairs`` are (first, second, least days between), in order of time; ``fixed`` are the
    tasks whose days the person set.
    """
    for name, after, lag in pairs:
        first, second = made[name], made[after]
        soonest = first.earliest + lag * DAY
        if after in fixed or second.task not in MOVES_AFTER or second.latest >= soonest:
            continue
        second.earliest = second.ideal = soonest
        second.latest = soonest + FORTNIGHT
        out_of_season(second, plant, quiet_seasons, work)
    for name, after, lag in reversed(pairs):
        first, second = made[name], made[after]
        limit = second.latest - lag * DAY
        room = mine_open(
            first.earliest, min(first.latest, limit), first.words, quiet_seasons, work
        )
        if name in fixed or room or first.latest <= limit:
            continue
        old = say_day(first.latest)
        first.latest = first.ideal = open_before(limit, first.words, quiet_seasons)
        first.earliest = open_before(first.latest - FORTNIGHT, first.words, quiet_seasons)
        new = _say(first.latest, plant)
        moved = [
            with_words(
                with_words(note, f"clip by {old}", f"clip by {new}"),
                f"to {old} or sooner", f"to {new} or sooner",
            )
            for note in first.notes
        ]  # fmt: skip
        if moved == first.notes:
            moved.append(
                f"comes by {new} already, so that “{second.label}” can follow in time."
            )
        first.notes = moved


def move_on(tasks: Sequence[Task], plant: Task, delay: dt.timedelta) -> list[Task]:
    """Move what follows a planting as far as the planting itself moved; return it."""
    if not delay:
        return []
    moved = {plant.uid}
    out = []
    for task in tasks:
        if task.uid not in moved and any(uid in moved for uid, _ in task.after):
            moved.add(task.uid)
            if task.asked is None:
                task.earliest, task.ideal, task.latest = (
                    day + delay for day in (task.earliest, task.ideal, task.latest)
                )
                out.append(task)
    return out
