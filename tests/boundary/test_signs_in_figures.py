"""What a recording shows of its errors, by a plain loop over its fixes."""

import math
import statistics

import numpy as np
import pytest

from quietacre.boundary import signs
from quietacre.boundary.signs import jumped_share, signs_of


def wandering(seed, count, every_s=1.0):
    """Return a walk of uneven pace and its times: some waits, one very long."""
    rng = np.random.default_rng(seed)
    wait = np.where(rng.random(count - 1) < 0.1, 3.0, 1.0) * every_s
    wait[count // 2] = 40.0 * every_s
    heading = np.cumsum(rng.normal(0.0, 0.25, count - 1))
    step = np.where(rng.random(count - 1) < 0.08, 0.1, rng.uniform(0.8, 1.9, count - 1))
    xy = np.cumsum(
        np.column_stack([np.cos(heading), np.sin(heading)]) * step[:, None], axis=0
    )
    return np.vstack([[0.0, 0.0], xy]), np.r_[0.0, np.cumsum(wait)]


def strays_by_loop(xy, at_s, every_s, long_m):
    """Return times and deviations of a path's middles from their chords."""
    every_s = max(every_s, 1.0)
    clock = [0.0]
    for one, two in zip(at_s, at_s[1:], strict=False):
        clock.append(clock[-1] + min(two - one, 10.0 * every_s))
    pace = long_m / clock[-1]
    count = math.ceil(clock[-1] / every_s)
    even = [
        (np.interp(k * every_s, clock, xy[:, 0]), np.interp(k * every_s, clock, xy[:, 1]))
        for k in range(count)
    ]
    over, across = [], []
    for fixes in (1, 2, 4, 8, 16, 32):
        look_m = fixes * every_s * pace
        if look_m > min(long_m / 8.0, 60.0):
            break
        aside = []
        for k in range(fixes, len(even) - fixes):
            (ax, ay), (x, y), (bx, by) = even[k - fixes], even[k], even[k + fixes]
            size = math.hypot(bx - ax, by - ay)
            if size > 0.5 * look_m:
                off = (x - 0.5 * (ax + bx), y - 0.5 * (ay + by))
                aside.append((off[0] * (by - ay) - off[1] * (bx - ax)) / size)
        if len(aside) < 5:
            continue
        middle = statistics.median(aside)
        over.append(fixes * every_s)
        across.append(1.4826 * statistics.median(abs(one - middle) for one in aside))
    return over, across, pace, clock[-1]


@pytest.mark.parametrize(
    ("seed", "count", "every_s"),
    [(1, 400, 1.0), (2, 60, 1.0), (3, 90, 5.0), (4, 200, 0.5), (5, 7, 1.0), (6, 25, 1.0)],
)
def test_how_far_a_path_strays_is_that_of_a_loop_over_its_places(seed, count, every_s):
    xy, at_s = wandering(seed, count, every_s)
    long_m = float(np.hypot(*np.diff(xy, axis=0).T).sum())
    told = signs._strays(xy, at_s, every_s, long_m)
    over, across, pace, lasts = strays_by_loop(xy, at_s, every_s, long_m)
    assert told.over_s.tolist() == over
    assert told.across_m == pytest.approx(across)
    assert (told.pace_m_s, told.lasts_s) == pytest.approx((pace, lasts))


@pytest.mark.parametrize(("count", "looks"), [(8, 0), (9, 1), (16, 1), (17, 2)])
def test_a_path_is_looked_at_up_to_an_eighth_of_it(count, looks):
    xy = np.column_stack([np.arange(count) * 1.0, np.zeros(count)])
    told = signs._strays(xy, np.arange(count) * 1.0, 1.0, count - 1.0)
    assert told.over_s.tolist() == [1.0, 2.0][:looks]


def test_a_circle_turns_through_a_radian_in_its_radius_over_its_pace():
    # 20 m round at 1 m/s: one radian each 20 s
    at_s = np.arange(0.0, 130.0)
    xy = 20.0 * np.column_stack([np.cos(at_s / 20.0), np.sin(at_s / 20.0)])
    assert signs._turn_s(xy, at_s, 1.0) == pytest.approx(20.0, rel=1e-3)
    assert signs._turn_s(xy[::5], at_s[::5], 5.0) == pytest.approx(20.0, rel=1e-3)


def turn_by_loop(xy, at_s, every_s):
    """Return the time in which the sharpest turns of a path go through a radian."""
    headings, middles = [], []
    for k in range(len(xy) - 1):
        (x, y), wait = xy[k + 1] - xy[k], at_s[k + 1] - at_s[k]
        if math.hypot(x, y) > 0.3 and wait > 0:
            heading = math.atan2(y, x)
            if headings:
                heading = headings[-1] + math.remainder(heading - headings[-1], math.tau)
            headings.append(heading)
            middles.append(0.5 * (at_s[k] + at_s[k + 1]))
    if len(headings) < 4:
        return math.nan
    over, step = max(2.0, every_s), max(1.0, 0.5 * every_s)
    at = [middles[0] + k * step for k in range(10_000)]
    at = [one for one in at if one < middles[-1] - over]
    if len(at) < 4:
        return math.nan
    turned = sorted(
        abs(np.interp(one + over, middles, headings) - np.interp(one, middles, headings))
        for one in at
    )
    return over / max(turned[-max(len(turned) * 2 // 100, 3)], 1e-3)


@pytest.mark.parametrize(
    ("seed", "count", "every_s"),
    [(1, 400, 1.0), (2, 60, 1.0), (3, 90, 5.0), (4, 200, 0.5), (5, 5, 1.0), (6, 9, 1.0), (7, 5, 30.0)],
)  # fmt: skip
def test_the_sharpest_turns_are_those_of_a_loop(seed, count, every_s):
    xy, at_s = wandering(seed, count, every_s)
    told = signs._turn_s(xy, at_s, every_s)
    assert told == pytest.approx(turn_by_loop(xy, at_s, every_s), nan_ok=True)


def test_a_path_that_hardly_moves_has_no_turns_and_a_straight_one_none_worth():
    at_s = np.arange(0.0, 60.0)
    still = np.column_stack([at_s * 0.2, np.zeros(60)])
    assert math.isnan(signs._turn_s(still, at_s, 1.0))
    straight = np.column_stack([at_s, np.zeros(60)])
    assert signs._turn_s(straight, at_s, 1.0) == pytest.approx(2.0 / 1e-3)


def lapped(lost=0, wait_s=3.0, step_m=2.0, count=101):
    """Return a straight walk at 1 m/s with some waits and steps that are longer."""
    wait, step = np.ones(count - 1), np.ones(count - 1)
    wait[5 : 5 + 7 * lost : 7] = wait_s
    step[5 : 5 + 7 * lost : 7] = step_m
    along = np.r_[0.0, np.cumsum(step)]
    return np.column_stack([along, np.zeros(count)]), np.r_[0.0, np.cumsum(wait)]


@pytest.mark.parametrize(
    ("lost", "wait_s", "step_m", "share"),
    [
        (4, 3.0, 2.0, 0.04), (3, 3.0, 2.0, 0.0), (5, 3.0, 2.0, 0.05),
        (5, 2.5, 2.0, 0.0), (5, 2.6, 2.0, 0.05), (5, 3.0, 1.8, 0.0), (5, 3.0, 1.9, 0.05),
    ],
)  # fmt: skip
def test_fixes_lost_are_counted_from_four_on(lost, wait_s, step_m, share):
    xy, time_s = lapped(lost, wait_s, step_m)
    told = signs_of(xy, time_s, jumped=np.zeros(3, dtype=bool), hdop=1.5, satellites=9.0)
    assert told.lost == pytest.approx(share)
    assert (told.hdop, told.satellites, told.jumps) == (1.5, 9.0, 0.0)
    assert told.every_s == 1.0
    assert told.pace_m_s == pytest.approx(xy[-1, 0] / time_s[-1])


@pytest.mark.parametrize(
    ("jumped", "share"),
    [
        ("0100100100", 0.0), ("0100100101", 0.4), ("1101101101", 0.7), ("1111111111", 0.0),
        ("1010101000", 0.4), ("0000000000", 0.0),
    ],
)  # fmt: skip
def test_jumps_are_counted_from_four_that_began_on(jumped, share):
    assert jumped_share(np.array([one == "1" for one in jumped])) == pytest.approx(share)
