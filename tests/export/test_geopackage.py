"""The GeoPackage: sound to GDAL and SQLite, complete, and the same acres when read back."""

import datetime as dt
import shutil
import sqlite3
import subprocess
from contextlib import closing

import geopandas as gpd
import numpy as np
import pyogrio
import pytest
import shapely
from defusedxml.ElementTree import fromstring
from record_of import record_of

from quietacre.acreage.equal_area import area_m2
from quietacre.build import build_property
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.export.geopackage import geopackage_bytes
from quietacre.export.styles import LINES, ground_sld, line_sld
from quietacre.intake.vector import read_layer
from quietacre.kinds import KINDS
from quietacre.report_records import Report
from quietacre.units import ACRE_M2

SE = "{http://www.opengis.net/se}"


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    place = tmp_path_factory.mktemp("gpkg") / "p"
    write_sample(place)
    made = build_property(place, today=SAMPLE_DAY)
    path = place / "areas.gpkg"
    path.write_bytes(made.files["areas.gpkg"])
    return made, path


def test_every_layer_is_there_with_its_type(built):
    made, path = built
    found = dict(pyogrio.list_layers(path))
    held = {name for name, frame in made.layers.items() if len(frame)}
    assert held | {"look_into", "tasks", "shopping", "styles"} == set(found)
    assert found["areas"] == "MultiPolygon"
    assert found["tasks"] is None


def test_amounts_and_dates_are_columns(built):
    made, path = built
    areas = pyogrio.read_dataframe(path, layer="areas").set_index("name")
    row = next(a for a in made.report.areas if a.name == "Long field")
    field = areas.loc["Long field"]
    assert field["seed_lb"] == pytest.approx(sum(s.lb for s in row.need.seed), abs=0.01)
    assert field["lime_ton"] == pytest.approx(row.need.lime.ton)
    assert field["plant_on"].date() == dt.date(2027, 10, 2)
    first = min(
        t.scheduled for t in made.report.year.tasks
        if t.area == "Long field" and t.status == "planned" and t.scheduled
    )  # fmt: skip
    assert field["next_task_on"].date() == first
    assert np.isnan(areas.loc["Pine block"]["seed_lb"])
    tasks = pyogrio.read_dataframe(path, layer="tasks")
    assert len(tasks) == len(made.report.year.tasks)
    assert pyogrio.read_info(path, layer="tasks")["dtypes"][0] == "datetime64[D]"


def test_reads_back_to_the_same_acres(built):
    made, path = built
    layer = read_layer(path)
    read = {}
    for name, feature, shape in zip(layer.name, layer.feature, layer.geometry, strict=True):
        if feature.startswith(("layer areas", "layer strips")):
            read[name] = area_m2(np.array([shape]))[0] / ACRE_M2
    rows = made.report.pieces()
    assert set(read) == {row.name for row in rows}
    for row in rows:
        assert read[row.name] == pytest.approx(row.size.acres, abs=5.1e-7)


def test_sqlite_finds_it_sound(built):
    with closing(sqlite3.connect(built[1])) as base:
        assert base.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert base.execute("PRAGMA foreign_key_check").fetchall() == []
        (table,) = base.execute(
            "SELECT sql FROM sqlite_master WHERE name = 'areas'"
        ).fetchone()
    assert '"plant_on" DATE' in table


def test_gdal_reads_it_without_complaint(built):
    if not shutil.which("ogrinfo"):
        pytest.skip("ogrinfo is installed by tests/run")
    done = subprocess.run(
        ["ogrinfo", "-so", "-al", built[1]], capture_output=True, text=True, check=True
    )
    assert done.stderr == ""
    assert "Warning" not in done.stdout
    assert "Layer name: look_into" in done.stdout


def test_gdals_validator_passes(built):
    """osgeo_utils.samples.validate_gpkg, GDAL project."""
    script = "/usr/lib/python3/dist-packages/osgeo_utils/samples/validate_gpkg.py"
    if not shutil.which("ogrinfo") or not shutil.os.path.exists(script):
        pytest.skip("python3-gdal is installed by tests/run")
    done = subprocess.run(
        ["/usr/bin/python3", script, built[1]], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_same_layers_same_bytes(built):
    made, _ = built
    assert geopackage_bytes(made.layers, made.report) == made.files["areas.gpkg"]


def test_styles_name_every_kind_and_only_standard_marks(built):
    made, path = built
    marks = {"square", "circle", "triangle", "star", "cross", "x"}  # OGC 05-077r4, 11.3.2
    root = fromstring(made.files["ground.sld"])
    rules = root.findall(f".//{SE}Rule")
    assert [r.find(f"{SE}Name").text for r in rules] == [
        kind.word for kind in KINDS.values()
    ]
    assert {m.text for m in root.iter(f"{SE}WellKnownName")} <= marks
    for name in LINES:
        fromstring(line_sld(name))
    styles = pyogrio.read_dataframe(path, layer="styles").set_index("layer")
    assert styles.loc["areas", "sld"] == ground_sld("areas")


def test_hostile_texts_and_empty_columns(tmp_path):
    name = "<img>'; DROP TABLE areas;-- \ud800 🦃 \u202e"
    shape = shapely.box(-87.6, 34.2, -87.599, 34.201)
    frame = gpd.GeoDataFrame({"id": ["a1"], "name": [name], "kind": ["plot"]},
                             geometry=[shape], crs=4326)  # fmt: skip
    row = {"id": "a1", "need": None, "note": name, "history": [], "notes": [
        {"level": "warning", "code": "c", "feature": name, "head": name, "lon": -87.6, "lat": 34.2}]}  # fmt: skip
    report = record_of(Report, {"made_on": "2027-01-02", "areas": [row]})
    path = tmp_path / "x.gpkg"
    path.write_bytes(geopackage_bytes({"areas": frame}, report))
    back = pyogrio.read_dataframe(path, layer="areas")
    assert back["name"][0] == name.replace("\ud800", "?")
    assert pyogrio.read_dataframe(path, layer="look_into")["text"][0].startswith("<img>")


def test_the_count_of_changes_does_not_depend_on_the_clock(tmp_path):
    """GDAL commits once more when a second turns; the file's counters must not show it."""
    import sqlite3

    write_sample(tmp_path / "p")
    data = build_property(tmp_path / "p", today=SAMPLE_DAY).files["areas.gpkg"]
    assert data[24:28] == data[92:96] == b"\x00\x00\x00\x01"
    path = tmp_path / "areas.gpkg"
    path.write_bytes(data)
    with sqlite3.connect(path) as book:
        assert book.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert book.execute("SELECT count(*) FROM areas").fetchone()[0] > 0
