"""The desk's screens as pictures: by name, each from the open sample, at a laptop's or a phone's size.

`make_pictures.py` makes them; `python docs/make_pictures.py --desk mix clash-phone` only these.
"""

from __future__ import annotations

import io
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

#: A laptop's screen and a phone's. [px]
LAPTOP, PHONE = (1366, 900), (390, 844)
#: Colors of a picture; a screen has few, and its file stays small.
COLORS = 96
#: Legs of an invented deed.
DEED = (("N 2 E", "400"), ("S 88 E", "330"), ("S 2 W", "400"), ("N 88 W", "330"))
#: A mix that is being added, by the labels of its boxes; invented.
MIX = (("Name", "late rye"), ("Crop", "cereal rye"), ("Pounds an acre", "60"), ("Purity", "98.5%"),
       ("Germination", "85%"), ("Price a pound (dollars)", "0.45"), ("Bag (pounds)", "50"))  # fmt: skip


def go(page: Page, part: str) -> None:
    """Show one part of the desk."""
    page.locator("nav button", has_text=part).click()
    page.wait_for_selector("#main >> text=One moment", state="detached")


def unfold(page: Page, words: str) -> None:
    """Unfold what has these words above it, and bring it into sight."""
    fold = page.locator("#main summary:visible", has_text=words).first
    if not fold.evaluate("node => node.parentElement.open"):
        fold.click()
    fold.evaluate("node => node.scrollIntoView({ block: 'start' })")


def ground(page: Page) -> None:
    """Show all the ground, with its map."""
    go(page, "Ground")
    page.wait_for_selector("#chart .leaflet-tooltip")


def piece(page: Page, name: str) -> None:
    """Show one piece of ground."""
    ground(page)
    page.locator(f"button[aria-label='Look at {name}']").click()
    page.wait_for_selector("summary:has-text('Its edge')")


def look(page: Page, folder: Path) -> None:
    """Show what stands in a file that was brought."""
    ground(page)
    page.set_input_files("#files", str(folder / "walks" / "creek-shelf.gpx"))
    page.wait_for_selector("text=Keep this piece of ground")
    page.locator("text=Keep this piece of ground").scroll_into_view_if_needed()


def settings(page: Page) -> None:
    """Show the boxes of everything."""
    go(page, "Everything about it")
    page.wait_for_selector("summary")


def mix(page: Page) -> None:
    """Show a mix being added, with what its tag says."""
    settings(page)
    unfold(page, "What is sown")
    unfold(page, "Add a mix")
    form = page.locator("[data-item='mix[+]'] form")
    for label, text in MIX:
        form.get_by_label(label, exact=True).fill(text)
    form.get_by_label("Rate is of", exact=True).select_option("pls")
    page.locator("[data-item='mix[+]']").evaluate("node => node.scrollIntoView()")


def soil(page: Page) -> None:
    """Show a soil test as a laboratory's sheet."""
    settings(page)
    unfold(page, "Soil tests")
    page.locator("#main > details[open] > details > summary").first.click()
    page.locator("#main > details[open] > details").first.evaluate(
        "node => node.scrollIntoView()"
    )


def quiet(page: Page) -> None:
    """Show quiet seasons on their band."""
    settings(page)
    unfold(page, "Days: quiet seasons")


def clash(page: Page, folder: Path) -> None:
    """Show a box that another hand changed meanwhile."""
    settings(page)
    unfold(page, "Machines")
    box = page.get_by_label("Spray tank (gallons)")
    box.fill("30")
    file = folder / "property.toml"
    was = file.read_text()
    line = next(row for row in was.splitlines() if row.startswith("tank_gal"))
    file.write_text(was.replace(line, "tank_gal = 60"))
    box.blur()
    told = page.locator(".fault:has-text('another hand')")
    told.wait_for()
    told.evaluate("node => node.scrollIntoView({ block: 'center' })")
    file.write_text(was)


def due(page: Page) -> None:
    """Show what is due."""
    go(page, "What is due")
    page.wait_for_selector("text=Coming by")


def jobs(page: Page) -> None:
    """Show the jobs that are due later; on most days none of the sample's is due."""
    due(page)
    unfold(page, "The later jobs")


def log(page: Page) -> None:
    """Show a line for the log."""
    due(page)
    unfold(page, "Write a line into the log")
    form = page.locator("form:visible").last
    for label, text in (("What was done", "mowed"), ("Where", "Creek shelf"), ("Minutes", "55"),
                        ("A note", "east end too wet")):  # fmt: skip
        form.get_by_label(label, exact=False).first.fill(text)


def sheet(page: Page) -> None:
    """Show a filled paper sheet, typed as one table."""
    due(page)
    unfold(page, "Type a whole sheet as one table")
    page.select_option("#sheet-of", index=1)
    row = page.locator("form:visible tbody tr").first.locator("input")
    row.nth(0).fill(page.evaluate("document.querySelector('#main input[type=date]').max"))
    row.nth(1).fill("55")


def helper(page: Page) -> None:
    """Show a list for a helper."""
    due(page)
    unfold(page, "A list for one person or one machine")


def under(page: Page, folder: Path) -> None:
    """Show a picture that is being laid on the ground."""
    ground(page)
    page.click("text=Lay a picture underneath")
    page.set_input_files("#picture-file", str(folder / "pictures" / "knoll-sketch.png"))
    page.wait_for_selector(".picture-inner img")
    page.locator(".picture-inner img").scroll_into_view_if_needed()


