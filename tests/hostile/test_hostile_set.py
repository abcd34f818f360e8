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
