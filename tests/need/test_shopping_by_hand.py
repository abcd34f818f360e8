"""The list of all ground laid by hand: seed, inoculant, bags, lime, sprays, and who pays what."""

import datetime as dt
from types import SimpleNamespace

import pytest

from quietacre.figures import printed
from quietacre.need.account import Account
from quietacre.need.done import Done
from quietacre.need.fertilizer import Plan
from quietacre.need.grade import Grade
from quietacre.need.inoculant import PACKET
from quietacre.need.records import ListedItem, UsedBy
from quietacre.need.shopping import Share, ShoppingLine, share_costs, shopping_list
from quietacre.record.on_hand import Held
from quietacre.settings import Mix, Product, Property, PropertyInfo, Seed, Spray

DAY = dt.date(2027, 9, 20)
BAGS = Plan({}, {"34-0-0": 3}, {}, 57.0, "optimal", 0.0)
NONE = Plan({}, {}, {}, 0.0, "nothing to plan", 0.0)


def seed_row(crop, lb, inoculant=None):
    return SimpleNamespace(
        crop=crop, lb=lb, lb_low=0.5 * lb, lb_high=2.0 * lb, inoculant=inoculant
    )


def fed_row(grade, lb):
    return SimpleNamespace(grade=grade, lb=lb, lb_low=0.5 * lb, lb_high=2.0 * lb)


def tank_row(name, product, *, done=0.0, loads=1, unit="fl oz"):
    tank = SimpleNamespace(name=name, product=product, unit=unit, loads=loads)
    return SimpleNamespace(tank=tank, done=done, left=product - done)


def job(key, *, mix=None, seed=(), fertilizer=(), lime_ton=None, spray=(), **more):
    """Return the job of a piece of ground; its low acres are half and its high twice."""
    lime = lime_ton and SimpleNamespace(
        ton=lime_ton, ton_low=0.5 * lime_ton, ton_high=2.0 * lime_ton
    )
    plain = {"called": key.upper(), "area_id": f"{key}01", "finished": False, "acres": 2.0}
    return SimpleNamespace(
        key=key, mix=mix, seed=seed, fertilizer=fertilizer, lime_line=lime, spray=spray,
        spread=(0.5, 2.0), cost=None, **{**plain, **more},
    )  # fmt: skip


def place(*products, spray=()):
    return Property(PropertyInfo("Home"), product=products, spray=spray)


def bought(*jobs, grades=(), plan=NONE, prop=None, **account):
    return shopping_list(jobs, grades, plan, prop or place(), Account(**account))


def held(item, counted, unit="lb"):
    return {item: Held(item, unit, counted, DAY)}


def line(item, what, unit, left, **more):
    """Return a line whose low acres ask half of it and the high ones twice."""
    plain = {
        "left_low": 0.5 * left, "left_high": 2.0 * left, "stock": 0.0, "pack": None,
        "price_usd": None, "used_by": (),
    }  # fmt: skip
    return ShoppingLine(item, what, unit, left, **{**plain, **more})


OATS = Seed("oats", bag_lb=50.0, price_lb=0.5)
VETCH = Seed("hairy vetch")
MIX = Mix("m", (OATS, VETCH))


# ---- seed ------------------------------------------------------------------------------------------------
def test_seed_of_two_grounds_is_one_line_and_comes_by_the_pound_without_a_bag():
    both = (
        job(
            "a",
            mix=MIX,
            seed=(seed_row("oats", 100.0), seed_row("hairy vetch", 9.0, "pea")),
        ),
        job("b", mix=Mix("n", (OATS,)), seed=(seed_row("oats", 60.0),)),
        job("c"),
    )
    share = (Share("A", "a01", 100.0, "a"), Share("B", "b01", 60.0, "b"))
    vetch = (Share("A", "a01", 9.0, "a"),)
    assert bought(*both, shed=held("oats", 30.0), spent={"oats": 7.5}) == [
        line("oats", "seed", "lb", 160.0, stock=30.0, pack=50.0, price_usd=25.0,
             used_by=share, whole=160.0, counted_on=DAY, spent_usd=7.5),
        line("hairy vetch", "seed", "lb", 9.0, pack=1.0, used_by=vetch, whole=9.0),
        line("inoculant: pea", "inoculant", "lb of seed", 9.0, used_by=vetch,
             own_note=PACKET),
    ]  # fmt: skip


