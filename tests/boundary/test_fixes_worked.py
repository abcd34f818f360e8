"""Fixes one by one, as worked by hand: jumps, repeats, stops, and those that are lost."""

import numpy as np
import pytest

from quietacre.boundary import clean, lost

# jumps


def straight(pace, count=40):
    return np.column_stack([pace * np.arange(float(count)), np.zeros(count)])


@pytest.mark.parametrize(
    ("pace", "step", "jump"),
    [
        (1.0, 6.9, False),  # two metres a second, and five of slack
        (1.0, 7.2, True),
        (3.0, 9.6, False),  # 1.6 times the usual pace, and five
        (3.0, 10.1, True),
        (10.0, 19.8, False),  # nobody rides an edge faster than 15 m a second
        (10.0, 20.4, True),
    ],
)
def test_a_step_longer_than_the_pace_allows_is_a_jump(pace, step, jump):
    xy = straight(pace)
    xy[20, 1] = np.sqrt(step**2 - pace**2)
    off = clean.spikes(xy, np.arange(40.0))
    assert off.tolist() == [row == 20 and jump for row in range(40)]


def test_a_jump_of_several_fixes_is_taken_out_whole_and_the_rest_stays():
    xy = straight(1.0, 100)
    xy[30:36] += (0.0, 60.0)
    assert np.flatnonzero(clean.spikes(xy, np.arange(100.0))).tolist() == list(
        range(30, 36)
    )
    assert not clean.spikes(straight(1.0, 3), np.arange(3.0)).any()


def test_a_fix_is_repeated_within_two_inches_of_the_last_that_is_not():
    xy = np.array(
        [(0, 0), (0.049, 0), (0.06, 0), (1, 0), (1, 0), (1.04, 0), (1.04, 0.04), (2, 0)]
    )
    assert clean.repeats(xy.astype(float)).tolist() == [
        False, True, False, False, True, True, False, False,
    ]  # fmt: skip


@pytest.mark.parametrize(("pace", "stops"), [(0.24, True), (0.27, False)])
def test_less_than_a_quarter_of_a_metre_a_second_is_a_stop(pace, stops):
    xy = np.vstack([straight(1.2, 60), straight(pace, 60) + (71.0, 0.0)])
    xy[60:, 0] = 72.0 + pace * np.arange(60)
    group = clean.stops(xy, np.arange(120.0))
    assert (np.bincount(group).max() > 25) == stops
    assert group[0] == 0
    assert (np.diff(group) >= 0).all()


@pytest.mark.parametrize(("radius", "stops"), [(3.3, True), (3.8, False)])
def test_milling_about_within_three_and_a_half_metres_is_a_stop(radius, stops):
    turn = 2 * np.pi * np.arange(72) / 24
    milling = radius * np.column_stack([np.cos(turn), np.sin(turn)])
    group = clean.stops(milling, np.arange(72.0))
    assert (np.bincount(group).max() > 20) == stops


def test_a_stop_is_one_place_at_one_time_their_means():
    xy = np.array([(0.0, 0), (10, 0), (12, 2), (11, 1), (20, 0)])
    merged, times = clean.merge_stops(
        xy, np.array([0.0, 10, 20, 33, 40]), np.array([0, 1, 1, 1, 2])
    )
    assert merged.tolist() == [[0, 0], [11, 1], [20, 0]]
    assert times.tolist() == [0, 21, 40]
    assert np.isnan(clean.merge_stops(xy, np.full(5, np.nan), np.arange(5))[1]).all()


def test_fixes_of_one_second_follow_one_another_within_it():
    times = clean.ordered(np.array([0.0, 0, 1, 1, 1, 2]))
    assert times == pytest.approx([0, 0.5, 1, 1 + 1 / 3, 1 + 2 / 3, 2])
    assert np.isnan(clean.ordered(np.array([0.0, 2, 1]))).all()
    assert np.isnan(clean.ordered(np.array([0.0, np.nan, 1]))).all()


# lost fixes


