"""Years lived by the plan, each checked after every day.

    python tests/benchmarks/bench_lived.py [--years N] [--first SEED] [--jobs N] [--seeds A,B] [--part amounts|work]

Of each seed two years are lived.

*Amounts* (`tests/record/lived.py`): bags bought whole or in part, of another size or on the day of
the count; lime and fertilizer in parts, too much, without an amount, on several pieces at once; areas
sown once or twice a year; lines taken back. Held after every day against a ledger of its own.

*Work* (`tests/record/lived_work.py`): jobs done on time, late or never, by words or by a tick; jobs
that come round every half to five years, with old lines or without; rain, and plantings that wait for
it; a vine patch surveyed again twice, grown, drawn back or far over its strip; a piece that gets
another name; wrong lines on other ground, other days or of another job, taken back a day to nine days
later, after which all must be as if they had never been. Held against the rules of `bench_days.py`.

Prints the seeds that do not add up, with what was wrong, and one line of sums.
"""

import argparse
import multiprocessing
import sys
import tempfile
import time
import traceback
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "record"))

from lived import DAYS, live_a_year
from lived_work import work_a_year

PARTS = ("amounts", "work")
#: So many faults of a seed are printed.
TOLD = 5


def live(one):
    """Live one part of one seed; return both, lines, whole plans, faults and seconds."""
    part, seed = one
    began, lines, plans = time.process_time(), 0, 0
    try:
        if part == "amounts":
            lines, wrong = live_a_year(seed), []
        else:
            with tempfile.TemporaryDirectory() as folder:
                lines, plans, wrong = work_a_year(seed, Path(folder))
    except Exception:  # noqa: BLE001 - a year that ends in an error is told as well
        wrong = [traceback.format_exc()]
    return part, seed, lines, plans, wrong, time.process_time() - began


def asked(words):
    """Return what was typed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument(
        "--years", type=int, default=200, help="seeds to live (default: 200)"
    )
    parser.add_argument(
        "--first", type=int, default=0, help="the first of them (default: 0)"
    )
    parser.add_argument("--seeds", help="these seeds in place of a row of them: 3,17")
    parser.add_argument(
        "--jobs", type=int, default=1, help="processes at once (default: 1)"
    )
    parser.add_argument("--part", choices=PARTS, help="only one of both parts")
    return parser.parse_args(words)


def main(words=None):
    """Live some years; return 1 when one does not add up."""
    given = asked(words)
    seeds = range(given.first, given.first + given.years)
    if given.seeds:
        seeds = [int(one) for one in given.seeds.split(",")]
    parts = [given.part] if given.part else list(PARTS)
    todo = [(part, seed) for seed in seeds for part in parts]
    began, sums, bad = time.monotonic(), dict.fromkeys(("lines", "plans", "cpu"), 0), []
    with multiprocessing.get_context("spawn").Pool(given.jobs) as pool:
        for part, seed, lines, plans, wrong, cpu in pool.imap_unordered(live, todo):
            sums = {"lines": sums["lines"] + lines, "plans": sums["plans"] + plans,
                    "cpu": sums["cpu"] + cpu}  # fmt: skip
            if wrong:
                bad.append((part, seed))
                print(
                    f"seed {seed}, {part}: {len(wrong)} faults",
                    *wrong[:TOLD],
                    sep="\n  ",
                    flush=True,
                )
    print(
        f"{len(todo)} property-years ({', '.join(parts)}; seeds {seeds[0]} to {seeds[-1]}), "
        f"{sums['lines']:,} lines of the log, {DAYS * len(todo):,} days looked at, "
        f"{sums['plans']:,} whole plans"
    )
    print(
        f"{len(bad)} do not add up: {sorted(bad)}; {sums['cpu']:.0f} s of the processor, "
        f"{time.monotonic() - began:.0f} s by the clock with {given.jobs} at once"
    )
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
