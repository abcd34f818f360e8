"""From three loops in one GPX to a shopping list: by mouse, by touch, by keys, at three sizes.

Each hand is driven at one size; with ALL_SIZES=1 in the environment at every size.
"""

import os
import tomllib

import pytest
from desk_tab import SIZES, tab, three_loops

pytestmark = pytest.mark.browser
MOST_CLICKS = 40
NAMES = ["North bottom", "Mill flat", "Long field"]


class Mouse:
    """A hand on a mouse; every press is counted."""

    def __init__(self, page):
        self.page, self.clicks = page, 0

    def press(self, what):
        self.clicks += 1
        what.click()

    def pick(self, box, path):
        with self.page.expect_file_chooser() as chooser:
            self.press(box)
        chooser.value.set_files(str(path))

    def write(self, box, text):
        self.press(box)
        box.fill(text)

    def choose(self, box, value):
        self.press(box)
        box.select_option(value)

    def day(self, box, iso):
        self.press(box)
        box.fill(iso)

    def leave(self, box):
        self.clicks += 1
        box.blur()


class Touch(Mouse):
    """A finger."""

    def press(self, what):
        self.clicks += 1
        what.scroll_into_view_if_needed()
        what.tap()


class Keys(Mouse):
    """Keys alone: Tab and Shift+Tab go from place to place, Enter and Space press."""

    def reach(self, what):
        what.wait_for()
        goal = what.element_handle()
        for key in ["Tab"] * 260 + ["Shift+Tab"] * 520:
            if self.page.evaluate("(node) => document.activeElement === node", goal):
                box = goal.bounding_box()
                assert box is not None
                return
            self.page.keyboard.press(key)
        raise AssertionError(f"keys do not reach {what}")

    def press(self, what):
        self.clicks += 1
        self.reach(what)
        checks = what.evaluate("(node) => node.type === 'checkbox' || node.type === 'file'")
        self.page.keyboard.press("Space" if checks else "Enter")

    def write(self, box, text):
        self.reach(box)
        self.page.keyboard.press("Control+a")
        self.page.keyboard.type(text)

    def choose(self, box, value):
        self.reach(box)
        self.page.keyboard.type(box.locator(f"option[value='{value}']").inner_text())
        assert box.input_value() == value

    def day(self, box, iso):
        self.reach(box)
        year, month, day = iso.split("-")
        self.page.keyboard.type(f"{int(month)}/{int(day)}/{year}")

    def leave(self, box):  # noqa: ARG002 - the keys are there already
        self.page.keyboard.press("Tab")


HANDS = {"mouse": Mouse, "touch": Touch, "keys": Keys}


def sow(page, hand, name, day):
    """Say what is sown on a piece and when, on its own page."""
    hand.press(page.locator("nav button", has_text="Ground"))
    hand.press(page.locator(f"button[aria-label='Look at {name}']"))
    mix = page.get_by_label("Mix", exact=True).first
    hand.write(mix, "fall oats")
    hand.leave(mix)
    page.wait_for_selector("#said:has-text('Kept')")
    page.evaluate("document.getElementById('said').textContent = ''")
    planted = page.get_by_label("Planting day", exact=True).first
    hand.day(planted, day)
    hand.leave(planted)
    page.wait_for_selector("#said:has-text('Kept')")


def from_loops_to_list(page, hand, desk, tmp_path):
    """Go the whole path, and hold what stands in the folder."""
    hand.pick(page.locator("#files"), three_loops(tmp_path / "three.gpx"))
    page.wait_for_selector("text=Keep these 3 pieces of ground")
    assert "North bottom: 5.0" in page.inner_text("#main")
    hand.write(page.get_by_label("What do you call the whole place?"), "Crow Ridge")
    hand.press(page.locator("button:has-text('Keep these 3 pieces of ground')"))
    page.wait_for_selector("text=3 pieces, 15.")
    hand.press(page.locator("nav button", has_text="Everything about it"))
    hand.press(page.locator("summary:has-text('What is sown')"))
    hand.press(page.locator("summary:has-text('Add a mix') >> visible=true"))
    form = page.locator("form:visible").first
    hand.write(form.get_by_label("Name", exact=True), "fall oats")
    hand.write(form.get_by_label("Crop", exact=True), "oats")
    hand.write(form.get_by_label("Pounds an acre", exact=True), "60")
    hand.choose(form.get_by_label("Rate is of", exact=True), "bulk")
    hand.write(form.get_by_label("Price a pound (dollars)", exact=True), "0.45")
    hand.press(page.locator("button:has-text('Add it') >> visible=true").first)
    page.wait_for_selector("#said:has-text('Added')")
    for name in NAMES:
        sow(page, hand, name, "2027-09-25")
    hand.press(page.locator("nav button", has_text="Work it out"))
    hand.press(page.locator("button:has-text('Work it out now')"))
    page.wait_for_selector("#said:has-text('Worked out.')", timeout=120_000)
    shopping = page.locator("a:has-text('The shopping list')")
    with page.expect_download() as got:
        hand.press(shopping)
    assert got.value.suggested_filename.startswith("shopping")
    (path,) = (desk.home / "docs").rglob("property.toml")
    assert "oats" in (path.parent / "out" / "shopping.csv").read_text()
    areas = tomllib.loads(path.read_text())["area"]
    assert [(a["name"], a["mix"], str(a["plant"])) for a in areas] == [
        (name, "fall oats", "2027-09-25") for name in NAMES
    ]
    return hand.clicks


WAYS = [(how, size) for how in HANDS for size in SIZES]
if not os.environ.get("ALL_SIZES"):
    WAYS = [("mouse", "laptop"), ("touch", "phone"), ("keys", "wide")]


@pytest.mark.parametrize(("how", "size"), WAYS)
def test_from_three_loops_to_a_shopping_list_without_touching_a_file(
    browser, desk, tmp_path, how, size
):
    page, said = tab(browser, desk, size, has_touch=how == "touch", locale="en-US")
    hand = HANDS[how](page)
    clicks = from_loops_to_list(page, hand, desk, tmp_path)
    print(f"{how}, {size}: {clicks} clicks")
    assert clicks < MOST_CLICKS
    assert said == []
