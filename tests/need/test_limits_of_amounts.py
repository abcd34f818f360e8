"""Where the rules of an amount begin and end: a pound, a day, a tenth of a pH more or less."""

import dataclasses
import datetime as dt
import math
from types import SimpleNamespace

import geopandas as gpd
import pandas as pd
import pytest
import shapely
from scipy import stats

from quietacre import settings as keys
from quietacre.errors import NeedProblem
from quietacre.figures import printed
from quietacre.need import machine
from quietacre.need.before import look_back
from quietacre.need.cover import cover_lines, cover_text
from quietacre.need.exclosure import (
    T_95,
    T_MANY,
    browse,
    cage_ft2,
    cage_lines,
    cages_of_roll,
    clip_lb_ac,
    wire_for_ft2,
)
from quietacre.need.forage import (
    _beside,
    forage_balance,
    how_much,
    published_ranges,
    range_line,
)
from quietacre.need.grade import Grade, grades_with, parse_grade
from quietacre.need.legumes import left_out_text, legume_share
from quietacre.need.lime import fineness_efficiency, lime_parts, lime_rate, mehlich_ton_ac
from quietacre.need.mix_advice import as_companion, mix_advice
from quietacre.need.plan import plan_needs
from quietacre.need.removal import need_from_removal, removal_lines, removed_lb_ac
from quietacre.need.seed import _in_passes, seed_needs
from quietacre.need.seed_rate import live_fraction
from quietacre.need.spray import over_label, tank_plan
from quietacre.need.tables import crops, lime_fineness
from quietacre.need.work import lime_work, spread_work
from quietacre.settings import Mix, NeedLbAc, Product, Seed, SoilTest, Spray

D = dt.date
OATS = Mix("m", (Seed("oats", rate_lb_ac=90.0, basis="bulk"),))
PRODUCTS = (
    Product("34-0-0", bag_lb=50.0, price=19.0), Product("0-0-60", bag_lb=50.0, price=21.0),
)  # fmt: skip


def needs(mix=OATS, test=None, *, acres=2.0, low=2.0, high=2.0, today=None, products=PRODUCTS,
          buying=None, forage=None, **area):  # fmt: skip
    """Return the plan of one plot."""
    test = test or SoilTest("t", need_lb_ac=NeedLbAc(n=60.0))
    prop = keys.Property(
        keys.PropertyInfo("p"), mix=(mix,), soil_test=(test,), product=products, forage=forage,
        area=(keys.Area("field", "plot", "f.gpx", mix="m", **{"soil_test": "t", **area}),),
        buying=buying or keys.Buying(short_pct=0.0),
    )  # fmt: skip
    frame = {"id": ["a01"], "name": ["field"], "kind": ["plot"], "acres": [acres],
             "acres_low": [low], "acres_high": [high]}  # fmt: skip
    areas = gpd.GeoDataFrame(frame, geometry=[shapely.box(0, 0, 1, 1)], crs=4326)
    return plan_needs(areas, prop, today=today)


def notes(plan):
    return {note["code"]: note for note in plan.by_id["a01"]["notes"]}


# ---- cages: Student's t as any table prints it --------------------------------------------------------
def test_student_s_t_is_that_of_the_tables():
    """Two pairs of clippings to thirty-one: half the range is t times the error of the mean."""
    for pairs in range(2, 32):
        inside = [10.0 + n % 3 for n in range(pairs)]
        low, high = browse(inside, [0.0] * pairs, 1.0, 1.0).grown_low_high
        error = stats.sem(inside) * clip_lb_ac(1.0, 1.0, 1.0)
        t = stats.t.ppf(0.975, pairs - 1)
        assert (high - low) / 2 / error == pytest.approx(t, abs=6e-4), pairs


def test_from_thirty_two_pairs_on_the_normal_s_figure_stands():
    assert len(T_95) == 30
    assert pytest.approx(stats.norm.ppf(0.975), abs=5e-4) == T_MANY
    for pairs, t in ((31, T_95[-1]), (32, T_MANY)):
        inside = [10.0 + n % 2 for n in range(pairs)]
        found = browse(inside, [0.0] * pairs, 1.0, 1.0)
        low, high = found.grown_low_high
        spread = stats.sem(inside) * clip_lb_ac(1.0, 1.0, 1.0)
        assert (high - low) / 2 == pytest.approx(t * spread, rel=1e-9)


def test_a_round_cage_by_the_wire_it_takes():
    """A circle of 8 ft round stands on 64 / 4π = 5.09 sq ft; a roll of 50 ft makes six."""
    assert cage_ft2(8.0) == pytest.approx(5.093, abs=1e-3)
    assert wire_for_ft2(cage_ft2(8.0)) == pytest.approx(8.0)
    assert (
        cages_of_roll(50.0, 8.0),
        cages_of_roll(48.0, 8.0),
        cages_of_roll(0.3, 0.1),
    ) == (6, 6, 3)
    lines = [printed(one) for one in cage_lines(8.0, 50.0)]
    assert lines[0] == "a cage of 8 ft of wire stands on 5.09 sq ft; a 50 ft roll makes 6"
    assert (
        sum("yours is under it" in one for one in lines) == 2
    )  # 6 and 16 sq ft are printed
    assert "8.7 ft of wire would do" in " ".join(lines)
    wide = cage_lines(wire_for_ft2(16.0) + 1e-6)
    assert "yours is under it" not in " ".join(wide)
    assert "roll" not in wide[0]
    for call, bad in ((cage_ft2, 0.0), (wire_for_ft2, -1.0), (cage_ft2, math.inf)):
        with pytest.raises(NeedProblem, match="above zero"):
            call(bad)
    for bad in ((0.0, 8.0), (50.0, 0.0)):
        with pytest.raises(NeedProblem):
            cages_of_roll(*bad)


def test_nothing_clipped_and_all_of_it_dry_are_figures_too():
    assert clip_lb_ac(0.0, 4.0, 1.0) == 0.0
    for bad in ((math.inf, 4.0, 1.0), (-0.1, 4.0, 1.0), (1.0, 4.0, 0.0), (1.0, 4.0, 1.01)):
        with pytest.raises(NeedProblem):
            clip_lb_ac(*bad)


