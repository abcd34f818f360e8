"""Ground that is sown twice a year: each planting has its amounts, the acres count once."""

import datetime as dt

import geopandas as gpd
import pytest
import shapely

from quietacre.as_json import as_json
from quietacre.model import Job
from quietacre.need.merged import merged_need
from quietacre.need.plan import plan_needs
from quietacre.record.book import book_of
from quietacre.settings import (
    Area,
    Mix,
    NeedLbAc,
    Planting,
    Product,
    Property,
    PropertyInfo,
    Seed,
    SoilTest,
)

D = dt.date
OATS, WHEAT = "oats", "wheat"
MIXES = (
    Mix("spring", (Seed(OATS, rate_lb_ac=40.0, basis="bulk", bag_lb=50.0, price_lb=0.5),)),
    Mix("fall", (Seed(OATS, rate_lb_ac=60.0, basis="bulk", bag_lb=50.0, price_lb=0.5),
                 Seed(WHEAT, rate_lb_ac=30.0, basis="bulk", bag_lb=50.0))),
)  # fmt: skip
TEST = SoilTest(
    "lab", on=D(2026, 12, 1), lime_ton_ac=1.0, need_lb_ac=NeedLbAc(n=40, p=30, k=20)
)
NEWER = SoilTest(
    "newer", on=D(2027, 6, 1), lime_ton_ac=2.0, need_lb_ac=NeedLbAc(n=10, p=60, k=20)
)
PRODUCTS = (
    Product("46-0-0", price=20.0, bag_lb=50.0), Product("0-46-0", price=20.0, bag_lb=50.0),
    Product("0-0-60", price=20.0, bag_lb=50.0), Product("lime", price=40.0, bulk=True),
)  # fmt: skip
FRAME = gpd.GeoDataFrame(
    {"id": ["a01"], "name": ["Creek"], "kind": ["plot"], "acres": [2.0],
     "acres_low": [1.9], "acres_high": [2.1]},
    geometry=[shapely.box(-86.0, 33.0, -85.999, 33.001)], crs="EPSG:4326",
)  # fmt: skip


def needs(*plantings, finished=()):
    area = Area("Creek", "plot", "c.gpx", plantings=plantings)
    prop = Property(
        PropertyInfo("Home"),
        area=(area,),
        mix=MIXES,
        soil_test=(TEST, NEWER),
        product=PRODUCTS,
    )
    return plan_needs(FRAME, prop, finished=finished)


SPRING = Planting("spring", D(2027, 3, 1), "lab")
FALL = Planting("fall", D(2027, 9, 25), "lab")


def line(plan, item):
    return next(row for row in plan.shopping if row["item"] == item)


def test_each_planting_has_its_seed_and_the_list_sums_both():
    plan = needs(SPRING, FALL)
    assert [(r["crop"], round(r["lb"])) for r in plan.by_id["a01"]["seed"]] == [(OATS, 80)]
    assert [(r["crop"], round(r["lb"])) for r in plan.by_id["a01.2"]["seed"]] == [
        (OATS, 120), (WHEAT, 60),
    ]  # fmt: skip
    oats = line(plan, OATS)
    assert oats["need"] == pytest.approx(200.0)
    assert [(u["area"], u["id"], round(u["amount"])) for u in oats["used_by"]] == [
        ("Creek (spring)", "a01", 80), ("Creek (fall)", "a01", 120),
    ]  # fmt: skip


def test_the_dollars_of_both_are_those_of_the_list():
    plan = needs(SPRING, FALL)
    both = as_json(merged_need([plan.needs["a01"], plan.needs["a01.2"]]))
    costs = sum(row["cost"] or 0.0 for row in plan.shopping)
    assert both["cost"] == pytest.approx(costs, abs=0.02)
    assert both["cost_ac"] == pytest.approx(costs / 2.0, abs=0.02)
    assert [row["planting"] for row in both["seed"]] == ["a01", "a01.2", "a01.2"]


