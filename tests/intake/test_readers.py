"""Every format in, the same ground out; every defect said."""

import json
import sqlite3
import zipfile

import geopandas as gpd
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quietacre.acreage.equal_area import area_m2
from quietacre.errors import FileProblem
from quietacre.intake import limits
from quietacre.intake.gpx import parse_time
from quietacre.intake.vector import read_layer

FIELD = shapely.Polygon(
    [(-87.6, 34.2), (-87.598, 34.2), (-87.598, 34.202), (-87.6, 34.202)]
)
POND = shapely.Polygon([(-87.59, 34.2), (-87.589, 34.2), (-87.589, 34.201)])
FRAME = gpd.GeoDataFrame(
    {"name": ["Field", "Pond"], "kind": ["plot", "water"]}, geometry=[FIELD, POND], crs=4326
)
TRUE_M2 = area_m2(np.array([FIELD, POND]))


def polygon_json(shape, **properties):
    geometry = shapely.geometry.mapping(shape)
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def write_geojson(path, extra=None):
    features = [
        polygon_json(FIELD, name="Field", kind="plot"),
        polygon_json(POND, NAME="Pond", Kind="water"),
    ]
    path.write_text(
        json.dumps({"type": "FeatureCollection", "features": features, **(extra or {})})
    )


KML = """<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>
<Folder><Folder><Placemark><name>Field</name><ExtendedData><Data name="kind"><value>plot</value>
</Data></ExtendedData><Polygon><outerBoundaryIs><LinearRing><coordinates>{field}</coordinates>
</LinearRing></outerBoundaryIs></Polygon></Placemark></Folder></Folder>
<Placemark><name>Pond</name><ExtendedData><SchemaData><SimpleData name="kind">water</SimpleData>
</SchemaData></ExtendedData><MultiGeometry><Polygon><outerBoundaryIs><LinearRing><coordinates>
{pond}</coordinates></LinearRing></outerBoundaryIs></Polygon></MultiGeometry></Placemark>
</Document></kml>"""


def kml_text():
    def ring(shape):
        return " ".join(f"{x},{y},0" for x, y in shape.exterior.coords)

    return KML.format(field=ring(FIELD), pond=ring(POND))


def write_kmz(path):
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("doc.kml", kml_text())
        archive.writestr("images/pin.png", b"x")


def write_zipped_shapefiles(path, crs):
    home = path.parent / "shp"
    (home / "sub").mkdir(parents=True)
    FRAME.iloc[:1].to_crs(crs).to_file(home / "field.shp")
    FRAME.iloc[1:].to_crs(crs).to_file(home / "sub" / "pond.shp")
    with zipfile.ZipFile(path, "w") as archive:
        for file in sorted(home.rglob("*.*")):
            archive.write(file, file.relative_to(home))


def write_two_layers(path):
    FRAME.iloc[:1].to_file(path, layer="plots", driver="GPKG")
    FRAME.iloc[1:].to_crs(26916).to_file(path, layer="water", driver="GPKG")


def write_csv(path):
    rows = [
        f"{x},{y},{n}"
        for n, s in (("Field", FIELD), ("Pond", POND))
        for x, y in s.exterior.coords
    ]
    path.write_text("lon,lat,name\n" + "\n".join(rows))


def write_wkt_csv(path):
    path.write_text(f'name;kind;wkt\nField;plot;{FIELD.wkt}\nPond;water;"{POND.wkt}"\n')


