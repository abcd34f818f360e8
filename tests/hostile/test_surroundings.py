"""What stands round a command: its streams, its clock, its folder, and who ends it."""

import json
import os
import signal
import stat
import subprocess
import sys
import time

import pytest
from hostile_files import FIELD, POND, collection, feature, folder

from quietacre.commands.demo import write_sample

SHELL = "/bin/sh"
DAY = ("--today", "2027-01-02")


def quietacre(words, cwd, tail="", **more):
    """Run a command in a process of its own, by a shell when ``tail`` redirects it."""
    command = [sys.executable, "-m", "quietacre", *map(str, words)]
    if tail:
        command = [SHELL, "-c", f'"$@" {tail}', "sh", *command]
    environment = {**os.environ, **more}
    return subprocess.run(
        command,
        cwd=cwd,
        env=environment,
        capture_output=True,
        text=True,
        errors="replace",
        timeout=120,
        check=False,
    )


@pytest.fixture
def place(tmp_path):
    """Give a folder with a property, a drawing and a second one in it."""
    folder()(tmp_path / "land")
    (tmp_path / "field.geojson").write_text(collection(feature(name="Field “A”")))
    (tmp_path / "pond.geojson").write_text(collection(feature([POND], name="Pond")))
    return tmp_path


def walk_file(path):
    """Write a walk round the field."""
    sides = zip(FIELD, FIELD[1:], strict=False)
    points = [
        (a + (c - a) * k / 30, b + (d - b) * k / 30)
        for (a, b), (c, d) in sides
        for k in range(30)
    ]
    marks = "".join(f'<trkpt lat="{y}" lon="{x}"/>' for x, y in [*points, FIELD[0]])
    path.write_text(f"<gpx><trk><trkseg>{marks}</trkseg></trk></gpx>")
    return path


@pytest.mark.parametrize(
    "words",
    [
        ("walk", "walk.gpx", "--out", "walk.gpx"),
        ("walk", "walk.gpx", "--picture", "link.svg"),
        ("strip", "field.geojson", "--width-ft", "30", "--out", "field.geojson"),
        ("strip", "field.geojson", "--width-ft", "30", "--passes-out", "./field.geojson"),
        ("strip", "pond.geojson", "--width-ft", "30", "--boundary", "field.geojson", "--out", "field.geojson"),
        ("strip", "pond.geojson", "--width-ft", "30", "--keep-out", "field.geojson", "--out", "field.geojson"),
        ("strip", "pond.geojson", "--width-ft", "30", "--out", "s.geojson", "--passes-out", "s.geojson"),
        ("acres", "field.geojson", "--out", "table.csv"),
    ],
)  # fmt: skip
def test_no_output_is_written_over_an_input_or_another(place, words):
    walk_file(place / "walk.gpx")
    (place / "link.svg").symlink_to("walk.gpx")
    (place / "table.csv").symlink_to("field.geojson")
    before = {p.name: p.read_bytes() for p in place.iterdir() if p.is_file()}
    result = quietacre(words, place)
    assert result.returncode == 2, result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert "name another" in result.stderr
    assert {p.name: p.read_bytes() for p in place.iterdir() if p.is_file()} == before


def test_an_output_replaces_no_pipe_and_names_no_stage(place):
    walk_file(place / "walk.gpx")
    os.mkfifo(place / "pipe.geojson")
    (place / "folder.geojson").mkdir()
    for out in ("pipe.geojson", "folder.geojson", "gone/a.geojson"):
        result = quietacre(["walk", "walk.gpx", "--out", out], place)
        assert result.returncode == 2
        assert result.stderr.startswith(out), result.stderr
        assert len(result.stderr.splitlines()) == 1
    assert stat.S_ISFIFO((place / "pipe.geojson").stat().st_mode)


