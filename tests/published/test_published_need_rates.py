"""Rates, lime and checks of machines as printed. Tolerance: half the last printed digit."""

import json

import pytest
from click.testing import CliRunner

from quietacre.cli import main


def need(*words):
    """Run ``quietacre need`` and return its JSON."""
    ran = CliRunner().invoke(main, ["need", *words, "--json"])
    assert ran.exit_code == 0, ran.output
    return json.loads(ran.output)


@pytest.mark.parametrize(
    ("nutrient", "lb_ac", "grade", "printed"),
    [
        # Rate tables of fertilizer products, Manitoba Agriculture, n.d.
        ("n", 80, "46-0-0", 174),
        ("p2o5", 40, "11-52-0", 77),
        ("k2o", 15, "0-0-60", 25),
    ],
)
def test_product_for_a_need_as_manitoba_prints(nutrient, lb_ac, grade, printed):
    got = need("fertilizer", "--acres", "1", f"--{nutrient}", str(lb_ac), "--product", f"{grade}:50:20")  # fmt: skip
    (row,) = got["products"]
    assert row["lb_ac"] == pytest.approx(printed, abs=0.5)
    assert got["short_lb"] == {}


def test_nitrogen_that_comes_with_phosphate_as_manitoba_prints():
    # Manitoba Agriculture, n.d.: 77 lb of 11-52-0 for 40 lb P2O5 bring 8.5 lb N
    got = need("fertilizer", "--acres", "1", "--p2o5", "40", "--product", "11-52-0:50:20")
    assert 0.11 * got["products"][0]["lb_ac"] == pytest.approx(8.5, abs=0.05)


# seeds and seed ---------------------------------------------------------------------

# Seeding rate and seed size (Bitzer and Herbek), Wheat, University of Kentucky, n.d.
KENTUCKY_WHEAT = {
    10_000: (150, 131), 12_000: (127, 109), 14_000: (109, 93), 16_000: (95, 82),
    18_000: (85, 73), 20_000: (76, 65),
}  # fmt: skip
#: The page prints 150 where its own figures make 35 × 43,560 ÷ 10,000 = 152.
KENTUCKY_ROUNDED = {(10_000, 35): 152}


@pytest.mark.parametrize(("a_pound", "printed"), KENTUCKY_WHEAT.items())
def test_seeds_on_a_square_foot_as_kentucky_prints(a_pound, printed):
    for seeds_ft2, on_page in zip((35, 30), printed, strict=True):
        got = need("seed", "--acres", "1", "--crop", "wheat", "--method", "drill",
                   "--seeds-ft2", str(seeds_ft2), "--seeds-per-lb", str(a_pound))  # fmt: skip
        lb_ac = KENTUCKY_ROUNDED.get((a_pound, seeds_ft2), on_page)
        assert got["bulk_lb_ac"] == pytest.approx(lb_ac, abs=0.51)
        assert got["seeds_ft2"] == pytest.approx(seeds_ft2)


def test_coated_clover_as_purdue_prints():
    # Purdue University, 2008: of 180 lb of coated red clover about 120 are seed
    got = need("seed", "--acres", "1", "--crop", "red clover", "--rate-lb-ac", "120",
               "--basis", "pls", "--purity", "1", "--germination", "1", "--coating", str(1 / 3))  # fmt: skip
    assert got["bulk_lb_ac"] == pytest.approx(180)


def test_seeds_on_a_foot_of_row_as_penn_state_prints():
    # The Agronomy Guide, Table 1.7-3, Penn State Extension, n.d.: 1.5 million seeds an acre
    # are 20 on a foot of 7 in. row
    got = need("planter", "--seeds-ac", "1500000", "--row-in", "7")
    assert got["seeds_per_row_ft"] == pytest.approx(20, abs=0.5)


@pytest.mark.parametrize(("stand", "printed"), [(1_000_000, 23), (1_300_000, 30)])
def test_a_stand_on_a_square_foot_as_mississippi_prints(stand, printed):
    # P2401, Mississippi State University Extension, n.d.: 1 to 1.3 million plants an acre are
    # 23 to 30 on a square foot
    got = need("seed", "--acres", "1", "--crop", "wheat", "--method", "drill",
               "--rate-lb-ac", str(stand / 10_000), "--seeds-per-lb", "10000")  # fmt: skip
    assert got["seeds_ft2"] == pytest.approx(printed, abs=0.5)


