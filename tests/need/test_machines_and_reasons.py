"""Machines set by a catch, and why a need cannot be met: worked figures and their inverses.

A spreader set by a wrong factor puts out twice the seed, or half of it, and nobody sees it
before the field comes up.
"""

import math
from types import SimpleNamespace

import pytest

from quietacre.errors import NeedProblem
from quietacre.figures import printed
from quietacre.need import machine
from quietacre.need.fertilizer import Plot, plan_fertilizer, why_short
from quietacre.need.grade import Grade, assumed_prices, parse_grade, product_lb_ac
from quietacre.need.lime import fineness_efficiency, mehlich_ton_ac
from quietacre.settings import Buying

# machines


@pytest.mark.parametrize("rate", [7.0, 25.0, 300.0])
@pytest.mark.parametrize("width", [8.0, 30.0])
def test_what_is_caught_at_a_rate_says_that_rate(rate, width):
    course = machine.course_ft(width)
    assert course * width == pytest.approx(1000.0), "a course covers 1,000 square feet"
    caught = machine.lb_on_area(rate)
    assert caught == pytest.approx(rate * 1000 / 43_560)
    assert machine.rate_from_catch_lb_ac(caught, width, course) == pytest.approx(rate)


def test_a_bag_goes_as_far_as_its_pounds_and_the_swath_say():
    # 50 lb at 300 lb/ac are a sixth of an acre, 7,260 sq ft: 242 ft of 30
    assert machine.ft_per_bag(50.0, 300.0, 30.0) == pytest.approx(242.0)
    # 200 ft wide at 30 ft are seven passes; at 25 eight, and not nine
    assert [machine.passes(200.0, swath) for swath in (30.0, 25.0, 200.0, 500.0)] == [
        7,
        8,
        1,
        1,
    ]


def test_an_acre_is_driven_in_the_schoolbook_s_time():
    # mph × ft ÷ 8.25 acres an hour: 5 mph, 10 ft, every foot used: 6.06
    assert machine.capacity_ac_hr(10.0, 5.0, 1.0) == pytest.approx(5 * 5280 * 10 / 43_560)
    assert machine.capacity_ac_hr(10.0, 5.0, 0.75) == pytest.approx(0.75 * 6.0606, rel=1e-4)


@pytest.mark.parametrize("gal_ac", [10.0, 20.0])
def test_a_nozzle_gives_the_rate_that_it_was_chosen_for(gal_ac):
    flow = machine.nozzle_gal_min(gal_ac, 4.0, 20.0)
    # 5940 is 12 × 43,560 × 60 ÷ 5280 (a gallon a minute over inches at mph)
    assert flow == pytest.approx(gal_ac * 4.0 * 20.0 / (12 * 43_560 * 60 / 5280))
    assert machine.spray_gal_ac(flow, 4.0, 20.0) == pytest.approx(gal_ac)


def test_the_128th_of_an_acre_makes_fluid_ounces_gallons():
    # 340.3 sq ft: 204.2 ft of a band 20 inches wide
    course = machine.course_128_ft(20.0)
    assert course == pytest.approx(43_560 / 128 * 12 / 20)
    assert machine.caught_gal_ac(15.0, course, 20.0) == pytest.approx(15.0)
    assert machine.caught_gal_ac(15.0, course / 2, 20.0) == pytest.approx(30.0)


def test_rows_of_a_drill_and_of_a_planter():
    # 120 lb/ac in rows 7.5 in apart: 100 ft of one row are 62.5 sq ft, 0.1722 lb, 2.755 oz
    assert machine.drill_oz_per_row(120.0, 7.5, 100.0) == pytest.approx(2.755, abs=0.001)
    # 26,136 seeds an acre in 30 inch rows: 43,560 / 2.5 is 17,424 ft of row, 1.5 seeds a foot
    assert machine.seeds_per_row_ft(26_136.0, 30.0) == pytest.approx(1.5)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_a_figure_that_cannot_be_is_refused(bad):
    for asked in (
        lambda: machine.course_ft(bad),
        lambda: machine.passes(bad, 10.0),
        lambda: machine.ft_per_bag(50.0, bad, 30.0),
        lambda: machine.nozzle_gal_min(10.0, bad, 20.0),
        lambda: machine.capacity_ac_hr(10.0, 5.0, bad),
    ):
        with pytest.raises(NeedProblem):
            asked()


