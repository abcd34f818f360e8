"""Drawing in headless Chromium: by mouse, by touch and by keys, each tool from nothing to kept."""

import json
import math
import re

import numpy as np
import pytest
import shapely
from desk_tab import LOOKED_AT, passes_axe, tab
from drawing_hand import (
    acres_of,
    click,
    corner,
    corners_now,
    drag,
    keep,
    mend,
    shown_acres,
    spot,
)
from running_desk import RunningDesk

from quietacre.acreage.equal_area import area_m2
from quietacre.units import ACRE_M2

pytestmark = pytest.mark.browser
MOUSE = ["laptop", "wide"]


@pytest.mark.parametrize("size", MOUSE)
def test_a_corner_is_dragged_and_kept_and_taken_back(browser, desk, sample, size):
    page, said = tab(browser, desk, size)
    before = acres_of(desk, "Old orchard")
    mend(page, "Old orchard")
    assert shown_acres(page) == pytest.approx(before, abs=0.006)
    page.click("text=Move its corners")
    middle = spot(page, 0.5, 0.5)
    start = corner(page, 1)
    away = [1.0 if a > b else -1.0 for a, b in zip(start, middle, strict=True)]
    drag(page, start, (40 * away[0], 40 * away[1]), up=False)
    dragged = shown_acres(page)
    assert dragged > before
    page.mouse.up()
    page.wait_for_selector(".figures .acres + span:not(.waits)", state="attached")
    assert "corner 1 of" in page.inner_text(".corner-line")
    assert "ft to the next" in page.inner_text(".corner-line")
    page.keyboard.press("Escape")
    keep(page)
    after = acres_of(desk, "Old orchard")
    assert after == pytest.approx(dragged, abs=0.006)
    assert after > before
    page.click("button:has-text('Take back the last change')")
    page.wait_for_selector("#said:has-text('Taken back')")
    assert acres_of(desk, "Old orchard") == pytest.approx(before, abs=1e-9)
    page.click("button:has-text('Bring it again')")
    page.wait_for_selector("#said:has-text('Brought again')")
    assert acres_of(desk, "Old orchard") == after
    page.click("button:has-text('Bring it again')")
    page.wait_for_selector("#said.doubts:has-text('no change')")
    assert [line for line in said if "422" not in line] == []


def test_acres_while_dragging_are_pythons(browser, desk, sample):
    page, _ = tab(browser, desk)
    mend(page, "North bottom")
    page.click("text=Move its corners")
    page.evaluate("""async () => {
      const { Stage } = await import('/stage.js');
      const show = Stage.prototype.show;
      window.seen = [];
      Stage.prototype.show = function (shape, dragging) {
        if (dragging) window.seen.push([shape, this.measures.acres(shape)]);
        show.call(this, shape, dragging);
      };
    }""")
    drag(page, corner(page, 1), (35, -28), steps=20)
    seen = page.evaluate("window.seen")
    assert len(seen) > 5
    shapes = [
        shapely.MultiPolygon([(rings[0], rings[1:]) for rings in shape])
        for shape, _ in seen
    ]
    acres = np.array([told for _, told in seen])
    assert acres / (area_m2(shapes) / ACRE_M2) == pytest.approx(1, abs=1e-9)
    assert len(set(acres)) > 5


def test_a_middle_becomes_a_corner_and_a_crossing_is_refused(browser, desk, sample):
    page, _ = tab(browser, desk)
    mend(page, "Old orchard")
    page.click("text=Move its corners")
    count = page.locator(".corners .corner").count()
    box = page.locator(".corners .middle").first.bounding_box()
    drag(page, (box["x"] + 22, box["y"] + 22), (6, 6))
    assert page.locator(".corners .corner").count() == count + 1
    before = page.inner_text(".figures .acres")
    drag(page, corner(page, 3), (900, 0), up=False)
    page.mouse.move(*spot(page, 0.99, 0.02))
    page.mouse.move(*spot(page, 0.02, 0.98))
    page.wait_for_timeout(80)
    assert page.locator(".wrong-place").count() == 1
    page.mouse.up()
    page.wait_for_selector(
        "#said:has-text('Edges would cross here, so nothing was changed.')"
    )
    assert page.inner_text(".figures .acres") == before


