"""What a plan says that a county agent would ask for: thin spreadings, spot sprays, readings."""

import datetime as dt

import geopandas as gpd
import pytest
import shapely

from quietacre import settings as keys
from quietacre.need.machine import thin_text
from quietacre.need.plan import plan_needs
from quietacre.settings import Mix, NeedLbAc, Product, Seed, SoilTest, Spray

OATS = Mix("m", (Seed("oats", share=1.0, basis="bulk"),))


def planned(*, kind="plot", name="field", acres=2.0, test=None, spray=(), **area):
    plot = {"mix": "m", "soil_test": "t"} if kind == "plot" else {}
    prop = keys.Property(
        keys.PropertyInfo("p"),
        area=(keys.Area(name, kind, "f.gpx", **plot, **area),),
        mix=(OATS,),
        soil_test=(test or SoilTest("t", need_lb_ac=NeedLbAc(n=60.0, k2o=20.0)),),
        product=(
            Product("34-0-0", bag_lb=50.0, price=19.0),
            Product("0-0-60", bag_lb=50.0, price=21.0),
        ),
        spray=spray,
    )
    frame = {"id": ["a01"], "name": [name], "kind": [kind], "acres": [acres],
             "acres_low": [acres], "acres_high": [acres]}  # fmt: skip
    areas = gpd.GeoDataFrame(frame, geometry=[shapely.box(0, 0, 1, 1)], crs=4326)
    return plan_needs(areas, prop).by_id["a01"]


def texts(need, code):
    return [note["text"] for note in need["notes"] if note["code"] == code]


def test_what_is_too_thin_to_spread_by_itself_is_blended():
    lines = planned()["setting"]
    (potash,) = [line for line in lines if line.startswith("0-0-60")]
    assert "blend it with 34-0-0 and spread 210 lb/ac in one pass" in potash
    assert not any("blend" in line for line in lines if line.startswith("34-0-0"))


def test_urea_and_nitrate_are_never_blended():
    rates = {"46-0-0": 20.0, "34-0-0": 150.0}
    assert thin_text("46-0-0", rates).endswith("ask the store for a blend")
    assert "blend it with 0-0-60" in thin_text("46-0-0", {**rates, "0-0-60": 60.0})
    assert thin_text("34-0-0", rates) == ""


def test_readings_in_parts_a_million_are_no_needs():
    test = SoilTest("t", need_ppm=NeedLbAc(n=30.0, p=13.0))
    (text,) = texts(planned(test=test), "need-in-ppm")
    assert "60 lb/ac of N, 60 lb/ac of P2O5" in text
    assert "Mehlich-3" in text
    assert not texts(planned(), "need-in-ppm")


@pytest.mark.parametrize(
    ("rate", "water", "said"),
    [
        ({"rate_pct_volume": 2.0}, None, True),
        ({"rate_pct_volume": 2.0}, 60.0, False),  # measured
        ({"rate_fl_oz_ac": 32.0}, None, False),  # by the acre
    ],
)
def test_a_spot_spray_in_percent_asks_for_its_water(rate, water, said):
    spot = Spray("spot", "spot spray", spray_gal_ac=water, **rate)
    feed = (keys.Feed("spot", share=0.1),)
    need = planned(kind="native", name="draw", spray=(spot,), feed=feed)
    assert bool(texts(need, "spot-water")) is said
    assert need["setting"][0].startswith("hand gun:")
    assert "18.5 by 18.5 ft" in need["setting"][0]


def test_a_boom_is_still_checked_as_a_boom():
    feed = (keys.Feed("feed", share=0.5),)
    foliar = Spray("feed", "foliar feed", rate_fl_oz_ac=64.0)
    need = planned(kind="native", name="draw", spray=(foliar,), feed=feed)
    assert need["setting"][0].startswith("sprayer:")
    assert not texts(need, "which-honeysuckle")


def test_which_honeysuckle_is_asked_before_it_is_fed():
    foliar = Spray("feed", "foliar feed", rate_fl_oz_ac=64.0)
    feed = (keys.Feed("feed", share=0.5),)
    need = planned(kind="native", name="Honeysuckle draw", spray=(foliar,), feed=feed)
    (text,) = texts(need, "which-honeysuckle")
    assert "invasive" in text


@pytest.mark.parametrize(
    ("kind", "use", "said"),
    [
        ("patch", "foliar feed", True),
        ("patch", "spot spray", False),  # it holds the vine back
        ("native", "foliar feed", False),
    ],
)
def test_only_who_feeds_the_vine_is_told_that_it_runs(kind, use, said):
    jug = Spray("jug", use, rate_fl_oz_ac=64.0, spray_gal_ac=15.0)
    need = planned(kind=kind, spray=(jug,), feed=(keys.Feed("jug", share=0.5),))
    assert bool(texts(need, "feeding-the-vine")) is said


def test_whose_figures_are_asked_is_told():
    need = planned(test=SoilTest("t", on=dt.date(2026, 11, 7), need_lb_ac=NeedLbAc(n=60.0)))
    assert need["asked_of"] == "the soil test “t”, November 7, 2026"
    upkeep = planned(fertilizer="maintenance")["asked_of"]
    assert upkeep.startswith(
        "upkeep without a soil test: nitrogen 42 lb/ac for oats (Deer Lab"
    )
    assert "potash 24 lb/ac for oats (" in upkeep
