"""What would make the work fit: what a plan must keep, and each single change by hand."""

import datetime as dt
from dataclasses import replace

import pytest

from quietacre.figures import printed
from quietacre.quiet import seasons
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
from quietacre.year import menu
from quietacre.year.plan import Ground, Planned, plan_days
from quietacre.year.task import Task
from quietacre.year.workdays import Assigned

D = dt.date
#: A Saturday of a person who has the weekends.
DAY = D(2027, 9, 18)
TODAY = D(2027, 1, 2)
SHORT_TO = D(2027, 9, 30)
NESTING = Quiet("nesting", "05-15", "07-03", ("plot",))


def job(uid="a", **more):
    usual = {
        "area": "P", "area_id": "a01", "kind": "plot", "task": "plant", "label": "plant",
        "earliest": DAY, "ideal": DAY, "latest": DAY, "minutes": 480.0, "machine": "mower",
        "reason": "", "scheduled": DAY,
    }  # fmt: skip
    return Task(uid=uid, **{**usual, **more})


def plan(*tasks, quiet=(), today=TODAY):
    return Planned(list(tasks), seasons(quiet, 2027, 2027), Assigned(), today)


def place(*areas, work=None, quiet=(), mix=()):
    return Property(
        PropertyInfo("Home"), area=areas, work=work or Work(), quiet=quiet, mix=mix
    )


def plot(name, plant=DAY, **more):
    return Area(name, "plot", "p.gpx", plant=plant, **more)


# what a plan must keep


@pytest.mark.parametrize(
    ("tasks", "kept"),
    [
        ([job()], True),  # its only day, and all of its eight hours
        ([job(minutes=480.1)], False),
        ([job(minutes=240.0), job("b", minutes=240.0)], True),
        ([job(minutes=240.0), job("b", minutes=241.0)], False),
        # two machines, and one tractor; on foot one needs none, but hours all the same
        ([job(minutes=240.0), job("b", minutes=241.0, machine="disk")], False),
        ([job(minutes=240.0), job("b", minutes=241.0, machine="on foot")], False),
        ([job(minutes=240.0), job("b", minutes=240.0, machine="on foot")], True),
        ([job(earliest=DAY + dt.timedelta(1), latest=DAY + dt.timedelta(9))], False),
        ([job(earliest=D(2027, 9, 1), latest=DAY - dt.timedelta(1))], False),
        ([job(scheduled=D(2027, 9, 20), latest=D(2027, 9, 30))], False),  # a Monday
        ([job(scheduled=D(2027, 9, 20), latest=D(2027, 9, 30), status="done")], True),
        ([job(scheduled=None)], True),
        ([job(), job("b", scheduled=D(2027, 9, 25), latest=D(2027, 9, 25), after=[("a", 7)])], True),
        ([job(), job("b", scheduled=D(2027, 9, 25), latest=D(2027, 9, 25), after=[("a", 8)])], False),
        ([job(after=[("nowhere", 8)])], True),
    ],
)  # fmt: skip
def test_a_plan_keeps_its_days_its_spacing_and_its_hours(tasks, kept):
    assert menu.holds(plan(*tasks), place()) is kept


def test_a_plan_keeps_out_of_a_season_that_is_for_its_ground():
    fall = Quiet("deer", "09-18", "09-18", ("plot",))
    assert not menu.holds(plan(job(), quiet=(fall,)), place())
    assert menu.holds(plan(job(), quiet=(replace(fall, keeps_out=("patch",)),)), place())
    assert menu.holds(
        plan(job(), quiet=(replace(fall, start="09-17", end="09-17"),)), place()
    )


def test_two_people_with_two_tractors_have_two_jobs_of_a_day_but_not_one_mower_twice():
    two = place(work=Work(helpers=1, tractors=2))
    assert menu.holds(plan(job(), job("b", machine="disk")), two)
    assert not menu.holds(plan(job(), job("b")), two)
    one_tractor = place(work=Work(helpers=1))
    assert not menu.holds(plan(job(), job("b", machine="disk")), one_tractor)


# the smallest change that works


@pytest.mark.parametrize("count", [1, 2, 3, 7, 8, 12])
def test_halving_finds_the_first_change_that_works(count):
    trials = [menu.Trial(f"{n}", place()) for n in range(count)]
    for first in range(count):
        asked = []

        def works(trial, first=first, asked=asked):
            asked.append(trial.words)
            return 100 + int(trial.words) if int(trial.words) >= first else None

        trial, trips = menu._least(trials, works)
        assert (trial.words, trips) == (f"{first}", 100 + first)
        assert len(set(asked)) <= 1 + count.bit_length()
    assert menu._least(trials, lambda _: None) is None