@pytest.mark.parametrize(
    ("nutrient", "lb_ac", "grade", "printed", "within"),
    [
        # Soils report on mined land (a certified soil scientist), p. 16, in the files of the
        # Colorado Division of Reclamation, Mining and Safety, n.d. Rounded there to 5 lb.
        ("k2o", 40, "0-0-50", 80, 2.5),
        ("k2o", 40, "0-0-62", 65, 2.5),
        # it prints 175 where 80 / 0.45 is 177.8, just over the half of its step
        ("p2o5", 80, "0-45-0", 175, 3.0),
    ],
)
def test_product_for_alfalfa_as_colorado_prints(nutrient, lb_ac, grade, printed, within):
    got = need("fertilizer", "--acres", "1", f"--{nutrient}", str(lb_ac), "--product", f"{grade}:50:20")  # fmt: skip
    (row,) = got["products"]
    assert row["lb_ac"] == pytest.approx(printed, abs=within)


# lime ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("asked", "a_ton", "tons"), [(1600, 400, 4), (1200, 400, 3)])
def test_tons_by_enm_as_missouri_prints(asked, a_ton, tons):
    # 1,200 ÷ 400: How Much Lime To Apply?, University of Missouri Extension, n.d.;
    # 1,600 ÷ 400: University of Missouri Extension, n.d.
    got = need("lime", "--acres", "1", "--lab-lb-ac", str(asked), "--basis", "ENM",
               "--enm-lb-ton", str(a_ton))  # fmt: skip
    assert got["ton"] == pytest.approx(tons)


def test_enm_is_not_enp():
    ran = CliRunner().invoke(main, ["need", "lime", "--acres", "1", "--lab-lb-ac", "1200",
                                    "--basis", "ENM", "--enp-lb-ton", "400"])  # fmt: skip
    assert ran.exit_code == 2
    assert "enm_lb_ton" in ran.output


# machines -------------------------------------------------------------------------------

# Sprayer calibration table for band-spraying of herbicides, University of Florida, n.d.:
# ounces of one tip in 300 ft, band in inches, gallons an acre. The 15 in. line is printed
# in its second example.
FLORIDA_BAND = [
    (8, 9, 12.1), (10, 9, 15.1), (16, 9, 24.2), (20, 9, 30.2), (26, 9, 39.3),
    (10, 12, 11.3), (12, 12, 13.6), (14, 12, 15.9), (16, 12, 18.2), (20, 12, 22.7),
    (22, 12, 25.0), (24, 12, 27.2), (26, 12, 29.5), (28, 12, 31.8), (30, 12, 34.0),
    (32, 12, 36.3), (16, 15, 14.5),
]  # fmt: skip


@pytest.mark.parametrize(("caught_oz", "band_in", "printed"), FLORIDA_BAND)
def test_band_sprayer_as_florida_prints(caught_oz, band_in, printed):
    got = need("sprayer", "--width-in", str(band_in), "--course-ft", "300",
               "--caught-fl-oz", str(caught_oz))  # fmt: skip
    assert got["caught_gal_ac"] == pytest.approx(printed, abs=0.06)


def test_on_the_course_of_128_ounces_are_gallons():
    got = need("sprayer", "--width-in", "20", "--caught-fl-oz", "15")
    assert got["caught_gal_ac"] == pytest.approx(15)


IOWA_CAPACITY = [
    # Estimating Field Capacity of Farm Machines, PM 696, Iowa State University, 2001
    (40, 6, 0.70, 20.4), (50, 6, 0.70, 25.5), (10, 5, 0.63, 3.8), (15, 5, 0.63, 5.7),
    (15, 6, 0.63, 6.9), (20, 6, 0.63, 9.2), (30, 6, 0.60, 13.1), (12, 5, 0.85, 6.2),
    # Estimating the Field Capacity of Farm Machines, A3-24, Iowa State University, n.d.
    (60, 6, 0.68, 29.7), (60, 12, 0.68, 59.3), (80, 6, 0.68, 39.6), (80, 12, 0.68, 79.1),
    (36, 5, 0.60, 13.1), (45, 5, 0.60, 16.4),
]  # fmt: skip


@pytest.mark.parametrize(("width_ft", "mph", "share", "printed"), IOWA_CAPACITY)
def test_field_capacity_as_iowa_prints(width_ft, mph, share, printed):
    got = need("capacity", "--width-ft", str(width_ft), "--mph", str(mph),
               "--efficiency", str(share))  # fmt: skip
    assert got["acres_hour"] == pytest.approx(printed, abs=0.0501)
