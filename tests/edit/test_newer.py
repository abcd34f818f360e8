"""A folder that a newer version wrote is read, never changed, and says so."""

import json

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.edit.journal import FileChange, apply
from quietacre.errors import BadInput
from quietacre.intake.property import newer_notes, read_property

AREA = '[[area]]\nname = "Field"\nkind = "plot"\nfrom = "a.geojson"\n'
RING = [[-87.6, 34.2], [-87.598, 34.2], [-87.598, 34.202], [-87.6, 34.202], [-87.6, 34.2]]


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "land"
    folder.mkdir()
    shape = {"type": "Polygon", "coordinates": [RING]}
    (folder / "a.geojson").write_text(json.dumps(shape))
    return folder


def write(folder, number, more="", area=AREA):
    text = f'[property]\nname = "Invented"\nformat = {number}\n{more}\n{area}'
    (folder / "property.toml").write_text(text)


def test_its_own_format_is_written(place):
    write(place, 1)
    assert newer_notes(place) == ()
    apply(place, [FileChange("log.csv", None, b"x")], "a line")


def test_a_newer_one_is_only_read_and_says_what_it_leaves_out(place):
    write(place, 2, 'mood = "calm"', AREA + "slope_pct = 4\n")
    assert read_property(place).area[0].name == "Field"
    with pytest.raises(BadInput, match="newer quietacre.*nothing is changed"):
        apply(place, [FileChange("log.csv", None, b"x")], "a line")
    assert not (place / "log.csv").exists()
    result = CliRunner().invoke(main, ["build", str(place), "--json"])
    assert result.exit_code == 0, result.output
    assert (
        "without what it does not know: property.mood, area[1].slope_pct" in result.stderr
    )
    codes = [note["code"] for note in json.loads(result.stdout)["notes"]]
    assert codes.count("newer-format") == 1
    refused = CliRunner().invoke(main, ["log", str(place), "mow", "--area", "Field"])
    assert refused.exit_code == 2
    assert "format is 2" in refused.stderr


def test_a_newer_one_that_cannot_be_read_says_why(place):
    write(place, 2, area=AREA.replace("plot", "orchard"))
    with pytest.raises(BadInput) as problem:
        read_property(place)
    assert "was written by a newer quietacre" in str(problem.value).splitlines()[0]
    assert "orchard" in str(problem.value)


@pytest.mark.parametrize("number", ["0", "-1", '"2"', "true"])
def test_what_is_no_format_is_a_fault(place, number):
    write(place, number)
    with pytest.raises(BadInput):
        read_property(place)


def test_a_key_that_is_not_known_stays_a_fault_without_it(place):
    write(place, 1, 'mood = "calm"')
    with pytest.raises(BadInput, match="no such key"):
        read_property(place)
