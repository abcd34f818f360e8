"""A season turns: what is in the shed and what a soil test was given do not change by it."""

import datetime as dt

import pytest
from small_place import write_place

from quietacre.build import plan_property
from quietacre.measure.property import measure_property

SETTINGS = """\
[property]
name = "Home"
state = "AL"

[[area]]
name = "Hill"
kind = "plot"
from = "h.geojson"
mix = "grain"
soil_test = "lab"
PLANT

[[area]]
name = "Creek"
kind = "plot"
from = "h.geojson"
plantings = [
  { mix = "peas", plant = "05-06", soil_test = "lab" },
  { mix = "grain", plant = "09-25", soil_test = "lab" },
]

[[mix]]
name = "peas"
seed = [{ crop = "cowpea (iron-and-clay type)", share = 1.0, bag_lb = 50 }]

[[mix]]
name = "grain"
seed = [{ crop = "wheat", share = 1.0, bag_lb = 50 }]

[[soil_test]]
name = "lab"
on = 2026-07-01
lime_ton_ac = 1.0
need_lb_ac = { n = 40, p2o5 = 40, k2o = 40 }

[[product]]
grade = "17-17-17"
bag_lb = 50
price = 24

[[product]]
grade = "46-0-0"
bag_lb = 50
price = 20

[buying]
over_pct = 0
over_lb_ac = 0

[[product]]
grade = "lime"
bulk = true
"""
#: No line of work names an amount: each takes what was planned for its own planting.
LOG = """\
date,area,task,item,amount,unit
2026-07-10,Hill,lime,,,
2026-07-12,Creek,lime,,,
2026-08-01,,bought,wheat,900,lb
2026-08-01,,bought,17-17-17,3000,lb
2026-08-01,,bought,lime,12,ton
2026-09-10,Hill,fertilized,17-17-17,,
2026-09-11,Creek,fertilized,17-17-17,,
2026-09-24,Hill,plant,,,
2026-09-26,Creek,plant,,,
"""
DAYS = ("2026-09-30", "2026-12-30", "2027-01-20", "2027-04-01", "2027-06-20", "2027-09-20")


@pytest.mark.parametrize("plant", ['plant = "09-25"', "plant = 2026-09-25"])
def test_the_shed_and_the_soil_test_do_not_forget(tmp_path, plant):
    place = write_place(tmp_path, SETTINGS.replace("PLANT", plant), LOG)
    measured = measure_property(place)
    shed, states = set(), []
    for text in DAYS:
        day = dt.date.fromisoformat(text)
        report, _ = plan_property(measured, today=day)
        held = {row["item"]: row for row in report["on_hand"]}
        for row in held.values():
            assert row["bought"] - row["used"] == pytest.approx(row["on_hand"], abs=1e-3)
        shed.add(tuple(sorted((name, round(row["on_hand"])) for name, row in held.items())))
        hill, creek = report["areas"]
        states.append(hill["plantings"][0]["state"])
        for area in (hill, creek):
            # nothing is limed, and no phosphate spread, twice on one test
            assert area["need"]["lime"] is None, (text, area["name"])
            spread = sum(row["p2o5_lb_ac"] for row in area["need"]["fertilizer"])
            assert spread < 1.0, (text, area["name"], area["need"]["fertilizer"])
        if hill["plantings"][0]["state"] == "finished":
            need = hill["need"]
            assert (need["seed"], need["fertilizer"], need["notes"]) == ([], [], [])
    assert len(shed) == 1, shed
    assert states[0] == "growing"
    assert states[-1] == ("ahead" if plant[9:14] == "09-25" else "finished")


@pytest.mark.parametrize("plant", ['plant = "09-25"', "plant = 2027-09-25"])
def test_the_season_before_stays_readable(tmp_path, plant):
    place = write_place(tmp_path / "place", SETTINGS.replace("PLANT", plant), LOG)
    for today in ("2027-04-01", "2027-08-10"):
        report, _ = plan_property(
            measure_property(place), today=dt.date.fromisoformat(today)
        )
        past = {(row["area"], row["year"]): row for row in report["year"]["past"]}
        hill = past["Hill", 2026]
        done = {job["label"]: job["done"] for job in hill["jobs"]}
        assert done["plant behind rain"] == hill["sown_on"] == "2026-09-24"
        assert "sown September 24, 2026; " in hill["text"]
        # what was left undone is told of a planting that comes back, for it was planned alike
        assert ("not in the log" in hill["text"]) == (plant != "plant = 2027-09-25")
        assert past["Creek", 2026]["sown_on"] == "2026-09-26"


def test_a_season_without_a_line_has_nothing_before(tmp_path):
    place = write_place(
        tmp_path / "place", SETTINGS.replace("PLANT", 'plant = "09-25"'), "date,area,task\n"
    )
    report, _ = plan_property(measure_property(place), today=dt.date(2027, 4, 1))
    assert report["year"]["past"] == []
