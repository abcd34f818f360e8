"""Limits of the reading of walks and rings, each met from both sides on figures laid by hand."""

import functools
from types import SimpleNamespace

import close_steps
import numpy as np
import pytest
import shapely

from quietacre.boundary import average, joining, loop
from quietacre.boundary.lost import chords_over_lost, lost_share, over_lost
from quietacre.boundary.margin import EDGE_M
from quietacre.boundary.pieces import DrawnLine
from quietacre.boundary.plane import Plane
from quietacre.boundary.points import walk_of
from quietacre.boundary.recordings import _said_of_drawn
from quietacre.boundary.strays import far_corners
from quietacre.boundary.two_laps import Row
from quietacre.errors import WalkRefused
from quietacre.figures import printed
from quietacre.model import Track
from quietacre.units import ACRE_M2, FT_M

closely = functools.partial(close_steps.closely, step=1.5)

PLANE = Plane(-86.3, 33.2)


# two laps in a row


@pytest.mark.parametrize(("ratio", "third"), [(1.35, False), (1.45, True)])
def test_a_lap_of_more_ground_than_two_in_a_row_is_a_third(ratio, third, monkeypatch):
    """From 1.4 times the ground of both on."""
    row = Row(one=(0, 10), two=(20, 30), crossed=False)
    m2 = {row.one: 1000.0, row.two: 2000.0, (0, 40): ratio * 3000.0}
    xy = closely([(0, 0), (60, 0), (60, 60), (0, 60), (0, 0)])
    monkeypatch.setattr(loop, "in_a_row", lambda *_: row)
    monkeypatch.setattr(loop, "lap_m2", lambda _, lap: m2[lap])
    monkeypatch.setattr(loop, "_cut_up", lambda *_: False)
    monkeypatch.setattr(loop, "halves", lambda *_: None)
    monkeypatch.setattr(loop, "_closed_near", lambda _, first, last: (first, last))
    lap, faces = loop._one_of_two(xy, (0, 40))
    if third:
        assert lap == (0, 40)
    else:
        assert lap == row.two
        assert [(face.m2, face.where) for face in faces] == [(1000.0, "alone")]


# a piece of a lap beside the first


@pytest.mark.parametrize(
    ("beside", "learns"), [(3, False), (4, False), (5, True), (9, True)]
)
def test_a_piece_beside_more_than_four_places_of_the_edge_tells_of_it(beside, learns):
    base = np.column_stack([np.arange(0.0, 60.0, 2.0), np.zeros(30)])
    chord = np.tile((1.0, 0.0), (30, 1))
    # from just before the first of them to just behind the last
    piece = average._Piece(
        np.array([(19.0, 0.5), (20.0 + 2.0 * (beside - 1) + 1.0, 0.5)]),
        np.array([0.0, 10.0]), whole=False, near_m=8.0, same_way=True,
    )  # fmt: skip
    _, near, tells = average._beside(piece, base, chord, 1000.0)
    assert int(near.sum()) == beside
    assert tells is learns


# tracks that close together


@pytest.mark.parametrize(("times", "joined"), [(1.08, False), (1.12, True), (1.3, True)])
def test_a_loop_is_joined_where_a_tenth_more_ground_is_enclosed(times, joined, monkeypatch):
    square = closely([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)])
    cut = len(square) // 2

    def part(xy, number, acres, *, whole):
        lon, lat = PLANE.lonlat(xy).T
        track = Track("T", "t.gpx", "track", lon, lat, np.arange(len(xy)) + 100.0 * number,
                      np.zeros(len(xy), dtype=int))  # fmt: skip
        return joining._Loose(number, track, acres, whole)

    run = [
        part(square[: cut + 1], 1, 2.0, whole=True),
        part(square[cut:], 2, 0.0, whole=False),
    ]
    ground = PLANE.ground(shapely.Polygon(square))
    found = SimpleNamespace(acres=2.0 * times, polygon=ground)
    monkeypatch.setattr(joining, "read_walk", lambda _: found)
    monkeypatch.setattr(joining, "looks_drawn", lambda _: False)
    assert (joining._close_together(run) is not None) is joined


# a corner far off in a ring that no true edge makes


