"""The journal: written ahead, whole, taken back in order, and never over another's work."""

import errno
import os
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from quietacre.edit import book as book_file
from quietacre.edit import files, moves, state
from quietacre.edit.journal import FileChange, apply, cut_short, read, recover, steps, undo
from quietacre.errors import Clash, FileProblem


@pytest.fixture
def place(tmp_path):
    folder = tmp_path / "Land, “näh” #1 %41 'x' $HOME"
    folder.mkdir()
    (folder / "property.toml").write_bytes(b"one\r\n")
    return folder


@pytest.fixture
def kept(tmp_path):
    return tmp_path / "state"


def change(folder, path, after):
    return FileChange(path, read(folder, path), after)


def put(folder, kept, label="a change", **files):
    wanted = [
        change(folder, path.replace("__", "/").replace("_", "."), data)
        for path, data in files.items()
    ]
    return apply(folder, wanted, label, state=kept)


def held(folder):
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in folder.rglob("*")
        if p.is_file()
    }


def test_several_files_and_back_in_order(place, kept):
    before = [held(place)]
    first = put(place, kept, "ring", drawn__ring_geojson=b"{}", property_toml=b"two\r\n")
    assert first.number == 1
    assert first.state == "done"
    before.append(held(place))
    put(place, kept, "gone", property_toml=b"three", drawn__ring_geojson=None)
    before.append(held(place))
    put(place, kept, "log", log_csv=b"date,task\n")
    assert [s.label for s in steps(place, state=kept)] == ["ring", "gone", "log"]
    for earlier, label in zip(reversed(before), ["log", "gone", "ring"], strict=True):
        assert undo(place, state=kept).label == label
        assert held(place) == earlier
    assert not (place / "drawn").exists()
    with pytest.raises(FileProblem, match="no change to take back"):
        undo(place, state=kept)


def test_nothing_of_the_journal_lies_in_the_place(place, kept):
    put(place, kept, property_toml=b"two")
    assert [p.name for p in place.iterdir()] == ["property.toml"]
    with pytest.raises(FileProblem, match="lies inside the property folder"):
        apply(place, [change(place, "a.csv", b"x")], "x", state=place / "state")


def test_the_journal_is_its_owners_own(place, kept):
    put(place, kept, property_toml=b"two")
    for path in kept.rglob("*.done"):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_the_state_folder_is_the_systems(place, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "mine"))
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path / "mine"))
    apply(place, [change(place, "property.toml", b"two")], "x")
    assert state.user_state().is_dir()
    assert undo(place).state == "undone"


def test_a_hand_edit_between_reading_and_writing_stands(place, kept):
    seen = change(place, "property.toml", b"mine")
    other = change(place, "log.csv", b"log")
    (place / "property.toml").write_bytes(b"by hand")
    with pytest.raises(Clash, match="changed by another program meanwhile") as told:
        apply(place, [other, seen], "x", state=kept)
    assert held(place) == {"property.toml": b"by hand"}
    where = str(told.value).split("is kept in ")[1].split(";")[0]
    assert Path(where).read_bytes() == b"mine"
    assert steps(place, state=kept) == ()


def test_undo_refuses_what_was_changed_since(place, kept):
    put(place, kept, "mine", property_toml=b"two")
    (place / "property.toml").write_bytes(b"by hand")
    with pytest.raises(Clash, match="changed since “mine”") as told:
        undo(place, state=kept)
    assert (place / "property.toml").read_bytes() == b"by hand"
    where = str(told.value).split("is kept in ")[1].split(";")[0]
    assert Path(where).read_bytes() == b"one\r\n"
    (place / "property.toml").write_bytes(b"two")
    assert undo(place, state=kept).state == "undone"


def test_a_chosen_step_is_taken_back_past_a_later_one(place, kept):
    put(place, kept, property_toml=b"two")
    put(place, kept, log_csv=b"line")
    assert undo(place, number=1, state=kept).number == 1
    assert held(place) == {"property.toml": b"one\r\n", "log.csv": b"line"}
    for number in (1, 9):
        with pytest.raises(FileProblem, match="taken back already|not in the journal"):
            undo(place, number=number, state=kept)


def test_mode_and_links_inside_are_kept(place, kept):
    (place / "deep").mkdir()
    real = place / "deep" / "settings.toml"
    (place / "property.toml").rename(real)
    real.chmod(0o640)
    (place / "property.toml").symlink_to("deep/settings.toml")
    put(place, kept, property_toml=b"two")
    assert (place / "property.toml").is_symlink()
    assert real.read_bytes() == b"two"
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
    undo(place, state=kept)
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def test_a_deleted_file_comes_back_with_its_mode(place, kept):
    (place / "property.toml").chmod(0o604)
    put(place, kept, property_toml=None)
    undo(place, state=kept)
    assert stat.S_IMODE((place / "property.toml").stat().st_mode) == 0o604


