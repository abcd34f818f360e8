"""Shapes from every kind of file, corner by corner, and what is said of each that is none."""

import io
import itertools
import json
import sqlite3
import struct
import sys
from types import SimpleNamespace

import geopandas as gpd
import numpy as np
import pytest
import shapely

from quietacre.errors import FileProblem
from quietacre.intake import geopackage, own_process
from quietacre.intake.collect import Collector, encloses
from quietacre.intake.coordinates import check_places, one_turn
from quietacre.intake.gdal import _add, _mover
from quietacre.intake.geopackage import _blobs
from quietacre.intake.reference import Move, to_wgs84
from quietacre.intake.shapes import Shapes
from quietacre.intake.vector import read_layer
from quietacre.intake.wkb import UnreadableShapeError, shapes_from_binary

RING = [[0, 0], [2, 0], [2, 2], [0, 0]]
HOLE = [[1.0, 0.5], [1.5, 0.5], [1.5, 0.8], [1.0, 0.5]]


def geojson(tmp_path, geometry, **properties):
    path = tmp_path / "a.geojson"
    path.write_text(
        json.dumps({"type": "Feature", "properties": properties, "geometry": geometry})
    )
    return read_layer(path)


def of(kind, coordinates):
    return {"type": kind, "coordinates": coordinates}


def codes(layer):
    return [note.code for note in layer.notes]


# GeoJSON


def test_each_kind_of_geojson_is_read_as_what_it_is(tmp_path):
    layer = geojson(tmp_path, of("Point", [1, 2, 99]), name="Gate")
    assert [(p.name, p.lon, p.lat) for p in layer.waypoints] == [("Gate", 1.0, 2.0)]
    layer = geojson(tmp_path, of("MultiPoint", [[1, 2], [3, 4]]))
    assert [(p.lon, p.lat) for p in layer.waypoints] == [(1.0, 2.0), (3.0, 4.0)]
    layer = geojson(tmp_path, of("LineString", RING))
    assert (layer.geometry[0].area, codes(layer)) == (2.0, ["line-closed"])
    layer = geojson(
        tmp_path, of("MultiLineString", [RING, [[9, 9], [8, 9], [8, 8], [9, 9]]])
    )
    assert [shape.area for shape in layer.geometry] == [2.0, 0.5]
    layer = geojson(tmp_path, of("Polygon", [RING, HOLE]))
    assert layer.geometry[0].area == pytest.approx(2.0 - 0.075)
    layer = geojson(
        tmp_path, of("MultiPolygon", [[RING], [[[5, 5], [6, 5], [6, 6], [5, 5]]]])
    )
    assert (layer.geometry[0].geom_type, layer.geometry[0].area) == ("MultiPolygon", 2.5)
    both = {
        "type": "GeometryCollection",
        "geometries": [of("Point", [1, 2]), of("Polygon", [RING])],
    }
    layer = geojson(tmp_path, both)
    assert (len(layer.waypoints), layer.geometry[0].area) == (1, 2.0)


def collections(levels):
    shape = of("Polygon", [RING])
    for _ in range(levels):
        shape = {"type": "GeometryCollection", "geometries": [shape]}
    return shape


def test_collections_nest_thirty_two_deep(tmp_path):
    assert len(geojson(tmp_path, collections(32)).geometry) == 1
    with pytest.raises(FileProblem, match="its collection nests deeper than 32"):
        geojson(tmp_path, collections(33))


@pytest.mark.parametrize(
    ("geometry", "said"),
    [
        ([1, 2], "its geometry is not an object"),
        ({"type": "GeometryCollection"}, "its collection has no geometries"),
        (of("Circle", [1, 2]), "“Circle” is not a geometry type"),
        ({"type": "Point"}, "has no coordinates"),
        (of("Point", [1]), r"a position is not two numbers but \[1\]"),
        (of("Point", ["1", 2]), "a position is not two numbers"),
        (of("Point", [True, 2]), "a position is not two numbers"),
        (of("LineString", [[1, 2]]), "a line has fewer than two points"),
        (of("MultiPoint", [1, 2]), "a position is not two numbers but 1"),
        (of("Polygon", [[[0, 0], [1, 1], [0, 0]]]), "fewer than three different points"),
        (of("Polygon", [7]), "its coordinates are not lists of numbers"),
        (of("MultiPolygon", [7]), "its rings are not lists"),
    ],
)
def test_what_is_no_geojson_shape_is_named(tmp_path, geometry, said):
    with pytest.raises(FileProblem, match=said):
        geojson(tmp_path, geometry)


