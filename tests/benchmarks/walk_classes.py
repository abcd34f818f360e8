"""Simulated recordings of more than one loop, or at the pace of a ride, and what is said of them.

``python tests/benchmarks/walk_classes.py [--count 2000] [--seed 2000000] [--classes ways,fast]
[--ordinary 2400] [--jobs 2]``

Each class is a way in which acres were once lost or added without a word. A walk is silently
wrong when what was read is more than a fifth off and no note names the acres left out or added
within a quarter of the truth. Tuning may look at seeds below 100000.
"""

from __future__ import annotations

import argparse
import functools
import re
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from walk_accuracy import EAST, LAT, LON, NORTH, drift, shape_ring, simulate

from quietacre.boundary.read import read_walk
from quietacre.errors import WalkRefused
from quietacre.figures import printed
from quietacre.model import Track
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import TypeVar

    Result = TypeVar("Result")

    Array = np.ndarray

WRONG, NAMED = 0.20, 0.25
#: The range of acres in a note, whose ends are no acres told.
RANGE = re.compile(r" \(between [\d.]+ and [\d.]+\)")
#: Notes about other ground; an ordinary walk should hardly ever get one.
OTHER_GROUND = {"second-loop", "loop-between", "loop-inside", "loop-joined", "loop-divided",
                "loop-narrow"}  # fmt: skip
#: Notes that tell acres of the plot itself, and of no other ground.
NO_GROUND = {
    "wide-interval",
    "sky-blocked",
    "sky-unknown",
    "readings-differ",
    "level-acres",
}


@dataclass(frozen=True)
class Case:
    """A recording; its plots, any of which may be the answer; other ground it goes round. [m²]

    ``all_plots`` tells that every plot is meant, so that those left out must be named.
    """

    track: Track
    plots: tuple[float, ...]
    others: tuple[float, ...] = ()
    all_plots: bool = False


def along(ring: Array, every_m: float, start_m: float = 0.0, over_m: float = 0.0) -> Array:
    """Return places round a ring from ``start_m``, once and ``over_m`` more. [m]"""
    line = shapely.LinearRing(ring)
    at = np.arange(0.0, line.length + over_m, every_m)
    return shapely.get_coordinates(
        shapely.line_interpolate_point(line, (start_m + at) % line.length)
    )


def between(a: Array, b: Array, every_m: float) -> Array:
    """Return places on the way from a to b, without both ends. [m]"""
    steps = max(int(np.hypot(*(b - a)) / every_m), 1)
    return np.linspace(a, b, steps, endpoint=False)[1:]


def recorded(rng: np.random.Generator, true: Array, every_s: float, name: str) -> Track:
    """Return a track of true places with a receiver's error."""
    at_s = np.arange(len(true)) * every_s
    sigma = float(np.exp(rng.normal(np.log(2.2), 0.3)))
    tau = float(np.exp(rng.normal(np.log(55.0), 0.4)))
    fixes = true + drift(rng, at_s, sigma, tau)
    fixes += rng.normal(0, rng.uniform(0.2, 0.5), true.shape)
    for _ in range(int(rng.integers(0, 3))):  # jumps
        i, run = int(rng.integers(0, len(fixes))), int(rng.integers(1, 4))
        turn = rng.uniform(0, 2 * np.pi)
        fixes[i : i + run] += rng.uniform(12, 60) * np.array([np.cos(turn), np.sin(turn)])
    timed = rng.random() > 0.1
    return Track(
        name, "simulated.gpx", "track",
        np.round(LON + fixes[:, 0] / EAST, 7), np.round(LAT + fixes[:, 1] / NORTH, 7),
        at_s if timed else np.full(len(at_s), np.nan), np.zeros(len(at_s), dtype=int),
    )  # fmt: skip


def _pace(rng: np.random.Generator) -> tuple[float, float]:
    every_s = float(rng.choice([1.0, 2.0, 3.0, 5.0]))
    return rng.uniform(0.9, 1.5) * every_s, every_s


def _oblong(rng: np.random.Generator, area_m2: float) -> Array:
    ratio = rng.uniform(1.0, 2.5)
    a = np.sqrt(area_m2 * ratio)
    return np.array([(0, 0), (a, 0), (a, area_m2 / a), (0, area_m2 / a)])