# ---- deer to feed ------------------------------------------------------------------------------------
def test_plots_that_give_just_what_is_eaten_are_enough():
    """20 deer at 2 lb for 100 days eat 4,000 lb: 4 ac of 2,000 lb, of which half can be eaten."""
    just = forage_balance(20.0, 2.0, 100.0, 2000.0, 0.5, 4.0)
    assert (just.eaten_lb, just.given_lb, just.balance_lb) == (4000.0, 4000.0, 0.0)
    assert printed(just.text).endswith("= 4,000 lb: enough: 1.00 times what they would eat")
    assert just.deer_days_ac == 500.0
    short = forage_balance(20.0, 2.0, 100.0, 2000.0, 0.5, 3.0)
    assert printed(short.text).endswith("short by 1,000 lb: 1.0 ac more would do")
    bare = forage_balance(20.0, 2.0, 100.0, 2000.0, 1.0, 0.0)
    assert printed(bare.text).endswith("0 lb: 2.0 ac would feed them")
    good = [20.0, 2.0, 100.0, 2000.0, 1.0]
    for place in range(5):
        with pytest.raises(NeedProblem):
            forage_balance(*(0.0 if n == place else v for n, v in enumerate(good)), 4.0)
    with pytest.raises(NeedProblem):
        forage_balance(*good[:4], 1.01, 4.0)


def test_the_share_that_is_planted_stands_beside_what_is_printed():
    row = next(r for r in published_ranges() if r.measure == "share" and r.high)
    verdicts = [_beside(row, share, 200.0).verdict for share in
                (row.low - 0.1, row.low, row.high, row.high + 0.1)]  # fmt: skip
    assert verdicts == ["under", "within", "within", "over"]
    beside = _beside(row, row.low, 200.0)
    assert beside.acres == (row.low * 2, row.high * 2)
    assert range_line(beside).endswith("yours is within it")
    unknown = _beside(row, None, None)
    assert (unknown.acres, unknown.verdict) == (None, None)
    assert "yours" not in range_line(unknown)


def test_how_much_of_the_property_is_planted():
    frame = pd.DataFrame({"kind": ["plot", "plot", "timber"], "acres": [2.0, 3.0, 40.0]})
    told = how_much(frame, 250.0, None)
    assert (told.planted_acres, told.share_pct) == (5.0, 2.0)
    assert "plots are 2.0 % of the 250.0 ac of the property" in map(printed, told.text)
    assert how_much(frame, None, None).share_pct is None
    clips = keys.Clips(inside_g=(10.0,), outside_g=(5.0,), area_ft2=10.0, dry_frac=1.0)
    forage = keys.Forage(20.0, 2.0, 100.0, 0.5, clips=clips)
    grown = clip_lb_ac(10.0, 10.0, 1.0)
    assert how_much(frame, 250.0, forage).forage.given_lb == pytest.approx(
        grown * 0.5 * 5.0
    )
    with pytest.raises(NeedProblem, match="figures above zero"):
        how_much(frame, 250.0, dataclasses.replace(forage, clips=None))
    typed = dataclasses.replace(forage, yield_lb_ac=900.0)
    assert how_much(frame, 250.0, typed).forage.given_lb == pytest.approx(900 * 0.5 * 5.0)


# ---- grades ------------------------------------------------------------------------------------------
def test_a_grade_holds_a_hundred_percent_at_most():
    assert parse_grade("34-33-33") == pytest.approx((0.34, 0.33, 0.33, 0.0))
    assert sum(parse_grade("20-20-40-20S")) == pytest.approx(1.0)
    for bad in ("34-33-34", "20-20-40-21S"):
        with pytest.raises(NeedProblem, match="more than 100 %"):
            parse_grade(bad)


def test_a_bag_without_a_price_counts_forty_cents_a_pound_or_what_is_assumed():
    bag = Grade("34-0-0", 0.34, 0.0, 0.0, bag_lb=40.0)
    assert bag.counts == pytest.approx(16.0)
    assert dataclasses.replace(bag, assumed=21.0).counts == 21.0
    assert dataclasses.replace(bag, assumed=21.0, price=0.0).counts == 0.0


def test_grades_that_bring_phosphate_and_no_nitrogen():
    found = grades_with("p2o5", ["n"])
    assert "0-46-0" in found
    assert all(text.startswith("0-") and text.split("-")[1] != "0" for text in found)
    assert "18-46-0" in grades_with("p2o5", [])


# ---- hauled off: "Nutrient removal", as printed for a ton of grass hay and 150 bushels of corn --------
def test_what_two_tons_of_hay_carry_off_and_cattle_keep():
    """50-10-45 lb a ton; of it cattle keep 25, 20 and 15 in a hundred."""
    off = removed_lb_ac("hay", ton_ac=2.0)
    assert off == {"n": (100.0, 100.0), "p2o5": (20.0, 20.0), "k2o": (90.0, 90.0)}
    assert need_from_removal("hay", ton_ac=2.0) == {"n": 100.0, "p2o5": 20.0, "k2o": 90.0}
    lines = [printed(one) for one in removal_lines("hay", off)]
    assert lines[0].startswith(
        "hauled off with hay: 100 lb/ac N, 20 lb/ac P₂O₅, 90 lb/ac K₂O ("
    )
    assert "which here is 25 lb/ac N, 4 lb/ac P₂O₅, 14 lb/ac K₂O" in lines[-2]
    assert not any("not printed" in one or "legume" in one for one in lines)


def test_a_legume_s_nitrogen_is_its_own_and_what_is_not_printed_is_none():
    assert need_from_removal("alfalfa hay", ton_ac=2.0) == {
        "n": 0.0,
        "p2o5": 28.0,
        "k2o": 110.0,
    }
    ohio = removed_lb_ac("alfalfa hay (Ohio)", ton_ac=1.0)
    assert ohio["n"] is None
    lines = removal_lines("alfalfa hay (Ohio)", ohio)
    assert "not printed there: N" in lines
    assert "a legume: the nitrogen is its own, none is put back" in lines
    corn = removed_lb_ac("corn grain", bu_ac=100.0)
    assert corn["n"] == pytest.approx((90.0, 90.0))
    close = removal_lines("hay", {"n": (100.0, 100.4), "p2o5": (20.0, 20.6), "k2o": None})
    assert "100 lb/ac N, 20-21 lb/ac P₂O₅ (" in printed(close[0])


# ---- seed --------------------------------------------------------------------------------------------
def lines_of(*sized):
    """Return lines of seed with (least depth, most depth, seeds a pound)."""
    rows, _ = seed_needs(
        Mix("m", (Seed("oats", rate_lb_ac=1.0, basis="bulk"),) * len(sized)), 1, 1, 1
    )
    return [
        dataclasses.replace(row, crop=f"c{n}", depth_in=(low, high), seeds_per_lb=count)
        for n, (row, (low, high, count)) in enumerate(zip(rows, sized, strict=True))
    ]


