"""Checks of spreader, drill and sprayer, tanks and hours of work, each worked by hand."""

from types import SimpleNamespace

import pytest

from quietacre.errors import NeedProblem
from quietacre.figures import printed
from quietacre.need import machine
from quietacre.need.records import Work
from quietacre.need.spray import (
    CAUTIONS,
    LABEL,
    TankPlan,
    over_label,
    tank_plan,
    water_unmeasured,
)
from quietacre.need.work import (
    lime_work,
    loads_of,
    machine_ac_hr,
    pull_minutes,
    sow_work,
    spray_minutes,
    spread_work,
)
from quietacre.settings import Equipment, Product, Spray

OATS = SimpleNamespace(crop="oats", bulk_lb_ac=87.12, method="drill")


# ---- what to catch ---------------------------------------------------------------------------------------
def test_a_rate_by_what_was_caught():
    """Two pounds on 20 by 54.45 ft, a fortieth of an acre: 80 lb/ac."""
    assert machine.rate_from_catch_lb_ac(2.0, 20.0, 54.45) == pytest.approx(80.0)
    assert machine.lb_on_area(43.56) == pytest.approx(1.0)
    assert machine.lb_on_area(43.56, 250.0) == pytest.approx(0.25)
    assert machine.course_ft(20.0) == 50.0
    assert machine.course_ft(20.0, 340.0) == 17.0


def test_a_bag_and_passes_over_a_field():
    assert machine.ft_per_bag(50.0, 100.0, 20.0) == pytest.approx(1089.0)
    assert [machine.passes(ft, 20.0) for ft in (1.0, 20.0, 20.1, 40.0, 41.0, 60.0)] == [
        1, 1, 2, 2, 3, 3,
    ]  # fmt: skip


def test_the_course_of_the_128th_of_an_acre_and_what_was_caught_on_another():
    assert machine.course_128_ft(12.0) == pytest.approx(340.3125)
    assert machine.course_128_ft(24.0) == pytest.approx(170.15625)
    # 16 fl oz, an eighth of a gallon, on 300 ft of 24 in., 600 sq ft
    assert machine.caught_gal_ac(16.0, 300.0, 24.0) == pytest.approx(0.125 * 72.6)


def test_acres_an_hour_and_the_flow_of_a_nozzle():
    assert machine.capacity_ac_hr(16.5, 4.0, 0.5) == pytest.approx(4.0)
    assert machine.spray_gal_ac(0.5, 4.5, 22.0) == pytest.approx(30.0)
    assert machine.nozzle_gal_min(30.0, 4.5, 22.0) == pytest.approx(0.5)
    assert machine.seeds_per_row_ft(43_560.0, 18.0) == pytest.approx(1.5)
    assert machine.drill_oz_per_row(43.56, 6.0, 100.0) == pytest.approx(0.8)


def test_a_figure_that_makes_no_check_is_named():
    with pytest.raises(NeedProblem) as caught:
        machine.course_ft(-2.5)
    assert str(caught.value) == "swath ft is -2.5; give a figure above zero"


def test_each_machine_s_check_is_told_whole():
    assert printed(machine.spreader_line("13-13-13", 217.8, 50.0, 20.0)) == (
        "13-13-13: 218 lb/ac is 5.0 lb on 1,000 sq ft (a course of 50 ft); with a swath of 20 ft "
        "a 50 lb bag goes 500 ft"
    )
    # 87.12 lb/ac on 100 ft of 7.5 ft are 1.5 lb; on 1,000 sq ft 2 lb
    assert printed(machine.seed_line(OATS, 20.0, 7.5)) == (
        "oats: a 7.5 ft drill drops 24.0 oz out of the bag in 100 ft, all rows caught"
    )
    thrown = SimpleNamespace(**{**vars(OATS), "method": "broadcast"})
    assert printed(machine.seed_line(thrown, 20.0, 7.5)) == (
        "oats: 32.0 oz out of the bag on 1,000 sq ft, a course of 50 ft with a swath of 20 ft"
    )
    assert printed(machine.hand_gun_line(30.0)) == (
        "hand gun: time how long it takes to wet 18.5 by 18.5 ft with water, then spray as long "
        "into a bucket: fluid ounces caught are gallons an acre, 30 fl oz as planned here"
    )
    # 340.3 sq ft of 16.5 ft; 30 gal/ac × 4 mph × 198 in. ÷ 5,940
    assert printed(machine.sprayer_line(30.0, 16.5, 4.0)) == (
        "sprayer: over 21 ft at 16.5 ft wide catch 30 fl oz from all nozzles (fluid ounces are "
        "gallons an acre); at 4 mph 30 gal/ac is 4.00 gal a minute over the whole width (check "
        "with water alone)"
    )


