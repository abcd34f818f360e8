"""What is half filled or brought outlives what else is done on the page; mistakes are taken back."""

import shutil

import pytest
from desk_tab import LOOKED_AT, passes_axe, tab, three_loops

from quietacre.demo.write import write_sample

pytestmark = pytest.mark.browser


@pytest.fixture
def page(browser, desk, sample):
    return tab(browser, desk)[0]


def _part(page, name):
    page.click(f"nav >> text={name}")
    page.wait_for_selector("#main >> text=One moment", state="detached")


def _files(folder, count):
    first = three_loops(folder / "one.gpx")
    text = first.read_text()
    made = [first]
    for n in range(1, count):
        other = folder / f"file {n + 1}.gpx"
        other.write_text(
            text.replace('lat="33.', f'lat="{33 + n}.').replace("North", f"North {n}")
        )
        made.append(other)
    return [str(path) for path in made]


@pytest.mark.parametrize("size", LOOKED_AT)
def test_the_other_files_wait_while_one_is_kept_and_the_place_is_named_once(
    browser, desk, tmp_path, size
):
    page, said = tab(browser, desk, size)
    name = page.get_by_label("What do you call the whole place?")
    assert not name.is_visible()
    page.set_input_files("#files", _files(tmp_path, 3))
    cards = page.locator("section:has(button:has-text('Keep these 3 pieces'))")
    cards.nth(2).wait_for()
    assert name.count() == 1
    name.fill("Crow Ridge")
    cards.nth(1).get_by_label("Its name", exact=True).first.fill("Renamed before")
    passes_axe(page, "three files that wait")
    cards.nth(0).get_by_role("button", name="Keep these 3").click()
    page.wait_for_selector("#said:has-text('2 more files wait')")
    page.wait_for_selector("text=3 pieces, ")
    assert page.inner_text("#place-name") == "Crow Ridge"
    assert name.count() == 0
    assert cards.count() == 2
    renamed = cards.nth(0).get_by_label("Its name", exact=True).first
    assert renamed.input_value() == "Renamed before"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    # another part of the desk, and back
    _part(page, "Keep and leave")
    _part(page, "Ground")
    assert cards.count() == 2
    cards.nth(1).get_by_role("button", name="Leave file 3.gpx out").click()
    cards.nth(0).get_by_role("button", name="Keep these 3").click()
    page.wait_for_selector("text=6 pieces, ")
    assert cards.count() == 0
    assert "more file" not in page.inner_text("#said")
    names = [one["name"] for one in desk.call("/api/place")[1]["settings"]["area"]]
    assert "Renamed before" in names
    assert said == []


def test_files_that_wait_stay_with_their_own_place(browser, desk, tmp_path):
    page, _ = tab(browser, desk)
    page.set_input_files("#files", _files(tmp_path, 2))
    cards = page.locator("section:has(button:has-text('Keep these 3 pieces'))")
    cards.nth(1).wait_for()
    cards.nth(0).get_by_role("button", name="Keep these 3").click()
    page.wait_for_selector("text=3 pieces, ")
    _part(page, "Keep and leave")
    page.click("text=Close this place")
    page.wait_for_selector("text=Begin a place without a file")
    assert cards.count() == 0
    page.get_by_label("What do you call it?").fill("Elsewhere")
    page.click("text=Begin this place")
    page.wait_for_selector("text=No ground yet")
    assert cards.count() == 0


def _seed_form(page):
    page.click("summary:has-text('What is sown')")
    page.click("summary:has-text('Add a mix')")
    return page.locator("[data-item='mix[+]'] form")


