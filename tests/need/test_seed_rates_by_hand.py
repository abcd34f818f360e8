"""The rate of a seed by its tag, its count, its table: a crop made up for it, each sum by hand."""

import dataclasses

import pytest

from quietacre.errors import NeedProblem
from quietacre.figures import printed
from quietacre.need import seed_rate
from quietacre.need.seed_rate import (
    SAME,
    Rate,
    Said,
    coating_notes,
    hard_seed_notes,
    off_range,
    rate_of,
)
from quietacre.need.tables import NO_WAY_TOLD, Figure, crops
from quietacre.settings import Mix, Seed
from quietacre.shipped import cite

PAGE = "msu-grains"


def read(name, low, high, *, basis="", note="", source=PAGE):
    return Figure(name, low, high, basis, "", note, source)


def crop(*figures, name="oats", life="annual"):
    """Return a crop with just these figures."""
    by_name = {one.name: one for one in figures}
    memory = frozenset(one.name for one in figures if one.from_memory)
    return dataclasses.replace(
        crops()["oats"], name=name, life_cycle=life, from_memory=memory, source=PAGE, figures=by_name,
    )  # fmt: skip


BOTH_WAYS = crop(
    read("broadcast_lb_ac", 80.0, 120.0), read("drill_lb_ac", 60.0, 100.0),
    read("seeds_per_lb", 10_000.0, 14_000.0),
)  # fmt: skip


def rate(seed, of=BOTH_WAYS, *, method="broadcast", live=1.0):
    return rate_of(Mix("field", (seed,), method), seed, of, live)


def told(said):
    """Return what is said as it is printed."""
    return [(one.code, printed(one.text), one.level) for one in said]


# ---- one's own rate -----------------------------------------------------------------------------------
def test_a_rate_of_ones_own_is_taken_as_it_is():
    own = "your own rate"
    assert rate(Seed("oats", rate_lb_ac=50.0)) == Rate(50.0, "bulk", own, False, ())
    assert rate(Seed("oats", rate_lb_ac=50.0, basis="pls")) == Rate(
        50.0, "pls", own, False, ()
    )
    no_drill = crop(read("broadcast_lb_ac", 80.0, 120.0))
    found = rate(Seed("oats", rate_lb_ac=50.0), no_drill, method="drill")
    assert (found.lb_ac, found.basis, found.source, found.from_memory) == (
        50.0, "bulk", own, False,
    )  # fmt: skip
    assert told(found.said) == [
        (
            "not-that-way",
            "oats: no publication that was read gives a drill rate; your own is taken as it is; "
            "ask your seed dealer or county extension office.",
            "caution",
        )
    ]


def test_a_crop_that_nobody_knows_is_sown_at_its_own_rate_and_told_of():
    found = rate(Seed("moonwort", rate_lb_ac=5.0), None)
    assert (found.lb_ac, found.basis, found.from_memory) == (5.0, "bulk", False)
    ((code, text, level),) = told(found.said)
    assert (code, level) == ("crop-not-in-table", "warning")
    assert text.startswith(
        "“moonwort” is not in the crop table. Its rate is taken as written"
    )
    ((_, near, _),) = told(rate(Seed("clover", rate_lb_ac=5.0), None).said)
    assert near.startswith("“clover” is not in the crop table; did you mean one of “")


# ---- seeds on a square foot ------------------------------------------------------------------------------
def test_seeds_by_ones_own_count_are_no_doubt():
    """30 seeds a sq ft of 21,780 to the pound are 60 lb; live ones where a tag says so."""
    seed = Seed("oats", seeds_ft2=30.0, seeds_per_lb=21_780.0)
    found = rate(seed)
    assert (found.lb_ac, found.basis, found.from_memory, found.said) == (
        60.0,
        "bulk",
        False,
        (),
    )
    assert printed(found.source) == "30 seeds a square foot, 21,780 a pound"
    for tag in ({"purity": 0.9}, {"germination": 0.9}, {"coating": 0.2}):
        assert rate(dataclasses.replace(seed, **tag)).basis == "pls"
        assert rate(dataclasses.replace(seed, basis="bulk", **tag)).basis == "bulk"
    assert rate(dataclasses.replace(seed, basis="pls")).basis == "pls"


