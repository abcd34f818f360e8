"""A soil test as a laboratory's sheet, and the quiet seasons on a band of the year."""

import tomllib

import pytest
from desk_tab import LOOKED_AT, passes_axe, tab

pytestmark = pytest.mark.browser


def settings(sample):
    return tomllib.loads((sample / "property.toml").read_text())


def group(page, name, item=None):
    page.locator("nav button", has_text="Everything about it").click()
    page.click(f"summary:has-text('{name}')")
    if item:
        page.click(f"details:has(> summary:has-text('{name}')) summary:has-text('{item}')")


def fill(page, item, key, text):
    """Answer a box of a soil test, and wait until it is kept."""
    page.evaluate("document.getElementById('said').textContent = ''")
    box = page.locator(f"[data-item='{item}'] [data-box='{key}'] > :is(input, select)")
    if box.evaluate("(box) => box.tagName") == "SELECT":
        box.select_option(text)
    else:
        box.fill(text)
        box.blur()
    page.wait_for_selector("#said:has-text('Kept')")


@pytest.mark.parametrize("size", [*LOOKED_AT, "zoomed"])
def test_the_sheet_and_the_band_fit_and_pass_axe(browser, desk, sample, size):
    page, said = tab(browser, desk, size)
    for name, item in (("Soil tests", "uplands 2026"), ("Days: quiet", "nesting")):
        group(page, name, item)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
        passes_axe(page, name)
    assert said == []


def test_a_sheet_is_one_table_of_figures_with_unit_and_method(browser, desk, sample):
    page, _ = tab(browser, desk)
    group(page, "Soil tests", "uplands 2026")
    sheet = page.get_by_role("table", name="Soil test: uplands 2026")
    lime = sheet.get_by_role("row").filter(has=page.get_by_label("Lime, tons an acre"))
    assert lime.get_by_role("rowheader").inner_text() == "Lime, tons an acre"
    cells = lime.get_by_role("cell")
    assert cells.nth(0).locator("input").input_value() == "1"
    assert cells.nth(1).inner_text() == "tons an acre"
    assert "Lime is of" in cells.nth(2).inner_text()
    told = cells.nth(0).locator("input").get_attribute("aria-describedby").split()
    assert [page.inner_text(f"[id='{one}']") for one in told] == [
        "tons an acre", "Lime as the laboratory wrote it. Tons to spread follow from it.",
    ]  # fmt: skip


def test_a_sheet_is_filled_in_for_a_new_test(browser, desk, sample):
    page, said = tab(browser, desk)
    group(page, "Soil tests")
    soil = page.locator("#main > details:has(> summary:has-text('Soil tests'))")
    soil.locator("summary:has-text('Add a soil test')").click()
    soil.locator("form [data-box='soil_test.name'] input").fill("creek 2027")
    soil.locator("form button.first").click()
    new = "soil_test[2]"
    page.wait_for_selector(f"[data-item='{new}'][open] table.lab")
    for key, text in (
        ("soil_test.on", "2027-02-01"), ("soil_test.ph", "5.4"), ("soil_test.lime_basis", "CCE"),
        ("nutrients.n", "50"), ("nutrients.p2o5", "40"),
    ):  # fmt: skip
        fill(page, new, key, text)
    made = settings(sample)["soil_test"][2]
    assert (made["ph"], made["lime_basis"]) == (5.4, "CCE")
    assert made["need_lb_ac"] == {"n": 50, "p2o5": 40}
    # the last nutrient that is emptied takes its table along, so that the other unit can be used
    fill(page, new, "nutrients.n", "")
    fill(page, new, "nutrients.p2o5", "")
    assert "need_lb_ac" not in settings(sample)["soil_test"][2]
    page.locator(f"[data-item='{new}'] tr.heads select").select_option("need_ppm")
    fill(page, new, "nutrients.k2o", "30")
    assert settings(sample)["soil_test"][2]["need_ppm"] == {"k2o": 30}
    assert said == []


def test_figures_move_to_the_other_unit_and_a_wrong_one_is_said_beside_its_box(
    browser, desk, sample
):
    page, _ = tab(browser, desk)
    group(page, "Soil tests", "bottoms 2026")
    item = page.locator("[data-item='soil_test[0]']")
    before = settings(sample)["soil_test"][0]["need_lb_ac"]
    item.locator("tr.heads select").select_option("need_ppm")
    page.wait_for_selector("#said:has-text('the same figures')")
    assert item.locator("tr").last.locator(".unit").inner_text() == "parts a million"
    made = settings(sample)["soil_test"][0]
    assert made["need_ppm"] == before
    assert "need_lb_ac" not in made
    fill(page, "soil_test[0]", "nutrients.n", "46")
    assert settings(sample)["soil_test"][0]["need_ppm"]["n"] == 46
    box = item.locator("[data-box='nutrients.p'] > input")
    box.fill("3")
    box.blur()
    page.wait_for_selector("[data-box='nutrients.p'] .fault:has-text('give p or p2o5')")
    assert settings(sample)["soil_test"][0]["need_ppm"] == {**before, "n": 46}


