"""Jobs that come round without a planting: ``[[round]]`` in property.toml.

Roads and trails clipped before and after the quiet season, burn blocks in turn, native cover
disked in strips, fences, stands, nest boxes. A piece of ground is due when its time has passed
since the log last has the job; without a line of the log, pieces take turns by their order in
property.toml, so that not all come in one year. A line of the log is of the time of year it is
nearest to, however early or late it is, and of several rounds with one word of that whose time it is.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.days import month_day, on_year, say_day
from quietacre.figures import figure
from quietacre.model import SETTINGS_FILE, Note
from quietacre.quiet import DAY
from quietacre.record.words import Words
from quietacre.year.minutes import field_minutes
from quietacre.year.moves import out_of_season
from quietacre.year.task import Task, uid_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from quietacre.quiet import Season
    from quietacre.settings import Area, Property, Round

MONTHS_A_YEAR = 12
#: From one time of year to the next at most.
YEAR_DAYS = 366
#: Minutes of a job of which nobody said how long it takes. Assumption.
USUAL_MINUTES = 60.0
#: The word for a burn, here and in the log; what comes before one has its own tasks.
BURN = "burn window"
#: Machines whose minutes follow from acres, width and speed.
DRAWN = ("mower", "disk", "drag", "sprayer", "spreader", "drill")
#: A time that passed without a line in the log is told as missed for so long: a year where
#: the log has the job at all, else a season, so that a newcomer is not told of old times.
KEPT_DAYS, KEPT_DAYS_UNLOGGED = 365, 90
#: A job done so long before its day counts for the coming time. Common practice, no source.
EARLY_SHARE = 0.25


@dataclass(frozen=True)
class Turn:
    """One time that a job comes round on one piece of ground."""

    area: Area
    area_id: str
    acres: float
    first: dt.date
    last: dt.date
    since: dt.date | None
    done: dt.date | None = None  # by the log, nearer to this time than to another


def every_months(text: str) -> int:
    """Return a length of time such as "3 years" or "6 months" in months."""
    number, unit = text.split()
    return int(number) * (MONTHS_A_YEAR if unit.startswith("year") else 1)


def turns_of(
    rule: Round, prop: Property, acres: Mapping[str, float], today: dt.date, until: dt.date,
    done: Mapping[tuple[str, str], Sequence[dt.date]],
) -> list[Turn]:  # fmt: skip
    """Return when a job comes round from ``today`` to ``until``, by piece of ground.

    Parameters
    ----------
    rule : one ``[[round]]``.
    acres : acres of each area, by id. [ac]
    done : days that the log has, by (area, task).
    """
    step = every_months(rule.every)
    words = Words.of(prop)
    turns = []
    for order, (key, area) in enumerate(_grounds(rule, prop)):
        logged = _logged(rule, prop, words, area, done)
        size = acres.get(key, 0.0)
        for first, last, begin, end in _times(rule, today - KEPT_DAYS * DAY, until):
            did = max((day for day in logged if begin <= day <= end), default=None)
            since = max((day for day in logged if day < begin), default=None)
            kept = KEPT_DAYS if since is not None else KEPT_DAYS_UNLOGGED
            if did is not None:
                turns.append(Turn(area, key, size, first, last, since, did))
            elif last >= today - kept * DAY and _due(rule, step, order, first, last, since):
                turns.append(Turn(area, key, size, first, last, since))
                if step > MONTHS_A_YEAR and last >= today:
                    break
    return turns


def _grounds(rule: Round, prop: Property) -> list[tuple[str, Area]]:
    """Return the areas that a round is for, with their ids."""
    return [(key, area) for key, area in prop.area_by_id.items() if _is_for(rule, area)]


def _is_for(rule: Round, area: Area) -> bool:
    """Return whether a round is for an area."""
    return rule.area in (None, area.name) and rule.kind in (None, area.kind)


def _jobs(rule: Round, words: Words, area: Area) -> frozenset[str]:
    """Return the jobs of the log that a round's word stands for on a piece of ground."""
    meaning = words.meaning(rule.task, area.kind)
    return frozenset({rule.task, *(meaning.tasks if meaning else ())})


