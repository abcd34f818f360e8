"""The year as the report tells it: tasks, days, what is proved, and what does not fit."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING

from quietacre.as_json import as_json
from quietacre.days import say_day
from quietacre.frames import areas_by_id
from quietacre.in_parts import InParts, led_by
from quietacre.logbook import LOG
from quietacre.model import Note
from quietacre.quiet import DAY
from quietacre.record.book import Names
from quietacre.record.words import Words, remark_words
from quietacre.year.begun import begun_notes
from quietacre.year.behind_rain import Rain
from quietacre.year.capacity import DayCapacity
from quietacre.year.conflicts import conflicts
from quietacre.year.menu import ways_out
from quietacre.year.next_planting import offer_note, offered_day, offers_of
from quietacre.year.plan import HORIZON_DAYS, Ground, plan_days
from quietacre.year.records import (
    After,
    Bounds,
    MonthHours,
    QuietRule,
    WorkDay,
    YearReport,
    YearTask,
)
from quietacre.year.rings import worked_rings
from quietacre.year.rounds import round_notes
from quietacre.year.seasons import seasons_of
from quietacre.year.states import missed_jobs, says, state_of
from quietacre.year.takes import takes_by_key
from quietacre.year.weather import frost_of, weather_report
from quietacre.year.who import who_does

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping, Sequence

    import geopandas as gpd

    from quietacre.daily import Daily
    from quietacre.need.records import Need
    from quietacre.record.book import Entry
    from quietacre.report_json.year import YearReportJson
    from quietacre.settings import Property
    from quietacre.strip.records import Ring
    from quietacre.year.next_planting import Offer
    from quietacre.year.plan import Planned
    from quietacre.year.records import Conflict
    from quietacre.year.seasons import Seasons
    from quietacre.year.task import Task
    from quietacre.year.workdays import Assigned

NO_QUIET = InParts(
    "no quiet season is set",
    "Nesting commonly runs from about May 15 to July 4 (common practice, "
    "no source): use your state's own dates; “quietacre year --seasons” lists examples with "
    "their sources.",
)


@dataclass(frozen=True)
class YearPlan:
    """The year, and what to say about it."""

    year: YearReport
    notes: tuple[Note, ...]
    offers: tuple[Offer, ...] = ()  # the next season of plantings that are finished

    @property
    def report(self) -> YearReportJson:
        """Return the year as report.json holds it."""
        made: YearReportJson = as_json(self.year)
        return made


def plan_year(
    areas: gpd.GeoDataFrame, prop: Property, *, today: dt.date,
    needs: Mapping[str, Need],
    strips_report: Sequence[Ring] = (),
    done: Mapping[tuple[str, str], Sequence[dt.date]] | None = None, weather: Daily | None = None,
    rain: Rain | None = None, ticked: Mapping[str, Entry] | None = None,
    meant: Seasons | None = None, walked: Mapping[str, dt.date] | None = None,
) -> YearPlan:  # fmt: skip
    """Return the year for the report, and notes on what does not fit.

    Parameters
    ----------
    areas : one row per area (EPSG:4326) with id, name, kind, acres and geometry, in any
        order.
    today : the day of the plan; it looks a year ahead, or to the last planting.
    needs : amounts by the key of a planting, as `plan_needs` gives them (``needs``).
    strips_report : the strips and firebreaks, as `plan_strips` gives them (``rings``).
    done : days of finished (area, task) pairs.
    weather : the daily record, when there is one.
    rain : what is known of rain, and which plantings wait for it.
    ticked : lines of the log by the letters of the job that they are.
    meant : the season of each planting that is meant, as ``seasons_of`` gives it; worked out
        from the others when None. Month-days have their years by it.
    walked : the first day on which each area was walked, by id, where files tell it: jobs of
        a strip from before are not asked for.

    Raises
    ------
    FrameProblem
        The areas cannot be joined with ``prop``.
    """
    areas = areas_by_id(areas, prop)
    meant = meant or seasons_of(prop, today, done, rain=rain, ticked=ticked)
    prop = meant.prop
    ground = Ground(
        tuple(areas["id"]), tuple(float(a) for a in areas["acres"]),
        takes_by_key(needs), worked_rings(strips_report),
        today, done or {}, frost_of(weather, prop, today) if weather else None,
        rain or Rain(), ticked or {}, walked or {},
    )  # fmt: skip
    plan = plan_days(ground, prop)
    offers = offers_of(meant, today, ground.frost)
    year = _year_told(plan, meant, ground, offers, weather)
    tasks = _not_quiet(plan.tasks, meant)
    offered = [offer_note(offer) for offer in offers]
    before = [*((task.area, task.latest) for task in plan.left_out), *meant.before_begun()]
    ours = (
        *_round_notes(ground, prop), *_log_notes(ground, plan, prop), *begun_notes(before, prop),
    )  # fmt: skip
    notes = (*_notes(tasks, areas, prop, year.conflicts), *meant.notes, *offered, *ours)
    return YearPlan(year, notes, offers)


def _year_told(
    plan: Planned, meant: Seasons, ground: Ground, offers: Sequence[Offer],
    weather: Daily | None,
) -> YearReport:  # fmt: skip
    """Return the year as it is told."""
    prop, today = meant.prop, ground.today
    rain = weather_report(weather, prop, plan, today, ground.frost) if weather else None
    tasks = _not_quiet(plan.tasks, meant)
    return YearReport(
        tasks=tuple(
            _task_told(task, today, who_does(task, prop, ground.strips))
            for task in plan.tasks
        ),
        days=_days(plan),
        room_minutes=DayCapacity.of(prop.work).people,
        bounds=_bounds(plan),
        quiet=_quiet(prop),
        hours=_hours(plan),
        missed=(*meant.missed_jobs(), *missed_jobs(tasks, today)),
        past=meant.past,
        offers=tuple(offered_day(offer) for offer in offers),
        menu=tuple(ways_out(ground, prop, plan, ground.frost)) if plan.missed else (),
        conflicts=tuple(conflicts(plan, prop, ground.frost, ground.strips, meant.finished)),
        weather=rain,
    )


def _round_notes(ground: Ground, prop: Property) -> Iterable[Note]:
    """Return notes on the rounds of the year ahead."""
    acres = dict(zip(ground.ids, ground.acres, strict=True))
    until = ground.today + HORIZON_DAYS * DAY
    return round_notes(prop, acres, ground.today, until, ground.done)


def _days(plan: Planned) -> tuple[WorkDay, ...]:
    """Return the days with work: their minutes and the jobs planned on each."""
    return tuple(
        WorkDay(
            day,
            minutes,
            tuple(
                t.uid for t in plan.tasks if t.scheduled == day and t.status == "planned"
            ),
        )
        for day, minutes in sorted(plan.assigned.used.items())
    )


def _bounds(plan: Planned) -> Bounds:
    """Return trips, days late and jobs without a day, with what is proved of each."""
    out, missed = plan.assigned, len(plan.missed)
    return Bounds(
        trips=len(out.used),
        trips_least=out.trips_least,
        late_days=out.late_days,
        late_least=out.late_least,
        unplaced=missed,
        unplaced_least=out.unplaced_least,
        bound=bound_words(out, missed),
    )


def _quiet(prop: Property) -> tuple[QuietRule, ...]:
    return tuple(
        QuietRule(rule.name, rule.start, rule.end, rule.keeps_out, rule.source)
        for rule in prop.quiet
    )


def _hours(plan: Planned) -> MonthHours:
    """Return the hours planned in each month, and those of jobs that have no day."""
    hours: dict[str, float] = {}
    short: dict[str, float] = {}
    for day, minutes in sorted(plan.assigned.used.items()):
        month = f"{day:%Y-%m}"
        hours[month] = hours.get(month, 0.0) + minutes / 60
    for task in plan.missed:
        month = f"{task.ideal:%Y-%m}"
        short[month] = short.get(month, 0.0) + task.minutes / 60
    return MonthHours(hours, dict(sorted(short.items())))


def _not_quiet(tasks: Sequence[Task], meant: Seasons) -> list[Task]:
    """Return the tasks that are still told of: not those of a season that is finished."""
    return [task for task in tasks if task.planting not in meant.finished]


def bound_words(out: Assigned, missed: int) -> str:
    """Return the trips with what is proved of them, in words."""
    trips = len(out.used)
    which = "the days you asked for" if out.asked else "these jobs"
    text = f"{trips} trips; with {which} it cannot be done in fewer"
    if out.trips_least < trips:
        text += f" than {out.trips_least}"
    if out.late_days:
        text += f". Added up, jobs come {out.late_days} days after their best days"
        text += "; with as many trips it cannot be less" + (
            "" if out.late_least >= out.late_days else f" than {out.late_least}"
        )
    if missed:
        least = out.unplaced_least
        proved = f", and at least {least} in any plan" if least else ""
        text += f". {missed} {'task does' if missed == 1 else 'tasks do'} not fit{proved}"
    return text + "."


def _task_told(task: Task, today: dt.date, who: str | None) -> YearTask:
    return YearTask(
        uid=task.uid,
        job=task.letters,
        log_word=task.log_word,
        area=task.area,
        area_id=task.area_id,
        task=task.task,
        label=task.label,
        earliest=task.earliest,
        ideal=task.ideal,
        latest=task.latest,
        asked=task.asked,
        scheduled=task.scheduled,
        minutes=task.minutes,
        machine=task.machine,
        who=who,
        reason=task.reason,
        after=tuple(After(uid, lag) for uid, lag in task.after),
        amounts=tuple(task.amounts),
        planting=task.planting or None,
        status=task.status,
        state=state_of(task, today),
        says=says(task, today),
        notes=tuple(task.notes),
    )


def _notes(
    tasks: Sequence[Task], areas: gpd.GeoDataFrame, prop: Property,
    named: Sequence[Conflict],
) -> list[Note]:  # fmt: skip
    """Return a note for each task that does not fit or had to move, and each conflict."""
    points = areas.geometry.representative_point()
    place = {key: (p.x, p.y) for key, p in zip(areas["id"], points, strict=True)}
    notes = []
    for task in tasks:
        lon, lat = place.get(task.area_id, (None, None))
        code = "task-unplaced" if task.status == "unplaced" else "task-moved"
        code = "task-missed" if task.passed else code
        notes += [
            Note(
                code,
                led_by(f"{task.label}: ", text),
                "caution" if task.passed else "warning",
                None,
                task.area,
                lon,
                lat,
            )
            for text in task.notes
            # the conflict says it of the window, the strip's own warning of its cuts
            if task.task != "burn window"
            and not (task.passed and "strip" in task.more_words)
            and task.status != "done"
        ]
    for row in named:
        lon, lat = place.get(row.area_id or "", (None, None))
        notes.append(Note(row.code, row.text, row.level, None, row.area, lon, lat))
    if not prop.quiet and tasks:
        notes.append(Note("no-quiet-season", NO_QUIET, "caution"))
    return notes


def _log_notes(ground: Ground, plan: Planned, prop: Property) -> list[Note]:
    """Return notes on log entries of unknown ground, of days to come, and of unknown words."""
    names = {area.name for area in prop.area} | {strip.name for strip in ground.strips}
    words, places = Words.of(prop), Names.of(prop.area, prop.property.name)
    labels = {(task.area, task.label) for task in plan.tasks}
    notes = []
    remarks: dict[str, int] = {}
    for (area, task), days in ground.done.items():
        notes += [
            Note("log-ahead", f"{LOG}: “{task}” on “{area}” is dated {say_day(day, year=True)}, a day "
                 "still to come, and does not count till then", "caution", LOG,
                 area if area in names else None, more="was another day meant?")
            for day in days if day > ground.today
        ]  # fmt: skip
        known = task in words.tasks.values() or (area, task) in labels
        if not known and (area in names or places.is_everywhere(area)):
            remarks[task] = remarks.get(task, 0) + len(days)
        elif area not in names:
            near = get_close_matches(area, sorted(names), n=1)
            cure = f"; did you mean “{near[0]}”?" if near else "."
            wrong = f"“{area}” is no area or strip" if area else f"“{task}” names no area"
            text = f"{LOG}: {wrong}, so the entry counts for nothing{cure}"
            notes.append(Note("log-unknown", text, "caution", LOG))
    if remarks:
        notes.append(Note("log-remark", remark_words(remarks, words), "info", LOG))
    return notes
