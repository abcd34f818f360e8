"""The time a file may be read for: every reader is ended in one line, none is left running."""

import contextlib
import os
import threading
import time

import pytest
import shapely
from hostile_files import many_rings

from quietacre.errors import FileProblem
from quietacre.intake import deadline, limits, own_process
from quietacre.intake.deadline import allowed_seconds, in_time
from quietacre.intake.log import read_log
from quietacre.intake.picture import read_picture
from quietacre.intake.property import read_property
from quietacre.intake.transects import read_transects
from quietacre.intake.vector import KNOWN, READERS, read_layer
from quietacre.intake.weather import read_weather


def never_done(*_args, **_kwargs):
    """Work that pure Python never ends."""
    number = 0
    while True:
        number += 1


@pytest.fixture
def little_time(monkeypatch):
    monkeypatch.setattr(deadline, "MAX_SECONDS", 0.2)


def test_every_ending_that_is_read_has_a_reader():
    assert {".gpx", *READERS} == set(KNOWN.split())


@pytest.mark.parametrize("ending", sorted({".gpx", *READERS}))
def test_readers_of_ground_are_ended(ending, tmp_path, monkeypatch, little_time):
    path = tmp_path / f"slow{ending}"
    path.write_text("x")
    if ending == ".gpx":
        monkeypatch.setattr("quietacre.intake.gpx._Reader", never_done)
    else:
        monkeypatch.setitem(READERS, ending, never_done)
    with pytest.raises(FileProblem, match="could not be read within 0 seconds") as caught:
        read_layer(path, shown=f"slow{ending}")
    assert str(caught.value).startswith(f"slow{ending}: ")
    assert len(str(caught.value).splitlines()) == 1


@pytest.mark.parametrize(
    ("module", "inside", "read", "name"),
    [
        ("log", "read_text", read_log, "log.csv"),
        ("transects", "read_text", read_transects, "transects.csv"),
        ("weather", "read_text", read_weather, "rain.csv"),
        (
            "picture",
            "check_file",
            lambda path: read_picture(path, shown=str(path)),
            "a.png",
        ),
        ("property", "read_text", lambda path: read_property(path.parent), "property.toml"),
    ],
)
def test_other_readers_are_ended(
    module, inside, read, name, tmp_path, monkeypatch, little_time
):
    path = tmp_path / name
    path.write_text("x")
    monkeypatch.setattr(f"quietacre.intake.{module}.{inside}", never_done)
    with pytest.raises(FileProblem, match="could not be read within") as caught:
        read(path)
    assert name in str(caught.value)


def test_a_reader_that_catches_everything_is_ended_too(tmp_path, little_time):
    def stubborn():
        while True:
            with contextlib.suppress(Exception):  # as careless code does
                never_done()

    with pytest.raises(FileProblem, match="could not be read"), in_time(tmp_path, "x"):
        stubborn()


def test_a_reader_in_another_thread_is_ended(tmp_path, little_time):
    said = []

    def work():
        try:
            with in_time(tmp_path, "x"):
                never_done()
        except FileProblem as problem:
            said.append(str(problem))

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert said == [
        "x: could not be read within 0 seconds, the limit for its size; "
        "export it again, or split it"
    ]


def test_nothing_strikes_once_the_file_is_read(tmp_path, little_time):
    for _ in range(3):
        with in_time(tmp_path, "x"):
            pass
    end = time.monotonic() + 0.5
    while time.monotonic() < end:  # a strike would land here
        pass
    assert not [t for t in threading.enumerate() if "_wait" in t.name and t.is_alive()]


def test_a_machine_busy_with_other_things_is_waited_for(tmp_path, little_time, monkeypatch):
    with in_time(tmp_path, "x"):
        time.sleep(0.6)  # no work of ours: three times the seconds by the clock
    monkeypatch.setattr(deadline, "PATIENCE", 2.0)

    def idle():
        for _ in range(100):
            time.sleep(0.05)

    with pytest.raises(FileProblem, match="could not be read"), in_time(tmp_path, "x"):
        idle()


def test_time_grows_with_the_file():
    assert allowed_seconds(0) == limits.MAX_SECONDS
    assert allowed_seconds(50_000_000) == limits.MAX_SECONDS + 50


def test_rings_without_end_in_one_shape(tmp_path, monkeypatch):
    """GDAL sorts rings inside one call that no signal ends; its process is ended."""
    many_rings(tmp_path / "rings.shp", 60_000)
    monkeypatch.setattr(deadline, "MAX_SECONDS", 1.0)
    monkeypatch.setattr(deadline, "MAX_SECONDS_A_MEGABYTE", 0.0)
    with pytest.raises(FileProblem, match="could not be read within 1 seconds"):
        read_layer(tmp_path / "rings.shp")


@pytest.fixture
def fields(tmp_path):
    """Some thousand fields, one of them without a shape."""
    import geopandas as gpd

    shapes = [
        shapely.box(-87.6 + i / 1e4, 34.2, -87.6 + i / 1e4 + 5e-5, 34.203)
        for i in range(5000)
    ]
    shapes[7] = None
    frame = gpd.GeoDataFrame(
        {"NAME": [f"Fäld {i}" for i in range(5000)], "kind": "plot", "n": 1.5},
        geometry=shapes,
        crs=4326,
    )
    frame.to_file(tmp_path / "fields.shp", encoding="utf-8")
    return tmp_path / "fields.shp"


def test_large_shapefiles_are_the_same_from_a_process_of_their_own(fields, monkeypatch):
    assert own_process.can_read_in_own_process(fields)
    there = read_layer(fields)
    monkeypatch.setattr(own_process, "can_read_in_own_process", lambda _path: False)
    here = read_layer(fields)
    assert len(here.geometry) == 4999
    assert (shapely.to_wkb(there.geometry) == shapely.to_wkb(here.geometry)).all()
    assert (there.name, there.kind, there.feature) == (here.name, here.kind, here.feature)
    assert there.notes == here.notes
    assert here.name[0] == "Fäld 0"


def test_a_process_that_breaks_off_is_said(fields, monkeypatch):
    monkeypatch.setattr(own_process, "START", "import os; os.abort()")
    with pytest.raises(FileProblem, match="reading broke off"):
        read_layer(fields)


def test_a_process_that_breaks_off_midway_is_said(fields, monkeypatch):
    cut = own_process.START.replace(
        "main()", "own_process.BLOCK_FEATURES = 10; main()"
    ).replace(
        "from quietacre.intake.own_process import main;",
        "from quietacre.intake import own_process; from quietacre.intake.own_process import main; "
        "tell = own_process._tell; seen = []; own_process._tell = lambda **said: "
        "(seen.append(1), os._exit(3) if len(seen) > 5 else tell(**said));",
    )
    monkeypatch.setattr(own_process, "START", "import os; " + cut)
    with pytest.raises(FileProblem, match="reading broke off"):
        read_layer(fields)


@pytest.mark.skipif(os.name != "posix", reason="the system holds no process to its memory")
def test_a_process_that_asks_for_too_much_memory_is_said(fields, monkeypatch):
    greedy = own_process.START.replace(
        "main()",
        "own_process.open_shapes = lambda _path: bytearray(10**10); main()",
    ).replace(
        "from quietacre.intake.own_process",
        "from quietacre.intake import own_process; from quietacre.intake.own_process",
    )
    monkeypatch.setattr(own_process, "START", greedy)
    with pytest.raises(FileProblem, match="not enough memory"):
        read_layer(fields)
