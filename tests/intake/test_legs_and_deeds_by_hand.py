"""Legs of a table and calls of a deed: each figure, its last digit, and each reason for none."""

import math

import pytest

from quietacre.errors import FileProblem
from quietacre.intake.deed import deed_in, is_deed
from quietacre.intake.deed_words import plain_text
from quietacre.intake.legs import is_leg_table, leg_in, legs_in


def leg(notes=None, *, pace_ft=None, **row):
    cells = {"bearing": "90", "distance": "100", **row}
    return leg_in(cells, "t.csv", 4, [] if notes is None else notes, pace_ft=pace_ft)


def refused(**row):
    with pytest.raises(FileProblem) as caught:
        leg(**row)
    assert "line 4" in str(caught.value)
    return str(caught.value)


# tables of legs


@pytest.mark.parametrize(
    ("row", "feet", "step_ft"),
    [
        ({"distance": "100"}, 100.0, 1.0),
        ({"distance": "100.5"}, 100.5, 0.1),
        ({"distance": "2 chains"}, 132.0, 1.0),  # to a chain, but nobody tapes so coarsely
        ({"distance": "2.00", "unit": "Chains"}, 132.0, 0.66),
        ({"distance": "10", "unit": "rods"}, 165.0, 1.0),
        ({"distance": "100", "step_ft": "5"}, 100.0, 5.0),
    ],
)
def test_a_length_and_its_last_digit(row, feet, step_ft):
    made, paced = leg(**row)
    assert made.length_ft == pytest.approx(feet)
    assert made.step_ft == pytest.approx(step_ft)
    assert not paced
    assert (made.azimuth_deg, made.place) == (90.0, "line 4")


def test_paces_count_as_long_as_a_pace_is():
    made, paced = leg(distance="40 paces", pace_ft=2.5)
    assert (made.length_ft, made.step_ft, paced) == (100.0, 2.5, True)
    assert "the length of a pace is not given" in refused(distance="40", unit="pace")


@pytest.mark.parametrize(("slope", "feet"), [("0", 100.0), ("75", 80.0), ("-75%", 80.0), ("150", 55.47)])  # fmt: skip
def test_a_length_along_a_slope_is_less_on_the_level(slope, feet):
    """75 % is three up on four along: five on the tape are four on the map."""
    assert leg(slope_pct=slope)[0].length_ft == pytest.approx(feet, abs=0.01)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"slope_pct": "150.5"}, "a slope of 150.5 % is not one to walk"),
        ({"slope_pct": "-151"}, "a slope of -151 % is not one to walk"),
        ({"slope_pct": "steep"}, "slope_pct “steep” is not a number"),
        ({"distance": "0"}, "a distance of 0 goes nowhere"),
        ({"distance": "5 furlongs and more"}, "is not a number"),
        ({"distance": "5 cubits"}, "“cubits” is no unit of length here"),
        ({"bearing": " "}, "has no bearing"),
        ({"bearing": "up"}, "“up” is no bearing"),
        ({"back_bearing": "down"}, "“down” is no bearing"),
        ({"radius_ft": "50", "turn": "straight on"}, "turns neither left nor right"),
    ],
)
def test_a_leg_that_cannot_be_is_named(row, said):
    assert said in refused(**row)


@pytest.mark.parametrize(
    ("ahead", "back", "mean", "doubt"),
    [
        ("90", "270", 90.0, False), ("90", "272", 91.0, False), ("90", "272.5", 91.25, True),
        ("90", "268", 89.0, False), ("90", "267.5", 88.75, True), ("359", "181", 0.0, False),
        ("1", "179", 0.0, False), ("200", "20", 200.0, False),
    ],
)  # fmt: skip
def test_of_two_sights_the_mean_is_taken_and_more_than_two_degrees_doubted(
    ahead, back, mean, doubt
):
    notes = []
    made, _ = leg(notes, bearing=ahead, back_bearing=back)
    assert made.azimuth_deg == pytest.approx(mean)
    assert [note.code for note in notes] == (["sights-differ"] if doubt else [])
    if doubt:
        assert "differs from the sight ahead by 2.5°" in notes[0].text


