"""Jobs that have a day or none left, and what may be sown instead, worked to the day."""

import datetime as dt
import hashlib
from types import SimpleNamespace

import pytest

from quietacre.plantings import sown_of
from quietacre.quiet import seasons
from quietacre.settings import (
    Area,
    Mix,
    Planting,
    Property,
    PropertyInfo,
    Quiet,
    Round,
    Seed,
    TaskRule,
    Work,
)
from quietacre.year.backward import plot_tasks
from quietacre.year.moves import in_order, out_of_season, trim
from quietacre.year.other_mix import other_mixes
from quietacre.year.plan import Planned
from quietacre.year.rings import WorkedRing
from quietacre.year.rounds import round_notes
from quietacre.year.strip_jobs import strip_tasks
from quietacre.year.takes import NOTHING
from quietacre.year.task import Task
from quietacre.year.workdays import Assigned

D = dt.date
DAY = dt.timedelta(days=1)
PLANT, WINTER, LATE = D(2027, 9, 25), D(2027, 1, 2), D(2027, 10, 5)
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
OATS = Mix("m", (Seed("oats", plant_from="08-15", plant_to="10-01"),))


def job(uid="a", **more):
    usual = {
        "area": "P", "area_id": "a01", "kind": "plot", "task": "mend", "label": "mend",
        "earliest": D(2027, 8, 2), "ideal": D(2027, 8, 4), "latest": D(2027, 8, 6),
        "minutes": 60.0, "machine": "mower", "reason": "",
    }  # fmt: skip
    return Task(uid=uid, **{**usual, **more})


def window(task):
    return task.earliest, task.ideal, task.latest


def found(*quiet):
    return seasons(quiet, 2026, 2028)


def test_a_job_in_a_week_without_a_day_of_ones_own_stays_where_no_season_shuts_it():
    """August 2, 2027 is a Monday, the 6th a Friday; the person has Saturdays."""
    task, saturdays = job(), Work(("sat",))
    out_of_season(task, PLANT, (), saturdays)
    assert (window(task), task.notes) == (window(job()), [])
    half = found(Quiet("half", "08-02", "08-05"))
    out_of_season(task, PLANT, half, saturdays)
    assert (window(task), task.notes) == (window(job()), [])
    out_of_season(task, PLANT, found(Quiet("whole", "08-02", "08-06")), saturdays)
    assert task.latest == D(2027, 8, 1)
    assert task.earliest == D(2027, 7, 19)


def test_a_job_whose_one_day_of_ones_own_is_quiet_moves_before_that_season():
    """August 7, 2027 is the one Saturday of August 2 to 13; both ends are open weekdays."""
    task = job(latest=D(2027, 8, 13))
    out_of_season(task, PLANT, found(Quiet("fair", "08-07", "08-07")), Work(("sat",)))
    assert window(task) == (D(2027, 7, 24), D(2027, 8, 6), D(2027, 8, 6))
    (note,) = task.notes
    assert str(note).startswith("falls in the fair season; moved before it, to August 6 or")
    task = job(latest=D(2027, 8, 13))
    out_of_season(task, PLANT, found(Quiet("other", "08-08", "08-08")), Work(("sat",)))
    assert (window(task), task.notes) == (window(job(latest=D(2027, 8, 13))), [])
    backward = job(earliest=D(2027, 8, 7))  # it has no day at all
    out_of_season(backward, PLANT, found(Quiet("fair", "08-01", "08-31")), Work(("sat",)))
    assert (window(backward), backward.notes) == (window(job(earliest=D(2027, 8, 7))), [])


def test_of_a_window_with_one_open_day_that_day_is_left():
    shut = found(Quiet("one", "08-01", "08-04"), Quiet("two", "08-06", "08-20"))
    task = job()
    trim(task, shut)
    assert window(task) == (D(2027, 8, 5),) * 3
    whole = job()
    trim(whole, found(Quiet("all", "08-01", "08-20")))
    assert window(whole) == window(job()), "it says so when it gets no day"


@pytest.mark.parametrize(("lag", "moved"), [(14, False), (15, True)])
def test_a_job_whose_last_day_just_leaves_the_time_is_not_moved(lag, moved):
    """Over on August 6; what follows must be done by the 20th. The first has no open day."""
    first, second = job(), job("b", earliest=D(2027, 8, 9), latest=D(2027, 8, 20))
    shut = found(Quiet("q", "08-01", "08-08"))
    in_order({"x": first, "y": second}, [("x", "y", lag)], set(), PLANT, shut, EVERY_DAY)
    assert (first.latest != D(2027, 8, 6)) is moved


# a plot's own jobs


def plot(**more):
    return Area("P", "plot", "p.gpx", **{"plant": PLANT, "mix": "m", **more})


def place(*areas, mix=(OATS,), **more):
    return Property(
        PropertyInfo("Home"), area=areas or (plot(),), mix=mix, work=EVERY_DAY, **more
    )


def jobs(prop, today=WINTER, quiet=()):
    return [
        task
        for sown in sown_of(prop)
        for task in plot_tasks(sown, 2.0, NOTHING, prop, found(*quiet), today)
    ]


@pytest.mark.parametrize(
    ("today", "last"),
    [
        (D(2027, 4, 28), None),
        (D(2027, 4, 29), D(2027, 5, 19)),
        (D(2027, 8, 5), D(2027, 8, 25)),
        (D(2027, 8, 6), D(2027, 8, 25)),
        (D(2027, 8, 25), D(2027, 8, 25)),
        (D(2027, 8, 26), None),
    ],
)
def test_a_late_soil_test_has_twenty_days_and_none_within_a_month_of_planting(today, last):
    """Due by April 28, 150 days before; worth its while until August 25, 31 days before."""
    (test,) = [task for task in jobs(place(), today) if task.task == "soil test"]
    assert (test.latest if test.due_by else None) == last
    if last:
        assert (test.earliest, test.due_by) == (today, D(2027, 4, 28))


