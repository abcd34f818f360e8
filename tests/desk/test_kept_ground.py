"""The ground kept for the next opening: never shown once anything it was measured by changed."""

import json
import os
import subprocess
import sys
import tomllib

import pytest
from desk_tab import tab
from running_desk import RunningDesk

from quietacre.commands.build import build_folder
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.demo.write import write_sample
from quietacre.desk.ground import ground_json, ground_told
from quietacre.desk.kept_ground import Kept, inputs_sum, keep_ground, kept_ground
from quietacre.measure.property import measure_property

#: Measures a place, and prints which of its files were opened, and whether scipy was loaded.
WATCHED = """
import json, sys
from pathlib import Path
folder, opened = sys.argv[1], set()
sys.addaudithook(lambda what, args: opened.add(str(args[0])) if what == "open" else None)
from quietacre.desk.ground import ground_json
ground_json(Path(folder))
print(json.dumps({"opened": sorted(one for one in opened if one.startswith(folder)),
                  "scipy": "scipy" in sys.modules}))
"""


@pytest.fixture
def bend(tmp_path):
    """The sample with every other list that a place may have."""
    folder = tmp_path / "bend"
    write_sample(folder)
    (folder / "marks.geojson").write_text(
        '{"type": "FeatureCollection", "features": [{"type": "Feature", "properties": '
        '{"kind": "gate", "name": "Low gate"}, "geometry": '
        '{"type": "Point", "coordinates": [-86.3, 33.2]}}]}'
    )
    (folder / "seen.csv").write_text("date,area,what\n2026-11-02,Creek shelf,deer\n")
    (folder / "transects.csv").write_text(
        "patch,transect,from,to,advance_ft,cut\nVine hollow,1,2026-05-01,2026-06-01,12,no\n"
    )
    (folder / "years" / "2025").mkdir(parents=True)
    (folder / "years" / "2025" / "year.json").write_text("{}")
    return folder


def changed(path):
    """Change one byte of a file: size and times stay."""
    data, times = path.read_bytes(), path.stat()
    path.write_bytes(data[:-1] + bytes([data[-1] ^ 1]))
    os.utime(path, ns=(times.st_atime_ns, times.st_mtime_ns))


