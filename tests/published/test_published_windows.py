"""Planting windows, rates and fertilizer as publications print them, each read here."""

import datetime as dt

import pytest

from quietacre.need.grade import parse_grade, product_lb_ac
from quietacre.need.machine import course_ft, spray_gal_ac
from quietacre.need.mix_advice import CANOLA_S, LOW_SUBSOIL_S
from quietacre.need.tables import crops, printed_figures
from quietacre.units import ACRE_FT2
from quietacre.windows import inside, printed_windows

TURNIP, WHITE = "turnip (forage)", "ladino / white clover"
JOINTVETCH, KG_LB = "American jointvetch (deervetch)", 2.20462
COWPEA, RADISH, KALE = (
    "cowpea (iron-and-clay type)",
    "radish (forage/daikon)",
    "kale (forage)",
)


def held(crop, state, source):
    """Return the ranges that the table holds of a crop for a state from a source."""
    return [
        one.range
        for one in printed_windows()[crop]
        if one.state == state and one.source == source and one.range is not None
    ]


#: crop, state, first and last day printed, id of the source.
PRINTED = [
    # Cover crop options: recommended planting dates, University of Minnesota Extension, n.d.
    ("oats", "MN", (7, 10), (9, 1), "umn-cover-options"),
    ("cereal rye", "MN", (7, 10), (10, 20), "umn-cover-options"),
    ("wheat", "MN", (7, 10), (10, 20), "umn-cover-options"),
    ("triticale", "MN", (7, 10), (10, 20), "umn-cover-options"),
    ("buckwheat", "MN", (6, 10), (8, 15), "umn-cover-options"),
    (RADISH, "MN", (7, 25), (9, 15), "umn-cover-options"),
    (TURNIP, "MN", (7, 25), (9, 15), "umn-cover-options"),
    ("berseem clover", "MN", (7, 25), (9, 1), "umn-cover-options"),
    ("crimson clover", "MN", (7, 25), (9, 1), "umn-cover-options"),
    ("red clover", "MN", (7, 25), (8, 15), "umn-cover-options"),
    (WHITE, "MN", (7, 25), (8, 15), "umn-cover-options"),
    (COWPEA, "MN", (5, 20), (8, 15), "umn-cover-options"),
    ("Austrian winter pea", "MN", (7, 25), (9, 20), "umn-cover-options"),
    ("hairy vetch", "MN", (7, 25), (8, 15), "umn-cover-options"),
    ("alfalfa", "MN", (7, 25), (8, 15), "umn-cover-options"),
    ("soybean (forage)", "MN", (7, 10), (8, 15), "umn-cover-options"),
    ("pearl millet", "MN", (5, 20), (7, 25), "umn-cover-options"),
    # Forage Planting Guide for North Carolina, North Carolina State University, n.d.: best and
    # possible dates of the mountains and the Piedmont together
    ("crimson clover", "NC", (7, 15), (8, 20), "nc-forage-guide"),
    ("crimson clover", "NC", (8, 25), (10, 25), "nc-forage-guide"),
    # Virginia's Home Garden Vegetable Planting Guide (426-331), Virginia Cooperative Extension
    (TURNIP, "VA", (8, 10), (9, 20), "vce-426-331"),
    (TURNIP, "VA", (9, 1), (10, 1), "vce-426-331"),
    (COWPEA, "VA", (5, 10), (8, 1), "vce-426-331"),
    (COWPEA, "VA", (4, 20), (8, 20), "vce-426-331"),
    # Planting Dates for Fall Vegetable Production, University of Arkansas, n.d.
    (TURNIP, "AR", (8, 1), (9, 15), "uada-fall-veg"),
    (KALE, "AR", (8, 20), (9, 15), "uada-fall-veg"),
    (COWPEA, "AR", (7, 15), (8, 1), "uada-fall-veg"),
    # Vegetable Planting Calendar, Travis County, Texas A&M AgriLife Extension, 2015
    (TURNIP, "TX", (8, 21), (11, 20), "tamu-travis-2015"),
    # Forage brassicas for livestock and food plots, Michigan State University Extension, n.d.
    (TURNIP, "MI", (7, 21), (8, 20), "msue-brassicas"),
    # Forage Brassicas Help Supplement Pasture Production, Penn State Extension, 1988
    (TURNIP, "PA", (7, 1), (8, 20), "psu-leiby-1988"),
    # Planning Ahead for Dove Season, UF/IFAS Extension, 2018
    ("browntop millet", "FL", (6, 1), (9, 30), "uf-dove-2018"),
    ("proso millet", "FL", (6, 1), (8, 31), "uf-dove-2018"),
    # Timing is crucial for successful dove fields, UF/IFAS Extension, June 20, 2014: four
    # quarters, two weeks apart, from that day on
    ("grain sorghum (milo)", "FL", (6, 20), (8, 1), "uf-dove-2014"),
    # Forage of the month: Turnips (Master Grazer), University of Kentucky, 2013
    (TURNIP, "KY", (8, 1), (9, 1), "uk-grazer-turnips"),
    # Crimson Clover, Clemson University Extension, in The Dillon Herald, 2019: August to October
    ("crimson clover", "SC", (8, 1), (10, 31), "clemson-dillon-2019"),
    # Vegetables to plant in August, LSU AgCenter, 2022: July 15 to October 31
    (TURNIP, "LA", (7, 15), (10, 31), "lsu-august-2022"),
    (KALE, "LA", (7, 15), (10, 31), "lsu-august-2022"),
    # Weekly message of September 12, LSU AgCenter, 2025: the first half of October
    ("cereal rye", "LA", (10, 1), (10, 15), "lsu-message-2025"),
    ("hairy vetch", "LA", (10, 1), (10, 15), "lsu-message-2025"),
    ("crimson clover", "LA", (10, 1), (10, 15), "lsu-message-2025"),
    # SS-AGR-150, Planting Dates, Table 1, UF/IFAS Extension, 2020
    ("alfalfa", "FL", (10, 1), (11, 15), "uf-aa127"),
    (JOINTVETCH, "FL", (3, 30), (6, 30), "uf-aa127"),
    # Georgia Forages: White Clover, University of Georgia, n.d.
    (WHITE, "GA", (10, 1), (11, 30), "uga-web-white"),
    (WHITE, "GA", (2, 1), (3, 31), "uga-web-white"),
    # Georgia Forages: Red Clover, University of Georgia, n.d.: early November is to the 10th
    ("red clover", "GA", (10, 1), (11, 10), "uga-web-red"),
    # Circular 963, Vegetable Gardening in Georgia, University of Georgia, in a paper of 2021
    (TURNIP, "GA", (8, 20), (9, 15), "uga-c963-2021"),
    (KALE, "GA", (8, 1), (9, 1), "uga-c963-2021"),
    (RADISH, "GA", (9, 1), (10, 15), "uga-c963-2021"),
    # HLA-6009, Fall Gardening, Oklahoma State University, in a paper of 2020
    (TURNIP, "OK", (8, 1), (9, 15), "osu-hla-6009"),
    # It's almost time to start planting for fall grazing, University of Arkansas, 2015
    ("wheat", "AR", (9, 1), (11, 30), "uada-fall-2015"),
    ("cereal rye", "AR", (9, 1), (11, 30), "uada-fall-2015"),
    (TURNIP, "AR", (8, 21), (9, 10), "uada-fall-2015"),
    # Time to plant cool-season annual forages, Texas A&M AgriLife, 2019
    ("crimson clover", "TX", (9, 21), (10, 10), "tamu-kltv-2019"),
    ("oats", "TX", (9, 21), (10, 10), "tamu-kltv-2019"),
    # Plant Food Plots in Late Winter for Deer, Mississippi State University Extension, 2000
    ("corn", "MS", (4, 1), (5, 1), "msu-plots-2000"),
    ("soybean (forage)", "MS", (5, 1), (6, 1), "msu-plots-2000"),
    # Southern Peas, Clemson University Extension, 2018: Piedmont, then the Coastal Plain twice
    (COWPEA, "SC", (4, 15), (7, 15), "clemson-southern-peas"),
    (COWPEA, "SC", (4, 1), (6, 15), "clemson-southern-peas"),
    (COWPEA, "SC", (7, 15), (8, 1), "clemson-southern-peas"),
    # Frost Seeding Clover: Just Do It, Virginia Cooperative Extension, 2016: February and early
    # March
    (WHITE, "VA", (2, 1), (3, 10), "vce-frost-2016"),
    ("red clover", "VA", (2, 1), (3, 10), "vce-frost-2016"),
    # TRIM 5312, Frost and Walk-in Clover Seedings, West Virginia University Extension, 1995: late
    # January to late February
    (WHITE, "WV", (1, 21), (2, 28), "wvu-5312"),
    ("red clover", "WV", (1, 21), (2, 28), "wvu-5312"),
    # Overseed Established Forages in the Fall, Carolina Farm Stewardship Association, n.d.:
    # February to March in the mountains
    (WHITE, "NC", (2, 1), (3, 31), "cfsa-overseed"),
    ("red clover", "NC", (2, 1), (3, 31), "cfsa-overseed"),
    # Planting Guide for Forage Crops in North Carolina, North Carolina State Extension, n.d.:
    # early to mid-February
    (WHITE, "NC", (2, 1), (2, 20), "nc-forage-text"),
    ("red clover", "NC", (2, 1), (2, 20), "nc-forage-text"),
]


