"""What a job's state is on each day, and which jobs must have been done because others were."""

import datetime as dt

import pytest

from quietacre.year.states import (
    before_done,
    missed_jobs,
    says,
    settle_before_burns,
    settle_before_done,
    state_of,
)
from quietacre.year.task import Task

D = dt.date


def job(uid="a", **more):
    usual = {
        "area": "P", "area_id": "a01", "kind": "plot", "task": "clip", "label": "clip",
        "earliest": D(2027, 8, 1), "ideal": D(2027, 8, 10), "latest": D(2027, 8, 20),
        "minutes": 60.0, "machine": "mower", "reason": "",
    }  # fmt: skip
    return Task(uid=uid, **{**usual, **more})


@pytest.mark.parametrize(
    ("more", "today", "state"),
    [
        ({}, D(2027, 7, 31), "planned"),
        ({}, D(2027, 8, 1), "due"),
        ({}, D(2027, 9, 30), "due"),
        ({"due_by": D(2027, 8, 20)}, D(2027, 8, 21), "late"),
        ({"passed": True, "status": "unplaced"}, D(2027, 8, 21), "missed"),
        ({"status": "unplaced"}, D(2027, 8, 2), "not possible"),
        ({"status": "window"}, D(2027, 8, 20), "due"),
        ({"status": "window"}, D(2027, 8, 21), "missed"),
        ({"status": "window"}, D(2027, 7, 1), "planned"),
        ({"status": "done", "scheduled": D(2027, 8, 3)}, D(2027, 9, 1), "done"),
        ({"status": "done", "passed": True}, D(2027, 9, 1), "done"),
    ],
)
def test_the_state_of_a_job_on_a_day(more, today, state):
    assert state_of(job(**more), today) == state


def test_a_job_that_is_done_says_when():
    made = job(status="done", scheduled=D(2027, 8, 3))
    assert says(made, D(2027, 9, 1)) == "done on August 3, 2027."
    assert says(job(status="done"), D(2027, 9, 1)) == ""
    assert says(job(), D(2027, 7, 1)) == ""
    assert says(job(), D(2027, 8, 1)) == "due until August 20."


def chain():
    """A soil test before lime before planting; fencing by itself."""
    return [
        job("test", passed=True, status="unplaced", notes=["its time is over"]),
        job("lime", passed=True, status="unplaced", after=[("test", 14)]),
        job("plant", status="done", after=[("lime", 90)]),
        job("fence", passed=True, status="unplaced", notes=["its time is over"]),
    ]


def test_what_a_job_in_the_log_follows_must_have_been_done():
    tasks = chain()
    assert before_done(tasks, ["plant"]) == {"lime", "test"}
    assert before_done(tasks, ["lime"]) == {"test"}
    assert before_done(tasks, ["plant", "test"]) == {"lime"}
    assert before_done(tasks, []) == set()


def test_it_is_taken_as_done_and_says_so_and_nothing_else_is():
    tasks = chain()
    settle_before_done(tasks)
    by = {task.uid: task for task in tasks}
    for uid in ("test", "lime"):
        assert (by[uid].status, by[uid].passed) == ("done", False)
        assert by[uid].notes == ["taken as done, for a job that follows it is in the log."]
    assert (by["fence"].status, by["fence"].passed) == ("unplaced", True)
    assert by["fence"].notes == ["its time is over"]
    ahead = [job("lime"), job("plant", status="done", after=[("lime", 90)])]
    settle_before_done(ahead)
    assert ahead[0].status == "planned", "its time is not over: it may still be done"


def missed(uid="a", **more):
    return job(uid, **{"passed": True, "status": "unplaced", **more})


def test_a_missed_job_says_its_own_last_day_and_what_follows():
    own = missed(task="mend fence", due_by=D(2027, 8, 6))
    assert says(own, D(2027, 9, 1)) == "missed: its last day was August 6, 2027."
    clip = "missed: its last day was August 20, 2027. Then tall residue goes under the disk"
    assert says(missed(), D(2027, 9, 1)).startswith(clip)


def test_parts_are_told_each_and_a_job_that_comes_again_once():
    parts = [missed("a", label="clip (1 of 2)"), missed("b", label="clip (2 of 2)")]
    other = missed("c", area="Q", area_id="a02", task="mend fence", label="mend fence")
    told = missed_jobs([*parts, job("d"), other], D(2027, 8, 10))
    assert [(one.area, one.area_id) for one in told] == [
        ("P", "a01"), ("P", "a01"), ("Q", "a02"),
    ]  # fmt: skip
    assert told[0].text.startswith("clip (1 of 2), by August 20, 2027: tall residue")
    assert told[1].text.startswith("clip (2 of 2), by August 20, 2027: tall residue")
    assert told[2].text == "mend fence, by August 20, 2027: it stays undone."
    again = missed("e", ideal=D(2027, 9, 10), latest=D(2027, 9, 30), due_by=D(2027, 9, 20))
    (row,) = missed_jobs([missed("a"), again], D(2027, 10, 10))
    assert row.text.startswith("2 × clip, the last by September 20, 2027, not in the log: ")


def test_before_a_burn_that_is_done_all_is_taken_as_done_and_before_nothing_else():
    papers, ring = job("papers", kind="burn"), job("ring", kind="burn")
    burn = job("burn", kind="burn", after=[("papers", 0), ("ring", 0)])
    clip, sow = job("clip"), job("sow", after=[("clip", 5)])
    settle_before_burns([papers, ring, burn, clip, sow], ["burn", "sow"])
    assert [t.status for t in (papers, ring, burn, clip, sow)] == [
        "done", "done", "planned", "planned", "planned",
    ]  # fmt: skip
