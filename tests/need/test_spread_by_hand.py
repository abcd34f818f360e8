"""Pounds of the plan laid on each ground: lines, settings, what is short, over, or all at once."""

import dataclasses
import datetime as dt

import geopandas as gpd
import pandas as pd
import pytest
import shapely

from quietacre.errors import FrameProblem
from quietacre.figures import printed
from quietacre.need.fertilizer import Plan, Plot, why_short
from quietacre.need.grade import Grade
from quietacre.need.job import NEVER, jobs_of, leave_out_finished, need_of
from quietacre.need.machine import spreader_line, thin_text
from quietacre.need.records import FertilizerLine, LeftShort, Unmet
from quietacre.need.spread import spread
from quietacre.need.tables import crops
from quietacre.record.uses import Window, season_of
from quietacre.settings import (
    Area,
    Buying,
    Mix,
    NeedLbAc,
    Planting,
    Property,
    PropertyInfo,
    Seed,
    SoilTest,
    StripSettings,
)

D = dt.date
TODAY = D(2027, 10, 1)
LAB = SoilTest("lab", on=D(2026, 12, 4), need_lb_ac=NeedLbAc(n=40.0))
NITRATE = Grade("34-0-0", 0.34, 0.0, 0.0, price=19.0)
POTASH = Grade("0-0-60", 0.0, 0.0, 0.6, price=21.0)
BUYING = Buying(short_pct=4.0, over_pct=50.0, over_lb_ac=10.0)


def place(*areas, tests=(LAB,), method="broadcast"):
    mixes = (
        Mix("grain", (Seed("oats", rate_lb_ac=90.0, basis="bulk"),), method),
        Mix("clover", (Seed("crimson clover", rate_lb_ac=20.0, basis="bulk"),), method),
    )
    return Property(
        PropertyInfo("Home"), mix=mixes, soil_test=tests, buying=BUYING,
        area=areas or (Area("North", "plot", "f.gpx", mix="grain", soil_test="lab"),),
    )  # fmt: skip


def ground(prop, acres=2.0):
    ids = list(prop.area_by_id)
    frame = {
        "id": ids, "name": [one.name for one in prop.area_by_id.values()], "kind": "plot",
        "acres": acres, "acres_low": 0.5 * acres, "acres_high": 2.0 * acres,
    }  # fmt: skip
    shapes = [shapely.box(n, 0, n + 1, 1) for n in range(len(ids))]
    return gpd.GeoDataFrame(frame, geometry=shapes, crs=4326)


def jobs(prop, *, strips=None, today=TODAY, finished=(), acres=2.0):
    return list(jobs_of(ground(prop, acres), prop, strips, crops(), today, finished))


def plot(key="a01", **need_lb_ac):
    return Plot(key, 2.0, {"n": 0.0, "p2o5": 0.0, "k2o": 0.0, **need_lb_ac}, None)


def spread_on(pounds, plots, *, asked=None, short=None, done=None, prop=None, **area):
    """Return the job of one ground of two acres with pounds of the plan on it."""
    prop = prop or place(
        Area("North", "plot", "f.gpx", mix="grain", soil_test="lab", **area)
    )
    (job,) = jobs(prop)
    job.asked_lb_ac, job.done_lb_ac = asked, done
    plan = Plan(pounds, {}, short or {}, 0.0, "optimal", 0.0)
    spread([job], plots, [NITRATE, POTASH], plan, prop)
    return job


def notes(job):
    return [(n.code, printed(n.text), n.level) for n in job.notes if n.code != "fertilizer"]


def fed(grade, lb, when="planting", on=None, **lb_ac):
    plain = {"n_lb_ac": 0.0, "p2o5_lb_ac": 0.0, "k2o_lb_ac": 0.0, "s_lb_ac": 0.0}
    return FertilizerLine(
        grade=grade, lb_ac=lb / 2, lb=lb, lb_low=lb / 2, lb_high=2 * lb, bag_lb=50.0,
        bags_exact=lb / 50, when=when, on=on, **{**plain, **lb_ac},
    )  # fmt: skip