def _logged(
    rule: Round, prop: Property, words: Words, area: Area,
    done: Mapping[tuple[str, str], Sequence[dt.date]],
) -> list[dt.date]:  # fmt: skip
    """Return the days on which the log has a round's job on a piece of ground.

    Where other rounds have the same job there, a day is of that whose time it is nearest to.
    """
    jobs = _jobs(rule, words, area)
    logged = [day for job in jobs for day in done.get((area.name, job), ())]
    alike = [
        other for other in prop.round
        if other is rule or (_is_for(other, area) and jobs & _jobs(other, words, area))
    ]  # fmt: skip
    if len(alike) == 1:
        return logged
    return [
        day for day in logged if min(alike, key=lambda one: _days_off(one, day)) is rule
    ]


def _days_off(rule: Round, day: dt.date) -> int:
    """Return how many days a day lies off the nearest time of year of a round, 0 inside it."""
    return _nearest(rule, day)[0]


def _nearest(rule: Round, day: dt.date) -> tuple[int, dt.date]:
    """Return how many days a day lies off the nearest time of year, and the last day of that."""
    return min(
        (max((first - day).days, (day - last).days, 0), last)
        for first, last in _windows(rule, day - YEAR_DAYS * DAY, day + YEAR_DAYS * DAY)
    )


def _times(
    rule: Round, today: dt.date, until: dt.date
) -> Iterator[tuple[dt.date, dt.date, dt.date, dt.date]]:
    """Yield the times of year not over before a day, and the days nearest to each.

    That is the first and the last of the time, then of the days halfway to the times beside it.
    """
    wide = list(_windows(rule, today - 2 * YEAR_DAYS * DAY, until + YEAR_DAYS * DAY))
    for before, (first, last), after in zip(wide, wide[1:], wide[2:], strict=False):
        if last >= today and first <= until:
            begin = before[1] + (first - before[1]) // 2 + DAY
            yield first, last, begin, last + (after[0] - last) // 2


def _is_burn(rule: Round, words: Words, area: Area) -> bool:
    return area.kind == "burn" and BURN in _jobs(rule, words, area)


def _windows(
    rule: Round, today: dt.date, until: dt.date
) -> Iterator[tuple[dt.date, dt.date]]:
    """Yield the times of year of a job that are not over before a day."""
    opens, shuts = rule.months
    for year in range(today.year - 1, until.year + 1):
        first, last = on_year(year, *month_day(opens)), on_year(year, *month_day(shuts))
        if last < first:  # over the turn of the year
            last = on_year(year + 1, *month_day(shuts))
        if last >= today and first <= until:
            yield first, last


