"""Full disks, odd paths and unwritable places: both kept, said, nothing half-written."""

import json
import os
import resource
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from quietacre.edit.journal import FileChange, apply, read, steps, undo
from quietacre.errors import FileProblem

BIG = b"x" * 300_000


@pytest.fixture
def kept(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path / "state"


def held(folder):
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in folder.rglob("*")
        if p.is_file()
    }


ODD = [
    "plain", "with blanks  two", "näh Ünï — “q”", "#%41&?*;'$HOME`id`", "-rf", ".hidden", "a\nb",
    "\u202eturned", "x" * 200, "trailing.", " lead", "emoji 🦌", "back\\slash", "tab\there",
]  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_a_place_under_any_name(tmp_path, kept, name):
    folder = tmp_path / name
    folder.mkdir()
    (folder / "a.csv").write_bytes(b"one")
    inner = f"drawn/{name[:150]}.geojson"
    changes = [FileChange("a.csv", b"one", b"two"), FileChange(inner, None, b"{}")]
    apply(folder, changes, f"a change to {name}")
    assert held(folder) == {"a.csv": b"two", inner: b"{}"}
    assert steps(folder)[0].label == f"a change to {name}"
    undo(folder)
    assert held(folder) == {"a.csv": b"one"}


@pytest.mark.skipif(os.name != "posix", reason="names that are no text")
def test_a_name_that_is_no_text(tmp_path, kept):
    folder = Path(os.fsdecode(os.fsencode(tmp_path) + b"/caf\xe9"))
    folder.mkdir()
    name = os.fsdecode(b"n\xe9.csv")
    apply(folder, [FileChange(name, None, b"x")], "odd")
    assert steps(folder)[0].paths == (name,)
    undo(folder)
    assert held(folder) == {}


def in_a_process(code, *words, limit=None):
    """Run code with the journal loaded, under a limit on the size of files; it compiles none."""

    def less():
        import signal

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    return subprocess.run(
        [sys.executable, "-B", "-c", code, *map(str, words)],
        capture_output=True, text=True, check=False, preexec_fn=less if limit else None,
    )  # fmt: skip


WRITE = """
import sys, pathlib
from quietacre.edit.journal import FileChange, apply, read
folder = pathlib.Path(sys.argv[1])
try:
    apply(folder, [FileChange("new.csv", None, b"n"),
                   FileChange("big.csv", read(folder, "big.csv"), b"y" * 300_000)], "grow")
except OSError as problem:
    print(problem.strerror)
    sys.exit(3)
"""


@pytest.mark.parametrize("limit", [1_000, 200_000, 301_000, 400_000])
def test_no_room_for_a_larger_file(tmp_path, kept, limit):
    """The journal's own file is the larger, so it is met first at the largest limits too."""
    folder = tmp_path / "land"
    folder.mkdir()
    (folder / "big.csv").write_bytes(b"small")
    done = in_a_process(WRITE, folder, limit=limit)
    if limit > 300_500:
        assert done.returncode == 0, done.stderr
        assert held(folder)["new.csv"] == b"n"
        undo(folder)
    else:
        assert done.returncode == 3, done.stderr
        assert "too large" in done.stdout
    assert held(folder) == {"big.csv": b"small"}
    assert not [step for step in steps(folder) if step.state not in ("undone",)]
    apply(folder, [FileChange("big.csv", b"small", b"more")], "again")


