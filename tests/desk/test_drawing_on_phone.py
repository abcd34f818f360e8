"""Drawing with a finger on a screen as small as a phone's: what has to be in sight is."""

import pytest
from every_tool import DEED, Bench, at, write_place
from hands import Finger

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def bench(browser, tmp_path_factory):
    made = Bench(browser, tmp_path_factory.mktemp("phone"))
    yield made
    made.end()


@pytest.fixture
def hand(bench, tmp_path):
    """A finger on the small screen, at the ground of the invented place."""
    folder = tmp_path / "place"
    write_place(folder)
    code, said = bench.desk.call("/api/open", {"folder": str(folder)})
    assert code == 200, said
    if "phone" not in bench.hands:
        bench.hands["phone"] = Finger(bench.browser, bench.desk, "phone")
    one = bench.hands["phone"]
    one.folder = folder
    one.begin()
    return one


def box(hand, selector):
    """Upper and lower end of something in the window, which has to be whole in it."""
    found = hand.page.locator(selector).first.bounding_box()
    top, bottom = found["y"], found["y"] + found["height"]
    assert top >= -1, (selector, found)
    assert bottom <= 845, (selector, found)
    return top, bottom


def nothing_covers(hand, selector):
    covered = hand.page.locator(selector).first.evaluate("""node => {
      const { left, top, width, height } = node.getBoundingClientRect();
      const seen = document.elementFromPoint(left + width / 2, top + height / 2);
      return !node.contains(seen) && !seen?.contains(node);
    }""")
    assert not covered, selector


def test_a_piece_opens_with_its_map_and_what_can_be_done(hand):
    hand.open("Flat")
    box(hand, "#chart")
    box(hand, "text=Back to all the ground")
    box(hand, "[data-tool=split]")


@pytest.mark.parametrize(
    ("piece", "tool", "said"),
    [
        ("Wing", "Clip to the property line", "outside the property line cut off"),
        ("Far", "Clip to the property line", "Nothing is left of it"),
    ],
)
def test_what_is_said_of_an_act_and_the_map_are_both_in_sight(hand, piece, tool, said):
    hand.open(piece)
    hand.page.mouse.wheel(0, 900)
    hand.tool(tool)
    hand.wait(f"#said:has-text('{said}')")
    box(hand, "#said")
    if piece == "Wing":
        box(hand, "#chart")
        nothing_covers(hand, ".leaflet-control-zoom-in")
        nothing_covers(hand, ".leaflet-control-zoom-out")


def test_only_pieces_that_touch_are_offered_to_join(hand):
    hand.open("Far")
    hand.tool("Join with")
    hand.wait(".panel:has-text('No other piece touches this one')")
    assert hand.page.locator(".panel li").count() == 0
    hand.press("Leave it")
    hand.press("Back to all the ground")
    hand.open("Flat")
    hand.tool("Join with")
    hand.wait(".panel li")
    assert hand.page.locator(".panel li").all_inner_texts() == ["Join with Wing"]
    hand.press("Leave it")
    hand.tool("Follow the neighbor")
    hand.wait(".panel li")
    assert hand.page.locator(".panel li").all_inner_texts()[:2] == [
        "Follow Wing",
        "Follow Next, 6 ft away",
    ]
    hand.press("Follow Next", ".panel")
    hand.wait("button:has-text('Take back: laid on the edge of Next')")
    # as it is drawn now, before anything is kept
    hand.tool("Join with")
    hand.wait(".panel li:has-text('Join with Next')")


def test_a_tap_on_a_plus_puts_a_corner_in(hand):
    hand.open("Flat")
    hand.tool("Move its corners")
    corners = len(hand.shape()[0][0])
    plus = hand.page.locator(".corners button.middle").first.bounding_box()
    hand.page.touchscreen.tap(plus["x"] + 22, plus["y"] + 22)
    hand.wait("button:has-text('Take back: a corner put in')")
    assert len(hand.shape()[0][0]) == corners + 1
    assert hand.line().startswith("corner 2 of 9")


def test_words_where_a_number_of_feet_belongs_are_refused_with_the_words(hand):
    hand.open("Flat")
    hand.tool("Follow the neighbor")
    hand.wait(".panel li")
    hand.type("#within-ft", "a few")
    hand.press("Follow Next", ".panel")
    hand.wait("#said:has-text('“a few” is no number of feet; type one, such as 12')")
    hand.type("#within-ft", "12 ft")
    hand.press("Follow Next", ".panel")
    hand.wait("button:has-text('Take back: laid on the edge of Next')")


