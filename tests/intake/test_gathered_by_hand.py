"""What is gathered from one file: squares, lines and points, and every word said of them."""

import math

import numpy as np
import pytest
import shapely
from shapely import wkt

from quietacre.errors import FileProblem
from quietacre.intake import collect
from quietacre.intake.collect import Collector, _others, _word, encloses, whole
from quietacre.intake.coordinates import check_places, one_turn
from quietacre.intake.file_notes import FileNotes
from quietacre.model import AREA_KINDS, LINE_KIND, Track, Waypoint


def gathered(*features, **asked):
    into = Collector("a.kml", **asked)
    for number, (text, properties) in enumerate(features, 1):
        shape = wkt.loads(text) if isinstance(text, str) else text
        into.add(shape, properties, f"feature {number}")
    return into.layer()


def said(layer):
    return [(note.code, note.level, note.head, note.feature) for note in layer.notes]


def square(west, south=10.0, side=1.0):
    return shapely.box(west, south, west + side, south + side)


# shapes


def test_areas_keep_shape_name_kind_and_feature():
    layer = gathered(
        (square(1), {"NAME": " North ", "Kind": "PLOT", "more": 3}),
        (shapely.MultiPolygon([square(3), square(5)]), {}),
    )
    assert layer.geometry.tolist() == [
        square(1), shapely.MultiPolygon([square(3), square(5)])
    ]  # fmt: skip
    assert (layer.source, layer.name, layer.kind) == ("a.kml", ("North", ""), ("plot", ""))
    assert layer.feature == ("feature 1", "feature 2")
    assert (layer.columns, layer.tracks, layer.waypoints, layer.notes) == ((), (), (), ())


def test_a_line_whose_ends_meet_is_an_area_and_said():
    """A ring of four equal sides is 4 long: a gap of 0.05 of all of it is still closed."""
    ring = "LINESTRING (0 0, 1 0, 1 1, 0 1, 0 0)"
    near = "LINESTRING (0 0, 8 0, 8 1, 1 1, 1 0)"  # 8 + 1 + 7 + 1 = 17, a gap of 1
    open_ = "LINESTRING (0 0, 7 0, 7 1, 1 1)"  # 14 long, a gap of 1.4
    layer = gathered((ring, {"name": "R"}), (near, {}), (open_, {"name": "O"}))
    assert layer.geometry.tolist() == [shapely.Polygon([(0, 0), (1, 0), (1, 1), (0, 1)])]
    assert said(layer) == [
        ("line-closed", "info",
         "“R” is a line; its ends meet, so it is measured as an area.", "R"),
        ("left-out", "caution",
         "2 open lines round no ground are left out: feature 2, O.", None),
    ]  # fmt: skip


def test_a_gap_of_a_twentieth_of_the_line_is_closed_and_no_wider_one():
    """6 + 4 + 6 + 3 round the corners, then to and fro: 20 long with a gap of 1, or 19.5."""
    way = "LINESTRING (0 0, 6 0, 6 4, 0 4, 0 1, 0 {}, 0 1)"
    layer = gathered((way.format(1.5), {}), (way.format(1.25), {}))
    assert layer.feature == ("feature 1",)
    assert said(layer) == [
        ("line-closed", "caution",
         "“feature 1” is a line; its ends meet, so it is measured as an area.", "feature 1"),
        ("left-out", "caution", "1 open line round no ground is left out: feature 2.", None),
    ]  # fmt: skip


def test_lines_that_enclose_nothing_are_counted_and_three_are_named():
    line = ("LINESTRING (0 0, 1 1)", {})
    one = gathered(line)
    assert said(one) == [
        ("left-out", "caution",
         "1 line of fewer than three points is left out: feature 1.", None),
    ]  # fmt: skip
    three, four = gathered(*[line] * 3), gathered(*[line] * 4)
    assert three.notes[0].head == (
        "3 lines of fewer than three points are left out: feature 1, feature 2, feature 3."
    )
    assert four.notes[0].head == (
        "4 lines of fewer than three points are left out: feature 1, feature 2, feature 3 …."
    )


