"""A planting that the log has sown: nothing prepares it any more, and the rest follows its day."""

import datetime as dt

import pytest

from quietacre.settings import Area, Mix, Property, PropertyInfo, Quiet, Seed, Work
from quietacre.year.plan import Ground, plan_days

D = dt.date
ASKED = D(2027, 9, 25)
TODAY = D(2027, 8, 20)
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
BEFORE = {"clip", "turn under", "second disking", "smooth"}


def year(done, today=TODAY, quiet=(), **area):
    oats = Mix("fall", (Seed("oats", rate_lb_ac=90.0, basis="bulk"),))
    plot = Area("Top", "plot", "t.gpx", mix="fall", plant=ASKED, **area)
    prop = Property(PropertyInfo("Test place"), area=(plot,), mix=(oats,), work=EVERY_DAY, quiet=quiet)  # fmt: skip
    ground = Ground(
        ("a01",), (2.0,), {}, (), today, {("Top", k): v for k, v in done.items()}
    )
    return {task.task: task for task in plan_days(ground, prop).tasks}


def windows(task):
    return task.earliest, task.ideal, task.latest


def test_ground_that_is_sown_early_is_not_prepared_any_more_and_says_so():
    sown = D(2027, 8, 18)  # 38 days early, before it was turned under
    made = year({"plant": (sown,)})
    for name in ("turn under", "second disking", "smooth"):
        assert (made[name].status, made[name].scheduled) == ("done", None), name
        assert made[name].notes == [
            "no longer wanted: it was sown on August 18, 2027, by the log."
        ], name
    # its days were over when it was sown: who sowed had clipped it
    assert made["clip"].notes == ["taken as done, for a job that follows it is in the log."]
    assert made["plant"].scheduled == sown
    not_yet = year({})
    assert all(not_yet[name].status == "planned" for name in BEFORE - {"clip"})


@pytest.mark.parametrize("off", [-38, -3, 0, 6, 20])
def test_what_follows_a_planting_is_counted_from_the_day_it_was_sown(off):
    sown = ASKED + dt.timedelta(days=off)
    made, usual = year({"plant": (sown,)}, today=max(TODAY, sown)), year({})
    for name in ("set exclosure", "top-dress", "read exclosure"):
        moved = tuple(day + dt.timedelta(days=off) for day in windows(usual[name]))
        first = max(moved[0], made[name].earliest)  # late ones begin today
        assert (first, *windows(made[name])[1:]) == (first, *moved[1:]), name


def test_what_was_done_before_sowing_keeps_its_day():
    made = year({"plant": (D(2027, 8, 18),), "turn under": (D(2027, 8, 16),)})
    assert made["turn under"].scheduled == D(2027, 8, 16)
    assert "no longer wanted" not in " ".join(map(str, made["turn under"].notes))


def test_what_follows_keeps_out_of_quiet_seasons_by_its_new_day():
    shut = Quiet("hunt", "08-18", "09-05", keeps_out="all")
    made = year({"plant": (D(2027, 8, 18),)}, quiet=(shut,))
    assert made["set exclosure"].scheduled == D(2027, 9, 6)


def test_a_top_dressing_on_a_day_of_its_own_stays_on_it():
    made = year({"plant": (D(2027, 8, 30),)}, today=D(2027, 9, 1), topdress_on=D(2027, 10, 30), topdress_n_lb_ac=30.0)  # fmt: skip
    assert made["top-dress"].ideal == D(2027, 10, 30)
