"""Settings that another hand broke: the desk says where, and puts back what it kept last."""

import pytest
from desk_tab import LOOKED_AT, passes_axe, tab

pytestmark = pytest.mark.browser

PUT_BACK = "Put the settings back as they were kept"


def kept_and_broken(desk, folder):
    """Keep a change of the settings at the desk, then break their file by hand."""
    code, told = desk.call("/api/set", {"key": "equipment.tank_gal", "value": 21})
    assert code == 200, told
    settings = folder / "property.toml"
    good = settings.read_bytes()
    assert b"tank_gal = 21" in good
    settings.write_bytes(good + b"oops [\n")
    return good


@pytest.mark.parametrize("size", LOOKED_AT)
def test_settings_that_cannot_be_read_are_put_back(browser, desk, sample, size):
    good = kept_and_broken(desk, sample)
    page, said = tab(browser, desk, size)
    told = page.inner_text("#said")
    assert "cannot be read" in told
    assert f"line {good.count(bytes([10])) + 1}" in told
    passes_axe(page, "settings that cannot be read")
    page.get_by_role("button", name=PUT_BACK).click()
    page.wait_for_selector("#said:has-text('as they were kept last')")
    page.get_by_role("button", name="North bottom").first.wait_for()
    assert (sample / "property.toml").read_bytes() == good
    code, told = desk.call("/api/undo", {})
    assert code == 200, told
    assert (sample / "property.toml").read_bytes() == good + b"oops [\n"
    assert [line for line in said if "422" not in line] == []


def test_they_are_put_back_where_the_place_is_opened_too(browser, desk, sample):
    good = kept_and_broken(desk, sample)
    code, told = desk.call("/api/open", {"sample": True})
    assert code == 200, told
    page, _ = tab(browser, desk)
    page.click("[data-part=keep]")
    page.click("text=Close this place")
    page.wait_for_selector("#folder")
    page.fill("#folder", str(sample))
    page.get_by_role("button", name="Open it").click()
    page.get_by_role("button", name=PUT_BACK).click()
    page.get_by_role("button", name="North bottom").first.wait_for()
    assert (sample / "property.toml").read_bytes() == good


def test_without_any_kept_it_says_what_else_helps(browser, desk, sample):
    (sample / "property.toml").write_bytes(b"oops [\n")
    page, _ = tab(browser, desk)
    assert "bring back a copy of it" in page.inner_text("#said")
    assert page.get_by_role("button", name=PUT_BACK).count() == 0
