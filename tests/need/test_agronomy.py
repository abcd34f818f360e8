"""Nitrogen and legumes, lime in parts and in time, covering seed, inoculant."""

from types import SimpleNamespace

import geopandas as gpd
import pytest
import shapely

from quietacre import settings as keys
from quietacre.errors import NeedProblem
from quietacre.figures import printed
from quietacre.need.cover import cover_lines
from quietacre.need.legumes import legume_share
from quietacre.need.lime import lime_parts, lime_rate
from quietacre.need.plan import plan_needs
from quietacre.need.tables import crops
from quietacre.settings import Mix, Product, Seed, SoilTest

CLOVER_AND_OATS = Mix(
    "m",
    (
        Seed("crimson clover", share=0.5, basis="bulk"),
        Seed("oats", share=0.5, basis="bulk"),
    ),
)


def planned(mix=CLOVER_AND_OATS, *, test=None, acres=2.0, **area):
    prop = keys.Property(
        keys.PropertyInfo("p"),
        area=(keys.Area("field", "plot", "f.gpx", mix="m", soil_test="t", **area),),
        mix=(mix,),
        soil_test=(test or SoilTest("t", need_lb_ac=keys.NeedLbAc(n=60.0, k2o=30.0)),),
        product=(
            Product("34-0-0", bag_lb=50.0, price=19.0),
            Product("13-13-13", bag_lb=50.0, price=1.0),
            Product("0-0-60", bag_lb=50.0, price=21.0),
            Product("lime-ag", bulk=True, price=50.0, ecce_pct=100.0),
        ),
    )
    frame = {"id": ["a01"], "name": ["field"], "kind": ["plot"], "acres": [acres],
             "acres_low": [acres], "acres_high": [acres]}  # fmt: skip
    areas = gpd.GeoDataFrame(frame, geometry=[shapely.box(0, 0, 1, 1)], crs=4326)
    return plan_needs(areas, prop)


def notes(need, code):
    return [note for note in need["notes"] if note["code"] == code]


# nitrogen and legumes: Clover Selection in Mississippi, Mississippi State University, 2017


def test_shares_are_of_full_rates():
    assert legume_share(CLOVER_AND_OATS, crops()) == pytest.approx(0.5)
    light = Mix("m", (Seed("crimson clover", share=0.25), Seed("oats", share=0.75)))
    assert legume_share(light, crops()) == pytest.approx(0.25)
    full = crops()["oats"].rate_lb_ac("broadcast")
    by_rate = Mix("m", (Seed("crimson clover", share=0.5), Seed("oats", rate_lb_ac=full, basis="bulk")))  # fmt: skip
    assert legume_share(by_rate, crops()) == pytest.approx(1 / 3)


def test_no_nitrogen_before_a_stand_of_many_legumes():
    plan = planned()
    need = plan.by_id["a01"]
    assert need["given_lb_ac"]["n"] == 0.0
    assert {row["grade"] for row in need["fertilizer"]} == {"0-0-60"}
    (note,) = notes(need, "no-nitrogen-before-legumes")
    assert "60 lb/ac are left out: 50 % of this mix is legume" in note["text"]
    assert "to feed the oats once up, put 30 lb/ac under" in note["text"]
    assert any("120 lb N left out" in printed(line) for line in plan.fertilizer_plan.said)


def test_the_persons_word_outranks_it():
    need = planned(nitrogen_on_legumes=True).by_id["a01"]
    assert need["given_lb_ac"]["n"] >= 60.0 - 1e-6
    assert not notes(need, "no-nitrogen-before-legumes")


def test_a_top_dressing_is_kept_for_the_grain():
    need = planned(topdress_n_lb_ac=30.0).by_id["a01"]
    later = [row for row in need["fertilizer"] if row["when"] == "top-dressing"]
    assert sum(row["n_lb_ac"] for row in later) == pytest.approx(30.0, abs=1e-4)
    assert need["given_lb_ac"]["n"] == pytest.approx(30.0, abs=1e-4)
    assert "30 lb/ac are left out" in notes(need, "no-nitrogen-before-legumes")[0]["text"]


def test_a_few_legumes_do_not_stop_it():
    mix = Mix("m", (Seed("crimson clover", share=0.25), Seed("oats", share=0.75)))
    need = planned(mix).by_id["a01"]
    assert need["given_lb_ac"]["n"] >= 60.0 - 1e-6
    assert notes(need, "nitrogen-on-legumes")


# lime: How Much Lime To Apply?, University of Missouri Extension, n.d.


