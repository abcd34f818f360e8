"""``quietacre wait``: one line a piece of ground, and the plan from there."""

import csv
import json
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.cli import main

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days


@pytest.fixture
def place(tmp_path, monkeypatch):
    # Pines is asked for on October 9, Gate on the 16th, Pond on the 23rd
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1823299200")  # 2027-10-12
    monkeypatch.chdir(tmp_path)
    return bench_days.make_place("ridge", tmp_path / "place")


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def lines(place):
    path = place / "log.csv"
    return list(csv.DictReader(path.read_text().splitlines())) if path.exists() else []


def planted(place):
    year = json.loads(run("year", place, "--json").output)
    return {t["area"]: t["scheduled"] for t in year["tasks"] if t["task"] == "plant"}


def test_what_is_due_waits_and_nothing_else(place):
    before = planted(place)
    result = run("wait", place, "--until", "2027-10-30")
    assert result.exit_code == 0, result.output
    (line,) = lines(place)
    assert [line[k] for k in ("date", "area", "task", "until")] == [
        "2027-10-12", "Pines", "wait", "2027-10-30",
    ]  # fmt: skip
    assert "Pines: plant behind rain, now Saturday, October 30, 2027" in result.stdout
    after = planted(place)
    assert after.pop("Pines") == "2027-10-30"
    before.pop("Pines")
    assert after == before


def test_ground_that_is_named_waits_and_the_line_can_be_taken_back(place):
    before = planted(place)
    result = run("wait", place, "--until", "2027-10-31", "--area", "pond", "--area", "Gate")
    assert result.exit_code == 0, result.output
    assert [line["area"] for line in lines(place)] == ["Gate", "Pond"]
    for line in lines(place):
        assert run("log", place, "--undo", line["id"]).exit_code == 0
    assert planted(place) == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--until", "2027-10-12"), "no day to wait for"),
        (("--until", "2028-10-12"), "at most 120 days on"),
        (("--until", "2027-10-30", "--area", "Vine"), "no planting on Vine can wait"),
        (("--until", "2027-10-30", "--area", "Pynes"), "no piece of ground “Pynes”"),
    ],
)
def test_what_cannot_wait_is_told_and_nothing_is_written(place, words, said):
    result = run("wait", place, *words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert not lines(place)


def test_nothing_is_due(place, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1815177600")  # 2027-07-10
    result = run("wait", place, "--until", "2027-07-30")
    assert result.exit_code == 2
    assert "no planting is due or late" in result.stderr
