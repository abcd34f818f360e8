"""The desk killed at random moments of use in Chromium: nothing acknowledged may be lost.

Run: ``python tests/hostile/kill_desk.py [--kills 300] [--seed 1]``; some forty minutes for 300. A tab
of an invented place fills in boxes, writes lines of the log and of what was seen, brings ground
and takes changes back, each as a person would, and each that the page says is kept is put down
with what the file must say then. The server and what runs beside it are killed (SIGKILL) at a
random moment, and started again as its starter would. After each kill the folder must open, the
last answer of every box, every line of the log and every piece of ground that was acknowledged
must be there, at most the one change under way may be there besides, and the same tab must find
the desk again and keep the next answer. Ends with 1 when one of it fails. POSIX only.
"""

from __future__ import annotations

import argparse
import contextlib
import csv
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from playwright.sync_api import Error, sync_playwright

from quietacre.edit.journal import recover, steps

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = (
    os.environ.get("QUIETACRE_CHROMIUM") or shutil.which("chromium") or "/usr/bin/chromium"
)
FLAGS = ["--no-sandbox", "--disable-gpu"]
#: Boxes that are filled in, each with its place in the settings.
BOXES = {
    "Spray tank (gallons)": ("equipment", "tank_gal"),
    "Mower (feet)": ("equipment", "mower_width_ft"),
    "Disk (feet)": ("equipment", "disk_width_ft"),
}
#: Keeps every line that the page says, for when a fault is to be understood.
LISTEN = """() => {
  window.everSaid = [];
  const said = document.getElementById('said');
  new MutationObserver(() => said.textContent && window.everSaid.push(said.textContent))
    .observe(said, { childList: true, characterData: true, subtree: true });
}"""
#: So many of the last lines and changes are told with a fault.
LAST = 12
#: A kill falls within this after an action began. [s]
LONGEST_SECONDS = 0.5
WAIT_MS = 30_000
TOML = """\
# Invented.
[property]
name = "Nowhere"

[equipment]
tank_gal = 25.0
mower_width_ft = 6.0
disk_width_ft = 6.0

[[area]]
name = "Field"
kind = "plot"
from = "drawn/field.geojson"
"""


def drawing(number: int, name: str) -> dict[str, Any]:
    """Return a small piece of ground as a file that a person picks."""
    x = -87.6 + 0.003 * number
    ring = [[x, 34.2], [x + 0.002, 34.2], [x + 0.002, 34.202], [x, 34.202], [x, 34.2]]
    shape = {"type": "Polygon", "coordinates": [ring]}
    whole = {"type": "Feature", "properties": {"name": name}, "geometry": shape}
    return {
        "name": f"{name}.geojson", "mimeType": "application/json",
        "buffer": json.dumps(whole).encode(),
    }  # fmt: skip


@dataclass
class Told:
    """What the page called kept, and what is under way."""

    boxes: dict[str, float] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    areas: list[str] = field(default_factory=lambda: ["Field"])
    under_way: tuple[str, Any] | None = None


class Desk:
    """One desk after another on one home and one port."""

    def __init__(self, home: Path) -> None:
        self.env = {**os.environ, "HOME": str(home), "XDG_STATE_HOME": str(home / "state"),
                    "XDG_DOCUMENTS_DIR": str(home / "docs")}  # fmt: skip
        self.process: subprocess.Popen[str] | None = None

    def start(self, *words: str) -> str:
        """Start it in a session of its own; return the address that it prints."""
        self.process = subprocess.Popen(
            [sys.executable, "-m", "quietacre", "open", "--no-browser", *words],
            env=self.env, stdout=subprocess.PIPE, text=True, start_new_session=True,
        )  # fmt: skip
        assert self.process.stdout is not None
        return self.process.stdout.readline().strip()

    def kill(self) -> None:
        """Kill the server and what runs beside it."""
        assert self.process is not None
        beside = children(self.process.pid)
        for pid in (self.process.pid, *beside):
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        self.process.wait(30)
        assert self.process.stdout is not None
        self.process.stdout.close()


