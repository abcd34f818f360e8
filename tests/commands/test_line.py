"""A piece of ground that is the property line: out of the ground, and strips are cut to it."""

import json

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.intake.plain_settings import plain_settings

#: The line lies 150 m round the corner of the field; the patch reaches to 20 m from its east side.
OUTER = [[-87.603, 34.199], [-87.603, 34.203], [-87.5990, 34.203], [-87.5990, 34.199]]
PATCH = [[-87.601, 34.200], [-87.601, 34.201], [-87.59915, 34.201], [-87.59915, 34.200]]
SETTINGS = """# my place
[property]
name = "Fern Hollow" # mine

[[area]]
name = "Deed line"
kind = "plot"
from = "walks/deed.geojson"

[[area]]
name = "Vine corner" # the hard one
kind = "patch"
from = "patch.geojson"
strip = { last_cut = 2027-05-14, next_cut = 2027-07-05 }
"""


def ring(path, corners):
    path.parent.mkdir(exist_ok=True)
    shape = {"type": "Polygon", "coordinates": [[*corners, corners[0]]]}
    path.write_text(json.dumps(shape))


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1798761600")  # 2027-01-01
    folder = tmp_path / "fern"
    folder.mkdir()
    ring(folder / "walks" / "deed.geojson", OUTER)
    ring(folder / "patch.geojson", PATCH)
    (folder / "property.toml").write_text(SETTINGS)
    return folder


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def test_a_piece_becomes_the_line_and_is_no_ground_any_more(place):
    result = run("line", place, "deed LINE")
    assert result.exit_code == 0, result.output
    assert "walks/deed.geojson is the property line; Deed line is no piece of ground" in (
        result.stdout
    )
    assert "quietacre undo" in result.stdout
    text = (place / "property.toml").read_text()
    assert 'boundary = "walks/deed.geojson"' in text
    assert "# my place" in text
    assert "# the hard one" in text
    assert [area["name"] for area in plain_settings(place)["area"]] == ["Vine corner"]
    assert (place / "walks" / "deed.geojson").exists()
    assert run("undo", place).exit_code == 0
    assert (place / "property.toml").read_text() == SETTINGS


def test_a_strip_is_cut_back_to_the_line(place):
    free = run("build", place, "--json")
    assert free.exit_code == 0, free.output
    before = json.loads((place / "out" / "report.json").read_text())
    assert run("line", place, "Deed line").exit_code == 0
    assert run("build", place).exit_code == 0
    after = json.loads((place / "out" / "report.json").read_text())
    assert after["strips"][0]["acres"] < before["strips"][0]["acres"]
    assert [area["name"] for area in after["areas"]] == ["Vine corner"]
    assert after["totals"]["total_acres"] < before["totals"]["total_acres"] - 30


def test_a_second_line_says_which_it_was_and_leaves_its_file(place):
    run("line", place, "Deed line")
    told = json.loads(run("line", place, "Vine corner", "--json").stdout)
    assert (told["file"], told["was"]) == ("patch.geojson", "walks/deed.geojson")
    assert (place / "walks" / "deed.geojson").exists()


def test_what_cannot_be_a_line_is_refused_and_nothing_changes(place):
    none = run("line", place, "Nowhere")
    assert none.exit_code == 2
    assert "there is no area “Nowhere”" in none.stderr
    two = SETTINGS.replace(
        'from = "walks/deed.geojson"', 'from = ["walks/deed.geojson", "b.gpx"]'
    )
    (place / "property.toml").write_text(two)
    several = run("line", place, "Deed line")
    assert several.exit_code == 2
    assert "the edge of “Deed line” comes of several files" in several.stderr
    assert (place / "property.toml").read_text() == two
