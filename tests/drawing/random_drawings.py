"""Random scripts of drawing operations: rings valid, acres kept, every refusal one line.

Run: ``python tests/drawing/random_drawings.py [--scripts 2000] [--seed 1]``. A script draws two
or three neighbors somewhere on Earth, then splits, cuts, joins, clips, lets edges follow each
other, straightens, trims, and takes some of it back; lines that miss, rings that cross and
pieces that do not touch are among it. After each operation every ring must be valid, a split
must hold the acres there were, and pieces joined again must hold them too. Ends with 1 when one
does not; the seed of each script is printed with it.
"""

from __future__ import annotations

import sys
from collections import Counter

import numpy as np
import shapely
from random_scripts import play

from quietacre.acreage.equal_area import perimeter_m
from quietacre.drawing.cut import clip, hole, split, without
from quietacre.drawing.follow import follow
from quietacre.drawing.join import join
from quietacre.drawing.sheet import acres_of, polygons_of, rings_of
from quietacre.drawing.stretch import straighten, strip_along, trim
from quietacre.errors import BadInput
from quietacre.units import ACRE_M2

KEPT_SHARE = 1e-9
#: A coordinate of 180 degrees is told to about this. [m]
ROUNDING_M = 4e-9
#: Straight on the sheet and straight on the ground lie so far apart over miles. [m]
BOW_M = 1e-3
STEPS = 8
DEG_M, EARTH_M = 111_400.0, 6_371_000.0


class WrongError(Exception):
    """What an operation made is not what it must be."""


