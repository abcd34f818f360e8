"""The same fertilizer plan on any machine: slowed, with another clock, another processor."""

import hashlib
import os
import random
import subprocess
import sys
import time

import pytest

from quietacre.need import corners
from quietacre.need.fertilizer import LATE, Plot, plan_fertilizer
from quietacre.need.grade import (
    Grade,
    parse_grade,
)
from quietacre.settings import Buying

PRICES = {"13-13-13": 17.5, "17-17-17": 23.0, "8-24-24": 22.0, "0-20-20": 18.0,
          "34-0-0": 19.0, "46-0-0": 24.0, "18-46-0": 27.0, "0-0-60": 21.35}  # fmt: skip

#: Another core of the library behind ``@``, and fewer instructions for the rest of numpy.
OTHER_PROCESSOR = {
    "OPENBLAS_CORETYPE": "Nehalem",
    "NPY_DISABLE_CPU_FEATURES": "AVX512F AVX512CD AVX512_SKX AVX2 FMA3",
}


def case(seed, plots):
    rng = random.Random(seed)  # noqa: S311 - invented data
    ground = [
        Plot(f"p{i}", rng.uniform(0.3, 6.0),
             {k: rng.choice([0.0, 24.0, 42.0, 60.0, 90.0]) for k in ("n", "p2o5", "k2o")})
        for i in range(plots)
    ]  # fmt: skip
    grades = [Grade(text, *parse_grade(text), 50.0, price, rng.choice([0.0, 0.0, 120.0]))
              for text, price in PRICES.items()]  # fmt: skip
    return ground, grades


def plans():
    """Return a print of plans and runners-up that go through every step of the search."""
    said = ""
    for seed, plots, most in ((1, 4, 2), (2, 24, 3), (4, 30, 1)):
        said += repr(
            plan_fertilizer(*case(seed, plots), Buying(max_products=most), runners_up=2)
        )
    return said


@pytest.fixture(scope="module")
def printed():
    return plans()


def test_a_slower_processor_finds_the_same_plan(monkeypatch, printed):
    real, began = time.process_time, time.process_time()
    monkeypatch.setattr(time, "process_time", lambda: began + 5 * (real() - began))
    assert plans() == printed
    assert "late=True" not in printed


def test_another_processor_finds_the_same_plan(printed):
    """A process beside, with other instructions, and busy company on its core."""
    words = [
        sys.executable, "-c",
        "import hashlib; from test_same_plan import plans; "
        "print(hashlib.sha256(plans().encode()).hexdigest())",
    ]  # fmt: skip
    path = os.pathsep.join([os.path.dirname(__file__), *sys.path])  # noqa: PTH120
    busy = subprocess.Popen([sys.executable, "-c", "while True: pass"])  # noqa: S603
    try:
        if hasattr(os, "sched_setaffinity"):  # on the same one
            mine = min(os.sched_getaffinity(0))
            os.sched_setaffinity(busy.pid, {mine})
            words[2] = f"import os; os.sched_setaffinity(0, {{{mine}}}); " + words[2]
        done = subprocess.run(  # noqa: S603
            words, env={**os.environ, **OTHER_PROCESSOR, "PYTHONPATH": path},
            capture_output=True, text=True, check=True,
        )  # fmt: skip
    finally:
        busy.kill()
        busy.wait()
    assert done.stdout.strip() == hashlib.sha256(printed.encode()).hexdigest()


def test_a_plan_that_the_clock_ended_says_so():
    plan = plan_fertilizer(*case(3, 20), Buying(max_products=2, seconds=1e-3))
    assert plan.late
    assert plan.proof.endswith(LATE)
    assert plan.pounds
    assert plan.gap > 0.0


def test_products_are_multiplied_alike_on_any_processor():
    rng = random.Random(5)  # noqa: S311 - invented data
    import numpy as np

    for size in (1, 2, 3, 4):
        square = np.array(
            [[[rng.uniform(0, 0.5) for _ in range(size)] for _ in range(size)]]
        )
        found = corners._inverse(square, corners._determinant(square))
        assert found @ square == pytest.approx(np.eye(size)[None], abs=1e-9)
        assert corners._determinant(square) == pytest.approx(
            np.linalg.det(square), rel=1e-9
        )
