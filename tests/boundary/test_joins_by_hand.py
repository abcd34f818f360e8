"""Tracks of one file, each step alone: copies, which goes on in which, and runs that close together."""

import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from close_steps import closely

from quietacre.boundary import joining
from quietacre.boundary.pieces import Unread, Walked
from quietacre.errors import WalkRefused
from quietacre.figures import printed
from quietacre.model import Note, Track
from quietacre.units import ACRE_M2, FT_M

sys.path.insert(0, str(Path(__file__).parent))
from test_terms_worked import PLANE, a_walk

REFUSED = WalkRefused("does not close", fix="walk on")


def track(xy, when=None, **more):
    xy = np.array(xy, float)
    lon, lat = PLANE.lonlat(xy).T
    when = np.full(len(xy), np.nan) if when is None else np.array(when, float)
    said = {"name": "T", "kind": "track", "segment": np.zeros(len(xy), dtype=int), **more}
    return Track(source="t.gpx", lon=lon, lat=lat, time_s=when, **said)


def line(x, y=0.0, count=3, begin=None, **more):
    """Fixes 5 m apart to the east; 10 s each where it has times."""
    when = None if begin is None else begin + 10.0 * np.arange(count)
    return track([(x + 5.0 * n, y) for n in range(count)], when, **more)


def square(side=100.0, x=0.0):
    return shapely.box(x, 0, x + side, side)


def walked(number, shape=None, one=None, **more):
    one = one or line(0)
    made = a_walk(shape or square(), **more)
    return Walked((one,), (number,), (one.name,), made)


def said(notes):
    return [
        (n.code, n.level, n.source, n.feature, printed(n.head), printed(n.more))
        for n in notes
    ]


# copies of one recording


def test_a_copy_to_a_tenth_of_a_metre_is_read_once_and_said():
    first, other = line(0), line(0, 50.0)
    near = replace(first, lon=np.round(first.lon, 6) + 3e-7, name="")
    exact = replace(first, lon=np.round(first.lon, 6))
    notes = []
    kept = list(joining.without_copies([(2, exact), (3, other), (5, near)], notes))
    assert [number for number, _ in kept] == [2, 3]
    assert kept[0][1] is exact
    assert said(notes) == [
        ("recording-repeated", "caution", "t.gpx", None,
         "track 5 repeats track “T” to the point; it is read once.", ""),
    ]  # fmt: skip
    off = replace(exact, lat=np.round(exact.lat, 6) + 1e-6)
    assert len(list(joining.without_copies([(1, exact), (2, off)], []))) == 2


def test_of_two_copies_the_one_with_times_is_kept_under_the_first_name():
    plain, timed = line(0, name="Plain"), line(0, begin=7.0, name="Timed")
    half = replace(timed, time_s=np.array([7.0, np.nan, 27.0]))

    def kept(*tracks):
        ((number, one),) = joining.without_copies(list(enumerate(tracks, 1)), [])
        assert number == 1
        return one.name, np.isfinite(one.time_s).sum()

    assert kept(plain, timed) == ("Plain", 3)
    assert kept(replace(plain, name=""), timed) == ("Timed", 3)
    assert kept(timed, plain) == ("Timed", 3)
    assert kept(plain, half) == ("Plain", 0), "times of some fixes are none"
    assert kept(half, timed) == ("Timed", 3)
    ((_, one),) = joining.without_copies([(1, timed), (2, replace(timed, name="X"))], [])
    assert one is timed


# which goes on in which


@pytest.mark.parametrize(
    ("wait_min", "follows"),
    [(60.0, True), (60.1, False), (-1.0, True), (-1.1, False), (0.0, True)],
)
def test_a_track_goes_on_within_the_hour_and_no_sooner_than_a_minute_before(
    wait_min, follows
):
    one = line(0, begin=0.0)
    two = line(10, 30.0, begin=20.0 + 60 * wait_min)
    found = joining._follows(one, two)
    assert found == ((pytest.approx(30.0, rel=1e-3), wait_min) if follows else None)


def test_a_track_is_followed_from_its_last_fix_to_the_first_of_the_next():
    one = track([(0, 0), (40, 7), (10, 70)], [0.0, 10, 20])
    two = track([(22, 75), (60, 200), (90, 300)], [80.0, 90, 100])
    assert joining._follows(one, two) == (pytest.approx(13.0, rel=1e-3), 1.0)


def in_a_row(count, **more):
    """Untimed tracks, each beginning 20 m from where the one before ends."""
    return [Unread(line(30.0 * n, **more), n + 1, REFUSED) for n in range(count)]


