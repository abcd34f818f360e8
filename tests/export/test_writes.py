"""Files whole or not at all; cells that no spreadsheet runs."""

import csv
import io
import json
import os
import subprocess
import sys

import pytest
from record_of import record_of

from quietacre.export.atomic import write_atomic
from quietacre.export.build_set import write_build
from quietacre.export.lists import cell, report_json, shopping_csv
from quietacre.report_records import Report


def test_write_replaces_whole(tmp_path):
    path = tmp_path / "a.txt"
    write_atomic(path, "one")
    write_atomic(path, b"two")
    assert path.read_bytes() == b"two"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_failing_write_leaves_the_old(tmp_path, monkeypatch):
    path = tmp_path / "a.txt"
    write_atomic(path, "old")

    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_atomic(path, "new")
    with pytest.raises(OSError, match="No space"):
        write_build(tmp_path, {"a.txt": b"new", "b.txt": b"new"})
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1", "\n=1", "＝1+1", "＠x"])
def test_formulas_are_defused(text):
    assert cell(text) == "'" + text
    assert cell(-1.5) == -1.5
    assert cell(None) == ""


def listing(row):
    return record_of(Report, {"shopping": [row]})


def test_shopping_csv_parses_back():
    row = {
        "item": "=cmd", "what": "seed", "unit": "lb", "need": 1.5, "need_low": 1, "need_high": 2,
        "from_stock": 0, "buy": 1.5, "pack": 50, "packs": 1, "packs_low": 1, "packs_high": 1,
        "price": 2.0, "cost": 2.0, "used_by": [{"area": '+x, "y"\n', "amount": 1.5}], "note": None,
    }  # fmt: skip
    (back,) = csv.DictReader(io.StringIO(shopping_csv(listing(row))))
    assert back["item"] == "'=cmd"
    assert back["used_by"] == '\'+x, "y"\n: 1.5'
    assert back["price_per_pack_usd"] == "2.0"


def test_the_shopping_list_is_told_in_hundredths():
    row = {"item": "oats", "need": 227.998977, "tons": 0.113999, "left": 0.0012345, "packs": 5,
           "done": 0.0, "used_by": []}  # fmt: skip
    (back,) = csv.DictReader(io.StringIO(shopping_csv(listing(row))))
    told = [back[key] for key in ("need", "tons", "left", "packs", "done")]
    assert told == ["228.0", "0.11", "0.0012", "5", "0.0"]


def test_no_nan_in_json():
    report = listing({"item": "oats", "need": float("nan"), "left": float("inf")})
    (line,) = json.loads(report_json(report))["shopping"]
    assert (line["need"], line["left"]) == (None, None)
    assert "NaN" not in report_json(report)


def run_short_of_space(most_bytes, *words):
    """Run a command whose files the system cuts short, as a full disk does.

    It compiles no source: a compiled one that is cut short would stop every later start.
    """
    code = (
        "import resource, signal, sys; signal.signal(signal.SIGXFSZ, signal.SIG_IGN); "
        f"resource.setrlimit(resource.RLIMIT_FSIZE, ({most_bytes}, {most_bytes})); "
        "from quietacre.cli import main; main(sys.argv[1:])"
    )
    return subprocess.run(
        [sys.executable, "-B", "-c", code, *words],
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.skipif(os.name != "posix", reason="needs a bound on the size of a file")
@pytest.mark.parametrize("most_bytes", [0, 5_000, 200_000])
def test_a_full_disk_leaves_the_old_outputs_whole(tmp_path, most_bytes):
    """A build whose files the system cuts short: one line, nothing half-written."""
    from kill_builds import prints, start, write_property

    write_property(tmp_path, 1)
    assert start(tmp_path).wait() == 0
    before = prints(tmp_path / "out")
    write_property(tmp_path, 2)
    own = prints(tmp_path)
    done = run_short_of_space(most_bytes, "build", str(tmp_path))
    assert done.returncode == 2, done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert "free space" in done.stderr
    assert prints(tmp_path / "out") == before
    assert prints(tmp_path) == own
    assert [path.name for path in (tmp_path / "out").iterdir() if path.is_dir()] == []


@pytest.mark.skipif(os.name != "posix", reason="needs a bound on the size of a file")
@pytest.mark.parametrize("ending", ["csv", "gpkg"])
@pytest.mark.parametrize("most_bytes", [0, 5_000, 110_000])
def test_a_full_disk_leaves_the_old_table_whole(tmp_path, ending, most_bytes):
    ring = [[-87.6, 34.2], [-87.598, 34.2], [-87.598, 34.202], [-87.6, 34.2]]
    feature = {"type": "Feature", "properties": {"name": "F" * 60}}
    shape = {"type": "Polygon", "coordinates": [ring]}
    many = [{**feature, "geometry": shape}] * 3000
    drawn = tmp_path / "drawn.geojson"
    drawn.write_text(json.dumps({"type": "FeatureCollection", "features": many}))
    out = tmp_path / f"acres.{ending}"
    out.write_bytes(b"old")
    done = run_short_of_space(most_bytes, "acres", str(drawn), "--out", str(out))
    assert done.returncode == 2, (done.stdout, done.stderr)
    assert len(done.stderr.strip().splitlines()) == 1
    assert out.read_bytes() == b"old"
    assert {path.name for path in tmp_path.iterdir()} == {"drawn.geojson", out.name}


@pytest.mark.parametrize("end", ["\r", "\n", "\r\n"])
def test_a_line_end_in_a_name_splits_no_row(end):
    item = {"item": f"oats{end}=1+1", "used_by": [{"area": f"A{end}@x", "amount": 1.0}]}
    text = shopping_csv(listing(item))
    assert "\r" not in text  # a spreadsheet takes one for the end of a row, quoted or not
    (back,) = csv.DictReader(io.StringIO(text))
    assert back["item"] == "oats\n=1+1"
