"""What a job takes along, what a day holds, how a long job is cut, and whose line is of today."""

import datetime as dt
import hashlib
from dataclasses import replace
from types import SimpleNamespace

import pytest

from quietacre.errors import YearProblem
from quietacre.figures import printed
from quietacre.logbook import id_of
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
from quietacre.year.amounts import amounts_of
from quietacre.year.capacity import DayCapacity
from quietacre.year.conflicts import conflicts
from quietacre.year.feeding import feed_tasks
from quietacre.year.minutes import ring_minutes
from quietacre.year.plan import Ground, Planned, plan_days
from quietacre.year.rings import WorkedRing
from quietacre.year.takes import Brought, DoneAlready, Sprayed, Takes, WorkTold
from quietacre.year.task import Task
from quietacre.year.workdays import Assigned

D = dt.date
DAY = dt.timedelta(days=1)
TODAY = D(2027, 8, 10)
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))


def said(task, **more):
    return [printed(text) for text in amounts_of(task, Takes(**more))]


def test_a_job_takes_along_what_is_its_own():
    seed = [Brought("oats", 120.0), Brought("crimson clover", 30.0)]
    fertilizer = [Brought("17-17-17", 400.0), Brought("46-0-0", 130.0, later=True)]
    all_of_it = {"seed": seed, "fertilizer": fertilizer, "lime_ton": 2.0}
    assert said("plant", **all_of_it) == ["120 lb oats", "30.0 lb crimson clover"]
    assert said("fertilize", **all_of_it) == ["400 lb 17-17-17"]
    assert said("top-dress", **all_of_it) == ["130 lb 46-0-0"]
    (lime,) = said("lime", **all_of_it)
    assert lime.startswith("2.0")
    assert lime.endswith("of lime")
    assert said("clip", **all_of_it) == []
    assert said("lime") == []


def test_passes_and_loads_stand_after_the_amounts():
    work = {"plant": WorkTold(90.0, "4 passes, 1 load"), "clip": WorkTold(30.0)}
    assert said("plant", seed=[Brought("oats", 120.0)], work=work) == [
        "120 lb oats", "4 passes, 1 load",
    ]  # fmt: skip
    assert said("clip", work=work) == []


def test_what_was_done_is_told_where_nothing_is_left_to_do():
    done = [
        DoneAlready("seed", "oats", 110.0), DoneAlready("lime", "lime", 3000.0),
        DoneAlready("fertilizer", "17-17-17", 380.0),
    ]  # fmt: skip
    assert said("plant", done=done) == ["110 lb oats"]
    assert said("plant", done=done, seed=[Brought("oats", 120.0)]) == ["120 lb oats"]
    assert said("fertilize", done=done) == ["380 lb 17-17-17"]
    (lime,) = said("lime", done=done)
    assert lime.startswith("1.5"), "3,000 pounds of 2,000 a ton"
    assert said("top-dress", done=done) == []


def test_a_day_holds_its_hours_without_the_drive():
    made = DayCapacity.of(Work(hours_day=8.0, trip_minutes=30, helpers=2, tractors=2))
    assert (made.one, made.people, made.tractors) == (450.0, 1350.0, 900.0)
    alone = DayCapacity.of(Work(hours_day=1.0, trip_minutes=59))
    assert (alone.one, alone.people, alone.tractors) == (1.0, 1.0, 1.0)
    with pytest.raises(
        YearProblem, match="a day of 1 h is over when the drive of 60 minutes"
    ):
        DayCapacity.of(Work(hours_day=1.0, trip_minutes=60))
    assert made.limits("desk") == made.limits("on foot") == (("people", 1350.0),)
    assert dict(made.limits("drag")) == {"people": 1350.0, "tractors": 900.0, "drag": 450.0}


def test_a_strip_takes_the_minutes_of_its_passes_however_few():
    ring = WorkedRing("s01", "a01", "V strip", "strip", 2.0, 900.0, pass_minutes=0.5)
    assert ring_minutes(ring, "mower", Equipment()) == 10.5


def test_of_no_jobs_nothing_is_used_and_nothing_proved():
    none = Assigned()
    assert (none.used, none.trips_least, none.unplaced_least) == ({}, 0, 0)
    assert (none.late_days, none.late_least, none.asked) == (0, 0, 0)


# a plan


def place(*areas, work=EVERY_DAY, **more):
    return Property(
        PropertyInfo("Home"),
        area=areas,
        mix=(Mix("m", (Seed("oats"),)),),
        work=work,
        **more,
    )


PLOT = Area("P", "plot", "p.gpx", mix="m", plant=D(2027, 9, 25))


def planned(prop, today=TODAY, acres=2.0, **more):
    takes, done = more.pop("takes", {}), more.pop("done", {})
    ground = Ground(("a01",), (acres,), takes, (), today, done, **more)
    return plan_days(ground, prop, effort="plain")


def job_of(plan, name="clip"):
    return [task for task in plan.tasks if task.task == name]