def test_out_that_is_a_link_or_a_file_is_refused(place):
    other = place / "other"
    other.mkdir()
    (other / "report.json").write_text("mine")
    for make in (
        lambda out: out.symlink_to(other),
        lambda out: out.symlink_to("nowhere"),
        lambda out: out.symlink_to(out.name),
        lambda out: out.write_text("mine"),
    ):
        out = place / "land" / "out"
        make(out)
        result = quietacre(["build", "land", *DAY], place)
        assert result.returncode == 2
        assert result.stderr.startswith("land/out: is"), result.stderr
        out.unlink()
    assert [p.name for p in other.iterdir()] == ["report.json"]
    assert (other / "report.json").read_text() == "mine"


def test_one_output_that_cannot_be_replaced_leaves_all_of_them(place):
    out = place / "land" / "out"
    out.mkdir()
    (out / "map.html").write_text("old")
    (out / "shopping.csv").mkdir()
    result = quietacre(["build", "land", *DAY], place)
    assert result.returncode == 2
    assert "shopping.csv" in result.stderr
    assert {p.name for p in out.iterdir()} == {"map.html", "shopping.csv"}
    assert (out / "map.html").read_text() == "old"


@pytest.mark.parametrize("closed", ["0<&-", "1>&-", "2>&-", "0<&- 1>&- 2>&-"])
def test_closed_streams_do_no_harm(place, closed):
    result = quietacre(["build", "land", *DAY], place, closed)
    assert result.returncode == 0, result.stderr
    assert result.stderr == ""
    json.loads((place / "land" / "out" / "report.json").read_text())


@pytest.mark.parametrize(
    "words", [("build", "land", "--json", *DAY), ("--help",), ("need", "--help")]
)
def test_a_reader_that_goes_away_ends_it_quietly(place, words):
    assert quietacre(words, place, "| true").stderr == ""


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no such device here")  # noqa: PTH110
@pytest.mark.parametrize(
    "words", [("acres", "field.geojson"), ("--help",), ("need", "--help")]
)
def test_no_room_for_what_is_printed_is_one_line(place, words):
    result = quietacre(words, place, "> /dev/full")
    assert result.returncode == 2
    assert len(result.stderr.splitlines()) == 1, result.stderr


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252", "cp437", "ascii"])
def test_a_terminal_of_few_letters_shows_the_others_by_a_sign(place, encoding):
    result = quietacre(["acres", "field.geojson"], place, PYTHONIOENCODING=encoding)
    assert result.returncode == 0, result.stderr
    # JSON keeps every letter whatever the stream can write
    result = quietacre(
        ["acres", "field.geojson", "--json"], place, PYTHONIOENCODING=encoding
    )
    assert json.loads(result.stdout)["areas"][0]["name"] == "Field “A”"


@pytest.mark.parametrize(
    "more",
    [{"TZ": "UTC+25"}, {"TZ": ":/etc/passwd"}, {"SOURCE_DATE_EPOCH": ""}, {"TMPDIR": "/nonexistent"},
     {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}, {"PYTHONOPTIMIZE": "2"}],
)  # fmt: skip
def test_odd_environments_build(place, more):
    result = quietacre(["build", "land"], place, **more)
    assert (result.returncode, result.stderr) == (0, "")


@pytest.mark.parametrize("epoch", ["abc", "²", "-5", "99999999999", " 12", "1e9"])
def test_an_epoch_that_is_none_is_said_and_left_aside(place, epoch):
    result = quietacre(["build", "land"], place, SOURCE_DATE_EPOCH=epoch)
    assert result.returncode == 0, result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert "SOURCE_DATE_EPOCH is “" in result.stderr


def test_an_epoch_that_is_none_does_not_reach_the_libraries(place):
    """numpy reads it too when a build needs more of numpy, and fails on all but digits."""
    for epoch in ("abc", ""):
        result = quietacre(["demo", f"demo{epoch}"], place, SOURCE_DATE_EPOCH=epoch)
        assert result.returncode == 0, result.stderr


