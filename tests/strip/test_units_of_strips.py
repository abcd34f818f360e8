"""What is said of strips and of edges, in US and in metric units."""

import datetime as dt

import pytest
import shapely

from quietacre.edit.edge_error import OldEdge, new_error
from quietacre.errors import StripProblem
from quietacre.figures import feet, printed
from quietacre.kept_years import OpenJob, PieceYear, YearRecord
from quietacre.strip.advance import Change
from quietacre.strip.missed import Missed
from quietacre.strip.ring import strip_ring
from quietacre.strip.since import Surveyed, since_survey
from quietacre.strip.width import Case, Mower

D = dt.date
SQUARE = shapely.box(-87.0, 34.0, -86.999, 34.001)


def both(text):
    return printed(text), printed(text, metric=True)


def refused(*arguments, do):
    with pytest.raises(StripProblem) as refusal:
        do(*arguments)
    return both(refusal.value.what)


def test_what_is_refused():
    assert refused(6.0, 6.5, do=Mower) == (
        "a mower 6 ft wide cannot overlap 6.5 ft",
        "a mower 1.83 m wide cannot overlap 1.98 m",
    )
    assert refused(SQUARE, -2.5, do=strip_ring) == (
        "a strip -2.5 ft wide is none",
        "a strip -0.762 m wide is none",
    )
    us, metric = refused(shapely.box(-90, 30, -80, 40), 60.0, do=strip_ring)
    assert "miles long" in us
    assert us.endswith("; the limit for a strip is 200 miles")
    assert metric.endswith("; the limit for a strip is 322 km")
    assert " miles" not in metric


def test_a_change_has_its_signs_in_both_units():
    assert both(Change(-1.0, -2.5, 0.5).text) == (
        "-1.00 ac (19 times in 20 between -2.50 and +0.50)",
        "-0.40 ha (19 times in 20 between -1.01 and +0.20)",
    )


def test_a_missed_cut_says_what_width_is_asked():
    case = Case(D(2027, 5, 1), D(2027, 7, 1), Mower(6.0, 0.5))
    missed = Missed(case, D(2027, 5, 1), D(2027, 7, 1), "strip cut", D(2027, 6, 1))
    us, metric = both(missed.words("V strip", D(2027, 6, 20), 83.4)[1])
    assert "The strip asks for 83 ft, and" in us
    assert metric == us.replace("83 ft", "25.4 m")


def test_vine_beyond_its_strip_is_told_with_acres_and_width():
    old = shapely.box(-87.0, 34.0, -86.999, 34.001)
    new = old.union(shapely.box(-87.0, 34.0, -86.997, 34.0002))
    patch = Surveyed("V", old, new, None, None, None, None)
    _, notes = since_survey([patch], 66.5)
    us, metric = both(notes[0].head)
    # 184.7 m less 20.3 m of strip and 4.2 m of the surveys' error, by 22.2 m
    assert (
        us
        == "the new survey of “V” has 0.879 ac of vine beyond its strip of 67 ft, on the E side"
    )
    assert (
        metric
        == "the new survey of “V” has 0.356 ha of vine beyond its strip of 20.3 m, on the E side"
    )


def test_corners_that_stayed_say_how_far_off_they_are():
    old = OldEdge("V", SQUARE, 12.5)
    assert both(new_error(3.0, [old], SQUARE, walked=False).said) == (
        "corners that stayed may be off by 12.5 ft, so that holds for all",
        "corners that stayed may be off by 3.81 m, so that holds for all",
    )


def test_a_kept_year_holds_printed_text():
    job = OpenJob("V", f"cut {feet(66.5)}", "missed", "2026-12-01")
    record = YearRecord(2026, "2027-01-01", PieceYear("all ground"), open_jobs=(job,))
    assert '"cut 67 ft"' in record.to_json()
