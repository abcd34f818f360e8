"""Names, days, words and files between the keys of the settings; marks and shapefiles on the disk."""

import datetime as dt
import json
import struct

import geopandas as gpd
import pytest
import shapely
from PIL import Image
from settings_said import faults, plot

from quietacre.errors import FileProblem, SettingsProblem
from quietacre.intake.collect import Collector
from quietacre.intake.file_faults import Place, file_faults
from quietacre.intake.gdal import _check_whole
from quietacre.intake.lines import read_line
from quietacre.intake.marks import length_ft, marks_in
from quietacre.intake.newer import format_in
from quietacre.intake.picture import read_picture
from quietacre.intake.placed import read_placed
from quietacre.intake.property import newer_notes, parse_property, read_property_and_notes
from quietacre.intake.reference import to_wgs84
from quietacre.intake.vector import read_layer
from quietacre.model import FORMAT

D = dt.date


OATS = {"name": "m", "seed": [{"crop": "oats", "share": 1.0}]}
SPRAY = {"name": "s", "use": "foliar feed"}


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        # names that lead somewhere
        ({"area": [plot(mix="m")], "mix": [OATS]}, ""),
        ({"area": [plot(mix="n")], "mix": [OATS]}, "area[1].mix: there is no [[mix]] named “n”"),
        ({"area": [plot(soil_test="t")]}, "there is no [[soil_test]] named “t”"),
        ({"area": [plot(strip={"mix": "n"})]}, "area[1].strip.mix: there is no [[mix]]"),
        ({"area": [plot(strip={"soil_test": "n"})]}, "area[1].strip.soil_test"),
        ({"area": [plot(strip={"bare": True})]}, ""),
        ({"area": [plot(walked_inside_ft=3)]}, ""),
        ({"area": [plot(walked_inside_ft=3, walked_outside_ft=0)]}, ""),
        # one name twice
        ({"mix": [OATS, OATS]}, "mix[2].name: “m” is the name of mix[1] too; change one"),
        ({"mix": [OATS, {**OATS, "name": "M "}]}, "is the name of mix[1] too"),
        # plantings
        ({"mix": [OATS], "area": [plot(mix="m", plantings=[{"mix": "m", "plant": "09-01"}])]},
         "the area has mix too, which is one planting more"),
        ({"mix": [OATS], "area": [plot(plantings=[{"mix": "m", "plant": "09-01"}, {"mix": "n", "plant": "04-01"}])]},
         "area[1].plantings[2].mix: there is no [[mix]] named “n”"),
        ({"mix": [OATS], "area": [plot(plantings=[{"mix": "m", "plant": "02-30"}, {"mix": "m", "plant": "04-01"}])]},
         "area[1].plantings[1].plant: “02-30” is not a day of the year"),
        ({"area": [plot(plant="09-25", topdress_on="02-31")]}, "area[1].topdress_on: “02-31” is not a day"),
        # seasons and frosts
        ({"property": {"last_frost": "04-01", "first_frost": "04-02"}}, ""),
        ({"property": {"last_frost": "04-01", "first_frost": "04-01"}}, "does not come after last_frost"),
        ({"property": {"last_frost": "11-05"}}, "does not come after last_frost"),
        ({"property": {"last_frost": "11-04"}}, ""),
        ({"property": {"first_frost": "03-31"}}, "does not come after last_frost"),
        ({"property": {"first_frost": "04-01"}}, ""),
        ({"quiet": [{"name": "q", "start": "05-15", "end": "07-03", "keeps_out": "all"}]}, ""),
        ({"area": [plot()], "quiet": [{"name": "q", "start": "05-15", "end": "07-03", "keeps_out": ["P", "patch"]}]}, ""),
        ({"quiet": [{"name": "q", "start": "05-15", "end": "07-03", "keeps_out": ["P"]}]}, "quiet[1].keeps_out: “P”"),
        ({"quiet": [{"name": "q", "start": "02-30", "end": "07-03"}]}, "quiet[1].start: “02-30”"),
        ({"mix": [{"name": "m", "seed": [{"crop": "oats", "share": 1.0, "plant_from": "09-01", "plant_to": "02-30"}]}]},
         "mix[1].seed[1].plant_to: “02-30”"),
        # words of the log, and names from before
        ({"log_words": {"bushed": "clip"}}, ""), ({"log_words": {"bushed": "clipp"}}, "did you mean “clip”?"),
        ({"log_words": {"bushed": "zzz"}}, "write one such as “clip” or “remark”"),
        ({"log_words": {"x": "scout"}, "task": [{"task": "scout", "days_before": 3}]}, ""),
        ({"log_words": {"x": "scout"}, "area": [plot(tasks=[{"task": "scout", "days_before": 3}])]}, ""),
        ({"mix": [OATS], "log_words": {"x": "scout"}, "crop": {"oats": {"tasks": [{"task": "scout", "days_before": 3}]}}}, ""),
        ({"area": [plot(was=["Old"])]}, ""),
        ({"area": [plot(was=["q"]), plot(name="Q")]}, "area[1].was: “q” is the name of “Q” too"),
        ({"area": [plot(was=["Old"]), plot(name="Q", was=["old"])]}, "area[2].was: “old” is the name of “P” too"),
        # the map and the weather
        ({"map": {"picture_crs": "EPSG:26916"}}, "map.picture_crs: there is no picture"),
        ({"map": {"tiles_credit": "x"}}, "map.tiles_credit: there is no tiles address"),
        ({"map": {"tiles": "https://example.org/{z}/{x}.png", "tiles_credit": "x"}}, "lacks {y}"),
        # surveys
        ({"area": [plot(surveyed=D(2027, 1, 2), surveys=[{"from": "given as a shape", "on": D(2027, 1, 1)}])]}, ""),
        ({"area": [plot(surveyed=D(2027, 1, 1), surveys=[{"from": "given as a shape", "on": D(2027, 1, 1)}])]},
         "2027-01-01 is not before surveyed = 2027-01-01"),
        ({"area": [plot(surveys=[
            {"from": "given as a shape", "on": D(2027, 1, 1)}, {"from": "given as a shape", "on": D(2027, 1, 1), "feature": "b"}])]},
         "two surveys are of 2027-01-01; mend the day of one"),
        # crops by another name
        ({"mix": [OATS], "crop": {"oats": {}, "Oats": {}}}, "is the same crop as crop.oats; keep one table"),
    ],
)  # fmt: skip
def test_names_and_days_between_the_keys(tables, said):
    told = faults(**tables)
    assert said in told
    assert bool(told) is bool(said), told


