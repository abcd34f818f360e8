"""When the work does not fit: single changes, each proved by a whole plan before offered."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.days import month_day, on_year, say_day, say_span
from quietacre.figures import figure
from quietacre.plantings import plantings_of, sown_of, with_days, with_plantings
from quietacre.quiet import DAY, shut_by
from quietacre.workweek import WEEKDAYS, is_workday
from quietacre.year.capacity import DayCapacity
from quietacre.year.plan import plan_days
from quietacre.year.records import WayOut
from quietacre.year.sowing import poor_days

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Sequence

    from quietacre.settings import Property, Quiet
    from quietacre.year.frost import FrostReport
    from quietacre.year.plan import Ground, Planned
    from quietacre.year.workdays import Effort

LONGEST_DAY_HOURS = 14.0
HALF_HOURS = 0.5
MOST_EXTRA_DAYS = 24
LATER_DAYS = tuple(range(7, 50, 7))
MOST_NAMES = 4
QUIET_DAYS = (7, 14, 21, 28, 42, 56)


@dataclass(frozen=True)
class Trial:
    """One change: how it is said, and the property with it."""

    words: str
    prop: Property


def holds(plan: Planned, prop: Property) -> bool:
    """Return whether a plan keeps every window, lag, season, workday and hour of the day.

    Checked from the tasks alone, with nothing of the assigning.
    """
    capacity = DayCapacity.of(prop.work)
    at = {t.uid: t.scheduled for t in plan.tasks}
    drawn: dict[tuple[dt.date, str], list[float]] = {}
    for task in plan.tasks:
        day = task.scheduled
        if task.status != "planned" or day is None:
            continue
        if not task.earliest <= day <= task.latest or not is_workday(day, prop.work):
            return False
        if shut_by(day, task.words, plan.seasons) is not None:
            return False
        for before, lag in task.after:
            other = at.get(before)
            if other is not None and (day - other).days < lag:
                return False
        for key, cap in capacity.limits(task.machine):
            row = drawn.setdefault((day, key), [cap, 0.0])
            row[1] += task.minutes
    return all(total <= cap + 1e-6 for cap, total in drawn.values())


def ways_out(
    ground: Ground, prop: Property, plan: Planned, frost: FrostReport | None
) -> list[WayOut]:
    """Return the single changes after which every task still to come has a day.

    Of each kind the smallest change found is offered; the quiet season comes last. Only
    changes that a whole plan has shown to work are offered.
    """
    kinds = (
        ("longer days", _longer(prop)),
        ("extra days", _extra(prop, plan, ground.today)),
        ("a helper with a tractor", _help(prop)),
        ("later planting", _later(prop, plan, frost)),
        ("drop the smallest plots", _drop(prop, ground)),
        ("shorten a quiet season", _quiet(prop, plan)),
    )
    out = []
    for kind, trials in kinds:
        ways = _least(trials, lambda trial: _works(ground, trial.prop))
        if ways is not None:
            trial, trips = ways
            out.append(WayOut(kind, trial.words, trips))
    return out


def _works(ground: Ground, prop: Property) -> int | None:
    """Return the trips of a plan with every task placed, None when none was found."""
    efforts: tuple[Effort, ...] = ("plain", "place")
    for effort in efforts:
        plan = plan_days(ground, prop, effort=effort)
        if not plan.missed and holds(plan, prop):
            return len(plan.assigned.used)
        if any("has the time" not in " ".join(t.notes) for t in plan.missed):
            return None  # no day at all: more searching cannot help
    return None


def _least(
    trials: Sequence[Trial], works: Callable[[Trial], int | None]
) -> tuple[Trial, int] | None:
    """Return the first of ever larger changes that works, by halving."""
    if not trials:
        return None
    best = works(trials[-1])
    if best is None:
        return None
    low, high = 0, len(trials) - 1
    while low < high:
        middle = (low + high) // 2
        trips = works(trials[middle])
        if trips is None:
            low = middle + 1
        else:
            high, best = middle, trips
    return trials[high], best


def _longer(prop: Property) -> list[Trial]:
    hours = prop.work.hours_day
    out = []
    while hours + HALF_HOURS <= LONGEST_DAY_HOURS:
        hours += HALF_HOURS
        out.append(
            Trial(f"{hours:g} hours a day instead of {prop.work.hours_day:g}",
                  replace(prop, work=replace(prop.work, hours_day=hours)))
        )  # fmt: skip
    return out


def _extra(prop: Property, plan: Planned, today: dt.date) -> list[Trial]:
    """Add one more weekday, from the day the time runs short, week by week."""
    missed = plan.missed
    first = max(today, min(t.earliest for t in missed))
    last = max(t.latest for t in missed)
    # the weekday next before the person's own days: a long weekend
    off = [
        d
        for d in ("fri", "mon", "thu", "tue", "wed", "sat", "sun")
        if d not in prop.work.weekdays
    ]
    if not off:
        return []
    day = first
    while WEEKDAYS[day.weekday()] != off[0]:
        day += DAY
    out: list[Trial] = []
    days: list[dt.date] = []
    name = f"{day:%A}s"
    while day <= last and len(days) < MOST_EXTRA_DAYS:
        if day not in prop.work.blocked_days and not is_workday(day, prop.work):
            days.append(day)
            more = (*prop.work.extra_days, *days)
            out.append(
                Trial(f"{len(days)} {name if len(days) > 1 else name[:-1]} more, "
                      f"{say_span(days[0], days[-1], year=True)}",
                      replace(prop, work=replace(prop.work, extra_days=more)))
            )  # fmt: skip
        day += 7 * DAY
    return out


def _help(prop: Property) -> list[Trial]:
    work = replace(
        prop.work, helpers=prop.work.helpers + 1, tractors=prop.work.tractors + 1
    )
    return [Trial("one more person, with a tractor of their own", replace(prop, work=work))]


def _later(prop: Property, plan: Planned, frost: FrostReport | None) -> list[Trial]:
    """Move every other plot, or those that do not fit, later within their windows."""
    short = {t.area for t in plan.missed}
    plantings = [sown for sown in sown_of(prop) if sown.plant and sown.name in short]

    out = []
    for days in LATER_DAYS:
        later = {
            sown.key: day
            for sown in plantings
            if sown.plant
            and not poor_days(sown, day := sown.plant + days * DAY, day, frost, prop)
        }
        moved = tuple(with_days(area, key, later) for key, area in prop.area_by_id.items())
        names = list(dict.fromkeys(s.name for s in plantings if s.key in later))
        if names:
            more = len(names) - MOST_NAMES
            who = ", ".join(names[:MOST_NAMES]) + (f" and {more} more" if more > 0 else "")
            out.append(
                Trial(f"plant {who} {days} days later, inside the crops' windows",
                      replace(prop, area=moved))
            )  # fmt: skip
    return out


def _drop(prop: Property, ground: Ground) -> list[Trial]:
    """Leave plots unplanted, the smallest first, down to one."""
    acres_by_id = dict(zip(ground.ids, ground.acres, strict=True))
    plots = sorted(
        (acres_by_id[key], n)
        for n, (key, area) in enumerate(prop.area_by_id.items())
        if any(row.plant for row in plantings_of(area))
    )
    out = []
    for count in range(1, len(plots)):
        gone = {n for _, n in plots[:count]}
        kept = tuple(
            with_plantings(area, [replace(row, plant=None) for row in plantings_of(area)])
            if n in gone
            else area
            for n, area in enumerate(prop.area)
        )
        acres = sum(a for a, _ in plots[:count])
        which = "smallest plot" if count == 1 else f"{count} smallest plots"
        out.append(
            Trial(f"leave the {which} unplanted ({figure(acres, 'ac', 1)})",
                  replace(prop, area=kept))
        )  # fmt: skip
    return out


def _quiet(prop: Property, plan: Planned) -> list[Trial]:
    """Shorten the season nearest the shortage, at its end; nesting birds pay for it."""
    if not prop.quiet or not plan.missed:
        return []
    first = min(t.earliest for t in plan.missed)
    words = {word for task in plan.missed for word in task.words}
    past = [
        s for s in plan.seasons
        if s.first <= max(t.latest for t in plan.missed)
        and (s.keeps_out is None or words & set(s.keeps_out))
    ]  # fmt: skip
    if not past:
        return []
    season = min(past, key=lambda s: abs((first - s.last).days))
    out = []
    for days in QUIET_DAYS:
        end = season.last - days * DAY
        if end <= season.first:
            break
        quiet: tuple[Quiet, ...] = tuple(
            replace(q, end=f"{end:%m-%d}")
            if (q.name, on_year(season.first.year, *month_day(q.start)))
            == (season.name, season.first)
            else q
            for q in prop.quiet
        )
        out.append(
            Trial(f"only if the rules you are under allow it: end {season.called} "
                  f"{days} days sooner, on {say_day(end)}; the birds pay for it",
                  replace(prop, quiet=quiet))
        )  # fmt: skip
    return out