def test_seed_of_another_bag_or_price_has_a_line_of_its_own_and_what_the_first_leaves():
    """250 lb on hand: 100 go to the first bags, 50 to the second, and 100 are left to the third."""
    other = Seed("oats", bag_lb=40.0, price_lb=0.5)
    dear = Seed("oats", bag_lb=40.0, price_lb=0.75)
    jobs = (
        job("a", mix=Mix("m", (OATS,)), seed=(seed_row("oats", 100.0),)),
        job("b", mix=Mix("n", (other,)), seed=(seed_row("oats", 50.0),)),
        job("c", mix=Mix("o", (dear,)), seed=(seed_row("oats", 300.0),)),
    )
    done = {"a": (Done.of("seed", "oats", "lb", 20.0, (DAY,), 120.0, 100.0),)}
    made = bought(*jobs, shed=held("oats", 250.0), done=done)
    assert [(one.left, one.stock, one.pack, one.price_usd) for one in made] == [
        (100.0, 250.0, 50.0, 25.0), (50.0, 150.0, 40.0, 20.0), (300.0, 100.0, 40.0, 30.0),
    ]  # fmt: skip
    # what was sown and asked before is told with the first alone
    assert [(one.done, one.whole) for one in made] == [
        (20.0, 120.0),
        (0.0, 50.0),
        (0.0, 300.0),
    ]
    short = bought(*jobs, shed=held("oats", 120.0))
    assert [one.stock for one in short] == [120.0, 20.0, 0.0]


def test_seed_that_is_sown_is_told_as_long_as_its_season_lasts():
    mix = Mix("m", (OATS,))
    row = Done.of("seed", "oats", "lb", 90.0, (DAY,), 100.0, 0.0)
    assert bought(job("a", mix=mix), done={"a": (row,)}) == [
        line("oats", "seed", "lb", 0, pack=50.0, price_usd=25.0, done=90.0, whole=100.0)
    ]
    assert bought(job("a", mix=mix, finished=True), done={"a": (row,)}) == []
    assert bought(job("a", mix=mix)) == []
    unasked = Done.of("seed", "oats", "lb", 90.0, (DAY,), 0.0, 0.0)
    (told,) = bought(job("a", mix=mix), done={"a": (unasked,)})
    assert (told.whole, told.done, told.over) == (0.0, 90.0, 90.0)
    little = Done.of("seed", "oats", "lb", 0.25, (DAY,), 0.0, 0.0)
    assert [one.done for one in bought(job("a", mix=mix), done={"a": (little,)})] == [0.25]
    of_others = Done.of("seed", "rye", "lb", 90.0, (DAY,), 100.0, 0.0)
    assert bought(job("a", mix=mix), done={"a": (of_others,)}) == []


# ---- bags ------------------------------------------------------------------------------------------------
def test_bags_are_those_of_the_plan_and_not_counted_again():
    grade = Grade("34-0-0", 0.34, 0.0, 0.0, bag_lb=40.0, price=19.0)
    other = Grade("0-0-60", 0.0, 0.0, 0.6)
    jobs = (
        job("a", fertilizer=(fed_row("34-0-0", 70.0), fed_row("34-0-0", 20.0))),
        job("b", fertilizer=(fed_row("34-0-0", 30.0), fed_row("0-0-60", 10.0))),
    )
    share = (
        Share("A", "a01", 70.0, "a"), Share("A", "a01", 20.0, "a"), Share("B", "b01", 30.0, "b"),
    )  # fmt: skip
    done = {"a": (Done.of("fertilizer", "34-0-0", "lb", 15.0, (DAY,)),)}
    made = bought(
        *jobs, grades=(grade, other), plan=BAGS, prop=place(Product("34-0-0", name="nitrate")),
        shed=held("34-0-0", 8.0), done=done,
    )  # fmt: skip
    assert made == [
        line("34-0-0", "fertilizer", "lb", 120.0, stock=8.0, pack=40.0, price_usd=19.0,
             used_by=share, name="nitrate", packs_planned=3, done=15.0, counted_on=DAY),
        line("0-0-60", "fertilizer", "lb", 10.0, pack=other.bag_lb, price_usd=other.price,
             used_by=(Share("B", "b01", 10.0, "b"),), packs_planned=0),
    ]  # fmt: skip
    assert made[0].need == 135.0
    assert bought(job("a"), grades=(grade,), plan=BAGS) == []
    spread = bought(job("a"), grades=(grade,), done=done)
    assert [(one.left, one.done, one.packs) for one in spread] == [(0, 15.0, 0)]
    little = {"a": (Done.of("fertilizer", "34-0-0", "lb", 0.25, (DAY,)),)}
    assert [one.done for one in bought(job("a"), grades=(grade,), done=little)] == [0.25]


