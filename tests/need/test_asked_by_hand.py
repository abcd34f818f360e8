"""What a planting asks of nutrients: by its test, by upkeep, by what is hauled off; kept for later."""

import dataclasses
import datetime as dt

import geopandas as gpd
import pytest
import shapely

from quietacre.figures import printed
from quietacre.need.asked import TOP, plots_of
from quietacre.need.fertilizer import Plot
from quietacre.need.grade import oxide_needs
from quietacre.need.job import jobs_of
from quietacre.need.spray import over_label, water_unmeasured
from quietacre.need.sprayed import spray as sprayed
from quietacre.need.tables import Figure, crops
from quietacre.settings import (
    Area,
    Equipment,
    Feed,
    Harvest,
    Mix,
    NeedLbAc,
    Property,
    PropertyInfo,
    Seed,
    SoilTest,
    Spray,
)
from quietacre.shipped import cite

D = dt.date
MIXES = (
    Mix("grain", (Seed("oats", rate_lb_ac=90.0, basis="bulk"),)),
    Mix("clover", (Seed("crimson clover", rate_lb_ac=20.0, basis="bulk"),)),
    Mix("few", (Seed("oats", rate_lb_ac=90.0, basis="bulk"),
                Seed("crimson clover", rate_lb_ac=4.0, basis="bulk"))),
    Mix("many", (Seed("oats", rate_lb_ac=9.0, basis="bulk"),
                 Seed("crimson clover", rate_lb_ac=20.0, basis="bulk"))),
    Mix("own", (Seed("crimson clover", rate_lb_ac=20.0, basis="bulk"),
                Seed("grandfather's grass", rate_lb_ac=20.0, basis="bulk"))),
)  # fmt: skip
LAB = SoilTest("lab", on=D(2026, 12, 4), need_lb_ac=NeedLbAc(n=60.0, p2o5=40.0, k2o=20.0))


def job_of(
    mix="grain", test=LAB, *, kind="plot", name="North", sprays=(), acres=2.0, **more
):
    """Return the job of one piece of ground and its settings."""
    prop = Property(
        PropertyInfo("Home"), mix=MIXES, soil_test=(test,) if test else (), spray=sprays,
        area=(Area(name, kind, "f.gpx", mix=mix, **{"soil_test": "lab" if test else None, **more}),),
        equipment=Equipment(),
    )  # fmt: skip
    frame = {"id": list(prop.area_by_id), "name": [name], "kind": [kind], "acres": [acres],
             "acres_low": [0.9 * acres], "acres_high": [1.2 * acres]}  # fmt: skip
    ground = gpd.GeoDataFrame(frame, geometry=[shapely.box(0, 0, 1, 1)], crs=4326)
    (job,) = jobs_of(ground, prop, None, crops(), D(2027, 10, 1))
    return job, prop


def asked(mix="grain", test=LAB, *, edit=None, **more):
    """Return the plots, what is asked in all, and the notes by code with text and level."""
    job, _ = job_of(mix, test, **more)
    if edit:
        job = dataclasses.replace(job, **edit)
    plots = plots_of(job)
    return plots, job, {n.code: (printed(n.text), n.level) for n in job.notes}


def plot(n, p2o5, k2o, limit=None, none_of=(), key="a01"):
    need = {"n": n, "p2o5": p2o5, "k2o": k2o}
    return Plot(key, 2.0, need, limit, frozenset(none_of))


def without_sulfur(plots):
    return [
        dataclasses.replace(
            one, need_lb_ac={k: v for k, v in one.need_lb_ac.items() if k != "s"}
        )
        for one in plots
    ]


# ---- by a soil test --------------------------------------------------------------------------------------
def test_a_grain_asks_what_its_test_asks():
    plots, job, notes = asked(max_products=3)
    assert without_sulfur(plots) == [plot(60.0, 40.0, 20.0, 3)]
    assert job.asked_of == "the soil test “lab”, December 4, 2026"
    assert {k: job.asked_lb_ac[k] for k in ("n", "p2o5", "k2o")} == {
        "n": 60.0, "p2o5": 40.0, "k2o": 20.0,
    }  # fmt: skip
    assert notes == {}
    _, job, _ = asked(test=dataclasses.replace(LAB, on=None))
    assert job.asked_of == "the soil test “lab”"


