"""Every tool of the drawing, from nothing to kept, by mouse, touch and keys at three sizes.

Run: ``python tests/desk/every_tool.py [--tools split,hole] [--hands keys] [--sizes phone]``; it
needs Chromium, as the tests in a browser. Without words it does all of the table, some ten minutes.
Each case begins with the same small invented place and ends with what the desk then says of it.
"""

from __future__ import annotations

import argparse
import math
import os
import shutil
import sys
import tempfile
import time
import tomllib
import traceback
from pathlib import Path

import numpy as np
from desk_tab import SIZES
from hands import HANDS, acres_in, feet_moved
from running_desk import RunningDesk

from quietacre.acreage.frame import LocalFrame
from quietacre.drawing.sheet import polygons_of
from quietacre.edit.ring_file import ring_file
from quietacre.units import FT_M

FRAME = LocalFrame(-86.3, 33.2)
#: Corners in feet: a field with a spur, one that touches it, one 6 ft off, one beyond the line.
FIELDS = {
    "Flat": [(-200, -150), (200, -150), (200, 150), (20, 150), (20, 230), (0, 230), (0, 150), (-200, 150)],
    "Wing": [(-500, -150), (-200, -150), (-200, 150), (-500, 150)],
    "Next": [(206, -150), (500, -150), (500, 150), (206, 150)],
    "Far": [(-100, 400), (100, 400), (100, 600), (-100, 600)],
}  # fmt: skip
LINE = [(-520, -130), (520, -130), (520, 260), (-520, 260)]
PINS = [(-900, 0), (-700, 0), (-700, 200), (-900, 200)]
DEED = (
    "Beginning at an iron pin; thence North 10 degrees East 410 feet; thence South 80 degrees "
    "East 300 feet; thence South 10 degrees West 405 feet; thence to the point of beginning."
)
LEGS = [("N 10 E", "410"), ("S 80 E", "300"), ("S 10 W", "405"), ("N 81 W", "301")]


def at(x_ft, y_ft):
    lon, lat = FRAME.lonlat(x_ft * FT_M, y_ft * FT_M)
    return [float(lon), float(lat)]


def write_place(folder: Path) -> None:
    """Write the invented place: fields, the line, a walk with a spike, pins, a picture."""
    from PIL import Image, ImageDraw

    folder.mkdir(parents=True)
    text = ['[property]\nname = "Crow Ridge"\nboundary = "line.geojson"\n']
    for name, corners in {**FIELDS, "line": LINE}.items():
        shape = polygons_of([[[at(*corner) for corner in corners]]])
        (folder / f"{name.lower()}.geojson").write_bytes(ring_file(shape, name, (12,)))
        if name != "line":
            text.append(
                f'[[area]]\nname = "{name}"\nkind = "plot"\nfrom = "{name.lower()}.geojson"\n'
            )
    text.append('[[area]]\nname = "Mill"\nkind = "plot"\nfrom = "mill.gpx"\n')
    (folder / "property.toml").write_text("\n".join(text))
    (folder / "mill.gpx").write_text(_walk())
    (folder.parent / "pins.gpx").write_text(_pins())
    picture = Image.new("RGB", (600, 400), "#e6ead2")
    pen = ImageDraw.Draw(picture)
    for step in range(0, 600, 50):
        pen.line([(step, 0), (step, 400)], fill="#6d7a52")
    picture.save(folder.parent / "plat.png")


def _gpx(inside: str) -> str:
    return (
        '<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">'
        f"{inside}</gpx>"
    )


def _walk() -> str:
    points = []
    for n in range(241):
        turn = math.tau * n / 240
        far = 900 if n == 60 else 250
        lon, lat = at(2000 + far * math.cos(turn), far * math.sin(turn))
        points.append(
            f'<trkpt lat="{lat:.6f}" lon="{lon:.6f}"><time>2026-10-01T15:{n // 60:02d}:'
            f"{n % 60:02d}Z</time></trkpt>"
        )
    return _gpx(f"<trk><name>Mill</name><trkseg>{''.join(points)}</trkseg></trk>")


def _pins() -> str:
    points = []
    for n, corner in enumerate(PINS, 1):
        lon, lat = at(*corner)
        points.append(f'<wpt lat="{lat:.7f}" lon="{lon:.7f}"><name>{n}</name></wpt>')
    return _gpx("".join(points))


