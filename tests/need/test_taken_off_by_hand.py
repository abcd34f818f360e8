"""What the plan asks in all, what a log takes off it, what is too much: ground by ground, by hand."""

import dataclasses
import datetime as dt
from types import SimpleNamespace

import geopandas as gpd
import pytest
import shapely

from quietacre.figures import printed
from quietacre.need import spread
from quietacre.need.account import Account, account_of, mark_sown, mark_stood
from quietacre.need.account_notes import account_notes
from quietacre.need.asked import TOP, plots_of
from quietacre.need.done import Done
from quietacre.need.fertilizer import Plan, Plot
from quietacre.need.grade import Grade
from quietacre.need.gross import Gross
from quietacre.need.job import NEVER, jobs_of, need_of
from quietacre.need.plan import _work_out
from quietacre.need.shopping import shopping_list
from quietacre.need.stock import grade_of
from quietacre.need.tables import crops
from quietacre.need.taken_off import (
    spread_lb,
    take_off_feed,
    take_off_lime,
    take_off_seed,
    take_off_spray,
)
from quietacre.need.too_much import ASKS, _told
from quietacre.record.moved import Line
from quietacre.record.on_hand import Bought, Held
from quietacre.record.uses import Use, Window
from quietacre.settings import (
    Area,
    Feed,
    Harvest,
    Mix,
    NeedLbAc,
    Planting,
    Product,
    Property,
    PropertyInfo,
    Seed,
    SoilTest,
    Spray,
)

D = dt.date
TODAY = D(2027, 10, 1)
OATS = Seed("oats", rate_lb_ac=90.0, basis="bulk", bag_lb=50.0, price_lb=0.5)
WHEAT = Seed("wheat", rate_lb_ac=60.0, basis="bulk", bag_lb=50.0, price_lb=0.4)
MIXES = (Mix("grain", (OATS,)), Mix("both", (OATS, WHEAT)))
TEST = SoilTest(
    "lab", on=D(2026, 12, 4), lime_ton_ac=1.0, lime_basis="ECCE", lime_basis_pct=100.0,
    need_lb_ac=NeedLbAc(n=40.0, p2o5=40.0, k2o=40.0),
)  # fmt: skip
PRODUCTS = (
    Product("13-13-13", bag_lb=50.0, price=20.0), Product("34-0-0", bag_lb=50.0, price=19.0),
    Product("lime-ag", bulk=True, price=50.0, ecce_pct=100.0),
    Product("lime-pellet", bag_lb=40.0, price=6.0, ecce_pct=50.0),
)  # fmt: skip
JUG = Spray("jug", use="foliar feed", rate_fl_oz_ac=64.0, pack_fl_oz=320.0)
PLANT = D(2027, 9, 20)


def area(name="North", mix="grain", test="lab", **more):
    return Area(name, "plot", "f.gpx", mix=mix, plant=PLANT, soil_test=test, **more)


def place(*areas, test=TEST, acres=2.0, today=TODAY, **more):
    """Return the jobs of some areas, worked out, and their settings."""
    prop = Property(
        PropertyInfo("Home"), area=areas or (area(),), mix=MIXES, soil_test=(test,),
        product=PRODUCTS, spray=(JUG,), **more,
    )  # fmt: skip
    ids = list(prop.area_by_id)
    names = [one.name for one in prop.area_by_id.values()]
    frame = {"id": ids, "name": names, "kind": "plot", "acres": acres,
             "acres_low": 0.9 * acres, "acres_high": 1.2 * acres}  # fmt: skip
    shapes = [shapely.box(n, 0, n + 1, 1) for n in range(len(ids))]
    ground = gpd.GeoDataFrame(frame, geometry=shapes, crs=4326)
    jobs = list(jobs_of(ground, prop, None, crops(), today))
    _work_out(jobs, prop, today)
    return jobs, prop


def use(task, item, amount, on=PLANT, ground="North", how="written", line=2):
    return Use(on, ground, task, item, amount, how, line)


def lines(*rows):
    return [
        Line(on, number, parts, item, amount)
        for number, (on, parts, item, amount) in enumerate(rows, 2)
    ]


# ---- the whole plan -------------------------------------------------------------------------------------
def gross(jobs, prop):
    plots = {plot.key: plot for job in jobs for plot in plots_of(job)}
    grades = [
        grade_of(product, {}) for product in prop.product if "lime" not in product.grade
    ]
    return Gross(jobs, plots, grades, prop, "lime-ag", TODAY)