@pytest.mark.parametrize(
    ("second", "passes"),
    [
        ((0.5, 1.0, 8_000.0), [1, 1]),  # eight times as fine, and no finer
        ((0.5, 1.0, 8_001.0), [1, 2]),
        ((0.25, 0.5, 1_000.0), [1, 1]),  # depths that touch
        ((0.25, 0.49, 1_000.0), [1, 2]),
    ],
)
def test_seed_shares_a_pass_while_sizes_and_depths_are_alike(second, passes):
    rows, said = _in_passes(lines_of((0.5, 1.0, 1_000.0), second))
    assert [row.pass_ for row in rows] == passes
    assert [one.code for one in said] == (["separate-passes"] if passes[1] == 2 else [])


def test_the_deepest_and_biggest_seed_goes_first_and_each_pass_is_named():
    rows, (said,) = _in_passes(
        lines_of((0.0, 0.25, 100_000.0), (1.0, 2.0, 1_000.0), (1.0, 1.5, 2_000.0))
    )
    assert [row.pass_ for row in rows] == [2, 1, 1]
    assert printed(said.text).endswith("1. c1, c2 at 1-1.5 in.; 2. c0 at 0-0.25 in.")


def test_a_crop_of_ones_own_with_its_count_and_no_depth_goes_out_in_the_first_pass():
    mix = Mix(
        "m",
        (Seed("own grass", rate_lb_ac=9.0, seeds_per_lb=40_000.0), Seed("oats", share=0.5)),
    )
    rows, said = seed_needs(mix, 1, 1, 1)
    assert [row.pass_ for row in rows] == [1, 1]
    assert rows[0].seeds_ft2 == pytest.approx(9 * 40_000 / 43_560)
    assert "separate-passes" not in [one.code for one in said]


@pytest.mark.parametrize(
    ("depth", "how"),
    [((0.0, 0.25), "roll or cultipack, do not disk, 0-0.25 in."),
     ((0.25, 0.26), "drag lightly, then roll, 0.25-0.26 in."),
     ((0.75, 0.75), "drag lightly, then roll, 0.75 in."), ((0.5, 0.8), "disk lightly or drag in, 0.5-0.8 in.")],
)  # fmt: skip
def test_seed_on_top_is_covered_by_its_depth(depth, how):
    assert printed(cover_text(depth)) == how


def test_each_pass_is_covered_where_all_its_seed_lies():
    def row(number, crop, depth, method="broadcast"):
        return SimpleNamespace(pass_=number, crop=crop, depth_in=depth, method=method)

    one = [row(1, "oats", (1.0, 2.0)), row(1, "wheat", (0.5, 1.5))]
    assert [printed(text) for text in cover_lines(one)] == [
        "cover: disk lightly or drag in, 1-1.5 in. (common practice)"
    ]
    two = [
        *one,
        row(2, "clover", (0.0, 0.25)),
        row(3, "corn", (1.0, 2.0), "drill"),
        row(3, "own", None),
    ]
    (line,) = cover_lines(two)
    assert printed(line).startswith(
        "cover: oats, wheat disk lightly or drag in, 1-1.5 in.; clover roll"
    )
    assert cover_lines(two[3:]) == []


def test_live_seed_is_purity_times_what_comes_up_less_the_coating():
    assert live_fraction(0.98, 0.8, 0.1, 0.34) == pytest.approx(0.98 * 0.9 * 0.66)
    assert live_fraction(None, None) == live_fraction(1.0, 0.6, 0.4) == 1.0
    assert live_fraction(None, 0.8, 0.0, 0.34) == pytest.approx(0.8 * 0.66)
    for bad in (
        (1.1, 0.9),
        (0.9, -0.1),
        (0.9, 0.6, 0.5),
        (0.9, 0.9, 0.0, 1.1),
        (0.9, 0.0),
        (0.9, 0.9, 0.0, 1.0),
    ):
        with pytest.raises(NeedProblem):
            live_fraction(*bad)


@pytest.mark.parametrize(
    ("purity", "live"),
    [(0.653, 0.653), (0.66, 0.66), (0.661, 0.661 * 0.66), (0.985, 0.985 * 0.66)],
)
def test_a_coating_that_the_tag_has_taken_off_is_not_taken_off_again(purity, live):
    """Purity procedures for coated seed, 7 CFR 201.51b (f), USDA AMS, 1994: the coating is
    inert matter, and every part is a percentage of the sample as it came, so a tag's 65.3 %
    pure, 34 % coating and 0.7 % other make 100."""
    assert live_fraction(purity, 0.85, 0.0, 0.34) == pytest.approx(0.85 * live)
    seed = Seed("crimson clover", rate_lb_ac=5.0, basis="pls", purity=purity, germination=0.85, coating=0.34)  # fmt: skip
    (row,), _ = seed_needs(Mix("m", (seed,)), 1, 1, 1)
    assert row.bulk_lb_ac == pytest.approx(5 / (0.85 * live))
    text = printed(str(said_of(seed)["coated-seed"].text))
    assert f"{row.bulk_lb_ac:.1f} lb/ac with the coating counted off" in text
    assert f"{0.66 * row.bulk_lb_ac:.1f} lb/ac at the same bulk rate" in text
    assert ("leaves the coating out already" in text) is (purity <= 0.66)
    assert ("come to more than the bag" in text) is (purity > 0.66)


def said_of(*seeds, method="broadcast"):
    return {one.code: one for one in seed_needs(Mix("m", seeds, method), 1, 1, 1)[1]}


def test_a_rate_at_the_end_of_what_is_printed_is_within_it():
    low, high = crops()["oats"].range_lb_ac["broadcast"]
    for rate, off in (
        (low, None),
        (high, None),
        (low - 0.2, "under"),
        (high + 0.2, "over"),
    ):
        said = said_of(Seed("oats", rate_lb_ac=rate, basis="bulk")).get(
            "rate-outside-range"
        )
        assert (
            (said is None)
            if off is None
            else f"is {off} the {low:g}-{high:g} lb/ac" in printed(said.text)
        )


