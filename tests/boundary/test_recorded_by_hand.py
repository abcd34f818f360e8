"""Which tracks of a file are walks, plans and drawings, one kind at a time, and what is said."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from quietacre.boundary import recordings
from quietacre.boundary.pieces import DrawnLine, Recorded, Unread, Walked
from quietacre.boundary.recordings import (
    chosen_note,
    file_walk,
    most_ground,
    no_walk,
    read_tracks,
    read_unread,
)
from quietacre.errors import WalkRefused
from quietacre.figures import printed
from quietacre.model import Note, Track
from quietacre.units import ACRE_M2

sys.path.insert(0, str(Path(__file__).parent))
from test_terms_worked import PLANE, a_walk

REFUSED = WalkRefused("does not close", fix="walk on", source="t.gpx", where="x")


def track(xy, name="T", kind="track", when=None):
    lon, lat = PLANE.lonlat(np.array(xy, float)).T
    when = np.full(len(lon), np.nan) if when is None else when
    return Track(name, "t.gpx", kind, lon, lat, when, np.zeros(len(lon), dtype=int))


def ring(side=100.0, x=0.0, **more):
    corners = [(x, 0), (x + side, 0), (x + side, side), (x, side), (x, 0)]
    return track(corners, **more)


def along(count=20, x=0.0, **more):
    """An open line of fixes five metres apart."""
    return track([(x + 5.0 * n, 0) for n in range(count)], **more)


def of(number, one, shape=None, **more):
    made = a_walk(shape or shapely.box(0, 0, 100, 100), name=one.name)
    return Walked((one,), (number,), (one.name,), made, **more)


def said(notes):
    return [
        (n.code, n.level, n.source, n.feature, printed(n.head), printed(n.more))
        for n in notes
    ]


@pytest.fixture
def reads(monkeypatch):
    """Tracks whose name begins with W are walks of a hectare, each of its own ground."""
    seen = []

    def one(some, number):
        seen.append(number)
        x = 1000.0 * number
        walks = some.name.startswith("W")
        return of(number, some, shapely.box(x, 0, x + 100, 100)) if walks else REFUSED

    monkeypatch.setattr(recordings, "try_track", one)
    return seen


HECTARE = f"{1e4 / ACRE_M2:.2f} ac"


def test_a_file_of_a_walk_a_drawing_a_plan_and_a_road(reads):
    drawing = ring(kind="line", name="Field")
    walk, plan = along(x=1e3, name="Walk"), ring(50, kind="route", name="Plan")
    road, drive = along(5, x=4e3, kind="line", name="Road"), along(x=5e3, name="Drive")
    found = read_tracks([drawing, walk, plan, road, drive])
    assert reads == [2, 5], "neither the drawings nor the plan are tried"
    assert [(p.numbers, p.names, p.planned) for p in found.walked] == [
        ((2,), ("Walk",), False)
    ]
    (drawn,) = found.drawn
    assert (drawn.track, drawn.number, drawn.refused) == (drawing, 1, None)
    assert PLANE.local(drawn.shape).area == pytest.approx(1e4, rel=1e-3)
    assert [(u.track, u.number) for u in found.unread] == [(road, 4), (drive, 5), (plan, 3)]
    open_line, refusal, none = [u.problem for u in found.unread]
    assert (open_line.what, open_line.fix, open_line.source, open_line.where) == (
        "is an open line, which encloses nothing",
        "draw it as a polygon, or walk it all the way round", "t.gpx", "line “Road”",
    )  # fmt: skip
    assert (refusal, none) == (REFUSED, None)
    assert said(found.notes) == [
        ("line-closed", "info", "t.gpx", "Field",
         "line “Field” was drawn, not recorded; its ends meet, so it is measured as an area.", ""),
        ("track-not-measured", "caution", "t.gpx", "Road",
         "line “Road” is not measured: it is an open line, which encloses nothing.", ""),
        ("track-not-measured", "caution", "t.gpx", "Drive",
         "track “Drive” is not measured: it does not close.", ""),
        ("track-not-measured", "caution", "t.gpx", "Plan",
         f"route “Plan” is a plan and is not measured ({2500 / ACRE_M2:.2f} ac); a walk is.", ""),
    ]  # fmt: skip


def test_a_drawing_alone_leaves_a_plan_a_plan(reads):
    found = read_tracks(
        [ring(kind="line", name="Field"), ring(kind="route", name="W plan")]
    )
    assert (found.walked, reads) == ((), [])
    assert [one.number for one in found.unread] == [2]


def test_a_plan_is_measured_where_no_track_can_be_and_the_reasons_are_told(reads):
    plan, other = ring(kind="route", name="W plan"), ring(50, kind="route", name="Other")
    tracks = [plan, along(name="Drive"), along(3, x=2e3, kind="line", name=""), other]
    found = read_tracks(tracks)
    assert reads == [2, 1, 4]
    assert [(p.numbers, p.planned) for p in found.walked] == [((1,), True)]
    assert [(u.number, u.problem) for u in found.unread][::2] == [
        (2, REFUSED),
        (4, REFUSED),
    ]
    assert said(found.notes)[0] == (
        "route-measured", "warning", "t.gpx", "W plan",
        f"route “W plan” is a plan, not a recorded walk; its {HECTARE} are those of the plan.",
        "track “Drive” does not close. line 3 is an open line, which encloses nothing.",
    )  # fmt: skip
    assert [note.feature for note in found.notes[1:]] == ["Drive", None, "Other"]
    none = read_tracks([along(name="Drive"), other])
    assert none.notes == (), "where nothing is measured the first reason is told by itself"
    assert [u.number for u in none.unread] == [1, 2]


def test_a_line_as_close_as_a_recording_whose_ends_meet_is_measured_as_drawn(reads):
    near = np.vstack(
        [np.array([(n * 5.0, 0) for n in range(20)]), [(50, 90), (0, 60), (0, 0)]]
    )
    found = read_tracks([track(near, kind="line", name="Edge"), track(near + (0, 500))])
    assert reads == [1, 2]
    (drawn,) = found.drawn
    assert (drawn.number, drawn.refused) == (1, REFUSED)
    assert [u.number for u in found.unread] == [2], (
        "a recording is never taken for a drawing"
    )
    acres = PLANE.local(drawn.shape).area / ACRE_M2
    assert said(found.notes[:1]) == [
        ("line-as-drawn", "warning", "t.gpx", "Edge",
         "line “Edge” is no walk that can be trusted (does not close); its ends meet, so its "
         f"{acres:.2f} ac are measured as drawn, without a ±.", ""),
    ]  # fmt: skip
    walks = read_tracks([track(near, kind="line", name="W edge")])
    assert [p.numbers for p in walks.walked] == [(1,)]
    assert walks.drawn == ()


def test_segments_apart_come_in_place_of_their_track(reads, monkeypatch):
    some = along(name="Day")
    pieces = [of(1, some), of(1, some, shapely.box(500, 0, 600, 100))]
    monkeypatch.setattr(recordings, "by_segment", lambda *_: pieces)
    found = read_tracks([some])
    assert found.walked == tuple(pieces)
    assert found.unread == ()


# what was set aside, asked for


def test_what_was_set_aside_is_read_when_it_is_asked_for(reads):
    plan = ring(kind="route", name="W plan")
    assert read_unread(Unread(plan, 4, None)) == replace(of(4, plan), walk=a_walk_of(4),
                                                         planned=True)  # fmt: skip
    assert read_unread(Unread(along(name="W"), 2, None)).planned is False
    for unread in (Unread(plan, 4, REFUSED), Unread(along(name="X"), 2, None)):
        with pytest.raises(WalkRefused) as told:
            read_unread(unread)
        assert told.value is REFUSED


def a_walk_of(number):
    class Same:
        def __eq__(self, other):
            return PLANE.local(other.polygon).bounds[0] == pytest.approx(
                1e3 * number, abs=0.01
            )

        __hash__ = None

    return Same()


# the walk of a file


class Asked(Walked):
    """A walk that keeps what it is read with."""

    def read(self, **how):
        object.__setattr__(self, "how", how)
        return replace(self.walk, notes=(Note("own", "o"),))


def test_a_file_gives_its_loop_of_most_ground_and_tells_of_the_others(monkeypatch):
    small = of(1, along(name="A"))
    big = Asked((along(name="B"),), (2,), ("B",), a_walk(shapely.box(0, 0, 200, 100)))
    unnamed = of(3, along(name=""), shapely.box(0, 0, 10, 100))
    recorded = Recorded((small, big, unnamed), (), (), (Note("of-file", "f"),))
    monkeypatch.setattr(recordings, "read_tracks", lambda _: recorded)
    walk = file_walk([], walked_inside_ft=3.0, walked_outside_ft=2.0, sky="open")
    assert big.how == {"walked_inside_ft": 3.0, "walked_outside_ft": 2.0, "sky": "open"}
    assert [note.code for note in walk.notes] == ["own", "of-file", "track-chosen"]
    assert walk.acres == big.walk.acres
    file_walk([])
    assert big.how == {"walked_inside_ft": 0.0, "walked_outside_ft": 0.0, "sky": None}
    assert most_ground(recorded.walked) is big
    assert said(chosen_note(big, recorded.walked)) == [
        ("track-chosen", "warning", "t.gpx", "B",
         "the file holds 3 loops; “B” encloses the most and was taken (others: “A” "
         f"{HECTARE}, “unnamed” {1e3 / ACRE_M2:.2f} ac).", ""),
    ]  # fmt: skip
    (by_size,) = chosen_note(unnamed, [unnamed, small])
    assert (by_size.feature, "“unnamed” encloses the most" in by_size.text) == (None, True)
    assert chosen_note(big, [big]) == ()
    two = chosen_note(big, [big, small])
    assert "holds 2 loops" in two[0].text


def test_a_file_without_a_walk_tells_why_not(monkeypatch):
    plan, drive = ring(kind="route"), along()
    later = WalkRefused("jumps", fix="mend it")
    unread = (Unread(plan, 1, None), Unread(drive, 2, REFUSED), Unread(drive, 3, later))
    assert no_walk(Recorded((), (), unread, ()), "t.gpx") is REFUSED
    empty = Recorded((), (), (), ())
    for source, shown in (("t.gpx", "t.gpx"), ("", None)):
        problem = no_walk(empty, source)
        assert (problem.what, problem.fix, problem.source, problem.where) == (
            "holds no track", "record the edge as a track and export it", shown, None,
        )  # fmt: skip
    monkeypatch.setattr(recordings, "read_tracks", lambda _: empty)
    with pytest.raises(WalkRefused, match="holds no track") as told:
        file_walk([], source="e.gpx")
    assert told.value.source == "e.gpx"
    with pytest.raises(WalkRefused) as told:
        file_walk([])
    assert told.value.source is None


# a plan and a drawing in words


@pytest.mark.parametrize(
    ("last", "acres"), [((0, 36), True), ((0, 40), True), ((0, 44), True), ((0, 60), False)]
)
def test_the_acres_of_a_plan_are_told_where_it_all_but_closes(last, acres):
    """Its ends may lie apart by 15 in a hundred of it: of 300 m and what is left of the last side."""
    plan = track([(0, 0), (100, 0), (100, 100), (0, 100), last], kind="route")
    told = recordings._planned_acres(plan)
    area = (1e4 + 0.0) / ACRE_M2
    assert printed(told) == (f" ({area:.2f} ac)" if acres else "")


def test_a_plan_that_crosses_itself_or_runs_along_a_line_has_no_acres():
    assert recordings._planned_acres(along(kind="route")) == ""
    bow = track([(0, 0), (100, 100), (100, 0), (0, 100), (0, 0)], kind="route")
    assert recordings._planned_acres(bow) == ""


@pytest.mark.parametrize("turn", [1, -1])
def test_a_drawn_line_with_a_gap_to_the_east_or_to_the_north_is_told_louder(turn):
    for last, level in (
        ((0.0, 0.0), "info"),
        ((1e-6, 0.0), "caution"),
        ((0.0, 1e-6), "caution"),
    ):
        lon = np.array([0.0, 1e-3, 1e-3, last[0] * turn])
        lat = np.array([0.0, 2e-4, 1e-3, last[1] * turn])
        one = Track("F", "f.kml", "line", lon, lat, np.full(4, np.nan), np.zeros(4, int))
        line = DrawnLine(one, 1, shapely.Polygon(np.column_stack([lon, lat])))
        assert recordings._said_of_drawn(line).level == level