def test_a_picture_is_placed_without_looking_for_what_to_do(hand):
    hand.press("Lay a picture underneath")
    hand.page.set_input_files("#picture-file", str(hand.folder.parent / "plat.png"))
    hand.wait(".picture-inner img")
    for n, (x, y) in enumerate(((0.3, 0.3), (0.7, 0.3)), 1):
        hand.wait(f".panel:has-text('Point {n}')")
        box(hand, ".panel")
        box(hand, ".picture")
        hand.on_picture(x, y)
        hand.wait("text=Now point at the same place on the map")
        box(hand, "#chart")
        box(hand, ".panel")
        lon, lat = at(1000 * (x - 0.5), -1000 * (y - 0.5) * 400 / 600)
        hand.type("#typed-place", f"{lat:.7f}, {lon:.7f}")
        hand.press("It lies there")
    hand.wait("text=Keep the picture so placed")
    hand.click(hand.page.locator("[aria-label='Take out point 2']"))
    # one point places nothing, so there is nothing to keep
    hand.page.wait_for_selector("text=Keep the picture so placed", state="detached")
    assert hand.page.locator("img.under").count() == 0


def test_the_leg_that_is_typed_is_lit_in_sight_and_a_second_corner_turns_it(hand):
    hand.press("Type a deed or a tape table")
    hand.click(hand.page.locator("summary", has_text="Read the calls"))
    hand.type("#deed-text", "All bearings are from true north. " + DEED)
    hand.press("Read these calls")
    hand.wait(".figures .acres")
    assert hand.page.get_by_label("Bearing of leg 2").input_value() == "S 80 E"
    assert hand.page.locator("#declination_deg").input_value() == "0"
    hand.press("Its first corner is here")
    hand.point(40, 40)
    hand.page.wait_for_selector("text=Not on the ground yet", state="detached")
    assert "The compass" not in hand.page.inner_text(".figures")
    hand.page.get_by_label("Length of leg 3").tap()
    top, bottom = box(hand, "#chart")
    leg = hand.page.locator("path.leg[stroke-dasharray]")
    found = leg.bounding_box()
    assert found["y"] > top - 1, (found, top)
    assert found["y"] + found["height"] < bottom + 1, (found, bottom)
    box(hand, "[aria-label='Length of leg 3']")
    nothing_covers(hand, "[aria-label='Length of leg 3']")
    before = leg.get_attribute("d")
    hand.press("Leg 3 begins here")
    hand.wait(".panel:has-text('Point at corner 3, where leg 3 begins')")
    hand.point(60, -60)
    hand.wait(".figures:has-text('corners 1 and 3 lie')")
    assert leg.get_attribute("d") != before
    hand.click(hand.page.locator("summary", has_text="The compass"))
    hand.type("#declination_deg", "4 W")
    hand.wait("#said:has-text('Where the compass points is no number of degrees: “4 W”')")


SMALL = """() => [...document.querySelectorAll('button, input, select, textarea, summary, a')]
  .filter((one) => one.checkVisibility()).map((one) => {
    const { width, height } = (one.closest('label') || one).getBoundingClientRect();
    return [one.id || one.textContent, width, height];
  }).filter(([, width, height]) => width < 43.9 || height < 43.9)"""


def test_every_target_of_every_tool_is_44_px(hand):
    hand.open("Flat")
    names = hand.page.locator(".sentences button").all_inner_texts()
    assert len(names) > 8
    for name in names:
        hand.tool(name)
        hand.page.wait_for_timeout(300)
        assert hand.page.evaluate(SMALL) == [], name
        if hand.page.locator(".sentences button", has_text="Leave it").count():
            hand.press("Leave it", ".sentences")


def test_more_columns_than_the_screen_holds_are_seen_to_go_on(hand):
    hand.press("Type a deed or a tape table")
    hand.press("Slopes, curves, back bearings")
    slope = hand.page.get_by_label("Slope, % of leg 1").bounding_box()
    frame = hand.page.locator(".across").bounding_box()
    assert slope["x"] + 12 < frame["x"] + frame["width"] < slope["x"] + slope["width"]