class Tried:
    """Stands for reading a run of tracks: keeps what was tried, joins the runs it is told to."""

    def __init__(self, monkeypatch, *joined):
        self.joined, self.runs = joined, []
        monkeypatch.setattr(joining, "_close_together", self)

    def __call__(self, run):
        numbers = tuple(one.number for one in run)
        self.runs.append(numbers)
        if numbers not in self.joined:
            return None
        return Walked((run[0].track,), numbers, ("T",) * len(run), a_walk())


def test_runs_are_tried_whole_first_and_what_is_joined_is_left_out(monkeypatch):
    tried = Tried(monkeypatch, (2, 3))
    unread = [*in_a_row(4), Unread(line(0, 500.0), 5, REFUSED)]
    notes = []
    alone = walked(9, one=line(0, 900.0))
    pieces, left = joining.join_tracks([alone], unread, notes)
    assert tried.runs == [(1, 2, 3, 4), (1, 2, 3), (1, 2), (2, 3, 4), (2, 3)]
    assert [piece.numbers for piece in pieces] == [(2, 3), (9,)]
    assert [one.number for one in left] == [1, 4, 5]
    assert said(notes) == [
        ("tracks-joined", "caution", "t.gpx", "T",
         f"track “T”, track “T” are read as one walk of {1e4 / ACRE_M2:.2f} ac",
         f"each begins where the one before ends, {20 / FT_M:.0f} ft apart at most, and they close "
         "together."),
    ]  # fmt: skip


def test_tracks_made_one_are_of_the_kind_of_the_first():
    drawn, timed = line(0, kind="line"), line(30, begin=0.0)
    assert joining._one_track([drawn, timed]).kind == "line"
    assert joining._one_track([timed, drawn]).kind == "track"


def test_behind_a_run_that_was_joined_the_next_track_begins_another(monkeypatch):
    tried = Tried(monkeypatch, (2, 3), (4, 5, 6))
    pieces, left = joining.join_tracks([], in_a_row(7), [])
    assert [piece.numbers for piece in pieces] == [(2, 3), (4, 5, 6)]
    assert [one.number for one in left] == [1, 7]
    assert tried.runs[-2:] == [(4, 5, 6, 7), (4, 5, 6)]


def test_a_walk_that_is_a_part_of_a_larger_one_is_read_with_it(monkeypatch):
    gap = a_walk(notes=(Note("gap-bridged", "g"),))
    whole, open_one = walked(1, one=line(0)), Walked((line(30),), (2,), ("T",), gap)
    tried = Tried(monkeypatch, (1, 2))
    pieces, left = joining.join_tracks([whole, open_one], in_a_row(3)[2:], [])
    assert tried.runs == [(1, 2, 3), (1, 2)]
    assert [piece.numbers for piece in pieces] == [(1, 2)]
    assert [one.number for one in left] == [3]
    # walks that close by themselves are not tried together, in a row or not
    tried = Tried(monkeypatch)
    both = [whole, walked(2, one=line(30))]
    assert joining.join_tracks(both, [], []) == (both, [])
    assert tried.runs == []


def test_no_more_than_two_hundred_runs_are_tried_and_that_is_said(monkeypatch):
    tried, notes = Tried(monkeypatch), []
    joining.join_tracks([], in_a_row(40), notes)
    assert len(tried.runs) == 200
    assert said(notes) == [
        ("joins-untried", "warning", "t.gpx", None,
         "40 tracks follow one another in so many ways that not all were tried as one walk; join "
         "those of one walk in the recorder.", ""),
    ]  # fmt: skip
    tried, notes = Tried(monkeypatch), []
    joining.join_tracks([], in_a_row(4), notes)
    assert (len(tried.runs), notes) == (6, [])
    monkeypatch.setattr(joining, "MOST_TRIES", 6)
    joining.join_tracks([], in_a_row(4), notes)
    assert [note.code for note in notes] == ["joins-untried"]


