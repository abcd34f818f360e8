"""What is said of trips, machines and strips, and which day or planting is meant, by hand."""

import datetime as dt
from dataclasses import replace

import pytest

from quietacre.quiet import seasons
from quietacre.settings import Area, Mix, Property, PropertyInfo, Quiet, Seed, Work
from quietacre.year.asked import nearer, rank, wishes
from quietacre.year.capacity import DayCapacity
from quietacre.year.conflicts import conflicts
from quietacre.year.plan import Planned
from quietacre.year.report import _hours, bound_words
from quietacre.year.rings import WorkedRing
from quietacre.year.steps import STEPS, planting_meant
from quietacre.year.task import Task
from quietacre.year.workdays import Assigned

D = dt.date
TODAY = D(2027, 1, 2)
SATURDAY = D(2027, 9, 18)
HOME = Property(PropertyInfo("Home"), work=Work())


def job(uid="a", day=SATURDAY, **more):
    usual = {
        "area": "P", "area_id": "a01", "kind": "plot", "task": "clip", "label": "clip",
        "earliest": day, "ideal": day, "latest": day, "minutes": 60.0, "machine": "mower",
        "reason": "", "scheduled": day,
    }  # fmt: skip
    return Task(uid=uid, **{**usual, **more})


def planned(*tasks, quiet=(), today=TODAY, assigned=None):
    found = seasons(quiet, 2027, 2028)
    return Planned(list(tasks), found, assigned or Assigned(), today)


def said(code, *tasks, prop=HOME, strips=(), **more):
    rows = conflicts(planned(*tasks, **more), prop, None, strips)
    return [row.text for row in rows if row.code == code]


# trips


def trips(count, **more):
    return Assigned({SATURDAY + dt.timedelta(n): 60.0 for n in range(count)}, **more)


@pytest.mark.parametrize(
    ("out", "missed", "text"),
    [
        (trips(3, trips_least=3), 0, "3 trips; with these jobs it cannot be done in fewer."),
        (trips(3, trips_least=2), 0,
         "3 trips; with these jobs it cannot be done in fewer than 2."),
        (trips(3, trips_least=3, asked=1), 0,
         "3 trips; with the days you asked for it cannot be done in fewer."),
        (trips(3, trips_least=3, late_days=5, late_least=5), 0,
         "3 trips; with these jobs it cannot be done in fewer. Added up, jobs come 5 days after "
         "their best days; with as many trips it cannot be less."),
        (trips(3, trips_least=3, late_days=5, late_least=4), 0,
         "3 trips; with these jobs it cannot be done in fewer. Added up, jobs come 5 days after "
         "their best days; with as many trips it cannot be less than 4."),
        (trips(3, trips_least=3), 1,
         "3 trips; with these jobs it cannot be done in fewer. 1 task does not fit."),
        (trips(3, trips_least=3, unplaced_least=1), 2,
         "3 trips; with these jobs it cannot be done in fewer. 2 tasks do not fit, and at least 1 "
         "in any plan."),
    ],
)  # fmt: skip
def test_what_is_proved_of_the_trips(out, missed, text):
    assert bound_words(out, missed) == text


def test_the_hours_of_each_month_and_those_that_have_no_day():
    used = {D(2027, 9, 4): 90.0, D(2027, 9, 11): 30.0, D(2027, 10, 2): 60.0}
    left = (
        job("a", D(2027, 11, 6), status="unplaced", minutes=45.0),
        job("b", D(2027, 9, 4), status="unplaced", minutes=15.0),
        job("c", D(2027, 9, 5), status="unplaced", minutes=15.0),
        job("d", D(2027, 9, 4), status="unplaced", passed=True),
    )
    found = _hours(planned(*left, assigned=Assigned(used)))
    assert list(vars_of(found)) == [
        {"2027-09": 2.0, "2027-10": 1.0}, {"2027-09": 0.5, "2027-11": 0.75},
    ]  # fmt: skip


def vars_of(row):
    return [getattr(row, name) for name in type(row).__dataclass_fields__]


# days asked for


def test_a_day_asked_for_is_best_then_a_good_one_then_the_nearer():
    plant = job(asked=SATURDAY, poor=frozenset({D(2027, 9, 19)}))
    days = [D(2027, 9, n) for n in (10, 17, 18, 19, 20)]
    assert sorted(days, key=lambda day: rank(plant, day)) == [
        D(2027, 9, n) for n in (18, 17, 20, 10, 19)
    ]


