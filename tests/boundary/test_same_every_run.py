"""What walks weigh is the same to the last digit in every run of Python."""

import os
import subprocess
import sys

SCRIPT = """
import numpy as np
from quietacre.boundary.combine import _weights
from quietacre.boundary.why import Term
codes = ("drift", "corners", "smoothing", "tape", "laps", "bridged", "mended", "thinned")
some = [
    [Term(code, "", 0.1 * n + 0.037 * k + 0.013, 0.31 + 0.05 * k, "")
     for k, code in enumerate(codes)]
    for n in range(5)
]
print(_weights(np.array([1000.0, 1010.0, 990.0, 1003.0, 1200.0]), some).tolist())
"""


def test_weights_do_not_follow_the_order_of_a_set():
    told = {
        subprocess.run(
            [sys.executable, "-c", SCRIPT],
            env={**os.environ, "PYTHONHASHSEED": str(seed)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in range(5)
    }
    assert len(told) == 1
