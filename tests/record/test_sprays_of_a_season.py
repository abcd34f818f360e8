"""Two sprays of one jug, and a top-dressing: what the log has of each is taken off it.

In each test the docstring is the log.
"""

import dataclasses
import datetime as dt

import pytest
from test_spent import NORTH, place, planned

from quietacre.settings import Feed, Spray

#: 64 fl oz on each of two acres, twice.
JUG = Spray("jug", use="foliar feed", rate_fl_oz_ac=64.0, pack_fl_oz=320.0)
FIRST, SECOND = dt.date(2027, 5, 1), dt.date(2027, 7, 1)


def sprays(test, tmp_path):
    fed = dataclasses.replace(NORTH, feed=(Feed("jug", on=FIRST), Feed("jug", on=SECOND)))
    prop = place(area=(fed,), spray=(JUG,))
    needs, _ = planned(test, tmp_path, prop, today=dt.date(2027, 8, 1))
    return [(row["done"], row["left"]) for row in needs["North"]["spray"]]


def test_one_and_a_half_sprays_leave_half_of_the_second(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-05-02,North,sprayed,jug,192,fl oz
    """
    found = sprays(test_one_and_a_half_sprays_leave_half_of_the_second, tmp_path)
    assert found == [
        (pytest.approx(128.0), 0.0),
        (pytest.approx(64.0), pytest.approx(64.0)),
    ]


def test_half_a_spray_is_of_the_first(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-05-02,North,sprayed,jug,64,fl oz
    """
    found = sprays(test_half_a_spray_is_of_the_first, tmp_path)
    assert found == [
        (pytest.approx(64.0), pytest.approx(64.0)),
        (0.0, pytest.approx(128.0)),
    ]


def test_both_sprays_leave_nothing_and_so_do_crumbs(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-05-02,North,sprayed,jug,128,fl oz
    2027-07-02,North,sprayed,jug,126,fl oz
    """
    found = sprays(test_both_sprays_leave_nothing_and_so_do_crumbs, tmp_path)
    assert [left for _, left in found] == [0.0, 0.0]
    assert [done for done, _ in found] == pytest.approx([128.0, 126.0])


def test_a_spray_of_last_year_is_of_neither(tmp_path):
    """
    date,area,task,item,amount,unit
    2026-05-02,North,sprayed,jug,128,fl oz
    """
    found = sprays(test_a_spray_of_last_year_is_of_neither, tmp_path)
    assert found == [(0.0, pytest.approx(128.0))] * 2


def test_what_was_top_dressed_is_taken_off_the_top_dressing_by_its_acres(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-10-20,North,top-dressed,34-0-0,88.24,lb
    """
    fed = dataclasses.replace(NORTH, topdress_n_lb_ac=20.0)
    needs, _ = planned(
        test_what_was_top_dressed_is_taken_off_the_top_dressing_by_its_acres,
        tmp_path, place(area=(fed,)), today=dt.date(2027, 10, 25),
    )  # fmt: skip
    rows = {row["when"]: row for row in needs["North"]["fertilizer"]}
    # 20 lb/ac on 2 acres are 40 lb of nitrogen; 30 lie there, 10 are 29.4 lb of 34-0-0
    assert rows["top-dressing"]["lb"] == pytest.approx(10 / 0.34, rel=1e-3)
    assert needs["North"]["done_lb_ac"]["n"] == pytest.approx(15.0, abs=0.01)
