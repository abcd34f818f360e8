"""Acres by kind, what is printed beside them, and what deer would eat, worked by hand."""

import dataclasses

import pandas as pd
import pytest

from quietacre.errors import NeedProblem
from quietacre.figures import printed
from quietacre.need.exclosure import browse
from quietacre.need.forage import (
    SHARE,
    ClippedTold,
    ForageBalance,
    PrintedRange,
    _beside,
    forage_balance,
    how_much,
    published_ranges,
    range_line,
)
from quietacre.settings import Clips, Forage

REFUSED = "the forage balance needs figures above zero, and a utilisation of 1 at most; write 50 % as 0.5"


def test_what_deer_eat_against_what_plots_give():
    """12 deer, 3 lb a day, 100 days: 3,600 lb. 2.5 ac of 3,000 lb, 40 % of it eaten: 3,000."""
    found = forage_balance(12.0, 3.0, 100.0, 3000.0, 0.4, 2.5)
    text = (
        "12 deer × 3 lb × 100 days = 3,600 lb; 2.50 ac × 3,000 lb/ac × 0.4 = 3,000 lb: short by "
        "600 lb: 0.5 ac more would do"
    )
    assert printed(found.text) == text
    assert found == ForageBalance(3600.0, 3000.0, -600.0, 3.0, 2.5, 400.0, found.text)
    more = forage_balance(12.0, 3.0, 100.0, 3000.0, 0.4, 4.5)
    assert printed(more.text).endswith("= 5,400 lb: enough: 1.50 times what they would eat")
    assert (more.balance_lb, more.acres_needed) == (1800.0, 3.0)
    none = forage_balance(12.0, 3.0, 100.0, 3000.0, 0.4, 0.0)
    assert printed(none.text).endswith(
        "0.00 ac × 3,000 lb/ac × 0.4 = 0 lb: 3.0 ac would feed them"
    )
    tenth = forage_balance(12.0, 3.0, 100.0, 3000.0, 0.4, 0.1)
    assert printed(tenth.text).endswith("short by 3,480 lb: 2.9 ac more would do")


@pytest.mark.parametrize("place", range(5))
def test_a_balance_of_nothing_is_refused(place):
    figures = [12.0, 3.0, 100.0, 3000.0, 1.0]
    assert forage_balance(*figures, 1.0).given_lb == 3000.0
    for bad in (0.0, -1.0):
        with pytest.raises(NeedProblem) as caught:
            forage_balance(*(bad if n == place else v for n, v in enumerate(figures)), 1.0)
        assert str(caught.value) == REFUSED


def one(measure=SHARE, low=3.0, high=5.0, unit="% of the property", **more):
    return PrintedRange(measure, low, high, unit, "in all", "an agency", **more)


@pytest.mark.parametrize(
    ("row", "line"),
    [
        (one(), "3-5 % of the property: in all (an agency)"),
        (one(verdict="under"), "3-5 % of the property: in all (an agency); yours is under it"),
        (one("plot", 2.0, 4.0, "acres a plot"), "2-4 acres a plot: in all (an agency)"),
        (one("plot", 0.5, None, "acres a plot"), "0.5 or more acres a plot: in all (an agency)"),
        (one("intake", 2.0, 4.0, "lb a day"), "2-4 lb a day: in all (an agency)"),
    ],
)  # fmt: skip
def test_a_printed_range_in_a_line(row, line):
    assert printed(range_line(row)) == line


@pytest.mark.parametrize(
    ("share", "verdict"),
    [(2.9, "under"), (3.0, "within"), (4.0, "within"), (5.0, "within"), (5.1, "over"), (None, None)],
)  # fmt: skip
def test_a_share_lies_under_within_or_over_a_printed_one(share, verdict):
    assert _beside(one(), share, 200.0) == one(
        share_pct=(3.0, 5.0),
        acres=(pytest.approx(6.0), pytest.approx(10.0)),
        verdict=verdict,
    )
    assert _beside(one(), share, None).acres is None
    for other in (one("plot"), one(low=None), one(high=None)):
        assert _beside(other, share, 200.0) == other


AREAS = pd.DataFrame(
    {"kind": ["plot", "patch", "plot", "native"], "acres": [1.5, 7.0, 2.5, 0.25]}
)
BY_KIND = {"native": 0.25, "patch": 7.0, "plot": 4.0}
DEER = Forage(deer=10.0, intake_lb_day=2.0, days=100.0, yield_lb_ac=1000.0, utilisation=0.5)


def test_acres_by_kind_and_the_share_that_is_planted():
    found = how_much(AREAS, 160.0, None)
    assert (found.planted_acres, found.property_acres, found.share_pct) == (4.0, 160.0, 2.5)
    assert found.acres_by_kind == BY_KIND
    assert found.ranges == tuple(_beside(row, 2.5, 160.0) for row in published_ranges())
    assert (found.forage, found.clipped) == (None, None)
    assert [printed(line) for line in found.text] == [
        "native: 0.25 ac", "patch: 7.00 ac", "plot: 4.00 ac",
        "plots are 2.5 % of the 160.0 ac of the property",
        *(printed(range_line(row)) for row in found.ranges),
    ]  # fmt: skip
    bare = how_much(AREAS, None, None)
    assert bare.share_pct is None
    assert len(bare.text) == 3 + len(published_ranges())
    none = how_much(AREAS[1:2], 160.0, None)
    assert (none.planted_acres, none.share_pct) == (0.0, 0.0)


def test_deer_are_fed_by_the_yield_that_is_given_or_by_what_was_clipped():
    found = how_much(AREAS, None, DEER)
    assert found.forage == forage_balance(10.0, 2.0, 100.0, 1000.0, 0.5, 4.0)
    assert found.text[-1] == found.forage.text
    clips = Clips(inside_g=(40.0, 60.0), outside_g=(20.0, 25.0), area_ft2=4.0, dry_frac=0.5)
    eaten = browse((40.0, 60.0), (20.0, 25.0), 4.0, 0.5)
    clipped = how_much(
        AREAS, None, dataclasses.replace(DEER, clips=clips, yield_lb_ac=None)
    )
    assert clipped.clipped == ClippedTold(eaten, tuple(eaten.lines()))
    assert clipped.forage.given_lb == pytest.approx(0.5 * 4.0 * eaten.grown_lb_ac)
    assert clipped.text[-1 - len(eaten.lines()) : -1] == tuple(eaten.lines())
    both = how_much(AREAS, None, dataclasses.replace(DEER, clips=clips))
    assert both.forage == found.forage
    with pytest.raises(NeedProblem):
        how_much(AREAS, None, dataclasses.replace(DEER, yield_lb_ac=None))
