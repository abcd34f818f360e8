"""Twice the ground takes twice the pounds; half the price, half the dollars; clippings by hand.

What is lost when an amount does not follow the ground: a field sown at half its rate, or
a truck of lime too much.
"""

import datetime as dt
import json

import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.build import plan_property
from quietacre.errors import NeedProblem
from quietacre.measure.property import measure_property
from quietacre.need.exclosure import browse, clip_lb_ac

FRAME = LocalFrame(-86.3, 33.2)
TODAY = dt.date(2027, 1, 2)
TEXT = """
[property]
name = "x"
state = "AL"
[[mix]]
name = "m"
seed = [{{ crop = "oats", share = 0.5, germination = 0.9, bag_lb = 50, price_lb = {price} }},
        {{ crop = "wheat", share = 0.5, purity = 0.98, bag_lb = 25, price_lb = 2 }}]
[[soil_test]]
name = "t"
on = 2026-12-04
lime_ton_ac = 1.2
lime_basis = "ECCE"
lime_basis_pct = 100
need_lb_ac = {{ n = 30, p2o5 = 40, k2o = 50 }}
[[product]]
grade = "19-19-19"
bag_lb = 50
price = 24
[[product]]
grade = "0-0-60"
bag_lb = 50
price = 22
[[product]]
grade = "lime-ag"
bulk = true
price = 50
ecce_pct = 60
[[spray]]
name = "jug"
use = "foliar feed"
rate_fl_oz_ac = 32
[[area]]
name = "P"
kind = "plot"
from = "p.geojson"
mix = "m"
plant = 2027-09-25
soil_test = "t"
feed = [{{ spray = "jug" }}]
"""


def report(folder, acres, *, price=0.5):
    folder.mkdir()
    side = (acres * 4046.8564224) ** 0.5
    ground = FRAME.to_lonlat(np.array([shapely.box(0, 0, side, side)], dtype=object))[0]
    feature = {
        "type": "Feature",
        "properties": {},
        "geometry": shapely.geometry.mapping(ground),
    }
    (folder / "p.geojson").write_text(json.dumps(feature))
    (folder / "property.toml").write_text(TEXT.format(price=price))
    made, _ = plan_property(measure_property(folder), today=TODAY)
    return json.loads(json.dumps(made, default=str))


@pytest.fixture(scope="module")
def both(tmp_path_factory):
    folder = tmp_path_factory.mktemp("twice")
    return report(folder / "one", 2.0), report(folder / "two", 4.0)


def need(made):
    return made["areas"][0]["need"]


def test_seed_lime_and_spray_follow_the_acres(both):
    one, two = map(need, both)
    for name in ("oats", "wheat"):
        rows = [next(r for r in n["seed"] if r["crop"] == name) for n in (one, two)]
        assert rows[1]["lb"] == pytest.approx(2 * rows[0]["lb"], rel=1e-4)
        assert rows[0]["bulk_lb_ac"] == pytest.approx(rows[1]["bulk_lb_ac"])
        assert rows[0]["lb"] == pytest.approx(2.0 * rows[0]["bulk_lb_ac"], rel=1e-4)
    # 1.2 ton of ECCE 100 are 2 of 60
    assert one["lime"]["ton_ac"] == pytest.approx(2.0)
    assert one["lime"]["ton"] == pytest.approx(4.0, rel=1e-4)
    assert two["lime"]["ton"] == pytest.approx(8.0, rel=1e-4)
    assert one["spray"][0]["product"] == pytest.approx(64.0, rel=1e-4)
    assert two["spray"][0]["product"] == pytest.approx(128.0, rel=1e-4)


def test_nutrients_an_acre_do_not_depend_on_the_acres(both):
    one, two = map(need, both)
    for made, acres in ((one, 2.0), (two, 4.0)):
        pounds = {row["grade"]: row["lb"] for row in made["fertilizer"]}
        n = 0.19 * pounds.get("19-19-19", 0.0) / acres
        k = (0.19 * pounds.get("19-19-19", 0.0) + 0.6 * pounds.get("0-0-60", 0.0)) / acres
        assert made["given_lb_ac"]["p2o5"] == pytest.approx(n, rel=1e-4)
        assert made["given_lb_ac"]["k2o"] == pytest.approx(k, rel=1e-4)
        for nutrient, asked in (("n", 30), ("p2o5", 40), ("k2o", 50)):
            given = made["given_lb_ac"][nutrient]
            assert 0.89 * asked <= given <= max(1.5 * asked, asked + 10)


