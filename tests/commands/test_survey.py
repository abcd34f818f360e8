"""A vine patch walked again: the new edge is the present one, the old stays, movement is told."""

import json
import re
import shutil
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner
from scaled_walk import scaled_walk

from quietacre.acreage.equal_area import area_m2
from quietacre.cli import main
from quietacre.commands.demo import write_sample
from quietacre.units import ACRE_M2

DAY = "2027-10-16"


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    folder = tmp_path_factory.mktemp("s") / "place"
    write_sample(folder)
    return folder


@pytest.fixture
def place(sample, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.chdir(tmp_path)
    return Path(shutil.copytree(sample, tmp_path / "place"))


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def settings(place):
    whole = tomllib.loads((place / "property.toml").read_text())
    return next(area for area in whole["area"] if area["name"] == "Vine hollow")


def grown(place, target, factor, *, timed=True):
    """Write the patch's walk as grown round its middle, a year later or without times."""
    text = scaled_walk((place / "walks/vine-2026.gpx").read_text(), factor)
    text = text.replace("2026-10-18", DAY)
    target.write_text(text if timed else re.sub(r"<time>.*?</time>", "", text))
    return target


def test_a_day_in_quotes_is_a_day(place, tmp_path):
    path = place / "property.toml"
    text = path.read_text()
    quoted = re.sub(r"^surveyed = (\S+)", r'surveyed = "\1"', text, flags=re.MULTILINE)
    assert quoted != text
    path.write_text(quoted)
    new = grown(place, tmp_path / "again.gpx", 1.18)
    result = run("survey", place, new, "--area", "vine hollow")
    assert result.exit_code == 0, result.output
    (old,) = settings(place)["surveys"]
    assert old["on"].isoformat() == "2026-10-18"


def test_a_second_survey_keeps_the_first_and_tells_what_moved(place, tmp_path):
    before = (place / "property.toml").read_bytes()
    # the name that the walk of the year before has in the folder
    result = run(
        "survey",
        place,
        grown(place, tmp_path / "vine-2026.gpx", 1.18),
        "--area",
        "vine hollow",
    )
    assert result.exit_code == 0, result.output
    assert "surveyed October 16, 2027" in result.stdout
    assert "the edge moved out" in result.stdout
    now = settings(place)
    assert now["from"] == f"walks/vine-2026 {DAY}.gpx"
    assert now["surveyed"].isoformat() == DAY
    (old,) = now["surveys"]
    assert (old["from"], old["on"].isoformat()) == ("walks/vine-2026.gpx", "2026-10-18")
    assert (place / "walks/vine-2026.gpx").read_bytes() != (
        place / now["from"]
    ).read_bytes()
    assert run("build", place).exit_code == 0
    report = json.loads((place / "out/report.json").read_text())
    row = next(row for row in report["areas"] if row["name"] == "Vine hollow")
    # previous and surveys together, the oldest first, the present edge last
    assert [one["on"] for one in row["surveys"]] == ["2025-10-20", "2026-10-18", DAY]
    assert row["surveys"][-1]["acres"] == pytest.approx(row["acres"])
    # a walk grown 1.18 times round its middle has 1.2544 times the acres
    ratio = row["surveys"][2]["acres"] / row["surveys"][1]["acres"]
    assert ratio == pytest.approx(1.18**2, rel=0.005)
    assert [(m["from_on"], m["to_on"]) for m in row["moves"]] == [
        ("2025-10-20", "2026-10-18"), ("2026-10-18", DAY),
    ]  # fmt: skip
    last = row["moves"][-1]
    assert last["seen"]
    assert last["change_ac"] == pytest.approx(
        row["surveys"][2]["acres"] - row["surveys"][1]["acres"], abs=0.002
    )
    assert last["change_ac_low"] < last["change_ac"] < last["change_ac_high"]
    # the strip is held against the last survey before the present one
    strip = next(row for row in report["strips"] if row["name"] == "Vine hollow strip")
    assert strip["advance"]["days"] == 363
    assert run("undo", place).exit_code == 0
    assert (place / "property.toml").read_bytes() == before


def test_earlier_surveys_are_a_layer_each_with_its_day(place, tmp_path):
    import geopandas as gpd

    run("survey", place, grown(place, tmp_path / "new.gpx", 1.05), "--area", "Vine hollow")
    run("build", place)
    layer = gpd.read_file(place / "out/areas.gpkg", layer="previous")
    assert list(layer["on"]) == ["2025-10-20", "2026-10-18"]
    report = json.loads((place / "out/report.json").read_text())
    row = next(row for row in report["areas"] if row["name"] == "Vine hollow")
    for shape, one in zip(layer.geometry, row["surveys"], strict=False):
        assert area_m2([shape])[0] / ACRE_M2 == pytest.approx(one["acres"], rel=1e-6)


def test_days_that_no_file_tells_are_asked_for(place, tmp_path):
    bare = grown(place, tmp_path / "bare.gpx", 1.05, timed=False)
    result = run("survey", place, bare, "--area", "Vine hollow")
    assert result.exit_code == 2
    assert "the new survey has no day" in result.stderr
    assert "--on DAY" in result.stderr
    assert settings(place)["from"] == "walks/vine-2026.gpx"
    result = run("survey", place, bare, "--area", "Vine hollow", "--on", "2027-10-01")
    assert result.exit_code == 0, result.output
    assert settings(place)["surveyed"].isoformat() == "2027-10-01"


@pytest.mark.parametrize(
    ("area", "on", "said"),
    [
        ("North bottom", DAY, "only a vine patch is surveyed again"),
        ("Nowhere", DAY, "there is no area “Nowhere”"),
        ("Vine hollow", "2026-10-18", "is not after the present one"),
    ],
)
def test_what_cannot_be_is_told_and_changes_nothing(place, tmp_path, area, on, said):
    before = (place / "property.toml").read_bytes()
    new = grown(place, tmp_path / "new.gpx", 1.05)
    result = run("survey", place, new, "--area", area, "--on", on)
    assert result.exit_code == 2
    assert said in result.stderr
    assert (place / "property.toml").read_bytes() == before
    assert not (place / "walks/new.gpx").exists()


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ('surveys = [{ from = "walks/vine-2025.gpx", on = 2025-10-20 }, { from = "walks/vine-2026.gpx", on = 2025-10-20 }]',
         "two surveys are of 2025-10-20"),
        ('surveys = [{ from = "walks/vine-2026.gpx", on = 2026-11-01 }]', "is not before surveyed"),
        ('surveys = [{ from = "walks/gone.gpx", on = 2024-11-01 }]', "surveys[0].from"),
    ],
)  # fmt: skip
def test_surveys_that_cannot_be_are_faults_of_the_settings(place, lines, said):
    path = place / "property.toml"
    text = path.read_text()
    path.write_text(
        text.replace("surveyed = 2026-10-18", f"surveyed = 2026-10-18\n{lines}")
    )
    result = run("year", place)
    assert result.exit_code == 2
    assert said in result.stderr
