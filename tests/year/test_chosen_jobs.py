"""Jobs chosen for a list: of whom, with what, where, on which days; and what is not on it.

A job that silently stays off a list is a job that nobody does.
"""

import datetime as dt

import pytest
from record_of import record_of

from quietacre.errors import YearProblem
from quietacre.year.chosen import Wanted, choose
from quietacre.year.records import YearTask

D = dt.date
JULY = (D(2027, 7, 5), D(2027, 7, 11))


def job(area="Gate", day="2027-07-07", **more):
    row = {
        "area": area, "label": f"clip {area}", "who": "Tom", "machine": "mower",
        "scheduled": day, "earliest": "2027-07-01", "latest": "2027-07-20", "status": "planned",
        "state": "due",
    }  # fmt: skip
    return record_of(YearTask, {**row, **more})


def names(tasks, **wanted):
    return [task.area for task in choose(tasks, Wanted(*JULY, **wanted)).tasks]


@pytest.mark.parametrize(
    ("day", "on"),
    [
        ("2027-07-04", False),
        ("2027-07-05", True),
        ("2027-07-11", True),
        ("2027-07-12", False),
    ],
)
def test_both_days_at_the_ends_are_on_the_list(day, on):
    assert bool(names([job(day=day)])) is on


@pytest.mark.parametrize(
    ("earliest", "latest", "on"),
    [
        ("2027-06-01", "2027-07-04", False),
        ("2027-06-01", "2027-07-05", True),
        ("2027-07-11", "2027-08-01", True),
        ("2027-07-12", "2027-08-01", False),
    ],
)
def test_a_job_without_a_day_is_on_it_when_its_window_is(earliest, latest, on):
    assert bool(names([job(day=None, earliest=earliest, latest=latest)])) is on


def test_what_is_done_or_missed_is_on_no_list():
    assert names([job(status="done"), job(state="done"), job(state="missed")]) == []


def test_jobs_come_in_order_of_days_then_of_ground():
    tasks = [job("Pond", "2027-07-08"), job("Pines", "2027-07-07"), job("Gate", "2027-07-08"),
             job("Hill", None, earliest="2027-07-06")]  # fmt: skip
    assert names(tasks) == ["Hill", "Pines", "Gate", "Pond"]


def test_jobs_of_one_day_on_one_piece_stay_as_the_year_has_them():
    # the window of the cage opens before that of the planting, which comes first all the same
    tasks = [
        job(label="plant", earliest="2027-07-05"),
        job(label="set a cage", earliest="2027-07-02"),
    ]
    listed = [task.label for task in choose(tasks, Wanted(*JULY)).tasks]
    assert listed == ["plant", "set a cage"]


def test_a_list_of_one_person_one_machine_one_place():
    tasks = [
        job("Gate"),
        job("Pond", who="Sue"),
        job("Hill", machine="drill"),
        job("Pines", who=None),
    ]
    assert names(tasks, who="tom") == ["Gate", "Hill"]
    assert names(tasks, machine="Drill") == ["Hill"]
    assert names(tasks, area="POND") == ["Pond"]
    found = choose(tasks, Wanted(*JULY, who="tom"))
    assert found.who == "Tom"
    assert found.title == "Jobs for Tom, July 5 to July 11, 2027"
    (about,) = found.about
    assert about.startswith("1 more job of these days is nobody's")
    two = choose([*tasks, job("East", who=None)], Wanted(*JULY, who="tom")).about
    assert two[0].startswith("2 more jobs of these days are nobody's")
    other_days = choose(
        [tasks[0], job("East", "2027-09-01", who=None)], Wanted(*JULY, who="tom")
    )
    assert other_days.about == ()


def test_where_nobody_is_named_the_list_has_all_and_says_so():
    found = choose([job(who=None), job("Pond", who=None)], Wanted(*JULY, who="Tom"))
    assert [task.area for task in found.tasks] == ["Gate", "Pond"]
    assert "Nothing says yet who does what" in found.about[0]
    assert choose([job(who=None)], Wanted(*JULY)).about == ()


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        ({"who": "Ann"}, "is for Ann; take one of: Sue, Tom"),
        ({"machine": "plane"}, "is for the plane; take one of: mower"),
        ({"area": "Moon"}, "is planned on Moon; take one of: Gate, Pond"),
    ],
)
def test_a_name_that_no_job_has_is_refused_with_those_there_are(wanted, words):
    with pytest.raises(YearProblem, match=words):
        choose([job(), job("Pond", who="Sue")], Wanted(*JULY, **wanted))
    with pytest.raises(YearProblem, match="nothing is planned"):
        choose([], Wanted(*JULY, area="Moon"))


@pytest.mark.parametrize("count", [0, 1, 3, 4])
def test_jobs_that_no_day_is_left_for_are_counted_beside_the_list(count):
    late = [job(f"L{n}", None, state="not possible") for n in range(count)]
    found = choose([job(), *late], Wanted(*JULY))
    assert [task.area for task in found.tasks] == ["Gate"]
    if not count:
        assert found.about == ()
        return
    assert found.about[0].startswith(
        f"{count} without a day, and so not on this list: L0: clip L0"
    )
    assert found.about[0].endswith(" and more." if count > 3 else ".")
    assert ("L3" in found.about[0]) is False


def test_the_title_says_the_day_the_machine_and_the_place():
    one = Wanted(D(2027, 7, 5), D(2027, 7, 5), machine="mower", area="Gate")
    assert (
        choose([job(day="2027-07-05")], one).title
        == "Jobs, mower, Gate, Monday, July 5, 2027"
    )
