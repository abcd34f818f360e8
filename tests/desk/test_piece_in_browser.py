"""The page of one piece of ground and its strip, held to axe-core at each size."""

import pytest
from desk_tab import LOOKED_AT, passes_axe, tab

pytestmark = pytest.mark.browser


def unfold(page):
    """Open everything that can be opened, the strip apart: it is worked out when it opens."""
    page.evaluate(
        "document.querySelectorAll('#main details:not(.strip)').forEach((one) => { one.open = true; })"
    )
    page.wait_for_timeout(300)


@pytest.mark.parametrize("size", [*LOOKED_AT, "zoomed"])
def test_a_piece_and_its_strip_fit_and_pass_axe(browser, desk, sample, size):
    page, said = tab(browser, desk, size, has_touch=size == "phone")
    for piece in ("North bottom", "Vine hollow", "South burn block"):
        page.locator("nav button", has_text="Ground").click()
        page.click(f"button[aria-label='Look at {piece}']")
        page.wait_for_selector("summary:has-text('Its edge')")
        passes_axe(page, piece)
        if piece != "North bottom":
            page.click("details.strip > summary")
            page.wait_for_selector("details.strip p:has-text('ft wide')")
            passes_axe(page, f"the strip of {piece}")
        unfold(page)
        passes_axe(page, f"all boxes of {piece}")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    assert said == []


def test_a_piece_becomes_the_property_line_and_comes_back(browser, desk, sample):
    page, said = tab(browser, desk, "phone", has_touch=True)
    page.locator("nav button", has_text="Ground").click()
    page.click("button[aria-label='Look at Long field']")
    page.get_by_role("button", name="This is the property line").tap()
    page.wait_for_selector("#said:has-text('Long field is the property line now. Its ')")
    assert " are no ground of their own now." in page.inner_text("#said")
    assert page.locator("button[aria-label='Look at Long field']").count() == 0
    text = (sample / "property.toml").read_text()
    assert 'name = "Long field"' not in text
    page.get_by_role("button", name="Take back the last change").tap()
    page.wait_for_selector("button[aria-label='Look at Long field']")
    assert (sample / "property.toml").read_text() != text
    assert said == []