def test_shapes_without_coordinates_are_left_out_and_holes_without_area_dropped(tmp_path):
    layer = geojson(tmp_path, of("Polygon", []))
    assert codes(layer) == ["left-out"]
    layer = geojson(tmp_path, of("Polygon", [RING, [[1, 1], [1, 1], [1, 1]]]))
    assert "hole-dropped" in codes(layer)
    assert layer.geometry[0].area == 2.0
    # positions of other lengths side by side are read too
    layer = geojson(tmp_path, of("Polygon", [[[0, 0], [2, 0, 9], [2, 2], [0, 0]]]))
    assert layer.geometry[0].area == 2.0


# what a drawn line and a ring are


@pytest.mark.parametrize(("gap", "closed"), [(0.0, 1), (0.15, 1), (0.2, 0)])
def test_a_line_whose_ends_lie_within_a_twentieth_of_its_length_is_a_ring(
    tmp_path, gap, closed
):
    """Along three sides of a square of one and back to ``gap`` from its start."""
    line = [[0, 0], [1, 0], [1, 1], [0, 1], [0, gap]]
    layer = geojson(tmp_path, of("LineString", line), name="Field")
    assert len(layer.geometry) == closed
    if closed:
        (note,) = layer.notes
        assert note.level == ("info" if gap == 0 else "caution")
    else:
        assert "1 open line round no ground is left out" in layer.notes[0].text


def test_a_twentieth_to_the_last(tmp_path):
    """19 along and one short of it is a twentieth of twenty."""
    line = [[0, 0], [9, 0], [9, 1], [0, 1]]  # 19 long, 1 apart
    assert len(geojson(tmp_path, of("LineString", line)).geometry) == 0
    line = [[0, 0], [9.5, 0], [9.5, 1], [0, 1]]  # 20 long, 1 apart
    assert len(geojson(tmp_path, of("LineString", line)).geometry) == 1


def test_three_different_points_enclose_something():
    assert encloses(np.array([[0, 0], [1, 0], [1, 1]]))
    assert not encloses(np.array([[0, 0], [1, 0], [0, 0], [1, 0], [0, 0]]))
    assert encloses(np.array([[0, 0], [1, 0], [0, 0], [1, 0], [1, 1]]))


@pytest.mark.parametrize(("count", "words"), [(3, "f1, f2, f3."), (4, "f1, f2, f3 ….")])
def test_three_of_what_is_left_out_are_named(count, words):
    into = Collector("a")
    for number in range(1, count + 1):
        into.add(None, {}, f"f{number}")
    (note,) = into.layer().notes
    assert note.text == f"{count} features without a shape are left out: {words}"


def test_kinds_that_are_none_of_ours_are_named_up_to_three():
    into = Collector("a")
    for kind in ("crop", "crop", "forest", "pond", "PLOT"):
        into.add(shapely.box(0, 0, 1, 1), {"Kind": kind, "NAME": " A "}, "f")
    layer = into.layer()
    (note,) = [n for n in layer.notes if n.code == "kind-unknown"]
    assert note.text.startswith(
        "4 features say a kind that is not known here (“crop”, “forest”, “pond”)"
    )
    assert (layer.kind[-1], layer.name[-1]) == ("plot", "A")
    into = Collector("a")
    for kind in ("a1", "a2", "a3", "a4"):
        into.add(shapely.box(0, 0, 1, 1), {"kind": kind}, "f")
    assert "“a3” …)" in into.layer().notes[0].text


# where on the globe


def places(*shapes):
    into = Collector("a")
    check_places(np.array(shapes), [f"f{n}" for n, _ in enumerate(shapes, 1)], into)
    return [(note.code, note.feature) for note in into.take().notes]