@pytest.mark.parametrize(
    "path", ["../x", "/etc/x", "", "a/../../x", "link/x", "out.csv", "dir"]
)
def test_paths_that_lead_out(place, kept, tmp_path, path):
    (tmp_path / "outside").mkdir()
    (place / "link").symlink_to(tmp_path / "outside")
    (place / "out.csv").symlink_to(tmp_path / "outside" / "new.csv")
    (place / "dir").mkdir()
    with pytest.raises(FileProblem):
        apply(place, [FileChange(path, None, b"x")], "x", state=kept)
    assert list((tmp_path / "outside").iterdir()) == []
    assert steps(place, state=kept) == ()


def test_a_read_only_file_is_left(place, kept):
    (place / "property.toml").chmod(0o444)
    with pytest.raises(FileProblem, match="read-only"):
        put(place, kept, log_csv=b"x", property_toml=b"two")
    assert held(place) == {"property.toml": b"one\r\n"}


def test_clock_set_back_keeps_the_order(place, kept, monkeypatch):
    for number, now in enumerate([2e9, 1e9, 1.5e9]):
        monkeypatch.setattr(time, "time", lambda now=now: now)
        put(place, kept, str(number), property_toml=str(number).encode())
    assert [s.label for s in steps(place, state=kept)] == ["0", "1", "2"]
    assert [undo(place, state=kept).label for _ in range(3)] == ["2", "1", "0"]
    assert held(place) == {"property.toml": b"one\r\n"}


def kill_at(place, kept, monkeypatch, at, *, taking_back=False):
    """Let the process end, as by a kill, when a file is about to be put in place."""
    count = iter(range(100))

    def killed(stage, path):
        if next(count) == at:
            os._exit(9)
        files.put_in_place(stage, path)

    if taking_back:
        put(place, kept, "two files", log_csv=b"new", property_toml=b"two")
    child = os.fork()
    if not child:
        monkeypatch.setattr(moves, "put_in_place", killed)
        try:
            if taking_back:
                undo(place, state=kept)
            else:
                put(place, kept, "two files", log_csv=b"new", property_toml=b"two")
        finally:
            os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a copy of this process")
@pytest.mark.filterwarnings("ignore:This process:DeprecationWarning")
@pytest.mark.parametrize("at", [0, 1])
@pytest.mark.parametrize("taking_back", [False, True])
def test_what_was_cut_short_is_carried_to_its_end(
    place, kept, monkeypatch, at, taking_back
):
    kill_at(place, kept, monkeypatch, at, taking_back=taking_back)
    (found,) = recover(place, state=kept)
    assert found.end == ("taken back" if taking_back else "finished")
    two = {"property.toml": b"two", "log.csv": b"new"}
    one = {"property.toml": b"one\r\n"}
    assert held(place) == (one if taking_back else two)
    assert recover(place, state=kept) == ()
    if not taking_back:
        undo(place, state=kept)
        assert held(place) == one


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a copy of this process")
@pytest.mark.filterwarnings("ignore:This process:DeprecationWarning")
@pytest.mark.parametrize("taking_back", [False, True])
def test_a_hand_edit_after_a_kill_stands_and_both_are_kept(
    place, kept, monkeypatch, taking_back
):
    kill_at(place, kept, monkeypatch, 1, taking_back=taking_back)
    (place / "property.toml").write_bytes(b"by hand")
    log = read(place, "log.csv")
    third = put(place, kept, "next", other_csv=b"third")
    (found,) = third.recovered
    assert found.end == "clash"
    wanted = [b"one\r\n"] if taking_back else [b"new", b"two"]
    assert sorted(path.read_bytes() for path in found.kept) == wanted
    assert log == b"new"
    began = {"log.csv": b"new"} if taking_back else {}
    assert held(place) == {"property.toml": b"by hand", "other.csv": b"third", **began}


def test_a_refusal_midway_puts_all_back(place, kept, monkeypatch):
    def refused(stage, path):
        if path.name == "property.toml" and stage.name.startswith(files.STAGE_PREFIX):
            raise OSError(errno.EIO, "Input/output error", str(path))
        files.put_in_place(stage, path)

    monkeypatch.setattr(moves, "put_in_place", refused)
    with pytest.raises(OSError, match="Input/output"):
        put(place, kept, walks__a_gpx=b"x", property_toml=b"two")
    assert held(place) == {"property.toml": b"one\r\n"}
    assert not (place / "walks").exists()
    assert steps(place, state=kept) == ()