def test_a_rate_of_ones_own_is_doubted_where_none_was_read_for_that_way():
    assert "not-that-way" not in said_of(Seed("oats", rate_lb_ac=90.0, basis="bulk"))
    assert "not-that-way" in said_of(Seed("forage sorghum", rate_lb_ac=7.0, basis="bulk"))
    unknown = said_of(Seed("own grass", rate_lb_ac=9.0))
    assert set(unknown) == {"crop-not-in-table"}
    counted = said_of(Seed("own grass", seeds_ft2=30.0, seeds_per_lb=40_000.0))
    assert "crop-not-in-table" in counted
    assert "seed-count-of-the-table" not in counted
    known = said_of(Seed("oats", seeds_ft2=30.0))
    assert "crop-not-in-table" not in known
    assert known["seed-count-of-the-table"].level == "warning"


def test_a_share_is_of_the_full_rate_and_all_of_it_where_none_is_said():
    full = crops()["oats"].rate_lb_ac("broadcast")
    (half,), _ = seed_needs(
        Mix("m", (Seed("oats", share=0.5, basis="bulk"),)), 2.0, 1.9, 2.1
    )
    assert half.rate_lb_ac == pytest.approx(full / 2)
    assert (half.lb, half.lb_low, half.lb_high) == pytest.approx(
        (full, 0.95 * full, 1.05 * full)
    )
    (whole,), _ = seed_needs(Mix("m", (Seed("oats", basis="bulk"),)), 1, 1, 1)
    assert whole.rate_lb_ac == pytest.approx(full)


@pytest.mark.parametrize(("germination", "level"), [(0.96, "caution"), (0.95, "warning")])
def test_live_seed_poured_as_it_is_matters_from_a_twentieth_on(germination, level):
    """Alfalfa's rate is printed as live seed: of 95 in a hundred 5.3 percent more are to be poured."""
    seed = Seed("alfalfa", share=1.0, basis="bulk", purity=1.0, germination=germination)
    assert said_of(seed, method="drill")["live-rate-poured-as-bulk"].level == level


# ---- clover and grain ----------------------------------------------------------------------------------
def advice(grain_share, *, test=None, grain="oats"):
    mix = Mix("m", (Seed("crimson clover", share=0.5), Seed(grain, share=grain_share)))
    full = crops()[grain].rate_lb_ac("broadcast")
    rates = {"crimson clover": 10.0, grain: grain_share * full}
    return {one[0]: one for one in mix_advice(mix, crops(), rates, test)}, full


def test_a_rate_that_is_printed_as_one_figure_is_told_as_one():
    """Mississippi's Deer Lab prints 90 lb/ac of oats, drilled."""
    mix = Mix("m", (Seed("oats", rate_lb_ac=300.0, basis="bulk"),), "drill")
    (text,) = (
        one.text for one in seed_needs(mix, 2, 2, 2)[1] if one.code == "rate-outside-range"
    )
    assert "is over the 90 lb/ac printed for it alone, drill" in printed(text)


def test_a_grain_beside_clover_is_told_thinner_above_half_of_its_rate():
    assert "companion-grain" not in advice(0.5)[0]
    told, full = advice(0.6)
    text = printed(told["companion-grain"][1])
    assert f"{0.6 * full:.0f} lb/ac is 60 % of its full rate" in text
    assert f"a third to a half of it, {full / 3:.0f}-{full / 2:.0f} lb/ac here" in text
    mix = Mix("m", (Seed("crimson clover"), Seed("oats")))
    oats = crops()["oats"]
    assert as_companion(mix, "oats", oats, full / 3)
    assert not as_companion(mix, "oats", oats, full / 3 - 0.5)
    assert not as_companion(Mix("m", (Seed("oats"),)), "oats", oats, full)
    assert not as_companion(mix, "crimson clover", crops()["crimson clover"], 10.0)


def test_brassicas_are_fed_again_where_they_are_eaten_down():
    """As printed: Penn State's 70 lb/ac after 60 to 80 days; canola's 10 to 20 of sulfur; 10 to 15."""
    mix = Mix("m", (Seed("rape (forage)", share=1.0),))
    bare = SoilTest("t", need_lb_ac=NeedLbAc(n=60.0))
    told = {
        one[0]: printed(one[1])
        for one in mix_advice(mix, crops(), {"rape (forage)": 4.0}, bare)
    }
    assert (
        "70 lb/ac more of nitrogen 60 to 80 days after seeding" in told["brassica-nitrogen"]
    )
    assert "at least 10-20 lb/ac is printed" in told["brassica-sulfur"]
    assert "and 10-15 lb/ac for any crop" in told["brassica-sulfur"]
    for test in (
        None,
        SoilTest("t", need_lb_ac=NeedLbAc(s=10.0)),
        SoilTest("t", lime_ton_ac=1.0),
    ):
        codes = {one[0] for one in mix_advice(mix, crops(), {"rape (forage)": 4.0}, test)}
        assert "brassica-sulfur" not in codes


def test_three_tenths_of_legumes_are_fed_and_more_are_not():
    for share, fed in ((0.30, True), (0.31, False)):
        mix = Mix("m", (Seed("crimson clover", share=share), Seed("oats", share=1 - share)))
        assert legume_share(mix, crops()) == pytest.approx(share)
        plan = needs(mix)
        assert (plan.by_id["a01"]["given_lb_ac"]["n"] > 59) is fed
        assert ("nitrogen-on-legumes" in notes(plan)) is fed
    assert "nitrogen-on-legumes" not in notes(needs())
    clover = Mix("m", (Seed("crimson clover", share=0.3), Seed("oats", share=0.7)))
    potash = needs(clover, SoilTest("t", need_lb_ac=NeedLbAc(k2o=60.0)))
    assert "nitrogen-on-legumes" not in notes(potash)
    # a crop that nobody knows is sown in full, seeds by count against those of the full rate
    own = Mix("m", (Seed("crimson clover", share=0.5), Seed("own grass", rate_lb_ac=9.0)))
    assert legume_share(own, crops()) == pytest.approx(1 / 3)
    wheat = crops()["wheat"]
    full = wheat.rate_lb_ac("broadcast") * 12_000 / 43_560
    count = Mix(
        "m",
        (
            Seed("crimson clover", share=0.5),
            Seed("wheat", seeds_ft2=full / 4, seeds_per_lb=12_000.0),
        ),
    )
    assert legume_share(count, crops()) == pytest.approx(2 / 3)


