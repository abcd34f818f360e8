"""``acres --out``: the same acres as on the screen, in a table, in a stream."""

import contextlib
import csv
import json
import os
import subprocess
import sys

import geopandas as gpd
import pytest
import shapely
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.demo.sample import sample_files


def run(*words):
    return CliRunner().invoke(main, ["acres", *map(str, words)])


@pytest.fixture
def fields(tmp_path):
    path = tmp_path / "fields.gpkg"
    shapes = [
        shapely.box(-87.6 + i / 100, 34.2, -87.595 + i / 100, 34.203) for i in range(30)
    ]
    names = ["=1+1", *[f"F{i}" for i in range(1, 30)]]
    gpd.GeoDataFrame({"name": names, "kind": "plot"}, geometry=shapes, crs=4326).to_file(
        path
    )
    return path


@pytest.fixture
def walk(tmp_path):
    path = tmp_path / "walk.gpx"
    path.write_bytes(sample_files()["walks/creek-shelf.gpx"])
    return path


def test_csv_holds_what_the_screen_says(tmp_path, fields, walk, monkeypatch):
    monkeypatch.setattr("quietacre.intake.geopackage.ROWS", 7)
    monkeypatch.setattr("quietacre.intake.vector.STREAM_FEATURES", 10)
    out = tmp_path / "acres.csv"
    said = json.loads(run(fields, walk, "--out", out, "--json").output)
    seen = json.loads(run(fields, walk, "--json").output)
    with out.open(newline="") as handle:
        rows = list(csv.DictReader(handle))
    assert said["area_count"] == len(rows) == 31
    assert said["total_acres"] == pytest.approx(
        sum(a["acres"] for a in seen["areas"]), rel=1e-12
    )
    assert rows[0]["name"] == "'=1+1"
    for row, area in zip(rows, seen["areas"], strict=True):
        for key in ("acres", "acres_low", "acres_high", "perimeter_ft"):
            assert float(row[key]) == pytest.approx(area[key], abs=1e-6)
    assert any("not looked for" in text for text in said["warnings"])


def test_geopackage_out(tmp_path, fields, monkeypatch):
    monkeypatch.setattr("quietacre.intake.geopackage.ROWS", 7)
    monkeypatch.setattr("quietacre.intake.vector.STREAM_FEATURES", 10)
    out = tmp_path / "acres.gpkg"
    assert run(fields, "--out", out).exit_code == 0
    frame = gpd.read_file(out)
    assert len(frame) == 30
    assert set(frame.columns) >= {"name", "kind", "acres", "perimeter_ft", "geometry"}
    assert frame.acres.iloc[0] == pytest.approx(
        frame.to_crs(6933).area.iloc[0] / 4046.8564224, rel=1e-5
    )


def test_nothing_is_left_when_a_file_cannot_be_used(tmp_path, fields):
    bad = tmp_path / "bad.gpkg"
    bad.write_bytes(b"x" * 200)
    out = tmp_path / "acres.csv"
    out.write_text("mine")
    before = sorted(p.name for p in tmp_path.iterdir())
    assert run(fields, bad, "--out", out).exit_code == 2
    assert out.read_text() == "mine"
    assert sorted(p.name for p in tmp_path.iterdir()) == before


def test_out_is_refused_over_an_input_or_an_unknown_kind(tmp_path, fields):
    before = fields.read_bytes()
    assert "over itself" in run(fields, "--out", fields).output
    assert fields.read_bytes() == before
    assert "are not written" in run(fields, "--out", tmp_path / "a.xlsx").output


@pytest.mark.skipif(os.name != "posix", reason="needs a terminal to be had from the system")
def test_a_bar_on_the_terminal_says_how_far_it_is(tmp_path, fields):
    """On a terminal there is a bar that ends at 100 %; elsewhere there is none."""
    import pty

    words = [sys.executable, "-m", "quietacre", "acres", str(fields), "--out"]
    ours, theirs = pty.openpty()
    done = subprocess.Popen(
        [*words, str(tmp_path / "a.csv")], stdout=subprocess.DEVNULL, stderr=theirs
    )
    os.close(theirs)
    said = b""
    with contextlib.suppress(
        OSError
    ):  # the other end is closed: the system's way of an end
        while block := os.read(ours, 4096):
            said += block
    os.close(ours)
    assert done.wait() == 0
    assert b"measuring fields.gpkg" in said
    assert b"100%" in said
    silent = subprocess.run(
        [*words, str(tmp_path / "b.csv")], capture_output=True, check=True
    )
    assert silent.stderr == b""
