"""Printed examples of seed, fertilizer, lime, drills and sprayers met while reading of crops.

Tolerance: half a unit in the last printed digit, unless a line says why not. Where a
source printed a slip, the line says so and the right figure is asserted.
"""

import math

import pytest

from quietacre.need.fertilizer import Plot, plan_fertilizer
from quietacre.need.grade import Grade, parse_grade, product_lb_ac
from quietacre.need.lime import lime_rate
from quietacre.need.machine import (
    course_ft,
    lb_on_area,
    nozzle_gal_min,
    rate_from_catch_lb_ac,
    seeds_per_row_ft,
    spray_gal_ac,
)
from quietacre.need.seed import bulk_lb_ac, live_fraction, seeds_per_ft2
from quietacre.need.spray import tank_plan
from quietacre.need.tables import crops
from quietacre.settings import Buying, Product, SoilTest, Spray
from quietacre.units import ACRE_FT2, GAL_FL_OZ, MPH_FT_MIN

# seed -----------------------------------------------------------------------------

PERCENT = (100, 95, 90, 85, 80, 75, 70, 65, 60, 55, 50)
#: Pounds of bulk for a pound of live seed by purity (rows) and germination (columns).
BULK_PER_LIVE = """
1.0 1.05 1.1 1.2 1.25 1.35 1.4 1.55 1.65 1.8 2.0
1.05 1.1 1.2 1.25 1.3 1.4 1.5 1.65 1.75 1.9 2.1
1.1 1.2 1.25 1.3 1.4 1.5 1.6 1.7 1.85 2.0 2.2
1.2 1.25 1.3 1.4 1.45 1.55 1.7 1.8 1.95 2.15 2.35
1.25 1.3 1.4 1.5 1.55 1.65 1.8 1.9 2.1 2.25 2.5
1.35 1.4 1.5 1.55 1.65 1.8 1.9 2.05 2.2 2.45 2.65
1.4 1.5 1.6 1.7 1.8 1.9 2.05 2.2 2.4 2.6 2.85
1.55 1.65 1.7 1.8 1.9 2.05 2.2 2.4 2.55 2.8 3.1
1.65 1.75 1.85 1.95 2.1 2.2 2.4 2.55 2.8 3.05 3.35
1.8 1.9 2.0 2.15 2.25 2.45 2.6 2.8 3.05 3.35 3.65
2.0 2.1 2.2 2.35 2.5 2.65 2.85 3.1 3.35 3.65 4.0
"""


def test_bulk_for_a_pound_of_live_seed_by_purity_and_germination():
    # Establishment of Seeded Grasslands for Wildlife Habitat in the Prairie Pothole Region,
    # Table 4 (after Conservation Job Sheet ND-20, USDA-SCS, 1980), US Geological Survey,
    # 2006: 121 figures in steps of 0.05. 110 are the exact figure at its nearest step; the
    # eleven others, all within one step, are rounded the other way.
    printed = [
        [float(word) for word in row.split()] for row in BULK_PER_LIVE.strip().splitlines()
    ]
    assert [len(row) for row in printed] == [11] * 11
    other_way = 0
    for purity, row in zip(PERCENT, printed, strict=True):
        for germination, want in zip(PERCENT, row, strict=True):
            exact = bulk_lb_ac(1.0, live_fraction(purity / 100, germination / 100))
            assert want == pytest.approx(exact, abs=0.05)
            other_way += abs(want - exact) > 0.025 + 1e-9
    assert other_way == 11


def test_price_of_live_seed():
    # Calculating the Price of Pure Live Seed, Penn State Extension, n.d.
    for (purity, germination), (percent, pounds) in {
        (0.92, 0.80): (74, 1.4), (0.85, 0.60): (51, 2.0), (0.99, 0.90): (89, 1.1),
    }.items():  # fmt: skip
        live = live_fraction(purity, germination)
        assert live * 100 == pytest.approx(percent, abs=0.5)
        assert bulk_lb_ac(1.0, live) == pytest.approx(pounds, abs=0.05)
    # lot B: printed $3.30 from $3.00, where the lot cost $2.50: a slip; $2.81
    assert 2.50 / live_fraction(0.99, 0.90) == pytest.approx(2.81, abs=0.005)