def test_collections_are_taken_apart_and_areas_of_one_stay_together():
    text = (
        "GEOMETRYCOLLECTION (POINT (9 9), POLYGON ((0 0, 1 0, 1 1, 0 0)), "
        "MULTIPOLYGON (((2 0, 3 0, 3 1, 2 0)), ((4 0, 5 0, 5 1, 4 0))), "
        "LINESTRING (6 0, 7 0, 7 1, 6 0), MULTIPOINT (8 1, 8 2))"
    )
    layer = gathered((text, {"name": "A"}))
    areas, ring = layer.geometry.tolist()
    corners = [(0, 0), (2, 0), (4, 0)]
    assert areas == shapely.MultiPolygon(
        [shapely.Polygon([(x, y), (x + 1, y), (x + 1, y + 1)]) for x, y in corners]
    )
    assert ring == shapely.Polygon([(6, 0), (7, 0), (7, 1)])
    assert layer.name == ("A", "A")
    assert layer.waypoints == (
        *(Waypoint("A", "a.kml", x, y) for x, y in [(9.0, 9.0), (8.0, 1.0), (8.0, 2.0)]),
    )
    assert said(layer)[1] == (
        "waypoints-listed", "info", "3 points are listed, not measured.", None
    )  # fmt: skip


def test_one_point_is_listed_and_many_lines_are_taken_one_by_one():
    layer = gathered(
        ("POINT Z (1 2 3)", {"name": "Gate"}),
        ("MULTILINESTRING ((0 0, 1 0, 1 1, 0 0), (5 5, 6 6))", {}),
    )
    assert layer.waypoints == (Waypoint("Gate", "a.kml", 1.0, 2.0),)
    assert [note.head for note in layer.notes] == [
        "“feature 2” is a line; its ends meet, so it is measured as an area.",
        "1 line of fewer than three points is left out: feature 2.",
        "1 point is listed, not measured.",
    ]


def test_features_without_shape_are_counted():
    layer = gathered((None, {}), ("POLYGON EMPTY", {}), (square(1), {}))
    assert [note.head for note in layer.notes] == [
        "2 features without a shape are left out: feature 1, feature 2."
    ]
    with pytest.raises(FileProblem) as problem:
        Collector("a.kml").layer()
    assert str(problem.value) == (
        "a.kml: holds no features; export it again with something in it"
    )


def test_the_same_area_twice_is_told_and_once_more_too():
    layer = gathered(
        (square(1), {"name": "A"}), (square(1), {}), (square(1), {"name": "C"}),
        (square(2), {}),
    )  # fmt: skip
    assert said(layer) == [
        ("drawn-twice", "warning", "“feature 2” repeats “A” to the point.", "feature 2"),
        ("drawn-twice", "warning", "“C” repeats “A” to the point.", "C"),
    ]
    assert len(layer.name) == 4


# kinds and columns


def test_kinds_that_are_not_known_are_counted_with_the_most_frequent_first():
    known = ", ".join(AREA_KINDS)
    one = gathered((square(1), {"kind": "Swamp"}))
    assert (one.kind, said(one)) == (("",), [
        ("kind-unknown", "caution", "1 feature says a kind that is not known here (“Swamp”), "
         f"which is left out; the kinds are {known}.", None),
    ])  # fmt: skip
    words = ["a", "b", "c", "d", "d"]
    many = gathered(*[(square(n), {"kind": word}) for n, word in enumerate(words)])
    assert many.notes[0].head.startswith(
        "5 features say a kind that is not known here (“d”, “a”, “b” …), which"
    )
    three = gathered(*[(square(n), {"kind": word}) for n, word in enumerate("abc")])
    assert "(“a”, “b”, “c”), which" in three.notes[0].head


def test_only_so_many_words_for_kinds_are_kept_apart(monkeypatch):
    monkeypatch.setattr(collect, "MOST_WORDS", 2)
    into = Collector("a")
    assert [into.kind(word) for word in ("a", "b", "c", "d", "b", LINE_KIND.upper(), "")] == [
        "", "", "", "", "", LINE_KIND, ""
    ]  # fmt: skip
    assert into._odd_kinds == {"a": 1, "b": 2, "…": 2}