def children(pid: int) -> list[int]:
    """Return the processes that a process started."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError, ValueError):
            if int(stat.read_text().rpartition(")")[2].split()[1]) == pid:
                found.append(int(stat.parent.name))
    return found


def part(page: Page, name: str) -> None:
    """Show one part of the desk."""
    page.evaluate("document.getElementById('said').textContent = ''")
    page.locator("nav button", has_text=name).click()
    page.wait_for_selector("#main >> text=One moment", state="detached")


def unfold(page: Page, words: str) -> None:
    """Unfold what has these words above it, unless it is open since the last time."""
    fold = page.locator("summary", has_text=words).first
    fold.wait_for()
    if not fold.evaluate("node => node.parentElement.open"):
        fold.click()


def fill(page: Page, told: Told, dice: random.Random) -> None:
    """Answer a box of the machines."""
    label = dice.choice(list(BOXES))
    value = float(dice.randint(1, 90))
    part(page, "Everything about it")
    unfold(page, "Machines")
    box = page.get_by_label(label, exact=True)
    if box.input_value() in (f"{value:g}", f"{value}"):
        return
    told.under_way = ("box", (label, value))
    box.fill(f"{value:g}")
    box.blur()
    page.wait_for_selector("#said:has-text('Kept.')")
    told.boxes[label] = value


def log(page: Page, told: Told, dice: random.Random) -> None:
    """Write a line of the log."""
    note = f"line {dice.randrange(10**9)}"
    part(page, "What is due")
    unfold(page, "Write a line into the log")
    form = page.locator("#main details:has(summary:has-text('Write a line')) form")
    form.get_by_label("What was done").fill("mowed")
    form.get_by_label("Where (").fill("Field")
    form.get_by_label("A note").fill(note)
    told.under_way = ("note", note)
    form.locator("button.first").click()
    page.wait_for_selector("#said:has-text('Written into the log')")
    told.notes.append(note)


def bring(page: Page, told: Told, dice: random.Random) -> None:
    """Bring a piece of ground."""
    name = f"Piece {dice.randrange(10**9)}"
    part(page, "Ground")
    page.set_input_files("#files", drawing(len(told.areas), name))
    # what was brought before a kill waits there too
    head = page.locator("h3", has_text=f"{name}.geojson")
    keeps = page.locator("section", has=head).get_by_text("Keep this piece of ground")
    keeps.wait_for()
    told.under_way = ("area", name)
    keeps.click()
    page.wait_for_selector(f"#said:has-text('Kept: {name}')")
    told.areas.append(name)


def back_and_forth(page: Page, told: Told, dice: random.Random) -> None:
    """Answer a box and take the answer back."""
    before = dict(told.boxes)
    fill(page, told, dice)
    if told.under_way is None:
        return
    told.under_way = ("back", (before, dict(told.boxes)))
    page.click("button:has-text('Take back the last change')")
    # a refusal speaks of taking back too, without a colon
    page.wait_for_selector("#said:has-text('Taken back: ')")
    told.boxes = before


ACTIONS = (fill, fill, log, bring, back_and_forth)


def notes_of(folder: Path) -> list[str]:
    """Return the notes of the log, one for each of its lines."""
    path = folder / "log.csv"
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return [row["note"] for row in csv.DictReader(file)]


def lacking(folder: Path, told: Told, start: dict[str, float]) -> list[str]:
    """Return what was acknowledged and is not there, and what is there too much."""
    recover(folder)
    settings = tomllib.loads((folder / "property.toml").read_text(encoding="utf-8"))
    faults = []
    kind, what = told.under_way or ("", None)
    for label, (table, key) in BOXES.items():
        now = float(settings[table][key])
        good = {told.boxes.get(label, start[label])}
        if kind == "box" and what[0] == label:
            good.add(what[1])
        if kind == "back":
            good |= {state.get(label, start[label]) for state in what}
        if now not in good:
            faults.append(f"{label} is {now}, not {sorted(good)}")
    names = [area["name"] for area in settings["area"]]
    may = {what} if kind == "area" else set()
    if missing := set(told.areas) - set(names):
        faults.append(f"ground is gone: {sorted(missing)}")
    if more := set(names) - set(told.areas) - may:
        faults.append(f"ground nobody kept: {sorted(more)}")
    faults += [
        f"{area['name']} has no file"
        for area in settings["area"]
        if not (folder / str(area["from"])).is_file()
    ]
    notes = notes_of(folder)
    faults += [
        f"“{note}” stands {notes.count(note)} times in the log"
        for note in told.notes
        if notes.count(note) != 1
    ]
    if more := set(notes) - set(told.notes) - ({what} if kind == "note" else set()):
        faults.append(f"lines nobody wrote: {sorted(more)}")
    return faults


def what_went_before(page: Page, folder: Path) -> list[str]:
    """Return what the page said last, and the last changes of the journal."""
    lines = [f"    said: {line}" for line in page.evaluate("window.everSaid")[-LAST:]]
    return lines + [
        f"    journal: {step.number} {step.state} {step.label} {step.at:%H:%M:%S}"
        for step in steps(folder)[-LAST:]
    ]


def take_for_kept(folder: Path, told: Told) -> None:
    """Go on from what stands there now, with the change under way kept or not."""
    settings = tomllib.loads((folder / "property.toml").read_text(encoding="utf-8"))
    told.boxes = {
        label: float(settings[table][key]) for label, (table, key) in BOXES.items()
    }
    told.areas = [area["name"] for area in settings["area"]]
    told.notes = notes_of(folder)
    told.under_way = None


def goes_on(page: Page, told: Told, dice: random.Random, *, saw_it: bool) -> str | None:
    """Return why the same tab does not go on, None when it does."""
    gone = "import('/ask.js').then(({ line }) => line.gone)"
    if saw_it:  # the page looks every two seconds whether the desk is there again
        try:
            page.wait_for_selector("#said:has-text('runs again')")
        except Error:
            # where the machine was slow the tab may never have missed it, and has nothing to say
            if page.evaluate(gone):
                return "the tab does not find the desk again"
    try:
        while told.under_way is None:
            fill(page, told, dice)
    except Error as problem:
        return f"the tab does not go on: {str(problem).splitlines()[0]}"
    told.under_way = None
    return None


def one_kill(desk: Desk, page: Page, told: Told, dice: random.Random) -> bool:
    """Act until the desk is killed; return whether an action was under way."""
    # a person acts some times before
    for _ in range(dice.randint(0, 2)):
        dice.choice(ACTIONS)(page, told, dice)
        told.under_way = None
    killer = threading.Timer(dice.uniform(0.0, LONGEST_SECONDS), desk.kill)
    killer.start()
    page.set_default_timeout(3000)
    hit = False
    try:
        while killer.is_alive():
            told.under_way = None
            dice.choice(ACTIONS)(page, told, dice)
        told.under_way = None
    except Error:
        hit = True
    finally:
        killer.join()
        page.set_default_timeout(WAIT_MS)
    return hit


def opened(browser: Browser, desk: Desk, home: Path) -> tuple[Page, Path]:
    """Begin an invented place at the desk; return the tab and the place's folder."""
    folder = home / "land"
    (folder / "drawn").mkdir(parents=True)
    (folder / "property.toml").write_text(TOML, encoding="utf-8")
    (folder / "drawn" / "field.geojson").write_bytes(drawing(0, "Field")["buffer"])
    page = browser.new_page()
    page.goto(desk.start(str(folder)))
    page.wait_for_selector("button[aria-label='Look at Field']")
    page.evaluate(LISTEN)
    return page, folder


