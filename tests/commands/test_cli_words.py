"""The command line as a person meets it: helps, errors, exit codes."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from record_of import record_of

from quietacre.cli import COMMANDS, main
from quietacre.commands.demo import write_sample
from quietacre.figures import printed
from quietacre.report_records import StripReport

ROOT = Path(__file__).parents[2]


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def square(folder, file="plot.geojson", **properties):
    path = folder / file
    ring = [
        [-87.6, 34.2],
        [-87.598, 34.2],
        [-87.598, 34.202],
        [-87.6, 34.202],
        [-87.6, 34.2],
    ]
    geometry = {"type": "Polygon", "coordinates": [ring]}
    path.write_text(
        json.dumps({"type": "Feature", "properties": properties, "geometry": geometry})
    )
    return path


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_explains_itself(name):
    result = run(name, "--help")
    assert result.exit_code == 0
    assert "Usage:" in result.output
    assert "--json" in result.output or name in ("need", "edge")


def test_every_command_is_in_the_readme():
    text = (ROOT / "README.md").read_text()
    for name in COMMANDS:
        assert f"quietacre {name}" in text


def test_help_loads_nothing_heavy():
    code = (
        "import sys; from quietacre.cli import main\n"
        "try: main(['--help'])\nexcept SystemExit: pass\n"
        "heavy = {'numpy', 'shapely', 'pandas', 'geopandas', 'pydantic'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.DEVNULL)


def test_acres_loads_no_geopandas(tmp_path):
    path = square(tmp_path)
    code = (
        "import sys; from quietacre.cli import main\n"
        f"try: main(['acres', {str(path)!r}])\nexcept SystemExit as e: assert not e.code, e.code\n"
        "heavy = {'pandas', 'geopandas', 'folium', 'scipy', 'pydantic'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.DEVNULL)


def test_acres_json_has_the_agreed_keys(tmp_path):
    result = run("acres", square(tmp_path, "p.geojson", kind="plot"), "--json")
    assert result.exit_code == 0, result.output
    said = json.loads(result.output)
    assert set(said) == {"total_acres", "areas", "warnings"}
    assert set(said["areas"][0]) == {
        "name", "kind", "source", "acres", "acres_low", "acres_high", "perimeter_ft", "warnings",
    }  # fmt: skip
    assert said["total_acres"] == pytest.approx(10.11, abs=0.05)


def test_acres_counts_overlapping_files_once(tmp_path):
    one, two = square(tmp_path, "a.geojson"), square(tmp_path, "b.geojson")
    said = json.loads(run("acres", one, two, "--json").output)
    assert said["total_acres"] == pytest.approx(said["areas"][0]["acres"], rel=1e-9)
    assert "same ground" in said["warnings"][0]


BAD = {
    "missing.geojson": None,
    "empty.geojson": b"",
    "words.geojson": b"once upon a time",
    "cut.gpx": b"<gpx version='1.1'><trk><trkseg><trkpt lat='34' lon",
    "nothing.gpx": b"<gpx version='1.1'></gpx>",
    "unknown.xyz": b"1 2 3",
}


@pytest.mark.parametrize("name", list(BAD))
def test_bad_files_get_one_line_and_exit_2(tmp_path, name):
    if BAD[name] is not None:
        (tmp_path / name).write_bytes(BAD[name])
    done = subprocess.run(
        [sys.executable, "-m", "quietacre", "acres", str(tmp_path / name)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert name in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_unknown_command_names_the_nearest():
    result = run("arces")
    assert result.exit_code == 2
    assert "did you mean “acres”?" in result.output


def test_our_own_fault_is_one_line_and_exit_1(tmp_path, monkeypatch):
    def broken(_paths):
        raise ZeroDivisionError("boom\nboom")

    monkeypatch.setattr("quietacre.commands.acres.measure_files", broken)
    result = CliRunner().invoke(main, ["acres", str(square(tmp_path))])
    assert result.exit_code == 1
    assert "fault of the program" in result.output
    assert len(result.output.strip().splitlines()) == 1


def test_new_then_build(tmp_path):
    drawing = square(tmp_path, "my field.geojson", name="Field {{7*7}} “x”", kind="plot")
    place = tmp_path / "place"
    result = run("new", place, drawing, "--name", 'The "old" place')
    assert result.exit_code == 0, result.output
    built = run("build", place, "--today", "2027-01-02", "--json")
    assert built.exit_code == 0, built.output
    report = json.loads(built.output)
    assert report["property"]["name"] == 'The "old" place'
    assert report["areas"][0]["name"] == "Field {{7*7}} “x”"
    again = run("new", place, drawing)
    assert again.exit_code == 2
    assert "not empty" in again.output


def test_build_without_a_property_file(tmp_path):
    result = run("build", tmp_path)
    assert result.exit_code == 2
    assert "property.toml" in result.output


def test_all_faults_of_a_property_at_once(tmp_path):
    place = tmp_path / "p"
    write_sample(place)
    path = place / "property.toml"
    path.write_text(
        path.read_text()
        .replace('mix = "clover stand"', 'mix = "clover stend"')
        .replace("walks/wire-lane.gpx", "walks/wire-line.gpx")
        .replace('kind = "burn"', 'kind = "bern"')
        .replace("hours_day = 7.0", 'hours_dya = 7.0\nhelpers = "two"')
    )
    result = run("build", place)
    assert result.exit_code == 2
    lines = result.output.strip().splitlines()
    assert len(lines) >= 3
    assert any("hours_day" in line for line in lines)
    assert any("area[15].kind" in line and "burn" in line for line in lines)
    assert any("area[2].mix" in line and "“clover stand”" in line for line in lines)
    assert any("area[5].from" in line and "wire-lane" in line for line in lines)


def test_source_date_epoch_sets_the_day(tmp_path, monkeypatch):
    monkeypatch.setitem(os.environ, "SOURCE_DATE_EPOCH", "1798934400")
    drawing = square(tmp_path, "f.geojson")
    run("new", tmp_path / "p", drawing)
    report = json.loads(run("build", tmp_path / "p", "--json").output)
    assert report["made_on"] == "2027-01-03"


def test_a_strip_on_the_terminal_says_where_it_is_thin_and_whether_it_holds():
    from quietacre.commands.build import _strip_line

    row = {"name": "V strip", "kind": "strip", "width_ft": 24.0, "acres": 0.43}
    said = printed(_strip_line(record_of(StripReport, row)))
    assert said == "V strip: 24 ft wide, 0.43 ac"
    helped = {"remedy": "wider", "costs": "0.4 ac", "works": True, "text": "wider"}
    short = {
        **row, "cut_every_days": 14, "remedies": [helped], "weak": [{"length_ft": 59.0}],
    }  # fmt: skip
    said = printed(_strip_line(record_of(StripReport, short)))
    assert "thinner than that along 59 ft, does not hold" in said
