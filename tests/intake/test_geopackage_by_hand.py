"""GeoPackages written table by table: each blob, layer and column is laid by hand."""

import contextlib
import sqlite3
import struct

import pytest
import shapely

from quietacre.errors import FileProblem
from quietacre.intake import geopackage
from quietacre.intake.collect import Collector
from quietacre.intake.geopackage import collect_geopackage, stream_geopackage
from quietacre.intake.vector import read_layer

FIELD, POND = shapely.box(-88.0, 34.0, -87.9, 34.1), shapely.box(-87.8, 34.0, -87.7, 34.1)


def blob(shape, *, srs=4326, order=1, envelope=0, empty=False, more=0):
    """Return a shape in the GeoPackage form: GP, version, flags, system, envelope, binary."""
    flags = order | envelope << 1 | 0x10 * empty | more
    size = {0: 0, 1: 4, 2: 6, 3: 6, 4: 8}.get(envelope, 0)
    head = b"GP" + bytes([0, flags]) + struct.pack("<i" if order else ">i", srs)
    return head + struct.pack("<d", 7.0) * size + shapely.to_wkb(shape)


def package(path, layers, systems=(), srs=4326):
    """Write a GeoPackage of ``layers``: a name, the columns, the rows."""
    base = sqlite3.connect(path)
    base.executescript(
        "CREATE TABLE gpkg_contents (table_name, data_type);"
        "CREATE TABLE gpkg_geometry_columns (table_name, column_name, srs_id);"
        "CREATE TABLE gpkg_spatial_ref_sys"
        " (srs_id, organization, organization_coordsys_id, definition);"
        "INSERT INTO gpkg_spatial_ref_sys VALUES (4326, 'epsg', 4326, 'not read');"
    )
    base.executemany("INSERT INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?)", systems)
    for name, columns, rows in layers:
        base.execute("INSERT INTO gpkg_contents VALUES (?, 'features')", (name,))
        base.execute("INSERT INTO gpkg_geometry_columns VALUES (?, 'geom', ?)", (name, srs))
        quoted = name.replace('"', '""')
        base.execute(f'CREATE TABLE "{quoted}" ({columns})')
        for row in rows:
            marks = ", ".join("?" * len(row))
            base.execute(f'INSERT INTO "{quoted}" VALUES ({marks})', row)  # noqa: S608 - our own
    base.commit()
    base.close()
    return path


def said(layer):
    return [(note.code, note.level, note.head) for note in layer.notes]


def refused(path, **asked):
    with pytest.raises(FileProblem) as problem:
        read_layer(path, shown="a.gpkg", **asked)
    return str(problem.value)


TWO = [
    ('odd "one"', "geom, NAME, Kind", [(blob(FIELD), "North", "plot"), (None, "x", "")]),
    ("pond", "fid INTEGER PRIMARY KEY, Geom, name", [(1, blob(POND), "Pond")]),
]  # fmt: skip


def test_two_layers_are_read_one_after_the_other_with_their_names(tmp_path):
    path = package(tmp_path / "a.gpkg", TWO)
    layer = read_layer(path, shown="a.gpkg")
    assert layer.geometry.tolist() == [FIELD, POND]
    assert layer.name == ("North", "Pond")
    assert layer.kind == ("plot", "")
    assert layer.feature == ('layer odd "one", feature 1', "layer pond, feature 1")
    assert layer.columns == ()
    assert said(layer) == [
        ("left-out", "caution",
         '1 feature without a shape is left out: layer odd "one", feature 2.'),
    ]  # fmt: skip


def test_one_layer_is_read_by_its_name_whatever_its_capitals(tmp_path):
    path = package(tmp_path / "a.gpkg", TWO)
    layer = read_layer(path, layer="POND")
    assert (layer.name, layer.feature) == (("Pond",), ("feature 1",))
    assert refused(path, layer="Hill") == (
        'a.gpkg: has no layer “Hill”; name one of its layers: “odd "one"”, “pond”'
    )


