"""What a page would never send is refused in a line, or passed over; it is no fault of the program."""

import pytest

from quietacre.desk.asked import listed
from quietacre.desk.tables import RowTold
from quietacre.measure.table import DEED_COLUMNS

PIECE = [[[[-86.3, 33.2], [-86.29, 33.2], [-86.29, 33.21]]]]
ROW = {"bearing": "N 45 E", "distance": "100", "unit": "ft"}


@pytest.fixture(scope="module")
def place(shared_desk):
    code, said = shared_desk.call("/api/open", {"new": "Odd"})
    assert code == 200, said
    return shared_desk


@pytest.mark.parametrize(
    ("path", "asked"),
    [
        ("add", {"tokens": 5}),
        ("add", {"tokens": [5], "pieces": [1]}),
        ("sheet", {"rows": 7}),
        ("mark", {"at": 7}),
        ("mark", {"at": [1, 2, 3]}),
        ("keep", {"out": 7, "pieces": []}),
        ("table", {"rows": [ROW], "placed": 7}),
        ("shape", {"do": "join", "others": 7, "polygons": PIECE}),
        ("shape", {"do": "without", "areas": 7, "polygons": PIECE}),
        ("place/keep", {"pairs": 7, "picture": 7}),
        ("draft", {"area": 7, "draft": 7}),
    ],
)
def test_an_odd_question_is_no_fault(place, path, asked):
    code, said = place.call(f"/api/{path}", asked)
    assert code in (200, 410, 422), said
    assert "fault of the program" not in str(said)


def test_a_list_is_one_or_empty():
    assert listed([1, "a"]) == [1, "a"]
    assert [listed(value) for value in (None, 5, "ab", {"a": 1})] == [[]] * 4


def test_rows_of_a_table_have_its_columns():
    assert set(RowTold.__annotations__) == {*DEED_COLUMNS, "number", "problem", "leg"}
