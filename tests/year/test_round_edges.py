"""Jobs that come round, at the edge of their times: whose line it is, and what a turn is told with."""

import datetime as dt

import pytest

from quietacre.settings import Area, Property, PropertyInfo, Round
from quietacre.year.rounds import (
    burns_due,
    every_months,
    round_notes,
    round_tasks,
    turns_of,
)

D = dt.date
YEAR = dt.timedelta(days=365)
WINTER = D(2027, 1, 10)
TIMES = ("04-15", "07-31")


def place(*rounds, areas=("R1",), kind="road"):
    return Property(
        PropertyInfo("Test place"),
        area=tuple(Area(name, kind, "x.geojson") for name in areas),
        round=rounds,
    )


def clip(every="1 year", months=TIMES, **more):
    return Round("clip roads", **{"every": every, "months": months, "kind": "road", **more})


def turns(prop, today, logged=(), rule=0, acres=None):
    done = {("R1", "clip roads"): logged}
    return turns_of(prop.round[rule], prop, acres or {}, today, today + YEAR, done)


@pytest.mark.parametrize(("text", "months"), [("1 year", 12), ("3 years", 36), ("6 months", 6), ("1 month", 1)])  # fmt: skip
def test_a_length_of_time_in_months(text, months):
    assert every_months(text) == months


def test_on_the_last_day_of_a_turn_of_years_no_other_is_told():
    prop, since = place(clip("2 years")), (D(2024, 6, 1),)
    assert [t.first for t in turns(prop, D(2026, 7, 31), since)] == [D(2026, 4, 15)]
    assert [t.first for t in turns(prop, D(2026, 8, 1), since)] == [
        D(2026, 4, 15), D(2027, 4, 15),
    ]  # fmt: skip


def test_a_line_on_the_first_day_nearest_to_a_time_is_of_that_and_of_none_before():
    """258 days lie between July 31 and April 15; December 8 is the first of the second half."""
    (turn,) = [
        t for t in turns(place(clip()), D(2026, 12, 31), (D(2026, 12, 8),)) if t.done
    ]
    assert (turn.first, turn.done, turn.since) == (D(2027, 4, 15), D(2026, 12, 8), None)
    later = turns(place(clip()), D(2027, 8, 10), (D(2026, 12, 8),))[-1]
    assert (later.first, later.since) == (D(2028, 4, 15), D(2026, 12, 8))


@pytest.mark.parametrize("sooner", [0, 1])
def test_a_day_inside_one_time_is_not_of_that_which_begins_tomorrow(sooner):
    rules = [clip(months=("04-01", "05-10")), clip(months=("05-11", "06-30"))]
    prop = place(*(rules if sooner == 0 else rules[::-1]))
    day = (D(2027, 5, 10),)
    assert [t.done for t in turns(prop, D(2027, 5, 10), day, sooner) if t.done] == [*day]
    assert [t.done for t in turns(prop, D(2027, 5, 10), day, 1 - sooner) if t.done] == []
    day = (D(2027, 5, 11),)
    assert [t.done for t in turns(prop, D(2027, 5, 11), day, 1 - sooner) if t.done] == [
        *day
    ]


def made(rule, today=WINTER, done=None):
    found = round_tasks(place(rule), {"R1": 4.0}, (), today, today + YEAR, done or {})
    return next(iter(found))


def test_a_turn_is_best_in_the_middle_of_its_time_and_told_with_its_source():
    """From April 15 to July 31 are 107 days; June 7 is the 53rd after the first."""
    task = made(clip(machine="mower", label="clip the roads", source="a survey"))
    assert (task.earliest, task.ideal, task.latest) == (
        D(2027, 4, 15), D(2027, 6, 7), D(2027, 7, 31),
    )  # fmt: skip
    assert (task.label, task.on_foot, task.in_turn) == ("clip the roads", False, True)
    assert task.reason == (
        "every 1 year (a survey); never in the log: its turn by the order of property.toml"
    )
    foot = made(clip(machine="on foot"), done={("R1", "clip roads"): [D(2026, 6, 1)]})
    assert foot.on_foot is True
    assert foot.status == "done"
    assert (foot.scheduled, foot.label) == (D(2026, 6, 1), "clip roads")
    late = made(clip(), D(2027, 8, 1), {("R1", "clip roads"): [D(2026, 6, 1)]})
    assert late.reason == "every 1 year (your own rule); last on June 1, 2026 by the log"


@pytest.mark.parametrize(
    ("today", "ahead"),
    [
        (D(2027, 7, 31), "in 2027 “R2”, 3.0 of 10.0 ac (30 %); in 2028 “R1”, 2.0 of 10.0 ac (20 %)"),
        (D(2027, 8, 1), "in 2028 “R1”, 2.0 of 10.0 ac (20 %)"),
    ],
)  # fmt: skip
def test_the_share_is_told_up_to_the_last_day_of_its_time(today, ahead):
    """2028 is divisible by three: the first has its turn then, the second in 2027."""
    prop = place(clip("3 years"), areas=("R1", "R2", "R3"))
    acres = {"a01": 2.0, "a02": 3.0, "a03": 5.0}
    (note,) = round_notes(prop, acres, today, today + dt.timedelta(days=300), {})
    assert note.text.startswith(
        f"clip roads, every 3 years: {ahead}, the longest without first"
    )
    (note,) = round_notes(prop, {}, today, today + dt.timedelta(days=300), {})
    assert "(0 %)" in note.text


def test_the_share_leaves_out_a_turn_that_is_done():
    prop = place(clip("3 years"), areas=("R1", "R2", "R3"))
    done = {("R2", "clip roads"): [D(2027, 5, 1)]}
    (note,) = round_notes(
        prop, {"a02": 3.0}, D(2027, 5, 2), D(2027, 5, 2) + dt.timedelta(days=300), done
    )
    assert "none of 3.0 ac in the year ahead" in note.text


def test_burns_are_due_in_the_years_of_their_turns_and_never_where_none_is_asked_for():
    rule = Round("burn", every="1 year", months=("02-01", "03-15"), kind="burn")
    prop = place(rule, areas=("B",), kind="burn")
    until = D(2027, 1, 10) + YEAR
    assert burns_due(prop, {}, D(2027, 1, 10), until, {}) == {"a01": [2027]}
    both = burns_due(prop, {}, D(2027, 3, 1), D(2028, 3, 1), {})
    assert both == {"a01": [2027, 2028]}
    assert list(round_tasks(prop, {}, (), D(2027, 1, 10), until, {})) == []
    assert burns_due(place(clip()), {}, D(2027, 1, 10), until, {}) is None


@pytest.mark.parametrize(("kind", "task"), [("burn", "disk"), ("native", "burn")])
def test_work_on_a_burn_block_and_a_burn_of_other_ground_are_jobs_that_come_round(
    kind, task
):
    rule = Round(task, "1 year", ("01-15", "03-15"))
    prop = place(rule, kind=kind)
    (turn, *_) = round_tasks(prop, {}, (), WINTER, WINTER + YEAR / 2, {})
    assert (turn.area, turn.earliest) == ("R1", D(2027, 1, 15))
    assert burns_due(prop, {}, WINTER, WINTER + YEAR / 2, {}) is None