def test_at_most_twelve_layers_are_named(tmp_path):
    many = [(f"l{n:02}", "geom", [(blob(FIELD),)]) for n in range(13)]
    text = refused(package(tmp_path / "a.gpkg", many), layer="none")
    assert text.endswith(", ".join(f"“l{n:02}”" for n in range(12)))
    nothing = package(tmp_path / "b.gpkg", [])
    assert refused(nothing, layer="x").endswith("name one of its layers: none")
    assert refused(nothing) == (
        "a.gpkg: has no layer of features; export it again with one"
    )


def test_the_feature_count_and_what_is_done_are_told_block_by_block(tmp_path, monkeypatch):
    rows = [(blob(shapely.box(n, 1, n + 0.5, 2)),) for n in range(5)]
    path = package(tmp_path / "a.gpkg", [("a", "geom", rows), ("b", "geom", rows[:2])])
    monkeypatch.setattr(geopackage, "ROWS", 3)
    into = Collector("a.gpkg")
    assert list(stream_geopackage(path, into)) == [(3, 7), (5, 7), (7, 7)]
    assert into.layer().feature == (
        *(f"layer a, feature {n}" for n in range(1, 6)),
        "layer b, feature 1", "layer b, feature 2",
    )  # fmt: skip


def test_other_columns_are_kept_only_where_asked_for(tmp_path):
    columns = (
        "fid INTEGER PRIMARY KEY, geom BLOB, Name, Crop, Acres, "
        "twice GENERATED ALWAYS AS (Acres * 2)"
    )
    path = tmp_path / "a.gpkg"
    package(path, [("a", columns, [])])
    base = sqlite3.connect(path)
    base.execute(
        "INSERT INTO a (geom, Name, Crop, Acres) VALUES (?, 'N', 'oats', 2.5)",
        (blob(FIELD),),
    )
    base.commit()
    base.close()
    kept, plain = Collector("a", keep=True), Collector("a")
    for into in (kept, plain):
        collect_geopackage(path, into)
    assert kept.layer().columns == ({"Crop": "oats", "Acres": 2.5},)
    assert plain.layer().columns == ()


@pytest.mark.parametrize("order", [0, 1])
@pytest.mark.parametrize("envelope", [0, 1, 2, 3, 4])
def test_every_envelope_in_either_byte_order(tmp_path, order, envelope):
    row = (blob(FIELD, order=order, envelope=envelope),)
    layer = read_layer(package(tmp_path / "a.gpkg", [("a", "geom", [row])]))
    assert (layer.geometry.tolist(), said(layer)) == ([FIELD], [])


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ("POLYGON", "its shape is not in the GeoPackage form; export it again"),
        (
            b"GP\x00\x01\x00\x00\x00",
            "its shape is not in the GeoPackage form; export it again",
        ),
        (
            b"GQ" + blob(FIELD)[2:],
            "its shape is not in the GeoPackage form; export it again",
        ),
        (
            blob(FIELD, envelope=5),
            "its shape has a header that is not read; export it again",
        ),
        (
            blob(FIELD, more=0x20),
            "its shape has a header that is not read; export it again",
        ),
        (blob(FIELD)[:40], "its shape is not sound"),
        (blob(FIELD)[:8], "its shape is cut off; draw it again"),
    ],
)
def test_a_shape_that_is_none_is_named_by_its_number(tmp_path, raw, words):
    """The first is sound and the second is nothing, so it is the third."""
    rows = [(blob(FIELD),), (None,), (raw,)]
    text = refused(package(tmp_path / "a.gpkg", [("a", "geom", rows)]))
    assert text.startswith(f"a.gpkg: feature 3: {words}")