def test_what_the_whole_plan_asks_of_two_acres():
    """90 lb/ac of oats, a ton an acre of lime, 80 lb of each nutrient, 64 fl oz/ac of the jug."""
    whole = gross(*place(area(feed=(Feed("jug", share=0.5), Feed("jug", share=0.25)))))

    def asked(task, item="", mix=""):
        return whole.amounts("North", task, PLANT, item, mix)

    assert asked("plant") == {"oats": 180.0}
    assert asked("plant", mix="both") == {"oats": 180.0, "wheat": 120.0}
    assert asked("plant", "oats", "both") == {"oats": 180.0}
    assert asked("plant", "rye") == {}
    assert asked("lime") == {"lime-ag": 4000.0}
    assert asked("lime", "lime-pellet") == {"lime-pellet": 4000.0}
    assert asked("spray") == {"jug": pytest.approx(96.0)}
    assert asked("fertilize")["13-13-13"] == pytest.approx(80 / 0.13, rel=1e-3)
    # of a grade that is not planned: what brings the first of its needs that is full
    assert asked("fertilize", "0-20-40") == {"0-20-40": pytest.approx(80 / 0.4)}
    assert asked("fertilize", "no grade") == {"no grade": 0.0}
    assert whole.amounts("Nowhere", "plant", PLANT, "", "") == {}
    assert (whole.acres("North"), whole.acres("Nowhere")) == (2.0, 0.0)
    assert whole.wanted("oats") == 180.0
    assert whole.wanted("lime-ag") == 4000.0
    assert whole.wanted("jug") == pytest.approx(96.0)
    assert whole.wanted("13-13-13") == pytest.approx(80 / 0.13, rel=1e-3)
    assert whole.wanted("posts") == 0.0


def test_how_much_of_a_line_a_ground_asks_beside_the_others():
    whole = gross(*place())
    assert whole.weight("North", "fertilize", PLANT, "") == pytest.approx(240.0)
    assert whole.weight("North", "fertilize", PLANT, "0-20-40") == pytest.approx(400.0)
    assert whole.weight("North", "fertilize", PLANT, "posts") == 0.0
    assert whole.weight("North", "plant", PLANT, "") == 180.0
    assert whole.weight("North", "lime", PLANT, "lime-pellet") == 4000.0
    assert whole.weight("Nowhere", "plant", PLANT, "") == 0.0


def test_a_top_dressing_is_what_was_kept_for_it():
    whole = gross(*place(area(topdress_n_lb_ac=17.0)))
    later = whole.amounts("North", "top-dress", PLANT, "", "")
    assert later == {"34-0-0": pytest.approx(100.0, abs=0.1)}
    now = whole.amounts("North", "fertilize", PLANT, "", "")
    assert set(now) == {"13-13-13"}
    assert whole.weight("North", "top-dress", PLANT, "") == pytest.approx(240.0)
    plain = gross(*place())
    assert "13-13-13" in plain.amounts("North", "top-dress", PLANT, "", "")


def test_a_day_belongs_to_the_planting_that_is_nearest_or_of_its_days_in_any_year():
    twice = Area("North", "plot", "f.gpx", plantings=(
        Planting("grain", D(2027, 3, 1)), Planting("both", D(2027, 9, 20), "lab")))  # fmt: skip
    whole = gross(*place(twice))
    assert whole.job("North", D(2027, 4, 1)).mix.name == "grain"
    assert whole.job("North", D(2027, 10, 1)).mix.name == "both"
    assert whole.job("North", D(2025, 10, 1)).mix.name == "both"
    assert whole.job("North", D(2025, 3, 10)).mix.name == "grain"
    # the lime goes with the planting that names the test
    assert whole.job("North", D(2027, 4, 1), "lime").mix.name == "both"
    assert whole.job("Nowhere", D(2027, 4, 1)) is None
    assert whole.window("North", "lime", D(2027, 4, 1)) == Window(D(2026, 12, 4), None)
    assert whole.window("North", "plant", D(2027, 10, 1)).holds(PLANT)
    assert whole.window("Nowhere", "plant", TODAY) == Window(D(2027, 1, 1), D(2027, 12, 31))
    assert whole.acres("North") == 2.0


# ---- one ground ----------------------------------------------------------------------------------------
def test_a_job_of_ground_without_acres_has_no_range_and_one_has_its_own():
    (job,), _ = place()
    assert job.spread == (pytest.approx(0.9), pytest.approx(1.2))
    assert dataclasses.replace(job, acres=0.0).spread == (1.0, 1.0)
    assert (job.called, job.first, job.area_id) == ("North", True, "a01")
    twice = Area("North", "plot", "f.gpx", plantings=(
        Planting("grain", D(2027, 3, 1), "lab"), Planting("both", D(2027, 9, 20), "lab")))  # fmt: skip
    (one, two), _ = place(twice)
    assert [one.called, two.called] == ["North (grain)", "North (both)"]
    assert [one.first, two.first] == [True, False]
    assert (two.fed_before, two.limed_with) == ("grain", "grain")
    assert (one.fed_before, one.limed_with) == (None, None)
    assert (one.lime_line is not None, two.lime_line) == (True, None)


