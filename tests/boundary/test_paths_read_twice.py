"""Paths that a recording follows twice: both readings agree within the ± of the walks they make.

Out and back on one path, or a second time round: real readings of one line, minutes to an hour and a half apart, in
files that gpxpy 1.6.2 (Apache 2.0), sweat 0.25.0 (MIT) and gpxo 0.3.0 (BSD) carry; ``tests/run`` puts
their source distributions into ``.cache/tools``, and nothing of them is kept here. None goes twice round
a piece of ground, so each reading of a piece of path is one side of a plot whose other sides are straight, from
its own ends: what the receiver errs by all along moves the plot and not its acres, as on a walk.
"""

import datetime as dt
import os
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
import shapely

from quietacre.boundary.plane import Plane
from quietacre.boundary.read import read_walk
from quietacre.intake.vector import read_layer
from quietacre.model import Track

TOOLS = Path(
    os.environ.get("QUIETACRE_TOOLS") or Path(__file__).parents[2] / ".cache/tools"
)
GPXPY = TOOLS / "gpxpy-1.6.2" / "test_files"
SWEAT = TOOLS / "sweat-0.25.0" / "sweat" / "examples" / "data"
GPXO = TOOLS / "gpxo-0.3.0"
PIECE_M, DEEP_M = 200.0, 60.0
#: Both readings of a piece lie on one path: no place of one is farther off the other. [m]
ONE_PATH_M = 20.0
#: Terms of a ± that go with the length of an edge; the others go with its root.
ALL_ROUND = {"edge", "floor", "sky", "smoothing"}


class Stretch(NamedTuple):
    """From and to where along a recording its path is followed first, and again. [m]"""

    path: Path
    first: tuple[float, float]
    again: tuple[float, float]
    same_way: bool = False


STRETCHES = {
    "a ride up and down a valley": Stretch(
        SWEAT / "activity_4078723797.gpx", (11_000, 13_630), (43_340, 46_280)
    ),
    "a run out and back": Stretch(SWEAT / "3173437224.tcx", (300, 790), (1845, 2405)),
    "a way up and down a hill, without times": Stretch(
        GPXPY / "korita-zbevnica.gpx", (50, 210), (8355, 8630)
    ),
    "a way up and down a mountain, without times": Stretch(
        GPXPY / "Mojstrovka.gpx", (125, 485), (2165, 2695)
    ),
    "a second time round": Stretch(
        GPXO / "ExampleTrack.gpx", (4900, 5590), (7540, 8310), same_way=True
    ),
}

pytestmark = pytest.mark.skipif(
    not (GPXPY.is_dir() and SWEAT.is_dir() and GPXO.is_dir()),
    reason=f"{GPXPY}, {SWEAT} and {GPXO} are fetched by tests/run",
)


class Way(NamedTuple):
    """Places [m], how far along they lie [m], and when [s], of a recording or a piece of it."""

    xy: np.ndarray
    along_m: np.ndarray
    time_s: np.ndarray

    def part(self, begin_m, end_m):
        ends = np.array([begin_m, end_m])
        inside = self.along_m[(self.along_m > begin_m) & (self.along_m < end_m)]
        at = np.r_[ends[0], inside, ends[1]]
        x, y, when = (
            np.interp(at, self.along_m, values) for values in (*self.xy.T, self.time_s)
        )
        return Way(np.column_stack([x, y]), at, when)

    def back(self):
        return Way(
            self.xy[::-1],
            self.along_m[-1] - self.along_m[::-1],
            self.time_s[-1] - self.time_s[::-1],
        )


def fixes_of(path):
    """Longitudes, latitudes and times of the longest recording in a file."""
    if path.suffix == ".gpx":
        track = max(read_layer(path).tracks, key=lambda one: len(one.lon))
        return track.lon, track.lat, track.time_s
    name = "{http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v2}"
    rows = [
        (float(place[1].text), float(place[0].text), dt.datetime.fromisoformat(when.text))
        for point in ET.parse(path).iter(f"{name}Trackpoint")  # noqa: S314 - of a fixed version
        if (place := point.find(f"{name}Position")) is not None
        and (when := point.find(f"{name}Time")) is not None
    ]
    lon, lat, when = zip(*rows, strict=True)
    return np.array(lon), np.array(lat), np.array([one.timestamp() for one in when])