def test_a_late_soil_test_in_a_quiet_season_comes_after_it():
    nesting = Quiet("nesting", "05-15", "07-03")
    (test,) = [
        task
        for task in jobs(place(), D(2027, 5, 20), (nesting,))
        if task.task == "soil test"
    ]
    assert window(test) == (D(2027, 7, 4), D(2027, 7, 4), D(2027, 7, 17))


def test_who_leaves_the_sowing_out_has_the_other_jobs_by_the_day_that_was_written():
    """Six weeks before September 25 is August 14, whatever season shuts the planting."""
    shut = (Quiet("opening", "09-10", "10-20"),)
    skip = place(plot(tasks=(TaskRule("plant", skip=True),)))
    for prop, last in ((skip, D(2027, 8, 14)), (place(), D(2027, 7, 29))):
        (clip,) = [task for task in jobs(prop, quiet=shut) if task.task == "clip"]
        assert clip.latest == last


def letters(*words):
    return hashlib.sha256("\x1f".join(words).encode()).hexdigest()[:20]


def test_a_job_keeps_its_letters_within_its_year_and_a_second_planting_has_its_own():
    rows = (Planting("m", PLANT), Planting("n", D(2027, 5, 10)))
    two = place(Area("P", "plot", "p.gpx", plantings=rows), mix=(OATS, Mix("n", OATS.seed)))
    for prop, lasting in ((place(), [()]), (two, [(), ("n",)])):
        clips = [task.lasting for task in jobs(prop) if task.task == "clip"]
        assert clips == [letters("Home", "P", "clip", "2027", *more) for more in lasting]


# another mix


def offered(*mixes, today=LATE, **more):
    """Return what is offered when every day that is left is against the windows of the first."""
    prop = place(mix=(OATS, *mixes))
    usual = {
        "task": "plant", "planting": "a01", "asked": PLANT, "earliest": D(2027, 9, 22),
        "latest": D(2027, 10, 9), "poor": frozenset(PLANT + n * DAY for n in range(-3, 15)),
    }  # fmt: skip
    task = job(**{**usual, **more})
    texts = [
        str(text)
        for _, text in other_mixes(Planned([task], (), Assigned(), today), prop, None)
    ]
    assert len(texts) < 2
    return texts[0] if texts else None


def late(start, end="11-10"):
    return Mix("late", (Seed("wheat", plant_from=start, plant_to=end),))


@pytest.mark.parametrize(
    ("mix", "words"),
    [
        (late("10-13"), "“late” from October 13 to November 10."),
        (late("10-12"), "“late” until November 10."),
        (late("09-01", "10-05"), "“late” until October 5."),
        (late("12-01", "02-28"), "“late” from December 1 to January 3."),
        (late("01-03", "02-28"), "“late” from January 3 to January 3."),
        (late("01-04", "02-28"), "None of your other mixes has a day within 90 days"),
        (Mix("late", (Seed("rye of mine", rate_lb_ac=60.0),)), "None of your other mixes"),
        (Mix("late", ()), "None of your other mixes"),
    ],
)
def test_another_mix_is_offered_within_ninety_days_by_its_own_window(mix, words):
    """On October 5: a week on is the 12th, ninety days on January 3."""
    assert words in offered(mix)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"today": PLANT}, True),
        ({"today": PLANT - DAY}, False),
        ({"today": PLANT - DAY, "asked": PLANT + DAY}, True),
        ({"today": PLANT - DAY, "asked": PLANT - DAY}, False),
        ({"asked": None}, False),
        ({"status": "done"}, False),
        ({"task": "clip"}, False),
        ({"planting": "a02"}, False),
        ({"latest": D(2027, 10, 10)}, False),  # one good day is left
    ],
)
def test_it_is_offered_from_the_day_of_planting_on_or_when_that_was_moved(more, told):
    assert (offered(late("10-12"), **more) is not None) is told


def test_a_round_for_no_ground_says_for_what_it_is():
    for more, what in (({"kind": "road"}, "road"), ({"area": "Hill road"}, "Hill road")):
        rule = Round("clip", every="1 year", months=("04-15", "07-31"), **more)
        (note,) = round_notes(place(round=(rule,)), {}, PLANT, PLANT + 365 * DAY, {})
        assert f"the round “clip” is for {what}, and no area is that" in note.text


@pytest.mark.parametrize(
    ("last", "told"),
    [(D(2026, 12, 31), False), (D(2027, 1, 1), True), (D(2027, 1, 20), True)],
)
def test_a_look_at_a_strip_is_of_the_calendar_year_its_last_day_is_in(
    monkeypatch, last, told
):
    """Asked in June: what was over by New Year's Eve is of the year before."""
    look = SimpleNamespace(
        task="strip inspection", key="look", label="look", earliest=last - 5 * DAY,
        ideal=last - 2 * DAY, latest=last, reason="",
    )  # fmt: skip
    monkeypatch.setattr("quietacre.year.strip_jobs.dated_cuts", lambda *_, **__: [look])
    patch = Area("V", "patch", "v.gpx")
    ring = WorkedRing("s01", "a01", "V strip", "strip", 2.0, 1760.0)

    def made(logged=()):
        days = D(2027, 6, 1), D(2027, 12, 31)
        return list(strip_tasks(ring, [patch], place(patch), (), *days, logged))

    assert bool(made()) is told
    assert made((last,)), "the log has it"
