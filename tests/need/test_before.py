"""What a ground's history, and the company a crop keeps, mean for this sowing."""

import datetime as dt

import geopandas as gpd
import pytest
import shapely

from quietacre import settings as keys
from quietacre.crop_names import named_in
from quietacre.figures import printed
from quietacre.model import Job as LogLine
from quietacre.need.before import credits_by_crop, look_back, stood_before, stood_in_log
from quietacre.need.crop_said import crop_lines
from quietacre.need.legumes import left_out_text
from quietacre.need.lime import lime_rate
from quietacre.need.lime_words import parts_text
from quietacre.need.mix_advice import mix_advice
from quietacre.need.plan import plan_needs
from quietacre.need.seed import seed_needs
from quietacre.need.tables import Figure, crops, figure_here
from quietacre.record.book import book_of
from quietacre.record.moved import Line
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
    assert "60-80 lb/ac of nitrogen" in printed(text)
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
    # Crimson clover (Leaflet 160, revised), USDA, 1947; Alabama's oats 80-100
    mix = mix_of("crimson clover", "oats")
    said = printed(advice(mix, {"crimson clover": 10.0, "oats": 60.0})["companion-grain"])
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
    assert "70 lb/ac more of nitrogen 60 to 80 days" in printed(
        advice(mix, rates)["brassica-nitrogen"]
    )


def test_weeds_are_told_of_before_summer_sowings_only():
    assert "summer-weeds" in advice(mix_of("lablab"), {"lablab": 40.0})
    assert "summer-weeds" not in advice(mix_of("oats"), {"oats": 90.0})


# what the log says was sown


def line(on, item="", mix="", ground="field", task="plant"):
    return Line(dt.date.fromisoformat(on), 2, ((ground, task),), item, mix=mix)


FARM = keys.Property(
    keys.PropertyInfo("p"),
    mix=(Mix("greens", (Seed("turnip (forage)"), Seed("oats"))),),
)


def test_the_log_tells_what_was_sown_by_item_or_mix():
    stood = stood_in_log(
        [
            line("2025-09-20", "arrowleaf"),
            line("2026-09-21", "oats"),
            line("2026-09-21", "crimson clover"),
            line("2027-04-01", mix="Greens"),
            line("2027-04-09", "13-13-13", task="fertilize"),
            line("2027-05-01"),
            line("2026-05-01", "rape", ground="elsewhere"),
        ],
        FARM,
    )
    assert [(s.on.isoformat(), s.crops, s.told) for s in stood["field"]] == [
        ("2025-09-20", ("arrowleaf clover",), "log"),
        ("2026-09-21", ("oats", "crimson clover"), "log"),
        ("2027-04-01", ("turnip (forage)", "oats"), "log"),
        ("2027-05-01", (), "log"),
    ]
    assert [s.crops for s in stood["elsewhere"]] == [("rape (forage)",)]


def test_rotation_reads_the_log_as_well_as_the_history():
    log = stood_in_log([line("2026-09-20", "kale"), line("2025-09-20", "arrowleaf")], FARM)
    found = {
        code: text
        for code, text, _ in look_back(
            ["rape (forage)", "arrowleaf clover"],
            ["2025: turnips", "2026: arrowleaf clover"],
            FALL,
            log["field"],
        )
    }
    assert (
        "the history and the log have brassicas here in 2025 and 2026"
        in (found["brassicas-again"])
    )
    assert "the history and the log have it here in 2025, 2026" in found["arrowleaf-again"]
    only = [text for _, text, _ in look_back(["kale (forage)"], [], FALL, log["field"])]
    assert len(only) == 1
    assert "the log has brassicas here in 2026." in only[0]


def test_a_sowing_that_names_no_crop_is_said_where_it_decides():
    log = stood_in_log([line("2026-09-20")], FARM)["field"]
    said = [(code, text) for code, text, _ in look_back(["kale (forage)"], [], FALL, log)]
    assert [code for code, _ in said] == ["sowing-unnamed"]
    assert "a sowing here on September 20, 2026 that names no crop" in said[0][1]
    assert not list(look_back(["oats"], [], FALL, log))


def test_what_was_turned_under_may_be_named_by_the_log_alone():
    log = stood_in_log([line("2026-09-20", "crimson clover")], FARM)["field"]
    history = ["2027: turned under in April"]
    assert not list(look_back(["oats"], history, FALL))
    found = list(look_back(["oats"], history, FALL, log))
    assert [code for code, _, _ in found] == ["green-manure"]
    assert "crimson clover turned under in 2027: print counts" in found[0][1]


@pytest.mark.parametrize(
    ("on", "today", "said"),
    [
        ("2026-09-20", "2027-09-01", True),
        ("2026-09-20", "2026-09-01", False),  # nobody has sown yet
        ("2027-09-19", "2027-09-25", False),  # the planting itself
    ],
)
def test_a_plan_reads_its_log_and_leaves_the_planting_itself_out(on, today, said):
    prop = keys.Property(
        keys.PropertyInfo("p"),
        area=(keys.Area("field", "plot", "f.gpx", mix="m", plant=FALL),),
        mix=(Mix("m", (Seed("rape (forage)"),)),),
    )
    frame = {"id": ["a01"], "name": ["field"], "kind": ["plot"], "acres": [2.0],
             "acres_low": [2.0], "acres_high": [2.0]}  # fmt: skip
    areas = gpd.GeoDataFrame(frame, geometry=[shapely.box(0, 0, 1, 1)], crs=4326)
    job = LogLine(dt.date.fromisoformat(on), "field", "planted", cells={"item": "turnips"})
    plan = plan_needs(
        areas, prop, book=book_of([job], prop), today=dt.date.fromisoformat(today)
    )
    codes_said = [note["code"] for note in plan.by_id["a01"]["notes"]]
    assert ("brassicas-again" in codes_said) is said


