"""How the sky shows in a walk, and what it costs, as worked by hand from the methods."""

import itertools

import numpy as np
import pytest

from quietacre.boundary import margin, signs
from quietacre.boundary.margin import blocked_sky
from quietacre.boundary.signs import Signs, Strays, signs_of
from quietacre.boundary.sky import chance_blocked
from quietacre.figures import printed
from quietacre.units import ACRE_M2

NONE = np.zeros(0)


# the sky: the sum that the methods describe, one by one


def by_hand(across, over, pace, lasts, before):
    """Sum over errors, correlation times, smoothings and bends, each as likely as the next."""
    taus = [12 * (90 / 12) ** (k / 4) for k in range(5)]
    ends = [400 / (pace * lasts), max(1200 / (pace * lasts), 3.0)]
    bends = [ends[0] * (ends[1] / ends[0]) ** (k / 3) for k in range(4)]

    def likely(median, spread, lags):
        z = np.linspace(-2.2, 2.2, 9)
        weight = np.exp(-z * z / 2) / np.exp(-z * z / 2).sum()
        found = 0.0
        for share, sigma in zip(weight, median * np.exp(spread * z), strict=True):
            one = [
                fits(sigma, *which)
                for which in itertools.product(taus, lags, bends, (1.5, 2.0))
            ]
            found += share * np.mean(one)
        return found

    def fits(sigma, tau, lag, bend, power):
        def kept(t):
            late = lag / tau * np.exp(-t / lag) if lag else 0.0
            return (np.exp(-t / tau) - late) / (1 - (lag / tau) ** 2)

        off = 0.0
        for far, h in zip(across, over, strict=True):
            white = 1.5 * 0.35**2 * (1.0 if not lag else min(0.25 / lag, 1.0) * 0.1)
            drift = sigma**2 * (3 * kept(0.0) - 4 * kept(h) + kept(2 * h)) / 2
            told = 0.5 * np.log(drift + white + (bend * (h * pace / 20) ** power) ** 2)
            looks = max(0.4 * lasts / (2 * h), 1.5)
            off += (np.log(far) - told) ** 2 / (0.5 / looks + 0.15**2)
        return np.exp(-off / 2)

    lags = (2.0, 3.5, 6.0, 10.0, 17.0)
    clear = 0.4 * likely(2.0, 0.35, [0.0]) + 0.6 * likely(2.0, 0.35, lags)
    blocked = 0.4 * likely(8.0, 0.25, [0.0]) + 0.6 * likely(4.5, 0.35, lags)
    return before * blocked / (before * blocked + (1 - before) * clear)


@pytest.mark.parametrize(
    ("across", "over", "pace", "lasts"),
    [
        ([0.55, 0.75, 1.1, 1.9], [1.0, 2.0, 4.0, 8.0], 1.2, 300.0),
        ([0.9, 1.6, 2.7, 4.4, 6.0], [1.0, 2.0, 4.0, 8.0, 16.0], 1.2, 500.0),
        ([0.2, 0.45, 1.0, 2.3], [1.0, 2.0, 4.0, 8.0], 1.2, 400.0),
        ([2.2, 3.6], [15.0, 30.0], 1.0, 900.0),
        ([1.3, 2.5, 4.8], [1.0, 2.0, 4.0], 5.0, 120.0),
    ],
)
def test_the_chance_of_blocked_sky_is_the_sum_that_the_methods_describe(
    across, over, pace, lasts
):
    strays = Strays(np.array(over), np.array(across), pace, lasts)
    for sky, before in ((None, 0.5), ("open", 0.1), ("canopy", 0.5)):
        wanted = by_hand(across, over, pace, lasts, before)
        assert chance_blocked(strays, sky) == pytest.approx(wanted, rel=1e-6)


# what the path shows


def test_the_sharpest_turns_of_a_circle_are_all_of_it():
    """A metre a second round a circle of 20 m goes through a radian in 20 seconds."""
    turn = np.arange(0, 126) / 20.0
    xy = 20 * np.column_stack([np.cos(turn), np.sin(turn)])
    for every, count in ((1.0, 126), (3.0, 42)):
        found = signs._turn_s(xy[:: int(every)], every * np.arange(count), every)
        assert found == pytest.approx(20.0, rel=0.01)
    assert np.isnan(signs._turn_s(xy[:4], np.arange(4.0), 1.0))
    assert np.isnan(signs._turn_s(xy * 0.001, np.arange(126.0), 1.0)), "it does not move"
    straight = np.column_stack([np.arange(50.0), np.zeros(50)])
    assert signs._turn_s(straight, np.arange(50.0), 1.0) > 1000


