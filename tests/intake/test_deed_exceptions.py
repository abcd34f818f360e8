"""What a deed leaves out in words without calls."""

import pytest

from quietacre.intake.deed import deed_in

SQUARE = (
    "Beginning at an iron pin; thence North 100 feet; thence East 100 feet; thence South 100 "
    "feet; thence West 100 feet to the point of beginning. "
)


def notes(text):
    return [note for note in deed_in(text, "d.txt").notes if "exception" in note.code]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            "LESS AND EXCEPT 2.5 acres sold to the church.",
            "an exception of 2.5 ac has no calls",
        ),
        (
            "LESS AND EXCEPT the west 30 feet for a road.",
            "an exception of an unknown acreage has no",
        ),
    ],
)
def test_an_exception_without_calls_is_said_with_its_acres(words, told):
    (note,) = notes(SQUARE + words)
    assert note.code == "exception-without-calls"
    assert note.level == "warning"
    assert told in note.text
    assert "so it is not taken off: “" in note.text


def test_rights_take_no_ground_and_calls_of_their_own_are_kept():
    assert notes(SQUARE + "LESS AND EXCEPT all mineral rights.") == []
    own = (
        "LESS AND EXCEPT beginning at an oak; thence North 10 feet; thence East 10 feet; thence "
        "South 10 feet; thence West 10 feet to the beginning."
    )
    deed = deed_in(SQUARE + own, "d.txt")
    assert [len(one.calls) for one in deed.exceptions] == [4]
    assert notes(SQUARE + own) == []
