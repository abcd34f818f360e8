"""``quietacre edge``: areas split, joined and mended at the terminal, each taken back whole."""

import hashlib
import json
import tomllib

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.demo.write import write_sample
from quietacre.drawing.sheet import rings_of
from quietacre.measure.one import Place
from quietacre.measure.property import measure_property


@pytest.fixture
def bend(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    write_sample(tmp_path / "bend")
    return tmp_path / "bend"


def say(*words):
    return CliRunner().invoke(main, list(map(str, words)), prog_name="quietacre")


def good(*words):
    result = say(*words)
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout) if "--json" in words else result.stdout


def refused(*words):
    result = say(*words)
    assert result.exit_code == 2, result.output
    assert len(result.stderr.strip().splitlines()) == 1
    return result.stderr


def acres(folder):
    frame = measure_property(folder).areas
    return dict(zip(frame["name"], frame["acres"], strict=True))


def bytes_of(folder):
    return {p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
            for p in folder.rglob("*") if p.is_file()}  # fmt: skip


def shape_of(folder, name):
    return Place.of(folder).ground(name).shape


def geojson(path, kind, coordinates):
    feature = {
        "type": "Feature",
        "properties": {},
        "geometry": {"type": kind, "coordinates": coordinates},
    }
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [feature]}))
    return path


def across(folder, name, path):
    west, _, east, _ = shape_of(folder, name).bounds
    y = shape_of(folder, name).centroid.y
    return geojson(path, "LineString", [[west - 0.001, y], [east + 0.001, y + 0.0001]])


def test_split_makes_a_second_area_with_the_same_settings_and_join_brings_it_back(
    bend, tmp_path
):
    before, files = acres(bend), bytes_of(bend)
    said = good(
        "edge",
        "split",
        bend,
        "long field",
        across(bend, "Long field", tmp_path / "cut.geojson"),
    )
    assert (
        "Long field 2 has the settings of Long field (history, mix, plant, soil_test)"
        in said
    )
    now = acres(bend)
    assert now["Long field"] + now["Long field 2"] == pytest.approx(
        before["Long field"], rel=1e-9
    )
    table = {
        a["name"]: a for a in tomllib.loads((bend / "property.toml").read_text())["area"]
    }
    assert table["Long field 2"]["mix"] == table["Long field"]["mix"]
    assert files["drawn/openings.geojson"] == bytes_of(bend)["drawn/openings.geojson"]
    told = [
        note
        for note in measure_property(bend).extras.notes
        if note.source == "drawn/openings.geojson"
    ]
    assert [note.code for note in told] == ["edge-before"]  # no ground that was forgotten
    assert told[0].level == "info"
    good("edge", "join", bend, "Long field", "Long field 2")
    assert acres(bend)["Long field"] == pytest.approx(before["Long field"], rel=1e-9)
    good("undo", bend)
    good("undo", bend)
    assert bytes_of(bend) == files


def test_a_walk_that_is_split_stays_behind_both_pieces(bend, tmp_path):
    before = measure_property(bend).areas.set_index("name").loc["Creek shelf"]
    cut = across(bend, "Creek shelf", tmp_path / "cut.geojson")
    made = good("edge", "split", bend, "Creek shelf", cut, "--as", "Shelf north", "--json")
    assert [one["over"] for one in made["areas"]] == [["walks/creek-shelf.gpx"]] * 2
    assert sum(one["acres"] for one in made["areas"]) == pytest.approx(
        before["acres"], rel=1e-9
    )
    frame = measure_property(bend).areas.set_index("name")
    for one in made["areas"]:
        assert frame.loc[one["name"], "acres_high"] == pytest.approx(
            one["acres_high"], rel=1e-9
        )
    good("edge", "join", bend, "Creek shelf", "Shelf north")
    table = next(a for a in tomllib.loads((bend / "property.toml").read_text())["area"]
                 if a["name"] == "Creek shelf")  # fmt: skip
    assert "edge_pm_ft" not in table  # both pieces had the error of the one walk


def test_walks_in_one_file_keep_their_own_track_behind_each_piece(bend, tmp_path):
    cut = across(bend, "North bottom", tmp_path / "cut.geojson")
    made = good("edge", "split", bend, "North bottom", cut, "--json")
    assert len(made["areas"][1]["over"]) == 2
    assert measure_property(bend).areas["name"].isin(["North bottom 2"]).any()