def test_only_the_shape_that_looks_wrong_is_named():
    good, south = shapely.Point(1, 2), shapely.Point(1, -60.5)
    assert places(good, south, good) == [("looks-swapped", "f2")]
    assert places(shapely.Point(1, -60.0)) == []
    with pytest.raises(FileProblem, match=r"f2: latitude 90.5 is beyond a pole"):
        places(good, shapely.Point(1, 90.5))
    with pytest.raises(FileProblem, match="latitude -91 is beyond a pole"):
        places(shapely.LineString([(1, 2), (1, -91), (1, 5)]))
    with pytest.raises(FileProblem, match="coordinates such as 361, 2 are not degrees"):
        places(shapely.Point(361, 2))
    with pytest.raises(FileProblem, match="are not degrees"):
        places(shapely.Point(1, 360.5))
    with pytest.raises(FileProblem, match="beyond a pole"):
        places(shapely.Point(1, 360))


@pytest.mark.parametrize(
    ("lon", "kept"),
    [((179, 181), (179, 181)), ((180, 182), (-180, -178)), ((-181, -179), (-181, -179)),
     ((-182, -180), (178, 180)), ((358, 359), (-2, -1)), ((-539, -538), (-179, -178))],
)  # fmt: skip
def test_a_shape_is_turned_whole_by_where_its_middle_lies(lon, kept):
    box = shapely.box(lon[0], 30, lon[1], 31)
    (moved,) = one_turn(np.array([box]), ["a"], Collector("a"))
    assert (moved.bounds[0], moved.bounds[2]) == pytest.approx(kept)
    assert box.bounds[0] == lon[0], "what was given is not changed"


def test_a_wide_shape_near_a_pole_that_does_not_go_round_it_is_kept():
    there = [(lon, 89.5) for lon in range(-100, 101, 10)]
    back = [(lon, 89.6) for lon in range(100, -101, -10)]
    (kept,) = one_turn(np.array([shapely.Polygon(there + back)]), ["a"], Collector("a"))
    assert kept.bounds[1] == 89.5
    round_it = [(lon, 88.5) for lon in range(-180, 180, 10)]
    (far,) = one_turn(np.array([shapely.Polygon(round_it)]), ["a"], Collector("a"))
    assert far.bounds[1] == 88.5, "farther off than a degree it is not looked at"
    for lat in (89.5, -89.5):
        ring = shapely.Polygon([(lon, lat) for lon in range(-180, 180, 10)])
        with pytest.raises(FileProblem, match=r"b: its edge goes right round a pole"):
            one_turn(np.array([shapely.box(0, 0, 1, 1), ring]), ["a", "b"], Collector("x"))


def in_lengths(far=False, unit_m=1.0, lengths=True):
    return Move("system", None, lengths, unit_m, far)


@pytest.mark.parametrize(
    ("move", "size", "degrees"),
    [
        (in_lengths(), 9.99, True), (in_lengths(), 10.0, False),
        (in_lengths(unit_m=0.3048), 32.0, True), (in_lengths(unit_m=0.3048), 33.0, False),
        (in_lengths(far=True), 50.0, True), (in_lengths(lengths=False), 0.01, False),
    ],
)  # fmt: skip
def test_shapes_smaller_than_any_plot_near_the_origin_are_degrees(move, size, degrees):
    """Ten meters: 32.8 feet."""
    box = shapely.box(1, 1, 1 + size / 2, 1 + size)
    assert bool(move.takes_degrees(np.array([box]))) is degrees


def test_numbers_too_large_for_degrees_are_none_and_points_alone_tell_nothing():
    for box in (shapely.box(179, 1, 181, 2), shapely.box(1, 89, 2, 90.5)):
        assert not in_lengths(far=True).takes_degrees(np.array([box]))
    for box in (shapely.box(179, 1, 180, 2), shapely.box(-180, -90, -179, -89)):
        assert in_lengths().takes_degrees(np.array([box]))
    point = np.array([shapely.Point(1, 1)])
    assert not in_lengths().takes_degrees(point)
    assert in_lengths(far=True).takes_degrees(point)
    assert not in_lengths(far=True).takes_degrees(np.array([shapely.Polygon()]))
    both = np.array([shapely.Point(1, 1), shapely.Point(1, 1), shapely.box(0, 0, 50, 50)])
    assert not in_lengths().takes_degrees(both), "a point has no size"


