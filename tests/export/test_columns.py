"""No column of areas.gpkg without words, and no words without a column."""

import json
import sqlite3
from contextlib import closing

import pyogrio
import pytest
from scaled_walk import scaled_walk

from quietacre.build import build_property
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.words.columns import column_words

#: What the endings of names say, and the unit that the words must give.
ENDINGS = {
    "_ft": "ft", "_m": "m", "_lb": "lb", "_lb_ac": "lb/ac", "_gal": "gal", "acres": "ac",
    "_usd": "US dollars", "_ton": "short tons", "minutes": "min",
}  # fmt: skip


@pytest.fixture(scope="module")
def base(tmp_path_factory):
    place = tmp_path_factory.mktemp("columns") / "place"
    write_sample(place)
    tape = {"kind": "tape", "name": "along the lane"}
    line = {"type": "LineString", "coordinates": [[-87.61, 34.21], [-87.611, 34.21]]}
    feature = {"type": "Feature", "properties": tape, "geometry": line}
    marks = {"type": "FeatureCollection", "features": [feature]}
    (place / "marks.geojson").write_text(json.dumps(marks))
    walk = (
        place / "walks" / "north-bottom-2.gpx"
    )  # read apart from the first: wider all round
    walk.write_text(scaled_walk(walk.read_text(), 1.12))
    path = place.parent / "areas.gpkg"
    path.write_bytes(build_property(place, today=SAMPLE_DAY).files["areas.gpkg"])
    with closing(sqlite3.connect(path)) as opened:
        yield opened


def columns_of(base, table):
    return [row[1] for row in base.execute(f'PRAGMA table_info("{table}")')]


def test_every_column_has_words_and_every_word_a_column(base):
    tables = [row[0] for row in base.execute("SELECT table_name FROM gpkg_contents")]
    words = column_words()
    assert sorted(tables) == sorted(words)
    for table in tables:
        assert columns_of(base, table) == list(words[table].columns), table


def test_the_file_describes_its_own_columns(base):
    told = base.execute(
        "SELECT table_name, column_name, title, description FROM gpkg_data_columns"
    )
    rows = {(table, name): (title, text) for table, name, title, text in told}
    for table, words in column_words().items():
        about = base.execute(
            "SELECT description FROM gpkg_contents WHERE table_name = ?", (table,)
        ).fetchone()
        assert about == (words.about,)
        for name in words.columns:
            assert rows.pop((table, name))[1].endswith(".")
    assert rows == {}
    text = base.execute(
        "SELECT title, description FROM gpkg_data_columns "
        "WHERE table_name = 'areas' AND column_name = 'perimeter_ft'"
    ).fetchone()
    assert text == ("perimeter_ft [ft]", "The length of its edge, holes included [ft].")


def test_the_dictionary_keeps_to_the_standard(base):
    """Rows of *GeoPackage e-learning: Schema*, Open Geospatial Consortium, n.d."""
    named = base.execute(
        "SELECT table_name, column_name, scope FROM gpkg_extensions "
        "WHERE extension_name = 'gpkg_schema'"
    ).fetchall()
    assert sorted(named) == [
        ("gpkg_data_column_constraints", None, "read-write"),
        ("gpkg_data_columns", None, "read-write"),
    ]
    assert base.execute("PRAGMA foreign_key_check").fetchall() == []
    assert base.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_another_program_reads_the_file_still(base):
    path = base.execute("PRAGMA database_list").fetchone()[2]
    layers = {name for name, _ in pyogrio.list_layers(path)}
    assert layers == set(column_words())
    assert "perimeter_ft" in pyogrio.read_info(path, layer="areas")["fields"]


def test_units_are_those_the_names_say():
    for table, words in column_words().items():
        for column in words.columns.values():
            for ending in sorted(ENDINGS, key=len, reverse=True):
                if column.name.endswith(ending):
                    assert column.unit == ENDINGS[ending], (table, column)
                    break
