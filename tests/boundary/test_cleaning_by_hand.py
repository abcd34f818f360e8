"""Fixes that are no part of a walk, each rule at its limit, on paths of a few steps laid by hand."""

import numpy as np
import pytest

from quietacre.boundary import clean


def path_of(steps, turns):
    """Return a path of so many metres a step, each turned by so many degrees from the one before."""
    heading = np.radians(np.cumsum(turns))
    moved = np.array(steps)[:, None] * np.column_stack([np.cos(heading), np.sin(heading)])
    return np.vstack([[0.0, 0.0], np.cumsum(moved, axis=0)])


def along(*at):
    """Return places on a line to the east."""
    return np.column_stack([np.array(at, float), np.zeros(len(at))])


def rows(mask):
    return np.flatnonzero(mask).tolist()


# repeats


@pytest.mark.parametrize(
    ("east", "repeated"),
    [
        ([0, 0.025, 0.05], [1]),  # five centimetres from the one that is kept
        ([0, 0.03, -0.02], [1]),  # a step of five from one that is not
        ([0, 10, 0], []),  # a walk that ends where it began
        ([0, 1, 1, 1.02, 5, 5, 5.04, 5.08], [2, 3, 5, 6]),
        ([0, 0, 0.04, 0.08, 0.12, 0.16], [1, 2, 4]),
    ],
)
def test_a_fix_less_than_five_centimetres_from_the_last_that_was_kept_repeats_it(
    east, repeated
):
    assert rows(clean.repeats(along(*east))) == repeated


# jumps, by the clock


def test_of_four_fixes_one_may_be_a_jump_and_of_three_none():
    xy = np.array([(0.0, 0), (1, 0), (2, 60), (3, 0)])
    assert clean.spikes(xy, np.arange(4.0)).tolist() == [False, False, True, False]
    assert clean.spikes(xy[1:], np.arange(3.0)).tolist() == [False] * 3


@pytest.mark.parametrize("times", ["known", "missing", "repeated"])
def test_a_clock_that_stands_still_is_no_clock(times):
    """Nine metres aside is too far for a second, and not for steps of unknown length."""
    xy = along(*range(60))
    xy[20, 1] = 9.0
    when = np.arange(60.0)
    if times != "known":
        when[40] = np.nan if times == "missing" else when[39]
    assert rows(clean.spikes(xy, when)) == ([20] if times == "known" else [])


@pytest.mark.parametrize(("block", "back"), [(39, True), (40, False)])
def test_a_chain_reaches_over_thirty_nine_fixes_and_no_more(block, back):
    xy = along(*range(110 + block))
    xy[60 : 60 + block, 1] = 1000.0
    off = clean.spikes(xy, np.arange(len(xy)) * 1.0)
    assert rows(off) == list(range(60, 60 + block if back else len(xy)))


@pytest.mark.parametrize(("late", "off"), [(9.0, [12, 13, 14]), (9.25, [11, 12, 13, 14])])
def test_over_fixes_left_out_a_step_is_as_long_as_the_walk_may_have_come(late, off):
    """Two metres a fix and five of slack: from fix 11 to fix 15, 13 m; from fix 10, 15 m."""
    xy = along(*range(30))
    xy[12:15, 1] = 100.0
    xy[15:] += (late, 0)
    assert rows(clean._off_chain(xy, np.full(29, 7.0), 2.0 * np.arange(30), 5.0)) == off


def test_of_two_chains_as_long_the_one_of_nearer_steps_is_kept():
    """Fix 5 and fix 6 exclude one another; fix 6 lies on the way."""
    xy = along(0, 1, 2, 3, 4, 5, 5, 6, 7, 8, 9)
    xy[5, 1] = 7.5
    believed = np.full(10, 7.0)
    passed = np.full(11, 8.0) * np.arange(11)
    assert rows(clean._off_chain(xy, believed, passed, 0.0)) == [5]
    xy[5, 1], xy[6, 1] = 0.0, 7.5
    assert rows(clean._off_chain(xy, believed, passed, 0.0)) == [6]


def test_where_no_step_is_believed_one_fix_is_left():
    xy = along(0, 100, 200, 300)
    off = clean._off_chain(xy, np.full(3, 7.0), np.arange(4.0), 5.0)
    assert off.tolist() == [False, True, True, True]


def test_a_first_step_that_is_a_jump_is_looked_at_for_forty_fixes():
    jump = np.zeros(120, dtype=bool)
    jump[0] = True
    assert rows(clean._near(jump)) == list(range(1, 42))


@pytest.mark.parametrize(("quick", "pace"), [(22, 3.2), (23, 1.6 * (2 + 7 / 3))])
def test_the_pace_over_twelve_seconds_counts_from_eleven_of_them_on(quick, pace):
    """Steps of 2 m, then ten of 6 m: over twelve seconds from the nth on, 2 + n / 3 m a second."""
    steps = np.r_[np.full(quick - 11, 2.0), np.full(10, 6.0)]
    xy = along(0, *np.cumsum(steps))
    assert len(xy) == quick
    assert clean._pace_m_s(xy, np.arange(quick) * 1.0) == pytest.approx(pace)


