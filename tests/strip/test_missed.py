"""A missed cut: the gap since the last logged one grows, and with it the width asked for."""

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from quietacre.settings import StripSettings
from quietacre.strip.plan import plan_strips

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
    assert "because a cut was missed" in row["case"]["why"]


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
