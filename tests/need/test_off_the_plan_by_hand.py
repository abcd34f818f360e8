"""What was done is taken off what ground needs: seed, lime by its worth, feed and sprays."""

import dataclasses
import datetime as dt

import pytest
from planted_ground import ground, limed, plot, row, tank

from quietacre.need.account import Account, account_of
from quietacre.need.done import Done
from quietacre.need.job import NEVER
from quietacre.need.lime import Lime
from quietacre.need.taken_off import (
    lime_worth,
    spread_lb,
    staying_days,
    take_off_feed,
    take_off_lime,
    take_off_seed,
    take_off_spray,
)
from quietacre.record.uses import Use, Window
from quietacre.settings import Product, Property, PropertyInfo, SoilTest

D = dt.date
DAY = D(2027, 9, 1)
TODAY = D(2027, 10, 1)


# ---- taken off -------------------------------------------------------------------------------------------
def use(task, item, amount, on=DAY):
    return Use(on, "North", task, item, amount, "written", 2)


def test_seed_that_was_sown_is_off_with_its_days():
    job = ground(seed=(row("oats", 100.0), row("rye", 20.0)), sown_on=D(2027, 9, 3))
    uses = [use("plant", "oats", 60.0), use("plant", "oats", 30.0, D(2027, 9, 5)),
            use("plant", "vetch", 4.0), use("plant", "", 9.0), use("lime", "rye", 9.0),
            use("plant", "oats", 900.0, D(2027, 6, 30))]  # fmt: skip
    assert list(take_off_seed(job, uses)) == [
        Done.of("seed", "oats", "lb", 90.0, (D(2027, 9, 1), D(2027, 9, 5)), 100.0, 0.0),
        Done.of("seed", "rye", "lb", 0.0, (D(2027, 9, 3),), 20.0, 0.0),
        Done.of("seed", "vetch", "lb", 4.0, (D(2027, 9, 1),), 0.0, 0.0),
    ]
    assert job.seed == ()
    assert list(take_off_seed(ground(sown_on=D(2027, 9, 3)), uses)) == []
    still = ground(seed=(row("oats", 100.0),))
    assert list(take_off_seed(still, uses)) == []
    assert len(still.seed) == 1


AG = Product("lime-ag", ecce_pct=100.0)
PELLET = Product("lime-pellet", ecce_pct=80.0)
TEST = SoilTest("lab", lime_ton_ac=5.0, lime_basis="ECCE", lime_basis_pct=100.0)
NO_TEST = SoilTest("lab")


def lime_place(*products):
    return Property(PropertyInfo("x"), product=products)


def test_a_ton_of_another_lime_is_worth_its_part_of_the_planned():
    prop = lime_place(AG, PELLET, Product("lime-rock"))
    job = ground(test=TEST)
    assert lime_worth(job, "lime-ag", prop) == 1.0
    assert lime_worth(job, "lime-pellet", prop) == pytest.approx(0.8)
    assert lime_worth(job, "slag", lime_place()) == 1.0
    assert lime_worth(ground(), "slag", prop) == 1.0
    assert job.notes == []
    assert lime_worth(job, "slag", prop) == 1.0
    assert job.notes == [
        ("log-lime", "the log has “slag” on it, whose worth is not known", "caution",
         "it counts as lime-ag.")
    ]  # fmt: skip
    less = ground(test=dataclasses.replace(TEST, lime_ton_ac=0.4))
    assert lime_worth(less, "lime-pellet", prop) == pytest.approx(0.8)
    assert less.notes == []
    none = ground(test=NO_TEST)
    assert lime_worth(none, "lime-pellet", prop) == 1.0
    assert len(none.notes) == 1


def lime_job(**more):
    """Return ground whose test asks ten tons on two acres: four now, four later, two after that."""
    lime = Lime(5.0, "lime-ag", "ECCE", "", parts_ton_ac=(2.0, 2.0, 1.0))
    return ground(**{"test": TEST, "lime": lime, "lime_line": limed(4.0), **more})


