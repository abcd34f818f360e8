"""``quietacre seen``: written, read kindly, taken back, and on the card of its ground."""

import csv
import json
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.record.seen import counted, kind_of

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1820448000")  # 2027-09-09
    monkeypatch.chdir(tmp_path)
    return bench_days.make_place("ridge", tmp_path / "my place")


def run(*words, code=0):
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == code, result.output
    return result


def lines(place):
    path = place / "seen.csv"
    return list(csv.DictReader(path.read_text().splitlines())) if path.exists() else []


@pytest.mark.parametrize(
    ("said", "what", "count", "kind"),
    [
        ("3 deer", "deer", 3, "deer"),
        ("Two does", "does", 2, "deer"),
        ("no quail", "quail", 0, "quail"),
        ("12 turkeys by the pond", "turkeys by the pond", 12, "turkey"),
        ("a covey", "covey", 1, "quail"),
        ("deer", "deer", None, "deer"),
        ("heavy browsing", "heavy browsing", None, "browse"),
        ("bear track", "bear track", None, "other"),
        ("2 does and 3 fawns", "2 does and 3 fawns", None, "deer"),
    ],
)
def test_words_of_the_field(said, what, count, kind):
    assert counted(said) == (what, count)
    assert kind_of(what) == kind


def test_a_line_is_written_told_and_taken_back(place):
    result = run(
        "seen", place, "3 deer", "--area", "gate", "--place", "west side", "--who", "Ann"
    )
    assert "seen.csv: 2027-09-09, Gate: 3 deer (kept as deer)" in result.stdout
    (line,) = lines(place)
    assert {k: v for k, v in line.items() if v and k != "id"} == {
        "date": "2027-09-09", "area": "Gate", "place": "west side", "what": "deer", "count": "3",
        "who": "Ann",
    }  # fmt: skip
    run("seen", place, "no quail", "--on", "2027-09-08")
    run("build", place)
    report = json.loads((place / "out" / "report.json").read_text())
    assert [(s["area"], s["kind"], s["count"]) for s in report["seen"]] == [
        ("Gate", "deer", 3.0), ("", "quail", 0.0),
    ]  # fmt: skip
    run("seen", place, "--undo", line["id"])
    assert (
        "is taken back already" in run("seen", place, "--undo", line["id"], code=2).stderr
    )
    assert len(lines(place)) == 3
    run("build", place)
    report = json.loads((place / "out" / "report.json").read_text())
    assert [s["kind"] for s in report["seen"]] == ["quail"]
    # a change like any other
    assert run("undo", place).exit_code == 0
    assert len(lines(place)) == 2


def test_a_spreadsheets_file_is_read_and_bad_lines_are_notes(place):
    (place / "seen.csv").write_text(
        "What;Date;Area;Count;Weather\ndeer;9/3/2027;Pines;4;rain\nquail;;Gate;1;\n"
        "turkey;31/31/2027;Gate;1;\ndeer;2027-10-01;Gate;2;\ndeer;9/4/2027;Nowhere;x;\n"
    )
    run("build", place)
    report = json.loads((place / "out" / "report.json").read_text())
    assert [(s["on"], s["area"], s["count"]) for s in report["seen"]] == [
        ("2027-09-04", "Nowhere", None), ("2027-09-03", "Pines", 4.0),
    ]  # fmt: skip
    said = " ".join(n["text"] for n in report["notes"] if n["source"] == "seen.csv")
    for part in ("line 3: it has no date", "line 4: “31/31/2027” is not a date", "line 5 is dated 2027-10-01",
                 "“Nowhere” is no ground here", "count “x” is no figure"):  # fmt: skip
        assert part in said
    # a line added keeps every other byte
    before = (place / "seen.csv").read_bytes()
    run("seen", place, "1 buck", "--area", "Pines")
    assert (
        (place / "seen.csv")
        .read_bytes()
        .startswith(before.replace(b"Weather\n", b"Weather;id\n"))
    )
    assert b"buck;2027-09-09;Pines;1;;" in (place / "seen.csv").read_bytes()


def test_ground_that_was_renamed_keeps_what_was_seen(place):
    run("seen", place, "5 turkeys", "--area", "Pines")
    run("set", place, 'area["Pines"].feature', "Pines")
    run("set", place, 'area["Pines"].was', '["Pines"]')
    run("set", place, 'area["Pines"].name', "Tall pines")
    run("build", place)
    report = json.loads((place / "out" / "report.json").read_text())
    assert [s["area"] for s in report["seen"]] == ["Tall pines"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "say what was seen"),
        (["2 does and 3 fawns"], "may be no count"),
        (["3 deer", "--area", "Gaet"], "names no piece of ground “Gaet”"),
        (["deer", "--count", "many"], "is not a number"),
        (["deer", "--on", "2027-10-10"], "still to come"),
    ],
)
def test_what_cannot_be_is_told(place, words, said):
    assert said in run("seen", place, *words, code=2).stderr
    assert lines(place) == []
