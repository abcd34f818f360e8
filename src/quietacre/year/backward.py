"""What must be done on a planted plot, counted back from its planting date.

Each job has its window by `steps` and `lags`, what the person changed by `rules`; then the
windows are moved out of quiet seasons, and what is late and still worth its while is caught up.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.in_parts import ended
from quietacre.need.lime_words import late_text
from quietacre.quiet import DAY
from quietacre.year.amounts import amounts_of
from quietacre.year.lags import LAGS, lagged, lags_of
from quietacre.year.logged import SAME_YEAR_DAYS
from quietacre.year.minutes import job_minutes
from quietacre.year.moves import in_order, mine_open, out_of_season, planting_day
from quietacre.year.rules import crops_of, days_of, own_steps, rule_of
from quietacre.year.sowing import poor_days, windows_by_crop
from quietacre.year.steps import STEPS, planting_meant
from quietacre.year.task import Task, uid_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Collection, Iterator, Mapping, Sequence

    from quietacre.plantings import Sown
    from quietacre.quiet import Season
    from quietacre.settings import Property, TaskRule
    from quietacre.year.frost import FrostReport
    from quietacre.year.steps import Step
    from quietacre.year.takes import Takes


#: A line of the log so far from a planting is of another year's: each has one beside it.
FAR_DAYS = 731
#: A soil test older than this at planting is taken again: "at least every two years",
#: Biology and Management of White-tailed Deer in Alabama.
TEST_YEARS_DAYS = 730
#: A soil test or lime that is late is still worth its while until so long before planting:
#: results for the fertilizer, lime for the next crop. Common practice, no source.
CATCH_UP = {"soil test": 31, "lime": 15}
CATCH_UP_DAYS = 20


def plot_tasks(
    area: Sown, acres: float, takes: Takes, prop: Property,
    quiet_seasons: Sequence[Season], today: dt.date,
    done: Mapping[tuple[str, str], Sequence[dt.date]] | None = None,
    frost: FrostReport | None = None,
) -> Iterator[Task]:  # fmt: skip
    """Yield the tasks of one planting of a plot, in order, moved out of quiet seasons.

    ``done`` holds the days of (area, task) of the log: what is done is not caught up on.
    ``frost`` is the frost report of the daily record, when there is one.
    """
    if area.plant is None:
        return
    method = next((mix.method for mix in prop.mix if mix.name == area.mix), "broadcast")
    meant = area.plant
    logged = _done_for(area, done or {})
    wanted = _wanted(area, takes, prop) | _wanted_by_log(meant, logged)
    plant, moved = _planting_day(area, prop, quiet_seasons)
    area = dataclasses.replace(area, plant=plant)
    lags = lags_of(area, prop)
    made: dict[str, Task] = {}
    fixed: set[str] = set()
    pairs: list[tuple[str, str, int]] = []
    for step in (*STEPS, *own_steps(area, prop)):
        rule = rule_of(step.task, area, prop)
        if step.when not in wanted or (rule is not None and rule.skip):
            continue
        step = lagged(step, lags)  # noqa: PLW2901 - the same step, sooner or later
        machine = (rule.machine if rule else None) or step.machine
        if step.task == "plant" and method == "drill":
            machine = "drill"
        task = _task(area, step, rule, machine, acres, takes, prop, meant)
        if task.task == "plant" and moved:
            task.notes.append(moved)
        if rule is not None:
            fixed.add(step.task)
        pairs += _tied(task, made, lags, changed=rule is not None)
        out_of_season(
            task,
            plant,
            quiet_seasons,
            prop.work,
            lags["clip_days"],
            later=task.ideal > plant,
        )
        made[step.task] = task
    in_order(made, pairs, fixed, plant, quiet_seasons, prop.work)
    open_late = {name for name in CATCH_UP if name not in fixed and name not in logged}
    _catch_up(made, open_late, plant, quiet_seasons, prop, today)
    sown = made.get("plant")
    if sown is not None:
        sown.asked = sown.ideal
        sown.poor = poor_days(area, sown.earliest, sown.latest, frost, prop)
    yield from made.values()


def _task(
    area: Sown, step: Step, rule: TaskRule | None, machine: str, acres: float,
    takes: Takes, prop: Property, meant: dt.date,
) -> Task:  # fmt: skip
    """Return one job of a planting, by its step and what the person changed of it.

    ``area.plant`` is the day counted back from, ``meant`` the one that was written.
    """
    early, ideal, late = days_of(step, rule)
    plant = area.plant_day
    task = Task(
        uid=uid_of(prop.property.known_by, area.first_name, step.task, meant.isoformat()),
        lasting=uid_of(
            prop.property.known_by, area.first_name, step.task, str(meant.year),
            *([area.called] if area.number > 1 else []),
        ),
        area=area.name, area_id=area.area_id, kind=area.kind, task=step.task,
        label=f"{step.label}, {area.called}" if area.count > 1 else step.label,
        earliest=plant - early * DAY, ideal=plant - ideal * DAY,
        latest=plant - late * DAY, minutes=job_minutes(rule, acres, machine, prop, takes.work.get(step.task)),
        machine=machine, reason=step.reason, amounts=amounts_of(step.task, takes),
        on_foot=machine == "on foot", planting=area.key, planted_for=meant,
        planting_days=area.planting_days,
    )  # fmt: skip
    if rule is not None and rule.on is not None:
        task.earliest = task.ideal = task.latest = rule.on
    elif step.task == "top-dress" and area.topdress_on is not None:
        task.ideal = task.asked = area.topdress_on
        task.earliest, task.latest = task.ideal - 7 * DAY, task.ideal + 7 * DAY
    return task


def _tied(
    task: Task, made: Mapping[str, Task], lags: Mapping[str, int], *, changed: bool
) -> Iterator[tuple[str, str, int]]:
    """Tie, in place, a job to those it waits for; yield the pairs with their days.

    A window that the person ``changed`` outranks a lag that it rules out.
    """
    for first, second, lag in LAGS:
        if second == task.task and first in made:
            own = lags[lag] if isinstance(lag, str) else lag
            gap = (task.latest - made[first].earliest).days
            least = min(own, gap) if changed else own
            task.after.append((made[first].uid, least))
            yield first, second, least


def _wanted_by_log(meant: dt.date, logged: Mapping[str, Sequence[dt.date]]) -> set[str]:
    """Return the conditional steps that were done for this planting."""
    return {
        step.when for step in STEPS
        # a test that was taken stands under the area, where its figures are
        if step.task != "soil test" and any(
            abs((day - meant).days + step.ideal) < SAME_YEAR_DAYS
            for day in logged.get(step.task, ())
        )
    }  # fmt: skip


def _done_for(
    area: Sown, done: Mapping[tuple[str, str], Sequence[dt.date]]
) -> dict[str, list[dt.date]]:  # fmt: skip
    """Return the days of the log on which each job was done for this planting."""
    assert area.plant is not None  # noqa: S101 - the caller looked
    out: dict[str, list[dt.date]] = {}
    for (name, task), days in done.items():
        if name != area.name:
            continue
        mine = [
            day
            for day in days
            if abs((day - area.plant).days) < FAR_DAYS
            and planting_meant(task, day, area.planting_days) == area.plant
        ]
        if mine:
            out[task] = mine
    return out


def _catch_up(
    made: Mapping[str, Task], names: Collection[str], plant: dt.date,
    quiet_seasons: Sequence[Season], prop: Property, today: dt.date,
) -> None:  # fmt: skip
    """Plan, in place, what was not done when due and is still worth its while."""
    for name, least in CATCH_UP.items():
        late_one, last = made.get(name), plant - least * DAY
        if late_one is None or name not in names or today > last:
            continue
        start = max(today, late_one.earliest)
        if start <= today and not mine_open(
            start, late_one.latest, late_one.words, quiet_seasons, prop.work
        ):
            late_one.notes = [
                f"late: it was due by {say_day(late_one.latest, year=True)}; do it now all the same."
            ]
            if name == "lime":
                late_one.notes.append(ended(late_text()))
            late_one.due_by, late_one.best_was = late_one.latest, late_one.ideal
            late_one.earliest = late_one.ideal = today
            late_one.latest = min(today + CATCH_UP_DAYS * DAY, last)
            out_of_season(late_one, plant, quiet_seasons, prop.work, later=True)
            for other in made.values():  # nothing waits for what comes so late
                other.after = [tie for tie in other.after if tie[0] != late_one.uid]


def _planting_day(
    area: Sown, prop: Property, quiet_seasons: Sequence[Season]
) -> tuple[dt.date, str | None]:
    """Return the day that the plot's year is counted from, out of every quiet season."""
    assert area.plant is not None  # noqa: S101 - the caller looked
    rule = rule_of("plant", area, prop)
    if rule is not None and (rule.on is not None or rule.skip):
        return area.plant, None
    step = next(step for step in STEPS if step.task == "plant")
    early, _, late = days_of(step, rule)
    ranges = [
        one
        for windows in windows_by_crop(area, prop)
        for some in windows.values()
        for one in some
    ]
    window = (area.plant - early * DAY, area.plant - late * DAY)
    return planting_day(
        area.plant, window, (area.kind, area.name), quiet_seasons, prop.work, ranges
    )


def _wanted(area: Sown, takes: Takes, prop: Property) -> set[str]:
    """Return which conditional steps this plot takes."""
    from quietacre.crop_names import top_dressed

    wanted = {"always"}
    wanted |= {"lime"} if takes.lime_ton is not None else set()
    wanted |= {"fertilizer"} if takes.fertilizer else set()
    wanted |= {one.what for one in takes.done} & {"lime", "fertilizer"}
    test = next((t for t in prop.soil_test if t.name == area.soil_test), None)
    stale = test is not None and test.on is not None and area.plant is not None and (
        area.plant - test.on
    ).days > TEST_YEARS_DAYS  # fmt: skip
    if test is None or stale:
        wanted.add("soil test")
    own = rule_of("top-dress", area, prop) is not None
    grass = crops_of(area, prop) & top_dressed() and not takes.nitrogen_given
    if area.topdress_n_lb_ac or own or grass:
        wanted.add("grass")
    return wanted
