"""Walks that recorders spoil: times in disorder, lost stretches, two areas in one track."""

import dataclasses

import numpy as np
import pytest
import shapely

from quietacre.boundary import clean
from quietacre.boundary.read import read_walk
from quietacre.errors import WalkRefused
from quietacre.model import Track
from quietacre.units import ACRE_M2

LAT, LON = 34.2, -87.6
NORTH, EAST = 110_927.0, 92_265.0  # metres a degree here


def circle(radius=45.0, laps=1.03, step=2.5, middle=(0.0, 0.0)):
    angle = np.arange(0, 2 * np.pi * laps, step / radius)
    return np.asarray(middle) + radius * np.column_stack([np.cos(angle), np.sin(angle)])


def track(xy, time_s=None):
    times = np.arange(len(xy)) * 2.0 if time_s is None else np.asarray(time_s, dtype=float)
    return Track("edge", "walk.gpx", "track", LON + xy[:, 0] / EAST, LAT + xy[:, 1] / NORTH,
                 times, np.zeros(len(xy), dtype=np.int64))  # fmt: skip


TRUE_AC = np.pi * 45.0**2 / ACRE_M2


def test_pieces_written_out_of_order_are_walked_in_time_order():
    whole = track(circle())
    order = np.r_[60:90, 0:60, 90 : len(whole.lon)]
    mixed = dataclasses.replace(whole, lon=whole.lon[order], lat=whole.lat[order],
                                time_s=whole.time_s[order])  # fmt: skip
    assert read_walk([mixed]).acres == pytest.approx(read_walk([whole]).acres, rel=1e-9)


def test_a_clock_set_back_while_walking_changes_nothing():
    """Sorting by such times would tear the path apart; the places are believed instead."""
    xy = circle()
    times = np.arange(len(xy)) * 2.0
    times[70:] -= 500.0
    walk = read_walk([track(xy, times)])
    assert walk.acres == pytest.approx(TRUE_AC, rel=0.01)
    assert "spike" not in walk.removed


def test_several_fixes_of_one_second_still_show_the_stop():
    xy = circle()
    rng = np.random.default_rng(1)
    xy = np.vstack([xy[:40], xy[40] + rng.normal(0, 0.2, (60, 2)), xy[40:]])
    times = np.floor(np.arange(len(xy)) / 2.0) * 2.0
    walk = read_walk([track(xy, times)])
    assert walk.removed["stop"] >= 50
    assert walk.acres == pytest.approx(TRUE_AC, rel=0.02)


def test_two_pieces_of_ground_in_one_track_are_refused():
    """A walk round one plot, on to the next and round that: neither is the answer."""
    first = circle()
    second = circle(radius=38.0, middle=(150.0, 0.0))[::-1]
    way = np.linspace(first[-1], second[0], 40)[1:-1]
    with pytest.raises(WalkRefused, match="two pieces of ground") as told:
        read_walk([track(np.vstack([first, way, second]))])
    assert "cut it in two" in str(told.value)


def test_a_small_curl_on_the_way_out_is_no_second_piece():
    first = circle()
    curl = circle(radius=6.0, middle=(90.0, 0.0))
    way = np.linspace(first[-1], curl[0], 30)[1:-1]
    walk = read_walk([track(np.vstack([first, way, curl]))])
    assert walk.acres == pytest.approx(TRUE_AC, rel=0.02)


@pytest.mark.parametrize(("share", "refused"), [(0.08, False), (0.22, True)])
def test_a_lost_stretch_widens_the_interval_or_is_refused(share, refused):
    whole = circle()
    lost = int(share * len(whole))
    holed = track(np.delete(whole, np.s_[50 : 50 + lost], axis=0),
                  np.delete(np.arange(len(whole)) * 2.0, np.s_[50 : 50 + lost]))  # fmt: skip
    if refused:
        with pytest.raises(WalkRefused, match="lost its signal over 2[0-9] % of the loop"):
            read_walk([holed])
        return
    read, full = read_walk([holed]), read_walk([track(whole)])
    assert read.half_width_pct > full.half_width_pct
    assert read.acres_low <= TRUE_AC <= read.acres_high


def test_a_second_lap_covers_the_lost_stretch():
    whole = circle(laps=2.03)
    holed = np.delete(whole, np.s_[50:80], axis=0)
    times = np.delete(np.arange(len(whole)) * 2.0, np.s_[50:80])
    assert read_walk([track(holed, times)]).acres == pytest.approx(TRUE_AC, rel=0.03)


def longest_chain(xy, time_s):
    """The longest believable chain by looking at every pair: the plain form of it."""
    count = len(xy)
    length = np.ones(count)
    for i in range(1, count):
        for j in range(max(0, i - clean.REACH), i):
            far = float(np.hypot(*(xy[j] - xy[i])))
            if far <= clean.WALK_M_S * (time_s[i] - time_s[j]) + clean.SLACK_M:
                length[i] = max(length[i], length[j] + 1)
    return int(length.max())