def _due(
    rule: Round, step: int, order: int, first: dt.date, last: dt.date,
    since: dt.date | None,
) -> bool:  # fmt: skip
    """Return whether a piece of ground has its turn in one time of year.

    ``since`` is the day it was done last before that, by the log. A job done late does not
    put off the next: months count from the time of year that it was done for.
    """
    if since is not None:
        early = int(step * EARLY_SHARE)
        _, meant = _nearest(rule, since)
        passed = (last.year - meant.year) * MONTHS_A_YEAR + last.month - meant.month
        return passed >= step - early
    years = max(step // MONTHS_A_YEAR, 1)
    return (first.year + order - rule.offset) % years == 0


def round_tasks(
    prop: Property, acres: Mapping[str, float], quiet_seasons: Sequence[Season], today: dt.date,
    until: dt.date, done: Mapping[tuple[str, str], Sequence[dt.date]],
) -> Iterator[Task]:  # fmt: skip
    """Yield a task for each job that comes round, none inside a quiet season."""
    words = Words.of(prop)
    for rule in prop.round:
        for turn in turns_of(rule, prop, acres, today, until, done):
            if not _is_burn(rule, words, turn.area):
                yield _task(rule, turn, prop, quiet_seasons)


def burns_due(
    prop: Property, acres: Mapping[str, float], today: dt.date, until: dt.date,
    done: Mapping[tuple[str, str], Sequence[dt.date]],
) -> dict[str, list[int]] | None:  # fmt: skip
    """Return the years in which burn blocks have their turn, by id; None without such a round.

    Turns that were missed lately, or done, are among them.
    """
    words = Words.of(prop)
    rules = [
        rule
        for rule in prop.round
        if any(_is_burn(rule, words, area) for _, area in _grounds(rule, prop))
    ]
    if not rules:
        return None
    years: dict[str, set[int]] = {}
    for rule in rules:
        for turn in turns_of(rule, prop, acres, today, until, done):
            years.setdefault(turn.area_id, set()).add(turn.last.year)
    return {key: sorted(some) for key, some in years.items()}


def _task(rule: Round, turn: Turn, prop: Property, quiet_seasons: Sequence[Season]) -> Task:
    area = turn.area
    minutes = rule.minutes
    if minutes is None and rule.machine in DRAWN:
        minutes = field_minutes(turn.acres, rule.machine, prop.equipment)
    elif minutes is None:
        minutes = USUAL_MINUTES
    since = (
        f"last on {say_day(turn.since, year=True)} by the log"
        if turn.since
        else "never in the log: its turn by the order of property.toml"
    )
    source = rule.source or "your own rule"
    task = Task(
        uid=uid_of(prop.property.known_by, area.first_name, rule.task, turn.first.isoformat()),
        area=area.name, area_id=turn.area_id, kind=area.kind, task=rule.task,
        label=rule.label or rule.task, earliest=turn.first,
        ideal=turn.first + (turn.last - turn.first) / 2, latest=turn.last, minutes=minutes,
        machine=rule.machine, reason=f"every {rule.every} ({source}); {since}",
        on_foot=rule.machine == "on foot", in_turn=True,
    )  # fmt: skip
    if turn.done is not None:
        task.status, task.scheduled = "done", turn.done
        return task
    out_of_season(task, turn.last, quiet_seasons, prop.work, later=rule.after_quiet)
    return task


def round_notes(
    prop: Property, acres: Mapping[str, float], today: dt.date, until: dt.date,
    done: Mapping[tuple[str, str], Sequence[dt.date]],
) -> tuple[Note, ...]:  # fmt: skip
    """Return what there is to say of jobs in turn: how much of the ground has its turn."""
    notes = []
    for rule in prop.round:
        turns = [
            turn
            for turn in turns_of(rule, prop, acres, today, until, done)
            if turn.last >= today and turn.done is None
        ]
        grounds = [key for key, _ in _grounds(rule, prop)]
        if not grounds:
            notes.append(
                Note(
                    "round-without-ground",
                    f"the round “{rule.task}” is for {rule.area or rule.kind}, and no area is that; "
                    "it is not planned.",
                    source=SETTINGS_FILE,
                )
            )
            continue
        if every_months(rule.every) > MONTHS_A_YEAR and len(grounds) > 1:
            notes.append(_share_note(rule, turns, [acres.get(key, 0.0) for key in grounds]))
    return tuple(notes)


def _share_note(rule: Round, turns: Sequence[Turn], sizes: Sequence[float]) -> Note:
    """Return which pieces have their turn, the longest without first, and the share of all."""
    total = sum(sizes)
    shares = []
    for year in sorted({turn.last.year for turn in turns}):
        mine = sorted(
            {turn.area_id: turn for turn in turns if turn.last.year == year}.values(),
            key=lambda turn: turn.since or dt.date.min,
        )
        part = sum(turn.acres for turn in mine)
        names = ", ".join(f"“{turn.area.name}”" for turn in mine)
        part_said = figure(part, "ac", 1, bare=True)
        share = 100 * part / max(total, 1e-9)
        shares.append(
            f"in {year} {names}, {part_said} of {figure(total, 'ac', 1)} ({share:.0f} %)"
        )
    ahead = "; ".join(shares) or f"none of {figure(total, 'ac', 1)} in the year ahead"
    return Note(
        "round-share",
        f"{rule.label or rule.task}, every {rule.every}: {ahead}, the longest without first.",
        "info",
        SETTINGS_FILE,
    )