def test_a_step_at_a_right_angle_lends_no_pace_and_one_of_the_same_way_does():
    """At five metres a second; three metres in a second are lent 1.7 times."""
    east_north = np.array([(0.0, 0), (8, 0), (8, 8), (16, 8)])
    assert clean._believed(east_north, np.arange(4.0), 5.0).tolist() == [10.0] * 3
    on = clean._believed(along(0, 4, 10, 14), np.arange(4.0), 5.0)
    assert on == pytest.approx([1.7 * 6 + 5, 1.7 * 4 + 5, 1.7 * 6 + 5])


@pytest.mark.parametrize(("long", "steady"), [(3.0, True), (3.25, False)])
def test_a_step_of_half_as_long_again_is_still_steady(long, steady):
    found = clean._steady(np.array([2.0, long, 2.0]), np.array([True, True]))
    assert found.tolist() == [False, steady, False]


# jumps, without a clock


@pytest.mark.parametrize(
    ("usual", "aside", "jump"),
    [(0.5, 10.5, False), (0.5, 11.5, True), (2.0, 16.5, False), (2.0, 17.5, True)],
)
def test_without_times_six_usual_steps_and_five_metres_are_a_jump(usual, aside, jump):
    """A usual step counts a metre at least: 11 m, and 17 m for steps of two."""
    xy = along(*(usual * np.arange(60)))
    xy[20, 1] = np.sqrt(aside**2 - usual**2)
    found = clean.spikes(xy, np.full(60, np.nan))
    assert found.tolist() == [row == 20 and jump for row in range(60)]


@pytest.mark.parametrize(("wide", "kept"), [(20.0, True), (20.5, False)])
def test_without_times_the_first_fix_may_lie_as_far_as_the_walk_may_have_come(wide, kept):
    """Two steps at 1.6 times the usual 2 m are 6.4 m; a step may be 13.8 m longer: 20.2 m."""
    xy = along(0, 10, *(wide + 2.0 * np.arange(50)))
    xy[1, 1] = 100.0
    believed = np.full(51, 17.0)
    passed = np.r_[0.0, np.cumsum(np.full(51, 3.2))]
    assert rows(clean._off_chain(xy, believed, passed, 13.8)) == ([1] if kept else [0, 1])
    # what is left out at an end is a jump too, for it lies off by more than the rest is wide
    assert rows(clean.spikes(xy, np.full(52, np.nan))) == ([1] if kept else [0, 1])
    turned = clean.spikes(xy[::-1], np.full(52, np.nan))
    assert rows(turned) == ([50] if kept else [50, 51])


@pytest.mark.parametrize("cut", [False, True])
def test_a_recorder_that_was_stopped_may_go_on_anywhere(cut):
    """Two fixes 200 m from the end of 100 m: a jump, but for a new stretch of the recording."""
    xy = along(*range(0, 100, 2), 300, 302)
    segment = np.r_[np.zeros(50, dtype=int), np.full(2, int(cut))]
    assert rows(clean.spikes(xy, np.full(52, np.nan), segment)) == ([] if cut else [50, 51])
    assert rows(clean.spikes(xy, np.full(52, np.nan))) == [50, 51], "one stretch"


@pytest.mark.parametrize(("before", "after", "off"), [(40, 40, []), (39, 40, [*range(39)])])
def test_between_two_stretches_of_forty_fixes_a_long_step_goes_on(before, after, off):
    east = [*range(0, 2 * before, 2), *range(300, 300 + 2 * after, 2)]
    count = before + after
    assert rows(clean.spikes(along(*east), np.full(count, np.nan))) == off


def test_an_end_as_far_off_as_the_rest_is_wide_is_no_jump():
    """Farther than 100 m it is one."""
    for far, jump in ((200.0, False), (201.0, True)):
        xy = along(0, 50, 100, far)
        off = np.array([False, False, False, True])
        assert clean._out_and_back(xy, off, 50.0).tolist() == [False, False, False, jump]
        turned = clean._out_and_back(far - xy[::-1], off[::-1], 50.0)
        assert turned.tolist() == [jump, False, False, False]


@pytest.mark.parametrize(
    ("path", "jump"),
    [
        ([(0, 0), (0, 25), (0, 0)], False),  # half of the longest step that is believed
        ([(0, 0), (0, 25.5), (0, 0)], True),
        # the way over it longer than past it by 1.2 times the longer of both
        ([(0, 0), (0, 100), (0, 20)], True),  # 180 and 20: 160 of 100
        ([(0, 0), (0, 100), (0, 39)], True),  # 161 and 39: 122
        ([(0, 0), (0, 100), (0, 41)], False),  # 159 and 41: 118
        ([(0, 0), (0, 100), (0, 40)], False),  # 120
        # between them no farther than past it by two such steps
        ([(0, 0), (0, 100), (0, 150), (2, 150), (2, 100), (2, 0)], False),  # 102 and 2
        ([(0, 0), (0, 100), (0, 149), (2, 149), (2, 100), (2, 0)], True),
        ([(0, 0), (0, 100), (90, 100), (2, 100), (2, 0)], True),  # a step counts 50 at most
    ],
)
def test_a_jump_from_both_sides_at_each_limit(path, jump):
    assert clean._comes_back(np.array(path, float), 50.0) is jump