def ways(rng: np.random.Generator) -> Case:
    """In by one side of other ground and out by the other, from one gate."""
    step, every_s = _pace(rng)
    _, plot = shape_ring(rng)
    area = float(shapely.Polygon(plot).area)
    share = float(np.exp(rng.uniform(np.log(0.15), np.log(2.5))))
    middle = np.asarray(shapely.Polygon(plot).centroid.coords[0])
    i = int(np.argmax(np.hypot(*(plot - middle).T)))
    out = (plot[i] - middle) / np.hypot(*(plot[i] - middle))
    side = np.array([-out[1], out[0]])
    # a kite or an oval from the plot's outermost corner to a gate
    deep = np.sqrt(share * area * rng.uniform(1.0, 2.5))
    t = np.linspace(0, np.pi, 40)[:, None]
    while True:  # until the ways keep off the plot itself
        if rng.random() < 0.5:
            half = share * area / (np.pi / 2 * deep)
            middle_line = plot[i] + out * deep * (1 - np.cos(t)) / 2
            left, right = (middle_line + s * side * half * np.sin(t) for s in (1, -1))
        else:
            half, at, gate = (
                share * area / deep,
                rng.uniform(0.3, 0.7),
                plot[i] + out * deep,
            )
            left, right = (
                np.array([plot[i], plot[i] + out * deep * at + s * side * half, gate])
                for s in (1, -1)
            )
        ground = shapely.Polygon(np.vstack([left, right[::-1]]))
        if (
            ground.buffer(5.0).intersection(shapely.Polygon(plot)).area
            < 0.03 * ground.area + 100
        ):
            break
        deep *= 1.1
    other = float(ground.area)
    ring = np.roll(plot, -i, axis=0)
    lap = along(ring, step, over_m=rng.uniform(-4, 8))
    if rng.random() < 0.5:
        lap = along(ring[np.r_[0, len(ring) - 1 : 0 : -1]], step, over_m=rng.uniform(-4, 8))

    def leg(line: Array) -> Array:
        shape = shapely.LineString(line)
        return shapely.get_coordinates(
            shapely.line_interpolate_point(shape, np.arange(0, shape.length, step))
        )

    lead, tail = leg(left)[:0:-1], leg(right)[1:]
    lead = lead[int(rng.integers(0, 3)) :]
    if rng.random() < 0.5:  # from farther off, in and out by one lane
        lane = between(
            plot[i] + out * (deep + rng.uniform(30, 150)), plot[i] + out * deep, step
        )
        lead, tail = np.vstack([lane, lead]), np.vstack([tail, lane[::-1]])
    true = np.vstack([lead, lap, tail])
    return Case(recorded(rng, true, every_s, "ways"), (area,), (other,))


def _two(rng: np.random.Generator, apart_m: float) -> Case:
    step, every_s = _pace(rng)
    area = ACRE_M2 * np.exp(rng.uniform(np.log(0.25), np.log(5.0)))
    first = _oblong(rng, area)
    high = first[2, 1]
    wide = area * np.exp(rng.uniform(np.log(0.4), np.log(2.0))) / high
    x = first[1, 0] + apart_m
    second = np.array([(x, 0), (x + wide, 0), (x + wide, high), (x, high)])
    # each is begun in the corner of the common side, or anywhere on it
    begin = rng.uniform(0, high) if rng.random() < 0.5 else 0.0
    one = np.vstack([(first[1, 0], begin), first[2], first[3], first[0], first[1]])
    two = np.vstack([(x, begin), second[3], second[2], second[1], second[0]])
    if rng.random() < 0.5:
        one = one[np.r_[0, 4:0:-1]]
    if rng.random() < 0.5:
        two = two[np.r_[0, 4:0:-1]]
    parts = [along(one, step, over_m=rng.uniform(-4, 6))]
    lap = along(two, step, over_m=rng.uniform(-4, 6))
    if apart_m > 0:
        parts.append(between(parts[0][-1], lap[0], step))
    parts.append(lap)
    true = np.vstack(parts)
    turn = rng.uniform(0, 2 * np.pi)
    true = true @ np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    if rng.random() < 0.5:  # a way in and the same way out
        far = true[0] + rng.uniform(40, 150) * np.array([np.sin(turn), -np.cos(turn)])
        true = np.vstack([between(far, true[0], step), true, between(true[-1], far, step)])
    return Case(
        recorded(rng, true, every_s, "two"), (area, float(wide * high)), all_plots=True
    )


