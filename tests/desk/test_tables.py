"""Tables of legs and deeds at the desk: understood row by row, placed, kept, mended."""

import tomllib
from pathlib import Path

import pytest

from quietacre.units import ACRE_FT2

LEGS = [
    ("N 45 30 E", "412", "ft"),
    ("S 44 30 E", "6.5", "chains"),
    ("S 45 W", "405", "ft"),
    ("N 45 W", "432", "ft"),
]
ROWS = [{"bearing": b, "distance": d, "unit": u} for b, d, u in LEGS]
CORNER = {"corner": 1, "lat": 33.2, "lon": -86.3}
DEED = (
    "Beginning at an iron pin; thence North 00 degrees 00 minutes East 660.0 feet to a stone; thence "
    "North 90 degrees 00 minutes East 330.0 feet; thence South 00 degrees 00 minutes East 660.0 feet; "
    "thence South 90 degrees 00 minutes West 330.0 feet to the point of beginning, containing 5 acres."
)


@pytest.fixture
def place(shared_desk):
    code, said = shared_desk.call("/api/open", {"new": "Taped ground"})
    assert code == 200, said
    shared_desk.folder = Path(said["folder"])
    return shared_desk


def tell(desk, path, expect=200, **said):
    code, answer = desk.call(f"/api/{path}", said)
    assert code == expect, answer
    return answer


def area(desk, name):
    rows = tomllib.loads((desk.folder / "property.toml").read_text())["area"]
    return next(row for row in rows if row["name"] == name)


def test_a_table_is_understood_leg_by_leg_and_lit_once_it_is_placed(place):
    told = tell(place, "table", rows=ROWS)
    assert [row["problem"] for row in told["rows"]] == [""] * 4
    assert told["polygons"] is None
    assert told["legs"][1]["feet"] == pytest.approx(429.0)
    assert told["legs"][0]["azimuth_deg"] == pytest.approx(45.5)
    assert told["legs"][3]["xy_ft"][-1] == [0.0, 0.0]
    assert told["ratio"] > 50
    laid = tell(place, "table", rows=ROWS, placed=[CORNER], declination_deg=-4.0)
    assert laid["legs"][0]["line"][0] == pytest.approx([-86.3, 33.2], abs=1e-9)
    assert laid["legs"][3]["line"][-1] == pytest.approx([-86.3, 33.2], abs=1e-9)
    assert laid["acres"] == pytest.approx(told["acres"])
    assert laid["acres_low"] < laid["acres"] < laid["acres_high"]
    corners = laid["polygons"][0][0]
    assert corners[1] == pytest.approx(laid["legs"][1]["line"][0], abs=1e-9)


def test_a_row_that_is_not_understood_stands_with_its_reason(place):
    rows = [dict(row) for row in ROWS]
    rows[2]["bearing"] = "toward the oak"
    rows[1]["distance"] = "6.5"
    rows[1]["unit"] = "furlongs?"
    told = tell(place, "table", rows=rows)
    assert told["acres"] is None
    assert told["rows"][2]["problem"].startswith("“toward the oak” is no bearing")
    assert "no unit of length" in told["rows"][1]["problem"]
    assert told["said"][0] == "2 of 4 legs are not understood: 2, 3"
    assert len(told["legs"]) == 2
    assert [row["leg"] for row in told["rows"]] == [0, -1, -1, 1]
    kept = tell(place, "table/keep", 422, rows=rows, name="Back", placed=[CORNER])
    assert "not understood" in kept["why"]
    wide = tell(place, "table", rows=ROWS[:3])
    assert wide["acres"] is None or wide["doubtful"]


def test_a_wrong_leg_is_named_with_the_change_that_closes_it(place):
    rows = [{"bearing": b, "distance": d, "unit": "ft"} for b, d in
            (("0", "660"), ("90", "330"), ("180", "606"), ("270", "330"))]  # fmt: skip
    told = tell(place, "table", rows=rows)
    assert told["doubtful"]
    assert {one["number"] for one in told["suspects"]} >= {3}
    assert [line["text"][:4] for line in told["lines"] if line["doubt"]][0] == "Leg "
    assert told["lines"][-1]["text"].startswith("Not on the ground yet")


