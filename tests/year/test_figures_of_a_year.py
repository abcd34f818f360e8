"""The year of one plot, its sprays, and which job is meant, worked out by hand."""

import dataclasses
import datetime as dt

import pytest
from record_of import record_of

from quietacre.figures import printed
from quietacre.need.records import Need
from quietacre.plantings import sown_of
from quietacre.quiet import seasons
from quietacre.settings import (
    Area,
    Equipment,
    Mix,
    Property,
    PropertyInfo,
    Quiet,
    Seed,
    Spray,
    TaskRule,
    Work,
)
from quietacre.year.backward import plot_tasks
from quietacre.year.feeding import feed_tasks
from quietacre.year.minutes import field_minutes, job_minutes, ring_minutes, strip_minutes
from quietacre.year.records import YearTask
from quietacre.year.rings import WorkedRing
from quietacre.year.takes import WorkTold, takes_by_key
from quietacre.year.which_job import comes_next, jobs_meant

D = dt.date
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))


OATS = Mix("m", (Seed("oats"),))
AUTUMN, SUMMER = D(2026, 10, 1), D(2027, 8, 10)


def place(*, tasks=(), **area):
    made = {"mix": "m", "plant": D(2027, 9, 25), **area}
    plot = Area("P", "plot", "p.gpx", tasks=tasks, **made)
    return Property(PropertyInfo("Home"), area=(plot,), mix=(OATS,), work=EVERY_DAY)


def takes(need):
    return takes_by_key({"a01": record_of(Need, need)})["a01"]


def jobs(prop, need=None, *, today=AUTUMN, quiet=(), done=None):
    found = seasons(quiet, 2025, 2029)
    (sown,) = sown_of(prop)
    return {
        t.task: t
        for t in plot_tasks(sown, 4.0, takes(need or {}), prop, found, today, done)
    }


def shown(tasks):
    return [
        f"{t.task} {t.earliest:%m-%d} {t.ideal:%m-%d} {t.latest:%m-%d}"
        for t in tasks.values()
    ]


NEED = {
    "lime": {"ton": 2.0},
    "fertilizer": [
        {"lb": 100.0, "grade": "13-13-13"},
        {"lb": 50.5, "grade": "34-0-0", "when": "top-dressing"},
    ],
    "seed": [{"lb": 99.94, "crop": "oats"}, {"lb": 1200.4, "crop": "rye"}],
    "work": {"plant": {"minutes": 33.0, "text": "2 loads"}},
    "asked_lb_ac": {"n": 40.0},
}


def test_every_job_of_a_plot_sown_on_september_25():
    """Days before planting as in docs/methods-year.md; minutes at the usual widths and speeds."""
    made = jobs(place(topdress_n_lb_ac=20.0), NEED)
    assert shown(made) == [
        "soil test 10-30 01-28 04-28", "lime 01-28 03-29 06-27", "clip 07-31 08-14 08-14",
        "turn under 08-14 08-16 08-24", "second disking 09-04 09-08 09-14",
        "fertilize 09-08 09-11 09-17", "smooth 09-09 09-11 09-17", "plant 09-22 09-25 10-09",
        "set exclosure 09-22 10-02 10-16", "top-dress 10-23 11-01 11-15",
        "read exclosure 11-14 11-24 12-24",
    ]  # fmt: skip
    # 4 ac: mower 5.5 ft at 3 mph, disk 6 at 4, spreader 20 at 4, drag 8 at 4; 70 %, 10 minutes
    minutes = {
        "mower": 240 / 1.4 + 10, "disk": 240 / (6 * 4 * 0.7 / 8.25) + 10,
        "spreader": 240 / (20 * 4 * 0.7 / 8.25) + 10, "drag": 240 / (8 * 4 * 0.7 / 8.25) + 10,
        "on foot": 20.0,
    }  # fmt: skip
    for task in made.values():
        wanted = 33.0 if task.task == "plant" else minutes[task.machine]
        assert task.minutes == pytest.approx(wanted), task.task
        assert task.on_foot is (task.machine == "on foot")
    assert {
        task: [*map(printed, made[task].amounts)] for task in made if made[task].amounts
    } == {
        "lime": ["2.00 tons of lime"],
        "fertilize": ["100 lb 13-13-13"],
        "plant": ["99.9 lb oats", "1,200 lb rye", "2 loads"],
        "top-dress": ["50.5 lb 34-0-0"],
    }
    name = {task.uid: task.task for task in made.values()}
    assert {
        task.task: [(name[uid], days) for uid, days in task.after] for task in made.values()
    } == {
        "soil test": [], "lime": [("soil test", 14)], "clip": [], "turn under": [("clip", 0)],
        "second disking": [("turn under", 21)],
        "fertilize": [("soil test", 14), ("second disking", 0)],
        "smooth": [("second disking", 0), ("fertilize", 0)], "plant": [("smooth", 5)],
        "set exclosure": [("plant", 0)], "top-dress": [("plant", 28)],
        "read exclosure": [("set exclosure", 42)],
    }  # fmt: skip


