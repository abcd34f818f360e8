"""Ground is brought before any folder is there: rings, names, kinds, yes or no for each loop."""

import json
import tomllib

import pytest
from desk_tab import LOOKED_AT, passes_axe, tab, three_loops

pytestmark = pytest.mark.browser


def settings(desk):
    (path,) = (desk.home / "docs").rglob("property.toml")
    return tomllib.loads(path.read_text())


@pytest.mark.parametrize("size", LOOKED_AT)
def test_a_place_begins_with_a_file_and_only_what_is_wanted_is_kept(
    browser, desk, tmp_path, size
):
    page, said = tab(browser, desk, size, has_touch=size == "phone")
    page.set_input_files("#files", str(three_loops(tmp_path / "three.gpx")))
    page.wait_for_selector("text=Keep these 3 pieces of ground")
    picture = page.locator("svg.rings")
    assert picture.locator("path").count() == 3
    assert picture.locator("text").all_text_contents() == ["1", "2", "3"]
    assert picture.bounding_box()["width"] > 150
    page.get_by_role("checkbox", name="2. Mill flat").uncheck()
    page.wait_for_selector("text=Keep these 2 pieces of ground")
    page.get_by_label("Its name", exact=True).nth(0).fill('Vine "hollow" & co')
    page.get_by_label("What it is", exact=True).nth(0).select_option("patch")
    page.get_by_label("What do you call the whole place?").fill("Crow Ridge")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    passes_axe(page, "pieces to keep")
    assert not (desk.home / "docs").exists()
    page.click("text=Keep these 2 pieces of ground")
    page.wait_for_selector("text=2 pieces, 10.")
    got = settings(desk)
    assert got["property"]["name"] == "Crow Ridge"
    assert [(a["name"], a["kind"]) for a in got["area"]] == [
        ('Vine "hollow" & co', "patch"), ("Long field", "plot"),
    ]  # fmt: skip
    assert said == []


def test_a_name_that_is_taken_is_asked_again_without_a_command(browser, desk, tmp_path):
    page, said = tab(browser, desk)
    page.set_input_files("#files", str(three_loops(tmp_path / "three.gpx")))
    page.click("text=Keep these 3 pieces of ground")
    page.wait_for_selector("text=3 pieces, 15.")
    ring = [[-86.31, 33.2], [-86.308, 33.2], [-86.308, 33.202], [-86.31, 33.2]]
    drawn = {"type": "Feature", "properties": {"name": "Mill flat"},
             "geometry": {"type": "Polygon", "coordinates": [ring]}}  # fmt: skip
    other = {"name": "b.geojson", "mimeType": "application/json",
             "buffer": json.dumps(drawn).encode()}  # fmt: skip
    page.set_input_files("#files", other)
    page.click("text=Keep this piece of ground")
    page.wait_for_selector("#said:has-text('there is an area “Mill flat” already')")
    assert "quietacre" not in page.inner_text("#said")
    page.get_by_label("Its name", exact=True).fill("Mill flat two")
    page.click("text=Keep this piece of ground")
    page.wait_for_selector("text=4 pieces")
    assert [text for text in said if "422" not in text] == []


def test_what_a_file_leaves_open_is_asked_with_buttons(browser, desk, tmp_path):
    pins = "".join(
        f'<wpt lat="{lat}" lon="{lon}"><name>{n}</name></wpt>'
        for n, (lat, lon) in enumerate(
            [(33.2, -86.3), (33.2, -86.298), (33.202, -86.298), (33.202, -86.3)], 1
        )
    )
    (tmp_path / "pins.gpx").write_text(
        f'<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">{pins}</gpx>'
    )
    page, said = tab(browser, desk)
    page.set_input_files("#files", str(tmp_path / "pins.gpx"))
    page.wait_for_selector("text=The edge is straight between pins")
    assert "--" not in page.inner_text("#main")
    assert "property.toml" not in page.inner_text("section")
    page.click("text=The edge is straight between pins")
    page.wait_for_selector("text=Keep this piece of ground")
    page.get_by_label("What do you call the whole place?").fill("Pins")
    page.click("text=Keep this piece of ground")
    page.wait_for_selector("text=1 piece, ")
    assert settings(desk)["area"][0]["corners"] == "straight"
    assert said == []
