"""What drawing at the desk takes: a drag beside 60 areas, corners laid, the size of its code.

Run: ``python tests/benchmarks/bench_drawing.py``; it needs Chromium, as the tests in a browser.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

STATIC = Path(__file__).parents[2] / "src" / "quietacre" / "desk" / "static"
#: What the page loads for all its parts, and the two modules by which it comes to draw.
BEGINS, DRAWS = "desk.js", ("drawing.js", "place_tools.js")
#: Code that drawing adds to the page: no more than this. [bytes]
MOST_BYTES = 90_000
CHROMIUM = (
    os.environ.get("QUIETACRE_CHROMIUM") or shutil.which("chromium") or "/usr/bin/chromium"
)
FLAGS = ["--no-sandbox", "--disable-gpu"]
MOVES = 200
#: Counts how long each frame of the page takes.
FRAMES = """() => {
  window.frames_ms = [];
  let last = performance.now();
  const go = (now) => {
    window.frames_ms.push(now - last);
    last = now;
    window.going = requestAnimationFrame(go);
  };
  requestAnimationFrame(go);
}"""
#: Counts how long corners are laid, and how long the page's own code works for a frame.
LAID = """async () => {
  const { Corners } = await import('/corners.js');
  const { lay, show } = Corners.prototype;
  window.worked_ms = [];
  Corners.prototype.show = function () {
    const begun = performance.now();
    show.call(this);
    window.worked_ms.push(performance.now() - begun);
  };
  window.laid = [];
  Corners.prototype.lay = function () {
    const begun = performance.now();
    lay.call(this);
    window.laid.push([performance.now() - begun, this.handles.filter((h) => !h.middle).length]);
  };
}"""


def ring(
    lon: float, lat: float, corners: int, size: float, wave: float
) -> list[list[float]]:
    """Return a closed ring with waves in it."""
    out = []
    for turn in np.linspace(0, math.tau, corners, endpoint=False):
        far = size * (1 + wave * math.sin(corners / 4 * turn))
        out.append([lon + far * 1.2 * math.cos(turn), lat + far * math.sin(turn)])
    return [*out, out[0]]


def write_place(folder: Path) -> None:
    """Write an invented place of 60 areas: one of 700 corners, one of 200."""
    features, areas = [], []
    for n in range(60):
        corners, wave = {33: (700, 0.05), 26: (200, 0.6)}.get(n, (60, 0.05))
        rings = [
            ring(-86.3 + 0.004 * (n % 10), 33.2 + 0.004 * (n // 10), corners, 0.0015, wave)
        ]
        shape = {"type": "Polygon", "coordinates": rings}
        name = f"Area {n}"
        features.append(
            {"type": "Feature", "properties": {"name": name}, "geometry": shape}
        )
        areas.append(f'[[area]]\nname = "{name}"\nfrom = "all.geojson"\nkind = "plot"\n')
    folder.mkdir(parents=True)
    whole = {"type": "FeatureCollection", "features": features}
    (folder / "all.geojson").write_text(json.dumps(whole))
    (folder / "property.toml").write_text(
        '[property]\nname = "Sixty"\n\n' + "\n".join(areas), encoding="utf-8"
    )


def imported(begin: Iterable[str], but: Iterable[str] = ()) -> set[str]:
    """Return the modules that some modules import, and what those import, some left out."""
    found: set[str] = set()
    todo = list(begin)
    while todo:
        name = todo.pop()
        if name not in found and name not in but:
            found.add(name)
            text = (STATIC / name).read_text(encoding="utf-8")
            todo += re.findall(r'from "\./(\w+\.js)"', text)
    return found


def drawing_modules() -> list[str]:
    """Return the modules that are loaded for drawing alone, and not for the rest of the page."""
    return sorted(imported(DRAWS) - imported([BEGINS], but=DRAWS))


def code_bytes() -> tuple[int, int]:
    """Return the bytes of the modules for drawing: as they are served, and without comments."""
    whole = bare = 0
    for name in drawing_modules():
        text = (STATIC / name).read_text(encoding="utf-8")
        whole += len(text.encode())
        text = re.sub(r"^[ \t]*//.*\n", "", text, flags=re.MULTILINE)
        text = re.sub(
            r"^[ \t]*/\*\*.*?\*/[ \t]*\n", "", text, flags=re.MULTILINE | re.DOTALL
        )
        text = re.sub(r"/\*\* @\w+.*?\*/ ?", "", text)
        bare += len(text.encode())
    return whole, bare


def measure(address: str) -> dict[str, float]:
    """Return the figures of a drag and of corners laid."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_context(viewport={"width": 1366, "height": 768}).new_page()
        page.goto(address)
        page.wait_for_selector("text=60 pieces", timeout=60_000)
        page.evaluate(LAID)

        def mend(name: str) -> None:
            page.locator("nav button", has_text="Ground").click()
            page.locator(f"button[aria-label='Look at {name}']").click()
            page.click("text=Draw or mend its edge")
            page.locator("[data-tool=move]").click()
            page.wait_for_timeout(600)

        mend("Area 26")
        page.click(".leaflet-control-zoom-in")
        page.wait_for_timeout(600)
        page.click(".leaflet-control-zoom-out")
        page.wait_for_timeout(600)
        laid = page.evaluate("window.laid")
        mend("Area 33")
        box = page.locator(".corners button.corner").first.bounding_box()
        assert box is not None
        x, y = box["x"] + 22, box["y"] + 22
        page.mouse.move(x, y)
        page.mouse.down()
        page.evaluate(FRAMES)
        for n in range(MOVES):
            page.mouse.move(x + 15 * math.sin(n / 9), y + 15 * math.cos(n / 7))
        frames = page.evaluate(
            "(cancelAnimationFrame(window.going), window.frames_ms.slice(2))"
        )
        worked = page.evaluate("window.worked_ms")
        page.mouse.up()
        browser.close()
    return {
        "frames": len(frames),
        "frame_ms_median": float(np.median(frames)),
        "frame_ms_95": float(np.percentile(frames, 95)),
        "script_ms_median": float(np.median(worked)),
        "script_ms_95": float(np.percentile(worked, 95)),
        "corners_laid": max(count for _, count in laid),
        "laid_ms_first": laid[0][0],
        "laid_ms_median": float(np.median([ms for ms, _ in laid])),
    }


def main() -> None:
    """Print the figures."""
    argparse.ArgumentParser(description=__doc__.splitlines()[0]).parse_args()
    with tempfile.TemporaryDirectory() as home:
        folder = Path(home) / "sixty"
        write_place(folder)
        env = {**os.environ, "HOME": home, "XDG_STATE_HOME": str(Path(home) / "state")}
        desk = subprocess.Popen(
            [sys.executable, "-m", "quietacre", "open", str(folder), "--no-browser"],
            env=env, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        try:
            assert desk.stdout is not None
            figures = measure(desk.stdout.readline().strip())
        finally:
            desk.send_signal(signal.SIGINT)
            desk.wait(30)
    for name, value in figures.items():
        print(f"{name:20} {value:8.1f}")
    whole, bare = code_bytes()
    print(
        f"code of drawing      {whole / 1000:8.1f} kB, {bare / 1000:.1f} kB without its comments"
    )


if __name__ == "__main__":
    main()
