"""Archives, shapefiles and binary shapes: each read whole or told in full."""

import json
import stat
import struct
import zipfile

import pytest
import shapely

from quietacre.errors import FileProblem
from quietacre.intake.archive import Member, check_entries, others_inside, unpack
from quietacre.intake.collect import Collector
from quietacre.intake.gdal import _add, _literal, collect_shapefile
from quietacre.intake.shapes import Shapes
from quietacre.intake.vector import OwnUnits, read_batches, read_layer
from quietacre.intake.wkb import UnreadableShapeError, shape_from_text, shapes_from_binary


def refused(reader, *given, kind=FileProblem, **more):
    with pytest.raises(kind) as problem:
        reader(*given, **more)
    return str(problem.value)


def said(layer):
    return [(note.code, note.level, note.head, note.more) for note in layer.notes]


# archives


KML = "<kml><Placemark><Point><coordinates>1,2</coordinates></Point></Placemark></kml>"


def archive(path, **files):
    with zipfile.ZipFile(path, "w") as made:
        for name, text in files.items():
            made.writestr(name.replace("_", ".").replace("0", "/"), text)
    return path


def test_files_are_unpacked_under_plain_names_and_siblings_stay_together(tmp_path):
    path = archive(
        tmp_path / "a.zip", a_SHP="1", b_shp="2", a_dbf="3", c_txt="4", x0a_shp="5"
    )
    made = unpack(path, tmp_path / "out", "a.zip", (".shp", ".dbf"))
    assert made == [
        Member("a.SHP", tmp_path / "out" / "0" / "file.shp"),
        Member("b.shp", tmp_path / "out" / "1" / "file.shp"),
        Member("a.dbf", tmp_path / "out" / "0" / "file.dbf"),
        Member("x/a.shp", tmp_path / "out" / "2" / "file.shp"),
    ]
    assert [member.path.read_text() for member in made] == ["1", "2", "3", "5"]
    assert others_inside(path, (".txt", ".dbf")) == ["a.dbf", "c.txt"]


def test_leftovers_of_a_system_are_not_unpacked(tmp_path):
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w") as made:
        for name in ("__MACOSX/a.kml", "x/._a.kml", "x/a.kml", "x\\b.KML"):
            made.writestr(name, KML)
    names = [member.name for member in unpack(path, tmp_path / "out", "a", (".kml",))]
    assert names == ["x/a.kml", "x/b.KML"]


def entry(name="a.shp", **more):
    made = zipfile.ZipInfo(name)
    for key, value in more.items():
        setattr(made, key, value)
    return made


ENTRIES = [
    ([entry(), entry()], "a.shp: an entry is in it twice; zip it again"),
    ([entry(external_attr=stat.S_IFLNK << 16)], "a.shp: an entry is a link; zip the files themselves"),
    ([entry(flag_bits=3)], "a.shp: an entry is locked with a password; zip it without one"),
    ([entry("../a")], "../a: an entry reaches outside the archive; zip it again"),
    ([entry("/a")], "/a: an entry reaches outside the archive; zip it again"),
    ([entry("c:a")], "c:a: an entry reaches outside the archive; zip it again"),
    ([entry(file_size=1_000_001, compress_size=5000)],
     "a.shp: an entry expands 200-fold; the limit is 200; zip it again"),
    ([entry(file_size=2_000_000, compress_size=0)],
     "a.shp: an entry expands 2,000,000-fold; the limit is 200; zip it again"),
]  # fmt: skip


@pytest.mark.parametrize(("entries", "words"), ENTRIES)
def test_entries_that_cannot_be_are_told(entries, words):
    assert refused(check_entries, entries, "z") == f"z: {words}"


def test_entries_at_the_limits_are_taken():
    good = [
        entry("a", flag_bits=2), entry("b", file_size=1_000_000, compress_size=1),
        entry("c", file_size=2_000_000, compress_size=10_000), entry("..d"), entry("e/..f"),
    ]  # fmt: skip
    assert check_entries(good, "z") is None
    assert check_entries(good, "z", most_entries=5, most_bytes=3_000_000) is None
    assert refused(check_entries, good, "z", most_entries=4) == (
        "z: holds 5 entries; the limit is 4; split it"
    )
    assert refused(check_entries, good, "z", most_bytes=2_999_999).startswith(
        "z: expands to "
    )


