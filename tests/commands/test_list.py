"""``quietacre list``: whose jobs, which days, printed or with boxes; who does what."""

import json
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.cli import main

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days

DAYS = ("--today", "2027-08-01", "--from", "2027-08-01", "--to", "2027-10-31")


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.chdir(tmp_path)
    return bench_days.make_place("ridge", tmp_path / "my place")


def run(*words, code=0):
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == code, result.output
    return result


def who_is_named(place):
    text = (place / "property.toml").read_text()
    text = text.replace('name = "Gate"\n', 'name = "Gate"\nwho = "Ann"\n')
    text = text.replace('name = "Vine"\n', 'name = "Vine"\nwho = "Ann"\n')
    text = text.replace(
        'name = "Pond"\n', 'name = "Pond"\ntasks = [{ task = "plant", who = "Sue" }]\n'
    )
    text += (
        '[[task]]\ntask = "clip"\nwho = "Tom"\n[[task]]\ntask = "strip cut"\nwho = "Tom"\n'
    )
    (place / "property.toml").write_text(text)


def tasks(place):
    return json.loads(run("year", place, "--today", "2027-08-01", "--json").stdout)["tasks"]


def test_who_does_what_comes_from_task_and_area_and_moves_no_job(place):
    before = [(t["uid"], t["scheduled"], t["minutes"], t["notes"]) for t in tasks(place)]
    who_is_named(place)
    after = tasks(place)
    assert [(t["uid"], t["scheduled"], t["minutes"], t["notes"]) for t in after] == before
    who = {(t["area"], t["task"]): t["who"] for t in after}
    assert who["Pines", "clip"] == who["Gate", "clip"] == "Tom"
    assert who["Vine strip", "strip cut"] == "Tom"
    assert who["Vine strip", "strip inspection"] == who["Gate", "plant"] == "Ann"
    assert who["Pond", "plant"] == "Sue"
    assert who["Pines", "plant"] is None


def test_a_list_for_one_person(place):
    who_is_named(place)
    said = run("list", place, *DAYS, "--who", "tom").stdout
    assert said.startswith("Jobs for Tom, August 1 to October 31, 2027\n")
    wanted = [
        t for t in tasks(place)
        if t["who"] == "Tom" and t["status"] == "planned" and "2027-08-01" <= t["scheduled"] <= "2027-10-31"
    ]  # fmt: skip
    assert wanted
    assert said.count("mower, Tom") == len(wanted)
    assert "more jobs of these days are nobody's by what is said" in said
    problem = run("list", place, *DAYS, "--who", "Bob", code=2).stderr
    assert "no open job of the year is for Bob; take one of: Ann, Sue, Tom" in problem


def test_where_nobody_is_named_a_list_has_the_days_and_says_so(place):
    said = run("list", place, *DAYS, "--who", "Tom").stdout
    assert "Nothing says yet who does what" in said
    everybody = run("list", place, *DAYS).stdout
    assert said.splitlines()[2:] == everybody.splitlines()[1:]


def test_one_day_and_one_machine(place):
    day = next(t["scheduled"] for t in tasks(place) if t["task"] == "strip cut" and (t["scheduled"] or "") > "2027-08-01")  # fmt: skip
    said = run("list", place, "--today", "2027-08-01", "--day", day).stdout
    assert said.splitlines()[1].endswith("2027")
    mowers = run("list", place, *DAYS, "--machine", "mower").stdout
    assert "strip cut" in mowers
    assert "disk again" not in mowers


def test_lists_and_one_sheet_are_printed(place, tmp_path):
    who_is_named(place)
    run("list", place, *DAYS, "--who", "Tom", "--out", tmp_path / "tom.pdf")
    run("list", place, "--today", "2027-08-01", "--area", "gate", "--sheet", "--out", tmp_path / "gate.pdf")  # fmt: skip
    for name in ("tom.pdf", "gate.pdf"):
        assert (tmp_path / name).read_bytes().startswith(b"%PDF")
    page = run("list", place, *DAYS, "--who", "Tom", "--out", tmp_path / "tom.html")
    assert "Jobs for Tom" in page.stdout
    text = (tmp_path / "tom.html").read_text()
    assert "default-src 'none'" in text
    assert "://" not in text.partition("<style>")[0]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--out", "x.txt"], "neither .html nor .pdf"),
        (["--day", "2027-08-01", "--from", "2027-08-01"], "in place of --from"),
        (["--from", "2027-08-09", "--to", "2027-08-01"], "comes before"),
        (["--sheet", "--out", "x.pdf"], "give --area NAME"),
        (["--sheet", "--area", "Nowhere", "--out", "x.pdf"], "take one of: Pines"),
        (["--out", "no/such/x.pdf"], "cannot be written"),
    ],
)
def test_what_cannot_be_is_one_line(place, words, said):
    problem = run("list", place, "--today", "2027-08-01", *words, code=2).stderr
    assert said in problem
    assert len(problem.strip().splitlines()) == 1
