"""Printed examples of seed, fertilizer, sprayer and spreader arithmetic.

Tolerance: half a unit in the last printed digit, unless a line says why not.
"""

import pytest

from quietacre.need.grade import (
    K_TO_K2O,
    P_TO_P2O5,
    PPM_TO_LB_AC,
    oxide_needs,
    parse_grade,
    product_lb_ac,
)
from quietacre.need.machine import lb_on_area
from quietacre.need.seed_rate import bulk_lb_ac, live_fraction, seeds_per_ft2
from quietacre.need.spray import tank_plan
from quietacre.settings import NeedLbAc, Spray
from quietacre.units import ACRE_FT2, GAL_FL_OZ, MPH_FT_MIN

LIVE = [
    # "Pure live seed", Texas Dept. of Transportation, n.d.: 85 × 75, printed 0.64
    pytest.param((0.85, 0.75, 0.0), 0.64, 0.005, id="TxDOT"),
    # "What is Pure Live Seed (PLS)?", Georgia Forages, Univ. of Georgia, n.d.
    pytest.param((0.90, 0.90, 0.0), 0.81, 0.005, id="UGA"),
    # Rangelands Gateway glossary, n.d.: .91 × .96 = 87.36 %
    pytest.param((0.91, 0.96, 0.0), 0.8736, 0.00005, id="Rangelands"),
    # "Calculate Seeding Rates in Pure Live Seed", Allamakee SWCD, Iowa, n.d.; cuts
    # 0.918375 to 0.9183, so a whole unit
    pytest.param((0.9875, 0.88, 0.05), 0.9183, 0.0001, id="Allamakee"),
    # seed trade pages, n.d., arithmetic only (weak authority)
    pytest.param((0.98, 0.92, 0.05), 0.9506, 0.00005, id="trade-switchgrass"),
    pytest.param((0.96, 0.80, 0.0), 0.768, 0.0005, id="trade-96x80"),
    pytest.param((0.95, 0.85, 0.0), 0.8075, 0.00005, id="trade-95x85"),
    pytest.param((0.995, 0.90, 0.0), 0.8955, 0.00005, id="trade-99.5x90"),
]


@pytest.mark.parametrize(("tag", "printed", "tol"), LIVE)
def test_live_fraction_as_printed(tag, printed, tol):
    assert live_fraction(*tag) == pytest.approx(printed, rel=0, abs=tol)


BULK = [
    # seed trade pages, n.d., arithmetic only: wanted PLS lb/ac, tag, printed bulk
    pytest.param(3.00, (0.98, 0.92, 0.05), 3.16, id="switchgrass"),
    pytest.param(0.12, (0.95, 0.85, 0.0), 0.15, id="TZ-counts-dormant"),
    pytest.param(20.0, (0.95, 0.85, 0.0), 24.77, id="95x85"),
    pytest.param(80.0, (0.995, 0.90, 0.0), 89.34, id="99.5x90"),
]


def test_bulk_of_one_live_pound_as_printed():
    # a seed trade page, n.d., arithmetic only: 96 × 80 is 1.3 lb bulk a live pound
    assert bulk_lb_ac(1.0, live_fraction(0.96, 0.80)) == pytest.approx(1.3, abs=0.05)


@pytest.mark.parametrize(("pls", "tag", "printed"), BULK)
def test_bulk_as_printed(pls, tag, printed):
    assert bulk_lb_ac(pls, live_fraction(*tag)) == pytest.approx(printed, rel=0, abs=0.005)


def test_bermudagrass_rounds_before_inverting():
    # Texas DOT, "Pure live seed", n.d. prints 1.56 = 1/0.64; unrounded it is 1.5686
    assert bulk_lb_ac(1.0, live_fraction(0.85, 0.75)) == pytest.approx(1.56, abs=0.01)


# WVU Extension TRIM 5302 (Rayburn), 1994: seeds on a square foot at 1 lb/ac
@pytest.mark.parametrize(
    ("seeds_lb", "printed"),
    [(200_000, 5), (275_000, 6), (700_000, 16), (680_000, 16), (5_100_000, 117)],
)
def test_seeds_per_square_foot_as_printed(seeds_lb, printed):
    assert round(seeds_per_ft2(1.0, seeds_lb)) == printed


PRODUCT = [
    # National Wild Turkey Federation, expert chat (Hughes), 2009: 40 lb of each nutrient
    pytest.param(40, "10-10-10", 400, 0.5, id="NWTF-10"),
    pytest.param(40, "13-13-13", 308, 0.5, id="NWTF-13"),
    pytest.param(40, "17-17-17", 235, 0.5, id="NWTF-17"),
    # "Four steps in fertilizer calculations", lecture notes, n.d.: 15 lb N
    pytest.param(15, "21-0-0", 71, 0.5, id="lecture"),
    # LSU AgCenter (Iverson), spreader page, n.d.: 1 lb N
    pytest.param(1, "20-0-0", 5, 0.05, id="LSU"),
    # "Fertilizer Calculations", hobby page, n.d. (weak)
    pytest.param(200, "10-10-10", 2000, 0.5, id="hobby"),
]