def test_what_a_grain_is_offered_later_is_its_part_to_five_pounds():
    text = printed(left_out_text(60.0, 0.4, ["oats", "wheat"]))
    assert "60 lb/ac are left out: 40 % of this mix is legume" in text
    assert "to feed the oats and wheat once up, put 35 lb/ac under" in text
    assert "over 30 % nitrogen feeds grass" in text
    assert "left out: 96 % of this mix" in left_out_text(60.0, 0.96)
    assert "once up" not in left_out_text(60.0, 1.0)


# ---- what is asked of a test --------------------------------------------------------------------------
def test_what_is_kept_for_later_is_of_nitrogen_alone():
    plan = needs(topdress_n_lb_ac=40.0)
    row = plan.by_id["a01"]
    assert "need-not-met" not in notes(plan)
    assert row["asked_lb_ac"] == {"n": 60.0, "p2o5": 0.0, "k2o": 0.0, "s": 0.0}
    assert {one["when"]: round(one["n_lb_ac"]) for one in row["fertilizer"]} == {
        "planting": 20, "top-dressing": 40,
    }  # fmt: skip
    assert "topdress-cut" not in notes(needs(topdress_n_lb_ac=60.0))
    cut = notes(needs(topdress_n_lb_ac=70.0))["topdress-cut"]["text"]
    assert "70 lb/ac of nitrogen was to be top-dressed, but only 60 is called for" in cut


def test_legumes_alone_are_told_of_the_nitrogen_that_is_left_out():
    clover = Mix("m", (Seed("crimson clover", share=1.0),))
    told = notes(needs(clover))
    assert (
        "the 60 lb/ac of nitrogen asked for is left out"
        in told["legume-no-nitrogen"]["text"]
    )
    assert "no-nitrogen-before-legumes" not in told
    assert needs(clover).by_id["a01"]["asked_lb_ac"]["n"] == 0.0
    half = needs(Mix("m", (Seed("crimson clover", share=0.5), Seed("oats", share=0.5))))
    assert half.by_id["a01"]["asked_lb_ac"]["n"] == 0.0
    assert half.by_id["a01"]["left_out_n_lb_ac"] == 60.0
    none = needs(clover, SoilTest("t", need_lb_ac=NeedLbAc(k2o=60.0)))
    assert "legume-no-nitrogen" not in notes(none)
    assert none.by_id["a01"]["given_lb_ac"]["k2o"] == pytest.approx(60.0, abs=0.1)


def test_an_old_test_is_told_after_two_years_and_warned_of_after_three():
    for days, level in (
        (730, None),
        (731, "caution"),
        (1095, "caution"),
        (1096, "warning"),
    ):
        test = SoilTest(
            "t", on=D(2027, 6, 1) - dt.timedelta(days=days), need_lb_ac=NeedLbAc(n=60.0)
        )
        note = notes(needs(test=test, today=D(2027, 6, 1))).get("old-soil-test")
        assert (note and note["level"]) == level, days
    later = needs(test=SoilTest("t", on=D(2025, 1, 1), need_lb_ac=NeedLbAc(n=60.0)), today=D(2026, 6, 1),
                  plant=D(2027, 9, 25))  # fmt: skip
    assert "2.7 years old at planting" in notes(later)["old-soil-test"]["text"]


def test_a_soil_at_its_crop_s_least_ph_is_sour_enough_for_nobody():
    least = crops()["oats"].ph_min
    asks = {"need_lb_ac": NeedLbAc(n=60.0)}
    assert "ph-too-low" not in notes(needs(test=SoilTest("t", ph=least, **asks)))
    low = notes(needs(test=SoilTest("t", ph=least - 0.1, lime_ton_ac=0.0, **asks)))[
        "ph-too-low"
    ]
    assert f"oats wants {least:g} at least" in low["text"]
    assert "this test asks for none" in low["text"]
    limed = notes(needs(test=SoilTest("t", ph=least - 0.1, lime_ton_ac=1.0, **asks)))[
        "ph-too-low"
    ]
    assert "as this test asks" in limed["text"]


# ---- what stood before -------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("plant", "told"),
    [
        (D(2026, 8, 31), False),
        (D(2026, 9, 1), True),
        (D(2027, 1, 1), True),
        (D(2027, 9, 1), True),
        (D(2027, 9, 2), False),
    ],
)
def test_a_green_manure_counts_for_a_year_from_its_month(plant, told):
    line = ["2026: crimson clover turned under in September"]
    assert ("green-manure" in [one[0] for one in look_back(["oats"], line, plant)]) is told


def test_a_green_manure_of_no_month_is_taken_for_december_s():
    line = ["2026: crimson clover turned under"]
    for plant, told in (
        (D(2026, 11, 30), False),
        (D(2027, 12, 1), True),
        (D(2027, 12, 2), False),
    ):
        codes = [one[0] for one in look_back(["oats"], line, plant)]
        assert ("green-manure" in codes) is told, plant


def test_brassicas_of_two_years_ago_are_too_soon_and_of_three_are_not():
    for year, told in ((2025, True), (2024, False)):
        found = list(look_back(["rape (forage)"], [f"{year}: rape"], D(2027, 9, 1)))
        assert bool(found) is told
    text = next(look_back(["rape (forage)"], ["2025: rape", "2026: rape"], D(2027, 9, 1)))[
        1
    ]
    assert "in 2025 and 2026" in text
    assert "for 2 to 4 years" in text


# ---- lime ----------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("ton_ac", "parts"),
    [
        (2.1, (2.1,)),
        (2.12, (2.0, 0.12)),
        (4.1, (2.0, 2.1)),
        (4.11, (2.0, 2.0, 0.11)),
        (6.0, (2.0,) * 3),
    ],
)
def test_a_twentieth_of_two_tons_goes_on_with_what_comes_before(ton_ac, parts):
    assert lime_parts(ton_ac, worked_in=False) == pytest.approx(parts)


def lime(test, product=None, state=None):
    return lime_rate(SoilTest("t", **test), product, state)


def test_a_lime_at_what_its_state_asks_is_not_weak():
    asked = {"lime_basis": "CCE", "lime_ton_ac": 1.0}
    assert lime(asked, Product("lime", cce_pct=80.0), "KY").warnings == ()
    (weak,) = lime(asked, Product("lime", cce_pct=79.0), "KY").warnings
    assert "CCE 79 % is under the 80 % that KY asks of lime sold there" in weak