def test_the_lines_for_the_shed_door_hold_the_figures():
    line = printed(machine.spreader_line("13-13-13", 300.0, 50.0, 30.0))
    assert line == (
        "13-13-13: 300 lb/ac is 6.9 lb on 1,000 sq ft (a course of 33 ft); with a swath of 30 ft "
        "a 50 lb bag goes 242 ft"
    )
    seed = SimpleNamespace(crop="oats", bulk_lb_ac=60.0, method="broadcast")
    # 60 lb/ac are 1.377 lb on 1,000 sq ft: 22.0 oz
    assert "oats: 22.0 oz out of the bag on 1,000 sq ft, a course of 33 ft" in printed(
        machine.seed_line(seed, 30.0, 7.0)
    )
    # a 7 ft drill over 100 ft covers 700 sq ft: 15.4 oz
    drilled = machine.seed_line(
        SimpleNamespace(**{**vars(seed), "method": "drill"}), 30.0, 7.0
    )
    assert (
        printed(drilled)
        == "oats: a 7 ft drill drops 15.4 oz out of the bag in 100 ft, all rows caught"
    )
    # 15 gal/ac at 4 mph over 30 ft: 15 × 4 × 360 ÷ 5940 is 3.64 gal a minute
    spray = printed(machine.sprayer_line(15.0, 30.0, 4.0))
    assert "over 11 ft at 30 ft wide" in spray
    assert "15 gal/ac is 3.64 gal a minute" in spray


# why a need is not met

BUYING = Buying(short_pct=0.0, over_pct=10.0, over_lb_ac=0.0, max_products=2)


def grade(text, price=20.0, **more):
    return Grade(text, *parse_grade(text), 50.0, price, **more)


def reason(need, grades, nutrient, buying=BUYING, **more):
    plot = Plot("p", 2.0, need, **more)
    plan = plan_fertilizer([plot], grades, buying)
    assert ("p", nutrient) in plan.short_lb
    return why_short(plot, nutrient, grades, buying)


def test_a_nutrient_that_nothing_listed_carries_is_named():
    told = reason({"n": 0.0, "p2o5": 0.0, "k2o": 40.0}, [grade("34-0-0")], "k2o")
    assert told == (
        "no product listed carries K2O; list one that does: “Grade” ([[product]] in property.toml)"
    )


def test_too_few_products_on_one_ground():
    grades = [grade("34-0-0"), grade("0-46-0"), grade("0-0-60")]
    told = reason({"n": 40.0, "p2o5": 40.0, "k2o": 40.0}, grades, "n", max_products=1)
    assert told.startswith(
        "at most 1 product(s) may go on this ground; raise “Fertilizers at most” (max_products in"
    )


def test_bags_that_run_out_are_counted():
    told = reason({"n": 60.0, "p2o5": 0.0, "k2o": 0.0}, [grade("34-0-0", max_bags=2)], "n")
    assert told == (
        "the bags to be had run out (34-0-0 2); raise “Bags at most” (max_bags in property.toml), "
        "or list another grade"
    )


def test_a_grade_that_would_put_the_others_above_their_cap():
    told = reason({"n": 60.0, "p2o5": 10.0, "k2o": 10.0}, [grade("13-13-13")], "n")
    assert "more of 13-13-13 would put K2O and P2O5 above its cap" in told
    assert "list a grade with more N to it" in told


def test_bags_that_are_few_are_no_reason_where_more_of_them_would_not_help():
    """Five bags of 18-46-0 at most: phosphate is at its cap before them."""
    told = reason(
        {"n": 60.0, "p2o5": 10.0, "k2o": 0.0}, [grade("18-46-0", max_bags=5)], "n"
    )
    assert "more of 18-46-0 would put P2O5 above its cap" in told
    assert "run out" not in told
    # the other grade may be had without end, and one product is enough
    both = [grade("34-0-0", max_bags=1), grade("18-46-0")]
    told = reason({"n": 60.0, "p2o5": 0.0, "k2o": 0.0}, both, "n")
    assert "the bags to be had run out (34-0-0 1)" in told


