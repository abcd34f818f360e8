"""Make the pictures of the docs and the finished sample map. Never draw them by hand.

Run: ``python docs/make_pictures.py``; it needs Chromium at /usr/bin/chromium or in
QUIETACRE_CHROMIUM.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from playwright.sync_api import sync_playwright

from quietacre.commands.build import build_folder
from quietacre.commands.demo import keep_last_year, write_sample
from quietacre.demo.sample import SAMPLE_DAY

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

ROOT = Path(__file__).parents[1]
SAMPLE = ROOT / "sample_maps" / "sweetgum-bend"
PICTURES = ROOT / "docs" / "pictures"
CHROMIUM = os.environ.get("QUIETACRE_CHROMIUM", "/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync"]  # fmt: skip
SCREENS = {"laptop": (1366, 768), "phone": (390, 844)}

#: Screens of the desk: the picture's name, the part, and what is there when it is ready.
DESK_SCREENS = (
    ("ground", "Ground", "#chart .leaflet-tooltip"),
    ("look", "Ground", "#files"),
    ("settings", "Everything about it", "summary"),
    ("due", "What is due", "text=Coming by"),
    ("work", "Work it out", "text=Work it out now"),
    ("keep", "Keep and leave", "text=Keep a copy"),
)

#: Legs of an invented deed.
DEED = (("N 2 E", "400"), ("S 88 E", "330"), ("S 2 W", "400"), ("N 88 W", "330"))


def main() -> None:
    """Build the sample, keep its files, and photograph its map."""
    if SAMPLE.exists():
        shutil.rmtree(SAMPLE)
    write_sample(SAMPLE)
    keep_last_year(SAMPLE, SAMPLE_DAY)
    build_folder(SAMPLE, today=SAMPLE_DAY)
    PICTURES.mkdir(exist_ok=True)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for name, (width, height) in SCREENS.items():
            context = browser.new_context(
                viewport={"width": width, "height": height}, offline=True
            )
            page = context.new_page()
            page.goto((SAMPLE / "out" / "map.html").as_uri())
            page.wait_for_selector("html[data-ready=yes]")
            page.screenshot(path=PICTURES / f"map-{name}.png")
            page.locator("#leaf .rows button", has_text="Vine hollow strip").click()
            page.wait_for_timeout(500)
            page.screenshot(path=PICTURES / f"strip-{name}.png")
            context.close()
        desk_pictures(browser)
        browser.close()


def desk_pictures(browser: Browser) -> None:
    """Photograph each screen of the desk, with the sample open in a home of its own."""
    with tempfile.TemporaryDirectory() as place:
        home = Path(place)
        folder = home / "Sweetgum Bend"
        shutil.copytree(SAMPLE, folder)
        walk = folder / "walks" / "creek-shelf.gpx"
        env = {**os.environ, "XDG_STATE_HOME": str(home / "state"), "HOME": place}
        desk = subprocess.Popen(
            [sys.executable, "-m", "quietacre", "open", str(folder), "--no-browser"],
            env=env, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        try:
            assert desk.stdout is not None
            page = browser.new_context(viewport={"width": 1366, "height": 900}).new_page()
            page.goto(desk.stdout.readline().strip())
            for name, part, ready in DESK_SCREENS:
                page.locator("nav button", has_text=part).click()
                page.wait_for_selector(ready)
                if name == "look":
                    page.set_input_files("#files", str(walk))
                    page.wait_for_selector("text=Keep this piece of ground")
                    page.locator(
                        "text=Keep this piece of ground"
                    ).scroll_into_view_if_needed()
                page.wait_for_timeout(600)
                # where the place lies is this machine's affair
                page.evaluate(
                    "document.getElementById('place-where').textContent = "
                    "'kept in Documents/quietacre/Sweetgum Bend'"
                )
                page.screenshot(path=PICTURES / f"desk-{name}.png")
            drawing_pictures(page)
            more_pictures(page)
        finally:
            desk.send_signal(signal.SIGINT)
            desk.wait(30)


def drawing_pictures(page: Page) -> None:
    """Photograph an edge that is being mended, on a laptop's and on a phone's screen."""
    for name, (width, height) in {"draw": (1366, 900), "draw-phone": (390, 1150)}.items():
        page.set_viewport_size({"width": width, "height": height})
        page.locator("nav button", has_text="Ground").click()
        page.locator("button[aria-label='Look at Old orchard']").click()
        page.click("text=Draw or mend its edge")
        page.locator("[data-tool=move]").click()
        page.locator("button[aria-label^='corner 2 of']").focus()
        for _ in range(3):
            page.keyboard.press("Shift+ArrowUp")
        page.wait_for_timeout(900)
        page.evaluate(
            "document.getElementById('place-where').textContent = "
            "'kept in Documents/quietacre/Sweetgum Bend'"
        )
        if name == "draw-phone":
            page.evaluate("document.getElementById('chart').scrollIntoView()")
        page.screenshot(path=PICTURES / f"desk-{name}.png")
        page.click("text=Let it go")
        page.wait_for_selector("text=Draw a new piece")


def more_pictures(page: Page) -> None:
    """Photograph a strip, a soil test, a deed's table and the first page."""

    def shot(name: str) -> None:
        page.wait_for_timeout(900)
        if name != "begin":
            page.evaluate(
                "document.getElementById('place-where').textContent = "
                "'kept in Documents/quietacre/Sweetgum Bend'"
            )
        page.screenshot(path=PICTURES / f"desk-{name}.png")

    page.set_viewport_size({"width": 1366, "height": 900})
    page.locator("nav button", has_text="Ground").click()
    page.locator("button[aria-label='Look at Vine hollow']").click()
    page.locator("summary", has_text="Its strip").first.click()
    page.wait_for_selector("text=What each setting does to it")
    shot("strip")
    page.locator("nav button", has_text="Everything about it").click()
    page.locator("summary", has_text="Soil tests").click()
    page.locator("#main > details[open] > details > summary").first.click()
    page.locator("table.lab").first.scroll_into_view_if_needed()
    shot("soil")
    page.locator("nav button", has_text="Ground").click()
    page.click("text=Type a deed or a tape table")
    for n, (bearing, feet) in enumerate(DEED, 1):
        page.fill(f"[aria-label='Bearing of leg {n}']", bearing)
        page.fill(f"[aria-label='Length of leg {n}']", feet)
    page.wait_for_selector(".figures >> text=ac")
    shot("deed")
    page.locator("nav button", has_text="Keep and leave").click()
    page.click("text=Close this place")
    page.wait_for_selector("text=Places you had open")
    page.evaluate(
        "document.querySelectorAll('.soft, .why').forEach((one) => { "
        "one.textContent = one.textContent.replace(/\\/\\S*(?=\\/Sweetgum)/, "
        "'Documents/quietacre').replace(/\\/\\S*\\/quietacre/, 'Documents/quietacre'); })"
    )
    shot("begin")


if __name__ == "__main__":
    main()
