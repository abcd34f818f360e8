"""Marks, taped lines and pictures underneath, in headless Chromium."""

import tomllib
from pathlib import Path

import pytest
from desk_tab import AXE, LOOKED_AT, passes_axe, tab
from drawing_hand import click, keep

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("size", LOOKED_AT)
def test_marks_are_set_moved_named_removed_and_the_tape_is_kept(
    browser, desk, sample, size
):
    page, said = tab(browser, desk, size, has_touch=size == "phone")
    page.click("text=Put a mark here")
    page.select_option("#mark-kind", "gate")
    page.fill("#mark-name", "North gate")
    page.locator("#chart").scroll_into_view_if_needed()
    click(page, (0.4, 0.4))
    page.wait_for_selector("#said:has-text('Kept: North gate')")
    (mark,) = marks_of(desk)
    assert (mark["kind"], mark["name"]) == ("gate", "North gate")
    assert page.inner_text(".leaflet-marker-pane .mark").split() == ["G", "North", "gate"]
    page.click("[aria-label='Move North gate']")
    click(page, (0.6, 0.5))
    page.wait_for_selector("#said:has-text('was moved')")
    assert marks_of(desk)[0]["at"] != mark["at"]
    page.click("[aria-label='Rename North gate']")
    page.fill("#mark-name", "Road gate")
    page.locator(".panel button.first").click()
    page.wait_for_selector("#said:has-text('Kept: Road gate')")
    page.click("text=Measure with the tape")
    page.locator("#chart").scroll_into_view_if_needed()
    click(page, (0.3, 0.3), (0.5, 0.35), (0.5, 0.6))
    told = int(
        page.locator(".panel .soft:has-text('ft') >> nth=-1")
        .inner_text()[:-3]
        .replace(",", "")
    )
    page.fill("#tape-name", "along the creek")
    page.locator(".panel button.first").click()
    page.wait_for_selector("#said:has-text('Kept: along the creek')")
    tape = next(one for one in marks_of(desk) if one["kind"] == "tape")
    assert tape["length_ft"] == pytest.approx(told, abs=0.51)
    page.click("[aria-label='Remove Road gate']")
    page.wait_for_selector("#said:has-text('was removed')")
    assert [one["name"] for one in marks_of(desk)] == ["along the creek"]
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    page.click("text=Back to all the ground")
    page.click("button:has-text('Take back the last change')")
    page.wait_for_selector("#said:has-text('Taken back')")
    assert len(marks_of(desk)) == 2
    assert said == []


def marks_of(desk):
    return desk.call("/api/marks")[1]["marks"]


def point(page, x, y, off=(0, 0)):
    """Point at a place on the picture, then at the same place on the map."""
    for what, (dx, dy) in ((".picture-inner", (0, 0)), ("#chart", off)):
        box = page.locator(what).bounding_box()
        place = {"x": box["width"] * x + dx, "y": box["height"] * y + dy}
        page.locator(what).click(position=place)
    page.wait_for_selector(
        f".mark .letter:has-text('{page.locator('.picture-dots span').count()}')"
    )


@pytest.fixture
def plat(tmp_path):
    """A picture of squares, invented."""
    from PIL import Image, ImageDraw

    picture = Image.new("RGB", (1512, 1072), "#e6ead2")
    pen = ImageDraw.Draw(picture)
    for step in range(0, 1512, 84):
        pen.line([(step, 0), (step, 1072)], fill="#6d7a52")
    path = tmp_path / "plat.png"
    picture.save(path)
    return path


POINTS = [(0.25, 0.3), (0.7, 0.25), (0.75, 0.75), (0.3, 0.7), (0.5, 0.5), (0.45, 0.25)]


