"""Boxes ticked on the map in headless Chromium: kept, handed over, merged, and shown by the log."""

import csv
import datetime as dt
import json
import os
import re
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.commands.build import build_folder

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days

pytestmark = pytest.mark.browser
TOOLS = Path(
    os.environ.get("QUIETACRE_TOOLS") or Path(__file__).parents[2] / ".cache/tools"
)
AXE = TOOLS / "axe-core-4.12.1" / "axe.min.js"
DAY = dt.date(2027, 9, 9)
LAPTOP, PHONE = {"width": 1366, "height": 768}, {"width": 390, "height": 844}


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1820448000")  # 2027-09-09
    made = bench_days.make_place("ridge", tmp_path / "ridge")
    build_folder(made, today=DAY)
    return made


class Phone:
    """A browser of its own, with the map opened from disk; what it complains of."""

    def __init__(self, browser, size=PHONE):
        self.context = browser.new_context(
            viewport=size, offline=True, accept_downloads=True
        )
        self.page, self.faults = self.context.new_page(), []
        self.page.on("console", lambda m: self.faults.append(m.text))
        self.page.on("pageerror", lambda e: self.faults.append(str(e)))

    def open(self, place, leaf="year"):
        self.page.goto((place / "out" / "map.html").as_uri())
        self.page.wait_for_selector("html[data-ready=yes]")
        self.page.click(f"#tab-{leaf}")
        over = self.page.get_by_text("One of them was done all the same")
        if over.count():  # jobs that were missed
            over.click()
        return self.page

    def box(self, area, label):
        return self.page.get_by_role("checkbox", name=f"Done: {area}: {label}", exact=True)

    def tick(self, area, label, on=None, who=None):
        self.box(area, label).check()
        if on:
            self.page.get_by_label(f"done on, {area}: {label}", exact=True).fill(on)
        if who is not None:
            field = self.page.get_by_label(f"by, {area}: {label}", exact=True)
            field.fill(who)
            field.blur()

    def keep(self, path):
        with self.page.expect_download() as download:
            self.page.get_by_role("button", name=re.compile("Keep what I ticked")).click()
        assert re.fullmatch(
            r"ticks-[a-z0-9-]+-\d{4}-\d\d-\d\d\.csv", download.value.suggested_filename
        )
        download.value.save_as(path)
        return path

    def close(self):
        assert self.faults == []
        self.context.close()


def run(*words):
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == 0, result.output
    return result.stdout


def lines(place):
    path = place / "log.csv"
    rows = csv.DictReader(path.read_text().splitlines()) if path.exists() else []
    return sorted(tuple(sorted((k, v) for k, v in row.items() if v)) for row in rows)


def test_a_tick_stays_goes_into_the_log_and_is_then_done_by_the_log(
    browser, place, tmp_path
):
    phone = Phone(browser)
    page = phone.open(place)
    assert "kept in this browser, on this device alone" in page.inner_text("#leaf")
    assert page.locator(".keep-ticks").count() == 0
    phone.tick("Pines", "clip", "2027-08-28", "Tom")
    assert "(done August 28, Tom)" in page.inner_text(".task.ticked")
    page = phone.open(place)  # closed and opened again
    assert phone.box("Pines", "clip").is_checked()
    assert "as it has been since Thu, September 9, 2027" in page.inner_text("#leaf")
    ticks = phone.keep(tmp_path / "t.csv")
    assert "1 line added" in run("done", place, "--from", ticks)
    assert {"Pines", "clip", "2027-08-28", "Tom"} <= {v for _, v in lines(place)[0]}
    build_folder(place, today=DAY)
    page = phone.open(place)
    assert phone.box("Pines", "clip").count() == 0
    assert "Pines: clip (done)" in page.inner_text("#leaf")
    # what the log has, the browser keeps no more
    kept = page.evaluate("Object.keys(localStorage).map((key) => localStorage[key]).join()")
    assert json.loads(kept)["ticks"] == []
    assert page.locator(".keep-ticks").count() == 0
    phone.close()