def test_a_crop_by_another_name_is_the_table_s_wherever_it_stands():
    text = (
        '[property]\nname = "x"\n[[mix]]\nname = "m"\nseed = [{ crop = "Oats", share = 1.0 }]\n'
        '[crop.Oats]\nwindow = "Sep 1-Oct 1"\n[[task]]\ntask = "clip"\ncrop = "OATS"\nskip = true\n'
    )
    prop = parse_property(text, None)
    assert prop.mix[0].seed[0].crop == "oats"
    assert list(prop.crop) == ["oats"]
    assert prop.task[0].crop == "oats"


# a folder of a newer version


def test_what_a_newer_version_knows_more_is_left_out_and_said(tmp_path):
    new = FORMAT + 1
    (tmp_path / "property.toml").write_text(
        f'[property]\nname = "x"\nformat = {new}\nmoon = "full"\n[stars]\nmany = true\n'
    )
    prop, _ = read_property_and_notes(tmp_path)
    assert prop.property.name == "x"
    (note,) = newer_notes(tmp_path)
    assert "without what it does not know: property.moon, stars" in note.text
    (tmp_path / "property.toml").write_text(
        f'[property]\nname = "x"\nformat = {FORMAT}\nmoon = 1\n'
    )
    with pytest.raises(SettingsProblem, match=r"property.moon: there is no such key"):
        read_property_and_notes(tmp_path)
    (tmp_path / "property.toml").write_text(f'[property]\nname = "x"\nformat = {FORMAT}\n')
    assert newer_notes(tmp_path) == ()
    (tmp_path / "property.toml").write_text(
        f"[property]\nname = 5\nformat = {new}\nmoon = 1\n"
    )
    with pytest.raises(SettingsProblem) as caught:
        read_property_and_notes(tmp_path)
    first, second = str(caught.value).splitlines()[:2]
    assert "get the newer one" in first, "it is said before all else"
    assert "property.name" in second
    assert format_in({"property": {"format": True}}) == FORMAT
    assert format_in({"property": 7}) == FORMAT


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a = ", "is not TOML"), ("a = " + "[" * 5000 + "]" * 5000, "nests too deep"),
        ("a = 1" + "0" * 5000, "holds a number too long to read"),
        ('[property]\nname = "x"\n[[area]]\nname = "P"\nkind = "plot"\nfrom = []\n', "area[1].from: is empty"),
        ('[property]\nname = "x"\n[[area]]\nname = "P"\nkind = "plot"\nfrom = ["a.gpx", "./a.gpx"]\n',
         "area[1].from: names a file twice; list it once"),
        ('[property]\nname = "x"\n[[area]]\nname = "P"\nkind = "plot"\nfrom = "a.gpx"\nover = "a.gpx"\n',
         "“a.gpx” is in from too"),
        ('[property]\nname = "x"\nboundary = "b.gpx"\n', "property.boundary: “b.gpx” is not there"),
        ('[property]\nname = "x"\n[weather]\nfrom = "a.gpx"\nfirst_year = 2001\nlast_year = 2000\n',
         "weather.first_year: 2001 is after last_year 2000"),
        ('[property]\nname = "x"\n[map]\npicture = "b.png"\n', "map.picture: “b.png” is not there"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_the_file_of_settings(tmp_path, text, said):
    (tmp_path / "a.gpx").write_text("x")
    (tmp_path / "property.toml").write_text(text)
    with pytest.raises((SettingsProblem, FileProblem)) as caught:
        read_property_and_notes(tmp_path)
    assert said in str(caught.value)


def test_a_year_s_base_period_may_be_one_year(tmp_path):
    (tmp_path / "a.csv").write_text("x")
    (tmp_path / "property.toml").write_text(
        '[property]\nname = "x"\n[weather]\nfrom = "a.csv"\nfirst_year = 2000\nlast_year = 2000\n'
    )
    assert read_property_and_notes(tmp_path)[0].weather.first_year == 2000


def test_files_of_the_folder_and_of_walks_and_drawings_are_offered(tmp_path):
    for name in ("walks", "drawn", "other"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "hilltop.gpx").write_text("x")
    (line,) = file_faults("drawn/hiltop.gpx", "x", Place(tmp_path))
    assert "did you mean “drawn/hilltop.gpx”?" in line
    (tmp_path / "link.gpx").symlink_to("/etc/hosts")
    (line,) = file_faults("link.gpx", "x", Place(tmp_path))
    assert "is a link out of the property folder" in line


# marks


def mark(kind="Point", at=(1, 2), **properties):
    feature = {
        "type": "Feature",
        "geometry": {"type": kind, "coordinates": at},
        "properties": properties,
    }
    return json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (mark("Polygon", [[[0, 0], [1, 0], [1, 1], [0, 0]]], name="A"), "feature 1 “A”: is no point and no line"),
        (mark(at=[1]), "has no place"), (mark(at=["x", 2]), "has no place"), (mark("LineString", []), "has no place"),
        (mark(at=[1, float("nan")]), "has no place"), (mark(at=[541, 2]), "lies nowhere on Earth"),
        (mark(at=[1, 90.5]), "lies nowhere on Earth"), (mark(at=[-541, 2]), "lies nowhere"),
        (b"[]", "has no list of features"), (b'{"features": [1]}', "has no list of features"),
    ],
)  # fmt: skip
def test_what_is_no_mark_is_named(data, said):
    with pytest.raises(FileProblem) as caught:
        marks_in(data)
    assert said in str(caught.value)


