"""Files of several parts: what a zip holds and leaves unread, and layers some thousand at a time."""

import datetime as dt
import json
import sqlite3
import zipfile

import geopandas as gpd
import numpy as np
import pytest
import shapely

from quietacre.errors import FileProblem
from quietacre.intake import vector
from quietacre.intake.collect import Collector
from quietacre.intake.deadline import allowed_seconds
from quietacre.intake.deed import deed_in
from quietacre.intake.gdal import SHAPE_TYPES
from quietacre.intake.gpx import _Reader
from quietacre.intake.log import read_log
from quietacre.intake.marks import marks_in
from quietacre.intake.picture import read_picture
from quietacre.intake.rows import day_in, number_in, plain_rows
from quietacre.intake.values import settings_from
from quietacre.intake.vector import read_batches, read_layer
from quietacre.intake.weather import read_weather
from quietacre.intake.years import kept_folders, read_years
from quietacre.model import Layer, Waypoint

KML = (
    "<kml><Placemark><name>{0}</name><Polygon><outerBoundaryIs><LinearRing><coordinates>0,0 1,0 1,1 0,0"
    "</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>"
)


def zipped(path, **files):
    with zipfile.ZipFile(path, "w") as made:
        for name, text in files.items():
            made.writestr(name.replace("_", "."), text)
    return path


@pytest.mark.parametrize("ending", [".zip", ".kmz"])
def test_parts_of_an_archive_are_told_apart_only_where_there_are_several(tmp_path, ending):
    one = read_layer(zipped(tmp_path / f"one{ending}", a_kml=KML.format("A")))
    assert one.feature == ("placemark 1 “A”",)
    two = read_layer(
        zipped(tmp_path / f"two{ending}", b_kml=KML.format("B"), a_kml=KML.format("A"))
    )
    names = ("a.kml, placemark 1 “A”", "b.kml, placemark 1 “B”")
    assert set(two.feature) == set(names)
    if ending == ".zip":
        assert two.feature == names, "in order of their names"
    with pytest.raises(FileProblem, match=r"holds no (KML|shapefile and no KML)"):
        read_layer(zipped(tmp_path / f"none{ending}", a_txt="x"))


@pytest.mark.parametrize(
    ("names", "said"),
    [(("a_gpx",), "left unread: a.gpx"), (("a_gpx", "b_gpx", "c_gpx"), "left unread: a.gpx, b.gpx, c.gpx"),
     (("a_gpx", "b_gpx", "c_gpx", "d_gpx"), "left unread: a.gpx, b.gpx, c.gpx …")],
)  # fmt: skip
def test_what_a_zip_holds_besides_is_said(tmp_path, names, said):
    layer = read_layer(
        zipped(tmp_path / "a.zip", k_kml=KML.format("A"), **dict.fromkeys(names, "x"))
    )
    (note,) = layer.notes
    assert note.text.startswith(f"{said}. Only shapefiles")


def test_a_large_layer_comes_16384_features_at_a_time(tmp_path, monkeypatch):
    count = 16_385
    names = tuple(f"f{n}" for n in range(count))
    gate = Waypoint("Gate", "a", 1.0, 2.0)
    whole = Layer(
        "a", np.array(names, dtype=object), names, names, names, waypoints=(gate,)
    )
    monkeypatch.setattr(vector, "_with_columns", lambda *_given: whole)
    first, second = read_batches(tmp_path / "a.csv")
    assert (len(first[0].geometry), *first[1:]) == (16_384, 16_384, count)
    assert (len(second[0].geometry), *second[1:]) == (1, count, count)
    assert second[0].feature == second[0].name == second[0].kind == ("f16384",)
    assert (first[0].waypoints, second[0].waypoints) == ((gate,), ()), "told once"