def test_tracks_go_on_in_the_order_of_their_times_or_of_the_file():
    gap = a_walk(acres_low=0.0, notes=(Note("gap-bridged", "g"),))
    one, two = line(0, begin=500.0), line(0, begin=100.0)
    pieces = [walked(4, one=line(0, begin=300.0)), replace(walked(1, one=two), walk=gap)]
    unread = [Unread(one, 2, REFUSED)]
    acres = 1e4 / ACRE_M2
    wanted = [
        joining._Loose(1, two, pytest.approx(acres), False),
        joining._Loose(4, pieces[0].tracks[0], pytest.approx(acres), True),
        joining._Loose(2, one, 0.0, False),
    ]
    assert joining._in_order(pieces, unread) == wanted
    waits = replace(two, time_s=np.array([100.0, 900.0, 910.0]))
    late = [pieces[0], replace(pieces[1], tracks=(waits,))]
    assert [one.number for one in joining._in_order(late, unread)] == [1, 4, 2]
    point = Unread(line(0, count=1, begin=0.0), 3, REFUSED)
    assert joining._in_order(pieces, [*unread, point]) == wanted, (
        "one fix goes on in nothing"
    )
    # of a track read in its segments none goes on; two fixes and no times are a track
    apart = [walked(7), walked(7)]
    untimed = Unread(line(0, count=2), 3, REFUSED)
    assert joining._in_order([*pieces, *apart], [*unread, untimed]) == [
        wanted[0], wanted[2], joining._Loose(3, untimed.track, 0.0, False), wanted[1],
    ]  # fmt: skip


# tracks that close together


def together(monkeypatch, other, *, acres=9.0, side=100.0, alone=0.0, whole=False):
    """Read the edge of a square and another track as one walk round that square."""
    edge = track(closely(square(side).exterior.coords), name="")
    run = [
        joining._Loose(1, edge, alone, whole),
        joining._Loose(2, track(other), 0.0, False),
    ]
    found = SimpleNamespace(acres=acres, polygon=PLANE.ground(square(side)))
    monkeypatch.setattr(joining, "read_walk", lambda _: found)
    monkeypatch.setattr(joining, "looks_drawn", lambda _: False)
    made = joining._close_together(run)
    if made is not None:
        assert (made.numbers, made.names, made.walk) == ((1, 2), ("", "T"), found)
        assert made.planned is False
        (one,) = made.tracks
        assert (one.name, len(one.lon)) == ("T", len(edge.lon) + len(other))
    return made is not None


@pytest.mark.parametrize(
    ("acres", "whole", "joined"),
    [(2.2, True, True), (2.19, True, False), (1.9, False, True), (1.89, False, False)],
)
def test_a_run_encloses_more_than_its_tracks_alone(acres, whole, joined, monkeypatch):
    """A tenth more than a walk that closes by itself, all but a twentieth of one that does not."""
    part = closely([(0, 0), (60, 0)])
    assert together(monkeypatch, part, acres=acres, alone=2.0, whole=whole) is joined


@pytest.mark.parametrize(
    ("away_m", "long_m", "side", "joined"),
    [
        (19.5, 33, 100, True),  # 42 m of 400 lie within 20 m of it
        (19.5, 28, 100, False),  # 37 m
        (20.5, 90, 100, False),
        (60.0, 19, 100, True),  # a twentieth of the edge is no way home
        (60.0, 21, 100, False),
        (15.5, 30, 40, True),  # a tenth of 160 m is near
        (16.5, 30, 40, False),
    ],
)
def test_each_track_of_a_run_is_a_part_of_its_edge(
    away_m, long_m, side, joined, monkeypatch
):
    other = closely([(5, -away_m), (5 + long_m, -away_m)])
    assert together(monkeypatch, other, side=float(side)) is joined


def test_what_was_drawn_or_cannot_be_read_is_not_joined(monkeypatch):
    run = [joining._Loose(n, line(30.0 * n), 0.0, False) for n in (1, 2)]
    assert joining._close_together(run) is None, "it closes nowhere"
    drawn = [one._replace(track=replace(one.track, kind="line")) for one in run]
    asked = []
    monkeypatch.setattr(joining, "read_walk", asked.append)
    assert joining._close_together(drawn) is None
    assert asked == []


@pytest.mark.parametrize(
    ("begins", "later"), [((0.0, 80.0, 400.0), " and 5 min"), ((None, None, None), "")]
)
def test_what_is_said_of_tracks_made_one(begins, later):
    parts = [
        line(0, begin=begins[0], name="A"), line(15, 12.0, begin=begins[1], name=""),
        line(40, 12.0, begin=begins[2], name="C"),
    ]  # fmt: skip
    joined = Walked((parts[0],), (3, 4, 6), ("", "", ""), a_walk())
    note = joining._joined_note(joined, parts)
    # 5 and 12 m aside are 13 m; 15 m on; 60 s and 300 s later
    assert said([note]) == [
        ("tracks-joined", "caution", "t.gpx", None,
         f"track “A”, track 4, track “C” are read as one walk of {1e4 / ACRE_M2:.2f} ac",
         f"each begins where the one before ends, {15 / FT_M:.0f} ft{later} apart at most, and they "
         "close together."),
    ]  # fmt: skip
    named = replace(joined, names=("", "B", ""))
    assert joining._joined_note(named, parts).feature == "B"