def test_without_a_change_to_try_there_is_none():
    assert menu._least([], lambda _: 1) is None


@pytest.mark.parametrize(
    ("hours", "longer"),
    [(12.5, [13.0, 13.5, 14.0]), (13.75, []), (14.0, []), (13.5, [14.0])],
)
def test_days_grow_by_half_hours_to_fourteen(hours, longer):
    trials = menu._longer(place(work=Work(hours_day=hours)))
    assert [trial.prop.work.hours_day for trial in trials] == longer
    assert [trial.words for trial in trials] == [
        f"{new:g} hours a day instead of {hours:g}" for new in longer
    ]


def missed(earliest, latest, **more):
    return job(
        earliest=earliest, latest=latest, ideal=earliest, scheduled=None, status="unplaced",
        **more,
    )  # fmt: skip


def extra(work=None, today=TODAY, last=SHORT_TO):
    tasks = (missed(D(2027, 9, 10), D(2027, 9, 20)), missed(D(2027, 9, 15), last))
    return menu._extra(place(work=work or Work()), plan(*tasks), today)


def test_one_more_weekday_is_tried_week_by_week_from_where_the_time_runs_short():
    """September 10, 2027, is a Friday: the 10th, 17th and 24th lie before the last day."""
    found = extra()
    assert [trial.words for trial in found] == [
        "1 Friday more, September 10, 2027",
        "2 Fridays more, September 10 to 17, 2027",
        "3 Fridays more, September 10 to 24, 2027",
    ]
    days = (D(2027, 9, 10), D(2027, 9, 17), D(2027, 9, 24))
    assert [trial.prop.work.extra_days for trial in found] == [days[:1], days[:2], days]
    # the last of them may be the last day itself
    assert extra(last=D(2027, 9, 24))[-1].prop.work.extra_days == days
    assert extra(last=D(2027, 9, 23))[-1].prop.work.extra_days == days[:2]
    assert extra(today=D(2027, 9, 11))[0].prop.work.extra_days == days[1:2]


def test_days_that_are_blocked_or_the_persons_own_already_are_not_added():
    blocked = extra(Work(blocked_days=(D(2027, 9, 17),)))
    assert blocked[-1].prop.work.extra_days == (D(2027, 9, 10), D(2027, 9, 24))
    own = extra(Work(extra_days=(D(2027, 9, 10),)))
    assert own[0].prop.work.extra_days == (D(2027, 9, 10), D(2027, 9, 17))
    with_fridays = extra(Work(("fri", "sat", "sun")))
    assert with_fridays[0].prop.work.extra_days == (D(2027, 9, 13),), "a Monday"
    every = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    assert extra(Work(every)) == []
    assert len(extra(last=D(2028, 9, 30))) == 24


def test_a_helper_brings_a_tractor():
    (trial,) = menu._help(place(work=Work(helpers=1, tractors=1)))
    assert (trial.prop.work.helpers, trial.prop.work.tractors) == (2, 2)


def test_what_does_not_fit_is_planted_later_inside_its_window():
    own = Mix("m", (Seed("oats", plant_from="09-01", plant_to="10-09"),))
    prop = place(plot("P", mix="m"), plot("Q"), mix=(own,))
    found = menu._later(prop, plan(missed(DAY, DAY)), None)
    assert [trial.words for trial in found] == [
        f"plant P {days} days later, inside the crops' windows" for days in (7, 14, 21)
    ]
    assert [trial.prop.area[0].plant for trial in found] == [
        D(2027, 9, 25), D(2027, 10, 2), D(2027, 10, 9),
    ]  # fmt: skip
    assert {trial.prop.area[1].plant for trial in found} == {DAY}


@pytest.mark.parametrize(
    ("count", "who"), [(1, "P0"), (4, "P0, P1, P2, P3"), (6, "P0, P1, P2, P3 and 2 more")]
)
def test_of_many_plots_to_be_planted_later_four_are_named(count, who):
    areas = [plot(f"P{n}") for n in range(count)]
    short = [missed(DAY, DAY, area=area.name) for area in areas]
    found = menu._later(place(*areas), plan(*short), None)
    assert len(found) == 7
    assert found[-1].words == f"plant {who} 49 days later, inside the crops' windows"


