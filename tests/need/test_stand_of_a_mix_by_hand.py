"""A mix as it stands: its lines of seed, its passes, its legumes, what its crops ask of each other."""

import dataclasses

import pytest

from quietacre.figures import printed
from quietacre.need.legumes import left_out_text, legume_share
from quietacre.need.mix_advice import as_companion, mix_advice
from quietacre.need.records import SeedLine
from quietacre.need.seed import _in_passes, seed_needs
from quietacre.need.tables import Figure, crops
from quietacre.settings import Mix, NeedLbAc, Seed, SoilTest
from quietacre.shipped import cite

PAGE = "msu-grains"


def crop(name="oats", *, memory=(), legume=False, inoculant=None, **figures):
    """Return a crop with figures by name: one number, or two ends."""
    ends = {
        key: one if isinstance(one, tuple) else (one, one) for key, one in figures.items()
    }
    used = {
        key: Figure(key, *span, "", "", "", "memory" if key in memory else PAGE)
        for key, span in ends.items()
    }
    return dataclasses.replace(
        crops()["oats"], name=name, figures=used, from_memory=frozenset(memory), legume=legume,
        inoculant=inoculant, source=PAGE, state=None, region=None,
    )  # fmt: skip


OATS = crop(
    broadcast_lb_ac=(80.0, 120.0), drill_lb_ac=60.0, depth_in=(1.0, 2.0), seeds_per_lb=13_000.0,
    in_mix_lb_ac=(30.0, 60.0),
)  # fmt: skip
CLOVER = crop(
    "crimson clover", broadcast_lb_ac=20.0, depth_in=(0.25, 0.5), seeds_per_lb=150_000.0, legume=True,
    inoculant="true clover group", memory=("seeds_per_lb", "broadcast_lb_ac"),
)  # fmt: skip
TABLE = {"oats": OATS, "crimson clover": CLOVER}


# ---- lines ------------------------------------------------------------------------------------------
def test_a_line_of_seed_has_its_rate_its_live_seed_and_its_pounds():
    """50 lb of live seed of a bag that is half alive are 100 lb; 13,000 seeds a pound."""
    seed = Seed("oats", rate_lb_ac=50.0, basis="pls", purity=0.5, germination=1.0, plant_from="09-01",
                plant_to="10-15")  # fmt: skip
    (line,), said = seed_needs(Mix("field", (seed,)), 2.0, 1.5, 3.0, TABLE)
    assert line == SeedLine(
        mix="field", pass_=1, crop="oats", method="broadcast", basis="pls", rate_lb_ac=50.0, pls_frac=0.5,
        bulk_lb_ac=100.0, depth_in=(1.0, 2.0), seeds_per_lb=13_000.0, seeds_from_memory=False,
        seeds_ft2=pytest.approx(50 * 13_000 / 43_560), in_mix_lb_ac=(30.0, 60.0), windows=OATS.windows,
        own_window="09-01 to 10-15", inoculant=None, from_memory=False, source="your own rate",
        note=said[0].text, lb=200.0, lb_low=150.0, lb_high=300.0,
    )  # fmt: skip
    assert [one.code for one in said] == ["rate-outside-range", "seeds-per-square-foot"]


def test_a_line_of_a_crop_that_nobody_knows_has_only_its_own():
    seed = Seed("moonwort", rate_lb_ac=8.0, purity=0.5, plant_from="09-01")
    (line,), said = seed_needs(Mix("field", (seed,), "drill"), 1.0, 1.0, 1.0, TABLE)
    assert line == SeedLine(
        mix="field", pass_=1, crop="moonwort", method="drill", basis="bulk", rate_lb_ac=8.0, pls_frac=0.5,
        bulk_lb_ac=8.0, depth_in=None, seeds_per_lb=None, seeds_from_memory=False, seeds_ft2=None,
        in_mix_lb_ac=None, windows={}, own_window=None, inoculant=None, from_memory=False,
        source="your own rate", note=said[0].text, lb=8.0, lb_low=8.0, lb_high=8.0,
    )  # fmt: skip
    assert [one.code for one in said] == ["crop-not-in-table"]
    # half of what is poured is alive: its own count is of all of it
    own = dataclasses.replace(
        seed, seeds_per_lb=43_560.0, plant_from=None, plant_to="10-15"
    )
    (line,), _ = seed_needs(Mix("field", (own,)), 1.0, 1.0, 1.0, TABLE)
    assert (line.seeds_ft2, line.own_window) == (4.0, None)


