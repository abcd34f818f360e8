"""Days set for jobs, and the reason of each that has none, on cases counted by hand."""

import datetime as dt

import pytest

from quietacre.quiet import seasons
from quietacre.settings import Quiet, Work
from quietacre.year.moves import in_order, mine_open, out_of_season, planting_day, trim
from quietacre.year.plan import _open_window, _parts
from quietacre.year.states import reopen, useful_until
from quietacre.year.task import Task
from quietacre.year.workdays import assign

D = dt.date
TODAY = D(2027, 1, 2)
#: Three Saturdays.
ONE, TWO, THREE = D(2027, 9, 4), D(2027, 9, 11), D(2027, 9, 18)
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
SATURDAYS = Work(("sat",))


def job(uid="a", first=ONE, last=THREE, **more):
    usual = {
        "area": "P", "area_id": "a01", "kind": "plot", "task": "clip", "label": "clip",
        "earliest": first, "ideal": first, "latest": last, "minutes": 200.0,
        "machine": "mower", "reason": "",
    }  # fmt: skip
    return Task(uid=uid, **{**usual, **more})


def set_days(*tasks, work=SATURDAYS, quiet=(), today=TODAY, done=None, effort="best"):
    found = seasons(quiet, 2026, 2028)
    return assign(tasks, work, found, today, done or {}, effort=effort)


def test_jobs_share_a_trip_and_the_day_s_minutes_are_added_up():
    both = job(), job("b", first=ONE, ideal=TWO)
    out = set_days(*both)
    assert {task.scheduled for task in both} == {TWO} or out.late_days == 0
    assert len(out.used) == out.trips_least == 1
    assert list(out.used.values()) == [400.0]


def test_late_days_are_those_after_the_best_day():
    out = set_days(job(first=D(2027, 9, 5), last=TWO), job("b", first=TWO, ideal=THREE))
    assert out.used == {TWO: 400.0}
    assert (out.late_days, out.late_least) == (6, 6)


@pytest.mark.parametrize("effort", ["plain", "place", "best"])
def test_a_job_of_a_whole_day_fits_and_one_of_a_minute_more_does_not(effort):
    whole = job(last=ONE, minutes=480.0)
    set_days(whole, effort=effort)
    assert (whole.status, whole.scheduled) == ("planned", ONE)
    more = job(last=ONE, minutes=481.0)
    out = set_days(more, effort=effort)
    assert more.notes == ["needs 8.0 h on a day, and no day is that long."]
    assert (more.status, out.used) == ("unplaced", {})


def test_the_second_job_of_a_full_day_says_so_with_what_would_help():
    tasks = job(last=ONE, minutes=300.0), job("b", last=ONE, minutes=300.0)
    out = set_days(*tasks)
    (left,) = [task for task in tasks if task.status == "unplaced"]
    (note,) = left.notes
    assert note.startswith("September 4, its only day, has not the time left; ")
    assert "give the days you have more" in note
    assert note.endswith(", or move the planting.")
    assert out.unplaced_least == 1
    longer = [job(n, minutes=400.0, last=D(2027, 9, 12)) for n in "abc"]
    set_days(*longer)
    (left,) = [task for task in longer if task.status == "unplaced"]
    assert left.notes[0].startswith(
        "none of your open days from September 4 to 12 has the time; add a day to"
    )


def test_a_day_that_would_help_is_the_nearest_to_the_best_that_is_nobody_s_yet():
    """Monday to Friday lie between; the 9th is the best day, or the 8th where that is blocked."""
    week = {"first": D(2027, 9, 5), "last": D(2027, 9, 10), "ideal": D(2027, 9, 9)}
    none = job(**week)
    set_days(none)
    assert "you have no day from September 5 to 10" in none.notes[0]
    assert "extra_days = [2027-09-09]" in none.notes[0]
    blocked = job(**week)
    set_days(blocked, work=Work(("sat",), blocked_days=(D(2027, 9, 9),)))
    assert "extra_days = [2027-09-08]" in blocked.notes[0]
    road = job(**week, kind="road")
    set_days(road)
    assert not road.notes[0].endswith("move the planting.")