@pytest.mark.parametrize(
    ("times", "told"), [(0.7, False), (0.76, False), (0.9, True), (0.97, True)]
)
def test_a_corner_of_a_ring_that_crosses_itself_is_doubted_sooner(times, told):
    """From 0.8 widths of the others on."""
    corners = [(0, 0), (100, 100), (100, 0), (0, 100)]
    width = np.hypot(100, 100)
    # straight out of the middle of the ring's east side, by so much from its nearest corner
    reach = 100 + np.sqrt((times * width) ** 2 - 50**2)
    ring = [*corners[:2], (reach, 50), *corners[2:]]
    shape = PLANE.ground(shapely.Polygon(ring))
    assert not shape.is_valid
    notes = far_corners(np.array([shape]), ["Bench"], ["b.kml"])
    assert bool(notes) is told


# fixes lost


def walked(waits):
    """A straight line of a metre a second, but for the steps that take these seconds."""
    at_s = np.concatenate([[0.0], np.cumsum(waits)])
    return np.column_stack([at_s, np.zeros(len(at_s))]), at_s


def test_the_last_step_of_a_lap_counts_among_what_was_lost():
    xy, at_s = walked([1.0] * 60 + [40.0])
    lap = (0, len(xy) - 1)
    assert lost_share(xy, at_s, lap, 0.0) == pytest.approx(40 / 100)
    assert lost_share(xy, at_s, lap, 25.0) == pytest.approx(65 / 125)
    assert lost_share(xy, at_s, (0, lap[1] - 1), 0.0) == 0.0
    assert chords_over_lost(xy, at_s, lap) == pytest.approx(40**2 / 12)
    assert chords_over_lost(xy, at_s, (0, lap[1] - 1)) == 0.0
    xy, at_s = walked([40.0] + [1.0] * 60)
    assert lost_share(xy, at_s, (1, len(xy) - 1), 0.0) == 0.0
    assert chords_over_lost(xy, at_s, (0, len(xy) - 1)) == pytest.approx(40**2 / 12)


def test_a_place_lies_over_lost_fixes_where_its_step_was_lost():
    xy, at_s = walked([1.0] * 60 + [40.0])
    along = np.array([10.0, 59.5, 60.5, 99.9, 100.0, 120.0])
    assert over_lost(xy, at_s, along).tolist() == [False, False, True, True, True, True]
    xy, at_s = walked([40.0] + [1.0] * 60)
    along = np.array([-1.0, 0.0, 39.9, 40.5, 100.0])
    assert over_lost(xy, at_s, along).tolist() == [True, True, True, False, False]


# a line measured as it is drawn


@pytest.mark.parametrize(
    ("last", "level"), [((0, 0), "info"), ((0.5, 0), "caution"), ((0, 0.5), "caution")]
)
def test_a_drawn_line_whose_ends_do_not_meet_to_the_point_is_told_louder(last, level):
    lon, lat = PLANE.lonlat(np.array([(0, 0), (90, 0), (90, 90), (0, 90), last], float)).T
    lon[-1] = lon[0] if last[0] == 0 else lon[-1]
    lat[-1] = lat[0] if last[1] == 0 else lat[-1]
    track = Track("Drawn", "d.kml", "track", lon, lat, np.full(5, np.nan), np.zeros(5, int))
    line = DrawnLine(track, 1, shapely.Polygon(np.column_stack([lon, lat])))
    note = _said_of_drawn(line)
    assert (note.code, note.level, note.feature) == ("line-closed", level, "Drawn")
    refused = DrawnLine(track, 1, line.shape, WalkRefused("its ends cross", fix="look"))
    said = _said_of_drawn(refused)
    assert (said.code, said.level) == ("line-as-drawn", "warning")
    assert f"{90 * 90 / ACRE_M2:.1f}" in said.text


def test_the_edge_as_receiver_and_walker_keep_it_is_told_in_feet():
    xy = closely([(60, 0), (120, 0), (120, 120), (0, 120), (0, 0), (60, 0)])
    walk = walk_of(PLANE.lonlat(xy), name="W")
    edge = next(one for one in walk.terms if one.code == "edge")
    assert f"{EDGE_M / FT_M:.0f} ft all round" in printed(edge.text)
    floor = next(one for one in walk.terms if one.code == "floor")
    assert floor.text.startswith(
        f"{100 * floor.sd_m2 / (walk.acres * ACRE_M2):.2f} % of the acres"
    )
