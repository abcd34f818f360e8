"""The test is met unless the person says otherwise; what has no price never wins unsaid."""

import dataclasses
import json

import geopandas as gpd
import pytest
import shapely
from click.testing import CliRunner

from quietacre import settings as keys
from quietacre.cli import main
from quietacre.figures import printed
from quietacre.need.fertilizer import Plot, plan_fertilizer
from quietacre.need.grade import Grade, assumed_prices, parse_grade
from quietacre.need.plan import plan_needs
from quietacre.settings import Buying, Mix, Product, Seed, SoilTest


def grade(text, price, bag_lb=50.0):
    return Grade(text, *parse_grade(text), bag_lb, price)


def run(*words):
    return CliRunner().invoke(main, ["need", "fertilizer", "--acres", "1", *words])


def one_area(prop, acres=10.0):
    frame = {"id": ["a01"], "name": ["field"], "kind": ["plot"], "acres": [acres],
             "acres_low": [acres], "acres_high": [acres]}  # fmt: skip
    areas = gpd.GeoDataFrame(frame, geometry=[shapely.box(0, 0, 1, 1)], crs=4326)
    return plan_needs(areas, prop)


PLACE = keys.Property(
    keys.PropertyInfo("p"),
    area=(keys.Area("field", "plot", "f.gpx", mix="m", soil_test="t"),),
    mix=(Mix("m", (Seed("oats", rate_lb_ac=60.0, basis="bulk", price_lb=0.4, bag_lb=50.0),)),),
    soil_test=(SoilTest("t", need_lb_ac=keys.NeedLbAc(n=80.0)),),
    product=(Product("46-0-0", bag_lb=50.0, price=20.0),),
)  # fmt: skip


def test_the_soil_test_is_met_unless_told_otherwise():
    need = one_area(PLACE).by_id["a01"]
    assert need["given_lb_ac"]["n"] == pytest.approx(80.0, abs=1e-4)
    assert not [n for n in need["notes"] if n["code"] == "left-short"]


@pytest.mark.parametrize(("pct", "level"), [(5.0, "caution"), (12.0, "warning")])
def test_a_shortfall_by_choice_is_said_with_its_pounds(pct, level):
    prop = dataclasses.replace(PLACE, buying=Buying(short_pct=pct))
    plan = one_area(prop)
    (note,) = [n for n in plan.by_id["a01"]["notes"] if n["code"] == "left-short"]
    assert note["level"] == level
    assert f"{8 * pct:.0f} of 800 lb N" in note["text"]
    assert any(
        "field" in line and "your choice" in line for line in plan.fertilizer_plan.said
    )


def test_what_cannot_be_met_counts_the_whole_need():
    prop = dataclasses.replace(
        PLACE,
        product=(Product("0-0-60", bag_lb=50.0, price=20.0),),
        buying=Buying(short_pct=5.0),
    )
    plan = one_area(prop)
    assert plan.by_id["a01"]["unmet"][0]["lb"] == pytest.approx(800.0)
    said = [printed(text) for text in plan.fertilizer_plan.said]
    assert "field: 800 lb N cannot be met (planting)" in said
    reasons = {row["why"] for row in plan.by_id["a01"]["unmet"]}
    assert reasons
    assert all(said.count(reason) == 1 for reason in reasons)


def test_a_product_without_a_price_is_not_free():
    plot = Plot("p", 1.0, {"n": 80.0, "p2o5": 0.0, "k2o": 0.0})
    cheap = [grade("34-0-0", 10.0), grade("46-0-0", None)]
    # 34-0-0 costs 10 / 17 = $0.59 a pound of N; so does 46-0-0, assumed: 23 lb × 0.59 = 13.53
    assert assumed_prices(cheap) == {"46-0-0": pytest.approx(13.53)}
    plan = plan_fertilizer([plot], cheap, Buying())
    assert "cheapest" not in plan.proof.replace("which is cheapest cannot be said", "")
    assert plan.status == "price not known"
    assert plan.cost == 10.0 * plan.bags.get("34-0-0", 0)


def test_no_price_at_all_takes_the_fewest_pounds():
    plot = Plot("p", 1.0, {"n": 46.0, "p2o5": 0.0, "k2o": 0.0})
    plan = plan_fertilizer([plot], [grade("34-0-0", None), grade("46-0-0", None)], Buying())
    assert dict(plan.bags) == {"46-0-0": 2}
    assert plan.unpriced == ("46-0-0",)


def test_a_missing_price_is_said_of_the_property_and_of_the_plan():
    prop = dataclasses.replace(PLACE, product=(Product("46-0-0", bag_lb=50.0),))
    plan = one_area(prop)
    (note,) = plan.notes
    assert (note.code, note.level) == ("no-price", "warning")
    assert "46-0-0" in note.text
    assert "proved cheapest" not in " ".join(plan.fertilizer_plan.text)
    assert not one_area(PLACE).notes


def test_the_command_says_shortfall_and_missing_price():
    said = run("--n", "80", "--product", "46-0-0:50:20", "--short-pct", "5").output
    assert "left short by your choice of 5 %: 4.0 lb N" in said
    said = run("--n", "80", "--product", "46-0-0:50", "--product", "34-0-0:50:40").output
    assert "46-0-0" in said
    assert "proved cheapest" not in said
    assert json.loads(run("--n", "80", "--product", "46-0-0:50", "--json").output)[
        "unpriced"
    ] == ["46-0-0"]


@pytest.mark.parametrize(
    "text", ["46-0-0:-5:1", "46-0-0:nan:1", "46-0-0:50:-1", "46-0-0:50:inf"]
)
def test_a_bag_weighs_something_and_costs_something(text):
    ran = run("--n", "80", "--product", text)
    assert ran.exit_code == 2
    assert "is not a product" in ran.output
