"""What a person reads at the desk: plain words, and nothing said that is not known."""

import json
import re

import pytest
from desk_tab import tab

pytestmark = pytest.mark.browser


@pytest.fixture
def sample_page(browser, desk):
    desk.call("/api/open", {"sample": True})
    return tab(browser, desk)


def _part(page, name):
    page.click(f"nav >> text={name}")
    page.wait_for_selector("#main >> text=One moment", state="detached")
    page.wait_for_timeout(200)


def test_a_year_that_was_not_worked_out_is_not_said_to_be_empty(sample_page):
    page, said = sample_page
    _part(page, "What is due")
    main = page.inner_text("#main")
    assert "The year has not been worked out yet." in main
    assert "Nothing." not in main
    assert "Coming by" not in main
    # no line of the sample's log can be taken back here, so no column asks
    assert "A mistake?" not in main
    assert said == []


def test_findings_of_a_build_are_no_numbered_steps_and_the_next_job_is_named(
    sample_page,
):
    page, said = sample_page
    _part(page, "Work it out")
    page.click("text=Work it out now")
    page.wait_for_selector("#said:has-text('Worked out')", timeout=120_000)
    assert page.locator("ol.steps").count() == 0
    steps = page.locator("ul.steps li.step")
    assert steps.count() > 3
    assert steps.first.bounding_box()["y"] == steps.nth(2).bounding_box()["y"]
    told = page.inner_text("ul.steps")
    assert "“What is due” at the desk" in told
    assert "To look into: " in told
    for of_the_terminal in ("report.json", "Map: ", "Strip Vine hollow strip"):
        assert of_the_terminal not in told
    for link in page.locator("#main a.button").all():
        box = link.bounding_box()
        assert box["height"] >= 44
    _part(page, "What is due")
    assert re.search(
        r"\d+ more later\. The next is .+, .+ \d+, \d{4}\.", page.inner_text("#main")
    )
    fold = page.locator("#main details", has_text="The later jobs: ").first
    count = int(fold.locator("summary").inner_text().rpartition(" ")[2])
    assert fold.locator("li").count() == 0
    fold.locator("summary").first.click()
    fold.locator("li").first.wait_for()
    assert fold.locator("li button:has-text('Done today')").count() == count > 20
    # what is months away does not wait for rain yet
    assert fold.locator("li", has_text="plant").count() > 0
    assert fold.locator("button:has-text('It has not rained')").count() == 0
    assert said == []


def test_what_was_added_leaves_no_second_form_open_and_no_heading_is_said_twice(
    sample_page,
):
    page, said = sample_page
    _part(page, "Everything about it")
    page.click("summary:has-text('What is sown')")
    new = page.locator("[data-item='mix[+]']")
    new.locator("summary").first.click()
    new.get_by_label("Name", exact=True).fill("late oats")
    new.get_by_label("Crop", exact=True).fill("oats")
    tag = new.locator(
        "[data-box='seed.germination'], .field:has(label:text-is('Germination'))"
    )
    assert "85% or 0.85" in tag.first.inner_text()
    new.get_by_label("Pounds an acre", exact=True).fill("60")
    new.get_by_label("Rate is of", exact=True).select_option("bulk")
    new.locator("button.first").click()
    page.wait_for_selector("#said:has-text('Added')")
    assert page.locator("[data-item='mix[+]']").get_attribute("open") is None
    assert page.locator("details[open] > summary:has-text('late oats')").count() == 1
    for heading in page.locator("#main h2").all():
        title = heading.text_content().rstrip(".")
        beside = heading.evaluate("node => node.nextElementSibling?.textContent || ''")
        assert not beside.startswith(title), title
    assert said == []


def test_what_would_help_a_strip_is_said_once_with_its_boxes(sample_page):
    page, said = sample_page
    page.click("button[aria-label='Look at Vine hollow']")
    page.click("summary:has-text('Its strip')")
    page.wait_for_selector("text=What would help, the cheapest first")
    strip = page.locator("details.strip")
    assert strip.inner_text().count("hand-pulling on foot") == 1
    cure = strip.locator("ol li", has_text="Edge staked")
    cure.get_by_role("button", name="Open “Edge staked”").wait_for()
    words = strip.inner_text()
    for one in ("slow", "usual", "fast"):
        assert words.count(f"With {one} growth") == 1
    assert re.search(r"In \d+ whole passes of the mower that makes 83 ft", words)
    assert "stress" not in words
    assert said == []


def test_a_piece_of_another_kind_has_that_kind_s_parts_at_once(sample_page):
    page, said = sample_page
    page.click("button[aria-label='Look at Wire lane']")
    page.wait_for_selector("summary:has-text('Its edge')")
    assert page.locator("summary:text-is('Its strip')").count() == 0
    page.get_by_label("Kind", exact=True).select_option("patch")
    page.wait_for_selector("summary:text-is('Its strip')")
    page.wait_for_selector("#said:has-text('Kept')")
    assert (
        page.locator("details[open] > summary:has-text('The vine and its strip')").count()
        == 1
    )
    assert said == []


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_no_piece_lies_under_the_buttons_of_the_map(browser, desk, size):
    desk.call("/api/open", {"sample": True})
    page, _ = tab(browser, desk, size)
    page.wait_for_selector("#chart .leaflet-overlay-pane path")
    page.wait_for_timeout(500)
    zoom = page.locator("#chart .leaflet-control-zoom").bounding_box()
    for path in page.locator("#chart .leaflet-overlay-pane path").all():
        assert path.bounding_box()["x"] >= zoom["x"] + zoom["width"]