def test_what_another_day_costs_a_planting():
    """A month off counts one more than a day off; a day that a rule speaks against ten more."""
    plant = job(asked=SATURDAY, poor=frozenset({D(2027, 9, 3)}))
    days = {"a": [D(2027, 8, 19), D(2027, 9, 3), SATURDAY, D(2027, 10, 18)]}
    found = wishes({"a": plant}, days, ["a"])
    assert list(found.values()) == pytest.approx([2.0, 11.5, 0.0, 2.0])


@pytest.mark.parametrize(("minutes", "day"), [(240.0, SATURDAY), (241.0, D(2027, 9, 25))])
def test_a_planting_takes_the_nearer_day_while_it_has_the_minutes(minutes, day):
    tasks = {"a": job("a", asked=SATURDAY, minutes=240.0), "b": job("b", minutes=minutes)}
    at = {"a": D(2027, 9, 25), "b": SATURDAY}
    days = {"a": [D(2027, 9, 10), SATURDAY, D(2027, 9, 25)], "b": [SATURDAY]}
    nearer(tasks, days, [], DayCapacity.of(Work()), at, ["a"])
    assert at == {"a": day, "b": SATURDAY}


@pytest.mark.parametrize(("lag", "day"), [(7, SATURDAY), (8, D(2027, 9, 25))])
def test_moved_nearer_it_keeps_its_spacing_to_what_comes_before(lag, day):
    tasks = {"a": job("a", asked=SATURDAY), "b": job("b")}
    at = {"a": D(2027, 9, 25), "b": D(2027, 9, 11)}
    days = {"a": [SATURDAY, D(2027, 9, 25)], "b": [D(2027, 9, 11)]}
    nearer(tasks, days, [("b", "a", lag)], DayCapacity.of(Work()), at, ["a"])
    assert at["a"] == day


# machines and strips


def test_days_that_want_two_machines_of_one_tractor_are_listed_up_to_twelve():
    def both(number):
        day = D(2027, 9, 1) + dt.timedelta(days=number)
        return job(f"m{number}", day), job(f"d{number}", day, machine="disk")

    (text,) = said("machines-at-once", *both(0))
    assert text.startswith(
        "1 day wants more implements than the one tractor can pull at once (September 1 disk + mower)"
    )
    assert "tractors = 2 under [work]" in text
    twelve = [task for n in range(12) for task in both(n)]
    (text,) = said("machines-at-once", *twelve)
    assert text.startswith("12 days want more")
    assert "; and" not in text
    (text,) = said("machines-at-once", *twelve, *both(12))
    assert "; and 1 more)" in text
    two = replace(HOME, work=Work(tractors=2))
    assert said("machines-at-once", *both(0), prop=two) == []
    drag = job("x", D(2027, 9, 1), machine="drag")
    (text,) = said("machines-at-once", *both(0), drag, prop=two)
    assert "the 2 tractors can pull" in text
    assert said("machines-at-once", job(), job("b", machine="on foot")) == []
    assert said("machines-at-once", job(), job("b", machine="disk", status="done")) == []


NESTING = Quiet("nesting", "05-15", "07-03", ("patch",))
STRIP = WorkedRing("s01", "a02", "V strip", "strip", 1.0, 900.0, width_ft=60.0)


def cut(uid, day, **more):
    return job(uid, day, task="strip cut", area="V strip", kind="patch", **more)


@pytest.mark.parametrize(("days_before", "said_of"), [(35, True), (36, False)])
def test_a_season_is_told_of_where_a_cut_stands_within_five_weeks_before_it(
    days_before, said_of
):
    last = D(2027, 5, 15) - dt.timedelta(days=days_before)
    cuts = (cut("a", last), cut("b", D(2027, 7, 4)))
    found = said("strip-against-season", *cuts, quiet=(NESTING,), strips=(STRIP,))
    assert bool(found) is said_of


def test_the_cuts_round_a_season_are_named():
    cuts = (cut("a", D(2027, 4, 20)), cut("b", D(2027, 5, 8)), cut("c", D(2027, 7, 10)))
    (text,) = said("strip-against-season", *cuts, quiet=(NESTING,), strips=(STRIP,))
    assert text.startswith(
        "no cut from May 15 to July 3 (nesting, 50 days) while the vine runs: cut it short on May 8, "
    )
    assert "and again on July 10" in text
    # without a cut after it in the plan, the person's next day: July 4, a Sunday
    (text,) = said("strip-against-season", *cuts[:2], quiet=(NESTING,), strips=(STRIP,))
    assert "and again on July 4" in text