# ---- what is looked at ----------------------------------------------------------------------


def areas(hand):
    _, ground = hand.desk.call("/api/ground")
    return {one["name"]: one["acres"] for one in ground["areas"]}


def marks(hand):
    return hand.desk.call("/api/marks")[1]["marks"]


def near(one, other, share=0.003):
    assert abs(one - other) <= max(abs(other) * share, 0.006), f"{one} is not near {other}"


def shown(hand):
    return acres_in(hand.page.inner_text(".figures .acres"))


def setting(hand, name):
    text = (hand.folder / "property.toml").read_text()
    return next(one for one in tomllib.loads(text)["area"] if one["name"] == name)


# ---- the tools -------------------------------------------------------------------------------


def draw(hand):
    hand.press("Draw a new piece")
    hand.wait(".panel:has-text('Put the corners')")
    for place in ((-80, -80), (80, -80), (80, 80), (-80, 80)):
        hand.point(*place)
    hand.press("Close the edge")
    acres = shown(hand)
    hand.keep("Mill flat")
    near(areas(hand)["Mill flat"], acres)
    assert setting(hand, "Mill flat")["edge_pm_ft"] > 0


def drag(hand):
    hand.open("Flat")
    before = hand.shape()[0][0]
    hand.tool("Move its corners")
    hand.drag(2, 20, 20)
    east, north = feet_moved(before, hand.shape()[0][0])
    assert east > 5, (east, north)
    assert north < -5, (east, north)
    hand.escape()
    was = areas(hand)["Flat"]
    hand.keep()
    assert areas(hand)["Flat"] > was


def nudge(hand):
    hand.open("Flat")
    before = hand.shape()[0][0]
    hand.tool("Move its corners")
    hand.choose(3)
    hand.nudge()
    east, north = feet_moved(before, hand.shape()[0][0])
    near(north, 1, 0.01)
    assert abs(east) < 0.01
    assert "ft to the next" in hand.line()
    hand.escape()
    hand.keep()


def insert_and_delete(hand):
    hand.open("Flat")
    hand.tool("Move its corners")
    hand.choose(1)
    hand.insert()
    assert hand.line().startswith("corner 2 of 9")
    hand.drag(2, 0, 20)
    hand.choose(6)
    hand.delete()
    assert len(hand.shape()[0][0]) == 8
    hand.escape()
    hand.keep()
    assert areas(hand)["Flat"] > 0


def split_and_join(hand):
    was = areas(hand)["Flat"]
    hand.open("Flat")
    hand.tool("Split it by a line")
    hand.farther()
    hand.at(0.25, -0.3)
    hand.at(0.25, 1.3)
    hand.press("Split it by this line")
    hand.wait("#piece-name-0")
    hand.keep()
    parts = areas(hand)
    near(parts["Flat"] + parts["Flat 2"], was, 1e-9)
    hand.begin()
    hand.open("Flat")
    hand.tool("Join with")
    hand.press("Join with Flat 2", ".panel")
    hand.wait(".keeping button.first")
    hand.keep()
    near(areas(hand)["Flat"], was, 1e-9)
    assert "Flat 2" not in areas(hand)


def hole(hand):
    hand.open("Wing")
    was = shown(hand)
    hand.tool("Cut a hole")
    for place in ((0.25, 0.25), (0.75, 0.25), (0.75, 0.75), (0.25, 0.75)):
        hand.at(*place)
    hand.press("Cut this hole")
    assert len(hand.shape()[0]) == 2
    assert shown(hand) < was
    hand.keep()
    assert areas(hand)["Wing"] < was - 0.05


def clip(hand):
    was = areas(hand)["Wing"]
    hand.open("Wing")
    hand.tool("Clip to the property line")
    hand.wait("button:has-text('Take back: clipped')")
    hand.keep()
    near(areas(hand)["Wing"], was * 280 / 300)


def clip_outside(hand):
    hand.open("Far")
    before = hand.shape()
    hand.tool("Clip to the property line")
    hand.wait("#said.doubts")
    assert "line" in hand.page.inner_text("#said")
    assert hand.shape() == before
    assert not hand.page.locator(".keeping button").count()


