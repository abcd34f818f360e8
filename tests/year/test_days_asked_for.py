"""Days asked for, set by hand: which lag rules out which day, whose day it is, who moves nearer."""

import datetime as dt

import pytest

from quietacre.settings import Work
from quietacre.year.asked import kept_days, narrow, nearer, rank, set_asked, wishes
from quietacre.year.capacity import DayCapacity
from quietacre.year.task import Task

D = dt.date
#: Eight hours for one person with one tractor: 480 minutes.
CAPACITY = DayCapacity.of(Work())


def day(number):
    return D(2027, 9, number)


def days(*numbers):
    return [day(number) for number in numbers]


def job(uid, asked=None, minutes=60.0, ideal=1, **more):
    return Task(
        uid=uid, area="P", area_id="a01", kind="plot", task="job", label="job",
        earliest=day(1), ideal=day(ideal), latest=day(30), minutes=minutes, machine="drag",
        reason="", asked=day(asked) if asked else None, **more,
    )  # fmt: skip


def placed(tasks, open_days, pairs=()):
    by_uid = {task.uid: task for task in tasks}
    found = set_asked(by_uid, open_days, pairs, CAPACITY)
    return {uid: one.day for uid, one in found.items()}


def test_days_that_just_keep_the_spacing_stay():
    """A week after the 1st is the 8th, and a week before the 15th the 8th."""
    left = {"a": days(1, 8), "b": days(8, 15)}
    assert narrow(left, [("a", "b", 7)]) == []
    assert left == {"a": days(1, 8), "b": days(8, 15)}
    assert narrow(left, [("a", "b", 8)]) == []
    assert left == {"a": days(1), "b": days(15)}


def test_what_is_ruled_out_rules_out_days_of_what_follows():
    left = {"a": days(4), "b": days(1, 5), "c": days(3, 9)}
    assert narrow(left, [("b", "c", 1), ("a", "b", 1)]) == []
    assert left == {"a": days(4), "b": days(5), "c": days(9)}


def test_what_comes_before_has_no_day_that_leaves_too_few():
    left = {"a": days(1, 5), "b": days(2, 6), "c": days(4)}
    assert narrow(left, [("a", "b", 1), ("b", "c", 2)]) == []
    assert left == {"a": days(1), "b": days(2), "c": days(4)}


def test_a_job_without_a_day_holds_up_no_other():
    left = {"a": days(10), "b": days(5, 12), "c": days(1, 20)}
    assert narrow(left, [("a", "b", 3), ("b", "c", 30)]) == ["b"]
    assert left == {"a": days(10), "c": days(1, 20)}


def test_two_jobs_that_fill_the_day_both_have_it_and_a_minute_more_does_not_fit():
    open_days = {"a": days(4, 11), "b": days(4, 11)}
    halves = [job("a", 4, 240.0), job("b", 4, 240.0)]
    assert placed(halves, open_days) == {"a": 4, "b": 4}
    more = [job("a", 4, 240.0), job("b", 4, 241.0)]
    assert placed(more, open_days) == {"b": 4, "a": 11}, "the longer job first"
    assert placed(more, {"a": days(4), "b": days(4)}) == {"b": 4}


def test_the_job_with_the_fewest_good_days_chooses_first():
    """The first has two, the second but the 4th: the 11th is against its window."""
    two = job("a", 4, 400.0)
    one = job("b", 4, 300.0, poor=frozenset(days(11)))
    assert placed([two, one], {"a": days(4, 11), "b": days(4, 11)}) == {"b": 4, "a": 11}


def test_of_equal_jobs_that_with_the_sooner_best_day_chooses_first():
    pair = [job("a", 4, 300.0, ideal=9), job("b", 4, 300.0, ideal=8)]
    assert placed(pair, {"a": days(4, 11), "b": days(4, 11)}) == {"b": 4, "a": 11}


def test_only_jobs_that_were_asked_for_are_set():
    assert placed([job("a"), job("b", 4)], {"a": days(4), "b": days(4)}) == {"b": 4}


