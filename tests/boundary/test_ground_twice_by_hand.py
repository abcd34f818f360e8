"""Segments of a track round ground apart, and walks of one edge: read apart, or made one."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from quietacre.boundary import joining
from quietacre.figures import printed
from quietacre.model import Note
from quietacre.units import ACRE_M2

sys.path.insert(0, str(Path(__file__).parent))
from test_joins_by_hand import REFUSED, line, said, square, walked
from test_terms_worked import a_walk

# segments of a track


def segments(*ends, **more):
    """A track of so many fixes in each segment, read as squares 200 m apart by the first fix."""
    count = sum(ends)
    numbers = np.repeat(np.arange(len(ends)) + 4, ends)
    return line(0, count=count, segment=numbers, **more)


def read_apart(monkeypatch, *reads):
    """Each segment in turn is a walk of such ground, or none."""
    left, seen = list(reads), []

    def one(piece, number):
        seen.append((len(piece.lon), piece.segment.tolist(), number))
        shape = left.pop(0)
        return REFUSED if shape is None else walked(number, shape, piece)

    monkeypatch.setattr(joining, "try_track", one)
    return seen


def test_segments_round_ground_apart_are_walks_of_their_own(monkeypatch):
    some = segments(3, 2, 2, 3)
    seen = read_apart(monkeypatch, square(), None, square(50, x=300), None)
    notes = []
    pieces = joining.by_segment(REFUSED, some, 7, notes)
    assert seen == [(3, [0, 0, 0], 7), (2, [0, 0], 7), (2, [0, 0], 7), (3, [0, 0, 0], 7)]
    assert [piece.walk.acres for piece in pieces] == [1e4 / ACRE_M2, 2500 / ACRE_M2]
    assert said(notes) == [
        ("segments-apart", "caution", "t.gpx", "T",
         "track “T” goes round 2 pieces of ground in its segments, which are read apart "
         f"({1e4 / ACRE_M2:.2f} ac, {2500 / ACRE_M2:.2f} ac); 2 more do not close and are not "
         "measured.", ""),
    ]  # fmt: skip
    read_apart(monkeypatch, square(), square(x=300), square(x=600))
    notes = []
    three = joining.by_segment(REFUSED, segments(2, 2, 2, name=""), 7, notes)
    assert len(three) == 3
    (note,) = notes
    assert (note.feature, note.text.startswith("track 7 goes round 3 pieces")) == (
        None,
        True,
    )
    assert "more do not close" not in note.text


def test_segments_of_one_ground_or_of_a_walk_that_reads_whole_stay_together(monkeypatch):
    notes = []
    read_apart(monkeypatch, square(), square())
    assert joining.by_segment(REFUSED, segments(3, 3), 1, notes) == []
    read_apart(monkeypatch, square(), None)
    assert joining.by_segment(REFUSED, segments(3, 3), 1, notes) == []
    seen = read_apart(monkeypatch)
    assert joining.by_segment(REFUSED, segments(6), 1, notes) == []
    assert joining.by_segment(walked(1), segments(3, 3), 1, notes) == []
    assert (seen, notes) == ([], [])
    read_apart(monkeypatch, square(), square(x=300))
    left_out = replace(walked(1), walk=a_walk(notes=(Note("second-loop", "s"),)))
    assert len(joining.by_segment(left_out, segments(3, 3), 1, notes)) == 2


# walks of one edge


def two_of_one(first, second):
    shapes = (square(), shapely.box(0, 0, 104, 100))
    return [
        replace(walked(n + 1, shape, one, kept_lon=np.array([float(n)])), names=(one.name,))
        for n, (shape, one) in enumerate(zip(shapes, (first, second), strict=True))
    ]


def test_walks_of_one_edge_one_after_the_other_are_combined():
    pair = two_of_one(line(0, begin=0.0, name=""), line(0, begin=50.0, name="B"))
    elsewhere = walked(3, square(x=500))
    notes = []
    both, other = joining.one_a_ground([pair[0], elsewhere, pair[1]], notes)
    assert other is elsewhere
    assert both.tracks == (pair[0].tracks[0], pair[1].tracks[0])
    assert (both.numbers, both.names) == ((1, 2), ("", "B"))
    assert both.walk.method == "2 walks combined"
    assert both.walk.acres == pytest.approx(1.02e4 / ACRE_M2, rel=1e-3)
    assert said(notes) == [
        ("walked-again", "caution", "t.gpx", "B",
         f"2 tracks go round the same ground (track 1 {1e4 / ACRE_M2:.2f} ac, track “B” "
         f"{1.04e4 / ACRE_M2:.2f} ac)", f"combined to {1.02e4 / ACRE_M2:.2f} ac."),
    ]  # fmt: skip


def test_what_may_be_one_walk_saved_twice_is_taken_from_the_copy_of_more_fixes():
    other = replace(line(0, count=4, name=""), source="u.gpx")
    pair = two_of_one(line(0, name=""), other)
    notes = []
    (one,) = joining.one_a_ground(pair, notes)
    assert (one.walk, one.tracks) == (pair[1].walk, pair[1].tracks)
    assert (one.numbers, one.names) == ((1, 2), ("", ""))
    (note,) = notes
    assert (note.source, note.feature) == ("t.gpx", None)
    assert printed(note.more) == (
        f"perhaps one recording saved twice, so {1.04e4 / ACRE_M2:.2f} ac is taken alone."
    )
