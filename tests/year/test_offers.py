"""Days asked for that were not kept, and trips that moving a job would save, by hand."""

import datetime as dt
from dataclasses import replace

import pytest

from quietacre.quiet import seasons
from quietacre.settings import Property, PropertyInfo, Quiet, Work
from quietacre.year.offers import off_the_day, trips_less
from quietacre.year.plan import Planned
from quietacre.year.task import Task
from quietacre.year.workdays import Assigned

D = dt.date
#: Three Saturdays.
ASKED, NEXT, THIRD = D(2027, 9, 18), D(2027, 9, 25), D(2027, 10, 2)
NEW_YEAR = D(2027, 1, 2)
PLACE = Property(PropertyInfo("Home"), work=Work())


def job(uid, day, minutes=60.0, machine="spreader", **more):
    usual = {
        "area": uid.upper(), "area_id": "a01", "kind": "plot", "task": "job", "label": "job",
        "earliest": D(2027, 9, 4), "ideal": day, "latest": THIRD, "reason": "",
    }  # fmt: skip
    return Task(
        uid=uid, minutes=minutes, machine=machine, scheduled=day, **{**usual, **more}
    )


def sowing(day=ASKED, asked=ASKED, **more):
    return job("p", day, task="plant", label="plant", planting="a01", asked=asked, **more)


def plan(*tasks, quiet=(), today=NEW_YEAR):
    return Planned(list(tasks), seasons(quiet, 2027, 2027), Assigned(), today)


def saved(*tasks, quiet=(), prop=PLACE):
    """Return the heads of what would save a trip."""
    return [text.partition(". ")[0] for text in trips_less(plan(*tasks, quiet=quiet), prop)]


ONE_FEWER = "one trip fewer would do, that of September 18, with P, plant, on September 25"


def test_a_trip_is_saved_where_the_job_fits_to_the_minute():
    """Seven hours stand on the 25th; sowing takes the eighth."""
    assert saved(sowing(), job("q", NEXT, 420.0, "disk")) == [ONE_FEWER]
    assert saved(sowing(), job("q", NEXT, 421.0, "disk")) == []
    assert saved(sowing(minutes=61.0), job("q", NEXT, 420.0, "disk")) == []
    two = (job("q", NEXT, 210.0, "disk"), job("r", NEXT, 210.0, "drag"))
    assert saved(sowing(), *two) == [ONE_FEWER]
    assert saved(sowing(minutes=61.0), *two) == []


def test_the_plan_is_told_to_keep_the_day_and_where_it_was_asked_for():
    (text,) = trips_less(plan(sowing(), job("q", NEXT)), PLACE)
    assert "under “P”, at the desk or in property.toml" in text


@pytest.mark.parametrize(
    ("more", "fits"),
    [
        ({"latest": NEXT}, True),
        ({"latest": NEXT - dt.timedelta(1)}, False),
        ({"earliest": NEXT}, True),
        ({"earliest": NEXT + dt.timedelta(1)}, False),
        ({"poor": frozenset({NEXT})}, False),
        ({"poor": frozenset({ASKED})}, True),
        ({"after": [("b", 7)]}, True),  # done on the 4th, three weeks before
        ({"after": [("b", 21)]}, True),
        ({"after": [("b", 22)]}, False),
        ({"asked": None}, False),
        ({"status": "done"}, False),
    ],
)
def test_the_job_stays_in_its_days_and_keeps_its_spacing(more, fits):
    before = job("b", D(2027, 9, 4), status="done")
    assert bool(saved(before, sowing(**more), job("q", NEXT))) is fits


@pytest.mark.parametrize(("lag", "fits"), [(7, True), (8, False)])
def test_what_follows_keeps_its_spacing(lag, fits):
    cage = job("c", THIRD, after=[("p", lag)], latest=D(2027, 12, 1))
    (first, *_) = [*saved(sowing(latest=NEXT), job("q", NEXT), cage), ""]
    assert (first == ONE_FEWER) is fits


def test_a_season_that_shuts_the_other_day_leaves_the_trip():
    on_it = Quiet("opening", "09-25", "09-25", ("plot",))
    assert saved(sowing(), job("q", NEXT, kind="burn"), quiet=(on_it,)) == []
    other = replace(on_it, keeps_out=("patch",))
    assert saved(sowing(), job("q", NEXT, kind="burn"), quiet=(other,)) == [ONE_FEWER]


