"""The year: check dates, quiet seasons kept whatever the property, calendars parsed back."""

import csv
import datetime as dt
import io
import re

import geopandas as gpd
import icalendar
import pytest
import shapely
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from record_of import record_of

from quietacre.export.calendar import calendar_ics, plan_csv
from quietacre.need.records import Need
from quietacre.quiet import open_after, open_before, seasons, shut_by
from quietacre.report_records import Report
from quietacre.settings import (
    Area,
    Equipment,
    Feed,
    Property,
    PropertyInfo,
    Quiet,
    Spray,
    StripSettings,
    TaskRule,
    Work,
)
from quietacre.strip.records import Ring
from quietacre.workweek import is_workday
from quietacre.year.minutes import field_minutes
from quietacre.year.report import plan_year

NESTING = Quiet("nesting", "05-15", "07-03", source="common practice")
EVERY_DAY = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def frame(prop, acres=2.0):
    count = len(prop.area)
    return gpd.GeoDataFrame(
        {
            "id": [f"a{i + 1:02d}" for i in range(count)],
            "name": [a.name for a in prop.area],
            "kind": [a.kind for a in prop.area],
            "acres": [acres] * count,
        },
        geometry=[shapely.box(i, 0, i + 1, 1) for i in range(count)],
        crs=4326,
    )


def year(prop, today=dt.date(2027, 1, 2), needs=None, strips=(), done=None):
    plan = plan_year(
        frame(prop), prop, today=today, needs=needs or {}, strips_report=strips, done=done
    )
    return plan.report, plan.notes


def one_plot(plant, quiet=(NESTING,), work=None, **more):
    area = Area("P", "plot", "p.gpx", plant=plant, **more)
    return Property(
        PropertyInfo("Here"), quiet=quiet, area=(area,), work=work or Work(EVERY_DAY)
    )


def task(report, name):
    return next(t for t in report["tasks"] if t["task"] == name)


def test_august_15_counts_back_to_july_4():
    report, notes = year(one_plot(dt.date(2027, 8, 15)))
    clip = task(report, "clip")
    assert clip["scheduled"] == "2027-07-04"
    assert clip["ideal"] == clip["latest"] == "2027-07-04"
    assert not [n for n in notes if n.code == "task-moved"]


def test_august_10_cannot_be_prepared_after_the_season():
    report, notes = year(one_plot(dt.date(2027, 8, 10)))
    assert task(report, "clip")["scheduled"] == "2027-05-14"
    (note,) = [n for n in notes if n.code == "task-moved"]
    assert (
        "planting August 10 cannot be prepared after the nesting season: clip by May 14 or "
        "plant on or after August 15." in note.text
    )


def test_steps_come_in_order_with_their_lags():
    plant = dt.date(2027, 9, 25)
    report, _ = year(one_plot(plant))
    days = {t["task"]: dt.date.fromisoformat(t["scheduled"]) for t in report["tasks"]}
    assert 42 <= (plant - days["clip"]).days <= 56
    assert 32 <= (plant - days["turn under"]).days <= 42
    assert (days["second disking"] - days["turn under"]).days >= 21
    assert 11 <= (plant - days["second disking"]).days <= 21
    assert 8 <= (plant - days["smooth"]).days <= 16
    order = ["clip", "turn under", "second disking", "smooth", "plant", "set exclosure",
             "read exclosure"]  # fmt: skip
    assert [days[name] for name in order] == sorted(days[name] for name in order)


# AEN-73, University of Kentucky, 1991: acres an hour = ft × mph × efficiency / 8.25
def test_field_time():
    gear = Equipment(
        disk_width_ft=8.25, disk_mph=4.0, field_efficiency=0.75, fixed_minutes=10
    )
    assert field_minutes(6.0, "disk", gear) == pytest.approx(6.0 / 3.0 * 60 + 10)


def test_seasons_across_new_year_and_overlapping():
    found = seasons(
        [Quiet("deer", "11-20", "01-31"), Quiet("more", "01-25", "02-10"), NESTING],
        2027,
        2027,
    )
    assert shut_by(dt.date(2027, 1, 31), (), found).name == "deer"
    assert open_before(dt.date(2027, 2, 5), (), found) == dt.date(2026, 11, 19)
    assert open_after(dt.date(2026, 12, 1), (), found) == dt.date(2027, 2, 11)
    for quiet in (dt.date(2027, 5, 15), dt.date(2027, 7, 3)):
        assert shut_by(quiet, (), found)
    for free in (dt.date(2027, 5, 14), dt.date(2027, 7, 4)):
        assert shut_by(free, (), found) is None


