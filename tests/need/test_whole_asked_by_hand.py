"""The whole of what ground asks, before anything is taken off: days, weights, amounts, lime's worth."""

import datetime as dt

import pytest
from planted_ground import FALL, ground, limed, plot, row, tank

from quietacre.need.grade import Grade
from quietacre.need.gross import Gross, _by_nutrient, _of_its_days
from quietacre.need.job import NEVER
from quietacre.record.uses import Window, season_of
from quietacre.settings import Mix, Property, PropertyInfo, Seed

D = dt.date
TODAY = D(2027, 10, 1)
SPRING = Window(D(2027, 1, 1), D(2027, 6, 30))
OATS = Mix("grain", (Seed("oats", rate_lb_ac=90.0, basis="bulk"),))
TWO = Mix("two", (Seed("oats", rate_lb_ac=40.0, basis="bulk"),
                  Seed("wheat", rate_lb_ac=30.0, basis="bulk")))  # fmt: skip


def whole(*jobs, plots=(), grades=(), **more):
    prop = Property(PropertyInfo("x"), mix=(OATS, TWO), **more)
    return Gross(jobs, {one.key: one for one in plots}, grades, prop, "lime-ag", TODAY)


# ---- whose day it is -------------------------------------------------------------------------------------
def test_a_day_is_of_the_planting_whose_season_holds_it_then_of_its_days_in_other_years():
    one = ground("a01", season=SPRING)
    two = ground("a01+2", season=FALL, lime_line=limed(1.0))
    other = ground("a02", "South", season=SPRING)
    plan = whole(one, two, other)
    assert plan.job("North", D(2027, 6, 30)) is one
    assert plan.job("North", D(2027, 7, 1)) is two
    assert plan.job("North", D(2025, 6, 30)) is one
    assert plan.job("North", D(2025, 7, 1)) is two
    assert plan.job("North", D(2025, 1, 31)) is one
    assert plan.job("North", D(2027, 6, 30), "lime") is two
    assert plan.job("South", D(2025, 9, 9)) is other
    assert plan.job("West", D(2027, 7, 1)) is None
    never = whole(ground("a", season=NEVER), ground("b", season=NEVER, lime_line=None))
    assert never.job("North", D(2027, 7, 1)).key == "a"
    assert never.job("North", D(2027, 7, 1), "lime").key == "a"


def test_days_of_a_season_in_any_year():
    winter = Window(D(2027, 11, 1), D(2028, 2, 28))
    days = (D(2020, 10, 31), D(2020, 11, 1), D(2020, 2, 28), D(2020, 3, 1))
    assert [_of_its_days(day, winter) for day in days] == [False, True, True, False]
    assert not _of_its_days(D(2020, 1, 1), Window())
    assert _of_its_days(D(2020, 1, 1), Window(D(2027, 1, 1), None))
    assert not _of_its_days(D(2020, 1, 1), Window(D(2027, 1, 2), None))


def test_windows_and_acres_are_those_of_the_planting():
    one, two = ground("a", season=SPRING, acres=3.0), ground("b", season=FALL)
    plan = whole(one, two)
    assert plan.window("North", "plant", D(2027, 2, 2)) == SPRING
    assert plan.window("North", "fertilize", D(2027, 8, 2)) == FALL
    assert plan.window("North", "lime", D(2027, 2, 2)) == Window(D(2026, 1, 1), None)
    assert plan.window("West", "lime", D(2027, 2, 2)) == season_of(None, D(2027, 2, 2))
    assert (plan.acres("North"), plan.acres("West")) == (3.0, 0.0)


# ---- amounts ---------------------------------------------------------------------------------------------
def asked(plan, task, item="", mix="", ground="North"):
    return dict(plan.amounts(ground, task, D(2027, 9, 1), item, mix))