def test_cool_or_woody_residue_rots_a_week_longer_and_both_two():
    woody = jobs(place(residue="woody"))
    assert [line for line in shown(woody) if line.startswith(("clip", "turn"))] == [
        "clip 07-24 08-07 08-07", "turn under 08-07 08-09 08-17",
    ]  # fmt: skip
    assert woody["clip"].reason.endswith(
        "; 28 days to rot here, for cool or woody residue or a lag of your own"
    )
    assert "days to rot" not in jobs(place())["clip"].reason
    spring = jobs(place(residue="woody", plant=D(2027, 4, 10)))
    assert [line for line in shown(spring) if line.startswith(("clip", "turn"))] == [
        "clip 01-30 02-13 02-13", "turn under 02-13 02-15 02-23",
    ]  # fmt: skip
    # clipped on May 1, October 1: the first is warm, the second cool
    warm, cool = (jobs(place(plant=day)) for day in (D(2027, 6, 12), D(2027, 11, 12)))
    assert "28 days" not in warm["clip"].reason
    assert "28 days" in cool["clip"].reason


def test_what_a_person_changed_of_a_job():
    rules = (
        TaskRule("clip", days_before=60), TaskRule("smooth", on=D(2027, 9, 10), minutes=5.0),
        TaskRule("set exclosure", skip=True), TaskRule("call the neighbor", days_before=3),
        TaskRule("plant", latest_days_before=2, machine="drill"),
        TaskRule("second disking", earliest_days_before=19, latest_days_before=15),
    )  # fmt: skip
    made = jobs(place(tasks=rules))
    assert "set exclosure" not in made
    lines = shown(made)
    for line in (
        "clip 07-27 07-27 08-14", "smooth 09-10 09-10 09-10",
        "call the neighbor 09-15 09-22 09-29", "plant 09-22 09-23 09-23",
        "second disking 09-06 09-08 09-10",
    ):  # fmt: skip
        assert line in lines
    assert (made["smooth"].minutes, made["plant"].machine) == (5.0, "drill")
    assert made["call the neighbor"].reason == "your own task"
    assert made["call the neighbor"].machine == "on foot"


def test_late_lime_and_soil_tests_are_caught_up_on_while_worth_it():
    made = jobs(place(), NEED, today=D(2027, 7, 1))
    lime = made["lime"]
    assert (lime.earliest, lime.latest) == (D(2027, 7, 1), D(2027, 7, 21))
    assert lime.due_by == D(2027, 6, 27)
    assert lime.best_was == D(2027, 3, 29)
    assert lime.notes[0] == "late: it was due by June 27, 2027; do it now all the same."
    assert made["soil test"].earliest == D(2027, 7, 1)
    assert made["fertilize"].after[:1] != [(made["soil test"].uid, 14)]
    # lime until 15 days before planting, a soil test until 31
    late = jobs(place(), NEED, today=D(2027, 9, 10))
    assert (late["lime"].earliest, late["lime"].latest) == (D(2027, 9, 10), D(2027, 9, 10))
    assert jobs(place(), NEED, today=D(2027, 9, 11))["lime"].latest == D(2027, 6, 27)
    assert jobs(place(), NEED, today=D(2027, 8, 25))["soil test"].latest == D(2027, 8, 25)
    assert jobs(place(), NEED, today=D(2027, 8, 26))["soil test"].latest == D(2027, 4, 28)


def test_a_quiet_season_over_all_the_days_of_a_job_moves_it_and_says_so():
    made = jobs(place(), quiet=[Quiet("hunt", "07-25", "08-15")])
    clip = made["clip"]
    assert (clip.earliest, clip.ideal, clip.latest) == (
        D(2027, 7, 11), D(2027, 7, 24), D(2027, 7, 24),
    )  # fmt: skip
    assert clip.notes == [
        "planting September 25 cannot be prepared after the hunt season: clip by July 24 or "
        "plant on or after September 27."
    ]
    # with a day of the window open it stays
    assert jobs(place(), quiet=[Quiet("hunt", "08-01", "08-15")])["clip"].notes == []