def test_systems_are_taken_by_what_they_are():
    into = Collector("a")
    assert to_wgs84("EPSG:4326", into) is None
    utm = to_wgs84("EPSG:26916", into)
    assert (utm.counts_lengths, utm.unit_m, utm.far_origin) == (True, 1.0, True)
    # a cone's "Easting at false origin" is one too
    assert to_wgs84("EPSG:2263", into).far_origin
    feet = to_wgs84("EPSG:2899", into)
    assert feet.unit_m == pytest.approx(0.3048006096)
    nad = to_wgs84("EPSG:4269", into)
    assert (nad.counts_lengths, nad.unit_m, nad.far_origin) == (False, 1.0, False)
    assert nad(np.empty((0, 2))).shape == (0, 2)
    assert utm(np.array([[500_000.0, 0.0]])) == pytest.approx(
        np.array([[-87.0, 0.0]]), abs=1e-6
    )
    with pytest.raises(FileProblem, match="is not known"):
        to_wgs84("EPSG:1", into)
    with pytest.raises(FileProblem, match="is not one of places on Earth"):
        to_wgs84("EPSG:4978", into)
    with pytest.raises(FileProblem, match="is not one of places on Earth"):
        to_wgs84("EPSG:5703", into)


@pytest.mark.parametrize(
    ("bounds", "taken"),
    [
        ((-360, -90, 360, 90), True), ((-360.1, 0, 1, 1), False), ((0, -90.1, 1, 1), False),
        ((0, 0, 360.1, 1), False), ((0, 0, 1, 90.1), False), ((2, 0, 1, 1), False),
        ((0, 2, 1, 1), False),
    ],
)  # fmt: skip
def test_a_shapefile_without_its_system_is_taken_for_degrees_where_it_can_be(bounds, taken):
    into = Collector("a.shp")
    shapes = Shapes("", bounds, 1, iter(()))
    if taken:
        assert _mover(shapes, into, "") is None
        assert codes(into.take()) == ["crs-assumed"]
    else:
        with pytest.raises(FileProblem, match="are not degrees"):
            _mover(shapes, into, "")


def test_a_shapefile_without_features_says_so():
    into = Collector("a.shp")
    _add(Shapes("", None, 0, iter(())), into, "")
    (note,) = into.take().notes
    assert (note.code, note.text) == ("empty-layer", "the layer has no features.")
    _add(Shapes("", None, 0, iter(())), into, "b.shp, ")
    assert into.take().notes[0].text == "b.shp, has no features."


# well-known binary


def header(kind, count=None, order="<"):

    raw = struct.pack(f"{order}BI", 1 if order == "<" else 0, kind)
    return raw + (b"" if count is None else struct.pack(f"{order}I", count))


def deep(levels):
    point = shapely.to_wkb(shapely.Point(1, 2))
    return header(7, 1) * levels + point


@pytest.mark.parametrize("order", ["<", ">"])
def test_binary_collections_nest_thirty_two_deep(order):
    """The outermost counts as one level, the shape in it as none."""
    assert shapes_from_binary([deep(31)])[0].geom_type == "GeometryCollection"
    with pytest.raises(UnreadableShapeError, match="nests deeper than 32"):
        shapes_from_binary([deep(32)])
    with pytest.raises(UnreadableShapeError, match="is of type 8"):
        shapes_from_binary([header(8, 1, order)])
    with pytest.raises(UnreadableShapeError, match="holds a part of type 15"):
        shapes_from_binary([header(7, 1, order) + header(15, 1, order)])
    with pytest.raises(UnreadableShapeError, match="a part of the wrong type"):
        shapes_from_binary([header(6, 1, order) + header(2, 0, order)])
    with pytest.raises(UnreadableShapeError, match="is cut off"):
        shapes_from_binary([header(7, 2, order) + header(7, 0, order)])


