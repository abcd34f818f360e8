"""Random scripts of commands in an invented place: each is one step, undo and again to the byte.

Run: ``python tests/edit/random_commands.py [--scripts 60] [--seed 1]``. A script sets, logs, marks,
adds drawings and photographs, merges logs and ticks, closes a year, sets the next season's days,
and takes some of it back, in turn and out of turn, and makes it again. After each command every
file must hold what a plain model of it holds: a command that changes a file is one step, one that
is refused changes nothing, undo gives the bytes before, again the bytes after, no line of the log
is said to be gone, and the list tells which steps can be made again. Ends with 1 when one does
not; the seed is printed with it.
"""

from __future__ import annotations

import csv
import json
import os
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from click.testing import CliRunner

for part in ("record", "hostile", "drawing"):
    sys.path.insert(0, str(Path(__file__).parents[1] / part))
from photographs import jpeg  # noqa: E402 - found by the line above
from random_scripts import play  # noqa: E402
from small_place import write_place  # noqa: E402

from quietacre.cli import main as quietacre  # noqa: E402

if TYPE_CHECKING:
    from click.testing import Result

    Files = dict[str, bytes]

STEPS = 16
#: Shares of a script's steps: what is taken back; that and what is made again, where there is any.
UNDO, UNDO_OR_AGAIN, RARELY = 0.32, 0.6, 0.05
#: 2028-02-01: the sowing in the log is over, and so is its year.
TODAY = "2028-02-01"
NOW = "1832976000"
LOST = "--lost"
SETTINGS = """\
[property]
name = "Invented home"
state = "AL"

[work]
trip_minutes = 20  # ours

[[area]]
name = "Hill"
kind = "plot"
from = "h.geojson"
mix = "grain"
plant = 2027-09-25  # the Saturday

[[mix]]
name = "grain"
seed = [{ crop = "wheat", share = 1.0 }]
"""
LOG = """\
id,date,area,task,note
aaaaaaaaa,2027-09-24,Hill,plant,first
"""


class WrongError(Exception):
    """A file, or what was said, is not what it must be."""


def files_of(folder: Path) -> Files:
    """Return the files that steps change, by name: not what is built, nor years that are kept."""
    return {
        name: path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
        and not (name := path.relative_to(folder).as_posix()).startswith(("out/", "years/"))
    }


@dataclass
class Made:
    """One step: its number, and what it made of which files; None where there is no file."""

    number: int
    before: dict[str, bytes | None]
    after: dict[str, bytes | None]