class Field:
    """Random lines and rings about one place, in metres from it."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.lon = float(self.rng.choice([self.rng.uniform(-179, 179), 179.9995]))
        self.lat = float(self.rng.uniform(-62, 62))
        self.size_m = float(10 ** self.rng.uniform(1.6, 3.2))

    def ground(self, xy: np.ndarray) -> np.ndarray:
        wide = DEG_M * np.cos(np.radians(self.lat))
        return np.asarray(xy) / (wide, DEG_M) + (self.lon, self.lat)

    def star(self, x: float = 0.0, y: float = 0.0, size: float = 1.0) -> shapely.Polygon:
        count = int(self.rng.integers(3, 25))
        turn = np.sort(self.rng.uniform(0, 2 * np.pi, count))
        far = size * self.rng.uniform(0.45, 1.0, count)
        xy = np.column_stack([x + far * np.cos(turn), y + far * np.sin(turn)]) * self.size_m
        return shapely.Polygon(self.ground(xy))

    def neighbors(self) -> list[shapely.Geometry]:
        """Return two fields that share a wavering edge, some feet apart or none, and a star."""
        gap = self.rng.choice([0.0, self.rng.uniform(0.0, 6.0) / self.size_m])
        y = np.linspace(-1, 1, int(self.rng.integers(2, 8)))
        edge = np.column_stack([self.rng.normal(0, 0.05, len(y)), y])
        left = np.vstack([edge, [[-1.5, 1], [-1.5, -1]]])
        right = np.vstack([edge + [gap, 0.0], [[1.5, 1], [1.5, -1]]])
        two = [shapely.Polygon(self.ground(xy * self.size_m)) for xy in (left, right)]
        return [one for one in (*two, self.star(size=2.0)) if one.is_valid and one.area > 0]

    def line(self) -> shapely.LineString:
        turn, off = self.rng.uniform(0, np.pi), self.rng.uniform(-1.2, 1.2)
        way = np.array([np.cos(turn), np.sin(turn)])
        at = np.linspace(-self.rng.choice([3.0, 0.5]), 3, int(self.rng.integers(2, 6)))
        xy = at[:, None] * way + off * np.array([-way[1], way[0]])
        xy[1:-1] += self.rng.normal(0, 0.1, (len(xy) - 2, 2))
        return shapely.LineString(self.ground(xy * self.size_m))

    def place_on(self, shape: shapely.Geometry) -> tuple[float, float]:
        ring = shapely.get_parts(shape)[0].exterior
        point = ring.interpolate(self.rng.uniform(), normalized=True)
        return point.x, point.y


def longest_m(shape: shapely.Geometry) -> float:
    """Return the length of the longest edge, a little more than less. [m]"""
    sides = []
    for ring in shapely.get_rings(shapely.get_parts(shape)):
        xy = shapely.get_coordinates(ring)
        wide = np.cos(np.radians(xy[:, 1].mean()))
        sides.append(np.hypot(*(np.diff(xy, axis=0) * (wide, 1.0)).T).max())
    return float(max(sides)) * DEG_M


def kept(what: str, made: float, before: float, shapes: list[shapely.Geometry]) -> None:
    """Raise when acres were not kept, beyond what the digits of a place can tell."""
    length = float(perimeter_m(np.array(shapes, dtype=object)).sum())
    # the series of an area is good to about L⁵/R³ on an edge L long: 0.001 m² at two miles
    series_m2 = max(map(longest_m, shapes)) ** 5 / EARTH_M**3
    most = KEPT_SHARE * before + (ROUNDING_M * length + series_m2) / ACRE_M2
    if abs(made - before) > most:
        message = f"{what}: {made!r} ac of {before!r} ac ({made / before - 1:.2e})"
        raise WrongError(message)


def sound(shape: shapely.Geometry) -> None:
    """Raise when a shape is no valid ground, or its rings do not come back as they are."""
    if not shape.is_valid or shape.is_empty or shape.area <= 0:
        message = f"not valid: {shapely.is_valid_reason(shape)}"
        raise WrongError(message)
    if not polygons_of(rings_of(shape)).equals(shape):
        message = "its rings do not come back as they are"
        raise WrongError(message)


def one_operation(field: Field, pieces: list[shapely.Geometry]) -> tuple[str, list]:
    """Return the name of an operation on the first pieces, and the pieces after it."""
    rng = field.rng
    one, *rest = pieces
    what = str(rng.choice(
        ["split", "hole", "join", "clip", "follow", "straighten", "trim", "without", "road", "crossing"],
        p=[0.26, 0.08, 0.2, 0.05, 0.14, 0.1, 0.06, 0.04, 0.04, 0.03],
    ))  # fmt: skip
    if what == "split":
        made = split(one, field.line())
        kept("split", sum(made.acres), made.before_ac, [one, *made.pieces])
        again = join(made.pieces)
        kept("joined again", again.acres[0], made.before_ac, [one, *made.pieces])
        return what, [*made.pieces, *rest]
    if what == "join":
        made = join(pieces[:2])
        apart = shapely.intersection(*pieces[:2]).area == 0
        if apart and made.acres[0] > made.before_ac * (1 + 1e-3):
            message = f"join made ground: {made.acres[0]!r} of {made.before_ac!r}"
            raise WrongError(message)
        return what, [*made.pieces, *pieces[2:]]
    if what == "hole":
        made = hole(one, field.star(*rng.uniform(-1, 1, 2), size=rng.uniform(0.02, 0.6)))
        if made.acres[0] >= made.before_ac:
            message = "a hole took nothing"
            raise WrongError(message)
    elif what == "clip":
        made = clip(one, field.star(size=3.0))
    elif what == "follow":
        made = follow(one, rest, float(10 ** rng.uniform(0, 2)))
        change = abs(made.acres[0] - made.before_ac)
        bow = BOW_M * float(perimeter_m(np.array([one], dtype=object))[0]) / ACRE_M2
        if change > made.moved_ac * (1 + 1e-6) + bow:
            message = f"moved {made.moved_ac!r} ac, changed by {change!r}"
            raise WrongError(message)
    elif what == "straighten":
        made = straighten(one, field.place_on(one), field.place_on(one))
    elif what == "trim":
        made = trim(
            one, spur_ft=float(rng.uniform(0, 60)), notch_ft=float(rng.uniform(0, 60))
        )
    elif what == "without":
        made = without(one, rest)
    elif what == "road":
        made = strip_along(field.line(), float(rng.uniform(5, 40)))
        return what, [one, *rest, *made.pieces]
    else:
        star = shapely.get_coordinates(field.star())[:-1]
        polygons_of([[rng.permutation(star).tolist()]])
        return what, pieces
    return what, [*made.pieces, *rest]


def run_script(seed: int) -> Counter[str]:
    """Return how often each operation was done or refused in one script.

    Raises
    ------
    WrongError
        One made what it must not.
    """
    field = Field(seed)
    pieces: list[shapely.Geometry] = field.neighbors()
    before = [pieces]
    done: Counter[str] = Counter()
    for _ in range(STEPS):
        if field.rng.uniform() < 0.15 and len(before) > 1:
            before.pop()
            pieces = before[-1]
            done["undo"] += 1
            continue
        field.rng.shuffle(pieces := list(pieces))
        bytes_before = [shapely.to_wkb(one) for one in pieces]
        try:
            what, after = one_operation(field, pieces)
            done[what] += 1
        except BadInput as problem:
            after = pieces
            done["refused"] += 1
            if "\n" in str(problem) or not str(problem).strip() or len(str(problem)) > 400:
                message = f"refused in other than one line: {problem!s}"
                raise WrongError(message) from problem
        if [shapely.to_wkb(one) for one in pieces] != bytes_before:
            message = "an operation changed what it was given"
            raise WrongError(message)
        for one in after:
            sound(one)
        pieces = [one for one in after if acres_of([one])[0] > 1e-3] or after  # noqa: PLR2004
        before.append(pieces)
    return done


def main() -> int:
    """Run scripts, print what was done, return 1 when one went wrong."""
    return play(__doc__, run_script, 2000)


if __name__ == "__main__":
    sys.exit(main())