@pytest.mark.parametrize("flavor", ["iso", "extended"])
@pytest.mark.parametrize(
    "text",
    [
        "MULTIPOINT ({0}, {0})", "MULTILINESTRING (({0}, {0}), ({0}, {0}, {0}))",
        "MULTIPOLYGON ((({0}, {0}, {0}, {0}), ({0}, {0}, {0}, {0})), (({0}, {0}, {0}, {0})))",
        "GEOMETRYCOLLECTION (POINT ({0}), LINESTRING ({0}, {0}), POLYGON (({0}, {0}, {0}, {0})))",
    ],
)  # fmt: skip
def test_every_part_is_stepped_over_by_its_length(text, flavor):
    for ordinates in ("1 2", "1 2 3", "1 2 3 4"):
        mark = {3: "", 5: " Z", 7: " ZM"}[len(ordinates)]
        words = text.format(ordinates)
        for kind in ("MULTIPOINT", "MULTILINESTRING", "MULTIPOLYGON", "GEOMETRYCOLLECTION", "POINT",
                     "LINESTRING", "POLYGON"):  # fmt: skip
            words = words.replace(f"{kind} (", f"{kind}{mark} (")
        shape = shapely.from_wkt(words)
        for order, srid in itertools.product((0, 1), (False, flavor == "extended")):
            made = shapely.set_srid(shape, 4326) if srid else shape
            blob = shapely.to_wkb(
                made, output_dimension=4, byte_order=order, flavor=flavor, include_srid=srid
            )
            (back,) = shapes_from_binary([blob])
            assert shapely.to_wkt(back) == shapely.to_wkt(shape)
            with pytest.raises(UnreadableShapeError):
                shapes_from_binary([blob[:-9]])


# GeoPackages


def gpkg_blob(flags=1, size=0, srs=4326, shape=None):

    body = shapely.to_wkb(shape or shapely.box(0, 0, 1, 1))
    order = "<" if flags & 1 else ">"
    return b"GP\x00" + bytes([flags]) + struct.pack(f"{order}i", srs) + b"\0" * size + body


@pytest.mark.parametrize(("code", "size"), [(0, 0), (1, 32), (2, 48), (3, 48), (4, 64)])
@pytest.mark.parametrize("little", [0, 1])
def test_each_size_of_envelope_is_stepped_over(code, size, little):
    body = shapely.to_wkb(shapely.box(0, 0, 1, 1))
    out, systems = _blobs([(gpkg_blob(code << 1 | little, size),)], 0, "", Collector("a"))
    assert (out, systems) == ([body], {4326})


def test_shapes_that_are_empty_or_not_there_are_none():
    out, systems = _blobs([(None,), (gpkg_blob(0x11),)], 0, "", Collector("a"))
    assert (out, systems) == ([None, None], {4326})
    for raw in (gpkg_blob(5 << 1 | 1), gpkg_blob(0x21)):
        with pytest.raises(
            FileProblem, match=r"layer a, feature 8.*a header that is not read"
        ):
            _blobs([(raw,)], 7, "layer a, ", Collector("a"))
    for raw in (b"GP\x00\x01123", b"GQ\x00\x011234", "words"):
        with pytest.raises(FileProblem, match="not in the GeoPackage form"):
            _blobs([(raw,)], 0, "", Collector("a"))
    assert _blobs([(b"GP\x00\x111234",)], 0, "", Collector("a"))[0] == [None], (
        "eight bytes will do"
    )


def test_layers_are_told_apart_only_where_there_are_several(tmp_path):
    one, two = tmp_path / "one.gpkg", tmp_path / "two.gpkg"
    frame = gpd.GeoDataFrame({"name": ["A"]}, geometry=[shapely.box(0, 0, 1, 1)], crs=4326)
    none = frame.iloc[:0]
    frame.to_file(one, layer="fields")
    assert read_layer(one).feature == ("feature 1",)
    none.to_file(one, layer="empty")
    layer = read_layer(one)
    assert layer.feature == ("feature 1",), "of the layers that hold something"
    assert [note.text for note in layer.notes] == ["layer empty, has no features."]
    frame.to_file(two, layer="fields")
    frame.to_file(two, layer="woods")
    assert read_layer(two).feature == ("layer fields, feature 1", "layer woods, feature 1")
    assert read_layer(two, layer="WOODS").feature == ("feature 1",)
    with pytest.raises(FileProblem, match="has no layer “x”.*“fields”, “woods”"):
        read_layer(two, layer="x")


