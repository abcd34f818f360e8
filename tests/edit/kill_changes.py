"""Changes killed at random moments, with another program reading: nothing lost, nothing torn.

Run: ``python tests/edit/kill_changes.py [--kills 500] [--seed 1] [--home FOLDER]``. A process
changes an invented property over and over (a ring with a setting, lines of the log, a
photograph, a merge, an undo) and writes down each change that was acknowledged; it is killed
(SIGKILL) at a random moment. Meanwhile another process reads settings, ring and log. After
each kill the folder must open, every acknowledged change must be there and at most one more,
ring and settings must tell of the same change, and taking steps back must give, to the byte,
what was there before each. Ends with 1 where one does not. POSIX only.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from pathlib import Path

from PIL import Image

from quietacre.edit.book import Book
from quietacre.edit.journal import recover, steps, undo
from quietacre.edit.logs import Writer, merge_files, read_other, write_line
from quietacre.edit.photos import take_in
from quietacre.edit.property_file import change_settings
from quietacre.edit.state import where_home
from quietacre.edit.toml_plain import Set
from quietacre.errors import BadInput
from quietacre.intake.log import read_log
from quietacre.intake.photo import read_photo
from quietacre.intake.property import read_property

TOML = """\
# Invented.
[property]
name = "Nowhere"
note = "version 0"   # what the ring says too

[[area]]
name = "Field"
kind = "plot"
from = "drawn/field.geojson"
"""
#: Most of the kills fall while something is being written.
LONGEST_SECONDS = 0.12
BACK = 3
STARTED = b"started\n"


def ring(version: int) -> bytes:
    """Return a drawing that says which version it is."""
    x = -87.6 - version * 1e-5
    corners = [[x, 34.2], [x + 0.002, 34.2], [x + 0.002, 34.202], [x, 34.202], [x, 34.2]]
    shape = {"type": "Polygon", "coordinates": [corners]}
    feature = {"type": "Feature", "properties": {"version": version}, "geometry": shape}
    return json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()


def start(home: Path) -> Path:
    """Write the property and what is taken into it."""
    folder = home / "land"
    (folder / "drawn").mkdir(parents=True)
    (folder / "property.toml").write_text(TOML, encoding="utf-8")
    (folder / "drawn" / "field.geojson").write_bytes(ring(0))
    (folder / "log.csv").write_text("date,area,task\n2026-11-01,Field,mow\n")
    return folder


def prints(folder: Path) -> str:
    """Return one fingerprint of all files that are the person's own."""
    whole = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file() and not path.name.startswith(".quietacre-"):
            whole.update(f"{path.relative_to(folder)}\0".encode())
            whole.update(hashlib.sha256(path.read_bytes()).digest())
    return whole.hexdigest()


def one_change(folder: Path, scratch: Path, dice: random.Random) -> None:
    """Make one change, as a command would."""
    writer = Writer(folder, wait_s=0.0)
    what = dice.choice(["ring", "ring", "log", "photo", "merge", "undo"])
    word = f"{dice.randrange(10**9)}"
    if what == "ring":
        version = dice.randrange(10**6)
        change_settings(
            folder,
            lambda _: [Set(("property", "note"), f"version {version}")],
            "ring",
            files={"drawn/field.geojson": ring(version)},
        )
    elif what == "log":
        write_line(
            writer, {"date": "2026-11-02", "area": "Field", "task": "lime", "note": word}
        )
    elif what == "photo":
        path = scratch / f"{word}.jpg"
        Image.new("RGB", (16, 16), (dice.randrange(256), dice.randrange(256), 9)).save(path)
        photo = read_photo(path, shown=path.name)
        take_in(writer, photo, {"date": "2026-11-03", "area": "Field", "note": word})
    elif what == "merge":
        path = scratch / f"{word}.csv"
        path.write_text(f"date,area,task,note\n2026-11-04,Field,burn,{word}\n")
        merge_files(writer, [read_other(path)])
    else:
        undo(folder)


def write_on(folder: Path, scratch: Path, seed: int, told: int) -> None:
    """Change a folder until killed; tell of each change once it is acknowledged."""
    dice = random.Random(seed)
    os.write(told, STARTED)
    while True:
        try:
            one_change(folder, scratch, dice)
        except BadInput as problem:  # nothing left to take back
            if "no change to take back" not in str(problem):
                os.write(told, f"fault {problem}\n".encode())
            continue
        os.write(told, f"{prints(folder)}\n".encode())


def look(folder: Path) -> None:
    """Read all that is in a folder; what is torn raises."""
    read_property(folder)
    read_log(folder / "log.csv")
    json.loads((folder / "drawn" / "field.geojson").read_bytes())


def read_on(folder: Path, told: int) -> None:
    """Read a folder over and over, and tell when it does not open."""
    while True:
        try:
            look(folder)
        except (BadInput, OSError, ValueError) as problem:
            os.write(told, f"the reader: {problem}\n".encode())
        time.sleep(0.002)