def test_a_season_over_all_its_days_is_named_with_the_next_that_is_open():
    shut = job()
    set_days(shut, quiet=(Quiet("nesting", "09-01", "09-30", ("plot",)),))
    assert shut.notes == [
        "the nesting season shuts your days from September 4 to 18; the next open day is "
        "October 1: move the planting."
    ]
    over_new_year = job()
    set_days(over_new_year, quiet=(Quiet("deer", "09-01", "01-31", ("plot",)),))
    assert "the next open day is February 1, 2028" in over_new_year.notes[0]


@pytest.mark.parametrize(("today", "passed"), [(THREE, False), (D(2027, 9, 19), True)])
def test_a_last_day_is_over_the_day_after(today, passed):
    one = job()
    set_days(one, today=today)
    assert one.passed is passed
    assert one.scheduled == (None if passed else THREE)
    assert one.notes == (
        ["its last day, September 18, 2027, has passed."] if passed else []
    )


def test_work_that_is_done_counts_for_what_follows_and_is_never_moved():
    first, second = job(), job("b", after=[("a", 7)])
    set_days(first, second, done={"a": ONE})
    assert (first.status, first.scheduled, second.scheduled) == ("done", ONE, TWO)
    late = job("b", after=[("a", 8)], last=TWO)
    set_days(job(), late, done={"a": ONE})
    assert late.status == "unplaced"
    assert late.notes[0].startswith(
        "none of your days up to September 11 is late enough after the task before it; "
    )
    assert "extra_days = [2027-09-10]" in late.notes[0], "as late as may be"


def test_what_said_that_it_was_over_is_silent_once_it_is_done():
    one = job(passed=True, status="unplaced", notes=["no open day is left"])
    set_days(one, done={"a": TWO})
    assert (one.status, one.passed, one.notes, one.scheduled) == ("done", False, [], TWO)
    kept = job(notes=["falls in a season"])
    set_days(kept, done={"a": TWO})
    assert kept.notes == ["falls in a season"]


@pytest.mark.parametrize(("lag", "days"), [(7, (ONE, TWO)), (8, (ONE, THREE)), (14, (ONE, THREE))])  # fmt: skip
def test_the_days_between_two_jobs_are_kept_by_the_plain_rule_too(lag, days):
    tasks = job(), job("b", after=[("a", lag)])
    for effort in ("plain", "best"):
        set_days(*tasks, effort=effort)
        assert tuple(task.scheduled for task in tasks) == days
    none = job(), job("b", after=[("a", 15)])
    set_days(*none)
    assert [task.status for task in none] == ["planned", "unplaced"]


def test_three_jobs_in_a_row_leave_each_other_room():
    """The last has one Saturday, so the first must go on the first though its best is later."""
    tasks = (
        job("a", ideal=THREE), job("b", ideal=THREE, after=[("a", 7)]),
        job("c", ideal=THREE, after=[("b", 7)]),
    )  # fmt: skip
    for effort in ("plain", "best"):
        set_days(*tasks, effort=effort)
        assert [task.scheduled for task in tasks] == [ONE, TWO, THREE]


def test_a_window_has_no_day_to_be_set():
    one = job(status="window", minutes=0.0)
    out = set_days(one)
    assert (one.status, one.scheduled, out.used) == ("window", None, {})


# moved out of seasons, and what that moves


def found(*quiet):
    return seasons(quiet, 2026, 2028)


SEPTEMBER = Quiet("camp", "09-01", "09-30")


def test_somebody_without_a_weekday_of_their_own_is_moved_to_the_nearest_open_day():
    """From September 10, August 31 is nearer than October 1."""
    made, note = planting_day(
        D(2027, 9, 10), (D(2027, 9, 7), D(2027, 9, 24)), (), found(SEPTEMBER), Work(()), ()
    )
    assert made == D(2027, 8, 31)
    assert "moved before it, to August 31" in note
    assert "October 1" in note