def test_a_clock_that_cannot_be_is_said(place):
    result = quietacre(["build", "land"], place, SOURCE_DATE_EPOCH="9999999999")
    assert result.returncode == 2
    assert "the clock says 2286" in result.stderr


NO_MEMORY = "quietacre: there is not enough memory for this; close other programs, or split the file\n"


@pytest.mark.skipif(sys.platform != "linux", reason="limits of this system only")
def test_too_little_memory_is_one_line(place):
    import resource

    codes = []
    for limit in (220_000_000, 420_000_000, 800_000_000):
        result = subprocess.run(
            [sys.executable, "-m", "quietacre", "build", "land", *DAY], cwd=place, timeout=120,
            capture_output=True, text=True, check=False,
            preexec_fn=lambda most=limit: resource.setrlimit(resource.RLIMIT_AS, (most, most)),
        )  # fmt: skip
        codes.append(result.returncode)
        if result.returncode:
            assert result.stderr == NO_MEMORY
    assert codes == [2, 2, 0]


@pytest.mark.skipif(sys.platform != "linux", reason="limits of this system only")
@pytest.mark.parametrize("limit", [260_000_000, 430_000_000, 510_000_000, 700_000_000])
def test_walks_with_too_little_memory_end(place, limit):
    """What ends for want of memory ends at once, and what begins is finished.

    A library of linear algebra asked for its buffers for ever, deaf to every end; so does
    CPython 3.11, where it finds none for the way out of an error.
    """
    import resource

    write_sample(place / "demo")
    result = subprocess.run(
        [sys.executable, "-m", "quietacre", "build", "demo", *DAY], cwd=place, timeout=60,
        capture_output=True, text=True, check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (limit, limit)),
    )  # fmt: skip
    if limit < 600_000_000:
        assert (result.returncode, result.stderr) == (2, NO_MEMORY)
    else:
        assert result.returncode == 0


@pytest.mark.parametrize("name", ["log.csv", "transects.csv"])
def test_own_lists_that_are_no_files_of_the_folder_are_said(place, name):
    path = place / "land" / name
    (place / "outside.csv").write_text("date,area,task\n")
    for make, words in (
        (os.mkfifo, "not a plain file"),
        (lambda p: p.mkdir(), "is a folder"),
        (lambda p: p.symlink_to("nowhere"), "is not there"),
        (lambda p: p.symlink_to("../outside.csv"), "link out of the property"),
    ):
        make(path)
        result = quietacre(["build", "land", *DAY], place)
        assert result.returncode == 2
        assert result.stderr.startswith(f"{name}: {words}") or words in result.stderr
        assert len(result.stderr.splitlines()) == 1
        path.rmdir() if path.is_dir() and not path.is_symlink() else path.unlink()


