"""What is on hand, counted by hand: a stock, purchases and uses of the days after it.

A bag that is taken to be there and is not, is a Saturday lost; one that is there and not
seen is bought twice.
"""

import datetime as dt

import pytest

from quietacre.record.goods import Good, Goods
from quietacre.record.moved import Line
from quietacre.record.on_hand import Held, bought_of, counted, spent_of, stock_of
from quietacre.record.uses import Use
from quietacre.settings import Property, PropertyInfo, Stock

D = dt.date
MARCH = D(2027, 3, 1)
OATS = Good("oats", "seed", "lb", 50.0, 25.0)
JUG = Good("jug", "spray", "fl oz", 128.0, 40.0)
LOOSE = Good("litter", "fertilizer", "lb", None, None)
GOODS = Goods(
    {"oats": OATS, "jug": JUG, "litter": LOOSE}, {"oats": "oats", "jug": "jug"}, ""
)


def bought(*lines, wanted=0.0):
    return bought_of(lines, GOODS, lambda _: wanted)


def line(day=MARCH, item="oats", amount=None, price=None, parts=()):
    return Line(day, 2, parts, item, amount, price_usd=price)


# purchases


def test_a_purchase_with_amount_and_price_is_as_written():
    (one,) = bought(line(amount=200.0, price=90.0))
    assert (one.amount, one.price_usd, one.how, one.counts) == (
        200.0,
        90.0,
        "written",
        True,
    )
    assert bought(line(amount=200.0, parts=(("P", "plant"),))) == (), "sown, not bought"


def test_a_purchase_without_a_price_costs_its_packs():
    # 200 lb are four bags of 25 dollars
    (one,) = bought(line(amount=200.0))
    assert (one.price_usd, one.how) == (100.0, "written, unpriced")
    (loose,) = bought(line(item="litter", amount=200.0))
    assert (loose.price_usd, loose.how) == (None, "written")


def test_what_was_paid_says_how_many_bags():
    # 110 dollars are four bags of 25 and a little; 3 dollars are one bag at least
    assert bought(line(price=110.0))[0].amount == 200.0
    assert bought(line(price=3.0))[0].amount == 50.0
    assert bought(line(price=110.0))[0].how == "price"


def test_without_either_it_is_what_the_plan_still_wants_in_whole_bags():
    # 130 lb are three bags; after one bag was bought, two
    assert bought(line(), wanted=130.0)[0].amount == 150.0
    second = bought(line(amount=50.0), line(day=D(2027, 3, 2)), wanted=130.0)[1]
    assert (second.amount, second.how) == (100.0, "plan, unpriced")
    enough = bought(line(amount=150.0), line(day=D(2027, 3, 2)), wanted=130.0)[1]
    assert (enough.amount, enough.counts) == (0.0, True)
    (nobody,) = bought(line())
    assert (nobody.amount, nobody.counts, nobody.how) == (0.0, False, "plan")
    assert not bought(line(item=""), wanted=130.0)[0].counts


# the shed


def use(day, amount, item="oats"):
    return Use(day, "P", "plant", item, amount, "written", 3)


def shed(*, stock=(), lines=(), uses=()):
    prop = Property(PropertyInfo("x"), stock=tuple(stock))
    return stock_of(prop, GOODS, bought(*lines), uses)


def test_a_count_holds_from_the_day_after_it():
    stock = Stock("oats", bags=4.0, on=D(2027, 3, 1))
    days = [D(2027, 2, 28), D(2027, 3, 1), D(2027, 3, 2)]
    held = shed(
        stock=[stock],
        lines=[line(day, amount=50.0) for day in days],
        uses=[use(day, 30.0) for day in days],
    )["oats"]
    # 200 counted, and of the three days only the last is not in the count
    assert (held.counted, held.bought, held.used) == (200.0, 50.0, 30.0)
    assert held.on_hand == held.balance == 220.0
    assert [held.changes_on(day) for day in days] == [False, False, True]


def test_without_a_count_the_log_begins_with_the_first_purchase():
    held = shed(
        lines=[line(D(2027, 3, 5), amount=100.0), line(D(2027, 3, 2), amount=50.0)],
        uses=[use(D(2027, 3, 1), 30.0), use(D(2027, 3, 2), 20.0), use(D(2027, 4, 1), 10.0)],
    )["oats"]
    assert (held.counted, held.bought, held.used, held.first) == (
        0.0,
        150.0,
        30.0,
        D(2027, 3, 2),
    )
    assert held.on_hand == 120.0
    assert [held.changes_on(D(2027, 3, n)) for n in (1, 2, 3)] == [False, True, True]


def test_more_used_than_there_was_is_nothing_on_hand_and_a_balance_below():
    held = shed(lines=[line(amount=50.0)], uses=[use(D(2027, 3, 2), 80.0)])["oats"]
    assert (held.balance, held.on_hand) == (-30.0, 0.0)


def test_a_stock_without_a_day_is_changed_by_no_line():
    held = shed(
        stock=[Stock("oats", bags=4.0)],
        lines=[line(amount=50.0)],
        uses=[use(D(2027, 3, 2), 30.0)],
    )["oats"]
    assert (held.dated, held.bought, held.used) == (False, 50.0, 30.0)
    assert held.on_hand == 200.0
    assert not held.changes_on(D(2028, 1, 1))


def test_stocks_of_one_thing_add_and_the_last_day_counts():
    both = [
        Stock("oats", bags=1.0, on=D(2027, 3, 1)),
        Stock("oats", amount_lb=30.0, on=D(2027, 4, 1)),
    ]
    held = shed(stock=both, uses=[use(D(2027, 3, 15), 10.0)])["oats"]
    assert (held.counted, held.counted_on, held.used) == (80.0, D(2027, 4, 1), 0.0)
    one = [both[0], Stock("oats", amount_lb=30.0)]
    assert not shed(stock=one)["oats"].dated, "one of them without a day"


def test_what_was_never_bought_or_counted_is_not_in_the_shed():
    assert shed(uses=[use(D(2027, 3, 1), 10.0)]) == {}


@pytest.mark.parametrize(
    ("stock", "good", "amount"),
    [
        (Stock("oats", bags=2.0), OATS, 100.0),
        (Stock("oats", amount_lb=30.0), OATS, 30.0),
        (Stock("oats", bags=2.0, amount_lb=30.0), OATS, 130.0),
        (Stock("jug", bags=2.0), JUG, 256.0),
        (Stock("jug", amount_fl_oz=40.0), JUG, 40.0),
        (Stock("litter", bags=2.0), LOOSE, 0.0),
    ],
)
def test_bags_and_jugs_are_turned_into_pounds_and_ounces(stock, good, amount):
    assert counted(stock, good) == amount


# dollars


def test_dollars_are_those_of_the_days_asked_for_both_ends_in():
    days = [D(2026, 12, 31), D(2027, 1, 1), D(2027, 12, 31), D(2028, 1, 1)]
    some = bought(
        *(line(day, amount=50.0) for day in days), line(D(2027, 5, 1), "litter", 9.0)
    )
    assert spent_of(some, D(2027, 1, 1), D(2027, 12, 31)) == {"oats": 50.0}
    assert spent_of(some, D(2029, 1, 1), D(2029, 12, 31)) == {}
    nobody = bought(line(item="", amount=1.0, price=7.0))
    assert spent_of(nobody, D(2027, 1, 1), D(2027, 12, 31)) == {"": 7.0}


def test_nothing_held_is_nothing():
    held = Held("oats", "lb")
    assert (held.balance, held.on_hand, held.changes_on(D(2027, 1, 1))) == (0.0, 0.0, False)
