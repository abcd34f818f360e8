"""The season of each planting: which year is meant, what of it is done, and when it is over.

A season is one planting of one area: its jobs, those before and after included. It belongs to
the calendar year of its planting day. It is finished when the log has the planting and every
job after it is done or past; it is over when it was not sown and is too late to be.

Of a planting whose day is a month-day, the earliest season is meant, from last year's on, that
is neither finished nor over: a pure function of today and the log.
"""

from __future__ import annotations

import datetime as dt
import functools
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from quietacre.days import month_day, on_year, say_day
from quietacre.logbook import LOG
from quietacre.model import SETTINGS_FILE, Note
from quietacre.plantings import (
    on_or_after,
    planting_days,
    planting_keys,
    plantings_of,
    sown_as,
    with_plantings,
)
from quietacre.quiet import DAY, seasons
from quietacre.words import box_and_line
from quietacre.year.backward import plot_tasks
from quietacre.year.behind_rain import Rain, behind_rain
from quietacre.year.logged import frozen_days
from quietacre.year.past import PastSeason, past_season
from quietacre.year.planting_season import PlantingSeason, State
from quietacre.year.states import FOLLOWS, LATE_DAYS, MissedJob, useful_until
from quietacre.year.takes import NOTHING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from quietacre.plantings import Sown
    from quietacre.quiet import Season
    from quietacre.record.book import Entry
    from quietacre.settings import Area, Planting, Property
    from quietacre.year.task import Task

    Done = Mapping[tuple[str, str], Sequence[dt.date]]

#: A season that was not sown is told of for so long after it was over: a year where the log
#: has plantings of the ground at all, else a season.
TOLD_DAYS, TOLD_DAYS_UNLOGGED = 365, 90
#: Days before and after a planting in which a day of its own jobs may lie.
OWN_DAYS_BEFORE, OWN_DAYS_AFTER = 345, 300


@dataclass(frozen=True)
class Seasons:
    """The seasons that are meant: the property with every planting dated, and what to say.

    ``typed`` is the property as its file has it.
    ``rows`` are in the order of property.toml; ``unsown`` are the seasons of month-days that
    were over before those that are meant, lately enough to be told.
    """

    prop: Property
    typed: Property
    rows: tuple[PlantingSeason, ...]
    unsown: tuple[PlantingSeason, ...] = ()
    notes: tuple[Note, ...] = field(default=())
    past: tuple[PastSeason, ...] = ()  # the season before of each

    @property
    def finished(self) -> frozenset[str]:
        """Return the keys of the plantings that are finished and quiet."""
        return frozenset(row.key for row in self.rows if row.state == "finished")

    def missed_jobs(self) -> list[MissedJob]:
        """Return what was missed of seasons that are over."""
        return [
            MissedJob(
                row.area,
                row.area_id,
                f"plant{_of(row)}, by {say_day(row.last, year=True)}: {FOLLOWS['plant']}.",
            )
            for row in self.unsown
            if not self._before_begun(row)
        ]

    def before_begun(self) -> list[tuple[str, dt.date]]:
        """Return the ground and the last day of plantings from before the record of the place."""
        return [(row.area, row.last) for row in self.unsown if self._before_begun(row)]

    def _before_begun(self, row: PlantingSeason) -> bool:
        begun = self.prop.property.begun
        return begun is not None and row.last < begun


def seasons_of(
    prop: Property, today: dt.date, done: Done | None = None, *, rain: Rain | None = None,
    ticked: Mapping[str, Entry] | None = None,
    year: int | None = None,
) -> Seasons:  # fmt: skip
    """Return the season that is meant of each planting.

    Parameters
    ----------
    prop : the settings; plantings may have month-days.
    today : the day it is looked at.
    done : days that the log has, by (area, task); those after ``today`` do not count.
    rain : what is known of rain, for plantings that wait for it.
    ticked : lines of the log by the letters of the job that they are.
    year : the calendar year whose plantings are meant, whatever is done of them; that of
        today and the log when None.
    """
    happened = {
        key: tuple(day for day in days if day <= today)
        for key, days in (done or {}).items()
    }
    quiet_seasons = seasons(prop.quiet, (year or today.year) - 2, (year or today.year) + 3)
    lettered = {job: line for job, line in (ticked or {}).items() if line.on <= today}
    look = _Look(prop, today, happened, lettered, rain or Rain(), quiet_seasons)
    areas: list[Area] = []
    rows: list[PlantingSeason] = []
    unsown: list[PlantingSeason] = []
    notes: list[Note] = []
    for area_id, area in prop.area_by_id.items():
        dated, mine, over, remarks = _area_seasons(area, area_id, look, year)
        areas.append(dated)
        rows += mine
        unsown += over
        notes += remarks
    notes += [_unsown_note(row, rows) for row in unsown]
    dated_prop = replace(prop, area=tuple(areas))
    return Seasons(
        dated_prop, prop, tuple(rows), tuple(unsown), tuple(notes),
        () if year else tuple(_past(prop, rows, look)),
    )  # fmt: skip