def test_the_tables_count_is_told_with_its_figure_and_whether_it_was_read():
    """The middle of 10,000 and 14,000 seeds: 43,560 of them on an acre's feet are 3.63 lb."""
    found = rate(Seed("oats", seeds_ft2=1.0))
    assert (found.lb_ac, found.from_memory) == (pytest.approx(43_560 / 12_000), False)
    first = "oats: 12,000 seeds a pound is the crop table's"
    last = "; lots differ: count your own or read the tag (seeds_per_lb)."
    assert told(found.said) == [("seed-count-of-the-table", first + last, "warning")]
    guessed = crop(read("seeds_per_lb", 12_000.0, 12_000.0, source="memory"))
    found = rate(Seed("oats", seeds_ft2=1.0), guessed)
    assert found.from_memory
    assert told(found.said) == [
        ("seed-count-of-the-table", f"{first}, from memory{last}", "warning")
    ]
    counted = rate(Seed("oats", seeds_ft2=1.0, seeds_per_lb=43_560.0), guessed)
    assert (counted.lb_ac, counted.from_memory, counted.said) == (1.0, False, ())
    unknown = rate(Seed("moonwort", seeds_ft2=1.0, seeds_per_lb=43_560.0), None)
    assert (unknown.lb_ac, unknown.from_memory) == (1.0, False)
    assert [one.code for one in unknown.said] == ["crop-not-in-table"]


def test_without_a_count_seeds_cannot_be_weighed():
    with pytest.raises(NeedProblem) as caught:
        rate(Seed("moonwort", seeds_ft2=1.0), None)
    assert "how many seeds of “moonwort” weigh a pound is not known" in str(caught.value)
    assert caught.value.fix == "give seeds_per_lb from the tag"
    assert caught.value.where == "mix “field”"


# ---- the table's rate -----------------------------------------------------------------------------------
def test_the_tables_rate_is_the_middle_of_what_is_printed_or_a_share_of_it():
    page = cite(PAGE)
    assert rate(Seed("oats", share=0.5)) == Rate(50.0, "bulk", page, False, ())
    assert rate(Seed("oats")) == Rate(100.0, "bulk", page, False, ())
    assert rate(Seed("oats", share=0.5), method="drill") == Rate(
        40.0, "bulk", page, False, ()
    )
    guessed = crop(read("broadcast_lb_ac", 80.0, 120.0, source="memory"))
    assert rate(Seed("oats"), guessed).from_memory


def test_a_rate_that_nobody_read_names_the_other_way_or_whom_to_ask():
    ask = "rate_lb_ac and basis: ask your seed dealer or county extension office"
    none = crop(read("seeds_per_lb", 1.0, 1.0))
    for of, method, fix in (
        (crop(read("broadcast_lb_ac", 80.0, 120.0)), "drill",
         f"change the mix's method to broadcast (80-120 lb/ac was read), or give {ask}"),
        (crop(read("drill_lb_ac", 60.0, 60.0)), "broadcast",
         f"change the mix's method to drill (60 lb/ac was read), or give {ask}"),
        (none, "drill", f"give {ask}"),
    ):  # fmt: skip
        with pytest.raises(NeedProblem) as caught:
            rate(Seed("oats"), of, method=method)
        assert f"“oats”: no publication that was read gives a {method} rate" in str(
            caught.value
        )
        assert printed(caught.value.fix) == fix
        assert caught.value.where == "mix “field”"
    with pytest.raises(NeedProblem) as caught:
        rate(Seed("moonwort"), None, method="drill")
    assert "“moonwort” has no drill rate" in str(caught.value)
    assert caught.value.fix == "change the mix's method, or give rate_lb_ac and basis"


@pytest.mark.parametrize(
    ("live", "level", "poured"), [(0.8, "warning", "125"), (1 / 1.04, "info", "104"), (1 / 1.06, "warning", "106")]
)  # fmt: skip
def test_a_tag_makes_the_tables_rate_one_of_live_seed(live, level, poured):
    for tag in ({"purity": 0.9}, {"germination": 0.9}, {"coating": 0.1}):
        found = rate(Seed("oats", **tag), live=live)
        assert (found.lb_ac, found.basis) == (100.0, "pls")
        ((code, text, said),) = told(found.said)
        assert (code, said) == ("table-rate-as-live-seed", level)
        assert text.startswith(
            f"oats: the table's rate is taken as live seed, {poured}.0 lb/ac out of the bag; poured "
            "as it is it would be 100.0. Say which in "
        )


