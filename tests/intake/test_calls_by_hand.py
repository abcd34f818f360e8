"""Calls of a deed and legs of a table, compared whole, with each line of error in full."""

import pytest

from quietacre.errors import FileProblem
from quietacre.figures import printed
from quietacre.intake.deed import _lengths, _number, _parted, _step, deed_in
from quietacre.intake.legs import is_leg_table, legs_in
from quietacre.model import Arc, Call, Deed, Leg, Note, Traverse

ONE_DEG = 1.0


def refused(reader, *given, **more):
    with pytest.raises(FileProblem) as problem:
        reader(*given, **more)
    return str(problem.value)


# a deed


SQUARE = (
    "Beginning at an iron pin; thence N 45° E 100 feet; thence S 45° E 2 chains; "
    "thence S 45° W 16 1/2 feet; thence to the point of beginning, containing 2.5 acres."
)


def leg(azimuth, feet, step_ft, words, arc=None):
    return Leg(azimuth, feet, ONE_DEG, step_ft, arc, words)


CALLS = (
    Call(1, "N 45° E 100 feet", leg(45.0, 100.0, 1.0, "N 45° E 100 feet")),
    Call(2, "S 45° E 2 chains", leg(135.0, 132.0, 66.0, "S 45° E 2 chains")),
    Call(3, "S 45° W 16 1/2 feet", leg(225.0, 16.5, 0.5, "S 45° W 16 1/2 feet")),
    Call(4, "to the point of beginning", None, closes=True),
)


def close(made, wanted):
    """Compare calls, their lengths and steps to a millionth."""
    assert len(made) == len(wanted)
    for one, other in zip(made, wanted, strict=True):
        assert (one.number, one.text, one.problem, one.closes) == (
            other.number, other.text, other.problem, other.closes
        )  # fmt: skip
        if other.leg is None:
            assert one.leg is None
            continue
        for name in ("azimuth_deg", "length_ft", "step_ft"):
            wanted_value = getattr(other.leg, name)
            assert getattr(one.leg, name) == pytest.approx(wanted_value, rel=1e-6), name
        assert (one.leg.arc, one.leg.text) == (other.leg.arc, other.leg.text)


def test_a_tract_is_read_call_by_call():
    deed = deed_in(SQUARE, "d")
    close(deed.calls, CALLS)
    assert (deed.source, deed.ties, deed.stated_ac) == ("d", (), 2.5)
    assert (deed.exceptions, deed.notes, deed.true_north) == ((), (), False)


def test_an_exception_with_calls_is_a_figure_and_one_without_is_told():
    text = SQUARE + (
        " LESS AND EXCEPT a lot: beginning at a stone; thence N 1° E 10 feet; thence S 1° E 9 "
        "feet; thence to the point of beginning. EXCEPT 1.5 acres sold off. EXCEPT 40 feet along "
        "the road. EXCEPT rights of way."
    )
    deed = deed_in(text, "d")
    close(deed.calls, CALLS)
    (lot,) = deed.exceptions
    assert isinstance(lot, Deed)
    assert (lot.source, lot.stated_ac, lot.notes) == ("d", None, ())
    assert [call.text for call in lot.calls] == [
        "N 1° E 10 feet", "S 1° E 9 feet", "to the point of beginning"
    ]  # fmt: skip
    assert lot.calls[2].closes
    assert [(note.code, note.level, note.source) for note in deed.notes] == [
        ("exception-without-calls", "warning", "d")
    ] * 2
    assert [printed(note.head) for note in deed.notes] == [
        "an exception of 1.5 ac has no calls, so it is not taken off: “1.5 acres sold off.”.",
        "an exception of an unknown acreage has no calls, so it is not taken off: “40 feet along "
        "the road.”.",
    ]


def test_the_last_words_close_only_at_the_end():
    text = "Thence to the point of beginning; thence N 45° E 100 feet"
    first, second = deed_in(text, "d").calls
    assert (first.leg, first.closes) == (None, False)
    assert first.problem == "has no bearing"
    assert (second.closes, second.leg.length_ft) == (False, 100.0)


@pytest.mark.parametrize(
    ("call", "why"),
    [
        ("N 45° E", "has no distance with a unit"),
        ("N 45° E 10 feet 20 feet", "has 2 distances"),
        ("N 45° E 10 feet, N 50° E 20 feet", "has 2 bearings"),
        ("10 feet", "has no bearing"),
        ("N 95° E 10 feet", "“N 95° E” is no bearing that can be"),
        ("N 45° E 10 varas", "counts in varas, whose length differs by state and day; give --vara-ft"),
        ("N 45° E 10 paces", "counts in paces"),
        ("N 45° E 1/0 feet", "has a fraction that is none: “1/0”"),
        ("N 45° E 0 feet", "has a length that goes nowhere: “0”"),
        ("N 45° E 10 feet past the 7 oaks of old", "has a number that is not understood: “…past the 7 oaks of old…”"),
        ("along the meanders 10 feet", "its way is told in words only"),
        ("along a curve to the left 10 feet", "is a curve without its radius or without left or right"),
        ("along a curve, radius 50 feet, N 45° E 10 feet", "is a curve without its radius or without left or right"),
        ("along a curve to the left, radius 50 feet, N 45° E", "is a curve without the length of its chord"),
        ("along a curve to the left, radius 50 feet, 10 feet", "has no chord bearing"),
    ],
)  # fmt: skip
def test_a_call_that_is_not_understood_stands_with_its_reason(call, why):
    good = "; thence N 45° E 100 feet"
    first, second = deed_in(f"Thence {call}{good}", "d").calls
    assert first == Call(1, call, None, why)
    assert second.leg is not None


