"""Which job of the plan a line of the log has done, at the edges of what is taken for it."""

import datetime as dt
from types import SimpleNamespace

import pytest

from quietacre.year.logged import frozen_days
from quietacre.year.task import Task

D = dt.date
BEST = D(2027, 6, 15)


def job(uid="a", best=BEST, **more):
    usual = {
        "area": "P", "area_id": "a01", "kind": "plot", "task": "clip", "label": "clip the field",
        "earliest": best - dt.timedelta(7), "ideal": best, "latest": best + dt.timedelta(7),
        "minutes": 60.0, "machine": "mower", "reason": "",
    }  # fmt: skip
    return Task(uid=uid, **{**usual, **more})


def days_off(number, best=BEST):
    return best + dt.timedelta(days=number)


def done(tasks, *days, word="clip", area="P", **more):
    return frozen_days(tasks, {(area, word): days}, **more)


@pytest.mark.parametrize(("off", "counts"), [(0, 1), (199, 1), (-199, 1), (200, 0), (-200, 0)])  # fmt: skip
def test_a_job_that_comes_once_is_done_by_a_line_within_200_days(off, counts):
    day = days_off(off)
    assert done([job()], day) == ({"a": day} if counts else {})


def test_the_last_line_of_its_year_is_the_one_that_did_it():
    assert done([job()], days_off(-10), days_off(3)) == {"a": days_off(3)}


def test_another_job_and_another_ground_are_not_done():
    assert done([job()], BEST, word="disk") == {}
    assert done([job()], BEST, area="Q") == {}


@pytest.mark.parametrize(("off", "counts"), [(-14, 1), (14, 1), (-15, 0), (15, 0)])
def test_of_jobs_that_repeat_a_line_is_one_within_a_week_of_the_days_of_it(off, counts):
    """The days run from a week before the best to a week after; the other is 100 days off."""
    cuts = [job(), job("b", days_off(100))]
    assert done(cuts, days_off(off)) == ({"a": days_off(off)} if counts else {})


@pytest.mark.parametrize(("apart", "both"), [(199, 0), (200, 1)])
def test_jobs_200_days_apart_are_no_repeats(apart, both):
    """A line a month off its days is a repeat's no more, but is that of a job of its own year."""
    cuts = [job(), job("b", days_off(apart))]
    assert bool(done(cuts, days_off(-30))) == bool(both)


def test_each_line_is_one_cut_of_several_that_are_near():
    cuts = [job(), job("b", days_off(10))]
    assert done(cuts, days_off(6)) == {"b": days_off(6)}
    assert done(cuts, days_off(4)) == {"a": days_off(4)}
    assert done(cuts, days_off(5)) == {"a": days_off(5)}, "of two as near, the sooner"
    assert done(cuts, days_off(4), days_off(4)) == {"a": days_off(4), "b": days_off(4)}


@pytest.mark.parametrize(("off", "counts"), [(199, 1), (200, 0)])
def test_a_part_is_done_by_its_own_label(off, counts):
    parts = [job("a", label="clip (part 1 of 2)"), job("b", label="clip (part 2 of 2)")]
    day = days_off(off)
    assert done(parts, day, word="clip (part 2 of 2)") == ({"b": day} if counts else {})
    assert set(done(parts, BEST)) == {"a", "b"}, "the whole job is all its parts"


def test_a_job_in_turn_is_no_job_of_its_word_and_a_part_of_it_goes_by_its_label():
    assert done([job(in_turn=True)], BEST) == {}
    part = job(label="clip (part 1 of 2)", in_turn=True)
    assert done([part], BEST) == {}
    assert done([part], BEST, word="clip (part 1 of 2)") == {"a": BEST}


def planted(uid, year):
    return job(
        uid, D(year, 8, 14), planted_for=D(year, 9, 25), planting="a01",
        planting_days=(D(2027, 9, 25), D(2028, 9, 25)),
    )  # fmt: skip


def test_work_of_a_planting_is_that_of_the_planting_it_was_done_for():
    both = [planted("a", 2027), planted("b", 2028)]
    assert done(both, D(2027, 8, 20)) == {"a": D(2027, 8, 20)}
    assert done(both, D(2028, 8, 1)) == {"b": D(2028, 8, 1)}
    # within a month after its planting it is that one's still
    assert done(both, D(2027, 10, 25)) == {"a": D(2027, 10, 25)}
    assert done(both, D(2027, 10, 26)) == {}, "288 days before the best of the next"
    # 199 days before its best day, and 200
    assert done(both, D(2027, 1, 27)) == {"a": D(2027, 1, 27)}
    assert done(both, D(2027, 1, 26)) == {}


def test_a_line_with_the_letters_of_a_job_is_that_one_and_no_other():
    one, other = job(), job("b", days_off(20))
    line = SimpleNamespace(area="P", task="clip", on=days_off(25))
    found = done([one, other], days_off(25), ticked={one.letters: line})
    assert found == {"a": days_off(25)}
    part = job("c", whole=one.letters)
    assert done([part], ticked={one.letters: line}) == {"c": days_off(25)}