def test_a_picture_is_placed_and_its_error_goes_into_what_is_drawn_on_it(
    browser, desk, plat
):
    _, place = desk.call("/api/open", {"new": "Crow Ridge"})
    folder = Path(place["folder"])
    page, said = tab(browser, desk)
    page.click("text=Lay a picture underneath")
    page.fill("#where", "33.2, -86.3")
    page.click("text=Draw there")
    page.set_input_files("#picture-file", str(plat))
    page.wait_for_selector(".picture-inner img")
    box = page.locator("#chart").bounding_box()
    assert box["width"] / box["height"] == pytest.approx(1512 / 1072, rel=0.01)
    for place in POINTS[:3]:
        point(page, *place)
    page.wait_for_selector("li:has-text('misses by')")
    for place in POINTS[3:5]:
        point(page, *place)
    point(page, *POINTS[5], off=(70, 50))
    page.wait_for_selector("li.row:has-text('likely the wrong place')")
    wrong = page.locator("li.row:has-text('likely the wrong place')")
    assert wrong.locator(".letter").inner_text() == "6"
    wrong.locator("button").click()
    page.wait_for_selector(".under")
    page.wait_for_selector("li.row:has-text('likely the wrong place')", state="detached")
    page.click("text=Keep the picture so placed")
    page.wait_for_selector("#said:has-text('Kept: pictures/plat.png')")
    assert (folder / "pictures" / "plat.png").read_bytes() == plat.read_bytes()
    _, kept = desk.call("/api/pictures")
    pm_ft = kept["pictures"][0]["pm_ft"]
    assert 0 < pm_ft < 200
    page.click("text=Draw a new piece")
    page.fill("#where", "33.2, -86.3")
    page.click("text=Draw there")
    page.wait_for_selector(".under")
    click(page, (0.4, 0.4), (0.6, 0.4), (0.6, 0.6))
    page.click("text=Close the edge")
    page.wait_for_selector(".figures p:not(.waits):has-text('Its corners are right to ±')")
    told = []
    page.on(
        "request", lambda ask: ask.url.endswith("/keep") and told.append(ask.post_data_json)
    )
    keep(page, "From the plat")
    areas = tomllib.loads((folder / "property.toml").read_text())["area"]
    drawn = next(one for one in areas if one["name"] == "From the plat")
    ((piece,),) = [one["pieces"] for one in told]
    assert piece.pop("picture") == "plat.png"
    _, alone = desk.call("/api/strip", {"area": None, **piece})
    assert drawn["edge_pm_ft"] > max(pm_ft, alone["edge_pm_ft"])
    assert said == []


def test_points_of_a_picture_by_keys_and_typed_positions(browser, desk, sample, plat):
    page, _ = tab(browser, desk)
    page.locator("button", has_text="Lay a picture underneath").focus()
    page.keyboard.press("Enter")
    page.set_input_files("#picture-file", str(plat))
    page.wait_for_selector(".picture-inner img")
    page.locator("button", has_text="Nearer").focus()
    page.keyboard.press("Enter")
    page.locator(".picture-box").focus()
    page.keyboard.press("Enter")
    page.fill("#typed-place", "34.5")
    page.keyboard.press("Enter")
    page.wait_for_selector("#said.doubts:has-text('Type latitude')")
    page.fill("#typed-place", "34.5, -87.6")
    page.keyboard.press("Enter")
    page.wait_for_selector("li.row:has-text('34.50000, -87.60000')")


@pytest.mark.skipif(not AXE.exists(), reason="tests/run fetches axe")
@pytest.mark.parametrize("size", LOOKED_AT)
def test_screens_of_marks_and_pictures_pass_axe(browser, desk, sample, plat, size):
    page, _ = tab(browser, desk, size, has_touch=size == "phone")
    for sentence, ready in (
        ("Put a mark here", "#mark-kind"), ("Measure with the tape", "#tape-name"),
        ("Lay a picture underneath", "#picture-file"),
    ):  # fmt: skip
        page.locator("button", has_text=sentence).click()
        page.wait_for_selector(ready)
        if ready == "#picture-file":
            page.set_input_files(ready, str(plat))
            page.wait_for_selector(".picture-inner img")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
        passes_axe(page, sentence)
        page.click("text=Back to all the ground")


def test_a_file_that_is_no_picture_is_said(browser, desk, sample, tmp_path):
    page, _ = tab(browser, desk)
    page.click("text=Lay a picture underneath")
    (tmp_path / "x.png").write_bytes(b"no picture at all")
    page.set_input_files("#picture-file", str(tmp_path / "x.png"))
    page.wait_for_selector("#said.doubts")
    assert "x.png" in page.inner_text("#said")
