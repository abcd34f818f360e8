"""A missed cut: the gap since the last logged one grows, and with it the width asked for."""

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from quietacre.record.words import CUT
from quietacre.settings import StripSettings, Work
from quietacre.strip.cuts import Cut
from quietacre.strip.missed import missed_cut
from quietacre.strip.plan import plan_strips
from quietacre.strip.width import Case, Mower

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days

D = dt.date
NAME = "Vine strip"


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    # quiet from April 15 to July 31; weekends; the vine runs from March 11 to November 20
    return bench_days.Place("ridge", tmp_path_factory.mktemp("ridge"))


def strip(place, today, *cuts):
    return plan_strips(
        place.areas, place.prop, None, today=today, walk_sigma={}, cuts={NAME: cuts}
    ).report[0]


def told(row):
    return [note["text"] for note in row["notes"] if note["code"] == "strip-cut-missed"]


def test_no_width_shrinks_within_its_year(place):
    # the quiet of 2028 lies so on the weekends that it asks for more than that of 2029
    new_year = D(2028, 1, 1)
    days = [new_year + dt.timedelta(days=n) for n in range(0, 366, 15)]
    widths = [strip(place, day)["width_ft"] for day in days]
    assert widths == sorted(widths)


def test_the_gap_since_the_last_logged_cut_grows_day_by_day(place):
    on_time = strip(place, D(2027, 4, 20), D(2027, 4, 10))
    assert told(on_time) == []
    late = strip(place, D(2027, 4, 20), D(2027, 3, 27))
    (text,) = told(late)
    assert (
        "the last strip cut before the quiet of “Vine strip”, by April 11, was missed"
        in text
    )
    assert "24 days old (March 27, 2027), and the next can be on August 1, 2027" in text
    assert "the vine may be across: send someone to walk the outer edge" in text
    widths = []
    for day in (D(2027, 4, 20), D(2027, 8, 12), D(2027, 8, 20), D(2027, 9, 15)):
        row = strip(place, day, D(2027, 3, 27))
        assert len(told(row)) == 1
        assert row["width_ft"] >= on_time["width_ft"]
        widths.append(row["width_ft"])
    assert widths == sorted(widths)
    assert widths[-1] > widths[0]
    assert row["case"]["last_cut"] == "2027-03-27"
    assert row["case"]["why"].startswith(
        "last cut in the log March 27, 2027, next cut September 18, 2027 and up to 10 days of "
        "bad weather after it, because a cut was missed; as planned: last cut "
    )


def test_a_cut_in_the_log_ends_the_gap(place):
    row = strip(place, D(2027, 9, 15), D(2027, 3, 27), D(2027, 9, 11))
    assert told(row) == []


@pytest.mark.parametrize("cuts", [(), (D(2025, 9, 1),), (D(2028, 1, 1),)])
def test_without_a_cut_in_the_log_of_the_year_there_is_nothing_to_go_by(place, cuts):
    assert told(strip(place, D(2027, 9, 15), *cuts)) == []


def test_a_routine_cut_that_was_missed_is_told_before_the_width_has_to_grow(place):
    row = strip(place, D(2027, 9, 29), D(2027, 8, 28))
    (text,) = told(row)
    assert "routine strip cut" in text
    assert row["width_ft"] == strip(place, D(2027, 9, 29), D(2027, 9, 25))["width_ft"]


def test_how_often_a_strip_is_cut_is_no_less_for_a_cut_that_was_missed(place):
    """It is wider then for want of a cut, and no reason to cut it seldom."""
    (area,) = [one for one in place.prop.area if one.kind == "patch"]
    short = StripSettings(last_cut=D(2027, 4, 10), next_cut=D(2027, 4, 14), slip_days=0)
    prop = replace(
        place.prop,
        area=tuple(
            replace(one, strip=short) if one is area else one for one in place.prop.area
        ),
    )

    def laid(*cuts):
        (ring,) = plan_strips(
            place.areas, prop, None, today=D(2027, 8, 20), walk_sigma={}, cuts={NAME: cuts}
        ).rings
        return ring

    planned, late = laid(), laid(D(2027, 3, 27))
    assert late.wanted.width_ft > planned.wanted.width_ft
    assert late.holding.cut_every_days == planned.holding.cut_every_days < 14


# ---- by hand: a cut planned for June 10 to 20, looked at on a day with no quiet season ------------
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
CASE = Case(D(2027, 6, 1), D(2027, 6, 15), Mower(6.0, 0.5))
JUNE = Cut("k", CUT, "June cut", "", D(2027, 6, 10), D(2027, 6, 15), D(2027, 6, 20))


def missed(logged, today, planned=(JUNE,), case=CASE):
    return missed_cut(case, planned, logged, today, (), (), EVERY_DAY)


def test_a_cut_is_missed_the_day_after_its_last():
    assert missed([D(2027, 5, 1)], D(2027, 6, 20)) is None
    late = missed([D(2027, 5, 1)], D(2027, 6, 21))
    assert (late.label, late.last, late.since) == (
        "June cut",
        D(2027, 6, 20),
        D(2027, 5, 1),
    )
    assert late.next_cut == D(2027, 6, 21)
    assert (late.case.last_cut, late.case.next_cut) == (D(2027, 5, 1), D(2027, 6, 21))


def test_a_cut_a_week_before_its_window_was_that_cut():
    assert missed([D(2027, 6, 3)], D(2027, 7, 1)) is None
    assert missed([D(2027, 6, 2)], D(2027, 7, 1)).since == D(2027, 6, 2)


def test_a_cut_of_today_and_one_a_year_old_count_and_no_older_one():
    today = D(2027, 7, 1)
    assert missed([today], today) is None
    assert missed([today + dt.timedelta(days=1)], today) is None
    old = D(2027, 5, 1)
    assert missed([old, today], today) is None, "cut today"
    assert missed([old, today + dt.timedelta(days=1)], today).since == old
    year = today - dt.timedelta(days=366)
    assert missed([year], today).since == year
    assert missed([year - dt.timedelta(days=1)], today) is None


def test_the_cut_that_was_missed_last_is_named_and_other_jobs_are_none():
    july = replace(JUNE, label="July cut", latest=D(2027, 7, 5))
    walk = replace(JUNE, label="walk", task="walk and pull", latest=D(2027, 7, 6))
    made = missed([D(2027, 5, 1)], D(2027, 7, 9), (JUNE, july, walk))
    assert (made.label, made.last) == ("July cut", D(2027, 7, 5))


def test_where_the_gap_asks_for_no_more_the_plan_stands():
    """From a cut of May 31 to today there is less growth than the plan's width is for."""
    long = replace(CASE, last_cut=D(2027, 4, 1), next_cut=D(2027, 8, 1))
    assert missed([D(2027, 5, 31)], D(2027, 6, 21), case=long).case is long
    winter = Case(D(2026, 12, 1), D(2027, 1, 10), Mower(6.0, 0.5))
    cut = replace(JUNE, earliest=D(2027, 1, 2), ideal=D(2027, 1, 3), latest=D(2027, 1, 4))
    assert missed([D(2026, 12, 2)], D(2027, 1, 8), (cut,), winter).case is winter