@pytest.mark.parametrize("order", [(SPRING, FALL), (FALL, SPRING)])
def test_nothing_is_limed_or_fed_twice_on_one_test(order):
    plan = needs(*order)
    by_mix = {
        plan.by_id[key]["seed"][0]["mix"]: plan.by_id[key] for key in ("a01", "a01.2")
    }
    spring, fall = by_mix["spring"], by_mix["fall"]
    assert spring["asked_lb_ac"]["p2o5"] == pytest.approx(30 * 2.2914, abs=0.1)
    assert fall["asked_lb_ac"]["p2o5"] == fall["asked_lb_ac"]["k2o"] == 0.0
    assert spring["asked_lb_ac"]["n"] == fall["asked_lb_ac"]["n"] == 40.0
    assert spring["lime"]["ton"] == pytest.approx(2.0)
    assert fall["lime"] is None
    assert line(plan, "lime")["need"] == pytest.approx(4000.0)
    told = {note["code"]: note["text"] for note in fall["notes"]}
    assert told["fed-before"].startswith(
        "fall: phosphate and potash of the soil test “lab”"
    )
    assert told["limed-once"].startswith("fall: the ground is limed once")


def test_the_newest_of_two_tests_limes_the_ground_and_each_feeds_its_own():
    plan = needs(SPRING, Planting("fall", D(2027, 9, 25), "newer"))
    spring, fall = plan.by_id["a01"], plan.by_id["a01.2"]
    assert (spring["lime"], fall["lime"]["ton"]) == (None, pytest.approx(4.0))
    assert fall["asked_lb_ac"]["p2o5"] == pytest.approx(60 * 2.2914, abs=0.1)


def test_a_planting_that_is_finished_takes_nothing_and_says_nothing():
    plan = needs(SPRING, FALL, finished={"a01"})
    spring, fall = plan.by_id["a01"], plan.by_id["a01.2"]
    assert (spring["seed"], spring["fertilizer"], spring["lime"], spring["notes"]) == (
        [],
        [],
        None,
        [],
    )
    assert line(plan, OATS)["need"] == pytest.approx(120.0)
    # what its test asks is the other's then
    assert fall["asked_lb_ac"]["p2o5"] > 0
    assert fall["lime"]["ton"] == pytest.approx(2.0)


def test_one_planting_is_told_as_it_was():
    area = Area(
        "Creek", "plot", "c.gpx", mix="spring", plant=D(2027, 3, 1), soil_test="lab"
    )
    prop = Property(
        PropertyInfo("Home"), area=(area,), mix=MIXES, soil_test=(TEST,), product=PRODUCTS
    )
    short = plan_needs(FRAME, prop)
    long = needs(SPRING)
    assert short.by_id == long.by_id
    assert short.shopping == long.shopping
    assert merged_need([short.needs["a01"]]) == short.needs["a01"]
    assert line(short, OATS)["used_by"][0]["area"] == "Creek"


def test_what_was_spread_for_a_planting_that_asks_for_nothing_is_told_there():
    none = SoilTest("lab", on=TEST.on, need_lb_ac=NeedLbAc(n=0, p=30, k=20))
    area = Area("Creek", "plot", "c.gpx", plantings=(SPRING, FALL))
    prop = Property(
        PropertyInfo("Home"), area=(area,), mix=MIXES, soil_test=(none,), product=PRODUCTS
    )
    cells = {"item": "46-0-0", "amount": "50", "unit": "lb"}
    book = book_of([Job(D(2027, 9, 20), "Creek", "fertilized", 2, "a", cells)], prop)
    plan = plan_needs(FRAME, prop, book=book, today=D(2027, 9, 30))
    fall = plan.needs["a01.2"]
    assert [(one.item, one.amount) for one in fall.done] == [("46-0-0", 50.0)]
    assert fall.done_lb_ac["n"] == pytest.approx(0.46 * 50 / 2)
    assert not [one for one in plan.needs["a01"].done if one.what == "fertilizer"]