@pytest.mark.parametrize(("nutrient", "grade", "printed", "tol"), PRODUCT)
def test_product_pounds_as_printed(nutrient, grade, printed, tol):
    assert product_lb_ac(nutrient, parse_grade(grade)[0]) == pytest.approx(printed, abs=tol)


def test_conversions_as_printed():
    # Virginia Tech SPES-201, n.d.; ppm × 2: WVU (Rayburn), Progressive Forage, n.d.
    assert pytest.approx(2.2910, abs=5e-5) == P_TO_P2O5
    assert pytest.approx(0.4365, abs=5e-5) == 1 / P_TO_P2O5
    assert pytest.approx(1.2051, abs=5e-5) == K_TO_K2O
    assert (
        pytest.approx(0.8301, abs=3e-4) == 1 / K_TO_K2O
    )  # inverse printed from other digits
    assert pytest.approx(60, abs=0.05) == 49.8 * K_TO_K2O
    assert PPM_TO_LB_AC == 2
    # others round the same factors: NCDA&CS 2.29 and 1.2, WVU 2.3 and 1.2, n.d.
    assert pytest.approx(2.29, abs=0.005) == P_TO_P2O5
    assert pytest.approx(2.3, abs=0.05) == P_TO_P2O5
    assert pytest.approx(1.2, abs=0.05) == K_TO_K2O
    # printed with them: 43,560 sq ft an acre, 88 ft a minute a mile an hour, 128 fl oz a gallon
    assert (ACRE_FT2, MPH_FT_MIN, GAL_FL_OZ) == (43_560, 88, 128)


def test_elemental_and_oxide_needs_cannot_be_mixed():
    from quietacre.errors import NeedProblem

    assert oxide_needs(NeedLbAc(p=10, k=10, s=5)) == {
        "n": 0.0, "p2o5": 22.91, "k2o": 12.051, "s": 5.0}  # fmt: skip
    assert oxide_needs(NeedLbAc(p2o5=10), ppm=True)["p2o5"] == 20
    with pytest.raises(NeedProblem, match="element and as oxide"):
        oxide_needs(NeedLbAc(p=1, p2o5=1))


def test_percent_by_volume_as_printed():
    # Univ. of Illinois, Bulletin 2006 no. 10 art. 5: 0.5 % of 2 gal is 1.28 fl oz
    row = tank_plan(Spray("x", "spot spray", rate_pct_volume=0.5), 1.0, 25.0, 2.0)
    assert row.gal == 2.0
    assert row.product == pytest.approx(1.28, abs=0.005)


def test_one_percent_by_volume_in_a_gallon():
    # worked from the Illinois line: 1 % is 1.28 fl oz a gallon
    row = tank_plan(Spray("x", "spot spray", rate_pct_volume=1.0), 1.0, 1.0, 1.0)
    assert row.product_per_load == pytest.approx(1.28, abs=0.005)


def test_pounds_of_nitrogen_on_a_lawn_as_printed():
    # "Four steps in fertilizer calculations", lecture notes, n.d.: 1 lb on each 1,000 of
    # 15,000 sq ft is 15 lb; LSU AgCenter (Iverson), n.d.: 5 lb of 20-0-0 on 1,000 sq ft
    per_acre = 1.0 * ACRE_FT2 / 1000
    assert lb_on_area(per_acre, 15_000) == pytest.approx(15, abs=0.5)
    product = product_lb_ac(per_acre, parse_grade("20-0-0")[0])
    assert lb_on_area(product) == pytest.approx(5, abs=0.5)


def test_tank_as_printed():
    # agrochemical safety handbook, n.d.: 3.5 ac × 15 GPA = 52.5 gal, × 3 lb/ac = 10.5 lb
    row = tank_plan(Spray("x", "spot spray", rate_lb_ac=3.0), 3.5, 25.0, 15.0)
    assert (row.gal, row.product) == (52.5, 10.5)
    assert (row.loads_full, row.last_load_gal) == (2, 2.5)
    # "Sprayer Calibration Instructions", n.d.: 50 gal at 100 GPA, 7 oz/ac: 3.5 oz a tank
    row = tank_plan(Spray("x", "spot spray", rate_fl_oz_ac=7.0), 3.0, 50.0, 100.0)
    assert row.product_per_load == pytest.approx(3.5, abs=0.05)


def test_sprayer_and_spreader_identities():
    # 5940 = 43,560 × 12 / 88, Albany Co. Weed & Pest (WY), n.d.; printed 20 GPA
    assert ACRE_FT2 * 12 / MPH_FT_MIN == 5940
    assert pytest.approx(20, abs=0.5) == 5940 * 3.75 / (5 * 222)
    # LSU AgCenter, "Ounces equal gallons", n.d.: 1/128 acre at 20 in. is 204 ft
    assert pytest.approx(204, abs=1) == ACRE_FT2 / GAL_FL_OZ / (20 / 12)
    # extension slide deck, n.d.: 12 ft × 83 ft 4 in. is 1,000 sq ft
    assert pytest.approx(83 + 4 / 12, abs=0.05) == 1000 / 12