def test_pounds_of_lime_are_tons_and_a_deeper_slice_takes_more():
    plain = {"lime_lb_ac": 3000.0, "lime_basis": "ECCE", "lime_basis_pct": 100.0}
    found = lime(plain, Product("lime-ag", ecce_pct=75.0))
    assert found.ton_ac == pytest.approx(2.0)
    assert found.basis == "ECCE 100 %"
    assert (
        printed(found.text) == "laboratory: 1.5 ton/ac at ECCE 100 %; product at ECCE 75 %"
    )
    deep = lime(
        {**plain, "lime_basis_depth_in": 6.0, "lime_depth_in": 9.0},
        Product("lime-ag", ecce_pct=75.0),
    )
    assert deep.ton_ac == pytest.approx(3.0)
    assert deep.parts_ton_ac == (pytest.approx(3.0),)
    assert "mixed 9 in. of 6" in printed(deep.text)
    assert lime({"lime_ton_ac": 0.0, "lime_basis": "ECCE"}) is None
    assert lime({}) is None


def test_the_depth_that_is_written_stands_before_the_laboratorys():
    """South Carolina's laboratory reports for 8 inches, Indiana's for 8 inches of 90 % CCE."""
    mixed = {"lime_ton_ac": 1.0, "lime_depth_in": 6.0}
    assert lime(mixed, None, "SC").ton_ac == pytest.approx(0.75)
    own = lime({**mixed, "lime_basis_depth_in": 6.0}, None, "SC")
    assert own.ton_ac == 1.0
    # a basis of one's own is no longer the laboratory's, nor is its depth
    named = lime({**mixed, "lime_basis": "CCE"}, Product("lime", cce_pct=100.0), "IN")
    assert named.ton_ac == 1.0
    whole = lime({"lime_ton_ac": 1.0}, None, "SC")
    assert whole.ton_ac == 1.0
    assert "mixed" not in whole.text


def test_pounds_of_effective_lime_are_set_against_the_products_own():
    """2,000 lb of ENP an acre from lime of 1,600 lb a ton: 1.25 tons."""
    asked = {"lime_lb_ac": 2000.0, "lime_basis": "ENP"}
    found = lime(asked, Product("lime-ag", enp_lb_ton=1600.0))
    assert found.ton_ac == pytest.approx(1.25)
    assert (
        printed(found.text) == "laboratory: 2,000 lb ENP/ac; product at 1600 lb ENP a ton"
    )
    with pytest.raises(NeedProblem, match="no lime listed says its ENP"):
        lime(asked, None)
    # Ohio's tons are of 2,000 lb ENP; a ticket in percent says the same pounds
    assert lime(
        {"lime_ton_ac": 1.0}, Product("lime", ecce_pct=80.0), "OH"
    ).ton_ac == pytest.approx(1.25)
    assert lime(
        {"lime_ton_ac": 1.0}, Product("lime", enp_lb_ton=1600.0), "OH"
    ).ton_ac == pytest.approx(1.25)


def test_a_lime_by_its_ticket_is_value_times_fineness():
    state = min(lime_fineness())
    passing = tuple(
        (mesh, 90.0 - 10 * n) for n, mesh in enumerate(sorted(lime_fineness()[state]))
    )
    share = fineness_efficiency(dict(passing), state)
    found = lime(
        {"lime_ton_ac": 1.0, "lime_basis": "ECCE"},
        Product("lime", cce_pct=90.0, passing_pct=passing),
        state,
    )
    assert found.ton_ac == pytest.approx(1.0 / (0.9 * share))
    dust = tuple((mesh, 0.0) for mesh, _ in passing)
    with pytest.raises(NeedProblem, match="too coarse"):
        lime(
            {"lime_ton_ac": 1.0, "lime_basis": "ECCE"},
            Product("lime", cce_pct=90.0, passing_pct=dust),
            state,
        )
    with pytest.raises(NeedProblem, match="is not given"):
        fineness_efficiency(dict(passing[1:]), state)
    with pytest.raises(NeedProblem, match="no fineness weights of XX"):
        fineness_efficiency(dict(passing), "XX")
    level = dict.fromkeys((mesh for mesh, _ in passing), 70.0)
    assert fineness_efficiency(level, state) == pytest.approx(
        0.7 * max(lime_fineness()[state].values())
    )


def test_a_lime_of_no_quality_is_taken_as_the_laboratorys_and_doubted():
    found = lime(
        {"lime_ton_ac": 1.5, "lime_basis": "CCE", "lime_basis_pct": 90.0},
        Product("lime-ag"),
    )
    assert found.ton_ac == 1.5
    assert any("the CCE of lime-ag is not given" in text for text in found.doubts)
    assert found.text.endswith(
        "product's quality not given: taken as the laboratory's basis"
    )
    pure = lime({"lime_ton_ac": 1.5, "lime_basis": "pure"}, Product("lime-ag"))
    assert pure.basis == "pure CaCO₃"
    assert any(
        "the effective value of lime-ag is not given" in text for text in pure.doubts
    )
    assert lime({"lime_ton_ac": 1.5, "lime_basis": "pure"}).doubts == ()


def test_a_soil_at_the_buffers_own_ph_asks_for_nothing():
    mehlich = {"buffer": "Mehlich", "ph": 5.5, "buffer_ph": 6.2, "target_ph": 6.5}
    assert lime(mehlich, None, "NC").ton_ac == pytest.approx(1.6 / 1.1)
    assert lime({**mehlich, "buffer_ph": 6.6}, None, "NC") is None
    little = lime({**mehlich, "buffer_ph": 6.55}, None, "NC")
    assert little.ton_ac == pytest.approx(0.2 / 1.1)
    assert "Mehlich buffer (North Carolina): 0.182 ton/ac at ECCE 100 %" in printed(
        little.text
    )
    assert mehlich_ton_ac(5.5, 6.6, 6.6) == 0.0
    # a ton of three months ago: 8 or 16 percent of it are gone each month
    for soil, left in (("mineral", 0.76), ("mineral-organic", 0.52), ("organic", 0.52)):
        less = mehlich_ton_ac(5.5, 6.2, 6.5, last_ton_ac=1.0, last_months=3.0, soil=soil)
        assert less == pytest.approx(1.6 / 1.1 - left)
    with pytest.raises(NeedProblem, match="ph, buffer_ph and target_ph"):
        lime({**mehlich, "target_ph": None})