def test_a_small_layer_comes_whole_with_its_columns(tmp_path):
    frame = gpd.GeoDataFrame(
        {"name": ["A"], "kind": ["plot"], "Crop": ["oats"], "n": [3]},
        geometry=[shapely.box(0, 0, 1, 1)], crs=4326,
    )  # fmt: skip
    for name in ("a.gpkg", "a.geojson"):
        frame.to_file(tmp_path / name)
        ((layer, done, total),) = read_batches(tmp_path / name)
        assert (done, total, layer.name, layer.kind) == (1, 1, ("A",), ("plot",))
        assert layer.columns == ({"Crop": "oats", "n": 3},)
    frame.to_file(tmp_path / "a.shp")
    ((layer, _, _),) = read_batches(tmp_path / "a.shp")
    assert layer.columns == ()
    line = {"type": "LineString", "coordinates": [[0, 0], [1, 1], [0, 2]]}
    (tmp_path / "b.geojson").write_text(json.dumps(line))
    ((layer, done, total),) = read_batches(tmp_path / "b.geojson")
    assert (done, total, [note.code for note in layer.notes]) == (0, 0, ["left-out"])
    with pytest.raises(FileProblem, match="has no layers to choose “x” from"):
        list(read_batches(tmp_path / "a.geojson", layer="x"))


def test_twelve_layers_are_named_where_the_one_asked_for_is_not_there(tmp_path):
    path = tmp_path / "a.gpkg"
    frame = gpd.GeoDataFrame({"name": ["A"]}, geometry=[shapely.box(0, 0, 1, 1)], crs=4326)
    frame.to_file(path, layer="layer00")
    with sqlite3.connect(path) as base:
        for number in range(1, 13):
            base.execute(
                "INSERT INTO gpkg_contents (table_name, data_type, identifier, srs_id) "
                "VALUES (?, 'features', ?, 4326)", (f"layer{number:02d}",) * 2,
            )  # fmt: skip
    base.close()
    with pytest.raises(FileProblem) as caught:
        read_layer(path, layer="x")
    assert "“layer11”" in str(caught.value)
    assert "layer12" not in str(caught.value)


def test_the_types_of_shapes_that_a_shapefile_may_hold():
    """Null, point, line, polygon, several points; the same with heights and with measures; and
    surfaces: "ESRI Shapefile Technical Description", Environmental Systems Research Institute,
    1998 (from memory)."""
    plain = {1, 3, 5, 8}
    assert {0, 31} | plain | {n + 10 for n in plain} | {
        n + 20 for n in plain
    } == SHAPE_TYPES


def test_a_file_has_fifteen_seconds_and_one_for_each_megabyte():
    assert allowed_seconds(0) == 15.0
    assert allowed_seconds(2_000_000) == 17.0


# texts that are quoted are cut, and say no more than fits a line


def refused(read, *given):
    with pytest.raises(FileProblem) as caught:
        read(*given)
    return str(caught.value)


def test_long_words_are_quoted_as_far_as_they_fit_a_line():
    long = "x" * 200
    assert f"“{'x' * 40}”" in refused(number_in, long, "", "mend it", "t", 1)
    assert f"“{'x' * 20}” is not a date" in refused(day_in, long, "t", 1)
    reader = _Reader("a.gpx")
    point = f'<gpx><wpt lat="{long}" lon="1"/></gpx>'
    assert f"latitude “{'x' * 40}” is not a number" in refused(
        reader.parser.Parse, point, True
    )
    reader = _Reader("a.gpx")
    digits = "1_" * 100
    point = f'<gpx><wpt lat="{digits}1" lon="1"/></gpx>'
    assert f"latitude “{digits[:40]}” is not a number" in refused(
        reader.parser.Parse, point, True
    )
    kind = {
        "geometry": {"type": "Point", "coordinates": [1, 2]},
        "properties": {"kind": long},
    }
    assert f"“{'x' * 40}” is no kind" in refused(
        marks_in, json.dumps({"features": [kind]}).encode()
    )
    exception = "less and except 5 acres " + "of the same ground " * 20
    (note,) = deed_in(f"thence East 9 feet, thence South 9 feet, {exception}", "d").notes
    assert len(note.text.partition("“")[2].rstrip("”.")) == 120


