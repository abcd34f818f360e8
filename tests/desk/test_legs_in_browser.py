"""Deeds and tape tables typed in headless Chromium: each leg lit, faults on their row, kept, mended."""

import pytest
from desk_tab import LOOKED_AT, passes_axe, tab
from drawing_hand import acres_of, click

pytestmark = pytest.mark.browser
LEGS = [("N 10 E", "410"), ("S 80 E", "300"), ("S 10 W", "405"), ("N 81 W", "301")]
DEED = (
    "Beginning at an iron pin; thence North 10 degrees East 410 feet; thence South 80 degrees "
    "East 300 feet; thence South 10 degrees West 405 feet; thence to the point of beginning."
)


def type_legs(page, legs=LEGS):
    for number, (bearing, length) in enumerate(legs, 1):
        page.get_by_label(f"Bearing of leg {number}").fill(bearing)
        page.get_by_label(f"Length of leg {number}").fill(length)


@pytest.mark.parametrize("size", LOOKED_AT)
def test_a_tape_table_is_typed_placed_kept_and_mended(browser, desk, sample, size):
    page, said = tab(browser, desk, size, has_touch=size == "phone")
    page.click("text=Type a deed or a tape table")
    page.wait_for_selector("table.legs")
    type_legs(page)
    page.wait_for_selector(".figures:has-text('misses its beginning by 1.0 ft')")
    assert page.locator("#piece-name").count() == 0, "it has no place yet"
    page.click("text=Its first corner is here")
    page.locator("#chart").scroll_into_view_if_needed()
    click(page, (0.6, 0.6))
    page.wait_for_selector("#piece-name")
    page.get_by_label("Length of leg 3").focus()
    assert page.inner_text(".corner-line") == "leg 3, 405 ft"
    assert page.locator("tr.lit th").inner_text() == "3"
    lit = "path.leg[stroke-width='8'][stroke-dasharray]"
    assert page.locator(lit).count() == 1
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    passes_axe(page, "legs")
    page.fill("#piece-name", "Taped lot")
    page.locator("button.first", has_text="Keep").click()
    page.wait_for_selector("#said:has-text('Kept: Taped lot')")
    before = acres_of(desk, "Taped lot")
    assert before == pytest.approx(2.81, abs=0.006)
    page.locator("button[aria-label='Look at Taped lot']").click()
    page.click("text=Draw or mend its edge")
    page.wait_for_selector("h2:has-text('The table of Taped lot')")
    page.get_by_label("Length of leg 1").fill("430")
    page.wait_for_selector(".figures:has-text('misses its beginning by 19')")
    page.locator("button.first", has_text="Keep").click()
    page.wait_for_selector("#said:has-text('Kept: Taped lot')")
    assert acres_of(desk, "Taped lot") > before
    assert said == []


def test_a_leg_that_is_not_understood_says_so_on_its_row_and_the_others_stay_lit(
    browser, desk, sample
):
    page, _ = tab(browser, desk)
    page.click("text=Type a deed or a tape table")
    type_legs(page)
    page.wait_for_selector("path.leg >> nth=3")
    page.get_by_label("Bearing of leg 2").fill("S 80 Q")
    page.wait_for_selector("table.legs .fault:has-text('S 80 Q')")
    page.get_by_label("Length of leg 3").focus()
    assert page.inner_text(".corner-line") == "leg 3, 405 ft"
    page.get_by_label("Length of leg 2").focus()
    assert page.locator("path.leg[stroke-width='8']").count() == 0
    assert page.locator("button.first", has_text="Keep").count() == 0
    page.get_by_label("Take out leg 2").click()
    page.wait_for_selector(".fault:has-text('S 80 Q')", state="detached")


def test_the_calls_of_a_deed_become_rows(browser, desk, sample):
    page, _ = tab(browser, desk)
    page.click("text=Type a deed or a tape table")
    page.click("text=Read the calls of a deed")
    page.fill("#deed-text", DEED)
    page.click("text=Read these calls")
    page.wait_for_selector("[aria-label='Bearing of leg 3']")
    page.wait_for_selector("path.leg >> nth=2")
    page.wait_for_selector(".figures .acres")
