"""Records as JSON: keys in the order of fields, days as text, and what a class says of itself."""

import dataclasses
import datetime as dt
import json
from typing import ClassVar

import numpy as np
import pytest

from quietacre.as_json import as_json, plain, record_keys
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.measure.property import measure_property
from quietacre.model import Note
from quietacre.strip.plan import plan_strips


@dataclasses.dataclass(frozen=True, slots=True)
class Size:
    acres: float
    from_: dt.date


@dataclasses.dataclass(frozen=True, slots=True)
class Piece:
    name: str
    size: Size
    parts: tuple[Size, ...]

    JSON_FLAT: ClassVar = ("size",)


DAY = dt.date(2027, 7, 4)
PIECE = Piece("Gate", Size(1.5, DAY), (Size(np.float64(0.1234567), DAY),))


def test_keys_are_the_fields_in_order_and_flat_ones_stand_among_them():
    made = as_json(PIECE)
    assert list(made) == ["name", "acres", "from", "parts"]
    assert made["from"] == "2027-07-04"
    assert made["parts"] == [{"acres": 0.1234567, "from": "2027-07-04"}]
    assert [key for key, _, _ in record_keys(Size)] == ["acres", "from"]


def test_a_report_keeps_six_digits_and_no_number_that_is_none():
    assert plain(PIECE)["parts"][0]["acres"] == 0.123457
    assert plain(
        {1: [np.int64(3), float("nan"), float("inf"), None, True, np.bool_(0)]}
    ) == {"1": [3, None, None, None, True, False]}
    json.dumps(plain({"all": PIECE}), allow_nan=False)


def test_a_note_says_its_whole_text_too():
    note = Note("code", "it is so", more="because.", help=("do this",))
    made = as_json({"notes": (note,)})["notes"][0]
    assert made == note.to_dict()
    assert made["text"] == note.text == "it is so: because. What would help: 1. do this."
    assert set(made) == {field.name for field in dataclasses.fields(Note)} | {"text"}


def test_a_strip_is_frozen_and_its_report_is_its_record(tmp_path):
    write_sample(tmp_path / "p")
    prop, areas, extras = measure_property(tmp_path / "p")
    plan = plan_strips(areas, prop, extras.boundary, today=SAMPLE_DAY, walk_sigma={})
    kinds = {ring.kind for ring in plan.rings}
    assert kinds == {"strip", "firebreak"}
    for ring, row in zip(plan.rings, plan.report, strict=True):
        with pytest.raises(dataclasses.FrozenInstanceError):
            ring.id = "s99"
        assert row["width_ft"] == ring.wanted.width_ft
        assert row["acres"] == ring.size.acres
        assert (row["stations"]["pass"], row["also_of"]) == (ring.stations.pass_, [])
        assert ("cut_every_days" in row) == (ring.kind == "strip")
        more = ring.noted([Note("more", "said")])
        assert len(more.wanted.notes) == len(ring.wanted.notes) + 1
