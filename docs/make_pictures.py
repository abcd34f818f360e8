"""Make the pictures of the docs and the finished sample map. Never draw them by hand.

Run: ``python docs/make_pictures.py``; it needs Chromium at /usr/bin/chromium or in
QUIETACRE_CHROMIUM. With ``--desk`` only the desk's screens are made, or those named behind it.
"""

from __future__ import annotations

import argparse
import os
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from desk_pictures import DESK_SCREENS, desk_pictures
from playwright.sync_api import sync_playwright

from quietacre.commands.build import build_folder
from quietacre.commands.demo import keep_last_year, write_sample
from quietacre.demo.sample import SAMPLE_DAY

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ROOT = Path(__file__).parents[1]
SAMPLE = ROOT / "sample_maps" / "sweetgum-bend"
PICTURES = ROOT / "docs" / "pictures"
CHROMIUM = os.environ.get("QUIETACRE_CHROMIUM", "/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync"]  # fmt: skip
SCREENS = {"laptop": (1366, 768), "phone": (390, 844)}


def main() -> None:
    """Build the sample, keep its files, and photograph its map and the desk."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--desk", nargs="*", metavar="NAME", choices=[*DESK_SCREENS])
    asked = words.parse_args()
    PICTURES.mkdir(exist_ok=True)
    if asked.desk is None:
        build_sample()
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        if asked.desk is None:
            map_pictures(browser)
        desk_pictures(browser, SAMPLE, PICTURES, asked.desk)
        browser.close()


def build_sample() -> None:
    """Make the finished sample anew."""
    if SAMPLE.exists():
        shutil.rmtree(SAMPLE)
    write_sample(SAMPLE)
    keep_last_year(SAMPLE, SAMPLE_DAY)
    build_folder(SAMPLE, today=SAMPLE_DAY)


def map_pictures(browser: Browser) -> None:
    """Photograph the finished map, and a strip's card on it."""
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


if __name__ == "__main__":
    main()
