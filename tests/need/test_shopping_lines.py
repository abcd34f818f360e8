"""One line of the shopping list: packs, dollars, what is left over, worked by hand."""

import dataclasses
import datetime as dt
from types import SimpleNamespace

import pytest

from quietacre.figures import printed
from quietacre.need.account import Account
from quietacre.need.account_notes import (
    _amount,
    _several,
    _stock_notes,
    _told,
    _undated_said,
    on_hand_of,
    spent_of_year,
)
from quietacre.need.done import Done
from quietacre.need.fertilizer import Plan
from quietacre.need.inoculant import inoculate_text
from quietacre.need.merged import _added, _summed
from quietacre.need.plan_lines import left_out_lines, plan_lines, short_lines
from quietacre.need.shopping import Share, ShoppingLine, _whole, share_costs
from quietacre.need.stock import enough_of
from quietacre.record.goods import goods_of
from quietacre.record.on_hand import Held
from quietacre.record.uses import Use
from quietacre.settings import Buying, Product, Property, PropertyInfo, Stock

D = dt.date


def line(left, *, low=None, high=None, stock=0.0, pack=50.0, price=20.0, **more):
    low, high = left if low is None else low, left if high is None else high
    return ShoppingLine(
        "oats", "seed", "lb", left, low, high, stock, pack, price, (), **more
    )


@pytest.mark.parametrize(
    ("left", "stock", "packs"),
    [
        (0.0, 0.0, 0), (1.0, 0.0, 1), (50.0, 0.0, 1), (50.1, 0.0, 2), (100.0, 0.0, 2),
        # a twentieth of a bag is stretched out of what the shed holds, and no more
        (102.0, 50.0, 1), (102.5, 50.0, 1), (102.6, 50.0, 2), (52.0, 0.0, 2), (30.0, 40.0, 0),
    ],
)  # fmt: skip
def test_whole_bags_of_what_the_shed_does_not_hold(left, stock, packs):
    row = line(left, stock=stock)
    assert row.packs == packs
    assert row.cost_usd == 20.0 * packs
    assert row.buy == max(left - stock, 0.0)
    assert row.left_over == pytest.approx(max(50.0 * packs - row.buy, 0.0))


def test_what_is_bought_loose_has_no_packs_and_without_a_price_no_cost():
    loose = line(100.0, pack=None)
    assert (loose.packs, loose.cost_usd, loose.left_over, loose.note) == (
        None,
        None,
        None,
        None,
    )
    assert line(100.0, price=None).cost_usd is None
    assert line(120.0, price=17.505).cost_usd == pytest.approx(52.52, abs=0.006)
    planned = line(120.0, packs_planned=7)
    assert (planned.packs, planned.cost_usd) == (7, 140.0)


def test_the_plus_minus_of_the_acres_is_told_by_its_packs():
    assert line(90.0, low=80.0, high=100.0).note == (
        "the ± of the acreage does not change the number"
    )
    assert line(90.0, low=45.0, high=101.0).note == (
        "the ± of the acreage changes the number: 1 to 3"
    )
    assert line(0.0, low=0.0, high=60.0).note is None
    assert line(90.0, own_note="as the packet says").note == "as the packet says"
    assert printed(line(90.0, over=12.0).note).startswith(
        "12 lb more went out than was asked; the ±"
    )


@pytest.mark.parametrize(("left", "said"), [(100.5, False), (100.6, True), (102.0, True)])
def test_pounds_short_of_whole_packs_are_told_from_half_a_pound_on(left, said):
    row = line(left, packs_planned=2)
    assert ("short of whole packs, spread so much thinner" in row.note) is said
    if said:
        assert f"; {left - 100:.1f} lb short" in printed(row.note)