# ---- lines -----------------------------------------------------------------------------------------------
def test_pounds_of_the_plan_lie_on_their_ground_now_and_later():
    """100 lb of 34-0-0 are 17 lb of nitrogen an acre of two; 200 lb of potash are 60."""
    job = spread_on(
        {("a01", "34-0-0"): 100.0, ("a01", "0-0-60"): 200.0, ("a01+top", "34-0-0"): 50.0,
         ("a02", "34-0-0"): 999.0},
        [plot(n=17.0, k2o=60.0), plot("a01+top", n=8.5)],
        topdress_on=D(2028, 2, 15), topdress_n_lb_ac=8.5,
    )  # fmt: skip
    assert job.fertilizer == [
        fed("34-0-0", 100.0, n_lb_ac=17.0),
        fed("0-0-60", 200.0, k2o_lb_ac=60.0),
        fed("34-0-0", 50.0, "top-dressing", D(2028, 2, 15), n_lb_ac=8.5),
    ]
    swath = place().equipment.spreader_swath_ft
    now = {"34-0-0": 50.0, "0-0-60": 100.0}
    assert job.setting == [
        spreader_line("34-0-0", 50.0, 50.0, swath),
        spreader_line("0-0-60", 100.0, 50.0, swath),
        spreader_line("34-0-0", 25.0, 50.0, swath)
        + thin_text("34-0-0", {"34-0-0": 25.0}) + " (top-dressing)",
    ]  # fmt: skip
    assert thin_text("34-0-0", now) == ""
    assert notes(job) == [
        (
            "top-dressing",
            "keep 50.0 lb of 34-0-0 for top-dressing about February 15, 2028, on dry leaves.",
            "info",
        )
    ]
    undated = spread_on({("a01+top", "34-0-0"): 50.0}, [plot("a01+top", n=8.5)])
    assert notes(undated)[0][1] == (
        "keep 50.0 lb of 34-0-0 for top-dressing; say when with topdress_on, on dry leaves."
    )


def test_ground_that_asks_for_nothing_is_given_nothing_and_told_nothing():
    job = spread_on({("a02", "34-0-0"): 100.0}, [plot("a02", n=17.0)])
    assert (job.fertilizer, job.setting, job.notes) == ([], [], [])
    assert (job.given_lb_ac, job.surplus_lb_ac, job.left_short) == (None, None, ())
    assert job.unmet == []


def test_what_was_spread_before_counts_to_what_is_given():
    asked = {"n": 20.0, "p2o5": 5.0, "k2o": 0.0}
    job = spread_on(
        {("a01", "34-0-0"): 100.0}, [plot(n=20.0)], asked=asked, done={"n": 4.0, "k2o": 1.5},
    )  # fmt: skip
    assert job.given_lb_ac == pytest.approx({"n": 21.0, "p2o5": 0.0, "k2o": 1.5, "s": 0.0})
    assert job.surplus_lb_ac == pytest.approx({"n": 1.0, "p2o5": 0.0, "k2o": 1.5})
    sulfur = spread_on(
        {("a01", "34-0-0"): 100.0},
        [plot(n=20.0)],
        asked={**asked, "s": 3.0},
        done={"s": 5.0},
    )
    assert sulfur.surplus_lb_ac["s"] == 2.0


# ---- what is said ----------------------------------------------------------------------------------------
def test_more_than_a_pound_an_acre_over_is_told_by_nutrient():
    job = spread_on(
        {("a01", "34-0-0"): 100.0, ("a01", "0-0-60"): 200.0}, [plot(n=15.0, k2o=59.0)],
        asked={"n": 15.0, "p2o5": 0.0, "k2o": 58.0}, topdress_n_lb_ac=1.0,
    )  # fmt: skip
    assert notes(job) == [
        (
            "surplus",
            "more than asked: 2 lb/ac of N, 2 lb/ac of K2O; 50 % or 10 lb/ac more is allowed, "
            "whichever is greater.",
            "info",
        )
    ]
    just = spread_on(
        {("a01", "0-0-60"): 200.0}, [plot(k2o=59.0)],
        asked={"n": 0.0, "p2o5": 0.0, "k2o": 59.0},
    )  # fmt: skip
    assert notes(just) == []