def way_of(path):
    lon, lat, time_s = fixes_of(path)
    plane = Plane.around(lon, lat)
    xy = plane.xy(lon, lat)
    moved = np.r_[True, np.hypot(*np.diff(xy, axis=0).T) > 0.05]
    xy, time_s = xy[moved], time_s[moved]
    if not (np.diff(time_s) > 0).all():
        time_s = np.full(len(xy), np.nan)
    return plane, Way(xy, np.r_[0.0, np.cumsum(np.hypot(*np.diff(xy, axis=0).T))], time_s)


def pieces(stretch):
    """Pairs of readings of about 200 m of path, both the way it was first followed."""
    plane, way = way_of(stretch.path)
    begin, end = stretch.first
    count = max(int((end - begin) // PIECE_M), 1)
    line = shapely.LineString(way.part(*stretch.again).xy)
    cuts = np.linspace(begin, end, count + 1)
    for one_m, other_m in zip(cuts, cuts[1:], strict=False):
        first = way.part(one_m, other_m)
        ends = shapely.line_locate_point(line, shapely.points(first.xy[[0, -1]]))
        again = way.part(*np.sort(stretch.again[0] + ends))
        yield plane, first, again if stretch.same_way else again.back()


def plot(plane, way):
    """The walk round a plot: one side is the path, the others straight; and the path's share of it."""
    across = way.xy[-1] - way.xy[0]
    deep = DEEP_M * np.array([-across[1], across[0]]) / np.hypot(*across)
    corners = [way.xy[-1], way.xy[-1] + deep, way.xy[0] + deep, way.xy[0]]
    rest = shapely.LineString(corners)
    step_m = float(np.median(np.diff(way.along_m)))
    rest_m = np.linspace(0.0, rest.length, max(int(rest.length / step_m), 6))[1:]
    xy = np.vstack(
        [way.xy, shapely.get_coordinates(shapely.line_interpolate_point(rest, rest_m))]
    )
    pace = (way.along_m[-1] - way.along_m[0]) / (way.time_s[-1] - way.time_s[0])
    time_s = np.r_[way.time_s, way.time_s[-1] + rest_m / pace]
    lon, lat = plane.lonlat(xy).T
    track = Track(
        "edge", "path.gpx", "track", lon, lat, time_s, np.zeros(len(xy), dtype=int)
    )
    long_m = way.along_m[-1] - way.along_m[0]
    return read_walk([track]), long_m / (long_m + rest.length)


def own_half_ac(walk, share):
    """The part of a walk's ± that falls to such a share of its edge. [ac]"""
    return np.sqrt(
        sum(
            (one.half_ac * (share if one.code in ALL_ROUND else share**0.5)) ** 2
            for one in walk.terms
        )
    )


@pytest.fixture(scope="module")
def pairs():
    """Of each pair: how far apart its acres are, the ± of that, the path's part of it, its acres."""
    rows = []
    for stretch in STRETCHES.values():
        for plane, first, again in pieces(stretch):
            line = shapely.LineString(first.xy)
            assert shapely.distance(line, shapely.points(again.xy)).max() < ONE_PATH_M
            (one, share), (other, _) = plot(plane, first), plot(plane, again)
            halves = [(w.acres_high - w.acres_low) / 2 for w in (one, other)]
            own = [own_half_ac(w, share) for w in (one, other)]
            apart = abs(one.acres - other.acres)
            rows.append((apart, np.hypot(*halves), np.hypot(*own), one.acres))
    return np.array(rows)


def test_readings_of_one_path_agree_within_the_range_of_the_walks_they_make(pairs):
    apart, whole, _, _ = pairs.T
    assert len(apart) == 20
    assert np.mean(apart <= whole) >= 0.9


def test_and_within_the_part_of_it_that_falls_to_the_path(pairs):
    """The straight sides add nothing to what the readings differ by, and a share to the range."""
    apart, _, own, _ = pairs.T
    assert np.mean(apart <= own) >= 0.9


def test_the_range_is_no_pretence(pairs):
    """The difference of two readings of a plot of 3 acres is known to a fifth of it, as a rule."""
    _, whole, _, acres = pairs.T
    assert np.median(whole / acres) < 0.2