def test_of_two_tests_the_newer_limes_the_ground_and_of_one_day_the_first():
    newer = dataclasses.replace(TEST, name="new", on=D(2027, 6, 1))
    same = dataclasses.replace(TEST, name="same")

    def limed(other):
        twice = Area("North", "plot", "f.gpx", plantings=(
            Planting("grain", D(2027, 3, 1), "lab"), Planting("both", D(2027, 9, 20), other.name)))  # fmt: skip
        prop = Property(
            PropertyInfo("x"), area=(twice,), mix=MIXES, soil_test=(TEST, other)
        )
        frame = gpd.GeoDataFrame(
            {"id": ["a01"], "name": ["North"], "kind": ["plot"], "acres": [1.0],
             "acres_low": [1.0], "acres_high": [1.0]},
            geometry=[shapely.box(0, 0, 1, 1)], crs=4326,
        )  # fmt: skip
        return [job.limed_with for job in jobs_of(frame, prop, None, crops(), TODAY)]

    assert limed(newer) == ["both", None]
    assert limed(same) == [None, "grain"]


def test_days_that_count_are_those_since_the_test_or_of_the_season():
    (job,), _ = place()
    assert (
        job.since_test("lime")
        == job.since_test("fertilizer")
        == Window(D(2026, 12, 4), None)
    )
    (kept,), _ = place(area(fertilizer="maintenance"))
    assert kept.since_test("fertilizer") == kept.season
    assert kept.since_test("lime") == Window(D(2026, 12, 4), None)
    (undated,), _ = place(test=dataclasses.replace(TEST, on=None))
    assert undated.since_test("lime") == undated.since_test("fertilizer") == NEVER
    assert not NEVER.holds(TODAY)
    (untimed,), _ = place(today=None)
    assert untimed.season == NEVER


def test_a_cost_is_told_to_the_cent_in_all_and_an_acre():
    (job,), _ = place()
    job.cost = 100.0 / 3
    told = need_of(job)
    assert (told.cost, told.cost_ac) == (33.33, 16.67)
    job.cost = None
    assert (need_of(job).cost, need_of(job).cost_ac) == (None, None)


# ---- sown ------------------------------------------------------------------------------------------------
def test_the_last_day_of_the_season_on_which_it_was_sown():
    (job,), prop = place()
    north = (("North", "plant"),)
    log = lines((D(2027, 9, 10), north, "", None), (D(2027, 9, 25), north, "", None),
                (D(2026, 9, 25), north, "rye", None), (D(2027, 9, 26), (("South", "plant"),), "", None))  # fmt: skip
    mark_sown([job], log)
    assert job.sown_on == D(2027, 9, 25)
    mark_stood([job], log, prop)
    assert [one.on for one in job.stood] == [D(2026, 9, 25)]
    mark_sown([job], log[2:])
    assert job.sown_on is None


def test_sown_ground_asks_for_no_more_seed_and_tells_what_went_out():
    (job,), _ = place()
    assert list(take_off_seed(job, [use("plant", "oats", 170.0)])) == []
    job.sown_on = PLANT
    later = PLANT + dt.timedelta(days=1)
    uses = [
        use("plant", "oats", 170.0),
        use("plant", "rye", 20.0, later),
        use("plant", "", 5.0),
    ]
    oats, rye = take_off_seed(job, uses)
    assert (oats.item, oats.amount, oats.needed, oats.left, oats.days) == (
        "oats",
        170.0,
        180.0,
        0.0,
        (PLANT,),
    )
    assert (rye.item, rye.amount, rye.needed, rye.days) == ("rye", 20.0, 0.0, (later,))
    assert job.seed == ()
    (other,), _ = place()
    other.sown_on = PLANT
    (none,) = take_off_seed(other, [])
    assert (none.amount, none.days) == (0.0, (PLANT,))


# ---- lime ------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("pounds", "left_ton"),
    [
        (0.0, 2.0),
        (1000.0, 1.5),
        (3800.0, 0.1),
        (3801.0, None),
        (4000.0, None),
        (9000.0, None),
    ],
)
def test_a_twentieth_of_the_lime_is_still_spread_and_less_is_not(pounds, left_ton):
    """Two tons are asked for: a tenth of a ton is the twentieth."""
    (job,), prop = place()
    done = list(take_off_lime(job, [use("lime", "lime-ag", pounds)], prop, TODAY))
    if left_ton is None:
        assert job.lime_line is None
        assert done[0].left == 0.0
        return
    row = job.lime_line
    assert (row.ton, row.ton_ac) == (pytest.approx(left_ton), pytest.approx(left_ton / 2))
    assert (row.ton_low, row.ton_high) == pytest.approx((0.9 * left_ton, 1.2 * left_ton))
    if pounds:
        assert (done[0].amount, done[0].needed) == (
            pytest.approx(pounds),
            pytest.approx(4000.0),
        )
        assert done[0].left == pytest.approx(2000 * left_ton)


def test_lime_of_half_the_worth_counts_half_and_one_of_none_as_the_planned():
    (job,), prop = place()
    (done,) = take_off_lime(job, [use("lime", "lime-pellet", 2000.0)], prop, TODAY)
    assert done.amount == pytest.approx(1000.0)
    assert job.lime_line.ton == pytest.approx(1.5)
    (other,), prop = place()
    (done,) = take_off_lime(other, [use("lime", "slag", 2000.0)], prop, TODAY)
    assert done.amount == pytest.approx(2000.0)
    assert [note.code for note in other.notes].count("log-lime") == 1