@pytest.mark.parametrize(
    ("ton_ac", "worked_in", "parts"),
    [
        (2.0, False, (2.0,)), (2.04, False, (2.04,)), (2.26, False, (2.0, 0.26)),
        (4.0, False, (2.0, 2.0)), (4.05, False, (2.0, 2.05)), (5.71, False, (2.0, 2.0, 1.71)),
        (5.71, True, (5.71,)),
    ],
)  # fmt: skip
def test_two_tons_at_a_time_unless_worked_in(ton_ac, worked_in, parts):
    assert lime_parts(ton_ac, worked_in=worked_in) == pytest.approx(parts)


def test_the_amounts_are_those_of_now():
    test = SoilTest("t", lime_ton_ac=4.0, lime_basis="ECCE", lime_basis_pct=100.0)
    plan = planned(test=test)
    need = plan.by_id["a01"]
    assert need["lime"]["ton"] == pytest.approx(4.0)  # 2 tons on 2 ac
    assert need["lime"]["whole_ton_ac"] == pytest.approx(4.0)
    (note,) = notes(need, "lime-in-parts")
    assert note["level"] == "warning"
    (line,) = [row for row in plan.shopping if row["what"] == "lime"]
    assert line["packs"] == 4
    deep = SoilTest("t", lime_ton_ac=4.0, lime_basis="ECCE", lime_basis_pct=100.0,
                    lime_depth_in=6.0)  # fmt: skip
    assert planned(test=deep).by_id["a01"]["lime"]["ton"] == pytest.approx(8.0)


def test_a_basis_nobody_gave_is_a_warning():
    lime = lime_rate(SoilTest("t", lime_ton_ac=2.0), Product("lime-ag", ecce_pct=70.0))
    assert "can double the tons" in lime.doubts[0]
    need = planned(test=SoilTest("t", lime_ton_ac=1.0)).by_id["a01"]
    assert [note["level"] for note in notes(need, "lime-basis")] == ["warning"]


def test_late_lime_says_what_it_is_worth():
    need = planned(test=SoilTest("t", lime_ton_ac=1.0)).by_id["a01"]
    assert "3 to 6 months" in notes(need, "lime-months-ahead")[0]["text"]


# seed


def row(crop, depth, number, method="broadcast"):
    return SimpleNamespace(crop=crop, depth_in=depth, pass_=number, method=method)


def test_each_pass_is_covered_by_its_depth():
    (line,) = cover_lines([row("clover", [0, 0.25], 2), row("oats", [1, 2], 1)])
    assert line.index("oats disk lightly") < line.index("clover roll")
    assert "1-2 in." in printed(line)
    assert cover_lines([row("oats", [1, 2], 1, "drill")]) == []


def test_inoculant_is_on_the_list_and_the_sheet():
    plan = planned()
    (line,) = [row for row in plan.shopping if row["what"] == "inoculant"]
    need = plan.by_id["a01"]
    clover = need["seed"][0]["lb"]
    assert (line["item"], line["unit"]) == ("inoculant: true clover group", "lb of seed")
    assert line["need"] == pytest.approx(clover)
    assert (line["packs"], line["cost"]) == (None, None)
    assert any(text.startswith("inoculate crimson clover") for text in need["setting"])
    assert not [n for n in plan.notes if "inoculant" in n.text]


# buffers of laboratories


def buffered(method):
    return SoilTest("t", ph=5.0, buffer=method, buffer_ph=6.3, target_ph=6.0)


def test_another_laboratory_s_buffer_is_told_with_its_own_method():
    # Soil Lab Methods: Buffer pH, Clemson University, n.d.: the Moore-Sikora buffer
    with pytest.raises(NeedProblem, match=r"South Carolina uses Moore-Sikora"):
        lime_rate(buffered("Moore-Sikora"), None, "SC")
    lime = lime_rate(buffered("Mehlich"), None, "SC")
    assert any("South Carolina uses Moore-Sikora" in doubt for doubt in lime.doubts)
    at_home = lime_rate(buffered("Mehlich"), None, "NC")
    assert not any("North Carolina's reading" in doubt for doubt in at_home.doubts)
    assert at_home.ton_ac == pytest.approx(0.75)


def test_lime_of_south_carolina_is_for_eight_inches():
    # the same page: the surface 8 inches
    shallow = SoilTest("t", lime_ton_ac=2.0, lime_depth_in=4.0)
    product = Product("lime-ag", ecce_pct=80.0)
    here, elsewhere = (lime_rate(shallow, product, state) for state in ("SC", "AL"))
    assert here.ton_ac == pytest.approx(elsewhere.ton_ac / 2)


def test_a_mehlich_reading_of_any_other_state_is_a_doubt():
    elsewhere = lime_rate(buffered("Mehlich"), None, "TN")
    assert any(
        "North Carolina's reading" in text
        and "laboratory of Tennessee uses was not read" in text
        for text in elsewhere.doubts
    )
