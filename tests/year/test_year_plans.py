"""Big plans checked by a verifier of its own, the menu proved, bounds that bind."""

import datetime as dt
import importlib.util
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import icalendar
import pytest
from record_of import record_of

from quietacre.export.calendar import calendar_ics
from quietacre.figures import printed
from quietacre.need.records import Need
from quietacre.report_records import Report
from quietacre.settings import Area, Mix, Property, PropertyInfo, Seed, TaskRule, Work
from quietacre.windows import inside, read_window
from quietacre.year.menu import ways_out
from quietacre.year.plan import Ground, plan_days
from quietacre.year.takes import takes_by_key

path = Path(__file__).parents[1] / "benchmarks" / "bench_year.py"
spec = importlib.util.spec_from_file_location("bench_year", path)
bench = importlib.util.module_from_spec(spec)
spec.loader.exec_module(bench)

WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
#: Lags of the docs page, in days; the rot is three weeks from May to September.
ORDER = {
    ("clip", "turn under"): 0,
    ("turn under", "second disking"): 21,
    ("second disking", "fertilize"): 0,
    ("fertilize", "smooth"): 0,
    ("second disking", "smooth"): 0,
    ("smooth", "plant"): 5,
    ("plant", "set exclosure"): 0,
    ("set exclosure", "read exclosure"): 42,
}


def verify(plan, prop):
    """Recompute every rule from the dates alone, with nothing of the program's own checks."""
    minutes = defaultdict(float)
    by_plot = defaultdict(dict)
    for task in plan.tasks:
        if task.status != "planned":
            continue
        day = task.scheduled
        assert task.earliest <= day <= task.latest
        assert day in prop.work.extra_days or WEEK[day.weekday()] in prop.work.weekdays
        assert day not in prop.work.blocked_days
        for quiet in prop.quiet:  # none of these crosses New Year
            assert not quiet.start <= day.strftime("%m-%d") <= quiet.end
        minutes[day] += task.minutes
        by_plot[task.area][task.task] = day
    room = prop.work.hours_day * 60 - prop.work.trip_minutes
    assert max(minutes.values()) <= room + 1e-6
    for days in by_plot.values():
        for (first, second), lag in ORDER.items():
            if first in days and second in days:
                assert (days[second] - days[first]).days >= lag, (first, second, days)
    return by_plot


@pytest.mark.slow
def test_fifty_plots_of_eight_tasks_and_more():
    prop, acres = bench.big_property(50)
    plan = plan_days(bench.ground_of(prop, acres), prop)
    by_plot = verify(plan, prop)
    assert not plan.missed
    assert len(by_plot) == 50
    assert min(len(days) for days in by_plot.values()) >= 8
    trips = len({t.scheduled for t in plan.tasks if t.scheduled})
    assert trips == len(plan.assigned.used)
    assert 20 <= plan.assigned.trips_least <= trips
    assert trips - plan.assigned.trips_least <= 3
    plain = plan_days(bench.ground_of(prop, acres), prop, effort="plain")
    verify(plain, prop)
    assert len(plain.missed) > 0 or trips <= len(plain.assigned.used)


@pytest.mark.slow
def test_seventy_five_plots_that_do_not_fit_get_a_proved_menu():
    prop, acres = bench.big_property(75, hours_day=8.0, acres_all=90.0)
    ground = bench.ground_of(prop, acres)
    plan = plan_days(ground, prop, effort="place")
    assert plan.missed
    menu = ways_out(ground, prop, plan, None)
    kinds = [row.kind for row in menu]
    assert "longer days" in kinds
    if "shorten a quiet season" in kinds:
        assert kinds[-1] == "shorten a quiet season"
    hours = float(next(r for r in menu if r.kind == "longer days").text.split()[0])
    longer, _ = bench.big_property(75, hours_day=hours, acres_all=90.0)
    again = plan_days(ground, longer, effort="place")
    assert not again.missed
    verify(again, longer)
    # and half an hour less was not found to work
    shorter, _ = bench.big_property(75, hours_day=hours - 0.5, acres_all=90.0)
    assert plan_days(ground, shorter, effort="place").missed
    text = next(r for r in menu if r.kind == "drop the smallest plots").text
    count = int(text.split()[2])
    by_size = sorted(range(75), key=lambda n: (acres[n], n))
    gone = set(by_size[:count])
    fewer = replace(prop, area=tuple(
        replace(a, plant=None) if n in gone else a for n, a in enumerate(prop.area)
    ))  # fmt: skip
    again = plan_days(ground, fewer, effort="place")
    assert not again.missed
    assert len(verify(again, fewer)) == 75 - count
    assert f"({sum(acres[n] for n in gone):.1f} ac)" in printed(text)