def test_two_phones_out_of_order_twice_and_rebuilt_between_make_the_same_log(
    browser, place, tmp_path
):
    tom, ann = Phone(browser), Phone(browser, LAPTOP)
    tom.open(place)
    tom.tick("Pines", "clip", "2027-08-28", "Tom")
    tom.tick("Gate", "clip", "2027-08-29")
    first = tom.keep(tmp_path / "tom-1.csv")
    tom.box("Gate", "clip").uncheck()  # it was not done after all
    tom.tick("Pond", "clip", "2027-09-08")
    ann.open(place)
    ann.tick("Pines", "clip", "2027-08-27", "Ann")
    anns = ann.keep(tmp_path / "ann.csv")
    # the plan is made anew while the ticks are on the phone: a planting moved, ground renamed
    run("set", place, 'area["Pond"].plant', "2027-10-30")
    run("set", place, 'area["Pines"].feature', "Pines")
    run("set", place, 'area["Pines"].was', '["Pines"]')
    run("set", place, 'area["Pines"].name', "Tall pines")
    build_folder(place, today=DAY)
    tom.open(place)
    assert tom.box("Tall pines", "clip").is_checked()
    assert tom.box("Pond", "clip").is_checked()
    assert not tom.box("Gate", "clip").is_checked()
    second = tom.keep(tmp_path / "tom-2.csv")
    logs = []
    for order in ([first, second, anns], [anns, second, first, second, anns]):
        (place / "log.csv").unlink(missing_ok=True)
        for path in order:
            run("merge", place, path)
        logs.append(lines(place))
    assert logs[0] == logs[1]
    assert len(logs[0]) == 5  # four ticks, and the one taken back
    done = {
        (t["area"], t["label"]): t["scheduled"]
        for t in json.loads(run("year", place, "--json"))["tasks"]
        if t["state"] == "done"
    }
    assert done == {("Tall pines", "clip"): "2027-08-27", ("Pond", "clip"): "2027-09-08"}
    tom.close()
    ann.close()


def test_pages_of_two_places_share_a_store_and_no_tick(browser, place, tmp_path):
    other = bench_days.make_place("ridge", tmp_path / "other")
    text = (other / "property.toml").read_text()
    # the same names throughout, but an id of its own
    (other / "property.toml").write_text(
        text.replace('name = "Sand ridge"\n', 'name = "Sand ridge"\nid = "another"\n', 1)
    )
    build_folder(other, today=DAY)
    phone = Phone(browser)
    phone.open(place)
    assert "A second place of that name would share it" in phone.page.inner_text("#leaf")
    phone.tick("Gate", "clip", "2027-09-08")
    phone.open(other)
    assert "A second place" not in phone.page.inner_text("#leaf")
    assert not phone.box("Gate", "clip").is_checked()
    phone.tick("Pond", "clip", "2027-09-08")
    ticks = phone.keep(tmp_path / "other.csv")
    refused = CliRunner().invoke(main, ["done", str(place), "--from", str(ticks)])
    assert refused.exit_code == 2
    assert "ticks of another place" in refused.stderr
    phone.open(place)
    assert phone.box("Gate", "clip").is_checked()
    assert not phone.box("Pond", "clip").is_checked()
    phone.close()


def test_where_nothing_is_kept_the_page_says_so_first_and_hands_over_all_the_same(
    browser, place, tmp_path
):
    frame_page = tmp_path / "preview.html"
    address = (place / "out" / "map.html").as_uri()
    frame_page.write_text(
        f'<iframe sandbox="allow-scripts allow-downloads" src="{address}" '
        'style="width:100%;height:95vh"></iframe>'
    )
    phone = Phone(browser, LAPTOP)
    phone.page.goto(frame_page.as_uri())
    frame = phone.page.frame_locator("iframe")
    frame.locator("html[data-ready=yes]").wait_for()
    frame.locator("#tab-year").click()
    assert "This browser keeps nothing for this page" in frame.locator("#leaf").inner_text()
    box = frame.get_by_role("checkbox", name="Done: Gate: clip", exact=True)
    box.check()
    with phone.page.expect_download() as download:
        frame.get_by_role("button", name=re.compile("Keep what I ticked")).click()
    download.value.save_as(tmp_path / "t.csv")
    assert "1 line added" in run("done", place, "--from", tmp_path / "t.csv")
    # no file came: the same stands there as text
    text = frame.locator("textarea").input_value()
    assert text.split() == (tmp_path / "t.csv").read_text().split()
    phone.close()


@pytest.mark.parametrize(
    ("kept", "said"),
    [
        ("{half a sto", "could not be read, and is put aside"),
        ('{"form": 99, "ticks": []}', "written by a newer version of this page"),
    ],
)
def test_a_store_that_is_not_understood_is_not_written_over(browser, place, kept, said):
    phone = Phone(browser)
    phone.open(place)
    key = phone.page.evaluate("Object.keys(localStorage)[0]")
    phone.page.evaluate("([key, text]) => localStorage.setItem(key, text)", [key, kept])
    phone.open(place)
    assert said in phone.page.inner_text("#leaf")
    phone.tick("Gate", "clip")
    left = phone.page.evaluate("Object.keys(localStorage).map((key) => localStorage[key])")
    assert kept in left
    phone.close()


