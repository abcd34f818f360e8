"""Every job has a state: with an empty log it goes from planned to due, late and missed."""

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import geopandas as gpd
import pytest
import shapely
from record_of import record_of

from quietacre.commands.year import year_lines
from quietacre.need.records import Need
from quietacre.settings import Area, Mix, Property, PropertyInfo, Quiet, Seed, Work
from quietacre.strip.records import Ring
from quietacre.year.plan import Ground, plan_days
from quietacre.year.report import plan_year
from quietacre.year.rings import worked_rings
from quietacre.year.states import COSTS, FOLLOWS, says, state_of
from quietacre.year.steps import STEPS
from quietacre.year.takes import takes_by_key

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days

D = dt.date
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
STRIP = record_of(
    Ring,
    {"kind": "strip", "of": "a02", "name": "V strip", "id": "s01", "acres": 1.0,
     "length_ft": 1000.0, "width_ft": 60.0},
)  # fmt: skip
PLACE = Property(
    PropertyInfo("Home"),
    quiet=(Quiet("nesting", "05-15", "07-03"),),
    area=(
        Area("P", "plot", "p.gpx", mix="m", plant=D(2027, 9, 25)),
        Area("V", "patch", "v.gpx"),
        Area("B", "burn", "b.gpx"),
    ),
    mix=(Mix("m", (Seed("oats"),)),),
    work=EVERY_DAY,
)
LIMED = {"lime": {"ton": 2.0}, "fertilizer": [{"lb": 100.0, "grade": "13-13-13"}]}
NEEDS = {"a01": record_of(Need, LIMED)}
ORDER = ("planned", "due", "late", "missed")


def ground(today, done=None):
    return Ground(
        ("a01", "a02", "a03"),
        (2.0, 3.0, 9.0),
        takes_by_key(NEEDS),
        worked_rings([STRIP]),
        today,
        done or {},
    )


def states(today, done=None, prop=PLACE):
    plan = plan_days(ground(today, done), prop, effort="plain")
    return {task.uid: (task, state_of(task, today)) for task in plan.tasks}


def test_the_year_walked_day_by_day_with_an_empty_log():
    passed: dict[str, list[str]] = {}
    jobs = {}
    for number in range(364):
        today = D(2027, 1, 1) + dt.timedelta(days=number)
        now = states(today)
        assert set(jobs) <= set(now), f"{today}: a job has disappeared"
        for uid, (task, state) in now.items():
            jobs[uid] = task
            assert state in ORDER, (
                f"{today}: {task.area} {task.label} is {state}: {task.notes}"
            )
            if state != "planned":
                assert says(task, today) or task.notes
            seen = passed.setdefault(uid, [])
            if not seen or seen[-1] != state:
                seen.append(state)
    for uid, seen in passed.items():
        steps = [ORDER.index(state) for state in seen]
        assert steps == sorted(steps), f"{jobs[uid].area} {jobs[uid].label}: {seen}"
    # of the plot each job passes all four, but those of next spring
    for uid, task in jobs.items():
        if task.area == "P" and task.task != "soil test" and task.latest < D(2027, 12, 15):
            late = ["late"] if task.task != "lime" or "late" in passed[uid] else []
            assert passed[uid][-3:] == ["due", *late, "missed"], (task.label, passed[uid])
    cuts = [
        uid
        for uid, task in jobs.items()
        if task.task == "strip cut" and task.latest.year == 2027
    ]
    assert len(cuts) > 8
    assert all(passed[uid][-1] == "missed" for uid in cuts)


def test_a_late_job_says_what_it_costs_and_leaves_the_planting_its_day():
    # clipping is due by August 14; turning under by August 24
    now = {t.task: (t, s) for t, s in states(D(2027, 8, 16)).values() if t.area == "P"}
    clip, state = now["clip"]
    assert state == "late"
    assert clip.scheduled == D(2027, 8, 16)
    assert (
        "late: it was due by August 14, 2027; it is worth doing until August 24"
        in clip.notes[-1]
    )
    assert COSTS["clip"] in clip.notes[-1]
    assert now["plant"][0].scheduled == D(2027, 9, 25)
    # after that it is missed, and says what follows
    clip, state = {t.task: (t, s) for t, s in states(D(2027, 8, 25)).values()}["clip"]
    assert state == "missed"
    assert FOLLOWS["clip"] in says(clip, D(2027, 8, 25))


