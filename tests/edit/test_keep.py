"""A copy to keep and its way back: alike byte for byte, and nothing where it should not be."""

import datetime as dt
import json
import os
import shutil
import stat
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.commands.demo import write_sample
from quietacre.edit import keep
from quietacre.edit.keep import MANIFEST, keep_copy
from quietacre.edit.restore import restore
from quietacre.errors import BadInput
from quietacre.intake.property import read_property

ROOT = Path(__file__).parents[2]
TODAY = dt.date(2026, 11, 27)
TOML = b'[property]\nname = "Invented"\n'


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "Sweet gum, “Bend”"
    write_sample(folder)
    (folder / "out").mkdir()
    (folder / "out" / "map.html").write_text("made again")
    (folder / "photos").mkdir()
    (folder / "photos" / "große Weide 50%.jpg").write_bytes(os.urandom(3000))
    (folder / "years" / "2025").mkdir(parents=True)
    (folder / "years" / "2025" / "report.json").write_text("{}")
    (folder / "vine").mkdir()
    (folder / "big.csv").write_bytes(b"0,0,0\n" * 400_000)
    return folder


@pytest.fixture
def stick(tmp_path):
    (tmp_path / "stick").mkdir()
    return tmp_path / "stick"


def held(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.relative_to(folder).parts[0] != "out"
    }


def zipped(path, files, **more):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            info = name if isinstance(name, zipfile.ZipInfo) else zipfile.ZipInfo(name)
            archive.writestr(info, data, zipfile.ZIP_DEFLATED, **more)
    return path


def test_there_and_back_it_is_alike(place, stick, tmp_path):
    kept = keep_copy(place, stick, today=TODAY)
    assert kept.path.name == "Sweet gum, “Bend”-2026-11-27.zip"
    assert kept.files == len(held(place))
    done = restore(kept.path, tmp_path / "back")
    assert done.compared
    assert (done.unlisted, done.left_out) == ((), ())
    assert held(tmp_path / "back") == held(place)
    was, now = ((f / "log.csv").stat().st_mtime for f in (place, tmp_path / "back"))
    assert abs(was - now) <= 2  # a zip counts in twos
    assert (tmp_path / "back" / "vine").is_dir()
    assert not (tmp_path / "back" / "out").exists()
    assert not (tmp_path / "back" / MANIFEST).exists()
    assert [path.name for path in stick.iterdir()] == [kept.path.name]


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="no sha256sum")
def test_the_list_of_sums_is_read_by_the_systems_own_tool(place, stick):
    kept = keep_copy(place, stick, today=TODAY)
    with zipfile.ZipFile(kept.path) as archive:
        archive.extractall(stick)
    top = stick / place.name
    done = subprocess.run(["sha256sum", "--strict", "-c", MANIFEST], cwd=top, check=False,
                          capture_output=True, text=True)  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.count(": OK") == kept.files
    # and a folder that was unpacked by hand is copied without its old list
    shutil.copy(kept.path, stick / "first.zip")
    assert keep_copy(top, stick / "second.zip", today=TODAY).files == kept.files


def test_no_copy_is_written_over_another(place, stick):
    first = keep_copy(place, stick, today=TODAY).path
    data = first.read_bytes()
    second = keep_copy(place, stick, today=TODAY).path
    assert second.name.endswith("-2026-11-27-2.zip")
    assert first.read_bytes() == data
    with pytest.raises(BadInput, match="is there already"):
        keep_copy(place, first, today=TODAY)


@pytest.mark.parametrize(
    ("to", "said"),
    [("stik", "is the stick or disk in place"), ("none/x.zip", "no such folder"),
     ("LAND/x.zip", "lies in the folder"), ("LAND", "lies in the folder")],
)  # fmt: skip
def test_where_no_copy_can_go(place, tmp_path, to, said):
    target = Path(to.replace("LAND", str(place)))
    with pytest.raises(BadInput, match=said):
        keep_copy(place, tmp_path / target, today=TODAY)
    assert not list(place.glob("*.zip"))


def test_what_is_not_copied_is_said(place, stick, tmp_path):
    (tmp_path / "secret").write_text("x")
    (place / "away").symlink_to(tmp_path / "secret")
    (place / "room").symlink_to(tmp_path)
    (place / "near").symlink_to(place / "log.csv")
    (place / ".~lock.log.csv#").write_text("Ann")
    os.mkfifo(place / "pipe")
    kept = keep_copy(place, stick, today=TODAY)
    assert {name for name, _ in kept.left_out} == {
        "out/", "away", "room", ".~lock.log.csv#", "pipe",
    }  # fmt: skip
    restore(kept.path, tmp_path / "back")
    assert (tmp_path / "back" / "near").read_bytes() == (place / "log.csv").read_bytes()
    assert not (tmp_path / "back" / "near").is_symlink()


