"""Waypoints as the corners of a piece of ground.

    Var(A) = ¼ Σ σ² |p_{i+1} − p_{i−1}|² + ½ Σ σ⁴        (independent pins)

With the pins' own times the first sum takes the drift of a walk into account. A curved edge
bulges beyond the chords between its pins by about c² θ / 12 each, c the chord and θ the mean
turn at its two ends; on straight edges that correction would be badly wrong, so the person is
asked which it is.

References
----------
"Standard deviation of GNSS area by the shoelace formula", Journal of the Japanese Forest
Society 100(6), 2018 (abstract); "Area uncertainty of adjacent polygons", Forest Science 51(4),
2005 (abstract): the first sum. Forestry 90, 2017: a phone's error, RMSE 1.9-2.4 m in the open,
5.0-11.5 m under leaves, in two dimensions.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.error import SIGMA_M, unit_area_sd
from quietacre.chance import Z95
from quietacre.errors import FileProblem
from quietacre.figures import acres as acres_words
from quietacre.figures import feet
from quietacre.model import Note, folded
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from quietacre.model import Waypoint
    from quietacre.settings.types import Sky

    FloatArray = NDArray[np.float64]

Corners = Literal["straight", "curved"]
Order = Literal["time", "number", "file", "ring"]
FEWEST_PINS = 3
#: Pins nearer to each other stand for one corner. Twice a phone's error. [m]
ONE_CORNER_M = 5.0
#: The share of a curve's correction that is not known. Measured on simulated lobed fields of 8,
#: 12 and 20 pins: with it the ± covers 95, 95 and 97 %, without it 80 to 93 %.
CURVE_DOUBT = 0.2
#: Points along each curved side.
CURVE_POINTS = 8
NUMBERS = re.compile(r"\d+")


@dataclass(frozen=True)
class PinnedGround:
    """A piece of ground between pins. ``sigma_m`` is a pin's error on one axis."""

    polygon: shapely.Polygon
    acres: float
    acres_low: float
    acres_high: float
    perimeter_ft: float
    pins: int
    order: Order
    corners: Corners
    sigma_m: float
    notes: tuple[Note, ...]

    @property
    def method(self) -> str:
        """Return how it is known, in words."""
        return f"{self.pins} pins, {self.corners} between them, in order of {self.order}"


def ground_between(
    pins: Sequence[Waypoint], *, corners: Corners | None, order: Order | None = None,
    sky: Sky | None = None, name: str = "",
) -> PinnedGround:  # fmt: skip
    """Return the ground whose corners were marked.

    Parameters
    ----------
    pins : as the file has them; several of one corner are averaged.
    corners : whether the edge runs straight or in curves between pins; asked for when None.
    order : how the pins follow one another; by their times, else by the numbers in their
        names, when None; asked for when they have neither.
    sky : "open" or "canopy", as for a walk.

    Raises
    ------
    FileProblem
        There are fewer than three corners, their order is not known or crosses itself, or
        ``corners`` is not given: the message tells the acres of each answer.
    """
    if not pins:
        raise _too_few(0, name, name)
    source = pins[0].source
    order, row = _ordered(pins, order, source)
    pins = [pins[i] for i in row]
    frame = LocalFrame.around([shapely.Point(pin.lon, pin.lat) for pin in pins])
    xy, visits, time_s = _corners_of(pins, frame)
    if len(xy) < FEWEST_PINS:
        raise _too_few(len(xy), source, name)
    if not shapely.LinearRing(xy).is_simple:
        raise FileProblem(
            f"in order of {order} the edge between its pins crosses itself",
            fix="name the pins in order (1, 2, 3 …), or say --order ring or --order file",
            source=source, where=name if name != source else None,
        )  # fmt: skip
    sigma_m = SIGMA_M[sky]
    if corners is None:
        straight, curved = (_sized(frame, xy, how)[1] for how in ("straight", "curved"))
        raise FileProblem(
            f"holds only waypoints, {len(xy)} pins: does the edge run straight between them ({acres_words(straight)}) or "
            f"in a curve ({acres_words(curved)})?",
            fix='say --corners straight or --corners curved (corners = "…" in property.toml)',
            source=source, where=name if name != source else None,
        )  # fmt: skip
    polygon, acres = _sized(frame, xy, corners)
    sd_m2 = _area_sd_m2(xy, visits, time_s, sigma_m)
    if corners == "curved":
        extra = abs(acres - _sized(frame, xy, "straight")[1]) * ACRE_M2
        sd_m2 = float(np.hypot(sd_m2, CURVE_DOUBT * extra))
    half = Z95 * sd_m2 / ACRE_M2
    return PinnedGround(
        polygon, acres, max(acres - half, 0.0), acres + half,
        float(perimeter_m(np.array([polygon], dtype=object))[0]) / FT_M, len(xy), order, corners,
        sigma_m, _notes(len(pins), len(xy), order, acres, source, name),
    )  # fmt: skip


