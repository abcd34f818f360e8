"""GeoJSON and KML written by hand: each kind of shape, and each line of error with its words."""

import json

import numpy as np
import pytest
import shapely

from quietacre.errors import FileProblem
from quietacre.intake import kml as kml_reader
from quietacre.intake.vector import read_layer

RING = [[0, 0], [1, 0], [1, 1], [0, 0]]
HOLE = [[0.5, 0.25], [0.75, 0.25], [0.75, 0.5], [0.5, 0.25]]
POINT = {"type": "Point", "coordinates": [1, 2]}


def geojson(tmp_path, document):
    path = tmp_path / "a.geojson"
    text = document if isinstance(document, str) else json.dumps(document)
    path.write_text(text)
    return read_layer(path, shown="a")


def shape_of(kind, coordinates):
    return {"type": kind, "coordinates": coordinates}


def feature(geometry, **properties):
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def collection(*features):
    return {"type": "FeatureCollection", "features": list(features)}


def refused(reader, *given):
    with pytest.raises(FileProblem) as problem:
        reader(*given)
    return str(problem.value)


def said(layer):
    return [(note.code, note.level, note.head, note.feature) for note in layer.notes]


# GeoJSON


@pytest.mark.parametrize(
    ("geometry", "areas", "points"),
    [
        (shape_of("Polygon", [RING]), [shapely.Polygon(RING)], []),
        (shape_of("Polygon", [RING, HOLE]), [shapely.Polygon(RING, [HOLE])], []),
        (shape_of("MultiPolygon", [[RING], []]), [shapely.MultiPolygon([shapely.Polygon(RING)])], []),
        (shape_of("LineString", RING), [shapely.Polygon(RING)], []),
        (shape_of("MultiLineString", [RING]), [shapely.Polygon(RING)], []),
        (POINT, [], [(1, 2)]),
        (shape_of("Point", [1, 2, 9]), [], [(1, 2)]),
        (shape_of("MultiPoint", [[1, 2], [3, 4]]), [], [(1, 2), (3, 4)]),
        (shape_of("MultiPoint", [[1, 2, 5], [3, 4]]), [], [(1, 2), (3, 4)]),
        (shape_of("Point", []), [], []),
        ({"type": "GeometryCollection", "geometries": [POINT, shape_of("Polygon", [RING]), shape_of("Point", [])]},
         [shapely.MultiPolygon([shapely.Polygon(RING)])], [(1, 2)]),
        (None, [], []),
    ],
)  # fmt: skip
def test_every_kind_of_shape_is_read(tmp_path, geometry, areas, points):
    layer = geojson(tmp_path, collection(feature(geometry, name="A", kind="plot")))
    assert layer.geometry.tolist() == areas
    assert [(point.lon, point.lat) for point in layer.waypoints] == points
    assert layer.name == ("A",) * len(areas)
    assert layer.kind == ("plot",) * len(areas)
    assert layer.feature == ("feature 1 “A”",) * len(areas)


def test_a_file_may_be_one_feature_or_a_bare_shape(tmp_path):
    polygon = shape_of("Polygon", [RING])
    one = geojson(tmp_path, feature(polygon, name=""))
    assert (one.feature, one.name) == (("feature 1",), ("",))
    bare = geojson(tmp_path, polygon)
    assert (bare.feature, bare.name) == (("geometry",), ("",))
    second = geojson(tmp_path, collection(feature(None), feature(polygon, name=3)))
    assert (second.feature, second.name) == (("feature 2",), ("3",))
    odd = feature(polygon) | {"properties": [1]}
    assert geojson(tmp_path, odd).name == ("",)


def test_holes_without_area_are_dropped_and_open_rings_closed(tmp_path):
    layer = geojson(
        tmp_path,
        feature(shape_of("Polygon", [RING[:3], HOLE[:2], HOLE])),
    )
    assert layer.geometry.tolist() == [shapely.Polygon(RING, [HOLE])]
    assert said(layer) == [
        ("ring-closed", "caution", "feature 1: the ring does not end where it starts; closed "
         "with a straight edge.", "feature 1"),
        ("hole-dropped", "info", "feature 1: a hole without area was dropped.", "feature 1"),
    ]  # fmt: skip


AGAIN = "; export it again"
VERTEX = "; mend or delete that vertex"
DEEP = {"type": "GeometryCollection", "geometries": [POINT]}
for _ in range(32):
    DEEP = {"type": "GeometryCollection", "geometries": [DEEP]}
