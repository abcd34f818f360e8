"""The command line of tests that play random scripts: run them, say what was done and what went wrong."""

import argparse
import time
import traceback
from collections import Counter


def play(description, run_script, scripts):
    """Run scripts, print what was done; return 1 when one went wrong.

    ``run_script`` takes a seed and returns how often each thing was done; ``scripts`` is how
    many are run where the command names no number.
    """
    words = argparse.ArgumentParser(description=description.splitlines()[0])
    words.add_argument("--scripts", type=int, default=scripts)
    words.add_argument("--seed", type=int, default=1)
    asked = words.parse_args()
    began, done, wrong = time.process_time(), Counter(), 0
    for seed in range(asked.seed, asked.seed + asked.scripts):
        try:
            done += run_script(seed)
        except Exception as problem:  # noqa: BLE001 - whatever it is, it is told
            wrong += 1
            last = traceback.extract_tb(problem.__traceback__)[-1]
            print(
                f"script {seed}: {type(problem).__name__}: {problem} ({last.name}:{last.lineno})"
            )
    told = ", ".join(f"{what} {count}" for what, count in sorted(done.items()))
    print(
        f"{asked.scripts} scripts, {wrong} wrong; {told}; {time.process_time() - began:.0f} s"
    )
    return 1 if wrong else 0
