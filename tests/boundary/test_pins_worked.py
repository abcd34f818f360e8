"""Ground between pins as worked by hand: its order, curves, pins of one corner, and its ±."""

import math

import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.error import unit_area_sd
from quietacre.boundary.pins import ground_between
from quietacre.errors import FileProblem
from quietacre.model import Waypoint
from quietacre.units import ACRE_M2, FT_M

FRAME = LocalFrame(-86.3, 33.2)
NAN = float("nan")


def pins(xy, names=None, times=None):
    lon, lat = FRAME.lonlat(*np.array(xy, float).T)
    names = names or [str(n + 1) for n in range(len(xy))]
    times = times or [NAN] * len(xy)
    rows = zip(names, lon, lat, times, strict=True)
    return [Waypoint(name, "p.gpx", float(x), float(y), time) for name, x, y, time in rows]


def disk(count, radius=80.0):
    at = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return radius * np.column_stack([np.cos(at), np.sin(at)])


#: Five corners of a field 100 m wide, its top edge with a notch in the middle.
FIELD = [(0, 0), (100, 0), (100, 100), (50, 60), (0, 100)]
FIELD_AC = (100 * 100 - 0.5 * 100 * 40) / ACRE_M2


def test_acres_perimeter_and_words_of_straight_sides():
    made = ground_between(pins(FIELD), corners="straight")
    assert made.acres == pytest.approx(FIELD_AC, rel=1e-5)
    around = 100 + 100 + 100 + 2 * math.hypot(50, 40)
    assert made.perimeter_ft * FT_M == pytest.approx(around, rel=1e-5)
    assert made.method == "5 pins, straight between them, in order of number"
    assert (made.acres_low + made.acres_high) / 2 == pytest.approx(made.acres)


@pytest.mark.parametrize("count", [8, 12, 30])
def test_a_round_field_of_pins_has_its_circles_acres_in_a_curve(count):
    """π r² in a curve; n r² sin(2π/n) / 2 in straight sides."""
    curved = ground_between(pins(disk(count)), corners="curved")
    straight = ground_between(pins(disk(count)), corners="straight")
    assert curved.acres == pytest.approx(math.pi * 80**2 / ACRE_M2, rel=0.012)
    polygon = count * 80**2 * math.sin(2 * math.pi / count) / 2 / ACRE_M2
    assert straight.acres == pytest.approx(polygon, rel=1e-5)
    # the arc's correction is not known wholly: its fifth stands in the ±
    extra = 0.2 * (curved.acres - straight.acres)
    half = [(one.acres_high - one.acres_low) / 2 / 1.96 for one in (straight, curved)]
    assert half[1] == pytest.approx(math.hypot(half[0], extra), rel=1e-3)


def test_a_hollow_side_is_hollow_in_a_curve_too():
    kidney = [
        (0, 0),
        (100, 0),
        (130, 50),
        (100, 100),
        (70, 75),
        (30, 75),
        (0, 100),
        (-30, 50),
    ]
    curved = local(ground_between(pins(kidney), corners="curved").polygon)
    assert curved.is_valid
    other = local(
        ground_between(pins([(-x, y) for x, y in kidney]), corners="curved").polygon
    )
    mirrored = shapely.transform(other, lambda xy: xy * (-1, 1))
    assert curved.symmetric_difference(mirrored).area < 1.0
    straight = shapely.Polygon(kidney)
    assert curved.difference(straight).area > 300, "round sides bulge out"
    assert straight.difference(curved).area > 20, "and the hollow one in"


def local(shape):
    return FRAME.to_local(np.array([shape], dtype=object))[0]


# which follows which


def shuffled(xy, by, **more):
    row = [3, 0, 4, 1, 2]
    made = pins([xy[n] for n in row], **{k: [v[n] for n in row] for k, v in more.items()})
    return ground_between(made, corners="straight", order=by)