def test_a_curve_has_its_radius_and_its_turn():
    for turn in ("left", "Right "):
        arc = leg(radius_ft="50", turn=turn)[0].arc
        assert (arc.radius_ft, arc.turn) == (50.0, turn.strip().casefold())
    assert leg(turn="left")[0].arc is None


def test_three_legs_go_round_something():
    rows = "bearing,distance\n0,10\n90,10\n"
    with pytest.raises(FileProblem, match="has 2 legs, which go round nothing"):
        legs_in(rows, "t.csv")
    made = legs_in(rows + "180,10\n", "t.csv")
    assert (made.method, len(made.legs)) == ("tape", 3)
    assert legs_in(rows + "180,10 paces\n", "t.csv", pace_ft=2.5).method == "pace"
    deed = "bearing,distance,words\n0,10,a\n90,10,b\n180,10,c\n"
    assert legs_in(deed, "t.csv").method == "deed"


@pytest.mark.parametrize(
    ("head", "is_one"),
    [("bearing,distance", True), ("\ufeff\n Bearing;DISTANCE;unit", True), ("bearing,length", False),
     ("the bearing,distance", False), ("x" * 3990 + ",bearing,distance", False)],
)  # fmt: skip
def test_a_table_of_legs_is_known_by_its_first_line(head, is_one):
    assert is_leg_table(f"{head}\n1,2\n", "t.csv") is is_one


# deeds

SQUARE = "thence East 100 feet; thence South 100 feet; thence West 100 feet; thence North 100 feet."


def call(text, **more):
    """Return the one call that stands between two plain ones."""
    deed = deed_in(
        f"Beginning at a stake, thence {text}, thence South 9 feet.", "d.txt", **more
    )
    return deed.calls[0]


@pytest.mark.parametrize(
    ("text", "azimuth", "feet", "step_ft"),
    [
        ("N 45° E 100 feet", 45.0, 100.0, 1.0),
        ("S 45°30' W 12.5 chains", 225.5, 825.0, 6.6),
        ("due south 12 chains and 50 links", 180.0, 825.0, 0.66),
        ("West, a distance of 10 1/2 poles", 270.0, 173.25, 8.25),
        ("North 1/2 mile", 0.0, 2640.0, 2640.0),
        ("East one hundred (100) feet", 90.0, 100.0, 1.0),
    ],
)
def test_a_call_s_way_length_and_last_digit(text, azimuth, feet, step_ft):
    made = call(text)
    assert made.problem is None
    assert made.leg.azimuth_deg == pytest.approx(azimuth)
    assert made.leg.length_ft == pytest.approx(feet)
    assert made.leg.step_ft == pytest.approx(step_ft)
    assert (made.number, made.leg.arc) == (1, None)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("N 45° E to an oak", "has no distance with a unit"),
        ("N 45° E 100 feet to a stake 20 feet", "has 2 distances"),
        ("to an oak 100 feet", "has no bearing"),
        ("N 45° E 100 feet S 20° E", "has 2 bearings"),
        ("N 95° E 100 feet", "is no bearing that can be"),
        ("N 45° E 100 feet 7", "has a number that is not understood: “…7…”"),
        ("N 45° E 0 feet", "has a length that goes nowhere"),
        ("N 45° E 1/0 feet", "has a fraction that is none"),
        ("N 45° E 100 paces", "counts in paces"),
        ("N 45° E 100 varas", "counts in varas"),
        ("N 45° E parallel with the road 100 feet", "its way is told in words only"),
        ("along a curve, a chord bearing N 45° E 50 feet", "without its radius or without left or right"),
        ("along a curve to the left, radius 100 feet, chord bearing N 45° E", "without the length of its chord"),
        ("along a curve to the left, radius 100 feet, 50 feet", "has no chord bearing"),
    ],
)  # fmt: skip
def test_a_call_that_is_not_understood_says_why(text, why):
    made = call(text)
    assert made.leg is None
    assert why in made.problem