def test_what_is_too_thin_is_blended_with_what_most_goes_of_and_urea_not_with_nitrate():
    rates = {"46-0-0": 40.0, "34-0-0": 300.0, "0-0-60": 80.0, "0-46-0": 60.0}
    head = "; few spreaders throw so little evenly (common practice, no source): "
    assert printed(machine.thin_text("46-0-0", rates)) == (
        f"{head}blend it with 0-0-60 and spread 120 lb/ac in one pass"
    )
    only = {"34-0-0": 40.0, "46-0-0": 300.0}
    assert machine.thin_text("34-0-0", only) == f"{head}ask the store for a blend"
    assert machine.thin_text("46-0-0", only) == ""


# ---- tanks -----------------------------------------------------------------------------------------------
def test_a_tank_plan_is_told_whole():
    """5.5 acres at 10 gal/ac: two tanks of 25 gallons and five more."""
    spot = Spray("can", "spot spray", rate_pct_volume=2.0, ppe="gloves", reentry_hours=12.0)
    assert tank_plan(spot, 5.5, 25.0, 10.0) == TankPlan(
        "can", "spot spray", "percent by volume", 2.0, 55.0, pytest.approx(140.8), "fl oz", 2,
        5.0, pytest.approx(64.0), pytest.approx(12.8), "gloves", 12.0,
        (LABEL, CAUTIONS["spot spray"]),
    )  # fmt: skip
    feed = Spray("dust", "foliar feed", rate_lb_ac=3.0, spray_gal_ac=20.0)
    assert tank_plan(feed, 5.5, 25.0, 10.0) == TankPlan(
        "dust", "foliar feed", "per acre", 3.0, 110.0, 16.5, "lb", 4, 10.0,
        pytest.approx(3.75), pytest.approx(1.5), None, None, (LABEL, CAUTIONS["foliar feed"]),
    )  # fmt: skip
    ounces = Spray("jug", "foliar feed", rate_fl_oz_ac=8.0)
    assert tank_plan(ounces, 0.5, 25.0, 10.0) == TankPlan(
        "jug", "foliar feed", "per acre", 8.0, 5.0, 4.0, "fl oz", 0, 5.0,
        pytest.approx(20.0), pytest.approx(4.0), None, None, (LABEL, CAUTIONS["foliar feed"]),
    )  # fmt: skip
    assert tank_plan(ounces, 0.5, 25.0, 10.0).loads == 1


def test_a_spray_of_no_rate_or_of_two_is_refused_by_name():
    fix = "type the one rate from your own label; none ships with this program"
    with pytest.raises(NeedProblem) as caught:
        tank_plan(Spray("jug", "foliar feed"), 1.0, 25.0, 10.0)
    assert str(caught.value) == f"spray “jug”: no label rate is given; {fix}"
    two = Spray("jug", "foliar feed", rate_lb_ac=1.0, rate_pct_volume=1.0)
    with pytest.raises(NeedProblem) as caught:
        tank_plan(two, 1.0, 25.0, 10.0)
    assert str(caught.value) == f"spray “jug”: two label rates are given; {fix}"


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("fl_oz_ac", "3 fl oz/ac, above the label maximum you typed (2)"),
        ("lb_ac", "3 lb/ac, above the label maximum you typed (2)"),
        ("pct_volume", "3 % by volume, above the label maximum you typed (2)"),
    ],
)
def test_a_rate_above_the_typed_most_is_told_in_its_unit(kind, told):
    def jug(rate, most):
        return Spray(
            "jug", "foliar feed", **{f"rate_{kind}": rate, f"max_rate_{kind}": most}
        )

    assert printed(over_label(jug(3.0, 2.0))) == f"“jug” is set to {told}: lower it."
    assert over_label(jug(2.0, 2.0)) is None
    assert over_label(jug(3.0, None)) is None
    assert over_label(jug(None, 2.0)) is None