def test_what_cannot_be_put_back_is_finished_at_the_next_start(place, kept, monkeypatch):
    def refused(stage, path):
        if path.name == "property.toml" or stage is None:
            raise OSError(errno.EIO, "Input/output error", str(path))
        files.put_in_place(stage, path)

    with monkeypatch.context() as patch:
        patch.setattr(moves, "put_in_place", refused)
        with pytest.raises(FileProblem, match="neither changed nor put back"):
            put(place, kept, log_csv=b"x", property_toml=b"two")
    assert recover(place, state=kept)[0].end == "finished"
    assert held(place) == {"property.toml": b"two", "log.csv": b"x"}


def test_the_lock_dies_with_its_process(place, kept):
    put(place, kept, property_toml=b"two")
    home = state.place_home(place.resolve(), kept)
    code = (
        "import sys, pathlib\n"
        "from quietacre.edit.state import turn\n"
        "with turn(pathlib.Path(sys.argv[1]), pathlib.Path('x')):\n"
        "    print('held', flush=True); sys.stdin.read()\n"
    )
    other = subprocess.Popen(
        [sys.executable, "-c", code, str(home)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert other.stdout.readline().strip() == b"held"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(state, "MOST_WAIT_SECONDS", 0.1)
        with pytest.raises(FileProblem, match="being changed by another program"):
            put(place, kept, property_toml=b"three")
    other.kill()
    other.communicate()
    put(place, kept, property_toml=b"three")
    assert (place / "property.toml").read_bytes() == b"three"


@pytest.mark.skipif(os.name != "posix", reason="folders are locked there")
def test_another_account_waits_too(place, kept, tmp_path):
    other = state.place_home(place.resolve(), tmp_path / "another account")
    with state.turn(other, place.resolve()), pytest.MonkeyPatch.context() as patch:
        patch.setattr(state, "MOST_WAIT_SECONDS", 0.1)
        with pytest.raises(FileProblem, match="being changed by another program"):
            put(place, kept, property_toml=b"two")
    put(place, kept, property_toml=b"two")


def test_a_damaged_record_is_said_and_bars_no_change(place, kept):
    put(place, kept, property_toml=b"two")
    (record,) = kept.rglob("*.done")
    record.write_bytes(record.read_bytes().replace(b"one", b"eno"))
    with pytest.raises(FileProblem, match="is damaged"):
        undo(place, state=kept)
    record.write_bytes(b"nonsense")
    assert "damaged" in steps(place, state=kept)[0].label
    put(place, kept, property_toml=b"three")
    undo(place, state=kept)
    assert (place / "property.toml").read_bytes() == b"two"


def test_old_steps_are_let_go(place, kept, monkeypatch):
    monkeypatch.setattr(book_file, "KEEP_STEPS", 3)
    for number in range(6):
        put(place, kept, str(number), property_toml=str(number).encode())
    assert [s.label for s in steps(place, state=kept)] == ["3", "4", "5"]
    monkeypatch.setattr(book_file, "KEEP_BYTES", 0)
    put(place, kept, "last", property_toml=b"last")
    assert [s.label for s in steps(place, state=kept)] == ["last"]


def test_nothing_asked_is_refused(place, kept):
    with pytest.raises(ValueError, match="no file changes"):
        apply(place, [FileChange("property.toml", b"one\r\n", b"one\r\n")], "x", state=kept)
    (place / "again.toml").symlink_to("property.toml")
    pair = [change(place, name, b"x") for name in ("again.toml", "property.toml")]
    with pytest.raises(ValueError, match="twice"):
        apply(place, pair, "x", state=kept)


def test_what_is_kept_aside_is_let_go_at_last(place, kept, monkeypatch):
    monkeypatch.setattr(book_file, "KEEP_ASIDE", 2)
    for number in range(4):
        with pytest.raises(Clash):
            apply(place, [FileChange("log.csv", b"never", b"%d" % number)], "x", state=kept)
    put(place, kept, property_toml=b"two")
    assert sorted(p.read_bytes() for p in kept.rglob("kept/*")) == [b"2", b"3"]


def test_a_place_without_a_journal_has_no_step_under_way(place, kept):
    assert not cut_short(place, state=kept)
    assert not cut_short(place, state=place / "state")
    put(place, kept, property_toml=b"two")
    assert not cut_short(place, state=kept)
    (record,) = kept.rglob("*.done")
    record.rename(record.with_suffix(".begun"))
    assert cut_short(place, state=kept)


def test_links_that_lead_round_are_refused(place, kept):
    (place / "a.csv").symlink_to("b.csv")
    (place / "b.csv").symlink_to("a.csv")
    with pytest.raises((FileProblem, OSError)):
        apply(place, [FileChange("a.csv", None, b"x")], "x", state=kept)
    assert (place / "a.csv").is_symlink()
    assert steps(place, state=kept) == ()
