"""What a job's state is on each day, and which jobs must have been done because others were."""

import datetime as dt

import pytest

from quietacre.record.words import CUT
from quietacre.settings import Work
from quietacre.year.states import (
    before_done,
    missed_jobs,
    reopen,
    says,
    settle_before_burns,
    settle_before_done,
    state_of,
    useful_until,
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


# until when late work is worth doing: the job's own last day is August 20

EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
AFTER, TWO_WEEKS = D(2027, 8, 21), D(2027, 9, 3)


def follower(last, **more):
    return job("b", earliest=D(2027, 8, 21), latest=last, **more)


@pytest.mark.parametrize(
    ("lag", "last"), [(20, D(2027, 8, 21)), (21, TWO_WEEKS), (22, TWO_WEEKS), (11, D(2027, 8, 25))]
)  # fmt: skip
def test_half_the_spacing_leaves_a_day_or_the_usual_two_weeks(lag, last):
    """What follows may come until August 31, or is asked for then; half of 21 days is 11."""
    after = [(follower(D(2027, 8, 31)), lag)]
    assert useful_until(job(), after, [], None) == last
    sow = follower(D(2027, 9, 14), task="plant", asked=D(2027, 8, 31))
    assert useful_until(job(), [(sow, lag)], [], None) == last
    dress = follower(D(2027, 8, 31), task="top-dress", asked=D(2027, 8, 24))
    assert useful_until(job(), [(dress, lag)], [], None) == last


@pytest.mark.parametrize(
    ("task", "first", "last"),
    [
        (CUT, D(2027, 8, 21), D(2027, 8, 20)),
        (CUT, D(2027, 8, 20), TWO_WEEKS),
        (CUT, D(2027, 9, 9), TWO_WEEKS),
        ("strip inspection", D(2027, 8, 25), TWO_WEEKS),
    ],
)
def test_a_look_along_a_strip_is_worth_doing_until_the_next_cut(task, first, last):
    mine = job(task="strip inspection", more_words=("strip",))
    other = job("b", earliest=first, latest=D(2027, 9, 20), task=task)
    assert useful_until(mine, [], [mine, other], None) == last


def reopened(task, *others, today=AFTER, work=EVERY_DAY):
    reopen([task, *others], (), (), work, today)
    return task.latest if task.due_by else None


def sowing(uid, day, planting, **more):
    return job(uid, task="plant", status="done", ideal=day, planting=planting, **more)


def test_late_work_on_a_plot_ends_the_day_before_the_next_sowing_of_its_planting():
    next_one = sowing("s", D(2027, 8, 31), "a01", asked=D(2027, 8, 28))
    assert reopened(job(planting="a01"), next_one) == D(2027, 8, 27)
    assert reopened(job(), next_one) == D(2027, 8, 27), (
        "of no planting: of the ground's next"
    )
    assert reopened(job(planting="a01.2"), next_one) == TWO_WEEKS
    before = sowing("t", D(2027, 8, 20), "a01")
    assert reopened(job(planting="a01"), before, next_one) == D(2027, 8, 27)
    undated = sowing("u", D(2027, 8, 29), "a01")
    assert reopened(job(planting="a01"), undated) == D(2027, 8, 28)


def test_what_follows_late_work_too_soon_need_not_wait_at_all():
    after = follower(D(2027, 8, 22), after=[("a", 30), ("x", 5)])
    assert reopened(job(), after) == TWO_WEEKS
    assert after.after == [("a", 0), ("x", 5)]


def test_work_that_begins_today_without_a_day_of_ones_own_left_is_late():
    """August 16 is a Monday; the job is over on the Friday, and the person has Saturdays."""
    week = {"earliest": D(2027, 8, 16), "latest": D(2027, 8, 20)}
    for today, last in ((D(2027, 8, 16), TWO_WEEKS), (D(2027, 8, 15), None)):
        assert reopened(job(**week), today=today, work=Work(("sat",))) == last
    own = Work((), extra_days=(D(2027, 8, 20),))
    assert reopened(job(), today=D(2027, 8, 20), work=own) is None, "its last day is left"
    assert reopened(job(), today=D(2027, 8, 21), work=own) is None, "and no other to come"
    fence = job(task="mend fence")
    assert reopened(fence) == TWO_WEEKS
    assert fence.notes == [
        "late: it was due by August 20, 2027; it is worth doing until September 3."
    ]
