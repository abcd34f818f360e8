"""Jobs pushed aside by quiet seasons, and planning again on a weekend of the year."""

import datetime as dt
from dataclasses import replace

import pytest

from quietacre.settings import (
    Area,
    Mix,
    Property,
    PropertyInfo,
    Quiet,
    Seed,
    TaskRule,
    Work,
)
from quietacre.year.plan import Ground, plan_days
from quietacre.year.report import _log_notes

D = dt.date
NEW_YEAR = D(2027, 1, 2)
EVERY_DAY = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def planned(plant, quiet, *, work=None, today=NEW_YEAR, done=None, **more):
    prop = Property(
        PropertyInfo("Here"), quiet=quiet, work=work or Work(EVERY_DAY),
        area=(Area("P", "plot", "p.gpx", plant=plant, mix="m", soil_test=None, **more),),
        mix=(Mix("m", (Seed("rye of mine", rate_lb_ac=60.0, basis="bulk"),)),),
    )  # fmt: skip
    ground = Ground(("a01",), (2.0,), {}, (), today, done or {})
    return plan_days(ground, prop), ground, prop


def by_task(plan):
    return {task.task: task for task in plan.tasks}


# ---- the planting itself falls into a season --------------------------------------------


def test_a_planting_in_a_season_moves_to_the_nearer_side_and_its_work_with_it():
    """October 20 in a season from October 1: September 30 is nearer than February 11."""
    plan, _, _ = planned(D(2027, 10, 20), (Quiet("deer", "10-01", "02-10", ("plot",)),))
    at = by_task(plan)
    assert at["plant"].ideal == D(2027, 9, 30)
    assert at["plant"].scheduled <= D(2027, 9, 30)
    assert (
        "planting October 20 falls in the deer season: moved before it, to September 30, and the "
        "work before it with it. The nearest open day on the other side is February 11, 2028."
    ) in at["plant"].notes
    for name, least in (
        ("clip", 42),
        ("turn under", 32),
        ("second disking", 11),
        ("smooth", 5),
    ):
        assert (at["plant"].ideal - at[name].scheduled).days >= least
    assert at["set exclosure"].status == "planned"
    assert (at["read exclosure"].scheduled - at["set exclosure"].scheduled).days >= 42


def test_the_crop_s_window_decides_before_nearness():
    """September 5 to 24 shut; planting the 9th. September 4 is nearer, but the crop's own
    window begins on the 20th: September 25 it is."""
    quiet = (Quiet("camp", "09-05", "09-24", ("plot",)),)
    near, _, _ = planned(D(2027, 9, 9), quiet)
    assert by_task(near)["plant"].ideal == D(2027, 9, 4)
    _, ground, prop = planned(D(2027, 9, 9), quiet)
    seed = replace(prop.mix[0].seed[0], plant_from="09-20", plant_to="10-30")
    prop = replace(prop, mix=(Mix("m", (seed,)),))
    assert by_task(plan_days(ground, prop))["plant"].scheduled >= D(2027, 9, 25)


def test_a_day_of_ones_own_is_not_moved():
    rules = (TaskRule("plant", on=D(2027, 10, 20)),)
    quiet = (Quiet("deer", "10-15", "02-10", ("plot",)),)
    plan, _, _ = planned(D(2027, 10, 20), quiet, tasks=rules)
    assert by_task(plan)["plant"].scheduled != D(2027, 10, 20)  # never inside, all the same


# ---- what comes before a moved job moves with it ----------------------------------------


def test_work_before_a_moved_job_is_moved_to_leave_its_time():
    """Planting July 10 after a season of May 15 to July 3: the second disking (June 19-29) must
    come by May 14, so turning under by April 23: three weeks of rot."""
    plan, _, _ = planned(D(2027, 7, 10), (Quiet("nesting", "05-15", "07-03"),))
    at = by_task(plan)
    assert all(task.status == "planned" for task in plan.tasks if task.task != "soil test")
    assert at["second disking"].scheduled <= D(2027, 5, 14)
    assert (at["second disking"].scheduled - at["turn under"].scheduled).days >= 21
    assert at["clip"].scheduled <= at["turn under"].scheduled
    assert any(
        "clip by April 23 or plant on or after August 15" in n for n in at["clip"].notes
    )