def test_a_bend_that_is_the_same_all_round_is_no_straying():
    """The middle lies a sagitta off its chord everywhere; what counts is what is off that."""
    turn = np.linspace(0, 2 * np.pi, 629)
    xy = 100 * np.column_stack([np.cos(turn), np.sin(turn)])
    found = signs._strays(xy, np.arange(629.0), 1.0, 628.0)
    assert found.across_m == pytest.approx(0.0, abs=1e-3)
    # an eighth of the lap is 78 m, and no farther than 60 is looked: 32 fixes of a metre
    assert found.over_s.tolist() == [1, 2, 4, 8, 16, 32]
    assert (found.pace_m_s, found.lasts_s) == pytest.approx((1.0, 628.0))
    wide = signs._strays(xy * 2, np.arange(629.0), 1.0, 1256.0)
    assert wide.over_s.tolist() == [1, 2, 4, 8, 16], "32 fixes are 64 m"
    small = signs._strays(xy * 0.4, np.arange(629.0), 1.0, 251.0)
    assert small.over_s.tolist() == [1, 2, 4, 8, 16, 32]
    assert signs._strays(xy[:6], np.arange(6.0), 1.0, 5.0).over_s.tolist() == []


def test_a_zigzag_strays_by_its_height():
    """The middle lies a metre off its chord; a median deviation stands for 1.48 of itself."""
    xy = np.column_stack([np.arange(199.0) * 2, (np.arange(199) % 2) * 1.0])
    found = signs._strays(xy, np.arange(199.0), 1.0, 396.0)
    assert found.across_m[0] == pytest.approx(1.4826 * 1.0, rel=0.01)
    assert found.across_m[1] == pytest.approx(0.0, abs=1e-9)


def test_a_long_wait_counts_as_ten_of_the_usual():
    when = np.r_[np.arange(50.0), 500 + np.arange(50.0)]
    xy = np.column_stack([np.arange(100.0), np.zeros(100)])
    found = signs._strays(xy, when, 1.0, 99.0)
    assert found.lasts_s == pytest.approx(98 + 10)
    often = signs._strays(xy, np.arange(100) * 0.2, 0.2, 99.0)
    assert often.over_s[0] == 1.0, "no look is shorter than a second"


@pytest.mark.parametrize(
    ("wait", "step", "lost"), [(3, 2, True), (2, 2, False), (3, 1.7, False)]
)
def test_a_fix_lost_is_a_wait_and_a_step(wait, step, lost):
    """Two and a half times the usual wait, 1.8 times the usual step; four of them."""
    waits, steps = np.ones(100), np.ones(100)
    waits[10:50:10], steps[10:50:10] = wait, step
    xy = np.column_stack([np.r_[0, np.cumsum(steps)], np.zeros(101)])
    found = signs_of(xy, np.r_[0, np.cumsum(waits)], jumped=np.zeros(101, bool), hdop=1.0,
                     satellites=9.0)  # fmt: skip
    assert found.lost == pytest.approx(0.04 if lost else 0.0)


# the sky, by all that tells of it


def shown(**more):
    said = {"strays": Strays(NONE, NONE, 1.2, 300.0), "turn_s": np.nan, "pace_m_s": 1.2,
            "every_s": 1.0, "jumps": 0.0, "lost": 0.0}  # fmt: skip
    return Signs(**{**said, **more})


@pytest.mark.parametrize(
    ("more", "chance", "voice", "far"),
    [
        ({"hdop": 1.9}, 0.0, "the dilution in the file", 0.5),
        ({"hdop": 1.4}, 0.0, None, 0.0),
        ({"hdop": 3.0}, 0.0, "the dilution in the file", 1.0),
        ({"satellites": 6.5}, 0.0, "the few satellites", 0.5),
        ({"satellites": 5.0}, 0.0, "the few satellites", 1.0),
        ({"satellites": 9.0}, 0.0, None, 0.0),
        ({"jumps": 0.05}, 0.625, None, 0.977),
        ({"jumps": 0.05}, 0.3, None, 0.027),
        ({"jumps": 0.02}, 0.75, None, 0.996),
        ({"lost": 0.02}, 0.6, None, 0.966),
    ],
)
def test_each_sign_of_blocked_sky_is_a_ramp(more, chance, voice, far):
    """Dilution from 1.4 to 2.4, satellites from 8 to 5; jumps only of a restless path."""
    found, by = blocked_sky(shown(**more), chance, None, None)
    assert found == pytest.approx(far, abs=2e-3)
    assert voice is None or by in (voice, margin.UNKNOWN)


def test_jumps_and_lost_fixes_count_halfway_where_the_path_is_half_restless():
    assert margin._ramp(0.625, margin.RESTLESS) == pytest.approx(0.5)
    assert margin._ramp(0.02, margin.JUMPS) == pytest.approx(0.5)
    assert margin._ramp(0.014, margin.LOST) == pytest.approx(0.5)
    assert margin._ramp(np.nan, margin.LOST) == 0.0
    assert [margin._ramp(one, (2.0, 1.0)) for one in (3.0, 2.0, 1.5, 0.0)] == [0, 0, 0.5, 1]