def test_a_geopackage_is_opened_for_nothing_but_reading(tmp_path):

    path = tmp_path / "a.gpkg"
    gpd.GeoDataFrame({"name": ["A"]}, geometry=[shapely.box(0, 0, 1, 1)], crs=4326).to_file(
        path
    )
    base = geopackage._Base(path)
    try:
        assert base.base.getlimit(sqlite3.SQLITE_LIMIT_LENGTH) == 256_000_000
        assert base.base.getlimit(sqlite3.SQLITE_LIMIT_ATTACHED) == 0
        assert base.base.getlimit(sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH) == 0
        assert base.all("SELECT count(*) FROM a") == [(1,)]
        for statement in ("DELETE FROM a", "SELECT upper(name) FROM a", "PRAGMA page_size"):
            with pytest.raises(sqlite3.DatabaseError):
                base.all(statement)
    finally:
        base.base.close()


@pytest.mark.parametrize(
    ("ending", "head", "refused"),
    [("-wal", b"x", True), ("-wal", b"", False), ("-journal", b"\0" * 8, False),
     ("-journal", bytes.fromhex("d9d505f920a163d7"), True)],
)  # fmt: skip
def test_changes_beside_a_geopackage_are_not_overlooked(tmp_path, ending, head, refused):
    path = tmp_path / "a.gpkg"
    gpd.GeoDataFrame({"name": ["A"]}, geometry=[shapely.box(0, 0, 1, 1)], crs=4326).to_file(
        path
    )
    (tmp_path / f"a.gpkg{ending}").write_bytes(head)
    if refused:
        with pytest.raises(FileProblem, match="has changes that are not in it yet"):
            read_layer(path)
    else:
        assert len(read_layer(path).geometry) == 1


# a process of its own for a large shapefile


def told_by_the_process(monkeypatch, path, block=4096):
    """Return what the other process would say of a shapefile: its head, its blocks, its end."""
    out = io.BytesIO()
    held = []
    monkeypatch.setattr(sys, "stdout", SimpleNamespace(buffer=out))
    monkeypatch.setattr(sys, "argv", ["", "", str(path), "17"])
    monkeypatch.setattr(own_process, "_hold", held.append)
    monkeypatch.setattr(own_process, "BLOCK_FEATURES", block)
    own_process.main()
    monkeypatch.undo()
    assert held == [17]
    out.seek(0)
    head = json.loads(out.readline())
    if "problem" in head:
        return head, []
    blocks = []
    while (said := json.loads(out.readline())).get("sizes"):
        blobs = [out.read(size) for size in said["sizes"]]
        shapes = [shapely.from_wkb(blob) if blob else None for blob in blobs]
        blocks.append(list(zip(shapes, said["names"], said["kinds"], strict=True)))
    assert out.read() == b""
    return head, blocks


def test_the_other_process_tells_each_shape_with_its_name_and_kind(tmp_path, monkeypatch):
    boxes = [shapely.box(n, 0, n + 1, 1) for n in range(5)]
    boxes[1] = None
    frame = gpd.GeoDataFrame(
        {"NAME": list("abcde"), "kind": ["plot"] * 5}, geometry=boxes, crs=4326
    )
    frame.to_file(tmp_path / "f.shp")
    head, blocks = told_by_the_process(monkeypatch, tmp_path / "f.shp", block=2)
    assert (head["count"], head["bounds"]) == (5, [0.0, 0.0, 5.0, 1.0])
    assert "WGS" in head["system"]
    assert [len(block) for block in blocks] == [2, 2, 1]
    rows = [row for block in blocks for row in block]
    assert [(name, kind) for _, name, kind in rows] == [(n, "plot") for n in "abcde"]
    assert rows[1][0] is None
    assert [shape.bounds[0] for shape, *_ in rows if shape] == [0.0, 2.0, 3.0, 4.0]


def test_the_other_process_tells_what_keeps_it_from_reading(tmp_path, monkeypatch):
    (tmp_path / "f.shp").write_bytes(b"no shapefile")
    head, _ = told_by_the_process(monkeypatch, tmp_path / "f.shp")
    assert head["problem"]

    def greedy(_path):
        raise MemoryError

    monkeypatch.setattr(own_process, "open_shapes", greedy)
    head, _ = told_by_the_process(monkeypatch, tmp_path / "f.shp")
    assert head == {"problem": "not enough memory"}


def test_the_other_process_is_held_to_its_memory_and_its_seconds(monkeypatch):
    resource = pytest.importorskip("resource")
    limits = {}
    monkeypatch.setattr(resource, "setrlimit", limits.__setitem__)
    own_process._hold(15)
    assert limits == {
        resource.RLIMIT_AS: (3_000_000_000, 3_000_000_000), resource.RLIMIT_CPU: (15, 15),
    }  # fmt: skip


