"""Limits that may not be broken, runners-up, passes, top-dressing, units, sub-commands."""

import csv
import dataclasses
import io
import json
import re

import geopandas as gpd
import pytest
import shapely
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from record_of import record_of

from quietacre import settings as keys
from quietacre.cli import main
from quietacre.errors import NeedProblem, SettingsProblem
from quietacre.export.lists import shopping_csv
from quietacre.figures import printed
from quietacre.intake.property import read_property
from quietacre.need.fertilizer import Plot, plan_fertilizer, why_short
from quietacre.need.forage import forage_balance
from quietacre.need.grade import (
    NUTRIENTS,
    Grade,
    oxide_needs,
    parse_grade,
)
from quietacre.need.lime import lime_rate
from quietacre.need.machine import lb_on_area, passes
from quietacre.need.plan import plan_needs
from quietacre.need.seed import seed_needs
from quietacre.report_records import Report
from quietacre.settings import Buying, Mix, Product, Seed, SoilTest

NAMES = ["13-13-13", "34-0-0", "0-0-60", "18-46-0", "0-20-20", "46-0-0"]


def grade(text, price=20.0, **more):
    return Grade(text, *parse_grade(text), 50.0, price, **more)


@given(
    st.lists(st.tuples(st.floats(0.2, 3), st.integers(0, 90), st.integers(0, 80), st.integers(0, 80)),
             min_size=1, max_size=4),
    st.lists(st.sampled_from(NAMES), min_size=2, max_size=6, unique=True),
    st.integers(1, 3), st.floats(0, 120), st.integers(0, 6),
)  # fmt: skip
@settings(max_examples=25, deadline=None)
def test_no_plan_and_no_runner_up_breaks_a_limit(fields, names, most, stock_lb, max_bags):
    buying = Buying(max_products=most, seconds=2.0)
    plots = [
        Plot(f"p{i}", acres, {"n": 0.0 if i == 0 else n, "p2o5": p, "k2o": k},
             none_of=frozenset({"n"} if i == 0 else ()))
        for i, (acres, n, p, k) in enumerate(fields)
    ]  # fmt: skip
    grades = [grade(name, 10.0 + i, stock_lb=stock_lb if i == 0 else 0.0,
                    max_bags=max_bags if i == 1 else None) for i, name in enumerate(names)]  # fmt: skip
    best = plan_fertilizer(plots, grades, buying, runners_up=1)
    for plan in (best, *best.runners_up):
        for plot in plots:
            used = [g for g in grades if plan.pounds.get((plot.key, g.grade), 0.0) > 0]
            assert len(used) <= most
            for k, nutrient in enumerate(NUTRIENTS):
                carried = sum(g.fractions[k] * plan.pounds[plot.key, g.grade] for g in used)
                assert carried <= plot.most_lb_ac(nutrient, buying) * plot.acres + 1e-3
        for g in grades:
            taken = sum(plan.pounds.get((plot.key, g.grade), 0.0) for plot in plots)
            bags = plan.bags.get(g.grade, 0)
            assert taken <= bags * g.bag_lb + g.stock_lb + 1e-3
            assert g.max_bags is None or bags <= g.max_bags
    for other in best.runners_up:
        assert not set(best.products) <= set(other.products)
        assert other.cost >= best.cost * (1 - best.gap - other.gap) - 0.01


def test_runners_up_leave_out_a_product():
    plot = Plot("p", 2.0, {"n": 60.0, "p2o5": 40.0, "k2o": 60.0})
    plan = plan_fertilizer([plot], [grade(n) for n in NAMES], Buying(), runners_up=2)
    assert len(plan.runners_up) == 2
    assert len({frozenset(p.products) for p in (plan, *plan.runners_up)}) == 3
    assert plan.proof == "proved cheapest"


def test_a_grade_listed_twice_is_refused():
    plot = Plot("p", 1.0, {"n": 60.0, "p2o5": 0.0, "k2o": 0.0})
    with pytest.raises(NeedProblem, match="listed twice"):
        plan_fertilizer([plot], [grade("34-0-0"), grade("34-0-0", 1.0)], Buying())


@pytest.mark.parametrize(
    ("grades", "buying", "words"),
    [
        ([grade("0-0-60")], Buying(), "no product listed carries N"),
        ([grade("34-0-0", max_bags=1)], Buying(), "bags to be had run out"),
        ([grade("18-46-0")], Buying(), "put P2O5 above its cap"),
        ([grade("18-46-0"), grade("34-0-0", max_bags=0), grade("46-0-0", max_bags=0)],
         Buying(), "bags to be had"),
    ],
)  # fmt: skip
def test_why_a_need_is_not_met(grades, buying, words):
    plot = Plot("p", 2.0, {"n": 90.0, "p2o5": 0.0, "k2o": 0.0})
    assert words in why_short(plot, "n", grades, buying)


def test_why_names_a_grade_without_the_nitrogen_that_is_left_off():
    plot = Plot("beans", 2.0, {"n": 0.0, "p2o5": 50.0}, none_of=frozenset({"n"}))
    why = why_short(plot, "p2o5", [grade("18-46-0")], Buying(over_lb_ac=80.0))
    assert "18-46-0 brings N" in why
    assert "such as 0-20-20 or 0-46-0" in why
    assert "over_" not in why  # no cap of the person's lets it on


def test_why_is_the_number_of_products():
    plot = Plot("p", 2.0, {"n": 90.0, "p2o5": 0.0, "k2o": 90.0}, max_products=1)
    both = [grade("34-0-0"), grade("0-0-60")]
    plan = plan_fertilizer([plot], both, Buying())
    ((_, nutrient),) = plan.short_lb
    assert "at most 1 product" in why_short(plot, nutrient, both, Buying())