@pytest.mark.parametrize(("crop", "state", "first", "last", "source"), PRINTED)
def test_a_window_holds_its_printed_days_and_none_beside_them(
    crop, state, first, last, source
):
    ranges = [pair for pair in held(crop, state, source) if pair == (first, last)]
    assert ranges == [(first, last)]
    first_day, last_day = dt.date(2027, *first), dt.date(2027, *last)
    assert inside(first_day, ranges)
    assert inside(last_day, ranges)
    assert not inside(first_day - dt.timedelta(days=1), ranges)
    assert not inside(last_day + dt.timedelta(days=1), ranges)


def test_a_rate_of_white_clover_as_georgia_prints():
    # Georgia Forages: White Clover, University of Georgia, n.d.: 2 to 3 lb/ac broadcast
    assert crops("GA")[WHITE].range_lb_ac["broadcast"] == (2.0, 3.0)


def test_one_inoculant_serves_the_true_clovers():
    # Growing Crimson Clover (Kephart), Farmers' Bulletin 1142, USDA, 1920: the same strain as
    # on red, mammoth, alsike and white clover
    group = {crops()[name].inoculant for name in ("crimson clover", "red clover", WHITE)}
    assert group == {"true clover group"}


#: crop, cell, what is printed of it.
CELLS = [
    # FG 30, Crimson clover, vetch, field peas, Oregon State University Extension, n.d.:
    # 40 to 60 lb P2O5 banded at 15 to 30 ppm
    ("crimson clover", "maint_p2o5_lb_ac", (40, 60)),
    ("hairy vetch", "maint_p2o5_lb_ac", (40, 60)),
    # Grass-Legume Mixtures (Kaiser, Lamb, Eliason), Table 1, Univ. of Minnesota, 2011: 25 lb
    (WHITE, "maint_p2o5_lb_ac", (25, 25)),
    # 'Delar' small burnet, p. 2, as filed with the Colorado Division of Reclamation, n.d.
    ("small burnet", "in_mix_lb_ac", (2, 3)),
    # American jointvetch, Pastures Australia, n.d.: 350,000 to 500,000 seeds to the kg
    (JOINTVETCH, "seeds_per_lb", (round(350_000 / KG_LB, -2), round(500_000 / KG_LB, -2))),
]