def test_a_refused_form_stays_as_it_was_typed_while_another_form_is_kept(page):
    _part(page, "Everything about it")
    form = _seed_form(page)
    form.get_by_label("Name", exact=True).fill("Fall green")
    form.get_by_label("Crop", exact=True).fill("wheat")
    form.get_by_label("Rate is of", exact=True).select_option("bulk")
    form.get_by_label("Price a pound (dollars)", exact=True).fill("0,48")
    form.get_by_role("button", name="Add it").click()
    page.wait_for_selector("#said:has-text('0,48')")
    page.locator("summary:text-is('Soil tests')").first.click()
    page.locator("summary:has-text('Add a soil test')").click()
    test = page.locator("[data-item='soil_test[+]'] form")
    test.get_by_label("Name", exact=True).fill("Ridge")
    test.get_by_role("button", name="Add it").click()
    page.wait_for_selector("#said:has-text('Added')")
    assert form.get_by_label("Name", exact=True).input_value() == "Fall green"
    assert form.get_by_label("Price a pound (dollars)", exact=True).input_value() == "0,48"
    assert form.get_by_label("Rate is of", exact=True).input_value() == "bulk"
    assert form.get_by_label("Price a pound (dollars)", exact=True).is_visible()
    assert "0,48" in form.locator(".fault").inner_text()
    assert test.get_by_label("Name", exact=True).input_value() == ""
    # it waits while another part is looked at, and while the page is read again
    _part(page, "Ground")
    _part(page, "Everything about it")
    assert form.get_by_label("Name", exact=True).input_value() == "Fall green"
    page.reload()
    page.wait_for_selector("#main h2")
    _part(page, "Everything about it")
    assert form.get_by_label("Price a pound (dollars)", exact=True).input_value() == "0,48"
    form.get_by_label("Price a pound (dollars)", exact=True).fill("0.48")
    form.get_by_label("Pounds an acre", exact=True).fill("60")
    form.get_by_role("button", name="Add it").click()
    page.wait_for_selector("#said:has-text('Added')")
    assert form.get_by_label("Name", exact=True).input_value() == ""
    _part(page, "Ground")
    _part(page, "Everything about it")
    assert form.get_by_label("Name", exact=True).input_value() == ""
    assert not form.get_by_label("Name", exact=True).is_visible()


def test_leaving_the_page_with_a_half_filled_form_is_asked_about(page):
    asked = []

    def ask(dialog):
        asked.append(dialog.type)
        dialog.dismiss()

    page.on("dialog", ask)
    _part(page, "Everything about it")
    form = _seed_form(page)
    name = form.get_by_label("Name", exact=True)
    name.fill("Fall green")
    page.close(run_before_unload=True)
    page.context.pages[0].wait_for_timeout(500)
    assert asked == ["beforeunload"]
    name.fill("")
    with page.expect_event("close"):
        page.close(run_before_unload=True)
    assert asked == ["beforeunload"]


def test_a_table_and_other_forms_wait_while_a_line_is_written(page, desk):
    _part(page, "Work it out")
    page.click("text=Work it out now")
    page.wait_for_selector("#said:has-text('Worked out')", timeout=120_000)
    _part(page, "What is due")
    page.click("summary:has-text('Type a whole sheet as one table')")
    sheet = page.locator("form:has(#sheet-of)")
    grounds = page.locator("#sheet-of option").all_text_contents()
    page.select_option("#sheet-of", grounds[-1])
    minutes = sheet.get_by_label("Minutes: ").first
    minutes.fill("41")
    page.select_option("#sheet-of", grounds[0])
    sheet.get_by_label("Minutes: ").first.fill("7")
    page.select_option("#sheet-of", grounds[-1])
    assert minutes.input_value() == "41"
    done = page.locator("li:has(button:has-text('Done, with more'))").first
    opener = done.get_by_role("button", name="Or otherwise")
    if opener.is_visible():
        opener.click()
    done.get_by_role("button", name="Done: ").click()
    page.locator(".done-form").get_by_label("A note", exact=True).fill("half of it")
    page.click("summary:has-text('Write down what was seen')")
    page.get_by_label("How many (0 when").fill("3")
    page.get_by_label("In your own words, if").fill("does")
    page.click("button:has-text('Write it down')")
    page.wait_for_selector("#said:has-text('Written into seen.csv')")
    assert page.locator("#sheet-of").input_value() == grounds[-1]
    assert minutes.is_visible()
    assert minutes.input_value() == "41"
    assert (
        page.locator(".done-form").get_by_label("A note", exact=True).input_value()
        == "half of it"
    )
    assert page.get_by_label("How many (0 when").input_value() == ""
    page.select_option("#sheet-of", grounds[0])
    assert sheet.get_by_label("Minutes: ").first.input_value() == "7"


