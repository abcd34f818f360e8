"""What was done is taken off what is needed. In each test the docstring is the log."""

import datetime as dt
import inspect

import geopandas as gpd
import pytest
import shapely

from quietacre.as_json import as_json
from quietacre.figures import printed
from quietacre.intake.log import read_log
from quietacre.need.plan import plan_needs
from quietacre.record.book import book_of
from quietacre.settings import (
    Area,
    Feed,
    Mix,
    NeedLbAc,
    Planting,
    Product,
    Property,
    PropertyInfo,
    Seed,
    SoilTest,
    Spray,
    Stock,
    StripSettings,
)
from quietacre.words.columns import report_words

TODAY = dt.date(2027, 10, 1)
PLANT = dt.date(2027, 9, 20)
OATS = Seed("oats", rate_lb_ac=90.0, basis="bulk", bag_lb=50.0, price_lb=0.5)
WHEAT = Seed("wheat", rate_lb_ac=60.0, basis="bulk", bag_lb=50.0, price_lb=0.4)
TEST = SoilTest(
    "t", on=dt.date(2026, 12, 4), lime_ton_ac=1.0, lime_basis="ECCE", lime_basis_pct=100.0,
    need_lb_ac=NeedLbAc(n=40.0, p2o5=40.0, k2o=40.0),
)  # fmt: skip
UNDATED = SoilTest(
    "t", lime_ton_ac=1.0, lime_basis="ECCE", lime_basis_pct=100.0,
    need_lb_ac=NeedLbAc(n=40.0, p2o5=40.0, k2o=40.0),
)  # fmt: skip
PRODUCTS = (
    Product("13-13-13", bag_lb=50.0, price=20.0),
    Product("34-0-0", bag_lb=50.0, price=19.0),
    Product("lime-ag", bulk=True, price=50.0, ecce_pct=100.0),
    Product("lime-pellet", bag_lb=40.0, price=6.0, ecce_pct=50.0),
)
NORTH = Area("North", "plot", "f.gpx", mix="m", plant=PLANT, soil_test="t")
SOUTH = Area("South", "plot", "f.gpx", mix="m", plant=PLANT, soil_test="t")


def place(**changed):
    parts = {"area": (NORTH, SOUTH), "mix": (Mix("m", (OATS, WHEAT)),), "soil_test": (TEST,),
             "product": PRODUCTS, **changed}  # fmt: skip
    return Property(PropertyInfo("Home"), **parts)


def planned(test, tmp_path, prop=None, *, today=TODAY, acres=(2.0, 1.0), strips=None):
    """Return the amounts by the name of the ground, and the plan, with a docstring's log."""
    prop = prop or place()
    path = tmp_path / "log.csv"
    path.write_text(inspect.getdoc(test) + "\n")
    book = book_of(read_log(path, shown="log.csv").jobs, prop)
    ids = [f"a{n:02d}" for n in range(1, len(prop.area) + 1)]
    frame = {
        "id": ids, "name": [a.name for a in prop.area], "kind": [a.kind for a in prop.area],
        "acres": acres[: len(ids)], "acres_low": acres[: len(ids)],
        "acres_high": acres[: len(ids)],
    }  # fmt: skip
    boxes = [shapely.box(n, 0, n + 1, 1) for n in range(len(ids))]
    areas = gpd.GeoDataFrame(frame, geometry=boxes, crs=4326)
    plan = plan_needs(areas, prop, strips=strips, book=book, today=today)
    by_name = dict(zip(ids, [a.name for a in prop.area], strict=True))
    return {by_name.get(key, key): need for key, need in plan.by_id.items()}, plan


def line(plan, item):
    return next(row for row in plan.shopping if row["item"] == item)


def codes(plan):
    return {note.code: note.text for note in plan.notes}


def said(need, code):
    return [note["text"] for note in need["notes"] if note["code"] == code]


def held(plan, item):
    return next(as_json(row) for row in plan.on_hand if row.item == item)