# ---- machines, sprays, loads -----------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("asked", "good"),
    [
        (machine.lb_on_area, (90.0, 1000.0)), (machine.rate_from_catch_lb_ac, (2.0, 20.0, 50.0)),
        (machine.course_ft, (20.0, 1000.0)), (machine.ft_per_bag, (50.0, 90.0, 20.0)),
        (machine.passes, (200.0, 20.0)), (machine.course_128_ft, (20.0,)),
        (machine.caught_gal_ac, (15.0, 200.0, 20.0)), (machine.capacity_ac_hr, (10.0, 5.0, 0.7)),
        (machine.spray_gal_ac, (0.3, 4.0, 20.0)), (machine.nozzle_gal_min, (15.0, 4.0, 20.0)),
        (machine.seeds_per_row_ft, (26_136.0, 30.0)), (machine.drill_oz_per_row, (90.0, 7.5, 100.0)),
    ],
    ids=lambda one: getattr(one, "__name__", ""),
)  # fmt: skip
def test_no_machine_is_set_by_nothing_or_without_end(asked, good):
    assert asked(*good) > 0
    for place in range(len(good)):
        for bad in (0.0, -1.0, math.inf):
            with pytest.raises(NeedProblem, match="above zero"):
                asked(*(bad if n == place else figure for n, figure in enumerate(good)))


def test_fifty_pounds_an_acre_are_thrown_evenly_and_less_are_not():
    assert machine.thin_text("0-0-60", {"0-0-60": 50.0, "34-0-0": 90.0}) == ""
    thin = machine.thin_text("0-0-60", {"0-0-60": 49.0, "34-0-0": 90.0, "13-13-13": 60.0})
    assert printed(thin).endswith("blend it with 34-0-0 and spread 139 lb/ac in one pass")
    assert machine.thin_text("0-0-60", {"0-0-60": 49.0}).endswith(
        "ask the store for a blend"
    )


def test_tanks_that_come_out_even_leave_none_to_fill():
    """10 gal/ac on 5 acres are two tanks of 25; on 5.5 acres a last one of 5 gal."""
    jug = Spray("jug", "foliar feed", rate_fl_oz_ac=32.0)
    even = tank_plan(jug, 5.0, 25.0, 10.0)
    assert (even.loads_full, even.last_load_gal, even.loads) == (2, 0.0, 2)
    assert (even.product, even.product_per_load, even.product_last_load) == (
        160.0,
        80.0,
        0.0,
    )
    more = tank_plan(jug, 5.5, 25.0, 10.0)
    assert (more.gal, more.last_load_gal, more.loads) == (55.0, 5.0, 3)
    assert more.product_last_load == pytest.approx(16.0)
    own = tank_plan(dataclasses.replace(jug, spray_gal_ac=20.0), 5.0, 25.0, 10.0)
    assert own.gal == 100.0
    share = tank_plan(Spray("mix", "spot spray", rate_pct_volume=2.0), 5.0, 25.0, 10.0)
    assert share.product == pytest.approx(50 * 128 * 0.02)
    none = tank_plan(jug, 0.0, 25.0, 10.0)
    assert (none.loads, none.product_per_load, none.product_last_load) == (0, 0.0, 0.0)
    for bad in (Spray("x", "spot spray"), dataclasses.replace(jug, rate_lb_ac=1.0)):
        with pytest.raises(NeedProblem, match="label rate"):
            tank_plan(bad, 1.0, 25.0, 10.0)


def test_a_rate_at_the_typed_most_is_allowed():
    jug = Spray("jug", "foliar feed", rate_fl_oz_ac=32.0, max_rate_fl_oz_ac=32.0)
    assert over_label(jug) is None
    text = printed(over_label(dataclasses.replace(jug, rate_fl_oz_ac=32.5)))
    assert "set to 32.5 fl oz/ac, above the label maximum you typed (32)" in text
    assert over_label(dataclasses.replace(jug, max_rate_fl_oz_ac=None)) is None


def test_ten_loads_of_lime_are_hauled_and_eleven_ask_for_a_truck():
    gear = keys.Equipment()
    assert lime_work(2.0, 4000.0, gear, None).note == ""
    eleven = lime_work(2.0, 4001.0, gear, None)
    assert "4,001 lb of lime are 11 loads of 400 lb" in printed(eleven.note)
    assert f"{eleven.minutes / 60:.1f} hours" in eleven.note
    assert spread_work(2.0, [300.0], gear).text == ""
    assert spread_work(2.0, [300.0, 500.0], gear).text == "2 passes, 3 loads"


# ---- what stays short or goes over -----------------------------------------------------------------------
def test_half_a_pound_short_is_not_worth_a_word_and_a_pound_over_neither():
    """Two acres at 60 lb of nitrogen, a bag of 17 lb: seven bags are 119 lb of the 120."""
    few = (Product("34-0-0", bag_lb=50.0, price=19.0, max_bags=7),)
    unmet = needs(products=few).by_id["a01"]["unmet"]
    assert [(one["nutrient"], one["lb"]) for one in unmet] == [
        ("n", pytest.approx(1.0, abs=0.01))
    ]
    hair = needs(test=SoilTest("t", need_lb_ac=NeedLbAc(n=59.7)), products=few)
    assert "need-not-met" not in notes(hair)


def test_what_more_goes_on_than_is_asked_is_told_above_a_pound_an_acre():
    """13-13-13 for 60 lb of phosphate alone brings as much nitrogen and potash."""
    both = (Product("13-13-13", bag_lb=50.0, price=17.0),)
    asked = SoilTest("t", need_lb_ac=NeedLbAc(n=58.0, p2o5=60.0, k2o=59.5))
    row = needs(test=asked, products=both).by_id["a01"]
    assert row["surplus_lb_ac"] == pytest.approx(
        {"n": 2.0, "p2o5": 0.0, "k2o": 0.5}, abs=0.01
    )
    (note,) = [one["text"] for one in row["notes"] if one["code"] == "surplus"]
    assert "more than asked: 2 lb/ac of N; 50 % or 10 lb/ac more is allowed" in note


def test_amounts_of_the_low_and_the_high_acres_follow_them():
    row = needs(low=1.5, high=3.0).by_id["a01"]
    (line,) = row["fertilizer"]
    assert (line["lb_low"], line["lb_high"]) == pytest.approx(
        (0.75 * line["lb"], 1.5 * line["lb"])
    )
    assert line["bags_exact"] == pytest.approx(line["lb"] / 50.0)
    assert line["lb_ac"] == pytest.approx(60 / 0.34, abs=0.1)
    assert row["cost_ac"] == pytest.approx(row["cost"] / 2.0)


