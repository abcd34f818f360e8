"""A few killed changes; ``kill_changes.py`` beside this does 500."""

import os

import pytest
from kill_changes import kill_often


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills copies of this process")
@pytest.mark.filterwarnings("ignore:This process:DeprecationWarning")
def test_killed_changes_lose_and_tear_nothing(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    counts = kill_often(tmp_path.resolve(), 12, 3)
    assert counts["kills"] == 12
    assert counts["defects"] == 0
    assert counts["acknowledged"] > 0