def test_nothing_in_the_log(tmp_path):
    """date,area,task,item,amount,unit,bag_lb,price"""
    needs, plan = planned(test_nothing_in_the_log, tmp_path)
    assert needs["North"]["lime"]["ton"] == pytest.approx(2.0)
    assert line(plan, "lime-ag")["packs"] == 3
    assert line(plan, "oats")["need"] == pytest.approx(270.0)
    assert line(plan, "oats")["done"] == 0
    assert plan.spent.total == 0
    assert plan.on_hand == ()


def test_lime_on_a_plot_is_not_bought_again(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North,limed,lime-ag,2,tons
    """
    needs, plan = planned(test_lime_on_a_plot_is_not_bought_again, tmp_path)
    assert needs["North"]["lime"] is None
    assert needs["South"]["lime"]["ton"] == pytest.approx(1.0)
    row = line(plan, "lime-ag")
    assert (row["need"], row["done"], row["left"]) == pytest.approx((6000, 4000, 2000))
    assert row["packs"] == 1
    (done,) = needs["North"]["done"]
    assert set(done) == set(report_words()["done_amount"].keys)
    assert (done["amount"], done["days"]) == (4000.0, ["2027-02-21"])
    assert not said(needs["North"], "lime-months-ahead")
    assert said(needs["South"], "lime-months-ahead")


def test_kilograms_and_tonnes_are_taken_for_their_pounds(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North,limed,lime-ag,1500,kg
    2027-02-22,South,limed,lime-ag,0.4,tonnes
    """
    needs, _ = planned(test_kilograms_and_tonnes_are_taken_for_their_pounds, tmp_path)
    # 1 lb is 0.45359237 kg (NIST Handbook 44, Appendix C, 2024; from memory)
    assert needs["North"]["done"][0]["amount"] == pytest.approx(3306.93, abs=0.01)
    assert needs["South"]["done"][0]["amount"] == pytest.approx(881.85, abs=0.01)


def test_lime_before_the_test_is_in_the_test(tmp_path):
    """
    date,area,task,item,amount,unit
    2026-02-21,North,limed,lime-ag,2,tons
    """
    needs, _ = planned(test_lime_before_the_test_is_in_the_test, tmp_path)
    assert needs["North"]["lime"]["ton"] == pytest.approx(2.0)


def test_half_the_worth_is_half_the_lime(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North,limed,lime-pellet,50,bags
    """
    needs, _ = planned(test_half_the_worth_is_half_the_lime, tmp_path)
    # 50 bags of 40 lb are one ton of half the effective value: half a ton of the planned lime
    assert needs["North"]["lime"]["ton"] == pytest.approx(1.5)


def test_crumbs_of_lime_are_not_bought(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North,limed,lime-ag,3900,lb
    """
    needs, plan = planned(test_crumbs_of_lime_are_not_bought, tmp_path)
    assert needs["North"]["lime"] is None
    assert "100 lb of lime-ag" in said(needs["North"], "nearly-done")[0]
    assert line(plan, "lime-ag")["left"] == pytest.approx(2000)


def test_what_was_fed_counts_by_nutrient(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-09-10,North,fertilized,13-13-13,300,lb
    """
    needs, plan = planned(test_what_was_fed_counts_by_nutrient, tmp_path)
    need = needs["North"]
    assert need["done_lb_ac"]["p2o5"] == pytest.approx(19.5)
    assert need["given_lb_ac"]["p2o5"] == pytest.approx(40.0, abs=0.5)
    rows = [row for row in need["fertilizer"] if row["grade"] == "13-13-13"]
    # 40 asked on 2 acres, 39 lb spread: 41 lb left, in 13 % product
    assert sum(row["lb"] for row in rows) == pytest.approx(41 / 0.13, rel=0.01)
    assert line(plan, "13-13-13")["done"] == 300


def test_potash_of_last_season_stays_and_nitrogen_does_not(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-01-05,North,fertilized,13-13-13,700,lb
    """
    needs, _ = planned(test_potash_of_last_season_stays_and_nitrogen_does_not, tmp_path)
    need = needs["North"]
    assert need["done_lb_ac"]["k2o"] == pytest.approx(45.5)
    assert need["done_lb_ac"]["n"] == 0
    assert {row["grade"] for row in need["fertilizer"]} == {"34-0-0"}


def test_a_bag_keeps_the_pounds_it_had(tmp_path):
    """
    date,area,task,item,amount,unit,bag_lb
    2027-09-01,,bought,13-13-13,10,bags,40
    2027-09-10,North,fertilized,13-13-13,3,bags,40
    2027-09-11,South,fertilized,13-13-13,2,bags,
    """
    needs, plan = planned(test_a_bag_keeps_the_pounds_it_had, tmp_path)
    assert held(plan, "13-13-13")["bought"] == 400
    assert held(plan, "13-13-13")["on_hand"] == 400 - 120 - 100
    assert needs["North"]["done"][0]["amount"] == 120


def test_half_of_the_bags_bought(tmp_path):
    """
    date,area,task,item,amount,unit,price
    2027-09-01,,bought,oats,3,bags,75
    2027-09-02,,bought,fence posts,,,40
    """
    _, plan = planned(test_half_of_the_bags_bought, tmp_path)
    row = line(plan, "oats")
    assert (row["on_hand"], row["from_stock"], row["packs"]) == (150.0, 150.0, 3)
    assert row["spent"] == 75
    assert plan.spent.planned == 75
    assert plan.spent.other == 40
    assert "line 3: fence posts" in codes(plan)["log-bought"]


def test_stock_counts_from_its_day(tmp_path):
    """
    date,area,task,item,amount,unit,price
    2027-08-01,,bought,oats,2,bags,50
    2027-08-15,,bought,oats,1,bag,25
    2027-09-02,,bought,oats,2,bags,50
    2027-09-20,North,planted,oats,180,lb,
    """
    prop = place(stock=(Stock("oats", bags=3, on=dt.date(2027, 8, 15)),))
    _, plan = planned(test_stock_counts_from_its_day, tmp_path, prop)
    row = held(plan, "oats")
    assert (row["counted"], row["bought"], row["used"]) == (150.0, 100.0, 180.0)
    assert row["on_hand"] == 70


def test_stock_without_a_day_is_asked_for(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-09-02,,bought,oats,2,bags
    """
    prop = place(stock=(Stock("oats", bags=3),))
    _, plan = planned(test_stock_without_a_day_is_asked_for, tmp_path, prop)
    assert held(plan, "oats")["on_hand"] == 150
    assert "100 lb bought" in codes(plan)["stock-undated"]


def test_stock_without_a_day_is_asked_for_before_the_log_touches_it(tmp_path):
    """
    date,area,task,item,amount,unit
    """
    prop = place(stock=(Stock("oats", bags=3), Stock("13-13-13", bags=2)))
    test = test_stock_without_a_day_is_asked_for_before_the_log_touches_it
    _, plan = planned(test, tmp_path, prop)
    (said_once,) = [n.text for n in plan.notes if n.code == "stock-undated"]
    assert "stock of oats, 13-13-13 has no day" in said_once
    assert "fill in “Counted on”" in said_once


def test_more_lime_than_is_asked_for_is_said(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North,limed,lime-ag,13008,lb
    2027-02-22,South,limed,lime-ag,1,ton
    """
    needs, plan = planned(test_more_lime_than_is_asked_for_is_said, tmp_path)
    (text,) = said(needs["North"], "more-than-asked")
    assert (
        "9,008 lb of lime too much (the soil test asks for 4,000, 13,008 went out)" in text
    )
    assert needs["North"]["done"][0]["over"] == pytest.approx(9008)
    assert not said(needs["South"], "more-than-asked")
    assert "9,008 lb more went out than was asked" in line(plan, "lime-ag")["note"]
    assert any("North" in t and "9,008 lb" in printed(t) for t in plan.fertilizer_plan.said)


def test_lime_that_no_test_asks_for_is_said(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North,limed,lime-ag,2,tons
    2027-05-22,South,limed,lime-ag,2,tons
    """
    none = SoilTest("t", on=dt.date(2026, 12, 4), need_lb_ac=NeedLbAc(n=40.0))
    bare = Area("South", "plot", "f.gpx", mix="m", plant=PLANT)
    prop = place(soil_test=(none,), area=(NORTH, bare))
    needs, _ = planned(test_lime_that_no_test_asks_for_is_said, tmp_path, prop)
    assert "4,000 lb of lime too much" in said(needs["North"], "more-than-asked")[0]
    assert "for which no soil test asks" in said(needs["South"], "more-than-asked")[0]


def test_more_feed_than_a_plan_may_give_is_said_by_nutrient(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-09-10,North,fertilized,13-13-13,2000,lb
    2027-09-10,South,fertilized,13-13-13,310,lb
    """
    needs, _ = planned(test_more_feed_than_a_plan_may_give_is_said_by_nutrient, tmp_path)
    (text,) = said(needs["North"], "more-than-asked")
    # 260 lb of each are on 2 acres that ask for 80
    for nutrient in ("N", "P2O5", "K2O"):
        assert f"180 lb of {nutrient} too much (the plan asks for 80, 260 went out)" in text
    assert not said(needs["South"], "more-than-asked")  # 40.3 of 40 lb


def test_more_seed_than_is_asked_for_is_said(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-09-20,North,planted,oats,260,lb
    2027-09-20,North,planted,rye,30,lb
    2027-09-20,South,planted,oats,92,lb
    """
    needs, _ = planned(test_more_seed_than_is_asked_for_is_said, tmp_path)
    (text,) = said(needs["North"], "more-than-asked")
    assert "80 lb of oats too much (the mix asks for 180, 260 went out)" in text
    assert "30 lb of rye, which is not in the mix" in text
    assert not said(needs["South"], "more-than-asked")


def test_more_spray_than_its_rate_is_said(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-06-10,North,sprayed,foliar,300,fl oz
    """
    feed = Feed("foliar", share=1.0, on=dt.date(2027, 6, 1))
    fed = Area("North", "plot", "f.gpx", mix="m", plant=PLANT, soil_test="t", feed=(feed,))
    prop = place(
        area=(fed, SOUTH),
        spray=(Spray("foliar", use="foliar feed", rate_fl_oz_ac=64.0, pack_fl_oz=320.0),),
    )
    needs, _ = planned(test_more_spray_than_its_rate_is_said, tmp_path, prop)
    assert "172 fl oz of foliar too much (the rate asks for 128, 300 went out)" in said(
        needs["North"], "more-than-asked"
    )[0]  # fmt: skip


def test_a_price_on_a_line_of_work_is_spent_and_told_apart(tmp_path):
    """
    date,area,task,item,amount,unit,price
    2027-02-21,North; South,limed,lime-ag,3,tons,240
    2027-08-01,North,brushed out,,,,60
    2026-12-30,North,clip,,,,99
    2027-09-01,,bought,oats,3,bags,75
    """
    _, plan = planned(test_a_price_on_a_line_of_work_is_spent_and_told_apart, tmp_path)
    assert (plan.spent.work, plan.spent.planned, plan.spent.total) == (
        300,
        75,
        375,
    )


def test_more_used_than_there_was(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-09-02,,bought,13-13-13,1,bag
    2027-09-10,North,fertilized,13-13-13,120,lb
    """
    _, plan = planned(test_more_used_than_there_was, tmp_path)
    assert held(plan, "13-13-13")["on_hand"] == 0
    assert held(plan, "13-13-13")["more_used"] == 70
    assert "13-13-13: 120 lb used, 50 lb counted and bought" in codes(plan)["shed-short"]


def test_what_was_used_before_anybody_kept_count_is_not_missing(tmp_path):
    """
    date,area,task,item,amount,unit
    2026-09-10,North,planted,oats,180,lb
    2027-09-02,,bought,oats,2,bags
    2027-09-10,North,fertilized,13-13-13,120,lb
    """
    test = test_what_was_used_before_anybody_kept_count_is_not_missing
    _, plan = planned(test, tmp_path)
    assert held(plan, "oats")["on_hand"] == 100
    assert "shed-short" not in codes(plan)
    assert "13-13-13" in codes(plan)["shed-unknown"]


def test_a_line_without_an_amount_takes_the_plans(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North,limed,lime-ag,0.5,tons
    2027-02-28,North,limed,,,
    2027-09-10,South,fertilized,,,
    """
    needs, plan = planned(test_a_line_without_an_amount_takes_the_plans, tmp_path)
    assert needs["North"]["lime"] is None
    assert needs["South"]["fertilizer"] == []
    text = codes(plan)["log-amount"]
    assert "line 3: 3,000 lb of lime-ag on North" in text
    assert "line 4:" in text


def test_an_amount_that_cannot_be_read_is_said(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North,limed,lime-ag,3,buckets
    2027-02-22,,bought,oats,3,
    """
    needs, plan = planned(test_an_amount_that_cannot_be_read_is_said, tmp_path)
    assert "“buckets” is no unit known here" in codes(plan)["log-unit"]
    assert "3 has no unit" in codes(plan)["log-unit"]
    assert needs["North"]["lime"] is None  # taken as the plan's, which is said
    assert held(plan, "oats")["on_hand"] > 0


def test_several_pieces_on_one_line_are_split_by_their_need(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North; South,limed,lime-ag,1.5,tons
    """
    needs, plan = planned(test_several_pieces_on_one_line_are_split_by_their_need, tmp_path)
    assert needs["North"]["lime"]["ton"] == pytest.approx(1.0)
    assert needs["South"]["lime"]["ton"] == pytest.approx(0.5)
    assert "2,000 lb of lime-ag on North, 1,000 lb" in codes(plan)["log-split"]


def test_the_whole_place_is_every_area(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,whole place,limed,lime-ag,3,tons
    """
    needs, _ = planned(test_the_whole_place_is_every_area, tmp_path)
    assert needs["North"]["lime"] is None
    assert needs["South"]["lime"] is None


def test_planted_ground_needs_no_more_seed(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-09-25,North,planted,oats,170,lb
    2026-09-25,South,planted,,,
    """
    needs, plan = planned(test_planted_ground_needs_no_more_seed, tmp_path)
    assert needs["North"]["seed"] == []
    assert needs["South"]["seed"] != []  # that was last year's
    assert not said(needs["North"], "seeds-per-square-foot")
    assert not any("inoculate" in text for text in needs["North"]["setting"])
    oats, wheat = line(plan, "oats"), line(plan, "wheat")
    assert (oats["need"], oats["done"], oats["left"]) == pytest.approx((270, 170, 90))
    assert (wheat["need"], wheat["done"], wheat["left"]) == pytest.approx((180, 120, 60))
    assert "120 lb of wheat on North" in codes(plan)["log-amount"]
    assert needs["North"]["work"]["plant"]["minutes"] > 0


def test_a_line_taken_back_counts_for_nothing(tmp_path):
    """
    id,date,area,task,item,amount,unit
    aaaaaaaaa,2027-02-21,North,limed,lime-ag,2,tons
    aaaaaaaaa,2027-02-22,North,undo,,,
    """
    needs, plan = planned(test_a_line_taken_back_counts_for_nothing, tmp_path)
    assert needs["North"]["lime"]["ton"] == pytest.approx(2.0)
    assert plan.on_hand == ()


def test_a_test_without_a_day_says_what_a_day_would_save(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North,limed,lime-ag,2,tons
    2027-09-10,North,fertilized,13-13-13,300,lb
    """
    prop = place(soil_test=(UNDATED,))
    needs, _ = planned(test_a_test_without_a_day_says_what_a_day_would_save, tmp_path, prop)
    assert needs["North"]["lime"]["ton"] == pytest.approx(2.0)
    assert needs["North"]["done_lb_ac"]["p2o5"] == 0
    assert needs["North"]["done_lb_ac"]["n"] == pytest.approx(
        19.5
    )  # nitrogen is the season's
    (text,) = said(needs["North"], "soil-test-undated")
    assert "4,000 lb of lime-ag" in text
    assert "$220 worth" in text  # two tons at $50, six bags at $20
    assert not said(needs["South"], "soil-test-undated")


def test_a_test_grown_old_is_said(tmp_path):
    """date,area,task"""
    old = SoilTest("t", on=dt.date(2024, 3, 1), need_lb_ac=NeedLbAc(k2o=40.0))
    prop = place(soil_test=(old,), area=(Area("North", "plot", "f.gpx", soil_test="t"),))
    needs, plan = planned(test_a_test_grown_old_is_said, tmp_path, prop)
    (text,) = said(needs["North"], "old-soil-test")
    assert "3.6 years old now" in text
    assert "Alabama" in text
    assert "Mississippi" in text
    assert any("3.6 years old" in told for told in plan.fertilizer_plan.said)


def test_a_strips_lime_is_the_strips(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,Vine strip,limed,lime-ag,1,ton
    2027-02-22,Vine,limed,lime-ag,1,ton
    """
    vine = Area("Vine", "patch", "v.gpx", strip=StripSettings(soil_test="t"))
    prop = place(area=(NORTH, vine))
    strips = gpd.GeoDataFrame(
        {"id": ["s01"], "of": ["a02"], "name": ["Vine strip"], "kind": ["strip"],
         "acres": [3.0], "acres_low": [3.0], "acres_high": [3.0]},
        geometry=[shapely.box(1, 0, 2, 1)], crs=4326,
    )  # fmt: skip
    needs, _ = planned(test_a_strips_lime_is_the_strips, tmp_path, prop, strips=strips)
    assert needs["s01"]["lime"]["ton"] == pytest.approx(2.0)
    assert needs["North"]["lime"]["ton"] == pytest.approx(2.0)


def test_a_spray_that_was_used_is_not_bought(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-07-20,North,sprayed,feed,1,qt
    """
    feed = Spray("feed", "foliar feed", rate_fl_oz_ac=32.0, pack_fl_oz=128.0, price=30.0)
    fed = Area("North", "plot", "f.gpx", feed=(Feed("feed", on=dt.date(2027, 7, 24)),))
    prop = place(area=(fed,), spray=(feed,))
    needs, plan = planned(test_a_spray_that_was_used_is_not_bought, tmp_path, prop)
    (row,) = needs["North"]["spray"]
    assert (row["product"], row["done"], row["left"]) == (64.0, 32.0, 32.0)
    assert line(plan, "feed")["left"] == 32.0


def test_a_log_of_days_to_come_does_not_count(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-10-02,North,limed,lime-ag,2,tons
    """
    needs, _ = planned(test_a_log_of_days_to_come_does_not_count, tmp_path)
    assert needs["North"]["lime"]["ton"] == pytest.approx(2.0)


def test_one_test_of_two_plantings_is_fed_and_limed_once(tmp_path):
    """
    date,area,task,item,amount,unit
    2027-02-21,North,limed,lime-ag,2,tons
    2027-03-01,North,fertilized,13-13-13,700,lb
    2027-09-01,North,fertilized,34-0-0,100,lb
    """
    twice = Area(
        "North", "plot", "f.gpx",
        plantings=(
            Planting(mix="m", plant=dt.date(2027, 4, 10), soil_test="t"),
            Planting(mix="m", plant=dt.date(2027, 9, 20), soil_test="t"),
        ),
    )  # fmt: skip
    prop = place(area=(twice,))
    test = test_one_test_of_two_plantings_is_fed_and_limed_once
    _, plan = planned(test, tmp_path, prop, today=dt.date(2027, 9, 5))
    first, second = plan.by_id["a01"], plan.by_id["a01.2"]
    assert first["lime"] is None
    assert second["lime"] is None
    assert first["fertilizer"] == []
    assert {row["grade"] for row in second["fertilizer"]} == {"34-0-0"}
    assert second["done_lb_ac"]["n"] == pytest.approx(17.0)
    assert second["done_lb_ac"]["p2o5"] == 0.0
    assert line(plan, "13-13-13")["done"] == 700
    assert line(plan, "34-0-0")["done"] == 100
    assert line(plan, "lime-ag")["done"] == 4000


def test_a_season_that_is_over_is_not_told_of(tmp_path):
    """
    date,area,task,item,amount,unit
    2025-09-25,North,planted,,,
    2027-09-02,,bought,oats,2,bags
    """
    _, plan = planned(test_a_season_that_is_over_is_not_told_of, tmp_path)
    assert "log-amount" not in codes(plan)
