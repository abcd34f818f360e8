"""Pins, legs and calls from the command line to a build: what is asked, said and written."""

import json
import tomllib

import pytest
from click.testing import CliRunner

from quietacre.cli import main

TAPE = (
    "bearing,distance,unit,slope_pct,back_bearing\nN 45 30 E,412,ft,,226\n"
    "S 44 30 E,6.5,chains,10,\nS 45 W,405,ft,,\nN 45 W,432,ft,,\n"
)
DEED = (
    "Beginning at a stone; thence N 87 E 40 poles to a stake; thence S 3 E 40 poles; thence S 87 W "
    "40 poles; thence N 3 W 40 poles to the beginning, containing ten acres."
)
CORNERS = [(33.2, -86.3), (33.2, -86.2985), (33.2013, -86.2985), (33.2013, -86.3)]
TRACK = (
    "<trk><trkseg>"
    + "".join(
        f'<trkpt lat="{33.25 + a:.5f}" lon="{-86.3 + b:.5f}"/>'
        for a, b in [(0, 0), (0.001, 0), (0.001, 0.001), (0, 0.001), (0, 0)]
    )
    + "</trkseg></trk>"
)


def gpx(path, more=""):
    pins = "".join(
        f'<wpt lat="{lat}" lon="{lon}"><name>{n}</name></wpt>'
        for n, (lat, lon) in enumerate(CORNERS, 1)
    )
    path.write_text(
        f'<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">{pins}{more}</gpx>'
    )
    return path


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tape.csv").write_text(TAPE)
    (tmp_path / "deed.txt").write_text(DEED)
    gpx(tmp_path / "pins.gpx")
    return tmp_path


def run(*words, code=0):
    result = CliRunner().invoke(main, list(words))
    assert result.exit_code == code, result.output
    return result.output


def acres_of(*words):
    return json.loads(run("acres", *words, "--json"))


def test_acres_of_a_tape_and_a_deed_without_a_place(here):
    told = acres_of("tape.csv", "deed.txt")
    tape, deed = told["areas"]
    # corners worked by hand from the balanced legs: 4.03 ac; the deed is a square of 40 poles
    assert tape["acres"] == pytest.approx(4.03, abs=0.02)
    assert deed["acres"] == pytest.approx(10.0, abs=1e-6)
    assert told["total_acres"] == pytest.approx(tape["acres"] + deed["acres"])
    assert tape["acres_low"] < tape["acres"] < tape["acres_high"]
    assert any("misses its beginning by 3.2 ft" in text for text in tape["warnings"])
    assert any("not a survey" in text for text in deed["warnings"])


def test_pins_are_asked_about_and_then_measured(here):
    out = run("acres", "pins.gpx", code=2)
    assert "straight between them (4.98 ac) or in a curve (7.55 ac)" in out
    (row,) = acres_of("pins.gpx", "--corners", "straight")["areas"]
    assert row["acres"] == pytest.approx(4.98, abs=0.01)


def test_waypoints_beside_a_track_stay_marks_unless_corners_is_said(here):
    gpx(here / "both.gpx", TRACK)
    (walk,) = acres_of("both.gpx")["areas"]
    assert walk["acres"] < 3.0
    (pins,) = acres_of("both.gpx", "--corners", "straight")["areas"]
    assert pins["acres"] == pytest.approx(4.98, abs=0.01)
    assert any("was not measured" in text for text in pins["warnings"])


def test_the_table_of_calls_gives_the_same_figure_back(here):
    run("acres", "deed.txt", "--table", "calls.csv")
    (deed,) = acres_of("deed.txt")["areas"]
    (again,) = acres_of("calls.csv")["areas"]
    for key in ("acres", "acres_low", "acres_high"):
        assert again[key] == pytest.approx(deed[key], rel=1e-4)


def test_a_call_that_is_mended_in_the_table_is_read(here):
    (here / "deed.txt").write_text(DEED.replace("S 3 E", "southerly"))
    assert "call 2 has no bearing" in run("acres", "deed.txt", code=2)
    run("acres", "deed.txt", "--table", "calls.csv", code=2)
    text = (here / "calls.csv").read_text()
    assert "has no bearing" in text
    row = next(line for line in text.splitlines() if line.startswith("2,"))
    (here / "calls.csv").write_text(text.replace(row, "2,S 3 E,660,ft,1,16.5,,,,mended"))
    (again,) = acres_of("calls.csv")["areas"]
    assert again["acres"] == pytest.approx(10.0, abs=1e-3)


