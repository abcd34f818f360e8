"""A desk that is killed: what was said is kept, and its tabs go on with the next one."""

import json
import re
import signal
import subprocess
import sys
import tomllib

import pytest
from desk_tab import tab, three_loops

pytestmark = pytest.mark.browser


def start_again(desk):
    """Start the desk as its starter would, without a folder, and take it for the running one."""
    desk.process.stdout.close()
    desk.process.stderr.close()
    desk.process = subprocess.Popen(
        [sys.executable, "-m", "quietacre", "open", "--no-browser"],
        env=desk.env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    return desk.process.stdout.readline().strip()


def test_a_tab_goes_on_after_the_desk_was_killed_and_started_again(browser, desk, sample):
    page, _ = tab(browser, desk)
    page.locator("nav button", has_text="Everything about it").click()
    page.click("summary:has-text('Machines')")
    box = page.get_by_label("Spray tank (gallons)", exact=True)
    box.fill("33")
    box.blur()
    page.wait_for_selector("#said:has-text('Kept')")
    desk.process.send_signal(signal.SIGKILL)
    desk.process.wait(10)
    box.fill("44")
    box.blur()
    page.wait_for_selector(".fault:has-text('not running any more')")
    assert box.input_value() == "44"
    kept = (sample / "property.toml").read_text()
    assert re.search(r"tank_gal = 33(\.0)?\b", kept)
    assert start_again(desk).startswith(desk.base)
    page.wait_for_selector("#said:has-text('The desk runs again')")
    box.fill("45")
    box.blur()
    page.wait_for_selector("#said:has-text('Kept')")
    equipment = tomllib.loads((sample / "property.toml").read_text())["equipment"]
    assert equipment["tank_gal"] == 45


def test_what_waits_to_be_kept_is_kept_by_a_desk_that_was_started_anew(
    browser, desk, sample, tmp_path
):
    page, _ = tab(browser, desk)
    page.locator("nav button", has_text="Ground").click()
    page.set_input_files("#files", str(three_loops(tmp_path / "three.gpx")))
    page.wait_for_selector("text=Keep these 3 pieces of ground")
    desk.process.send_signal(signal.SIGKILL)
    desk.process.wait(10)
    assert start_again(desk).startswith(desk.base)
    page.click("text=Keep these 3 pieces of ground")
    page.wait_for_selector("#said:has-text('Kept: ')")
    names = {
        area["name"]
        for area in tomllib.loads((sample / "property.toml").read_text())["area"]
    }
    assert "Mill flat" in names


def test_a_file_that_is_not_here_any_more_is_asked_for_again(desk, sample):
    ring = [[-86.3, 33.2], [-86.298, 33.2], [-86.298, 33.202], [-86.3, 33.2]]
    drawn = {"type": "Polygon", "coordinates": [ring]}
    code, said = desk.call(
        "/api/file", json.dumps(drawn).encode(), headers=[("X-Name", "a.geojson")]
    )
    assert code == 200
    before = (sample / "property.toml").read_bytes()
    for path, words in (
        ("add", {"tokens": [said["token"], "gone"], "kind": "plot"}),  # never a part of it
        ("survey", {"token": "gone", "area": "Vine hollow"}),
        ("place", {"token": "gone", "pairs": []}),
        ("place/keep", {"token": "../x", "pairs": []}),
    ):
        code, told = desk.call(f"/api/{path}", words)
        assert (code, told["why"]) == (
            410, "the desk was started anew since this file was brought: bring it again",
        ), path  # fmt: skip
    assert (sample / "property.toml").read_bytes() == before
    assert desk.call("/api/add", {"kind": "plot"})[0] == 422


def test_a_desk_that_ended_well_leaves_nothing_that_opens_the_next(desk):
    path = desk.home / "state" / "quietacre" / "desk" / "running.json"
    held = json.loads(path.read_text())
    assert held["key"] == desk.key
    desk.process.send_signal(signal.SIGINT)
    desk.process.wait(90)
    held = json.loads(path.read_text())
    assert (held["starter"], held["key"], held["folder"]) == ("", "", "")
    start_again(desk)
    assert desk.call("/api/start")[0] == 403
