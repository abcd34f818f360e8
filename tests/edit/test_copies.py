"""Copies that a sync service leaves: named, compared, and taken over one by one."""

import json
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.edit.differ import differences
from quietacre.intake.copies import is_copy, sync_copies

SAMPLE = Path(__file__).parents[2] / "sample_maps" / "sweetgum-bend"


@pytest.mark.parametrize(
    "name",
    [
        "log (conflicted copy 2027-03-01).csv", "log (Ann's conflicted copy).csv",
        "log.sync-conflict-20270301-120000-ABCDEFG.csv", "log_conflict-20270301-120000.csv",
        "log (1).csv", "log(2).csv", "log-DESKTOP-1AB2C3D.csv", "log-KITCHEN.csv", "log - Copy.csv",
        "log - Copy (2).csv", "log copy.csv", "log copy 2.CSV", "Copy of log.csv", "LOG (3).csv",
        "log (Case Conflict).csv", "Konflikt log.csv".replace("Konflikt", "Conflict -"),
    ],
)  # fmt: skip
def test_names_of_copies(name):
    assert is_copy(name, "log.csv")
    assert not is_copy(name, "property.toml")


@pytest.mark.parametrize(
    "name",
    [
        "log.csv", "log-2026.csv", "log old.csv", "logbook.csv", "log (conflict).txt", "blog.csv",
        "my log.csv", "log-lost.csv", "log (the old one).csv", "photo-log.csv",
    ],
)  # fmt: skip
def test_names_of_other_files(name):
    assert not is_copy(name, "log.csv")


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    shutil.copytree(SAMPLE, tmp_path / "bend", ignore=shutil.ignore_patterns("out"))
    return tmp_path / "bend"


def typed(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def test_a_build_names_them_with_the_command(place):
    from quietacre.measure.property import measure_property

    (place / "property (conflicted copy).toml").write_text("")
    (place / "log (1).csv").write_text("")
    notes = [n.text for n in measure_property(place).extras.notes if n.code == "sync-copy"]
    assert len(notes) == 2
    assert "“log (1).csv” lies beside log.csv" in notes[0]
    assert "quietacre merge" in notes[1]
    assert [copy.of for copy in sync_copies(place)] == ["log.csv", "property.toml"]


def test_settings_are_taken_over_by_the_commands_told(place):
    text = (place / "property.toml").read_text(encoding="utf-8")
    there = (
        text.replace("plant = 2027-09-25", "plant = 2027-10-02", 1)
        .replace("mower_width_ft = 6.0\n", "")
        .replace('[map]\nunits = "us"', '[map]\nunits = "metric"')
        .replace(
            '[[area]]\nname = "Pine block"\nkind = "timber"\nfrom = "drawn/timber.geojson"\n',
            "",
        )
        + '\n[[stock]]\nitem = "34-0-0"\nbags = 2\n\n[buying]\nshort_pct = 2.5\n'
        '\n[[area]]\nname = "New, “näh”"\nkind = "native"\nfrom = "drawn/native.geojson"\n'
        'feature = "Plum thicket"\n'
    )
    copy = place / "property (conflicted copy).toml"
    copy.write_text(there, encoding="utf-8")
    said = typed("merge", place, copy)
    assert said.exit_code == 2
    assert "nothing was written" in said.output
    assert (place / "property.toml").read_text(encoding="utf-8") == text
    commands = [
        shlex.split(c)[1:] for c in said.output.splitlines() if c.startswith("  quietacre")
    ]
    assert len(commands) == 7
    for words in commands:
        done = typed(*words)
        assert done.exit_code == 0, (words, done.output)
    again = typed("merge", place, copy)
    assert again.exit_code == 0, again.output
    assert "says the same as property.toml" in again.output
    told = json.loads(typed("merge", place, copy, "--json").output)
    assert told["files"][0]["otherwise"] == []


@pytest.mark.parametrize("text", ["[x", "a = " + "[" * 2000])
def test_a_copy_that_is_no_settings_file(place, text):
    (place / "property (1).toml").write_text(text)
    said = typed("merge", place, place / "property (1).toml")
    assert said.exit_code == 2
    assert "is not TOML" in said.output


def test_lists_without_names_are_compared_whole():
    ours = tomllib.loads('x = [1, 2]\n[[p]]\ngrade = "a"\n[[p]]\ngrade = "a"\nprice = 1\n')
    theirs = tomllib.loads('x = [1, 3]\n[[p]]\ngrade = "a"\n')
    assert [(one.key, one.theirs) for one in differences(ours, theirs)] == [
        ("x", "[1, 3]"),
        ("p", '[{ grade = "a" }]'),
    ]