def test_by_keyboard_alone_with_targets_and_words(browser, place, tmp_path):
    phone = Phone(browser, LAPTOP)
    page = phone.open(place)
    page.locator("#tab-year").focus()
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.type") == "checkbox":
            break
    name = page.evaluate("document.activeElement.ariaLabel")
    assert name.startswith("Done: ")
    page.keyboard.press("Space")
    assert page.evaluate("document.activeElement.checked")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.type") == "date"
    box = page.locator(".tick-box").first.bounding_box()
    assert min(box["width"], box["height"]) >= 44
    page.locator(".keep-ticks").focus()
    with page.expect_download():
        page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.className") == "keep-ticks"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    if AXE.is_file():
        page.evaluate(AXE.read_text())
        found = page.evaluate(
            "axe.run('#leaf').then(r => r.violations.map(v => v.id + v.nodes[0].html))"
        )
        assert found == []
    phone.close()


def test_a_day_still_to_come_is_not_taken(browser, place):
    phone = Phone(browser)
    phone.open(place)
    phone.tick("Gate", "clip", "2027-09-10")
    page = phone.page
    page.get_by_label("done on, Gate: clip", exact=True).blur()
    assert (
        page.get_by_label("done on, Gate: clip", exact=True).input_value() == "2027-09-09"
    )
    phone.close()


def test_paper_has_its_own_boxes_and_no_screen_ones(browser, place):
    phone = Phone(browser)
    page = phone.open(place)
    phone.tick("Gate", "clip")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    assert page.locator("#sheets .task").count() > 20
    assert page.locator("#sheets input, #sheets .tick").count() == 0
    square = page.locator("#sheets .task.planned .day").first
    assert square.evaluate("e => getComputedStyle(e, '::before').borderTopStyle") == "solid"
    phone.close()


def test_two_tabs_of_one_map_see_each_others_ticks(browser, place):
    phone = Phone(browser)
    phone.open(place)
    second = phone.context.new_page()
    second.goto((place / "out" / "map.html").as_uri())
    second.wait_for_selector("html[data-ready=yes]")
    second.click("#tab-year")
    phone.tick("Gate", "clip", "2027-09-08")
    other = second.get_by_role("checkbox", name="Done: Gate: clip", exact=True)
    other.wait_for()
    second.wait_for_function("document.querySelectorAll('.task.ticked').length === 1")
    assert other.is_checked()
    second.get_by_role("checkbox", name="Done: Pond: clip", exact=True).check()
    phone.page.wait_for_function("document.querySelectorAll('.task.ticked').length === 2")
    phone.close()


def test_a_helpers_page_has_the_name_in_its_ticks(browser, place, tmp_path):
    text = (place / "property.toml").read_text()
    (place / "property.toml").write_text(
        text + '[[task]]\ntask = "strip cut"\nwho = "Tom"\n'
    )
    out = tmp_path / "tom.html"
    run(
        "list",
        place,
        "--who",
        "Tom",
        "--from",
        "2027-08-01",
        "--to",
        "2027-11-30",
        "--out",
        out,
    )
    phone = Phone(browser)
    page = phone.page
    page.goto(out.as_uri())
    page.wait_for_selector("html[data-ready=yes]")
    assert page.inner_text("h1").startswith("Jobs for Tom, August 1")
    names = page.locator(".task b").all_inner_texts()
    assert names
    assert all("strip cut" in name for name in names)
    assert "Who decides" in page.inner_text("#leaf")
    page.get_by_role("checkbox").first.check()
    assert page.locator(".ticked-more input[type=text]").first.input_value() == "Tom"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert "1 line added" in run("done", place, "--from", phone.keep(tmp_path / "t.csv"))
    assert {"Vine strip", "strip cut", "Tom"} <= {v for _, v in lines(place)[0]}
    if AXE.is_file():
        page.evaluate(AXE.read_text())
        found = page.evaluate("axe.run().then(r => r.violations.map(v => v.id))")
        assert found == []
    phone.close()


def test_what_was_seen_stands_on_the_card_of_its_ground(browser, place):
    run("seen", place, "3 deer", "--area", "Gate", "--place", "<b>west</b>", "--who", "Ann")
    run("seen", place, "no quail")
    build_folder(place, today=DAY)
    phone = Phone(browser)
    page = phone.open(place, "ground")
    assert "0 quail" in page.inner_text("#leaf")
    page.get_by_role("button", name=re.compile("^Gate")).last.click()
    text = page.inner_text("#leaf")
    assert "Seen here" in text
    assert "3 deer (<b>west</b>; Ann)" in text
    assert "quail" not in text
    phone.close()