def _past(
    prop: Property, rows: Sequence[PlantingSeason], look: _Look
) -> Iterator[PastSeason]:
    """Yield the season a year before of each planting, where the log has something of it."""
    meant = {row.key: row for row in rows}
    for area_id, area in prop.area_by_id.items():
        plantings = plantings_of(area)
        keys = planting_keys(area_id, area)
        before = {
            key: on_year(meant[key].plant.year - 1, meant[key].plant.month, meant[key].plant.day)
            for key in keys if key in meant
        }  # fmt: skip
        done = look.by_ground.get(area.name, {})
        if not done or not before:
            continue
        every = planting_days(list(before.values()))
        for n, (key, row) in enumerate(zip(keys, plantings, strict=True), 1):
            if key not in before:
                continue
            (own, its), _ = _of_year(area, row, before[key])
            sown = sown_as(own, area_id, n, its, every, len(plantings))
            tasks = list(
                plot_tasks(sown, 1.0, NOTHING, look.prop, look.found, look.today, done)
            )
            frozen = frozen_days(tasks, done, look.ticked)
            season = _season(sown, tasks, frozen, look, meant[key].returns)
            past = past_season(season, tasks, frozen)
            if past is not None:
                yield past


@dataclass(frozen=True)
class _Look:
    """What seasons are judged by."""

    prop: Property
    today: dt.date
    done: Done
    ticked: Mapping[str, Entry]
    rain: Rain
    found: Sequence[Season]

    @functools.cached_property
    def by_ground(self) -> dict[str, dict[tuple[str, str], Sequence[dt.date]]]:
        """Return what the log has, by the name of its ground: a long log is looked through once."""
        by_key: dict[str, dict[tuple[str, str], Sequence[dt.date]]] = {}
        for key, days in self.done.items():
            by_key.setdefault(key[0], {})[key] = days
        return by_key


def _area_seasons(
    area: Area, area_id: str, look: _Look, year: int | None
) -> tuple[Area, list[PlantingSeason], list[PlantingSeason], list[Note]]:
    """Return an area with dated plantings, their seasons, those over lately, and notes."""
    plantings = plantings_of(area)
    choices = [_choices(row.plant, look.today, year) for row in plantings]
    if not any(choices):
        return area, [], [], []
    every = planting_days([day for days in choices for day in days])
    done = look.by_ground.get(area.name, {})
    notes: list[Note] = []
    seen: dict[tuple[int, dt.date], PlantingSeason] = {}
    plots: dict[tuple[int, dt.date], tuple[Sown, list[Task]]] = {}
    for n, (row, days) in enumerate(zip(plantings, choices, strict=True), 1):
        for day in days:
            (own, its), _ = _of_year(area, row, day)
            sown = sown_as(own, area_id, n, its, every, len(plantings))
            plots[n, day] = (
                sown,
                list(
                    plot_tasks(sown, 1.0, NOTHING, look.prop, look.found, look.today, done)
                ),
            )
    frozen = frozen_days(
        [t for _, tasks in plots.values() for t in tasks], done, look.ticked
    )
    for place, (sown, tasks) in plots.items():
        returns = plantings[place[0] - 1].plant
        seen[place] = _season(
            sown, tasks, frozen, look, returns if isinstance(returns, str) else None
        )
    dated: list[Planting] = []
    rows, unsown = [], []
    tasks_of = area.tasks
    for n, (row, days) in enumerate(zip(plantings, choices, strict=True), 1):
        if not days:
            dated.append(row)
            continue
        open_ = [day for day in days if seen[n, day].state in {"ahead", "growing"}]
        meant = days[0] if len(days) == 1 else (open_ or days[-1:])[0]
        rows.append(seen[n, meant])
        before = [seen[n, day] for day in days if day < meant]
        unsown += [one for one in before if one.state == "over" and _told(one, look)]
        (own_area, own_row), remarks = _of_year(area, row, meant)
        notes += remarks
        dated.append(own_row)
        if len(plantings) == 1:
            tasks_of = own_area.tasks
    return with_plantings(replace(area, tasks=tasks_of), dated), rows, unsown, notes


def _choices(
    plant: dt.date | str | None, today: dt.date, year: int | None
) -> list[dt.date]:
    """Return the planting days that may be meant, in order."""
    if plant is None:
        return []
    if isinstance(plant, dt.date):
        return [plant]
    years = (today.year - 1, today.year, today.year + 1) if year is None else (year,)
    return [on_year(one, *month_day(plant)) for one in years]