def small(work, plants, **more):
    areas = tuple(
        Area(f"P{n}", "plot", "p.gpx", plant=day, **more) for n, day in enumerate(plants)
    )
    prop = Property(PropertyInfo("Here"), area=areas, work=work)
    ids = tuple(f"a{n:02d}" for n in range(1, len(areas) + 1))
    ground = Ground(ids, (1.0,) * len(areas), {}, (), dt.date(2027, 1, 2), {})
    return ground, prop


def test_the_bound_binds_on_a_case_counted_by_hand():
    """Two jobs of one plot, 40 to 80 minutes each on hand-set days: two trips, no fewer."""
    skip = [TaskRule(t, skip=True) for t in ("soil test", "turn under", "second disking",
            "smooth", "set exclosure", "read exclosure")]  # fmt: skip
    rules = (*skip, TaskRule("clip", minutes=60), TaskRule("plant", minutes=60))
    ground, prop = small(Work(), [dt.date(2027, 9, 25)] * 2, tasks=rules)
    plan = plan_days(ground, prop)
    assert len(plan.assigned.used) == plan.assigned.trips_least == 2
    assert plan.assigned.late_days == 0


def test_a_long_job_is_cut_into_days():
    rules = (TaskRule("clip", minutes=1000),)
    ground, prop = small(Work(), [dt.date(2027, 9, 25)], tasks=rules)
    plan = plan_days(ground, prop)
    parts = [t for t in plan.tasks if t.task == "clip"]
    assert len(parts) == 3
    assert len({t.scheduled for t in parts}) == 3
    assert sum(t.minutes for t in parts) == pytest.approx(1000)
    assert len({t.uid for t in parts}) == 3
    verify(plan, prop)


def test_woody_residue_rots_longer():
    ground, prop = small(Work(), [dt.date(2027, 9, 25)], residue="woody")
    plan = plan_days(ground, prop)
    at = {t.task: t.scheduled for t in plan.tasks}
    assert (at["second disking"] - at["turn under"]).days >= 28


def test_a_helper_needs_a_tractor_too():
    """Two mowings of 5 h on one Saturday: one mower does not do them, however many drive."""
    day = dt.date(2027, 8, 14)
    rules = (TaskRule("clip", minutes=300, on=day),)
    plants = [dt.date(2027, 9, 25)] * 2
    for work, missed in (
        (Work(), 1),
        (Work(helpers=1, tractors=2), 1),
        (Work(hours_day=10), 0),
    ):
        ground, prop = small(work, plants, tasks=rules)
        plan = plan_days(ground, prop)
        assert len([t for t in plan.missed if t.task == "clip"]) == missed


def test_own_tasks_and_what_is_done_is_kept():
    rules = (TaskRule("scout deer sign", days_before=10, minutes=30),)
    ground, prop = small(Work(), [dt.date(2027, 9, 25)], tasks=rules)
    plan = plan_days(ground, prop)
    assert "scout deer sign" in {t.task for t in plan.tasks}
    done = {("P0", "turn under"): (dt.date(2027, 8, 22),)}
    later = Ground(ground.ids, ground.acres, {}, (), dt.date(2027, 8, 23), done)
    at = {t.task: t.scheduled for t in plan_days(later, prop).tasks}
    assert at["turn under"] == dt.date(2027, 8, 22)
    assert at["second disking"] >= dt.date(2027, 9, 12)


