"""Small changes to a package that computes, one at a time: which of them its tests notice.

Run: ``python tests/mutation/mutate.py PACKAGE [--count 10] [--seed 1] [--jobs 1] [--list]``.
Places are drawn by the seed from all of the package's modules (``source_changes.py``). Only
tests that come by the changed line are run (``known_lines.py``), one of each function first
and the quickest first, until one fails. This process loads the libraries once and is copied
for each change by ``fork``; the changed module stands in a copy of the source. A change under
which the tests do not end within five times their CPU seconds counts as noticed. At the end
every test that noticed something is run on the source as it is; one that fails there too
noticed nothing. Ends with 1 when a change was not noticed; each is printed, old and new.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
import time
from dataclasses import dataclass, replace
from pathlib import Path

import forked_trial
from known_lines import KEPT, LEFT_OUT, ROOT, SOURCE, Known
from module_level import lines_that_need
from source_changes import Place, changed, drawn

#: CPU seconds of the tests run for a change, when none of them fails.
MOST_S = 60.0
#: The places that the last run did not notice, a line each.
LAST = KEPT.with_name("missed.txt")
#: CPU seconds of reading one more file of tests.
READ_S = 0.15
#: CPU seconds of a test of which every row is run before slower ones.
QUICK_S = 0.1
#: A change may take this many times the CPU seconds that its tests took when recorded.
TIMES = 5


@dataclass(frozen=True)
class Outcome:
    """What came of one change."""

    place: Place
    words: str
    tests: int = 0
    left: int = 0
    by: str = ""

    def shown(self) -> str:
        """Return the place, what came of it, and the statement before and after."""
        word = f"noticed by {self.by}"
        if not self.by:
            word = f"NOT noticed ({self.tests} tests" + (
                f", {self.left} more not run for time)" if self.left else ")"
            )
        return f"{self.place.shown}: {self.place.how}, {word}\n{self.words}"


def tests_of(place: Place, known: Known) -> list[str]:
    """Return the tests that come by a change, in the order in which they are run."""
    file = place.path.relative_to(SOURCE).as_posix()
    found: set[str] = set()
    for module, lines in lines_that_need(place, known.sources):
        found |= known.by(module, lines)
    if not found:
        found = known.by(file, place.lines)
    return ordered(found, known)


def ordered(names: set[str], known: Known) -> list[str]:
    """Return tests, quick ones first; of slow ones the first of each function before its others.

    Reading one more file of tests takes about as long as a quick test in it.
    """
    seen: dict[str, int] = {}
    files: set[str] = set()
    keyed = []
    for name in sorted(names, key=lambda name: (known.tests[name]["cpu_s"], name)):
        function, file = name.partition("[")[0], name.partition("::")[0]
        seen[function] = seen.get(function, 0) + 1
        costs = known.tests[name]["cpu_s"] + (0.0 if file in files else READ_S)
        files.add(file)
        slow = known.tests[name]["cpu_s"] > QUICK_S
        keyed.append((slow, slow and seen[function] > 1, costs, name))
    return [key[-1] for key in sorted(keyed)]


def batches(names: list[str], known: Known, most_s: float) -> tuple[list[list[str]], int]:
    """Return the tests in three runs, few first, and how many are left out for time."""
    found: list[list[str]] = [[], [], []]
    spent = 0.0
    for number, name in enumerate(names):
        spent += known.tests[name]["cpu_s"]
        if spent > most_s and number > 0:
            return [one for one in found if one], len(names) - number
        found[0 if number < 12 else 1 if number < 60 else 2].append(name)
    return [one for one in found if one], 0


class TrialSlots:
    """Copies of the source, one for each job, in which modules are changed and put back."""

    def __init__(self, base: Path, jobs: int) -> None:
        self.plain = base / "plain"
        self.free = [base / str(number) for number in range(jobs)]
        for room in (self.plain, *self.free):
            shutil.copytree(SOURCE, room / "quietacre")
        self.running: dict[int, tuple[Outcome, Path, float]] = {}
        self.done: list[Outcome] = []

    def start(self, place: Place, known: Known, most_s: float) -> None:
        """Make one change in a free copy and run its tests in a process of their own."""
        room = self.free.pop()
        names = tests_of(place, known)
        runs, left = batches(names, known, most_s)
        path = room / place.path.relative_to(SOURCE.parent)
        text, before, after = changed(replace(place, path=path))
        was = path.stat()
        path.write_text(text, encoding="utf-8")
        os.utime(
            path, (was.st_mtime + 2, was.st_mtime + 2)
        )  # no compiled one is taken for it
        cpu_s = 10 + TIMES * sum(known.tests[name]["cpu_s"] for run in runs for name in run)
        child = forked_trial.start(room, runs, cpu_s)
        begun = Outcome(place, f"  {before}\n  {after}", len(names) - left, left)
        self.running[child] = (begun, room, time.monotonic() + 60 + 4 * cpu_s)

    def wait(self) -> None:
        """Wait until one of them ends, put its module back and keep what came of it."""
        while True:
            for child, (begun, room, until) in list(self.running.items()):
                late = time.monotonic() > until
                if late:
                    forked_trial.stop(child)
                if os.waitpid(child, 0 if late else os.WNOHANG)[0] or late:
                    del self.running[child]
                    inside = begun.place.path.relative_to(SOURCE.parent)
                    shutil.copy2(self.plain / inside, room / inside)
                    self.free.append(room)
                    by = forked_trial.noticed(room) if begun.tests else ""
                    self.done.append(replace(begun, by=by))
                    print(self.done[-1].shown(), flush=True)
                    return
            time.sleep(0.02)


def tried(chosen: list[Place], known: Known, jobs: int, most_s: float) -> list[Outcome]:
    """Return what came of each change; the tests that noticed are run without one at the end."""
    with tempfile.TemporaryDirectory(prefix="quietacre-mutation-") as base:
        slots = TrialSlots(Path(base), jobs)
        for place in chosen:
            if not slots.free:
                slots.wait()
            slots.start(place, known, most_s)
        while slots.running:
            slots.wait()
        names = sorted({one.by for one in slots.done if one.by in known.tests})
        failing = set()
        while names:  # one that fails here is set aside, and the others run again
            os.waitpid(forked_trial.start(slots.plain, [names], 600), 0)
            bad = forked_trial.noticed(slots.plain)
            if not bad:
                break
            failing.add(bad)
            names = [name for name in names if name != bad] if bad in names else []
        for name in failing:
            print(
                f"fails on the source as it is, so what it noticed does not count: {name}"
            )
        return [replace(one, by="" if one.by in failing else one.by) for one in slots.done]


def main() -> int:
    """Draw places, change each in a copy, and print what was not noticed."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("package", nargs="+", help="such as strip, need, year or boundary")
    parser.add_argument(
        "--count", type=int, default=10, help="changes to make in each (10)"
    )
    parser.add_argument("--seed", type=int, default=1, help="which changes (1)")
    parser.add_argument("--jobs", type=int, default=1, help="at once (1)")
    parser.add_argument(
        "--most-s", type=float, default=MOST_S,
        help=f"CPU seconds of tests for a change that none notices ({MOST_S:.0f})",
    )  # fmt: skip
    parser.add_argument("--list", action="store_true", help="print them and stop")
    parser.add_argument(
        "--known", action="store_true", help="record no tests first: those known are used"
    )
    parser.add_argument(
        "--again", action="store_true", help="only those that the last run did not notice"
    )
    asked = parser.parse_args()
    chosen = [
        p for package in asked.package for p in drawn(package, asked.count, asked.seed)
    ]
    if asked.list:
        for place in chosen:
            print(f"{place.shown}: {place.how}\n  " + "\n  ".join(changed(place)[1:]))
        return 0
    if asked.again:
        chosen = [place for place in chosen if place.shown in LAST.read_text().splitlines()]
    known = Known()
    if not asked.known and (count := known.refresh()):
        print(f"{count} new or changed files of tests were recorded")
    print(f"no test is run of: {', '.join(LEFT_OUT)}; none that is slow or in a browser")
    start = time.monotonic()
    forked_trial.load_libraries()
    done = tried(chosen, known, asked.jobs, asked.most_s)
    missed = [one for one in done if not one.by]
    LAST.write_text("\n".join(one.place.shown for one in missed))
    print(f"\n{time.monotonic() - start:.0f} s. Not noticed:")
    for one in missed:
        print(one.shown())
    for package in asked.package:
        of_it = [one for one in done if one.place.path.is_relative_to(SOURCE / package)]
        seen = sum(bool(one.by) for one in of_it)
        print(f"{package}, seed {asked.seed}: {seen} of {len(of_it)} noticed")
    return 1 if missed else 0


if __name__ == "__main__":
    os.chdir(ROOT)
    sys.exit(main())