def test_nitrogen_kept_for_later_is_a_second_plot():
    plots, job, notes = asked(topdress_n_lb_ac=25.0)
    assert without_sulfur(plots) == [
        plot(35.0, 40.0, 20.0), plot(25.0, 0.0, 0.0, 1, key="a01" + TOP),
    ]  # fmt: skip
    assert job.asked_lb_ac["n"] == 60.0
    assert notes == {}
    exactly, _, notes = asked(topdress_n_lb_ac=60.0)
    assert [one.need_lb_ac["n"] for one in exactly] == [0.0, 60.0]
    assert notes == {}
    plots, job, notes = asked(topdress_n_lb_ac=75.0)
    assert [one.need_lb_ac["n"] for one in plots] == [0.0, 60.0]
    text, level = notes["topdress-cut"]
    assert text.endswith(
        "75 lb/ac of nitrogen was to be top-dressed, but only 60 is called for."
    )
    assert level == "info"
    only_n = dataclasses.replace(LAB, need_lb_ac=NeedLbAc(n=60.0))
    assert [one.key for one in asked(test=only_n, topdress_n_lb_ac=60.0)[0]] == ["a01+top"]


def test_legumes_alone_are_given_no_nitrogen_of_any_product():
    plots, job, notes = asked("clover", topdress_n_lb_ac=25.0)
    assert without_sulfur(plots) == [plot(0.0, 40.0, 20.0, None, {"n"})]
    assert job.asked_lb_ac["n"] == 0.0
    assert notes == {
        "legume-no-nitrogen": (
            "legumes only: the 60 lb/ac of nitrogen asked for is left out, and no "
            "product that carries nitrogen is spread.",
            "info",
        )
    }
    none = dataclasses.replace(LAB, need_lb_ac=NeedLbAc(p2o5=40.0))
    assert asked("clover", none)[2] == {}


def test_a_mix_mostly_of_legumes_is_fed_its_nitrogen_only_where_it_is_said():
    plots, job, notes = asked("many")
    assert without_sulfur(plots) == [plot(0.0, 40.0, 20.0, None, {"n"})]
    assert job.left_out_n_lb_ac == 60.0
    assert job.asked_lb_ac["n"] == 0.0
    assert list(notes) == ["no-nitrogen-before-legumes"]
    assert "oats" in notes["no-nitrogen-before-legumes"][0]
    assert notes["no-nitrogen-before-legumes"][1] == "caution"
    plots, job, notes = asked("many", nitrogen_on_legumes=True)
    assert without_sulfur(plots) == [plot(60.0, 40.0, 20.0)]
    assert job.left_out_n_lb_ac is None
    assert notes == {
        "nitrogen-on-legumes": (
            "60 lb/ac of nitrogen on a mix with legumes: nodules drop at 50 lb or "
            "more; how much is your judgment (Univ. of Tennessee, 2014, soybean).",
            "info",
        )
    }
    assert list(asked("few")[2]) == ["nitrogen-on-legumes"]
    assert without_sulfur(asked("few")[0]) == [plot(60.0, 40.0, 20.0)]
    later, job, notes = asked("many", topdress_n_lb_ac=25.0)
    assert [one.need_lb_ac["n"] for one in later] == [0.0, 25.0]
    assert job.left_out_n_lb_ac == 35.0
    none = dataclasses.replace(LAB, need_lb_ac=NeedLbAc(p2o5=40.0))
    assert asked("many", none)[2] == {}
    assert asked("few", none)[2] == {}


def test_a_crop_that_no_table_knows_is_no_legume():
    """Half of the mix is not known, so it is not legumes alone."""
    _, job, notes = asked("own", nitrogen_on_legumes=True)
    assert list(notes) == ["nitrogen-on-legumes"]
    assert job.asked_lb_ac["n"] == 60.0
    assert asked(None)[0] == [
        Plot("a01", 2.0, asked(None)[1].asked_lb_ac, None, frozenset())
    ]


def test_ground_that_names_no_test_or_asks_for_none_is_not_fed():
    assert asked(test=None)[::2] == ([], {})
    assert asked(fertilizer="none")[::2] == ([], {})
    plots, job, notes = asked(test=None, fertilizer="soil test")
    assert (plots, job.asked_lb_ac) == ([], None)
    assert notes == {
        "no-soil-test": (
            "no soil test is named, so nothing is fertilized.", "warning",
        )
    }  # fmt: skip
    limed = SoilTest("lab", lime_ton_ac=1.0)
    plots, job, notes = asked(test=limed)
    assert (plots, job.asked_of, notes) == ([], None, {})
    nothing = dataclasses.replace(LAB, need_lb_ac=NeedLbAc(n=0.0))
    assert asked(test=nothing)[0] == []


def test_a_test_in_parts_a_million_is_taken_as_what_to_add_and_told():
    ppm = SoilTest("lab", need_ppm=NeedLbAc(n=10.0, p2o5=0.0, k2o=20.0))
    given = oxide_needs(ppm.need_ppm, ppm=True)
    plots, job, notes = asked(test=ppm)
    assert plots[0].need_lb_ac == given
    assert job.asked_of == "the soil test “lab”"
    assert notes == {
        "need-in-ppm": (
            "the needs of the soil test “lab” are in parts a million and are taken "
            f"as what the laboratory asks you to add: {given['n']:.0f} lb/ac of N, "
            f"{given['k2o']:.0f} lb/ac of K2O. What it found in the soil (Mehlich-3, Bray, Olsen "
            "…) is no need: where these are such readings, type the pounds an acre that its "
            "report recommends instead.",
            "caution",
        )
    }
    none = SoilTest("lab", need_ppm=NeedLbAc(n=0.0))
    assert "asks you to add: nothing. What" in asked(test=none)[2]["need-in-ppm"][0]