@pytest.mark.parametrize(("days", "due_ton"), [(729, 4.0), (730, 8.0)])
def test_the_second_part_of_the_lime_is_due_two_years_after_the_first(days, due_ton):
    """Five tons an acre on two acres: four tons now, four after two years, two after that."""
    (job,), prop = place(test=dataclasses.replace(TEST, on=D(2020, 1, 1), lime_ton_ac=5.0))
    first = TODAY - dt.timedelta(days=days)
    uses = [use("lime", "lime-ag", 2000.0, first), use("lime", "lime-ag", 2000.0, TODAY)]
    (done,) = take_off_lime(job, uses, prop, TODAY)
    assert done.needed == pytest.approx(2000.0 * due_ton)
    assert job.lime_line.ton == pytest.approx(due_ton - 2.0)


def test_what_goes_on_later_is_told_once_the_first_part_is_down():
    (job,), prop = place(test=dataclasses.replace(TEST, lime_ton_ac=5.0))
    list(take_off_lime(job, [use("lime", "lime-ag", 8000.0, TODAY)], prop, TODAY))
    assert job.lime_line is None
    (text,) = [note.text for note in job.notes if note.code == "lime-in-parts"]
    assert "2.00 tons an acre more go on two to three years later" in text


def test_lime_that_the_test_asks_none_of_is_told_as_too_much():
    (job,), prop = place(test=dataclasses.replace(TEST, lime_ton_ac=None))
    (done,) = take_off_lime(job, [use("lime", "lime-ag", 800.0)], prop, TODAY)
    assert (done.item, done.amount, done.needed, done.left) == ("lime-ag", 800.0, 0.0, 0.0)
    assert list(take_off_lime(job, [], prop, TODAY)) == []
    job.limed_with = "grain"
    assert list(take_off_lime(job, [use("lime", "lime-ag", 800.0)], prop, TODAY)) == []


# ---- feed ------------------------------------------------------------------------------------------------
def fed(job, *uses):
    return take_off_feed(job, plots_of(job), uses)


def test_nitrogen_counts_in_its_season_and_potash_since_the_test():
    (job,), _ = place()
    spring, fall = D(2027, 1, 10), D(2027, 9, 10)
    uses = [use("fertilize", "13-13-13", 100.0, spring), use("fertilize", "13-13-13", 200.0, fall),
            use("fertilize", "posts", 9.0, fall)]  # fmt: skip
    assert spread_lb(job, uses) == pytest.approx(
        {"n": 26.0, "p2o5": 39.0, "k2o": 39.0, "s": 0.0}
    )
    (plot,), done = fed(job, *uses)
    assert plot.given_lb_ac == pytest.approx({"n": 13.0, "p2o5": 19.5, "k2o": 19.5})
    assert job.done_lb_ac == pytest.approx({"n": 13.0, "p2o5": 19.5, "k2o": 19.5, "s": 0.0})
    assert [(one.item, one.amount) for one in done] == [("13-13-13", 300.0), ("posts", 9.0)]
    job.fed_before = "spring"
    assert spread_lb(job, uses)["k2o"] == 0.0
    (small,), _ = place(acres=0.5)
    fed(small, use("fertilize", "13-13-13", 20.0))
    assert small.done_lb_ac["n"] == pytest.approx(5.2)


def test_what_was_top_dressed_counts_for_the_top_dressing_first_and_no_further():
    """20 lb/ac are kept on two acres: 40 lb; 51 lb were top-dressed, eleven of them are too many."""
    (job,), _ = place(area(topdress_n_lb_ac=20.0))
    plots = plots_of(job)
    assert [(plot.key, plot.need_lb_ac["n"]) for plot in plots] == [
        ("a01", 20.0),
        ("a01" + TOP, 20.0),
    ]
    (now, later), _ = take_off_feed(job, plots, [use("top-dress", "34-0-0", 150.0)])
    assert later.given_lb_ac["n"] == pytest.approx(20.0)
    assert now.given_lb_ac == {"n": pytest.approx(5.5)}
    # what was spread before planting beyond its own part is the top-dressing's too
    (now, later), _ = take_off_feed(job, plots, [use("fertilize", "34-0-0", 150.0)])
    assert now.given_lb_ac["n"] == pytest.approx(20.0)
    assert later.given_lb_ac["n"] == pytest.approx(5.5)
    (now, later), _ = take_off_feed(job, plots, [use("fertilize", "34-0-0", 100.0)])
    assert (now.given_lb_ac["n"], later.given_lb_ac["n"]) == (pytest.approx(17.0), 0.0)


def test_what_another_planting_s_season_got_is_told_there():
    (job,), _ = place()
    spring = D(2027, 1, 10)
    one = use("fertilize", "13-13-13", 100.0, spring)
    _, here = take_off_feed(job, plots_of(job), [one])
    _, there = take_off_feed(job, plots_of(job), [one], [Window(spring, spring)])
    assert [len(here), len(there)] == [1, 0]


