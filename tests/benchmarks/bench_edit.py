"""What a change to a property folder costs: a setting with its checks, a line of the log.

Run: ``python tests/benchmarks/bench_edit.py [--areas 60] [--lines 6000] [--repeats 21]``.
Best and median, in a program that is running already; the last row is a command typed in a
terminal, start-up and all. Seconds mean this machine, this run, and its disk above all.
"""

from __future__ import annotations

import argparse
import datetime as dt
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from bench_start import write_property

from quietacre.edit.journal import undo
from quietacre.edit.logs import Writer, merge_files, write_line
from quietacre.edit.logtext import read_log_text
from quietacre.edit.lost import look
from quietacre.edit.property_file import change_settings
from quietacre.edit.toml_plain import Set


def timed(run: Callable[[int], object], repeats: int) -> list[float]:
    """Return the milliseconds of each run, sorted; the first, which imports, is left out."""
    run(-1)
    took = []
    for number in range(repeats):
        began = time.perf_counter()
        run(number)
        took.append(1e3 * (time.perf_counter() - began))
    return sorted(took)


def write_log(folder: Path, lines: int) -> None:
    """Write a log of so many lines."""
    day = dt.date(2007, 1, 1)
    rows = [
        f"{day + dt.timedelta(days=n)},Field {n % 60},mow,40,line {n}" for n in range(lines)
    ]
    (folder / "log.csv").write_text("\n".join(["date,area,task,minutes,note", *rows, ""]))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--areas", type=int, default=60)
    parser.add_argument("--lines", type=int, default=6000)
    parser.add_argument("--repeats", type=int, default=21)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as home:
        os.environ["XDG_STATE_HOME"] = f"{home}/state"
        folder = Path(home) / "land"
        write_property(folder, given.areas, 40)
        write_log(folder, given.lines)
        middle = given.areas // 2
        writer = Writer(folder, wait_s=0.0)
        other = (folder / "log.csv").read_bytes()
        area = {"date": "2026-11-01", "area": "Field 3", "task": "mow"}
        command = [sys.executable, "-m", "quietacre", "set", str(folder)]
        rows = [
            (
                f"a setting, {given.areas} areas, checked",
                lambda n: change_settings(
                    folder, lambda _: [Set(("area", middle, "note"), f"line {n}")], "note"
                ),
            ),
            (f"a line of the log, {given.lines} lines", lambda n: write_line(writer, area)),
            (
                "the same, and lines gone looked for",
                lambda n: (write_line(writer, area), look(folder)),
            ),
            (
                "the same lines merged from another file",
                lambda n: merge_files(writer, [read_log_text(other, "other.csv")]),
            ),
            ("a change taken back", lambda n: undo(folder)),
            (
                "the setting as a command, typed",
                lambda n: subprocess.run(
                    [*command, f"area[{middle}].note", f"typed {n}"],
                    check=True,
                    capture_output=True,
                ),
            ),
        ]
        for what, run in rows:
            took = timed(run, given.repeats)
            print(
                f"{what:<44} {took[0]:7.1f} ms best {statistics.median(took):7.1f} ms median"
            )
    return 0


if __name__ == "__main__":
    sys.exit(main())