FORMATS = {
    "a.geojson": write_geojson,
    "crs84.geojson": lambda p: write_geojson(p, {"crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}}),
    "bom.json": lambda p: (write_geojson(p), p.write_bytes(b"\xef\xbb\xbf" + p.read_bytes())),
    "utf16.geojson": lambda p: (write_geojson(p), p.write_bytes(p.read_text().encode("utf-16"))),
    "a.kml": lambda p: p.write_text(kml_text()),
    "a.kmz": write_kmz,
    "a.gpkg": write_two_layers,
    # a state plane in US survey feet, and UTM metres
    "survey-feet.zip": lambda p: write_zipped_shapefiles(p, 2899),
    "utm.zip": lambda p: write_zipped_shapefiles(p, 26916),
    "a.shp": lambda p: FRAME.to_file(p),
    "a.csv": write_csv,
    "b.csv": write_wkt_csv,
}  # fmt: skip


@pytest.mark.parametrize("name", list(FORMATS))
def test_same_ground_from_every_format(tmp_path, name):
    path = tmp_path / name
    FORMATS[name](path)
    before = path.read_bytes()
    layer = read_layer(path)
    by_name = dict(zip(layer.name, layer.geometry, strict=True))
    ours = area_m2(np.array([by_name["Field"], by_name["Pond"]], dtype=object))
    np.testing.assert_allclose(ours, TRUE_M2, rtol=2e-6)
    if name not in ("a.csv",):
        assert dict(zip(layer.name, layer.kind, strict=True)) == {
            "Field": "plot",
            "Pond": "water",
        }
    assert path.read_bytes() == before


def test_state_plane_survey_feet_are_not_international_feet(tmp_path):
    # EPSG:2276 is Texas North Central in US survey feet: reading its feet as
    # international feet would move the ground by metres.
    texas = shapely.Polygon(
        [(-97.0, 32.8), (-96.998, 32.8), (-96.998, 32.802), (-97.0, 32.802)]
    )
    gpd.GeoDataFrame({"name": ["T"]}, geometry=[texas], crs=4326).to_crs(2276).to_file(
        tmp_path / "t.shp"
    )
    layer = read_layer(tmp_path / "t.shp")
    np.testing.assert_allclose(
        shapely.get_coordinates(shapely.normalize(layer.geometry[0])),
        shapely.get_coordinates(shapely.normalize(texas)), atol=2e-7,
    )  # fmt: skip


def test_older_geojson_with_a_projected_crs(tmp_path):
    moved = FRAME.to_crs(26916).iloc[:1]
    feature = polygon_json(moved.geometry.iloc[0], name="Field")
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::26916"}}
    path = tmp_path / "utm.geojson"
    path.write_text(
        json.dumps({"type": "FeatureCollection", "crs": crs, "features": [feature]})
    )
    np.testing.assert_allclose(area_m2(read_layer(path).geometry), TRUE_M2[:1], rtol=2e-6)


GPX = '<gpx version="{v}" {ns}>{body}</gpx>'
WALK = (
    '<wpt lat="34.2" lon="-87.6"><name>gate</name></wpt><rte><name>r</name><rtept lat="34.2" lon="-87.6"/>'
    '<rtept lat="34.201" lon="-87.6"/></rte><trk><name>edge</name><trkseg><trkpt lat="34.2" lon="-87.6">'
    '<time>2026-12-05T15:10:00Z</time></trkpt></trkseg><trkseg><trkpt lat="34.2005" lon="-87.6"><time>nope'
    '</time></trkpt><trkpt lat="34.201" lon="272.4"/></trkseg></trk><trk><name>empty</name></trk>'
)  # fmt: skip


@pytest.mark.parametrize(
    "ns",
    [
        "",
        'xmlns="http://www.topografix.com/GPX/1/0"',
        'xmlns="http://www.topografix.com/GPX/1/1"',
    ],
)
def test_gpx_tracks_routes_and_waypoints(tmp_path, ns):
    path = tmp_path / "w.gpx"
    path.write_text(GPX.format(v="1.1", ns=ns, body=WALK))
    layer = read_layer(path)
    assert [(t.kind, t.name, len(t.lon)) for t in layer.tracks] == [
        ("route", "r", 2),
        ("track", "edge", 3),
    ]
    edge = layer.tracks[1]
    assert edge.segment.tolist() == [0, 1, 1]
    assert edge.lon.tolist() == [-87.6, -87.6, pytest.approx(-87.6)]
    assert edge.time_s[0] == 1796483400.0
    assert np.isnan(edge.time_s[1:]).all()
    assert [w.name for w in layer.waypoints] == ["gate"]
    assert {n.code for n in layer.notes} == {"empty-track", "bad-times", "waypoints-listed"}


def test_gpx_agrees_with_a_reference_reader(tmp_path):
    import gpxpy

    from quietacre.demo.sample import sample_files

    data = sample_files()["walks/creek-shelf.gpx"]
    (tmp_path / "w.gpx").write_bytes(data)
    track = read_layer(tmp_path / "w.gpx").tracks[0]
    points = gpxpy.parse(data.decode()).tracks[0].segments[0].points
    assert track.lon.tolist() == [p.longitude for p in points]
    assert track.time_s.tolist() == [p.time.timestamp() for p in points]


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("1970-01-01T00:00:10Z", 10.0),
        ("1970-01-01T01:00:10.5+01:00", 10.5),
        ("1970-01-01T00:00:10", 10.0),
    ],
)
def test_times(text, seconds):
    assert parse_time(text) == seconds