def test_a_hole_a_road_and_ground_taken_out(bend, tmp_path):
    center = shape_of(bend, "Long field").centroid
    x, y = center.x, center.y
    ring = [[x, y], [x + 0.0002, y], [x + 0.0002, y + 0.0002], [x, y + 0.0002], [x, y]]
    before = acres(bend)["Long field"]
    hole = geojson(tmp_path / "ring.geojson", "Polygon", [ring])
    made = good("edge", "hole", bend, "Long field", hole, "--edge-pm-ft", 9, "--json")[
        "areas"
    ][0]
    assert made["acres"] < before
    assert made["acres_low"] < made["acres"] < made["acres_high"]
    line = across(bend, "Long field", tmp_path / "road.geojson")
    road = good("edge", "road", bend, line, "--as", "New lane", "--width-ft", 14, "--json")[
        "areas"
    ][0]
    after = good("edge", "without", bend, "Long field", "New lane", "--json")["areas"][0]
    assert 0 < made["acres"] - after["acres"] < road["acres"]
    kinds = {
        a["name"]: a["kind"]
        for a in tomllib.loads((bend / "property.toml").read_text())["area"]
    }
    assert kinds["New lane"] == "road"


def test_snap_clip_trim_and_straighten_are_kept_or_say_that_nothing_moved(bend, tmp_path):
    files = bytes_of(bend)
    assert "all of it lies within" in good("edge", "clip", bend, "Long field")
    assert "no spur" in good("edge", "trim", bend, "Long field", "--spur-ft", 10)
    assert "nearest is" in refused("edge", "snap", bend, "Long field", "--within-ft", 3)
    ends = shape_of(bend, "Long field").exterior.coords
    line = geojson(tmp_path / "ends.geojson", "LineString", [list(ends[0]), list(ends[2])])
    assert bytes_of(bend) == files
    before = acres(bend)["Long field"]
    made = good("edge", "straighten", bend, "Long field", line, "--json")
    assert abs(made["areas"][0]["acres"] - before) > 0.01
    good("undo", bend)
    assert bytes_of(bend) == files


def test_what_cannot_be_done_is_one_line_and_writes_nothing(bend, tmp_path):
    files = bytes_of(bend)
    line = across(bend, "Long field", tmp_path / "cut.geojson")
    ring = geojson(tmp_path / "ring.geojson", "Polygon", [[[0, 0], [1, 0], [1, 1], [0, 0]]])
    bad = tmp_path / "bad.geojson"
    bad.write_text("{")
    for words, word in (
        (("split", bend, "Nowhere", line), "no area"),
        (("split", bend, "Dove field", line), "does not meet"),
        (("split", bend, "Long field", ring), "not one line"),
        (("split", bend, "Long field", bad), "not JSON"),
        (("split", bend, "Long field", tmp_path / "none.geojson"), "none.geojson"),
        (("split", bend, "Long field", line, "--as", "Dove field"), "already"),
        (("split", bend, "Long field", line, "--as", "A", "--as", "B"), "2 names"),
        (("hole", bend, "Long field", ring), "outside"),
        (("hole", bend, "Long field", line), "no polygon"),
        (("join", bend, "Long field", "Dove field"), "do not touch"),
        (("join", bend, "Long field", "Long field"), "twice"),
        (("without", bend, "Long field", "Dove field"), "outside"),
        (("trim", bend, "Long field"), "no width"),
        (("road", bend, line, "--as", "Long field", "--width-ft", 9), "already"),
        (("keep", bend, bad), "not JSON"),
        (("keep", bend, line), "no polygon"),
    ):
        assert word in refused("edge", *words), words
    assert bytes_of(bend) == files


def test_keep_takes_a_file_of_edges_and_refuses_one_that_was_changed_meanwhile(
    bend, tmp_path
):
    rings = [
        [[*ring, ring[0]] for ring in polygon]
        for polygon in rings_of(shape_of(bend, "Dove field"))
    ]
    path = tmp_path / "edges.geojson"

    def write(**properties):
        feature = {"type": "Feature", "properties": properties,
                   "geometry": {"type": "MultiPolygon", "coordinates": rings}}  # fmt: skip
        path.write_text(json.dumps({"type": "FeatureCollection", "features": [feature]}))

    write(area="Dove field", edge_pm_ft=12)
    assert good("edge", "keep", bend, path, "--json")["areas"][0]["edge_pm_ft"] == 12
    write(area="Dove field", was="0" * 32)
    result = say("edge", "keep", bend, path, "--json")
    assert result.exit_code == 2
    assert json.loads(result.stdout)["clash"]
    for pm in (-1, "x", 0, 1e300):
        write(area="Dove field", edge_pm_ft=pm)
        assert "edge_pm_ft" in refused("edge", "keep", bend, path)


