"""Fixes that are no part of a walk: repeats, spikes, and milling about at a stop."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    FloatArray = NDArray[np.float64]
    Mask = NDArray[np.bool_]

REPEAT_M = 0.05
#: Nobody walks an edge faster, and whoever rides round it keeps within this many times the
#: usual pace; a receiver's own noise needs some slack besides.
WALK_M_S = 2.0
PACE_TIMES = 1.6
#: Faster than this is no edge that was followed.
RIDE_M_S = 15.0
#: A step may be so many times longer than the one beside it that goes the same way, up to so
#: many times the pace.
BURST_TIMES, BURST_COS, BURST_PACES = 1.7, 0.5, 3.0
#: Steps that go on evenly, each so many times the ones beside it at most, are believed up to this: a
#: way down a hill, as recorded rides have them (sweat 0.25.0 carries one).
STEADY_TIMES, STEADY_M_S = 1.5, 25.0
#: Pace is judged over this long, and the quicker part of it may be jumps. [s]
PACE_SECONDS, PACE_SHARE = 12.0, 0.7
SLACK_M = 5.0
#: Without times, a step this many times the usual one is a jump.
STEP_TIMES = 6.0
#: So many long steps may be a way of saving; jumps come back within so many fixes, against the
#: way they went, and of long steps that are jumps at least this share does.
MANY_LONG, JUMP_FIXES, BACK_COS, MOSTLY_BACK = 5, 4, 0.7, 0.34
#: Without times a jump steps out and back by at least this share of the longest step that is believed,
#: the way over it is longer than the way past it by so many times the longer of both, and between
#: them it goes no farther than past it by so many such steps. Set on recordings that gpxpy 1.6.2,
#: sweat 0.25.0, gpxo 0.3.0 and trackanimation 1.0.5 carry, thinned, and on simulated jumps.
BOTH_SIDES, TURNS_BACK, OWN_WAY = 0.5, 1.2, 2.0
#: So often is a recording looked at again for jumps among what goes on; a step of any length. [m]
MOST_LOOKS, ANY_M = 8, 1e8
STOP_M_S = 0.25
STOP_SECONDS = 24.0
#: Over that time the fixes of a stop lie so near their middle, as a root mean square; round
#: the narrow end of a plot and back they do not. [m]
STOP_RADIUS_M = 3.5
#: How far back a chain of believable fixes may reach over disbelieved ones.
REACH = 40


def repeats(xy: FloatArray) -> Mask:
    """Return which fixes repeat the last one that does not, shape (n,)."""
    step = np.hypot(*np.diff(xy, axis=0).T)
    same: Mask = np.r_[False, step < REPEAT_M]
    for i in np.flatnonzero(same).tolist():  # never the first fix
        if not same[i - 1]:
            last = i - 1
        # many small steps are a walk, recorded often
        if np.hypot(xy[i, 0] - xy[last, 0], xy[i, 1] - xy[last, 1]) >= REPEAT_M:
            same[i] = False
    return same


def spikes(
    xy: FloatArray, time_s: FloatArray, segment: NDArray[np.int64] | None = None
) -> Mask:
    """Return which fixes are off the longest chain of believable steps, shape (n,).

    A step is believable when a person could have walked it. The chain that keeps the
    most fixes is found by dynamic programming; what it leaves out are the spikes. Without
    times, a step into another ``segment``, or between two long stretches without a jump,
    may be of any length: the recorder was stopped. There, what is left out must look like a
    jump from both sides, by the recording's own steps.
    """
    count = len(xy)
    if count < 4:  # noqa: PLR2004 - nothing to compare with
        return np.zeros(count, dtype=bool)
    if not np.isfinite(time_s).all() or (np.diff(time_s) <= 0).any():
        return _untimed(xy, np.zeros(count, dtype=int) if segment is None else segment)
    pace = _pace_m_s(xy, time_s)
    believed = _believed(xy, time_s, pace)
    return _off_chain(xy, believed, pace * (time_s - time_s[0]), SLACK_M)


def _untimed(xy: FloatArray, segment: NDArray[np.int64]) -> Mask:
    """Return which fixes of a recording without times are jumps, shape (n,).

    What is off the chain and is no jump goes on by a long step: the chain is sought again with
    that step believed.
    """
    steps = np.hypot(*np.diff(xy, axis=0).T)
    usual = max(float(np.median(steps)), 1.0)
    longest = STEP_TIMES * usual + SLACK_M
    long = steps > longest
    if _saved_by_turns(xy, long):
        return np.zeros(len(xy), dtype=bool)
    stretch = np.r_[0, np.cumsum(long)]
    calm = np.bincount(stretch)[stretch] >= REACH
    goes_on = (long & calm[1:] & calm[:-1]) | (np.diff(segment) != 0)
    for _ in range(MOST_LOOKS):
        believed = np.where(goes_on, ANY_M, longest)
        passed = np.r_[0.0, np.cumsum(np.where(goes_on, ANY_M, PACE_TIMES * usual))]
        off = _off_chain(xy, believed, passed, longest - PACE_TIMES * usual)
        jumps = _out_and_back(xy, off, longest)
        back = off & ~jumps
        if not back.any():
            break
        goes_on |= back[1:] != back[:-1]
    return jumps


def _out_and_back(xy: FloatArray, off: Mask, longest: float) -> Mask:
    """Return which fixes off the chain look like a jump from both sides, shape (n,)."""
    jump = np.zeros(len(off), dtype=bool)
    edges = np.diff(np.r_[0, off.astype(int), 0])
    firsts, afters = np.flatnonzero(edges > 0), np.flatnonzero(edges < 0)
    for first, after in zip(firsts.tolist(), afters.tolist(), strict=True):
        if first > 0 and after < len(xy):
            jump[first:after] = _comes_back(xy[first - 1 : after + 1], longest)
            continue
        # at an end it shows one side, and must lie off by more than the rest is wide
        step = xy[after] - xy[after - 1] if first == 0 else xy[first] - xy[first - 1]
        rest = np.delete(xy, np.s_[first:after], axis=0)
        jump[first:after] = np.hypot(*step) > np.hypot(*np.ptp(rest, axis=0))
    return jump


def _comes_back(xy: FloatArray, longest: float) -> bool:
    """Return whether a path steps off after its first fix and back to its last, as a jump does.

    Where a recorder leaves fixes out, the path goes on by a long step, and the way over the fixes
    between is hardly longer than the way past them. Between two long steps out to the end of a
    lane and back it goes a way of its own, which a receiver that jumped does not.
    """
    steps = np.hypot(*np.diff(xy, axis=0).T)
    out, between, back = steps[0], steps[1:-1], steps[-1]
    past = np.hypot(*(xy[-1] - xy[0]))
    over = out + np.hypot(*(xy[-2] - xy[1])) + back
    return bool(
        min(out, back) > BOTH_SIDES * longest
        and over - past > TURNS_BACK * max(out, back)
        and np.minimum(between, longest).sum() < past + OWN_WAY * longest
    )


def _off_chain(
    xy: FloatArray, believed: FloatArray, passed: FloatArray, slack_m: float
) -> Mask:
    """Return which fixes are off the longest chain of believable steps, shape (n,).

    Parameters
    ----------
    xy : array, shape (n, 2). [m]
    believed : how long each step may be, shape (n - 1,). [m]
    passed : how far a walk may have come by each fix, shape (n,): over fixes that are left out a
        step may be as long as this grows, and ``slack_m``. [m]
    """
    count = len(xy)
    jump = np.hypot(*np.diff(xy, axis=0).T) > believed
    if not jump.any():
        return np.zeros(count, dtype=bool)
    length = np.ones(count)
    came = np.full(count, -1)
    near_jump = _near(jump)
    for i in range(1, count):
        if not near_jump[i]:  # nothing to choose: the fix before is on the chain
            length[i], came[i] = length[i - 1] + 1, i - 1
            continue
        start = max(0, i - REACH)
        gap = np.hypot(xy[start:i, 0] - xy[i, 0], xy[start:i, 1] - xy[i, 1])
        most = passed[i] - passed[start:i] + slack_m
        most[-1] = believed[i - 1]
        # nearer steps win ties, so that a clean walk keeps every fix
        score = np.where(gap <= most, length[start:i] - 1e-6 * gap, 0.0)
        best = int(np.argmax(score))
        if score[best] > 0:
            length[i] = length[start + best] + 1
            came[i] = start + best
    keep = np.zeros(count, dtype=bool)
    i = int(np.argmax(length))
    while i >= 0:
        keep[i] = True
        i = int(came[i])
    return ~keep


def _saved_by_turns(xy: FloatArray, long: Mask) -> bool:
    """Return whether long steps are a recorder's way of saving, and no jumps.

    A jump goes out and comes back within a few fixes; the long sides of a plot do not.
    """
    rows = np.flatnonzero(long)
    if len(rows) < MANY_LONG:
        return False
    step = np.diff(xy, axis=0)[rows]
    size = np.hypot(*step.T)
    back = step @ step.T < -BACK_COS * size[:, None] * size[None, :]
    soon = np.abs(rows[:, None] - rows[None, :]) <= JUMP_FIXES
    return bool((back & soon).any(axis=1).mean() < MOSTLY_BACK)


def _believed(xy: FloatArray, time_s: FloatArray, pace: float) -> FloatArray:
    """Return how long each step may be, shape (n - 1,). [m]

    At the pace of the walk; or, in a burst, as fast as the step before or after it that
    goes the same way. A jump turns back, or is followed by steps of the usual length.
    """
    step, lasts = np.diff(xy, axis=0), np.diff(time_s)
    size = np.hypot(*step.T)
    speed = size / lasts
    same = (step[1:] * step[:-1]).sum(axis=1) > BURST_COS * size[1:] * size[:-1]
    beside = np.zeros(len(step))
    beside[1:] = same * speed[:-1]
    beside[:-1] = np.maximum(beside[:-1], same * speed[1:])
    most = np.where(_steady(speed, same), STEADY_M_S, RIDE_M_S)
    burst = np.minimum(BURST_TIMES * beside, np.minimum(BURST_PACES * pace, most))
    return np.asarray(np.maximum(pace, burst) * lasts + SLACK_M)


def _steady(speed: FloatArray, same: Mask) -> Mask:
    """Return which steps go on as the ones before and after them, shape of ``speed``."""
    even = np.zeros(len(speed), dtype=bool)
    about = np.column_stack([speed[:-2], speed[1:-1], speed[2:]])
    alike = about.max(axis=1) <= STEADY_TIMES * about.min(axis=1)
    even[1:-1] = alike & same[:-1] & same[1:]
    return even


def _pace_m_s(xy: FloatArray, time_s: FloatArray) -> float:
    """Return how fast a step may be believed to go. [m/s]"""
    steps = np.hypot(*np.diff(xy, axis=0).T)
    fast = float(np.median(steps / np.diff(time_s)))
    # over a longer stretch the receiver's noise weighs little, and bursts show
    later = np.searchsorted(time_s, time_s + PACE_SECONDS)
    rows = np.flatnonzero(later < len(xy))
    if len(rows) > REACH // 4:
        moved = np.hypot(*(xy[later[rows]] - xy[rows]).T)
        paces = moved / (time_s[later[rows]] - time_s[rows])
        fast = max(fast, float(np.quantile(paces, PACE_SHARE)))
    return max(WALK_M_S, min(PACE_TIMES * fast, RIDE_M_S))


def _near(jump: Mask) -> Mask:
    """Return which fixes lie within ``REACH`` fixes after a jump, shape (n,)."""
    ends = np.r_[0, np.cumsum(jump)]
    back = np.maximum(np.arange(len(ends)) - REACH - 1, 0)
    near: Mask = ends > ends[back]
    return near


def stops(xy: FloatArray, time_s: FloatArray) -> NDArray[np.int64]:
    """Return a group number for each fix; fixes of one stop share a number.

    A stop is a stretch of at least ``STOP_SECONDS`` whose net speed stays below
    ``STOP_M_S``, its fixes within ``STOP_RADIUS_M`` of their middle. Shape (n,). Without usable times every fix is its own group.
    """
    count = len(xy)
    own = np.arange(count)
    if count < 4 or not np.isfinite(time_s).all() or (np.diff(time_s) <= 0).any():  # noqa: PLR2004
        return own
    later = np.searchsorted(time_s, time_s + STOP_SECONDS)
    inside = later < count
    net = np.full(count, np.inf)
    rows = np.flatnonzero(inside)
    ahead = later[rows]
    moved = np.hypot(*(xy[ahead] - xy[rows]).T)
    net[rows] = moved / (time_s[ahead] - time_s[rows])
    # the mean square distance of each window's fixes from their middle
    total = np.vstack([np.zeros(3), np.cumsum(np.c_[xy, (xy**2).sum(axis=1)], axis=0)])
    slow = np.flatnonzero(net < STOP_M_S)
    mean = (total[later[slow] + 1] - total[slow]) / (later[slow] + 1 - slow)[:, None]
    spread = mean[:, 2] - (mean[:, :2] ** 2).sum(axis=1)
    still = np.zeros(count, dtype=bool)
    for i in slow[spread <= STOP_RADIUS_M**2]:
        still[i : later[i] + 1] = True
    group = np.cumsum(~(still & np.r_[False, still[:-1]])) - 1
    return np.asarray(group, dtype=np.int64)


def merge_stops(
    xy: FloatArray, time_s: FloatArray, group: NDArray[np.int64]
) -> tuple[FloatArray, FloatArray]:
    """Return fixes with each stop replaced by its mean place and time."""
    size = np.bincount(group)
    merged = np.column_stack([np.bincount(group, weights=xy[:, k]) / size for k in (0, 1)])
    times = np.bincount(group, weights=np.nan_to_num(time_s)) / size
    if not np.isfinite(time_s).all():
        times = np.full(len(merged), np.nan)
    return merged, times


def ordered(time_s: FloatArray) -> FloatArray:
    """Return times that rise from fix to fix, or none at all when they run backwards."""
    if not np.isfinite(time_s).all() or (np.diff(time_s) < 0).any():
        return np.full(len(time_s), np.nan)
    # fixes of one second follow one another within it
    _, first, count = np.unique(time_s, return_index=True, return_counts=True)
    place = np.arange(len(time_s)) - np.repeat(first, count)
    return np.asarray(time_s + place / np.repeat(count, count))