# ---- spray -----------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("ounces", "left"),
    [(0.0, 128.0), (0.5, 127.5), (100.0, 28.0), (121.6, 6.4), (121.7, 0.0), (140.0, 0.0)],
)
def test_a_twentieth_of_a_spray_is_still_to_go_out(ounces, left):
    """64 fl oz on each of two acres."""
    (job,), _ = place(area(feed=(Feed("jug", on=D(2027, 6, 1)),)))
    assert (job.spray[0].done, job.spray[0].left) == (0.0, 128.0)
    done = list(take_off_spray(job, [use("spray", "jug", ounces, D(2027, 6, 3))], TODAY))
    assert (job.spray[0].done, job.spray[0].left) == (ounces, pytest.approx(left))
    assert [(one.amount, one.needed, one.left) for one in done] == (
        [(ounces, 128.0, pytest.approx(left))] if ounces else []
    )


def test_just_a_twentieth_is_still_to_go_out():
    """Of two and a half tons an eighth of one, of 160 fl oz eight, of seven tons of two parts too."""
    (job,), prop = place(area(feed=(Feed("jug", on=D(2027, 6, 1)),)), acres=2.5)
    list(take_off_lime(job, [use("lime", "lime-ag", 4750.0)], prop, TODAY))
    assert job.lime_line.ton == 0.125
    list(take_off_spray(job, [use("spray", "jug", 152.0, D(2027, 6, 3))], TODAY))
    assert job.spray[0].left == 8.0


def test_two_sprays_of_one_jug_take_what_is_more_one_after_the_other():
    feed = (Feed("jug", on=D(2027, 5, 1)), Feed("jug", on=D(2027, 7, 1)))
    (job,), _ = place(area(feed=feed))
    done = list(take_off_spray(job, [use("spray", "jug", 300.0, D(2027, 6, 3))], TODAY))
    assert [(row.done, row.left) for row in job.spray] == [(128.0, 0.0), (172.0, 0.0)]
    assert [one.over for one in done] == [0.0, pytest.approx(44.0)]
    (undated,), _ = place(area(feed=(Feed("jug"),)))
    last_year = [
        use("spray", "jug", 50.0, D(2026, 12, 31)),
        use("spray", "jug", 9.0, D(2027, 1, 1)),
    ]
    list(take_off_spray(undated, last_year, TODAY))
    assert undated.spray[0].done == 9.0


# ---- what a strip, or ground that is hauled off, is fed ------------------------------------------------------
def test_what_is_hauled_off_its_area_does_not_feed_a_strip():
    hauled = area(test=None, fertilizer="removal", harvest=Harvest("hay", ton_ac=2.0))
    (job,), _ = place(hauled)
    (plot,) = plots_of(job)
    assert plot.need_lb_ac == {"n": 100.0, "p2o5": 20.0, "k2o": 90.0}
    assert plots_of(dataclasses.replace(job, made=True)) == []
    (none,), _ = place(area(test=None, fertilizer="removal"))
    assert plots_of(none) == []


def test_a_strip_keeps_nothing_back_for_its_areas_top_dressing():
    (half,), _ = place(area(topdress_n_lb_ac=0.5))
    now, later = plots_of(half)
    assert (now.need_lb_ac["n"], later.need_lb_ac["n"]) == (39.5, 0.5)
    assert (now.max_products, later.max_products) == (None, 1), (
        "a top-dressing is one product"
    )
    (job,), _ = place(area(topdress_n_lb_ac=10.0))
    assert [plot.need_lb_ac["n"] for plot in plots_of(job)] == [30.0, 10.0]
    strip = dataclasses.replace(job, made=True)
    assert [plot.need_lb_ac["n"] for plot in plots_of(strip)] == [40.0]
    assert strip.first
    assert strip.called == "North"


# ---- too much --------------------------------------------------------------------------------------------
def said(uses, *areas, test=TEST, bought=(), shed=None, log=(), **more):
    """Return the notes of each ground and of the log, by code, with what was put on."""
    jobs, prop = place(*areas, test=test, **more)
    done, fed_plots = {}, []
    for job in jobs:
        mine = [one for one in uses if one.ground == job.name]
        left, rows = take_off_feed(job, plots_of(job), mine)
        fed_plots += left
        done[job.key] = (
            *take_off_seed(job, mine), *take_off_lime(job, mine, prop, TODAY), *rows,
            *take_off_spray(job, mine, TODAY),
        )  # fmt: skip
    account = Account(
        tuple(log), tuple(uses), tuple(bought), shed or {}, tuple(fed_plots), done
    )
    whole = account_notes(jobs, account, prop)
    here = {note.code: note for job in jobs for note in job.notes}
    return here | {note.code: note for note in whole}