@pytest.mark.parametrize(("lag", "second"), [(7, 8), (8, 15)])
def test_what_hangs_together_keeps_its_spacing_as_it_is_set(lag, second):
    """The first is set on the 1st; asked for on the 8th, the second has it a week later."""
    pair = [job("a", 1, 90.0), job("b", 8)]
    found = placed(pair, {"a": days(1), "b": days(8, 15)}, [("a", "b", lag)])
    assert found == {"a": 1, "b": second}


def test_a_tie_to_what_has_no_day_yet_rules_out_nothing():
    pair = [job("a", 4), job("b", 4)]
    ties = [("x", "a", 30), ("b", "x", 30)]
    assert placed(pair, {"a": days(4), "b": days(4)}, ties) == {"a": 4, "b": 4}


def test_days_that_were_set_are_kept_where_all_others_still_have_one():
    open_days = {"a": days(4, 11), "b": days(6, 13)}
    at = {"a": day(4)}
    assert kept_days(open_days, at, [("a", "b", 7)]) == {"a": days(4), "b": days(13)}
    assert kept_days(open_days, at, [("a", "b", 10)]) == open_days


def test_the_day_asked_for_is_best_even_where_a_rule_speaks_against_it():
    task = job("a", 4, poor=frozenset(days(4, 6)))
    assert sorted(days(3, 4, 5, 6), key=lambda one: rank(task, one)) == days(4, 3, 5, 6)
    assert wishes({"a": task}, {"a": days(1, 4, 6, 10)}, ["a"]) == {
        ("a", day(1)): pytest.approx(1.1), ("a", day(4)): 0.0,
        ("a", day(6)): pytest.approx(11.0 + 2 / 30), ("a", day(10)): pytest.approx(1.2),
    }  # fmt: skip


def moved(tasks, at, open_days, loose, pairs=()):
    """Return the days of the month on which jobs stand after they were moved nearer."""
    now = {uid: day(number) for uid, number in at.items()}
    nearer({task.uid: task for task in tasks}, open_days, pairs, CAPACITY, now, loose)
    return {uid: one.day for uid, one in now.items()}


@pytest.mark.parametrize(("minutes", "on"), [(240.0, 4), (241.0, 11)])
def test_a_job_moves_beside_another_that_leaves_it_the_minutes(minutes, on):
    tasks = [job("f", minutes=240.0), job("u", 4, minutes)]
    assert moved(tasks, {"f": 4, "u": 11}, {"u": days(4, 11)}, ["u"]) == {"f": 4, "u": on}


@pytest.mark.parametrize(("minutes", "on"), [(240.0, 4), (241.0, 11)])
def test_the_day_that_one_moves_to_has_so_much_less_for_the_next(minutes, on):
    tasks = [job("u", 4, 240.0), job("v", 4, minutes)]
    at, open_days = {"u": 11, "v": 11}, {"u": days(4, 11), "v": days(4, 11)}
    assert moved(tasks, at, open_days, ["u", "v"]) == {"u": 4, "v": on}


def test_the_day_that_one_leaves_is_free_for_the_next():
    tasks = [job("u", 4, 300.0), job("v", 11, 300.0)]
    open_days = {"u": days(4, 11), "v": days(11, 18)}
    assert moved(tasks, {"u": 11, "v": 18}, open_days, ["u", "v"]) == {"u": 4, "v": 11}


def test_who_was_looked_at_before_a_day_came_free_is_looked_at_again():
    tasks = [job("u", 11, 300.0), job("v", 4, 300.0)]
    open_days = {"u": days(11, 18), "v": days(4, 11)}
    assert moved(tasks, {"u": 18, "v": 11}, open_days, ["u", "v"]) == {"u": 11, "v": 4}


def test_only_the_loose_are_moved_and_only_as_near_as_their_spacing_lets_them():
    tasks = [job("a"), job("u", 4)]
    at, open_days = {"a": 1, "u": 25}, {"u": days(4, 11, 18, 25)}
    assert moved(tasks, at, open_days, [])["u"] == 25
    for lag, on in ((3, 4), (4, 11), (10, 11), (17, 18), (18, 25)):
        assert moved(tasks, at, open_days, ["u"], [("a", "u", lag)])["u"] == on