def _too_few(corners: int, source: str, name: str) -> FileProblem:
    """Return why so few corners are no ground."""
    return FileProblem(
        f"has {corners} corners",
        fix="mark at least three",
        source=source,
        where=name if name != source else None,
    )


def _ordered(
    pins: Sequence[Waypoint], order: Order | None, source: str
) -> tuple[Order, list[int]]:
    """Return the order that is asked for or known, and the rows in it."""
    times = np.array([pin.time_s for pin in pins])
    timed = np.isfinite(times).all() and len(set(times.tolist())) == len(pins)
    numbers = [_numbers(pin.name) for pin in pins]
    numbered = all(numbers) and len({folded(pin.name) for pin in pins}) == len(pins)
    if order is None:
        order = "time" if timed else "number" if numbered else None
    if order == "time" and timed:
        return "time", np.argsort(times, kind="stable").tolist()
    if order == "number" and numbered:
        return "number", sorted(range(len(pins)), key=lambda row: numbers[row])
    if order == "file":
        return "file", list(range(len(pins)))
    if order == "ring":
        return "ring", _ring_without_crossings(pins)
    lacking = "times and no numbers" if order is None else f"{order} of their own"
    raise FileProblem(
        f"holds only waypoints, and its {len(pins)} pins have no {lacking}, so which follows which is "
        "not known",
        fix="say --order ring (a ring that does not cross itself; look at it) or --order file, or "
        "number their names",
        source=source,
    )


def _numbers(name: str) -> tuple[int, ...]:
    """Return the numbers in a name, so that 2 comes before 10."""
    return tuple(int(part) for part in NUMBERS.findall(name))


def _ring_without_crossings(pins: Sequence[Waypoint]) -> list[int]:
    """Return rows in the order of a short ring that does not cross itself.

    From the order by angle round the middle, and from those of the nearest pin next, sides
    that cross or are long are undone one by one; the shortest ring of all is taken.
    """
    lon, lat = np.array([(pin.lon, pin.lat) for pin in pins]).T
    # one scale for all, or the ground leans and another ring is the short one
    xy = np.column_stack([lon * np.cos(np.radians(lat.mean())), lat])
    off = xy - xy.mean(axis=0)
    apart = np.hypot(*(xy[:, None] - xy[None, :]).transpose(2, 0, 1)).tolist()
    ends = {int(i) for column in off.T for i in (column.argmin(), column.argmax())}
    starts = [np.argsort(np.arctan2(off[:, 1], off[:, 0])).tolist()]
    starts += [_nearest_next(apart, first) for first in sorted(ends)]
    rings = [_undone(row, apart) for row in starts]
    return min(
        rings,
        key=lambda row: sum(
            apart[a][b] for a, b in zip(row, row[1:] + row[:1], strict=True)
        ),
    )


def _nearest_next(apart: list[list[float]], first: int) -> list[int]:
    """Return rows in the order in which the nearest one left comes next."""
    row, left = [first], set(range(len(apart))) - {first}
    while left:
        row.append(min(left, key=lambda other: (apart[row[-1]][other], other)))
        left.remove(row[-1])
    return row


def _undone(row: list[int], apart: list[list[float]]) -> list[int]:
    """Return a ring in which no two sides can be turned into shorter ones."""
    count, better = len(row), True
    while better:
        better = False
        for one in range(count - 2):
            for two in range(one + 2, count):
                a, b, c, d = row[one], row[one + 1], row[two], row[(two + 1) % count]
                if apart[a][c] + apart[b][d] < apart[a][b] + apart[c][d] - 1e-12:
                    row[one + 1 : two + 1] = row[one + 1 : two + 1][::-1]
                    better = True
    return row