# grades and prices


def test_pounds_of_a_product_carry_the_need():
    # 40 lb of nitrogen in a product of 13 % are 307.7 lb (13-13-13)
    assert product_lb_ac(40.0, 0.13) == pytest.approx(307.69, abs=0.01)
    with pytest.raises(NeedProblem, match="carries none of it"):
        product_lb_ac(40.0, 0.0)


def test_a_grade_without_a_price_counts_as_the_dearest_nutrient():
    # 20 $ for 19.5 lb of nutrient is dearer than 19 $ for 17 lb? 1.03 and 1.12: the latter
    known = [grade("13-13-13", 20.0), grade("34-0-0", 19.0)]
    found = assumed_prices([*known, grade("0-0-60", None)])
    assert found == {"0-0-60": pytest.approx(50 * 0.6 * 19.0 / 17.0, abs=0.01)}
    assert assumed_prices(known) == {}
    (alone,) = assumed_prices([grade("0-0-60", None)]).values()
    assert alone > 0


# lime


def test_lime_as_fine_as_can_be_works_whole_and_coarse_lime_not():
    from quietacre.need.tables import lime_fineness

    for state, weights in lime_fineness().items():
        meshes = sorted(weights)
        whole = fineness_efficiency(dict.fromkeys(meshes, 100.0), state)
        assert whole == pytest.approx(weights[meshes[-1]]), state
        none = fineness_efficiency(dict.fromkeys(meshes, 0.0), state)
        assert none == 0.0
        # half passing every mesh is half of it
        half = fineness_efficiency(dict.fromkeys(meshes, 50.0), state)
        assert half == pytest.approx(whole / 2)
        # what passes only the coarsest mesh counts by its weight
        coarse = fineness_efficiency(
            {meshes[0]: 100.0, **dict.fromkeys(meshes[1:], 0.0)}, state
        )
        assert coarse == pytest.approx(weights[meshes[0]])
        with pytest.raises(NeedProblem, match="more lime passes a fine mesh"):
            fineness_efficiency({**dict.fromkeys(meshes, 50.0), meshes[-1]: 60.0}, state)


def test_the_mehlich_buffer_worked_by_hand_and_its_credit():
    # acidity 4 × (6.6 − 6.2) = 1.6; share (6.5 − 5.5) / (6.6 − 5.5) = 0.909: 1.455 ton/ac
    assert mehlich_ton_ac(5.5, 6.2, 6.5) == pytest.approx(1.6 / 1.1)
    # a ton of three months ago, 8 % gone each: 0.76 of it still gives
    assert mehlich_ton_ac(5.5, 6.2, 6.5, last_ton_ac=1.0, last_months=3.0) == pytest.approx(
        1.6 / 1.1 - 0.76
    )
    organic = mehlich_ton_ac(
        5.5, 6.2, 6.5, last_ton_ac=1.0, last_months=3.0, soil="organic"
    )
    assert organic == pytest.approx(1.6 / 1.1 - 0.52)
    # long gone, nothing is taken off; and never less than no lime
    assert mehlich_ton_ac(5.5, 6.2, 6.5, last_ton_ac=1.0, last_months=24) == pytest.approx(
        1.6 / 1.1
    )
    assert mehlich_ton_ac(5.5, 6.2, 6.5, last_ton_ac=9.0, last_months=1) == 0.0
    assert mehlich_ton_ac(6.5, 6.5, 6.5) == 0.0
    assert mehlich_ton_ac(6.6, 6.6, 6.6) == 0.0
    with pytest.raises(NeedProblem, match="reaches pH 6.6 at most"):
        mehlich_ton_ac(5.5, 6.2, 6.7)
    with pytest.raises(NeedProblem, match="cannot read 6.7"):
        mehlich_ton_ac(5.5, 6.7, 6.5)
    with pytest.raises(NeedProblem, match="not a soil class"):
        mehlich_ton_ac(5.5, 6.2, 6.5, soil="sand")
