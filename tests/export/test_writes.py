"""Files whole or not at all; cells that no spreadsheet runs."""

import csv
import io
import os

import pytest

from quietacre.export.lists import cell, report_json, shopping_csv
from quietacre.export.whole import write_set, write_whole


def test_write_replaces_whole(tmp_path):
    path = tmp_path / "a.txt"
    write_whole(path, "one")
    write_whole(path, b"two")
    assert path.read_bytes() == b"two"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_failing_write_leaves_the_old(tmp_path, monkeypatch):
    path = tmp_path / "a.txt"
    write_whole(path, "old")

    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(path, "new")
    with pytest.raises(OSError, match="No space"):
        write_set(tmp_path, {"a.txt": b"new", "b.txt": b"new"})
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_set_is_written_together(tmp_path):
    write_set(tmp_path / "out", {"a": b"1", "b": b"2"})
    assert {p.name: p.read_bytes() for p in (tmp_path / "out").iterdir()} == {
        "a": b"1",
        "b": b"2",
    }


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\t=1"])
def test_formulas_are_defused(text):
    assert cell(text) == "'" + text
    assert cell(-1.5) == -1.5
    assert cell(None) == ""


def test_shopping_csv_parses_back():
    row = {
        "item": "=cmd", "what": "seed", "unit": "lb", "need": 1.5, "need_low": 1, "need_high": 2,
        "from_stock": 0, "buy": 1.5, "pack": 50, "packs": 1, "packs_low": 1, "packs_high": 1,
        "price": 2.0, "cost": 2.0, "used_by": [{"area": '+x, "y"\n', "amount": 1.5}], "note": None,
    }  # fmt: skip
    (back,) = csv.DictReader(io.StringIO(shopping_csv({"shopping": [row]})))
    assert back["item"] == "'=cmd"
    assert back["used_by"] == '\'+x, "y"\n: 1.5'
    assert back["price_per_pack_usd"] == "2.0"


def test_no_nan_in_json():
    with pytest.raises(ValueError, match="JSON"):
        report_json({"x": float("nan")})