def test_a_line_as_it_is_told():
    row = line(
        90.0, low=80.0, high=101.0, stock=30.0, done=60.0, whole=140.0, spent_usd=5.0
    )
    told = row.listed()
    # 140 asked in all; the acres may be so many fewer or more
    assert (told.need, told.need_low, told.need_high) == (140.0, 130.0, 151.0)
    assert (told.done, told.left, told.on_hand, told.from_stock) == (60.0, 90.0, 30.0, 30.0)
    assert (told.buy, told.packs, told.packs_low, told.packs_high) == (60.0, 2, 1, 2)
    assert (told.cost, told.spent, told.left_over) == (40.0, 5.0, 40.0)
    assert told.tons == pytest.approx(0.07)
    assert line(90.0, done=60.0).need == 150.0
    full = line(20.0, stock=30.0).listed()
    assert (full.from_stock, full.buy, full.packs) == (20.0, 0.0, 0)
    sprayed = ShoppingLine("jug", "spray", "fl oz", 9.0, 9.0, 9.0, 0.0, None, None, ())
    assert sprayed.listed().tons is None


def test_dollars_are_shared_by_the_pounds_that_each_ground_takes():
    jobs = [
        SimpleNamespace(key=key, acres=acres, cost=None)
        for key, acres in (("a", 1.0), ("b", 3.0), ("c", 1.0))
    ]
    shares = (Share("A", "a", 25.0, "a"), Share("B", "b", 75.0, "b"))
    rows = [
        ShoppingLine("oats", "seed", "lb", 100.0, 100.0, 100.0, 0.0, 50.0, 20.0, shares),
        ShoppingLine("rye", "seed", "lb", 10.0, 10.0, 10.0, 0.0, 50.0, 9.0, shares[:1]),
        ShoppingLine("lime", "lime", "lb", 10.0, 10.0, 10.0, 0.0, None, None, shares),
    ]
    share_costs(jobs, rows)
    assert [job.cost for job in jobs] == [
        pytest.approx(10.0 + 9.0),
        pytest.approx(30.0),
        None,
    ]
    little = Share("C", "c", 0.5, "c")
    rye = ShoppingLine("rye", "seed", "lb", 0.5, 0.5, 0.5, 0.0, 1.0, 0.4, (little,))
    share_costs(jobs[2:], [rye])
    assert jobs[2].cost == pytest.approx(0.4)


def test_what_is_to_buy_and_has_no_price_is_told_so():
    assert line(90.0, price=None).listed().not_priced
    assert not line(90.0).listed().not_priced
    assert not line(90.0, price=None, stock=90.0).listed().not_priced
    packet = dataclasses.replace(line(90.0, price=None), what="inoculant").listed()
    assert not packet.not_priced


def test_what_was_asked_in_all_is_what_is_left_and_what_was_taken_off():
    done = {
        "a": (
            Done.of("seed", "oats", "lb", 90.0, (), 100.0, 10.0),
            Done.of("seed", "rye", "lb", 9.0, (), 9.0, 0.0),
        ),
        "b": (
            Done.of("seed", "oats", "lb", 40.0, (), 50.0, None),
            Done.of("lime", "oats", "lb", 7.0, (), 7.0, 0.0),
        ),
    }
    account = Account(done=done)
    assert _whole(account, "seed", "oats", 10.0) == (10.0 + 90.0 + 50.0, 130.0)


# ---- more than was asked ---------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("needed", "amount", "over"),
    [(100.0, 105.5, 0.0), (100.0, 105.6, 5.6), (0.0, 0.5, 0.0), (0.0, 0.6, 0.6),
     (100.0, 90.0, 0.0), (None, 500.0, 0.0)],
)  # fmt: skip
def test_a_twentieth_and_half_a_pound_more_are_the_scales(needed, amount, over):
    done = Done.of("lime", "lime-ag", "lb", amount, (), needed, 0.0)
    assert done.over == pytest.approx(over)


# ---- the shed --------------------------------------------------------------------------------------
def held(item="oats", counted=0.0, bought=0.0, used=0.0, **more):
    return Held(item, "lb", counted, bought=bought, used=used, **more)


