"""GeoPackages read as SQLite: the same shapes as GDAL reads, and nothing in them runs."""

import shutil
import sqlite3
import struct

import geopandas as gpd
import numpy as np
import pyogrio
import pytest
import shapely
from shapely import wkt

from quietacre.errors import FileProblem
from quietacre.intake import geopackage
from quietacre.intake.vector import read_batches, read_layer
from quietacre.intake.wkb import UnreadableShapeError, shape_from_text, shapes_from_binary

SQUARE = "POLYGON ((-87.6 34.2, -87.5 34.2, -87.5 34.3, -87.6 34.2), (-87.52 34.22, -87.51 34.22, -87.51 34.23, -87.52 34.22))"
SHAPES = [
    SQUARE,
    "POLYGON Z ((-87.6 34.2 1, -87.5 34.2 2, -87.5 34.3 3, -87.6 34.2 4))",
    "MULTIPOLYGON (((-87.6 34.2, -87.5 34.2, -87.5 34.3, -87.6 34.2)))",
    "MULTIPOLYGON (((1 1, 2 1, 2 2, 1 1)), ((3 3, 4 3, 4 4, 3 3), (3.8 3.5, 3.9 3.5, 3.9 3.6, 3.8 3.5)))",
]  # fmt: skip


def frame(crs=4326):
    names = [f"n{i}" for i in range(len(SHAPES))]
    made = gpd.GeoDataFrame(
        {"Name": names}, geometry=[wkt.loads(s) for s in SHAPES], crs=4326
    )
    return made.to_crs(crs)


@pytest.mark.parametrize("crs", [4326, 26916, 2899])
def test_same_shapes_as_gdal(tmp_path, crs):
    path = tmp_path / "a.gpkg"
    frame().iloc[:1].to_crs(crs).to_file(path, layer="one")
    frame().to_crs(4326).to_file(path, layer="two")
    layer = read_layer(path)
    one = pyogrio.read_dataframe(path, layer="one").to_crs(4326)
    two = pyogrio.read_dataframe(path, layer="two")
    theirs = shapely.force_2d(np.r_[one.geometry.to_numpy(), two.geometry.to_numpy()])
    for mine, other in zip(layer.geometry, theirs, strict=True):
        np.testing.assert_allclose(
            shapely.get_coordinates(mine), shapely.get_coordinates(other), atol=1e-12
        )
        assert shapely.get_num_interior_rings(shapely.get_parts(mine)).sum() == (
            shapely.get_num_interior_rings(shapely.get_parts(other)).sum()
        )
    assert layer.name == ("n0", "n0", "n1", "n2", "n3")
    assert layer.feature[1] == "layer two, feature 1"


def test_empty_and_missing_shapes_are_counted(tmp_path):
    path = tmp_path / "a.gpkg"
    shapes = [wkt.loads(SQUARE), None, shapely.Polygon()]
    gpd.GeoDataFrame({"name": ["a", "b", "c"]}, geometry=shapes, crs=4326).to_file(path)
    layer = read_layer(path)
    assert layer.name == ("a",)
    (note,) = layer.notes
    assert note.text.startswith("2 features without a shape are left out: ")


def test_batches_are_the_whole(tmp_path, monkeypatch):
    path = tmp_path / "a.gpkg"
    many = [shapely.box(i, 10, i + 0.5, 11) for i in range(50)]
    gpd.GeoDataFrame(
        {"name": [f"b{i}" for i in range(50)]}, geometry=many, crs=4326
    ).to_file(path)
    whole = read_layer(path)
    monkeypatch.setattr(geopackage, "ROWS", 7)
    monkeypatch.setattr("quietacre.intake.vector.STREAM_FEATURES", 20)
    parts = list(read_batches(path))
    assert [len(layer.name) for layer, _, _ in parts] == [21, 21, 8]
    assert [done for _, done, _ in parts] == [21, 42, 50]
    assert sum((layer.name for layer, _, _ in parts), ()) == whole.name
    got = np.concatenate([layer.geometry for layer, _, _ in parts])
    assert shapely.equals_exact(got, whole.geometry).all()