def test_a_season_for_one_kind_leaves_the_rest_open():
    found = seasons([Quiet("stands", "09-01", "12-31", ("plot", "Ridge"))], 2027, 2027)
    day = dt.date(2027, 10, 1)
    assert shut_by(day, ("plot", "P"), found)
    assert shut_by(day, ("native", "Ridge"), found)
    assert shut_by(day, ("patch", "V"), found) is None


def test_february_29_is_a_day_every_year():
    (season,) = [
        s
        for s in seasons([Quiet("q", "02-20", "02-29")], 2027, 2027)
        if s.first.year == 2027
    ]
    assert season.last == dt.date(2027, 2, 28)


def test_work_lands_on_workdays_within_the_hours():
    work = Work(
        ("sat",), hours_day=3.0, blocked_days=(dt.date(2027, 8, 14),), trip_minutes=30
    )
    areas = tuple(
        Area(f"P{i}", "plot", "p.gpx", plant=dt.date(2027, 9, 25)) for i in range(6)
    )
    prop = Property(PropertyInfo("Here"), quiet=(NESTING,), area=areas, work=work)
    report, notes = year(prop)
    minutes = {}
    for t in report["tasks"]:
        if t["scheduled"]:
            day = dt.date.fromisoformat(t["scheduled"])
            assert is_workday(day, work)
            assert t["earliest"] <= t["scheduled"] <= t["latest"]
            minutes[day] = minutes.get(day, 0) + t["minutes"]
    assert all(total <= 150 or len([t for t in report["tasks"] if t["scheduled"] == d.isoformat()]) == 1
               for d, total in minutes.items())  # fmt: skip
    assert report["trips"] == len(minutes)
    missed = [t for t in report["tasks"] if t["status"] == "unplaced"]
    assert missed
    assert all("of your open days" in " ".join(t["notes"]) for t in missed)
    # a day to add, ready to be typed: one the person has not yet, and that would serve
    for t in missed:
        (told,) = re.findall(
            r"extra_days = \[([\d-]+)\] under \[work\]", " ".join(t["notes"])
        )
        assert not is_workday(dt.date.fromisoformat(told), work)
        assert t["earliest"] <= told <= t["latest"]
        assert NESTING.start > told[5:] or told[5:] > NESTING.end
    assert sum(report["hours_short_by_month"].values()) == pytest.approx(
        sum(t["minutes"] for t in missed) / 60
    )
    assert len([n for n in notes if n.code == "task-unplaced"]) == len(missed)


def test_a_job_without_time_is_told_what_would_give_it_some():
    """A day that is the person's own already gives nothing when it is named once more."""
    rules = tuple(TaskRule(t, skip=True) for t in (
        "soil test", "turn under", "second disking", "smooth", "set exclosure", "read exclosure"))  # fmt: skip

    def told(work, on, **more):
        area = Area("P", "plot", "p.gpx", plant=dt.date(2027, 9, 25), tasks=(
            *rules, TaskRule("clip", minutes=100, on=on), TaskRule("rake", minutes=100, on=on)), **more)  # fmt: skip
        report, _ = year(Property(PropertyInfo("Here"), area=(area,), work=work))
        missed = [t for t in report["tasks"] if t["status"] == "unplaced"]
        return " ".join(missed[0]["notes"])

    day = dt.date(2027, 8, 14)  # a Saturday
    text = told(Work(("sat",), hours_day=3.0), day)
    assert text == (
        "August 14, its only day, has not the time left; give the days you have more “Hours a "
        "day” (hours_day under [work] in property.toml), or one more of “Helpers” (helpers under "
        "[work] in property.toml), or move the planting."
    )
    # a Friday that is nobody's yet: it is the one to add
    text = told(Work(("sat",), hours_day=3.0), day - dt.timedelta(1))
    assert (
        "you have no day from August 13; add a day to “More days you can work” (extra_days = [2027-08-13] "
        "under [work] in property.toml)" in text
    )
    # but not when it is blocked
    shut = Work(("sat",), hours_day=3.0, blocked_days=(day - dt.timedelta(1),))
    assert "extra_days" not in told(shut, day - dt.timedelta(1))


