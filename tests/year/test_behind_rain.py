"""A planting goes behind the rain that fell, or waits for the day that the log names."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from quietacre.daily import Daily
from quietacre.record.rain import Wait
from quietacre.settings import (
    Area,
    CropRule,
    Mix,
    Property,
    PropertyInfo,
    Quiet,
    Seed,
    Weather,
    Work,
)
from quietacre.year.behind_rain import MOIST_DAYS, Rain, rain_known
from quietacre.year.conflicts import conflicts
from quietacre.year.plan import Ground, plan_days

D = dt.date
PLACE = Property(
    PropertyInfo("Home", state="GA"),
    quiet=(Quiet("nesting", "05-15", "07-03"),),
    area=(Area("P", "plot", "p.gpx", mix="m", plant=D(2027, 9, 25)),),
    mix=(Mix("m", (Seed("oats"),)), Mix("late", (Seed("cereal rye"),))),
    work=Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun")),
)


def jobs(today, rain=None, done=None, prop=PLACE):
    ground = Ground(("a01",), (2.0,), {}, (), today, done or {}, rain=rain or Rain())
    return plan_days(ground, prop, effort="plain")


def plant(plan):
    return next(task for task in plan.tasks if task.task == "plant")


@pytest.mark.parametrize(
    ("fell", "today", "sown_on"),
    [
        # rain inside the planting's days: sow the day after it, or at once
        ({D(2027, 9, 24): 0.6}, D(2027, 9, 24), D(2027, 9, 25)),
        ({D(2027, 9, 29): 0.6}, D(2027, 9, 30), D(2027, 9, 30)),
        # two showers make half an inch
        ({D(2027, 9, 26): 0.3, D(2027, 9, 29): 0.25}, D(2027, 9, 29), D(2027, 9, 30)),
        # a shower is no planting rain, nor is a rain whose moisture has gone
        ({D(2027, 9, 26): 0.3}, D(2027, 9, 28), D(2027, 9, 28)),
        ({D(2027, 9, 22): 0.9}, D(2027, 9, 30), D(2027, 9, 30)),
    ],
)
def test_planting_goes_behind_the_rain(fell, today, sown_on):
    task = plant(jobs(today, Rain(fell)))
    assert task.scheduled == sown_on
    made = [note for note in task.notes if "in of rain fell" in note]
    big = sum(fell.values()) >= 0.5 and today - max(fell) <= dt.timedelta(days=MOIST_DAYS)
    assert bool(made) == big


def test_rain_before_the_planting_days_moves_nothing():
    before = plant(jobs(D(2027, 9, 10)))
    wet = plant(jobs(D(2027, 9, 10), Rain({D(2027, 9, 9): 2.0})))
    assert (wet.scheduled, wet.notes) == (before.scheduled, before.notes)


def test_it_waits_and_what_follows_waits_with_it():
    today, until = D(2027, 9, 27), D(2027, 10, 16)
    dry, waits = jobs(today), jobs(today, Rain({}, None, {"P": Wait(today, until, True)}))
    assert plant(waits).scheduled == until
    assert any("it waits until October 16" in note for note in plant(waits).notes)
    after = {"set exclosure", "top-dress", "read exclosure"}
    for one, other in zip(dry.tasks, waits.tasks, strict=True):
        assert one.uid == other.uid
        if one.task in after:
            assert (other.ideal - one.ideal).days == (until - D(2027, 9, 25)).days
    # the word for all ground holds too, and one of another year does not
    assert (
        plant(jobs(today, Rain({}, None, {"": Wait(today, until, True)}))).scheduled
        == until
    )
    old = Wait(D(2026, 9, 27), D(2026, 10, 16), True)
    assert plant(jobs(today, Rain({}, None, {"P": old}))).scheduled == today


def test_rain_ends_the_wait_but_not_rain_from_before_it():
    wait = {"P": Wait(D(2027, 9, 27), D(2027, 10, 16), True)}
    task = plant(jobs(D(2027, 10, 2), Rain({D(2027, 10, 1): 0.8}, None, wait)))
    assert task.scheduled == D(2027, 10, 2)
    # the person said after it that it was dry
    task = plant(jobs(D(2027, 9, 28), Rain({D(2027, 9, 23): 0.8}, None, wait)))
    assert task.scheduled == D(2027, 10, 16)


def test_a_planting_that_is_done_is_not_moved():
    done = {("P", "plant"): (D(2027, 9, 25),)}
    wait = {"P": Wait(D(2027, 9, 27), D(2027, 10, 16), True)}
    task = plant(jobs(D(2027, 9, 28), Rain({}, None, wait), done))
    assert (task.status, task.scheduled) == ("done", D(2027, 9, 25))
    assert not any("waits" in note for note in task.notes)


def test_no_rain_is_said_only_where_rain_would_be_known():
    record = Daily(
        "s", D(2027, 8, 1), np.zeros(60), np.full(60, np.nan), np.full(60, np.nan)
    )  # to September 29
    said = [
        any("no planting rain" in note for note in plant(jobs(today, known)).notes)
        for today, known in (
            (D(2027, 9, 30), rain_known(record, {}, {}, D(2027, 9, 30))),
            (D(2027, 10, 8), rain_known(record, {}, {}, D(2027, 10, 8))),  # an old record
            (D(2027, 9, 30), Rain()),  # no record
            (D(2027, 9, 24), rain_known(record, {}, {}, D(2027, 9, 24))),  # not yet late
        )
    ]
    assert said == [True, False, False, False]


def test_the_gauge_of_the_person_comes_before_the_station():
    record = Daily(
        "s", D(2027, 9, 1), np.full(29, 0.2), np.full(29, np.nan), np.full(29, np.nan)
    )
    known = rain_known(
        record, {D(2027, 9, 5): 0.0, D(2027, 10, 1): 9.0}, {}, D(2027, 9, 10)
    )
    assert known.by_day[D(2027, 9, 5)] == 0.0
    assert known.by_day[D(2027, 9, 6)] == 0.2
    assert max(known.by_day) == D(2027, 9, 10)
    assert known.record_last == D(2027, 9, 10)


def test_the_settings_say_what_a_planting_rain_is():
    prop = replace(PLACE, weather=Weather("w.csv", rain_in=1.0, rain_days=2))
    dry = plant(jobs(D(2027, 9, 29), Rain({D(2027, 9, 28): 0.8}), prop=prop))
    wet = plant(
        jobs(D(2027, 9, 29), Rain({D(2027, 9, 27): 0.3, D(2027, 9, 28): 0.8}), prop=prop)
    )
    assert not any("rain fell" in note for note in dry.notes)
    assert any("1.1 in of rain fell" in note for note in wet.notes)


def test_another_mix_is_offered_when_the_window_is_over():
    def offers(today, until=None, prop=PLACE):
        waits = {"P": Wait(today, until, True)} if until else {}
        plan = jobs(today, Rain({}, None, waits), prop=prop)
        return [row.text for row in conflicts(plan, prop, None) if row.code == "other-mix"]

    own = replace(
        PLACE,
        mix=(*PLACE.mix, Mix("spring", (Seed("corn"),))),
        crop={
            "oats": CropRule("Sep 1-Oct 1"),
            "cereal rye": CropRule("Sep 1-Nov 30"),
            "corn": CropRule("Apr 1-May 1"),
        },
    )
    assert offers(D(2027, 9, 20), prop=own) == []
    (text,) = offers(D(2027, 9, 28), D(2027, 10, 10), own)
    assert "“late” until November 30" in text
    assert "spring" not in text
    only = replace(own, mix=own.mix[:1])
    (text,) = offers(D(2027, 9, 28), D(2027, 10, 10), only)
    assert "None of your other mixes" in text
