"""GeoJSON and edges typed at the desk whose shapes are not what they should be."""

import json

import pytest

from quietacre.errors import FileProblem
from quietacre.intake.new_edges import read_new_edges
from quietacre.intake.vector import read_layer

RING = [[-87.6, 34.2], [-87.598, 34.2], [-87.598, 34.202], [-87.6, 34.2]]


def written(tmp_path, geometry, **more):
    path = tmp_path / "a.geojson"
    feature = {"type": "Feature", "properties": {"name": "A"}, "geometry": geometry}
    path.write_text(
        json.dumps({"type": "FeatureCollection", "features": [feature], **more})
    )
    return path


@pytest.mark.parametrize(
    ("kind", "coordinates", "words"),
    [
        ("LineString", [[-87.6, 34.2]], "a line has fewer than two points"),
        ("Polygon", 5, "has no coordinates"),
        ("Polygon", [[[-87.6, 34.2], [-87.6, 34.2], [-87.6, 34.2]]],
         "its edge has fewer than three different points"),
        ("Polygon", [[*RING[:2], ["x", 34.2], RING[0]]],
         'a position is not two numbers but ["x", 34.2]'),
        ("Polygon", [[*RING[:2], [-87.6], RING[0]]], "a position is not two numbers but [-87.6]"),
        ("Polygon", [[*RING[:2], ["x" * 60, 34.2], RING[0]]],
         'a position is not two numbers but ["' + "x" * 38 + "; "),
        ("Polygon", [[*RING[:2], [10**400, 34.2], RING[0]]], "a coordinate is too large"),
        ("Polygon", [[[500000.0, 3700000.0], [500100.0, 3700000.0], [500100.0, 3700100.0]]],
         "coordinates such as 500000, 3700000 are not degrees"),
        ("Polygon", [[[34.2, -87.6], [34.2, -97.6], [34.3, -97.6]]], "latitude -97.6 is beyond"),
    ],
)  # fmt: skip
def test_shapes_that_cannot_be_are_named(tmp_path, kind, coordinates, words):
    path = written(tmp_path, {"type": kind, "coordinates": coordinates})
    with pytest.raises(FileProblem) as caught:
        read_layer(path)
    assert words in str(caught.value)
    assert "“A”" in str(caught.value)


def test_two_points_are_a_line_and_three_a_ring(tmp_path):
    line = written(tmp_path, {"type": "LineString", "coordinates": RING[:2]})
    notes = read_layer(line).notes
    assert [note.code for note in notes] == ["left-out"]
    assert "1 line of fewer than three points is left out: " in notes[0].text
    ring = written(tmp_path, {"type": "LineString", "coordinates": RING})
    layer = read_layer(ring)
    assert len(layer.geometry) == 1
    assert [(n.code, n.level) for n in layer.notes] == [("line-closed", "info")]
    open_ring = written(tmp_path, {"type": "Polygon", "coordinates": [RING[:3]]})
    assert [(n.code, n.level) for n in read_layer(open_ring).notes] == [
        ("ring-closed", "caution")
    ]


@pytest.mark.parametrize(("count", "more"), [(3, False), (4, True)])
def test_three_that_are_left_out_are_named_and_the_rest_counted(tmp_path, count, more):
    nothing = [{"type": "Feature", "properties": {}, "geometry": None}] * count
    path = tmp_path / "a.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": nothing}))
    (note,) = read_layer(path).notes
    assert note.text.startswith(
        f"{count} features without a shape are left out: feature 1, feature 2, feature 3"
    )
    assert ("…" in note.text) is more


def test_far_south_looks_swapped_and_is_kept(tmp_path):
    swapped = [[34.2, -87.6], [34.2, -87.59], [34.3, -87.6], [34.2, -87.6]]
    layer = read_layer(written(tmp_path, {"type": "Polygon", "coordinates": [swapped]}))
    (note,) = layer.notes
    assert note.code == "looks-swapped"
    assert "lies at latitude -87.6; if it should not" in note.text


# ---- edges typed at the desk -------------------------------------------------------------------
def typed(tmp_path, **whole):
    path = tmp_path / "edges.geojson"
    path.write_text(json.dumps(whole))
    return path


def edge(geometry, **told):
    return {"type": "Feature", "properties": told, "geometry": geometry}


POLYGON = {"type": "Polygon", "coordinates": [RING]}


def test_typed_edges_are_read_with_what_is_told_of_each(tmp_path):
    many = {"type": "MultiPolygon", "coordinates": [[RING], [RING]]}
    path = typed(
        tmp_path,
        features=[
            edge(POLYGON, area="A", name="", kind="plot", edge_pm_ft=3),
            edge(many, like="B", was="C"),
        ],
        out=["D"], label="cut",
    )  # fmt: skip
    made = read_new_edges(path)
    one, two = made.edges
    assert (one.area, one.name, one.kind, one.edge_pm_ft) == ("A", "", "plot", 3.0)
    assert (two.area, two.like, two.was, two.edge_pm_ft) == (None, "B", "C", None)
    assert (len(one.polygons), len(two.polygons)) == (1, 2)
    assert (made.out, made.label) == (("D",), "cut")


@pytest.mark.parametrize(
    ("whole", "words"),
    [
        ({"features": 5}, "has no list of features"),
        ({"features": [], "out": "D"}, "out is no list of names"),
        ({"features": [], "out": [5]}, "out is no list of names"),
        ({"features": [edge({"type": "Point", "coordinates": [0, 0]})]}, "is no polygon"),
        ({"features": [edge({"type": "Polygon", "coordinates": 5})]}, "is no polygon"),
        ({"features": [edge(None)]}, "feature 1: is no polygon"),
        ({"features": [edge(POLYGON, edge_pm_ft=0)]}, "edge_pm_ft is no length"),
        ({"features": [edge(POLYGON, edge_pm_ft="3")]}, "edge_pm_ft is no length"),
        (
            {"features": [edge(POLYGON), edge(POLYGON, edge_pm_ft=-1)]},
            "feature 2: edge_pm_ft",
        ),
    ],
)
def test_typed_edges_that_cannot_be_are_named(tmp_path, whole, words):
    with pytest.raises(FileProblem) as caught:
        read_new_edges(typed(tmp_path, **whole))
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("name", "where"), [("", "its ring"), ("North edge", "ring “North edge”")]
)
def test_a_ring_of_a_table_that_is_none_is_named_where_it_has_a_name(tmp_path, name, where):
    head, cell = ("name,", f"{name},") if name else ("", "")
    path = tmp_path / "ring.csv"
    rows = [f"{cell}-86.3,33.2", f"{cell}-86.3,33.2", f"{cell}-86.299,33.2"]
    path.write_text("\n".join([f"{head}lon,lat", *rows]))
    with pytest.raises(
        FileProblem, match="has fewer than three different points"
    ) as caught:
        read_layer(path)
    assert caught.value.where == where
