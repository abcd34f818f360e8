"""What the desk takes, in Chromium: first names, map, a walk, a change, a preview, bags, the year.

Run: ``python tests/benchmarks/bench_desk.py [--repeats 7]``; some two minutes. The sample is
the place unless said; 60 areas are those of ``bench_drawing.py``. The program is compiled as an
installation has it; a place is opened for the first time, and again with what was kept of it. Each row is the median and the
worst of the repeats beside what was asked for, on an idle machine of two cores. Ends with 1 when a
median is over. Seconds mean this machine, this run: a server of the same libraries that says one word is started
between, and the starts are told as so many of its too.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib.metadata
import math
import os
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bench_drawing import CHROMIUM, FLAGS, write_place

from quietacre.demo.write import write_sample

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

DESK = Path(__file__).parents[2] / "src" / "quietacre" / "desk"
#: What is installed for the desk alone.
FOR_THE_DESK = ("starlette", "uvicorn", "h11", "anyio", "idna")
MB = 1e6
#: What is kept behind an answer stands there by then, after the command. [s]
MOST_KEEPING_S = 20.0
#: Keeps a change, and waits until the page says so. [ms]
CHANGE = """async (value) => {
  const label = [...document.querySelectorAll('label')].find(
    (one) => one.textContent === 'Spray tank (gallons)');
  const box = document.getElementById(label.htmlFor), said = document.getElementById('said');
  said.textContent = '';
  const begun = performance.now();
  box.value = value;
  box.dispatchEvent(new Event('change', { bubbles: true }));
  while (!said.textContent.startsWith('Kept')) await new Promise(requestAnimationFrame);
  return performance.now() - begun;
}"""
#: Asks for the figures of an edge with one corner moved. [ms]
PREVIEW = """async ([name, n]) => {
  const { ask } = await import('/desk.js');
  const edge = await ask(`edge?area=${encodeURIComponent(name)}`);
  const polygons = structuredClone(edge.polygons);
  polygons[0][0][1][0] += 1e-5 * n;
  const begun = performance.now();
  await ask('strip', { area: name, polygons, ft_per_px: 1 });
  return performance.now() - begun;
}"""
BAGS = """async () => {
  const { ask } = await import('/desk.js');
  const begun = performance.now();
  await ask('amounts');
  return performance.now() - begun;
}"""
#: Goes from part to part until the build has ended; how long each took to stand there. [ms]
CLICKS = """async () => {
  const { ask, show } = await import('/desk.js');
  const took = [];
  await ask('build', {});
  for (let n = 0; (await ask('here')).building; n += 1) {
    const begun = performance.now();
    await show(['settings', 'today', 'keep'][n % 3]);
    took.push(performance.now() - begun);
    await new Promise((done) => setTimeout(done, 50));
  }
  return took;
}"""


#: A server of the desk's libraries that says one word.
BARE = """
import socket
import uvicorn
from starlette.applications import Starlette
from starlette.responses import HTMLResponse
from starlette.routing import Route

async def page(request):
    return HTMLResponse("<main id=main><p class=name>North bottom</p></main>")

