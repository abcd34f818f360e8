"""What a ground's history, and the company a crop keeps, mean for this sowing."""

import datetime as dt

import pytest

from quietacre.crop_names import named_in
from quietacre.need.before import credits_by_crop, look_back, stood_before
from quietacre.need.mix_advice import mix_advice
from quietacre.need.tables import crops
from quietacre.settings import Mix, Seed, SoilTest
from quietacre.settings.amounts import NeedLbAc

FALL = dt.date(2027, 9, 20)


def codes(sown, history, plant=FALL):
    return [code for code, _, _ in look_back(sown, history, plant)]


def test_crops_are_found_in_a_sentence_by_whole_names():
    assert named_in("oats and crimson clover, good stand") == ("oats", "crimson clover")
    assert named_in("purple top turnips, dwarf Essex rape") == (
        "turnip (forage)",
        "rape (forage)",
    )
    assert named_in("clover, ryegrass, a little of everything") == ()


def test_a_history_tells_year_month_crops_and_what_was_turned_under():
    stood = stood_before(
        [
            "2025: oats and crimson clover",
            "2026: same mix, limed in February",
            "old pasture",
        ]
    )
    assert [(s.year, s.month, s.turned_under) for s in stood] == [
        (2025, None, False),
        (2026, 2, False),
    ]
    assert stood[1].crops == ("oats", "crimson clover")
    assert stood_before(["2026: rye, turned under green in April"])[0].turned_under


@pytest.mark.parametrize(
    ("history", "said"),
    [
        (["2026: turnips"], True),
        (["2025: kale"], True),
        (["2024: turnips"], False),
        (["2026: oats"], False),
        (["2027: turnips"], False),  # this year's own line is not before it
    ],
)
def test_brassicas_soon_after_brassicas_are_cautioned(history, said):
    assert ("brassicas-again" in codes(["rape (forage)"], history)) is said
    assert "brassicas-again" not in codes(["oats"], history)


def test_arrowleaf_is_cautioned_after_several_years_only():
    assert codes(["arrowleaf clover"], ["2026: arrowleaf"]) == []
    assert codes(["arrowleaf clover"], ["2024: arrowleaf", "2026: arrowleaf clover"]) == [
        "arrowleaf-again"
    ]


def test_a_green_manure_says_what_print_counts_and_what_it_does_not_bring():
    ((_, text, level),) = look_back(
        ["oats"], ["2027: crimson clover, turned under in May"], FALL
    )
    # Tobacco, note 1 (soil, agronomic crops), University of Tennessee, n.d.: 60 to 80 pounds
    assert "60-80 lb/ac of nitrogen" in text
    assert "is not lowered" in text
    assert "no phosphate, potash or lime" in text
    assert level == "info"
    ((_, grain, _),) = look_back(["oats"], ["2027: rye turned under in April"], FALL)
    assert "no source that was read counts nitrogen" in grain


def test_what_was_turned_under_long_ago_or_on_no_day_is_not_counted():
    history = ["2026: crimson clover, turned under in April"]
    assert codes(["oats"], history) == []
    assert codes(["oats"], history, dt.date(2026, 9, 20)) == ["green-manure"]
    assert codes(["turnip (forage)"], ["2026: turnips"], None) == []


def test_each_credit_is_read_somewhere():
    assert set(credits_by_crop()) <= set(crops())
    assert all(0 < one.low <= one.high <= 150 for one in credits_by_crop().values())  # noqa: PLR2004


def mix_of(*names):
    return Mix(name="m", method="broadcast", seed=tuple(Seed(name) for name in names))


def advice(mix, rates, test=None):
    return {code: text for code, text, _ in mix_advice(mix, crops("AL"), rates, test)}


def test_a_grain_beside_clover_is_held_against_a_third_to_a_half():
    # Crimson clover (Leaflet 160, revised), USDA (Hollowell), 1947; Alabama's oats 80-100
    mix = mix_of("crimson clover", "oats")
    said = advice(mix, {"crimson clover": 10.0, "oats": 60.0})["companion-grain"]
    assert "67 % of its full rate" in said
    assert "30-45 lb/ac" in said
    assert "60-90 lb/ac in a mix" in said
    assert "companion-grain" not in advice(mix, {"crimson clover": 10.0, "oats": 45.0})
    alone = mix_of("hairy vetch", "oats")
    assert "companion-grain" not in advice(alone, {"hairy vetch": 15.0, "oats": 90.0})


def test_brassicas_ask_for_sulfur_where_the_test_has_none():
    mix = mix_of("turnip (forage)")
    rates = {"turnip (forage)": 4.0}
    without = SoilTest("t", need_lb_ac=NeedLbAc(n=50.0))
    asked = SoilTest("t", need_lb_ac=NeedLbAc(n=50.0, s=15.0))
    assert "brassica-sulfur" in advice(mix, rates, without)
    assert "brassica-sulfur" not in advice(mix, rates, asked)
    assert "brassica-sulfur" not in advice(mix, rates)  # nothing is fertilized
    # Brassica Fertilization, Penn State Extension, n.d.: 70 pounds between 60 and 80 days
    assert (
        "70 lb/ac more of nitrogen 60 to 80 days" in advice(mix, rates)["brassica-nitrogen"]
    )


def test_weeds_are_told_of_before_summer_sowings_only():
    assert "summer-weeds" in advice(mix_of("lablab"), {"lablab": 40.0})
    assert "summer-weeds" not in advice(mix_of("oats"), {"oats": 90.0})
