"""Starters to be double-clicked: what they hold, that they run, that nothing is written over."""

import configparser
import json
import shlex
import subprocess
import sys

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.desk.starter import starter


def test_the_linux_starter_is_a_desktop_entry_that_runs_the_program(tmp_path):
    run = CliRunner().invoke(
        main, ["shortcut", "--to", str(tmp_path), "--system", "linux", "--json"]
    )
    assert run.exit_code == 0, run.output
    path = tmp_path / "quietacre.desktop"
    assert json.loads(run.output) == {"file": str(path), "system": "linux", "tried": True}
    entry = configparser.ConfigParser(interpolation=None)
    entry.read(path)
    words = shlex.split(entry["Desktop Entry"]["Exec"])
    assert words == [sys.executable, "-m", "quietacre", "open"]
    assert path.stat().st_mode & 0o100
    said = subprocess.run(
        [*words, "--help"], capture_output=True, text=True, check=True
    ).stdout
    assert "The desk" in said


@pytest.mark.parametrize(
    "python", ["/opt/my programs/py thon", '/odd/"quoted"/$HOME/%f/python']
)
def test_odd_paths_are_quoted(python):
    line = next(
        row for row in starter("linux", python).text.splitlines() if row.startswith("Exec=")
    )
    assert line.startswith('Exec="')
    assert "%f" not in line.replace("%%", "")
    assert shlex.split(starter("macos", python).text.splitlines()[1])[1] == python


def test_the_other_kinds_are_said_to_be_untried(tmp_path):
    for system, name in (("macos", "quietacre.command"), ("windows", "quietacre.bat")):
        run = CliRunner().invoke(
            main, ["shortcut", "--to", str(tmp_path), "--system", system]
        )
        assert run.exit_code == 0
        assert "untried" in run.output
        assert "-m quietacre open" in (tmp_path / name).read_text()


def test_another_file_of_that_name_is_left_alone(tmp_path):
    (tmp_path / "quietacre.desktop").write_text("mine")
    run = CliRunner().invoke(main, ["shortcut", "--to", str(tmp_path), "--system", "linux"])
    assert run.exit_code == 2
    assert (tmp_path / "quietacre.desktop").read_text() == "mine"
    assert (
        CliRunner().invoke(main, ["shortcut", "--to", str(tmp_path / "none")]).exit_code
        == 2
    )
