"""Each tool of the drawing from nothing to kept, the hands and sizes taken in turn; all: every_tool.py."""

from itertools import cycle

import pytest
from bench_drawing import MOST_BYTES, code_bytes, drawing_modules
from desk_tab import SIZES
from every_tool import TOOLS, Bench
from hands import HANDS

#: A hand goes with each size before it comes to the same one again.
TURNS = cycle(
    [
        (hand, size)
        for by in range(3)
        for hand, size in zip(HANDS, [*SIZES, *SIZES][by:], strict=False)
    ]
)


@pytest.fixture(scope="module")
def bench(browser, tmp_path_factory):
    made = Bench(browser, tmp_path_factory.mktemp("tools"))
    yield made
    made.end()


@pytest.mark.browser
@pytest.mark.parametrize(("tool", "hand", "size"), [(tool, *next(TURNS)) for tool in TOOLS])
def test_a_tool_from_nothing_to_kept(bench, tool, hand, size):
    bench.run(tool, hand, size)


def test_the_code_of_drawing_stays_small():
    assert {"corners.js", "pictures.js", "legs.js", "steps.js"} <= set(drawing_modules())
    assert code_bytes()[1] <= MOST_BYTES