@pytest.mark.parametrize("name", ["a\nb.csv", "a\\b.csv", os.fsdecode(b"\xff.csv")])
def test_names_that_no_list_can_hold_are_refused(place, stick, name):
    (place / name).write_text("x")
    with pytest.raises(BadInput, match="cannot be kept"):
        keep_copy(place, stick, today=TODAY)
    assert list(stick.iterdir()) == []


def test_names_that_another_system_cannot_keep_are_said(place, stick):
    (place / "aux.csv").write_text("x")
    assert keep_copy(place, stick, today=TODAY).odd_names == ("aux.csv",)


def test_a_stick_that_keeps_other_bytes_is_found_out(place, stick, monkeypatch):
    write = keep._write

    def spoiled(stage, top, found):
        sums = write(stage, top, found)
        data = bytearray(stage.read_bytes())
        data[len(data) // 2] ^= 1  # in a file that is stored as it is
        stage.write_bytes(data)
        return sums

    monkeypatch.setattr(keep, "_write", spoiled)
    with pytest.raises(BadInput, match="so none is kept"):
        keep_copy(place, stick, today=TODAY)
    assert list(stick.iterdir()) == []


def test_a_file_that_changes_meanwhile_is_found_out(place, stick, monkeypatch):
    write = keep._write

    def changed(stage, top, found):
        sums = write(stage, top, found)
        (place / "log.csv").write_bytes(b"date,area,task\n")
        return sums

    monkeypatch.setattr(keep, "_write", changed)
    with pytest.raises(BadInput, match="log.csv: was changed while it was copied"):
        keep_copy(place, stick, today=TODAY)
    assert list(stick.iterdir()) == []


@pytest.mark.parametrize("spelled", ["utf-8", "cp437"])
def test_a_zip_with_windows_paths_comes_back(tmp_path, spelled):
    name = "Land\\walks\\Größe.gpx"
    info = zipfile.ZipInfo("Land\\walks\\")
    path = zipped(tmp_path / "w.zip", {"Land\\property.toml": TOML, info: b"", name: b"x"})
    if spelled == "cp437":  # UTF-8 names, without the flag that says so
        data = path.read_bytes()
        real = name.encode()
        for sign in (b"PK\x03\x04", b"PK\x01\x02"):
            at = data.index(
                sign, data.index(real) - 60 if sign[2] == 3 else data.rindex(real) - 60
            )
            flag = at + (6 if sign[2] == 3 else 8)
            data = data[:flag] + b"\0\0" + data[flag + 2 :]
        path.write_bytes(data)
    done = restore(path, tmp_path / "back")
    assert (done.files, done.compared) == (2, False)
    assert (tmp_path / "back" / "walks" / "Größe.gpx").read_bytes() == b"x"


def link():
    info = zipfile.ZipInfo("link")
    info.external_attr = (stat.S_IFLNK | 0o777) << 16
    return info


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({"../evil": b"x"}, "reaches outside"),
        ({"..\\evil": b"x"}, "reaches outside"),
        ({"/evil": b"x"}, "reaches outside"),
        ({"C:\\evil": b"x"}, "reaches outside"),
        ({link(): b"/etc/passwd"}, "is a link"),
        ({"bomb.csv": bytes(30_000_000)}, "-fold"),
        ({"a": b"x", "a/b": b"y"}, "cannot be written"),
        ({"walks\\a": b"x", "walks/a": b"y"}, "is in it twice"),
        ({"b/property.toml": TOML, "property.toml": None, "a/property.toml": TOML}, "2 places"),
        ({"property.toml": None, "notes.txt": b"x"}, "holds no property.toml"),
        ({MANIFEST: b"words\n"}, "no list of sums"),
        ({MANIFEST: b"0" * 64 + b"  property.toml\n"}, "is not what its"),
        ({MANIFEST: b"0" * 64 + b"  walks/gone.gpx\n"}, "lacks 1 files"),
    ],
)  # fmt: skip
def test_a_zip_that_is_no_copy_is_refused_and_leaves_nothing(tmp_path, files, said):
    files = {"property.toml": TOML} | files
    path = zipped(tmp_path / "x.zip", {k: v for k, v in files.items() if v is not None})
    with pytest.raises(BadInput, match=said):
        restore(path, tmp_path / "rooms" / "back")
    assert not (tmp_path / "rooms" / "back").exists()
    assert not (tmp_path / "evil").exists()
    rooms = tmp_path / "rooms"
    assert not rooms.exists() or list(rooms.iterdir()) == []