def test_settings_that_are_a_link_out_are_not_read(place):
    toml = place / "land" / "property.toml"
    toml.rename(place / "theirs.toml")
    toml.symlink_to("../theirs.toml")
    result = quietacre(["build", "land", *DAY], place)
    assert result.returncode == 2
    assert "link out of the property" in result.stderr


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_build_that_is_told_to_end_leaves_nothing(place, number):
    temp = place / "temp"
    temp.mkdir()
    environment = {**os.environ, "TMPDIR": str(temp)}
    for wait in (0.3, 0.9, 1.5):
        process = subprocess.Popen(
            [sys.executable, "-m", "quietacre", "build", "land", *DAY], cwd=place, env=environment,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        time.sleep(wait)
        process.send_signal(number)
        _, err = process.communicate(timeout=60)
        # before our first line is run, the interpreter itself says what it likes
        assert "Traceback" not in err or "quietacre" not in err
        assert list(temp.iterdir()) == []
        out = place / "land" / "out"
        assert not out.exists() or not [p for p in out.iterdir() if p.name.startswith(".")]


def test_names_drive_no_terminal(place):
    name = "a\x1b]0;title\x07\x9b31m\u202eb\nstrip: 9 ac"
    (place / "evil.geojson").write_text(collection(feature(name=name)))
    folder(name="a\\u001b[31m\\u009b2J\\u202e")(place / "evil")
    for words in (
        ("acres", "evil.geojson"), ("acres", "evil.geojson", "--json"),
        ("strip", "evil.geojson", "--width-ft", "30"), ("new", "made", "evil.geojson"),
        ("build", "evil", *DAY), ("build", "evil", "--json", *DAY), ("year", "evil", *DAY),
    ):  # fmt: skip
        result = quietacre(words, place)
        assert result.returncode == 0, result.stderr
        shown = result.stdout + result.stderr
        assert not set(shown) & set("\x1b\x07\x9b\u202e"), words
    table = quietacre(["acres", "evil.geojson"], place).stdout
    assert len(table.splitlines()) == 2  # the area and the total
    said = json.loads(quietacre(["acres", "evil.geojson", "--json"], place).stdout)
    assert said["areas"][0]["name"] == name


@pytest.mark.parametrize("value", ["nan", "inf", "1e308", "1e-300"])
@pytest.mark.parametrize(
    "words",
    [
        ("need", "seed", "--crop", "oats", "--acres"),
        ("need", "forage", "--deer", "1", "--intake-lb-day", "1", "--yield-lb-ac", "1", "--utilisation", "0.5", "--days"),
        ("strip", "field.geojson", "--width-ft"),
        ("width", "--mower-width-ft"),
    ],
)  # fmt: skip
def test_options_that_are_no_numbers_to_reckon_with_are_said(
    place, words, value, monkeypatch
):
    from click.testing import CliRunner

    from quietacre.cli import main

    monkeypatch.chdir(place)
    for more in ((), ("--json",)):
        result = CliRunner().invoke(main, [*words, value, *more])
        assert result.exit_code == 2, result.output
        assert result.stdout == ""


def test_a_new_folder_is_made_whole_or_not_at_all(tmp_path, monkeypatch):
    from quietacre.export import atomic

    written = []

    def fails(path, data):
        written.append(path)
        if len(written) == 2:
            raise OSError(28, "No space left on device", str(path))
        path.write_bytes(data)

    (tmp_path / "empty").mkdir()
    for name in ("deep/new", "empty"):
        written.clear()
        with monkeypatch.context() as patch:
            patch.setattr(atomic, "write_synced", fails)
            with pytest.raises(OSError, match="No space") as told:
                atomic.write_folder(
                    tmp_path / name, {"a/1": b"1", "b": b"2"}, folders=["a", "c"]
                )
        assert told.value.filename == str(tmp_path / name)
        assert not list(tmp_path.rglob(".*"))
        assert not list((tmp_path / name).rglob("*"))
        atomic.write_folder(tmp_path / name, {"a/1": b"1", "b": "2"}, folders=["a", "c"])
        assert {p.name for p in (tmp_path / name).iterdir()} == {"a", "b", "c"}
        assert (tmp_path / name / "a" / "1").read_bytes() == b"1"


def test_changes_left_beside_an_old_geopackage_do_not_reach_the_new(place):
    """A desktop GIS that crashed leaves a write-ahead log, which SQLite would replay."""
    import shutil
    import sqlite3

    assert quietacre(["build", "land", *DAY], place).returncode == 0
    path = place / "land" / "out" / "areas.gpkg"
    with sqlite3.connect(path) as base:
        base.execute("PRAGMA journal_mode = wal")
    base.close()
    base = sqlite3.connect(path)
    base.execute("CREATE TABLE theirs (x)")
    base.executemany("INSERT INTO theirs VALUES (?)", [("x" * 3000,)] * 300)
    base.commit()
    kept = {end: path.with_name(path.name + end).read_bytes() for end in ("-wal", "-shm")}
    base.close()
    shutil.copy(path, place / "table.gpkg")
    for words, made in (
        (("build", "land", *DAY), path),
        (("acres", "field.geojson", "--out", "table.gpkg"), place / "table.gpkg"),
    ):
        for end, data in kept.items():
            made.with_name(made.name + end).write_bytes(data)
        assert quietacre(words, place).returncode == 0
        base = sqlite3.connect(made)
        tables = [name for (name,) in base.execute("SELECT name FROM sqlite_master")]
        (acres,) = base.execute("SELECT acres FROM areas").fetchone()
        assert base.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        base.close()
        assert "theirs" not in tables
        assert acres == pytest.approx(10.1053, abs=1e-3)


def test_a_drawing_kept_in_out_is_not_lost(place):
    assert quietacre(["build", "land", *DAY], place).returncode == 0
    out = place / "land" / "out"
    before = (out / "areas.gpkg").read_bytes()
    toml = place / "land" / "property.toml"
    (place / "land" / "link.gpkg").symlink_to("out/areas.gpkg")
    for name in ("out/areas.gpkg", "link.gpkg"):
        toml.write_text(
            f'[property]\nname = "x"\n[[area]]\nname = "Field"\nkind = "plot"\nfrom = "{name}"\n'
        )
        result = quietacre(["build", "land", *DAY], place)
        assert result.returncode == 2
        assert f"“{name}” lies in out/" in result.stderr
    assert (out / "areas.gpkg").read_bytes() == before


def python_says(program):
    """Run some lines of Python by themselves."""
    return subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


LOST = """
import gc, signal, sys, time
from quietacre import endings
endings.heed()
class Last:
    def __del__(self):
        signal.raise_signal(signal.{name})
        time.sleep(0.01)
try:
    Last()
    gc.collect()
    time.sleep(20)
except {end}:
    print("ended")
else:
    print("went on")
"""


@pytest.mark.parametrize(
    ("name", "end"), [("SIGTERM", "SystemExit"), ("SIGINT", "KeyboardInterrupt")]
)
def test_an_end_that_is_lost_in_a_destructor_comes_again(name, end):
    result = python_says(LOST.format(name=name, end=end))
    assert (result.stdout, result.stderr) == ("ended\n", "")


def test_an_end_waits_until_a_library_is_loaded(tmp_path):
    """Some turn it into an error of their own, and print what only a programmer can read."""
    (tmp_path / "slow_library.py").write_text(
        "import signal\n"
        "try:\n"
        "    signal.raise_signal(signal.SIGINT)\n"
        "    for _ in range(20_000_000): pass\n"
        "except KeyboardInterrupt as why:\n"
        "    raise ImportError('half a library') from why\n"
        "print('loaded')\n"
    )
    result = subprocess.run(
        [
            sys.executable,
            "-c",
            "import time\n"
            "from quietacre import endings\n"
            "endings.heed()\n"
            "try:\n"
            "    import slow_library\n"
            "    time.sleep(20)\n"
            "except KeyboardInterrupt:\n"
            "    print('ended')\n",
        ],
        cwd=tmp_path, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert (result.stdout, result.stderr) == ("loaded\nended\n", "")


def test_an_end_that_a_library_makes_an_error_of_still_ends():
    said = """
import signal
from quietacre import endings
from quietacre.commands._edge import fail_cleanly
endings.heed()
@fail_cleanly
def run():
    try:
        signal.raise_signal(signal.SIGINT)
        for _ in range(1000): pass
    except KeyboardInterrupt:
        raise ValueError("of its own") from None
try:
    run()
except KeyboardInterrupt:
    print("ended")
"""
    result = python_says(said)
    assert (result.stdout, result.stderr) == ("ended\n", "")


def test_memory_that_runs_out_while_things_are_cleared_away_adds_no_line():
    said = """
from quietacre import endings
endings.heed()
class Last:
    def __del__(self):
        raise MemoryError
Last()
class Fault:
    def __del__(self):
        raise ValueError("a fault")
Fault()
"""
    result = python_says(said)
    assert "MemoryError" not in result.stderr
    assert "ValueError: a fault" in result.stderr
