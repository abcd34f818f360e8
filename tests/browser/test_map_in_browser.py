"""The map as a person uses it, in headless Chromium with the network off."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

from quietacre.commands.build import build_folder
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY

pytestmark = pytest.mark.browser

CHROMIUM = (
    os.environ.get("QUIETACRE_CHROMIUM") or shutil.which("chromium") or "/usr/bin/chromium"
)
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync"]  # fmt: skip
SCREENS = {"laptop": (1366, 768), "phone": (390, 844)}
AXE = (
    Path(os.environ.get("QUIETACRE_TOOLS") or Path(__file__).parents[2] / ".cache/tools")
    / "axe_playwright_python/axe.min.js"
)
HOSTILE = "<img src=x onerror=document.title=1> {{7*7}} ${7*7} </script> `x` {% if %}"


@pytest.fixture(scope="session")
def browser():
    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield started
        started.close()


@pytest.fixture(scope="session")
def demo_map(tmp_path_factory):
    place = tmp_path_factory.mktemp("demo") / "sweetgum-bend"
    write_sample(place)
    build_folder(place, today=SAMPLE_DAY)
    return place / "out" / "map.html"


@pytest.fixture(scope="session")
def hostile_map(tmp_path_factory):
    place = tmp_path_factory.mktemp("hostile") / "p"
    write_sample(place)
    text = (place / "property.toml").read_text().replace('"Old orchard"', f"'{HOSTILE}'")
    text = text.replace('kind = "plot"\nfrom = "drawn/openings.geojson"\nmix = "fall clover and grain"\nplant = 2027-09-25',
                        'kind = "plot"\nfrom = "drawn/openings.geojson"\nfeature = "Old orchard"\nmix = "fall clover and grain"\nplant = 2027-09-25')  # fmt: skip
    text = text.replace('name = "Sweetgum Bend"', f"name = '{HOSTILE}'")
    (place / "property.toml").write_text(text)
    build_folder(place, today=SAMPLE_DAY)
    return place / "out" / "map.html"


class Visit:
    """A page, and everything it said or asked for that it should not have."""

    def __init__(self, context, path):
        self.faults = []
        self.page = context.new_page()
        self.page.on("console", lambda m: self.faults.append(f"console: {m.text}"))
        self.page.on("pageerror", lambda e: self.faults.append(f"error: {e}"))
        self.page.on("requestfailed", lambda r: self.faults.append(f"failed: {r.url}"))
        self.page.on("request", self.asked)
        self.page.goto(path.as_uri())
        self.page.wait_for_selector("html[data-ready=yes]", timeout=15_000)

    def asked(self, request):
        if not request.url.startswith(("file:", "data:")):
            self.faults.append(f"asked for: {request.url}")

    def leaf(self):
        return self.page.locator("#leaf").inner_text()


@pytest.fixture(params=list(SCREENS))
def visit(request, browser, demo_map):
    width, height = SCREENS[request.param]
    context = browser.new_context(viewport={"width": width, "height": height}, offline=True)
    seen = Visit(context, demo_map)
    yield seen
    assert seen.faults == []
    context.close()


def test_first_look(visit):
    assert visit.page.locator("#place").inner_text() == "Sweetgum Bend"
    assert "76.03 ac ± 0.30 measured" in visit.page.locator("#gist").inner_text()
    assert visit.page.locator("#leaf .rows li").count() == 17
    assert visit.page.locator("path.ground").count() == 17
    words = visit.page.locator("#key-list").text_content()
    for kind in ("plot", "vine patch", "native browse", "timber", "water", "mowed strip"):
        assert kind in words
    assert visit.page.locator(".leaflet-control-scale-line").count() == 1
    # nothing sticks out sideways
    assert visit.page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_plot_on_the_map_is_clicked_and_shows_its_amounts(visit):
    box = visit.page.locator("path.ground[aria-label^='Long field']").bounding_box()
    visit.page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    text = visit.leaf()
    assert "Long field" in text
    assert "crimson clover" in text
    assert "13.8 lb/ac" in text
    assert "6.42 ac" in text
    assert "Set the machine" in text


def test_keyboard_reaches_a_plot(visit):
    visit.page.locator("path.ground[aria-label^='Dove field']").focus()
    visit.page.keyboard.press("Enter")
    assert "Dove field" in visit.leaf()
    visit.page.keyboard.press("Escape")
    assert "All ground" not in visit.leaf()


def test_search(visit):
    visit.page.get_by_label("Find a piece of ground").fill("VINE")
    assert visit.page.locator("#leaf .rows li").count() == 2
    visit.page.get_by_label("Find a piece of ground").fill("no such")
    assert "Nothing by that name" in visit.leaf()


def test_strip_card_has_law_cautions_and_three_widths(visit):
    visit.page.locator("#leaf .rows button", has_text="Vine hollow strip").click()
    text = visit.leaf()
    for words in ("low", "central", "stress", "ask the state department of agriculture",
                  "eradicate", "Clean the mower"):  # fmt: skip
        assert words in text


def test_to_buy_and_look_into(visit):
    visit.page.locator("#tab-sums").click()
    assert "lb" in visit.leaf()
    assert "$" in visit.leaf()
    visit.page.locator("#tab-look").click()
    row = visit.page.locator("#leaf .rows button", has_text="keep_vine_confirmed")
    row.click()
    assert visit.page.locator(".spot").count() == 1


def test_year_is_read_month_by_month(visit):
    visit.page.locator("#tab-year").click()
    text = visit.leaf()
    assert "Quiet: nesting, May 15 to Jul 3, everything (common practice)" in text
    for month in ("April 2027", "September 2027"):
        assert month in text
    assert "June 2027" not in text
    assert "Long field: plant behind rain" in text


def test_units_switch(visit):
    visit.page.locator("#units").click()
    assert "30.77 ha ± 0.12 measured" in visit.page.locator("#gist").inner_text()
    assert " m" in visit.page.locator(".leaflet-control-scale-line").inner_text()
    visit.page.locator("#units").click()
    assert "76.03 ac ± 0.30 measured" in visit.page.locator("#gist").inner_text()


def test_tape_measures(visit):
    visit.page.locator("#tape").click()
    box = visit.page.locator("#map_ground").bounding_box()
    x, y = box["x"] + 60, box["y"] + box["height"] - 120
    for dx, dy in ((0, 0), (60, 0), (60, -60)):
        visit.page.mouse.click(x + dx, y + dy)
        visit.page.wait_for_timeout(350)  # two quick clicks would zoom
    assert "encloses" in visit.page.locator("#readout").inner_text()
    visit.page.keyboard.press("Escape")
    assert visit.page.locator("#readout").inner_text() == ""


def test_zoom_text_and_whole(visit):
    before = visit.page.evaluate("map_ground.getZoom()")
    visit.page.locator("#in").click()
    visit.page.wait_for_timeout(500)
    assert visit.page.evaluate("map_ground.getZoom()") > before
    visit.page.locator("#whole").click()
    assert visit.page.evaluate("map_ground.getZoom()") == before
    visit.page.locator("#larger").click()
    assert (
        visit.page.evaluate("getComputedStyle(document.documentElement).fontSize") == "18px"
    )


def test_position_refused_is_said(visit):
    visit.page.locator("#here").click()
    visit.page.wait_for_function(
        "!document.getElementById('readout').textContent.includes('Asking')"
    )
    assert visit.page.locator("#readout").inner_text() != ""


def test_axe_core_finds_nothing(visit):
    """axe-core, Deque Systems, with its default rules (WCAG 2 A and AA and good practice)."""
    if not AXE.is_file():
        pytest.skip(f"{AXE} is fetched by tests/run")
    tools = AXE.read_text(encoding="utf-8")
    stops = [f"#tab-{leaf}" for leaf in ("ground", "year", "sums", "look")]
    for stop in (*stops, "path.ground[aria-label^='Long field']"):
        if stop.startswith("path"):
            visit.page.locator(stop).focus()
            visit.page.keyboard.press("Enter")
        else:
            visit.page.locator(stop).click()
        visit.page.evaluate(tools)
        found = visit.page.evaluate("axe.run()")["violations"]
        assert [(v["id"], [n["html"] for n in v["nodes"]]) for v in found] == [], stop


def test_hostile_names_are_shown_as_typed(browser, hostile_map):
    context = browser.new_context(offline=True, viewport={"width": 1366, "height": 768})
    seen = Visit(context, hostile_map)
    assert seen.page.locator("#place").text_content() == HOSTILE
    row = seen.page.locator("#leaf .rows .name", has_text="onerror").first
    assert row.text_content() == HOSTILE
    row.click()
    assert seen.page.locator("#leaf h2").first.text_content() == HOSTILE
    assert seen.page.evaluate("document.title") != "1"
    assert seen.page.locator("#ledger img, #masthead img, .tag img").count() == 0
    assert seen.faults == []
    context.close()


def test_prints_a_cover_and_a_sheet_for_each_worked_piece(browser, demo_map, tmp_path):
    context = browser.new_context(offline=True)
    seen = Visit(context, demo_map)
    paper = tmp_path / "map.pdf"
    seen.page.pdf(path=paper, format="Letter")
    assert seen.faults == []
    context.close()
    text = subprocess.run(
        ["pdftotext", "-layout", paper, "-"], capture_output=True, text=True, check=True
    ).stdout
    pages = text.split("\f")[:-1]
    # map, list, the year on two or three, and a sheet each for 6 plots, patch, 2 browse,
    # burn, strip, firebreak; a strip has a year of cuts
    assert 16 <= len(pages) <= 24
    assert "Sweetgum Bend" in pages[0]
    assert "To buy" in pages[0]
    for name in ("North bottom", "Creek shelf", "Vine hollow strip"):
        assert any(page.strip().startswith(name) for page in pages)
    assert sum("By hand" in page for page in pages) == 12


def test_leaves_the_folder_alone(demo_map):
    assert {p.name for p in Path(demo_map).parent.iterdir()} == {
        "map.html", "areas.gpkg", "report.json", "shopping.csv", "plan.csv", "calendar.ics", "phone.gpx",
        "phone.kml", "ground.sld", "field-sheets.pdf",
    }  # fmt: skip
