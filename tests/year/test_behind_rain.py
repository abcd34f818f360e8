"""A planting goes behind the rain that fell, or waits for the day that the log names."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest

from quietacre.daily import Daily
from quietacre.figures import printed
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
    made = [note for note in task.notes if "in of rain fell" in printed(note)]
    big = sum(fell.values()) >= 0.5 and today - max(fell) <= dt.timedelta(days=MOIST_DAYS)
    assert bool(made) == big


@pytest.mark.parametrize(
    ("blocked", "aimed"),
    [
        # rain fell on September 26: two weeks from the 27th, the first day that one has
        (0, D(2027, 9, 27)), (12, D(2027, 10, 9)), (13, D(2027, 10, 10)), (14, D(2027, 9, 27)),
    ],
)  # fmt: skip
def test_behind_rain_the_first_day_of_one_s_own_within_two_weeks_is_aimed_at(
    blocked, aimed
):
    days = tuple(D(2027, 9, 27) + dt.timedelta(n) for n in range(blocked))
    prop = replace(PLACE, work=replace(PLACE.work, blocked_days=days))
    today = D(2027, 9, 26)
    assert plant(jobs(today, Rain({today: 0.6}), prop=prop)).ideal == aimed


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
    assert any("1.1 in of rain fell" in printed(note) for note in wet.notes)


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


# at the edges: the first and last day on which each rule still holds

SATURDAY = D(2027, 9, 25)


def text_of(task):
    return printed(" ".join(task.notes))


@pytest.mark.parametrize(("today", "moist"), [(D(2027, 10, 4), True), (D(2027, 10, 5), False)])  # fmt: skip
def test_ground_is_moist_for_five_days_after_a_rain(today, moist):
    task = plant(jobs(today, Rain({D(2027, 9, 29): 0.6})))
    assert ("0.6 in of rain fell up to September 29" in text_of(task)) is moist
    if moist:
        assert "sow behind it, by about October 4 while" in text_of(task)


def test_a_rain_at_the_end_of_the_planting_days_makes_them_longer():
    """The 25th may wait until October 9; rain on the 8th leaves the ground moist to the 13th."""
    task = plant(jobs(D(2027, 10, 8), Rain({D(2027, 10, 8): 0.7})))
    assert (task.asked, task.latest) == (D(2027, 10, 9), D(2027, 10, 13))
    early = plant(jobs(D(2027, 9, 27), Rain({D(2027, 9, 26): 0.7})))
    assert early.latest == D(2027, 10, 9)


def test_a_rain_of_the_very_inches_within_the_very_days_is_a_planting_rain():
    rain = Rain({D(2027, 9, 24): 0.2, D(2027, 9, 26): 0.3})
    assert rain.planting_rain(D(2027, 9, 20), D(2027, 9, 30), 0.5, 3) == (
        D(2027, 9, 26),
        0.5,
    )
    assert rain.planting_rain(D(2027, 9, 20), D(2027, 9, 30), 0.5, 2) is None
    assert rain.planting_rain(D(2027, 9, 20), D(2027, 9, 30), 0.51, 3) is None
    assert rain.planting_rain(D(2027, 9, 26), D(2027, 9, 26), 0.5, 3) is not None
    assert rain.planting_rain(D(2027, 9, 27), D(2027, 9, 30), 0.5, 9) is None
    assert rain.planting_rain(D(2027, 9, 20), D(2027, 9, 25), 0.5, 9) is None
    # a dry day after it is no day of rain
    dry = Rain({D(2027, 9, 26): 0.6, D(2027, 9, 27): 0.0})
    assert dry.planting_rain(D(2027, 9, 20), D(2027, 9, 30), 0.5, 7) == (
        D(2027, 9, 26),
        0.6,
    )


@pytest.mark.parametrize(("said", "holds"), [(D(2027, 7, 24), True), (D(2027, 7, 23), False)])  # fmt: skip
def test_a_word_on_waiting_counts_from_sixty_days_before_the_planting_days(said, holds):
    """They begin on September 22: 60 days before is July 24."""
    waits = {"P": Wait(said, D(2027, 10, 2), True)}
    task = plant(jobs(D(2027, 8, 1), Rain({}, None, waits)))
    assert task.asked == (D(2027, 10, 2) if holds else SATURDAY)


def test_a_wait_that_ends_on_the_planting_day_moves_nothing():
    waits = {"P": Wait(D(2027, 9, 20), SATURDAY, True)}
    task = plant(jobs(D(2027, 9, 20), Rain({}, None, waits)))
    assert (task.asked, task.notes) == (SATURDAY, [])
    later = {"P": Wait(D(2027, 9, 20), D(2027, 9, 26), True)}
    task = plant(jobs(D(2027, 9, 20), Rain({}, None, later)))
    assert (task.earliest, task.asked, task.latest) == (
        D(2027, 9, 26), D(2027, 9, 26), D(2027, 10, 10),
    )  # fmt: skip


def test_a_wait_without_a_day_says_that_it_is_a_week():
    for given in (True, False):
        waits = {"": Wait(D(2027, 9, 25), D(2027, 10, 2), given)}
        task = plant(jobs(D(2027, 9, 25), Rain({}, None, waits)))
        assert ("a week, for the line names no day" in text_of(task)) is not given


@pytest.mark.parametrize(
    ("today", "last", "said"),
    [
        (D(2027, 9, 25), D(2027, 9, 25), False),  # the day asked for itself
        (D(2027, 9, 26), D(2027, 9, 26), True),
        (D(2027, 9, 30), D(2027, 9, 26), True),  # four days old
        (D(2027, 9, 30), D(2027, 9, 25), False),
        (D(2027, 10, 9), D(2027, 10, 9), True),  # its last day
        (D(2027, 10, 10), D(2027, 10, 10), False),
    ],
)
def test_no_rain_is_said_from_the_day_asked_for_to_the_last_by_a_fresh_record(
    today, last, said
):
    task = plant(jobs(today, Rain({}, last)))
    assert ("no planting rain (0.5 in within 7 days) is known" in text_of(task)) is said


def test_the_last_366_days_of_a_record_are_looked_at():
    today = D(2027, 9, 10)
    days = 500
    lows = np.full(days, np.nan)
    rain = np.full(days, 0.1)
    rain[-3:] = np.nan
    start = today - dt.timedelta(days=days - 1)
    known = rain_known(Daily("s", start, rain, lows, lows), {}, {}, today)
    assert (min(known.by_day), max(known.by_day)) == (D(2026, 9, 10), D(2027, 9, 7))
    assert known.record_last == D(2027, 9, 7)
    empty = rain_known(Daily("s", start, lows, lows, lows), {}, {}, today)
    assert (empty.by_day, empty.record_last) == ({}, None)


def test_of_a_word_for_the_plot_and_one_for_all_the_last_counts():
    early, late = (Wait(D(2027, 9, n), D(2027, 10, n), True) for n in (10, 20))
    assert Rain(waits={"P": early, "": late}).waited("P") == late
    assert Rain(waits={"P": late, "": early}).waited("P") == late
    assert Rain(waits={"Q": late}).waited("P") is None


def test_another_mix_is_looked_for_within_ninety_days_and_told_from_when():
    """Rye's window opens on October 15, more than a week from September 28: from then on."""
    own = replace(PLACE, crop={
        "oats": CropRule("Sep 1-Sep 26"), "cereal rye": CropRule("Oct 15-Nov 30"),
    })  # fmt: skip
    plan = jobs(D(2027, 9, 28), prop=own)
    (text,) = [row.text for row in conflicts(plan, own, None) if row.code == "other-mix"]
    assert "“late” from October 15 to November 30" in text
    for opens, words in (("Oct 5", "“late” until"), ("Oct 6", "“late” from October 6 to")):
        near = replace(own, crop={**own.crop, "cereal rye": CropRule(f"{opens}-Nov 30")})
        (text,) = [r.text for r in conflicts(plan, near, None) if r.code == "other-mix"]
        assert words in text
    far = replace(own, crop={**own.crop, "cereal rye": CropRule("Dec 27-Dec 31")})
    (text,) = [r.text for r in conflicts(plan, far, None) if r.code == "other-mix"]
    assert "from December 27 to December 27" in text
    out = replace(own, crop={**own.crop, "cereal rye": CropRule("Dec 28-Dec 31")})
    (text,) = [r.text for r in conflicts(plan, out, None) if r.code == "other-mix"]
    assert "None of your other mixes has a day within 90 days" in text


