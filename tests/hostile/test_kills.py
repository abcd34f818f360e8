"""A few killed builds, desks and two builds at once; the commands beside this kill hundreds."""

import kill_desk
import pytest
from kill_builds import kill_often, two_at_once

from quietacre.export import atomic, build_set


def test_killed_builds_leave_whole_files(tmp_path):
    counts = kill_often(tmp_path, 6, 3)
    assert counts["kills"] == 6
    assert counts["defects"] == 0


@pytest.mark.browser
def test_a_desk_killed_in_use_loses_nothing_that_it_called_kept(
    browser, tmp_path, monkeypatch
):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    faults, _ = kill_desk.kill_often(browser, tmp_path, 2, 7)
    assert faults == []


def test_two_builds_at_once(tmp_path):
    assert two_at_once(tmp_path, 1) == 0


def test_leftovers_of_a_killed_build_are_swept(tmp_path, monkeypatch):
    old, young = tmp_path / ".quietacre-old", tmp_path / ".quietacre-young"
    old.mkdir()
    (old / "map.html").write_text("half")
    young.mkdir()
    now = young.stat().st_mtime
    import os

    os.utime(old, (now - 2 * atomic.STALE_SECONDS,) * 2)
    build_set.write_build(tmp_path, {"a.txt": b"new"})
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        ".quietacre-young",
        "a.txt",
        "build.json",
    ]