def child(work, *words) -> tuple[int, int]:
    """Run a function in a process of its own; return its id and what it tells."""
    ours, theirs = os.pipe()
    pid = os.fork()
    if pid:
        os.close(theirs)
        return pid, ours
    try:
        os.close(ours)
        work(*words, theirs)
    except BaseException as problem:  # noqa: BLE001 - told, not raised, in a copy of this process
        os.write(theirs, f"fault {problem!r}\n".encode())
    os._exit(1)


def said(pipe: int) -> list[str]:
    """Return the lines that a process told before it ended."""
    with os.fdopen(pipe, "rb") as lines:
        return lines.read().decode().splitlines()


def end(pid: int) -> None:
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)


def after_kill(folder: Path, before: str, acknowledged: list[str]) -> list[str]:
    """Return what is wrong with a folder after a kill and the next start."""
    wrong = [line for line in acknowledged if line.startswith("fault")]
    good = [line for line in acknowledged if not line.startswith("fault")]
    last = good[-1] if good else before
    try:
        look(folder)
    except (BadInput, OSError, ValueError) as problem:
        wrong.append(f"does not open: {problem}")
    recovered = recover(folder)
    wrong += [
        f"a clash without a cause: {r.step.label}" for r in recovered if r.end == "clash"
    ]
    try:
        look(folder)
    except (BadInput, OSError, ValueError) as problem:
        wrong.append(f"does not open after the next start: {problem}")
    note = read_property(folder).property.note
    drawn = json.loads((folder / "drawn" / "field.geojson").read_bytes())
    if note != f"version {drawn['features'][0]['properties']['version']}":
        wrong.append("ring and settings tell of different changes")
    if list(folder.rglob(".quietacre-*")):
        wrong.append("something half-written is left")
    return wrong + ([] if prints(folder) == last else one_more(folder, last))


def one_more(folder: Path, last: str) -> list[str]:
    """Return a fault unless the folder is one whole change past the last acknowledged one."""
    book = Book(where_home(folder, None))
    for step in reversed(steps(folder)):
        if step.state in ("done", "undone"):
            copy = folder.with_name("copy")
            shutil.copytree(folder, copy)
            for part in book.entry(step.number, step.state).changes:
                data = part.before if step.state == "done" else part.after
                (copy / part.path).parent.mkdir(exist_ok=True)
                if data is None:
                    (copy / part.path).unlink(missing_ok=True)
                else:
                    (copy / part.path).write_bytes(data)
            found = prints(copy)
            shutil.rmtree(copy)
            if found == last:
                return []
    return ["an acknowledged change is not there"]


def kill_often(home: Path, kills: int, seed: int) -> dict[str, int]:
    """Kill changes at random moments and return the counts, saying every defect."""
    os.environ["XDG_STATE_HOME"] = str(home / "state")
    folder, scratch = start(home), home / "scratch"
    scratch.mkdir()
    dice = random.Random(seed)
    counts = {"kills": 0, "acknowledged": 0, "cut short": 0, "taken back": 0, "defects": 0}
    for number in range(kills):
        before = prints(folder)
        reader, read = child(read_on, folder)
        writer, wrote = child(write_on, folder, scratch, seed * 100_003 + number)
        assert os.read(wrote, len(STARTED)) == STARTED
        time.sleep(dice.random() * LONGEST_SECONDS)
        end(writer)
        end(reader)
        acknowledged = said(wrote)
        counts["kills"] += 1
        counts["acknowledged"] += len(acknowledged)
        begun = [step for step in steps(folder) if step.state in ("begun", "undoing")]
        counts["cut short"] += len(begun)
        wrong = said(read) + after_kill(folder, before, acknowledged)
        wrong += back(folder, [before, *acknowledged], counts)
        counts["defects"] += bool(wrong)
        for words in wrong:
            print(f"seed {seed} kill {number}: {words}")
    return counts


def back(folder: Path, known: list[str], counts: dict[str, int]) -> list[str]:
    """Take steps back, and return what does not give bytes that stood there before."""
    standing = [step for step in steps(folder) if step.state == "done"]
    for _ in standing[-BACK:]:
        undo(folder)
        counts["taken back"] += 1
        SEEN.setdefault(folder, set()).update(known)
        if prints(folder) not in SEEN[folder]:
            return ["an undo gave bytes that never stood there"]
    return []


SEEN: dict[Path, set[str]] = {}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--home", type=Path, help="work here (a disk of its own, say)")
    given = parser.parse_args()
    began = time.perf_counter()
    with tempfile.TemporaryDirectory(dir=given.home) as home:
        counts = kill_often(Path(home).resolve(), given.kills, given.seed)
    print(f"{counts}, {time.perf_counter() - began:.0f} s")
    return 1 if counts["defects"] else 0


if __name__ == "__main__":
    sys.exit(main())