def test_seeds_that_come_down_are_told_crop_by_crop_and_which_are_from_memory():
    """20 lb of 150,000 are 68.9 a sq ft; 10 live of 13,000 are 3.0, which is told by the acre."""
    mix = Mix("field", (
        Seed("crimson clover", rate_lb_ac=20.0), Seed("moonwort", rate_lb_ac=1.0),
        Seed("oats", rate_lb_ac=10.0, basis="pls"),
    ))  # fmt: skip
    lines, said = seed_needs(mix, 1.0, 1.0, 1.0, TABLE)
    assert [one.seeds_from_memory for one in lines] == [True, False, False]
    assert said[-1].code == "seeds-per-square-foot"
    assert printed(said[-1].text) == (
        "seeds that come down: crimson clover 68.9 seeds a sq ft, oats 130,000 live seeds an acre "
        "(seed count from memory: crimson clover)"
    )
    counted = dataclasses.replace(
        mix, seed=(dataclasses.replace(mix.seed[0], seeds_per_lb=150_000.0),)
    )
    (line,), said = seed_needs(counted, 1.0, 1.0, 1.0, TABLE)
    assert not line.seeds_from_memory
    assert (
        printed(said[-1].text) == "seeds that come down: crimson clover 68.9 seeds a sq ft"
    )


def passes(*rows):
    """Return the pass of each line, and the groups as they are told."""
    (line,), _ = seed_needs(Mix("m", (Seed("oats", rate_lb_ac=1.0),)), 1, 1, 1, TABLE)
    lines = [
        dataclasses.replace(line, crop=f"c{n}", depth_in=depth, seeds_per_lb=count)
        for n, (depth, count) in enumerate(rows)
    ]
    out, said = _in_passes(lines)
    assert [dataclasses.replace(one, pass_=1) for one in out] == lines
    return [one.pass_ for one in out], [printed(one.text) for one in said]


FIRST = "sow in separate passes, seeds of these sizes and depths do not go out evenly together: "


def test_seed_goes_out_together_where_a_depth_and_a_size_suit_all_of_it():
    shallow, deep, middle = (0.25, 0.5), (1.0, 2.0), (0.5, 1.0)
    assert passes((deep, 1e4), (shallow, 1e4)) == (
        [1, 2], [f"{FIRST}1. c0 at 1-2 in.; 2. c1 at 0.25-0.5 in."],
    )  # fmt: skip
    assert passes((shallow, 1e4), (deep, 1e4)) == (
        [2, 1], [f"{FIRST}1. c1 at 1-2 in.; 2. c0 at 0.25-0.5 in."],
    )  # fmt: skip
    assert passes((middle, 1e4), (deep, 8e4)) == ([1, 1], [])
    assert passes((middle, 1e4), (deep, 9e4)) == (
        [2, 1], [f"{FIRST}1. c1 at 1-2 in.; 2. c0 at 0.5-1 in."],
    )  # fmt: skip
    # of one depth the bigger seed goes first; the third suits the second alone
    assert passes((deep, 9e4), (deep, 1e4), (middle, 7e5))[0] == [2, 1, 2]
    # the middle suits the deep and the shallow, which do not suit each other
    assert passes((shallow, 1e4), (middle, 1e4), (deep, 1e4)) == (
        [2, 1, 1], [f"{FIRST}1. c2, c1 at 1 in.; 2. c0 at 0.25-0.5 in."],
    )  # fmt: skip
    assert passes((None, 1e4), (deep, None), (shallow, 1e4), (deep, 1e4))[0] == [1, 1, 2, 1]
    assert passes() == ([], [])


