"""The strip and width commands: passes written, verdicts, law and reverse answers."""

import json

import numpy as np
import shapely
from click.testing import CliRunner

from quietacre.acreage.frame import LocalFrame
from quietacre.cli import main

FRAME = LocalFrame(-87.6, 34.2)


def draw(path, shape):
    ground = FRAME.to_lonlat(np.array([shape], dtype=object))[0]
    feature = {
        "type": "Feature",
        "properties": {},
        "geometry": json.loads(shapely.to_geojson(ground)),
    }
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [feature]}))
    return str(path)


def run(*words):
    result = CliRunner().invoke(main, list(words))
    assert result.exit_code == 0, result.output
    return result.stdout


def test_strip_writes_passes_and_judges(tmp_path):
    patch = draw(tmp_path / "patch.geojson", shapely.box(-40, -40, 40, 40))
    line = draw(tmp_path / "line.geojson", shapely.box(-300, -300, 45, 300))
    trees = draw(tmp_path / "trees.geojson", shapely.box(-80, -40, -50, 40))
    out = tmp_path / "passes.geojson"
    said = json.loads(
        run("strip", patch, "--width-ft", "28", "--boundary", line, "--timber", trees,
            "--passes-out", str(out), "--json")
    )  # fmt: skip
    features = json.loads(out.read_text())["features"]
    assert [f["properties"]["number"] for f in features] == [
        p["number"] for p in said["passes"]
    ]
    assert {row["verdict"] for row in said["weak"]} == {"FAIL", "NARROW"}
    assert said["stations"]["pass"] > 0
    words = run("strip", patch, "--width-ft", "28", "--first", "inner")
    assert "5 mower passes" in words


def test_width_says_law_first_and_what_would_help():
    words = run("width", "--state", "in", "--width-available-ft", "30", "--slip-days", "10")
    assert words.splitlines()[0].startswith("law (IN): unlawful to keep")
    assert "what would help, 1: shorter season for the strip only" in words
    said = json.loads(
        run("width", "--last-frost", "05-01", "--first-frost", "10-10", "--json")
    )
    assert said["law"]["status"] == "unknown"
    plain = json.loads(run("width", "--json"))
    assert said["stress"]["required_ft"] < plain["stress"]["required_ft"]


def test_width_of_another_vine_is_runner_control_only():
    words = run("width", "--vine", "mile-a-minute")
    assert "runner control only" in words
    assert "birds" in words


def test_bad_dates_are_one_line():
    result = CliRunner().invoke(
        main, ["width", "--last-frost", "11-01", "--first-frost", "04-01"]
    )
    assert result.exit_code == 2
    assert len(result.stderr.strip().splitlines()) == 1


def test_what_is_not_said_is_as_in_the_property_file():
    import click

    from quietacre.commands import strip, width
    from quietacre.settings import Equipment, StripSettings

    usual = {**vars(Equipment()), "slip_days": StripSettings().slip_days}
    for command in (strip.command, width.command):
        own = {o.name: o.default for o in command.params if isinstance(o, click.Option)}
        shared = {key: own[key] for key in own.keys() & usual.keys()}
        assert shared == {key: usual[key] for key in shared}
        assert "mower_width_ft" in shared
    assert json.loads(run("width", "--json")) == json.loads(
        run("width", "--slip-days", str(usual["slip_days"]), "--json")
    )


def test_what_is_said_of_a_walk_is_said_of_its_strip_and_of_its_movement(tmp_path):
    """The sample's walk of a narrow lane: its ± is wide, and each command must say so."""
    from quietacre.demo.sample import sample_files

    path = tmp_path / "lane.gpx"
    data = sample_files()["walks/wire-lane.gpx"]
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    for words in (
        ["strip", str(path), "--width-ft", "20"],
        ["advance", str(path), str(path)],
    ):
        done = CliRunner().invoke(main, words)
        assert done.exit_code == 0, done.output
        assert "note: " in done.stderr
        assert "±" in done.stderr