def test_a_planting_rain_is_that_of_its_days_and_just_enough():
    wet = D(2027, 9, 24)

    def found(by_day, first=wet, last=wet):
        return Rain(by_day).planting_rain(first, last, 0.5, 3)

    assert found({wet: 0.5}) == (wet, 0.5)
    assert found({wet: 0.49}) is None
    assert found({wet: 0.5}, last=wet + dt.timedelta(2)) == (wet, 0.5)
    assert (
        found({wet: 0.5}, first=wet + dt.timedelta(1), last=wet + dt.timedelta(9)) is None
    )
    for days, enough in ((2, True), (3, False)):
        both = {wet - dt.timedelta(days): 0.25, wet: 0.25}
        assert (found(both) is not None) is enough


def test_the_rain_of_a_year_and_of_today_is_known():
    today, none = D(2027, 9, 20), np.full(500, np.nan)
    assert rain_known(None, {today: 1.0, D(2027, 9, 21): 2.0}, {}, today) == Rain(
        {today: 1.0}
    )
    start = today - dt.timedelta(499)
    known = rain_known(Daily("s", start, np.full(500, 0.1), none, none), {}, {}, today)
    assert (min(known.by_day), known.record_last) == (today - dt.timedelta(365), today)
    old = np.full(500, np.nan)
    old[0] = 0.3
    assert rain_known(Daily("s", start, old, none, none), {}, {}, today) == Rain()


@pytest.mark.parametrize(
    ("today", "last", "said"),
    [
        (D(2027, 9, 25), D(2027, 9, 25), False),  # its day has not passed
        (D(2027, 9, 26), D(2027, 9, 26), True),
        (D(2027, 10, 3), D(2027, 9, 29), True),  # known up to four days ago
        (D(2027, 10, 4), D(2027, 9, 29), False),
        (D(2027, 10, 9), D(2027, 10, 9), True),  # the last of its days
        (D(2027, 10, 10), D(2027, 10, 10), False),
    ],
)
def test_a_dry_planting_is_told_while_it_is_late_and_the_rain_is_known(today, last, said):
    notes = plant(jobs(today, Rain({}, last))).notes
    assert any("no planting rain" in note for note in notes) is said


def test_a_wait_until_the_day_itself_is_no_wait():
    for until, waits in ((D(2027, 9, 25), False), (D(2027, 9, 26), True)):
        wait = {"P": Wait(D(2027, 9, 23), until, True)}
        task = plant(jobs(D(2027, 9, 24), Rain({}, None, wait)))
        assert any("it waits until" in note for note in task.notes) is waits
        assert task.asked == until