def test_pure_seed_of_a_mixture_is_summed():
    # Seed calculator sheet, Texas A&M AgriLife turf program, n.d.: 30 + 32 + 27 is 89 % pure
    assert sum((30, 32, 27)) == 89
    assert live_fraction(0.89, 0.90) == pytest.approx(0.30 * 0.9 + 0.32 * 0.9 + 0.27 * 0.9)


#: Seeds in a pound: pounds an acre at 35 and at 30 seeds a square foot.
WHEAT_LB = {10_000: (150, 131), 12_000: (127, 109), 14_000: (109, 93), 16_000: (95, 82),
            18_000: (85, 73), 20_000: (76, 65)}  # fmt: skip


@pytest.mark.parametrize(("seeds_lb", "printed"), WHEAT_LB.items())
def test_pounds_of_wheat_by_seed_size(seeds_lb, printed):
    # Wheat seeding rate, Univ. of Kentucky, n.d. 10,000 seeds at 35 is printed 150, rounded
    # to ten: exact 152.5
    for want, seeds in zip(printed, (35, 30), strict=True):
        half = 5.0 if want == 150 else 0.5
        assert want == pytest.approx(ACRE_FT2 * seeds / seeds_lb, abs=half)
        assert seeds_per_ft2(want, seeds_lb) == pytest.approx(seeds, rel=half / want)


def test_rows_and_a_square_foot():
    # the same page: inches of row in a square foot, and seeds to a foot of row at 35 and 30
    for row_in, (length_in, at_35, at_30) in {
        4: (36.0, 12, 10), 6: (24.0, 17, 15), 7: (20.6, 20, 17), 8: (18.0, 23, 20),
        10: (14.4, 29, 25),
    }.items():  # fmt: skip
        assert course_ft(row_in / 12, 1.0) * 12 == pytest.approx(length_in, abs=0.05)
        assert seeds_per_row_ft(35 * ACRE_FT2, row_in) == pytest.approx(at_35, abs=0.51)
        assert seeds_per_row_ft(30 * ACRE_FT2, row_in) == pytest.approx(at_30, abs=0.51)
    # seeds in 20 g times 22.68 are seeds in a pound
    assert pytest.approx(22.68, abs=0.005) == 453.592 / 20


def test_seeds_of_a_mixture():
    # Seeding rates for perennial forages (Klein), Saskatchewan Ministry of Agriculture, n.d.:
    # alfalfa 200,000, sainfoin 30,000, hybrid brome 90,900 seeds a pound
    mixture = 0.30 * 200_000 + 0.20 * 30_000 + 0.50 * 90_900
    assert mixture == 111_450
    assert seeds_per_ft2(1.0, mixture) == pytest.approx(2.6, abs=0.05)
    assert seeds_per_ft2(1.0, 77_450) == pytest.approx(1.8, abs=0.05)
    assert seeds_per_ft2(1.0, 937_500) == pytest.approx(21.5, abs=0.05)


def test_plants_of_two_pounds_of_crimson_clover():
    # Growing Crimson Clover (Kephart), Farmers' Bulletin 1142, USDA, 1920: 2 lb an acre give
    # six plants to the square foot; the table's seeds in a pound are worked from it
    seeds_lb = crops()["crimson clover"].seeds_per_lb
    assert seeds_per_ft2(2.0, seeds_lb) == pytest.approx(6, abs=0.5)


def test_sorghum_seed_to_a_foot_of_row():
    # Grain sorghum planting, LSU AgCenter, in a farm paper, 2021: 75,000 seeds an acre are
    # "5-6" on 40 in., "4-5" on 30 to 36 and "3-4" on 20. Exact on 20 in.: 2.87, under it
    assert 5 <= seeds_per_row_ft(75_000, 40) <= 6
    assert 4 <= seeds_per_row_ft(75_000, 30) <= 5
    assert seeds_per_row_ft(75_000, 36) == pytest.approx(5, abs=0.5)
    assert seeds_per_row_ft(75_000, 20) == pytest.approx(2.87, abs=0.005)


def test_soybean_seed_to_a_foot_of_row():
    # Agronomy 212, seeds a foot of row, Iowa State Univ., n.d.: 200,000 on 15 in. is 5.74,
    # and 5 a foot is 174,240 an acre
    assert seeds_per_row_ft(200_000, 15) == pytest.approx(5.74, abs=0.005)
    assert 5 / seeds_per_row_ft(1, 15) == pytest.approx(174_240, abs=0.5)