def follow(hand):
    was = areas(hand)["Flat"]
    hand.open("Flat")
    hand.tool("Follow the neighbor")
    hand.type("#within-ft", "12")
    hand.press("Follow Next", ".panel")
    hand.wait("button:has-text('Take back: laid on the edge of Next')")
    assert "ac" in hand.page.inner_text("#said")
    hand.undo()
    near(shown(hand), was)
    hand.redo()
    hand.keep()
    near(areas(hand)["Flat"], was + 6 * 300 / 43_560)


def straighten(hand):
    was = areas(hand)["Flat"]
    hand.open("Flat")
    hand.tool("Straighten between two corners")
    hand.at(1, 0.25)
    hand.at(0, 0.25)
    hand.wait("button:has-text('Take back: an edge straightened')")
    hand.keep()
    near(areas(hand)["Flat"], was - 20 * 80 / 43_560)


def spur(hand):
    was = areas(hand)["Flat"]
    hand.open("Flat")
    hand.tool("Cut off a spur")
    hand.type("#spur-ft", "30")
    hand.press("Cut them off", ".panel")
    hand.wait("button:has-text('Take back: spurs')")
    hand.keep()
    near(areas(hand)["Flat"], was - 20 * 80 / 43_560)


def take_fix(hand):
    hand.open("Mill")
    before = hand.shape()[0][0]
    hand.tool("Take in a point of the walk")
    hand.wait(".fix")
    hand.point(0, -80)
    hand.wait("button:has-text('Take back: a corner put in')")
    (new,) = [one for one in hand.shape()[0][0] if one not in before]
    x, y = np.column_stack(FRAME.xy(*np.array([new]).T))[0] / FT_M
    assert math.hypot(x - 2000, y) > 300, (x, y)
    hand.keep()
    assert setting(hand, "Mill")["over"] == "mill.gpx"


def pins_straight(hand):
    hand.press("Draw a new piece")
    hand.press("Take pins of a phone instead", ".panel")
    hand.page.set_input_files("#pins-file", str(hand.folder.parent / "pins.gpx"))
    hand.press("It runs straight between them", ".panel")
    hand.keep("Pinned lot")
    near(areas(hand)["Pinned lot"], 200 * 200 / 43_560)
    near(setting(hand, "Pinned lot")["edge_pm_ft"], 20.1, 0.01)


def pins_in_turn(hand):
    hand.press("Draw a new piece")
    hand.press("Take pins of a phone instead", ".panel")
    hand.page.set_input_files("#pins-file", str(hand.folder.parent / "pins.gpx"))
    hand.wait(".panel:has-text('in a curve')")
    hand.page.wait_for_timeout(100)
    for place in ((-80, 80), (80, 80), (80, -80)):
        hand.point(*place)
    hand.press("Close the edge")
    hand.keep("Pinned lot")
    near(areas(hand)["Pinned lot"], 200 * 200 / 2 / 43_560)


def further_part(hand):
    was = areas(hand)["Next"]
    hand.open("Next")
    hand.tool("Draw a further part of it")
    hand.farther()
    for place in ((0, -0.5), (0.6, -0.5), (0.6, -0.1)):
        hand.at(*place)
    hand.press("Close the edge")
    assert len(hand.shape()) == 2, hand.page.inner_text("#said") + hand.line()
    acres = shown(hand)
    hand.keep()
    near(areas(hand)["Next"], acres)
    assert acres > was + 0.02


def road(hand):
    hand.press("Draw a road or firebreak")
    hand.wait("#line-width")
    hand.type("#line-width", "20")
    for place in ((-160, 80), (0, 80), (160, 80)):
        hand.point(*place)
    hand.press("This is its line")
    hand.wait(".keeping #piece-name")
    hand.page.select_option("#piece-name-kind", "road")
    acres = shown(hand)
    hand.keep("South break")
    near(areas(hand)["South break"], acres)


def mark(hand):
    hand.press("Put a mark here")
    hand.page.select_option("#mark-kind", "gate")
    hand.type("#mark-name", "North gate")
    hand.point(-80, -80)
    hand.wait("#said:has-text('Kept: North gate')")
    (first,) = marks(hand)
    hand.off = [-80, -80]
    hand.click(hand.page.locator("[aria-label='Move North gate']"))
    hand.point(80, 80)
    hand.wait("#said:has-text('was moved')")
    assert marks(hand)[0]["at"] != first["at"]
    hand.click(hand.page.locator("[aria-label='Rename North gate']"))
    hand.type("#mark-name", "Road gate")
    hand.press("Keep", ".panel")
    hand.wait("#said:has-text('Kept: Road gate')")
    assert marks(hand)[0]["name"] == "Road gate"
    hand.click(hand.page.locator("[aria-label='Remove Road gate']"))
    hand.wait("#said:has-text('was removed')")
    assert marks(hand) == []