def test_the_sketch_shows_corners_legs_and_the_gap(here):
    run("acres", "tape.csv", "--sketch", "tape.svg")
    text = (here / "tape.svg").read_text()
    assert text.count("<circle") == 4
    assert "misses its beginning by 3.2 ft" in text
    assert "429.0 ft" not in text  # the slope is taken off
    assert "426.9 ft" in text


def test_what_cannot_be_written_is_refused(here):
    assert "no calls to write" in run("acres", "tape.csv", "--table", "c.csv", code=2)
    assert "no legs to draw" in run(
        "acres", "pins.gpx", "--corners", "straight", "--sketch", "s.svg", code=2
    )
    assert "without a place" in run("acres", "tape.csv", "--out", "a.csv", code=2)
    assert not list(here.glob("?.*"))


def test_new_writes_what_each_needs_and_build_asks_for_the_place(here):
    run("new", "place", "tape.csv", "deed.txt", "pins.gpx", "--corners", "straight")
    text = (here / "place" / "property.toml").read_text()
    areas = tomllib.loads(text)["area"]
    assert [area["name"] for area in areas] == ["Tape", "Deed", "Pins"]
    assert areas[2]["corners"] == "straight"
    assert text.count("# placed = ") == 2
    assert "without a place" in run("build", "place", code=2)
    spots = iter(["33.21, lon = -86.3", "33.23, lon = -86.3"])
    for line in [line for line in text.splitlines() if line.startswith("# placed")]:
        text = text.replace(line, f"placed = [{{ corner = 1, lat = {next(spots)} }}]", 1)
    (here / "place" / "property.toml").write_text(text)
    run("build", "place")
    report = json.loads((here / "place" / "out" / "report.json").read_text())
    acres = {area["name"]: area for area in report["areas"]}
    assert acres["Tape"]["acres"] == pytest.approx(4.03, abs=0.02)
    assert acres["Deed"]["acres"] == pytest.approx(10.0, rel=1e-4)
    assert acres["Pins"]["acres_high"] > acres["Pins"]["acres"] + 0.2
    codes = {note["code"] for area in report["areas"] for note in area["notes"]}
    assert {"north-assumed", "not-a-survey"} <= codes


DRAWN = {"type": "Feature", "properties": {"name": "Hill"}, "geometry": {
    "type": "Polygon", "coordinates": [[[-86.3, 33.2], [-86.2985, 33.2], [-86.2985, 33.2013],
                                        [-86.3, 33.2013], [-86.3, 33.2]]]}}  # fmt: skip


@pytest.mark.parametrize(
    ("key", "pm_ft"), [("edge_pm_ft = 20", 20.0), ("map_scale = 24000", 45.62), ("", 0.0)]
)
def test_a_drawing_has_the_range_that_its_edge_has(here, key, pm_ft):
    folder = here / "place"
    folder.mkdir()
    (folder / "hill.geojson").write_text(json.dumps(DRAWN))
    (folder / "property.toml").write_text(
        f'[property]\nname = "P"\n[[area]]\nname = "Hill"\nkind = "plot"\nfrom = "hill.geojson"\n{key}\n'
    )
    run("build", "place")
    (area,) = json.loads((folder / "out" / "report.json").read_text())["areas"]
    # a square of side a: SD is √2 a σ, σ = radius / 2.4477 (FGDC-STD-007.3-1998)
    side_ft = (area["acres"] * 43_560) ** 0.5
    half = 1.96 * 2**0.5 * side_ft * pm_ft / 2.4477 / 43_560
    assert (area["acres_high"] - area["acres_low"]) / 2 == pytest.approx(
        half, rel=0.03, abs=1e-9
    )


def test_a_deed_with_an_exception_is_drawn_by_hand(here):
    (here / "deed.txt").write_text(DEED + " Less and except: beginning at B; thence north 66 feet; thence "
                                   "east 66 feet; thence south 66 feet; thence west 66 feet.")  # fmt: skip
    (row,) = acres_of("deed.txt")["areas"]
    assert row["acres"] == pytest.approx(10.0 - 0.1, abs=1e-3)
    run("new", "place", "deed.txt")
    text = (here / "place" / "property.toml").read_text()
    line = next(line for line in text.splitlines() if line.startswith("# placed"))
    (here / "place" / "property.toml").write_text(text.replace(line, line[2:]))
    assert "exception" in run("build", "place", code=2)
