"""Readings of one edge that differ, and trees beside it, as a build tells them."""

import datetime as dt
import json

import numpy as np
import pytest
import shapely
from random_files import geojson, gpx, gpx_line

from quietacre.acreage.equal_area import area_m2
from quietacre.build import plan_records
from quietacre.export.geopackage import geopackage_bytes
from quietacre.measure.property import measure_property
from quietacre.units import ACRE_M2

DAY = dt.datetime(2026, 5, 3, 14, tzinfo=dt.UTC)


def walked(shape, seed=1, stray_m=1.5, begin=DAY):
    """Return a GPX of one lap round a polygon, which strays and drifts."""
    rng = np.random.default_rng(seed)
    line = shape.exterior
    at = np.arange(0.0, 1.01, 1 / 200) % 1.0
    xy = shapely.get_coordinates(shapely.line_interpolate_point(line, at, normalized=True))
    error = rng.normal(0, 1, (len(xy), 2))
    for i in range(1, len(xy)):
        error[i] = 0.97 * error[i - 1] + 0.243 * error[i]
    return gpx([gpx_line("edge", xy + stray_m * error / [92_177.0, 110_922.0], begin)])


def place(folder, files, areas):
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    settings = '[property]\nname = "Place"\n'
    for area in areas:
        settings += "[[area]]\n" + "".join(
            f"{k} = {json.dumps(v)}\n" for k, v in area.items()
        )
    (folder / "property.toml").write_text(settings, encoding="utf-8")
    return measure_property(folder)


def acres(shape):
    return float(area_m2(np.array([shape], dtype=object))[0]) / ACRE_M2


PLOT = shapely.box(-87.600, 34.200, -87.599, 34.2009)
WIDER = shapely.box(-87.60002, 34.19998, -87.59888, 34.20092)


def codes(measured, key="a01"):
    return {note.code: note for note in measured.extras.area_notes[key]}


def test_a_drawing_and_a_walk_are_both_shown_and_held(tmp_path):
    measured = place(
        tmp_path, {"drawn.geojson": geojson([("Plot", WIDER)]), "walk.gpx": walked(PLOT)},
        [{"name": "Plot", "kind": "plot", "from": ["drawn.geojson", "walk.gpx"]}],
    )  # fmt: skip
    row = measured.areas.iloc[0]
    assert row["acres"] == pytest.approx(acres(WIDER))
    assert row["acres_low"] <= acres(PLOT) * 1.03
    note = codes(measured)["drawing-over-walk"]
    assert note.level == "warning"  # a fifth of the ground
    assert "holds both" in note.text
    shown = measured.extras.layers["readings"]
    assert [what.split(",")[0] for what in shown["what"]] == ["the drawing", "the walk"]
    report, layers = plan_records(measured, today=dt.date(2026, 11, 27))
    assert len(layers["readings"]) == 2
    assert b"readings" in geopackage_bytes(layers, report)


def test_a_walk_of_other_ground_widens_nothing(tmp_path):
    far = shapely.box(-87.610, 34.200, -87.609, 34.201)
    measured = place(
        tmp_path, {"drawn.geojson": geojson([("Plot", WIDER)]), "walk.gpx": walked(far)},
        [{"name": "Plot", "kind": "plot", "from": ["drawn.geojson", "walk.gpx"]}],
    )  # fmt: skip
    assert "do not lie on the same ground" in codes(measured)["drawing-over-walk"].text
    row = measured.areas.iloc[0]
    assert row["acres_low"] == row["acres"]
    assert not len(measured.extras.layers["readings"])


def test_two_people_who_differ_are_both_shown(tmp_path):
    later = DAY + dt.timedelta(days=3)
    files = {"one.gpx": walked(PLOT), "two.gpx": walked(WIDER, seed=2, begin=later)}
    measured = place(
        tmp_path, files, [{"name": "Plot", "kind": "plot", "from": ["one.gpx", "two.gpx"]}]
    )
    assert "readings-differ" in codes(measured)
    shown = measured.extras.layers["readings"]
    assert {what.split(",")[0] for what in shown["what"]} == {"one.gpx", "two.gpx"}
    row = measured.areas.iloc[0]
    assert row["acres_low"] < acres(PLOT) * 1.02
    assert row["acres_high"] > acres(WIDER) * 0.98


def test_walks_that_agree_are_not_shown_apart(tmp_path):
    later = DAY + dt.timedelta(days=3)
    files = {"one.gpx": walked(PLOT), "two.gpx": walked(PLOT, seed=2, begin=later)}
    measured = place(
        tmp_path, files, [{"name": "Plot", "kind": "plot", "from": ["one.gpx", "two.gpx"]}]
    )
    assert "readings-differ" not in codes(measured)
    assert not len(measured.extras.layers["readings"])


@pytest.mark.parametrize(("sky", "wider"), [(None, True), ("open", False)])
def test_timber_on_the_map_beside_a_walk_is_counted(tmp_path, sky, wider):
    timber = shapely.box(-87.6015, 34.199, -87.60003, 34.202)
    files = {"walk.gpx": walked(PLOT), "drawn.geojson": geojson([("Woods", timber)])}
    plot = {"name": "Plot", "kind": "plot", "from": "walk.gpx"} | (
        {"sky": sky} if sky else {}
    )
    woods = {"name": "Woods", "kind": "timber", "from": "drawn.geojson"}
    alone = place(tmp_path, files, [plot])
    beside = place(tmp_path, files, [plot, woods])
    grown = beside.areas.iloc[0]["acres_high"] - alone.areas.iloc[0]["acres_high"]
    assert (grown > 0.02) == wider
    assert ("trees-beside" in codes(beside)) == wider
    assert "trees-beside" not in codes(alone)