def test_a_cut_that_was_done_inside_a_season_stands_neither_before_nor_after_it():
    inside = (
        cut("b", D(2027, 5, 15), status="done"),
        cut("c", D(2027, 7, 3), status="done"),
    )
    mine = (cut("a", D(2027, 4, 20)), *inside, cut("d", D(2027, 7, 17)))
    (text,) = said("strip-against-season", *mine, quiet=(NESTING,), strips=(STRIP,))
    assert "cut it short on April 20, " in text
    assert "and again on July 17." in text
    # the first Monday after July 3
    mondays = replace(HOME, work=Work(("mon",)))
    found = said(
        "strip-against-season", *mine[:-1], quiet=(NESTING,), strips=(STRIP,), prop=mondays
    )
    assert "and again on July 5." in found[0]


@pytest.mark.parametrize(("today", "count"), [(D(2027, 7, 3), 1), (D(2027, 7, 4), 0)])
def test_a_season_is_told_of_until_its_last_day(today, count):
    cuts = (cut("a", D(2027, 5, 8)), cut("b", D(2027, 7, 10)))
    found = said("strip-against-season", *cuts, quiet=(NESTING,), today=today)
    assert len(found) == count


def test_a_season_of_winter_keeps_nobody_from_a_vine_that_does_not_run():
    winter = Quiet("deer", "12-01", "12-31", ("patch",))
    assert said("strip-against-season", cut("a", D(2027, 11, 20)), quiet=(winter,)) == []


# which planting a job was done for


@pytest.mark.parametrize(
    ("task", "on", "year"),
    [
        # what goes before is of the next, until a month after its day
        ("clip", D(2027, 8, 1), 2027), ("clip", D(2027, 10, 25), 2027),
        ("clip", D(2027, 10, 26), 2028), ("clip", D(2029, 1, 1), 2028),
        # what comes after is of the last, from a month before its day
        ("top-dress", D(2028, 3, 1), 2027), ("top-dress", D(2028, 8, 25), 2027),
        ("top-dress", D(2028, 8, 26), 2028), ("top-dress", D(2027, 1, 1), 2027),
        # a planting is of the nearest, the sooner of two as near
        ("plant", D(2028, 3, 25), 2027), ("plant", D(2028, 3, 27), 2028),
    ],
)  # fmt: skip
def test_a_job_is_of_the_planting_it_was_done_for(task, on, year):
    """September 25 of 2027 and 2028: March 26 lies midway."""
    assert planting_meant(task, on, [D(2027, 9, 25), D(2028, 9, 25)]).year == year


def test_every_step_has_its_best_day_within_its_days():
    for step in STEPS:
        assert step.earliest >= step.ideal >= step.latest, step.task
    assert (
        planting_meant("job", D(2028, 3, 26), [D(2027, 9, 26), D(2028, 9, 24)]).year == 2027
    )


# planting windows


def window_texts(crop, plant, *, place=None, **more):
    mix = Mix("m", (Seed(crop, rate_lb_ac=20.0, **more),))
    area = Area("P", "plot", "p.gpx", plant=plant, mix="m")
    prop = Property(
        PropertyInfo("Home", **(place or {})), area=(area,), mix=(mix,), work=Work()
    )
    found = conflicts(planned(), prop, None)
    return {row.code: str(row.text) for row in found}


def test_a_crop_without_a_window_is_held_against_none():
    told = window_texts("rye of mine", SATURDAY)
    assert told["no-crop-window"].startswith(
        "rye of mine: no planting window was read, so September 18 is held against none"
    )
    assert told["no-crop-window"].endswith(
        '“Planting window” (window under [crop."rye of mine"] in property.toml).'
    )
    told = window_texts("rye-2", SATURDAY, place={"state": "AL"})
    assert "no planting window was read for Alabama" in told["no-crop-window"]
    assert "window under [crop.rye-2] in property.toml)." in told["no-crop-window"]
    assert (
        'window under [crop."säbel"] in property.toml).'
        in window_texts("säbel", SATURDAY)["no-crop-window"]
    )


@pytest.mark.parametrize(
    ("day", "outside"),
    [(D(2027, 8, 31), True), (D(2027, 9, 1), False), (D(2027, 9, 30), False), (D(2027, 10, 1), True)],
)  # fmt: skip
def test_a_window_of_ones_own_holds_from_its_first_day_to_its_last(day, outside):
    told = window_texts("oats", day, plant_from="09-01", plant_to="09-30")
    assert ("outside-crop-window" in told) is outside
    if outside:
        text = told["outside-crop-window"]
        assert "is outside your own window, September 1 to 30" in text
        assert "(window under [crop.oats] in property.toml)" in text


def test_what_is_printed_for_the_state_is_told():
    told = window_texts("oats", D(2027, 5, 1), place={"state": "AL"})
    assert "is outside what is printed for Alabama (" in told["outside-crop-window"]
    everywhere = window_texts("oats", D(2027, 5, 1))
    assert "is outside every window of the table (" in everywhere["outside-crop-window"]