@pytest.mark.parametrize(("word", "turn"), [("left", "left"), ("RIGHT", "right")])
def test_a_curve_is_its_chord_with_an_arc(word, turn):
    text = f"along a curve to the {word}, radius of 50 feet, chord N 45° E 20 feet"
    (call, _) = deed_in(f"Thence {text}; thence N 45° E 100 feet", "d").calls
    assert call == Call(1, text, leg(45.0, 20.0, 1.0, text, Arc(50.0, turn)))


def test_a_vara_is_as_long_as_it_is_said_to_be():
    first, _ = deed_in(
        "Thence N 45° E 10 varas; thence N 45° E 1 foot", "d", vara_ft=2.75
    ).calls
    assert (first.leg.length_ft, first.leg.step_ft) == (27.5, 2.75)


def test_ties_come_before_the_beginning():
    text = (
        "Commencing at a stone; thence N 45° E 100 feet to the point of beginning; thence "
        "S 45° E 2 chains; thence S 45° W 16 1/2 feet"
    )
    deed = deed_in(text, "d")
    assert [(tie.number, tie.leg.length_ft) for tie in deed.ties] == [(1, 100.0)]
    assert [(c.number, c.leg.azimuth_deg) for c in deed.calls] == [(1, 135.0), (2, 225.0)]
    bare = text.replace(" to the point of beginning", "")
    assert (len(deed_in(bare, "d").ties), len(deed_in(bare, "d").calls)) == (0, 3)
    last = bare + " to the point of beginning"
    assert (len(deed_in(last, "d").ties), len(deed_in(last, "d").calls)) == (0, 3)


def test_what_follows_the_acres_is_read_too():
    tail = "thence North 300 feet, thence East 400 feet, thence South 300 feet, thence West 400 feet"
    for text in (
        f"A tract containing 2.75 acres, more or less, described as: Beginning at a stake, {tail}.",
        f"Being 2.75 acres in Section 4. Beginning at a stake, {tail} to the beginning.",
        f"Being part of lot 7, commencing at an oak, {tail}, containing 2.75 acres.",
    ):
        deed = deed_in(text, "d")
        assert deed.stated_ac == 2.75
        assert [call.leg.length_ft for call in deed.calls] == [300.0, 400.0, 300.0, 400.0]
    last = deed_in(
        f"Beginning at a stake, {tail}, containing 2.75 acres. Bearings are magnetic.", "d"
    )
    assert [note.code for note in last.notes] == ["bearings-magnetic"]
    true = deed_in(
        f"Beginning at a stake, {tail}, containing 2.75 acres, bearings are true.", "d"
    )
    assert true.true_north


def test_magnetic_bearings_are_told_and_true_ones_marked():
    words = "its bearings are from magnetic north of its own day; the figure is turned by the declination of that day, the acres are not changed by it."
    magnetic = deed_in("Bearings are magnetic and from true north. " + SQUARE, "d")
    assert magnetic.notes == (Note("bearings-magnetic", words, "info", "d"),)
    assert not magnetic.true_north
    assert deed_in("From true north. " + SQUARE, "d").true_north


def test_what_is_no_single_tract_is_refused():
    assert refused(deed_in, "a field of 3 acres", "d") == (
        "d: holds no calls; give the part that begins with “thence”, or a table of bearings and "
        "distances"
    )
    assert refused(deed_in, SQUARE + " Beginning at a stone", "d") == (
        "d: begins more than once: it holds more than one tract; put each tract into a file of "
        "its own"
    )


def test_calls_listed_without_thence_are_parted():
    assert _parted("N 1° E 10 feet; S 1° W 20 feet. N 2° E 5 feet") == [
        "N 1° E 10 feet", "S 1° W 20 feet", "N 2° E 5 feet"
    ]  # fmt: skip
    for whole in (
        "N 1° E 10 feet", "N 1° E 10 feet S 1° W 20 feet",
        "N 1° E 10 feet; S 1° W 20 feet on a curve",
    ):  # fmt: skip
        assert _parted(whole) == [whole]


def test_lengths_in_falling_units_are_one():
    found = _lengths("2 chains and 50 links then 3 feet, 7 chains", None)
    assert [round(length.feet, 6) for length in found] == [165.0, 3.0, 462.0]
    assert [round(length.step_ft, 6) for length in found] == [0.66, 1.0, 66.0]
    assert [length.span for length in found] == [(0, 21), (27, 33), (35, 43)]
    twice = _lengths("2 feet and 3 feet", None)
    assert [length.feet for length in twice] == [2.0, 3.0]