def test_ground_is_ticked_for_the_test_that_counts_there(browser, desk, sample):
    page, said = tab(browser, desk)
    group(page, "Soil tests", "uplands 2026")
    here = page.locator("[data-item='soil_test[1]'] .counts")
    there = page.locator("[data-item='soil_test[0]'] .counts")
    tick = here.get_by_label("North bottom (counts “bottoms 2026” now)")
    tick.check()
    page.wait_for_selector("#said:has-text('Kept')")
    areas = {area["name"]: area for area in settings(sample)["area"]}
    assert areas["North bottom"]["soil_test"] == "uplands 2026"
    page.click("summary:has-text('bottoms 2026')")
    other = there.get_by_label("North bottom (counts “uplands 2026” now)")
    assert not other.is_checked()
    page.evaluate("document.getElementById('said').textContent = ''")
    here.get_by_label("North bottom", exact=True).uncheck()
    page.wait_for_selector("#said:has-text('Kept')")
    areas = {area["name"]: area for area in settings(sample)["area"]}
    assert "soil_test" not in areas["North bottom"]
    assert said == []


def test_ground_that_another_hand_gave_another_test_is_not_ticked_over(
    browser, desk, sample
):
    page, _ = tab(browser, desk)
    group(page, "Soil tests", "uplands 2026")
    here = page.locator("[data-item='soil_test[1]'] .counts")
    path = sample / "property.toml"
    text = path.read_text()
    path.write_text(
        text.replace('soil_test = "uplands 2026"', 'soil_test = "bottoms 2026"', 1)
    )
    here.get_by_label("Old orchard", exact=True).uncheck()
    page.wait_for_selector(".counts .fault:has-text('another hand')")
    assert not here.get_by_label("Old orchard (counts “bottoms 2026” now)").is_checked()
    assert settings(sample) == tomllib.loads(
        text.replace('soil_test = "uplands 2026"', 'soil_test = "bottoms 2026"', 1)
    )


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_the_band_follows_while_a_day_is_typed(browser, desk, sample, size):
    page, said = tab(browser, desk, size)
    group(page, "Days: quiet", "nesting")
    told = page.locator("ul.seasons li")
    assert (
        told.nth(0)
        .inner_text()
        .endswith("esting: May 15 to July 3, 50 days, keeps all work off.")
    )
    bar = page.locator(".year-band .lane").nth(0).locator(".quiet")
    ends = """(bar) => { const b = bar.getBoundingClientRect(),
        w = bar.parentElement.getBoundingClientRect();
        return [(b.left - w.left) / w.width * 365, (b.right - w.left) / w.width * 365]; }"""
    assert bar.evaluate(ends) == pytest.approx([134, 184], abs=1)
    box = page.locator("[data-item='quiet[0]'] [data-box='quiet.end'] input")
    box.fill("")
    box.press_sequentially("8/2")
    assert "May 15 to August 2, 80 days" in told.nth(0).inner_text()
    assert told.nth(0).inner_text().endswith("Not kept yet.")
    assert bar.evaluate(ends) == pytest.approx([134, 214], abs=1)
    # the band stays in sight of the box that is typed in
    top = page.locator(".year-band").bounding_box()
    assert 0 <= top["y"] < page.viewport_size["height"] - top["height"]
    assert top["y"] + top["height"] <= box.bounding_box()["y"] + 1
    box.press_sequentially("0x")
    assert "its last day reads “8/20x”, which is no day" in told.nth(0).inner_text()
    box.fill("8/20")
    box.blur()
    page.wait_for_selector("#said:has-text('Kept')")
    assert "Not kept yet" not in told.nth(0).inner_text()
    assert settings(sample)["quiet"][0]["end"] == "08-20"
    assert "In no season: February 1 to May 14; August 21 to November 19" in (
        told.nth(2).inner_text()
    )
    assert said == []


def test_a_season_that_is_being_added_is_on_the_band_before_it_is_kept(
    browser, desk, sample
):
    page, said = tab(browser, desk)
    group(page, "Days: quiet")
    form = page.locator("[data-item='quiet[+]']")
    form.locator("> summary").click()
    assert page.locator(".year-band .lane").count() == 2
    for key, text in (("name", "dove"), ("start", "9/10"), ("end", "9/4")):
        form.locator(f"[data-box='quiet.{key}'] input").fill(text)
    lane = page.locator(".year-band .lane").nth(2)
    assert lane.locator(".quiet.typed").count() == 2
    assert "across New Year, 360 days" in page.locator("ul.seasons li").nth(2).inner_text()
    form.locator("[data-box='quiet.end'] input").fill("9/24")
    assert lane.locator(".quiet.typed").count() == 1
    form.locator("button.first").click()
    page.wait_for_selector("#said:has-text('Added')")
    assert page.locator(".year-band .quiet.typed").count() == 0
    assert settings(sample)["quiet"][2] == {
        "name": "dove", "start": "09-10", "end": "09-24",
    }  # fmt: skip
    assert "ove: September 10 to September 24, 15 days" in (
        page.locator("ul.seasons li").nth(2).inner_text()
    )
    assert said == []
