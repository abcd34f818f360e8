"""The year for a calendar (iCalendar, RFC 5545) and for a spreadsheet."""

from __future__ import annotations

import csv
import datetime as dt
import io
from typing import TYPE_CHECKING, Any

from quietacre.days import say_span
from quietacre.errors import one_line
from quietacre.export.lists import cell
from quietacre.workweek import say_notes

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

#: SEQUENCE counts days from here, so that a later build always carries the greater number.
SEQUENCE_FROM = dt.date(2020, 1, 1)

PLAN_COLUMNS = ("scheduled", "area", "label", "minutes", "machine", "earliest", "ideal",
                "latest", "status", "reason")  # fmt: skip


def calendar_ics(report: Mapping[str, Any]) -> bytes:
    """Return one all-day event for each planned task, with an alarm two days before.

    UIDs stay the same from build to build, so that importing again updates: SEQUENCE and
    DTSTAMP grow with the day of the build (RFC 5545, 3.8.7.4). The same report gives the
    same bytes. A window without a day, as of a burn, spans its days.
    """
    from icalendar import Alarm, Calendar, Event

    made = dt.datetime.fromisoformat(report["made_on"]).replace(tzinfo=dt.UTC)
    calendar = Calendar()
    calendar.add("prodid", "-//quietacre//year//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", one_line(report["property"]["name"]))
    for task in _planned(report):
        window = task["status"] == "window"
        day = dt.date.fromisoformat(task["earliest"] if window else task["scheduled"])
        end = dt.date.fromisoformat(task["latest"]) if window else day
        event = Event()
        event.add("uid", f"{task['uid']}@quietacre")
        event.add("dtstamp", made)
        event.add("last-modified", made)
        event.add("sequence", max((made.date() - SEQUENCE_FROM).days, 0))
        event.add("dtstart", day)
        event.add("dtend", end + dt.timedelta(days=1))
        title = one_line(f"{task['area']}: {task['label']}")
        event.add("summary", title)
        event.add("description", _words(task))
        event.add("transp", "TRANSPARENT")
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", title)
        alarm.add("trigger", dt.timedelta(days=-2))
        event.add_component(alarm)
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _planned(report: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    for task in report["year"]["tasks"]:
        open_ = task["status"] == "window" and task["state"] != "missed"
        if open_ or (task["status"] == "planned" and task["scheduled"]):
            yield task


def _words(task: Mapping[str, Any]) -> str:
    first, last = (dt.date.fromisoformat(task[key]) for key in ("earliest", "latest"))
    long = f", about {task['minutes']:.0f} minutes" if task["minutes"] else ""
    parts = [f"{task['machine']}{long}", *task["amounts"],
             f"any day from {say_span(first, last, year=True)}", task["reason"],
             *task["notes"]]  # fmt: skip
    return "\n".join(one_line(part) for part in parts)


def plan_csv(report: Mapping[str, Any]) -> str:
    """Return a line for each task, in order of days."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*PLAN_COLUMNS, "amounts", "notes"])
    for task in report["year"]["tasks"]:
        row = [round(task[k], 0) if k == "minutes" else task[k] for k in PLAN_COLUMNS]
        writer.writerow(
            [
                *map(cell, row),
                cell("; ".join(task["amounts"])),
                cell(say_notes(task["notes"])),
            ]
        )
    return out.getvalue()