def change(path, *statements):
    with sqlite3.connect(path) as base:
        for statement in statements:
            base.execute(statement)
    base.close()


ENDLESS = (
    "WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c) SELECT max(x) FROM c"
)
HOSTILE = {
    "view": ([f"CREATE VIEW v AS {ENDLESS}", "UPDATE gpkg_contents SET table_name = 'v'"], "is a view"),
    "own-table-is-a-view": (["ALTER TABLE gpkg_spatial_ref_sys RENAME TO r", "CREATE VIEW gpkg_spatial_ref_sys AS SELECT * FROM r"], "views"),
    "virtual-table": (["CREATE VIRTUAL TABLE t USING rtree(id, a, b)", "UPDATE gpkg_contents SET table_name = 't'", "UPDATE gpkg_geometry_columns SET table_name = 't', column_name = 'a'"], "never run"),
    "no-such-table": (["UPDATE gpkg_contents SET table_name = 'gone'"], "is not in it"),
    "no-such-column": (["UPDATE gpkg_geometry_columns SET column_name = 'gone'"], "no column"),
    "no-contents": (["DROP TABLE gpkg_contents"], "has no table gpkg_contents"),
    "unknown-system": (["UPDATE gpkg_geometry_columns SET srs_id = 424242"], "reference system"),
    "shape-is-words": (["UPDATE a SET geom = 'POLYGON'"], "not in the GeoPackage form"),
    "shape-cut-off": (["UPDATE a SET geom = substr(geom, 1, 60)"], "feature 1"),
    "shape-bare": (["UPDATE a SET geom = x'4750'"], "not in the GeoPackage form"),
    "curve": (["UPDATE a SET geom = CAST(substr(geom, 1, 3) || x'01E6100000' || x'010A00000000000000' AS BLOB)"], "curves"),
    "envelope-code": (["UPDATE a SET geom = x'4750000F00000000'"], "header"),
    "not-ours": (["UPDATE gpkg_contents SET data_type = 'tiles'"], "no layer of features"),
}  # fmt: skip


@pytest.mark.parametrize("name", list(HOSTILE))
def test_hostile_geopackage_gets_one_line(tmp_path, name):
    path = tmp_path / "a.gpkg"
    frame().iloc[:1].to_file(path, layer="a", SPATIAL_INDEX="NO")
    statements, words = HOSTILE[name]
    change(
        path,
        *_no_triggers(path),
        *statements,
    )
    with pytest.raises(FileProblem) as caught:
        read_layer(path, shown="a.gpkg")
    assert words in str(caught.value)
    assert str(caught.value).startswith("a.gpkg: ")


def _no_triggers(path):
    with sqlite3.connect(path) as base:
        names = [
            r[0]
            for r in base.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        ]
    base.close()
    return [f'DROP TRIGGER "{name}"' for name in names]


def test_a_statement_that_never_ends_is_ended(tmp_path, monkeypatch):
    monkeypatch.setattr(geopackage, "MAX_QUIET_SECONDS", 0.2)
    path = tmp_path / "a.gpkg"
    frame().iloc[:1].to_file(path, layer="a")
    base = geopackage._Base(path)
    with pytest.raises(sqlite3.Error, match=r"interrupted|not authorized|prohibited"):
        base.all(ENDLESS)
    base.base.close()


@pytest.mark.parametrize(
    "statement",
    [
        "SELECT load_extension('x')",
        "ATTACH 'b.gpkg' AS b",
        "PRAGMA trusted_schema = ON",
        "DELETE FROM a",
        "SELECT randomblob(9)",
    ],
)
def test_only_reading_is_allowed(tmp_path, statement):
    path = tmp_path / "a.gpkg"
    frame().iloc[:1].to_file(path, layer="a")
    base = geopackage._Base(path)
    with pytest.raises(sqlite3.Error):
        base.all(statement)
    base.base.close()


