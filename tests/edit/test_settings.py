"""property.toml changed through the journal, checked as a build checks it."""

import codecs
import json
import subprocess
import sys

import pytest

from quietacre.edit.journal import steps, undo
from quietacre.edit.key_path import WhichOne, found_path, read_key_path, shown_path
from quietacre.edit.property_file import change_settings, read_settings
from quietacre.edit.toml_plain import Insert, Remove, Set
from quietacre.errors import BadInput, Clash, FileProblem, SettingsProblem

TOML = """\
# Invented.
[property]
name = "Näh"  # so we call it

[[area]]
name = "North bottom"
kind = "plot"
from = "a.geojson"

[[area]]
name = "South"
kind = "patch"
from = "a.geojson"
"""
RING = [[-87.6, 34.2], [-87.598, 34.2], [-87.598, 34.202], [-87.6, 34.202], [-87.6, 34.2]]


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "land"
    folder.mkdir()
    shape = {"type": "Polygon", "coordinates": [RING]}
    (folder / "a.geojson").write_text(json.dumps(shape))
    (folder / "property.toml").write_text(TOML, encoding="utf-8")
    return folder


def settings(folder):
    return (folder / "property.toml").read_bytes()


WIDTH = Set(("area", 1, "strip", "width_ft"), 60)


@pytest.mark.parametrize(
    "mark", [b"", codecs.BOM_UTF8, codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE]
)
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_marks_and_line_ends_stay(place, mark, line_end):
    encoding = {codecs.BOM_UTF16_LE: "utf-16-le", codecs.BOM_UTF16_BE: "utf-16-be"}.get(
        mark, "utf-8"
    )
    text = TOML.replace("\n", line_end)
    before = mark + text.encode(encoding)
    (place / "property.toml").write_bytes(before)
    change_settings(place, lambda _: [WIDTH], "width")
    added = f"strip = {{ width_ft = 60 }}{line_end}"
    assert settings(place) == mark + (text + added).encode(encoding)
    undo(place)
    assert settings(place) == before


def test_what_could_not_be_read_is_refused_with_the_readers_words(place):
    before = settings(place)
    for change, words in [
        (Set(("area", 0, "kind"), "plott"), "area[1].kind: “plott” is not one of"),
        (Set(("area", 0, "mix"), "oats"), "there is no [[mix]] named “oats”"),
        (Set(("area", 0, "from"), "gone.gpx"), "“gone.gpx” is not there"),
        (Set(("area", 1, "name"), "north bottom"), "is the name of area[1] too"),
        (Remove(("area", 0, "kind")), "area[1].kind: is missing"),
        (Set(("area", 0, "planted"), 1), "there is no such key"),
        (Set(("property", "name"), 5), "property.name"),
    ]:
        with pytest.raises(SettingsProblem) as told:
            change_settings(place, lambda _, change=change: [change], "x")
        assert words in str(told.value)
    assert settings(place) == before
    assert steps(place) == ()


def test_a_file_with_faults_can_be_mended_one_by_one(place):
    bad = TOML.replace('kind = "plot"', 'kind = "plott"').replace("patch", "pach")
    (place / "property.toml").write_text(bad, encoding="utf-8")
    done = change_settings(place, lambda _: [Set(("area", 0, "kind"), "plot")], "mend")
    assert len(done.faults) == 1
    assert "pach" in done.faults[0]
    with pytest.raises(SettingsProblem, match="no such key"):
        change_settings(place, lambda _: [Set(("area", 0, "planted"), 1)], "worse")
    (place / "property.toml").write_text("[x", encoding="utf-8")
    with pytest.raises(SettingsProblem, match="is not TOML, so nothing is changed"):
        change_settings(place, lambda _: [WIDTH], "x")