def test_all_the_jobs_of_the_day_need_room_and_each_takes_its_part():
    here = job("s", ASKED, 60.0, "drag")
    assert len(saved(sowing(), here, job("q", NEXT, 360.0, "disk"))) == 1
    assert saved(sowing(), here, job("q", NEXT, 361.0, "disk")) == []
    fixed = job("s", ASKED, 60.0, "drag", latest=ASKED)
    assert saved(sowing(), fixed, job("q", NEXT)) == []


@pytest.mark.parametrize(
    ("here", "fits"),
    [((480.0,), True), ((481.0,), False), ((240.0, 240.0), True), ((240.0, 241.0), False)],
)
def test_beside_work_on_foot_the_machine_has_its_whole_day(here, fits):
    """Two people, one tractor: 480 minutes of it, of which the walk of the 25th takes none."""
    names = zip("ps", here, strict=False)
    jobs = [replace(sowing(minutes=minutes), uid=uid) for uid, minutes in names]
    prop = Property(PropertyInfo("Home"), work=Work(helpers=1))
    assert bool(saved(*jobs, job("q", NEXT, 60.0, "on foot"), prop=prop)) is fits


def test_of_two_days_the_nearer_to_the_one_asked_for_is_named():
    both = (job("q", D(2027, 9, 12)), job("r", NEXT))
    (text,) = saved(sowing(), *both)
    assert text.endswith("on September 12")
    (text,) = saved(sowing(ideal=D(2027, 9, 27)), *both)
    assert text.endswith("on September 12"), "whatever day would be best"


@pytest.mark.parametrize(("lag", "trips"), [(0, [ONE_FEWER]), (1, [])])
def test_of_jobs_that_hang_together_each_keeps_its_spacing_to_where_the_other_went(
    lag, trips
):
    """Spread and sown on the 18th; both can go on the 25th, but not a day apart."""
    spread, sow = job("s", ASKED), sowing(after=[("s", lag)])
    found = saved(sow, spread, job("q", NEXT))
    assert [text.partition(";")[0] for text in found] == trips


# why another day than the one asked for


def why(*tasks, today=NEW_YEAR, quiet=(), work=None):
    prop = replace(PLACE, work=work or Work())
    return [text for _, text in off_the_day(plan(*tasks, quiet=quiet, today=today), prop)]


def test_work_before_it_that_comes_too_late_is_named():
    smooth = job("s", D(2027, 9, 14), label="drag smooth")
    (text,) = why(smooth, sowing(NEXT, after=[("s", 5)]))
    assert "“drag smooth” before it comes too late for that" in text
    (text,) = why(smooth, sowing(NEXT, after=[("s", 4)]))
    assert "that day has not the time left" in text


def test_a_day_that_has_passed_is_said_so_and_today_has_not():
    (text,) = why(sowing(NEXT), today=D(2027, 9, 19))
    assert "that day has passed" in text
    (text,) = why(sowing(NEXT), today=ASKED)
    assert "has passed" not in text


def test_the_cure_is_the_key_that_would_keep_the_day():
    friday = sowing(NEXT, asked=D(2027, 9, 17))
    (text,) = why(friday)
    assert "extra_days = [2027-09-17]" in text
    assert "for one trip more" in text
    (text,) = why(friday, work=Work(blocked_days=(D(2027, 9, 17),)))
    assert "take it out of" in text
    assert "blocked_days" in text
    assert "for one trip more" not in text


def test_a_planting_in_parts_is_said_once_and_one_that_is_kept_or_done_never():
    parts = (sowing(NEXT), replace(sowing(THIRD), uid="p2"))
    assert len(why(*parts)) == 1
    assert why(sowing(), replace(sowing(NEXT), status="done")) == []
    assert why(replace(sowing(NEXT), task="top-dress")) == []
    other = replace(sowing(NEXT), uid="o", planting="a02")
    assert len(why(parts[0], other)) == 2


def test_a_day_that_a_rule_speaks_against_is_said_to_be_one():
    (text,) = why(sowing(NEXT, poor=frozenset({NEXT})))
    assert text.endswith(
        "the nearest day left of all, though the windows, frost or law speak against it."
    )
    (text,) = why(sowing(NEXT))
    assert text.endswith("it is set on September 25, the nearest day left.")
    (text,) = why(sowing(D(2028, 1, 8)))
    assert "January 8, 2028" in text