def test_sulfur_is_met_where_asked_and_free_where_not():
    both = [grade("34-0-0", 19.0), grade("21-0-0-24S", 16.0)]
    plot = Plot("p", 2.0, {"n": 60.0, "s": 20.0})
    exact = Buying(short_pct=0.0, over_pct=0.0, over_lb_ac=0.0)
    plan = plan_fertilizer([plot], both, exact)
    sulfate = plan.pounds["p", "21-0-0-24S"]
    assert 0.24 * sulfate == pytest.approx(40.0, abs=0.01)
    assert 0.21 * sulfate + 0.34 * plan.pounds["p", "34-0-0"] == pytest.approx(
        120.0, abs=0.01
    )
    # asked for and nothing carries it: named, whatever else is met
    short = plan_fertilizer([plot], both[:1], Buying()).short_lb
    assert short == {("p", "s"): 40.0}
    assert why_short(plot, "s", both[:1], Buying()).startswith(
        "no product listed carries S"
    )
    # not asked for: what ammonium sulfate brings of it is no excess
    plain = Plot("p", 2.0, {"n": 60.0})
    alone = plan_fertilizer([plain], both[1:], Buying(short_pct=0.0))
    assert alone.short_lb == {}
    # asked for a little: capped like any other nutrient
    little = Plot("p", 2.0, {"n": 60.0, "s": 5.0})
    capped = plan_fertilizer([little], both[1:], Buying(short_pct=0.0))
    assert 0.24 * capped.pounds["p", "21-0-0-24S"] <= 15.0 * 2.0 + 1e-6
    assert ("p", "n") in capped.short_lb


def test_sulfur_of_a_soil_test_reaches_the_bags():
    test = SoilTest("t", need_ppm=keys.NeedLbAc(s=10.0))
    prop = place(soil_test=(test,), product=(
        Product("21-0-0-24S", bag_lb=50.0, price=16.0), Product("0-0-0-90S", bag_lb=50.0, price=20.0)))  # fmt: skip
    need = made(prop).by_id["a01"]
    assert need["asked_lb_ac"]["s"] == 20.0
    assert need["given_lb_ac"]["s"] == pytest.approx(20.0, abs=0.01)
    assert all("s_lb_ac" in row for row in need["fertilizer"])


@pytest.mark.parametrize(
    ("text", "s"),
    [("21-0-0-24S", 0.24), ("0-0-22-21.5S", 0.215), ("12-12-12-2Zn", 0.0),
     ("0-0-22-22S-11Mg", 0.22), ("13-13-13", 0.0)],
)  # fmt: skip
def test_sulfur_is_read_from_the_grade(text, s):
    assert parse_grade(text)[3] == pytest.approx(s)


@pytest.mark.parametrize("text", ["21-0-0-24", "21-0-0-80S", "21-0-0-1S-2S", "21-0-0-S"])
def test_grades_with_a_doubtful_tail_are_refused(text):
    with pytest.raises(NeedProblem):
        parse_grade(text)


@given(
    st.lists(st.tuples(st.floats(0.3, 2.0), st.integers(0, 90), st.integers(0, 60), st.integers(0, 60)),
             min_size=1, max_size=2),
    st.lists(st.sampled_from(NAMES), min_size=2, max_size=4, unique=True),
    st.integers(1, 2),
)  # fmt: skip
@settings(max_examples=20, deadline=None)
def test_limited_products_are_chosen_as_well_as_by_trying_every_choice(fields, names, most):
    """Every set of products on every area is tried as a plan of its own."""
    import itertools

    plots = [Plot(f"p{i}", acres, {"n": n, "p2o5": p, "k2o": k})
             for i, (acres, n, p, k) in enumerate(fields)]  # fmt: skip
    grades = [grade(name, 11.0 + 3 * i) for i, name in enumerate(names)]
    buying = Buying(max_products=most, seconds=60.0)
    plan = plan_fertilizer(plots, grades, buying)
    best = (float("inf"), float("inf"))
    sets = list(itertools.combinations(range(len(names)), min(most, len(names))))
    for chosen in itertools.product(sets, repeat=len(plots)):
        best = min(best, cheapest_with(plots, grades, buying, chosen))
    short = sum(plan.short_lb.values())
    assert short == pytest.approx(best[0], abs=0.02)
    assert plan.cost == pytest.approx(best[1], abs=0.02)
    assert plan.gap == 0.0