def test_corners_by_keys_alone(browser, desk, sample):
    page, said = tab(browser, desk)
    mend(page, "Old orchard")
    page.locator("[data-tool=move]").focus()
    page.keyboard.press("Enter")
    page.locator("#chart").focus()
    for _ in range(6):
        page.keyboard.press("Tab")
        if "corner 1 of" in (page.evaluate("document.activeElement.ariaLabel") or ""):
            break
    line = page.locator(".corner-line")
    count = int(re.match(r"corner 1 of (\d+), [\d,]+ ft to the next", line.inner_text())[1])
    page.keyboard.press("Tab")
    assert line.inner_text().startswith(f"corner 2 of {count}, ")
    was = corners_now(page)
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowUp")
    east, north = feet_apart(was[1], corners_now(page)[1])
    assert (round(east, 2), round(north, 2)) == (1, 10)
    page.keyboard.press("Insert")
    assert line.inner_text().startswith(f"corner 3 of {count + 1}, ")
    page.keyboard.press("Delete")
    assert f"of {count}, " in line.inner_text()
    page.keyboard.press("Control+z")
    assert len(corners_now(page)) == count + 1
    page.keyboard.press("Control+y")
    assert len(corners_now(page)) == count
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.dataset.tool") == "move"
    assert page.locator(".corners").count() == 0
    page.locator(".keeping button.first").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#said:has-text('Kept')", timeout=60_000)
    assert said == []


def feet_apart(one, other):
    frame = math.cos(math.radians(one[1]))
    foot = 364_000  # near enough for a step of feet, told exactly by the page's own numbers
    east = (other[0] - one[0]) * frame * 365_221
    return east, (other[1] - one[1]) * foot


def test_a_finger_moves_corners_with_the_bar(browser, desk, sample):
    page, _ = tab(browser, desk, "phone", has_touch=True, is_mobile=True)
    before = acres_of(desk, "Old orchard")
    mend(page, "Old orchard")
    page.locator("[data-tool=move]").tap()
    page.wait_for_selector(".loupe canvas")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    for button in page.locator(".loupe button").all():
        box = button.bounding_box()
        assert min(box["width"], box["height"]) >= 44, button.inner_text()
    assert page.locator(".corners .chosen").count() == 1
    page.tap("text=Next corner")
    assert page.inner_text(".corner-line").startswith("corner 2 of")
    page.tap(".loupe .size")
    assert page.inner_text(".loupe .size").split() == ["by", "10", "ft"]
    was = corners_now(page)
    for _ in range(3):
        page.tap("[aria-label='Move the corner north']")
    _, north = feet_apart(was[1], corners_now(page)[1])
    assert north == pytest.approx(30, abs=0.3)
    painted = page.evaluate("""() => {
      const glass = document.querySelector('.loupe canvas');
      return new Set(glass.getContext('2d').getImageData(0, 0, 264, 264).data).size;
    }""")
    assert painted > 5
    page.tap("text=Put one in after it")
    page.tap("text=Take it out")
    page.tap("text=Leave it")
    keep(page)
    assert acres_of(desk, "Old orchard") != before


def test_a_finger_drags_the_chosen_corner(browser, desk, sample):
    page, _ = tab(browser, desk, "phone", has_touch=True, is_mobile=True)
    mend(page, "Old orchard")
    page.locator("[data-tool=move]").tap()
    page.wait_for_selector(".corners .chosen")
    page.locator("#chart").scroll_into_view_if_needed()
    before = corners_now(page)
    x, y = corner(page, 1)
    hand = page.context.new_cdp_session(page)
    hand.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})  # fmt: skip
    for n in range(1, 7):
        hand.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x + 4 * n, "y": y - 2 * n}]})  # fmt: skip
    hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    page.wait_for_timeout(200)
    after = corners_now(page)
    assert after[0] != before[0]
    assert after[1:] == before[1:]


@pytest.mark.parametrize("size", [*MOUSE, "phone"])
def test_a_first_piece_is_drawn_where_nothing_is_known(browser, desk, size):
    desk.call("/api/open", {"new": "Crow Ridge"})
    page, said = tab(browser, desk, size, has_touch=size == "phone")
    page.click("text=Draw a new piece")
    page.fill("#where", "somewhere")
    page.click("text=Draw there")
    page.wait_for_selector("#said.doubts:has-text('latitude')")
    page.fill("#where", "33.2, -86.3")
    page.click("text=Draw there")
    page.wait_for_selector("text=Put the corners one after another")
    corners = [(0.3, 0.3), (0.7, 0.3), (0.7, 0.7), (0.3, 0.7)]
    if size == "phone":
        for place in corners:
            page.touchscreen.tap(*spot(page, *place))
            page.wait_for_timeout(350)
    else:
        click(page, *corners)
    page.click("text=Close the edge")
    acres = shown_acres(page)
    keep(page, "Mill flat")
    assert acres_of(desk, "Mill flat") == pytest.approx(acres, abs=0.006)
    assert said == []