def test_the_log_is_the_evidence():
    done = {("P", "turn under"): (D(2027, 8, 20),)}
    now = {
        t.task: (t, s) for t, s in states(D(2027, 8, 30), done).values() if t.area == "P"
    }
    assert now["turn under"][1] == "done"
    assert now["clip"][1] == "done"
    assert "taken as done" in now["clip"][0].notes[0]
    assert now["second disking"][0].scheduled >= D(2027, 9, 10)


def test_without_a_day_it_is_not_possible_and_says_why():
    away = replace(PLACE, work=Work(weekdays=("mon",), blocked_days=tuple(
        D(2027, 8, 1) + dt.timedelta(days=n) for n in range(31))))  # fmt: skip
    now = {
        t.task: (t, s)
        for t, s in states(D(2027, 7, 31), prop=away).values()
        if t.area == "P"
    }
    clip, state = now["clip"]
    assert state == "not possible"
    assert "extra_days" in clip.notes[0]


@pytest.mark.parametrize("day", [D(2027, 3, 20), D(2027, 10, 30)])
def test_the_list_tells_what_was_missed_once(day):
    areas = gpd.GeoDataFrame(
        {"id": ["a01", "a02", "a03"], "name": ["P", "V", "B"], "kind": ["plot", "patch", "burn"],
         "acres": [2.0, 3.0, 9.0]},
        geometry=[shapely.box(n, 0, n + 1, 1) for n in range(3)], crs=4326,
    )  # fmt: skip
    plan = plan_year(areas, PLACE, today=day, needs=NEEDS, strips_report=[STRIP])
    report = plan.report
    text = "\n".join(year_lines(plan.year))
    missed = [t for t in report["tasks"] if t["state"] == "missed"]
    assert missed
    assert text.count("\nmissed:\n") == 1
    if day.month == 10:
        cuts = [t for t in missed if t["task"] == "strip cut"]
        assert f"V strip: {len(cuts)} × strip cut, the last by" in text
    assert "burn window: only with permit" in text


def test_every_job_of_the_year_has_its_words():
    assert {step.task for step in STEPS} <= set(FOLLOWS)


def test_a_year_done_on_its_days_leaves_nothing_late_or_missed():
    done: dict[tuple[str, str], tuple[dt.date, ...]] = {}
    today = D(2027, 1, 1)
    while today.year == 2027:
        plan = plan_days(ground(today, done), PLACE, effort="plain")
        for task in plan.tasks:
            if task.status == "planned" and task.scheduled == today:
                days = done.get((task.area, task.task), ())
                done[task.area, task.task] = (*days, today)
        ahead = [t.scheduled for t in plan.tasks if t.status == "planned" and t.scheduled]
        today = min(day for day in ahead if day > today)
    now = states(D(2027, 12, 31), done).values()
    wrong = [(t.label, s) for t, s in now if s in ("late", "missed", "not possible")]
    assert wrong == [("burn window: only with permit, plan, crew and weather", "missed")]
    assert sum(state == "done" for _, state in now) > 12


def test_a_late_cut_and_the_next_one_are_two_jobs(tmp_path):
    # on August 15, 2027, the first cut after the quiet is late and a routine cut is due
    place = bench_days.Place("ridge", tmp_path / "ridge")
    day = D(2027, 8, 15)
    report = place.report(day)
    assert bench_days.faults(report, place.prop, day) == []
    cuts = [
        t
        for t in report["year"]["tasks"]
        if t["task"] == "strip cut" and t["ideal"] == "2027-08-15"
    ]
    assert {t["state"] for t in cuts} == {"late", "due"}


def test_one_cut_in_the_log_is_one_of_two_that_are_near():
    done = {("V strip", "strip cut"): (D(2027, 7, 18),)}
    cuts = [
        (t, s) for t, s in states(D(2027, 7, 20), done).values() if t.task == "strip cut"
    ]
    assert sum(state == "done" for _, state in cuts) == 1
