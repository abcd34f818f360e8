"""Walks that differ in one measure, step by step, past every limit that the reading has for it.

Where a limit moves by a fifth, one of the walks beside it is read another way. Their figures are
kept with those of the simulated ones (``kept_walks.py``). All ground and all walks are invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from walk_accuracy import EAST, LAT, LON, NORTH, drift

from quietacre.model import Track

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    Array = np.ndarray

#: A walker's pace [m/s], and the plot that most of them go round, an uneven five-sided one. [m]
PACE_M_S = 1.2
PLOT_M = ((0, 0), (110, -12), (150, 70), (70, 125), (-20, 80))


@dataclass(frozen=True)
class Sweep:
    """One measure of a walk: its values, and the recording for one of them."""

    values: Array
    track: Callable[[float], Track]


def _walked(corners: object, every_m: float = PACE_M_S) -> Array:
    """Return places along a line through corners, its end included. [m]"""
    line = shapely.LineString(np.asarray(corners, dtype=float))
    at = np.append(np.arange(0.0, line.length, every_m), line.length)
    return shapely.get_coordinates(shapely.line_interpolate_point(line, at))


def _ring(corners: object, laps: float = 1.0, every_m: float = PACE_M_S) -> Array:
    """Return places round a ring, so many laps of it. [m]"""
    line = shapely.LinearRing(np.asarray(corners, dtype=float))
    at = np.arange(0.0, laps * line.length, every_m)
    return shapely.get_coordinates(shapely.line_interpolate_point(line, at % line.length))


def _circle(middle: tuple[float, float], radius_m: float, begin_deg: float = 0.0) -> Array:
    turn = np.radians(begin_deg) + np.linspace(0.0, 2 * np.pi, 73)
    return np.add(middle, radius_m * np.column_stack([np.cos(turn), np.sin(turn)]))


def _track(
    xy: Array, seed: float = 0.0, at_s: Array | None = None, off_m: float = 0.8
) -> Track:
    """Return a recording of places, a fix a second unless told, under an open sky."""
    at_s = np.arange(len(xy), dtype=float) if at_s is None else at_s
    rng = np.random.default_rng(int(1000 * seed))
    steady = at_s if np.isfinite(at_s).all() else np.arange(len(xy), dtype=float)
    fixes = xy + drift(rng, steady, off_m, 55.0) + rng.normal(0, 0.2, xy.shape)
    return Track(
        "edge", "swept.gpx", "track",
        np.round(LON + fixes[:, 0] / EAST, 7), np.round(LAT + fixes[:, 1] / NORTH, 7),
        at_s, np.zeros(len(xy), dtype=int),
    )  # fmt: skip


def _neck(width_m: float) -> Track:
    """Two loops of one lap, joined by a neck so wide."""
    half = width_m / 2
    corners = [(-half, 0), (-half, 15), (-70, 25), (-60, 110), (50, 120), (65, 30), (half, 15),
               (half, -10), (75, -30), (70, -100), (-55, -115), (-80, -35), (-half, -10)]  # fmt: skip
    return _track(_ring(corners, 1.01), width_m)


def _waist(width_m: float) -> Track:
    """A long plot whose sides come together slowly, as near as this."""
    north = np.linspace(-150, 150, 61)
    half = width_m / 2 + 35 * (np.abs(north) / 150) ** 1.5
    sides = np.vstack(
        [np.column_stack([half, north]), np.column_stack([-half, north])[::-1]]
    )
    return _track(_ring(sides, 1.02), width_m)


def _lane(apart_m: float) -> Track:
    """Two plots, the way to the second and back on two sides of a lane so wide."""
    first = _circle((0, -60), 60, 90)
    second = _circle((0, 60 + 70), 55, -90)
    way = [(apart_m / 2, 3), (apart_m / 2, 70)]
    back = [(-apart_m / 2, 70), (-apart_m / 2, 3), (0, 0)]
    return _track(_walked([*first, *way, *second[2:-2], *back]), apart_m)


def _second(share: float) -> Track:
    """A further loop of this share of the first one's ground, walked right after it."""
    radius = 70 * share**0.5
    first, second = _circle((0, 0), 70), _circle((85 + radius, 0), radius, 180)
    return _track(_walked([*first, *second, (75, 3)]), share)


def _inside(share: float) -> Track:
    """A loop inside the first one, of this share of its ground."""
    radius = 70 * share**0.5
    first, second = _circle((0, 0), 70), _circle((60 - radius, 0), radius)
    return _track(_walked([*first, *second, (69, 1)]), share)


def _over(far_m: float) -> Track:
    """Two loops that overlap, their middles so far apart."""
    return _track(_walked([*_circle((0, 0), 60), *_circle((far_m, 0), 60, 20)]), far_m)


def _part(laps: float) -> Track:
    """A lap and part of a further one, a little beside it."""
    places = _ring(PLOT_M, laps)
    later = (np.arange(len(places)) * PACE_M_S > 480)[:, None]
    return _track(places + later * np.array([2.0, 1.5]), laps)


def _gap(short_m: float) -> Track:
    """A lap that ends so far from where it began."""
    whole = _ring(PLOT_M, 1.0)
    return _track(whole[: len(whole) - int(short_m / PACE_M_S)], short_m)


def _beside(off_m: float) -> Track:
    """A second lap so far beside the first."""
    places = _ring(PLOT_M, 2.0)
    return _track(places + np.linspace(0, off_m, len(places))[:, None]
                  * np.array([0.8, 0.6]), off_m)  # fmt: skip


def _way_in(long_m: float) -> Track:
    """A way to the edge and another from it, so long, at an angle to it."""
    way = _walked([(-long_m, -0.7 * long_m), (0, 0)])
    back = _walked([(3, 1), (0.4 * long_m, -long_m)])
    return _track(np.vstack([way, _ring(PLOT_M, 1.01), back]), long_m)