def tape(hand):
    hand.press("Measure with the tape")
    hand.wait("#tape-name")
    hand.type("#tape-name", "along the creek")
    for place in ((-160, 0), (0, 0), (0, 80)):
        hand.point(*place)
    hand.press("Keep the taped line", ".panel")
    hand.wait("#said:has-text('Kept: along the creek')")
    (kept,) = marks(hand)
    assert kept["kind"] == "tape"
    assert kept["length_ft"] > 100


def picture(hand):
    hand.press("Lay a picture underneath")
    hand.page.set_input_files("#picture-file", str(hand.folder.parent / "plat.png"))
    hand.wait(".picture-inner img")
    for _ in range(3 * (type(hand).__name__ == "Keys")):
        hand.press("Nearer")
    for n, (x, y) in enumerate(((0.3, 0.3), (0.7, 0.3), (0.7, 0.7), (0.3, 0.7)), 1):
        hand.on_picture(x, y)
        lon, lat = at(1000 * (x - 0.5), -1000 * (y - 0.5) * 400 / 600)
        hand.wait("#typed-place")
        hand.type("#typed-place", f"{lat:.7f}, {lon:.7f}")
        hand.press("It lies there")
        hand.wait(f".picture-dots span:has-text('{n}')")
    hand.wait("li:nth-child(4):has-text('misses by')")
    hand.press("Keep the picture so placed")
    hand.wait("#said:has-text('Kept: pictures/plat.png')")
    (row,) = hand.desk.call("/api/pictures")[1]["pictures"]
    assert row["pm_ft"] < 100
    hand.press("Draw a new piece")
    hand.wait(".under")


def deed(hand):
    hand.press("Type a deed or a tape table")
    hand.click(hand.page.locator("summary", has_text="Read the calls"))
    hand.type("#deed-text", DEED)
    hand.press("Read these calls")
    hand.wait("[aria-label='Bearing of leg 3']")
    hand.wait(".figures .acres")
    place_and_keep(hand, "Deeded lot")


def tape_table(hand):
    hand.press("Type a deed or a tape table")
    for number, (bearing, length) in enumerate(LEGS, 1):
        hand.page.get_by_label(f"Bearing of leg {number}").fill(bearing)
        hand.page.get_by_label(f"Length of leg {number}").fill(length)
    hand.wait(".figures:has-text('misses its beginning by 1.0 ft')")
    hand.page.get_by_label("Length of leg 3").focus()
    assert hand.line() == "leg 3, 405 ft"
    place_and_keep(hand, "Taped lot")


def place_and_keep(hand, name):
    hand.press("Its first corner is here")
    hand.point(80, 80)
    hand.wait("#piece-name")
    hand.type("#piece-name", name)
    hand.press("Keep", "section")
    hand.wait(f"#said:has-text('Kept: {name}')")
    near(areas(hand)[name], 2.81, 0.01)


def clash(hand):
    """Another hand changes the edge's file, and the drawing is kept over it."""
    hand.open("Flat")
    hand.tool("Cut off a spur")
    hand.type("#spur-ft", "30")
    hand.press("Cut them off", ".panel")
    hand.wait("button:has-text('Take back: spurs')")
    shape = polygons_of([[[at(*corner) for corner in FIELDS["Flat"][:3]]]])
    (hand.folder / "flat.geojson").write_bytes(ring_file(shape, "Flat", (12,)))
    mine = hand.shape()
    hand.press("Keep", ".keeping")
    hand.wait("text=Another hand changed this edge since you began")
    assert hand.shape() == mine
    theirs = areas(hand)["Flat"]
    hand.press("Keep mine over it")
    hand.wait("#said:has-text('Kept')")
    assert areas(hand)["Flat"] > theirs * 1.5


