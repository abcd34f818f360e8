"""Simulated walks in files that hold planned routes too: does a plan ever stand for a walk?

``python tests/benchmarks/walks_with_routes.py [--count 2000] [--seed 1300000]``

Each file has a walk of ``walk_accuracy.py`` and one to three routes, before or after it: the
plot drawn too large or too small, other ground, the whole property, a road. In one of ten the
walk broke off half way. A file is silently wrong when its acres are more than 20 % off, the
truth lies outside the stated range, and no note says that a plan was measured or which acres
were left out or added, within 25 %. The same walk alone is read beside it: where that is as wrong the
error is the walk's own (a fix strays by metres, and a plot may be a quarter of an acre), and is
counted apart.
"""

from __future__ import annotations

import argparse
import re
from collections import Counter
from dataclasses import dataclass, replace

import numpy as np
import shapely
from walk_accuracy import EAST, LAT, LON, NORTH, simulate

from quietacre.boundary.recordings import file_walk
from quietacre.errors import WalkRefused
from quietacre.figures import printed
from quietacre.model import Track
from quietacre.units import ACRE_M2

OFF = 0.2
CLOSE = 0.25
ROUTES = ("too large", "too small", "other ground", "property", "road")


@dataclass(frozen=True)
class File:
    """The tracks of one file, and what its walk truly went round."""

    tracks: tuple[Track, ...]
    true_ac: float
    broken: bool


@dataclass(frozen=True)
class Row:
    """How one file was read: acres, whether that is silently wrong, and what was said."""

    seed: int
    true_ac: float
    acres: float
    silent: bool
    alike: bool
    planned: bool
    broken: bool
    why: str


def route(rng: np.random.Generator, kind: str, plot: shapely.Polygon) -> Track:
    """Return a planned route: few points, no times. ``plot`` in degrees times metres."""
    size = plot.area**0.5
    if kind == "too large":
        shape = plot.buffer(rng.uniform(0.05, 0.8) * size)
    elif kind == "too small":
        shape = plot.buffer(-rng.uniform(0.02, 0.15) * size)
        shape = plot if shape.is_empty or shape.geom_type != "Polygon" else shape
    elif kind == "property":
        shape = plot.buffer(rng.uniform(2.0, 12.0) * size).envelope
    else:
        east, north = rng.uniform(-4, 4, 2) * size
        shape = shapely.affinity.translate(plot.envelope, east, north)
    xy = shapely.get_coordinates(shape.exterior.simplify(3.0))
    if kind == "road":
        xy = xy[: max(len(xy) // 2, 2)] * 1.5
    return Track(
        str(rng.choice(["plan", "edge", "", kind])), "simulated.gpx", "route",
        np.round(LON + xy[:, 0] / EAST, 7), np.round(LAT + xy[:, 1] / NORTH, 7),
        np.full(len(xy), np.nan), np.zeros(len(xy), dtype=int),
    )  # fmt: skip


def simulated_file(seed: int) -> File:
    """Return one seeded file."""
    sim = simulate(seed)
    rng = np.random.default_rng((seed, 7))
    track = sim.track
    xy = np.column_stack([(track.lon - LON) * EAST, (track.lat - LAT) * NORTH])
    hull = shapely.convex_hull(shapely.multipoints(xy))
    broken = bool(rng.random() < 0.1)
    if broken:
        keep = slice(0, int(len(track.lon) * (0.5 / sim.laps)))
        track = replace(
            track, lon=track.lon[keep], lat=track.lat[keep],
            time_s=track.time_s[keep], segment=track.segment[keep],
        )  # fmt: skip
    tracks = [track]
    for _ in range(int(rng.integers(1, 4))):
        planned = route(rng, str(rng.choice(ROUTES)), hull)
        tracks.insert(int(rng.integers(len(tracks) + 1)), planned)
    return File(tuple(tracks), sim.true_m2 / ACRE_M2, broken)


def judge(seeds: range) -> list[Row]:
    """Return one row per seed."""
    rows = []
    for seed in seeds:
        file = simulated_file(seed)
        alone = _acres([track for track in file.tracks if track.kind == "track"])
        try:
            walk = file_walk(file.tracks)
        except WalkRefused as problem:
            nan = float("nan")
            rows.append(Row(seed, file.true_ac, nan, False, np.isnan(alone), False,
                            file.broken, printed(problem.what)))  # fmt: skip
            continue
        planned = any(note.code == "route-measured" for note in walk.notes)
        wrong = abs(walk.acres / file.true_ac - 1) > OFF
        wrong &= not walk.acres_low <= file.true_ac <= walk.acres_high
        named = [
            float(size)
            for note in walk.notes if note.code not in ("track-not-measured", "route-measured")
            for size in re.findall(r"([\d.]+) ac", note.text)
        ]  # fmt: skip
        gap = abs(walk.acres - file.true_ac)
        told = planned or any(abs(size / gap - 1) <= CLOSE for size in named)
        rows.append(Row(seed, file.true_ac, walk.acres, wrong and not told,
                        bool(abs(walk.acres - alone) < 1e-9), planned, file.broken, ""))  # fmt: skip
    return rows


def _acres(tracks: list[Track]) -> float:
    try:
        return file_walk(tracks).acres
    except WalkRefused:
        return float("nan")


def table(rows: list[Row]) -> str:
    """Return the figures as text."""
    whole = [row for row in rows if not row.broken]
    broken = [row for row in rows if row.broken]
    read = [row for row in whole if not row.why]
    off = [abs(row.acres / row.true_ac - 1) for row in read]
    silent = sum(row.silent and not row.alike for row in rows)
    own = sum(row.silent and row.alike for row in rows)
    lines = [
        f"files {len(rows)}, of them {len(broken)} with a walk that broke off",
        f"silently wrong by over 20 % for a route: {silent} ({100 * silent / len(rows):.2f} %)",
        f"  as wrong without any route: {own} ({100 * own / len(rows):.2f} %)",
        f"whole walks: refused {sum(bool(row.why) for row in whole)}, the plan measured (and said) "
        f"{sum(row.planned for row in whole)}, read unlike the walk alone "
        f"{sum(not row.alike and not row.planned for row in whole)}",
        f"  over 20 % off, ± aside: {100 * np.mean(np.array(off) > OFF):.2f} %",
        f"broken walks: refused {sum(bool(row.why) for row in broken)}, the plan measured (and "
        f"said) {sum(row.planned for row in broken)}, read as walks "
        f"{sum(not row.why and not row.planned for row in broken)}",
    ]
    whys = Counter(row.why.split(" over ")[0] for row in rows if row.why)
    lines += [f"  refused, {count}: {why}" for why, count in whys.most_common(6)]
    seeds = [str(row.seed) for row in rows if row.silent and not row.alike]
    return "\n".join(
        [*lines, *([f"silent seeds: {' '.join(seeds[:40])}"] if seeds else [])]
    )


def main() -> None:
    """Print the table."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--count", type=int, default=2000)
    ask.add_argument("--seed", type=int, default=1_300_000)
    told = ask.parse_args()
    rows = judge(range(told.seed, told.seed + told.count))
    print(f"seeds {told.seed} to {told.seed + told.count - 1}\n{table(rows)}")


if __name__ == "__main__":
    main()