def test_a_need_that_cannot_be_met_is_told_with_its_reason_and_once():
    """40 lb asked of two acres, 34 on it: six are short."""
    ask = plot(n=20.0, p2o5=3.0)
    short = {("a01", "n"): 6.0, ("a01", "p2o5"): 0.5, ("a02", "k2o"): 9.0}
    job = spread_on(
        {("a01", "34-0-0"): 100.0}, [ask], short=short,
        asked={"n": 20.0, "p2o5": 0.0, "k2o": 0.0},
    )  # fmt: skip
    why = why_short(ask, "n", [NITRATE, POTASH], BUYING)
    assert job.unmet == [Unmet("n", pytest.approx(6.0), "planting", why)]
    assert notes(job) == [
        ("need-not-met", f"6 lb of N cannot be met (planting): {why}.", "warning")
    ]
    later = spread_on(
        {}, [plot("a01+top", n=20.0)], short={("a01+top", "n"): 40.0},
    )  # fmt: skip
    assert [(one.nutrient, one.lb, one.when) for one in later.unmet] == [
        ("n", 40.0, "top-dressing")
    ]


@pytest.mark.parametrize(
    ("asked_n", "level"),
    [(17.2, None), (17.3, "caution"), (17.89, "caution"), (18.0, "warning")],
)
def test_what_is_left_short_by_choice_is_told_above_half_a_pound(asked_n, level):
    """17 lb/ac are given on two acres; more than a twentieth short is a warning."""
    job = spread_on(
        {("a01", "34-0-0"): 100.0}, [plot(n=asked_n)],
        asked={"n": asked_n, "p2o5": 0.0, "k2o": 0.0}, topdress_n_lb_ac=1.0,
    )  # fmt: skip
    if level is None:
        assert (job.left_short, notes(job)) == ((), [])
        return
    lb = 2 * (asked_n - 17)
    assert job.left_short == (
        LeftShort("n", pytest.approx(lb), pytest.approx(2 * asked_n)),
    )
    assert notes(job) == [
        (
            "left-short",
            f"under the soil test, by up to the 4 % of your choice: {lb:.0f} of {2 * asked_n:.0f} "
            "lb N. To meet it, say 0 in “May fall short by” (short_pct = 0 under [buying] in "
            "property.toml).",
            level,
        )
    ]  # fmt: skip


def test_crumbs_that_are_left_of_what_was_spread_are_not_told():
    for before, told in (({"n": 17.0}, False), ({"k2o": 17.0}, True), ({"n": 16.0}, True)):
        given = before.get("n", 0.0)
        pounds = {} if given else {("a01", "34-0-0"): 100.0}
        job = spread_on(
            pounds, [plot(n=17.4)], done=before, topdress_n_lb_ac=1.0,
            asked={"n": 17.4, "p2o5": 0.0, "k2o": 0.0},
        )  # fmt: skip
        assert bool(job.left_short) is told


