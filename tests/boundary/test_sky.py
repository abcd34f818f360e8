"""How likely the sky was blocked, and what of it is in the ± where a recording cannot show it."""

import dataclasses
import re
import sys
from pathlib import Path

import numpy as np
import pytest

from quietacre.boundary.margin import UNKNOWN, blocked_sky, counted
from quietacre.boundary.read import read_walk
from quietacre.boundary.signs import Strays, signs_of
from quietacre.boundary.sky import BEFORE, chance_blocked
from quietacre.boundary.trees import beside_trees

sys.path.insert(0, str(Path(__file__).parent))
from test_walk_margin import codes, drift, square, track


def smoothed(xy, lag_s):
    """Return fixes a second apart as a receiver gives them that follows by ``lag_s``."""
    out, keep = xy.copy(), np.exp(-1.0 / lag_s)
    for i in range(1, len(xy)):
        out[i] = keep * out[i - 1] + (1 - keep) * xy[i]
    return out


def lap(seed, sigma, *, lag_s=0.0, tau_s=35.0, side=80.0):
    rng = np.random.default_rng(seed)
    xy = square(side, 1.2)
    xy = xy + drift(rng, len(xy), sigma, tau_s)
    return smoothed(xy, lag_s) if lag_s else xy


def chance(xy, sky=None):
    none = np.zeros(len(xy), dtype=bool)
    signs = signs_of(
        xy, np.arange(len(xy)) * 1.0, jumped=none, hdop=np.nan, satellites=np.nan
    )
    return chance_blocked(signs.strays, sky)


def several(**how):
    return np.median([chance(lap(seed, **how)) for seed in range(12)])


def test_fixes_as_they_come_show_either_sky():
    assert several(sigma=2.0) < 0.15
    assert several(sigma=8.0, tau_s=30.0) > 0.9


def test_the_straying_of_smoothed_fixes_still_tells_a_little():
    calm, far = several(sigma=1.6, lag_s=4.0), several(sigma=5.5, lag_s=4.0)
    assert calm < 0.5 < far
    assert far - calm > 0.25


def test_what_shows_nothing_is_as_likely_as_not():
    nothing = Strays(np.array([]), np.array([]), 1.2, 300.0)
    assert chance_blocked(nothing) == BEFORE[None] == 0.5
    assert chance_blocked(nothing, "open") == BEFORE["open"]
    assert counted(0.5) > 0.7  # and is reckoned with
    assert counted(0.2) < 0.01


def test_laps_raise_what_a_path_shows_and_never_lower_it():
    xy = lap(2, 2.0)
    none = np.zeros(len(xy), dtype=bool)
    signs = signs_of(
        xy, np.arange(len(xy)) * 1.0, jumped=none, hdop=np.nan, satellites=np.nan
    )
    assert blocked_sky(signs, 0.6, 1.0, None)[0] == blocked_sky(signs, 0.6, None, None)[0]
    said, by = blocked_sky(signs, 0.1, 7.0, None)
    assert said > 0.9
    assert "laps" in by


def test_a_winding_trail_is_not_taken_for_blocked_sky():
    """Paths wind over every length: to 1.5 m over 20 m, as recorded roads and trails do."""
    over = np.array([1.0, 2.0, 4.0, 8.0])
    winding = 0.55 * (over * 7.0 / 20.0) ** 1.5  # a ride of 40 km at 7 m/s
    assert chance_blocked(Strays(over, winding, 7.0, 6000.0)) < 0.75


def test_a_wait_of_days_costs_nothing():
    xy = lap(1, 2.0)
    at = np.arange(len(xy)) * 1.0
    at[len(xy) // 2 :] += 4e6
    none = np.zeros(len(xy), dtype=bool)
    signs = signs_of(xy, at, jumped=none, hdop=np.nan, satellites=np.nan)
    assert signs.strays.lasts_s < 2 * len(xy)
    assert chance_blocked(signs.strays) < 0.5


@pytest.fixture(scope="module")
def hidden():
    """A lap whose fixes are so smoothed that they show neither sky."""
    for seed in range(40):
        walk = read_walk([track(lap(seed, 3.0, lag_s=5.0))])
        if any(note.code == "sky-unknown" for note in walk.notes):
            return walk, seed
    raise AssertionError


def test_a_sky_that_nothing_shows_is_in_the_range_and_said(hidden):
    walk, seed = hidden
    sky = codes(walk)["sky"]
    assert "which the recording cannot show" in sky.text
    (note,) = [note for note in walk.notes if note.code == "sky-unknown"]
    half = (walk.acres_high - walk.acres_low) / 2
    wide, narrow = (float(x) for x in re.findall(r"± ([\d.]+\d)", note.text))
    assert wide == pytest.approx(half, rel=0.06)
    assert narrow < 0.7 * wide
    xy = lap(seed, 3.0, lag_s=5.0)
    told = read_walk([track(xy)], sky="open")
    assert (told.acres_high - told.acres_low) / 2 < 0.8 * half
    assert "sky-unknown" not in {note.code for note in told.notes}
    assert UNKNOWN not in " ".join(term.text for term in told.terms)


def test_trees_on_the_map_answer_what_the_recording_cannot(hidden):
    walk, _ = hidden
    beside = beside_trees(walk, 0.9)
    said = {note.code: note.text for note in beside.notes}
    assert "sky-unknown" not in said
    assert "taken as blocked" in said["trees-beside"]
    assert beside.half_width_pct >= walk.half_width_pct - 1e-9
    assert "the map" in codes(beside)["sky"].text


def test_a_hint_of_trees_takes_the_credit(hidden):
    _, seed = hidden
    walk = read_walk([track(lap(seed, 3.0, lag_s=5.0))], sky="canopy")
    assert "your hint" in codes(walk)["sky"].text


def test_a_plan_has_no_sky():
    at = np.linspace(0, 2 * np.pi, 40)
    xy = 90 * np.column_stack([np.cos(at), np.sin(at)])
    plan = dataclasses.replace(track(xy), kind="route", time_s=np.full(40, np.nan))
    assert "sky" not in codes(read_walk([plan]))


def test_a_sky_that_is_seen_to_be_open_lets_fixes_stray_less():
    """2.0 m, not the 2.5 of any sky."""
    walk = read_walk([track(lap(5, 1.8))])
    assert walk.blocked < 0.02
    assert walk.sigma_m < 2.1