@pytest.fixture
def small_disk(tmp_path):
    """A disk of its own that holds little."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=512k", "none", str(disk)], check=False,
        capture_output=True,
    )  # fmt: skip
    if mounted.returncode:
        pytest.skip("no disk can be mounted here")
    yield disk
    subprocess.run(["umount", str(disk)], check=True)


@pytest.mark.parametrize("journal_too", [False, True])
def test_a_full_disk(tmp_path, small_disk, monkeypatch, journal_too):
    state = small_disk if journal_too else tmp_path
    monkeypatch.setenv("XDG_STATE_HOME", str(state / "state"))
    folder = small_disk / "land"
    folder.mkdir()
    (folder / "big.csv").write_bytes(b"small")
    apply(folder, [FileChange("log.csv", None, b"line\n")], "first")
    filler = small_disk / "filler"
    with filler.open("wb") as file:
        room = shutil.disk_usage(small_disk).free
        file.write(b"f" * (room - 120_000))
    done = in_a_process(WRITE, folder)
    assert done.returncode == 3, done.stderr
    assert "No space left" in done.stdout
    assert held(folder) == {"big.csv": b"small", "log.csv": b"line\n"}
    filler.unlink()
    assert [step.label for step in steps(folder)] == ["first"]
    apply(folder, [FileChange("big.csv", b"small", BIG[:100_000])], "again")
    undo(folder)
    undo(folder)
    assert held(folder) == {"big.csv": b"small"}


@pytest.mark.skipif(
    getattr(os, "geteuid", lambda: 0)() == 0, reason="root may write anywhere"
)
def test_a_folder_that_cannot_be_written(tmp_path, kept):
    folder = tmp_path / "land"
    folder.mkdir()
    folder.chmod(stat.S_IRUSR | stat.S_IXUSR)
    with pytest.raises(PermissionError):
        apply(folder, [FileChange("a.csv", None, b"x")], "x")
    assert steps(folder) == ()


def test_a_state_folder_that_cannot_be_made(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    folder = tmp_path / "land"
    folder.mkdir()
    with pytest.raises(FileProblem, match="so nothing is changed"):
        apply(folder, [FileChange("a.csv", None, b"x")], "x")
    assert held(folder) == {}


def test_a_place_reached_by_a_link_is_the_same_place(tmp_path, kept):
    folder = tmp_path / "land"
    folder.mkdir()
    (tmp_path / "by-link").symlink_to(folder)
    apply(tmp_path / "by-link", [FileChange("a.csv", None, b"x")], "x")
    assert read(folder, "a.csv") == b"x"
    assert undo(folder).label == "x"


def test_two_programs_change_files_at_once(tmp_path, kept):
    """Each sees the other's change, and one that comes too late is told so."""
    folder = tmp_path / "land"
    folder.mkdir()
    (folder / "count.json").write_text("0")
    code = """
import sys, pathlib, json
from quietacre.edit.journal import FileChange, apply, change, read
from quietacre.errors import Clash
folder, clashes = pathlib.Path(sys.argv[1]), 0
for _ in range(15):
    change(folder, lambda real: [FileChange("count.json", old := read(real, "count.json"),
           str(int(old) + 1).encode())], "one more")
    while True:
        old = read(folder, "count.json")
        try:
            apply(folder, [FileChange("count.json", old, str(int(old) + 1).encode())], "one")
            break
        except Clash:
            clashes += 1
print(json.dumps(clashes))
"""
    both = [
        subprocess.Popen([sys.executable, "-c", code, str(folder)], stdout=subprocess.PIPE)
        for _ in range(2)
    ]
    told = [json.loads(program.communicate()[0]) for program in both]
    assert (folder / "count.json").read_text() == "60", told
    for _ in range(60):
        undo(folder)
    assert (folder / "count.json").read_text() == "0"


@pytest.mark.skipif(
    getattr(os, "geteuid", lambda: 1)() != 0, reason="only root gives files away"
)
def test_a_file_of_somebody_else_stays_theirs(tmp_path, kept):
    folder = tmp_path / "land"
    folder.mkdir()
    path = folder / "a.csv"
    path.write_bytes(b"one")
    os.chown(path, 1234, 2345)
    path.chmod(0o640)
    apply(folder, [FileChange("a.csv", b"one", b"two")], "x")
    found = path.stat()
    assert (found.st_uid, found.st_gid, stat.S_IMODE(found.st_mode)) == (1234, 2345, 0o640)
