"""What the program refuses, in the words of the boxes it was typed in."""

import json

import pytest

from quietacre.desk.answers import no
from quietacre.desk.said import answer_for_desk, for_desk, in_boxes
from quietacre.figures import acres, feet
from quietacre.schema import key_paths
from quietacre.words import unit_words

EITHER = "or as “09-26” for a day that comes back each year"


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("mix[1].seed[1].purity: “x” should be a number, without quotes", "“Purity”: “x” should be a number"),
        ("area[1].mix: there is no [[mix]] named “Fall”", "“Mix”: there is no mix named “Fall”"),
        (
            f"area[1].plant: “soon”: is neither a date nor a month-day; write it as 2027-09-26, without quotes, {EITHER}",
            "“Planting day”: “soon”: is neither a date nor a month-day; type it as 9/26/2027, or as "
            "9/26 for a day that comes back each year",
        ),
        ("mix[1].seed[1].germination: “85” should be 1 or less",
         "“Germination”: “85” is more than the whole: type 85 % as 85% or as 0.85"),
        ("mix[1].seed[1]: give share (of the full rate), rate_lb_ac or seeds_ft2",
         "“Seed”: give “Part of its full rate”, “Pounds an acre” or “Seeds a square foot”"),
        ("area[1].mix: there is no [[mix]] named “bag_lb”", "“Mix”: there is no mix named “bag_lb”"),
        ('crop."a b": no mix sows “a b”', "No mix sows “a b”"),
    ],
)  # fmt: skip
def test_a_fault_is_told_by_its_box(line, says):
    assert in_boxes(f"property.toml: {line}\n") == says


def test_each_fault_has_a_line_and_other_words_stay():
    told = in_boxes(
        "property.toml: quiet[1].start: “x” is no day\nthe disk is full; free some of it\n"
    )
    assert told == "“First quiet day”: “x” is no day\nthe disk is full; free some of it"


def test_a_price_is_in_dollars_and_a_count_of_seeds_in_nothing():
    units = {key: unit_words(key) for _, key in key_paths()}
    assert {
        unit for key, unit in units.items() if key.startswith("price_") or "_price_" in key
    } == {"dollars"}
    assert (units["seeds_ft2"], units["seeds_per_lb"], units["bag_lb"]) == (
        "",
        "",
        "pounds",
    )


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("“Hill” is drawn, so walked_inside_ft / walked_outside_ft was not applied.",
         "“Hill” is drawn, so “Walked inside by” / “Walked outside by” was not applied."),
        ("give “Topdressing” (topdress_on under this area in property.toml).", "give “Topdressing”."),
        ("“edge_pm_ft” is drawn: give its edge_pm_ft (edge_pm_ft under it in property.toml)",
         "“edge_pm_ft” is drawn: give its “Drawn edge may be off by”"),
        ("“Field (bag_lb in property.toml)” and “[[soil_test]]” lie under [work]",
         "“Field (bag_lb in property.toml)” and “[[soil_test]]” lie"),
        ("choose a lower target_ph", "choose a lower “Target pH”"),
        ("write bag_lb under its [[stock]], or the day.", "write “Bag”, or the day."),
        ("there is no [[soil_test]] of that name (quietacre need lists them)", "there is no soil test of that name"),
        ("north_bottom.gpx holds 3 tracks, and property.toml uses 2.",
         "north_bottom.gpx holds 3 tracks, and this place uses 2."),
    ],
)  # fmt: skip
def test_what_is_said_of_the_ground_is_told_in_the_words_of_the_boxes(text, says):
    assert for_desk(text) == says


def test_a_figure_of_what_is_said_is_printed_in_the_units_of_the_boxes():
    text = f"“Hill” is {acres(2.314)}; {feet(66.5)} of it are wide"
    says = "“Hill” is 2.31 ac; 67 ft of it are wide"
    assert for_desk(text) == says
    assert answer_for_desk({"text": text, "said": [text]}) == {"text": says, "said": [says]}
    assert json.loads(no(text).body) == {"why": says}


def test_figures_and_names_of_an_answer_stay_and_what_it_says_is_told_by_boxes():
    told = answer_for_desk(
        {
            "name": "pace_ft",
            "pace_ft": 2.6,
            "said": ["no pace_ft"],
            "rows": [{"why": "pace_ft"}],
        }
    )
    assert told == {
        "name": "pace_ft", "pace_ft": 2.6, "said": ["no “A pace”"], "rows": [{"why": "“A pace”"}]
    }  # fmt: skip
