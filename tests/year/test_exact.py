"""The search for the fewest trips, on cases small enough to count by hand."""

import datetime as dt

import pytest

from quietacre.settings import Work
from quietacre.year.capacity import DayCapacity
from quietacre.year.exact import improved
from quietacre.year.task import Task

D = dt.date
#: Three Saturdays.
ONE, TWO, THREE = D(2027, 9, 4), D(2027, 9, 11), D(2027, 9, 18)


def job(uid, minutes=200.0, ideal=ONE, machine="on foot"):
    return Task(
        uid=uid, area="P", area_id="a01", kind="plot", task="clip", label="clip", earliest=ONE,
        ideal=ideal, latest=THREE, minutes=minutes, machine=machine, reason="",
    )  # fmt: skip


def search(tasks, days, start, pairs=(), wish=None, **more):
    by_uid = {task.uid: task for task in tasks}
    room = DayCapacity.of(Work())
    return improved(by_uid, days, pairs, room, start, wish=wish or {}, **more)


def test_two_jobs_go_on_the_one_day_that_both_have():
    days = {"a": [ONE, TWO], "b": [TWO, THREE]}
    at, (trips, left_out, late) = search(
        [job("a"), job("b", ideal=TWO)], days, {"a": ONE, "b": THREE}
    )
    assert at == {"a": TWO, "b": TWO}
    assert (trips, left_out, late) == (1, 0, 7)


def test_they_do_not_where_the_hours_of_that_day_are_too_few():
    """241 and 240 minutes are one more than a day of eight hours has."""
    days = {"a": [ONE, TWO], "b": [TWO, THREE]}
    start = {"a": ONE, "b": THREE}
    at, (trips, _, _) = search([job("a", 241.0), job("b", 240.0)], days, start)
    assert len(set(at.values())) == trips == 2
    at, (trips, _, _) = search([job("a", 240.0), job("b", 240.0)], days, start)
    assert (set(at.values()), trips) == ({TWO}, 1)


def test_of_as_many_trips_the_sooner_is_taken():
    days = {"a": [ONE, TWO, THREE], "b": [TWO, THREE]}
    tasks = [job("a", ideal=TWO), job("b", ideal=TWO)]
    at, bounds = search(tasks, days, {"a": THREE, "b": THREE})
    assert at == {"a": TWO, "b": TWO}
    assert bounds == (1, 0, 0)


def test_late_days_are_counted_from_the_best_day_and_early_ones_are_not():
    days = {"a": [THREE], "b": [THREE]}
    tasks = [job("a", ideal=ONE), job("b", ideal=D(2027, 9, 30))]
    at, bounds = search(tasks, days, {"a": THREE, "b": THREE})
    assert at == {"a": THREE, "b": THREE}
    assert bounds == (1, 0, 14)


def test_what_cannot_fit_is_counted_and_the_rest_is_placed():
    """Three jobs of five hours and one day of eight: one is done, two at least are left."""
    days = {uid: [ONE] for uid in "abc"}
    at, (trips, left_out, _) = search([job(uid, 300.0) for uid in "abc"], days, {})
    assert (len(at), trips, left_out) == (1, 1, 2)


def test_a_place_is_found_for_all_where_the_plain_plan_left_one_out():
    """Only if the long job leaves the first day does the other have one."""
    days = {"a": [ONE, TWO], "b": [ONE]}
    tasks = [job("a", 400.0), job("b", 400.0)]
    for only_place in (True, False):
        at, (_, left_out, _) = search(tasks, days, {"a": ONE}, only_place=only_place)
        assert at == {"a": TWO, "b": ONE}
        assert left_out == 0


def test_asked_for_places_only_nothing_is_changed_where_all_have_one_or_none_can():
    days = {"a": [ONE, TWO], "b": [TWO, THREE]}
    start = {"a": ONE, "b": THREE}
    assert search([job("a"), job("b")], days, start, only_place=True) == (start, (0, 0, 0))
    full = {"a": [ONE], "b": [ONE]}
    both = [job("a", 400.0), job("b", 400.0)]
    assert search(both, full, {"a": ONE}, only_place=True) == ({"a": ONE}, (0, 0, 0))


