"""Several programs that write one log, and a person's own hand between: nothing is lost."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from photographs import jpeg

from quietacre.edit import logs
from quietacre.edit.logs import Writer, write_line
from quietacre.edit.logtext import read_log_text
from quietacre.errors import Clash

ROOT = Path(__file__).parents[2]
CELLS = {"date": "2026-11-01", "area": "Field", "task": "mow"}
LINES = """
import sys
from pathlib import Path
from quietacre.edit.logs import Writer, write_line
from quietacre.edit.photos import take_in
from quietacre.intake.photo import read_photo
folder, who, picture = Path(sys.argv[1]), sys.argv[2], Path(sys.argv[3])
writer = Writer(folder, wait_s=0.0)
for number in range(12):
    write_line(writer, {"date": "2026-11-01", "area": "Field", "task": "mow", "who": who})
take_in(writer, read_photo(picture, shown="IMG_1.JPG"), {"date": "2026-11-01", "area": "Field"})
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    place = tmp_path / "land"
    place.mkdir()
    (place / "log.csv").write_bytes(b"date,area,task,who\r\n2026-01-01,Field,lime,\r\n")
    return place


def cells(folder):
    return [found for _, found in read_log_text((folder / "log.csv").read_bytes()).typed()]


def test_programs_that_write_at_once_lose_no_line_and_no_picture(folder, tmp_path):
    running = []
    for number in range(4):
        picture = tmp_path / f"{number}.jpg"
        picture.write_bytes(jpeg(size=(16 + number, 16)))
        running.append(subprocess.Popen(
            [sys.executable, "-c", LINES, folder, f"w{number}", picture],
            env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
        ))  # fmt: skip
    assert [program.wait(timeout=120) for program in running] == [0] * 4
    found = cells(folder)
    assert [sum(c.get("who") == f"w{n}" for c in found) for n in range(4)] == [12] * 4
    names = {c["photo"] for c in found if c["task"] == "photo"}
    assert names == {path.name for path in (folder / "photos").iterdir()}
    assert len(names) == 4
    ids = [c["id"] for c in found if "id" in c]
    assert len(ids) == len(set(ids)) == 4 * 13


def test_a_line_typed_by_hand_between_reading_and_writing_stays(folder, monkeypatch):
    make, path, times = logs.with_lines, folder / "log.csv", []

    def meanwhile(log, lines):
        if not times:
            path.write_bytes(path.read_bytes() + b"2026-02-02,Field,burn,me\r\n")
        times.append(1)
        return make(log, lines)

    monkeypatch.setattr(logs, "with_lines", meanwhile)
    write_line(Writer(folder, wait_s=0.0), CELLS)
    assert [found["task"] for found in cells(folder)] == ["lime", "burn", "mow"]
    assert len(times) == 2


def test_a_log_that_never_rests_is_a_clash_and_stays_as_it_is(folder, monkeypatch):
    make, path = logs.with_lines, folder / "log.csv"

    def meanwhile(log, lines):
        path.write_bytes(path.read_bytes() + b"2026-02-02,Field,burn,me\r\n")
        return make(log, lines)

    monkeypatch.setattr(logs, "with_lines", meanwhile)
    with pytest.raises(Clash):
        write_line(Writer(folder, wait_s=0.0), CELLS)
    assert {found["task"] for found in cells(folder)} == {"lime", "burn"}
