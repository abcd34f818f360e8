"""Minutes that can be: passes, loads, hauling, a strip walked; by hand."""

import dataclasses
from types import SimpleNamespace

import geopandas as gpd
import pytest
import shapely

from quietacre import settings as keys
from quietacre.need.plan import plan_needs
from quietacre.need.work import (
    lime_work,
    loads_of,
    machine_ac_hr,
    pull_minutes,
    sow_work,
    spray_minutes,
    spread_work,
)
from quietacre.settings import Equipment, Mix, Product, Seed, SoilTest

GEAR = Equipment()
#: One pass of the spreader: 20 ft × 4 mph × 0.7 / 8.25 is 6.79 acres an hour.
PASS_MIN = 60 * 8.25 / (20 * 4 * 0.7)
DRAG_MIN = 60 * 8.25 / (8 * 4 * 0.7)


def test_each_product_is_a_pass_and_each_load_is_filled():
    work = spread_work(3.0, [950.0, 400.0, 90.0], GEAR)
    assert (work.passes, work.loads, work.text) == (3, 5, "3 passes, 5 loads")
    assert work.minutes == pytest.approx(3 * 3 * PASS_MIN + 5 * 10 + 10)


def test_loads_count_a_part_and_no_pounds_none():
    assert [loads_of(lb, 400.0) for lb in (0.0, 0.1, 400.0, 400.1)] == [0, 1, 1, 2]


def row(number, lb, method="broadcast"):
    return SimpleNamespace(pass_=number, lb=lb, method=method)


def test_two_passes_of_seed_are_two_and_are_covered():
    work = sow_work(2.0, [row(1, 120.0), row(2, 23.0)], GEAR)
    assert (work.passes, work.loads) == (2, 2)
    assert work.minutes == pytest.approx(2 * 2 * (PASS_MIN + DRAG_MIN) + 2 * 10 + 10)
    drilled = sow_work(2.0, [row(1, 180.0, "drill")], GEAR)
    assert drilled.minutes == pytest.approx(120 / machine_ac_hr("drill", GEAR) + 10 + 10)


def test_nine_tons_of_lime_are_no_hour():
    work = lime_work(6.42, 18_356.0, GEAR, Product("lime-ag", bulk=True))
    assert work.loads == 46
    assert work.minutes == pytest.approx(6.42 * PASS_MIN + 46 * 10 + 10)
    assert "truck" in work.note
    truck = lime_work(
        6.42, 18_356.0, GEAR, Product("lime-ag", bulk=True, spread_for_you=True)
    )
    assert (truck.minutes, truck.note) == (40.0, "")


def test_tanks_are_filled_and_strips_are_walked():
    assert spray_minutes(3.0, 2, GEAR) == pytest.approx(
        3 * 60 * 8.25 / (10 * 3 * 0.7) + 2 * 20 + 10
    )
    assert pull_minutes(2.92, GEAR) == pytest.approx(2.92 * 60 + 10)
    quick = dataclasses.replace(GEAR, walk_pull_ac_hr=4.0)
    assert pull_minutes(2.92, quick) == pytest.approx(2.92 * 15 + 10)


def test_the_plan_carries_them_to_the_year():
    mix = Mix("m", (Seed("crimson clover", share=0.3), Seed("oats", share=0.9)))
    prop = keys.Property(
        keys.PropertyInfo("p"),
        area=(keys.Area("field", "plot", "f.gpx", mix="m", soil_test="t", topdress_n_lb_ac=20.0),),
        mix=(mix,),
        soil_test=(SoilTest("t", lime_ton_ac=1.5, lime_basis="ECCE", lime_basis_pct=100.0,
                            need_lb_ac=keys.NeedLbAc(n=40.0, k2o=60.0)),),
        product=(Product("34-0-0", price=19.0), Product("0-0-60", price=21.0),
                 Product("lime-ag", bulk=True, ecce_pct=100.0, price=50.0)),
    )  # fmt: skip
    frame = {"id": ["a01"], "name": ["field"], "kind": ["plot"], "acres": [4.0],
             "acres_low": [4.0], "acres_high": [4.0]}  # fmt: skip
    areas = gpd.GeoDataFrame(frame, geometry=[shapely.box(0, 0, 1, 1)], crs=4326)
    need = plan_needs(areas, prop).by_id["a01"]
    assert set(need["work"]) == {"plant", "fertilize", "top-dress", "lime"}
    assert need["work"]["plant"]["passes"] == 2
    assert need["work"]["lime"]["loads"] == 30
    (note,) = [n for n in need["notes"] if n["code"] == "many-loads"]
    assert "12,000 lb of lime are 30 loads" in note["text"]
