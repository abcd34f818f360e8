"""The year for a calendar (iCalendar, RFC 5545) and for a spreadsheet."""

from __future__ import annotations

import csv
import datetime as dt
import io
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.days import say_span
from quietacre.errors import one_line
from quietacre.export.lists import cell
from quietacre.figures import printed
from quietacre.model import AT
from quietacre.workweek import say_notes

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from quietacre.model import Issued
    from quietacre.report_records import Report
    from quietacre.settings import EventFor
    from quietacre.year.records import YearTask

#: SEQUENCE counts days from here, so that a later build always carries the greater number.
SEQUENCE_FROM = dt.date(2020, 1, 1)
#: Before the title of an event that fell away, for calendars that show cancelled ones.
OFF = "off the plan: "

PLAN_COLUMNS = ("scheduled", "area", "label", "minutes", "machine", "earliest", "ideal",
                "latest", "status", "reason")  # fmt: skip


@dataclass(frozen=True)
class Entry:
    """One event: the id it goes by, its days (both inclusive), its title and words."""

    uid: str
    first: dt.date
    last: dt.date
    title: str
    words: str
    off: bool = False  # the plan has it no more


def calendar_ics(
    report: Report, *, event_for: EventFor = "job", issued: Sequence[Issued] = ()
) -> bytes:
    """Return an all-day event for each trip or each job, with an alarm two days before.

    Ids stay the same from build to build, so that importing again updates: SEQUENCE and
    DTSTAMP grow with the day of the build (RFC 5545, 3.8.7.4). A trip goes by the id of one
    of its jobs, one that was given out before if there is one. An event given out before for
    a day not yet over, and no more in the plan, is cancelled (STATUS, 3.8.1.11). The same
    report and the same ``issued`` give the same bytes. A window without a day, as of a burn,
    spans its days. Figures that are not printed yet are in US units.

    Parameters
    ----------
    report : the report of a build.
    event_for : "trip" for one event a day with its jobs inside, "job" for one each.
    issued : the events of the calendar that was written before.
    """
    from icalendar import Alarm, Calendar, Event

    made_on = report.made_on
    made = dt.datetime(made_on.year, made_on.month, made_on.day, tzinfo=dt.UTC)
    calendar = Calendar()
    calendar.add("prodid", "-//quietacre//year//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", one_line(report.property.name))
    live = list(entries_of(report, event_for, {one.uid for one in issued if not one.off}))
    for entry in (*live, *_fallen_away(live, issued, made_on)):
        event = Event()
        event.add("uid", entry.uid + AT)
        event.add("dtstamp", made)
        event.add("last-modified", made)
        event.add("sequence", max((made_on - SEQUENCE_FROM).days, 0))
        event.add("dtstart", entry.first)
        event.add("dtend", entry.last + dt.timedelta(days=1))
        event.add("summary", entry.title)
        event.add("description", entry.words)
        event.add("transp", "TRANSPARENT")
        if entry.off:
            event.add("status", "CANCELLED")
        else:
            alarm = Alarm()
            alarm.add("action", "DISPLAY")
            alarm.add("description", entry.title)
            alarm.add("trigger", dt.timedelta(days=-2))
            event.add_component(alarm)
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def entries_of(
    report: Report, event_for: EventFor, given_out: Collection[str]
) -> Iterator[Entry]:
    """Yield the events of the plan: a window each, and each job or each trip.

    ``given_out`` are the ids of events that stand in the person's calendar.
    """
    trips: dict[str | dt.date, tuple[dt.date, list[YearTask]]] = {}
    for task in _planned(report):
        if task.status == "window":
            yield Entry(task.uid, task.earliest, task.latest, _title(task), _words(task))
        elif task.scheduled:
            day = task.scheduled
            key = day if event_for == "trip" else task.uid
            trips.setdefault(key, (day, []))[1].append(task)
    for day, jobs in trips.values():
        known = [task.uid for task in jobs if task.uid in given_out]
        yield Entry(
            known[0] if known else jobs[0].uid, day, day, _trip_title(jobs),
            _words(jobs[0]) if len(jobs) == 1
            else "\n\n".join(f"{_title(task)}\n{_words(task)}" for task in jobs),
        )  # fmt: skip


def _fallen_away(
    live: Sequence[Entry], issued: Sequence[Issued], made_on: dt.date
) -> Iterator[Entry]:
    """Yield the events that were given out for days not yet over and are planned no more."""
    now = {entry.uid for entry in live}
    for one in issued:
        if one.uid not in now and one.last >= made_on:
            yield Entry(
                one.uid, one.first, one.last, OFF + one.title.removeprefix(OFF),
                "Planned no more on this day: see the newest list.", off=True,
            )  # fmt: skip


def _title(task: YearTask) -> str:
    return one_line(printed(f"{task.area}: {task.label}"))


def _trip_title(jobs: Sequence[YearTask]) -> str:
    """Return the job of a trip, or how many and where: "3 jobs, 5.9 h: Gate, Pines"."""
    if len(jobs) == 1:
        return _title(jobs[0])
    areas = ", ".join(dict.fromkeys(one_line(task.area) for task in jobs))
    hours = sum(task.minutes for task in jobs) / 60
    return f"{len(jobs)} jobs, {hours:.1f} h: {areas}"


def _planned(report: Report) -> Iterator[YearTask]:
    for task in report.year.tasks:
        open_ = task.status == "window" and task.state != "missed"
        if open_ or (task.status == "planned" and task.scheduled):
            yield task


def _words(task: YearTask) -> str:
    days = say_span(task.earliest, task.latest, year=True)
    long = f", about {task.minutes:.0f} minutes" if task.minutes else ""
    parts = [f"{task.machine}{long}", *task.amounts,
             f"any day from {days}", task.reason, *task.notes]  # fmt: skip
    return "\n".join(one_line(printed(part)) for part in parts)


def plan_csv(report: Report) -> str:
    """Return a line for each task, in order of days."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*PLAN_COLUMNS, "amounts", "notes"])
    for task in report.year.tasks:
        told = replace(task, minutes=round(task.minutes, 0))
        row = [getattr(told, name) for name in PLAN_COLUMNS]
        writer.writerow(
            [
                *map(cell, row),
                cell("; ".join(task.amounts)),
                cell(say_notes(task.notes)),
            ]
        )
    return out.getvalue()
