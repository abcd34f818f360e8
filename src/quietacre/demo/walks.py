"""Invented walks: the slow drift and the spikes of a handheld receiver, from a seeded generator."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from quietacre.demo.ground import Ring


@dataclass(frozen=True)
class Receiver:
    """How a walk was recorded: drift [ft], seconds a fix, walking speed [ft/s]."""

    drift_ft: float
    every_s: int
    speed_ft_s: float = 3.9
    tau_s: float = 60.0
    white_ft: float = 1.6


def walk(
    ring: Ring,
    seed: int,
    receiver: Receiver,
    *,
    laps: float = 1.02,
    way_in: Ring | None = None,
) -> Ring:
    """Return fixes of a walk round the ring, with drift, noise and two spikes."""
    rng = random.Random(seed)  # noqa: S311 - invented data, not a secret
    step = receiver.every_s * receiver.speed_ft_s
    path = _along(ring, step, laps, rng.random())
    if way_in:
        lead = _along([*way_in, path[0]], step, 1.0, 0.0)
        reach = sum(
            math.dist(a, b)
            for a, b in zip([*way_in, path[0]], [*way_in[1:], path[0]], strict=False)
        )
        path = lead[: int(reach / step)] + path
    keep = math.exp(-receiver.every_s / receiver.tau_s)
    kick = receiver.drift_ft * math.sqrt(1 - keep * keep)
    east, north = rng.gauss(0, receiver.drift_ft), rng.gauss(0, receiver.drift_ft)
    fixes: Ring = []
    for x, y in path:
        east = keep * east + rng.gauss(0, kick)
        north = keep * north + rng.gauss(0, kick)
        fixes.append(
            (
                x + east + rng.gauss(0, receiver.white_ft),
                y + north + rng.gauss(0, receiver.white_ft),
            )
        )
    for _ in range(2):
        at = rng.randrange(5, len(fixes) - 5)
        turn, jump = rng.uniform(0, 2 * math.pi), rng.uniform(70, 160)
        x, y = fixes[at]
        fixes[at] = (x + jump * math.cos(turn), y + jump * math.sin(turn))
    return fixes


def _along(ring: Ring, step_ft: float, laps: float, start: float) -> Ring:
    """Return points every ``step_ft`` along a ring, from ``start`` of its length."""
    corners = [*ring, ring[0]]
    lengths = [math.dist(a, b) for a, b in itertools.pairwise(corners)]
    total = sum(lengths)
    points: Ring = []
    for number in range(int(total * laps / step_ft) + 1):
        left = (start * total + number * step_ft) % total
        for (x0, y0), (x1, y1), length in zip(corners, corners[1:], lengths, strict=False):
            if left <= length:
                share = left / length
                points.append((x0 + share * (x1 - x0), y0 + share * (y1 - y0)))
                break
            left -= length
    return points