def test_a_new_file_may_be_named_in_the_same_step(place):
    data = (place / "a.geojson").read_bytes()
    area = {"name": "East", "kind": "plot", "from": "drawn/east.geojson"}
    change_settings(
        place,
        lambda _: [Insert(("area",), area)],
        "add",
        files={"drawn/east.geojson": data},
    )
    assert (place / "drawn" / "east.geojson").read_bytes() == data
    assert [a["name"] for a in read_settings(place)["area"]] == [
        "North bottom",
        "South",
        "East",
    ]
    undo(place)
    assert not (place / "drawn").exists()
    assert settings(place) == TOML.encode()


def test_a_hand_edit_between_reading_and_writing(place):
    def by_hand(_):
        (place / "property.toml").write_text(TOML + "# by hand\n", encoding="utf-8")
        return [WIDTH]

    with pytest.raises(Clash, match="changed by another program meanwhile"):
        change_settings(place, by_hand, "width")
    assert settings(place) == (TOML + "# by hand\n").encode()
    assert change_settings(place, lambda _: [WIDTH], "width").step.number == 1
    assert b"# by hand\nstrip" not in settings(place)
    assert b"# by hand" in settings(place)


def test_two_programs_at_once_lose_nothing(place):
    code = (
        "import sys, pathlib\n"
        "from quietacre.edit.property_file import change_settings\n"
        "from quietacre.edit.toml_plain import Insert\n"
        "for n in range(12):\n"
        "    change_settings(pathlib.Path(sys.argv[1]), lambda _: [Insert(('area', 0, 'history'),"
        " f'{sys.argv[2]} {n}')], 'line')\n"
    )
    both = [
        subprocess.Popen([sys.executable, "-c", code, str(place), name]) for name in "ab"
    ]
    assert [program.wait() for program in both] == [0, 0]
    lines = read_settings(place)["area"][0]["history"]
    assert sorted(lines) == sorted(f"{name} {n}" for name in "ab" for n in range(12))
    for _ in range(24):
        undo(place)
    assert settings(place) == TOML.encode()


def test_read_only_and_full(place):
    (place / "property.toml").chmod(0o444)
    with pytest.raises(FileProblem, match="read-only"):
        change_settings(place, lambda _: [WIDTH], "width")
    assert settings(place) == TOML.encode()


@pytest.mark.parametrize(
    ("typed", "path"),
    [
        ("equipment.tank_gal", ("equipment", "tank_gal")),
        ('area["North bottom"].plant', ("area", 0, "plant")),
        ("area['North bottom'].plant", ("area", 0, "plant")),
        ("area[North bottom].plant", ("area", 0, "plant")),
        ("area[north  BOTTOM].plant", ("area", 0, "plant")),
        (' area [ 2 ] . strip . "width_ft" ', ("area", 1, "strip", "width_ft")),
        (
            'crop."ladino / white clover".window',
            ("crop", "ladino / white clover", "window"),
        ),
    ],
)
def test_key_paths(place, typed, path):
    document = read_settings(place)
    assert found_path(document, read_key_path(typed), "x") == path
    again = shown_path(document, path)
    assert found_path(document, read_key_path(again), "x") == path


@pytest.mark.parametrize(
    "typed", ["", ".", "area[", "area]", "a..b", "[1].x", "a b", '["x"]', "a.[1]"]
)
def test_no_key_path(typed):
    with pytest.raises(BadInput, match="is no key path"):
        read_key_path(typed)


def test_what_is_not_clear_says_what_to_type(place):
    document = read_settings(place)
    for typed, ways in [
        ("area.plant", ('area["North bottom"].plant', 'area["South"].plant')),
        ("area[Nroth bottom].mix", ('area["North bottom"].mix',)),
    ]:
        with pytest.raises(WhichOne) as told:
            found_path(document, read_key_path(typed), "x")
        assert told.value.ways == ways
    document["product"] = [{"grade": "0-0-60", "price": 1}, {"grade": "0-0-60", "price": 2}]
    with pytest.raises(WhichOne) as told:
        found_path(document, read_key_path("product[0-0-60].price"), "x")
    assert told.value.ways == ("product[1].price", "product[2].price")
    for typed in ("area[3].mix", "area[0].mix", "property[1].name"):
        with pytest.raises(FileProblem):
            found_path(document, read_key_path(typed), "x")