def picture_gone(hand):
    """The picture under a drawing is taken away by another hand: nothing is lost, and it is said."""
    picture(hand)
    for place in ((-80, -80), (80, -80), (80, 80)):
        hand.point(*place)
    hand.press("Close the edge")
    shutil.rmtree(hand.folder / "pictures")
    hand.type("#piece-name", "From the plat")
    hand.press("Keep", ".keeping")
    hand.wait("#said.doubts")
    assert "plat.png" in hand.page.inner_text("#said")
    assert len(hand.shape()) == 1
    assert "From the plat" not in areas(hand)


def picture_moved(hand):
    """The picture under a drawing is placed anew by another hand: it is said, and looked at again."""
    picture(hand)
    for place in ((-80, -80), (80, -80), (80, 80)):
        hand.point(*place)
    hand.press("Close the edge")
    (row,) = hand.desk.call("/api/pictures")[1]["pictures"]
    pairs = [[x, y, lon + 0.001, lat] for x, y, lon, lat in row["pairs"]]
    code, said = hand.desk.call("/api/place/keep", {"picture": "plat.png", "pairs": pairs})
    assert code == 200, said
    hand.type("#piece-name", "From the plat")
    hand.press("Keep", ".keeping")
    hand.wait("#said.doubts:has-text('was placed anew since')")
    assert "From the plat" not in areas(hand)
    hand.press("Back to all the ground")
    hand.press("Draw a new piece")
    hand.wait("text=begun and not kept")
    hand.press("Go on with it")
    hand.wait(".under")
    hand.page.wait_for_timeout(300)
    hand.keep("From the plat")
    assert areas(hand)["From the plat"] > 0


TOOLS = {
    one.__name__: one
    for one in (
        draw, drag, nudge, insert_and_delete, split_and_join, hole, clip, clip_outside, follow, straighten,
        spur, take_fix, pins_straight, pins_in_turn, further_part, road, mark, tape, picture, deed,
        tape_table, clash, picture_gone, picture_moved,
    )
}  # fmt: skip


class Bench:
    """A desk, and a tab for each hand and size as it is needed."""

    def __init__(self, browser, home: Path) -> None:
        self.browser, self.home = browser, home
        self.desk = RunningDesk(home)
        self.desk.unlock()
        self.hands = {}
        self.count = 0

    def run(self, tool: str, hand: str, size: str) -> None:
        """Do one case in a place of its own."""
        self.count += 1
        folder = self.home / f"case{self.count}" / "place"
        write_place(folder)
        code, said = self.desk.call("/api/open", {"folder": str(folder)})
        assert code == 200, said
        if (hand, size) not in self.hands:
            self.hands[hand, size] = HANDS[hand](self.browser, self.desk, size)
        one = self.hands[hand, size]
        one.folder = folder
        one.said.clear()
        one.begin()
        TOOLS[tool](one)
        wide = "document.documentElement.scrollWidth <= innerWidth + 1"
        assert one.page.evaluate(wide), "the page is wider than its window"
        faults = [text for text in one.said if "422" not in text and "409" not in text]
        assert faults == [], faults

    def end(self) -> None:
        for one in self.hands.values():
            one.page.context.close()
        self.desk.end()


def main() -> int:
    """Do the cases that are asked for, and say which did not end as they should."""
    from playwright.sync_api import sync_playwright

    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    for what, all_of in (("tools", TOOLS), ("hands", HANDS), ("sizes", SIZES)):
        words.add_argument(
            f"--{what}", default=",".join(all_of), type=lambda text: text.split(",")
        )
    asked = words.parse_args()
    cases = [(t, h, s) for s in asked.sizes for h in asked.hands for t in asked.tools]
    chromium = os.environ.get("QUIETACRE_CHROMIUM") or shutil.which("chromium")
    wrong = 0
    with tempfile.TemporaryDirectory() as home, sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
        )
        bench = Bench(browser, Path(home))
        try:
            for case in cases:
                began = time.monotonic()
                try:
                    bench.run(*case)
                    told = "kept"
                except Exception as problem:  # noqa: BLE001 - whatever it is, it is told
                    wrong += 1
                    last = traceback.extract_tb(problem.__traceback__)
                    row = [one for one in last if one.filename == __file__][-1]
                    told = f"WRONG at {row.name}:{row.lineno}: {str(problem)[:300]}"
                print(
                    f"{' '.join(case):40} {time.monotonic() - began:5.1f} s  {told}",
                    flush=True,
                )
        finally:
            bench.end()
            browser.close()
    print(f"{len(cases)} cases, {wrong} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