def test_what_is_past_says_so_and_done_work_is_frozen():
    prop = one_plot(dt.date(2027, 9, 25))
    done = {("P", "clip"): (dt.date(2027, 8, 3),)}
    report, _ = year(prop, today=dt.date(2027, 9, 10), done=done)
    assert task(report, "clip")["status"] == "done"
    assert task(report, "clip")["scheduled"] == "2027-08-03"
    assert task(report, "turn under")["status"] == "unplaced"
    assert "has passed" in task(report, "turn under")["notes"][0]
    assert task(report, "plant")["status"] == "planned"


def test_a_person_can_change_skip_and_fix_tasks():
    rules = (
        TaskRule(
            "clip",
            days_before=60,
            earliest_days_before=70,
            latest_days_before=50,
            minutes=5,
        ),
        TaskRule("second disking", skip=True),
        TaskRule("smooth", on=dt.date(2027, 9, 12)),
    )
    plant = dt.date(2027, 9, 25)
    report, _ = year(one_plot(plant, tasks=rules))
    clip = task(report, "clip")
    assert (clip["minutes"], clip["ideal"]) == (5, (plant - dt.timedelta(60)).isoformat())
    assert "second disking" not in {t["task"] for t in report["tasks"]}
    assert task(report, "smooth")["scheduled"] == "2027-09-12"


STRIP_TOLD = {
    "id": "s01",
    "of": "a01",
    "name": "V strip",
    "kind": "strip",
    "acres": 1.5,
    "length_ft": 900.0,
}
STRIP = record_of(Ring, STRIP_TOLD)


def test_strip_is_cut_round_the_season_and_never_in_it():
    prop = Property(
        PropertyInfo("Here"),
        quiet=(NESTING,),
        area=(Area("V", "patch", "v.gpx"),),
        work=Work(EVERY_DAY),
    )
    report, _ = year(prop, strips=[STRIP])
    cuts = sorted(t["scheduled"] for t in report["tasks"] if t["task"] == "strip cut")
    before = [c for c in cuts if c < "2027-05-15"]
    after = [c for c in cuts if c > "2027-07-03"]
    assert len(before) + len(after) == len(cuts)
    assert before[-1] == "2027-05-14"
    assert after[0] == "2027-07-04"
    assert task(report, "strip inspection")["scheduled"] <= before[-1]
    assert task(report, "walk and pull")["scheduled"] == "2027-07-04"
    gaps = [(dt.date.fromisoformat(b) - dt.date.fromisoformat(a)).days
            for a, b in zip(cuts, cuts[1:], strict=False) if not (a < "2027-05-15" < b)]  # fmt: skip
    assert max(gaps) <= 28


days_of_year = st.dates(dt.date(2027, 1, 1), dt.date(2027, 12, 31)).map(
    lambda d: d.strftime("%m-%d")
)
kinds = st.sampled_from(["plot", "patch", "native", "burn"])
#: What a season may name: kinds, areas, strips and firebreaks.
named = st.sampled_from(["plot", "patch", "native", "burn", "strip", "firebreak", "A0", "A1", "A0 strip"])  # fmt: skip