def test_a_piece_is_drawn_by_keys_at_the_cross(browser, desk, sample):
    page, _ = tab(browser, desk)
    page.locator("button", has_text="Draw a new piece").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("text=Put the corners one after another")
    page.locator("#chart").focus()
    for way in ("ArrowRight", "ArrowDown", "ArrowLeft"):
        page.keyboard.press("Enter")
        page.keyboard.press(way)
        page.wait_for_timeout(400)
    page.keyboard.press("Enter")
    assert page.inner_text(".corner-line").startswith("4 corners")
    page.locator("button", has_text="Close the edge").focus()
    page.keyboard.press("Enter")
    keep(page, "Cross field")
    assert acres_of(desk, "Cross field") > 0


def test_an_edge_that_crosses_one_before_it_gets_no_corner(browser, desk, sample):
    page, _ = tab(browser, desk)
    page.click("text=Draw a new piece")
    page.wait_for_selector("text=Put the corners one after another")
    click(page, (0.3, 0.3), (0.6, 0.3), (0.6, 0.6), (0.45, 0.1))
    assert "no corner was put here" in page.inner_text(".corner-line")
    assert page.locator(".wrong-place").count() == 1
    page.keyboard.press("Escape")
    assert page.locator(".cross").count() == 0
    page.click("text=Back to all the ground")
    page.wait_for_selector("text=Bring ground")


def test_what_was_let_go_is_not_written(browser, desk, sample):
    before = (sample / "property.toml").read_bytes()
    page, _ = tab(browser, desk)
    mend(page, "Old orchard")
    page.click("text=Move its corners")
    drag(page, corner(page, 2), (12, 9))
    page.keyboard.press("Escape")
    page.click("text=Let it go")
    page.wait_for_selector("#said:has-text('nothing was changed')")
    assert (sample / "property.toml").read_bytes() == before
    mend(page, "Old orchard")
    assert page.locator("text=Go on with it").count() == 0


def test_a_tab_killed_in_mid_drag_loses_that_drag_alone(browser, desk, sample):
    page, _ = tab(browser, desk)
    mend(page, "Old orchard")
    page.click("text=Move its corners")
    drag(page, corner(page, 2), (12, 9))
    page.wait_for_timeout(300)
    left = corners_now(page)
    drag(page, corner(page, 4), (30, 30), up=False)
    page.context.close()
    page, _ = tab(browser, desk)
    page.locator("button[aria-label='Look at Old orchard']").click()
    page.click("text=Draw or mend its edge")
    page.wait_for_selector("text=begun and not kept: 1 step")
    page.click("text=Go on with it")
    assert corners_now(page) == left
    page.click("text=Take back: corner 2 moved")
    page.wait_for_selector("text=Bring again: corner 2 moved")
    page.click("text=Bring again")
    keep(page)


def test_what_was_taken_back_is_brought_again_after_the_desk_was_killed(
    browser, desk, sample
):
    page, _ = tab(browser, desk)
    mend(page, "Old orchard")
    page.click("text=Move its corners")
    for n in (2, 3):
        drag(page, corner(page, n), (9, 9))
    moved = corners_now(page)
    page.click("button:has-text('Take back: corner 3 moved')")
    left = corners_now(page)
    page.wait_for_timeout(400)
    desk.process.kill()
    desk.process.wait()
    page.context.close()
    again = RunningDesk(desk.home, str(sample))
    try:
        again.unlock()
        page, _ = tab(browser, again)
        page.locator("button[aria-label='Look at Old orchard']").click()
        page.click("text=Draw or mend its edge")
        page.wait_for_selector("text=1 step taken back can be brought again")
        page.click("text=Go on with it")
        assert corners_now(page) == left
        page.click("button:has-text('Bring again: corner 3 moved')")
        assert corners_now(page) == moved
        keep(page)
    finally:
        again.end()