def stepped(usual, long, count=30, wait_s=2.0):
    """A straight path with one step longer, its fixes saved every so often."""
    steps = np.full(count, usual)
    steps[12] = long
    xy = np.column_stack([np.r_[0.0, np.cumsum(steps)], np.zeros(count + 1)])
    return xy, wait_s * np.arange(count + 1)


@pytest.mark.parametrize(
    ("usual", "long", "gone"),
    [(2.0, 19.5, False), (2.0, 20.5, True), (5.0, 24.5, False), (5.0, 26.0, True)],
)
def test_fixes_are_lost_over_twenty_metres_and_five_usual_steps(usual, long, gone):
    xy, when = stepped(usual, long)
    assert np.flatnonzero(lost.lost_steps(xy, when)).tolist() == ([12] if gone else [])
    over = lost.over_lost(
        xy, when, np.array([11 * usual, 12 * usual + 1, 12 * usual + long + 1])
    )
    assert over.tolist() == [False, gone, False]
    share = long / (29 * usual + long) if gone else 0.0
    assert lost.lost_share(xy, when, (0, 30), 0.0) == pytest.approx(share)
    # a line of 24 m over an edge that bends by an eighth of it: a twelfth of its square
    chord = lost.chords_over_lost(xy, when, (0, 30))
    assert chord == pytest.approx(long**2 / 12 if gone else 0.0)
    whole = 29 * usual + long
    # step 12 lies behind a lap that ends with fix 12, and before one that begins with 13
    for lap in ((0, 12), (13, 30)):
        assert lost.lost_share(xy, when, lap, 0.0) == 0.0
        assert lost.chords_over_lost(xy, when, lap) == 0.0
    gap = lost.lost_share(xy, when, (0, 30), 10.0)
    assert gap == pytest.approx(((long if gone else 0) + 10) / (whole + 10))


@pytest.mark.parametrize(
    ("took", "gone"), [(0.5, True), (0.7, False), (1.2, False), (1.35, True)]
)
def test_a_recorder_that_saves_by_turns_loses_nothing_on_a_straight_side(took, gone):
    """A long side that takes about as long as the pace needs hides no edge."""
    steps = np.tile([3.0, 3.0, 30.0], 12)
    wait = steps / 1.0
    steps[20] = 60.0
    wait[20] = 60.0 * took
    xy = np.column_stack([np.r_[0.0, np.cumsum(steps)], np.zeros(37)])
    found = lost.lost_steps(xy, np.r_[0.0, np.cumsum(wait)])
    assert found[20] == gone
    assert not lost.evenly_saved(xy, np.r_[0.0, np.cumsum(wait)])


@pytest.mark.parametrize(
    ("count", "usual", "gone"),
    [
        (4, 2.0, True),  # four are chance
        (5, 2.0, False),  # 125 of 195 m
        (5, 5.0, True),  # 127.5 of 332.5 m
        (5, 4.9, False),  # 127.5 of 299 m
    ],
)
def test_without_times_many_long_steps_are_a_way_of_saving(count, usual, gone):
    """Five, and two fifths of the way; each more than five usual steps."""
    steps = np.full(40, usual)
    steps[5 : 5 + 6 * count : 6] = 25.5
    if usual == 5.0:
        steps[:2] = 20.0
    xy = np.column_stack([np.r_[0.0, np.cumsum(steps)], np.zeros(41)])
    found = lost.lost_steps(xy, np.full(41, np.nan))
    assert found.sum() == (count if gone else 0)


@pytest.mark.parametrize(("long", "even"), [(2.4, True), (2.7, False)])
def test_waits_are_even_while_the_long_tenth_is_no_longer_than_two_and_a_half(long, even):
    waits = np.ones(60)
    waits[::8] = long
    times = np.r_[0.0, np.cumsum(waits)]
    assert lost.evenly_saved(straight(1.0, 61), times) is even
    assert not lost.evenly_saved(straight(1.0, 1), np.array([0.0]))