@given(
    st.lists(st.builds(Quiet, st.just("q"), days_of_year, days_of_year,
                       st.one_of(st.just("all"), st.lists(named, min_size=1, max_size=2).map(tuple))),
             min_size=1, max_size=3),
    st.lists(st.tuples(kinds, st.dates(dt.date(2026, 12, 1), dt.date(2028, 3, 1))), min_size=1, max_size=5),
    st.dates(dt.date(2027, 1, 1), dt.date(2027, 12, 31)),
    st.sampled_from([Work(EVERY_DAY), Work(), Work(("wed",), helpers=1, tractors=2)]),
)  # fmt: skip
@settings(max_examples=80, deadline=None)
def test_no_task_ever_lies_in_a_quiet_season(quiet, grounds, today, work):
    spray = Spray("feed", "foliar feed", rate_fl_oz_ac=1.0)
    areas = tuple(
        Area(f"A{i}", kind, "a.gpx", plant=day if kind == "plot" else None,
             feed=(Feed("feed", on=day),) if kind == "native" else (),
             strip=StripSettings() if kind == "patch" else None)
        for i, (kind, day) in enumerate(grounds)
    )  # fmt: skip
    prop = Property(
        PropertyInfo("Here"), quiet=tuple(quiet), area=areas, spray=(spray,), work=work
    )
    needs = {
        f"a{i + 1:02d}": record_of(Need, {"spray": [
            {"name": "feed", "on": day, "acres": 1.0, "gal": 1.0, "product": 1.0, "unit": "fl oz"}]})
        for i, (kind, day) in enumerate(grounds) if kind == "native"
    }  # fmt: skip
    strips = [record_of(Ring, STRIP_TOLD | {
                  "id": f"s{i}", "of": f"a{i + 1:02d}", "name": f"A{i} strip"})
              for i, (kind, _) in enumerate(grounds) if kind == "patch"]  # fmt: skip
    report, _ = year(prop, today=today, needs=needs, strips=strips)
    kind_of = {a.name: a.kind for a in areas}
    every = seasons(quiet, 2025, 2031)
    for t in report["tasks"]:
        if t["status"] not in {"planned", "window"}:
            continue
        patch = t["area"].removesuffix(" strip")
        words = {t["area"], patch, kind_of[patch]}
        words |= {"strip"} if patch != t["area"] else set()
        words |= {"firebreak"} if t["task"] == "firebreak" else set()
        # a window of no chosen day is open on every one of its days
        ends = ("earliest", "latest") if t["status"] == "window" else ("scheduled",) * 2
        first, last = (dt.date.fromisoformat(t[key]) for key in ends)
        assert not shut_by(dt.date.fromisoformat(t["earliest"]), sorted(words), every)
        assert not shut_by(dt.date.fromisoformat(t["latest"]), sorted(words), every)
        for number in range((last - first).days + 1):
            md = (first + dt.timedelta(number)).strftime("%m-%d")
            for rule in quiet:
                inside = (
                    rule.start <= md <= rule.end
                    if rule.start <= rule.end
                    else md >= rule.start or md <= rule.end
                )
                shut = rule.keeps_out == "all" or words & set(rule.keeps_out)
                assert not (inside and shut), t
        assert last >= today


def whole_report(plant=dt.date(2027, 9, 25)):
    report, _ = year(one_plot(plant))
    return {
        "made_on": "2027-01-02",
        "property": {"name": "Here; there, “x”\nand on"},
        "year": report,
    }


def as_records(report):
    return record_of(Report, report)


def test_a_control_character_in_a_name_is_shown_and_breaks_no_calendar():
    report = whole_report()
    for one in report["year"]["tasks"]:
        one["area"], one["label"] = "North\x07 field\r", "clip\x0b it"
        one["notes"] = ["a\x00b"]
    data = calendar_ics(as_records(report))
    assert not set(data) & (set(range(32)) - {13, 10})
    assert data.count(b"\r") == data.count(b"\r\n")
    event = icalendar.Calendar.from_ical(data).walk("VEVENT")[0]
    assert event["summary"] == r"North\x07 field\r: clip\x0b it"
    assert r"a\x00b" in event["description"]


def test_calendar_parses_back_and_is_stable():
    report = whole_report()
    data = calendar_ics(as_records(report))
    assert data == calendar_ics(as_records(report))
    events = icalendar.Calendar.from_ical(data).walk("VEVENT")
    assert len(events) == len(
        [t for t in report["year"]["tasks"] if t["status"] == "planned"]
    )
    uids = [str(e["uid"]) for e in events]
    assert len(set(uids)) == len(uids)
    clip = next(e for e in events if "clip" in str(e["summary"]))
    assert clip["dtstart"].dt == dt.date.fromisoformat(
        task(report["year"], "clip")["scheduled"]
    )
    assert clip["dtend"].dt - clip["dtstart"].dt == dt.timedelta(days=1)
    assert len(clip.walk("VALARM")) == 1
    # vobject, a second parser that shares nothing with the first
    other = vobject.readOne(data.decode())
    second = {e.uid.value: e for e in other.vevent_list}
    assert set(second) == set(uids)
    for event in events:
        twin = second[str(event["uid"])]
        assert twin.summary.value == str(event["summary"])
        assert twin.dtstart.value == event["dtstart"].dt
        assert twin.dtend.value == event["dtend"].dt
        assert twin.description.value == str(event["description"])
        assert len(twin.valarm_list) == 1
    # unfolded by hand, every line no longer than 75 octets
    for line in data.split(b"\r\n"):
        assert len(line) <= 75
    unfolded = data.replace(b"\r\n ", b"").decode()
    assert (
        unfolded.count("BEGIN:VEVENT")
        == unfolded.count("DTSTAMP:20270102T000000Z")
        == len(events)
    )