def test_the_smallest_plots_are_left_unplanted_first_and_one_is_kept():
    areas = (plot("Big"), Area("Vine", "patch", "v.gpx"), plot("Small"), plot("Middle"))
    prop = place(*areas)
    ground = Ground(tuple(prop.area_by_id), (3.0, 0.2, 1.0, 2.0), {}, (), TODAY, {})
    found = menu._drop(prop, ground)
    assert [printed(trial.words) for trial in found] == [
        "leave the smallest plot unplanted (1.0 ac)",
        "leave the 2 smallest plots unplanted (3.0 ac)",
    ]
    assert [[a.name for a in t.prop.area if a.plant] for t in found] == [
        ["Big", "Middle"], ["Big"],
    ]  # fmt: skip


# a shorter quiet season


def shorter(earliest, latest, *quiet, **more):
    prop = place(plot("P"), quiet=quiet)
    return menu._quiet(prop, plan(missed(earliest, latest, **more), quiet=quiet))


def test_the_season_before_the_shortage_ends_sooner_step_by_step():
    found = shorter(D(2027, 7, 4), D(2027, 7, 20), NESTING)
    assert [trial.prop.quiet[0].end for trial in found] == [
        "06-26", "06-19", "06-12", "06-05", "05-22",
    ]  # fmt: skip
    assert found[0].words == (
        "only if the rules you are under allow it: end the nesting season 7 days sooner, on "
        "June 26; the birds pay for it"
    )


def test_a_season_is_never_shortened_to_nothing():
    """Three weeks off a season of three weeks and a day would leave its first day only."""
    found = shorter(D(2027, 6, 6), D(2027, 6, 20), replace(NESTING, end="06-05"))
    assert [trial.prop.quiet[0].end for trial in found] == ["05-29", "05-22"]


def test_only_a_season_that_is_for_the_ground_and_has_begun_is_shortened():
    july = D(2027, 7, 4), D(2027, 7, 20)
    assert shorter(*july) == []
    assert shorter(*july, replace(NESTING, keeps_out=("patch",))) == []
    assert shorter(*july, replace(NESTING, keeps_out="all"))
    later = Quiet("deer", "07-20", "12-31", ("plot",))
    assert [t.prop.quiet[0].end for t in shorter(*july, later)][:1] == ["12-24"]
    this_year = [s for s in seasons((later,), 2027, 2027) if s.first.year == 2027]
    before_it = Planned(
        [missed(july[0], D(2027, 7, 19))], tuple(this_year), Assigned(), TODAY
    )
    assert menu._quiet(place(quiet=(later,)), before_it) == []
    begins = Planned([missed(*july)], tuple(this_year), Assigned(), TODAY)
    assert menu._quiet(place(quiet=(later,)), begins), "on the last day of the shortage"
    both = (Quiet("early", "01-10", "02-20"), NESTING)
    assert [t.prop.quiet[0].end for t in shorter(*july, *both)] == ["02-20"] * 5
    no_short = plan(job(), quiet=(NESTING,))
    assert menu._quiet(place(quiet=(NESTING,)), no_short) == []


# the whole menu


def busy(name, minutes, machine):
    """Return a plot with one job, on a day of its own."""
    skipped = ("soil test", "clip", "turn under", "second disking", "smooth", "plant",
               "set exclosure", "read exclosure")  # fmt: skip
    rules = [TaskRule(task, skip=True) for task in skipped]
    job_rule = TaskRule("job", on=DAY, minutes=minutes, machine=machine)
    return plot(name, tasks=(job_rule, *rules))


def test_two_jobs_of_one_saturday_that_take_ten_hours():
    """Ten hours in a day of eight: two more, a helper, or one of them less will do. Other days
    will not, for both have the one."""
    prop = place(busy("P", 300, "mower"), busy("Q", 300, "disk"))
    ground = Ground(tuple(prop.area_by_id), (1.0, 2.0), {}, (), TODAY, {})
    found = plan_days(ground, prop, effort="plain")
    assert len(found.missed) == 1
    assert [(row.kind, printed(row.text), row.trips) for row in menu.ways_out(ground, prop, found, None)] == [
        ("longer days", "10 hours a day instead of 8", 1),
        ("a helper with a tractor", "one more person, with a tractor of their own", 1),
        ("drop the smallest plots", "leave the smallest plot unplanted (1.0 ac)", 1),
    ]  # fmt: skip