def test_two_tabs_on_one_edge_lose_nothing(browser, desk, sample):
    pages = [tab(browser, desk)[0] for _ in range(2)]
    for page, by in zip(pages, ((14, 0), (0, 14)), strict=True):
        mend(page, "Old orchard") if page is pages[0] else open_over_draft(page)
        page.click("text=Move its corners")
        drag(page, corner(page, 2), by)
        page.keyboard.press("Escape")
    mine = corners_now(pages[1])
    keep(pages[0])
    kept = acres_of(desk, "Old orchard")
    pages[1].locator(".keeping button.first").click()
    pages[1].wait_for_selector("text=Another hand changed this edge since you began")
    assert acres_of(desk, "Old orchard") == kept
    assert corners_now(pages[1]) == mine
    pages[1].click("text=Keep mine over it")
    pages[1].wait_for_selector("#said:has-text('Kept')", timeout=60_000)
    assert acres_of(desk, "Old orchard") != kept


def open_over_draft(page):
    page.locator("button[aria-label='Look at Old orchard']").click()
    page.click("text=Draw or mend its edge")
    page.wait_for_selector("text=begun and not kept")
    page.locator(".panel button", has_text="Let it go").click()
    page.wait_for_timeout(200)


@pytest.mark.parametrize("size", LOOKED_AT)
def test_drawing_screens_fit_and_pass_axe(browser, desk, sample, size):
    page, said = tab(browser, desk, size, has_touch=size == "phone")
    mend(page, "Old orchard")
    for tool in (None, "move", "split", "join", "follow", "trim"):
        if tool:
            page.locator(f"[data-tool={tool}]").click()
            page.wait_for_timeout(300)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1"), tool
        passes_axe(page, tool)
        page.keyboard.press("Escape")
    assert not [line for line in said if "policy" in line.lower()], json.dumps(said)


def late(page, address):
    """Hold what is asked of an address back until the returned function is called."""
    held = []
    page.route(address, lambda route: held.append(route))

    def let_go():
        for route in held:
            route.continue_()
        page.unroute(address)

    return held, let_go


def test_an_answer_that_comes_after_its_tool_was_put_down_is_not_shown(
    browser, desk, sample
):
    page, _ = tab(browser, desk)
    mend(page, "Old orchard")
    held, let_go = late(page, "**/beside**")
    page.click("[data-tool=join]")
    page.wait_for_selector(".panel:has-text('One moment')")
    page.keyboard.press("Escape")
    page.wait_for_selector("[data-tool=split]")
    assert len(held) == 1
    page.click("[data-tool=split]")
    let_go()
    page.wait_for_timeout(300)
    assert "Put the line across" in page.inner_text(".panel")
    page.keyboard.press("Escape")
    page.click("[data-tool=follow]")
    page.wait_for_selector("#within-ft:focus")


def test_a_join_that_fails_puts_its_tool_down(browser, desk, sample):
    page, _ = tab(browser, desk)
    mend(page, "Old orchard")
    page.route("**/beside**", lambda route: route.abort())
    page.click("[data-tool=join]")
    page.wait_for_selector("#said.doubts, #gone, dialog[open]", state="attached")
    page.wait_for_selector("[data-tool=join]")


def test_what_comes_late_does_not_undo_what_was_done_meanwhile(browser, desk, sample):
    page, _ = tab(browser, desk)
    mend(page, "Old orchard")
    page.click("[data-tool=trim]")
    page.fill("#spur-ft", "60")
    held, let_go = late(page, "**/shape**")
    page.click("text=Cut them off")
    page.keyboard.press("Escape")
    page.click("text=Move its corners")
    at = corner(page, 1)
    drag(page, at, (25, 25))
    after = shown_acres(page)
    assert held
    let_go()
    page.wait_for_selector("#said.doubts:has-text('was not done. Do it again')")
    assert shown_acres(page) == after


def test_a_line_with_a_width_is_offered_as_a_road(browser, desk, sample):
    page, _ = tab(browser, desk)
    page.click("text=Draw a road or firebreak")
    page.wait_for_selector("text=Put the middle of the road")
    click(page, (0.2, 0.2), (0.4, 0.4), (0.4, 0.6))
    assert page.inner_text(".corner-line").startswith("3 points, the last edge")
    page.click("text=This is its line")
    page.wait_for_selector("#piece-name-kind")
    assert page.input_value("#piece-name-kind") == "road"


def test_where_no_spur_is_there_is_nothing_to_take_back(browser, desk, sample):
    page, _ = tab(browser, desk)
    mend(page, "Old orchard")
    page.click("text=Cut off a spur")
    page.fill("#spur-ft", "1")
    page.click("text=Cut them off")
    page.wait_for_selector("#said:has-text('No spur narrower than 1 ft')")
    assert page.locator("button:has-text('Take back: spurs')").count() == 0
    assert page.locator("#spur-ft").is_visible()