def test_a_table_of_legs_is_kept_for_a_new_area_and_mended(bend, tmp_path):
    table = tmp_path / "tape.csv"
    table.write_text(
        "bearing,distance\nN 45 30 E,412\nS 44 30 E,429\nS 45 W,405\nN 45 W,432\n"
    )
    said = good("edge", "table", bend, table, "--as", "Back forty", "--placed", "1=34.21,-87.61",
                "--declination-deg", -4)  # fmt: skip
    assert "Back forty: compass and tape, 4 legs" in said
    assert "drawn/Back forty.csv" in said
    table.write_text(table.read_text().replace("405", "412"))
    good("edge", "table", bend, table, "--area", "Back forty", "--placed", "1=34.21,-87.61")
    assert measure_property(bend).areas.set_index("name").loc["Back forty", "acres"] > 3.9
    files = bytes_of(bend)
    for words, word in (
        (("--placed", "1=34.2,-87.6"), "needed"),
        (("--as", "New", "--placed", "x"), "no placed corner"),
        (("--as", "Long field", "--placed", "1=34.2,-87.6"), "already"),
        (("--area", "Nowhere", "--placed", "1=34.2,-87.6"), "no area"),
    ):
        assert word in refused("edge", "table", bend, table, *words)
    table.write_text(
        "bearing,distance\nN 45 30 E,412\ntoward the oak,429\nS 45 W,405\nN 45 W,432\n"
    )
    assert "legs are not understood: 2" in refused(
        "edge", "table", bend, table, "--as", "New", "--placed", "1=34.2,-87.6"
    )
    assert bytes_of(bend) == files


def test_ground_between_pins_keeps_its_range_when_it_is_split(bend, tmp_path):
    marks = "".join(f'<wpt lat="{y}" lon="{x}"><name>{n}</name></wpt>' for n, (x, y) in enumerate(
        [(-87.5, 34.2), (-87.498, 34.2), (-87.498, 34.202), (-87.5, 34.202)]))  # fmt: skip
    pins = tmp_path / "pins.gpx"
    pins.write_text(
        f'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">{marks}</gpx>'
    )
    good("add", bend, pins, "--as", "Pinned", "--corners", "straight")
    before = measure_property(bend).areas.set_index("name").loc["Pinned"]
    cut = geojson(
        tmp_path / "cut.geojson", "LineString", [[-87.6, 34.201], [-87.4, 34.201]]
    )
    made = good("edge", "split", bend, "Pinned", cut, "--json")
    half = before["acres_high"] - before["acres"]
    for one in made["areas"]:
        assert 0.3 * half < one["acres_high"] - one["acres"] < 1.1 * half
    taped = tmp_path / "tape.csv"
    taped.write_text("bearing,distance\n0,660\n90,330\n180,661\n270,330\n")
    kept = good(
        "edge", "table", bend, taped, "--as", "Taped", "--placed", "1=34.25,-87.5", "--json"
    )
    (table,) = kept["areas"]
    across = geojson(
        tmp_path / "two.geojson", "LineString", [[-87.6, 34.251], [-87.4, 34.251]]
    )
    pieces = good("edge", "split", bend, "Taped", across, "--json")["areas"]
    halves = [one["acres_high"] - one["acres"] for one in pieces]
    assert all(0.3 < one / (table["acres_high"] - table["acres"]) < 1.1 for one in halves)


def test_log_lines_of_ground_that_is_split_or_joined_are_counted(bend, tmp_path):
    cut = across(bend, "North bottom", tmp_path / "cut.geojson")
    said = good("edge", "split", bend, "North bottom", cut, "--as", "North bottom east")
    lines = (bend / "log.csv").read_text().splitlines()
    count = sum(line.split(",")[1] == "North bottom" for line in lines)
    assert count > 1
    assert f"{count} lines of the log stand under North bottom and stay with it" in said
    good("log", bend, "mow", "--area", "North bottom east")
    joined = good("edge", "join", bend, "North bottom", "North bottom east")
    assert "1 line of the log stands under North bottom east; to keep them" in joined
    good("set", bend, 'area["North bottom"].was', '["North bottom east"]')