# ---- lime ------------------------------------------------------------------------------------------------
def test_lime_comes_by_the_ton_in_bulk_by_the_bag_or_by_the_pound():
    share = (Share("A", "a01", 3000.0, "a"), Share("C", "c01", 1000.0, "c"))
    jobs = (job("a", lime_ton=1.5), job("b"), job("c", lime_ton=0.5))
    bulk = Product("lime-ag", name="ag lime", bulk=True, price=50.0, ecce_pct=100.0)
    assert bought(*jobs, prop=place(bulk), shed=held("lime-ag", 100.0)) == [
        line("lime-ag", "lime", "lb", 4000.0, stock=100.0, pack=2000.0, price_usd=50.0,
             used_by=share, name="ag lime", whole=4000.0, counted_on=DAY)
    ]  # fmt: skip
    bags = Product("lime-pellet", bag_lb=40.0, price=6.0, ecce_pct=90.0)
    (bagged,) = bought(*jobs, prop=place(bags))
    assert (bagged.item, bagged.pack, bagged.price_usd, bagged.packs, bagged.cost_usd) == (
        "lime-pellet", 40.0, 6.0, 100, 600.0,
    )  # fmt: skip
    (nameless,) = bought(*jobs)
    assert nameless == line(
        "lime (no product listed)", "lime", "lb", 4000.0, pack=2000.0, used_by=share,
        whole=4000.0,
    )  # fmt: skip
    assert bought(job("b"), prop=place(bulk)) == []


def test_lime_that_was_spread_of_any_kind_counts_and_what_was_too_much_is_told():
    bulk = Product("lime-ag", bulk=True, price=50.0, ecce_pct=100.0)
    done = {
        "a": (Done.of("lime", "slag", "lb", 1000.0, (DAY,), 3000.0, 2000.0),),
        "b": (Done.of("lime", "lime-ag", "lb", 500.0, (DAY,), 200.0, 0.0),
              Done.of("lime", "slag", "lb", 40.0, (DAY,))),
        "c": (Done.of("seed", "lime-ag", "lb", 7.0, (DAY,), 7.0, 0.0),),
    }  # fmt: skip
    jobs = (job("a", lime_ton=1.0), job("b"), job("c"))
    (told,) = bought(*jobs, prop=place(bulk), done=done)
    assert told == line(
        "lime-ag", "lime", "lb", 2000.0, pack=2000.0, price_usd=50.0, done=1540.0,
        used_by=(Share("A", "a01", 2000.0, "a"),), whole=3200.0, over=told.over,
    )  # fmt: skip
    assert told.over == sum(one.over for some in done.values() for one in some) > 0
    (only_done,) = bought(job("b"), prop=place(bulk), done=done)
    assert (only_done.left, only_done.done, only_done.whole) == (0.0, 540.0, 200.0)


# ---- sprays ----------------------------------------------------------------------------------------------
def test_sprays_are_counted_by_their_own_pack_with_the_tanks_of_all_ground():
    jug = Spray("jug", "foliar feed", pack_fl_oz=128.0, pack_lb=9.0, price=30.0)
    dust = Spray("dust", "spot spray", pack_fl_oz=128.0, pack_lb=9.0)
    jobs = (
        job("a", spray=(tank_row("jug", 100.0, done=40.0, loads=2),
                        tank_row("dust", 6.0, unit="lb"))),
        job("b", spray=(tank_row("jug", 20.0),)),
    )  # fmt: skip
    made = bought(*jobs, prop=place(spray=(dust, jug, Spray("other", "spot spray"))),
                  shed=held("jug", 16.0, "fl oz"))  # fmt: skip
    assert made == [
        line("dust", "spray", "lb", 6.0, pack=9.0, used_by=(Share("A", "a01", 6.0, "a"),),
             tank_loads=1, whole=6.0),
        line("jug", "spray", "fl oz", 80.0, stock=16.0, pack=128.0, price_usd=30.0,
             used_by=(Share("A", "a01", 60.0, "a"), Share("B", "b01", 20.0, "b")),
             tank_loads=3, done=40.0, whole=120.0, counted_on=DAY),
    ]  # fmt: skip