def test_a_season_of_all_the_year_leaves_no_day_and_says_so():
    made = jobs(place(), quiet=[Quiet("always", "01-01", "12-31")])
    said = "the always season leaves no open day within a year."
    assert made["clip"].notes == [said]
    assert said in made["plant"].notes


def test_a_planting_in_a_quiet_season_takes_the_work_before_it_along():
    made = jobs(place(), quiet=[Quiet("hunt", "09-15", "10-15")])
    assert shown(made)[1:7] == [
        "clip 07-20 08-03 08-03", "turn under 08-03 08-05 08-13",
        "second disking 08-24 08-28 09-03", "smooth 08-29 08-31 09-06",
        "plant 09-11 09-14 09-28", "set exclosure 09-11 09-21 10-05",
    ]  # fmt: skip
    assert made["plant"].notes == [
        "planting September 25 falls in the hunt season: moved before it, to September 14, and "
        "the work before it with it. The nearest open day on the other side is October 16."
    ]


# ---- minutes ---------------------------------------------------------------------------------
def test_minutes_by_machine_rule_and_ring():
    gear = Equipment()
    prop = place()
    assert field_minutes(2.0, "sprayer", gear) == pytest.approx(
        120 / (30 * 0.7 / 8.25) + 10
    )
    ring = WorkedRing("s01", "a01", "V strip", "strip", 2.0, 900.0)
    assert ring_minutes(dataclasses.replace(ring, pass_minutes=50.0), "mower", gear) == 60.0
    plain = field_minutes(2.0, "mower", gear)
    assert ring_minutes(ring, "mower", gear) == plain
    assert job_minutes(None, 2.0, "on foot", prop, None) == 20.0
    assert job_minutes(None, 2.0, "desk", prop, None) == 20.0
    assert job_minutes(None, 2.0, "bush hog", prop, None) == plain
    assert job_minutes(None, 2.0, "disk", prop, WorkTold(7.0)) == 7.0
    own = TaskRule("clip", machine="mower")
    assert job_minutes(own, 2.0, "mower", prop, WorkTold(7.0)) == plain
    assert (
        job_minutes(TaskRule("clip", minutes=0.0), 2.0, "mower", prop, WorkTold(7.0)) == 0.0
    )
    assert strip_minutes("walk and pull", 30.0, 2.0, gear) == pytest.approx(2 * 60 + 10)
    assert strip_minutes("strip inspection", 30.0, 2.0, gear) == 30.0


# ---- sprays ------------------------------------------------------------------------------------
ROW = {"name": "jug", "acres": 2.0, "gal": 30.0, "product": 12.0, "unit": "fl oz"}


@pytest.mark.parametrize(
    ("use", "today", "windows"),
    [
        ("foliar feed", D(2027, 5, 10), ["2027-04-01 2027-04-20 2027-05-10"]),
        ("foliar feed", D(2027, 5, 11), ["2027-04-01 2027-04-20 2027-05-10",
                                         "2028-04-01 2028-04-20 2028-05-10"]),
        ("spot spray", D(2027, 8, 31), ["2027-06-01 2027-07-10 2027-08-31"]),
        ("spot spray", D(2027, 9, 1), ["2027-06-01 2027-07-10 2027-08-31",
                                       "2028-06-01 2028-07-10 2028-08-31"]),
    ],
)  # fmt: skip
def test_sprays_without_a_date_have_the_usual_weeks_of_the_year_to_come(
    use, today, windows
):
    area = Area("P", "native", "p.gpx")
    prop = Property(PropertyInfo("Home"), area=(area,), spray=(Spray("jug", use),))
    made = list(feed_tasks(area, "a01", takes({"spray": [ROW]}), prop, [], today))
    assert [f"{t.earliest} {t.ideal} {t.latest}" for t in made] == windows
    feed = use == "foliar feed"
    assert {t.label for t in made} == {"feed with jug" if feed else "spray jug"}
    assert {t.reason for t in made} == {
        f"no date set: {'after leaf-out' if feed else 'in full growth'} (assumption, about "
        "33° N); the label decides weather and wear"
    }
    assert made[0].minutes == pytest.approx(120 / (30 * 0.7 / 8.25) + 10)
    assert [*map(printed, made[0].amounts)] == ["30.0 gal with 12.0 fl oz"]
    assert made[0].asked is None