@pytest.mark.parametrize(("size", "python", "own"), [
    (200_000, "/usr/bin/python3", False), (200_001, "/usr/bin/python3", True),
    (200_001, "/opt/quietacre", False), (200_001, None, False),
])  # fmt: skip
def test_only_a_large_shapefile_has_a_process_of_its_own(
    tmp_path, monkeypatch, size, python, own
):
    path = tmp_path / "f.shp"
    with path.open("wb") as handle:
        handle.truncate(size)
    monkeypatch.setattr(sys, "executable", python)
    assert own_process.can_read_in_own_process(path) is own


def test_a_process_that_never_ends_is_ended_and_the_file_said_to_be_slow(
    tmp_path, monkeypatch
):
    path = tmp_path / "f.shp"
    path.write_bytes(b"0" * 10)
    monkeypatch.setattr(own_process, "START", "import time; time.sleep(60)")
    monkeypatch.setattr(own_process, "allowed_seconds", lambda _size: 0.2)
    monkeypatch.setattr(own_process, "PATIENCE", 1.0)
    with (
        pytest.raises(FileProblem, match="could not be read within 0 seconds"),
        own_process.shapes_from_own_process(path, Collector("f.shp"), ""),
    ):
        pass


# how deep and how many, in KML


def kml_file(tmp_path, text):
    path = tmp_path / "a.kml"
    path.write_text(text)
    return read_layer(path)


PLACED = "<Placemark><Point><coordinates>1,2</coordinates></Point></Placemark>"


def test_elements_of_a_kml_file_nest_512_deep(tmp_path):
    """The outermost is the first, and the coordinates of a point lie three below its placemark."""

    def nested(folders):
        return f"<kml>{'<Folder>' * folders}{PLACED}{'</Folder>' * folders}</kml>"

    assert len(kml_file(tmp_path, nested(508)).waypoints) == 1
    with pytest.raises(FileProblem, match="nests elements deeper than 512"):
        kml_file(tmp_path, nested(509))


def test_many_lines_of_a_kml_file_are_drawings_and_no_walks(tmp_path):
    line = "<Placemark><LineString><coordinates>0,0 1,0 1,1 0,0</coordinates></LineString></Placemark>"
    few = kml_file(tmp_path, f"<kml>{line * 200}</kml>")
    assert (len(few.tracks), len(few.geometry)) == (200, 0)
    many = kml_file(tmp_path, f"<kml>{line * 201}</kml>")
    assert (len(many.tracks), len(many.geometry)) == (0, 201)
    assert "lines-as-drawn" in codes(many)


def test_a_place_of_a_kml_file_may_have_a_height(tmp_path):
    layer = kml_file(tmp_path, f"<kml>{PLACED.replace('1,2', '1,2,99')}</kml>")
    assert [(p.lon, p.lat) for p in layer.waypoints] == [(1.0, 2.0)]
    with pytest.raises(FileProblem, match="is not KML"):
        kml_file(tmp_path, "<gpx/>")
    with pytest.raises(FileProblem, match="is not a KML file, or a damaged one"):
        kml_file(tmp_path, "<kml>")
    both = "<Placemark><MultiGeometry>{0}{0}</MultiGeometry></Placemark>".format(
        "<Point><coordinates>1,2</coordinates></Point>"
    )
    assert len(kml_file(tmp_path, f"<kml>{both}</kml>").waypoints) == 2
    kind = '<ExtendedData><Data name="KIND"><value>plot</value></Data></ExtendedData>'
    ring = "<Polygon><outerBoundaryIs><LinearRing><coordinates>0,0 1,0 1,1 0,0</coordinates></LinearRing></outerBoundaryIs></Polygon>"
    layer = kml_file(
        tmp_path, f"<kml><Placemark><name> A </name>{kind}{ring}{ring}</Placemark></kml>"
    )
    assert (layer.kind, layer.name, layer.geometry[0].geom_type) == (
        ("plot",),
        ("A",),
        "MultiPolygon",
    )
    assert layer.feature == ("placemark 1 “A”",)
