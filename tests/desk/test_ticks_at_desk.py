"""Ticks at the desk: on the finished map in its frame, and nobody else's messages."""

import csv
import datetime as dt
import shutil
import sys
import urllib.request
from pathlib import Path

import pytest

from quietacre.commands.build import build_folder
from quietacre.logbook import JOB_LINE, id_of

sys.path[:0] = [str(Path(__file__).parents[1] / "benchmarks"), str(Path(__file__).parent)]
import bench_days  # noqa: E402
from desk_tab import passes_axe, tab  # noqa: E402

pytestmark = pytest.mark.browser
TODAY = dt.date.today()  # noqa: DTZ011 - the desk's own


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    folder = bench_days.make_place("ridge", tmp_path_factory.mktemp("built") / "ridge")
    build_folder(folder, today=TODAY)
    return folder


@pytest.fixture
def place(desk, built):
    folder = Path(shutil.copytree(built, desk.home / "ridge"))
    code, said = desk.call("/api/open", {"folder": str(folder)})
    assert code == 200, said
    return folder


def lines(place):
    path = place / "log.csv"
    return list(csv.DictReader(path.read_text().splitlines())) if path.exists() else []


def test_a_tick_on_the_map_in_the_desk_is_written_and_taken_back(browser, desk, place):
    page, said = tab(browser, desk)
    page.click("nav >> text=What is due")
    page.click("text=Tick jobs on the map")
    frame = page.frame_locator("iframe.map")
    frame.locator("#tab-year").click()
    frame.get_by_text("written into the log at once").wait_for()
    box = frame.get_by_role("checkbox", name="Done: Pines: clip", exact=True)
    box.check()
    assert lines(place) == []  # not before day and name are right
    frame.get_by_label("by, Pines: clip", exact=True).fill("Tom")
    frame.get_by_role("button", name="Write it into the log").click()
    frame.get_by_text("(done " + f"{TODAY:%B} {TODAY.day}, Tom)").wait_for()
    (line,) = lines(place)
    assert JOB_LINE.fullmatch(line["id"])
    assert (line["area"], line["task"], line["who"]) == ("Pines", "clip", "Tom")
    # shown again: it is known from the log
    page.click("nav >> text=Ground")
    page.click("nav >> text=What is due")
    page.click("text=Tick jobs on the map")
    frame.locator("#tab-year").click()
    frame.locator(".task.ticked").wait_for()
    assert box.is_checked()
    box.uncheck()
    page.wait_for_timeout(200)
    frame.locator(".task.ticked").wait_for(state="detached")
    assert [row["task"] for row in lines(place)] == ["clip", "undo"]
    assert said == []


def test_messages_of_others_and_of_jobs_that_are_not_write_nothing(browser, desk, place):
    page, said = tab(browser, desk)
    page.click("nav >> text=What is due")
    page.click("text=Tick jobs on the map")
    frame = page.frame_locator("iframe.map")
    frame.locator("html[data-ready=yes]").wait_for()
    status, year = desk.call("/api/year")
    assert status == 200
    good = {"quietacre": "tick", "number": 1, "job": year["tasks"][0]["job"], "done": True,
            "day": TODAY.isoformat(), "who": "", "id": ""}  # fmt: skip
    # this page itself, and another frame of no origin
    page.evaluate("(m) => postMessage(m, '*')", good)
    page.evaluate(
        """(m) => { const other = document.createElement('iframe');
        other.setAttribute('sandbox', 'allow-scripts');
        other.src = document.querySelector('iframe.map').src;
        document.body.append(other); }""",
        good,
    )
    page.wait_for_timeout(1500)
    other = page.frames[-1]
    other.evaluate("(m) => parent.postMessage(m, '*')", good)
    inside = next(f for f in page.frames if f.parent_frame and f is not other)
    for wrong in (
        {**good, "job": "zzzzzzzzz"},
        {**good, "day": "2999-01-01"},
        {**good, "day": "=1+1"},
        {**good, "who": {"a": 1}},
        {**good, "done": False, "id": "nope"},
        {**good, "number": "1"},
        "tick",
        None,
    ):
        inside.evaluate("(m) => parent.postMessage(m, '*')", wrong)
    page.wait_for_timeout(1500)
    assert lines(place) == []
    inside.evaluate("(m) => parent.postMessage(m, '*')", good)
    for _ in range(100):
        page.wait_for_timeout(100)
        if lines(place):
            break
    assert len(lines(place)) == 1
    assert said == []


def test_a_foreign_page_cannot_show_the_map(desk, place):
    status, told = desk.call("/api/place")
    assert status == 200

    address = desk.base + told["papers"]["map.html"]
    with urllib.request.urlopen(address) as answer:  # noqa: S310 - our own
        policy = answer.headers["content-security-policy"]
    assert "frame-ancestors 'self'" in policy
    assert "allow-same-origin" not in policy


def test_tick_files_are_dropped_in_and_a_foreign_one_is_asked_about(
    browser, desk, place, tmp_path
):
    _, year = desk.call("/api/year")
    clip = next(t for t in year["tasks"] if (t["area"], t["label"]) == ("Gate", "clip"))
    head = "id,date,area,task,who,place_id\n"
    line = f"{clip['job']}-bbbbb,{TODAY},Gate,clip,Ann,"
    mine, other = tmp_path / "mine.csv", tmp_path / "other.csv"
    mine.write_text(head + line + id_of("Sand ridge") + "\n")
    other.write_text(head + line.replace("bbbbb", "ccccc") + "xwvtsrqpn\n")
    page, said = tab(browser, desk)
    page.click("nav >> text=What is due")
    page.set_input_files("#tick-files", [str(mine), str(mine)])
    page.get_by_text("0 lines written into the log, 1 in it before.").wait_for()
    assert "Gate: clip, " in page.inner_text("#main")
    assert len(lines(place)) == 1
    page.set_input_files("#tick-files", str(other))
    page.get_by_text("holds ticks of another place").wait_for()
    assert len(lines(place)) == 1
    page.click("text=They are of this place")
    page.get_by_text("1 line written into the log").nth(1).wait_for()
    assert len(lines(place)) == 2
    assert [text for text in said if "422" not in text] == []