def test_a_weekend_person_is_moved_when_only_weekdays_are_open():
    """The season ends on Tuesday July 6; clipping for August 20 is due by Friday July 9."""
    quiet = (Quiet("nesting", "05-15", "07-06"),)
    plan, _, _ = planned(D(2027, 8, 20), quiet, work=Work())
    clip = by_task(plan)["clip"]
    assert D(2027, 5, 1) <= clip.scheduled <= D(2027, 5, 9)
    assert "clip by May 14 or plant on or after August 21" in clip.notes[0]


# ---- planning again ----------------------------------------------------------------------


def test_what_came_before_a_logged_job_is_not_missed():
    done = {("P", "turn under"): (D(2027, 8, 22),)}
    plan, _, _ = planned(D(2027, 9, 25), (), today=D(2027, 8, 28), done=done)
    clip = by_task(plan)["clip"]  # let pass in the log, but surely done
    assert (clip.status, clip.scheduled) == ("done", None)
    assert "taken as done" in clip.notes[0]
    plan, _, _ = planned(D(2027, 9, 25), (), today=D(2027, 8, 28))
    assert by_task(plan)["clip"].passed


@pytest.mark.parametrize(
    ("today", "status", "words"),
    [
        (
            D(2027, 8, 1),
            "planned",
            "late: it was due by April 28, 2027; do it now all the same",
        ),
        (D(2027, 9, 10), "unplaced", "has passed"),
    ],
)
def test_a_late_soil_test_is_still_taken(today, status, words):
    plan, _, _ = planned(D(2027, 9, 25), (), today=today)
    test = by_task(plan)["soil test"]
    assert test.status == status
    assert words in " ".join(test.notes)


def test_a_log_entry_nobody_knows_is_told():
    day = (D(2027, 8, 1),)
    done = {
        ("P", "brushed out"): day,
        ("Q", "clip"): day,
        ("P", "clipp"): day,
        ("P", "clip"): day,
    }
    plan, ground, prop = planned(D(2027, 9, 25), (), today=D(2027, 8, 2), done=done)
    texts = [note.text for note in _log_notes(ground, plan, prop)]
    assert texts == [
        "log.csv: “Q” is no area or strip, so the entry counts for nothing.",
        "log.csv: 2 lines are kept as a remark, because no job here goes by “brushed out”, “clipp”. "
        'If it is one, write "brushed out" = "clip" under “Your own words for jobs” ([log_words] in '
        'property.toml); if it is none, "brushed out" = "remark".',
    ]


def test_a_log_entry_of_a_day_still_to_come_is_told():
    done = {("P", "clip"): (D(2027, 8, 1), D(2028, 8, 1)), ("P", "lime"): (D(2027, 8, 2),)}
    plan, ground, prop = planned(D(2027, 9, 25), (), today=D(2027, 8, 2), done=done)
    (note,) = _log_notes(ground, plan, prop)
    assert note.code == "log-ahead"
    assert note.text.startswith(
        "log.csv: “clip” on “P” is dated August 1, 2028, a day still"
    )


def test_parts_come_in_their_order():
    rules = (TaskRule("clip", minutes=1000),)
    plan, _, _ = planned(D(2027, 9, 25), (), work=Work(), tasks=rules)
    days = [t.scheduled for t in plan.tasks if t.task == "clip"]
    labels = [t.label for t in plan.tasks if t.task == "clip"]
    assert days == sorted(days)
    assert labels == [f"clip (part {n} of 3)" for n in (1, 2, 3)]