def test_a_table_is_kept_mended_and_taken_back(place):
    before = (place.folder / "property.toml").read_bytes()
    kept = tell(
        place,
        "table/keep",
        rows=ROWS,
        name="Back forty",
        kind="timber",
        placed=[CORNER],
        declination_deg=-4.0,
    )
    (one,) = kept["areas"]
    assert one["file"] == "drawn/Back forty.csv"
    row = area(place, "Back forty")
    assert (row["kind"], row["declination_deg"], row["placed"][0]["corner"]) == (
        "timber",
        -4.0,
        1,
    )
    ground = {a["name"]: a for a in place.call("/api/ground")[1]["areas"]}["Back forty"]
    assert ground["acres_high"] == pytest.approx(one["acres_high"], rel=1e-6)
    again = tell(place, "table", area="Back forty")
    assert [r["bearing"] for r in again["rows"]] == [b for b, _, _ in LEGS]
    assert again["placed"] == [[1, 33.2, -86.3]]
    assert again["file"] == "drawn/Back forty.csv"
    mended = [*ROWS[:2], {"bearing": "S 45 30 W", "distance": "412", "unit": "ft"}, ROWS[3]]
    tell(place, "table/keep", rows=mended, area="Back forty", placed=[CORNER])
    assert "declination_deg" not in area(place, "Back forty")
    assert "S 45 30 W" in (place.folder / "drawn" / "Back forty.csv").read_text()
    assert place.call("/api/edge?area=Back%20forty")[1]["known"] == "legs"
    for _ in range(2):
        assert place.call("/api/undo", {})[0] == 200
    assert (place.folder / "property.toml").read_bytes() == before
    assert not (place.folder / "drawn" / "Back forty.csv").exists()


@pytest.mark.parametrize(
    ("words", "turned", "asks", "doubts"),
    [
        ("", None, True, False),
        ("All bearings are from true north. ", None, False, False),
        ("All bearings are from true north. ", -4.0, False, True),
        ("All bearings are from magnetic north. ", None, True, False),
        ("All bearings are from magnetic north. ", -4.0, False, False),
    ],
)
def test_where_the_compass_points_is_asked_only_of_a_deed_that_does_not_say(
    place, words, turned, asks, doubts
):
    told = tell(place, "table", text=words + DEED, placed=[CORNER], declination_deg=turned)
    said = " ".join(line["text"] for line in told["lines"])
    assert ("“The compass, paces and varas” (0 where they are true)" in said) is asks
    assert "declination_deg" not in said
    assert ("says true north, and it is turned" in said) is doubts
    assert told["acres"] == pytest.approx(660 * 330 / ACRE_FT2, rel=1e-6)
    if "true" in words and turned is None:
        # mended as rows it stays what the words said
        assert told["declination_deg"] == 0
        rows = tell(
            place,
            "table",
            rows=told["rows"],
            deed=True,
            placed=[CORNER],
            declination_deg=0.0,
        )
        assert "The compass" not in " ".join(line["text"] for line in rows["lines"])
        assert rows["polygons"] == told["polygons"]


def test_a_deeds_words_become_rows_that_can_be_mended(place):
    told = tell(place, "table", text=DEED, placed=[CORNER])
    assert told["from"] == "text"
    assert told["stated_ac"] == 5
    assert told["acres"] == pytest.approx(660 * 330 / ACRE_FT2, rel=1e-6)
    assert "660" in told["rows"][0]["words"]
    assert len(told["legs"]) == 4
    tell(place, "table/keep", text=DEED, name="Old home", placed=[CORNER])
    assert area(place, "Old home")["from"] == "drawn/Old home.txt"
    rows = tell(place, "table", area="Old home")["rows"]
    rows[1]["distance"] = "331.0"
    rows[3]["distance"] = "331.0"
    kept = tell(
        place, "table/keep", rows=rows, deed=True, area="Old home", placed=[CORNER]
    )["areas"][0]
    assert kept["file"] == "drawn/Old home.csv"
    assert kept["acres"] == pytest.approx(660 * 331 / ACRE_FT2, rel=1e-5)
    assert (place.folder / "drawn" / "Old home.txt").exists()
    unread = tell(
        place,
        "table",
        text=DEED.replace(
            "330.0 feet; thence South", "by the creek 330 or 7; thence South"
        ),
    )
    assert unread["acres"] is None
    assert any(row["problem"] for row in unread["rows"])