def test_a_spray_on_its_date_has_a_week_either_way():
    area = Area("P", "native", "p.gpx")
    prop = Property(PropertyInfo("Home"), area=(area,), spray=(Spray("jug", "spot spray"),))
    row = ROW | {"on": "2027-07-24", "minutes": 44.0}
    (made,) = feed_tasks(area, "a01", takes({"spray": [row]}), prop, [], D(2027, 9, 1))
    days = (made.earliest, made.ideal, made.latest, made.asked)
    assert days == (D(2027, 7, 17), D(2027, 7, 24), D(2027, 7, 31), D(2027, 7, 24))
    assert (made.minutes, made.reason) == (
        44.0, "the date you set; the label decides weather and wear",
    )  # fmt: skip


# ---- which job is meant ------------------------------------------------------------------------
def row(area, task, state, first, last, **more):
    told = {
        "area": area, "task": task, "label": task, "state": state, "earliest": first,
        "ideal": first, "latest": last, "uid": f"{area} {task} {first}",
    }  # fmt: skip
    return record_of(YearTask, told | more)


def meant(rows, said, areas=(), on=SUMMER):
    return [one.uid for one in jobs_meant(rows, said, areas, place(), on)]


def test_what_is_due_is_meant_before_what_was_missed_and_what_is_to_come():
    late = row("P", "clip", "late", "2027-07-01", "2027-08-01")
    missed = row("P", "clip", "missed", "2027-05-01", "2027-07-27")
    soon = row("P", "clip", "planned", "2027-10-09", "2027-10-20")
    assert meant([soon, missed, late], "clip") == [late.uid]
    assert meant([soon, missed], "CLIP") == [missed.uid]
    assert meant([soon], "clip") == [soon.uid]
    # missed 14 days ago or less, begun in 60 days or less; on ground that was named, whenever
    long_ago = row("P", "clip", "missed", "2027-05-01", "2027-07-26")
    far = row("P", "clip", "planned", "2027-10-10", "2027-10-20")
    assert meant([far, long_ago], "clip") == []
    assert meant([far, long_ago], "clip", ["P"]) == [far.uid]
    assert meant([late], "clip", ["Q"]) == []
    assert meant([late], "remark") == []


def test_of_parts_and_of_repeats_the_first_open_one_is_meant():
    parts = [
        row(
            "P",
            "clip",
            "due",
            "2027-08-01",
            "2027-08-20",
            ideal="2027-08-12",
            label="clip (part 2)",
        ),
        row(
            "P",
            "clip",
            "due",
            "2027-08-01",
            "2027-08-20",
            ideal="2027-08-11",
            label="clip (part 1)",
            uid="first",
        ),
    ]
    assert meant(parts, "clip") == ["first"]
    assert meant(parts, "clip (part 2)") == [parts[0].uid]
    both = [row(area, "clip", "due", "2027-08-01", "2027-08-20") for area in ("P", "Q")]
    assert meant(both, "clip") == [one.uid for one in both]
    sprays = [
        row(
            "P", "spray", "due", "2027-08-01", "2027-08-20", label=f"spray {name}", uid=name
        )
        for name in ("a", "b")
    ]
    assert len(meant(sprays, "spray")) == 2
    assert meant(sprays, "spray b") == ["b"]


def test_what_comes_next_is_the_first_planned_of_what_is_not_done():
    rows = [
        record_of(
            YearTask, {"uid": uid, "area": area, "status": status, "scheduled": day}
        )
        for uid, area, status, day in [
            ("late", "P", "planned", "2027-08-21"), ("soon", "Q", "planned", "2027-08-14"),
            ("done", "P", "done", "2027-08-01"), ("open", "P", "window", None),
        ]
    ]  # fmt: skip
    assert comes_next(rows, (), None).uid == "soon"
    assert comes_next(rows, ("soon",), None).uid == "late"
    assert comes_next(rows, (), "P").uid == "late"
    assert comes_next(rows, ("late",), "P") is None


def test_lime_of_the_season_before_does_not_stand_for_that_of_this_one():
    """Spread in March 2026, for the planting of that year: in July 2027 it is caught up on."""
    before = {("P", "lime"): (D(2026, 3, 1),)}
    made = jobs(place(), NEED, today=D(2027, 7, 1), done=before)
    assert made["lime"].earliest == D(2027, 7, 1)
    this = {("P", "lime"): (D(2027, 3, 1),)}
    assert jobs(place(), NEED, today=D(2027, 7, 1), done=this)["lime"].latest == D(
        2027, 6, 27
    )
