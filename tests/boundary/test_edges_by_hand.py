"""The edges of one file: what each is called, and what a word in the settings picks."""

from collections import defaultdict

import numpy as np
import pytest
import shapely

from quietacre.boundary import edges as edges_module
from quietacre.boundary.edges import Edge, Edges, edges_of, refusal, walk_round
from quietacre.model import Layer, Track

BOX = shapely.box(-86.301, 33.2, -86.3, 33.201)


def drawn(*names, source="lines.kml"):
    count = len(names)
    return Layer(
        source, np.array([BOX] * count, dtype=object), tuple(names), ("plot",) * count,
        tuple(f"feature {at}" for at in range(1, count + 1)),
    )  # fmt: skip


def said(edges):
    return [(edge.label, edge.key) for edge in edges.measured]


@pytest.mark.parametrize(
    ("names", "labels", "keys"),
    [
        (["North", "South"], ["North", "South"], ["North", "South"]),
        (["South", "South"], ["South 1", "South 2"], ["South#1", "South#2"]),
        (["", "South", ""], ["unnamed 1", "South", "unnamed 2"], ["unnamed#1", "South", "unnamed#2"]),
        # a name that looks like another's number keeps its own
        (["South", "South", "South 2"], ["South 1", "South 2'", "South 2"], ["South#1", "South#2", "South 2"]),
        (["South", "South", "South#2"], ["South 1", "South 2", "South#2"], ["South#1", "#2", "South#2"]),
        (["South", "South", "south#2", "#2"], ["South 1", "South 2", "south#2", "#2"], ["South#1", "South#02", "south#2", "#2"]),
        ([""], ["unnamed 1"], ["unnamed#1"]),
        (["unnamed", ""], ["unnamed 1", "unnamed 2"], ["unnamed#1", "unnamed#2"]),
        (["North", "north"], ["North", "north"], ["North", "north"]),
    ],
)  # fmt: skip
def test_what_each_edge_is_shown_as_and_picked_by(names, labels, keys):
    found = edges_of(drawn(*names))
    assert [edge.label for edge in found.measured] == labels
    assert [edge.key for edge in found.measured] == keys
    for edge in found.measured:
        picked = found.pick(edge.key)
        assert picked is not None
        assert picked.edges == (edge,), edge.key
    assert found.source == "lines.kml"
    assert [edge.places for edge in found.measured] == [
        (at,) for at in range(1, len(names) + 1)
    ]


def test_a_word_means_a_name_then_a_number_of_it_then_a_place():
    found = edges_of(drawn("South", "North", "South", "", "7"))
    one, two, three, four, five = found.measured
    picked = found.pick("South")
    assert (picked.edges, picked.how, picked.name, picked.number) == (
        (one, three),
        "name",
        "South",
        0,
    )
    picked = found.pick("South#2")
    assert (picked.edges, picked.how, picked.name, picked.number) == (
        (three,),
        "numbered",
        "South",
        2,
    )
    picked = found.pick("south#1")
    assert (picked.edges, picked.name, picked.number) == ((one,), "South", 1)
    picked = found.pick("#2")
    assert (picked.edges, picked.how, picked.name, picked.number) == (
        (two,),
        "place",
        "",
        2,
    )
    assert found.pick("unnamed").edges == (four,)
    assert found.pick("7").edges == (five,)
    assert found.pick("NORTH").edges == (two,)
    for nothing in (
        "South#0",
        "South#3",
        "#0",
        "#6",
        "West",
        "West#1",
        "South#",
        "#12345678",
    ):
        assert found.pick(nothing) is None, nothing
    assert found.pick("South#0000002").edges == (three,)


def test_what_a_message_says_that_a_feature_may_be():
    assert edges_of(drawn()).known() == "none"
    assert edges_of(drawn("a", "b")).known() == "“a”, “b”"
    many = edges_of(drawn(*(f"n{at}" for at in range(14))))
    assert many.known().endswith("“n11” and 2 more")
    assert many.known(14).endswith("“n13”")
    assert many.known(1) == "“n0” and 13 more"
    more = edges_of(drawn(*(f"n{at}" for at in range(1_012))))
    assert more.known().endswith(" and 1,000 more")


def walked(name, away=0.0, closed=True):
    """Return a track round a square of some 110 m, or along one side of it."""
    side = np.linspace(0.0, 1.0, 80, endpoint=False)
    flat, one = np.zeros(80), np.ones(80)
    lon = np.r_[side, one, 1.0 - side, flat] if closed else side
    lat = np.r_[flat, side, one, 1.0 - side] if closed else flat
    count = len(lon)
    return Track(
        name=name, lon=-86.3 + away + lon * 0.0012, lat=33.2 + lat * 0.001,
        time_s=1.7e9 + np.arange(count) * 1.4, segment=np.zeros(count, dtype=int),
        source="walks.gpx", kind="",
    )  # fmt: skip


@pytest.fixture(scope="module")
def walks():
    tracks = (walked("South"), walked("way in", 0.01, closed=False), walked("", 0.02))
    layer = drawn("Drawn", source="walks.gpx")
    from dataclasses import replace

    return edges_of(replace(layer, tracks=tracks))


def test_walks_come_after_what_is_drawn_and_what_is_no_edge_stands_apart(walks):
    assert said(walks) == [
        ("Drawn", "Drawn"),
        ("South", "South"),
        ("unnamed 1", "unnamed#1"),
    ]
    assert [edge.places for edge in walks.measured] == [(1,), (2,), (4,)]
    assert [edge.where for edge in walks.measured] == ["feature 1", "track 1", "track 3"]
    assert [edge.walked is not None for edge in walks.measured] == [False, True, True]
    (open_one,) = walks.rest
    assert (open_one.label, open_one.key, open_one.places, open_one.where) == (
        "way in",
        "#3",
        (3,),
        "track 2",
    )
    assert open_one.unread is not None
    picked = walks.pick("way in")
    assert (picked.edges, picked.how, picked.name) == ((open_one,), "name", "way in")
    assert walks.pick("#3").edges == (open_one,)
    assert walks.pick("#3").number == 3
    assert refusal(walks.measured[1]) is None
    assert walk_round(walks.measured[0]) is None
    assert walk_round(walks.measured[1]) is walks.measured[1].walked


def test_each_edge_has_what_no_other_has():
    found = edges_of(drawn("South", "South", ""))
    assert [edge.which for edge in found.measured] == [
        ((1,), "South 1"), ((2,), "South 2"), ((3,), "unnamed 1"),
    ]  # fmt: skip


def test_an_edge_of_several_names_is_picked_by_each_and_counts_once():
    two = Edge("a", ("a", "b"), "", "", "", "track 1", (1, 2))
    three = Edge("b", ("b",), "", "", "", "track 3", (3,))
    keys = edges_module._keys([two, three])
    assert keys == ["a", "b#2"]
    found = edges_module._named("f", [two, three], (), ())
    assert isinstance(found, Edges)
    assert [edge.places for edge in found.named("b")] == [(1, 2), (3,)]
    assert [edge.places for edge in found.named("A")] == [(1, 2)]
    assert defaultdict(list, found._by_name)["a"] == [found.measured[0]]


def test_an_open_track_without_a_name_is_called_by_its_place():
    rest = (Edge("", ("",), "", "", "", "track 2", (5,)),)
    found = edges_module._named("f", [], rest, ())
    assert [(edge.label, edge.key) for edge in found.rest] == [("track 5", "#5")]