def test_upkeep_that_nobody_read_is_asked_of_the_person():
    def planned(*sown):
        prop = keys.Property(
            keys.PropertyInfo("p"),
            area=(keys.Area("field", "plot", "f.gpx", mix="m", fertilizer="maintenance"),),
            mix=(Mix("m", tuple(Seed(crop) for crop in sown)),),
            product=(keys.Product("13-13-13", bag_lb=50.0, price=1.0),),
        )
        frame = {"id": ["a01"], "name": ["field"], "kind": ["plot"], "acres": [2.0],
                 "acres_low": [2.0], "acres_high": [2.0]}  # fmt: skip
        areas = gpd.GeoDataFrame(frame, geometry=[shapely.box(0, 0, 1, 1)], crs=4326)
        need = plan_needs(areas, prop).by_id["a01"]
        return need, [n["text"] for n in need["notes"] if n["code"] == "maintenance-unread"]

    need, said = planned("turnip (forage)")
    assert need["asked_lb_ac"]["p2o5"] == 0
    assert need["asked_lb_ac"]["n"] > 0
    assert [("phosphate" in text, "potash" in text) for text in said] == [
        (True, False),
        (False, True),
    ]
    assert all("none is planned" in text for text in said)
    assert all("county extension office" in text for text in said)
    need, said = planned("turnip (forage)", "oats")
    assert need["asked_lb_ac"]["p2o5"] == crops()["oats"].maintenance_lb_ac["p2o5"] > 0
    assert "the 24 lb/ac planned here are its companions'" in said[0]
    assert planned("oats")[1] == []


def test_sulfur_that_the_test_is_silent_of_is_asked_with_what_print_has_nearest():
    silent = SoilTest("t", need_lb_ac=NeedLbAc(n=40.0))
    mix = Mix("m", (Seed("kale (forage)"),))
    said = {code: printed(text) for code, text, _ in mix_advice(mix, crops(), {}, silent)}
    assert "for canola" in said["brassica-sulfur"].lower()
    assert "at least 10-20 lb/ac" in said["brassica-sulfur"]
    assert (
        "10-15 lb/ac for any crop over a subsoil that tests low" in said["brassica-sulfur"]
    )


# what an agent would not sign


def test_a_rate_of_frost_seeding_is_shown_and_not_sown_by():
    # Frost seeding considerations, University of Missouri Extension, 2015: 1 lb of ladino
    for state in ("MO", "TN"):
        ladino = crops(state)["ladino / white clover"]
        assert ladino.range_lb_ac["broadcast"] == (3, 5)
        broadcast = next(
            line for line in crop_lines(ladino) if line.startswith("broadcast")
        )
        assert "1 Missouri frost seeded [" in printed(broadcast)
    assert crops("MO")["ladino / white clover"].range_lb_ac["drill"] == (3, 4)
    # where a state prints nothing else and the table neither, the one way stands
    only = (Figure("drill_lb_ac", 1.5, 1.5, "", "MO", "into pasture", "x"),)
    assert figure_here(only, "MO").low == 1.5


def test_beside_clover_a_grain_at_a_third_to_a_half_is_not_told_to_be_thicker():
    def codes_of(*seed):
        mix = Mix("m", seed, "broadcast")
        return [said.code for said in seed_needs(mix, 1, 1, 1, crops("SC"))[1]]

    wheat = Seed("wheat", rate_lb_ac=52.5, basis="bulk")  # 60-90 lb is printed in a mix
    clover = Seed("arrowleaf clover", rate_lb_ac=7.0, basis="bulk")
    assert "rate-outside-range" not in codes_of(wheat, clover)
    assert "rate-outside-range" in codes_of(
        Seed("wheat", rate_lb_ac=20.0, basis="bulk"), clover
    )
    turnip = Seed("turnip (forage)", rate_lb_ac=2.0, basis="bulk")
    assert "rate-outside-range" in codes_of(wheat, turnip)


def test_who_is_fed_later_is_named():
    text = left_out_text(60.0, 0.7, ["chicory"])
    assert "to feed the chicory once up, put 20 lb/ac" in text


@pytest.mark.parametrize(
    ("tons", "said"),
    [
        (4.0, "2.00 now, 2.00 two to three years later"),
        (5.9, "2.00 now, 2.00 two to three years later, 1.90 as long after that"),
    ],
)
def test_parts_of_lime_are_said_in_plain_words(tons, said):
    product = keys.Product("lime-ag", bulk=True, ecce_pct=100.0)
    test = SoilTest("t", lime_ton_ac=tons, lime_basis="ECCE", lime_basis_pct=100.0)
    text = printed(parts_text(lime_rate(test, product, None)))
    assert said in text
    assert "by a soil test taken then" in text
