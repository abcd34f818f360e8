"""Ground known otherwise than by a walk, simulated with known truth: how often its ± holds the truth.

``python tests/benchmarks/known_margins.py [--count 2000] [--seed 1]``

Pins, tape and paces, deeds, drawings, pictures placed by points: each figure errs as the way says of
itself (a pin by 2 m on either axis, a tape by 1:500 and 1°, ...), which is drawn here anew; 93 to 97 in
100 are asked. Plots are stars of 4 to 12 corners, from 0.5 to 20 acres. An edge that errs more than
its way says is not tried.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.deed import MODERN, OLD, work_out_deed
from quietacre.boundary.drawn import drawn_area_sd_m2
from quietacre.boundary.laid_picture import lay_picture
from quietacre.boundary.pins import ground_between
from quietacre.boundary.traverse import CARE, work_out
from quietacre.chance import CIRCULAR_95, Z95
from quietacre.errors import BadInput
from quietacre.model import Call, Deed, Leg, Traverse, Waypoint
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Callable

    from quietacre.boundary.traverse import Care

    Array = np.ndarray
    Held = tuple[bool, float]

FRAME = LocalFrame(-86.3, 33.2)
PIN_M, POINT_PM_FT = 2.0, 20.0
EDGE_PM_FT = 15.0


def star(rng: np.random.Generator, count: int | None = None) -> Array:
    """Return the corners of a plot, shape (n, 2). [m]"""
    count = count or int(rng.integers(4, 13))
    turn = (np.arange(count) + rng.uniform(-0.3, 0.3, count)) * 2 * np.pi / count
    xy = rng.uniform(0.7, 1.3, (count, 1)) * np.column_stack([np.cos(turn), np.sin(turn)])
    acres = np.exp(rng.uniform(np.log(0.5), np.log(20.0)))
    return xy * np.sqrt(acres * ACRE_M2 / shapely.Polygon(xy).area)


def acres_of(xy: Array) -> float:
    """Return the acres of corners in metres."""
    return float(shapely.Polygon(xy).area / ACRE_M2)


def held(true_ac: float, acres: float, half_ac: float) -> Held:
    """Return whether a ± holds the truth, and how wide it is in percent."""
    return abs(acres - true_ac) <= half_ac, 100.0 * half_ac / acres


def pinned(rng: np.random.Generator, *, curved: bool) -> Held:
    """Return how pins of a plot were read; a curved one is lobed and has 8 to 20."""
    if curved:
        count, phase, lobe = (
            int(rng.integers(8, 21)),
            rng.uniform(0, 6.3),
            rng.uniform(0, 0.15),
        )
        size = rng.uniform(30.0, 150.0)

        def edge(turn: Array) -> Array:
            reach = size * (1 + lobe * np.cos(2 * turn + phase) + 0.05 * np.cos(3 * turn))
            return reach[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])

        true = acres_of(edge(np.linspace(0, 2 * np.pi, 3000, endpoint=False)))
        xy = edge((np.arange(count) + rng.uniform(-0.25, 0.25, count)) * 2 * np.pi / count)
    else:
        xy = star(rng)
        true = acres_of(xy)
    lon, lat = FRAME.lonlat(*(xy + rng.normal(0, PIN_M, xy.shape)).T)
    pins = [
        Waypoint(str(n + 1), "pins.gpx", float(x), float(y), float("nan"))
        for n, (x, y) in enumerate(zip(lon, lat, strict=True))
    ]
    ground = ground_between(pins, corners="curved" if curved else "straight", sky="open")
    return held(true, ground.acres, (ground.acres_high - ground.acres_low) / 2)


def measured_legs(
    rng: np.random.Generator,
    xy_m: Array,
    care: Care,
    *,
    step_deg: float = 0.0,
    step_ft: float = 0.0,
) -> tuple[Leg, ...]:
    """Return the legs of a plot as measured with a care and written to steps."""
    east, north = (np.roll(xy_m, -1, axis=0) - xy_m).T / FT_M
    scale, legs = 1 + rng.normal(0, care.scale_share), []
    for e, n in zip(east, north, strict=True):
        azimuth = np.degrees(np.arctan2(e, n)) + rng.normal(0, care.bearing_deg)
        length = np.hypot(e, n) * scale * (1 + rng.normal(0, care.length_share))
        if step_deg:
            azimuth = np.round(azimuth / step_deg) * step_deg
        if step_ft:
            length = max(np.round(length / step_ft), 1.0) * step_ft
        legs.append(Leg(float(azimuth % 360), float(length), step_deg, step_ft))
    return tuple(legs)


def taped(rng: np.random.Generator, *, method: str) -> Held:
    """Return how a table of legs was read; one that is said to be doubtful counts all the same."""
    xy = star(rng)
    figure = work_out(Traverse("", "", measured_legs(rng, xy, CARE[method]), method))
    return held(acres_of(xy), figure.acres, (figure.acres_high - figure.acres_low) / 2)


def deeded(rng: np.random.Generator, *, old: bool) -> Held:
    """Return how a deed was read: an old one in half degrees and whole poles, or a modern one."""
    xy = star(rng)
    step_deg, step_ft = (0.5, 16.5) if old else (1 / 3600, 0.01)
    legs = measured_legs(
        rng, xy, OLD if old else MODERN, step_deg=step_deg, step_ft=step_ft
    )
    calls = tuple(Call(n + 1, "", leg) for n, leg in enumerate(legs))
    figure = work_out_deed(Deed("deed.txt", calls))
    return held(acres_of(xy), figure.acres, (figure.acres_high - figure.acres_low) / 2)


def drawn(rng: np.random.Generator) -> Held:
    """Return how a drawing was read whose corners are each off by ``EDGE_PM_FT``."""
    xy = star(rng)
    off = xy + rng.normal(0, EDGE_PM_FT * FT_M / CIRCULAR_95, xy.shape)
    half = Z95 * drawn_area_sd_m2(shapely.Polygon(off), EDGE_PM_FT) / ACRE_M2
    return held(acres_of(xy), acres_of(off), half)


def placed(rng: np.random.Generator, *, pairs: int) -> Held:
    """Return whether a radius told on a placed picture holds a place between its points."""
    scale, turn = rng.uniform(0.2, 0.8), rng.uniform(0, 2 * np.pi)
    cos, sin = scale * np.cos(turn), scale * np.sin(turn)
    matrix = np.array([[cos, sin], [sin, -cos]])
    pixels = rng.uniform(0, 2000, (pairs, 2))
    ground = pixels @ matrix.T + rng.normal(0, POINT_PM_FT * FT_M / CIRCULAR_95, (pairs, 2))
    table = np.column_stack([pixels, *FRAME.lonlat(*ground.T)])
    laid = lay_picture(table.tolist(), 2000, 2000, point_pm_ft=POINT_PM_FT)
    place = rng.uniform(0, 2000, (1, 2))
    x, y = FRAME.xy(*laid.lonlat(place).T)
    off_ft = float(np.hypot(*(np.column_stack([x, y]) - place @ matrix.T)[0]) / FT_M)
    reach = float(laid.pm_ft(place)[0])
    return off_ft <= reach, reach


WAYS: dict[str, Callable[[np.random.Generator], Held]] = {
    "pins, straight between them": lambda rng: pinned(rng, curved=False),
    "pins on a curved edge": lambda rng: pinned(rng, curved=True),
    "compass and tape": lambda rng: taped(rng, method="tape"),
    "compass and paces": lambda rng: taped(rng, method="pace"),
    "an old deed, half degrees and poles": lambda rng: deeded(rng, old=True),
    "a modern deed": lambda rng: deeded(rng, old=False),
    "a drawing, corners within 15 ft": drawn,
    "a picture placed by 2 pairs (a place's radius)": lambda rng: placed(rng, pairs=2),
    "a picture placed by 4 pairs (a place's radius)": lambda rng: placed(rng, pairs=4),
    "a picture placed by 6 pairs (a place's radius)": lambda rng: placed(rng, pairs=6),
    "a picture placed by 3 pairs (a place's radius)": lambda rng: placed(rng, pairs=3),
}


def tried(way: str, count: int, seed: int) -> tuple[float, float, int]:
    """Return how often the ± of a way holds, its median width, and how many were refused."""
    found, refused = [], 0
    for number in range(count):
        rng = np.random.default_rng((seed, list(WAYS).index(way), number))
        try:
            found.append(WAYS[way](rng))
        except BadInput:
            refused += 1
    share = np.mean([one for one, _ in found])
    return float(share), float(np.median([wide for _, wide in found])), refused


def main() -> None:
    """Print the table."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--count", type=int, default=2000)
    ask.add_argument("--seed", type=int, default=1)
    told = ask.parse_args()
    print("| way | ± holds | median ± | refused |\n|---|---|---|---|")
    for way in WAYS:
        share, wide, refused = tried(way, told.count, told.seed)
        unit = "ft" if "picture" in way else "%"
        print(
            f"| {way} | {100 * share:.1f} % | {wide:.2g} {unit} | {refused} |", flush=True
        )


if __name__ == "__main__":
    main()