def test_bags_of_soybean():
    # Agronomy 212, seed for an acre, Iowa State Univ., n.d.: 150,000 seeds of 2,750 a pound
    # are 54.5 lb; 60 lb of 2,200 and of 3,000 a pound are 132,000 and 180,000 seeds
    assert seeds_per_ft2(54.5, 2_750) * ACRE_FT2 == pytest.approx(150_000, rel=0.05 / 54.5)
    for seeds_lb, printed in {2_200: 132_000, 3_000: 180_000}.items():
        assert seeds_per_ft2(60, seeds_lb) * ACRE_FT2 == pytest.approx(printed, abs=0.5)


def test_drill_on_blocks():
    # How to Calibrate a Grain Drill (Carter), Soil Health Labs, n.d.:
    # a wheel of 8 ft, rows of 0.625 ft, 20 turns: 100 sq ft, and 26.1 g of it at 25 lb/ac
    area_ft2 = 8 * 0.625 * 20
    assert area_ft2 == 100
    grams = lb_on_area(25, area_ft2) * 454
    assert grams == pytest.approx(26.1, abs=0.05)
    assert rate_from_catch_lb_ac(grams / 454, 0.625, 160) == pytest.approx(25)


# fertilizer -----------------------------------------------------------------------


def test_pounds_in_a_bag():
    # a page on food plots, Clemson Univ. Extension, Forestry and Natural Resources, 2023
    ten = parse_grade("10-10-10")
    assert [50 * part for part in ten[:3]] == pytest.approx([5, 5, 5])
    assert 50 * parse_grade("0-45-0")[1] == pytest.approx(22.5)
    # Four steps in fertilizer calculations, slides, publisher not shown (weak)
    assert 50 * parse_grade("35-0-0")[0] == pytest.approx(17.5)


@pytest.mark.parametrize(
    ("nutrient", "grade", "printed"),
    [
        # Four steps in fertilizer calculations, slides, publisher not shown (weak)
        pytest.param(5, "35-0-0", 14.3, id="35"),
        pytest.param(15, "21-0-0", 71, id="21"),
        pytest.param(11.25, "31-0-0", 36.3, id="31"),
        pytest.param(3.75, "46-0-0", 8.2, id="46"),
        # Fertilizer Application Rates, Marion and Lee County Extension (Wilson, Beckford), 2013
        pytest.param(100, "28-14-5", 357, id="28"),
    ],
)
def test_product_for_a_nutrient(nutrient, grade, printed):
    fraction = parse_grade(grade)[0]
    places = 0.5 if printed == int(printed) else 0.05
    assert product_lb_ac(nutrient, fraction) == pytest.approx(printed, abs=places)


def test_bags_of_fifty_pounds():
    # the same page of Marion and Lee Counties: 357 lb are 7.14 bags, printed "7"; whole bags
    # that meet the need are eight
    grade = Grade("28-14-5", *parse_grade("28-14-5"), 50.0, 20.0)
    plan = plan_fertilizer(
        [Plot("lawn", 1.0, {"n": 100.0})], [grade], Buying(over_lb_ac=60.0)
    )
    assert plan.pounds["lawn", "28-14-5"] == pytest.approx(357, abs=0.5)
    assert plan.pounds["lawn", "28-14-5"] / 50 == pytest.approx(7.14, abs=0.005)
    assert plan.bags["28-14-5"] == 8


def test_drop_spreader():
    # Drop Spreader Calibration, LSU AgCenter, n.d.: 3 ft × 100 ft is 300 sq ft; 1 lb of N on
    # 1,000 sq ft from 20-0-0 is 1.5 lb on it
    lawn_lb_ac = product_lb_ac(1.0, parse_grade("20-0-0")[0]) * ACRE_FT2 / 1000
    assert course_ft(3, 300) == 100
    assert lb_on_area(lawn_lb_ac, 300) == pytest.approx(1.5, abs=0.05)


# lime -----------------------------------------------------------------------------


def test_limestone_of_seventy_percent():
    # Home garden report, Penn State Agricultural Analytical Services, n.d.: 5 lb on 100 sq ft
    # at CCE 70 printed "7"; exact 7.14. The state's recommendations are of CCE 100
    found = lime_rate(SoilTest("t", lime_ton_ac=5.0), Product("lime", cce_pct=70.0), "PA")
    assert found.ton_ac == pytest.approx(7, abs=0.5)
    assert found.ton_ac == pytest.approx(7.14, abs=0.005)
    assert any("100 % CCE" in text for text in found.warnings)