def test_laps_four_metres_apart_tell_of_blocked_sky():
    """One part in 1 + (4.2 / d)^(1 / 0.12)."""
    assert margin._likely(4.2) == pytest.approx(0.5)
    assert margin._likely(5.0) == pytest.approx(0.8105, abs=1e-3)
    assert margin._likely(3.0) == pytest.approx(0.0571, abs=1e-3)
    assert (margin._likely(0.0), margin._likely(-1.0)) == (0.0, 0.0)
    assert blocked_sky(shown(), 0.0, 5.0, None) == (pytest.approx(0.8105, abs=1e-3),
                                                   "its laps, which lie apart")  # fmt: skip


def test_a_hint_is_believed_as_far_as_the_track_lets_it():
    assert blocked_sky(shown(), 0.1, None, "canopy") == (0.8, "your hint")
    assert blocked_sky(shown(hdop=2.3), 0.1, None, "canopy")[0] == pytest.approx(0.9)
    assert blocked_sky(shown(hdop=3.0), 0.1, None, "open") == (
        0.5,
        "the dilution in the file",
    )
    # a path that wanders is told so only from three chances in four on
    assert blocked_sky(shown(), 0.76, None, None)[1] == "its wandering"
    assert blocked_sky(shown(), 0.74, None, None)[1] == "nothing against it"
    assert blocked_sky(shown(), 0.6, None, "open")[1] == "its wandering"


@pytest.mark.parametrize(
    ("sky", "blocked", "seen", "wanted"),
    [
        (None, 0.0, None, 2.0),  # open sky
        (None, 0.225, None, 2.25),  # halfway to what is said: halfway to 2.5
        (None, 0.44, None, 2.489),
        (None, 0.45, None, 4.5),  # said: as under leaves
        ("open", 0.2, None, 2.0),
        ("canopy", 0.8, None, 4.5),
        (None, 0.9, 30.0, 30.0),
        (None, 0.0, 30.0, 30.0),
    ],
)
def test_how_far_a_fix_strays_follows_its_sky(sky, blocked, seen, wanted):
    found = margin._sigma_m(sky, blocked, seen, 1e9 if seen else 0.0)
    assert found == pytest.approx(wanted, rel=1e-3)


@pytest.mark.parametrize(
    ("turn_s", "every_s", "lag"),
    [
        (1.4, 1.0, 0.0),
        (1.6, 1.0, 1.6),
        (8.0, 1.0, 8.0),
        (8.0, 5.5, 4.0),
        (8.0, 4.5, 8.0),
        (np.nan, 1.0, 0.0),
    ],
)
def test_smoothing_loses_pi_times_its_lag_squared(turn_s, every_s, lag):
    """1.7 π (v L)², from a second and a half on; of fixes over five seconds apart, four at most."""
    found = margin._smoothing_terms(shown(turn_s=turn_s, every_s=every_s, pace_m_s=1.5))
    half = 1.7 * np.pi * (1.5 * lag) ** 2 / ACRE_M2
    assert [one.half_ac for one in found] == ([pytest.approx(half)] if lag else [])
    assert [one.common for one in found] == ([1.0] if lag else [])
    if lag:
        assert f"its sharpest turns take {lag:.0f} s" in found[0].text


def test_what_lies_between_fixes_is_chord_squared_times_turn_over_twelve():
    """A square of 100 m with fixes 50 m apart: a quarter turn at each of its corners."""
    xy = np.array(
        [(0, 0), (50, 0), (100, 0), (100, 50), (100, 100), (50, 100), (0, 100), (0, 50)],
        float,
    )
    each = 50**2 * (np.pi / 2) / 2 / 12
    planned = np.hypot(0.5 * 8 * each, 8**0.5 * each)
    (found,) = margin._sparse_terms(xy, np.full(8, np.nan), 1.0, True)
    assert found.sd_m2 == pytest.approx(planned)
    assert found.common == 0.5
    assert "fixes 164 ft apart" in printed(found.text)
    (even,) = margin._sparse_terms(xy, np.arange(8) * 40.0, 1.0, False)
    assert even.sd_m2 == pytest.approx(np.hypot(0.25 * 8 * each, 8**0.5 * each))
    (laps,) = margin._sparse_terms(xy, np.arange(8) * 40.0, 4.0, False)
    assert laps.sd_m2 == pytest.approx(even.sd_m2 / 2)
    # fixes of six metres and less hide nothing
    assert margin._sparse_terms(xy * 0.119, np.arange(8) * 5.0, 1.0, False) == []
    assert margin._sparse_terms(xy * 0.125, np.arange(8) * 5.0, 1.0, False) != []