def test_numbers_with_fractions_and_their_last_digit():
    assert [_number(t) for t in ("12 1/2", "12-1/4", "3/4", "7.5")] == [
        12.5,
        12.25,
        0.75,
        7.5,
    ]
    assert [_step(t) for t in ("12 1/2", "3/4", "7", "7.5")] == [0.5, 0.25, 1.0, 0.1]


# a table of legs


def test_a_table_is_read_leg_by_leg():
    text = "bearing,distance,unit\n10,100,ft\n\n100.5,2 chains,\n190,30,yards\n"
    made = legs_in(text, "t")
    assert isinstance(made, Traverse)
    assert (made.name, made.source, made.method, made.notes) == ("", "t", "tape", ())
    assert [(x.azimuth_deg, x.step_deg, x.arc) for x in made.legs] == [
        (10.0, 1.0, None), (100.5, 0.1, None), (190.0, 1.0, None)
    ]  # fmt: skip
    assert [x.length_ft for x in made.legs] == [
        100.0, pytest.approx(132.0, rel=1e-5), 90.0
    ]  # fmt: skip
    assert [x.step_ft for x in made.legs] == [1.0, 1.0, 1.0]
    assert [x.text for x in made.legs] == [
        "10 100 ft", "100.5 2 chains chains", "190 30 yards"
    ]  # fmt: skip
    assert [x.place for x in made.legs] == ["line 2", "line 4", "line 5"]


def test_the_method_is_that_of_the_legs():
    rows = "10,100\n100,10\n190,30\n"
    assert (
        legs_in(
            f"bearing,distance,words\n{rows.replace(chr(10), ',x' + chr(10))}", "t"
        ).method
        == "deed"
    )
    paced = legs_in("bearing,distance\n10,100\n100,10 paces\n190,30\n", "t", pace_ft=2.5)
    assert (paced.method, paced.legs[1].length_ft, paced.legs[1].step_ft) == (
        "pace",
        25.0,
        2.5,
    )


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("x,1,,,,", "“x” is no bearing; write it as 123.5, or as S 45 30 E"),
        ("10,1,,,,x", "“x” is no bearing; write it as 123.5, or as S 45 30 E"),
        (",1,,,,", "has no bearing; fill it in"),
        ("10,x,,,,", "distance “x” is not a number; write a plain number"),
        ("10,1 pace,,,,", "is in paces, and the length of a pace is not given; give --pace-ft, or "
         "pace_ft in property.toml: walk 100 ft several times and divide"),
        ("10,1 cubit,,,,", "“cubit” is no unit of length here; write feet, chains, links, rods, "
         "yards, meters or paces"),
        ("10,0,,,,", "a distance of 0 goes nowhere; mend or delete that row"),
        ("10,1,150.5,,,", "a slope of 150.5 % is not one to walk; check slope_pct"),
        ("10,1,-150.5,,,", "a slope of -150.5 % is not one to walk; check slope_pct"),
        ("10,1,,50,,", "has a curve that turns neither left nor right; write left or right under turn"),
    ],
)  # fmt: skip
def test_a_row_that_is_no_leg_is_told_by_its_line(row, words):
    text = f"bearing,distance,slope_pct,radius_ft,turn,back_bearing\n{row}\n"
    assert refused(legs_in, text, "t") == f"t: line 2: {words}"


def test_two_sights_give_their_mean_and_more_than_two_degrees_are_doubted():
    head = "bearing,distance,back_bearing\n"
    made = legs_in(head + "10,1,192\n359,1,181\n1,1,178.5\n", "t")
    assert [x.azimuth_deg for x in made.legs] == [11.0, 0.0, pytest.approx(359.75)]
    (note,) = made.notes
    assert note == Note(
        "sights-differ", "line 4: the sight back differs from the sight ahead by 2.5°", source="t",
        more="iron nearby (a truck, a fence) bends a compass. Their mean is used; sight it again.",
    )  # fmt: skip


def test_two_legs_go_round_nothing():
    assert refused(legs_in, "bearing,distance\n1,1\n2,1\n", "t") == (
        "t: has 2 legs, which go round nothing; write every leg"
    )
    assert is_leg_table("\ufeff\nBearing;Distance;x\n1;2", "t")
    assert not is_leg_table("bearing,name\n", "t")
    assert not is_leg_table("bearing and distance,x\n", "t")


@pytest.mark.parametrize(
    ("piece", "lengths_ft"),
    [
        ("thence N 10 E 100 feet; N 80 E 200 feet", [100.0, 200.0]),
        (
            "thence N 10 E 100 feet; and S 80 E 200 feet; S 10 W 90 feet",
            [100.0, 200.0, 90.0],
        ),
        ("thence N 10 E 100 feet. N 80 E 200 feet", [100.0, 200.0]),
    ],
)
def test_calls_listed_without_thence_between_them_are_each_a_call(piece, lengths_ft):
    deed = deed_in(
        f"Beginning at a stake; {piece}; thence S 45 W 250 feet to the beginning.", "d"
    )
    assert [call.leg.length_ft for call in deed.calls] == [*lengths_ft, 250.0]