def test_what_the_first_planting_is_fed_the_second_is_not():
    plots, job, notes = asked(edit={"fed_before": "spring"})
    assert without_sulfur(plots) == [plot(60.0, 0.0, 0.0)]
    assert notes == {
        "fed-before": (
            "phosphate and potash of the soil test “lab” go on with spring, so only "
            "its nitrogen is counted here; a test of this planting's own would say more.",
            "info",
        )
    }
    for need, told in ((NeedLbAc(n=60.0), False), (NeedLbAc(k2o=9.0), True)):
        less = dataclasses.replace(LAB, need_lb_ac=need)
        notes = asked(test=less, edit={"fed_before": "spring"})[2]
        assert ("fed-before" in notes) is told


# ---- without one -----------------------------------------------------------------------------------------
def known(name, *memory, **upkeep_lb_ac):
    """Return the crop of the table with other figures of upkeep, or with none."""
    crop = crops()[name]
    figures = {k: one for k, one in crop.figures.items() if not k.startswith("maint_")}
    for nutrient, rate in upkeep_lb_ac.items():
        key = f"maint_{nutrient}_lb_ac"
        figures[key] = Figure(key, rate, rate, "", "", "", "udel-rotation")
    return dataclasses.replace(crop, figures=figures, from_memory=frozenset(memory))


def test_upkeep_is_told_by_the_crop_that_asks_most_and_what_was_not_read():
    table = dict(crops())
    table["oats"] = known("oats", "maint_n_lb_ac", "depth_in", n=50.0, k2o=0.0)
    table["crimson clover"] = known("crimson clover", "depth_in", n=0.0)
    plots, job, notes = asked("few", None, fertilizer="maintenance", edit={"table": table})
    assert plots == [plot(50.0, 0.0, 0.0)]
    whose = cite("udel-rotation")
    of_oats = f"upkeep without a soil test: nitrogen 50 lb/ac for oats ({whose})"
    assert printed(job.asked_of) == of_oats
    text, level = notes["maintenance-default"]
    assert text == (
        "these are maintenance figures, not a soil test's: a placeholder. Take a "
        "sample. From memory in part: oats."
    )
    assert level == "warning"
    unread = [printed(n.text) for n in job.notes if n.code == "maintenance-unread"]
    said = "A soil test says how much, or your county extension office."
    assert unread == [
        "no figure for the phosphate of oats and crimson clover without a soil "
        f"test was read in a source, so none is planned. {said}",
        "no figure for the potash of crimson clover without a soil test was read "
        f"in a source, so none is planned. {said}",
    ]
    table["oats"] = known("oats", n=50.0, p2o5=30.0, k2o=0.0)
    _, job, _ = asked("few", None, fertilizer="maintenance", edit={"table": table})
    unread = [printed(n.text) for n in job.notes if n.code == "maintenance-unread"]
    assert unread[0] == (
        "no figure for the phosphate of crimson clover without a soil test was "
        f"read in a source, so the 30 lb/ac planned here are its companions'. {said}"
    )
    assert printed(job.asked_of) == f"{of_oats}; phosphate 30 lb/ac for oats ({whose})"


def test_upkeep_of_nothing_names_no_crop_and_no_sown_crop_needs_none():
    table = dict(crops())
    table["oats"] = known("oats", n=0.0, p2o5=0.0, k2o=0.0)
    plots, job, notes = asked(test=None, fertilizer="maintenance", edit={"table": table})
    assert (plots, job.asked_of) == ([], None)
    assert list(notes) == ["maintenance-default"]
    assert notes["maintenance-default"][0].endswith("Take a sample.")
    assert asked(None, None, fertilizer="maintenance")[::2] == ([], {})


HAY = Harvest("alfalfa hay (Ohio)", ton_ac=2.0)