WRONG = [
    ([], "is not GeoJSON; export it again as GeoJSON"),
    ({"features": []}, "is not GeoJSON; export it again as GeoJSON"),
    ({"type": "FeatureCollection"}, "has no list of features" + AGAIN),
    (collection(feature(None), POINT), "feature 2: is not a GeoJSON feature" + AGAIN),
    (collection(3), "feature 1: is not a GeoJSON feature" + AGAIN),
    (feature([1], name="A"), "feature 1 “A”: its geometry is not an object" + AGAIN),
    (feature({"type": "Curve"}), "feature 1: “Curve” is not a geometry type" + AGAIN),
    (feature({"type": 3}), "feature 1: “3” is not a geometry type" + AGAIN),
    (feature({"type": "Point"}), "feature 1: has no coordinates" + AGAIN),
    (feature({"type": "GeometryCollection"}), "feature 1: its collection has no geometries" + AGAIN),
    (DEEP, "geometry: its collection nests deeper than 32" + AGAIN),
    (shape_of("Polygon", [3]), "geometry: its coordinates are not lists of numbers" + AGAIN),
    (shape_of("MultiPolygon", [3]), "geometry: its rings are not lists" + AGAIN),
    (shape_of("LineString", [[1, 2]]), "geometry: a line has fewer than two points; draw it again"),
    (shape_of("Polygon", [RING[:2]]), "geometry: its edge has fewer than three different points; draw it again"),
    (shape_of("Point", [1]), "geometry: a position is not two numbers but [1]" + VERTEX),
    (shape_of("Point", [1, "2"]), 'geometry: a position is not two numbers but [1, "2"]' + VERTEX),
    (shape_of("Point", [True, 2]), "geometry: a position is not two numbers but [true, 2]" + VERTEX),
    (shape_of("MultiPoint", [[1, 2], 3]), "geometry: a position is not two numbers but 3" + VERTEX),
    (shape_of("Point", ["x" * 50, 1]), 'geometry: a position is not two numbers but ["' + "x" * 38 + VERTEX),
    (shape_of("Point", [10**400, 1]), "geometry: a coordinate is too large to be a number" + VERTEX),
    ({"crs": {"type": "link"}, **POINT}, "its reference system is a link, which is never followed; export it in WGS84"),
    ({"crs": 3, **POINT}, "its reference system is a link, which is never followed; export it in WGS84"),
    ({"crs": {"type": "name"}, **POINT}, "its reference system has no name; export it in WGS84"),
    ({"crs": {"type": "name", "properties": {"name": 3}}, **POINT}, "its reference system has no name; export it in WGS84"),
    ({"crs": {"type": "name", "properties": {"name": "no such"}}, **POINT}, "its reference system is not known; export it in WGS84"),
    ('{"type": NaN}', "holds NaN, which JSON does not have" + AGAIN),
    ('{"a": 1, "type": 1, "a": 2}', "has the key “a” twice in one object" + AGAIN),
    ('{"b": 1,\n"type": ', "line 2: is cut off" + AGAIN),
    ('{"type": "Poi', "line 1: is cut off" + AGAIN),
    ('{"type" "x"}\n\n', "line 1: is not JSON (Expecting ':' delimiter)" + AGAIN),
    ('{"type": ' + "1" * 5000 + "}", "holds a number too long to read" + AGAIN),
    ("[" * 200_000, "nests too deep to be GeoJSON" + AGAIN),
]  # fmt: skip


@pytest.mark.parametrize(("document", "words"), WRONG, ids=range(len(WRONG)))
def test_what_is_wrong_in_geojson_is_told(tmp_path, document, words):
    assert refused(geojson, tmp_path, document) == f"a: {words}"


def test_as_many_collections_in_one_another_as_are_allowed(tmp_path):
    assert len(geojson(tmp_path, DEEP["geometries"][0]).waypoints) == 1


@pytest.mark.parametrize(
    "name", ["urn:ogc:def:crs:OGC:1.3:CRS84", "urn:x:EPSG::4326", "EPSG:4326"]
)
def test_degrees_by_any_name_are_left_as_they_are(tmp_path, name):
    document = {"crs": {"type": "name", "properties": {"name": name}}, **POINT}
    (point,) = geojson(tmp_path, document).waypoints
    assert (point.lon, point.lat) == (1.0, 2.0)


def test_another_system_is_moved_to_degrees(tmp_path):
    """On the middle line of a zone, at half a million meters east, the longitude is its own."""
    document = {
        "crs": {"type": "name", "properties": {"name": "EPSG:32616"}},
        **shape_of("Point", [500_000, 0]),
    }
    (point,) = geojson(tmp_path, document).waypoints
    assert (point.lon, point.lat) == (pytest.approx(-87.0), pytest.approx(0.0, abs=1e-9))


# KML


def kml(tmp_path, body, head="<kml>", end="</kml>"):
    path = tmp_path / "a.kml"
    path.write_text(f"{head}{body}{end}")
    return read_layer(path, shown="a")