# ---- legumes -----------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("seeds", "share"),
    [
        ([Seed("crimson clover", share=0.25), Seed("oats", share=0.75)], 0.25),
        ([Seed("crimson clover", rate_lb_ac=10.0), Seed("oats", rate_lb_ac=50.0)], 0.5),
        ([Seed("crimson clover", rate_lb_ac=5.0), Seed("oats", rate_lb_ac=75.0)], 0.25),
        # a share stands before a rate; without either, and of a crop nobody knows, it is sown in full
        ([Seed("crimson clover", share=0.5, rate_lb_ac=20.0), Seed("oats", share=0.5)], 0.5),
        ([Seed("crimson clover"), Seed("oats", share=0.5)], 2 / 3),
        ([Seed("crimson clover", share=0.5), Seed("moonwort", rate_lb_ac=3.0)], 1 / 3),
        # 20 lb of 150,000 seeds are the full rate: half of the seeds are half of it
        ([Seed("crimson clover", seeds_ft2=1_500_000 / 43_560), Seed("oats", share=0.5)], 0.5),
        ([Seed("crimson clover", seeds_ft2=750_000 / 43_560, seeds_per_lb=75_000.0),
          Seed("oats", share=0.5)], 0.5),
        ([Seed("oats")], 0.0), ([Seed("crimson clover")], 1.0),
    ],
)  # fmt: skip
def test_the_legumes_part_of_a_mix_by_shares_of_full_rates(seeds, share):
    assert legume_share(Mix("field", tuple(seeds)), TABLE) == pytest.approx(share)


def test_a_rate_that_is_only_drilled_stands_in_for_one_that_is_broadcast():
    drilled = crop("crimson clover", drill_lb_ac=20.0, legume=True, seeds_per_lb=150_000.0)
    none = crop("crimson clover", legume=True, seeds_per_lb=150_000.0)
    mix = Mix("field", (Seed("crimson clover", rate_lb_ac=10.0), Seed("oats", share=0.5)))
    assert legume_share(mix, TABLE | {"crimson clover": drilled}) == pytest.approx(0.5)
    assert legume_share(mix, TABLE | {"crimson clover": none}) == pytest.approx(2 / 3)
    counted = Mix("field", (Seed("crimson clover", seeds_ft2=9.0), Seed("oats", share=0.5)))
    uncounted = crop("crimson clover", broadcast_lb_ac=20.0, legume=True)
    for clover in (none, dataclasses.replace(uncounted, figures=none.figures)):
        table = TABLE | {"crimson clover": clover}
        assert legume_share(counted, table) == pytest.approx(2 / 3)


@pytest.mark.parametrize(
    ("asked", "share", "offer"),
    [(60.0, 0.5, 30), (60.0, 0.45, 35), (60.0, 0.96, 0), (62.0, 0.5, 30), (66.0, 0.5, 35), (60.0, 1.0, 0)],
)  # fmt: skip
def test_nitrogen_that_is_left_out_is_offered_to_the_rest_by_fives(asked, share, offer):
    text = left_out_text(asked, share, ["oats", "wheat"])
    assert printed(text.head) == (
        f"no nitrogen before planting, {asked:.0f} lb/ac are left out"
    )
    assert text.more.startswith(
        f"{100 * share:.0f} % of this mix is legume, by shares of full rates, and over 30 % nitrogen "
        f"feeds grass and weeds against it ({cite('msu-clovers')}); "
    )
    assert (f"to feed the oats and wheat once up, put {offer} lb/ac under “" in text) is (
        offer > 0
    )
    assert ("once up" in text) is (offer > 0)
    if offer:
        assert f"to feed the grain once up, put {offer} lb/ac" in left_out_text(
            asked, share
        )


# ---- what the crops ask of each other -------------------------------------------------------------------
def advice(*seeds, rates=None, test=None, table=TABLE, method="broadcast"):
    mix = Mix("field", seeds, method)
    rates = rates or {seed.crop: 10.0 for seed in seeds}
    return [
        (code, printed(text), level)
        for code, text, level in mix_advice(mix, table, rates, test)
    ]