def test_a_kmz_and_a_zip_of_drawn_maps(tmp_path):
    one = read_layer(archive(tmp_path / "a.kmz", doc_kml=KML))
    assert (len(one.waypoints), one.source) == (1, str(tmp_path / "a.kmz"))
    bad = archive(tmp_path / "b.kmz", a_kml=KML, b_kml="<gpx/>")
    assert (
        refused(read_layer, bad, shown="b")
        == "b: b.kml, is not KML; check what the file is"
    )
    alone = archive(tmp_path / "c.kmz", b_kml="<gpx/>")
    assert refused(read_layer, alone, shown="c") == "c: is not KML; check what the file is"
    assert refused(read_layer, archive(tmp_path / "d.kmz", a_txt=""), shown="d") == (
        "d: holds no KML; export it again"
    )
    both = archive(tmp_path / "e.zip", b_kml="<gpx/>", a_kml=KML, c_gpx="", d_csv="")
    assert (
        refused(read_layer, both, shown="e")
        == "e: b.kml, is not KML; check what the file is"
    )
    layer = read_layer(
        archive(tmp_path / "f.zip", a_kml=KML, c_gpx="", d_csv="", e_zip="", f_json="")
    )
    assert said(layer)[0] == (
        "not-read-in-zip", "warning", "left unread: c.gpx, d.csv, e.zip …",
        "Only shapefiles and KML are read in a zip; give other files as they are.",
    )  # fmt: skip
    assert refused(read_layer, archive(tmp_path / "g.zip", a_txt=""), shown="g") == (
        "g: holds no shapefile and no KML; zip the .shp, .shx, .dbf and .prj together"
    )
    (tmp_path / "h.zip").write_bytes(b"PK")
    assert refused(read_layer, tmp_path / "h.zip", shown="h") == (
        "h: is a broken or unusual zip archive; zip it again"
    )


# which reader


def test_files_that_no_reader_takes(tmp_path):
    for name, words in (("a.xyz", ".xyz"), ("a", "nothing")):
        (tmp_path / name).write_text("x")
        assert refused(read_layer, tmp_path / name, shown="f").startswith(
            f"f: files ending in “{words}” are not read; export it as one of .gpx .geojson"
        )
    assert refused(read_layer, "/vsizip/a.shp", shown="f") == (
        "f: is not a file of yours; give a plain file"
    )
    assert refused(read_layer, tmp_path / "a.kml", shown="f", layer="x") == (
        "f: has no layers to choose “x” from; leave --layer out, or give a .gpkg"
    )


def test_legs_and_calls_come_as_such_with_the_units_of_the_person(tmp_path):
    legs, calls = tmp_path / "a.csv", tmp_path / "a.txt"
    legs.write_text("bearing,distance\n10,10 paces\n100,5 ft\n190,4 ft\n")
    calls.write_text("Thence N 45° E 10 varas; thence S 45° E 20 feet")
    own = OwnUnits(pace_ft=2.5, vara_ft=2.75)
    made = read_layer(legs, shown="f", own_units=own)
    assert (made.source, made.traverse.legs[0].length_ft, made.deed) == ("f", 25.0, None)
    assert (len(made.geometry), made.name, made.kind, made.feature) == (0, (), (), ())
    deed = read_layer(calls, own_units=own).deed
    assert deed.calls[0].leg.length_ft == 27.5
    assert "give --vara-ft" in read_layer(calls).deed.calls[0].problem


def test_a_reader_of_another_ending_is_given_the_file_and_its_name(tmp_path):
    path = tmp_path / "a.XYZ"
    path.write_text("x")
    readers = {".xyz": lambda path, shown: (path.name, shown)}
    assert read_layer(path, readers=readers, shown="f") == ("a.XYZ", "f")