def gpx_with(point):
    body = f"<trk><name>edge</name><trkseg>\n<trkpt lat='1' lon='2'/>\n{point}\n</trkseg></trk>"
    return GPX.format(v="1.1", ns="", body=body)


RING = [[-87.6, 34.2], [-87.5, 34.2], [-87.5, 34.3], [-87.6, 34.2]]


def feature_with(ring, crs=None):
    geometry = {"type": "Polygon", "coordinates": [ring]}
    extra = {"crs": crs} if crs else {}
    return json.dumps(
        {"type": "Feature", "properties": {"name": "F"}, "geometry": geometry, **extra}
    )


BOMB = b"0" * 400_000_000


def zip_with(path, name, data, **kwargs):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        info = zipfile.ZipInfo(name)
        info.compress_type = zipfile.ZIP_DEFLATED
        for key, value in kwargs.items():
            setattr(info, key, value)
        archive.writestr(info, data)


def view_gpkg(path):
    FRAME.to_file(path, layer="plots", driver="GPKG")
    with sqlite3.connect(path) as base:
        base.execute(
            "CREATE VIEW endless AS WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x+1 FROM c) SELECT x FROM c"
        )
        base.execute("UPDATE gpkg_contents SET table_name = 'endless'")
    base.close()


# file name -> (how to make it, what its one line must say)
DEFECTS = {
    "latitude-missing.gpx": (lambda p: p.write_text(gpx_with("<trkpt lon='2'/>")), "line 3: latitude missing"),
    "decimal-comma.gpx": (lambda p: p.write_text(gpx_with("<trkpt lat='34,5' lon='2'/>")), "decimal comma"),
    "latitude-words.gpx": (lambda p: p.write_text(gpx_with("<trkpt lat='north' lon='2'/>")), "not a number"),
    "latitude-nan.gpx": (lambda p: p.write_text(gpx_with("<trkpt lat='nan' lon='2'/>")), "not a number"),
    "latitude-beyond-pole.gpx": (lambda p: p.write_text(gpx_with("<trkpt lat='-97' lon='2'/>")), "outside ±90"),
    "cut-off.gpx": (lambda p: p.write_text(gpx_with("")[:-10]), "cut off after"),
    "entities.gpx": (lambda p: p.write_text("<!DOCTYPE gpx [<!ENTITY a 'b'>]>" + gpx_with("")), "document type"),
    "not-gpx.gpx": (lambda p: p.write_text("<html/>"), "not a GPX"),
    "empty.gpx": (lambda p: p.write_bytes(b""), "is empty"),
    "nan.geojson": (lambda p: p.write_text(feature_with([[1, 2], [3, "NaN"]]).replace('"NaN"', "NaN")), "NaN"),
    "double-key.geojson": (lambda p: p.write_text('{"type":"Feature","type":"Feature"}'), "twice"),
    "crs-link.geojson": (lambda p: p.write_text(feature_with(RING, {"type": "link", "properties": {"href": "http://x"}})), "link"),
    "not-degrees.geojson": (lambda p: p.write_text(feature_with([[x * 1e5, y * 1e5] for x, y in RING])), "not degrees"),
    "swapped.geojson": (lambda p: p.write_text(feature_with([[34 + x / 10, -97 - y / 10] for x, y in RING])), "swapped"),
    "two-points.geojson": (lambda p: p.write_text(feature_with([RING[0], RING[1], RING[0]])), "fewer than three"),
    "cut-off.geojson": (lambda p: p.write_text(feature_with(RING)[:60]), "cut off"),
    "deep.geojson": (lambda p: p.write_text('{"type":' * 100_000), "nests too deep"),
    "virtual.geojson": (lambda p: p.write_text("<OGRVRTDataSource></OGRVRTDataSource>"), "not JSON"),
    "words.geojson": (lambda p: p.write_text("once"), "not JSON"),
    "latin1.geojson": (lambda p: p.write_bytes(feature_with(RING).replace("F", "é").encode("latin-1")), "not text"),
    "no-features.geojson": (lambda p: p.write_text('{"type":"FeatureCollection","features":[]}'), "holds no features"),
    "entities.kml": (lambda p: p.write_text("<!DOCTYPE kml [<!ENTITY a 'b'>]>" + kml_text().partition("?>")[2]), "document type"),
    "decimal-comma.kml": (lambda p: p.write_text(kml_text().replace("-87.6,34.2,0", "-87,6;34,2")), "not a longitude"),
    "bomb.kmz": (lambda p: zip_with(p, "doc.kml", BOMB), "-fold"),
    "traversal.kmz": (lambda p: zip_with(p, "../doc.kml", b"x"), "outside the archive"),
    "link.kmz": (lambda p: zip_with(p, "doc.kml", b"x", external_attr=0o120777 << 16), "is a link"),
    "no-kml.kmz": (lambda p: zip_with(p, "readme.txt", b"x"), "holds no KML"),
    "not-a-zip.kmz": (lambda p: p.write_bytes(b"PK not really"), "zip"),
    "no-shapefile.zip": (lambda p: zip_with(p, "readme.txt", b"x"), "no shapefile"),
    "not-sqlite.gpkg": (lambda p: p.write_bytes(b"x" * 100), "not a GeoPackage"),
    "view.gpkg": (view_gpkg, "is a view"),
    "no-columns.csv": (lambda p: p.write_text("a,b\n1,2\n"), "no longitude"),
    "decimal-comma.csv": (lambda p: p.write_text("lon;lat\n-87,6;34,2\n"), "decimal comma"),
    "vsi.geojson": (lambda p: None, "is not there"),
}  # fmt: skip