def _corners_of(
    pins: Sequence[Waypoint], frame: LocalFrame
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return corners (n, 2) [m], how many pins each rests on, and their times. [s]"""
    x, y = frame.xy(
        np.array([pin.lon for pin in pins]), np.array([pin.lat for pin in pins])
    )
    here = np.column_stack([x, y])
    groups: list[list[int]] = []
    for row in range(len(pins)):
        near = groups and (
            np.hypot(*(here[row] - here[groups[-1]].mean(axis=0))) <= ONE_CORNER_M
        )
        if near:
            groups[-1].append(row)
        else:
            groups.append([row])
    ends = groups[0] + groups[-1]
    if (
        len(groups) > FEWEST_PINS
        and np.hypot(*(here[groups[0]].mean(axis=0) - here[groups[-1]].mean(axis=0)))
        <= ONE_CORNER_M
    ):  # the round ends on the pin it began with
        groups[0] = ends
        groups.pop()
    xy = np.array([here[group].mean(axis=0) for group in groups])
    visits = np.array([float(len(group)) for group in groups])
    times = np.array([pins[group[0]].time_s for group in groups])
    return xy, visits, times


def _sized(
    frame: LocalFrame, xy: FloatArray, corners: Corners
) -> tuple[shapely.Polygon, float]:
    """Return the polygon in longitude and latitude, and its acres."""
    edge = xy if corners == "straight" else _curved(xy)
    lon, lat = frame.lonlat(edge[:, 0], edge[:, 1])
    polygon = shapely.Polygon(np.column_stack([lon, lat]))
    return polygon, float(area_m2(np.array([polygon], dtype=object))[0]) / ACRE_M2


def _curved(xy: FloatArray) -> FloatArray:
    """Return the edge with each side bowed by the turns at its ends: sagitta c θ / 8."""
    ahead = np.roll(xy, -1, axis=0) - xy
    back = xy - np.roll(xy, 1, axis=0)
    turn = np.arctan2(
        back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0], (back * ahead).sum(axis=1)
    )
    mean_turn = (turn + np.roll(turn, -1)) / 2.0
    along = np.linspace(0.0, 1.0, CURVE_POINTS, endpoint=False)
    bow = 4.0 * along * (1.0 - along)  # a parabola: two thirds of chord times sagitta
    right = np.column_stack([ahead[:, 1], -ahead[:, 0]])  # as long as the chord
    sagitta = right * mean_turn[:, None] / 8.0
    points = (
        xy[:, None, :]
        + along[None, :, None] * ahead[:, None, :]
        + bow[None, :, None] * sagitta[:, None, :]
    )
    edge: FloatArray = points.reshape(-1, 2)
    return edge


def _area_sd_m2(
    xy: FloatArray, visits: FloatArray, time_s: FloatArray, sigma_m: float
) -> float:
    """Return one standard deviation of the acreage between pins. [m²]"""
    sigma = sigma_m / np.sqrt(visits)
    across = np.roll(xy, -1, axis=0) - np.roll(xy, 1, axis=0)
    alone = 0.25 * (sigma**2 * (across**2).sum(axis=1)).sum()
    timed = bool(np.isfinite(time_s).all())
    drift = (
        (sigma_m * unit_area_sd(xy, time_s)) ** 2 if timed and (visits == 1).all() else 0.0
    )
    second = 0.5 * (sigma**2 * np.roll(sigma, 1) ** 2).sum()
    return float(np.sqrt(max(alone, drift) + second))


def _notes(
    pins: int, corners: int, order: Order, acres: float, source: str, name: str
) -> tuple[Note, ...]:
    notes = []
    if pins > corners:
        notes.append(
            Note(
                "pins-averaged",
                f"{pins} pins stand for {corners} corners; those within {feet(ONE_CORNER_M / FT_M)} of "
                "each other were averaged.",
                "info", source, name or None,
            )
        )  # fmt: skip
    if order in ("ring", "file"):
        notes.append(
            Note(
                "pins-order-guessed",
                f"its {pins} pins were taken in order of {order}, {acres_words(acres)}; another order goes round "
                "other ground",
                "warning" if order == "ring" else "caution", source, name or None,
                more="look at it on the map.",
            )
        )  # fmt: skip
    return tuple(notes)