def test_paces_and_curves(place):
    paced = [{**row, "unit": "paces"} for row in ROWS[:1]] + ROWS[1:]
    assert "length of a pace" in tell(place, "table", rows=paced)["rows"][0]["problem"]
    assert tell(place, "table", rows=paced, pace_ft=2.5)["legs"][0][
        "feet"
    ] == pytest.approx(1030)
    curve = [{"bearing": "0", "distance": "300"}, {"bearing": "90", "distance": "300", "radius_ft": "200", "turn": "right"},
             {"bearing": "180", "distance": "300"}, {"bearing": "270", "distance": "300"}]  # fmt: skip
    told = tell(place, "table", rows=curve, placed=[CORNER])
    assert len(told["legs"][1]["line"]) > 10
    assert told["acres"] > 300 * 300 / ACRE_FT2


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ({}, "no legs"), ({"rows": []}, "no legs"), ({"rows": ["x"]}, "no legs"), ({"text": "hello there"}, "no table"),
        ({"rows": ROWS, "placed": [{"corner": "1", "lat": 1, "lon": 1}]}, "no number"),
        ({"rows": ROWS, "placed": [{"corner": 1, "lat": 95, "lon": 1}]}, "degrees"),
        ({"rows": ROWS, "pace_ft": -1}, "no length"), ({"rows": ROWS, "declination_deg": "x"}, "degrees"),
        ({"area": "Nowhere"}, "no area"),
    ],
)  # fmt: skip
def test_what_is_no_table_is_one_line(place, said, word):
    answer = tell(place, "table", 422, **said)
    assert word in answer["why"]
    assert "\n" not in answer["why"]


def test_what_cannot_be_kept_is_one_line_and_writes_nothing(place):
    before = (place.folder / "property.toml").read_bytes()
    for said, word in (
        ({"rows": ROWS, "name": "X"}, "no place yet"),
        ({"rows": ROWS, "placed": [CORNER]}, "name an area, or a new one"),
        ({"rows": ROWS, "placed": [{**CORNER, "corner": 9}], "name": "X"}, "no corner 9"),
        ({"rows": ROWS[:2], "placed": [CORNER], "name": "X"}, "leg"),
        ({"rows": ROWS, "placed": [CORNER], "name": "X", "kind": "moon"}, "moon"),
        ({"rows": ROWS, "placed": [CORNER], "area": "Nowhere"}, "no area"),
    ):
        answer = tell(place, "table/keep", 422, **said)
        assert word in answer["why"], answer
        assert "\n" not in answer["why"]
        assert "/tmp" not in answer["why"]
    assert (place.folder / "property.toml").read_bytes() == before


def test_a_last_call_in_words_closes_the_rows_too(place):
    words = DEED.replace(
        "thence South 90 degrees 00 minutes West 330.0 feet to", "thence to"
    )
    told = tell(place, "table", text=words, placed=[CORNER])
    assert told["rows"][3]["bearing"] == ""
    assert any("straight to the beginning" in line for line in told["said"])
    again = tell(place, "table", rows=told["rows"], deed=True, placed=[CORNER])
    assert [row["problem"] for row in again["rows"]] == [""] * 4
    assert again["rows"][3]["bearing"] == ""
    assert again["acres"] == pytest.approx(told["acres"])
    assert any("straight to the beginning" in line for line in again["said"])
    kept = tell(
        place, "table/keep", rows=again["rows"], deed=True, name="By words", placed=[CORNER]
    )
    assert kept["areas"][0]["acres"] == pytest.approx(told["acres"])