def test_columns_are_kept_where_asked_for():
    row = {
        "Name": "A",
        "KIND": "plot",
        "acres": 2.5,
        "n": 3,
        "day": None,
        "list": [1],
        "yes": True,
    }
    layer = gathered((square(1), row), ("POINT (1 1)", row), keep=True)
    kept = {"acres": 2.5, "n": 3, "day": None, "list": "[1]", "yes": True}
    assert layer.columns == (kept,)
    assert gathered((square(1), row)).columns == ()
    assert list(_others(row)) == list(kept)


def test_words_are_found_whatever_the_case_of_their_key():
    assert _word({"NaMe": 3}, "name") == "3"
    assert _word({"name": None, "NAME": " x "}, "name") == "x"
    assert _word({"named": "x"}, "name") == ""
    assert whole("a\ud800b") == "a?b"


# many at a time


def test_features_are_let_go_of_once_they_are_taken(monkeypatch):
    monkeypatch.setattr(collect, "BATCH", 2)
    into = Collector("a", keep=True)
    for n in range(3):
        into.add(square(n), {"name": str(n), "c": n}, f"feature {n}")
        assert len(into._pending) == (n + 1) % 2
    into.add(shapely.Point(1, 2), {}, "p")
    first, second = into.take(), into.take()
    assert (first.name, len(first.columns), len(first.waypoints)) == (("0", "1", "2"), 3, 1)
    assert (second.name, second.columns, second.waypoints) == ((), (), ())
    assert (second.kind, second.feature, second.tracks, second.notes) == ((), (), (), ())
    assert len(second.geometry) == 0


def test_the_most_features_and_vertices_are_still_read(monkeypatch):
    monkeypatch.setattr(collect, "MAX_FEATURES", 2)
    monkeypatch.setattr(collect, "MAX_VERTICES", 10)
    assert len(gathered((square(1), {}), (square(3), {})).name) == 2
    with pytest.raises(
        FileProblem, match="a.kml: holds more than 2 features; split the file"
    ):
        gathered(*[("POINT (1 1)", {})] * 3)
    with pytest.raises(
        FileProblem, match="a.kml: has more than 10 vertices; split the file"
    ):
        gathered((square(1), {}), ("LINESTRING (0 0, 1 0, 1 1, 0 1, 2 2, 0 0)", {}))


def test_a_track_is_checked_and_counted_from_the_same_turn(monkeypatch):
    into = Collector("a")
    track = Track("T", "a", "line", np.array([190.0, 191.0]), np.array([1.0, 2.0]),
                  np.full(2, math.nan), np.zeros(2, dtype=int))  # fmt: skip
    into.add_track(track, "feature 1")
    (kept,) = into.layer().tracks
    assert kept.lon.tolist() == [-170.0, -169.0]
    far = Track("T", "a", "line", np.array([1.0, 2.0]), np.array([91.0, 2.0]),
                track.time_s, track.segment)  # fmt: skip
    with pytest.raises(FileProblem, match="feature 2: latitude 91 is beyond a pole"):
        into.add_track(far, "feature 2")
    monkeypatch.setattr(collect, "MAX_VERTICES", 1)
    with pytest.raises(FileProblem, match="more than 1 vertices"):
        Collector("a").add_track(track, "feature 3")


# rings


def test_rings_are_closed_and_said():
    into = Collector("a")
    open_ = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]])
    shut = np.vstack([open_, open_[:1]])
    assert into.closed(shut, "F") is shut
    assert into._notes == []
    assert into.closed(open_, "F").tolist() == shut.tolist()
    (note,) = into._notes
    assert (note.code, note.level, note.feature, note.head) == (
        "ring-closed", "caution", "F",
        "F: the ring does not end where it starts; closed with a straight edge.",
    )  # fmt: skip
    assert into.closed(open_[:2], "F") is None
    for end in ([0.0, 1.0], [1.0, 0.0]):  # one of both as at the start is not closed
        assert len(into.closed(np.vstack([open_, [end]]), "F")) == 5
    assert str(into.too_few("F")) == (
        "a: F: its edge has fewer than three different points; draw it again"
    )