def test_varas_and_curves():
    assert call("N 45° E 30 varas", vara_ft=33.333 / 12).leg.length_ft == pytest.approx(
        83.3325
    )
    made = call(
        "along a curve to the right having a radius of 200 feet, an arc length of 105 feet, a central "
        "angle of 30° 4' 50\", chord bearing N 45° E 103.8 feet"
    ).leg
    assert (made.arc.radius_ft, made.arc.turn) == (200.0, "right")
    assert (made.azimuth_deg, made.length_ft) == (45.0, 103.8)
    chains = call("on a curve to the left, radius 2 chains, chord N 45° E 50 feet").leg
    assert (chains.arc.radius_ft, chains.arc.turn) == (pytest.approx(132.0), "left")


def test_the_last_call_may_run_to_the_beginning_in_words():
    deed = deed_in(
        "Beginning at a stake, thence East 9 feet, thence South 9 feet, thence to the point of "
        "beginning, containing 0.5 acres.", "d.txt",
    )  # fmt: skip
    assert [one.closes for one in deed.calls] == [False, False, True]
    assert deed.stated_ac == 0.5
    assert [one.number for one in deed.calls] == [1, 2, 3]
    early = deed_in("thence to the point of beginning, thence East 9 feet.", "d.txt")
    assert not early.calls[0].closes


def test_ties_to_the_point_of_beginning_are_no_calls():
    deed = deed_in(
        f"Commencing at the corner, thence North 50 feet to the point of beginning, {SQUARE}",
        "d",
    )
    assert ([tie.leg.length_ft for tie in deed.ties], len(deed.calls)) == ([50.0], 4)
    never = deed_in(
        "Commencing at the corner, thence North 50 feet, thence East 9 feet.", "d"
    )
    assert (len(never.ties), len(never.calls)) == (0, 2)
    at_the_end = deed_in(
        "Commencing at the corner, thence North 5 feet, thence East 9 feet to the point of beginning.",
        "d",
    )
    assert (len(at_the_end.ties), len(at_the_end.calls)) == (0, 2)


def test_calls_in_a_list_without_thence_are_parted():
    deed = deed_in("thence N 10° E 5 feet; S 80° E 6 feet; and S 10° W 5 feet.", "d")
    assert [one.leg.length_ft for one in deed.calls] == [5.0, 6.0, 5.0]
    together = deed_in("thence N 10° E 5 feet S 80° E 6 feet.", "d")
    assert len(together.calls) == 1
    assert together.calls[0].problem


@pytest.mark.parametrize(
    ("words", "true", "magnetic"),
    [("", False, False), ("bearings are true.", True, False), ("from the magnetic meridian.", False, True),
     ("true north, and magnetic north.", False, True)],
)  # fmt: skip
def test_which_north_its_bearings_are_from(words, true, magnetic):
    deed = deed_in(f"Beginning at a stake, {SQUARE} {words}", "d")
    assert deed.true_north is true
    assert [note.code for note in deed.notes] == (["bearings-magnetic"] if magnetic else [])


def test_a_text_is_a_deed_by_a_thence_and_a_figure():
    assert is_deed("thence 5")
    assert not is_deed("thence north")
    assert not is_deed("5 feet")
    with pytest.raises(FileProblem, match="holds no calls"):
        deed_in("Beginning at 5 oaks.", "d")
    with pytest.raises(FileProblem, match="more than one tract"):
        deed_in(f"Beginning at a, {SQUARE} Beginning at b, {SQUARE}", "d")
    with pytest.raises(FileProblem, match="the number in words is not the one in digits"):
        deed_in("thence North fifty (60) feet", "d")


@pytest.mark.parametrize(
    ("words", "digits"),
    [
        ("one hundred and twenty-five", "125"), ("two thousand three hundred", "2300"),
        ("hundred", "100"), ("thousand and one", "1001"), ("nineteen hundred", "1900"),
        ("forty two (42) feet", "42 feet"), ("1,234 feet", "1234 feet"), ("12½ poles", "12 1/2 poles"),
    ],
)  # fmt: skip
def test_numbers_in_words(words, digits):
    assert plain_text(words) == digits


def test_a_bearing_and_its_step():
    made = call("N 45°30'15\" E 100 feet").leg
    assert made.azimuth_deg == pytest.approx(45 + 30 / 60 + 15 / 3600)
    assert made.step_deg == pytest.approx(1 / 3600)
    assert math.isclose(call("North 100 feet").leg.step_deg, 0.0)