@pytest.mark.parametrize(("crop", "cell", "printed"), CELLS)
def test_a_cell_holds_what_is_printed(crop, cell, printed):
    read = [one for one in crops()[crop].spread[cell] if not one.from_memory]
    assert printed in [(one.low, one.high) for one in read]


INOCULANTS = {
    # Soybean inoculants, Virginia Cooperative Extension, n.d.
    "soybean (forage)": "Bradyrhizobium japonicum",
    # Hairy vetch, Worcester County Conservation District, n.d.: one for all vetches and peas
    "hairy vetch": "pea and vetch",
    "Austrian winter pea": "pea and vetch",
    # Feedipedia 569, INRAE, CIRAD, AFZ and FAO, n.d.: cowpea rhizobium
    JOINTVETCH: "cowpea",
}


@pytest.mark.parametrize(("crop", "printed"), INOCULANTS.items())
def test_an_inoculant_is_the_printed_one(crop, printed):
    assert printed in crops()[crop].inoculant


#: Pounds of a grade that bring 1 lb of N to 1,000 sq ft.
#: Calculating Fertilizer Rates (GardenNotes 233), Table 1, Colorado State University, n.d.
COLORADO = {
    "45-0-0": 2.2, "37-3-3": 2.7, "36-6-6": 2.8, "33-0-0": 3.0, "32-4-4": 3.1, "30-4-4": 3.3,
    "28-3-3": 3.6, "27-7-7": 3.7, "25-5-5": 4.0, "24-8-16": 4.2, "22-4-4": 4.5, "21-0-0": 4.8,
    "20-20-20": 5.0, "19-19-19": 5.3, "18-6-12": 5.6, "16-4-8": 6.3, "15-15-15": 6.7,
    "13-3-9": 7.7, "12-12-12": 8.3, "10-10-10": 10.0, "6-12-12": 16.7, "5-10-10": 20.0,
}  # fmt: skip