@pytest.mark.parametrize(
    ("points", "found"),
    [
        ([(0, 0), (1, 0), (1, 1)], True),
        ([(0, 0), (1, 0), (0, 0), (1, 0)], False),
        ([(0, 0), (0, 0), (0, 0), (1, 0), (1, 1)], True),  # the third comes late
        ([(0, 0), (1, 0)], False),
        ([], False),
    ],
)
def test_three_different_points_enclose(points, found):
    assert encloses(np.array(points, dtype=float).reshape(-1, 2)) is found


# places


def places(*texts, name=one_turn):
    notes = FileNotes("a")
    shapes = np.array([wkt.loads(text) for text in texts], dtype=object)
    out = name(shapes, [f"f{n}" for n in range(1, len(texts) + 1)], notes)
    return out, notes._notes


def test_longitudes_are_counted_as_everybody_counts_them():
    out, notes = places(
        "POINT (181 1)", "POINT (180 1)", "POINT (-181 1)", "LINESTRING (179 1, 182 1)",
        "LINESTRING (178 1, 181 1)", "POINT (359 1)",
    )  # fmt: skip
    assert [shapely.bounds(s)[[0, 2]].tolist() for s in out] == [
        [-179, -179], [180, 180], [179, 179], [-181, -178], [178, 181], [-1, -1]
    ]  # fmt: skip
    assert notes == []


POLES = [
    ("LINESTRING (-170 {0}, -60 {0}, 60 {0}, 170 {0}, -170 {0})", True),
    ("LINESTRING (-100 {0}, 0 {0}, 100 {0}, 0 {1}, -100 {0})", False),
]


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize(("text", "round_it"), POLES)
def test_an_edge_right_round_a_pole_is_refused(text, round_it, side):
    ring = text.replace("LINESTRING (", "POLYGON ((").replace(")", "))")
    near = ring.format(89.5 * side, 89.9 * side)
    if round_it:
        with pytest.raises(FileProblem) as problem:
            places("POINT (1 1)", near)
        assert (
            str(problem.value) == "a: f2: its edge goes right round a pole; draw it again"
        )
    else:
        assert len(places("POINT (1 1)", near)[0]) == 2
    assert len(places(ring.format(88.5 * side, 88.9 * side))[0]) == 1


SEEN = [
    ("POINT (360 90)", ""), ("POINT (-360 -60)", ""),
    ("POINT (361 1)", "coordinates such as 361, 1 are not degrees, and the file does not say "
     "what they are; export it in longitude and latitude (WGS84), or with its reference system"),
    ("POINT (1 361)", "coordinates such as 1, 361 are not degrees, and the file does not say "
     "what they are; export it in longitude and latitude (WGS84), or with its reference system"),
    ("LINESTRING (1 1, 2 -360)", "latitude -360 is beyond a pole; latitude and longitude look "
     "swapped: export with longitude first"),
    ("LINESTRING (1 1, 2 90.5)", "latitude 90.5 is beyond a pole; latitude and longitude look "
     "swapped: export with longitude first"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "words"), SEEN)
def test_what_cannot_be_a_place_is_told(text, words):
    if not words:
        assert places("POINT (1 1)", text, name=check_places) == (None, [])
        return
    with pytest.raises(FileProblem) as problem:
        places("POINT (1 1)", text, name=check_places)
    assert str(problem.value) == f"a: f2: {words}"


def test_far_south_is_told_as_swapped():
    _, (note,) = places("POINT (1 -60)", "LINESTRING (1 -61.25, 2 5)", name=check_places)
    assert (note.code, note.feature, note.level) == ("looks-swapped", "f2", "warning")
    assert note.head == (
        "f2 lies at latitude -61.2; if it should not, its latitude and longitude are swapped."
    )
    shapes = np.array([shapely.Point(math.inf, 1)], dtype=object)
    with pytest.raises(FileProblem, match="f1: has a coordinate that is not a number"):
        check_places(shapes, ["f1"], FileNotes("a"))