def test_seed_lime_and_sprays_are_those_of_the_ground_or_of_the_item_named():
    job = ground(
        mix=OATS, seed=(row("oats", 100.0), row("oats", 80.0), row("rye", 0.0)),
        lime_line=limed(1.5), spray=[tank("jug", 64.0), tank("can", 5.0), tank("jug", 32.0)],
    )  # fmt: skip
    plan = whole(job, ground("b", "South"))
    assert asked(plan, "plant") == {"oats": 180.0}
    assert asked(plan, "plant", "oats") == {"oats": 180.0}
    assert asked(plan, "plant", "rye") == {"rye": 0.0}
    assert asked(plan, "plant", "wheat") == {}
    # of another mix that was sown: 40 and 30 lb an acre
    assert asked(plan, "plant", mix="two") == {"oats": 80.0, "wheat": 60.0}
    assert asked(plan, "plant", "wheat", "two") == {"wheat": 60.0}
    assert asked(plan, "plant", mix="grain") == {"oats": 180.0}
    assert asked(plan, "plant", mix="no mix") == {"oats": 180.0}
    assert asked(plan, "plant") == {"oats": 180.0}
    assert asked(plan, "lime") == {"lime-ag": 3000.0}
    assert asked(plan, "lime", "slag") == {"slag": 3000.0}
    assert asked(plan, "spray") == {"jug": 96.0, "can": 5.0}
    assert asked(plan, "spray", "can") == {"can": 5.0}
    assert asked(plan, "spray", "dust") == {}
    for task in ("plant", "lime", "spray", "fertilize"):
        assert asked(plan, task, ground="South") == {}
    assert asked(plan, "lime", "slag", ground="South") == {"slag": 0.0}
    assert asked(plan, "plant", ground="West") == {}
    assert plan.wanted("oats") == 180.0
    assert plan.wanted("jug") == 96.0
    assert plan.wanted("lime-ag") == 3000.0
    assert plan.wanted("slag") == 0.0


NITRATE = Grade("34-0-0", 0.34, 0.0, 0.0, price=19.0, max_bags=1)
POTASH = Grade("0-0-60", 0.0, 0.0, 0.6, price=21.0)


def test_feed_is_that_of_the_ground_alone_and_as_many_bags_as_it_takes():
    """Two acres at 34 lb are 200 lb of 34-0-0, four bags, though one is to be had."""
    plots = (plot(n=34.0), plot("a01+top", n=17.0), plot("a02", k2o=60.0))
    plan = whole(ground(), ground("a02", "South"), plots=plots, grades=[NITRATE, POTASH])
    assert asked(plan, "fertilize") == {"34-0-0": pytest.approx(200.0, abs=0.01)}
    assert asked(plan, "fertilize", "34-0-0") == asked(plan, "fertilize")
    assert asked(plan, "top-dress") == {"34-0-0": pytest.approx(100.0, abs=0.01)}
    assert asked(plan, "fertilize", ground="South") == {
        "0-0-60": pytest.approx(200.0, abs=0.01)
    }
    assert asked(plan, "top-dress", ground="South") == asked(
        plan, "fertilize", ground="South"
    )
    # of another product: what brings the first of the needs that it carries, now and later
    assert asked(plan, "fertilize", "17-0-0") == {"17-0-0": pytest.approx(600.0)}
    assert asked(plan, "fertilize", "0-46-0") == {"0-46-0": 0.0}
    assert plan.wanted("34-0-0") == pytest.approx(300.0, abs=0.01)
    assert plan.wanted("0-0-60") == pytest.approx(200.0, abs=0.01)
    bare = whole(ground(), plots=plots)
    assert asked(bare, "fertilize") == {}
    assert asked(bare, "fertilize", "17-0-0") == {"17-0-0": pytest.approx(600.0)}
    assert bare.wanted("34-0-0") == 0.0


def test_weights_are_nutrients_for_feed_and_pounds_for_the_rest():
    job = ground(seed=(row("oats", 100.0), row("rye", 20.0)), lime_line=limed(1.5))
    plots = (plot(n=34.0, k2o=30.0), plot("a01+top", n=17.0))
    plan = whole(job, plots=plots, grades=[NITRATE])

    def weight(task, item="", ground="North"):
        return plan.weight(ground, task, D(2027, 9, 1), item)

    assert weight("fertilize") == 68 + 60 + 34
    assert weight("fertilize", "34-0-0") == pytest.approx(300.0)
    assert weight("top-dress", "34-0-10") == pytest.approx(600.0)
    assert weight("fertilize", "0-46-0") == 0.0
    assert weight("plant") == 120.0
    assert weight("plant", "rye") == 20.0
    assert weight("lime", "slag") == weight("lime") == 3000.0
    assert weight("plant", ground="West") == 0.0


def test_pounds_of_a_product_by_each_nutrient_it_carries_and_the_ground_asks():
    need = {"n": 30.0, "p2o5": 0.0, "k2o": 12.0, "s": 6.0}
    assert _by_nutrient(need, "10-20-5-2S") == pytest.approx([300.0, 240.0, 300.0])
    assert _by_nutrient({**need, "n": 0.5}, "50-0-0") == [1.0]
    assert _by_nutrient(need, "0-46-0") == []
    assert _by_nutrient(need, "posts") == []