def test_what_is_hauled_off_feeds_where_it_is_asked_to_and_is_told_beside_a_test():
    head = "hauled off with alfalfa hay (Ohio): 26 lb/ac P₂O₅, 100 lb/ac K₂O"
    plots, job, notes = asked(test=None, harvest=HAY, fertilizer="removal")
    assert plots[0].need_lb_ac["k2o"] == 100.0
    assert printed(job.asked_of).startswith(f"what is hauled off: {head}")
    text, level = notes["removal"]
    assert text.startswith(
        f"fed by what is hauled off, not by a soil test: a placeholder. {head}"
    )
    assert level == "warning"
    plots, job, notes = asked(harvest=HAY)
    assert without_sulfur(plots) == [plot(60.0, 40.0, 20.0)]
    text, level = notes["removal"]
    assert text.startswith(f"{head}")
    assert text.endswith(
        "The soil test's figures are used as they stand: tell the laboratory what you haul off."
    )
    assert level == "info"
    assert asked(harvest=HAY, edit={"made": True})[2] == {}
    assert asked(test=None, harvest=HAY)[::2] == ([], {})
    assert asked(harvest=HAY, fertilizer="maintenance")[2].get("removal") is None
    assert asked(test=None, fertilizer="removal")[::2] == ([], {})
    strip = asked(test=None, harvest=HAY, fertilizer="removal", edit={"made": True})
    assert strip[::2] == ([], {})


# ---- sprays ----------------------------------------------------------------------------------------------
FEED = Spray("jug", "foliar feed", rate_fl_oz_ac=64.0, max_rate_fl_oz_ac=32.0)
SPOT = Spray("can", "spot spray", rate_pct_volume=2.0)


def sprayed_job(*feeds, sprays=(FEED, SPOT), edit=None, **more):
    job, prop = job_of(sprays=sprays, feed=feeds, **more)
    if edit:
        job = dataclasses.replace(job, **edit)
    sprayed(job, prop)
    return job, prop.equipment


def test_a_spray_s_line_holds_its_acres_and_their_range():
    job, gear = sprayed_job(Feed("jug", on=D(2027, 6, 1), share=0.5))
    (row,) = job.spray
    assert (row.acres, row.share, row.on, row.done, row.left) == (
        1.0, 0.5, D(2027, 6, 1), 0.0, 64.0,
    )  # fmt: skip
    gal = gear.spray_gal_ac
    assert (row.tank.gal, row.gal_low, row.gal_high) == pytest.approx(
        (gal, 0.9 * gal, 1.2 * gal)
    )
    assert row.minutes > gear.fixed_minutes
    assert [line.split(":")[0] for line in job.setting] == ["sprayer"]
    assert [(n.code, printed(n.text), n.level) for n in job.notes] == [
        ("above-label", printed(over_label(FEED)), "warning")
    ]


def test_a_machine_is_set_once_for_sprays_alike():
    job, gear = sprayed_job(Feed("jug"), Feed("jug"), Feed("can", share=0.1))
    assert [line.split(":")[0] for line in job.setting] == ["sprayer", "hand gun"]
    assert [row.tank.name for row in job.spray] == ["jug", "jug", "can"]
    (water,) = [n for n in job.notes if n.code == "spot-water"]
    assert printed(water.text) == printed(water_unmeasured(SPOT, gear.spray_gal_ac))
    assert water.level == "caution"
    own = dataclasses.replace(SPOT, spray_gal_ac=100.0)
    job, _ = sprayed_job(Feed("can"), sprays=(own,))
    assert printed(job.setting[0]).endswith("gallons an acre, 100 fl oz as planned here")
    assert job.notes == []


def test_strips_and_second_plantings_are_not_sprayed():
    job, _ = sprayed_job(Feed("jug"), edit={"made": True})
    assert (job.spray, job.setting, job.notes) == ([], [], [])
    job, _ = job_of(sprays=(FEED,), feed=(Feed("jug"),))
    second = dataclasses.replace(job, area=dataclasses.replace(job.area, number=2))
    sprayed(second, Property(PropertyInfo("x"), spray=(FEED,)))
    assert second.spray == []


def test_a_vine_that_is_fed_runs_and_a_native_honeysuckle_is_looked_at():
    fed = ["above-label", "feeding-the-vine"]
    for kind, name, note, sprays, codes in (
        ("patch", "Hill", None, "jug", fed),
        ("patch", "Hill", None, "can", ["spot-water"]),
        ("native", "Hill", None, "jug", ["above-label"]),
        ("native", "Honeysuckle Hill", None, "jug", ["above-label", "which-honeysuckle"]),
        ("native", "Hill", "old HONEYSUCKLE", "can", ["spot-water", "which-honeysuckle"]),
        ("plot", "Honeysuckle Hill", None, "jug", ["above-label"]),
    ):
        job, _ = sprayed_job(
            Feed(sprays), kind=kind, name=name, note=note, mix=None, test=None
        )
        assert [n.code for n in job.notes] == codes
        assert {n.level for n in job.notes if n.code != "above-label"} <= {"caution"}
    job, _ = sprayed_job(Feed("jug"), kind="patch", mix=None, test=None)
    assert job.notes[-1].text == (
        "feeding the vine makes it run: re-survey its edge and widen the strip; no "
        "trial shows what it gains as browse."
    )
