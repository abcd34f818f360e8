"""Make the pictures of the docs and the finished sample map. Never draw them by hand.

Run: ``python docs/make_pictures.py``; it needs Chromium at /usr/bin/chromium or in
QUIETACRE_CHROMIUM.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from playwright.sync_api import sync_playwright

from quietacre.commands.build import build_folder
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import SAMPLE_DAY

ROOT = Path(__file__).parents[1]
SAMPLE = ROOT / "sample_maps" / "sweetgum-bend"
PICTURES = ROOT / "docs" / "pictures"
CHROMIUM = os.environ.get("QUIETACRE_CHROMIUM", "/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync"]  # fmt: skip
SCREENS = {"laptop": (1366, 768), "phone": (390, 844)}


def main() -> None:
    """Build the sample, keep its files, and photograph its map."""
    if SAMPLE.exists():
        shutil.rmtree(SAMPLE)
    write_sample(SAMPLE)
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
        browser.close()


if __name__ == "__main__":
    main()
