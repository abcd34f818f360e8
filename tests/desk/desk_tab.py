"""A tab of the desk as a test opens it, at each size, and what it says to its console."""

import math
import os
import subprocess
import sys
from pathlib import Path

from quietacre.figures import BEFORE

ROOT = Path(__file__).parents[2]
TOOLS = Path(os.environ.get("QUIETACRE_TOOLS") or ROOT / ".cache" / "tools")
AXE = TOOLS / "axe-core-4.12.1" / "axe.min.js"
SIZES = {"laptop": (1366, 768), "wide": (1920, 1080), "phone": (390, 844)}
#: Those at which every screen is looked at each time; with ALL_SIZES=1 in the environment, all.
LOOKED_AT = [size for size in SIZES if size != "wide" or os.environ.get("ALL_SIZES")]
#: A window of 1280 by 1024 at 400 %: Web Content Accessibility Guidelines 2.2, 1.4.10, W3C, 2023.
ZOOMED = (320, 256)


def tab(browser, desk, size="laptop", **more):
    """A tab with its own ticket, and what it says to its console."""
    width, height = SIZES.get(size, ZOOMED)
    page = browser.new_context(
        viewport={"width": width, "height": height}, **more
    ).new_page()
    said = []
    page.on("console", lambda line: said.append(line.text))
    page.on("pageerror", lambda fault: said.append(str(fault)))
    page.on(
        "request",
        lambda ask: (
            ask.url.startswith((desk.base, "data:", "blob:")) or said.append(ask.url)
        ),
    )
    address = subprocess.run(
        [sys.executable, "-m", "quietacre", "open", "--no-browser"], env=desk.env,
        capture_output=True, text=True, check=True, timeout=60,
    ).stdout.strip()  # fmt: skip
    page.goto(address)
    page.wait_for_selector("#main h2")
    return page, said


def passes_axe(page, where, part="html"):
    """Hold what is shown, or a part of it, to axe-core, where tests/run fetched it.

    No figure of it stands as it was not printed.
    """
    assert BEFORE not in page.inner_text("body"), where
    if not AXE.exists():
        return
    page.evaluate(AXE.read_text())
    found = page.evaluate("part => axe.run(part, {resultTypes: ['violations']})", part)
    told = [
        (one["id"], [node["html"][:120] for node in one["nodes"]])
        for one in found["violations"]
    ]
    assert told == [], (where, told)


def three_loops(path):
    """One GPX with three loops, recorded on three days: invented."""

    def loop(lat, lon, day, name):
        points = "".join(
            f'<trkpt lat="{lat + 0.0007 * math.sin(math.tau * n / 240):.6f}" '
            f'lon="{lon + 0.0009 * math.cos(math.tau * n / 240):.6f}">'
            f"<time>2026-10-{day:02d}T15:{n // 60:02d}:{n % 60:02d}Z</time></trkpt>"
            for n in range(241)
        )
        return f"<trk><name>{name}</name><trkseg>{points}</trkseg></trk>"

    path.write_text(
        '<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">'
        + loop(33.2, -86.3, 1, "North bottom") + loop(33.205, -86.3, 2, "Mill flat")
        + loop(33.2, -86.306, 3, "Long field") + "</gpx>"
    )  # fmt: skip
    return path