here = socket.socket()
here.bind(("127.0.0.1", 0))
here.listen()
print(f"http://127.0.0.1:{here.getsockname()[1]}/", flush=True)
app = Starlette(routes=[Route("/", page)])
uvicorn.Server(uvicorn.Config(app, http="h11", log_level="error", lifespan="off")).run([here])
"""


@dataclass(frozen=True)
class Row:
    """One figure: what it is, what was seen, and the bound, infinite where none was asked."""

    what: str
    seen: list[float]
    bound: float
    unit: str

    @property
    def over(self) -> bool:
        """Return whether the median is over the bound."""
        return statistics.median(self.seen) >= self.bound

    def __str__(self) -> str:
        median, worst = statistics.median(self.seen), max(self.seen)
        asked = f"under {self.bound:g} " if math.isfinite(self.bound) else ""
        told = f"{self.what:50} {median:8.2f} {worst:8.2f}  {asked}{self.unit}"
        return told + ("  OVER" if self.over else "")


@contextlib.contextmanager
def running(folder: Path | None, home: Path) -> Iterator[tuple[str, float]]:
    """Run a desk on a folder, or the bare server; give its address and when it was typed."""
    env = {**os.environ, "HOME": str(home), "XDG_STATE_HOME": str(home / "state"),
           "PYTHONPYCACHEPREFIX": str(home / "compiled")}  # fmt: skip
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    begun = time.perf_counter()
    words = ["-m", "quietacre", "open", str(folder), "--no-browser"]
    desk = subprocess.Popen(
        [sys.executable, *(words if folder else ("-c", BARE))],
        env=env, stdout=subprocess.PIPE, stderr=None if folder else subprocess.DEVNULL, text=True,
    )  # fmt: skip
    assert desk.stdout is not None
    try:
        yield desk.stdout.readline().strip(), begun
    finally:
        desk.send_signal(signal.SIGINT)
        desk.wait(60)
        desk.stdout.close()


def kept_in(home: Path) -> list[Path]:
    """Return the files in which ground is kept for the next opening."""
    return list(home.glob("state/*/desk/ground/[!.]*.json"))


def start(browser: Browser, folder: Path, home: Path) -> tuple[float, float]:
    """Return how soon names and the map stand there after the command. [s]"""
    page = browser.new_page(viewport={"width": 1366, "height": 768})
    with running(folder, home) as (address, begun):
        page.goto(address, wait_until="commit")
        page.wait_for_selector("#main .name, button[aria-label^='Look at']")
        names = time.perf_counter() - begun
        page.wait_for_selector("#chart .leaflet-overlay-pane path")
        acres = time.perf_counter() - begun
        until = begun + MOST_KEEPING_S
        while not kept_in(home) and time.perf_counter() < until:
            time.sleep(0.05)  # it is kept for the next opening behind the answer
        page.close()
    return names, acres


def bare_start(browser: Browser, home: Path) -> float:
    """Return how soon the one word of the bare server stands there. [s]"""
    page = browser.new_page(viewport={"width": 1366, "height": 768})
    with running(None, home) as (address, begun):
        page.goto(address, wait_until="commit")
        page.wait_for_selector("#main .name")
        took = time.perf_counter() - begun
        page.close()
    return took


def starts(browser: Browser, folder: Path, home: Path, repeats: int) -> list[Row]:
    """Return the rows of a place never opened before, and of one whose ground was kept then."""
    names, first, later, bare = [], [], [], []
    start(browser, folder, home)  # compiles what an installation has compiled
    bare_start(browser, home)
    for _ in range(repeats):
        for kept in kept_in(home):
            kept.unlink()
        for maps in (first, later):
            bare.append(bare_start(browser, home))
            named, acres = start(browser, folder, home)
            names.append(named)
            maps.append(acres)
    one = statistics.median(bare)
    return [
        Row("one word of a bare server of the same libraries", bare, math.inf, "s"),
        Row(
            "names, in starts of that server",
            [took / one for took in names],
            math.inf,
            "times",
        ),
        Row(
            "first map, in starts of that server",
            [took / one for took in first],
            math.inf,
            "times",
        ),
        Row("names on the page after the command", names, 0.8, "s"),
        Row("map with acres, never built nor opened here", first, 1.4, "s"),
        Row("map with acres, built or opened before", later, 1.4, "s"),
    ]


def walk_dropped(page: Page, walk: Path, repeats: int) -> Row:
    """Return how soon what is in a walk is shown. [s]"""
    took = []
    for _ in range(repeats + 1):
        page.locator("nav button", has_text="Ground").click()
        page.wait_for_selector("#chart .leaflet-overlay-pane path")
        begun = time.perf_counter()
        page.set_input_files("#files", str(walk))
        page.wait_for_selector("svg.rings path")
        took.append(time.perf_counter() - begun)
    return Row("a dropped walk shown", took[1:], 0.5, "s")


def changes(page: Page, repeats: int) -> Row:
    """Return how long a change takes until the page says that it is kept. [ms]"""
    page.locator("nav button", has_text="Everything about it").click()
    page.click("summary:has-text('Machines')")
    took = [page.evaluate(CHANGE, str(20 + n)) for n in range(repeats + 1)]
    return Row("a change kept", took[1:], 150.0, "ms")


def previews(page: Page, name: str, repeats: int) -> list[float]:
    """Return how long the figures of an edge on its way take. [ms]"""
    return [page.evaluate(PREVIEW, [name, n]) for n in range(repeats + 1)][1:]


def measured(browser: Browser, home: Path, repeats: int) -> list[Row]:
    """Return all rows that need a page."""
    sample = home / "sample"
    write_sample(sample)
    rows = starts(browser, sample, home, repeats)
    page = browser.new_page(viewport={"width": 1366, "height": 768})
    with running(sample, home) as (address, _):
        page.goto(address)
        page.wait_for_selector("#chart .leaflet-overlay-pane path")
        rows.append(walk_dropped(page, sample / "walks" / "creek-shelf.gpx", repeats))
        rows.append(changes(page, repeats))
        patch = previews(page, "Vine hollow", repeats)
        rows.append(
            Row("preview of a corner moved, the sample's patch", patch, 200.0, "ms")
        )
        bags = [page.evaluate(BAGS) / 1000 for _ in range(repeats + 1)]
        rows.append(Row("bags and dollars, as things stand", bags[1:], 1.5, "s"))
        clicks = page.evaluate(CLICKS)
        rows.append(
            Row(f"a click while the year is made ({len(clicks)})", clicks, 300.0, "ms")
        )
    sixty = home / "sixty"
    write_place(sixty)
    page.close()  # an address that differs in its ticket alone would not be loaded anew
    page = browser.new_page(viewport={"width": 1366, "height": 768})
    with running(sixty, home) as (address, _):
        page.goto(address)
        page.wait_for_selector("text=60 pieces, ")
        took = previews(page, "Area 5", repeats)
        rows.append(Row("preview of a corner moved, 60 areas", took, 300.0, "ms"))
    return rows


def installed() -> Row:
    """Return what the desk adds to an install. [MB]"""
    size = sum(path.stat().st_size for path in DESK.rglob("*") if path.is_file())
    for name in FOR_THE_DESK:
        for file in importlib.metadata.files(name) or ():
            path = Path(str(file.locate()))
            size += path.stat().st_size if path.is_file() else 0
    return Row("the install grows", [size / MB], 5.0, "MB")


def main() -> None:
    """Print the figures."""
    from playwright.sync_api import sync_playwright

    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--repeats", type=int, default=7)
    asked = words.parse_args()
    with tempfile.TemporaryDirectory() as place, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        rows = [*measured(browser, Path(place), asked.repeats), installed()]
        browser.close()
    print(f"{'':50} {'median':>8} {'worst':>8}")
    for row in rows:
        print(row)
    sys.exit(1 if any(row.over for row in rows) else 0)


if __name__ == "__main__":
    main()
