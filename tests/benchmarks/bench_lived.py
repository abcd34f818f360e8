"""Years lived by the plan, each checked after every day against a ledger of its own.

    python tests/benchmarks/bench_lived.py [YEARS]

Prints the years that do not add up, and how many lines the logs had; 200 years unless told.
"""

import sys
import time
import traceback
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "record"))

from lived import live_a_year


def main(years):
    """Live some years; return 1 when one does not add up."""
    started, lines, wrong = time.process_time(), 0, []
    for seed in range(years):
        try:
            lines += live_a_year(seed)
        except Exception:  # noqa: BLE001 - a year that ends in an error is told as well
            wrong.append(seed)
            traceback.print_exc()
    spent = time.process_time() - started
    print(
        f"{years} years, {lines} lines of the log, {365 * years:,} days held against the ledger"
    )
    print(f"{len(wrong)} do not add up: {wrong}; {spent:.0f} s of the processor")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 200))