def test_same_input_same_plan():
    ground, prop = small(Work(), [dt.date(2027, 9, 25), dt.date(2027, 10, 2)])
    first, second = (
        [(t.uid, t.scheduled) for t in plan_days(ground, prop).tasks] for _ in range(2)
    )
    assert first == second


def test_printed_windows_are_read():
    ranges = list(read_window("Aug 15-Oct 1; Feb-Mar [memory]").ranges)
    assert inside(dt.date(2027, 8, 15), ranges)
    assert inside(dt.date(2027, 3, 31), ranges)
    assert not inside(dt.date(2027, 10, 2), ranges)
    assert list(read_window("not adapted [memory]").ranges) == []


def test_a_later_build_updates_the_calendar():
    ground, prop = small(Work(), [dt.date(2027, 9, 25)])
    from quietacre.year.report import _task_told

    tasks = [_task_told(t, ground.today, None) for t in plan_days(ground, prop).tasks]
    told = {"property": {"name": "Here"}, "year": {"tasks": tasks}}
    files = [
        calendar_ics(record_of(Report, {**told, "made_on": day}))
        for day in ("2027-01-02", "2027-02-06")
    ]
    first, second = (
        {str(e["uid"]): e for e in icalendar.Calendar.from_ical(f).walk("VEVENT")}
        for f in files
    )
    assert first.keys() == second.keys()
    for uid, event in first.items():
        assert second[uid]["sequence"] > event["sequence"] > 0
        assert second[uid]["dtstamp"].dt > event["dtstamp"].dt


def test_top_dressing_has_its_own_amounts_and_day():
    on = dt.date(2027, 11, 6)
    ground, prop = small(
        Work(), [dt.date(2027, 9, 25)], topdress_n_lb_ac=30.0, topdress_on=on
    )
    rows = [
        {"lb": 90.0, "grade": "34-0-0", "when": "top-dressing"},
        {"lb": 200.0, "grade": "13-13-13", "when": "planting"},
    ]
    ground = Ground(
        ground.ids,
        ground.acres,
        takes_by_key({"a01": record_of(Need, {"fertilizer": rows})}),
        (),
        ground.today,
        {},
    )
    by = {t.task: t for t in plan_days(ground, prop).tasks}
    assert [*map(printed, by["top-dress"].amounts)] == ["90.0 lb 34-0-0"]
    assert [*map(printed, by["fertilize"].amounts)] == ["200 lb 13-13-13"]
    assert by["top-dress"].ideal == on


def tasks_with(need, area=None, **more):
    """Return the jobs of one plot of oats, with what its need says of nitrogen."""
    mix = Mix("m", (Seed("oats", rate_lb_ac=60.0, basis="bulk"),))
    plot = Area("P0", "plot", "p.gpx", plant=dt.date(2027, 9, 25), mix="m", **(area or {}))
    prop = Property(PropertyInfo("Here"), area=(plot,), mix=(mix,), **more)
    ground = Ground(
        ("a01",),
        (1.0,),
        takes_by_key({"a01": record_of(Need, need)}),
        (),
        dt.date(2027, 1, 2),
        {},
    )
    return {task.task for task in plan_days(ground, prop).tasks}


def test_nitrogen_that_all_goes_on_before_planting_is_not_asked_for_again():
    fed = {"fertilizer": [{"lb": 90.0, "grade": "34-0-0", "when": "planting"}],
           "asked_lb_ac": {"n": 60.0, "p2o5": 0.0, "k2o": 0.0}}  # fmt: skip
    assert "top-dress" not in tasks_with(fed)
    # nobody worked out what it needs: the grain still wants its nitrogen
    assert "top-dress" in tasks_with({})
    # nothing on sale carries it
    short = {"unmet": [{"nutrient": "n", "lb": 60.0}]}
    assert "top-dress" in tasks_with(fed | short)
    assert "top-dress" not in tasks_with(fed | {"unmet": [{"nutrient": "k2o", "lb": 9.0}]})
    # kept back, or asked for by the person
    assert "top-dress" in tasks_with(fed, {"topdress_n_lb_ac": 30.0})
    assert "top-dress" in tasks_with(fed, task=(TaskRule("top-dress", minutes=30),))