def test_a_shape_is_numbered_on_from_one_block_to_the_next(tmp_path, monkeypatch):
    monkeypatch.setattr(geopackage, "ROWS", 2)
    good = (blob(FIELD),)
    broken = package(
        tmp_path / "a.gpkg", [("a", "geom", [good, good, good, (blob(FIELD)[:8],)])]
    )
    assert refused(broken).startswith("a.gpkg: feature 4: its shape is cut off")
    words = package(tmp_path / "b.gpkg", [("a", "geom", [good, good, good, ("x",)])])
    assert refused(words).startswith("a.gpkg: feature 4: its shape is not in the")


def test_a_shape_flagged_empty_is_none_whatever_follows(tmp_path):
    rows = [(blob(FIELD, empty=True),), (blob(POND),)]
    layer = read_layer(package(tmp_path / "a.gpkg", [("a", "geom", rows)]))
    assert (layer.geometry.tolist(), layer.feature) == ([POND], ("feature 2",))


@pytest.mark.parametrize("own", [-1, 0, 4326])
def test_a_shape_of_no_system_or_of_the_layers_is_nothing_to_say(tmp_path, own):
    rows = [(blob(FIELD, srs=own),)]
    assert not read_layer(package(tmp_path / "a.gpkg", [("a", "geom", rows)])).notes


def test_shapes_that_name_another_system_are_told_with_the_lowest(tmp_path):
    rows = [(blob(FIELD, srs=4267),), (blob(POND, srs=4269),)]
    one, two = ("a", "geom", rows), ("b", "geom", rows[:1])
    words = "some shapes say reference system 4267, the layer 4326; the layer's was used."
    alone = read_layer(package(tmp_path / "a.gpkg", [one]))
    assert said(alone) == [("crs-differs", "warning", f"the layer: {words}")]
    both = read_layer(package(tmp_path / "b.gpkg", [one, two]))
    assert said(both)[:2] == [
        ("crs-differs", "warning", f"layer a, {words}"),
        ("crs-differs", "warning", f"layer b, {words}"),
    ]


def test_a_layer_without_a_system_is_taken_as_degrees_and_said(tmp_path):
    rows = [(blob(FIELD, srs=0),)]
    words = "does not say its reference system; its coordinates are taken as WGS84."
    alone = read_layer(package(tmp_path / "a.gpkg", [("a", "geom", rows)], srs=0))
    assert said(alone) == [("crs-assumed", "caution", f"it {words}")]
    assert alone.geometry.tolist() == [FIELD]
    two = [("a", "geom", rows), ("b", "geom", [(blob(POND, srs=0),)])]
    both = read_layer(package(tmp_path / "b.gpkg", two, srs=0))
    assert said(both) == [
        ("crs-assumed", "caution", f"layer a, {words}"),
        ("crs-assumed", "caution", f"layer b, {words}"),
    ]


@pytest.mark.parametrize("srs", [-1, 424242])
def test_a_layer_of_an_unknown_system_is_refused_with_its_number(tmp_path, srs):
    listed = [(-1, "NONE", -1, "undefined")]
    path = package(
        tmp_path / "a.gpkg", [("a", "geom", [(blob(FIELD),)])], systems=listed, srs=srs
    )
    assert refused(path) == (
        f"a.gpkg: does not say its reference system (number {srs}); give the layer its "
        "reference system, or export it in WGS84"
    )


@pytest.mark.parametrize(
    "system",
    [
        (7, "EPSG", 4326, "nothing"),
        (7, "ours", 1, "EPSG:4326"),
        (7, "EPSG", "x", "EPSG:4326"),
    ],
)
def test_a_system_is_read_by_its_code_or_by_its_words(tmp_path, system):
    path = package(
        tmp_path / "a.gpkg", [("a", "geom", [(blob(FIELD, srs=7),)])], [system], srs=7
    )
    assert read_layer(path).geometry.tolist() == [FIELD]