def test_a_job_that_leaves_no_room_for_the_next_comes_sooner_and_says_so():
    """Planting by the 20th, five days after smoothing: that is by the 15th."""
    smooth = job("s", first=D(2027, 9, 17), last=D(2027, 9, 20), task="smooth")
    plant = job("p", first=D(2027, 9, 17), last=D(2027, 9, 20), task="plant", label="plant")
    made, pairs = {"smooth": smooth, "plant": plant}, [("smooth", "plant", 5)]
    in_order(made, pairs, {"plant"}, D(2027, 9, 18), found(), EVERY_DAY)
    assert (smooth.earliest, smooth.ideal, smooth.latest) == (
        D(2027, 9, 2), D(2027, 9, 15), D(2027, 9, 15),
    )  # fmt: skip
    assert smooth.notes == [
        "comes by September 15 already, so that “plant” can follow in time."
    ]
    kept = job("s", first=D(2027, 9, 17), last=D(2027, 9, 20), task="smooth")
    both = {"smooth": kept, "plant": plant}
    in_order(both, pairs, {"smooth", "plant"}, D(2027, 9, 18), found(), EVERY_DAY)
    assert kept.latest == D(2027, 9, 20), "a day of one's own is not moved"


@pytest.mark.parametrize(("first", "moved"), [(D(2027, 9, 15), False), (D(2027, 9, 16), True)])  # fmt: skip
def test_a_job_with_one_day_early_enough_stays(first, moved):
    smooth = job("s", first=first, last=D(2027, 9, 20), task="smooth")
    plant = job("p", first=D(2027, 9, 17), last=D(2027, 9, 20), task="plant")
    in_order(
        {"smooth": smooth, "plant": plant}, [("smooth", "plant", 5)], {"plant"},
        D(2027, 9, 18), found(), EVERY_DAY,
    )  # fmt: skip
    assert bool(smooth.notes) is moved


@pytest.mark.parametrize(
    ("last", "days"),
    [
        (D(2027, 10, 29), (D(2027, 10, 20), D(2027, 10, 29))),
        (D(2027, 10, 28), (D(2027, 10, 29), D(2027, 11, 11))),
    ],
)
def test_what_follows_a_planting_too_soon_comes_later(last, days):
    """Top-dressing comes 28 days after a planting of October 1 at the soonest."""
    plant = job("p", first=D(2027, 10, 1), last=D(2027, 10, 15), task="plant")
    fed = job("t", first=D(2027, 10, 20), last=last, task="top-dress")
    made = {"plant": plant, "top-dress": fed}
    in_order(made, [("plant", "top-dress", 28)], set(), D(2027, 10, 1), found(), EVERY_DAY)
    assert (fed.earliest, fed.latest) == days


def test_quiet_days_are_cut_off_both_ends_of_a_window():
    one = job(first=D(2027, 8, 25), last=D(2027, 10, 5), ideal=D(2027, 9, 10))
    trim(one, found(Quiet("camp", "08-20", "08-31"), Quiet("hunt", "10-01", "10-20")))
    assert (one.earliest, one.ideal, one.latest) == (
        D(2027, 9, 1), D(2027, 9, 10), D(2027, 9, 30),
    )  # fmt: skip
    inside = job(first=D(2027, 8, 25), last=D(2027, 10, 5), ideal=D(2027, 9, 10))
    trim(inside, found(SEPTEMBER))
    assert inside.ideal == D(2027, 8, 31), "ten days before, not three weeks after"
    nearer = job(first=D(2027, 8, 25), last=D(2027, 10, 5), ideal=D(2027, 9, 20))
    trim(nearer, found(SEPTEMBER))
    assert nearer.ideal == D(2027, 10, 1)
    shut = job()
    trim(shut, found(SEPTEMBER))
    assert (shut.earliest, shut.latest) == (ONE, THREE)