def kill_often(
    browser: Browser, home: Path, kills: int, seed: int
) -> tuple[list[str], int]:
    """Kill, look, go on; return the faults, and under how many kills something was under way."""
    dice = random.Random(seed)  # noqa: S311 - no secret
    faults, under_way = [], 0
    desk, told = Desk(home), Told()
    page, folder = opened(browser, desk, home)
    table = tomllib.loads(TOML)
    start = {label: float(table[t][key]) for label, (t, key) in BOXES.items()}
    try:
        for action in ACTIONS:  # each of them works while nothing is killed
            action(page, told, dice)
            told.under_way = None
        faults += [f"before any kill: {fault}" for fault in lacking(folder, told, start)]
        for number in range(1, kills + 1):
            hit = one_kill(desk, page, told, dice)
            under_way += hit
            saw_it = "not running" in page.inner_text("body")
            if found := lacking(folder, told, start):
                faults += [f"kill {number}: {fault}" for fault in found]
                print("\n".join([*faults, *what_went_before(page, folder)]), flush=True)
            take_for_kept(folder, told)
            desk.start()
            if (why := goes_on(page, told, dice, saw_it=saw_it)) is not None:
                faults.append(f"kill {number}: {why}")
                break
            if number % 25 == 0:
                print(f"{number} kills, {len(faults)} faults", flush=True)
    finally:
        desk.kill()
    return faults, under_way


def main() -> None:
    """Kill it as often as asked, and print what was found."""
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--kills", type=int, default=300)
    words.add_argument("--seed", type=int, default=1)
    asked = words.parse_args()
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as place, sync_playwright() as play:
        os.environ["XDG_STATE_HOME"] = str(Path(place) / "state")
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        faults, under_way = kill_often(browser, Path(place), asked.kills, asked.seed)
        browser.close()
    for fault in faults:
        print(fault)
    print(
        f"{asked.kills} kills, {under_way} with a change under way; {len(faults)} faults; "
        f"{time.monotonic() - begun:.0f} s; seed {asked.seed}"
    )
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