def cheapest_with(plots, grades, buying, chosen):
    """Return pounds short and cost when each area may use its chosen products only."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    p, g = len(plots), len(grades)
    nutrients = ("n", "p2o5", "k2o")
    width = g + p * g + p * 3
    lines, low, high = [], [], []
    for j, one in enumerate(grades):
        line = np.zeros(width)
        line[j] = -one.bag_lb
        line[g + j : g + p * g : g] = 1.0
        lines.append(line), low.append(-np.inf), high.append(0.0)
    top = np.full(width, np.inf)
    for i, plot in enumerate(plots):
        for j in range(g):
            if j not in chosen[i]:
                top[g + i * g + j] = 0.0
        for k, nutrient in enumerate(nutrients):
            need = plot.need_lb_ac[nutrient]
            line = np.zeros(width)
            line[g + i * g : g + (i + 1) * g] = [one.fractions[k] for one in grades]
            lines.append(line.copy()), low.append(-np.inf)
            high.append(plot.most_lb_ac(nutrient, buying) * plot.acres)
            line[g + p * g + i * 3 + k] = 1.0
            (
                lines.append(line),
                low.append(need * (1 - buying.short_pct / 100) * plot.acres),
                high.append(np.inf),
            )
    cost = np.zeros(width)
    cost[:g] = [one.price for one in grades]
    cost[g + p * g :] = 1000.0
    found = milp(cost, constraints=LinearConstraint(np.array(lines), low, high),
                 integrality=np.r_[np.ones(g), np.zeros(width - g)], bounds=Bounds(0, top),
                 options={"mip_rel_gap": 0.0})  # fmt: skip
    # what no product carries is named whole, not less the tolerance
    unmet = 0.0
    for i, plot in enumerate(plots):
        for k, nutrient in enumerate(nutrients):
            missing = found.x[g + p * g + i * 3 + k]
            carried = any(one.fractions[k] > 0 for one in grades)
            unmet += missing if carried else plot.need_lb_ac[nutrient] * plot.acres
    return round(unmet, 3), float(found.x[:g] @ cost[:g])


def test_a_large_property_states_its_gap_and_keeps_its_limits():
    import random

    rng = random.Random(3)  # noqa: S311 - invented data
    names = [*NAMES, "17-17-17", "10-10-10", "8-24-24", "6-12-12", "11-52-0", "0-46-0"]
    grades = [grade(name, 14.0 + 2 * i) for i, name in enumerate(names)]
    plots = [
        Plot(f"p{i}", rng.uniform(0.3, 6.0),
             {k: rng.choice([0.0, 24.0, 60.0, 90.0]) for k in ("n", "p2o5", "k2o")})
        for i in range(60)
    ]  # fmt: skip
    for most in (1, 3):
        plan = plan_fertilizer(plots, grades, Buying(max_products=most, seconds=1.5))
        assert 0.0 <= plan.gap <= 1.0
        assert plan.proof
        for plot in plots:
            used = [g for g in grades if plan.pounds.get((plot.key, g.grade), 0.0) > 0]
            assert len(used) <= most
            for k, nutrient in enumerate(NUTRIENTS):
                carried = sum(g.fractions[k] * plan.pounds[plot.key, g.grade] for g in used)
                assert carried <= plot.most_lb_ac(nutrient, Buying()) * plot.acres + 1e-3
        for g in grades:
            taken = sum(plan.pounds.get((plot.key, g.grade), 0.0) for plot in plots)
            assert taken <= plan.bags.get(g.grade, 0) * g.bag_lb + 1e-3
    assert not plan.short_lb  # three products an area feed any ground


@pytest.mark.parametrize("state", [None, "AL", "OH"])
def test_what_the_crop_table_holds_reaches_the_person(state):
    from quietacre.need.crop_said import crop_lines
    from quietacre.need.tables import crops
    from quietacre.windows import say_windows

    for crop in crops(state).values():
        every = " | ".join(
            re.sub(r" \[[\d, ]+\]", "", printed(line)) for line in crop_lines(crop)
        )
        said = say_windows(crop.name, state)
        if said is None:
            where = {None: "", "AL": " for Alabama", "OH": " for Ohio"}[state]
            assert f"planting window: none was read{where}; ask your" in every, crop.name
            assert "ask your county extension office" in every
        else:
            assert said in every
            assert ("no state or region is chosen" in every) == (state is None)
        for cell, words in (("ph_target", "best (from memory)"),
                            ("seeds_per_lb", "a pound (from memory)"),
                            ("depth_in", "in. deep (from memory)")):  # fmt: skip
            assert (words in every) == (cell in crop.from_memory), crop.name
        assert (f"inoculant: {crop.inoculant}" in every) == crop.legume


def test_every_figure_of_a_crop_bears_the_number_of_what_it_was_read_in():
    from quietacre.need.crop_said import crop_lines
    from quietacre.need.tables import crops, printed_figures
    from quietacre.shipped import cite
    from quietacre.windows import windows_here

    for place in (
        (None, None),
        ("AL", "upper South"),
        ("MS", "coastal plain"),
        ("OH", None),
    ):
        for crop in crops(*place).values():
            lines = crop_lines(crop)
            facts = [line for line in lines if not line.startswith("[")]
            keyed = dict(line[1:].split("] ", 1) for line in lines if line.startswith("["))
            assert list(keyed) == [str(n) for n in range(1, len(keyed) + 1)]
            used = {
                number for fact in facts for some in re.findall(r"\[([\d, ]+)\]", fact)
                for number in some.split(", ")
            }  # fmt: skip
            assert used == set(keyed), crop.name
            windows = [
                cite(key)
                for one in windows_here(crop.name, *place)
                for key in one.source.split(";")
            ]
            assert set(windows) <= set(keyed.values()), crop.name
            for name in (
                "depth_in",
                "broadcast_lb_ac",
                "drill_lb_ac",
                "in_mix_lb_ac",
                "ph_min",
            ):
                for one in printed_figures()[crop.name].get(name, ()):
                    for key in one.source.split(";"):
                        assert key == "memory" or cite(key) in keyed.values() or (
                            str(one) == str(crop.figures[name])
                        ), (crop.name, name, key)  # fmt: skip


def test_a_figure_that_two_sources_print_alike_is_told_once():
    from quietacre.need.crop_said import crop_lines
    from quietacre.need.tables import crops

    for crop in crops("TN").values():
        for line in crop_lines(crop):
            if "also printed: " in line and not line.startswith("planting window"):
                said = re.sub(r" \[[\d, ]+\]", "", line.split("also printed: ")[1])
                others = said.split(")")[0].split(", ")
                assert len(others) == len(set(others)), line


def test_the_figure_of_the_state_comes_first_and_the_others_are_shown():
    from quietacre.need.tables import Figure, figure_here

    def one(low, state):
        return Figure("drill_lb_ac", low, low + 10, "", state, "", "x")

    read = (one(90, "FL"), one(60, "AL"), one(50, "TN"))
    assert figure_here(read).low == 90
    assert figure_here(read, "AL").low == 60
    assert figure_here(read, "AL", "coastal plain").low == 60
    # none of its own: one of its region, and else the first of the table
    assert figure_here(read, "KY", "upper South").low == 60
    assert figure_here(read, "OH", "Midwest").low == 90
    assert figure_here(read, "WY").low == 90


def test_rates_follow_the_state_and_say_what_else_is_printed():
    from quietacre.need.crop_said import crop_lines
    from quietacre.need.tables import crops

    # Biology and Management of White-tailed Deer in Alabama, Alabama DCNR, 2003, p. 160:
    # oats 60-80 lb/ac drilled, 80-100 broadcast, 1/2 to 1 in.
    here = crops("AL")["oats"]
    assert here.range_lb_ac == {"broadcast": (80, 100), "drill": (60, 80)}
    assert here.depth_in == (0.5, 1)
    (line,) = [one for one in crop_lines(here) if one.startswith("drill ")]
    assert printed(line).startswith(
        "drill 60-80 lb/ac [1] (printed for Alabama; also printed: 90 "
    )
    mix = Mix("m", (Seed("oats", share=1.0),), "drill")
    (row,), _ = seed_needs(mix, 1, 1, 1, crops("AL"))
    assert row.rate_lb_ac == 70
    assert "Alabama" in row.source
    (row,), _ = seed_needs(mix, 1, 1, 1, crops("GA"))
    assert row.rate_lb_ac == 90
    assert "Georgia" in row.source


def test_what_is_hauled_off_can_stand_in_for_a_soil_test():
    hay = keys.Harvest("hay", ton_ac=2.0)
    area = keys.Area("one", "plot", "x", mix="m", fertilizer="removal", harvest=hay)
    need = made(place(area=(area,))).by_id["a01"]
    assert need["asked_lb_ac"] == {"n": 100.0, "p2o5": 20.0, "k2o": 90.0}
    note = next(n for n in need["notes"] if n["code"] == "removal")
    assert note["level"] == "warning"
    assert "placeholder" in note["text"]
    assert "poor guide to phosphate" in note["text"]
    # with a soil test its figures stand, and what leaves is told
    tested = keys.Area("one", "plot", "x", mix="m", soil_test="t", harvest=hay)
    need = made(place(area=(tested,))).by_id["a01"]
    assert need["asked_lb_ac"]["n"] == 60.0
    assert any(
        "as they stand" in n["text"] for n in need["notes"] if n["code"] == "removal"
    )
    # a legume's nitrogen is its own
    legume = keys.Area("one", "plot", "x", fertilizer="removal",
                       harvest=keys.Harvest("alfalfa hay", ton_ac=5.0))  # fmt: skip
    assert made(place(area=(legume,))).by_id["a01"]["asked_lb_ac"] == {
        "n": 0.0, "p2o5": 70.0, "k2o": 275.0}  # fmt: skip


@pytest.mark.parametrize(
    ("what", "given"),
    [("hay", {"bu_ac": 2.0}), ("wheat grain", {"ton_ac": 2.0}), ("hay", {}),
     ("hay", {"ton_ac": 1.0, "bu_ac": 1.0}), ("straw", {"ton_ac": 1.0})],
)  # fmt: skip
def test_tons_and_bushels_are_not_taken_for_one_another(what, given):
    from quietacre.need.removal import removed_lb_ac

    with pytest.raises(NeedProblem):
        removed_lb_ac(what, **given)


def test_exclosures_feed_the_balance():
    clips = keys.Clips(area_ft2=4.0, dry_frac=0.25, inside_g=(150.0, 120.0, 180.0),
                       outside_g=(60.0, 70.0, 90.0))  # fmt: skip
    forage = keys.Forage(deer=10, intake_lb_day=3, days=100, utilisation=0.5, clips=clips)
    found = made(place(forage=forage)).how_much
    grown = 150 * 0.25 / 453.59237 * 43560 / 4
    assert found.clipped.clipped.grown_lb_ac == pytest.approx(grown)
    assert found.forage.given_lb == pytest.approx(2.0 * grown * 0.5)
    assert any("51 % of what grew" in line for line in found.text)


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(0, 500), st.floats(0, 500)), min_size=1, max_size=40),
       st.floats(1, 50), st.floats(0.05, 1))  # fmt: skip
def test_clippings_by_scipy(pairs, area, dry):
    import numpy as np
    from scipy import stats

    from quietacre.need.exclosure import browse

    inside, outside = zip(*pairs, strict=True)
    found = browse(inside, outside, area, dry)
    per_g = dry / 453.59237 * 43560 / area
    assert found.grown_lb_ac == pytest.approx(np.mean(inside) * per_g)
    assert found.eaten_lb_ac == pytest.approx(
        found.grown_lb_ac - found.left_lb_ac, abs=1e-6
    )
    if len(pairs) == 1:
        assert found.eaten_low_high is None
        return
    eaten = (np.array(inside) - np.array(outside)) * per_g
    half = stats.t.ppf(0.975, len(pairs) - 1) * stats.sem(eaten)
    low, high = found.eaten_low_high
    # past 30 degrees of freedom 1.96 stands in for Student's t: 4 % narrower at most
    assert high - low == pytest.approx(
        2 * half, rel=1e-3 if len(pairs) <= 31 else 0.04, abs=1e-6
    )


@pytest.mark.parametrize(
    "line",
    [
        "removal --what hay --bu-ac 2",
        "removal --what straw --ton-ac 2",
        "exclosure",
        "exclosure --roll-ft 50",
        "exclosure --inside-g 10 --outside-g 5",
        "exclosure --inside-g 10 --outside-g 5 --area-ft2 4",
        "exclosure --inside-g 10 --area-ft2 4 --dry-frac 1",
    ],
)
def test_hauling_and_clipping_refused_in_one_line(line):
    done = CliRunner().invoke(main, ["need", *line.split()])
    assert done.exit_code == 2
    assert "Traceback" not in done.output


@pytest.mark.parametrize(
    ("text", "key"),
    [
        (
            '[[area]]\nname = "a"\nkind = "plot"\nfrom = "a.geojson"\nfertilizer = "removal"',
            "area[1].fertilizer",
        ),
        (
            '[[area]]\nname = "a"\nkind = "plot"\nfrom = "a.geojson"\nharvest = { what = "hay", bu_ac = 3 }',
            "area[1].harvest",
        ),
        (
            '[[area]]\nname = "a"\nkind = "plot"\nfrom = "a.geojson"\nharvest = { what = "hya", ton_ac = 3 }',
            "area[1].harvest.what",
        ),
        (
            "[forage]\ndeer = 1\nintake_lb_day = 3\ndays = 90\nutilisation = 0.5",
            "forage.yield_lb_ac",
        ),
        (
            "[forage]\ndeer = 1\nintake_lb_day = 3\ndays = 90\nutilisation = 0.5\nyield_lb_ac = 1\nclips = { area_ft2 = 4, dry_frac = 1, inside_g = [1], outside_g = [1] }",
            "forage.yield_lb_ac",
        ),
        (
            "[forage]\ndeer = 1\nintake_lb_day = 3\ndays = 90\nutilisation = 0.5\nclips = { area_ft2 = 4, dry_frac = 1, inside_g = [1, 2], outside_g = [1] }",
            "outside_g",
        ),
        (
            "[forage]\ndeer = 1\nintake_lb_day = 3\ndays = 90\nutilisation = 0.5\nclips = { area_ft2 = 4, inside_g = [1], outside_g = [1] }",
            "dry_frac",
        ),
    ],
)
def test_what_is_grown_and_hauled_off_is_checked(text, key, tmp_path):
    (tmp_path / "a.geojson").write_text('{"type": "FeatureCollection", "features": []}')
    (tmp_path / "property.toml").write_text(
        f'[property]\nname = "p"\n{text}\n', encoding="utf-8"
    )
    with pytest.raises(SettingsProblem) as caught:
        read_property(tmp_path)
    assert key in str(caught.value)


@given(st.floats(0.1, 200), st.floats(0.1, 400), st.booleans())
def test_every_way_of_writing_a_need_gives_the_same_oxides(p, k, ppm):
    """2.2910 and 1.2051: Virginia Tech SPES-201; ppm × 2: WVU."""
    element = oxide_needs(keys.NeedLbAc(p=p, k=k), ppm=ppm)
    oxide = oxide_needs(keys.NeedLbAc(p2o5=2.2910 * p, k2o=1.2051 * k), ppm=ppm)
    assert element == pytest.approx(oxide)
    if ppm:
        doubled = oxide_needs(keys.NeedLbAc(p=2 * p, k=2 * k))
        assert element == pytest.approx(doubled)
    # taking one for the other would be off by these, and so is seen
    wrong = oxide_needs(keys.NeedLbAc(p2o5=p, k2o=k), ppm=ppm)
    assert element["p2o5"] > 2.2 * wrong["p2o5"]


@pytest.mark.parametrize(
    ("test", "want"),
    [
        ({"need_lb_ac": keys.NeedLbAc(p2o5=45.82, k2o=72.306)}, (45.82, 72.306)),
        ({"need_lb_ac": keys.NeedLbAc(p=20.0, k=60.0)}, (45.82, 72.306)),
        ({"need_ppm": keys.NeedLbAc(p=10.0, k=30.0)}, (45.82, 72.306)),
        ({"need_ppm": keys.NeedLbAc(p2o5=22.91, k2o=36.153)}, (45.82, 72.306)),
    ],
)
def test_four_ways_of_writing_a_need_buy_the_same(test, want):
    products = (
        Product("0-46-0", bag_lb=50.0, price=26.0),
        Product("0-0-60", bag_lb=50.0, price=21.0),
    )
    plan = made(place(soil_test=(SoilTest("t", **test),), product=products))
    asked = plan.by_id["a01"]["asked_lb_ac"]
    assert (asked["p2o5"], asked["k2o"]) == pytest.approx(want)
    assert {r["item"]: r["packs"] for r in plan.shopping if r["what"] == "fertilizer"} == {
        "0-46-0": 4, "0-0-60": 5}  # fmt: skip


SEED_TRIES = [
    ('crop = "oats", share = 0.5, purity = 98, germination = 0.85', "purity"),
    ('crop = "oats", share = 0.5, purity = 0.98, germination = 85', "germination"),
    ('crop = "oats", share = 50', "share"),
    ('crop = "oats", rate_lb_ac = 60', "basis"),
    ('crop = "oats", rate_lb_ac = 60, basis = "pls"', "purity"),
    ('crop = "oats", rate_lb_ac = 60, basis = "pls", purity = 0.98', "purity"),
    ('crop = "oats", rate_lb_ac = 60, basis = "live"', "basis"),
    ('crop = "oats", rate_lb_ac = 60, share = 0.5, basis = "bulk"', "share"),
    ('crop = "oats", rate_pls_lb_ac = 60', "rate_pls_lb_ac"),
    ('crop = "oats", share = 0.5, purity = 0.98, germination = 0.85, hard = 0.3', "hard"),
]


@pytest.mark.parametrize(("entry", "key"), SEED_TRIES)
def test_bulk_and_live_seed_cannot_be_mixed(entry, key, tmp_path):
    (tmp_path / "property.toml").write_text(
        f'[property]\nname = "p"\n[[mix]]\nname = "m"\nseed = [{{ {entry} }}]\n',
        encoding="utf-8",
    )
    with pytest.raises(SettingsProblem) as caught:
        read_property(tmp_path)
    assert key in str(caught.value)


NEED_TRIES = [
    ("need_lb_ac = 60", "need_lb_ac"),
    ("n = 60", "n"),
    ("need_lb_ac = { n_ppm = 60 }", "n_ppm"),
    ("need_lb_ac = { P = 10 }", "P"),
    ("need_ppm = { k = 10, k2o = 10 }", "need_ppm.k"),
    ("need_lb_ac = { n = 60 }\nneed_ppm = { k = 10 }", "need_ppm"),
    ("need_kg_ha = { n = 60 }", "need_kg_ha"),
    ("lime_ton_ac = 1\nlime_lb_ac = 2000", "lime_lb_ac"),
]


@pytest.mark.parametrize(("lines", "key"), NEED_TRIES)
def test_a_need_without_its_unit_is_refused(lines, key, tmp_path):
    (tmp_path / "property.toml").write_text(
        f'[property]\nname = "p"\n[[soil_test]]\nname = "t"\n{lines}\n', encoding="utf-8"
    )
    with pytest.raises(SettingsProblem) as caught:
        read_property(tmp_path)
    assert key in str(caught.value)


@given(st.floats(1, 150), st.floats(0.3, 1), st.floats(0.3, 1))
def test_live_and_bulk_rates_differ_by_the_tag(rate, purity, germination):
    tag = {"purity": purity, "germination": germination}
    rows, _ = seed_needs(Mix("m", (Seed("own", rate_lb_ac=rate, basis="pls", **tag),
                                   Seed("own too", rate_lb_ac=rate, basis="bulk", **tag))), 1, 1, 1)  # fmt: skip
    live, bulk = rows
    assert live.lb == pytest.approx(rate / (purity * germination))
    assert bulk.lb == rate
    assert {live.basis, bulk.basis} == {"pls", "bulk"}


@pytest.mark.parametrize(
    "line",
    [
        "seed --acres 1 --crop oats --rate-lb-ac 60 --purity 0.98 --germination 0.85",
        "seed --acres 1 --crop oats --basis pls",
        "seed --acres 1 --crop oats --rate-lb-ac 60 --basis pls --purity 0.98",
        "seed --acres 1 --crop oats --purity 98 --germination 85",
        "lime --acres 2 --buffer Adams-Evans --ph 5.5 --buffer-ph 7.7 --target-ph 6.5",
        "fertilizer --acres 1 --p 20 --product 0-46-0",
        "fertilizer --acres 1 --n 20 --product 46",
        "spray --acres 1 --rate-fl-oz-ac 32 --rate-pct-volume 1",
    ],
)
def test_units_cannot_be_mixed_on_the_command_line(line):
    done = CliRunner().invoke(main, ["need", *line.split()])
    assert done.exit_code == 2, done.output
    assert "Traceback" not in done.output


def made(prop, *, acres=(2.0,), names=("one",), low=0.9, high=1.1):
    n = len(acres)
    areas = gpd.GeoDataFrame(
        {"id": [f"a{i + 1:02d}" for i in range(n)], "name": list(names), "kind": ["plot"] * n,
         "acres": list(acres), "acres_low": [a * low for a in acres],
         "acres_high": [a * high for a in acres]},
        geometry=[shapely.box(0, 0, 1, 1)] * n, crs=4326,
    )  # fmt: skip
    return plan_needs(areas, prop, property_acres=100.0)


def place(**more):
    base = {
        "mix": (Mix("m", (Seed("oats", rate_lb_ac=90.0, basis="bulk"),)),),
        "soil_test": (SoilTest("t", need_lb_ac=keys.NeedLbAc(n=60.0, k2o=60.0)),),
        "product": (Product("34-0-0", bag_lb=50.0, price=19.0),
                    Product("0-0-60", bag_lb=50.0, price=21.0)),
        "area": (keys.Area("one", "plot", "x", mix="m", soil_test="t"),),
    }  # fmt: skip
    return keys.Property(keys.PropertyInfo("p"), **{**base, **more})


def test_nitrogen_kept_for_later_is_its_own_spreading():
    import datetime as dt

    area = keys.Area("one", "plot", "x", mix="m", soil_test="t", topdress_n_lb_ac=40.0,
                     topdress_on=dt.date(2028, 2, 20))  # fmt: skip
    need = made(place(area=(area,), buying=Buying(short_pct=0.0))).by_id["a01"]
    nitrogen = {row["when"]: row for row in need["fertilizer"] if row["grade"] == "34-0-0"}
    assert nitrogen["planting"]["n_lb_ac"] == pytest.approx(20.0, abs=0.01)
    assert nitrogen["top-dressing"]["n_lb_ac"] == pytest.approx(40.0, abs=0.01)
    assert nitrogen["top-dressing"]["on"] == "2028-02-20"
    assert need["asked_lb_ac"]["n"] == 60.0
    assert need["given_lb_ac"]["n"] == pytest.approx(60.0, abs=0.01)
    assert max(need["surplus_lb_ac"].values()) < 0.1


def test_all_nitrogen_before_planting_is_said_and_how_to_keep_some_back():
    def told(**more):
        need = made(place(buying=Buying(short_pct=0.0), **more)).by_id["a01"]
        return [n["text"] for n in need["notes"] if n["code"] == "nitrogen-before-planting"]

    (text,) = told()
    assert text.startswith("all 60 lb/ac of nitrogen go on before planting")
    assert "topdress_n_lb_ac" in text
    later = keys.Area("one", "plot", "x", mix="m", soil_test="t", topdress_n_lb_ac=40.0)
    assert told(area=(later,)) == []
    # what the store cannot give is not called given
    assert told(product=(Product("0-0-60", bag_lb=50.0, price=21.0),)) == []
    legume = Mix("m", (Seed("crimson clover", share=1.0),))
    assert told(mix=(legume,)) == []


def test_legumes_get_no_nitrogen_at_all():
    legume = Mix("m", (Seed("crimson clover", share=1.0),))
    mixed = place(mix=(legume,), product=(Product("13-13-13", bag_lb=50.0, price=17.0),))
    need = made(mixed).by_id["a01"]
    assert need["fertilizer"] == []
    assert any(n["code"] == "need-not-met" for n in need["notes"])
    clean = place(mix=(legume,))
    grades = {row["grade"] for row in made(clean).by_id["a01"]["fertilizer"]}
    assert grades == {"0-0-60"}
    # half legumes and more: none before planting, unless the person wants it
    own = Mix("m", (Seed("crimson clover", share=1.0), Seed("own grass", rate_lb_ac=9.0)))
    assert made(place(mix=(own,))).by_id["a01"]["given_lb_ac"]["n"] == 0.0
    asked = place(mix=(own,))
    wanted = dataclasses.replace(
        asked,
        area=tuple(dataclasses.replace(a, nitrogen_on_legumes=True) for a in asked.area),
    )
    assert made(wanted).by_id["a01"]["given_lb_ac"]["n"] > 50


def test_two_areas_of_one_name_keep_their_own_cost():
    area = keys.Area("one", "plot", "x", mix="m", soil_test="t")
    plan = made(place(area=(area, area)), acres=(1.0, 3.0), names=("one", "one"))
    first, second = (plan.by_id[key]["cost"] for key in ("a01", "a02"))
    assert second == pytest.approx(3 * first, rel=0.02)


def test_shopping_says_whether_the_plus_minus_matters():
    plan = made(place(), low=0.5, high=1.5)
    row = next(r for r in plan.shopping if r["item"] == "34-0-0")
    assert row["packs_low"] < row["packs"] < row["packs_high"]
    assert "changes the number" in row["note"]
    sure = next(
        r for r in made(place(), low=1.0, high=1.0).shopping if r["item"] == "34-0-0"
    )
    assert "does not change" in sure["note"]
    assert sure["left_over"] == pytest.approx(sure["packs"] * 50 - sure["need"], abs=0.01)
    lines = list(
        csv.DictReader(
            io.StringIO(shopping_csv(record_of(Report, {"shopping": plan.lines})))
        )
    )
    assert {"tons", "tank_loads", "left_over", "used_by"} <= set(lines[0])
    assert lines[0]["used_by"].startswith("one: ")


def test_big_and_small_seed_go_in_separate_passes():
    mix = Mix("m", (Seed("crimson clover", share=0.5), Seed("oats", share=0.5),
                    Seed("wheat", share=0.3)))  # fmt: skip
    rows, said = seed_needs(mix, 1, 1, 1)
    assert {row.crop: row.pass_ for row in rows} == {
        "oats": 1, "wheat": 1, "crimson clover": 2}  # fmt: skip
    codes = [code for code, _, _ in said]
    assert "separate-passes" in codes
    assert "seeds-per-square-foot" in codes


def test_what_is_said_of_seed():
    def codes(*seeds, method="broadcast"):
        return {code for code, _, _ in seed_needs(Mix("m", seeds, method), 1, 1, 1)[1]}

    assert "rate-outside-range" in codes(Seed("oats", rate_lb_ac=30.0, basis="bulk"))
    assert "rate-outside-range" not in codes(Seed("oats", rate_lb_ac=100.0, basis="bulk"))
    pair = (Seed("red clover", rate_lb_ac=9.0, basis="bulk"), Seed("oats", share=0.5))
    assert "rate-outside-range" in codes(*pair)  # 2-6 lb/ac in a mix
    assert "hard-seed" in codes(Seed("arrowleaf clover", share=1.0))
    assert "hard-seed" not in codes(
        Seed("arrowleaf clover", share=1.0, germination=0.7, hard=0.2)
    )
    assert "not-that-way" in codes(Seed("forage sorghum", rate_lb_ac=7.0, basis="bulk"))
    coated = Seed("crimson clover", share=1.0, purity=0.9, germination=0.9, coating=0.34)
    assert "coated-seed" in codes(coated)
    # alfalfa's rate is printed as live seed: without a tag that is said, not hidden
    assert "live-rate-poured-as-bulk" in codes(Seed("alfalfa", share=1.0), method="drill")


def test_soil_tests_are_looked_at():
    import datetime as dt

    old = SoilTest("t", ph=5.0, on=dt.date(2023, 1, 1), need_lb_ac=keys.NeedLbAc(k2o=60.0))
    area = keys.Area("one", "plot", "x", mix="m", soil_test="t", plant=dt.date(2027, 9, 25))
    notes = {
        n["code"] for n in made(place(soil_test=(old,), area=(area,))).by_id["a01"]["notes"]
    }
    assert {"old-soil-test", "ph-too-low", "baiting-law", "fertilizer"} <= notes


def test_lime_bases_are_never_mixed():
    for basis, quality in (("CCE", {"ecce_pct": 80.0}), ("ECCE", {"cce_pct": 90.0}),
                           ("pure", {"enp_lb_ton": 1000.0}), ("ENP", {"ecce_pct": 80.0})):  # fmt: skip
        with pytest.raises(NeedProblem):
            lime_rate(
                SoilTest("t", lime_basis=basis, lime_lb_ac=2000.0),
                Product("lime", **quality),
            )
    for buffer in ("Adams-Evans", "SMP", "Sikora", "Moore-Sikora"):
        with pytest.raises(NeedProblem, match="no coefficients") as caught:
            lime_rate(
                SoilTest("t", buffer=buffer, ph=5.5, buffer_ph=7.7, target_ph=6.5), None
            )
        assert "laboratory's own lime figure" in str(caught.value)
        assert "\n" not in str(caught.value)
    found = lime_rate(
        SoilTest("t", buffer="Mehlich", ph=5.0, buffer_ph=6.3, target_ph=6.0), None
    )
    assert any("does not print which lime" in text for text in found.doubts)
    with pytest.raises(NeedProblem, match="starts at 6.6"):
        lime_rate(
            SoilTest("t", buffer="Mehlich", ph=5.5, buffer_ph=7.7, target_ph=6.5), None
        )
    ask = lime_rate(SoilTest("t", lime_ton_ac=1.0), Product("lime", ecce_pct=80.0))
    assert any("does not say which basis" in text for text in ask.doubts)


def test_a_state_whose_basis_was_read_is_told_with_what_it_asks_of_lime():
    # A little lime corrects big problems, University of Kentucky, 2009: tons of 100 % effective
    # lime; AGR-106: lime sold there is at least 80 % CCE
    read = lime_rate(
        SoilTest("t", lime_ton_ac=1.0),
        Product("lime", rnv_pct=50.0, cce_pct=70.0),
        state="KY",
    )
    assert read.ton_ac == pytest.approx(2.0)
    assert any("written for lime that is 100 % effective" in text for text in read.warnings)
    weak = lime_rate(
        SoilTest("t", lime_basis="CCE", lime_ton_ac=1.0),
        Product("lime", cce_pct=70.0),
        state="KY",
    )
    assert any("is under the 80 % that KY asks" in text for text in weak.warnings)
    # Tri-state Fertilizer Recommendations, E-2567, 1995: neutralizing value of 90 %, 8 inches
    for state in ("IN", "MI"):
        read = lime_rate(
            SoilTest("t", lime_ton_ac=1.0), Product("lime", cce_pct=100.0), state=state
        )
        assert read.ton_ac == pytest.approx(0.9)
        assert any(
            "90 % CCE in a slice of 8 in." in printed(text) for text in read.warnings
        )
    with pytest.raises(NeedProblem, match="Georgia uses lime buffer capacity"):
        lime_rate(
            SoilTest("t", buffer="Adams-Evans", ph=5.5, buffer_ph=7.7, target_ph=6.5),
            None,
            state="GA",
        )


@pytest.mark.parametrize(
    "lines",
    [
        "need_ppm = { p = 10 }\nneed_lb_ac = { p2o5 = 10 }",
        "need_lb_ac = { p = 10, p2o5 = 10 }",
        "need = { n = 10 }",
        "lime_basis_pct = 80\nlime_ton_ac = 1",
        'lime_basis = "CCE"\nlime_basis_ecce_pct = 80\nlime_ton_ac = 1',
        'lime_basis = "ENP"\nlime_ton_ac = 1',
        'buffer = "Mehlich"\nlime_ton_ac = 1',
    ],
)
def test_units_of_a_soil_test_cannot_be_mixed(lines, tmp_path):
    (tmp_path / "property.toml").write_text(
        f'[property]\nname = "p"\n[[soil_test]]\nname = "t"\n{lines}\n', encoding="utf-8"
    )
    with pytest.raises(SettingsProblem):
        read_property(tmp_path)


@given(st.floats(1, 500), st.floats(0.5, 20), st.floats(1, 300), st.floats(100, 9000),
       st.floats(0.05, 1))  # fmt: skip
def test_acres_needed_balance_what_is_eaten(deer, intake, days, grown, part):
    acres = forage_balance(deer, intake, days, grown, part, 0.0).acres_needed
    balance = forage_balance(deer, intake, days, grown, part, acres)
    assert balance.balance_lb == pytest.approx(0.0, abs=1e-6 * balance.eaten_lb)


def test_machine_figures_must_be_above_zero():
    assert passes(40.0, 20.0) == 2
    assert passes(40.1, 20.0) == 3
    with pytest.raises(NeedProblem, match="above zero"):
        lb_on_area(0.0)
    with pytest.raises(NeedProblem):
        forage_balance(1, 1, 1, 1, 1.5, 1)


ASKED = [
    ("lime --acres 2 --buffer Mehlich --ph 5 --buffer-ph 6.3 --target-ph 6", "ton", 1.5),
    ("lime --acres 1 --lab-ton-ac 2 --basis pure --cce-pct 90 --passing 10:90 "
     "--passing 50:40 --state ky", "ton_ac", 2 / 0.585),
    ("forage --deer 20 --intake-lb-day 3 --days 120 --yield-lb-ac 3000 --utilisation 0.5",
     "acres_needed", 4.8),
    ("spreader --rate-lb-ac 400 --swath-ft 20", "ft_per_bag", 272.25),
    ("spreader --rate-lb-ac 400 --swath-ft 20 --caught-lb 10 --catch-width-ft 20 "
     "--catch-ft 54.45", "caught_lb_ac", 400.0),
    ("drill --rate-lb-ac 90", "oz", 90 * 16 * 62.5 / 43560),
    ("sprayer --width-in 222 --mph 5 --gal-min 3.75", "gal_ac", 5940 * 3.75 / 1110),
    ("planter --seeds-ac 100000 --row-in 36", "seeds_per_row_ft", 100000 * 3 / 43560),
]  # fmt: skip


@pytest.mark.parametrize(("line", "key", "want"), ASKED)
def test_quick_questions(line, key, want):
    words = line.split()
    done = CliRunner().invoke(main, ["need", *words, "--json"])
    assert done.exit_code == 0, done.output
    assert json.loads(done.output)[key] == pytest.approx(want)
    assert CliRunner().invoke(main, ["need", *words]).exit_code == 0


@pytest.mark.parametrize(
    "line",
    [
        "lime --acres 1",
        "lime --acres 1 --lab-ton-ac 1 --basis-pct 80",
        "lime --acres 1 --lab-ton-ac 1 --basis ENP --enp-lb-ton 1000",
        "lime --acres 1 --lab-ton-ac 1 --basis CCE --ecce-pct 80",
        "lime --acres 1 --buffer SMP --ph 5 --buffer-ph 6 --target-ph 6.5",
        "lime --acres 1 --lab-ton-ac 1 --cce-pct 90 --passing 10:x",
        "sprayer --width-in 20 --gal-ac 15",
        "spreader --rate-lb-ac 400 --swath-ft 20 --caught-lb 10",
        "spray --acres 1",
    ],
)
def test_quick_questions_refused_in_one_line(line):
    done = CliRunner().invoke(main, ["need", *line.split()])
    assert done.exit_code == 2
    assert "Traceback" not in done.output


def test_spray_above_the_typed_maximum_is_warned_of():
    line = "need spray --acres 1 --rate-lb-ac 3 --max-rate 2"
    assert "above the label maximum" in CliRunner().invoke(main, line.split()).output


def test_every_line_of_the_methods_page_runs():
    from pathlib import Path

    text = (Path(__file__).parents[2] / "docs" / "methods-need.md").read_text(
        encoding="utf-8"
    )
    lines = [
        line.split() for line in text.splitlines() if line.startswith("    quietacre need")
    ]
    assert len(lines) >= 10
    for line in lines:
        done = CliRunner().invoke(main, line[1:])
        assert done.exit_code == 0, (line, done.output)


def test_lime_of_ohio_iowa_and_virginia_is_of_what_was_read_there():
    # Ohio's Country Journal, 2014: tons of material = (lime rate from soil test) x (2000 / ENP)
    asked = SoilTest("t", lime_ton_ac=3.0)
    assert lime_rate(asked, Product("lime", enp_lb_ton=1500.0), "OH").ton_ac == 4.0
    assert lime_rate(asked, Product("lime", ecce_pct=75.0), "OH").ton_ac == 4.0
    assert lime_rate(asked, None, "OH").ton_ac == 3.0
    # SPES-298NP, Virginia Cooperative Extension: 2 tons at CCE 100 % are 2.66 of marl at 75 %
    marl = lime_rate(SoilTest("t", lime_ton_ac=2.0), Product("marl", cce_pct=75.0), "VA")
    assert marl.ton_ac == pytest.approx(2.667, abs=0.001)
    # Iowa's figure is for 6 in.: worked into 3, half of it
    half = SoilTest("t", lime_ton_ac=2.0, lime_depth_in=3.0)
    assert lime_rate(half, Product("lime", ecce_pct=50.0), "IA").ton_ac == 2.0
    for state in ("OH", "VA", "IA", "KS"):
        assert not lime_rate(asked, None, state).doubts