def test_what_is_on_hand_may_be_stretched_by_a_twentieth_of_a_bag():
    shed = {"oats": held(counted=30.0), "rye": held("rye", used=5.0)}
    assert enough_of("oats", shed, 50.0) == pytest.approx(32.5)
    assert enough_of("oats", shed, None) == 30.0
    assert enough_of("rye", shed, 50.0) == enough_of("wheat", shed, 50.0) == 0.0


def told_of(shed, uses=(), stock=()):
    prop = Property(PropertyInfo("x"), product=(Product("lime-x"),), stock=stock)
    account = Account(shed=shed, uses=tuple(uses), goods=goods_of(prop))
    return {note.code: note.text for note in _stock_notes(account, prop)}


def test_more_used_than_there_was_is_said_from_half_a_pound_on():
    assert told_of({"oats": held(counted=10.0, used=10.5)}) == {}
    since = held(counted=10.0, bought=2.0, used=22.0, counted_on=D(2027, 3, 1))
    text = told_of({"oats": since})["shed-short"]
    assert "oats: 22 lb used since March 1, 2027, 12 lb counted and bought" in text
    assert on_hand_of(Account(shed={"oats": since}))[0].more_used == pytest.approx(10.0)
    enough = on_hand_of(Account(shed={"oats": held(counted=10.0, used=4.0)}))[0]
    assert (enough.more_used, enough.on_hand, enough.used) == (0.0, 6.0, 4.0)


def test_what_nobody_bought_or_counted_is_not_known():
    uses = [
        Use(D(2027, 3, 1), "North", "plant", item, 5.0, "written", 2)
        for item in ("rye", "oats", "")
    ]
    told = told_of({"oats": held(counted=9.0)}, uses)
    assert "what is left of rye is not known" in told["shed-unknown"]
    assert "shed-unknown" not in told_of({"oats": held(counted=9.0)}, uses[1:])


def test_bags_that_nobody_weighed_are_said_where_some_are_counted():
    assert "stock-bag" in told_of({}, stock=(Stock("lime-x", bags=2),))
    assert "stock-bag" not in told_of({}, stock=(Stock("lime-x", amount_lb=90.0),))


def test_stock_without_a_day_is_said_once_with_what_the_log_has_of_it():
    undated = [
        held(counted=5.0, bought=100.0, dated=False),
        held("rye", counted=2.0, dated=False),
    ]
    (note,) = _undated_said(undated)
    assert "stock of oats, rye has no day" in note.text
    assert "changes it (so far oats: 100 lb bought and 0.0 lb used)" in note.text
    (quiet,) = _undated_said(undated[1:])
    assert "so far" not in quiet.text
    assert list(_undated_said([])) == []


def test_dollars_of_the_year_on_the_plan_on_the_rest_and_still_to_spend():
    account = Account(spent={"oats": 40.0, "posts": 12.345})
    rows = [line(100.0), line(60.0, price=None)]
    spent = spent_of_year(account, rows, None, D(2027, 3, 1))
    assert (spent.planned, spent.other, spent.work) == (40.0, 12.35, 0.0)
    assert spent.total == pytest.approx(52.345, abs=0.006)
    assert (spent.still, spent.year) == (40.0, 2027)
    none = spent_of_year(Account(), rows[1:], None, None)
    assert (none.still, none.year, none.total) == (None, None, 0.0)


# ---- the words of the log's amounts ------------------------------------------------------------------
def test_three_lines_are_named_and_the_rest_counted():
    assert _several(["a", "b", "c"]) == "a; b; c"
    assert _several(["a", "b", "c", "d", "e"]) == "a; b; c; and 2 more"


def test_tenths_are_told_below_ten():
    assert [printed(_amount(lb, "lb")) for lb in (9.94, 10.0, 12.6, 1234.0)] == [
        "9.9 lb", "10 lb", "13 lb", "1,234 lb",
    ]  # fmt: skip