def test_a_system_that_is_none_is_named_with_its_layer(tmp_path):
    layers = [(name, "geom", [(blob(FIELD, srs=7),)]) for name in "ab"]
    path = package(tmp_path / "a.gpkg", layers, [(7, "ours", 1, "no words of any")], srs=7)
    assert refused(path) == (
        "a.gpkg: layer a: its reference system is not known; export it in WGS84"
    )


def test_a_layer_without_features_is_told_and_the_others_are_read(tmp_path):
    path = package(
        tmp_path / "a.gpkg", [("a", "geom", []), ("b", "geom", [(blob(FIELD),)])]
    )
    layer = read_layer(path)
    assert said(layer) == [("empty-layer", "info", "layer a, has no features.")]
    assert layer.feature == ("feature 1",)
    assert refused(package(tmp_path / "b.gpkg", [("a", "geom", [])])).startswith("a.gpkg: ")


def test_the_most_features_are_counted_over_all_layers(tmp_path, monkeypatch):
    row = (blob(FIELD),)
    path = package(tmp_path / "a.gpkg", [("a", "geom", [row, row]), ("b", "geom", [row])])
    monkeypatch.setattr(geopackage, "MAX_FEATURES", 3)
    assert len(read_layer(path).name) == 3
    monkeypatch.setattr(geopackage, "MAX_FEATURES", 2)
    assert refused(path) == "a.gpkg: holds more than 2 features; split it"


CHANGES = [
    ("DELETE FROM gpkg_geometry_columns", "layer “a” has no shapes; export it again"),
    ("UPDATE gpkg_geometry_columns SET srs_id = 'x'", "layer “a” has no shapes; export it again"),
    ("UPDATE gpkg_geometry_columns SET column_name = 'x'", "layer “a” has no column “x”; export it again"),
    ("UPDATE gpkg_contents SET table_name = 'b'", "layer “b” is not in it; export it again"),
    ("DROP TABLE gpkg_geometry_columns", "has no table gpkg_geometry_columns; export it again"),
    ("DROP TABLE gpkg_spatial_ref_sys", "has no table gpkg_spatial_ref_sys; export it again"),
    ("ALTER TABLE a RENAME TO r; CREATE VIEW a AS SELECT * FROM r",
     "layer “a” is a view, which is never run; export the layer as a table"),
    ("ALTER TABLE gpkg_contents RENAME TO r; CREATE VIEW gpkg_contents AS SELECT * FROM r",
     "its own tables are views; export it again"),
]  # fmt: skip


@pytest.mark.parametrize(("script", "words"), CHANGES)
def test_a_file_whose_own_lists_are_wrong_is_refused(tmp_path, script, words):
    path = package(tmp_path / "a.gpkg", [("a", "geom", [(blob(FIELD),)])])
    base = sqlite3.connect(path)
    base.executescript(script)
    base.close()
    assert refused(path) == f"a.gpkg: {words}"


def test_names_of_tables_and_columns_agree_whatever_their_capitals(tmp_path):
    path = package(tmp_path / "a.gpkg", [("Field", "GEOM", [(blob(FIELD),)])])
    base = sqlite3.connect(path)
    base.execute("UPDATE gpkg_contents SET table_name = 'FIELD'")
    base.execute("UPDATE gpkg_geometry_columns SET table_name = 'field'")
    base.commit()
    base.close()
    assert read_layer(path).geometry.tolist() == [FIELD]


def test_what_lies_beside_a_file_matters_only_where_it_holds_changes(tmp_path):
    path = package(tmp_path / "a.gpkg", [("a", "geom", [(blob(FIELD),)])])
    wal, journal = tmp_path / "a.gpkg-wal", tmp_path / "a.gpkg-journal"
    wal.write_bytes(b"")
    journal.write_bytes(bytes(8))
    assert read_layer(path).geometry.tolist() == [FIELD]
    journal.write_bytes(geopackage.JOURNAL_MAGIC + b"more")
    words = "close the program that has it open, then try again"
    assert refused(path) == (
        "a.gpkg: has changes that are not in it yet (a.gpkg-journal lies beside it); "
        + words
    )
    wal.write_bytes(b"x")
    assert refused(path) == (
        "a.gpkg: has changes that are not in it yet (a.gpkg-wal lies beside it); " + words
    )