def test_cells_of_a_log_are_quoted_to_twenty_signs(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(
        f"date,area,task,minutes,until\n{'d' * 30},P,clip,,\n2027-01-01,P,clip,{'m' * 30},{'u' * 30}\n"
    )
    texts = [str(note.text) for note in read_log(path, shown="log.csv").notes]
    for letter in "dmu":
        assert sum(f"“{letter * 20}”" in text for text in texts) == 1


def test_a_cell_may_have_131072_signs():
    assert len(next(plain_rows("x" * 131_072, "t"))[1][0]) == 131_072
    with pytest.raises(FileProblem, match="a cell of more than 131,072 signs"):
        next(plain_rows("x" * 131_073, "t"))


def test_kept_years_are_read_up_to_four_megabytes(tmp_path):
    for name in (
        "2026",
        "2026-corrected-2027-01-05",
        "2026-corrected-2027-01-05-2",
        "2025",
        "other",
        "2026-x",
    ):
        (tmp_path / "years" / name).mkdir(parents=True)
    assert kept_folders(tmp_path) == [
        "2025", "2026", "2026-corrected-2027-01-05", "2026-corrected-2027-01-05-2",
    ]  # fmt: skip
    for size, said in ((4_000_000, "zero bytes"), (4_000_001, "the limit is 4 MB")):
        with (tmp_path / "years" / "2025" / "year.json").open("wb") as handle:
            handle.truncate(size)
        texts = [str(note.text) for note in read_years(tmp_path)[1]]
        assert any(said in text for text in texts), texts


def test_a_projection_file_of_twenty_thousand_signs(tmp_path):
    from PIL import Image
    from pyproj import CRS

    Image.new("RGB", (4, 4)).save(tmp_path / "a.png")
    (tmp_path / "a.pgw").write_text("10\n0\n0\n-10\n500000\n3700000\n")
    text = CRS.from_epsg(26916).to_wkt()
    for size, taken in ((20_000, True), (20_001, False)):
        (tmp_path / "a.prj").write_bytes(text.encode().ljust(size))
        if taken:
            assert read_picture(tmp_path / "a.png", shown="a").crs.to_epsg() == 26916
        else:
            assert "the limit is" in refused(
                lambda: read_picture(tmp_path / "a.png", shown="a")
            )


def test_values_of_numpy_and_of_lists_stand_in_settings():
    made = settings_from({
        "property": {"name": "x"},
        "area": ({"name": "P", "kind": "plot", "plant": dt.date(2027, 9, 25), "topdress_n_lb_ac": np.float64(30.0)},),
    })  # fmt: skip
    assert made.area[0].topdress_n_lb_ac == 30.0


def test_a_table_of_days_needs_its_date(tmp_path):
    path = tmp_path / "w.csv"
    for text in ("inches\n1\n", "date,cm\n2027-01-01,1\n", "date\n2027-01-01\n"):
        path.write_text(text)
        assert "name the columns date,inches" in refused(read_weather, path)
    path.write_text("A,20270101,PRCP,254\nB,20270102,PRCP,1\n")
    assert "line 2: is of another station" in refused(read_weather, path)
    path.write_text("A,20270101,PRCP,-9999\nA,20270102,PRCP,127,T\nA,20270103,PRCP,5,,X\n")
    made = read_weather(path)
    assert (made.rain_in.tolist(), made.traces, made.dropped_by_flag) == ([0.5], 1, 1)


def test_a_collection_is_one_area_of_its_polygons_and_its_lines_apart():
    into = Collector("a")
    parts = [
        shapely.box(0, 0, 1, 1),
        shapely.MultiPolygon([shapely.box(2, 0, 3, 1)]),
        shapely.Point(1, 2),
    ]
    into.add(shapely.GeometryCollection(parts), {"name": "A"}, "f")
    into.add(
        shapely.MultiLineString([[(0, 0), (1, 0), (1, 1), (0, 0)]]), {"name": "B"}, "f"
    )
    layer = into.layer()
    assert [shape.area for shape in layer.geometry] == [2.0, 0.5]
    assert (layer.name, len(layer.waypoints)) == (("A", "B"), 1)
    again = Collector("a")
    for name in ("A", "B", "C"):
        again.add(shapely.box(0, 0, 1, 1), {"name": name}, "f")
    assert [n.text for n in again.layer().notes if n.code == "drawn-twice"] == [
        "“B” repeats “A” to the point.", "“C” repeats “A” to the point.",
    ]  # fmt: skip
    with pytest.raises(FileProblem, match="holds no features"):
        Collector("a").layer()