def shopping(made):
    return {row["item"]: row for row in made["shopping"]}


def test_bags_hold_what_is_needed_and_not_one_more(both):
    for made in both:
        for item, row in shopping(made).items():
            if not row.get("packs") or item == "lime-ag":
                continue
            pack = {"oats": 50, "wheat": 25}.get(item, 50)
            assert (row["packs"] - 1) * pack < row["left"] + 1e-6 <= row["packs"] * pack, (
                item
            )


def test_dollars_follow_bags_and_prices(both, tmp_path):
    one = shopping(both[0])
    assert one["oats"]["cost"] == pytest.approx(one["oats"]["packs"] * 50 * 0.5)
    assert one["wheat"]["cost"] == pytest.approx(one["wheat"]["packs"] * 50)
    dear = shopping(report(tmp_path / "dear", 2.0, price=1.0))
    assert dear["oats"]["cost"] == pytest.approx(2 * one["oats"]["cost"])
    assert dear["wheat"] == one["wheat"]


def test_the_work_of_a_pass_follows_the_acres(both):
    """All but what a job takes whatever its acres."""
    times = [
        {t["task"]: t["minutes"] for t in made["year"]["tasks"] if t["machine"] == "mower"}
        for made in both
    ]
    assert times[0]
    for task, minutes in times[0].items():
        assert minutes < times[1][task] < 2 * minutes, task


# clippings in and beside a cage


def test_a_clipping_is_carried_to_an_acre():
    # 100 g dry on a square foot: 100 / 453.59237 lb × 43,560
    assert clip_lb_ac(100.0, 1.0, 1.0) == pytest.approx(9603.3, abs=0.1)
    assert clip_lb_ac(100.0, 4.0, 0.25) == pytest.approx(9603.3 / 16, abs=0.1)
    assert clip_lb_ac(0.0, 1.0, 1.0) == 0.0
    for bad in ({"grams": -1.0}, {"area_ft2": 0.0}, {"dry_frac": 0.0}, {"dry_frac": 1.1}):
        with pytest.raises(NeedProblem):
            clip_lb_ac(**{"grams": 10.0, "area_ft2": 1.0, "dry_frac": 1.0, **bad})


def test_what_was_eaten_is_the_difference_of_the_means_with_students_t():
    an_acre = 43_560 / 453.59237
    found = browse([30.0, 20.0, 40.0], [10.0, 15.0, 20.0], 1.0, 1.0)
    assert found.pairs == 3
    assert found.grown_lb_ac == pytest.approx(30 * an_acre)
    assert found.left_lb_ac == pytest.approx(15 * an_acre)
    assert found.eaten_lb_ac == pytest.approx(15 * an_acre)
    assert found.used_pct == pytest.approx(50.0)
    # differences 20, 5, 20: deviation 8.660, 2 degrees of freedom, t 4.303
    half = 4.303 * 8.660 / 3**0.5 * an_acre
    assert found.eaten_low_high == pytest.approx(
        (15 * an_acre - half, 15 * an_acre + half), rel=1e-3
    )
    # 30, 20, 40: deviation 10
    half = 4.303 * 10 / 3**0.5 * an_acre
    assert found.grown_low_high == pytest.approx(
        (30 * an_acre - half, 30 * an_acre + half), rel=1e-3
    )
    assert any("cannot be told from no use" in line for line in found.lines())


def test_clippings_that_leave_no_doubt_and_too_few_of_them():
    sure = browse([30.0, 31.0, 30.0, 31.0], [10.0, 11.0, 10.0, 11.0], 1.0, 1.0)
    assert not any("cannot be told" in line for line in sure.lines())
    alone = browse([30.0], [10.0], 1.0, 1.0)
    assert alone.eaten_low_high is None
    assert "one pair says nothing of chance: clip several" in alone.lines()
    assert "one pair says nothing of chance: clip several" not in sure.lines()
    bare = browse([0.0, 0.0], [0.0, 0.0], 1.0, 1.0)
    assert bare.used_pct is None
    less = browse([10.0], [20.0], 1.0, 1.0)
    assert less.eaten_lb_ac < 0
    assert any("cannot be told" in line for line in less.lines())
    for inside, outside in (([], []), ([1.0], []), ([1.0], [1.0, 2.0])):
        with pytest.raises(NeedProblem, match="make no pairs"):
            browse(inside, outside, 1.0, 1.0)