def _of_year(
    area: Area, row: Planting, plant: dt.date
) -> tuple[tuple[Area, Planting], list[Note]]:
    """Return an area and a planting with the days of one year, and which days are none of it."""
    notes = []
    on = row.topdress_on
    if isinstance(on, str):
        on = on_or_after(on, plant)
    tasks = area.tasks
    if isinstance(row.plant, str):

        def its_own(day: dt.date) -> bool:
            return -OWN_DAYS_BEFORE <= (day - plant).days <= OWN_DAYS_AFTER

        gone = [rule for rule in tasks if rule.on is not None and not its_own(rule.on)]
        ended = [f"its task “{rule.task}” on {rule.on}" for rule in gone]
        tasks = tuple(replace(rule, on=None) if rule in gone else rule for rule in tasks)
        if on is not None and not plant <= on <= plant + OWN_DAYS_AFTER * DAY:
            ended.append(box_and_line("area", "topdress_on", f"topdress_on = {on}"))
            on = None
        if ended:
            notes.append(
                Note(
                    "day-of-another-year",
                    f"{' and '.join(ended)} belongs to no planting of {say_day(plant, year=True)}, so "
                    "the usual days are taken",
                    "caution", SETTINGS_FILE, area.name,
                    more="write a month-day (topdress_on) or days_before (a task) in its place.",
                )
            )  # fmt: skip
    dated = replace(row, plant=plant, topdress_on=on)
    return (replace(area, tasks=tasks), dated), notes


def _season(
    sown: Sown, tasks: list[Task], frozen: Mapping[str, dt.date], look: _Look,
    returns: str | None,
) -> PlantingSeason:  # fmt: skip
    """Return how far a planting is, from its jobs and the days of those that are logged."""
    assert sown.plant is not None  # noqa: S101 - the caller dated it
    plant = next((task for task in tasks if task.task == "plant"), None)
    sown_on = frozen.get(plant.uid) if plant is not None else None
    if plant is not None and sown_on is None:
        behind_rain(tasks, sown, look.rain, look.prop, look.today, look.found)
    state: State = "ahead"
    if plant is None:  # the person leaves the planting itself out
        last = max((t.latest for t in tasks), default=sown.plant) + LATE_DAYS * DAY
        state = "ahead" if look.today <= last else "over"
    elif sown_on is not None:
        later = [t.latest for t in tasks if t.ideal > plant.ideal and t.uid not in frozen]
        did = max(day for t in tasks if (day := frozen.get(t.uid)) is not None)
        last = max((day + LATE_DAYS * DAY for day in later), default=did)
        state = "growing" if look.today <= last and later else "finished"
    else:
        follow = [(t, lag) for t in tasks for uid, lag in t.after if uid == plant.uid]
        last = max(useful_until(plant, follow, tasks, None), plant.latest)
        state = "ahead" if look.today <= last else "over"
    return PlantingSeason(
        sown.key, sown.area_id, sown.name, sown.mix, sown.plant, returns, state, sown_on,
        last, sown.called if sown.count > 1 else None,
    )  # fmt: skip


def _told(row: PlantingSeason, look: _Look) -> bool:
    """Return whether a season that was not sown is lately enough over to be told of."""
    logged = any(day for (area, task), days in look.done.items() for day in days
                 if area == row.area and task == "plant")  # fmt: skip
    return (look.today - row.last).days <= (TOLD_DAYS if logged else TOLD_DAYS_UNLOGGED)


def _of(row: PlantingSeason) -> str:
    return f" {row.called}" if row.called else ""


def _unsown_note(row: PlantingSeason, rows: Sequence[PlantingSeason]) -> Note:
    meant = next(one for one in rows if one.key == row.key)
    return Note(
        "season-not-in-log",
        f"the planting{_of(row)} of {say_day(row.plant, year=True)} is not in the log and its time "
        f"is over, so that of {say_day(meant.plant, year=True)} is planned, "
        "for its day comes back each year",
        "caution", LOG, row.area, more="If it was sown, write the line.",
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class SeasonTold:
    """A planting's season as it is told, with the day offered for the ``next`` one."""

    key: str
    mix: str | None
    plant: dt.date
    returns: str | None
    year: int
    state: str
    sown_on: dt.date | None
    last: dt.date
    next: dt.date | None
    next_text: str | None


def season_told(
    row: PlantingSeason, offered: tuple[dt.date | None, str] | None = None
) -> SeasonTold:
    """Return a planting's season, with the day offered for the next one."""
    day, text = offered or (None, None)
    return SeasonTold(
        key=row.key,
        mix=row.mix,
        plant=row.plant,
        returns=row.returns,
        year=row.year,
        state=row.state,
        sown_on=row.sown_on,
        last=row.last,
        next=day,
        next_text=text,
    )


def first_day(rows: Sequence[PlantingSeason]) -> dt.date | None:
    """Return the planting day of an area to be named first: the next ahead, else the first."""
    ahead = [row.plant for row in rows if row.state == "ahead"]
    return min(ahead or [row.plant for row in rows], default=None)