def test_a_moved_job_has_a_fortnight():
    one = job(task="clip roads")
    out_of_season(one, ONE, found(SEPTEMBER), EVERY_DAY)
    assert (one.earliest, one.ideal, one.latest) == (
        D(2027, 8, 18), D(2027, 8, 31), D(2027, 8, 31),
    )  # fmt: skip
    later = job(task="clip roads")
    out_of_season(later, ONE, found(SEPTEMBER), EVERY_DAY, later=True)
    assert (later.earliest, later.ideal, later.latest) == (
        D(2027, 10, 1), D(2027, 10, 1), D(2027, 10, 14),
    )  # fmt: skip
    assert "The last open day before is August 31." in later.notes[0]


def test_the_days_one_has_are_counted_with_both_ends():
    assert mine_open(ONE, THREE, (), (), SATURDAYS) == [ONE, TWO, THREE]
    assert mine_open(ONE, THREE, (), found(Quiet("q", "09-11", "09-11")), SATURDAYS) == [
        ONE, THREE,
    ]  # fmt: skip
    assert mine_open(THREE, ONE, (), (), SATURDAYS) == []


# late work


def test_what_nothing_follows_is_worth_doing_for_two_weeks():
    assert useful_until(job(), [], [], None) == D(2027, 10, 2)
    # never past the day before a planting that is to come
    assert useful_until(job(), [], [], D(2027, 9, 25)) == D(2027, 9, 24)
    assert useful_until(job(), [], [], THREE) == D(2027, 10, 2), "sown already"


@pytest.mark.parametrize(
    ("lag", "last"), [(0, D(2027, 10, 31)), (20, D(2027, 10, 21)), (21, D(2027, 10, 20)), (100, D(2027, 10, 2))]
)  # fmt: skip
def test_half_of_what_should_lie_between_is_better_than_nothing(lag, last):
    """What follows may come until October 31; fifty days sooner lies before its own last day."""
    follows = job("b", last=D(2027, 10, 31))
    assert useful_until(job(), [(follows, lag)], [], None) == last


def test_a_cut_is_worth_doing_until_the_day_before_the_next():
    from quietacre.record.words import CUT

    mine = job(task=CUT, more_words=("strip",))
    after = job("b", first=D(2027, 9, 25), last=D(2027, 10, 9), task=CUT)
    assert useful_until(mine, [], [mine, after], None) == D(2027, 9, 24)
    of_another = job("c", first=D(2027, 9, 25), last=D(2027, 10, 9), task=CUT, area="Q")
    assert useful_until(mine, [], [mine, of_another], None) == D(2027, 10, 2)


@pytest.mark.parametrize(("today", "late"), [(THREE, False), (D(2027, 9, 19), True)])
def test_a_job_is_late_from_the_day_after_its_last(today, late):
    one = job()
    reopen([one], (), (), EVERY_DAY, today)
    assert (one.due_by is not None) is late
    if late:
        assert (one.due_by, one.best_was, one.earliest) == (THREE, ONE, today)
        assert one.notes == [
            "late: it was due by September 18, 2027; it is worth doing until October 2, though "
            "the residue is taller and rots slower."
        ]


def test_without_a_day_of_ones_own_left_it_is_late_before_its_last_day():
    one = job(last=D(2027, 9, 17))
    reopen([one], (), (), SATURDAYS, D(2027, 9, 12))
    assert one.notes[0].startswith(
        "late: no day of yours is left up to September 17, 2027;"
    )
    done = job(last=D(2027, 9, 17))
    reopen([done], {"a"}, (), SATURDAYS, D(2027, 9, 12))
    assert done.notes == []


def test_late_work_leaves_what_follows_the_days_that_are_left():
    """Worth doing until October 1, half of eleven days before October 7; six are left of them."""
    one, after = job(), job("b", last=D(2027, 10, 7), after=[("a", 11), ("x", 40)])
    reopen([one, after], (), (), EVERY_DAY, D(2027, 9, 19))
    assert one.latest == D(2027, 10, 1)
    assert after.after == [("a", 6), ("x", 40)]


# cut in parts, and windows of a burn