def test_grain_beside_clover_is_told_thinner_above_half_of_its_full_rate():
    """Oats at 60 of 100 lb; a third to a half of it are 33 to 50, and a page prints 30 to 60."""
    both = (Seed("crimson clover"), Seed("oats"))
    first = "oats: 60 lb/ac is 60 % of its full rate. Beside crimson clover a grain is sown at a third "
    told = advice(*both, rates={"crimson clover": 9.0, "oats": 60.0})
    assert told == [
        (
            "companion-grain",
            f"{first}to a half of it, 33-50 lb/ac here, so that it does not shade the clover out "
            f"({cite('usda-hollowell-1947')}); {cite(PAGE)} prints 30-60 lb/ac in a mix.",
            "info",
        )
    ]
    alone = TABLE | {"oats": crop(broadcast_lb_ac=100.0)}
    ((_, text, _),) = advice(
        *both, rates={"crimson clover": 9.0, "oats": 60.0}, table=alone
    )
    assert text.endswith(f"({cite('usda-hollowell-1947')}).")
    assert advice(*both, rates={"crimson clover": 9.0, "oats": 50.0}) == []
    assert advice(Seed("oats"), rates={"oats": 90.0}) == []
    # a crop without a full rate, and a clover or a grain that the table does not have
    assert (
        advice(
            *both,
            rates={"crimson clover": 9.0, "oats": 60.0},
            table=TABLE | {"oats": crop()},
        )
        == []
    )
    assert (
        advice(*both, rates={"crimson clover": 9.0, "oats": 60.0}, table={"oats": OATS})
        == []
    )
    assert (
        advice(
            *both,
            rates={"crimson clover": 9.0, "oats": 60.0},
            table={"crimson clover": CLOVER},
        )
        == []
    )
    two = (Seed("crimson clover"), Seed("red clover"), Seed("oats"))
    table = TABLE | {"red clover": crop("red clover")}
    ((_, text, _),) = advice(*two, rates={"oats": 60.0}, table=table)
    assert "Beside crimson clover and red clover a grain" in text


def test_a_companion_is_a_grain_beside_clover_at_a_third_of_its_rate_or_more():
    oats = crop(broadcast_lb_ac=99.0)
    beside = Mix("field", (Seed("oats"), Seed("red clover")))
    assert as_companion(beside, "oats", oats, 33.0)
    assert as_companion(beside, "oats", oats, 99.0)
    assert not as_companion(beside, "oats", oats, 32.0)
    assert not as_companion(beside, "moonwort", oats, 50.0)
    assert not as_companion(Mix("field", (Seed("oats"),)), "oats", oats, 50.0)
    assert not as_companion(beside, "oats", crop(), 50.0)


def test_brassicas_ask_for_nitrogen_later_and_for_sulfur_where_the_test_says_nothing():
    kale = Seed("rape (forage)")
    head = (
        "rape (forage): where they are eaten down more than once, 70 lb/ac more of nitrogen 60 to 80 days "
        f"after seeding feeds the tops, at the roots' cost ({cite('psu-brassica-fertility')})"
    )
    (one,) = advice(kale)
    assert (one[0], one[2]) == ("brassica-nitrogen", "info")
    assert one[1].startswith(
        f"{head}. Weeds that get ahead of them win: start on clean ground ("
    )
    said = SoilTest("lab", need_lb_ac=NeedLbAc(n=60.0))
    ((_, _, _), (code, text, level)) = advice(kale, test=said)
    assert (code, level) == ("brassica-sulfur", "info")
    assert text.startswith("rape (forage): brassicas take up more sulfur than grain does")
    assert "at least 10-20 lb/ac is printed whatever the test says" in text
    assert "and 10-15 lb/ac for any crop over a subsoil" in text
    by_ppm = SoilTest("lab", need_ppm=NeedLbAc(n=60.0))
    assert [one[0] for one in advice(kale, test=by_ppm)] == [
        "brassica-nitrogen",
        "brassica-sulfur",
    ]
    for test in (
        SoilTest("lab"), SoilTest("lab", need_lb_ac=NeedLbAc(s=0.0)), SoilTest("lab", need_ppm=NeedLbAc(s=5.0)),
    ):  # fmt: skip
        assert [one[0] for one in advice(kale, test=test)] == ["brassica-nitrogen"]
    assert advice(Seed("oats"), test=said) == []


def test_a_summer_sowing_is_told_of_summer_weeds():
    ((code, text, level),) = advice(Seed("oats"), Seed("corn"), Seed("sunn hemp"))
    assert (code, level) == ("summer-weeds", "info")
    assert text.startswith(
        "corn, sunn hemp: summer weeds come up with a summer sowing, and turning ground over"
    )
    assert "Work it some weeks ahead" in text