def test_lime_is_off_by_its_worth_and_part_by_part():
    prop = lime_place(AG, PELLET)
    job = lime_job()
    uses = [use("lime", "lime-ag", 1000.0), use("lime", "lime-pellet", 2500.0),
            use("lime", "lime-ag", 9000.0, D(2025, 12, 31))]  # fmt: skip
    assert list(take_off_lime(job, uses, prop, TODAY)) == [
        Done.of("lime", "lime-ag", "lb", 3000.0, (DAY,), 8000.0, 5000.0)
    ]
    assert job.lime_line == dataclasses.replace(
        limed(4.0), ton=2.5, ton_ac=1.25, ton_low=2.25, ton_high=3.0
    )
    assert job.notes == []
    down = lime_job()
    (done,) = take_off_lime(down, [use("lime", "lime-ag", 7700.0)], prop, TODAY)
    assert (done.left, done.amount, done.needed) == (0.0, pytest.approx(7700.0), 8000.0)
    assert down.lime_line is None
    assert down.notes == [
        (
            "lime-in-parts",
            "what goes on now of the lime is down; 2.00 tons an acre more go on two to three "
            "years later, by a soil test taken then.",
            "info", "",
        )
    ]  # fmt: skip
    nameless = lime_job(lime=Lime(2.0, None, "ECCE", "", parts_ton_ac=(2.0,)))
    (done,) = take_off_lime(nameless, [use("lime", "lime-ag", 8000.0)], prop, TODAY)
    assert (done.item, nameless.notes) == ("lime", [])
    none = lime_job()
    assert list(take_off_lime(none, [], prop, TODAY)) == []
    assert none.lime_line == limed(4.0)


def test_lime_where_none_is_asked_is_told_by_what_it_was():
    prop = lime_place(AG)
    uses = [use("lime", "slag", 300.0), use("lime", "lime-ag", 500.0, D(2027, 9, 4))]
    told = Done.of("lime", "slag", "lb", 800.0, (D(2027, 9, 1), D(2027, 9, 4)), 0.0, 0.0)
    assert list(take_off_lime(ground(), uses, prop, TODAY)) == [told]
    assert list(take_off_lime(lime_job(lime=None), uses, prop, TODAY)) == [told]
    assert list(take_off_lime(lime_job(lime_line=None), uses, prop, TODAY)) == [told]
    other = lime_job(lime_line=None, limed_with="spring")
    assert list(take_off_lime(other, uses, prop, TODAY)) == []
    assert list(take_off_lime(ground(), [use("lime", "slag", 0.0)], prop, TODAY)) == []
    (little,) = take_off_lime(ground(), [use("lime", "slag", 0.5)], prop, TODAY)
    assert little.amount == 0.5


def test_phosphate_and_potash_count_since_the_test_and_the_rest_in_season():
    job = ground()
    uses = [use("fertilize", "10-10-10-10S", 100.0, D(2026, 6, 1)),
            use("top-dress", "20-0-0", 100.0), use("fertilize", "posts", 9.0),
            use("fertilize", "0-46-0", 900.0, D(2026, 5, 31))]  # fmt: skip
    assert spread_lb(job, uses) == pytest.approx(
        {"n": 20.0, "p2o5": 10.0, "k2o": 10.0, "s": 0.0}
    )
    assert staying_days(job) == Window(D(2026, 6, 1), None)
    fed = ground(fed_before="spring")
    assert staying_days(fed) == NEVER
    assert spread_lb(fed, uses)["p2o5"] == 0.0


def feed(job, plots, *uses, others=()):
    left, done = take_off_feed(job, plots, uses, others)
    return [dict(one.given_lb_ac) for one in left], done