def test_the_order_is_that_of_times_then_of_numbers():
    times = [10.0, 20.0, 30.0, 40.0, 50.0]
    words = ["gate", "oak", "creek", "notch", "post"]
    timed = shuffled(FIELD, None, names=words, times=times)
    assert (timed.order, timed.acres) == ("time", pytest.approx(FIELD_AC, rel=1e-5))
    numbered = shuffled(FIELD, None, names=["P1", "P2", "P9", "P10", "P11"])
    assert (numbered.order, numbered.acres) == ("number", pytest.approx(FIELD_AC, rel=1e-5))
    both = shuffled(FIELD, "number", names=["1", "2", "3", "4", "5"], times=times)
    assert both.order == "number"
    with pytest.raises(FileProblem, match="have no times and no numbers"):
        shuffled(FIELD, None, names=words)
    with pytest.raises(FileProblem, match="have no time of their own"):
        shuffled(FIELD, "time", names=words, times=[10.0, 10.0, 30.0, 40.0, 50.0])
    with pytest.raises(FileProblem, match="have no number of their own"):
        shuffled(FIELD, "number", names=words)


def test_a_ring_without_crossings_finds_a_field_that_bulges_everywhere():
    """Of pins on a lobed edge in any order the short ring is the edge."""
    rng = np.random.default_rng(4)
    edge = (
        disk(14)
        * (1 + 0.15 * np.cos(3 * np.linspace(0, 2 * np.pi, 14, endpoint=False)))[:, None]
    )
    true = ground_between(pins(edge), corners="straight").acres
    for _ in range(5):
        row = rng.permutation(14)
        names = ["x"] * 14
        got = ground_between(pins(edge[row], names=names), corners="straight", order="ring")
        assert got.acres == pytest.approx(true, rel=1e-6)
        assert [(note.code, note.level) for note in got.notes] == [
            ("pins-order-guessed", "warning")
        ]


def test_the_order_of_the_file_is_taken_as_it_is_and_crossing_is_refused():
    names = ["a", "b", "c", "d", "e"]
    made = ground_between(pins(FIELD, names=names), corners="straight", order="file")
    assert (made.order, made.notes[0].level) == ("file", "caution")
    with pytest.raises(FileProblem, match="crosses itself"):
        shuffled(FIELD, "file", names=names)


# pins of one corner


def test_pins_within_five_metres_are_one_corner_and_their_mean_is_taken():
    twice = [*FIELD[:2], (104, 0), *FIELD[2:]]
    made = ground_between(pins(twice), corners="straight")
    assert made.pins == 5
    # the corner moves 2 m east: a triangle of 2 m by 100
    assert made.acres == pytest.approx(FIELD_AC + 0.5 * 2 * 100 / ACRE_M2, rel=1e-4)
    apart = ground_between(pins([*FIELD[:2], (106, 0), *FIELD[2:]]), corners="straight")
    assert apart.pins == 6


def test_the_round_may_end_on_the_pin_it_began_with():
    made = ground_between(pins([*FIELD, (0, 4)]), corners="straight")
    assert made.pins == 5
    assert ground_between(pins([*FIELD, (0, 6)]), corners="straight").pins == 6
    triangle = [(0, 0), (100, 0), (2, 3)]
    with_three = ground_between(pins(triangle), corners="straight")
    assert with_three.pins == 3, "three are too few to join any"


def test_a_corner_marked_twice_is_known_better():
    """√2 a σ for a square; each corner's σ over √2 where it was marked twice."""
    square = [(0, 0), (100, 0), (100, 100), (0, 100)]
    once = ground_between(pins(square), corners="straight", sky="open")
    both = ground_between(
        pins([one for corner in square for one in (corner, corner)]),
        corners="straight",
        sky="open",
    )
    half = [(one.acres_high - one.acres_low) / 2 for one in (once, both)]
    assert half[0] == pytest.approx(1.96 * math.sqrt(2) * 100 * 2.0 / ACRE_M2, rel=0.01)
    assert half[1] == pytest.approx(half[0] / math.sqrt(2), rel=0.01)
    worse = ground_between(pins(square), corners="straight", sky="canopy")
    assert (worse.acres_high - worse.acres) / half[0] == pytest.approx(4.5 / 2.0, rel=0.01)