def test_nutrients_are_too_many_above_what_a_plan_itself_may_go_over():
    """80 lb are asked for; half as much again and half a pound are let stand: 120.5."""
    just = [use("fertilize", "100-0-0", 120.5)]
    assert "more-than-asked" not in said(just)
    over = said([use("fertilize", "13-0-0", 120.7 / 0.13)])["more-than-asked"]
    assert "41 lb of N too much (the plan asks for 80, 121 went out)" in over.text
    assert over.level == "warning"
    # sulfur that nobody asks for is no fault; what the test asks of it is
    sulfur = [use("fertilize", "0-0-0-90S", 100.0)]
    assert "more-than-asked" not in said(sulfur)
    assert "more-than-asked" not in said(sulfur, area(topdress_n_lb_ac=10.0))
    asks = dataclasses.replace(TEST, need_lb_ac=NeedLbAc(s=10.0))
    assert (
        "70 lb of S too much (the plan asks for 20, 90 went out)"
        in said(sulfur, test=asks)["more-than-asked"].text
    )


def test_a_pound_of_seed_that_the_mix_asks_for_is_in_the_mix():
    told = _told(8.0, "lb", "oats", 1.0, 9.0, ASKS["seed"])
    assert printed(told) == "8 lb of oats too much (the mix asks for 1, 9 went out)"
    assert printed(_told(8.0, "lb", "oats", 0.0, 8.0, ASKS["seed"])) == (
        "8 lb of oats, which is not in the mix"
    )
    assert printed(_told(8.0, "lb", "lime", 0.0, 8.0, "the soil test")) == (
        "8 lb of lime too much (the soil test asks for none)"
    )


def test_seed_too_much_is_a_caution_and_lime_that_no_test_asks_for_is_told():
    untested = area(test=None)
    lime = said([use("lime", "lime-ag", 0.5)], untested)
    assert "more-than-asked" not in lime
    lime = said([use("lime", "lime-ag", 900.0)], untested)["more-than-asked"]
    assert "900 lb of lime, for which no soil test asks" in lime.text
    assert lime.level == "caution"
    spray = said(
        [use("spray", "jug", 200.0, D(2027, 6, 3))],
        area(feed=(Feed("jug", on=D(2027, 6, 1)),)),
    )
    assert (
        "72 fl oz of jug too much (the rate asks for 128, 200 went out)"
        in spray["more-than-asked"].text
    )


# ---- the words of the log --------------------------------------------------------------------------------
def test_what_counts_as_done_though_little_is_left_is_said():
    """Of two tons 150 lb are wanting, of 80 lb of potash three."""
    told = said([use("lime", "lime-ag", 3850.0), use("fertilize", "0-0-60", 77.0 / 0.6)])
    assert told["nearly-done"].text.startswith(
        "150 lb of lime-ag, 3 lb of K2O short of what was asked, under 5 % of it"
    )
    sulfur = [use("fertilize", "0-0-0-60S", 1.0)]
    assert "nearly-done" not in said(sulfur), "what nobody asks for is short of nothing"
    assert "nearly-done" not in said(
        [use("lime", "lime-ag", 3999.5), use("fertilize", "0-0-100", 79.5)]
    )


def test_a_test_without_a_day_says_what_a_day_would_save():
    undated = dataclasses.replace(TEST, on=None)
    uses = [use("lime", "lime-ag", 3000.0, D(2027, 2, 1)), use("lime", "lime-ag", 1000.0, D(2027, 3, 1)),
            use("fertilize", "13-13-13", 100.0, D(2027, 9, 1))]  # fmt: skip
    told = said(uses, test=undated)["soil-test-undated"]
    assert (
        "The log has 4,000 lb of lime-ag, 100 lb of 13-13-13 on it since February 1, 2027"
        in told.text
    )
    assert "soil-test-undated" not in said(uses)
    assert "soil-test-undated" not in said([], test=undated)


def test_lines_without_an_amount_are_told_where_the_plan_goes_by_them():
    used = [use("plant", "oats", 180.0, how="plan", line=n) for n in (2, 3)]
    told = said(used)["log-amount"]
    assert "2 lines without an amount that can be read" in told.text
    assert "line 2: 180 lb of oats on North; line 3: 180 lb" in told.text
    one = said(used[:1])["log-amount"].text
    assert "1 line without" in one
    last_year = [use("plant", "oats", 180.0, on=D(2025, 9, 20), how="plan")]
    assert "log-amount" not in said(last_year)
    counted = {"oats": Held("oats", "lb", 500.0, D(2025, 9, 1))}
    assert "log-amount" in said(last_year, shed=counted)
    # lime and phosphate of last year stay, since the test
    stays = [use("lime", "lime-ag", 4000.0, on=D(2026, 12, 10), how="plan")]
    assert "log-amount" in said(stays)
    assert "log-split" in said([use("plant", "oats", 180.0, how="split")])
    assert "log-amount-kept" in said([use("plant", "oats", 180.0, how="kept")])
    assert not {"log-amount", "log-split"} & set(said([use("plant", "oats", 180.0)]))