@pytest.mark.parametrize(("minutes", "parts"), [(480.0, 1), (481.0, 2), (960.0, 2), (961.0, 3)])  # fmt: skip
def test_a_job_longer_than_a_day_is_cut_in_equal_parts(minutes, parts):
    one = job(minutes=minutes, notes=["said once"], amounts=["10 lb oats"])
    after = job("b", after=[("a", 5)])
    made = _parts([one, after], 480.0)
    cut = made[:-1]
    assert len(cut) == parts
    assert sum(task.minutes for task in cut) == pytest.approx(minutes)
    assert len({task.uid for task in cut}) == parts
    assert [task.notes for task in cut] == [["said once"], *[[]] * (parts - 1)]
    assert made[-1].after == [(task.uid, 5) for task in cut]
    if parts > 1:
        assert cut[-1].label == f"clip (part {parts} of {parts})"
        assert {a for task in cut for a in task.amounts} == {"10 lb oats (whole job)"}


@pytest.mark.parametrize(
    ("quiet", "today", "days"),
    [
        ((), TODAY, (D(2027, 2, 1), D(2027, 3, 15))),
        ((Quiet("q", "02-10", "02-20"),), TODAY, (D(2027, 2, 21), D(2027, 3, 15))),
        ((Quiet("q", "03-01", "03-10"),), TODAY, (D(2027, 2, 1), D(2027, 2, 28))),
        ((Quiet("q", "03-01", "03-10"),), D(2027, 2, 28), (D(2027, 2, 1), D(2027, 2, 28))),
        ((Quiet("q", "03-01", "03-10"),), D(2027, 3, 1), (D(2027, 3, 11), D(2027, 3, 15))),
        # of two stretches as long, the sooner
        ((Quiet("q", "02-22", "02-22"),), TODAY, (D(2027, 2, 1), D(2027, 2, 21))),
        ((Quiet("q", "02-21", "02-21"),), TODAY, (D(2027, 2, 22), D(2027, 3, 15))),
    ],
)  # fmt: skip
def test_a_burn_keeps_its_longest_stretch_of_open_days(quiet, today, days):
    window = job(first=D(2027, 2, 1), last=D(2027, 3, 15), status="window")
    _open_window(window, found(*quiet), today)
    assert (window.earliest, window.latest) == days
    assert window.ideal == window.earliest


def test_a_burn_without_an_open_day_says_until_when_it_could_have_been():
    over = Quiet("q", "01-20", "03-20")
    for today, words in (
        (D(2027, 1, 19), "burn by January 19, if the permit"),
        (D(2027, 1, 20), "is left from February 1 to March 15: leave it for a year."),
    ):
        window = job(first=D(2027, 2, 1), last=D(2027, 3, 15), status="window")
        _open_window(window, found(over), today)
        assert (window.status, window.passed) == ("unplaced", True)
        assert words in window.notes[0]
    gone = job(first=D(2027, 2, 1), last=D(2027, 3, 15), status="window")
    _open_window(gone, found(), D(2027, 3, 16))
    assert gone.passed
    last = job(first=D(2027, 2, 1), last=D(2027, 3, 15), status="window")
    _open_window(last, found(), D(2027, 3, 15))
    assert not last.passed


def test_only_the_whole_search_proves_anything():
    for effort, trips in (("plain", 0), ("place", 0), ("best", 1)):
        out = set_days(
            job(first=D(2027, 9, 5)), job("b", first=D(2027, 9, 5)), effort=effort
        )
        assert (len(out.used), out.trips_least, out.unplaced_least) == (1, trips, 0)
        assert out.late_days == 12
        assert out.late_least == (12 if effort == "best" else 0)
    full = [job(n, last=ONE, minutes=400.0) for n in "ab"]
    out = set_days(*full, effort="plain")
    assert (out.trips_least, out.unplaced_least, out.late_least) == (0, 0, 0)


def test_what_was_asked_for_is_counted():
    asked = [job("a", asked=ONE), job("b", asked=TWO), job("c")]
    assert set_days(*asked).asked == 2
    assert [task.scheduled for task in asked[:2]] == [ONE, TWO]
    both = [
        job("a", last=ONE, asked=ONE, minutes=300.0),
        job("b", asked=ONE, minutes=300.0),
    ]
    set_days(*both)
    assert [task.scheduled for task in both] == [ONE, TWO], "one gives way, to the nearest"