@pytest.mark.parametrize("name", list(DEFECTS))
def test_each_defect_gets_one_line(tmp_path, name):
    path = tmp_path / name
    make, words = DEFECTS[name]
    make(path)
    with pytest.raises(FileProblem) as caught:
        read_layer(path, shown=name)
    line = str(caught.value)
    assert words in line
    assert line.startswith(name)
    assert "\n" not in line
    assert "; " in line


def test_shapefile_without_prj(tmp_path):
    FRAME.to_file(tmp_path / "degrees.shp")
    (tmp_path / "degrees.prj").unlink()
    layer = read_layer(tmp_path / "degrees.shp")
    assert "crs-assumed" in {note.code for note in layer.notes}
    FRAME.to_crs(26916).to_file(tmp_path / "metres.shp")
    (tmp_path / "metres.prj").unlink()
    with pytest.raises(FileProblem, match="reference system"):
        read_layer(tmp_path / "metres.shp")


def test_drawn_twice_and_unclosed_are_said(tmp_path):
    path = tmp_path / "d.geojson"
    ring = [[-87.6, 34.2], [-87.5, 34.2], [-87.5, 34.3]]
    feature = {
        "type": "Feature",
        "properties": {},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }
    path.write_text(
        json.dumps({"type": "FeatureCollection", "features": [feature, feature]})
    )
    codes = [note.code for note in read_layer(path).notes]
    assert codes.count("ring-closed") == 2
    assert "drawn-twice" in codes


def test_limits_are_in_the_message(tmp_path, monkeypatch):
    path = tmp_path / "a.geojson"
    write_geojson(path)
    monkeypatch.setattr("quietacre.intake.collect.MAX_FEATURES", 1)
    with pytest.raises(FileProblem, match="more than 1 features"):
        read_layer(path)
    with pytest.raises(FileProblem, match="the limit is 0 MB"):
        limits.check_file(path, "a", 10)


@given(
    st.lists(
        st.tuples(st.floats(-179, 179), st.floats(-59, 89)),
        min_size=4,
        max_size=30,
        unique=True,
    )
)
@settings(max_examples=60, deadline=None)
def test_geojson_round_trip(tmp_path_factory, points):
    path = tmp_path_factory.mktemp("g") / "r.geojson"
    shape = shapely.Polygon(points)
    path.write_text(json.dumps(polygon_json(shape)))
    back = read_layer(path).geometry[0]
    assert shapely.get_coordinates(back).tolist() == shapely.get_coordinates(shape).tolist()