@pytest.mark.parametrize("seed", range(12))
def test_spikes_leave_as_many_fixes_as_the_full_search(seed):
    rng = np.random.default_rng(seed)
    xy = circle(laps=2.0)
    for _ in range(int(rng.integers(1, 9))):
        at, run = int(rng.integers(1, len(xy) - 6)), int(rng.integers(1, 6))
        xy[at : at + run] += rng.uniform(20, 70) * rng.choice([-1, 1], 2)
    times = np.arange(len(xy)) * 2.0
    kept = ~clean.spikes(xy, times)
    assert kept.sum() == longest_chain(xy, times)
    steps = np.hypot(*np.diff(xy[kept], axis=0).T)
    assert (steps <= clean.WALK_M_S * np.diff(times[kept]) + clean.SLACK_M).all()


def test_a_way_in_across_a_small_plot_is_no_lap():
    """The line from gate to far corner passes within metres of every edge of it."""
    square = np.array([(0, 0), (34, 0), (34, 34), (0, 34), (0, 0)], dtype=float)
    line = shapely.LineString(square)
    edge = shapely.get_coordinates(
        shapely.line_interpolate_point(line, np.arange(0, line.length, 2.0))
    )
    way = np.linspace((80, 20), edge[0], 40)[:-1]
    walk = read_walk([track(np.vstack([way, edge, edge[:1]]))])
    assert walk.laps == 1
    # where way and edge part in so sharp a corner, its last few metres may go
    assert walk.acres == pytest.approx(34 * 34 / ACRE_M2, rel=0.045)


def test_a_recording_of_thirty_fixes_a_second_is_no_heap_of_repeats():
    """Steps of three centimetres each, which together go round."""
    xy = circle(radius=30.0, step=0.03)
    walk = read_walk([track(xy, np.arange(len(xy)) * 0.025)])
    assert walk.acres == pytest.approx(np.pi * 30.0**2 / ACRE_M2, rel=0.01)
    still = np.repeat(circle(), 2, axis=0)
    assert read_walk([track(still)]).removed["repeat"] == len(still) // 2


def triangle(turn_deg, *corners):
    """Return a walk round a triangle from its first corner, a fix each 1.5 m."""
    angle = np.radians(turn_deg)
    spin = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    ring = np.array([*corners, corners[0]], dtype=float) @ spin.T
    sides = [
        np.linspace(a, b, max(int(np.hypot(*(b - a)) / 1.5), 2))[:-1]
        for a, b in zip(ring, ring[1:], strict=False)
    ]
    return np.vstack([*sides, ring[:1]])


@pytest.mark.parametrize("turn_deg", [0, 50, 165, 271])
@pytest.mark.parametrize(
    "corners", [((0, 0), (120, 0), (60, 104)), ((0, 0), (92, 0), (92, 111)), ((0, 0), (150, 25), (150, -25))]
)  # fmt: skip
def test_a_walk_may_begin_in_a_sharp_corner(corners, turn_deg):
    true_ac = shapely.Polygon(corners).area / ACRE_M2
    xy = triangle(turn_deg, *corners)
    for path in (xy, xy[::-1], np.vstack([xy, xy[1:]])):
        assert read_walk([track(path)]).acres == pytest.approx(true_ac, rel=0.02)


def test_there_and_back_along_a_lane_is_no_needle_of_a_plot():
    out = np.column_stack([np.arange(0, 300, 2.0), np.zeros(150)])
    back = out[::-1] + [0.0, 4.0]
    with pytest.raises(WalkRefused):
        read_walk([track(np.vstack([out, back, out[:1]]))])


@pytest.mark.parametrize("timed", [True, False])
@pytest.mark.parametrize("small_first", [True, False])
def test_a_small_second_plot_in_one_track_is_said(timed, small_first):
    """The larger is measured, whichever comes first; nothing is left out in silence."""
    large, small = circle(radius=90.0), circle(radius=28.0, middle=(500.0, 0.0))
    path = np.vstack([small, large] if small_first else [large, small])
    times = np.arange(len(path)) * 2.0
    times[len(small if small_first else large) :] += 600.0  # the recorder was stopped
    walk = read_walk([track(path, times if timed else np.full(len(path), np.nan))])
    assert walk.acres == pytest.approx(np.pi * 90.0**2 / ACRE_M2, rel=0.02)
    assert [note.code for note in walk.notes if note.code == "second-loop"]
    assert "0.6" in next(n.text for n in walk.notes if n.code == "second-loop")


def test_much_that_is_set_aside_is_said():
    large = circle(radius=90.0)
    far = circle(radius=28.0, laps=3.0, middle=(700.0, 0.0))
    walk = read_walk([track(np.vstack([large, far]))])  # no second to go there in
    assert walk.removed["spike"] >= len(far)
    assert "much-set-aside" in [note.code for note in walk.notes]