def test_changes_not_yet_in_the_file_are_said(tmp_path):
    path = tmp_path / "a.gpkg"
    frame().iloc[:1].to_file(path, layer="a")
    held = sqlite3.connect(path)
    held.execute("PRAGMA journal_mode = WAL")
    held.execute("PRAGMA user_version = 7")
    held.commit()
    copy = tmp_path / "copy.gpkg"
    shutil.copy(path, copy)
    shutil.copy(path.with_name("a.gpkg-wal"), tmp_path / "copy.gpkg-wal")
    held.close()
    with pytest.raises(FileProblem, match="copy.gpkg-wal"):
        read_layer(copy)


def test_shapes_of_another_system_are_said(tmp_path):
    path = tmp_path / "a.gpkg"
    frame().iloc[:1].to_file(path, layer="a")
    odd = struct.pack("<i", 3857).hex()
    change(
        path,
        *_no_triggers(path),
        f"UPDATE a SET geom = CAST(substr(geom, 1, 4) || x'{odd}' || substr(geom, 9) AS BLOB)",  # noqa: S608 - our own
    )
    assert "crs-differs" in {note.code for note in read_layer(path).notes}


def nested(depth):
    inner = struct.pack("<BIdd", 1, 1, 1.0, 1.0)
    return struct.pack("<BII", 1, 7, 1) * depth + inner


def test_nested_collections_do_not_end_the_process():
    assert shapes_from_binary([nested(20)])[0].geom_type == "GeometryCollection"
    with pytest.raises(UnreadableShapeError, match="nests deeper"):
        shapes_from_binary([nested(300_000)])
    with pytest.raises(UnreadableShapeError, match="wrong type"):
        shapes_from_binary([struct.pack("<BII", 1, 6, 1) * 300_000])
    with pytest.raises(UnreadableShapeError, match="nests deeper"):
        shapes_from_binary([struct.pack("<BII", 1, 6, 2) * 300_000])
    with pytest.raises(UnreadableShapeError, match="nests deeper"):
        shape_from_text("GEOMETRYCOLLECTION(" * 300_000)


@pytest.mark.parametrize(
    "text", [*SHAPES, "GEOMETRYCOLLECTION (POINT (1 2), LINESTRING (1 1, 2 2))"]
)
@pytest.mark.parametrize("order", [0, 1])
@pytest.mark.parametrize("flavor", ["extended", "iso"])
def test_every_form_of_binary(text, order, flavor):
    shape = wkt.loads(text)
    blob = shapely.to_wkb(shape, byte_order=order, flavor=flavor)
    assert shapely.equals_exact(shapes_from_binary([blob])[0], shape)
    for cut in range(1, len(blob), 7):
        with pytest.raises(UnreadableShapeError):
            shapes_from_binary([blob[:cut]])


def test_damage_that_sqlite_quotes_is_one_line(tmp_path):
    """Found by fuzzing: the library's own message held bytes that are no text."""
    path = tmp_path / "a.gpkg"
    path.write_bytes(geopackage_with_schema_bytes(tmp_path, b"\x97\x97"))
    with pytest.raises(FileProblem, match="not a sound GeoPackage"):
        read_layer(path)


def geopackage_with_schema_bytes(folder, junk):
    """Return a GeoPackage whose schema text has bytes that are not UTF-8."""

    path = folder / "made.gpkg"
    base = sqlite3.connect(path)
    base.execute("CREATE TABLE zzzz (a)")
    base.commit()
    base.close()
    return path.read_bytes().replace(b"CREATE TABLE zzzz", b"CREATE " + junk + b"BLE zzzz")


def test_a_break_while_the_clock_is_looked_at_is_no_slow_file(tmp_path, monkeypatch):
    path = tmp_path / "a.gpkg"
    frame().to_file(path)

    def broken(_base):
        raise KeyboardInterrupt

    monkeypatch.setattr(geopackage, "LOOK_STEPS", 1)
    with monkeypatch.context() as patch:
        patch.setattr(geopackage._Base, "_late", broken)
        with pytest.raises(KeyboardInterrupt):
            read_layer(path)
    monkeypatch.setattr(geopackage, "MAX_QUIET_SECONDS", -1.0)
    with pytest.raises(FileProblem, match="gave no row"):
        read_layer(path)