def coordinates(points):
    words = " ".join(",".join(map(str, point)) for point in points)
    return f"<coordinates>{words}</coordinates>"


def polygon(*rings):
    outer, *inner = [f"<LinearRing>{coordinates(ring)}</LinearRing>" for ring in rings]
    return (
        f"<Polygon><outerBoundaryIs>{outer}</outerBoundaryIs>"
        + "".join(f"<innerBoundaryIs>{ring}</innerBoundaryIs>" for ring in inner)
        + "</Polygon>"
    )


def placemark(body, name=""):
    return f"<Placemark><name> {name} </name>{body}</Placemark>"


def test_areas_of_a_drawn_map(tmp_path):
    data = "<ExtendedData><Data name='Kind'><value> plot </value></Data></ExtendedData>"
    simple = "<ExtendedData><SchemaData><SimpleData name='kind'>water</SimpleData></SchemaData></ExtendedData>"
    layer = kml(
        tmp_path,
        "<Folder>" + placemark(polygon(RING, HOLE) + data, "A") + "</Folder>"
        + placemark(simple + f"<LinearRing>{coordinates(RING)}</LinearRing>", "B")
        + placemark(f"<MultiGeometry>{polygon(RING)}<MultiGeometry>{polygon(HOLE)}"
                    "</MultiGeometry></MultiGeometry>")
        + placemark(f"<Point>{coordinates([[5, 6, 7]])}</Point>", "Gate"),
    )  # fmt: skip
    outer = shapely.Polygon(RING)
    assert layer.geometry.tolist()[:2] == [shapely.Polygon(RING, [HOLE]), outer]
    assert layer.name == ("A", "B", "", "")
    assert layer.kind == ("plot", "water", "", "")
    assert layer.feature == (
        "placemark 1 “A”", "placemark 2 “B”", "placemark 3", "placemark 3"
    )  # fmt: skip
    (gate,) = layer.waypoints
    assert (gate.name, gate.lon, gate.lat) == ("Gate", 5.0, 6.0)


def test_two_shapes_of_one_placemark_and_one_without_any(tmp_path):
    layer = kml(
        tmp_path, placemark(polygon(RING) + polygon(HOLE), "A") + placemark("", "none")
    )
    assert layer.geometry.tolist() == [
        shapely.MultiPolygon([shapely.Polygon(RING), shapely.Polygon(HOLE)])
    ]
    assert [note.head for note in layer.notes] == [
        "1 feature without a shape is left out: placemark 2 “none”."
    ]
    empty = "<Point><coordinates/></Point>"
    with_nothing = kml(tmp_path, placemark(f"<MultiGeometry>{empty}</MultiGeometry>"))
    assert len(with_nothing.notes) == 1


def recorded(coords, whens):
    return (
        "<Track>"
        + "".join(f"<when>{when}</when>" for when in whens)
        + "".join(f"<coord>{x} {y}</coord>" for x, y in coords)
        + "</Track>"
    )


def test_lines_and_recordings_become_tracks(tmp_path):
    line = f"<LineString>{coordinates([[1, 2], [3, 4]])}</LineString>"
    short = f"<LineString>{coordinates([[1, 2]])}</LineString>"
    first = recorded([(1, 2)], ["1970-01-01T00:00:05Z"])
    second = recorded([(3, 4), (5, 6)], ["1970-01-01T00:00:06Z", "x"])
    layer = kml(
        tmp_path,
        placemark(f"<MultiGeometry>{line}{short}</MultiGeometry>", "Line")
        + placemark(f"<MultiTrack>{first}{second}</MultiTrack>", "Walk")
        + placemark(recorded([(1, 2), (3, 4)], ["x"]), "Off")
        + placemark(recorded([(1, 2)], []), "One")
        + placemark(recorded([(7, 8), (9, 8)], ["x", "x"]), "None"),
    )
    drawn, walk, off, none = layer.tracks
    assert [t.name for t in layer.tracks] == ["Line", "Walk", "Off", "None"]
    assert [t.kind for t in layer.tracks] == ["line", "track", "track", "track"]
    assert (drawn.lon.tolist(), drawn.lat.tolist()) == ([1.0, 3.0], [2.0, 4.0])
    assert np.isnan(drawn.time_s).all()
    assert drawn.segment.tolist() == [0, 0]
    assert (walk.lon.tolist(), walk.lat.tolist()) == ([1.0, 3.0, 5.0], [2.0, 4.0, 6.0])
    np.testing.assert_array_equal(walk.time_s, [5.0, 6.0, np.nan])
    assert walk.segment.tolist() == [0, 1, 1]
    assert np.isnan(off.time_s).all()
    assert np.isnan(none.time_s).all()
    two, three, four = "placemark 2 “Walk”", "placemark 3 “Off”", "placemark 4 “One”"
    assert said(layer)[:3] == [
        ("bad-times", "info", f"{two}: 1 points have a time that cannot be read; they are used "
         "without it.", two),
        ("bad-times", "caution", f"{three}: 1 times for 2 places; read without times.", three),
        ("empty-track", "info", f"{four}: its track has no points; left out.", four),
    ]  # fmt: skip


