"""What a recording shows of its errors, on paths whose signs are known by hand."""

import numpy as np
import pytest

from quietacre.boundary.signs import _share, _strays, _turn_s, jumped_share, signs_of


def zigzag(count, aside_m):
    """A path east of a meter a fix, to the left and the right in turn."""
    return np.column_stack([np.arange(count), aside_m * (-1.0) ** np.arange(count)])


def circle(count, every_s, rad_a_s=0.1):
    at_s = every_s * np.arange(count)
    turn = rad_a_s * at_s
    return 20.0 * np.column_stack([np.cos(turn), np.sin(turn)]), at_s


def test_fewer_than_four_are_chance():
    assert _share(np.array([True] * 3 + [False] * 5)) == 0.0
    assert _share(np.array([True] * 4 + [False] * 4)) == 0.5


def test_a_run_of_jumps_counts_as_one():
    assert jumped_share(np.array([True, True, False] * 3)) == 0.0
    assert jumped_share(np.array([True, True, False] * 4)) == pytest.approx(2 / 3)
    assert jumped_share(np.ones(20, dtype=bool)) == 0.0


def test_a_zigzag_strays_by_twice_its_width_over_one_fix_and_not_over_two():
    """A lap of 40 m is looked at over an eighth of it, 5 m: over 1, 2 and 4 fixes."""
    found = _strays(zigzag(41, 0.1), np.arange(41.0), 1.0, 40.0)
    assert found.over_s.tolist() == [1.0, 2.0, 4.0]
    assert found.across_m == pytest.approx([1.4826 * 0.2, 0.0, 0.0], abs=1e-9)
    assert (found.pace_m_s, found.lasts_s) == (1.0, 40.0)


@pytest.mark.parametrize(("long_m", "over_s"), [(32.0, [1, 2, 4]), (31.0, [1, 2])])
def test_a_look_is_no_longer_than_an_eighth_of_the_lap(long_m, over_s):
    at_s = np.arange(long_m + 1.0)
    found = _strays(zigzag(len(at_s), 0.1), at_s, 1.0, long_m)
    assert found.over_s.tolist() == over_s


def test_a_long_wait_counts_as_ten_usual_ones():
    at_s = np.r_[np.arange(41.0), 1_000.0]
    assert _strays(zigzag(42, 0.1), at_s, 1.0, 41.0).lasts_s == 50.0


def test_fixes_more_often_than_each_second_are_looked_at_by_the_second():
    found = _strays(zigzag(81, 0.1), 0.5 * np.arange(81.0), 0.5, 80.0)
    assert found.over_s.tolist() == [1.0, 2.0, 4.0]
    assert (found.pace_m_s, found.lasts_s) == (2.0, 40.0)


@pytest.mark.parametrize("every_s", [1.0, 2.0, 4.0])
def test_a_circle_of_a_tenth_of_a_radian_a_second_turns_a_radian_in_ten(every_s):
    xy, at_s = circle(60, every_s)
    assert _turn_s(xy, at_s, every_s) == pytest.approx(10.0)
    assert _turn_s(xy[::-1], at_s, every_s) == pytest.approx(10.0)


def test_a_straight_path_turns_hardly_ever():
    at_s = np.arange(30.0)
    assert _turn_s(zigzag(30, 0.0), at_s, 1.0) == pytest.approx(2.0 / 1e-3)
    assert _turn_s(zigzag(30, 0.0), 4.0 * at_s, 4.0) == pytest.approx(4.0 / 1e-3)


def test_steps_of_less_than_a_foot_and_few_steps_show_no_turns():
    assert np.isnan(_turn_s(0.29 * zigzag(30, 0.0), np.arange(30.0), 1.0))
    assert _turn_s(0.31 * zigzag(30, 0.0), np.arange(30.0), 1.0) == pytest.approx(2_000.0)
    assert np.isnan(_turn_s(zigzag(4, 0.0), np.arange(4.0), 1.0))


def test_a_steady_lap_as_a_whole():
    xy, at_s = circle(63, 1.0)
    jumped = np.array([True, False] * 4)
    found = signs_of(xy, at_s, jumped=jumped, hdop=1.5, satellites=9.0)
    step_m = 40.0 * np.sin(0.05)
    assert (found.pace_m_s, found.every_s) == pytest.approx((step_m, 1.0))
    assert found.turn_s == pytest.approx(10.0)
    assert (found.jumps, found.lost, found.hdop, found.satellites) == (0.5, 0.0, 1.5, 9.0)


@pytest.mark.parametrize(("count", "lost"), [(3, False), (4, True)])
def test_fixes_left_out_four_times_are_lost_ones(count, lost):
    kept = np.delete(
        np.arange(63), [at + k for at in range(5, 5 + 12 * count, 12) for k in (0, 1)]
    )
    xy, at_s = circle(63, 1.0)
    found = signs_of(
        xy[kept], at_s[kept], jumped=np.zeros(63, bool), hdop=np.nan, satellites=np.nan
    )
    assert found.lost == pytest.approx(count / (len(kept) - 1) if lost else 0.0)