@dataclass
class Script:
    """A place, the random numbers, and the plain model of what was done in it."""

    room: Path
    seed: int
    standing: list[Made] = field(default_factory=list)
    ended: list[Made] = field(default_factory=list)
    again: list[Made] = field(default_factory=list)
    done: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng(self.seed)
        self.place = write_place(self.room / "home", SETTINGS, LOG)
        self.files = files_of(self.place)
        self.count = 0

    def run(self, *words: object) -> Result:
        """Run a command; raise when it ends with anything but 0 or a line and 2."""
        given = [str(word) for word in words]
        result = CliRunner().invoke(quietacre, given)
        if result.exit_code not in (0, 2) or LOST in result.stderr:
            raise WrongError(f"{given} ended with {result.exit_code}: {result.output}")
        return result

    def listed(self) -> list[dict[str, object]]:
        """Return the steps as ``undo --list`` has them, oldest first."""
        said = self.run("undo", self.place, "--list", "--json").stdout
        return json.loads(said)["steps"][::-1]

    def words(self) -> list[object]:
        """Return a random command that may change files, without its name's place."""
        rng, place, n = self.rng, self.place, self.count
        note = f"n{int(rng.integers(1000))}"
        day = f"2027-11-{int(rng.integers(1, 29)):02}"
        what = str(rng.choice(["set", "log", "log undo", "seen", "mark", "photo", "add",
                               "merge", "merge both", "close", "next"],
                              p=[0.16, 0.16, 0.08, 0.08, 0.1, 0.1, 0.1, 0.07, 0.05, 0.04, 0.06]))  # fmt: skip
        self.done[what] += 1
        if what == "set":
            return ["set", place, "work.trip_minutes", int(rng.integers(10, 15))]
        if what == "log":
            return ["log", place, "other", "--area", "Hill", "--on", day, "--note", note]
        if what == "log undo":
            text = self.files["log.csv"].decode()
            ids = [row["id"] for row in csv.DictReader(text.splitlines()) if row["id"]]
            return ["log", place, "--undo", str(rng.choice(ids))]
        if what == "seen":
            return ["seen", place, "3 deer", "--area", "Hill", "--on", day, "--note", note]
        if what == "mark":
            at = f"33.2{n:03},-86.2995"
            return ["mark", place, "--kind", "gate", "--name", note, "--at", at]
        if what == "photo":
            path = self.room / f"P{n}.JPG"  # each photograph is a step
            path.write_bytes(
                jpeg(-86.29951 + 1e-5 * n, 33.2003, taken="2027:11:04 10:11:12")
            )
            return ["photo", place, path, "--area", "Hill", "--note", note]
        if what == "add":
            return ["add", place, self.drawing(n)]
        if what.startswith("merge"):
            path = self.room / f"other{n}.csv"
            rows = [f"{'abcdefghi'[k] * 5}{n:04},{day},Hill,other,{note}" for k in range(2)]
            path.write_text("\n".join(["id,date,area,task,note", *rows, ""]))
            twice = [path] if what == "merge" else [path, path]
            return ["merge", place, *twice]
        return (
            ["close", place, "2027", "--today", TODAY] if what == "close"
            else ["next", place, "--write", "--today", TODAY]
        )  # fmt: skip

    def drawing(self, number: int) -> Path:
        """Write a drawing of two pieces of ground; return its path."""
        rings = []
        for k in range(2):
            lon, lat = -86.28 + 0.002 * k, 33.2 + 0.002 * number
            ring = [[lon, lat], [lon + 1e-3, lat], [lon + 1e-3, lat + 1e-3], [lon, lat]]
            rings.append({"type": "Feature", "properties": {"name": f"New {number} {k}"},
                          "geometry": {"type": "Polygon", "coordinates": [ring]}})  # fmt: skip
        path = self.room / f"new-{number}.geojson"
        path.write_text(json.dumps({"type": "FeatureCollection", "features": rings}))
        return path

    def change(self) -> None:
        """Run a random command; it is one step where a file changed, and none where none did."""
        self.count += 1
        steps, words = len(self.listed()), self.words()
        result = self.run(*words)
        now, more = files_of(self.place), len(self.listed()) - steps
        names = [n for n in {**self.files, **now} if self.files.get(n) != now.get(n)]
        if more != bool(names) or (names and result.exit_code):
            raise WrongError(f"{words}: {more} steps for {names}: {result.output}")
        self.done["changed" if names else "refused" if result.exit_code else "nothing"] += 1
        if names:
            number = int(str(self.listed()[-1]["number"]))
            before = {name: self.files.get(name) for name in names}
            after = {name: now.get(name) for name in names}
            self.standing.append(Made(number, before, after))
            self.ended += self.again
            self.again = []
            self.files = now

    def turn(self, made: Made | None, *words: str, back: bool) -> bool:
        """Take a step back or make it again; return whether its files let it."""
        says = self.run("undo", self.place, *words)
        side, other = ("after", "before") if back else ("before", "after")
        may = made is not None and all(
            self.files.get(name) == data for name, data in getattr(made, side).items()
        )
        if may != (says.exit_code == 0):
            raise WrongError(f"undo {words} of {made and made.number}: {says.output}")
        self.done[
            " ".join(["undo", *(w for w in words if w[0] == "-"), "" if may else "no"])
        ] += 1
        if may and made is not None:
            wanted = {**self.files, **getattr(made, other)}
            self.files = {name: data for name, data in wanted.items() if data is not None}
        return may

    def undo(self, *, out_of_turn: bool) -> None:
        """Take back the last step, or any that stands."""
        made = max(self.standing, key=lambda one: one.number, default=None)
        words: tuple[str, ...] = ()
        if out_of_turn and self.standing:
            made = self.standing[int(self.rng.integers(len(self.standing)))]
            words = ("--step", str(made.number))
        if self.turn(made, *words, back=True) and made is not None:
            self.standing.remove(made)
            self.again.append(made)

    def redo(self, *, by_number: bool) -> None:
        """Make again the step taken back last, or any by its number."""
        made = self.again[-1] if self.again else None
        words: tuple[str, ...] = ("--again",)
        away = [*self.again, *self.ended]
        if by_number and away:
            made = away[int(self.rng.integers(len(away)))]
            words = ("--again", "--step", str(made.number))
        if self.turn(made, *words, back=False) and made is not None:
            (self.again if made in self.again else self.ended).remove(made)
            self.standing.append(made)

    def check(self, after: str) -> None:
        """Raise where a file is not what it must be, or the list tells other than is so."""
        if files_of(self.place) != self.files:
            raise WrongError(f"after {after} the files are not what they must be")
        can = {
            one.number
            for one in [*self.again, *self.ended]
            if all(self.files.get(name) == data for name, data in one.before.items())
        }
        told = {step["number"] for step in self.listed() if step["can_be_made_again"]}
        if told != can:
            raise WrongError(f"after {after} {told} can be made again, it says, not {can}")


def run_script(seed: int, room: Path) -> Counter[str]:
    """Return how often each thing was done in one script; ``room`` is an empty folder.

    Raises
    ------
    WrongError
        A file, or what was said, is not what it must be.
    """
    os.environ["XDG_STATE_HOME"] = str(room / "state")
    os.environ["SOURCE_DATE_EPOCH"] = NOW
    script = Script(room, seed)
    for _ in range(STEPS):
        turn = script.rng.uniform()
        if turn < UNDO:
            script.undo(out_of_turn=turn < UNDO / 3)
            script.check("undo")
        elif turn < (UNDO_OR_AGAIN if script.again else UNDO + RARELY):
            script.redo(by_number=turn < UNDO + RARELY)
            script.check("again")
        else:
            script.change()
            script.check("a change")
    return script.done


def in_new_room(seed: int) -> Counter[str]:
    """Run a script in a folder of its own, which is gone afterwards."""
    with tempfile.TemporaryDirectory() as room:
        return run_script(seed, Path(room))


def main() -> int:
    """Run scripts, print what was done, return 1 when one went wrong."""
    return play(__doc__, in_new_room, 60)


if __name__ == "__main__":
    sys.exit(main())