def test_on_a_small_corner_the_pins_own_errors_weigh_by_their_squares_too():
    """A square of 8 m whose pins are off by 2 m: 2 a² σ² is 512 m⁴, and 2 σ⁴ another 32."""
    small = ground_between(
        pins([(0, 0), (8, 0), (8, 8), (0, 8)]), corners="straight", sky="open"
    )
    wanted = 1.96 * math.sqrt(2 * 8**2 * 2**2 + 0.5 * 4 * 2**4) / ACRE_M2
    assert small.acres_high - small.acres == pytest.approx(wanted, rel=1e-3)
    assert small.acres_low == pytest.approx(max(small.acres - wanted, 0.0), abs=1e-5)


def test_pins_taken_one_after_another_err_together():
    """Drift that lasts a minute: of corners marked seconds apart the errors are shared."""
    square = [(0, 0), (100, 0), (100, 100), (0, 100)]
    slow = ground_between(
        pins(square, times=[0.0, 600.0, 1200.0, 1800.0]), corners="straight"
    )
    untimed = ground_between(pins(square), corners="straight")
    assert slow.acres_high == pytest.approx(untimed.acres_high, rel=1e-3)


@pytest.mark.parametrize("each", [1, 2])
def test_many_pins_a_few_seconds_apart_share_their_drift(each):
    """As a walk's fixes do, but where a corner was marked twice: then each errs by itself."""
    edge = np.repeat(disk(60), each, axis=0)
    times = [6.0 * n for n in range(len(edge))]
    made = ground_between(pins(edge, times=times), corners="straight", sky="open")
    sigma = 2.0 / math.sqrt(each)
    across = 2 * 80 * math.sin(2 * math.pi / 60)
    alone = 0.25 * sigma**2 * 60 * across**2
    drift = (2.0 * unit_area_sd(disk(60), 6.0 * np.arange(60))) ** 2
    assert drift > 2 * alone
    variance = (drift if each == 1 else alone) + 0.5 * 60 * sigma**4
    half = (made.acres_high - made.acres_low) / 2
    assert half == pytest.approx(1.96 * math.sqrt(variance) / ACRE_M2, rel=2e-3)


@pytest.mark.parametrize(
    "edge",
    [
        [(0, 0), (120, 0), (120, 80), (80, 80), (80, 40), (40, 40), (40, 80), (0, 80)],
        [(0, 0), (60, 0), (60, 60), (120, 60), (120, 100), (20, 100), (20, 40), (0, 40)],
    ],
    ids=["horseshoe", "two steps"],
)
def test_a_short_ring_is_found_where_the_order_by_angle_is_another(edge):
    """A pin each 20 m; round the middle by angle they enclose other ground."""
    ring = shapely.LinearRing(edge)
    some = [ring.interpolate(at).coords[0] for at in range(0, round(ring.length), 20)]
    row = np.random.default_rng(2).permutation(len(some))
    mixed = pins([some[n] for n in row], names=["x"] * len(some))
    made = ground_between(mixed, corners="straight", order="ring")
    assert made.acres == pytest.approx(shapely.Polygon(edge).area / ACRE_M2, rel=1e-4)


@pytest.mark.parametrize("count", [1, 2])
def test_fewer_than_three_corners_are_refused(count):
    few = pins(FIELD)[:count]
    for name, where in (("North corner", "North corner"), (few[0].source, None)):
        with pytest.raises(FileProblem) as told:
            ground_between(few, corners="straight", order="file", name=name)
        assert told.value.where == where
