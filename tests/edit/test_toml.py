"""Settings changed in their file: as asked for, and the rest to the byte."""

import datetime as dt
import tomllib
from pathlib import Path

import edits_built
import pytest
from random_edits import run

from quietacre.edit import toml_change
from quietacre.edit.toml_change import changed
from quietacre.edit.toml_plain import Insert, Move, Remove, Rename, Set
from quietacre.edit.toml_scan import Unplaced
from quietacre.errors import BadInput

SAMPLE = Path(__file__).parents[2] / "sample_maps" / "sweetgum-bend" / "property.toml"


def test_random_edits():
    assert run(400, 7) == {"edits": 400, "refused": 0, "defects": 0}


def lines_changed(before, after):
    one, two = before.split("\n"), after.split("\n")
    return [line for line in one if line not in two], [
        line for line in two if line not in one
    ]


def test_one_setting_of_the_sample():
    text = SAMPLE.read_text(encoding="utf-8")
    result = changed(text, [Set(("area", 0, "plant"), dt.date(2027, 10, 2))])
    assert result == text.replace("plant = 2027-09-25", "plant = 2027-10-02", 1)


@pytest.mark.parametrize(
    "path", [("area", 0), ("area", 14), ("quiet", 0), ("mix", 0), ("map",)]
)
def test_headlines_stay_when_the_first_or_last_of_a_kind_goes(path):
    text = SAMPLE.read_text(encoding="utf-8")
    gone, new = lines_changed(text, changed(text, [Remove(path)]))
    assert new == []
    assert not [line for line in gone if line.startswith("#")]


def test_no_change_no_byte():
    text = SAMPLE.read_text(encoding="utf-8")
    document = tomllib.loads(text)
    assert changed(text, [Set((key,), value) for key, value in document.items()]) == text


ARRAY = """\
[x]\r
a = [ # all of them\r
  1, # one\r
\t# between\r
  2  # two\r
] # end\r
b = 6.0\r
"""


@pytest.mark.parametrize(
    ("change", "before", "after"),
    [
        (Set(("x", "a", 1), 7), "  2  # two", "  7  # two"),
        (Insert(("x", "a"), 3), "  2  # two\r\n", "  2,  # two\r\n  3,\r\n"),
        (Insert(("x", "a"), 0, 0), "  1, # one", "  0,\r\n  1, # one"),
        (Remove(("x", "a", 0)), "  1, # one\r\n", ""),
        (Remove(("x", "a", 1)), "  2  # two\r\n", ""),
        (Set(("x", "a"), [1, 5, 2]), "  2  # two", "  5,\r\n  2  # two"),
        (Set(("x", "b"), 7), "b = 6.0", "b = 7.0"),
        (Set(("x", "b"), 7.25), "b = 6.0", "b = 7.25"),
        (Set(("x", "b"), 0.1 + 0.2), "b = 6.0", "b = 0.3"),
        (Set(("x", "b"), 1e-7), "b = 6.0", "b = 0.0000001"),
        (Set(("x", "b"), 2.5e9), "b = 6.0", "b = 2500000000.0"),
        (Set(("x", "c"), "näh"), "b = 6.0\r\n", 'b = 6.0\r\nc = "näh"\r\n'),
        (Rename(("x", "b"), "b c"), "b = 6.0", '"b c" = 6.0'),
        (Remove(("x", "b")), "b = 6.0\r\n", ""),
    ],
)
def test_layout_of_an_array_and_line_ends(change, before, after):
    assert changed(ARRAY, [change]) == ARRAY.replace(before, after, 1)


def test_a_move_takes_the_remark_behind_it_along():
    assert changed(ARRAY, [Move(("x", "a", 0), 1)]).split("\r\n")[2:5] == [
        "\t# between",
        "  2,  # two",
        "  1, # one",
    ]


INTERLEAVED = """\
# the ground
[[area]]
name = "a"

[[mix]]
name = "m"

# the wet one
[[area]]
name = "b"
[area.strip]
width_ft = 60  # wide
# mix = "x"

[[mix]]
name = "n"
"""


def test_interleaved_tables():
    result = changed(INTERLEAVED, [Remove(("area", 1))])
    assert result == INTERLEAVED.replace(
        '[[area]]\nname = "b"\n[area.strip]\nwidth_ft = 60  # wide\n# mix = "x"\n', ""
    )
    result = changed(INTERLEAVED, [Set(("area", 0, "strip", "width_ft"), 40)])
    assert result == INTERLEAVED.replace('"a"\n', '"a"\nstrip = { width_ft = 40 }\n')
    result = changed(INTERLEAVED, [Set(("area", 1, "strip", "bare"), value=True)])
    assert result == INTERLEAVED.replace("# wide\n", "# wide\nbare = true\n")
    result = changed(INTERLEAVED, [Move(("area", 1), 0)])
    assert [a["name"] for a in tomllib.loads(result)["area"]] == ["b", "a"]
    assert '# the wet one\n[[area]]\nname = "b"' in result
    assert result.startswith("# the ground\n")
    result = changed(INTERLEAVED, [Insert(("area",), {"name": "c"})])
    assert result == INTERLEAVED.replace(
        '# mix = "x"\n', '# mix = "x"\n\n[[area]]\nname = "c"\n'
    )


@pytest.mark.parametrize("text", ["", "\n", "# only a remark\n", "# a remark", "[x]"])
def test_a_file_with_next_to_nothing_in_it(text):
    result = changed(
        text, [Set(("equipment", "tank_gal"), 25), Insert(("area",), {"name": "a"})]
    )
    assert tomllib.loads(result)["area"] == [{"name": "a"}]
    assert result.startswith(text)


@pytest.mark.parametrize(
    "change",
    [
        Set(("area", 5, "name"), 1),
        Set(("area", 0, "name", "deep"), 1),
        Remove(("area", 0, "none")),
        Remove(("none",)),
        Insert(("area", 0, "name"), 1),
        Insert(("area",), 1),
        Move(("area", 0), 9),
        Rename(("area", 0, "name"), "name"),
        Rename(("none",), "x"),
    ],
)
def test_what_leads_nowhere_is_said(change):
    with pytest.raises(Unplaced):
        changed(INTERLEAVED, [change])


@pytest.mark.parametrize("value", [float("nan"), float("inf"), None, object(), "\ud800"])
def test_what_cannot_be_written_down(value):
    with pytest.raises(BadInput):
        changed(INTERLEAVED, [Set(("x",), value)])


def test_a_splice_that_reaches_too_far_is_refused(monkeypatch):
    real = toml_change.splice.replace

    def wide(text, spot, value):
        (splice,) = real(text, spot, value)
        return [type(splice)(splice.start, splice.end + 8, splice.text)]

    monkeypatch.setattr(toml_change.splice, "replace", wide)
    with pytest.raises(Unplaced, match="not its own"):
        changed(INTERLEAVED, [Set(("area", 1, "strip", "width_ft"), 61)])
    monkeypatch.setattr(toml_change.splice, "replace", lambda t, s, v: real(t, s, v + 1))
    with pytest.raises(Unplaced, match="more than this would change"):
        changed(INTERLEAVED, [Set(("area", 1, "strip", "width_ft"), 61)])


def test_a_changed_property_builds_as_one_written_anew(tmp_path):
    assert edits_built.run(1, 5, tmp_path)["differ"] == 0