def test_parts_of_a_file_keep_their_columns_and_say_the_rest_once(tmp_path, monkeypatch):
    monkeypatch.setattr("quietacre.intake.vector.STREAM_FEATURES", 2)
    path = tmp_path / "a.geojson"
    shapes = [shapely.box(n, 0, n + 0.5, 1) for n in range(3)] + [shapely.Point(9, 9)]
    features = [
        {"type": "Feature", "properties": {"name": f"n{n}", "kind": "plot", "c": n},
         "geometry": json.loads(shapely.to_geojson(shape))}
        for n, shape in enumerate(shapes)
    ]  # fmt: skip
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    (first, done, total), (second, all_done, of_all) = read_batches(path, shown="f")
    assert (done, total, all_done, of_all) == (2, 3, 3, 3)
    assert (first.name, second.name, second.kind) == (("n0", "n1"), ("n2",), ("plot",))
    assert (first.columns, second.columns) == (({"c": 0}, {"c": 1}), ({"c": 2},))
    assert second.feature == ("feature 3 “n2”",)
    assert [len(part.geometry) for part in (first, second)] == [2, 1]
    assert (len(first.waypoints), len(first.notes)) == (1, 1)
    assert (second.waypoints, second.notes, second.tracks) == ((), (), ())
    path.write_text(json.dumps(features[3]))
    ((only, done, total),) = read_batches(path)
    assert (only.source, len(only.waypoints), done, total) == (str(path), 1, 0, 0)


# shapefiles


HEAD = b"\x00\x00\x27\x0a" + bytes(20) + (50).to_bytes(4, "big") + bytes(4)
SHP = HEAD + (5).to_bytes(4, "little") + bytes(64)


def shapefile(folder, shp=SHP, **others):
    (folder / "a.shp").write_bytes(shp)
    for ending, data in others.items():
        (folder / f"a.{ending}").write_bytes(data)
    return refused(collect_shapefile, folder / "a.shp", Collector("f"), "part, ")


def dbf(rows, head=12, row=3, more=0):
    return struct.pack("<4xIHH", rows, head, row) + bytes(rows * row + more)


SHAPEFILES = [
    ({"shp": b"nothing"}, "is not a shapefile; check what the file is"),
    ({"shp": HEAD + (2).to_bytes(4, "little") + bytes(64)},
     "holds no known type of shape; export it again"),
    ({"shp": SHP[:-1]}, "is cut off: it has 99 of its 100 bytes; copy or export it again"),
    ({}, "its .shx file is missing; keep the .shp, .shx, .dbf and .prj together"),
    ({"shx": SHP[:24] + (51).to_bytes(4, "big") + SHP[28:]},
     "its .shx file is cut off: it has 100 of its 102 bytes; copy or export it again"),
    ({"shx": SHP[:50]}, "its .shx file is cut off: it has 50 of its 100 bytes; copy or export it again"),
    ({"shx": SHP, "dbf": dbf(2)[:-1]},
     "its .dbf file is cut off: it has 17 of its 18 bytes; copy or export it again"),
    ({"shx": SHP + bytes(8), "dbf": dbf(2)}, "has 1 shapes and 2 rows of names; export it again; "
     "its .shp, .shx and .dbf do not belong together"),
    ({"shx": SHP + bytes(8), "dbf": dbf(1, more=4), "prj": b"EPSG:4326"},
     "its .prj file is not a reference system; export it again in WGS84"),
]  # fmt: skip


@pytest.mark.parametrize(("files", "words"), SHAPEFILES)
def test_a_shapefile_that_is_not_whole_is_told(tmp_path, files, words):
    files = dict(files)
    assert shapefile(tmp_path, files.pop("shp", SHP), **files) == f"f: part, {words}"


def gathered(label="", **more):
    into = Collector("f")
    rows = [(shapely.box(1, 2, 3, 4), {"name": "A"}), (None, {})]
    given = {"system": "", "bounds": (1, 2, 3, 4), "count": 2, "rows": iter(rows)} | more
    _add(Shapes(**given), into, label)
    return into