def test_amounts_purchases_and_fertilizers_that_cannot_be_read_are_counted():
    log = [SimpleNamespace(number=n, trouble=f"“{n}” is no amount") for n in (4, 5)]
    told = said([], log=log)["log-unit"].text
    assert (
        "2 amounts cannot be read (line 4: “4” is no amount; line 5: “5” is no amount)"
        in told
    )
    assert "1 amount cannot" in said([], log=log[:1])["log-unit"].text
    bought = [Bought(TODAY, 2, "posts", 0.0, 9.0, "plan", counts=False)]
    assert (
        "1 purchase of no amount that anybody can tell"
        in said([], bought=bought)["log-bought"].text
    )
    unpriced = [Bought(TODAY, n, "oats", 50.0, 25.0, "written, unpriced") for n in (2, 3)]
    told = said([], bought=unpriced)
    assert "2 purchases without a price" in told["log-price"].text
    assert "log-bought" not in told
    planned = [Bought(TODAY, 2, "", 50.0, 25.0, "plan")]
    assert (
        "1 purchase without an amount, taken by what was paid or what the plan takes (line 2: no item)"
        in (said([], bought=planned)["log-bought"].text)
    )
    grades = said(
        [
            use("fertilize", "posts", 9.0),
            use("top-dress", "", 9.0, line=3),
            use("fertilize", "13-13-13", 9.0),
        ]
    )
    assert "(“posts”, line 2; “no item”, line 3)" in grades["log-item"].text
    assert "log-item" not in said([use("plant", "posts", 9.0)])
    away = said(
        [use("plant", "oats", 9.0, ground="Woods"), use("plant", "oats", 9.0, ground="")]
    )
    assert "only leaves the shed (Woods; no area)" in away["log-elsewhere"].text
    assert "log-elsewhere" not in said([use("plant", "oats", 9.0)])


def test_dollars_of_the_year_begin_on_new_year_s_day():
    jobs, prop = place()
    log = [
        Line(day, number, (), "oats", 50.0, price_usd=25.0)
        for number, day in enumerate((D(2026, 12, 31), D(2027, 1, 1), D(2027, 1, 2)), 2)
    ]
    account = account_of(jobs, log, [], prop, TODAY)
    assert account.spent == {"oats": 50.0}
    assert account.shed["oats"].bought == 150.0
    assert [plot.key for plot in account.plots] == ["a01"]
    assert isinstance(account.plots[0], Plot)
    none = account_of(jobs, (), [], prop, TODAY)
    assert (none.spent, none.shed, none.done) == ({}, {}, {})


# ---- the list of all ground ------------------------------------------------------------------------------
NO_PLAN = Plan({}, {}, {}, 0.0, "nothing to plan", 0.0)


def listed(jobs, prop, plan=NO_PLAN, grades=(), **account):
    return {
        line.item: line
        for line in shopping_list(jobs, grades, plan, prop, Account(**account))
    }


def test_the_list_sums_all_ground_with_the_range_of_its_acres():
    """Two grounds of two acres, each of 1.8 to 2.4; one of them sprayed."""
    jobs, prop = place(area(feed=(Feed("jug", on=D(2027, 6, 1)),)), area("South"))
    made = listed(jobs, prop)
    oats, lime, jug = made["oats"], made["lime-ag"], made["jug"]
    assert (oats.left, oats.left_low, oats.left_high) == pytest.approx(
        (360.0, 324.0, 432.0)
    )
    assert [(one.area, one.amount) for one in oats.used_by] == [
        ("North", 180.0),
        ("South", 180.0),
    ]
    assert (oats.packs, oats.cost_usd) == (8, 200.0)
    assert (lime.left, lime.left_low, lime.left_high) == pytest.approx(
        (8000.0, 7200.0, 9600.0)
    )
    assert (lime.packs, lime.cost_usd, lime.need) == (4, 200.0, 8000.0)
    assert (jug.left, jug.left_low, jug.left_high) == pytest.approx((128.0, 115.2, 153.6))
    assert (jug.packs, jug.tank_loads, jug.unit) == (1, 2, "fl oz")
    assert [(one.area, one.amount) for one in jug.used_by] == [("North", 128.0)]


def test_one_crop_in_two_bags_is_taken_from_one_shed():
    """180 lb of the small bags and 180 of the large: 200 lb on hand serve the first whole."""
    jobs, prop = place()
    large = Mix("large", (dataclasses.replace(OATS, bag_lb=90.0),))
    other = dataclasses.replace(jobs[0], key="a02", name="South", mix=large)
    shed = {"oats": Held("oats", "lb", 200.0, D(2027, 1, 1))}
    first, second = (
        line for line in shopping_list([jobs[0], other], [], NO_PLAN, prop, Account(shed=shed))
        if line.item == "oats"
    )  # fmt: skip
    assert (first.stock, first.packs, first.pack) == (200.0, 0, 50.0)
    assert (second.stock, second.packs, second.pack) == (20.0, 2, 90.0)
    assert first.counted_on == D(2027, 1, 1)


