"""Figures of simulated walks as they are kept beside this file, and how they are kept anew.

Run ``python tests/benchmarks/kept_walks.py --write`` when figures of walks are meant to change,
look at what differs in kept_walks.csv, and tell it in docs/changelog.md under "Figures that
changed".
"""

from __future__ import annotations

import csv
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import walk_classes
import walk_margins
from swept_walks import swept
from walk_accuracy import simulate

from quietacre.boundary.combine import combine_walks
from quietacre.boundary.read import read_walk
from quietacre.errors import WalkRefused
from quietacre.figures import AFTER, BAR, BEFORE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from quietacre.boundary.walk import Walk

KEPT = Path(__file__).with_suffix(".csv")
PLAIN, OF_A_CLASS, OF_A_DRAW, TOGETHER = 80, 24, 8, 10
COLUMNS = (
    "kind",
    "seed",
    "acres",
    "low",
    "high",
    "laps",
    "edge_deg",
    "corners",
    "codes",
    "told",
)
NUMBERS = ("acres", "low", "high", "laps", "edge_deg")


def cases() -> Iterator[tuple[str, int, Callable[[], Walk]]]:
    """Yield the kind and the seed of each walk, and what reads it."""
    for seed in range(PLAIN):
        yield "plain", seed, lambda seed=seed: read_walk([simulate(seed).track])
    for kind in walk_classes.CLASSES:
        for seed in range(OF_A_CLASS):
            yield kind, seed, lambda kind=kind, seed=seed: _of_class(kind, seed)
    for kind in walk_margins.CLASSES:
        for seed in range(OF_A_DRAW):
            yield f"margin {kind}", seed, lambda kind=kind, seed=seed: _of_draw(kind, seed)
    for seed in range(TOGETHER):
        yield "together", seed, lambda seed=seed: _together(seed)
    for name, number, made in swept():
        yield f"swept {name}", number, lambda made=made: read_walk([made()])


def _of_class(kind: str, seed: int) -> Walk:
    number = list(walk_classes.CLASSES).index(kind)
    case = walk_classes.CLASSES[kind](np.random.default_rng((seed, number)))
    return read_walk([case.track])


def _of_draw(kind: str, seed: int) -> Walk:
    number = list(walk_margins.CLASSES).index(kind)
    rng = np.random.default_rng((seed, number))
    draw = walk_margins.CLASSES[kind](rng)
    shared = rng.normal()
    tracks = [walk_margins.record(rng, draw, shared) for _ in range(draw.days)]
    return combine_walks([read_walk([track]) for track in tracks])


def _together(seed: int) -> Walk:
    sims = [simulate(seed, canopy=seed % 2 == 0, again=again) for again in range(3)]
    return combine_walks([read_walk([sim.track]) for sim in sims])


def figures_in(text: str) -> list[str]:
    """Return the values of a text's figures, to six digits."""
    marks = re.findall(f"{BEFORE}([^{AFTER}]*){AFTER}", text)
    return [f"{float(value):.6g}" for mark in marks for value in mark.split(BAR)[2::2]]


def row_of(kind: str, seed: int, read: Callable[[], Walk]) -> dict[str, str]:
    """Return the figures of one walk, as they are kept; of a refused one what was said."""
    row = dict.fromkeys(COLUMNS, "") | {"kind": kind, "seed": str(seed)}
    try:
        walk = read()
    except WalkRefused as problem:
        return row | {"codes": "refused", "told": " ".join(figures_in(problem.what))}
    edge = walk.polygon.exterior
    numbers = (walk.acres, walk.acres_low, walk.acres_high, walk.laps, edge.length)
    told = [value for note in walk.notes for value in figures_in(note.marked)]
    return row | {
        **{name: f"{number:.10g}" for name, number in zip(NUMBERS, numbers, strict=True)},
        "corners": str(len(edge.coords)),
        "codes": " ".join(note.code for note in walk.notes),
        "told": " ".join(told),
    }


def kept() -> dict[tuple[str, str], Mapping[str, str]]:
    """Return the kept figures by kind and seed."""
    with KEPT.open(encoding="utf-8", newline="") as file:
        return {(row["kind"], row["seed"]): row for row in csv.DictReader(file)}


def write() -> None:
    """Keep the figures as they are now."""
    with KEPT.open("w", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        out.writeheader()
        out.writerows(row_of(*case) for case in cases())


if __name__ == "__main__":
    if sys.argv[1:] == ["--write"]:
        write()
    else:
        sys.exit(__doc__)
