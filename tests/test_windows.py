"""Planting windows: rows of the shipped table, and what a person types."""

import datetime as dt

import pytest

from quietacre.settings import Seed
from quietacre.shipped import rows
from quietacre.windows import (
    inside,
    printed_windows,
    read_window,
    say_windows,
    states,
    windows_here,
    windows_of,
)


def ranges_of(text):
    """Return "8.15-10.1 2.1-3.31" as ranges."""
    return tuple(
        tuple(tuple(int(n) for n in end.split(".")) for end in span.split("-"))
        for span in text.split()
    )


def test_every_row_names_a_crop_a_place_and_real_days():
    crops = {row["crop"] for row in rows("crops")}
    regions = set().union(*(state.regions for state in states().values()))
    assert regions == {"upper South", "coastal plain", "Midwest"}
    assert set(printed_windows()) <= crops
    for some in printed_windows().values():
        for one in some:
            assert one.state or one.regions, one
            assert not one.state or one.state in states(), one
            assert one.regions <= regions, one
            # without a date the words are all there is
            assert one.range is not None or one.words, one


def test_no_window_of_the_table_is_from_memory():
    assert not [row for row in rows("planting_windows") if "memory" in row["source"]]


@pytest.fixture
def georgia(monkeypatch):
    """A table of our own: a state in two parts, one of its neighbours, and a region."""
    text = (
        "crop,state,region,start,end,method,printed,source\n"
        "rye,GA,upper South,08-21,10-10,,late Aug-early Oct,a\n"
        "rye,GA,coastal plain,09-21,10-31,,,a\n"
        "rye,TN,,08-15,10-15,,,b\n"
        "rye,,Midwest,08-01,09-15,frost seeding,,c\n"
        "oats,AL,,10-02,12-12,usual for grain,,d\n"
        "oats,MS,,08-15,10-15,,,e\n"
        "oats,TN,,09-25,11-30,for grain,,b\n"
        "milo,TN,,,06-10,,to Jun 1 best,b\n"
        "milo,GA,,,,,soil 65 F for 5 days,a\n"
    )
    from quietacre import windows

    def ours(name):
        if name != "planting_windows":
            return rows(name)
        head, *lines = text.splitlines()
        return [dict(zip(head.split(","), line.split(","), strict=True)) for line in lines]

    monkeypatch.setattr(windows, "rows", ours)
    printed_windows.cache_clear()
    yield
    printed_windows.cache_clear()


@pytest.mark.usefixtures("georgia")
@pytest.mark.parametrize(
    ("state", "region", "places"),
    [
        (
            None,
            None,
            ["Georgia, upper South", "Georgia, coastal plain", "Tennessee", "Midwest"],
        ),
        ("GA", None, ["Georgia, upper South", "Georgia, coastal plain"]),
        ("GA", "coastal plain", ["Georgia, coastal plain"]),
        ("TN", "upper South", ["Tennessee"]),
        # none of its own: its region's, then those of its state's regions
        ("KY", "upper South", ["Georgia, upper South", "Tennessee"]),
        ("KY", None, ["Georgia, upper South", "Tennessee"]),
        ("GA", "Midwest", ["Midwest"]),
        (None, "Midwest", ["Midwest"]),
        # a state that no figure was read for has no windows, and does not borrow any
        ("WY", None, []),
    ],
)
def test_the_state_s_windows_come_first_then_the_region_s(state, region, places):
    assert [one.place for one in windows_here("rye", state, region)] == places


@pytest.mark.usefixtures("georgia")
def test_a_state_s_window_for_grain_does_not_rule_out_sowing_for_browse():
    here = windows_here("oats", "AL", "upper South")
    assert [one.place for one in here] == ["Alabama", "Mississippi"]
    assert [one.place for one in windows_here("oats", "MS", None)] == ["Mississippi"]
    near = [one.place for one in windows_here("oats", "KY")]
    assert near == ["Alabama", "Mississippi", "Tennessee"]


def test_frost_seeding_and_sod_do_not_rule_out_sowing_in_autumn():
    for crop, state in (("red clover", "TN"), ("crimson clover", "OK")):
        here = windows_here(crop, state)
        own = [one for one in here if one.state == state]
        assert own
        assert all(one.one_use for one in own)
        assert any(one.state != state and not one.one_use for one in here)


@pytest.mark.usefixtures("georgia")
def test_open_ends_and_signs_on_the_ground():
    seed = Seed("milo", rate_lb_ac=1.0)
    assert windows_of(seed, None, "TN") == {"Tennessee": [((1, 1), (6, 10))]}
    assert windows_of(seed, None, "GA") == {}
    assert say_windows("milo", "GA") == "Georgia (soil 65 F for 5 days)"
    assert say_windows("milo", "TN") == "Tennessee to June 10 (to Jun 1 best)"
    assert (
        say_windows("rye", None, "Midwest")
        == "Midwest August 1-September 15 (frost seeding)"
    )
    assert say_windows("milo", "WY") is None


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("September 1 to October 15", "9.1-10.15"),
        ("Sept 5", "8.29-9.12"),
        ("mid-Sep to Oct 3", "9.11-10.3"),
        ("Nov 15-Feb 2", "11.15-2.2"),
        ("09-01 to 10-15", "9.1-10.15"),
        ("after Sep 1", "9.1-12.31"),
        ("Feb", "2.1-2.29"),
        ("May 5-31", "5.5-5.31"),
    ],
)
def test_forms_a_person_may_type(text, means):
    assert read_window(text).ranges == ranges_of(means)
    assert read_window(text).unread == ()


@pytest.mark.parametrize(
    ("text", "unread"),
    [
        ("soonish", ("soonish",)),
        ("Sep 1-Oct 15; when the dogwoods bloom", ("when the dogwoods bloom",)),
        ("Jun 31", ("Jun 31",)),
        ("may", ("may",)),
        ("9/1-10/15", ("9/1-10/15",)),
    ],
)
def test_what_cannot_be_read_is_told(text, unread):
    assert read_window(text).unread == unread


def test_a_window_across_new_year_holds_its_days():
    ranges = read_window("dormant Nov-Feb").ranges
    for month, day in ((11, 1), (12, 31), (1, 1), (2, 28)):
        assert inside(dt.date(2027, month, day), ranges)
    for month, day in ((10, 31), (3, 1)):
        assert not inside(dt.date(2027, month, day), ranges)


def test_a_window_for_sod_is_borrowed_only_where_no_other_was_read():
    lent = windows_here("crimson clover", "AL", "upper South")
    assert lent
    assert not any(one.method == "into sod" for one in lent)  # as Oklahoma prints one
    vegetable = windows_here("kale (forage)", "DE")
    assert vegetable
    assert all("vegetable" in one.method for one in vegetable)
    assert any("grain" in one.method for one in windows_here("cereal rye", "DE"))
