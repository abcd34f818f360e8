"""What is said of a deed beside its own acres, and how finely it was measured, as worked by hand."""

import math

import pytest

from quietacre.boundary.deed import (
    MODERN,
    OLD,
    _with_common_step,
    call_rows,
    closing_leg,
    deed_care,
    deed_traverse,
    work_out_deed,
)
from quietacre.errors import FileProblem
from quietacre.model import Arc, Call, Deed, Leg
from quietacre.units import ACRE_FT2


def legs(*courses, step_deg=0.0, step_ft=0.0):
    return [Leg(float(a), float(f), step_deg, step_ft, text=f"leg {a}") for a, f in courses]


def deed(some, **more):
    calls = tuple(Call(n, leg.text, leg) for n, leg in enumerate(some, 1))
    return Deed("deed.txt", calls, **more)


SQUARE = ((0, 400), (90, 400), (180, 400), (270, 400))
ACRES = 160_000 / ACRE_FT2


# how finely


@pytest.mark.parametrize(
    ("steps", "care"),
    [
        ((0.25, 0.25, 0.25), OLD),
        ((0.24, 0.24, 0.24), MODERN),
        ((1.0, 0.01, 0.01), MODERN),  # the middle one of three counts
        ((1.0, 0.25, 0.01), OLD),
        ((0.0, 0.0, 1.0), OLD),  # what has no step says nothing
        ((0.0, 0.0, 0.0), MODERN),
        ((0.01, 1.0), OLD),
    ],
)
def test_bearings_written_to_a_quarter_of_a_degree_were_read_off_a_compass(steps, care):
    some = [Leg(90.0 * n, 400.0, step) for n, step in enumerate(steps)]
    assert deed_care(some) is care


@pytest.mark.parametrize(
    ("bearings", "step"),
    [
        ((10, 95, 188), 1.0),
        ((10.5, 95, 188), 0.5),
        ((10.25, 95.5, 188), 0.25),
        ((10.2, 95.5, 188), 0.01),
        ((10, 95), 0.01),  # two may be so by chance
    ],
)
def test_bearings_that_all_lie_on_quarters_were_read_to_them(bearings, step):
    some = legs(*((a, 400) for a in bearings), step_deg=0.01)
    closing = Leg(200.123, 77.0)
    made = _with_common_step([*some, closing])
    assert [leg.step_deg for leg in made] == [step] * len(bearings) + [0.0]
    coarse = _with_common_step(legs(*((a, 400) for a in bearings), step_deg=2.0))
    assert [leg.step_deg for leg in coarse] == [2.0] * len(bearings)


# closing


def test_the_last_call_may_run_straight_to_the_beginning():
    some = legs((0, 300), (90, 400))
    made = closing_leg(some)
    assert made.length_ft == pytest.approx(500.0)
    assert made.azimuth_deg == pytest.approx(180 + math.degrees(math.atan2(400, 300)))
    calls = (*(Call(n, "words", leg) for n, leg in enumerate(some, 1)),
             Call(3, "thence to the beginning", None, closes=True))  # fmt: skip
    traverse = deed_traverse(Deed("deed.txt", calls, true_north=True), "D")
    assert traverse.legs[-1].length_ft == pytest.approx(500.0)
    assert [note.code for note in traverse.notes] == ["deed-closed-by-words"]
    assert (traverse.name, traverse.method, traverse.true_north) == ("D", "deed", True)
    assert deed_traverse(deed(legs(*SQUARE))).notes == ()


def test_calls_that_are_not_understood_are_all_named():
    good = Call(1, "North 400 feet", legs((0, 400))[0])
    bad = [
        Call(n, f"words {n} " + "x" * 200, None, problem="has no bearing") for n in (2, 3)
    ]
    with pytest.raises(FileProblem) as told:
        deed_traverse(Deed("deed.txt", (good, bad[0]), ties=(bad[1],)))
    assert (
        "2 of 2 calls are not understood: call 2 has no bearing: “words 2"
        in told.value.what
    )
    assert "call 3 has no bearing" in told.value.what
    assert "x" * 91 not in told.value.what