def test_a_grain_fed_at_once_is_told_how_to_keep_some_back():
    asked = {"n": 17.0, "p2o5": 0.0, "k2o": 0.0}
    once = {("a01", "34-0-0"): 100.0}
    (note,) = notes(spread_on(once, [plot(n=17.0)], asked=asked))
    assert note[0] == "nitrogen-before-planting"
    assert note[1] == (
        "all 17 lb/ac of nitrogen go on before planting, so none is top-dressed. To keep part of "
        "it for when the grain is up, fill in “Nitrogen kept for top-dressing” (topdress_n_lb_ac "
        "under this area in property.toml) and “Top-dressing day” (topdress_on under this area "
        "in property.toml)."
    )
    assert note[2] == "info"
    clover = place(Area("North", "plot", "f.gpx", mix="clover", soil_test="lab"))
    bare = place(Area("North", "plot", "f.gpx", soil_test="lab"))
    for other in (clover, bare):
        assert notes(spread_on(once, [plot(n=17.0)], asked=asked, prop=other)) == []
    short = spread_on(
        once, [plot(n=20.0)], asked={**asked, "n": 20.0}, short={("a01", "n"): 6.0}
    )
    assert [code for code, _, _ in notes(short)] == ["need-not-met"]


def test_fertilizer_beside_drilled_seed_is_cautioned():
    once = {("a01", "34-0-0"): 100.0}
    for method, drilled in (("drill", True), ("broadcast", False)):
        job = spread_on(once, [plot(n=17.0)], prop=place(method=method))
        assert ("salt-and-seed" in {n.code for n in job.notes}) is drilled
        assert all(n.level == "info" for n in job.notes)
    assert spread_on({}, [plot(n=17.0)], prop=place(method="drill")).notes == []


# ---- the jobs of a place ---------------------------------------------------------------------------------
def test_a_job_holds_its_ground_its_mix_and_its_season():
    prop = place(
        Area("North", "plot", "f.gpx", mix="grain", soil_test="lab", plant=D(2027, 9, 20))
    )
    (job,) = jobs(prop)
    assert (job.key, job.name, job.acres, job.low, job.high, job.lon, job.lat) == (
        "a01", "North", 2.0, 1.0, 4.0, 0.5, 0.5,
    )  # fmt: skip
    assert (job.mix, job.test, job.made, job.finished) == (prop.mix[0], LAB, False, False)
    assert (job.spread, job.called, job.first, job.area_id) == (
        (0.5, 2.0),
        "North",
        True,
        "a01",
    )
    assert (job.fed_before, job.limed_with) == (None, None)
    assert job.season == Window(job.area.season_from, job.area.season_to) != NEVER
    assert jobs(prop, today=None)[0].season == NEVER
    (undated,) = jobs(place())
    assert undated.season == season_of(None, TODAY)
    (bare,) = jobs(prop, acres=0.0)
    assert bare.spread == (1.0, 1.0)


TWICE = Area("North", "plot", "f.gpx", plantings=(
    Planting("grain", D(2027, 3, 1), "lab"), Planting("clover", D(2027, 9, 20), "lab")))  # fmt: skip


def test_two_plantings_share_one_test_and_the_first_that_is_open_takes_it():
    first, second = jobs(place(TWICE))
    assert (first.fed_before, first.limed_with) == (None, None)
    assert (second.fed_before, second.limed_with) == (first.area.called, first.area.called)
    assert (first.first, second.first) == (True, False)
    assert first.called == f"North ({first.area.called})"
    assert first.area_id == second.area_id == "a01"
    over, following = jobs(place(TWICE), finished=(first.key,))
    assert (over.finished, following.finished) == (True, False)
    assert (following.fed_before, following.limed_with) == (None, None)
    assert (over.fed_before, over.limed_with) == (None, None)


def test_a_strip_is_a_job_of_its_own_where_it_is_sown_or_fed():
    def strips(prop, of="a01"):
        frame = {"id": ["a01-s1"], "name": ["North strip"], "kind": ["strip"], "acres": [0.5],
                 "acres_low": [0.25], "acres_high": [1.0], "of": [of]}  # fmt: skip
        return gpd.GeoDataFrame(frame, geometry=[shapely.box(5, 0, 6, 1)], crs=4326)

    def with_strip(**more):
        return place(Area("North", "patch", "f.gpx", strip=StripSettings(**more)))

    prop = with_strip(mix="grain")
    _, made = jobs(prop, strips=strips(prop))
    assert (made.key, made.name, made.area_id, made.called) == (
        "a01-s1", "North strip", "a01-s1", "North strip",
    )  # fmt: skip
    assert (made.made, made.first, made.mix, made.test) == (True, True, prop.mix[0], None)
    assert (made.acres, made.spread, made.lon) == (0.5, (0.5, 2.0), 5.5)
    tested = with_strip(soil_test="lab")
    _, made = jobs(tested, strips=strips(tested))
    assert (made.mix, made.test) == (None, LAB)
    bare = with_strip()
    assert len(jobs(bare, strips=strips(bare))) == 1
    assert len(jobs(bare, strips=pd.DataFrame(strips(bare)[:0]))) == 1
    with pytest.raises(FrameProblem):
        jobs(bare, strips=strips(bare, of="a09"))