def test_what_went_out_already_is_on_the_list_and_of_a_season_that_is_over_is_not():
    (job,), prop = place()
    row = Done.of("seed", "oats", "lb", 200.0, (PLANT,), 180.0, 0.0)
    job.seed = ()
    sown = listed([job], prop, done={"a01": (row,)}, spent={"oats": 75.0})["oats"]
    assert (sown.left, sown.done, sown.need, sown.packs) == (0.0, 200.0, 180.0, 0)
    assert (sown.over, sown.spent_usd) == (pytest.approx(20.0), 75.0)
    job.finished = True
    assert "oats" not in listed([job], prop, done={"a01": (row,)})


def test_bags_of_the_plan_and_lime_that_nobody_named():
    (job,), prop = place()
    kind = Grade("34-0-0", 0.34, 0.0, 0.0, price=19.0)
    done = {"a01": (Done.of("fertilizer", "34-0-0", "lb", 70.0, (PLANT,)),)}
    bought = listed(
        [job], prop, Plan({}, {"34-0-0": 3}, {}, 57.0, "optimal", 0.0), [kind], done=done
    )
    assert (bought["34-0-0"].packs, bought["34-0-0"].cost_usd, bought["34-0-0"].done) == (
        3,
        57.0,
        70.0,
    )
    none = listed([job], prop, grades=[kind], done=done)["34-0-0"]
    assert none.packs == 0
    assert "34-0-0" not in listed([job], prop, grades=[kind])
    nameless = dataclasses.replace(prop, product=())
    loose = listed([job], nameless)["lime (no product listed)"]
    assert (loose.pack, loose.packs, loose.price_usd, loose.stock) == (2000.0, 2, None, 0.0)
    job.lime_line = None
    assert not any("lime" in item for item in listed([job], prop))
    spread = {"a01": (Done.of("lime", "slag", "lb", 4100.0, (PLANT,), 4000.0, 0.0),)}
    limed = listed([job], prop, done=spread)["lime-ag"]
    assert (limed.left, limed.done, limed.need, limed.over) == (0.0, 4100.0, 4000.0, 0.0)


def test_seed_that_wants_inoculant_is_summed_by_its_group():
    clover = Mix("clover", (Seed("crimson clover", rate_lb_ac=20.0, basis="bulk"), OATS))
    prop = Property(
        PropertyInfo("x"), area=(area(mix="clover"),), mix=(clover,), soil_test=(TEST,)
    )
    frame = gpd.GeoDataFrame(
        {"id": ["a01"], "name": ["North"], "kind": ["plot"], "acres": [2.0],
         "acres_low": [1.8], "acres_high": [2.4]},
        geometry=[shapely.box(0, 0, 1, 1)], crs=4326,
    )  # fmt: skip
    jobs = list(jobs_of(frame, prop, None, crops(), TODAY))
    _work_out(jobs, prop, TODAY)
    (line,) = [
        row for item, row in listed(jobs, prop).items() if item.startswith("inoculant:")
    ]
    assert (line.left, line.left_low, line.left_high) == pytest.approx((40.0, 36.0, 48.0))
    assert (line.packs, line.stock, line.unit) == (None, 0.0, "lb of seed")
    assert "how much seed a packet treats stands on it" in line.note


# ---- what is said of a plan that is made ------------------------------------------------------------------
def codes(job):
    return [note.code for note in job.notes]


@pytest.mark.parametrize(("pounds", "said_so"), [(1.0, False), (1.01, True)])
def test_a_pound_an_acre_over_is_not_worth_a_word(pounds, said_so):
    (job,), prop = place()
    job.surplus_lb_ac = {"n": pounds, "p2o5": 0.0}
    spread._say_surplus(job, prop.buying)
    assert ("surplus" in codes(job)) is said_so


@pytest.mark.parametrize(
    ("given", "before", "left_lb"),
    [
        (19.75, 0.0, None),
        (19.5, 0.0, 1.0),
        (19.5, 5.0, None),
        (19.0, 5.0, 2.0),
        (15.0, 5.0, 10.0),
    ],
)
def test_half_a_pound_under_is_not_told_nor_crumbs_once_some_was_spread(
    given, before, left_lb
):
    """20 lb an acre on two acres: half a pound, one, or a twentieth of 40 lb."""
    (job,), prop = place()
    job.given_lb_ac, job.done_lb_ac = {"n": given}, {"n": before}
    spread._say_left_short(job, {"n": 20.0}, prop.buying)
    if left_lb is None:
        assert job.left_short == ()
        return
    (row,) = job.left_short
    assert (row.nutrient, row.lb, row.asked_lb) == ("n", left_lb, 40.0)
    (level,) = [note.level for note in job.notes if note.code == "left-short"]
    assert level == ("warning" if left_lb > 2.0 else "caution")


@pytest.mark.parametrize(("given", "said_so"), [(0.99, False), (1.0, True)])
def test_a_pound_of_nitrogen_an_acre_is_all_at_once(given, said_so):
    (job,), _ = place()
    job.given_lb_ac = {"n": given}
    spread._say_all_at_once(job)
    assert ("nitrogen-before-planting" in codes(job)) is said_so
    job.given_lb_ac = None
    job.notes.clear()
    spread._say_all_at_once(job)
    assert codes(job) == []