def test_who_says_how_the_rate_counts_is_asked_no_more():
    for basis in ("pls", "bulk"):
        found = rate(Seed("oats", purity=0.8, basis=basis), live=0.8)
        assert (found.basis, found.said) == (basis, ())
    live = crop(read("broadcast_lb_ac", 80.0, 120.0, basis="pls"))
    assert rate(Seed("oats", purity=0.8), live, live=0.8).said == ()
    assert rate(Seed("oats", purity=0.8, basis="pls"), live, live=0.8).said == ()


@pytest.mark.parametrize(
    ("seed", "live", "reason", "level"),
    [
        (Seed("oats"), 1.0, " because no tag is given; give purity and germination", "warning"),
        (Seed("oats", basis="bulk"), 1.0, " because no tag is given; give purity and germination",
         "warning"),
        (Seed("oats", basis="bulk", purity=0.9), 0.9, "", "warning"),
        (Seed("oats", basis="bulk", purity=0.98), 0.98, "", "caution"),
    ],
)  # fmt: skip
def test_live_seed_poured_as_it_is_comes_short(seed, live, reason, level):
    of = crop(read("broadcast_lb_ac", 80.0, 120.0, basis="pls"))
    assert told(rate(seed, of, live=live).said) == [
        (
            "live-rate-poured-as-bulk",
            "oats: the table's rate counts live seed, and it is poured as it is"
            f"{reason}: less live seed than printed.",
            level,
        )
    ]


def test_a_rate_of_no_way_told_is_thicker_where_it_is_broadcast():
    of = crop(
        *(
            read(f"{way}_lb_ac", 80.0, 120.0, note=NO_WAY_TOLD)
            for way in ("broadcast", "drill")
        )
    )
    first = (
        "oats: 80-120 lb/ac are printed to plant; whether drilled or broadcast is not told in what "
        "was read. They are taken for both. "
    )
    last = (
        f"For your own rate ask your seed dealer or county extension office ({cite(PAGE)})."
    )
    thicker = "Seed that is broadcast is often sown thicker (common practice, no source). "
    for method, more in (("broadcast", thicker), ("drill", "")):
        ((code, text, level),) = told(rate(Seed("oats"), of, method=method).said)
        assert (code, level) == ("rate-of-no-way-told", "caution")
        assert text == first + more + last


# ---- what is said of it ----------------------------------------------------------------------------------
def test_only_coated_seed_whose_rate_counts_live_seed_is_told_of():
    live = Rate(10.0, "pls", "s", False)
    assert coating_notes(Seed("oats"), live, 20.0) == []
    assert (
        coating_notes(
            Seed("oats", coating=0.5), dataclasses.replace(live, basis="bulk"), 20.0
        )
        == []
    )
    words = {
        "counted": "The tag's purity leaves the coating out already",
        "twice": "Purity and coating come to more than the bag",
        "none": "Counted off: How much clover seed is enough?",
    }
    for purity, which in ((0.5, "counted"), (0.75, "twice"), (None, "none")):
        ((code, text, level),) = told(
            coating_notes(Seed("oats", coating=0.5, purity=purity), live, 20.0)
        )
        assert (code, level) == ("coated-seed", "warning")
        assert text.startswith(
            "oats, coated: 20.0 lb/ac with the coating counted off, 10.0 lb/ac at the same bulk "
            f"rate: sources disagree, the first is used. {words[which]}"
        )
    for coating, level in ((0.04, "info"), (0.06, "warning")):  # 4.2 and 6.4 percent more
        (one,) = coating_notes(Seed("oats", coating=coating), live, 20.0)
        assert one.level == level


def test_what_moves_pounds_by_just_the_doubt_is_no_warning(monkeypatch):
    """80 live in a hundred take 25 percent more out of the bag, as a fifth of coating does."""
    of = crop(read("broadcast_lb_ac", 80.0, 120.0, basis="pls"))
    tagged = Seed("oats", purity=0.8)
    poured = dataclasses.replace(tagged, basis="bulk")
    coated = Seed("oats", coating=0.2)

    def levels():
        told = (
            *rate(tagged, live=0.8).said, *rate(poured, of, live=0.8).said,
            *coating_notes(coated, Rate(10.0, "pls", "s", False), 20.0),
        )  # fmt: skip
        return [one.level for one in told]

    monkeypatch.setattr(seed_rate, "DOUBT", 0.25)
    assert levels() == ["info", "caution", "info"]
    monkeypatch.setattr(seed_rate, "DOUBT", 0.24)
    assert levels() == ["warning"] * 3


