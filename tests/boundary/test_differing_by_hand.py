"""Readings of one edge that differ: laps of each way round, the ± that holds all, what is said."""

import math

import numpy as np
import pytest
import shapely

from quietacre.boundary.average import Averaged, Lap
from quietacre.boundary.differ import (
    OtherReading,
    differ_note,
    holding,
    lap_acres,
    ways_round,
)
from quietacre.boundary.plane import Plane
from quietacre.boundary.why import Term
from quietacre.figures import printed
from quietacre.units import ACRE_M2

PLANE = Plane(-86.3, 33.2)
MIDDLE = shapely.Point(-86.3, 33.2)


def ring(wide, tall=100.0):
    return np.array([(0.0, 0), (wide, 0), (wide, tall), (0, tall)])


def laps(*of):
    each = tuple(Lap(one, same_way=same) for one, same in of)
    return Averaged(of[0][0], np.arange(4.0), np.zeros(0), float(len(of)), each)


def test_laps_of_each_way_round_are_a_reading_of_their_mean():
    mean = laps((ring(100), True), (ring(110), False), (ring(104), True), (ring(102), True))
    one, other = ways_round(mean, PLANE)
    assert (one.what, one.laps) == ("3 laps the way it began", 3)
    assert one.acres == pytest.approx(102 * 100 / ACRE_M2)
    assert PLANE.local(one.polygon).equals_exact(shapely.Polygon(ring(102)), 1e-6)
    assert (other.what, other.laps) == ("a lap the other way round", 1)
    assert other.acres == pytest.approx(110 * 100 / ACRE_M2)
    assert PLANE.local(other.polygon).equals_exact(shapely.Polygon(ring(110)), 1e-6)
    assert [round(ac * ACRE_M2) for ac in lap_acres(mean)] == [
        10_000,
        11_000,
        10_400,
        10_200,
    ]
    two = laps((ring(100), True), (ring(110), False), (ring(106), False))
    assert [one.what for one in ways_round(two, PLANE)] == [
        "a lap the way it began", "2 laps the other way round",
    ]  # fmt: skip


def test_laps_that_all_go_one_way_or_enclose_nothing_are_no_readings():
    assert ways_round(laps((ring(100), True), (ring(104), True)), PLANE) == ()
    assert ways_round(laps((ring(100), False)), PLANE) == ()
    line = np.array([(0.0, 0), (10, 0), (20, 0), (10, 0)])
    assert ways_round(laps((ring(100), True), (line, False)), PLANE) == ()
    # against the clock or with it a lap encloses as much
    assert lap_acres(laps((ring(100)[::-1], True))) == [pytest.approx(1e4 / ACRE_M2)]


def test_a_range_that_leaves_a_reading_out_is_made_to_hold_it():
    terms = (Term("drift", "d", 0.3, 0.0, "s"), Term("edge", "e", 0.4, 1.0, "s"))
    assert holding(10.0, [], terms) == terms
    assert holding(10.0, [10.49, 9.51], list(terms)) == terms
    wider = holding(10.0, [9.2, 10.7], terms)
    assert wider[:2] == terms
    last = wider[2]
    assert (last.code, last.common, last.source) == (
        "readings",
        1.0,
        "what was read of this edge",
    )
    assert last.half_ac == pytest.approx(math.sqrt(0.8**2 - 0.5**2))
    assert printed(last.text) == "readings that differ, the farthest by 0.80 ac"


def reading(acres, what):
    return OtherReading(what, acres, shapely.box(0, 0, 1, 1))


def note_of(acres, sds, source="w.gpx", name="W"):
    readings = [reading(ac, f"no. {n}") for n, ac in enumerate(acres)]
    return differ_note(readings, sds, source=source, name=name, middle=MIDDLE)


def test_a_reading_rests_on_a_lap_unless_more_are_told():
    assert reading(1.0, "a").laps == 1.0


@pytest.mark.parametrize(
    ("acres", "sds", "level"),
    [
        ((30.0, 31.25), (0.3, 0.4), None),  # two and a half of √(0.3² + 0.4²)
        ((30.0, 31.26), (0.3, 0.4), "caution"),
        ((49.0, 50.0), (0.0, 0.0), None),  # a fiftieth of the larger
        ((48.9, 50.0), (0.0, 0.0), "caution"),
        ((9.0, 4.5, 6.0), (0.1, 0.1, 9.0), "warning"),
        ((9.0, 4.5, 6.0), (0.1, 9.0, 0.1), None),
        ((9.0, 4.5, 6.0), (9.0, 0.1, 0.1), None),
        ((9.0,), (0.1,), None),
    ],
)
def test_the_farthest_two_differ_by_more_than_chance(acres, sds, level):
    notes = note_of(acres, sds)
    assert [note.level for note in notes] == ([level] if level else [])


@pytest.mark.parametrize(("high", "level"), [(21.0, "caution"), (21.1, "warning")])
def test_what_is_said_of_readings_that_differ(high, level):
    """Louder where the larger is more than a twentieth larger than the smaller."""
    (note,) = note_of((high, 20.0), (0.1, 0.1), source="", name="")
    assert (note.code, note.level, note.source, note.feature, note.lon, note.lat) == (
        "readings-differ", level, None, None, -86.3, 33.2,
    )  # fmt: skip
    assert printed(note.head) == (
        "readings of this edge differ by more than chance: 20.00 ac (no. 1) and "
        f"{high:.2f} ac (no. 0)"
    )
    assert note.more == "Both are drawn in the picture, and the ± holds both."
    assert note.help == ("look where they part, and leave out the one that went wrong",)
    (named,) = note_of((high, 20.0), (0.1, 0.1))
    assert (named.source, named.feature) == ("w.gpx", "W")
