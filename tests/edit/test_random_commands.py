"""Random scripts of commands, each step taken back and made again to the byte."""

import pytest
from random_commands import run_script


@pytest.fixture(autouse=True)
def _own_state(monkeypatch):
    """Let the script's own settings of the process end with the test."""
    for name in ("XDG_STATE_HOME", "SOURCE_DATE_EPOCH"):
        monkeypatch.setenv(name, "0")


@pytest.mark.parametrize("seed", range(1, 9))
def test_random_commands_go_back_and_come_again_to_the_byte(seed, tmp_path):
    done = run_script(seed, tmp_path)
    assert done["changed"] > 1
