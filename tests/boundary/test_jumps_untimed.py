"""Recordings without times: what is set aside as a jump looks like one from both sides."""

import numpy as np
import pytest
from walk_accuracy import EAST, LAT, LON, NORTH, simulate

from quietacre.boundary.clean import spikes

USUAL_M = 10.0


def path(count=120, radius_m=300.0):
    """Fixes 10 m apart along a bend, shape (n, 2). [m]"""
    at = np.arange(count) * USUAL_M / radius_m
    return radius_m * np.column_stack([np.cos(at), np.sin(at)])


def untimed(xy):
    return np.flatnonzero(spikes(xy, np.full(len(xy), np.nan)))


@pytest.mark.parametrize("left_out", [7, 10, 14, 25])
@pytest.mark.parametrize("at", [1, 3, 12, 60, 90, 110, 117])
def test_a_long_step_that_goes_on_sets_no_fix_aside(at, left_out):
    """A recorder that leaves fixes out on a straight or a pause; the limit of a step is 65 m here."""
    fixes = path(120 + left_out)
    assert not len(untimed(np.delete(fixes, np.s_[at : at + left_out], axis=0)))


def test_long_steps_near_one_another_set_no_fix_aside():
    """Without a step that is believed between them, the chain of steps is in pieces."""
    rows = np.r_[0:15, 25:28, 40:49, 60:62, 75:120]
    assert not len(untimed(path()[rows]))


def test_a_lane_to_its_end_and_back_is_no_jump():
    """Two long steps against one another, and a way between them."""
    lane = np.column_stack([np.arange(0, 150, USUAL_M), np.zeros(15)]) + [0.0, 100.0]
    out, back = (
        np.arange(15)[::-1, None] * [0.0, -USUAL_M],
        np.arange(15)[:, None] * [3.0, -USUAL_M],
    )
    fixes = np.vstack([out, lane, lane[::-1] + [0.0, 4.0], back])
    assert not len(untimed(fixes))


@pytest.mark.parametrize(
    ("run", "far_m"),
    [(1, 80.0), (2, 80.0), (3, 80.0), (3, 250.0), (10, 250.0), (30, 4000.0)],
)
@pytest.mark.parametrize("turn", [0.0, 1.0, 2.5, 4.0])
def test_what_goes_out_and_comes_back_is_a_jump(run, far_m, turn):
    fixes = path()
    fixes[40 : 40 + run] += far_m * np.array([np.cos(turn), np.sin(turn)])
    assert untimed(fixes).tolist() == list(range(40, 40 + run))


@pytest.mark.parametrize("gap", [4, 9, 20])
def test_a_jump_beside_a_long_step_that_goes_on_is_told_from_it(gap):
    fixes = np.delete(path(140), np.s_[100:115], axis=0)
    at = 100 - gap
    fixes[at : at + 2] += [-120.0, 90.0]
    assert untimed(fixes).tolist() == [at, at + 1]


def test_a_first_fix_from_another_country_is_set_aside():
    fixes = path()
    fixes[0] = [-4.0e6, 2.0e6]
    assert untimed(fixes).tolist() == [0]


def test_simulated_jumps_are_found_and_no_other_fix_is_taken_for_one():
    """A jump below the longest step that is believed cannot be told; of the longer ones, nearly all are."""
    found, others, missed = 0, 0, 0
    for seed in range(52_000, 52_060):
        sim = simulate(seed)
        xy = np.column_stack([(sim.track.lon - LON) * EAST, (sim.track.lat - LAT) * NORTH])
        steps = np.hypot(*np.diff(xy, axis=0).T)
        longest = 6.0 * max(np.median(steps), 1.0) + 5.0
        off = spikes(xy, np.full(len(xy), np.nan))
        others += int((off & ~sim.jumped).sum())
        began = np.flatnonzero(np.diff(sim.jumped.astype(int)) > 0)
        clear = began[steps[began] > 1.3 * longest] + 1
        found, missed = found + int(off[clear].sum()), missed + int((~off[clear]).sum())
    assert others == 0
    assert found > 30
    assert missed <= 0.05 * (found + missed)