def shared(rng: np.random.Generator) -> Case:
    """Two plots that share a side, walked one after the other."""
    return _two(rng, 0.0)


def near(rng: np.random.Generator) -> Case:
    """Two plots ten metres apart."""
    return _two(rng, 10.0)


def second(rng: np.random.Generator) -> Case:
    """A plot, and another some way off, before or after it."""
    step, every_s = _pace(rng)
    (_, one), (_, two) = shape_ring(rng), shape_ring(rng)
    area = float(shapely.Polygon(one).area)
    share = float(np.exp(rng.uniform(np.log(0.12), np.log(1.0))))
    two = two * np.sqrt(share * area / shapely.Polygon(two).area)
    reach = [float(np.hypot(*(r - r.mean(axis=0)).T).max()) for r in (one, two)]
    turn = rng.uniform(0, 2 * np.pi)
    off = (sum(reach) + rng.uniform(15, 250)) * np.array([np.cos(turn), np.sin(turn)])
    two = two - two.mean(axis=0) + one.mean(axis=0) + off
    laps = [
        along(r, step, rng.uniform(0, 1e3), rng.uniform(-4, 8))[:: int(rng.choice([-1, 1]))]
        for r in (one, two)
    ]
    if rng.random() < 0.5:
        laps.reverse()
    true = np.vstack([laps[0], between(laps[0][-1], laps[1][0], step), laps[1]])
    return Case(
        recorded(rng, true, every_s, "second"), (area, share * area), all_plots=True
    )


def fast(rng: np.random.Generator) -> Case:
    """Round a field at 4 to 8 m/s, a fix each 1 to 4 s, with bursts."""
    speed, every_s = rng.uniform(4.0, 8.0), float(rng.choice([1.0, 2.0, 3.0, 4.0]))
    _, plot = shape_ring(rng)
    area = ACRE_M2 * np.exp(rng.uniform(np.log(3.0), np.log(60.0)))
    plot = plot * np.sqrt(area / shapely.Polygon(plot).area)
    line = shapely.LinearRing(plot)
    laps = int(rng.choice([1, 1, 2]))
    count = int((laps + 0.5) * line.length / (0.5 * speed * every_s)) + 5
    # the pace drifts, by a quarter of itself
    pace = speed * np.exp(0.25 * drift(rng, np.arange(count) * every_s, 1.0, 20.0)[:, 0])
    walked = np.r_[0.0, np.cumsum(np.clip(pace, 0.4 * speed, 10.0) * every_s)]
    walked = walked[walked < laps * line.length + rng.uniform(-6, 15)]
    start = rng.uniform(0, line.length)
    true = shapely.get_coordinates(
        shapely.line_interpolate_point(line, (start + walked) % line.length)
    )
    return Case(recorded(rng, true, every_s, "fast"), (area,))


CLASSES: dict[str, Callable[[np.random.Generator], Case]] = {
    "ways": ways, "shared": shared, "near": near, "second": second, "fast": fast,
}  # fmt: skip


def _names(texts: list[str], area_m2: float) -> bool:
    """Return whether acres are told within a quarter; the ends of a range are not looked at."""
    plain = [RANGE.sub("", text) for text in texts]
    told = [float(n) for text in plain for n in re.findall(r"([\d.]+)(?= and| ac)", text)]
    return any(abs(t * ACRE_M2 / area_m2 - 1) <= NAMED for t in told)


def _all_told(read_m2: float, texts: list[str], plots: tuple[float, ...]) -> bool:
    """Return whether the acres read, with those told beside them, are about those of all plots."""
    beside = [
        float(n) for text in texts for n in re.findall(r"round about ([\d.]+) ac", text)
    ]
    return bool(beside) and _off(read_m2 + sum(beside) * ACRE_M2, sum(plots)) <= WRONG


def _off(read_m2: float, true_m2: float) -> float:
    return abs(read_m2 / true_m2 - 1)