def test_feed_is_off_by_the_acre_and_told_by_its_days():
    spring = D(2026, 9, 1)
    uses = [use("fertilize", "10-10-10", 100.0, spring), use("fertilize", "20-0-0", 60.0),
            use("fertilize", "", 9.0)]  # fmt: skip
    job = ground()
    given, done = feed(job, [plot(n=34.0, k2o=30.0)], *uses)
    assert given == [pytest.approx({"n": 6.0, "p2o5": 5.0, "k2o": 5.0})]
    assert job.done_lb_ac == pytest.approx({"n": 6.0, "p2o5": 5.0, "k2o": 5.0, "s": 0.0})
    assert done == [
        Done.of("fertilizer", "10-10-10", "lb", 100.0, (spring,)),
        Done.of("fertilizer", "20-0-0", "lb", 60.0, (D(2027, 9, 1),)),
    ]
    _, done = feed(ground(), [], *uses, others=[Window(spring, spring)])
    assert [one.item for one in done] == ["20-0-0"]
    bare = ground()
    assert feed(bare, [plot(n=34.0)]) == ([{}], [])
    assert bare.done_lb_ac is None
    small = feed(
        ground(acres=0.5), [plot(acres=0.5, n=34.0)], use("fertilize", "20-0-0", 50.0)
    )
    assert small[0] == [{"n": 20.0}]
    none = ground(acres=0.0)
    assert feed(none, [plot(acres=0.0, n=34.0)], *uses)[0] == [{}]
    assert none.done_lb_ac is None


@pytest.mark.parametrize(
    ("early_lb", "late_lb", "now", "later"),
    [
        (0.0, 20.0, 0.0, 10.0),  # what was top-dressed is the top-dressing's
        (0.0, 34.0, 0.0, 17.0),
        (0.0, 40.0, 3.0, 17.0),  # and beyond that the planting's
        (68.0, 0.0, 34.0, 0.0),
        (80.0, 0.0, 34.0, 6.0),  # what is more than the planting asks is the top-dressing's
        (120.0, 0.0, 43.0, 17.0),
        (80.0, 30.0, 38.0, 17.0),
    ],
)
def test_nitrogen_is_shared_between_planting_and_top_dressing(
    early_lb, late_lb, now, later
):
    """68 lb are asked at planting on two acres, 34 later."""
    uses = [use("fertilize", "100-0-0", early_lb), use("top-dress", "100-0-0", late_lb)]
    given, _ = feed(ground(), [plot(n=34.0), plot("a01+top", n=17.0)], *uses)
    assert [one.get("n", 0.0) for one in given] == pytest.approx([now, later])


def test_a_spray_counts_half_a_year_about_its_day_and_what_is_more_is_the_next_ones():
    job = ground(
        spray=[tank("jug", 100.0, on=D(2027, 5, 1)), tank("jug", 50.0), tank("can", 9.0)]
    )
    uses = [
        use("spray", "jug", 120.0, D(2027, 5, 2)),
        use("spray", "jug", 9.0, D(2026, 10, 1)),
    ]
    done = list(take_off_spray(job, uses, TODAY))
    assert [(one.done, one.left) for one in job.spray] == [
        (100.0, 0.0),
        (20.0, 30.0),
        (0.0, 9.0),
    ]
    days = (D(2027, 5, 2),)
    assert done == [
        Done.of("spray", "jug", "fl oz", 100.0, days, 100.0, 0.0),
        Done.of("spray", "jug", "fl oz", 20.0, days, 50.0, 30.0),
    ]
    drop = ground(spray=[tank("jug", 100.0)])
    assert len(list(take_off_spray(drop, [use("spray", "jug", 0.5)], TODAY))) == 1
    assert drop.spray[0].left == 99.5
    least = ground(spray=[tank("jug", 100.0)])
    list(take_off_spray(least, [use("spray", "jug", 95.0)], TODAY))
    assert least.spray[0].left == 5.0
    list(take_off_spray(least, [use("spray", "jug", 95.5)], TODAY))
    assert least.spray[0].left == 0.0


def test_no_account_without_a_day_but_what_the_stock_says():
    prop = lime_place(AG)
    account = account_of([], [], [], prop, None)
    assert account == Account(goods=account.goods)
    assert account.goods is not None