@pytest.mark.parametrize(("grade", "printed"), COLORADO.items())
def test_product_on_1000_sq_ft_as_colorado_prints(grade, printed):
    n_lb_ac = 1.0 * ACRE_FT2 / 1000
    product = product_lb_ac(n_lb_ac, parse_grade(grade)[0]) * 1000 / ACRE_FT2
    assert product == pytest.approx(printed, abs=0.0501)


# Sprayer Calibration, Oklahoma State University (turf), n.d.
OKLAHOMA_OZ, OKLAHOMA_MPH, OKLAHOMA_IN = 101, 3.0, 18.0


def test_a_sprayer_as_oklahoma_prints():
    """Their page prints 88 gal/ac: it takes 101 ÷ 128, 0.789, for 0.8; its own 0.79 makes 86.9."""
    exact = spray_gal_ac(OKLAHOMA_OZ / 128, OKLAHOMA_MPH, OKLAHOMA_IN)
    assert pytest.approx(0.79, abs=0.005) == OKLAHOMA_OZ / 128
    assert exact == pytest.approx(86.8, abs=0.05)
    assert spray_gal_ac(0.8, OKLAHOMA_MPH, OKLAHOMA_IN) == pytest.approx(88.0, abs=0.5)


def test_swath_in_feet_or_inches_is_one_formula_as_mesa_county_prints():
    # Stationary Calibration Method for Boom Sprayers, Mesa County Weed and Pest, Colorado, n.d.:
    # 5940 × GPM ÷ (mph × inches) and 495 × GPM ÷ (mph × feet)
    for feet in (10.0, 18.5, 40.0):
        assert spray_gal_ac(3.0, 4.0, 12 * feet) == pytest.approx(495 * 3.0 / (4.0 * feet))


def test_an_eighth_of_an_acre_as_kentucky_prints():
    # ENTFACT-805, Calibrating a Boomless Sprayer, University of Kentucky, n.d.: 5,445 ÷ width
    for width_ft in (15.0, 22.0, 30.0):
        assert course_ft(width_ft, ACRE_FT2 / 8) == pytest.approx(5445 / width_ft)


