"""A desk that is killed: what was said is kept, and its tabs go on with the next one."""

import json
import re
import signal
import subprocess
import sys
import tomllib

import pytest
from desk_tab import tab

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