def test_too_many_lines_for_walks_are_read_as_drawn(tmp_path, monkeypatch):
    monkeypatch.setattr(kml_reader, "MOST_LINES", 2)
    data = "<ExtendedData><Data name='kind'><value>plot</value></Data></ExtendedData>"
    line = placemark(f"<LineString>{coordinates(RING)}</LineString>{data}", "L")
    two = kml(tmp_path, line * 2)
    assert (len(two.tracks), len(two.name)) == (2, 0)
    assert [track.area_kind for track in two.tracks] == ["plot", "plot"]
    three = kml(tmp_path, line * 3)
    assert (len(three.tracks), three.name, three.kind) == (0, ("L",) * 3, ("plot",) * 3)
    assert three.geometry[0] == shapely.Polygon(RING)
    assert said(three)[0] == (
        "lines-as-drawn", "caution",
        "the file holds 3 lines, too many for walks; they are read as drawn.", None,
    )  # fmt: skip


def test_links_are_never_followed_and_said(tmp_path):
    layer = kml(tmp_path, "<NetworkLink/>" + placemark(polygon(RING)))
    assert said(layer) == [
        ("network-link", "caution",
         "links to something on a network; links are never followed.", None),
    ]  # fmt: skip


APART = "; export it again with decimal points, longitude and latitude apart by one comma"
ODD = [
    ("-87,6,34,2", "“-87,6,34,2” is not a longitude and a latitude" + APART),
    ("1", "“1” is not a longitude and a latitude" + APART),
    ("nan,1", "“nan,1” is not a number" + APART),
    ("1,inf", "“1,inf” is not a number" + APART),
    ("3_4,1", "“3_4,1” is not a longitude and a latitude" + APART),
    ("1," + "x" * 50, "“1," + "x" * 38 + "” is not a longitude and a latitude" + APART),
]


@pytest.mark.parametrize(("word", "words"), ODD)
def test_a_place_that_is_none_is_told(tmp_path, word, words):
    point = f"<Point><coordinates>{word}</coordinates></Point>"
    assert refused(kml, tmp_path, placemark(point)) == f"a: placemark 1: {words}"


def test_a_polygon_has_one_edge_that_encloses_something(tmp_path):
    two = polygon(RING).replace(
        "</outerBoundaryIs>", "</outerBoundaryIs>" + polygon(HOLE)[9:-10]
    )
    assert refused(kml, tmp_path, placemark(two)) == (
        "a: placemark 1: one polygon has 2 outer edges; draw each piece as a polygon of its own"
    )
    assert refused(kml, tmp_path, placemark(polygon(RING[:2]))) == (
        "a: placemark 1: its edge has fewer than three different points; draw it again"
    )
    layer = kml(tmp_path, placemark(polygon(RING, HOLE[:2])))
    assert (layer.geometry.tolist(), layer.notes) == ([shapely.Polygon(RING)], ())
    assert len(kml(tmp_path, placemark("<Polygon/>")).name) == 0


def test_what_is_no_kml_is_told(tmp_path, monkeypatch):
    assert refused(kml, tmp_path, "", "<gpx>", "</gpx>") == (
        "a: is not KML; check what the file is"
    )
    assert refused(kml, tmp_path, "", "<!DOCTYPE kml><kml>") == (
        "a: declares a document type, which KML never needs; export it again"
    )
    broken = refused(kml, tmp_path, "<a>")
    assert broken.startswith("a: is not a KML file, or a damaged one (mismatched tag")
    assert broken.endswith("; check what the file is, or export it again")
    monkeypatch.setattr(kml_reader, "MAX_DEPTH", 3)
    assert len(kml(tmp_path, "<Placemark><a/></Placemark>").name) == 0
    assert refused(kml, tmp_path, "<a><b><c/></b></a>") == (
        "a: nests elements deeper than 3; export it again"
    )
    # 5 + 9 + 12 letters of elements, two blanks and 6: 34 bytes
    monkeypatch.setattr(kml_reader, "MAX_TEXT_BYTES", 34)
    assert "nests" in refused(kml, tmp_path, "<a><b><c></c></b></a>  ")
    assert refused(kml, tmp_path, "<a><b><c></c></b></a>   ").endswith("; split it")
