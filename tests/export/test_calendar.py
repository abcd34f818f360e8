"""The calendar: one event a trip, ids that stay, and events that fell away cancelled."""

import datetime as dt

import icalendar
import pytest
from record_of import record_of

from quietacre.errors import FileProblem
from quietacre.export.calendar import calendar_ics
from quietacre.intake.calendar import read_issued
from quietacre.report_records import Report


def task(uid, day, area="Gate", label="clip", **more):
    return {
        "uid": uid, "area": area, "label": label, "scheduled": day, "status": "planned",
        "state": "planned", "earliest": day, "latest": day, "minutes": 60.0, "machine": "mower",
        "amounts": [], "reason": "why", "notes": [], **more,
    }  # fmt: skip


def report(*tasks, made_on="2027-01-02"):
    told = {
        "made_on": made_on,
        "property": {"name": "Here"},
        "year": {"tasks": list(tasks)},
    }
    return record_of(Report, told)


def events(data):
    return {
        str(e["uid"]).removesuffix("@quietacre"): e
        for e in icalendar.Calendar.from_ical(data).walk("VEVENT")
    }


def issued(tmp_path, data):
    (tmp_path / "calendar.ics").write_bytes(data)
    return read_issued(tmp_path / "calendar.ics", shown="calendar.ics")


BURN = task("w", None, "Ridge", "burn window", status="window", earliest="2027-02-01",
            latest="2027-03-15")  # fmt: skip


def test_a_trip_is_one_event_with_its_jobs_inside():
    jobs = [
        task("a", "2027-03-06", amounts=["50 lb oats"]),
        task("b", "2027-03-06", "Pines", "spread lime", minutes=90.0),
        task("c", "2027-03-13"),
        BURN,
    ]
    made = events(calendar_ics(report(*jobs), event_for="trip"))
    assert set(made) == {"a", "c", "w"}
    trip = made["a"]
    assert str(trip["summary"]) == "2 jobs, 2.5 h: Gate, Pines"
    for words in ("Gate: clip", "50 lb oats", "Pines: spread lime", "about 90 minutes"):
        assert words in str(trip["description"])
    assert str(made["c"]["summary"]) == "Gate: clip"
    assert made["w"]["dtend"].dt == dt.date(2027, 3, 16)
    assert set(events(calendar_ics(report(*jobs)))) == {"a", "b", "c", "w"}


def test_ids_given_out_before_are_kept_and_the_others_cancelled(tmp_path):
    # a job each, as it was; then the same jobs by trips
    before = calendar_ics(report(task("b", "2027-03-06"), task("a", "2027-03-07", "Pines")))
    jobs = [
        task("new", "2027-03-06", "Pond"),
        task("b", "2027-03-06"),
        task("a", "2027-03-06", "Pines"),
    ]
    made = events(
        calendar_ics(
            report(*jobs, made_on="2027-01-09"),
            event_for="trip",
            issued=issued(tmp_path, before),
        )
    )
    assert set(made) == {"b", "a"}
    assert "status" not in made["b"]
    assert "Pond: clip" in str(made["b"]["description"])
    off = made["a"]
    assert str(off["status"]) == "CANCELLED"
    assert off["sequence"] > events(before)["a"]["sequence"]
    assert off["dtstart"].dt == dt.date(2027, 3, 7)
    assert not off.walk("VALARM")


def test_a_cancelled_event_stays_so_until_its_day_and_comes_back_when_it_is_planned(
    tmp_path,
):
    first = calendar_ics(report(task("a", "2027-03-06"), task("b", "2027-03-13")))
    second = calendar_ics(
        report(task("a", "2027-03-06"), made_on="2027-01-09"),
        issued=issued(tmp_path, first),
    )
    same = calendar_ics(
        report(task("a", "2027-03-06"), made_on="2027-01-09"),
        issued=issued(tmp_path, second),
    )
    assert second == same
    assert str(events(same)["b"]["summary"]) == "off the plan: Gate: clip"
    assert str(events(same)["b"]["status"]) == "CANCELLED"
    later = calendar_ics(report(made_on="2027-03-14"), issued=issued(tmp_path, same))
    assert events(later) == {}  # what is over stays in the person's calendar as it was
    again = calendar_ics(
        report(task("b", "2027-03-20"), made_on="2027-01-16"), issued=issued(tmp_path, same)
    )
    assert "status" not in events(again)["b"]
    assert str(events(again)["a"]["status"]) == "CANCELLED"


def test_events_of_other_programs_and_those_with_a_time_are_left_out(tmp_path):
    data = calendar_ics(report(task("a", "2027-03-06")))
    other = data.replace(b"a@quietacre", b"a@elsewhere")
    assert issued(tmp_path, other) == ()
    timed = data.replace(b"DTSTART;VALUE=DATE:20270306", b"DTSTART:20270306T080000")
    assert issued(tmp_path, timed) == ()


@pytest.mark.parametrize("spoiled", [b"nothing", b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:a@quietacre\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"])  # fmt: skip
def test_a_spoiled_calendar_is_told_in_one_line(tmp_path, spoiled):
    with pytest.raises(FileProblem, match="no calendar that can be read"):
        issued(tmp_path, spoiled)