def test_what_is_said_of_a_strip_bears_its_own_name():
    (job,) = jobs(place())
    job.say("code", "head", "info", more="more.", cited="who")
    (note,) = job.notes
    assert (note.code, note.text, note.level, note.source) == (
        "code", "head: more (who).", "info", None,
    )  # fmt: skip
    assert (note.feature, note.lon, note.lat) == ("North", 0.5, 0.5)
    _, second = jobs(place(TWICE))
    second.say("code", "head")
    assert second.notes[0].text == f"{second.area.tag}head"
    assert second.notes[0].level == "caution"
    strip = dataclasses.replace(second, made=True, notes=[])
    strip.say("code", "head")
    assert strip.notes[0].text == "head"


def test_ground_that_is_finished_is_hushed_and_open_ground_is_not():
    first, second = jobs(place(TWICE), finished=("a01",))
    both = jobs(place(TWICE))
    both[0].finished = True
    for job in both:
        job.seed, job.lime_line, job.setting, job.left_out_n_lb_ac = (1,), 2, ["x"], 3.0
        job.say("code", "head")
    leave_out_finished(both)
    over, still = both
    assert (over.seed, over.lime_line, over.setting, over.left_out_n_lb_ac) == (
        (), None, [], None,
    )  # fmt: skip
    assert (still.seed, still.lime_line, still.setting, still.left_out_n_lb_ac) == (
        (1,), 2, ["x"], 3.0,
    )  # fmt: skip
    assert need_of(over).notes == ()
    assert first.key != second.key


def test_a_need_is_that_of_its_job():
    (job,) = jobs(place())
    job.fertilizer = [fed("34-0-0", 100.0)]
    job.cost, job.setting, job.work = 33.337, ["set"], {"plant": 1}
    job.asked_lb_ac, job.asked_of, job.done_lb_ac = {"n": 1.0}, "whose", {"n": 2.0}
    job.given_lb_ac, job.surplus_lb_ac, job.left_out_n_lb_ac = {"n": 3.0}, {"n": 4.0}, 5.0
    job.unmet, job.left_short, job.done = [6], (7,), (8,)
    job.spray, job.lime_line = [9], 10
    need = need_of(job)
    assert need.fertilizer == (dataclasses.replace(fed("34-0-0", 100.0), planting="a01"),)
    assert (need.cost, need.cost_ac, need.setting, need.work) == (
        33.34, 16.67, ("set",), {"plant": 1},
    )  # fmt: skip
    assert (need.asked_lb_ac, need.asked_of, need.done_lb_ac) == (
        {"n": 1.0},
        "whose",
        {"n": 2.0},
    )
    assert (need.given_lb_ac, need.surplus_lb_ac) == ({"n": 3.0}, {"n": 4.0})
    assert (need.left_out_n_lb_ac, need.unmet, need.left_short, need.done) == (
        5.0, (6,), (7,), (8,),
    )  # fmt: skip
    assert (need.spray, need.lime, need.seed) == ((9,), 10, ())
    (none,) = jobs(place())
    bare = need_of(none)
    assert (bare.cost, bare.cost_ac, bare.unmet, bare.left_short) == (
        None,
        None,
        None,
        None,
    )
