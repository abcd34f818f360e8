"""The command that changes the source: its changes are drawn by the seed, and each is one."""

import ast
import subprocess
import sys

import mutate
import pytest
from known_lines import LEFT_OUT, ROOT, TESTS, Known, files_of_tests, followed, in_parts
from module_level import lines_that_need
from source_changes import SOURCE, Place, changed, drawn, places


def test_every_change_of_a_module_gives_another_program():
    found = places(SOURCE / "units.py")
    assert found
    plain = ast.unparse(ast.parse((SOURCE / "units.py").read_text()))
    for place in found:
        text, before, after = changed(place)
        compile(text, "units.py", "exec")
        assert text != plain, (place, before, after)


def test_types_and_imports_for_types_are_left_alone(tmp_path):
    module = tmp_path / "m.py"
    module.write_text(
        "from typing import TYPE_CHECKING, Literal\n"
        "if TYPE_CHECKING:\n    LIMIT = 3\n"
        "@dataclass(frozen=True)\nclass C: pass\n"
        "def f(x: Literal[1] = 2) -> Literal[3]:\n    return x\n"
    )
    assert sorted((p.line, p.how) for p in places(module)) == [
        (6, "another value"),
        (7, "nothing returned"),
    ]


def test_the_seed_says_which_places():
    first = drawn("acreage", 5, seed=7)
    assert first == drawn("acreage", 5, seed=7)
    assert first != drawn("acreage", 5, seed=8)
    assert len({(place.path, place.node) for place in first}) == 5


def test_no_test_of_a_browser_or_of_other_commands_is_run():
    found = {path.relative_to(TESTS).parts[0] for path in files_of_tests()}
    assert {"acreage", "strip", "published", "properties", "test_sample_kept.py"} <= found
    assert not found & set(LEFT_OUT)


def known_of(tmp_path, lines, tests):
    known = Known(tmp_path / "lines.json.gz")
    known.lines = lines
    known.tests = {
        name: {"cpu_s": cpu_s, "shared": shared} for name, (cpu_s, shared) in tests.items()
    }
    return known


def test_a_line_in_a_shared_fixture_needs_all_that_use_it(tmp_path):
    known = known_of(
        tmp_path,
        {"m.py": {3: {"fixture a made"}, 4: {"a::two"}}},
        {"a::one": (1.0, ["fixture a made"]), "a::two": (0.1, ["fixture a made"]),
         "a::three": (0.1, [])},
    )  # fmt: skip
    assert known.by("m.py", range(3, 4)) == {"a::one", "a::two"}
    assert known.by("m.py", range(4, 5)) == {"a::two"}
    assert known.by("m.py", range(9, 10)) == set()


def test_the_first_of_each_test_comes_before_its_others_and_the_quick_before_the_slow(
    tmp_path,
):
    tests = {
        "a::f[1]": (0.3, []),
        "a::f[2]": (0.1, []),
        "b::g": (0.2, []),
        "b::h": (9.0, []),
    }
    known = known_of(tmp_path, {}, tests)
    order = mutate.ordered(set(tests), known)
    assert order == ["a::f[2]", "b::g", "b::h", "a::f[1]"]
    assert mutate.batches(order, known, 5.0) == ([["a::f[2]", "b::g"]], 2)
    assert mutate.batches(order, known, 99.0) == ([order], 0)
    assert mutate.batches([], known, 5.0) == ([], 0)
    rows = {f"a::quick[{row}]": (0.01, []) for row in range(3)} | {"a::slow": (0.2, [])}
    every = known_of(tmp_path, {}, rows)
    order = mutate.ordered(set(rows), every)
    assert set(order[:3]) == {"a::quick[0]", "a::quick[1]", "a::quick[2]"}


def test_lines_are_followed_through_a_change():
    before, after = "a\nb\nc\nd\n", "a\nnew\nb\nC\nd\n"
    assert followed(before, after) == {1: 1, 2: 1, 3: 2, 4: 3, 5: 4}
    assert followed(before, before) == {1: 1, 2: 2, 3: 3, 4: 4}


def test_what_is_recorded_in_parts_is_a_folder_at_a_time():
    names = ["tests/strip/test_a.py", "tests/test_b.py", "tests/strip/test_c.py"]
    assert in_parts(names) == [[names[0], names[2]], [names[1]]]


TWO = {
    "m.py": "LIMIT = 3\nTWICE = 2 * LIMIT\n\n\ndef f(x=4):\n    return x\n",
    "n.py": "from m import TWICE\n\n\ndef g():\n    return TWICE\n\n\ndef h():\n    return 0\n",
}


def place_of(line):
    return Place(SOURCE / "m.py", 0, "another value", line, line)


def test_a_constant_needs_the_tests_of_every_function_it_stands_in():
    assert lines_that_need(place_of(1), TWO) == [("n.py", range(5, 6))]
    assert lines_that_need(place_of(5), TWO) == [("m.py", range(6, 7))]
    assert lines_that_need(place_of(6), TWO) == [("m.py", range(6, 7))]


@pytest.mark.slow
def test_a_package_is_changed_and_what_its_tests_notice_is_told(tmp_path):
    """The whole command: tests recorded, a change tried, and one that no test comes by."""
    program = (
        "import sys; sys.path.insert(0, 'tests/mutation'); import known_lines; from pathlib import Path;"
        f"known_lines.KEPT = Path({str(tmp_path / 'k.gz')!r});"
        "known_lines.files_of_tests = lambda: [known_lines.TESTS / 'acreage/test_series.py'];"
        f"import mutate; mutate.LAST = Path({str(tmp_path / 'missed')!r}); sys.argv = ['mutate', 'acreage', '--count', '12', '--seed', '3'];"
        "sys.exit(mutate.main())"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1, done.stderr
    assert "1 new or changed files of tests were recorded" in done.stdout
    assert "noticed by tests/acreage/test_series.py::" in done.stdout
    assert "NOT noticed (0 tests)" in done.stdout
    assert "acreage, seed 3: " in done.stdout