def test_damaged_copies_are_refused_and_leave_nothing(place, stick, tmp_path):
    (place / "big.csv").unlink()
    data = keep_copy(place, stick, today=TODAY).path.read_bytes()
    good = held(place)
    refused = 0
    for number in range(24):
        at = number * len(data) // 24
        path = stick / "damaged.zip"
        path.write_bytes(data[:at] + bytes([data[at] ^ 0x41]) + data[at + 1 :])
        back = tmp_path / f"back-{number}"
        try:
            restore(path, back)
        except BadInput:
            refused += 1
            assert not back.exists()
        else:  # a sign that nothing hangs on, such as a time
            assert held(back) == good
    assert refused > 16


def test_a_locked_zip_is_refused(tmp_path):
    path = zipped(tmp_path / "x.zip", {"property.toml": TOML})
    data = bytearray(path.read_bytes())
    data[6] |= 1
    data[data.index(b"PK\x01\x02") + 8] |= 1
    path.write_bytes(data)
    with pytest.raises(BadInput, match="locked with a password"):
        restore(path, tmp_path / "back")


def test_nothing_is_written_over(place, stick, tmp_path):
    kept = keep_copy(place, stick, today=TODAY)
    full = tmp_path / "full"
    full.mkdir()
    (full / "mine").write_text("mine")
    for where in (full, full / "mine"):
        with pytest.raises(BadInput, match="already there"):
            restore(kept.path, where)
    assert [path.name for path in full.iterdir()] == ["mine"]
    empty = tmp_path / "empty"
    empty.mkdir()
    restore(kept.path, empty)
    assert held(empty) == held(place)


def test_a_copy_zipped_again_by_hand_names_what_its_list_does_not(place, stick, tmp_path):
    kept = keep_copy(place, stick, today=TODAY)
    with zipfile.ZipFile(kept.path, "a") as archive:
        archive.writestr(f"{place.name}/new.txt", b"x")
        archive.writestr("__MACOSX/._x", b"x")
    done = restore(kept.path, tmp_path / "back")
    assert done.unlisted == ("new.txt",)
    assert done.left_out == ("__MACOSX/._x",)


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def test_the_commands_say_what_they_did(place, stick, tmp_path, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795737600")
    result = run("copy", place, stick)
    assert result.exit_code == 0, result.output
    assert "read back and alike" in result.stdout
    assert "not in it: out/" in result.stdout
    made = next(stick.glob("*-2026-11-27.zip"))
    result = run("restore", made, tmp_path / "back")
    assert result.exit_code == 0, result.output
    assert "each as its sum says" in result.stdout
    assert read_property(tmp_path / "back") == read_property(place)
    assert run("restore", made, tmp_path / "back").exit_code == 2
    said = json.loads(run("copy", place, stick, "--json").stdout)
    assert said["files"] == len(held(place))
    assert json.loads(run("restore", made, tmp_path / "b2", "--json").stdout)["compared"]


def test_a_copy_of_a_newer_folder_says_so(place, stick, tmp_path):
    text = (place / "property.toml").read_text()
    (place / "property.toml").write_text(
        text.replace("[property]", "[property]\nformat = 9", 1)
    )
    made = keep_copy(place, stick, today=TODAY).path
    result = run("restore", made, tmp_path / "back")
    assert result.exit_code == 0
    assert "its format is 9" in result.stderr


@pytest.mark.skipif(os.name != "posix", reason="limits of the size of a file")
def test_a_disk_that_is_full_leaves_nothing(place, stick, tmp_path):
    import resource

    made = keep_copy(place, tmp_path / "whole.zip", today=TODAY).path
    for words in (["copy", place, stick], ["restore", made, stick / "back"]):
        done = subprocess.run(
            [sys.executable, "-B", "-m", "quietacre", *map(str, words)],  # no compiled one cut short
            env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (99_000, 99_000)),
            capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert done.returncode == 2, done.stderr
        assert len(done.stderr.splitlines()) == 1
        assert list(stick.iterdir()) == []
