"""Pins of a field, each step alone: rings, curves, corners marked twice, and what is asked."""

import itertools
import math

import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.boundary import pins as ground
from quietacre.boundary.pins import ground_between
from quietacre.chance import Z95
from quietacre.errors import FileProblem
from quietacre.figures import printed
from quietacre.model import Note, Waypoint
from quietacre.units import ACRE_M2

NAN = float("nan")
FRAME = LocalFrame(-86.3, 33.2)


def pins(xy, names=None, times=None, frame=FRAME):
    lon, lat = frame.lonlat(*np.array(xy, float).T)
    names = names or [str(n + 1) for n in range(len(xy))]
    times = times or [NAN] * len(xy)
    rows = zip(names, lon, lat, times, strict=True)
    return [Waypoint(name, "p.gpx", float(x), float(y), time) for name, x, y, time in rows]


def box(side):
    return [(0, 0), (side, 0), (side, side), (0, side)]


# a curve


def bowed(corners, turns_deg):
    """Each side in eight, a parabola of a sagitta of chord · mean turn / 8 to the right."""
    edge = []
    for n, start in enumerate(corners):
        end = corners[(n + 1) % len(corners)]
        turn = math.radians(turns_deg[n] + turns_deg[(n + 1) % len(corners)]) / 2
        chord = math.dist(start, end)
        out = np.array([end[1] - start[1], start[0] - end[0]]) / chord
        for k in range(8):
            far = 4 * (k / 8) * (1 - k / 8) * chord * turn / 8
            edge.append(np.add(start, np.subtract(end, start) * k / 8) + far * out)
    return np.array(edge)


def test_the_sides_of_a_curve_are_bowed_by_the_turns_at_their_ends():
    triangle = [(0, 0), (100, 0), (0, 100)]
    assert ground._curved(np.array(triangle, float)) == pytest.approx(
        bowed(triangle, [90, 135, 135])
    )
    # the other way round the same edge
    back = [(0, 0), (0, 100), (100, 0)]
    assert ground._curved(np.array(back, float)) == pytest.approx(
        bowed(back, [-90, -135, -135])
    )
    # a hollow corner bows its two sides by less
    arrow = [(0, 0), (100, 0), (100, 100), (60, 40), (0, 40)]
    lean = math.degrees(math.atan2(60, 40))
    turns = [90, 90, 90 + lean, -lean, 90]
    assert ground._curved(np.array(arrow, float)) == pytest.approx(bowed(arrow, turns))


def test_a_curved_field_is_that_edge_on_the_ground():
    made = ground_between(pins(box(100)), corners="curved", name="Bench")
    edge = np.column_stack(FRAME.xy(*shapely.get_coordinates(made.polygon).T))
    assert edge[:-1] == pytest.approx(bowed(box(100), [90] * 4), abs=0.01)
    assert made.method == "4 pins, curved between them, in order of number"
    # two thirds of chord times sagitta on each side
    wanted = shapely.Polygon(bowed(box(100), [90] * 4)).area
    assert made.acres == pytest.approx(wanted / ACRE_M2, rel=1e-4)


# rings


def around(order, xy):
    return sum(
        math.dist(xy[a], xy[b]) for a, b in zip(order, order[1:] + order[:1], strict=True)
    )


def test_a_ring_is_the_shortest_in_metres_not_in_degrees():
    """At 60 north a degree east is half a degree north: the pin within is nearest to the east."""
    far_north = LocalFrame(-86.3, 60.0)
    xy = [(-100, -100), (50, 40), (100, -100), (-100, 100), (100, 100)]
    order = ground._ring_without_crossings(pins(xy, frame=far_north))
    shortest = min(
        ([0, *rest] for rest in itertools.permutations(range(1, 5))),
        key=lambda row: around(row, xy),
    )
    assert around(order, xy) == pytest.approx(around(shortest, xy))
    beside = {order[order.index(1) - 1], order[(order.index(1) + 1) % 5]}
    assert beside == {2, 4}


@pytest.mark.parametrize("seed", range(8))
def test_seven_pins_anywhere_are_the_shortest_of_all_their_rings(seed):
    xy = np.random.default_rng(seed).uniform(0, 300, (7, 2)).tolist()
    order = ground._ring_without_crossings(pins(xy))
    shortest = min(around([0, *rest], xy) for rest in itertools.permutations(range(1, 7)))
    assert around(order, xy) == pytest.approx(shortest)


@pytest.mark.parametrize("seed", range(4))
def test_no_two_sides_of_an_undone_ring_can_be_turned_into_shorter_ones(seed):
    xy = np.random.default_rng(seed).uniform(0, 100, (12, 2))
    apart = np.hypot(*(xy[:, None] - xy[None, :]).transpose(2, 0, 1)).tolist()
    row = ground._undone(list(range(12)), apart)
    assert sorted(row) == list(range(12))
    for one in range(11):
        for two in range(one + 2, 12):
            turned = row[: one + 1] + row[one + 1 : two + 1][::-1] + row[two + 1 :]
            assert around(turned, xy) > around(row, xy) - 1e-9


def test_the_nearest_pin_comes_next_and_of_two_as_near_the_first():
    apart = [[0, 3, 1, 1], [3, 0, 2, 4], [1, 2, 0, 2], [1, 4, 2, 0]]
    assert ground._nearest_next(apart, 0) == [0, 2, 1, 3]
    assert ground._nearest_next(apart, 3) == [3, 0, 2, 1]


def test_numbers_in_a_name_are_read_in_their_order():
    assert ground._numbers("Row 2, pin 10b") == (2, 10)
    assert ground._numbers("gate") == ()


