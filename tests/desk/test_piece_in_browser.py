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