def test_settings_are_asked_in_words_not_in_the_file_s_spelling(sample_page):
    page, said = sample_page
    _part(page, "Everything about it")
    page.evaluate(
        "document.querySelectorAll('#main details').forEach((d) => { d.open = true; })"
    )
    main = page.inner_text("#main")
    for spelled in ("**", "[[task", "[lags", "tasks = [", "lags = {", "Add to "):
        assert spelled not in main, spelled
    once = "Strips and areas are cut to it or checked against it."
    whole = page.locator(".why:has-text('File with the property line')").inner_text()
    assert once.lower() not in whole.lower().replace(once.lower(), "", 1)
    _part(page, "Ground")
    page.click("button[aria-label='Look at Vine hollow']")
    page.wait_for_selector("text=Its strip")
    kind = page.get_by_label("Kind", exact=True)
    assert kind.input_value() == "patch"
    assert kind.locator("option:checked").inner_text() == "vine patch"
    assert said == []


def test_ground_that_lies_on_other_ground_is_told_above_the_list(browser, desk, tmp_path):
    desk.call("/api/open", {"new": "Crow Ridge"})

    def square(west, name):
        ring = [[west, 33.2], [west + 0.002, 33.2], [west + 0.002, 33.202]]
        ring += [[west, 33.202], [west, 33.2]]
        return {
            "type": "Feature", "properties": {"name": name},
            "geometry": {"type": "Polygon", "coordinates": [ring]},
        }  # fmt: skip

    both = [square(-86.3, "Mill flat"), square(-86.299, "Long field")]
    (tmp_path / "a.geojson").write_text(
        json.dumps({"type": "FeatureCollection", "features": both})
    )
    page, said = tab(browser, desk)
    page.set_input_files("#files", str(tmp_path / "a.geojson"))
    page.wait_for_selector("text=Keep these 2 pieces")
    page.click("text=Keep these 2 pieces")
    note = page.locator("#main >> text=counted once in the total").first
    note.wait_for()
    first = page.locator("button[aria-label='Look at Mill flat']")
    first.wait_for()
    assert note.bounding_box()["y"] < first.bounding_box()["y"]
    assert said == []


def test_a_place_that_was_closed_is_offered_again(sample_page):
    page, said = sample_page
    _part(page, "Keep and leave")
    page.click("text=Close this place")
    page.wait_for_selector("text=Begin a place without a file")
    assert page.locator("button[aria-label='Open Sweetgum Bend']").count() == 1
    assert page.locator("nav").is_hidden()
    assert said == []


def test_a_place_for_which_nothing_is_meant_yet_says_what_to_say_first(browser, desk):
    desk.call("/api/open", {"new": "Crow Ridge"})
    page, said = tab(browser, desk)
    ring = [[-86.3, 33.2], [-86.298, 33.2], [-86.298, 33.202], [-86.3, 33.2]]
    drawn = {
        "type": "Feature", "properties": {"name": "Mill flat"},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }  # fmt: skip
    page.set_input_files(
        "#files",
        {
            "name": "a.geojson",
            "mimeType": "application/json",
            "buffer": json.dumps(drawn).encode(),
        },
    )
    page.click("text=Keep this piece")
    page.wait_for_selector("text=1 piece")
    _part(page, "Work it out")
    page.click("text=Work it out now")
    page.wait_for_selector("#said:has-text('Worked out')", timeout=120_000)
    _part(page, "What is due")
    main = page.inner_text("#main")
    assert "No job is planned yet. Say under Ground what is sown" in main
    assert "Nothing." not in main
    assert said == []


def test_what_is_refused_is_in_sight_and_leads_to_where_it_is_made(browser, desk):
    desk.call("/api/open", {"new": "Crow Ridge"})
    page, _ = tab(browser, desk)
    _part(page, "Everything about it")
    page.click("summary:has-text('What is sown')")
    page.click("summary:has-text('Add a mix')")
    form = page.locator("form:visible")
    form.get_by_label("Name", exact=True).fill("Fall green")
    form.get_by_label("Crop", exact=True).fill("wheat")
    form.get_by_label("Pounds an acre", exact=True).fill("80")
    form.get_by_label("Purity", exact=True).fill("98.5%")
    form.get_by_label("Germination", exact=True).fill("85")
    form.get_by_label("Price a pound (dollars)", exact=True).fill("$0.55")
    form.get_by_label("Rate is of", exact=True).select_option("bulk")
    form.locator("button:has-text('Add it')").click()
    said = page.locator("#said:has-text('“Germination”: “85” is more than the whole')")
    said.wait_for()
    assert page.evaluate("scrollY") > 400
    box = said.bounding_box()
    assert box["y"] >= 0, "it is in sight"
    assert "\n" not in said.inner_text().strip()
    form.get_by_label("Germination", exact=True).fill("85 %")
    form.locator("button:has-text('Add it')").click()
    page.wait_for_selector("#said:has-text('Added')")
    seed = desk.call("/api/place")[1]["settings"]["mix"][0]["seed"][0]
    assert (seed["purity"], seed["germination"], seed["price_lb"]) == (0.985, 0.85, 0.55)


def test_a_mix_that_there_is_not_has_a_button_to_where_it_is_made(sample_page):
    page, _ = sample_page
    _part(page, "Ground")
    page.click(
        "button[aria-label='Look at Mill flat'], button[aria-label='Look at North bottom']"
    )
    page.wait_for_selector("text=What is sown on it")
    mix = page.get_by_label("Mix", exact=True).first
    mix.fill("Fall green")
    mix.press("Tab")
    page.wait_for_selector("text=there is no mix named “Fall green”")
    page.click("button:has-text('Add a mix under “What is sown”')")
    page.wait_for_selector("details[open] > summary:has-text('What is sown')")
    new = page.locator("[data-item='mix[+]'][open]")
    assert new.get_by_label("Name", exact=True).input_value() == "Fall green"
    assert page.inner_text("#said") == ""