# ---- what is said of a sowing ------------------------------------------------------------------------------
def test_grain_on_top_of_the_ground_may_be_bait_and_drilled_grain_or_clover_is_not():
    def codes(crop, method="broadcast", **more):
        return notes(
            needs(Mix("m", (Seed(crop, rate_lb_ac=20.0, basis="bulk"),), method), **more)
        )

    assert codes("oats")["baiting-law"]["level"] == "info"
    assert "baiting-law" not in codes("oats", "drill")
    assert "baiting-law" not in codes("crimson clover")
    spreads = codes("chicory")["noxious-seed"]
    assert spreads["level"] == "caution"
    assert "chicory: it can escape" in spreads["text"]
    assert "salt-and-seed" in codes("oats", "drill")
    assert "salt-and-seed" not in codes("oats")


def test_what_is_short_by_choice_is_a_warning_above_a_twentieth():
    """Nitrogen of 60 lb an acre may stay 5 percent short, three pounds, or six."""
    for pct, level in ((3.0, "caution"), (5.0, "caution"), (6.0, "warning")):
        plan = needs(buying=keys.Buying(short_pct=pct), acres=20.0)
        note = notes(plan)["left-short"]
        assert note["level"] == level
        assert f"by up to the {pct:g} % of your choice" in note["text"]
        (row,) = plan.by_id["a01"]["left_short"]
        assert row["asked_lb"] == pytest.approx(1200.0)
        assert row["lb"] == pytest.approx(1200 * pct / 100, abs=18)
    assert "left-short" not in notes(needs())


def test_a_grain_fed_all_at_once_is_told_of_top_dressing():
    assert (
        "all 60 lb/ac of nitrogen go on"
        in notes(needs())["nitrogen-before-planting"]["text"]
    )
    little = needs(test=SoilTest("t", need_lb_ac=NeedLbAc(k2o=60.0)))
    assert "nitrogen-before-planting" not in notes(little)
    assert "nitrogen-before-planting" not in notes(needs(topdress_n_lb_ac=20.0))


def test_a_place_without_tests_is_fed_by_no_figure_and_says_so():
    none = needs(soil_test=None, fertilizer="soil test")
    assert "no-soil-test" in notes(none)
    assert none.by_id["a01"]["fertilizer"] == []
    silent = needs(soil_test=None)
    assert "no-soil-test" not in notes(silent)


def test_hauling_off_is_told_beside_a_soil_test_and_feeds_without_one():
    hay = keys.Harvest("hay", ton_ac=2.0)
    beside = needs(harvest=hay)
    assert notes(beside)["removal"]["level"] == "info"
    assert beside.by_id["a01"]["asked_lb_ac"]["n"] == 60.0
    alone = needs(harvest=hay, fertilizer="removal")
    assert notes(alone)["removal"]["level"] == "warning"
    asked = alone.by_id["a01"]["asked_lb_ac"]
    assert asked == {"n": 100.0, "p2o5": 20.0, "k2o": 90.0}


def test_upkeep_is_that_of_the_crop_that_asks_most():
    both = Mix("m", (Seed("oats", share=0.5), Seed("wheat", share=0.5)))
    plan = needs(both, fertilizer="maintenance")
    row = plan.by_id["a01"]
    table = crops()
    for nutrient in ("n", "p2o5", "k2o"):
        read = [table[name].maintenance_lb_ac[nutrient] for name in ("oats", "wheat")]
        most = max((one for one in read if one is not None), default=0.0)
        assert row["asked_lb_ac"][nutrient] == most
    assert notes(plan)["maintenance-default"]["level"] == "warning"
    own = needs(Mix("m", (Seed("own grass", rate_lb_ac=9.0),)), fertilizer="maintenance")
    assert own.by_id["a01"]["fertilizer"] == []
    assert "maintenance-default" not in notes(own)


def test_the_cost_of_bags_is_told_to_the_cent():
    """68 lb of nitrogen: four bags of 34-0-0 at thirds of a dollar, or three of 46-0-0."""
    kinds = (
        Product("34-0-0", bag_lb=50.0, price=19.3333),
        Product("46-0-0", bag_lb=50.0, price=27.7777),
    )
    asked = SoilTest("t", need_lb_ac=NeedLbAc(n=34.0))
    told = needs(test=asked, products=kinds).fertilizer_plan
    assert told.said == ()
    assert (told.bags, told.cost) == ({"34-0-0": 4}, 77.33)
    (other, *_) = told.runners_up
    assert (other.bags, other.cost, other.more) == ({"46-0-0": 3}, 83.33, 6.0)


def test_a_hauled_off_crop_is_told_by_what_it_carries_off():
    hay = keys.Harvest("alfalfa hay (Ohio)", ton_ac=2.0)
    head = notes(needs(harvest=hay))["removal"]["text"]
    assert head.startswith(
        "hauled off with alfalfa hay (Ohio): 26 lb/ac P₂O₅, 100 lb/ac K₂O"
    )


def test_a_grade_that_is_none_is_named_with_the_file_it_stands_in():
    with pytest.raises(NeedProblem) as caught:
        needs(products=(Product("ten-ten-ten", bag_lb=50.0),))
    assert str(caught.value).startswith("property.toml: “ten-ten-ten” is not a grade")


@pytest.mark.parametrize("acres", [0.04, 0.5, 1.0, 30.0])
def test_amounts_of_small_and_of_large_plots_have_the_plus_or_minus_of_their_acres(acres):
    plan = needs(
        test=SoilTest("t", need_lb_ac=NeedLbAc(n=60.0), lime_ton_ac=1.0),
        products=(*PRODUCTS, Product("lime", ecce_pct=100.0)),
        acres=acres, low=0.9 * acres, high=1.2 * acres,
    )  # fmt: skip
    row = plan.by_id["a01"]
    (seed,), (fed,) = row["seed"], row["fertilizer"]
    assert (seed["lb_low"], seed["lb_high"]) == pytest.approx(
        (0.9 * seed["lb"], 1.2 * seed["lb"])
    )
    assert (fed["lb_low"], fed["lb_high"]) == pytest.approx(
        (0.9 * fed["lb"], 1.2 * fed["lb"])
    )
    for line in plan.shopping:
        if line["item"] == "oats":
            assert line["need_low"] == pytest.approx(0.9 * line["need"], abs=0.01)
            assert line["need_high"] == pytest.approx(1.2 * line["need"], abs=0.01)