def test_water_of_a_hand_gun_that_nobody_measured_is_told():
    hand = Spray("can", "spot spray", rate_pct_volume=2.0)
    assert printed(water_unmeasured(hand, 15.0)) == (
        "“can” is 2 % of the water, and 15 gal/ac of it is the equipment's figure, not one of "
        "wetting leaves by hand. That can take ten times as much (150 gal/ac in a county's "
        "example: How to Calibrate a Handgun, Mesa County, Colorado, n.d.), and as much more "
        "product; the label's most an acre holds all the same. Measure yours, and write it in "
        "“Water, gallons an acre” (spray_gal_ac under its [[spray]] in property.toml)."
    )
    for other in (
        Spray("can", "spot spray", rate_pct_volume=2.0, spray_gal_ac=100.0),
        Spray("can", "spot spray", rate_fl_oz_ac=2.0),
        Spray("can", "foliar feed", rate_pct_volume=2.0),
    ):
        assert water_unmeasured(other, 15.0) is None


# ---- work ------------------------------------------------------------------------------------------------
#: Every machine of its own width, an acre an hour for each 8.25 ft at 1 mph. Loads of 100 lb.
GEAR = Equipment(
    mower_width_ft=18.5, mower_overlap_ft=2.0, mower_mph=2.0, disk_width_ft=8.25, disk_mph=3.0,
    drag_width_ft=16.5, drag_mph=3.0, drill_width_ft=8.25, drill_mph=4.0, drill_load_lb=200.0,
    spreader_swath_ft=33.0, spreader_mph=5.0, spreader_load_lb=100.0, spray_swath_ft=24.75,
    spray_mph=4.0, field_efficiency=0.5, load_minutes=7.0, tank_minutes=20.0,
    fixed_minutes=11.0, walk_pull_ac_hr=0.5,
)  # fmt: skip


def seed(pass_, lb, method="broadcast"):
    return SimpleNamespace(pass_=pass_, lb=lb, method=method)


def test_each_machine_goes_by_its_own_width_and_speed():
    names = ("mower", "disk", "drag", "drill", "spreader", "sprayer")
    assert [machine_ac_hr(name, GEAR) for name in names] == pytest.approx(
        [2.0, 1.5, 3.0, 2.0, 10.0, 6.0]
    )


def test_a_part_load_is_a_load():
    pounds = (0.0, 0.1, 99.9, 100.0, 100.1, 200.0, -5.0)
    assert [loads_of(lb, 100.0) for lb in pounds] == [0, 1, 1, 1, 2, 2, 0]


def test_minutes_of_spreading_sowing_and_spraying():
    """Five acres at ten an hour are 30 minutes a pass; a load takes 7, coming and going 11."""
    assert spread_work(5.0, [100.0], GEAR) == Work(pytest.approx(48.0), 1, 1, "")
    assert spread_work(5.0, [150.0, 90.0], GEAR) == Work(
        pytest.approx(92.0), 2, 3, "2 passes, 3 loads"
    )
    # two passes of 60 + 60 and 90 lb, each dragged in at 3 acres an hour
    thrown = [seed(1, 60.0), seed(1, 60.0), seed(2, 90.0)]
    assert sow_work(5.0, thrown, GEAR) == Work(
        pytest.approx(60 + 200 + 21 + 11), 2, 3, "2 passes, 3 loads, covered"
    )
    drilled = [seed(1, 150.0, "drill"), seed(1, 60.0, "drill")]
    assert sow_work(5.0, drilled, GEAR) == Work(
        pytest.approx(150 + 14 + 11), 1, 2, "2 loads"
    )
    assert spray_minutes(3.0, 2, GEAR) == pytest.approx(30 + 40 + 11)
    assert pull_minutes(0.25, GEAR) == pytest.approx(41.0)


def test_lime_by_a_truck_or_load_by_load():
    assert lime_work(5.0, 9000.0, GEAR, Product("lime", spread_for_you=True)) == Work(
        41.0, 1, 0, "spread by truck"
    )
    own = lime_work(5.0, 1000.0, GEAR, Product("lime"))
    assert own == Work(pytest.approx(111.0), 1, 10, "10 loads")
    many = lime_work(5.0, 1100.0, GEAR, None)
    assert (many.minutes, many.passes, many.loads, many.text) == (
        pytest.approx(118.0), 1, 11, "11 loads",
    )  # fmt: skip
    assert printed(many.note) == (
        "1,100 lb of lime are 11 loads of 100 lb, 2.0 hours: ask for a truck that spreads it, "
        "and say so: “Spread by truck” (spread_for_you = true under the lime in "
        "property.toml)."
    )
