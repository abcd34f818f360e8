"""The map of a place whose log has a sowing, lime and fertilizer: cards open, and it prints."""

import datetime as dt
import json
import re
from pathlib import Path

import pytest

from quietacre import page
from quietacre.commands.build import build_folder
from quietacre.page.report_data import UNSHOWN

pytestmark = pytest.mark.browser

SETTINGS = """
[property]
name = "Fern Hollow"
begun = 2027-08-01

[[area]]
name = "Creek field"
kind = "plot"
from = "field.geojson"
mix = "oats"
plant = 2027-09-25
soil_test = "creek"

[[mix]]
name = "oats"
seed = [{ crop = "oats", rate_lb_ac = 80.0, basis = "bulk", bag_lb = 50, price_lb = 0.5 }]

[[soil_test]]
name = "creek"
on = 2027-08-01
lime_ton_ac = 1.0
lime_basis_ecce_pct = 100
need_lb_ac = { n = 40 }

[[product]]
grade = "34-0-0"
bag_lb = 50
price = 19.0

[[product]]
grade = "lime"
ecce_pct = 90.0
"""
LOG = """date,area,task,item,amount,unit
2027-08-20,Creek field,spread lime,lime,2,ton
2027-09-20,Creek field,fertilize,34-0-0,100,lb
2027-09-21,Creek field,plant,oats,150,lb
2027-09-22,Creek field,plant,oats,50,lb
"""
CORNERS = [[-87.60, 34.20], [-87.60, 34.201], [-87.599, 34.201], [-87.599, 34.20]]


@pytest.fixture(scope="module")
def logged_map(tmp_path_factory):
    place = tmp_path_factory.mktemp("fern")
    ring = {"type": "Polygon", "coordinates": [[*CORNERS, CORNERS[0]]]}
    feature = {"type": "Feature", "properties": {"name": "Creek field"}, "geometry": ring}
    (place / "field.geojson").write_text(
        json.dumps({"type": "FeatureCollection", "features": [feature]})
    )
    (place / "property.toml").write_text(SETTINGS)
    (place / "log.csv").write_text(LOG)
    build_folder(place, today=dt.date(2027, 9, 28))
    return place / "out" / "map.html"


def test_the_card_of_ground_with_work_done_says_what_and_when(browser, logged_map):
    context = browser.new_context(viewport={"width": 390, "height": 844}, offline=True)
    tab, faults = context.new_page(), []
    tab.on("pageerror", lambda error: faults.append(str(error)))
    tab.goto(logged_map.as_uri())
    tab.wait_for_selector("html[data-ready=yes]")
    tab.locator("#leaf .rows button", has_text="Creek field").click()
    done = tab.locator("#leaf table", has_text="September 22").inner_text()
    assert re.search(
        r"oats\s+200 lb\s+\S+ lb\s+\w+, September 21, 2027, \w+, September 22", done
    )
    assert re.search(r"34-0-0\s+100 lb", done)
    assert re.search(r"lime\s+2\.00 tons\s+\S+ tons\s+\w+, August 20", done)
    context.close()
    assert faults == []


def test_a_map_with_work_done_prints_the_sheet_of_its_ground(browser, logged_map):
    context = browser.new_context(offline=True)
    tab, faults = context.new_page(), []
    tab.on("pageerror", lambda error: faults.append(str(error)))
    tab.goto(logged_map.as_uri())
    tab.wait_for_selector("html[data-ready=yes]")
    tab.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert tab.locator("text=Done already").count() >= 1
    assert len(re.findall(rb"/Type\s*/Page\b", tab.pdf(format="Letter"))) > 1
    context.close()
    assert faults == []


def test_what_the_page_is_not_given_no_script_of_it_reads():
    paths = sorted((Path(page.__file__).parent / "templates").glob("*.js"))
    script = "\n".join(path.read_text(encoding="utf-8") for path in paths)
    assert "need.done" in script
    assert {key for key in UNSHOWN if re.search(rf"\w\.{key}\b(?!\()", script)} == set()