@dataclass(frozen=True)
class Outcome:
    """What became of one recording; ``what`` is right, within its ±, said, silent, refused or false.

    "short" is a second loop that is told, its acres more than a quarter off, while the acres
    read and told together are within a fifth of all that was walked round. Counted by the acres
    named alone it is silent too.
    """

    seed: int
    what: str
    read_ac: float
    case: Case
    texts: tuple[str, ...]


def outcome(kind: str, seed: int) -> Outcome:
    """Read one recording of a class and judge what is said of it."""
    case = CLASSES[kind](np.random.default_rng((seed, list(CLASSES).index(kind))))
    try:
        walk = read_walk([case.track])
    except WalkRefused as problem:
        several = len(case.plots) + len(case.others) > 1
        said = printed(problem.what)
        named = _names([said], case.plots[0])
        what = "refused" if several and named else "false"
        return Outcome(seed, what, float("nan"), case, (said,))
    read = walk.acres * ACRE_M2
    texts = [note.text for note in walk.notes if note.code not in NO_GROUND]
    mine = min(case.plots, key=lambda plot: _off(read, plot))
    missed = (
        [p for p in case.plots if p != mine and p > WRONG * mine] if case.all_plots else []
    )
    right = _off(read, mine) <= WRONG
    if right and not missed:
        what = "right"
    elif (right and all(_names(texts, p) for p in missed)) or (
        not right and any(_names(texts, p) for p in (*case.others, *case.plots))
    ):
        what = "said"
    elif right and _all_told(read, texts, case.plots):
        what = "short"
    elif not missed and walk.acres_low <= mine / ACRE_M2 <= walk.acres_high:
        what = "its ±"
    else:
        what = "silent"
    return Outcome(seed, what, walk.acres, case, tuple(texts))


def table(kind: str, rows: list[Outcome]) -> str:
    """Return one line of shares."""
    share = {w: 100 * sum(r.what == w for r in rows) / len(rows)
             for w in ("right", "its ±", "said", "short", "refused", "false", "silent")}  # fmt: skip
    told = ", ".join(f"{w} {s:.2f} %" for w, s in share.items())
    return f"{kind:8s} {len(rows)} walks: {told}"


def ordinary(seed: int) -> str:
    """Return whether an ordinary walk is "refused", "noted" for other ground, or "plain"."""
    try:
        walk = read_walk([simulate(seed).track])
    except WalkRefused:
        return "refused"
    return "noted" if any(n.code in OTHER_GROUND for n in walk.notes) else "plain"


def every(work: Callable[[int], Result], seeds: range, jobs: int) -> list[Result]:
    """Return what becomes of each seed, by so many processes at a time."""
    if jobs < 2:  # noqa: PLR2004 - none beside this one
        return [work(seed) for seed in seeds]
    with ProcessPoolExecutor(jobs) as pool:
        return list(pool.map(work, seeds, chunksize=25))


def main() -> None:
    """Print the table; with ``--show`` what became of the first silent or falsely refused."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--count", type=int, default=2000)
    ask.add_argument("--seed", type=int, default=2_000_000)
    ask.add_argument("--classes", default=",".join(CLASSES))
    ask.add_argument("--ordinary", type=int, default=0)
    ask.add_argument("--show", type=int, default=0)
    ask.add_argument("--jobs", type=int, default=1)
    told = ask.parse_args()
    for kind in filter(None, told.classes.split(",")):
        seeds = range(told.seed, told.seed + told.count)
        rows = every(functools.partial(outcome, kind), seeds, told.jobs)
        print(table(kind, rows), flush=True)
        for row in [r for r in rows if r.what in ("silent", "false", "short")][: told.show]:
            plots, others = (
                "/".join(f"{m / ACRE_M2:.2f}" for m in part)
                for part in (row.case.plots, row.case.others)
            )
            print(
                f"  {row.seed} {row.what}: read {row.read_ac:.2f} of {plots} by {others}; {row.texts}"
            )
    if told.ordinary:
        seeds = range(told.seed, told.seed + told.ordinary)
        became = every(ordinary, seeds, told.jobs)
        noted, refused = (100 * became.count(w) / len(became) for w in ("noted", "refused"))
        print(
            f"ordinary {len(became)} walks: other ground said of {noted:.2f} %, "
            f"refused {refused:.2f} %"
        )


if __name__ == "__main__":
    main()