def saved(sides, *pairs):
    """Long sides of a figure, and pairs of long steps: so many fixes apart, turned by so much."""
    steps, turns = [], []
    for _ in range(sides):
        steps += [1.0] * 6 + [50.0]
        turns += [0.0] * 6 + [60.0]
    for apart, turned in pairs:
        steps += [1.0] * 6 + [80.0] + [1.0] * (apart - 1) + [50.0]
        turns += [0.0] * 6 + [0.0] + [0.0] * (apart - 1) + [turned]
    return clean._saved_by_turns(path_of(steps, turns), np.array(steps) > 20)


def test_long_steps_are_a_way_of_saving_unless_a_third_of_them_come_back():
    assert saved(4) is False
    assert saved(5) is True
    assert saved(4, (2, 180.0)) is True, "two of six"
    assert saved(3, (2, 180.0)) is False, "two of five"
    # within four fixes
    assert saved(3, (4, 180.0)) is False
    assert saved(3, (5, 180.0)) is True
    # against the way it went: cosines of -0.71 and -0.64
    assert saved(3, (2, 135.0)) is False
    assert saved(3, (2, 130.0)) is True


def test_thirty_four_in_a_hundred_that_come_back_are_jumps():
    """Of fifty long steps seventeen: seven out and back, and one out, back and out."""
    steps = [1.0] * 6 + [50.0]
    turns = [0.0] * 6 + [60.0]
    steps, turns = steps * 33, turns * 33
    for count in (2,) * 7 + (3,):
        steps += [1.0] * 6 + [50.0] * count
        turns += [0.0] * 6 + [0.0] + [180.0] * (count - 1)
    long = np.array(steps) > 20
    assert long.sum() == 50
    assert clean._saved_by_turns(path_of(steps, turns), long) is False
    assert clean._saved_by_turns(path_of(steps[7:], turns[7:]), long[7:]) is False
    more = path_of(steps + steps[:7], turns + turns[:7])
    assert clean._saved_by_turns(more, np.r_[long, long[:7]]) is True


def test_a_path_saved_by_turns_holds_no_jump():
    """Six long sides and, among them, one step out and back."""
    steps, turns = [], []
    for side in range(6):
        steps += [1.0] * 6 + [50.0]
        turns += [0.0] * 6 + [60.0]
        if side == 2:
            steps += [60.0, 60.0]
            turns += [90.0, 180.0]
    xy = path_of(steps, turns)
    assert clean.spikes(xy, np.full(len(xy), np.nan)).tolist() == [False] * len(xy)


# stops


@pytest.mark.parametrize(
    ("east", "at_s", "groups"),
    [
        ([0, 1, 1, 0], [0, 8, 16, 24], [0, 0, 0, 0]),
        ([0, 1, 1, 0], [0, 8, 16, 23.5], [0, 1, 2, 3]),
        ([0, 1, 0], [0, 12, 24], [0, 1, 2]),  # three are too few
        # less than a quarter of a metre a second, over the time it took
        ([0, 2, 4, 6], [0, 8, 16, 24], [0, 1, 2, 3]),
        ([0, 2, 4, 5.9], [0, 8, 16, 24], [0, 0, 0, 0]),
        ([0, 2, 4, 7], [0, 10, 20, 30], [0, 0, 0, 0]),
        ([0, 3, 5, 7.5], [0, 10, 20, 30], [0, 1, 2, 3]),
        # three and a half metres from their middle
        ([3.5, -3.5, -3.5, 3.5], [0, 8, 16, 24], [0, 0, 0, 0]),
        ([3.6, -3.6, -3.6, 3.6], [0, 8, 16, 24], [0, 1, 2, 3]),
        # a clock that stands still, or that is not known
        ([0, 1, 1, 0, 0], [0, 8, 16, 24, 24], [0, 1, 2, 3, 4]),
        ([0, 1, 1, 0, 0], [0, 8, np.nan, 24, 32], [0, 1, 2, 3, 4]),
        # on the way
        (
            [0, 10, 20, 30, 31, 30, 30, 40, 50, 60],
            list(range(0, 80, 8)),
            [0, 1, 2, 3, 3, 3, 3, 4, 5, 6],
        ),
    ],
)
def test_fixes_of_twenty_four_seconds_in_one_place_are_one(east, at_s, groups):
    found = clean.stops(along(*east) + (500.0, -300.0), np.array(at_s, float))
    assert found.tolist() == groups
    assert found.dtype == np.int64