def test_every_file_that_measuring_opens_counts(bend):
    run = subprocess.run(
        [sys.executable, "-c", WATCHED, str(bend)],
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    watched = json.loads(run.stdout)
    opened = [bend / name for name in watched["opened"]]
    assert len(opened) >= 20
    assert bend / "years" / "2025" / "year.json" in opened
    was = inputs_sum(bend)
    assert was
    for path in opened:
        data = path.read_bytes()
        if path.name == "property.toml":
            path.write_bytes(data + b"#")
        else:
            changed(path)
        assert inputs_sum(bend) != was, path
        path.write_bytes(data)
    assert inputs_sum(bend) == was
    assert not watched["scipy"]  # a quarter of the time to the map with acres


def test_what_comes_beside_a_file_counts_and_what_is_made_of_it_does_not(bend):
    was = inputs_sum(bend)
    (bend / "out").mkdir()
    assert inputs_sum(bend) == was
    (bend / "papers").mkdir()
    sums = {was, inputs_sum(bend)}
    assert len(sums) == 2  # a name in the folder
    (bend / "out" / "map.html").write_text("made")
    (bend / "photos").mkdir()
    now = inputs_sum(bend)
    (bend / "photos" / "a.jpg").write_bytes(b"1")
    (bend / "out" / "map.html").write_text("made again")
    assert inputs_sum(bend) == now
    for name in ("drawn/openings.prj", "property (1).toml"):
        (bend / name).write_text("x")
        assert inputs_sum(bend) not in sums
        sums.add(inputs_sum(bend))


@pytest.mark.parametrize("text", ["use = ['own-reader']\n", "name = [\n"])
def test_nothing_is_kept_where_it_cannot_be_told_what_is_read(tmp_path, text):
    (tmp_path / "property.toml").write_text(text)
    assert inputs_sum(tmp_path) == ""


def test_nothing_is_kept_of_much_to_read(bend, monkeypatch):
    monkeypatch.setattr("quietacre.desk.kept_ground.MOST_BYTES", 100_000)
    assert inputs_sum(bend) == ""


def test_what_is_kept_is_the_persons_alone_and_goes_with_the_place(
    bend, tmp_path, monkeypatch
):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    for name in ("other", "third"):  # of a place that is not known any more nothing stays
        keep_ground(bend, Kept(inputs_sum(bend), "{}"))
        (file,) = (tmp_path / "state").rglob("ground/*.json")
        assert file.parent.stat().st_mode & 0o077 == 0
        assert kept_ground(bend).ground == "{}"
        bend = bend.rename(tmp_path / name)
        assert kept_ground(bend) is None
    file.write_text("[1")
    assert kept_ground(bend) is None


@pytest.fixture
def opened(bend, tmp_path):
    """Open the place at a desk, end it when the test says so; all at last."""
    running = []

    def run():
        for desk in running:
            desk.end()
        desk = RunningDesk(tmp_path, str(bend))
        running.append(desk)
        desk.unlock()
        return desk

    yield run
    for desk in running:
        desk.end()


def acres(ground):
    return {area["name"]: area["acres"] for area in ground["areas"]}


def waited_for(bend, home):
    """Wait until the desk has put the ground down, which it does after it has answered; its file."""
    import time

    for _ in range(200):
        # what is still being written has a name that begins with a dot
        if found := list((home / "state").rglob("ground/[!.]*.json")):
            return found[0]
        time.sleep(0.05)
    raise AssertionError("nothing was kept")


def test_the_next_opening_shows_what_was_measured_until_a_file_changes(
    bend, tmp_path, opened
):
    desk = opened()
    code, first = desk.call("/api/ground?kept")
    assert (code, "kept" in first) == (200, False)
    waited_for(bend, tmp_path)
    desk = opened()
    _, kept = desk.call("/api/ground?kept")
    assert kept == {**first, "kept": True}
    _, now = desk.call("/api/ground?kept")  # once; what is measured now from then on
    assert "kept" not in now
    assert acres(now) == pytest.approx(acres(first), rel=1e-9)
    walk = bend / "walks" / "creek-shelf.gpx"
    desk = opened()
    times = walk.stat()
    text = walk.read_text()
    at = text.index('lat="') + 10
    walk.write_text(text[:at] + ("1" if text[at] != "1" else "2") + text[at + 1 :])
    os.utime(walk, ns=(times.st_atime_ns, times.st_mtime_ns))  # after the desk looked at it
    _, now = desk.call("/api/ground?kept")
    assert "kept" not in now
    assert acres(now)["Creek shelf"] != acres(first)["Creek shelf"]


def test_a_change_at_the_desk_is_not_lost_behind_what_was_kept(bend, tmp_path, opened):
    desk = opened()
    desk.call("/api/ground")
    waited_for(bend, tmp_path)
    desk = opened()
    name = tomllib.loads((bend / "property.toml").read_text())["area"][0]["name"]
    desk.call("/api/set", {"key": "area[1].name", "value": "Renamed"})
    names = acres(desk.call("/api/ground?kept")[1])
    assert "Renamed" in names
    assert name not in names


@pytest.mark.browser
def test_what_was_kept_wrong_does_not_stay_on_the_page(browser, bend, tmp_path, opened):
    desk = opened()
    desk.call("/api/ground")
    file = waited_for(bend, tmp_path)
    kept = json.loads(file.read_text())
    ground = json.loads(kept["ground"])
    ground["total_acres"] = (
        1234.5  # as an older version of the program might have worked it out
    )
    file.write_text(json.dumps({**kept, "ground": json.dumps(ground)}))
    desk = opened()
    page, said = tab(browser, desk)
    page.wait_for_selector("#said:has-text('measured again')")
    assert "1,234.5" not in page.inner_text("#main")
    assert "20 pieces, " in page.inner_text("#main")
    assert page.locator("#chart .leaflet-overlay-pane path").count() >= 20
    page.locator("nav button", has_text="Ground").click()
    page.wait_for_selector("#chart .leaflet-overlay-pane path")
    assert said == []


def test_a_build_keeps_what_it_measured_for_the_first_opening(bend, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    build_folder(bend, today=SAMPLE_DAY)
    kept = kept_ground(bend)
    assert json.loads(kept.ground) == json.loads(json.dumps(ground_json(bend)))
    changed(bend / "property.toml")
    assert kept_ground(bend) is None


def test_a_file_that_changes_during_a_build_leaves_nothing_kept(
    bend, tmp_path, monkeypatch
):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    text = (bend / "property.toml").read_text()
    build_folder(
        bend, today=SAMPLE_DAY,
        tell=lambda step: (bend / "property.toml").write_text(f"{text}\n# {step}\n"),
    )  # fmt: skip
    assert not list((tmp_path / "state").rglob("ground/*.json"))


def test_the_ground_of_the_page_is_that_of_a_build_and_needs_no_library_of_frames(tmp_path):
    write_sample(tmp_path / "place")
    told = subprocess.run(
        [sys.executable, "-c", "import json, pathlib, sys\n"
         "from quietacre.desk.ground import ground_json\n"
         "print(json.dumps(ground_json(pathlib.Path('place'))))\n"
         "assert not {'geopandas', 'pandas'} & set(sys.modules)"],
        cwd=tmp_path, capture_output=True, text=True, check=True,
    )  # fmt: skip
    built = ground_told(measure_property(tmp_path / "place"))
    assert json.loads(told.stdout) == json.loads(json.dumps(built))