def test_a_line_is_told_piece_by_piece():
    uses = [
        Use(D(2027, 3, 1), "North", "plant", "oats", 90.0, "plan", 4),
        Use(D(2027, 3, 1), "South", "lime", "", 4.0, "plan", 4),
        Use(D(2027, 3, 1), "East", "plant", "oats", 0.0, "plan", 4),
    ]
    assert (
        printed(_told(4, uses, {"oats": "lb"}))
        == "line 4: 90 lb of oats on North, 4.0 lb of lime on South"
    )
    assert _told(4, uses[2:], {}) == "line 4: none, for the plan asks no more there"


# ---- two plantings of one ground ----------------------------------------------------------------------
def test_figures_of_two_plantings_are_added_to_the_cent():
    assert _added([1.111, None, 2.222]) == 3.33
    assert _added([None, None]) is None
    assert _summed([{"n": 40.0}, None, {"n": 20.0, "s": 5.0}]) == {"n": 60.0, "s": 5.0}
    assert _summed([None]) is None


# ---- the plan of the bags in lines ----------------------------------------------------------------------
def plan(cost, bags, **more):
    return Plan(
        {("p", grade): 50.0 for grade in bags}, bags, {}, cost, "optimal", 0.0, **more
    )


def test_the_plan_and_its_runners_up_with_what_they_cost_more():
    other = plan(60.5, {"46-0-0": 2})
    one = plan(57.0, {"34-0-0": 3, "0-0-60": 1}, runners_up=(other,))
    assert plan_lines(one) == [
        "Chosen: 3 of 34-0-0, 1 of 0-0-60: $57.00 (proved cheapest).",
        "Runner-up 1: 2 of 46-0-0: $60.50 (proved cheapest), $3.50 more.",
    ]
    alone = plan_lines(plan(57.0, {"34-0-0": 3}))
    assert len(alone) == 2
    assert alone[1].startswith("No runner-up")
    assert plan_lines(Plan({}, {}, {}, 0.0, "optimal", 0.0)) == []


def test_what_has_no_price_is_told_beside_the_cost_and_no_difference_is():
    lacks = {"0-0-60": 20.0}
    one = plan(
        38.0,
        {"34-0-0": 2, "0-0-60": 1},
        assumed=lacks,
        runners_up=(plan(60.0, {"46-0-0": 2}),),
    )
    first, second = plan_lines(one)
    assert ": $38.00 without 0-0-60, of no known price (" in first
    assert "more" not in second
    free = plan_lines(plan(0.0, {"0-0-60": 1}, assumed=lacks))[0]
    assert "1 of 0-0-60, no price given for 0-0-60 (" in free
    shed = Plan({("p", "34-0-0"): 50.0}, {}, {}, 0.0, "optimal", 0.0)
    assert plan_lines(shed)[0] == (
        "Chosen: nothing to buy, the shed holds it (proved cheapest)."
    )
    of_nothing = plan(38.0, {"34-0-0": 2}, runners_up=(shed,))
    assert not plan_lines(of_nothing)[1].endswith("more.")


def test_what_is_left_short_or_out_is_summed_by_nutrient_and_ground():
    short = [("North", "n", 4.0), ("South", "n", 6.4), ("North", "k2o", 3.0)]
    assert [printed(text) for text in short_lines(short, Buying(short_pct=10.0))] == [
        "left short by up to the 10 % of your choice: 10 lb N, 3 lb K2O on North, South"
    ]
    assert short_lines([], Buying()) == []
    (out,) = left_out_lines([("North", 60.0), ("South", 0.0), ("East", 20.0)])
    assert printed(out).startswith(
        "80 lb N left out ahead of mixes with many legumes on North, East:"
    )
    assert left_out_lines([("South", 0.0)]) == []


def test_what_is_inoculated_with_which_group():
    rows = [
        SimpleNamespace(crop=crop, inoculant=group)
        for crop, group in (
            ("crimson clover", "R"),
            ("cowpea", "EL"),
            ("oats", None),
            ("white clover", "R"),
        )
    ]
    assert inoculate_text(rows, {"cowpea"}) == (
        "inoculate cowpea with EL (group from memory: the seed's tag or the packet decides); "
        "crimson clover and white clover with R; sow within a day of it"
    )
    assert inoculate_text(rows[2:3]) == ""