def test_moving_a_planting_by_a_day_keeps_other_uids():
    first = {t["uid"] for t in whole_report()["year"]["tasks"]}
    assert first == {t["uid"] for t in whole_report()["year"]["tasks"]}
    assert not first & {
        t["uid"] for t in whole_report(dt.date(2027, 10, 2))["year"]["tasks"]
    }


def test_plan_csv_has_a_line_for_each_task():
    report = whole_report()
    rows = list(csv.DictReader(io.StringIO(plan_csv(as_records(report)))))
    assert [row["label"] for row in rows] == [t["label"] for t in report["year"]["tasks"]]


def test_one_cut_in_the_log_is_not_all_of_them():
    prop = Property(
        PropertyInfo("Here"), area=(Area("V", "patch", "v.gpx"),), work=Work(EVERY_DAY)
    )
    done = {("V strip", "strip cut"): (dt.date(2027, 4, 10),)}
    report, _ = year(prop, today=dt.date(2027, 4, 12), strips=[STRIP], done=done)
    cuts = [t for t in report["tasks"] if t["task"] == "strip cut"]
    assert [t["scheduled"] for t in cuts if t["state"] == "done"] == ["2027-04-10"]
    assert {t["state"] for t in cuts} == {"missed", "done", "planned"}
    assert all(t["earliest"] <= "2027-04-10" for t in cuts if t["status"] == "done")


def test_each_logged_cut_is_one_cut_and_a_part_is_a_part():
    prop = Property(
        PropertyInfo("Here"), quiet=(NESTING,), area=(Area("V", "patch", "v.gpx"),),
        work=Work(EVERY_DAY),
    )  # fmt: skip
    days = tuple(dt.date(2027, *md) for md in ((4, 2), (4, 14), (4, 27)))
    done = {("V strip", "strip cut"): days}
    report, _ = year(prop, today=dt.date(2027, 4, 28), strips=[STRIP], done=done)
    cuts = [t for t in report["tasks"] if t["task"] == "strip cut"]
    assert [t["scheduled"] for t in cuts if t["status"] == "done"] == [
        d.isoformat() for d in days
    ]
    assert min(t["scheduled"] for t in cuts if t["status"] == "planned") == "2027-05-14"


def test_a_logged_part_leaves_the_other_parts():
    rules = (TaskRule("clip", minutes=1000),)
    prop = one_plot(dt.date(2027, 9, 25), tasks=rules)
    done = {("P", "clip (part 1 of 3)"): (dt.date(2027, 8, 1),)}
    report, _ = year(prop, today=dt.date(2027, 8, 2), done=done)
    parts = {t["label"]: t["status"] for t in report["tasks"] if t["task"] == "clip"}
    assert parts == {
        "clip (part 1 of 3)": "done", "clip (part 2 of 3)": "planned", "clip (part 3 of 3)": "planned",
    }  # fmt: skip


@pytest.mark.parametrize(
    "today", [dt.date(2027, 2, 6), dt.date(2027, 4, 10), dt.date(2027, 8, 9)]
)
def test_planned_again_later_the_same_jobs_keep_their_uids(today):
    """A calendar imported in January is updated by one made in August, not doubled."""
    prop = Property(
        PropertyInfo("Here"), quiet=(NESTING,), work=Work(),
        area=(Area("V", "patch", "v.gpx"), Area("P", "plot", "p.gpx", plant=dt.date(2027, 9, 25)),
              Area("B", "burn", "b.gpx")),
    )  # fmt: skip
    first, _ = year(prop, strips=[STRIP])
    again, _ = year(prop, today=today, strips=[STRIP])
    known = {(t["uid"], t["label"], t["ideal"]) for t in first["tasks"]}
    for t in again["tasks"]:
        # what was not done in its time is caught up on from the day of the plan
        if t["latest"] <= "2027-12-31" and not any("late:" in note for note in t["notes"]):
            assert (t["uid"], t["label"], t["ideal"]) in known