def test_a_line_is_taped_and_a_point_is_not():
    (tape,) = marks_in(mark("LineString", [[0, 0], [0, 1 / 60]]))
    assert tape.kind == "tape"
    # a minute of latitude at the equator is 1,843 m: 6,046 ft
    assert tape.length_ft == pytest.approx(6046, abs=1)
    assert length_ft(((0.0, 0.0),)) == 0.0
    for at in ((540, 90), (-540, -90)):
        assert marks_in(mark(at=at))[0].at == (tuple(map(float, at)),)
    with pytest.raises(FileProblem, match="is no kind of mark"):
        marks_in(
            json.dumps(
                {
                    "features": [
                        {
                            "geometry": {"type": "Point", "coordinates": [1, 2]},
                            "properties": {"kind": "zzz"},
                        }
                    ]
                }
            ).encode()
        )
    for shape, at, kind in (
        ("Point", [1, 2], "tape"),
        ("LineString", [[1, 2], [1, 3]], "stand"),
    ):
        feature = {
            "geometry": {"type": shape, "coordinates": at},
            "properties": {"kind": kind},
        }
        with pytest.raises(
            FileProblem, match=r"a line is taped, and a point is not|is no kind"
        ):
            marks_in(json.dumps({"features": [feature]}).encode())


# shapefiles, pictures, lines


