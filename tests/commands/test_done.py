"""``quietacre done``: the job that is meant is found, told and logged; what comes next is told."""

import csv
import json
import shlex
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.cli import main

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days


@pytest.fixture
def place(tmp_path, monkeypatch):
    # quiet from April 15 to July 31; Pines is asked for on October 9, Gate on the 16th
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1820448000")  # 2027-09-09
    monkeypatch.chdir(tmp_path)
    return bench_days.make_place("ridge", tmp_path / "my place")


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def commands(result):
    lines = [line.partition("quietacre ")[2] for line in result.stderr.splitlines()]
    return [shlex.split(line) for line in lines if line]


def lines(place):
    path = place / "log.csv"
    return list(csv.DictReader(path.read_text().splitlines())) if path.exists() else []


def test_one_job_fits_and_is_written_with_what_comes_next(place):
    result = run("done", place, "mowed the strip", "--minutes", "50", "--who", "Ann")
    assert result.exit_code == 0, result.output
    assert "Vine strip: routine strip cut, which was due; log.csv has it" in result.stdout
    assert "next there: Vine strip: routine strip cut, Saturday, September" in result.stdout
    (line,) = lines(place)
    assert (line["date"], line["area"], line["task"]) == (
        "2027-09-09",
        "Vine strip",
        "strip cut",
    )
    assert (line["minutes"], line["who"]) == ("50", "Ann")
    # the year knows it
    year = json.loads(run("year", place, "--json").output)
    done = [t for t in year["tasks"] if t["state"] == "done"]
    assert [(t["area"], t["scheduled"]) for t in done] == [("Vine strip", "2027-09-09")]
    # and the offered command takes it back
    undo = shlex.split(result.stdout.partition("quietacre ")[2].splitlines()[0])
    assert run(*undo).exit_code == 0
    year = json.loads(run("year", place, "--json").output)
    assert not [t for t in year["tasks"] if t["state"] == "done"]


def test_where_two_fit_nothing_is_written_and_the_commands_are_told(place):
    result = run("done", place, "bush hogged", "--on", "2027-08-28")
    assert result.exit_code == 2
    assert "nothing was written. Type one of:" in result.stderr
    offered = commands(result)
    assert len(offered) == len({tuple(one) for one in offered}) >= 2
    assert lines(place) == []
    assert run(*offered[0]).exit_code == 0
    (line,) = lines(place)
    assert line["area"] == offered[0][offered[0].index("--area") + 1]
    assert (line["task"], line["date"]) == ("clip", "2027-08-28")


def test_several_pieces_named_get_a_line_each(place):
    result = run(
        "done", place, "clipped", "--area", "pines", "--area", "Gate", "--on", "2027-08-28"
    )
    assert result.exit_code == 0, result.output
    assert [(line["area"], line["task"]) for line in lines(place)] == [
        ("Pines", "clip"),
        ("Gate", "clip"),
    ]


def test_a_word_for_two_jobs_means_the_first_that_is_open(place):
    for day in ("2027-08-29", "2027-09-09"):
        result = run("done", place, "disked", "--area", "Pines", "--on", day)
        assert result.exit_code == 0, result.output
    assert [line["task"] for line in lines(place)] == ["turn under", "second disking"]


def test_a_word_that_no_job_goes_by_is_told_and_nothing_is_written(place):
    result = run("done", place, "whittled")
    assert result.exit_code == 2
    assert (
        "no job of the year that is due, late or near goes by “whittled”" in result.stderr
    )
    first, second = commands(result)
    assert first[0] == "year"
    assert run(*first).exit_code == 0
    assert second[0] == "log"
    assert lines(place) == []


def test_a_piece_without_such_a_job_is_told_and_nothing_is_written(place):
    result = run("done", place, "planted", "--area", "Pines", "--area", "Vine strip")
    assert result.exit_code == 2
    assert "goes by “planted” on Vine strip; nothing was written" in result.stderr
    assert lines(place) == []


def test_what_is_said_of_several_pieces_is_shared_between_them(place):
    areas = [word for name in ("Pines", "Pond") for word in ("--area", name)]
    result = run("done", place, "planted", *areas, "--price", "90", "--minutes", "101")
    assert result.exit_code == 0, result.output
    written = lines(place)
    assert [line["area"] for line in written] == ["Pines", "Pond"]
    assert sum(float(line["price"]) for line in written) == pytest.approx(90)
    assert sum(float(line["minutes"]) for line in written) == pytest.approx(101)
    # 2.4 and 3.6 acres of one mix
    assert float(written[0]["price"]) == pytest.approx(36, abs=0.5)
    assert (
        "price 90 is of all of it together, shared by what each asks: Pines"
        in result.stdout
    )
    assert "minutes 101 is of all of it together, shared by acres" in result.stdout