#: crop, figure, low, high, state, id of the source.
RATES_PRINTED = [
    # What's behind fall grazing Door No. 3, Hay & Forage Grower, Mississippi State University
    # Extension: 2 to 4 pounds into a prepared seedbed, pH 5.8 to 6.5, 50 to 75 pounds of nitrogen
    (TURNIP, "drill_lb_ac", 2, 4, "MS", "msu-lemus-brassicas"),
    (TURNIP, "ph_target", 5.8, 6.5, "MS", "msu-lemus-brassicas"),
    (KALE, "maint_n_lb_ac", 50, 75, "MS", "msu-lemus-brassicas"),
    # Maximizing Yield Potential And Utilization Of Forage Turnips, University of Arkansas, 2013
    (TURNIP, "ph_target", 5.3, 6.8, "AR", "uada-turnips-2013"),
    (TURNIP, "maint_n_lb_ac", 40, 50, "AR", "uada-turnips-2013"),
    # Fall Planting Date Depends On Grazing Needs, University of Arkansas, n.d.
    (TURNIP, "broadcast_lb_ac", 5, 5, "AR", "uada-fall-grazing"),
    (TURNIP, "in_mix_lb_ac", 2, 3, "AR", "uada-fall-grazing"),
    # Forage brassicas for livestock and food plots, Michigan State University Extension, n.d.
    (TURNIP, "broadcast_lb_ac", 1.5, 2, "MI", "msue-brassicas"),
    (KALE, "broadcast_lb_ac", 3.5, 4, "MI", "msue-brassicas"),
    # Forage Planting Guide for North Carolina, North Carolina State University, n.d.
    ("crimson clover", "broadcast_lb_ac", 20, 25, "NC", "nc-forage-guide"),
    ("crimson clover", "drill_lb_ac", 15, 20, "NC", "nc-forage-guide"),
    # Planning Ahead for Dove Season, UF/IFAS Extension, 2018
    ("browntop millet", "broadcast_lb_ac", 15, 25, "FL", "uf-dove-2018"),
    # Descriptive Information on Cool-Season Forage Legumes, Texas AgriLife, Overton, n.d.
    ("arrowleaf clover", "broadcast_lb_ac", 8, 10, "TX", "tamu-evers"),
    ("arrowleaf clover", "seeds_per_lb", 400000, 400000, "TX", "tamu-evers"),
    # Overseed Established Forages in the Fall, Carolina Farm Stewardship Association, n.d.
    (WHITE, "drill_lb_ac", 3, 5, "NC", "cfsa-overseed"),
    (WHITE, "broadcast_lb_ac", 5, 5, "NC", "cfsa-overseed"),
    ("red clover", "drill_lb_ac", 8, 10, "NC", "cfsa-overseed"),
    ("red clover", "broadcast_lb_ac", 10, 15, "NC", "cfsa-overseed"),
    # TRIM 5312, Frost and Walk-in Clover Seedings, West Virginia University Extension, 1995
    ("red clover", "broadcast_lb_ac", 2, 4, "WV", "wvu-5312"),
    # Southern Peas, Clemson University Extension, 2018
    (COWPEA, "depth_in", 0.75, 1.5, "SC", "clemson-southern-peas"),
]


@pytest.mark.parametrize("crop", [WHITE, "red clover"])
def test_what_is_printed_for_sowing_into_sod_is_no_rate_of_a_plot(crop):
    shown = [one for one in printed_figures()[crop]["broadcast_lb_ac"] if one.state == "NC"]
    assert shown
    assert all(one.one_way for one in shown)
    assert not crops("NC", None)[crop].figures["broadcast_lb_ac"].one_way


def test_a_window_without_an_end_rules_nothing_out_after_it():
    # Overseed Established Forages in the Fall, Carolina Farm Stewardship Association, n.d.: not
    # before about October 15 in the Coastal Plain and Piedmont
    ((first, last),) = [
        pair for pair in held(WHITE, "NC", "cfsa-overseed") if pair[0][0] == 10
    ]
    assert first == (10, 15)
    assert inside(dt.date(2027, 12, 1), [(first, last)])
    assert not inside(dt.date(2027, 10, 14), [(first, last)])


@pytest.mark.parametrize(
    ("crop", "figure", "low", "high", "state", "source"), RATES_PRINTED
)
def test_figures_stand_as_they_are_printed(crop, figure, low, high, state, source):
    held_here = [
        (one.low, one.high)
        for one in printed_figures()[crop][figure]
        if one.state == state and one.source == source
    ]
    assert held_here == [(low, high)]


def test_sulfur_that_is_told_of_brassicas_is_what_is_printed():
    # Canola Encyclopedia, Canola Council of Canada, n.d.: at least 10 to 20 lb./ac. whatever the
    # test; Comments for subsoil samples, no. 59, Clemson University, n.d.: 10 to 15 lbs
    assert CANOLA_S == (10, 20)
    assert LOW_SUBSOIL_S == (10, 15)
