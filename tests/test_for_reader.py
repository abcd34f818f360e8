"""On paper, map and desk nothing is told of a file to write by hand."""

import pytest

from quietacre.words.for_reader import for_reader


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("say how deep: “Depth you mix to” (lime_depth_in under its [[soil_test]] in property.toml).",
         "say how deep: “Depth you mix to”."),
        ("write them as its “Planting window” (window under [crop.oats] in property.toml).",
         "write them as its “Planting window”."),
        ("Log.csv: 1 line without an amount", "The log: 1 line without an amount"),
        ("log.csv, line 3: it has no date", "The log, line 3: it has no date"),
        ("Caution: Log.csv: it has no date", "Caution: The log: it has no date"),
        ("“log.csv: mine” is his own", "“log.csv: mine” is his own"),
        ("give ph_water", "give ph_water"),
        ("see log.csv", "see log.csv"),
    ],
)  # fmt: skip
def test_what_is_left_out(text, read):
    assert for_reader(text) == read


def test_paper_and_page_say_it_so():
    from datetime import UTC, datetime

    from quietacre.export.paper import Paper
    from quietacre.page.report_data import slim

    text = (
        "say so: “Spread by truck” (spread_for_you = true under the lime in property.toml)."
    )
    assert slim({"notes": [{"head": text}]}) == {
        "notes": [{"head": "say so: “Spread by truck”."}]
    }
    pdf = Paper("x", datetime(2027, 1, 2, tzinfo=UTC))
    pdf.add_page()
    assert pdf.fit(text) == "say so: “Spread by truck”."
    pdf.output()


def test_a_day_that_never_comes_is_said_by_its_year():
    from quietacre.days import no_such_day

    assert no_such_day("2027-02-29") == "2027 has no February 29"
    assert no_such_day("2027-04-31") == "2027 has no April 31"
    assert (
        no_such_day("2028-02-29") == no_such_day("2027-13-01") == no_such_day("fall") == ""
    )


@pytest.mark.parametrize(
    ("typed", "cure"),
    [
        ("0,48", "; type 0.48"),
        ("12,5", "; type 12.5"),
        ("1,234", ""),
        ("a", ""),
        (None, ""),
    ],
)
def test_a_decimal_comma_has_its_cure(typed, cure):
    from quietacre.intake.faults import with_a_point

    assert with_a_point(typed) == cure