# ---- a line as it is told --------------------------------------------------------------------------------
def test_a_line_is_told_with_all_its_figures():
    row = line(
        "oats", "seed", "lb", 120.0, stock=30.0, pack=50.0, price_usd=20.0,
        used_by=(Share("A", "a01", 120.0, "a"),), name="n", tank_loads=2, done=10.0, whole=140.0,
        over=4.0, spent_usd=7.0,
    )  # fmt: skip
    told = row.listed()
    assert printed(told.note) == (
        "4 lb more went out than was asked; the ± of the acreage changes the number: 1 to 5"
    )
    assert told == ListedItem(
        item="oats", what="seed", unit="lb", need=140.0, need_low=80.0, need_high=260.0,
        done=10.0, left=120.0, on_hand=30.0, from_stock=30.0, buy=90.0, pack=50.0, packs=2,
        packs_low=1, packs_high=5, price=20.0, cost=40.0, spent=7.0,
        used_by=(UsedBy("A", "a01", 120.0),), name="n", tons=0.07, tank_loads=2,
        left_over=10.0, note=told.note,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("stock", "packs"),
    [
        (0.0, 3),
        (1.0, 3),
        (17.4, 3),
        (17.6, 2),
        (20.0, 2),
        (70.0, 1),
        (119.0, 0),
        (500.0, 0),
    ],
)
def test_what_is_on_hand_is_stretched_by_a_twentieth_of_a_bag(stock, packs):
    """120 lb in bags of 50: two bags are enough from 17.5 lb on hand on."""
    assert line("oats", "seed", "lb", 120.0, stock=stock, pack=50.0).packs == packs


def test_a_line_that_is_done_says_nothing_of_the_acres():
    done = line("oats", "seed", "lb", 0.0, left_high=60.0, pack=50.0)
    assert (done.note, done.packs, done.left_over) == (None, 0, 0.0)
    little = line("oats", "seed", "lb", 0.5, pack=50.0)
    assert little.note == "the ± of the acreage does not change the number"
    free = line("oats", "seed", "lb", 10.0, pack=50.0, price_usd=0.0)
    assert free.cost_usd == 0.0
    assert line("oats", "seed", "lb", 10.0, stock=10.0, pack=50.0).listed().left_over == 0.0


def test_each_ground_pays_by_what_it_takes_of_each_line():
    jobs = [job("a"), job("b", acres=0.0), job("c"), job("d", acres=0.5)]
    half = (Share("A", "a01", 30.0, "a"), Share("B", "b01", 10.0, "b"))
    rows = [
        line("oats", "seed", "lb", 40.0, pack=50.0, price_usd=20.0, used_by=half),
        line("rye", "seed", "lb", 40.0, pack=50.0, used_by=half),
        line("wheat", "seed", "lb", 40.0, pack=50.0, price_usd=9.0,
             used_by=(Share("C", "c01", 0.0, "c"),)),
        line("vetch", "seed", "lb", 40.0, pack=20.0, price_usd=8.0,
             used_by=(Share("A", "a01", 0.25, "a"), Share("D", "d01", 0.75, "d"))),
    ]  # fmt: skip
    share_costs(jobs, rows)
    assert [one.cost for one in jobs] == [15.0 + 4.0, None, None, 12.0]


def test_crumbs_are_counted_where_no_bag_is_bought_and_none_of_what_has_no_pack():
    row = line("34-0-0", "fertilizer", "lb", 3.0, pack=50.0, packs_planned=0, left_high=3.0)
    assert printed(row.note) == (
        "the ± of the acreage does not change the number; 3.0 lb short of whole packs, spread so "
        "much thinner"
    )
    assert line("x", "fertilizer", "lb", 3.0, packs_planned=2).left_over is None
    assert line("oats", "seed", "lb", 3.0, stock=5.0).buy == 0.0


def test_seed_by_the_pound_has_the_price_of_a_pound_and_what_is_over_is_its_own():
    by_pound = Mix("m", (Seed("oats", price_lb=0.75), Seed("rye", price_lb=0.5)))
    done = {
        "a": (Done.of("seed", "oats", "lb", 30.0, (DAY,), 10.0, 0.0),
              Done.of("seed", "rye", "lb", 70.0, (DAY,), 10.0, 0.0)),
    }  # fmt: skip
    seed = (seed_row("oats", 5.0), seed_row("rye", 5.0))
    oats, rye = bought(job("a", mix=by_pound, seed=seed), done=done)
    assert (oats.price_usd, oats.pack, oats.over) == (0.75, 1.0, 20.0)
    assert (rye.price_usd, rye.pack, rye.over) == (0.5, 1.0, 60.0)
