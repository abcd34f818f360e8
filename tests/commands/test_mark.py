"""Marks and taped lines: kept in marks.geojson, on the map, in the phone's files, in the layers."""

import datetime as dt
import json

import pytest
from click.testing import CliRunner

from quietacre.build import plan_records
from quietacre.cli import main
from quietacre.demo.write import write_sample
from quietacre.errors import FileProblem
from quietacre.figures import printed
from quietacre.intake.marks import marks_in
from quietacre.measure.property import measure_property
from quietacre.model import MARKS
from quietacre.render import render_files


@pytest.fixture
def bend(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    write_sample(tmp_path / "bend")
    return tmp_path / "bend"


def say(*words, code=0):
    result = CliRunner().invoke(main, list(map(str, words)), prog_name="quietacre")
    assert result.exit_code == code, result.output
    return result.stdout if code == 0 else result.stderr


def test_marks_stand_on_the_map_and_in_the_phones_files(bend, tmp_path):
    say("mark", bend, "--kind", "gate", "--name", "Creek gate <b>", "--at", "34.21,-87.61")
    line = tmp_path / "line.geojson"
    line.write_text(
        json.dumps(
            {"type": "LineString", "coordinates": [[-87.61, 34.21], [-87.611, 34.21]]}
        )
    )
    said = say("mark", bend, "--name", "along the creek", "--line", line)
    assert "tape: along the creek, 302 ft" in said
    assert len(say("mark", bend).splitlines()) == 2
    measured = measure_property(bend)
    report, layers = plan_records(measured, today=dt.date(2026, 11, 27))
    assert "gate: Creek gate <b>" in set(layers["waypoints"]["name"])
    assert [printed(name) for name in layers["taped"]["name"]] == [
        "along the creek, 302 ft"
    ]
    files = render_files(report, layers, measured.prop)
    assert b"<name>gate: Creek gate &lt;b&gt;</name>" in files["phone.gpx"]
    assert b"<name>along the creek, 302 ft</name>" in files["phone.gpx"]
    assert b"gate: Creek gate &lt;b&gt;" in files["phone.kml"]
    assert b"Creek gate" in files["map.html"] or b"sides" in files["map.html"]


def test_what_other_programs_put_beside_a_mark_stays(bend):
    text = {"type": "FeatureCollection", "features": [
        {"type": "Feature", "properties": {"kind": "tree", "name": "pecan", "girth_ft": 9},
         "geometry": {"type": "Point", "coordinates": [-87.6, 34.2, 120.0]}}]}  # fmt: skip
    (bend / MARKS).write_text(json.dumps(text))
    say("mark", bend, "--id", "n1", "--note", "two hollows")
    (feature,) = json.loads((bend / MARKS).read_text())["features"]
    assert feature["properties"] == {
        "kind": "tree",
        "name": "pecan",
        "girth_ft": 9,
        "note": "two hollows",
    }
    say("undo", bend)
    assert json.loads((bend / MARKS).read_text()) == text


def test_a_mark_that_is_none_is_one_line(bend):
    for words, word in (
        (("--kind", "gate"), "no place"), (("--remove",), "no place"), (("--kind", "gate", "--at", "x"), "no place"),
        (("--kind", "gate", "--at", "91,0"), "no place"), (("--id", "zz", "--remove"), "has no mark"),
    ):  # fmt: skip
        said = say("mark", bend, *words, code=2)
        assert word in said
        assert len(said.strip().splitlines()) == 1
    assert not (bend / MARKS).exists()


@pytest.mark.parametrize(
    "features",
    ["x", [7], [{"geometry": {"type": "Polygon", "coordinates": []}}],
     [{"geometry": {"type": "Point", "coordinates": []}}], [{"geometry": {"type": "Point", "coordinates": [1, "a"]}}],
     [{"geometry": {"type": "Point", "coordinates": [1, 95]}}],
     [{"properties": {"kind": "moon"}, "geometry": {"type": "Point", "coordinates": [1, 2]}}],
     [{"properties": {"kind": "gate"}, "geometry": {"type": "LineString", "coordinates": [[1, 2], [2, 2]]}}]],
)  # fmt: skip
def test_a_file_of_no_marks_is_refused_with_its_place(bend, features):
    data = json.dumps({"type": "FeatureCollection", "features": features}).encode()
    with pytest.raises(FileProblem) as refused:
        marks_in(data)
    assert "\n" not in str(refused.value)
    (bend / MARKS).write_bytes(data)
    assert MARKS in say("mark", bend, code=2)
    with pytest.raises(FileProblem, match=r"marks\.geojson"):
        measure_property(bend)