@pytest.mark.parametrize(("lag", "days"), [(7, (ONE, TWO)), (8, (ONE, THREE))])
def test_days_between_two_jobs_are_kept(lag, days):
    found, _ = search(
        [job("a"), job("b")], {"a": [ONE, TWO], "b": [ONE, TWO, THREE]},
        {"a": ONE, "b": THREE}, [("a", "b", lag)],
    )  # fmt: skip
    assert (found["a"], found["b"]) == days


def test_a_lag_of_no_days_lets_both_go_on_one_day():
    days = {"a": [ONE, TWO], "b": [ONE, TWO]}
    found, (trips, _, _) = search(
        [job("a"), job("b")], days, {"a": ONE, "b": TWO}, [("a", "b", 0)]
    )
    assert found == {"a": ONE, "b": ONE}
    assert trips == 1


def test_a_day_asked_for_goes_before_a_trip_saved():
    days = {"a": [ONE, TWO], "b": [TWO]}
    tasks, start = [job("a"), job("b", ideal=TWO)], {"a": TWO, "b": TWO}
    assert search(tasks, days, start)[0] == {"a": TWO, "b": TWO}
    wish = {("a", ONE): 0.0, ("a", TWO): 1.5}
    at, (trips, _, _) = search(tasks, days, start, wish=wish)
    assert at == {"a": ONE, "b": TWO}
    assert trips == 2


def test_a_trip_is_saved_while_every_job_keeps_the_day_that_it_was_asked_for():
    days = {"a": [ONE, TWO], "b": [ONE, TWO]}
    at, (trips, _, _) = search(
        [job("a"), job("b")], days, {"a": ONE, "b": TWO}, wish={("a", TWO): 1.5}
    )
    assert (at, trips) == ({"a": ONE, "b": ONE}, 1)
    # and as near to it as before, where it cannot be kept
    days = {"a": [TWO, THREE], "b": [TWO, THREE]}
    tasks, wish = [job("a", ideal=THREE), job("b")], {("a", TWO): 1.5, ("a", THREE): 3.0}
    at, (trips, _, _) = search(tasks, days, {"a": TWO, "b": THREE}, wish=wish)
    assert (at, trips) == ({"a": TWO, "b": TWO}, 1)


def test_of_two_days_not_asked_for_that_which_costs_less_is_taken():
    wish = {("a", TWO): 1.5, ("a", THREE): 3.0}
    days, tasks = {"a": [TWO, THREE]}, [job("a", ideal=THREE)]
    assert search(tasks, days, {"a": THREE}, wish=wish)[0] == {"a": TWO}
    assert search(tasks, days, {"a": TWO}, wish=wish)[0] == {"a": TWO}


def test_jobs_that_share_no_day_are_counted_together():
    days = {"a": [ONE], "b": [TWO], "c": [THREE]}
    tasks = [job("a"), job("b", ideal=ONE), job("c", ideal=TWO)]
    at, bounds = search(tasks, days, {"a": ONE, "b": TWO, "c": THREE})
    assert at == {"a": ONE, "b": TWO, "c": THREE}
    assert bounds == (3, 0, 14)


def test_one_machine_has_one_persons_day_whoever_helps():
    days = {"a": [ONE, TWO], "b": [ONE, TWO]}
    tasks = {uid: job(uid, 300.0, machine="mower") for uid in "ab"}
    room = DayCapacity.of(Work(helpers=1, tractors=2))
    at, (trips, _, _) = improved(tasks, days, [], room, {"a": ONE, "b": TWO}, wish={})
    assert (len(set(at.values())), trips) == (2, 2)


def test_a_year_too_large_to_search_keeps_its_plan_and_a_bound_by_hours():
    """Forty jobs of five hours, each of 301 days: 200 hours are 25 days of eight."""
    every = [ONE + dt.timedelta(days=n) for n in range(301)]
    tasks = [job(f"{n}", 300.0) for n in range(40)]
    days = {task.uid: every for task in tasks}
    start = {task.uid: every[n] for n, task in enumerate(tasks)}
    assert search(tasks, days, start) == (start, (25, 0, 0))
