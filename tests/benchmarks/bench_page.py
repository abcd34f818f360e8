"""The map page of large properties: its size, and how soon it is on the screen.

Run: ``python tests/benchmarks/bench_page.py``; it needs Chromium at /usr/bin/chromium or
in QUIETACRE_CHROMIUM. First view is from the start of loading to the second frame drawn
after the page says that it is ready, network off, best and median of five; a step of the
map is one turn of the scale button until the next frame. Seconds mean this machine, this run.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

from bench_start import write_property
from playwright.sync_api import Browser, Playwright, sync_playwright

from quietacre.build import build_property
from quietacre.demo.sample import SAMPLE_DAY

#: areas, corners each, most bytes that the page may have
CASES = ((60, 100, 600_000), (1000, 100, 4_000_000))
MOST_FIRST_VIEW_S = 2.0
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
]
FIRST_VIEW = """() => new Promise((done) => {
  const wait = () => document.documentElement.dataset.ready === "yes"
    ? requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now())))
    : setTimeout(wait, 5);
  wait();
})"""
STEP = """() => new Promise((done) => {
  const from = performance.now();
  map_ground.setZoom(map_ground.getZoom() + 1, { animate: false });
  requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - from)));
})"""


def views(browser: Browser, page_file: Path, repeats: int = 5) -> tuple[list[float], float]:
    """Return seconds to the first view, sorted, and of one step of the map."""
    first, step = [], 0.0
    for _ in range(repeats):
        context = browser.new_context(viewport={"width": 1366, "height": 768}, offline=True)
        page = context.new_page()
        page.goto(page_file.as_uri(), wait_until="commit")
        first.append(page.evaluate(FIRST_VIEW) / 1e3)
        step = page.evaluate(STEP) / 1e3
        context.close()
    return sorted(first), step


def measure(
    browser: Browser, place: Path, count: int, corners: int
) -> dict[str, float | list[float]]:
    """Return seconds of building, bytes of the map, and seconds to see it and to step."""
    folder = place / f"p{count}"
    write_property(folder, count, corners)
    start = time.perf_counter()
    made = build_property(folder, today=SAMPLE_DAY)
    built = time.perf_counter() - start
    page_file = place / f"map{count}.html"
    page_file.write_bytes(made.files["map.html"])
    first, step = views(browser, page_file)
    size = page_file.stat().st_size
    return {"built_s": built, "bytes": size, "first_s": first, "step_s": step}


def launched(play: Playwright) -> Browser:
    """Return the browser that this machine has."""
    chromium = os.environ.get("QUIETACRE_CHROMIUM", "/usr/bin/chromium")
    return play.chromium.launch(executable_path=chromium, args=FLAGS)


def main() -> int:
    """Print the table; 1 where a bound is passed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=1000, help="areas of the largest page")
    largest = parser.parse_args().most
    passed = 0
    with tempfile.TemporaryDirectory() as place, sync_playwright() as play:
        browser = launched(play)
        for count, corners, most in CASES:
            if count > largest:
                continue
            seen = measure(browser, Path(place), count, corners)
            first = seen["first_s"]
            middle = statistics.median(first)
            passed |= seen["bytes"] > most or middle > MOST_FIRST_VIEW_S
            print(
                f"{count:5} areas × {corners} corners  built {seen['built_s']:6.1f} s   map "
                f"{seen['bytes'] / 1e3:6,.0f} kB of {most / 1e3:,.0f}   first view "
                f"{first[0]:.2f} to {first[-1]:.2f} s, median {middle:.2f} of "
                f"{MOST_FIRST_VIEW_S:.0f}   a step {seen['step_s']:.2f} s"
            )
        browser.close()
    return int(passed)


if __name__ == "__main__":
    sys.exit(main())