def test_features_of_a_shapefile_are_numbered_and_degrees_believed():
    layer = gathered("part, ").layer()
    assert (layer.geometry.tolist(), layer.name) == ([shapely.box(1, 2, 3, 4)], ("A",))
    assert layer.feature == ("part, feature 1",)
    assert [(note.code, note.level, note.head) for note in layer.notes] == [
        ("crs-assumed", "caution", "part, does not say its reference system; its coordinates "
         "look like degrees and are taken as WGS84."),
        ("left-out", "caution", "1 feature without a shape is left out: part, feature 2."),
    ]  # fmt: skip
    assert gathered(bounds=(-360, -90, 360, 90)).layer().name == ("A",)
    empty = gathered(count=0, rows=iter(()), bounds=None)
    assert [(n.code, n.level, n.head) for n in empty._notes] == [
        ("empty-layer", "info", "the layer has no features.")
    ]
    assert refused(gathered, bounds=(500_000.5, 1, 500_001, 2)) == (
        "f: does not say its reference system (no .prj), and its coordinates such as 500000.5, 1 "
        "are not degrees; add its .prj file, or export it in WGS84"
    )
    for bounds in ((-361, 0, 1, 1), (0, -91, 1, 1), (0, 0, 361, 1), (0, 0, 1, 91)):
        assert "are not degrees" in refused(gathered, bounds=bounds)
    assert refused(gathered, "part, ", system="none such").startswith(
        "f: part: its reference"
    )
    assert _literal("a[1]*?b") == "a[[]1][*][?]b"


# binary shapes


def part(kind, *, order="<", code=0):
    return struct.pack(f"{order}BI", order == "<", kind + code)


BINARY = [
    (part(8) + bytes(4), "is of type 8, which has curves or surfaces that are not read"),
    (part(3)[:4], "is cut off"), (b"", "is cut off"), (part(4)[:6], "is cut off"),
    (part(6) + struct.pack("<I", 1) + part(2), "is not sound (a part of the wrong type)"),
    (part(7) + struct.pack("<I", 1) + part(17) + bytes(4), "holds a part of type 17, which is not read"),
    (part(4) + struct.pack("<I", 2) + part(1) + bytes(16), "is cut off"),
]  # fmt: skip


@pytest.mark.parametrize(("blob", "words"), BINARY)
def test_binary_that_is_no_shape_says_why(blob, words):
    assert refused(shapes_from_binary, [blob], kind=UnreadableShapeError) == words


@pytest.mark.parametrize("order", [0, 1])
@pytest.mark.parametrize("dimension", ["", " Z", " M", " ZM"])
@pytest.mark.parametrize("flavor", ["extended", "iso"])
def test_parts_of_every_kind_are_stepped_over(order, dimension, flavor):
    more = {"": "", " Z": " 5", " M": " 5", " ZM": " 5 6"}[dimension]
    corner = [f"{x} {y}{more}" for x, y in ((0, 0), (1, 0), (1, 1), (0, 0))]
    ring = f"({', '.join(corner)})"
    text = (
        f"GEOMETRYCOLLECTION{dimension} (POINT{dimension} ({corner[0]}), "
        f"LINESTRING{dimension} {ring}, POLYGON{dimension} ({ring}, {ring}), "
        f"MULTIPOLYGON{dimension} (({ring}), ({ring})), POINT{dimension} ({corner[1]}))"
    )
    shape = shapely.from_wkt(text)
    blob = shapely.to_wkb(shape, byte_order=order, flavor=flavor, include_srid=False)
    (made,) = shapes_from_binary([blob])
    assert shapely.to_wkt(made) == shapely.to_wkt(shape)
    with_srid = shapely.to_wkb(
        shapely.set_srid(shape, 4326), byte_order=order, include_srid=True
    )
    assert shapely.to_wkt(shapes_from_binary([with_srid])[0]) == shapely.to_wkt(shape)


def test_words_nest_so_deep_and_no_deeper():
    deep = "GEOMETRYCOLLECTION (" * 31 + "POINT (1 2)" + ")" * 31
    assert shape_from_text(deep).geom_type == "GeometryCollection"
    words = refused(
        shape_from_text, f"GEOMETRYCOLLECTION ({deep})", kind=UnreadableShapeError
    )
    assert words == "nests deeper than 32"
    assert refused(shape_from_text, "POINT", kind=UnreadableShapeError) == (
        "is not well-known text"
    )