def marks(page: Page) -> None:
    """Show a mark that was just put."""
    ground(page)
    page.click("text=Put a mark here")
    page.select_option("#mark-kind", "gate")
    page.fill("#mark-name", "North gate")
    page.locator("#chart").scroll_into_view_if_needed()
    box = page.locator("#chart").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + 0.42 * box["width"], box["y"] + 0.3 * box["height"])
    page.wait_for_selector("#said:has-text('Kept: North gate')")
    page.evaluate("document.getElementById('chart').scrollIntoView({ block: 'nearest' })")


def strip(page: Page) -> None:
    """Show the strip of a patch."""
    piece(page, "Vine hollow")
    unfold(page, "Its strip")
    page.wait_for_selector("text=What each setting does to it")


def draw(page: Page) -> None:
    """Show an edge that is being mended."""
    piece(page, "Old orchard")
    page.click("text=Draw or mend its edge")
    page.locator("[data-tool=move]").click()
    page.locator("button[aria-label^='corner 2 of']").focus()
    for _ in range(3):
        page.keyboard.press("Shift+ArrowUp")
    page.wait_for_timeout(900)
    if page.viewport_size and page.viewport_size["width"] < LAPTOP[0]:
        page.evaluate("document.getElementById('chart').scrollIntoView()")


def let_go(page: Page) -> None:
    """Leave an edge as it was."""
    page.click("text=Let it go")
    page.wait_for_selector("text=Draw a new piece")


def deed(page: Page) -> None:
    """Show a deed's calls as they are typed."""
    ground(page)
    page.click("text=Type a deed or a tape table")
    for n, (bearing, feet) in enumerate(DEED, 1):
        page.fill(f"[aria-label='Bearing of leg {n}']", bearing)
        page.fill(f"[aria-label='Length of leg {n}']", feet)
    page.wait_for_selector(".figures >> text=ac")


def work(page: Page) -> None:
    """Show what was worked out."""
    go(page, "Work it out")
    page.wait_for_selector("text=Work it out now")


def keep(page: Page) -> None:
    """Show where a copy is kept."""
    go(page, "Keep and leave")
    page.wait_for_selector("text=Keep a copy")


def begin(page: Page) -> None:
    """Show the first page; it closes the place, so it comes last."""
    keep(page)
    page.click("text=Close this place")
    page.wait_for_selector("text=Places you had open")
    page.evaluate(
        "document.querySelectorAll('.soft, .why').forEach((one) => { "
        "one.textContent = one.textContent.replace(/\\/\\S*(?=\\/Sweetgum)/, "
        "'Documents/quietacre').replace(/\\/\\S*\\/quietacre/, 'Documents/quietacre'); })"
    )


#: Each picture: its name, how its screen is reached, its size.
Screen = Callable[..., None]
DESK_SCREENS: dict[str, tuple[Screen, tuple[int, int]]] = {
    "ground": (ground, LAPTOP), "look": (look, LAPTOP), "settings": (settings, LAPTOP),
    "mix": (mix, LAPTOP), "mix-phone": (mix, PHONE), "soil": (soil, LAPTOP), "soil-phone": (soil, PHONE),
    "quiet": (quiet, LAPTOP), "due": (jobs, LAPTOP), "due-phone": (jobs, PHONE),
    "log-phone": (log, PHONE), "sheet": (sheet, LAPTOP), "helper": (helper, LAPTOP),
    "strip": (strip, LAPTOP), "strip-phone": (strip, PHONE), "under": (under, LAPTOP),
    "marks": (marks, LAPTOP), "draw": (draw, LAPTOP), "draw-phone": (draw, (PHONE[0], 1150)),
    "deed": (deed, LAPTOP), "work": (work, LAPTOP), "clash": (clash, LAPTOP), "keep": (keep, LAPTOP), "begin": (begin, LAPTOP),
}  # fmt: skip
#: Screens that a file of the place is needed for.
WITH_FOLDER = (look, clash, under)


def small(png: bytes) -> bytes:
    """Return a picture with few colors."""
    with Image.open(io.BytesIO(png)) as whole:
        few = whole.convert("RGB").quantize(COLORS, dither=Image.Dither.NONE)
        to = io.BytesIO()
        few.save(to, "PNG", optimize=True)
    return to.getvalue()


def desk_pictures(
    browser: Browser, sample: Path, to: Path, names: list[str] | None = None
) -> None:
    """Photograph screens of the desk, with the sample open in a home of its own.

    Parameters
    ----------
    sample : a finished sample; it is copied.
    to : the folder of the pictures.
    names : which of ``DESK_SCREENS``; all when None or empty.
    """
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "Sweetgum Bend"
        shutil.copytree(sample, folder)
        env = {**os.environ, "XDG_STATE_HOME": f"{place}/state", "HOME": place}
        desk = subprocess.Popen(
            [sys.executable, "-m", "quietacre", "open", str(folder), "--no-browser"],
            env=env, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        try:
            assert desk.stdout is not None
            page = browser.new_context(locale="en-US").new_page()
            page.goto(desk.stdout.readline().strip())
            for name, (screen, (width, height)) in DESK_SCREENS.items():
                if names and name not in names:
                    continue
                page.set_viewport_size({"width": width, "height": height})
                page.evaluate("scrollTo(0, 0)")
                screen(page, *([folder] if screen in WITH_FOLDER else []))
                page.wait_for_timeout(900)
                _unplaced(page)
                (to / f"desk-{name}.png").write_bytes(small(page.screenshot()))
                if screen is draw:
                    let_go(page)
        finally:
            desk.send_signal(signal.SIGINT)
            desk.wait(30)


def _unplaced(page: Page) -> None:
    """Put another folder where the page tells of this machine's."""
    page.evaluate(
        "document.querySelector('#place-where:not(:empty)') && /^kept in/.test("
        "document.getElementById('place-where').textContent) && "
        "(document.getElementById('place-where').textContent = "
        "'kept in Documents/quietacre/Sweetgum Bend')"
    )