def test_a_job_in_the_log_tells_what_it_took_and_what_is_left():
    takes = {
        "a01": Takes(lime_ton=3.77, done=[DoneAlready("lime", "lime", 8000.0)]),
    }
    (lime,) = job_of(
        planned(place(PLOT), takes=takes, done={("P", "lime"): (TODAY,)}), "lime"
    )
    assert (lime.status, [printed(text) for text in lime.amounts]) == (
        "done", ["4.00 tons of lime"],
    )  # fmt: skip
    (told,) = [printed(str(note)) for note in lime.notes if "not all of it" in str(note)]
    assert "not all of it is in the log: 3.77 tons of lime left" in told
    whole = {"a01": Takes(done=[DoneAlready("lime", "lime", 8000.0)])}
    (lime,) = job_of(
        planned(place(PLOT), takes=whole, done={("P", "lime"): (TODAY,)}), "lime"
    )
    assert [printed(text) for text in lime.amounts] == ["4.00 tons of lime"]
    assert not any("not all of it" in str(note) for note in lime.notes)
    # a job of which nothing is in the log tells what it takes
    (lime,) = job_of(planned(place(PLOT), takes={"a01": Takes(lime_ton=3.77)}), "lime")
    assert [printed(text) for text in lime.amounts] == ["3.77 tons of lime"]


def test_a_line_of_today_counts_and_one_of_tomorrow_does_not_yet():
    (clip,) = job_of(planned(place(PLOT)))
    for on, status in ((0, "done"), (1, "planned")):
        day = TODAY + on * DAY
        (by_word,) = job_of(planned(place(PLOT), done={("P", "clip"): (day,)}))
        assert by_word.status == status
        line = SimpleNamespace(on=day, area="P", task="mowed")
        (by_letters,) = job_of(planned(place(PLOT), ticked={clip.letters: line}))
        assert by_letters.status == status


def test_jobs_stand_in_order_of_their_days():
    tasks = planned(place(PLOT)).tasks
    days = [task.scheduled or task.ideal for task in tasks]
    assert days == sorted(days)
    assert len(set(days)) > 4


def test_a_job_that_was_done_stands_on_the_day_on_which_it_was():
    """Clipped on August 1, best on the 14th; a job of one's own is set on August 5."""
    own = TaskRule("mend", on=D(2027, 8, 5))
    prop = place(replace(PLOT, tasks=(own,)))
    tasks = planned(prop, D(2027, 8, 2), done={("P", "clip"): (D(2027, 8, 1),)}).tasks
    names = [task.task for task in tasks if task.task in {"clip", "mend"}]
    assert names == ["clip", "mend"]


def test_two_sprays_of_one_name_have_letters_by_their_number():
    rows = [
        Sprayed("jug", on, 2.0, 30.0, 30.0, 12.0, "fl oz") for on in (None, D(2027, 7, 1))
    ]
    prop = place(Area("P", "native", "p.gpx"), spray=(Spray("jug", "spot spray"),))
    made = feed_tasks(prop.area[0], "a01", Takes(spray=rows), prop, (), D(2027, 1, 2))
    assert [task.lasting for task in made] == [
        letters("Home", "P", "spray", "jug", "2027", number) for number in "12"
    ]


def letters(*words):
    return hashlib.sha256("\x1f".join(words).encode()).hexdigest()[:20]


def test_the_parts_of_a_long_job_have_letters_of_their_own_made_from_the_whole():
    (whole,) = job_of(planned(place(PLOT)))
    parts = job_of(planned(place(PLOT, work=Work(EVERY_DAY.weekdays, hours_day=0.5))))
    assert len(parts) > 1
    count = len(parts)
    assert [part.label for part in parts] == [
        f"clip (part {n} of {count})" for n in range(1, count + 1)
    ]
    others = [letters(whole.uid, f"part {n}") for n in range(2, count + 1)]
    assert {part.uid for part in parts} == {whole.uid, *others}
    assert {part.lasting for part in parts} == {
        letters(whole.lasting, f"part {n}") for n in range(1, count + 1)
    }
    assert {part.whole for part in parts} == {id_of(whole.lasting)}


# a season and a burn


def burn(*quiet, **more):
    """Return what is said of a burn window of all its days, and of nothing else."""
    usual = {
        "area": "B", "area_id": "a01", "kind": "burn", "task": "burn window", "label": "burn",
        "earliest": D(2027, 2, 1), "ideal": D(2027, 2, 1), "latest": D(2027, 3, 15),
        "minutes": 0.0, "machine": "by hand", "reason": "", "status": "window",
    }  # fmt: skip
    prop = place(Area("B", "burn", "b.gpx"), quiet=quiet)
    found = Planned(
        [Task(uid="b", **{**usual, **more})], seasons(quiet, 2026, 2028), Assigned(), TODAY
    )
    rows = [
        row for row in conflicts(found, prop, None) if row.code == "burn-against-season"
    ]
    assert {(row.area, row.area_id) for row in rows} <= {("B", "a01")}
    return [str(row.text) for row in rows]


@pytest.mark.parametrize(
    ("first", "last", "told"),
    [
        ("03-15", "07-03", True), ("03-16", "07-03", False),
        ("11-20", "02-01", True), ("11-20", "01-31", False),
    ],
)  # fmt: skip
def test_a_season_of_one_day_of_the_burn_window_is_told_and_beside_it_not(
    first, last, told
):
    assert bool(burn(Quiet("q", first, last))) is told


def test_of_a_burn_window_its_last_note_is_the_cure_where_it_has_no_place():
    quiet = Quiet("q", "02-10", "02-20")
    notes = ["none is left.", "wait.", "leave it for a year."]
    (text,) = burn(quiet, notes=notes)
    assert text.endswith("burn only from February 1 to March 15, or leave it for a year.")
    (text,) = burn(quiet, notes=notes, status="unplaced")
    assert text.endswith("February 1 to March 15: leave it for a year.")
    (text,) = burn(quiet, status="unplaced")
    assert "burn only from" in text
    assert burn(quiet, status="done") == []