def _across(long_m: float) -> Track:
    """A way from inside the plot to its edge, so long."""
    way = _walked([(0.8 * long_m, 0.55 * long_m), (0, 0)])
    return _track(np.vstack([way, _ring(PLOT_M, 1.01)]), long_m)


def _jump(off_m: float) -> Track:
    """Three fixes, then one, that jumped so far."""
    places = _ring(PLOT_M, 1.02).copy()
    places[60:63] += (0.6 * off_m, -0.8 * off_m)
    places[240] += (0.3 * off_m, 0.95 * off_m)
    return _track(places, off_m)


def _untimed_jump(off_m: float) -> Track:
    """The same without times."""
    track = _jump(off_m)
    return Track(track.name, track.source, track.kind, track.lon, track.lat,
                 np.full(len(track.lon), np.nan), track.segment)  # fmt: skip


def _lost(seconds: float) -> Track:
    """Fixes lost over a corner, for so long."""
    places = _ring(PLOT_M, 1.02)
    at_s = np.arange(len(places), dtype=float)
    begin = int(110 / PACE_M_S - seconds / 3)
    kept = np.r_[0:begin, begin + int(seconds) : len(places)]
    return _track(places[kept], seconds, at_s[kept])


def _stop(seconds: float) -> Track:
    """A stop for so long, the receiver wandering round it."""
    places = _ring(PLOT_M, 1.02)
    return _track(
        np.insert(places, [150] * int(seconds), places[150], axis=0), seconds, off_m=1.5
    )


def _pace(m_s: float) -> Track:
    """The plot at this pace, a fix a second."""
    return _track(_ring(PLOT_M, 1.03, m_s), m_s)


def _spurt(m_s: float) -> Track:
    """A part of the edge gone at another pace, as on a wagon."""
    whole = _ring(PLOT_M, 1.02, 0.3)
    slow = int(PACE_M_S / 0.3)
    step = max(int(m_s / 0.3), 1)
    places = np.r_[0:600:slow, 600:1100:step, 1100 : len(whole) : slow]
    return _track(whole[places], m_s)


def _every(seconds: float) -> Track:
    """A fix only so often."""
    places = _ring(PLOT_M, 1.03, PACE_M_S * seconds)
    return _track(places, seconds, np.arange(len(places)) * seconds)


def _pins(long_m: float) -> Track:
    """An edge drawn by few points, one of its corners a spike so long."""
    corners = [*PLOT_M[:2], (150, 20), (150 + long_m, 24), (150, 28), *PLOT_M[2:]]
    places = np.array([*corners, corners[0]], dtype=float)
    return _track(places, long_m, np.full(len(places), np.nan), 0.1)


def _few(off_m: float) -> Track:
    """Five pins of a plot, one of them so far out."""
    places = np.array([*PLOT_M, PLOT_M[0]], dtype=float)
    places[2] += (0.8 * off_m, 0.6 * off_m)
    return _track(places, off_m, np.full(len(places), np.nan), 0.1)


def _thin(width_m: float) -> Track:
    """A strip so wide."""
    return _track(_ring([(0, 0), (220, 0), (220, width_m), (0, width_m)], 1.02), width_m)


def _rough(off_m: float) -> Track:
    """Two laps under a sky that puts fixes off by so much."""
    return _track(_ring(PLOT_M, 2.02), off_m, off_m=off_m)


SWEEPS: dict[str, Sweep] = {
    "neck": Sweep(np.arange(1.0, 60.0, 2.5), _neck),
    "waist": Sweep(np.arange(1.0, 50.0, 3.0), _waist),
    "lane": Sweep(np.arange(0.0, 50.0, 3.0), _lane),
    "second": Sweep(np.geomspace(0.02, 1.6, 18), _second),
    "inside": Sweep(np.linspace(0.03, 0.8, 14), _inside),
    "over": Sweep(np.arange(10.0, 130.0, 8.0), _over),
    "part": Sweep(np.arange(1.02, 3.0, 0.09), _part),
    "gap": Sweep(np.geomspace(3.0, 220.0, 16), _gap),
    "beside": Sweep(np.geomspace(2.0, 70.0, 14), _beside),
    "way in": Sweep(np.geomspace(6.0, 160.0, 14), _way_in),
    "across": Sweep(np.arange(5.0, 110.0, 7.0), _across),
    "jump": Sweep(np.geomspace(3.0, 400.0, 20), _jump),
    "untimed jump": Sweep(np.geomspace(3.0, 400.0, 20), _untimed_jump),
    "lost": Sweep(np.geomspace(4.0, 90.0, 16), _lost),
    "stop": Sweep(np.geomspace(8.0, 200.0, 10), _stop),
    "pace": Sweep(np.geomspace(0.4, 20.0, 18), _pace),
    "spurt": Sweep(np.geomspace(0.6, 20.0, 14), _spurt),
    "every": Sweep(np.geomspace(1.0, 40.0, 14), _every),
    "pins": Sweep(np.geomspace(2.0, 250.0, 16), _pins),
    "few": Sweep(np.geomspace(5.0, 300.0, 14), _few),
    "thin": Sweep(np.geomspace(4.0, 40.0, 12), _thin),
    "rough": Sweep(np.geomspace(0.5, 9.0, 10), _rough),
}  # fmt: skip


def swept() -> Iterator[tuple[str, int, Callable[[], Track]]]:
    """Yield each sweep's name, the number of the value, and what makes its recording."""
    for name, sweep in SWEEPS.items():
        for number, value in enumerate(sweep.values):
            yield name, number, lambda sweep=sweep, value=value: sweep.track(float(value))