@pytest.mark.parametrize("size", LOOKED_AT)
def test_a_name_that_nothing_has_is_asked_about_with_a_button(browser, desk, size):
    folder = desk.home / "sample"
    write_sample(folder)
    settings = folder / "property.toml"
    settings.write_text(settings.read_text().replace("North bottom", "Étang de Mémère"))
    desk.call("/api/open", {"folder": str(folder)})
    page, _ = tab(browser, desk, size)
    _part(page, "What is due")
    page.click("summary:has-text('Write a line into the log')")
    form = page.locator("form:has([name=area])")
    form.get_by_label("What was done, in your own words").fill("mowed")
    form.locator("[name=area]").fill("etang de memere")
    form.get_by_role("button", name="Write it into the log").click()
    page.wait_for_selector("#said:has-text('Did you mean “Étang de Mémère”?')")
    offered = form.locator(".fault button")
    assert offered.all_inner_texts() == ["Étang de Mémère"]
    assert offered.bounding_box()["height"] >= 44
    for of_the_terminal in ("quietacre ", "--", "property.toml", "firebreak"):
        assert (
            of_the_terminal
            not in page.inner_text("#said") + form.locator(".fault").inner_text()
        )
    passes_axe(page, "a name that is offered")
    offered.click()
    page.wait_for_selector("#said:has-text('Written into the log: mowed, Étang de Mémère')")
    assert desk.call("/api/lines")[1]["lines"][-1]["area"] == "Étang de Mémère"
    assert page.locator("[name=area]").input_value() == ""


def test_a_line_taken_back_is_marked_and_counts_nowhere(page, desk, sample):
    place = desk.call("/api/place")[1]["settings"]
    name = next(one["name"] for one in place["area"] if one["kind"] == "plot")

    def count():
        page.click("nav >> text=Ground")
        page.click(f"button[aria-label='Look at {name}']")
        summary = page.locator("summary:has-text('What was done here')")
        return summary.inner_text().rpartition(" ")[2]

    before = count()
    desk.call(
        "/api/log",
        {"task": "mowed", "area": name, "on": "2026-01-05", "note": "by mistake"},
    )
    assert count() != before
    _part(page, "What is due")
    row = page.locator("#main tr:has-text('by mistake')")
    row.get_by_role("button", name="Take back").click()
    page.wait_for_selector("#said:has-text('taken back')")
    assert row.get_by_text("taken back", exact=True).count() == 1
    assert row.get_by_role("button").count() == 0
    assert page.locator("#main td:text-is('undo')").count() == 0
    assert count() == before


def test_each_part_names_what_it_takes_back_and_brings_it_again(page, desk, sample):
    place = desk.call("/api/place")[1]["settings"]
    name = place["area"][0]["name"]
    line = desk.call("/api/log", {"task": "mowed", "area": name, "on": "2026-01-05"})[1][
        "line"
    ]
    _part(page, "Everything about it")
    page.click("button:has-text('Take back the last change')")
    page.wait_for_selector("#said:has-text('Taken back: ')")
    assert f"{name}: mowed" in page.inner_text("#said")
    page.click("button:has-text('Bring it again')")
    page.wait_for_selector("#said:has-text('Brought again: ')")
    assert f"{name}: mowed" in page.inner_text("#said")
    assert desk.call("/api/lines")[1]["lines"][-1]["id"] == line["id"]
    desk.call("/api/log", {"undo": line["id"]})
    status, told = desk.call("/api/log", {"undo": line["id"]})
    assert (status, told["why"]) == (
        422, "The log: that line is taken back already; write it again if it was done after all",
    )  # fmt: skip
    label = desk.call("/api/undo", {})[1]["label"]
    assert line["id"] not in label
    shutil.rmtree(sample)
