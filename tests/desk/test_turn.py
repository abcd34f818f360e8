"""The year turns at the desk: a year that is over is kept, the next season's days are set."""

import datetime as dt
import tomllib

import pytest
from desk_tab import passes_axe, tab
from small_place import write_place

from quietacre.commands.build import build_folder
from quietacre.desk.turn_routes import turning

TODAY = dt.date.today()  # noqa: DTZ011 - the desk's own
LAST = TODAY.year - 1
SETTINGS = f"""\
[property]
name = "Home"

[[area]]
name = "Hill"
kind = "plot"
from = "h.geojson"
mix = "grain"
plant = {LAST}-09-25

[[mix]]
name = "grain"
seed = [{{ crop = "oats", share = 1.0 }}]
"""


@pytest.fixture
def place(desk):
    log = f"date,area,task\n{LAST}-09-24,Hill,plant\n"
    home = write_place(desk.home / "hill", SETTINGS, log)
    build_folder(home, today=TODAY)
    code, said = desk.call("/api/open", {"folder": str(home)})
    assert code == 200, said
    return home


def test_a_year_is_closed_and_the_next_days_are_set(desk, place):
    _, year = desk.call("/api/year")
    assert year["to_close"] == LAST
    (offer,) = year["offers"]
    assert (offer["area"], offer["mix"]) == ("Hill", "grain")
    code, made = desk.call("/api/close", {"year": LAST})
    assert code == 200, made
    assert (made["folder"], made["new"]) == (f"years/{LAST}", True)
    assert (place / "years" / str(LAST) / "map.html").is_file()
    _, year = desk.call("/api/year")
    assert year["to_close"] is None  # at once, before it is worked out again
    code, made = desk.call("/api/next", {})
    assert code == 200, made
    now = tomllib.loads((place / "property.toml").read_text())["area"][0]["plant"]
    assert now.isoformat() == offer["day"]
    assert now > TODAY
    code, _ = desk.call("/api/undo", {})
    assert code == 200
    assert (place / "property.toml").read_text() == SETTINGS


@pytest.mark.browser
def test_a_year_is_closed_and_corrected_on_a_phone(browser, desk, place):
    page, said = tab(browser, desk, "phone", has_touch=True)
    page.tap("nav >> text=What is due")
    # the tick is one tap; the rest stands under the job once it is asked for
    job = page.locator("#main li", has_text="take a soil test").first
    more = job.locator("button:has-text('Done, with more')")
    job.locator("button:has-text('Done today')").wait_for()
    assert not more.is_visible()
    opener = job.locator("button[aria-expanded]")
    assert min(opener.bounding_box()["height"], opener.bounding_box()["width"]) >= 44
    tick, height = job.locator("button").first.bounding_box(), job.bounding_box()["height"]
    assert (
        abs(opener.bounding_box()["x"] - tick["x"]) < 10
    )  # beside the job's words, not below
    assert height < 160
    opener.tap()
    assert opener.get_attribute("aria-expanded") == "true"
    assert more.bounding_box()["height"] >= 44
    page.tap(f"text=Keep {LAST} as it was")
    came_to = page.locator(f"section[aria-label='What {LAST} came to']")
    came_to.wait_for()
    assert "days with work: 1" in came_to.inner_text()
    assert "Missed: " in came_to.inner_text()
    passes_axe(page, "a year that was closed")
    page.tap("summary:has-text('Write a line into the log')")
    for name, text in (("on", f"{LAST}-09-24"), ("task", "mowed"), ("area", "Hill")):
        page.fill(f"#log-{name}-new", text)
    page.tap("form:has(#log-on-new) button.first")
    page.wait_for_selector("#said:has-text('Written into the log')")
    page.tap("summary:has-text('Look at a year again')")
    page.tap(f"text=Keep {LAST} again")
    page.wait_for_selector("#said:has-text('is kept, corrected')")
    page.tap("summary:has-text('Look at a year again')")
    assert page.locator("a:has-text('Its map')").count() == 2
    assert page.locator(f"button:has-text('Keep {LAST} again')").count() == 1
    address = page.locator("a:has-text('Its map')").first.get_attribute("href")
    assert desk.call(address)[0] == 200
    assert len(list((place / "years").iterdir())) == 2
    assert said == []


@pytest.mark.parametrize("year", ["", "--help", LAST - 5, TODAY.year])
def test_what_cannot_be_closed_is_said(desk, place, year):
    code, said = desk.call("/api/close", {"year": year})
    assert code >= 400, said
    assert not (place / "years").exists()


def test_a_report_of_last_year_offers_to_close_it(tmp_path):
    this = {"year": 2027, "whole": {"jobs": 3}}
    report = {"years": {"this": this, "to_close": None}, "year": {"offers": []}}
    assert turning(report, tmp_path, 2027)["to_close"] is None
    assert turning(report, tmp_path, 2028)["to_close"] == 2027
    (tmp_path / "years/2027").mkdir(parents=True)
    assert turning(report, tmp_path, 2028)["to_close"] is None
    assert turning({}, tmp_path, 2028) == {"to_close": None, "offers": []}
