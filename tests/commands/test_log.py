"""``quietacre log`` and ``quietacre merge`` as a person types them."""

import json
import shlex
import threading
import time

import pytest
from click.testing import CliRunner

from quietacre.cli import main

TOML = """[property]
name = "Invented"
[[area]]
name = "North bottom"
kind = "plot"
from = "a.geojson"
[[area]]
name = "Bank"
kind = "patch"
from = "b.geojson"
"""
OLD = b"date,area,task,minutes\r\n2026-01-02,North bottom,lime,95\r\n"


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795737600")  # 2026-11-27
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "my place"
    folder.mkdir()
    (folder / "property.toml").write_text(TOML)
    (folder / "log.csv").write_bytes(OLD)
    return folder


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def commands(result):
    """Return the commands that an answer offers."""
    lines = [line.partition("quietacre ")[2] for line in result.stderr.splitlines()]
    return [shlex.split(line) for line in lines if line]


def test_a_line_is_written_and_said(place):
    result = run("log", place, "mow", "--area", "north BOTTOM", "--minutes", "30")
    assert result.exit_code == 0, result.output
    assert "2026-11-27 North bottom: mow; 30 minutes" in result.stdout
    assert "had no column id: added" in result.stderr
    data = (place / "log.csv").read_bytes()
    assert data.startswith(
        b"date,area,task,minutes,id\r\n2026-01-02,North bottom,lime,95\r\n"
    )
    assert data.count(b"\r\n") == 3
    name = data.split(b",")[-1].strip().decode()
    assert run("log", place, "--undo", name).exit_code == 0
    twice = run("log", place, "--undo", name)
    assert twice.exit_code == 2
    assert "taken back already" in twice.stderr


def test_the_line_as_json(place):
    said = json.loads(run("log", place, "mow", "--area", "Bank strip", "--on", "2026-11-01",
                          "--note", "=1+1", "--json").stdout)  # fmt: skip
    assert said["line"]["area"] == "Bank strip"
    assert said["line"]["note"] == "=1+1"
    assert said["columns_added"] == ["id", "note"]
    assert b",'=1+1" in (place / "log.csv").read_bytes()