# pins of one corner


def test_pins_of_a_corner_are_averaged_with_the_time_of_the_first():
    """Exactly five metres off is the same corner; the round ends where it began."""
    corner = [(0, 0), (3, 4), (100, 0), (100, 100), (105.5, 100), (0, 100), (0.5, 1)]
    made = pins(corner, times=[10.0, 12, 20, 30, 33, 50, 60], frame=Flat())
    xy, visits, times = ground._corners_of(made, Flat())
    assert xy == pytest.approx(
        np.array([(3.5 / 3, 5 / 3), (100, 0), (100, 100), (105.5, 100), (0, 100)])
    )
    assert visits.tolist() == [3, 1, 1, 1, 1]
    assert times.tolist() == [10, 20, 30, 33, 50]
    # the mean of two pins, not the last of them, is what the next lies beside
    drift = pins([(0, 0), (4, 0), (6.9, 0), (100, 0), (100, 100), (0, 7)], frame=Flat())
    xy, visits, _ = ground._corners_of(drift, Flat())
    assert visits.tolist() == [3, 1, 1, 1]
    assert np.isfinite(xy).all()
    # exactly five metres from the first corner closes it; of three corners none is joined
    closing = pins([(0, 0), (100, 0), (100, 100), (3, 4)], frame=Flat())
    assert ground._corners_of(closing, Flat())[1].tolist() == [2, 1, 1]
    assert (
        len(ground._corners_of(pins([(0, 0), (100, 0), (3, 4)], frame=Flat()), Flat())[0])
        == 3
    )


class Flat:
    """A frame whose degrees are metres."""

    def xy(self, x, y):
        return x, y

    def lonlat(self, x, y):
        return x, y


# the ±


def test_corners_marked_so_many_times_err_by_the_root_of_it():
    """¼ Σ σ² d², d between the corners beside; and ½ Σ σ⁴ of neighbors."""
    xy = np.array(box(100), float)
    visits = np.array([1.0, 4.0, 1.0, 9.0])
    found = ground._area_sd_m2(xy, visits, np.arange(4) * 600.0, 2.0)
    sigma = [2, 1, 2, 2 / 3]
    alone = 0.25 * sum(s**2 * 2 * 100**2 for s in sigma)
    second = 0.5 * sum((a * b) ** 2 for a, b in itertools.pairwise([*sigma, sigma[0]]))
    assert found == pytest.approx(math.sqrt(alone + second), rel=1e-12)


def test_a_field_within_its_own_error_has_at_least_no_acres():
    """6 m by 6 m: √2 · 6 · 4.5 m² and more."""
    made = ground_between(pins(box(6)), corners="straight", sky="canopy", order="file")
    sd_m2 = math.sqrt(2 * 6**2 * 4.5**2 + 0.5 * 4 * 4.5**4)
    assert made.acres_low == 0.0
    assert (made.acres_high - made.acres) * ACRE_M2 == pytest.approx(Z95 * sd_m2, rel=1e-3)
    assert made.sigma_m == 4.5


# what is asked and said


def asked(xy, *, names=None, **more):
    with pytest.raises(FileProblem) as told:
        ground_between(pins(xy, names=names), **more)
    return told.value


@pytest.mark.parametrize(("name", "where"), [("Bench", "Bench"), ("p.gpx", None)])
def test_what_cannot_be_known_is_asked_for_with_where_it_stands(name, where):
    few = asked(box(100)[:2], corners="straight", name=name)
    assert (
        str(few)
        == f"p.gpx: {where + ': ' if where else ''}has 2 corners; mark at least three"
    )
    crossed = asked([(0, 0), (100, 100), (100, 0), (0, 100)], corners="curved", name=name)
    assert (crossed.source, crossed.where) == ("p.gpx", where)
    assert crossed.what == "in order of number the edge between its pins crosses itself"
    which = asked(box(100), corners=None, name=name)
    assert (which.source, which.where) == ("p.gpx", where)
    curved = shapely.Polygon(bowed(box(100), [90] * 4)).area / ACRE_M2
    assert printed(which.what) == (
        "holds only waypoints, 4 pins: does the edge run straight between them "
        f"({1e4 / ACRE_M2:.2f} ac) or in a curve ({curved:.2f} ac)?"
    )
    none = asked(box(100), names=["gate"] * 4, corners="straight", name=name)
    assert (none.source, none.where) == ("p.gpx", None)


def test_what_is_said_of_pins_averaged_and_put_in_order():
    assert ground._notes(4, 4, "number", 1.0, "p.gpx", "Bench") == ()
    assert ground._notes(4, 4, "time", 1.0, "p.gpx", "Bench") == ()
    averaged, guessed = ground._notes(6, 4, "ring", 1.234, "p.gpx", "")
    assert averaged.text == (
        "6 pins stand for 4 corners; those within 16 ft of each other were averaged."
    )
    assert (averaged.code, averaged.level, averaged.source, averaged.feature) == (
        "pins-averaged", "info", "p.gpx", None,
    )  # fmt: skip
    assert guessed.text == (
        "its 6 pins were taken in order of ring, 1.23 ac; another order goes round other ground: "
        "look at it on the map."
    )
    assert (guessed.code, guessed.level, guessed.feature) == (
        "pins-order-guessed", "warning", None,
    )  # fmt: skip
    (by_file,) = ground._notes(4, 4, "file", 1.0, "p.gpx", "Bench")
    assert isinstance(by_file, Note)
    assert (by_file.level, by_file.feature) == ("caution", "Bench")