@pytest.mark.parametrize(("back", "told"), [(399.9, False), (340.0, True)])
def test_a_deed_that_does_not_close_is_said_with_the_call_that_would_close_it(back, told):
    some = legs(*SQUARE[:3], (270, back), step_deg=1 / 60, step_ft=0.1)
    made = work_out_deed(deed(some), "D")
    notes = {note.code: note for note in made.notes}
    assert ("deed-does-not-close" in notes) is told
    assert "not-a-survey" in notes
    if told:
        text = str(notes["deed-does-not-close"].text)
        assert "misses its beginning by 60.0 ft in 1,540 (1:26)" in text
        assert " Call 4 would close it as" in text
        assert text.count(" would close it as") <= 3


# acres


@pytest.mark.parametrize(
    ("stated", "level"),
    [(None, None), (0.0, None), (ACRES * 1.009, None), (ACRES * 1.012, "caution"), (ACRES * 0.985, "caution"),
     (ACRES * 2, "warning")],
)  # fmt: skip
def test_acres_that_differ_by_more_than_a_hundredth_are_said(stated, level):
    made = work_out_deed(
        deed(legs(*SQUARE, step_deg=0.001, step_ft=0.01), stated_ac=stated)
    )
    notes = [note for note in made.notes if note.code == "deed-acres-differ"]
    assert [note.level for note in notes] == ([level] if level else [])
    assert made.stated_ac == stated
    if notes:
        assert (
            f"the deed says {round(stated, 4):g} ac; its calls give {ACRES:.2f} ac ±"
            in str(notes[0].text)
        )


def test_an_exception_is_taken_off_and_its_range_added():
    hole = deed(legs((0, 100), (90, 100), (180, 100), (270, 100)))
    made = work_out_deed(
        deed(legs(*SQUARE, step_deg=1.0), exceptions=(hole, hole), stated_ac=ACRES), "D"
    )
    assert made.acres == pytest.approx(ACRES - 20_000 / ACRE_FT2)
    half = [(one.acres_high - one.acres_low) / 2 for one in (made.figure, *made.exceptions)]
    assert made.acres_high - made.acres == pytest.approx(math.hypot(*half))
    assert made.acres - made.acres_low == pytest.approx(math.hypot(*half))
    note = next(note for note in made.notes if note.code == "exceptions-taken-off")
    assert f"2 exception(s) of {20_000 / ACRE_FT2:.2f} ac are taken off" in str(note.text)
    assert [one.name for one in made.exceptions] == ["D exception", "D exception"]
    # the acres of the whole are as good a reading of the paper's own
    assert "deed-acres-differ" not in {note.code for note in made.notes}


def test_calls_as_rows_of_a_table():
    some = [
        Call(1, "N 45 E 300.50 feet", Leg(45.0, 300.5, 1 / 60, 0.01)),
        Call(2, "a curve", Leg(90.0, 100.0, arc=Arc(250.0, "left"))),
        Call(3, "?", None, problem="has no bearing"),
        Call(4, "to the beginning", None, closes=True),
    ]
    rows = call_rows(some)
    assert [row["call"] for row in rows] == ["1", "2", "3", "4"]
    assert [row["distance"] for row in rows] == ["300.5", "100", "", ""]
    assert (rows[0]["step_deg"], rows[0]["step_ft"], rows[0]["unit"]) == (
        "0.0166667",
        "0.01",
        "ft",
    )
    assert [(row["radius_ft"], row["turn"]) for row in rows] == [
        ("", ""), ("250", "left"), ("", ""), ("", ""),
    ]  # fmt: skip
    assert [row["problem"] for row in rows] == [
        "",
        "",
        "has no bearing",
        "runs to the beginning",
    ]
    assert rows[2]["bearing"] == rows[2]["step_deg"] == ""
    assert "45" in rows[0]["bearing"]
    assert rows[3]["words"] == "to the beginning"
