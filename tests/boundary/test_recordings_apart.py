"""Recordings by people, read twice from different fixes of theirs: the readings agree within their ±.

The files are those that gpxpy 1.6.2 (Apache 2.0) and sweat 0.25.0 (MIT) carry; ``tests/run`` puts their
source distributions into ``.cache/tools``, and nothing of them is kept here. None of them holds two
rounds of one edge. So one reading is set beside another of the same recording: a service's copy beside
the device's, every second or third fix beside the others. That tries what is made of corners, chords and jumps, and not what
the receiver errs by in both; ``test_paths_read_twice.py`` has paths that were followed twice.
"""

import dataclasses
import itertools
import math
import os
from pathlib import Path

import numpy as np
import pytest

from quietacre.boundary.clean import REPEAT_M, spikes
from quietacre.boundary.plane import Plane
from quietacre.boundary.read import read_walk
from quietacre.intake.vector import read_layer

TOOLS = Path(
    os.environ.get("QUIETACRE_TOOLS") or Path(__file__).parents[2] / ".cache/tools"
)
GPXPY = TOOLS / "gpxpy-1.6.2" / "test_files"
SWEAT = TOOLS / "sweat-0.25.0" / "sweat" / "examples" / "data"
#: A file and which of its tracks goes round ground.
RECORDED = {
    "lake": (GPXPY / "cerknicko-jezero.gpx", "ACTIVE LOG #2"),
    "hills": (GPXPY / "korita-zbevnica.gpx", "03-OCT-10 #2"),
    "round": (SWEAT / "activity_4801048867.gpx", "Berkelland Fietsen"),
    "round, copied": (SWEAT / "4801048867_strava.gpx", "Rondje achterhoek"),
    "descent": (SWEAT / "activity_4078723797.gpx", "Stavelot Fietsen"),
    "descent, copied": (
        SWEAT / "4078723797_strava.gpx", "De benen op spanning zetten met Martijn"
    ),
}  # fmt: skip

pytestmark = pytest.mark.skipif(
    not (GPXPY.is_dir() and SWEAT.is_dir()),
    reason=f"{GPXPY} and {SWEAT} are fetched by tests/run",
)


def recorded(name):
    path, wanted = RECORDED[name]
    (track,) = [one for one in read_layer(path).tracks if one.name == wanted]
    return track


def every(track, step, first):
    """Return a track of every so many of its fixes."""
    rows = np.arange(first, len(track.lon), step)
    parts = {
        field.name: getattr(track, field.name)[rows]
        for field in dataclasses.fields(track)
        if isinstance(getattr(track, field.name), np.ndarray)
        and len(getattr(track, field.name)) == len(track.lon)
    }
    return dataclasses.replace(track, **parts)


@pytest.fixture(scope="module")
def readings():
    """By name, the acres and half-width of all fixes, of each half and of each third."""
    found = {}
    for name in RECORDED:
        track = recorded(name)
        walks = [
            read_walk([every(track, step, first)])
            for step in (1, 2, 3)
            for first in range(step)
        ]
        found[name] = [(w.acres, (w.acres_high - w.acres_low) / 2) for w in walks]
    return found


def agree(one, other):
    return abs(one[0] - other[0]) <= math.hypot(one[1], other[1])


def test_readings_of_one_recording_agree_within_their_range(readings):
    pairs = [pair for each in readings.values() for pair in itertools.combinations(each, 2)]
    pairs += [
        (readings[name][0], readings[f"{name}, copied"][0]) for name in ("round", "descent")
    ]
    assert len(pairs) == 92
    assert np.mean([agree(*pair) for pair in pairs]) >= 0.9


def test_the_range_is_no_pretence(readings):
    """Large rides are told within 1 %, a walk of 37 acres that shows no sky within 10 %."""
    for name in ("round", "descent"):
        acres, half = readings[name][0]
        assert half < 0.01 * acres
    acres, half = readings["lake"][0]
    assert half < 0.10 * acres


@pytest.mark.parametrize("name", RECORDED)
def test_no_recorded_fix_is_taken_for_a_jump(name):
    """One comes down a hill at 15 to 18 m/s for half a minute; one has no times, and steps of 137 and
    278 m among fixes 21 m apart."""
    assert "spike" not in read_walk([recorded(name)]).removed


@pytest.mark.parametrize("name", RECORDED)
@pytest.mark.parametrize("step_m", [0.0, 10.0, 30.0])
def test_nor_without_times_however_far_apart_its_fixes_are(name, step_m):
    track = recorded(name)
    xy = Plane.around(track.lon, track.lat).xy(track.lon, track.lat)
    rows = [0]
    for row in range(1, len(xy)):
        if np.hypot(*(xy[row] - xy[rows[-1]])) > max(step_m, REPEAT_M):
            rows.append(row)
    assert not spikes(xy[rows], np.full(len(rows), np.nan)).any()