def test_hard_seed_is_told_of_where_the_tag_says_none():
    hard = crop(life="annual (reseeding; ~90% hard seed)")
    assert hard_seed_notes(Seed("oats"), hard) == [
        Said(
            "hard-seed",
            "oats is often hard-seeded (annual (reseeding; ~90% hard seed)): count the tag's hard "
            "seed as live with `hard`, and do not expect all of it up in the first year.",
            "info",
        )
    ]
    assert hard_seed_notes(Seed("oats", hard=0.1), hard) == []
    assert hard_seed_notes(Seed("oats"), crop()) == []


ALONE = Mix("field", (Seed("oats"),))
TWO = Mix("field", (Seed("oats"), Seed("wheat")))
WITH_MIX = crop(
    read("broadcast_lb_ac", 80.0, 120.0), read("in_mix_lb_ac", 20.0, 40.0, source="uf-taylor"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("mix", "of", "lb_ac", "words"),
    [
        (ALONE, WITH_MIX, 80.0, None), (ALONE, WITH_MIX, 120.0, None),
        (ALONE, WITH_MIX, 79.0, "79.0 lb/ac is under the 80-120 lb/ac printed for it alone, broadcast"),
        (ALONE, WITH_MIX, 121.0, "121.0 lb/ac is over the 80-120 lb/ac printed for it alone, broadcast"),
        (TWO, WITH_MIX, 20.0, None), (TWO, WITH_MIX, 40.0, None),
        (TWO, WITH_MIX, 19.0, "19.0 lb/ac is under the 20-40 lb/ac printed for it in a mix"),
        (TWO, WITH_MIX, 41.0, "41.0 lb/ac is over the 20-40 lb/ac printed for it in a mix"),
        # none printed in a mix: no more than the full rate
        (TWO, BOTH_WAYS, 1.0, None), (TWO, BOTH_WAYS, 120.0, None),
        (TWO, BOTH_WAYS, 121.0, "121.0 lb/ac is over the 80-120 lb/ac printed for it alone, broadcast"),
        (TWO, crop(), 500.0, None), (ALONE, crop(), 500.0, None),
    ],
)  # fmt: skip
def test_a_rate_beside_what_is_printed(mix, of, lb_ac, words):
    found = off_range(mix, Seed("oats"), of, lb_ac)
    if words is None:
        assert found is None
        return
    page = cite("uf-taylor" if "in a mix" in words else PAGE)
    assert told([found]) == [("rate-outside-range", f"oats: {words} ({page}).", "caution")]


def test_a_hair_under_or_over_is_within_and_more_than_a_hair_is_not():
    for lb_ac, within in (
        (80.0 * (1 - SAME), True), (80.0 * (1 - 1.1e-9), False), (120.0 * (1 + SAME), True),
        (120.0 * (1 + 1.1e-9), False),
    ):  # fmt: skip
        assert (off_range(ALONE, Seed("oats"), BOTH_WAYS, lb_ac) is None) is within, lb_ac
    assert off_range(TWO, Seed("oats"), BOTH_WAYS, 120.0 * (1 + SAME)) is None


def test_a_rate_of_no_way_told_is_told_as_that():
    of = crop(read("broadcast_lb_ac", 80.0, 120.0, note=NO_WAY_TOLD))
    found = off_range(ALONE, Seed("oats"), of, 130.0)
    assert "printed for it alone, the way of sowing not told" in found.text
    mixed = crop(
        read("broadcast_lb_ac", 80.0, 120.0),
        read("in_mix_lb_ac", 20.0, 40.0, note=NO_WAY_TOLD),
    )
    assert (
        "the way of sowing not told"
        not in off_range(ALONE, Seed("oats"), mixed, 130.0).text
    )
    assert "the way of sowing not told" in off_range(TWO, Seed("oats"), mixed, 130.0).text


def test_a_grain_beside_clover_may_be_thin_and_not_thick():
    """A third of 99 lb and more is a companion's rate; the range in a mix starts at 60."""
    of = crop(read("broadcast_lb_ac", 99.0, 99.0), read("in_mix_lb_ac", 60.0, 70.0))
    clover = Mix("field", (Seed("oats"), Seed("crimson clover")))
    assert off_range(clover, Seed("oats"), of, 33.0) is None
    assert off_range(clover, Seed("oats"), of, 32.0) is not None
    assert off_range(TWO, Seed("oats"), of, 33.0) is not None
    assert off_range(clover, Seed("oats"), of, 71.0) is not None
