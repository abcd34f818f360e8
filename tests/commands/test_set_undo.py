"""``set`` and ``undo`` as a person types them."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.cli import main

SAMPLE = Path(__file__).parents[2] / "sample_maps" / "sweetgum-bend"


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    shutil.copytree(SAMPLE, tmp_path / "bend", ignore=shutil.ignore_patterns("out"))
    return tmp_path / "bend"


def typed(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def test_set_and_back(place):
    before = (place / "property.toml").read_bytes()
    said = typed("set", place, 'area["North bottom"].plant', "2027-10-02")
    assert said.exit_code == 0
    assert "plant: 2027-09-25 -> 2027-10-02" in said.output
    assert "quietacre undo" in said.output
    after = (place / "property.toml").read_bytes()
    assert after == before.replace(b"plant = 2027-09-25", b"plant = 2027-10-02", 1)
    again = typed("set", place, "area[1].plant", "2027-10-02")
    assert "nothing was written" in again.output
    listed = typed("undo", place, "--list")
    assert 'set area["North bottom"].plant = 2027-10-02: property.toml' in listed.output
    assert "property.toml is as it was before" in typed("undo", place).output
    assert (place / "property.toml").read_bytes() == before
    assert "(taken back)" in typed("undo", place, "--list").output
    assert typed("undo", place).exit_code == 2


def test_a_change_made_since_leaves_the_older_one_to_its_number(place):
    trip, name = ("work.trip_minutes", "17"), ("property.name", "Bend again")
    for key, value in (trip, name):
        assert typed("set", place, key, value).exit_code == 0
    before = (place / "property.toml").read_bytes()
    assert typed("undo", place).exit_code == 0
    assert typed("undo", place).exit_code == 0
    first = (place / "property.toml").read_bytes()
    assert typed("undo", place, "--again").output.startswith("made again: set work.trip")
    assert typed("undo", place, "--again").output.startswith("made again: set property")
    assert (place / "property.toml").read_bytes() == before
    typed("undo", place)
    typed("undo", place)
    assert typed("log", place, "other", "--area", "North bottom").exit_code == 0
    none = typed("undo", place, "--again")
    assert none.exit_code == 2
    assert "no change to make again" in none.output
    listed = typed("undo", place, "--list").output.splitlines()
    assert listed[1].endswith("(taken back)")  # it was made of the one before it
    assert listed[2].endswith("(taken back); once more with --again --step 1")
    record = json.loads(typed("undo", place, "--list", "--json").output)["steps"]
    assert [step["can_be_made_again"] for step in record] == [False, False, True]
    assert typed("undo", place, "--again", "--step", "2").exit_code == 2
    assert (place / "property.toml").read_bytes() == first
    said = typed("undo", place, "--again", "--step", "1").output
    assert said.startswith("made again: set work.trip_minutes")
    assert b"trip_minutes = 17" in (place / "property.toml").read_bytes()


@pytest.mark.parametrize(
    ("key", "value", "spelled"),
    [
        ("work.trip_minutes", "0", "0"),
        ("area[1].name", "2026", '"2026"'),
        ("area[1].note", "true", '"true"'),
        ("area[1].note", "a\nb", '"a\\nb"'),
        ("area[1].note", 'say "so" näh', '"say \\"so\\" näh"'),
        ("property.last_frost", "04-01", '"04-01"'),
        ("work.weekdays", '["sat"]', '["sat"]'),
        ("weather.growing_base_f", "-4", "-4.0"),
        ('mix["clover stand"].seed["arrowleaf clover"].hard', "0.1", "0.1"),
    ],
)
def test_a_value_is_taken_as_the_key_wants_it(place, key, value, spelled):
    said = typed("set", place, key, value)
    assert said.exit_code == 0, said.output
    name = key.rpartition(".")[2]
    text = (place / "property.toml").read_text(encoding="utf-8")
    assert f"{name} = {spelled}".replace("-4.0", "-4") in text


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["area[1].plant", "2027-13-45"], "2027-13-45"),
        (["area[1].kind", "plott"], "did you mean “plot”"),
        (["equipment.tank_gal", "-3"], "equipment.tank_gal"),
        (["area.plant", "2027-10-02"], "quietacre set"),
        (["area[Nroth bottom].mix", "clover stand"], "quietacre set"),
        (["area[1].mix"], "or --remove"),
        (["area[1].mix", "--remov"], "No such option"),
        (["area[1].sky", "--remove"], "is not in the file"),
        (["area[[", "1"], "is no key path"),
        (["area[1]", "x"], "can be nothing else"),
        (["property", "--remove"], "property"),
        (["property", "x"], "property"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_written(place, words, told):
    before = (place / "property.toml").read_bytes()
    said = typed("set", place, *words)
    assert said.exit_code == 2
    assert told in said.output
    assert (place / "property.toml").read_bytes() == before
    assert "no change" in typed("undo", place, "--list").output


def test_the_commands_told_can_be_typed(place):
    said = typed("set", place, "area[Nroth bottom].plant", "2027-10-02").output
    import shlex

    line = next(line for line in said.splitlines() if line.startswith("  quietacre"))
    assert typed(*shlex.split(line)[1:]).exit_code == 0


def test_a_key_taken_away(place):
    said = typed("set", place, "area[1].history", "--remove")
    assert "-> nothing" in said.output
    assert 'history = ["2025' not in (place / "property.toml").read_text(encoding="utf-8")


def test_renaming_says_what_the_log_still_calls_it(place):
    said = typed("set", place, "area[1].name", "Bottom field")
    assert "log.csv: 16 lines may still say “North bottom”" in said.output


def test_json(place):
    said = json.loads(typed("set", place, "area[1].plant", "2027-10-02", "--json").output)
    assert said["was"] == "2027-09-25"
    assert said["step"]["files"] == ["property.toml"]
    assert (
        json.loads(typed("undo", place, "--list", "--json").output)["steps"][0]["number"]
        == 1
    )
    assert json.loads(typed("undo", place, "--json").output)["state"] == "undone"


def test_a_clash_is_said(place):
    typed("set", place, "area[1].plant", "2027-10-02")
    text = place / "property.toml"
    text.write_bytes(text.read_bytes() + b"# by hand\n")
    said = typed("undo", place)
    assert said.exit_code == 2
    assert "was changed since" in said.output
    assert text.read_bytes().endswith(b"# by hand\n")


def test_a_build_finishes_a_change_that_was_cut_short_and_says_so(place, tmp_path):
    typed("set", place, "area[1].plant", "2027-10-02")
    (record,) = (tmp_path / "state").rglob("*.done")
    record.rename(record.with_suffix(".begun"))  # as if killed after the last file
    said = typed("build", place, "--today", "2027-01-02")
    assert said.exit_code == 0
    assert "was cut short, and is finished now" in said.output
    assert "cut short" not in typed("build", place, "--today", "2027-01-02").output
    assert list((tmp_path / "state").rglob("*.done"))
    record.with_suffix(".done").rename(record.with_suffix(".begun"))
    (place / "property.toml").write_bytes(
        (place / "property.toml").read_bytes() + b"# by hand"
    )
    said = typed("build", place, "--today", "2027-01-02")
    assert said.exit_code == 0
    assert "what was to be written is kept in" in said.output


def test_a_folder_of_a_newer_format_is_not_changed(place):
    typed("set", place, "work.trip_minutes", "45")
    before = (place / "property.toml").read_bytes()
    (place / "property.toml").write_bytes(
        before.replace(b"[property]", b"[property]\nformat = 99")
    )
    said = typed("set", place, "work.trip_minutes", "40")
    assert said.exit_code == 2
    assert "newer quietacre" in said.output
    (place / "property.toml").write_bytes(before)
    assert typed("undo", place).exit_code == 0


def test_an_item_taken_out_of_a_list_is_said(place):
    said = typed("set", place, "area[1].history[1]", "--remove")
    assert said.output.splitlines()[0].endswith("-> nothing")
    said = typed("set", place, "area", "[]")
    assert "area: a list of 20 -> []" in said.output
    typed("undo", place)
    typed("undo", place)
    assert (place / "property.toml").read_bytes() == (SAMPLE / "property.toml").read_bytes()


def test_a_table_with_a_fault_is_refused_for_its_fault(place):
    """A table may also be meant as text, which the list cannot hold; that is not the answer."""
    before = (place / "property.toml").read_bytes()
    seed = '{ crop = "wheat", rate_lb_ac = 60.0, basis = "bulk", price_lb = "0,48" }'
    said = typed(
        "set", place, "mix[+]", "--", f'{{ name = "Fall green", seed = [{seed}] }}'
    )
    assert said.exit_code == 2
    assert "price_lb: “0,48” should be a number" in said.stderr
    assert "holds tables alone" not in said.stderr
    assert (place / "property.toml").read_bytes() == before
    text = typed("set", place, "mix[+]", "--", "Fall green")
    assert text.exit_code == 2
    assert "holds tables alone" in text.stderr
