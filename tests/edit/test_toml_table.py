"""What is read of property.toml before it is checked: each value is looked at."""

import datetime as dt
import tomllib

import pytest

from quietacre.edit.property_file import area_of
from quietacre.edit.toml_table import (
    areas_in,
    day_in,
    files_under,
    number_in,
    table_in,
    texts_in,
)
from quietacre.errors import FileProblem

DAY = dt.date(2027, 9, 26)


def test_areas_are_the_tables_of_the_list():
    assert areas_in({"area": [{"name": "a"}, 5, {"name": "b"}]}) == [
        {"name": "a"},
        {"name": "b"},
    ]
    assert [areas_in({"area": odd}) for odd in (None, 5, "ab", {"name": "a"})] == [[]] * 4
    assert areas_in({}) == []


def test_an_area_stands_where_the_file_has_it():
    odd = {"area": [5, {"name": "Gate"}]}
    assert area_of(odd, "gate") == (1, {"name": "Gate"})
    with pytest.raises(FileProblem, match="name one of “Gate”"):
        area_of(odd, "Pond")
    with pytest.raises(FileProblem, match="name one of your areas"):
        area_of({"area": 5}, "Pond")


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2027-09-26", DAY),
        ('"2027-09-26"', DAY),
        ('"soon"', None),
        ("2027-09-26T10:00:00", None),
        ("5", None),
    ],
)
def test_a_day_is_a_date_or_spelled_as_one(text, day):
    assert day_in(tomllib.loads(f"surveyed = {text}"), "surveyed") == day
    assert day_in({}, "surveyed") is None


def test_texts_numbers_and_tables():
    table = tomllib.loads(
        'from = "a.gpx"\nover = ["b", "c"]\npace_ft = 2.5\nsky = true\n[property]\nid = "x"'
    )
    assert texts_in(table, "from") == ("a.gpx",)
    assert texts_in(table, "over") == files_under(table) == ("b", "c")
    assert files_under({"from": "a"}) == ("a",)
    assert texts_in(table, "pace_ft") == texts_in(table, "none") == ()
    assert (
        number_in(table, "pace_ft"),
        number_in(table, "sky"),
        number_in(table, "from"),
    ) == (2.5, None, None)
    assert table_in(table, "property") == {"id": "x"}
    assert table_in(table, "from") == {}
