"""A few killed builds and two at once; ``kill_builds.py`` beside this does 300."""

from kill_builds import kill_often, two_at_once

from quietacre.export import atomic, build_set


def test_killed_builds_leave_whole_files(tmp_path):
    counts = kill_often(tmp_path, 6, 3)
    assert counts["kills"] == 6
    assert counts["defects"] == 0


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
