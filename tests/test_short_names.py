"""Short names keep beginning and end, and different names stay different."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quietacre.short_names import short_name, short_names

NORTH = "Old pasture behind the church, north half"
SOUTH = "Old pasture behind the church, south half"


def test_a_name_with_room_stays_whole():
    assert short_name("Hog Waller", 10) == "Hog Waller"
    assert short_name(NORTH, len(NORTH)) == NORTH


def test_a_long_name_keeps_its_beginning_and_its_end():
    assert short_name(NORTH, 30) == "Old pasture behind… north half"
    # the end is whole words, as far as there is room
    assert short_name("The long strip by the county road (north half)", 30) == (
        "The long strip b… (north half)"
    )


def test_an_accent_is_not_left_without_its_letter():
    assert short_name("abcdefghie\u0301xyz", 9) == "abcde…xyz"


@pytest.mark.parametrize("most", [20, 26, 28, 40])
def test_two_halves_of_one_field_are_told_apart(most):
    short = short_names([NORTH, SOUTH], most)
    assert "north" in short[NORTH]
    assert "south" in short[SOUTH]
    strips = short_names([f"{NORTH} strip", f"{SOUTH} strip"], most)
    assert "north" in strips[f"{NORTH} strip"]
    assert "south" in strips[f"{SOUTH} strip"]


def test_those_that_differ_in_their_middle_are_cut_there():
    names = [
        f"The fields behind the old Johnson place, number {n} of the river road, lower part"
        for n in (21, 22)
    ]
    assert list(short_names(names, 28).values()) == [
        "The fields behind… 21 of th…",
        "The fields behind… 22 of th…",
    ]


def test_those_that_no_cut_tells_apart_are_numbered():
    names = [
        "a" * 20 + middle + "z" * 20
        for middle in ("c" * 20 + "1", "c" * 20 + "2", "d" * 21)
    ]
    short = short_names(names, 12)
    assert len(set(short.values())) == 3
    assert any(name.endswith("(2)") for name in short.values())


@given(st.lists(st.text("ab …()12", max_size=40), max_size=30), st.integers(12, 30))
def test_different_names_stay_different_and_are_no_longer_than_asked(names, most):
    short = short_names(names, most)
    assert len(set(short.values())) == len(set(names))
    assert all(len(cut) <= most for cut in short.values())
    assert all(
        short[name] == name or "…" in short[name] or "(" in short[name] for name in names
    )