def test_a_place_nobody_named_is_asked_about_and_the_commands_offered_work(place):
    result = run("log", place, "mow", "--area", "Nort bottom", "--note", "two words")
    assert result.exit_code == 2
    assert (place / "log.csv").read_bytes() == OLD
    offered = commands(result)
    assert offered[0] == [
        "log", str(place), "mow", "--area", "North bottom", "--note", "two words",
    ]  # fmt: skip
    assert run(*offered[0]).exit_code == 0
    assert run(*offered[-1]).exit_code == 0
    assert b"Nort bottom,mow" in (place / "log.csv").read_bytes()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["mow"], "--area NAME"),
        (["--area", "Bank"], "TASK"),
        (["  ", "--area", "Bank"], "TASK"),
        (["mow", "--area", " "], "--area NAME"),
        (["mow", "--area", "Bank", "--note", "x" * 10_001], "no line of words"),
        (["undo", "--area", "Bank"], "--undo ID"),
        (
            ["mow", "--area", "Bank", "--minutes", "half"],
            "--minutes: “half” is not a number",
        ),
        (["mow", "--area", "Bank", "--stand", "11"], "0 to 10"),
        (["mow", "--area", "Bank", "--amount", "1,5"], "decimal comma"),
        (["mow", "--area", "Bank", "--on", "2026-11-28"], "still to come"),
        (["--undo", "zzz"], "no line has the id"),
        (["mow", "--area", "Bank", "--note", "a\x07b"], "no line of words"),
    ],
)
def test_what_cannot_be_a_line_is_refused(place, words, said):
    result = run("log", place, *words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert (place / "log.csv").read_bytes() == OLD


@pytest.mark.parametrize("task", ["bought", "rain 0.6"])
def test_what_is_told_of_the_place_needs_no_ground(place, task):
    assert run("log", place, task, "--item", "lime").exit_code == 0
    assert f",,{task},".encode() in (place / "log.csv").read_bytes()


def test_several_pieces_of_ground_and_old_names(place):
    text = (place / "property.toml").read_text()
    (place / "property.toml").write_text(text + 'was = ["Old bank"]\n')
    assert run("log", place, "mow", "--area", "old bank; North bottom").exit_code == 0
    assert b",Old bank; North bottom,mow," in (place / "log.csv").read_bytes()
    result = run("log", place, "mow", "--area", "Old bank; Nort bottom")
    assert commands(result)[0][4] == "Old bank; North bottom"


def test_a_photograph_that_is_not_kept_is_said(place):
    result = run(
        "log", place, "mow", "--area", "Bank", "--photo", "x.jpg", "--price", "$1,250"
    )
    assert result.exit_code == 0
    assert "photos/x.jpg is not there" in result.stderr
    assert b'"$1,250"' in (place / "log.csv").read_bytes()


def test_a_line_break_in_a_note_stays_one_line(place):
    assert run("log", place, "mow", "--area", "Bank", "--note", "a\nb").exit_code == 0
    assert (place / "log.csv").read_bytes().endswith(b",a b\r\n")


@pytest.mark.parametrize("lock", [".~lock.log.csv#", "~$log.csv"])
def test_a_log_that_is_open_in_a_spreadsheet_waits_and_says_so(place, lock):
    (place / lock).write_text(",Ann,")
    refused = run("log", place, "mow", "--area", "Bank", "--wait", "0")
    assert refused.exit_code == 2
    assert f"if none has, delete {lock}" in refused.stderr
    assert (place / "log.csv").read_bytes() == OLD

    def close():
        time.sleep(0.6)
        (place / "log.csv").write_bytes(OLD + b"2026-05-05,Bank,mow,1\r\n")  # saved, closed
        (place / lock).unlink()

    closing = threading.Thread(target=close)
    closing.start()
    result = run("log", place, "mow", "--area", "Bank")
    closing.join()
    assert result.exit_code == 0, result.output
    assert "is open in a spreadsheet" in result.stderr
    assert (place / "log.csv").read_bytes().count(b"\r\n") == 4


def test_ticks_merged_twice_stay_one(place):
    ticks = place.parent / "ticks.csv"
    ticks.write_text("date,area,task,minutes\n" + "2026-05-01,Bank,mow,30\n" * 2)
    first = run("merge", place, ticks)
    assert "2 lines added to log.csv, 0 in it already" in first.stdout
    data = (place / "log.csv").read_bytes()
    again = run("merge", place, ticks)
    assert "0 lines added to log.csv, 2 in it already" in again.stdout
    assert (place / "log.csv").read_bytes() == data


def test_a_line_alike_is_asked_about_and_the_commands_offered_work(place):
    other = place.parent / "o.csv"
    other.write_text(
        "date,area,task,minutes\n2026-01-09,Bank,mow,\n2026-01-02,North bottom,lime,95\n"
    )
    result = run("merge", place, other)
    assert result.exit_code == 2
    assert (place / "log.csv").read_bytes() == OLD
    same, more = commands(result)
    assert run(*same).exit_code == 0
    assert (place / "log.csv").read_bytes().count(b"lime") == 1
    assert run(*more).exit_code == 0
    assert (place / "log.csv").read_bytes().count(b"lime") == 2
    assert (place / "log.csv").read_bytes().count(b"mow") == 1


def test_lines_that_vanished_are_said_and_brought_back(place):
    run("log", place, "mow", "--area", "Bank")
    (place / "log.csv").write_bytes(OLD)
    result = run("log", place, "burn", "--area", "Bank")
    assert "1 line that was in it is gone" in result.stderr
    back, forget = commands(result)
    assert run(*back).exit_code == 0
    assert (place / "log.csv").read_bytes().count(b"mow") == 1
    assert "no lines are gone" in run(*back).stdout
    assert "0 lines gone" in run(*forget).stdout


def test_a_build_says_which_lines_vanished(place, monkeypatch):
    shape = {"type": "Polygon", "coordinates": [[[-87.6, 34.2], [-87.599, 34.2],
             [-87.599, 34.201], [-87.6, 34.2]]]}  # fmt: skip
    for name in ("a.geojson", "b.geojson"):
        (place / name).write_text(json.dumps(shape))
    assert "gone" not in run("build", place).stderr
    run("log", place, "mow", "--area", "Bank")
    (place / "log.csv").write_bytes(OLD)
    result = run("build", place)
    assert result.exit_code == 0, result.output
    assert "1 line that was in it is gone" in result.stderr
    assert run(*commands(result)[0]).exit_code == 0
    assert "gone" not in run("build", place).stderr


def test_nothing_to_merge_and_no_folder(place):
    assert run("merge", place).exit_code == 2
    assert run("merge", place, place / "none.csv").exit_code == 2
    assert run("log", place.parent, "mow", "--area", "Bank").exit_code == 2
