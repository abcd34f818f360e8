"""The hostile set but for its bulky cases, in this process: answers and right acres.

``run_hostile.py`` beside this runs all of it in watched processes of their own.
"""

import os

import pytest
from click.testing import CliRunner
from hostile_files import cases
from run_hostile import judge, tree

from quietacre.cli import main

LIGHT = [case for case in cases() if not case.heavy]


#: What would give a wrong answer in silence, and the file that shows it is said.
SILENT_WRONGS = {
    "latitude and longitude swapped": "swapped.geojson",
    "not degrees in a file that says they are": "no-crs-utm.geojson",
    "degrees in a file that says they are not": "crs-says-metres-but-degrees.geojson",
    "on the wrong side of the world": "property-other-side",
    "a zone that does not fit": "crs-wrong-zone.geojson",
    "one bad latitude": "one-bad-latitude.geojson",
    "one wrong digit": "one-wrong-digit.geojson",
    "a plot twice": "plot-twice.geojson",
    "a ring twice": "ring-drawn-twice.geojson",
    "parts that overlap": "parts-overlap.geojson",
    "an empty layer": "empty-layer.gpkg",
    "lost fixes": "lost-fixes.gpx",
}
#: What would be read in part, or by the wrong foot: right acres are the proof.
READ_RIGHT = {
    "several layers": "two-layers.gpkg",
    "several shapefiles in a zip": "two.zip",
    "several documents in a KMZ": "two-documents.kmz",
    "survey feet": "survey-feet.shp",
    "survey feet and metres side by side": "feet-and-metres.zip",
}


def test_every_silent_wrong_has_a_file_that_shows_it_said():
    known = {case.name: case for case in cases()}
    for what, name in SILENT_WRONGS.items():
        assert known[name].says, what
    for what, name in READ_RIGHT.items():
        assert known[name].acres, what


def test_the_set_is_large_enough():
    assert len(cases()) >= 150


@pytest.mark.parametrize("case", LIGHT, ids=[ascii(case.name)[1:60] for case in LIGHT])
def test_case(case, tmp_path, monkeypatch):
    case.make(tmp_path / case.name)
    before = tree(tmp_path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    result = CliRunner().invoke(main, [*case.command, "--", case.name])
    assert judge(case, result.exit_code, result.stdout, result.stderr) == []
    if not os.path.islink(case.name):  # noqa: PTH114 - says no of a name too long
        assert tree(tmp_path) == before