def test_pounds_of_neutralizing_material():
    # Grassland evaluation contest, question 7, Univ. of Missouri, n.d.: 1,600 lb ENM asked
    # for and 400 lb in a ton are 4 tons. Missouri's ENM is weighed as pounds in a ton, the
    # way the program reads ENP
    test = SoilTest("t", lime_basis="ENP", lime_lb_ac=1600.0)
    assert lime_rate(test, Product("lime", enp_lb_ton=400.0)).ton_ac == pytest.approx(4.0)


# sprayers -------------------------------------------------------------------------


def test_speed_over_two_hundred_feet():
    # Sprayer calibration, Oklahoma State Univ. turf program, n.d.: 45 s is 3 mph, 27 s is 5
    for seconds, printed in {45: 3, 27: 5}.items():
        assert 200 * 60 / seconds / MPH_FT_MIN == pytest.approx(printed, abs=0.5)
    # Math for pesticide applicators, Univ. of Nebraska, n.d.: 88 ft a minute, "1.46" ft a
    # second (cut; 1.467)
    assert MPH_FT_MIN == 88
    assert math.floor(MPH_FT_MIN / 60 * 100) / 100 == 1.46


def test_gallons_an_acre_of_a_turf_boom():
    # the same Oklahoma page: 101 oz a minute is 0.79 gal; at 3 mph and 18 in. it prints 88
    # gal/ac. That is a slip: 5,940 × 0.79 / 54 is 86.9
    assert pytest.approx(0.79, abs=0.005) == 101 / GAL_FL_OZ
    assert spray_gal_ac(0.79, 3, 18) == pytest.approx(86.9, abs=0.05)
    assert nozzle_gal_min(86.9, 3, 18) == pytest.approx(0.79, abs=0.005)


def test_swaths_of_an_acre():
    # Math for pesticide applicators, Univ. of Nebraska, n.d.
    for width_ft, miles in {8.25: 1, 16.5: 0.5, 33: 0.25}.items():
        assert course_ft(width_ft, ACRE_FT2) == pytest.approx(miles * 5280)


def test_tank_loads_by_the_acre():
    # Agrochemical and pesticide safety handbook, n.d.: 15 gal/ac on 3.5 ac are 52.5 gal, and
    # 3 lb/ac are 10.5 lb
    row = tank_plan(Spray("x", "spot spray", rate_lb_ac=3.0), 3.5, 60.0, 15.0)
    assert row.gal == pytest.approx(52.5)
    assert row.product == pytest.approx(10.5)
    # Sprayer calibration instructions, a Colorado county's weed district, n.d.: 7 oz/ac at
    # 100 gal/ac is 3.5 oz in 50 gal
    row = tank_plan(Spray("x", "spot spray", rate_fl_oz_ac=7.0), 1.0, 50.0, 100.0)
    assert row.product_per_load == pytest.approx(3.5)


def test_band_sprayer_table():
    # Band sprayer table, Univ. of Florida Agricultural Experiment Stations, n.d.: ounces
    # caught on 300 ft of a band give gallons an acre of band
    for (ounces, band_in), printed in {
        (26, 12): 29.5, (16, 15): 14.5, (8, 9): 12.1, (10, 9): 15.1, (10, 12): 11.3, (32, 12): 36.3,
    }.items():  # fmt: skip
        gallons = ounces / GAL_FL_OZ
        acres = 300 * band_in / 12 / ACRE_FT2
        # the sprayer's own formula at the speed that takes a minute
        found = spray_gal_ac(gallons, 300 / MPH_FT_MIN, band_in)
        assert found == pytest.approx(gallons / acres)
        assert found == pytest.approx(printed, abs=0.051)


def test_broadcast_rate_with_a_slip():
    # Pest control examinations, Florida, p. 213, n.d.: 20 oz a minute is 0.15 gal (cut,
    # 0.156); 0.15 at 5 mph on 48 in. printed 327 gal/ac, a slip of the point: 3.71
    assert math.floor(20 / GAL_FL_OZ * 100) / 100 == 0.15
    assert spray_gal_ac(0.15, 5, 48) == pytest.approx(3.71, abs=0.005)
    # method II: 12 gal on 660 ft of a 10 ft swath are 79.2 gal/ac
    assert pytest.approx(79.2, abs=0.05) == 12 / (660 * 10 / ACRE_FT2)