def test_a_paper_sheet_is_one_change_and_undone_as_one(browser, desk, place):
    page, said = tab(browser, desk, "phone")
    page.click("nav >> text=What is due")
    page.click("text=Type a whole sheet as one table")
    page.select_option("#sheet-of", "Pines")
    page.get_by_label("Minutes: clip", exact=True).fill("40")
    page.click("text=Write the filled rows as one")
    page.get_by_text("clip has no day").wait_for()
    page.get_by_label("Day: clip", exact=True).fill(TODAY.isoformat())
    page.get_by_label("Who: clip", exact=True).fill("=Tom")
    page.get_by_label("Day: plant behind rain", exact=True).fill(TODAY.isoformat())
    page.get_by_label("Amount: plant behind rain", exact=True).fill("2.5")
    page.get_by_label("Unit: plant behind rain", exact=True).fill("bag")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.click("text=Write the filled rows as one")
    page.get_by_text("2 lines written into the log as one change").wait_for()
    first, second = lines(place)
    assert (first["task"], first["minutes"], first["who"]) == ("clip", "40", "'=Tom")
    assert (second["task"], second["amount"], second["unit"]) == ("plant", "2.5", "bag")
    assert JOB_LINE.fullmatch(second["id"])
    # what is written is no longer among what is open, before the year is worked out again
    assert "2 of the year’s jobs are written into the log since" in page.inner_text("#main")
    page.click("text=Take them back")
    page.get_by_text("The sheet’s lines are taken back").wait_for()
    assert lines(place) == []
    assert said == []


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ({"date": "2999-01-01", "area": "Gate", "task": "clip"}, "still to come"),
        ({"date": "", "area": "Gate", "task": "clip"}, "is no day"),
        ({"date": TODAY.isoformat(), "area": "Gaet", "task": "clip"}, "write Gate"),
        ({"date": TODAY.isoformat(), "area": "Gate", "task": "undo"}, "takes a line back"),
        (
            {"date": TODAY.isoformat(), "area": "Gate", "task": "clip", "minutes": "x"},
            "not a number",
        ),
        (
            {"date": TODAY.isoformat(), "area": "Gate", "task": "clip", "job": "../"},
            "names no job",
        ),
    ],
)
def test_a_sheet_with_one_bad_row_writes_none(desk, place, row, why):
    good = {"date": TODAY.isoformat(), "area": "Gate", "task": "clip"}
    code, said = desk.call("/api/sheet", {"rows": [good, row]})
    assert code == 422
    assert why in said["why"]
    assert "the sheet.csv: line 3" in said["why"]
    assert lines(place) == []


def test_one_piece_one_day_and_a_helpers_page_are_made(browser, desk, place, tmp_path):
    page, said = tab(browser, desk)
    page.click("button[aria-label='Look at Pines']")
    page.click("text=Print this one")
    link = page.locator("a:has-text('Open it to print')")
    link.wait_for()
    assert "the sheet of Pines" in page.inner_text("#main")
    sheet = desk.base + link.get_attribute("href")
    with urllib.request.urlopen(sheet) as answer:  # noqa: S310 - our own
        assert answer.read(5) == b"%PDF-"
        assert "sandbox" in answer.headers["content-security-policy"]
    page.click("nav >> text=What is due")
    page.click("text=A list for one person or one machine")
    page.fill("#list-who", "Tom")
    page.fill("#list-to", (TODAY + dt.timedelta(days=300)).isoformat())
    page.click("text=Make a page with boxes for a phone")
    keep = page.locator("a:has-text('for the phone')")
    keep.wait_for()
    assert "Nothing says yet who does what" in page.inner_text("#main")
    with page.expect_download() as download:
        keep.click()
    download.value.save_as(tmp_path / "tom.html")
    assert "Jobs for Tom" in (tmp_path / "tom.html").read_text()
    days = page.locator("button:has-text('Print this day')")
    if days.count():
        days.first.click()
        page.locator("a:has-text('Open it to print')").wait_for()
    assert said == []


def test_what_was_seen_is_written_down_and_taken_back(browser, desk, place):
    page, said = tab(browser, desk, "phone")
    page.click("nav >> text=What is due")
    page.click("text=Write down what was seen")
    page.select_option("#seen-kind", "turkey")
    page.fill("#seen-count", "4")
    page.select_option("#seen-area", "Gate")
    page.fill("#seen-who", "=Ann")
    page.click("text=Write it down")
    page.get_by_text("Written into seen.csv").wait_for()
    seen = list(csv.DictReader((place / "seen.csv").read_text().splitlines()))
    assert [(s["area"], s["what"], s["count"], s["who"]) for s in seen] == [
        ("Gate", "turkey", "4", "'=Ann")
    ]
    page.get_by_role("button", name="Take back: ").first.click()
    page.get_by_text("That line is taken back").wait_for()
    seen = list(csv.DictReader((place / "seen.csv").read_text().splitlines()))
    assert [s["what"] for s in seen] == ["turkey", "undo"]
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    passes_axe(page, "what was seen", "#main")
    assert said == []
