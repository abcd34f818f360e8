"""Phone files: read back by two readers, to the same acres, whatever the names."""

import gpxpy
import numpy as np
import pytest
import shapely
from record_of import record_of

from quietacre.acreage.equal_area import area_m2
from quietacre.as_json import plain
from quietacre.build import build_property
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.export.phone import SHORT_NAME, phone_gpx, plain_text
from quietacre.intake.gpx import read_gpx
from quietacre.report_records import Report
from quietacre.units import ACRE_M2


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    place = tmp_path_factory.mktemp("phone") / "p"
    write_sample(place)
    return build_property(place, today=SAMPLE_DAY)


def test_rings_read_back_to_the_same_acres(built, tmp_path):
    path = tmp_path / "phone.gpx"
    path.write_bytes(built.files["phone.gpx"])
    layer = read_gpx(path)
    tracks = {t.name: t for t in layer.tracks}
    for row in built.report.areas:
        track = tracks[row.name]
        ring = shapely.Polygon(np.column_stack([track.lon, track.lat])[track.segment == 0])
        acres = area_m2(np.array([ring]))[0] / ACRE_M2
        assert acres == pytest.approx(row.size.acres, rel=6e-4), row.name
    assert {"Vine hollow strip", "property line"} <= set(tracks)
    assert "Pond stand" in {w.name for w in layer.waypoints}


def test_a_reference_reader_takes_it(built):
    parsed = gpxpy.parse(built.files["phone.gpx"].decode())
    assert parsed.version == "1.1"
    passes = len(built.layers["passes"])
    assert passes > 0
    assert len(parsed.tracks) == 23 + passes
    assert any(w.name.startswith("Long field 6.4") for w in parsed.waypoints)
    for track in parsed.tracks:
        if track.name.startswith("pass "):
            continue  # a pass ends where something stands in its way
        for segment in track.segments:
            first, last = segment.points[0], segment.points[-1]
            assert (first.latitude, first.longitude) == (last.latitude, last.longitude)


def test_names_are_stripped():
    assert plain_text("a\x00b\x1f\n c\ud800\uffff\x85d") == "ab c d"
    report = record_of(Report, {"property": {"name": "<&>\x01"}})
    import geopandas as gpd

    empty = gpd.GeoDataFrame({"name": [], "kind": [], "acres": []}, geometry=[], crs=4326)
    shape = shapely.box(179.9995, 10, 180.0005, 10.001)
    one = gpd.GeoDataFrame({"name": ["</name>&\x02"], "kind": ["plot"], "acres": [1.0]},
                           geometry=[shape], crs=4326)  # fmt: skip
    parsed = gpxpy.parse(phone_gpx(report, {"areas": one, "strips": empty}))
    assert parsed.tracks[0].name == "</name>&"
    lons = {p.longitude for p in parsed.tracks[0].segments[0].points}
    assert lons == {179.9995, -179.9995}


HALVES = [f"Old pasture behind the church, {half} half" for half in ("north", "south")]


def test_halves_of_one_field_are_told_apart_on_the_phone(built):
    from quietacre.export.kml import phone_kml

    report = plain(built.report)
    layers = {name: layer.copy() for name, layer in built.layers.items()}
    of = {}
    for row, name in zip(report["areas"], HALVES, strict=False):
        of[row["id"]] = row["name"] = name
    areas = layers["areas"]
    areas["name"] = [
        of.get(key, name) for key, name in zip(areas["id"], areas["name"], strict=True)
    ]
    made = record_of(Report, report)
    parsed = gpxpy.parse(phone_gpx(made, layers))
    marks = [w.name for w in parsed.waypoints if w.name.startswith("Old past")]
    acres = [f"{area['acres']:.2f} ac" for area in report["areas"][:2]]
    assert all(len(name) <= SHORT_NAME for name in marks)
    assert [name.rpartition("… ")[2] for name in marks] == [
        f"north half {acres[0]}",
        f"south half {acres[1]}",
    ]
    edges = [t.name for t in parsed.tracks if t.name.startswith("Old past")]
    assert edges == ["Old pasture behind… north half", "Old pasture behind… south half"]
    kml = phone_kml(made, layers)
    assert all(f"<name>{name}</name>" in kml for name in marks + edges)