def test_a_file_of_another_kind_is_refused_before_it_is_opened(tmp_path):
    path = tmp_path / "a.gpkg"
    path.write_bytes(b"SQLite format 4\x00" + bytes(100))
    assert refused(path) == "a.gpkg: is not a GeoPackage; check what the file is"


def test_a_damaged_file_is_told_in_its_own_words(tmp_path):
    path = package(tmp_path / "a.gpkg", [("a", "geom", [(blob(FIELD),)])])
    path.write_bytes(path.read_bytes()[:100] + bytes(4000))
    assert refused(path).startswith("a.gpkg: is not a sound GeoPackage (")
    assert refused(path).endswith("; export it again")


def test_a_file_that_gives_no_row_is_told_with_the_seconds(tmp_path, monkeypatch):
    path = package(tmp_path / "a.gpkg", [("a", "geom", [(blob(FIELD),)])])
    monkeypatch.setattr(geopackage, "LOOK_STEPS", 1)
    assert read_layer(path).name == ("",), "each row has its own time"
    monkeypatch.setattr(geopackage, "MAX_QUIET_SECONDS", -0.5)
    assert refused(path).startswith("a.gpkg: gave no row within ")


def test_what_a_file_could_do_is_taken_from_it(tmp_path):
    path = package(tmp_path / "a.gpkg", [("a", "geom", [(blob(FIELD),)])])
    base = geopackage._Base(path)
    limit = base.base.getlimit
    assert limit(sqlite3.SQLITE_LIMIT_LENGTH) == 256_000_000
    assert limit(sqlite3.SQLITE_LIMIT_ATTACHED) == 0
    assert limit(sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH) == 0
    base.base.set_authorizer(None)
    for pragma, value in (("trusted_schema", 0), ("cell_size_check", 1), ("query_only", 1)):
        assert base.base.execute(f"PRAGMA {pragma}").fetchall() == [(value,)]
    assert base.all("SELECT CAST(x'61FF62' AS TEXT)") == [("a\ufffdb",)]
    base.base.close()


def test_only_a_few_functions_and_one_pragma_are_allowed(tmp_path):
    allow = geopackage._Base._allow
    function, pragma = sqlite3.SQLITE_FUNCTION, sqlite3.SQLITE_PRAGMA
    assert allow(sqlite3.SQLITE_SELECT, None, None) == sqlite3.SQLITE_OK
    assert allow(sqlite3.SQLITE_READ, "a", "b") == sqlite3.SQLITE_OK
    assert allow(function, None, "lower") == allow(function, None, "count") == 0
    assert allow(function, None, "upper") == sqlite3.SQLITE_DENY
    assert allow(sqlite3.SQLITE_INSERT, "a", "lower") == sqlite3.SQLITE_DENY
    assert allow(pragma, "table_xinfo", "a") == sqlite3.SQLITE_OK
    assert allow(pragma, "trusted_schema", "1") == sqlite3.SQLITE_DENY
    assert allow(sqlite3.SQLITE_READ + 1000, "table_xinfo", None) == sqlite3.SQLITE_DENY


@pytest.mark.parametrize("shape", [blob(FIELD), "x"])
def test_a_file_is_let_go_of_however_the_reading_ends(tmp_path, monkeypatch, shape):
    path = package(tmp_path / "a.gpkg", [("a", "geom", [(shape,)])])
    opened = []
    real = geopackage._Base

    def kept(path):
        opened.append(real(path))
        return opened[-1]

    monkeypatch.setattr(geopackage, "_Base", kept)
    with contextlib.suppress(FileProblem):
        read_layer(path)
    (base,) = opened
    with pytest.raises(sqlite3.ProgrammingError, match="closed"):
        base.all("SELECT 1")
