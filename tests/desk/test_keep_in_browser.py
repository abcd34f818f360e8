"""Copies at the desk, a starter, a job done in one tick, photographs, what was done on a piece."""

import csv
import datetime as dt
import io
import zipfile

import pytest
from desk_tab import tab
from PIL import Image

pytestmark = pytest.mark.browser
TODAY = dt.date.today()  # noqa: DTZ011 - the desk's own


def part(page, name):
    page.click(f"nav >> text={name}")
    page.wait_for_selector("#main >> text=One moment", state="detached")


def test_the_last_copy_is_told_and_opens_as_another_place(browser, desk, sample, tmp_path):
    page, said = tab(browser, desk)
    part(page, "Keep and leave")
    assert "No copy was made from this desk yet." in page.inner_text("#main")
    page.fill("#copy-to", str(tmp_path / "drive"))
    page.click("form >> text=Keep a copy")
    page.wait_for_selector("#said:has-text('Kept: ')")
    (archive,) = (tmp_path / "drive").glob("*.zip")
    last = f"The last copy made here is of {TODAY:%a, %B} {TODAY.day}, {TODAY.year}: {archive}."
    assert last in page.inner_text("#main")
    page.click("text=Close this place")
    page.set_input_files("#copy-file", str(archive))
    page.wait_for_selector("#said:has-text('The copy is laid out and open')")
    where = page.inner_text("#place-where")
    assert str(desk.home / "docs") in where
    page.wait_for_selector("button[aria-label='Look at Vine hollow']")
    (laid,) = (desk.home / "docs" / "quietacre").glob("*/property.toml")
    assert laid.read_bytes() == (sample / "property.toml").read_bytes()
    # typed instead of picked; what is no copy says so and changes nothing
    part(page, "Keep and leave")
    page.click("text=Close this place")
    page.fill("#folder", str(archive))
    page.click("text=Open it")
    page.wait_for_selector("button[aria-label='Look at Vine hollow']")
    part(page, "Keep and leave")
    page.click("text=Close this place")
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as other:
        other.writestr("readme.txt", "nothing")
    page.set_input_files("#copy-file", str(tmp_path / "other.zip"))
    page.wait_for_selector("#said:has-text('it is no copy of a place')")
    assert len(list((desk.home / "docs" / "quietacre").glob("*/property.toml"))) == 2
    assert [text for text in said if "422" not in text] == []


def test_a_starter_is_offered_on_the_first_page(browser, desk):
    (desk.home / "Desktop").mkdir()
    page, said = tab(browser, desk)
    page.click("text=Put a starter on the desktop")
    page.wait_for_selector("#said:has-text('The starter is ')")
    (starter,) = (desk.home / "Desktop").iterdir()
    assert starter.name in page.inner_text("#said")
    assert said == []


def photograph():
    picture = io.BytesIO()
    Image.new("RGB", (64, 48), "#446633").save(picture, "JPEG")
    return {"name": "strip.jpg", "mimeType": "image/jpeg", "buffer": picture.getvalue()}


def test_a_job_is_done_in_one_tick_or_with_a_photograph(browser, desk, sample):
    page, said = tab(browser, desk)
    part(page, "Work it out")
    page.click("text=Work it out now")
    page.wait_for_selector("#said:has-text('Worked out.')", timeout=120_000)
    before = len((sample / "log.csv").read_text().splitlines())
    part(page, "What is due")
    tick = page.locator("button:has-text('Done today')").first
    job = tick.get_attribute("aria-label")
    area = page.locator("#main li:has(button) strong").first.inner_text().split(": ")[1]
    tick.click()
    page.wait_for_selector("#said:has-text('Written into the log')")
    lines = (sample / "log.csv").read_text().splitlines()
    assert len(lines) == before + 1
    assert area in lines[-1]
    assert TODAY.isoformat() in lines[-1]
    assert page.locator(f"button[aria-label='{job}']").count() == 0
    more = page.locator("button:has-text('Done, with more')").first
    piece = page.locator("#main li:has(button) strong").first.inner_text().split(": ")[1]
    more.click()
    form = page.locator("li form")
    form.get_by_label("Minutes", exact=True).fill("35")
    form.get_by_label("Who", exact=True).fill("Ann")
    form.get_by_label("Photographs of it").set_input_files(photograph())
    form.get_by_text("Write it into the log").click()
    page.wait_for_selector("#said:has-text('the photograph strip.jpg is kept')")
    (kept,) = (sample / "photos").glob("*strip*")
    assert kept.read_bytes() == photograph()["buffer"]
    rows = list(csv.DictReader((sample / "log.csv").read_text().splitlines()))
    assert [row["minutes"] for row in rows[-2:]] == ["35", ""]
    assert kept.name in rows[-1]["photo"]
    assert [row["area"] for row in rows[-2:]] == [piece, piece]
    # what was done stands on the piece's page
    areas = [area["name"] for area in desk.call("/api/ground")[1]["areas"]]
    if piece in areas:
        part(page, "Ground")
        page.click(f"button[aria-label='Look at {piece}']")
        page.click("summary:has-text('What was done here')")
        assert "35 minutes · Ann" in page.inner_text("details.record")
    assert said == []