@pytest.fixture
def shapefile(tmp_path):
    boxes = [shapely.box(n, 0, n + 1, 1) for n in range(3)]
    gpd.GeoDataFrame({"name": list("abc")}, geometry=boxes, crs=4326).to_file(
        tmp_path / "f.shp"
    )
    return tmp_path / "f.shp"


@pytest.mark.parametrize("ending", [".shp", ".shx", ".dbf"])
def test_a_shapefile_a_byte_too_short_is_cut_off(shapefile, ending):
    _check_whole(shapefile, Collector("f.shp"), "")
    part = shapefile.with_suffix(ending)
    data = part.read_bytes()
    # the last byte of a table is a mark of its end, which is not counted
    part.write_bytes(data[: -2 if ending == ".dbf" else -1])
    with pytest.raises(FileProblem, match="is cut off: it has"):
        _check_whole(shapefile, Collector("f.shp"), "")
    part.write_bytes(data + b"\0")
    _check_whole(shapefile, Collector("f.shp"), "")


def test_a_shapefile_of_other_names_or_of_no_known_type_is_refused(shapefile):
    table = shapefile.with_suffix(".dbf")
    data = bytearray(table.read_bytes())
    data[4:8] = struct.pack("<I", 2)
    table.write_bytes(data)
    with pytest.raises(FileProblem, match="has 3 shapes and 2 rows of names"):
        read_layer(shapefile)
    table.unlink()
    assert len(read_layer(shapefile).geometry) == 3
    for kind, known in (
        (5, True),
        (8, True),
        (25, True),
        (28, True),
        (4, False),
        (9, False),
        (24, False),
    ):
        head = bytearray(shapefile.read_bytes())
        head[32:36] = struct.pack("<i", kind)
        other = shapefile.with_name("g.shp")
        other.write_bytes(head)
        with pytest.raises(FileProblem) as caught:  # it has no .shx beside it
            read_layer(other)
        assert ("holds no known type of shape" in str(caught.value)) is not known
        assert (".shx file is missing" in str(caught.value)) is known
    shapefile.write_bytes(b"\0" * 200)
    with pytest.raises(FileProblem, match="is not a shapefile"):
        read_layer(shapefile)


def test_a_picture_without_an_ending_and_a_system_bound_to_another(tmp_path):
    path = tmp_path / "picture"
    path.write_bytes(b"x")
    with pytest.raises(FileProblem, match="pictures ending in “nothing” are not read"):
        read_picture(path, shown="picture")
    bound = to_wgs84(
        "+proj=tmerc +lon_0=-87 +k=0.9996 +x_0=500000 +ellps=GRS80 +towgs84=0,0,0 +units=m +type=crs",
        Collector("a"),
    )
    assert bound.counts_lengths


def test_a_placed_picture_s_reach_is_above_nought_and_below_a_million_feet(tmp_path):
    (tmp_path / "pictures").mkdir()
    Image.new("RGB", (4, 3)).save(tmp_path / "pictures" / "a.png")
    side = tmp_path / "pictures" / "a.png.placed.json"

    def read(**more):
        side.write_text(json.dumps({"pairs": [[1, 2, -87, 34]], **more}))
        return read_placed(tmp_path, "a.png")

    made = read(point_pm_ft=0.5, fit="affine")
    assert (made.width, made.height, made.how.point_pm_ft, made.how.fit) == (
        4,
        3,
        0.5,
        "affine",
    )
    assert read().how.point_pm_ft == 20.0
    assert read(point_pm_ft=999_999).how.point_pm_ft == 999_999.0
    for bad in (
        {"point_pm_ft": 0},
        {"point_pm_ft": 1e6},
        {"fit": "guess"},
        {"pairs": [[1, 2]]},
    ):
        with pytest.raises(FileProblem, match="holds no pairs"):
            read(**bad)


def test_one_line_and_nothing_besides(tmp_path):
    path = tmp_path / "a.json"

    def read(whole):
        path.write_text(json.dumps(whole))
        return read_line(path)

    line = {"type": "LineString", "coordinates": [[1, 2], [3, 4]]}
    assert (
        read(line)
        == read({"geometry": line})
        == read({"features": [{"geometry": line}]})
        == [[1, 2], [3, 4]]
    )
    for whole, count in (
        ([], 0), ({"features": 7}, 0), ({"features": [7]}, 1), ({"features": [{"geometry": line}] * 2}, 2),
        ({"type": "Point", "coordinates": [1, 2]}, 1), ({"type": "LineString"}, 1),
    ):  # fmt: skip
        with pytest.raises(FileProblem, match=f"holds {count} features, not one line"):
            read(whole)
