"""The acres of ``acres``, of ``new`` then a build, and of an independent sum are the same.

Where they are not, each difference is named by feature, to a hundredth of an acre, and what
is named sums to the gap. Files are random: names blank, repeated and strange; several layers,
tracks and routes.
"""

import json
import re
import warnings

import numpy as np
import pytest
from click.testing import CliRunner
from random_files import random_file

from quietacre.cli import main
from quietacre.measure.property import measure_property

SEEDS = range(48)


def run(*words):
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exit_code == 0, done.output
    return done.output


def made(seed, tmp_path):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of the library that writes the file
        path, found = random_file(np.random.default_rng(seed), tmp_path)
    place = tmp_path / "place"
    told = json.loads(run("new", place, path, "--json"))
    return path, found, place, told


@pytest.mark.parametrize("seed", SEEDS)
def test_the_three_sums_agree(seed, tmp_path):
    path, found, place, told = made(seed, tmp_path)
    truth = sum(piece.acres for piece in found)
    measured = json.loads(run("acres", path, "--json"))
    assert len(measured["areas"]) == len(told["areas"]) == len(found)
    assert measured["total_acres"] == pytest.approx(truth, rel=1e-3)
    assert sum(area["acres"] for area in told["areas"]) == pytest.approx(truth, rel=1e-3)
    built = measure_property(place)
    assert built.extras.total_acres == pytest.approx(truth, rel=1e-3)
    assert sorted(built.areas["acres"]) == pytest.approx(
        sorted(piece.acres for piece in found), rel=5e-3
    )
    labels = [area["name"] for area in measured["areas"]]
    assert len(set(labels)) == len(labels)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_areas_leave_out_is_named_and_sums_to_the_gap(seed, tmp_path):
    path, found, place, told = made(seed, tmp_path)
    if len(found) < 2:
        return  # the one edge of a file is always the area's
    truth = sum(piece.acres for piece in found)
    rng = np.random.default_rng(seed)
    head, *areas = re.split(r"(?=\n\[\[area\]\]\n)", (place / "property.toml").read_text())
    kept = sorted(rng.choice(len(areas), int(rng.integers(1, len(areas))), replace=False))
    gone = [told["areas"][n] for n in range(len(areas)) if n not in kept]
    text = head + "".join(areas[n].partition("\n# ----")[0] + "\n" for n in kept)
    (place / "property.toml").write_text(text)
    built = measure_property(place)
    gap = truth - built.extras.total_acres
    notes = [note for note in built.extras.notes if note.code == "ground-unused"]
    assert len(notes) == 1
    assert f"{len(gone)} feature" in notes[0].text
    total = float(re.search(r"uses, ([\d.]+) ac", notes[0].text)[1])
    assert total == pytest.approx(gap, abs=0.001 * truth + 0.01)
    for area in gone:
        said = re.escape(f" {area['acres']:.2f} ac")
        assert re.search(re.escape(area["name"].removesuffix(", Openings")) + "”" + said,
                         notes[0].text), (area, notes[0].text)  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("seed", [3, 11])
def test_a_whole_build_has_the_same_acres(seed, tmp_path):
    _, found, place, _ = made(seed, tmp_path)
    run("build", place, "--today", "2027-01-10")
    report = json.loads((place / "out" / "report.json").read_text())
    truth = sum(piece.acres for piece in found)
    assert report["totals"]["total_acres"] == pytest.approx(truth, rel=1e-3)
