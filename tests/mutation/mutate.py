"""Small changes to a package that computes, one at a time: which of them its tests notice.

Run: ``python tests/mutation/mutate.py PACKAGE [--count 10] [--seed 1] [--list]``. Places are
drawn by the seed from all of the package's modules: a comparison, a sign, a number, a
condition, a call whose answer nobody takes, a ``return``. Each change is made in a copy of
the source. The package's tests are run once on the source as it is, under coverage, so that
a change needs only the tests that come by its line; a line that runs as a module is loaded
or in a fixture needs all of them. Slow tests and those in a browser are left out. Ends with
1 when a change was not noticed; every such change is printed, old and new. A change under
which the tests do not end in time counts as noticed.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field, replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "quietacre"
TESTS = ROOT / "tests"
#: The finished sample, every figure of it: it comes by most of the code.
SAMPLE = TESTS / "test_sample_kept.py"
#: A run takes at most this many times as long as the one on the source as it is. [s]
TIMES, MORE_SECONDS = 3.0, 30.0
COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
COUNTED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip


@dataclass(frozen=True)
class Place:
    """One change: the module, the number of its node in the tree, and what is done there."""

    path: Path
    node: int
    how: str
    line: int
    last: int = 0

    @property
    def lines(self) -> range:
        """Return the lines that tell whether a test comes by."""
        return range(self.line, max(self.line, self.last) + 1)

    @property
    def shown(self) -> str:
        return f"{self.path.relative_to(SOURCE.parent)}:{self.line}"


def ways(node: ast.AST) -> list[str]:
    """Return what may be changed at a node."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in COMPARED:
        return ["compared"]
    if isinstance(node, ast.BinOp) and type(node.op) in COUNTED and not _of_text(node):
        return ["counted"]
    if isinstance(node, ast.AugAssign) and type(node.op) in COUNTED:
        return ["counted"]
    if isinstance(node, ast.BoolOp):
        return ["and for or"]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.Not, ast.USub)):
        return ["sign left out"]
    if isinstance(node, ast.Constant) and type(node.value) in (int, float, bool):
        return ["another value"]
    if isinstance(node, (ast.If, ast.IfExp, ast.While)):
        return ["condition turned"]
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
        return ["call left out"]
    if isinstance(node, ast.Return) and node.value is not None and not _none(node.value):
        return ["nothing returned"]
    return []


def _none(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _of_text(node: ast.BinOp) -> bool:
    sides = (node.left, node.right)
    return any(
        isinstance(side, ast.JoinedStr)
        or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in sides
    )


def places(path: Path) -> list[Place]:
    """Return every change that may be made in a module; none in types and imports."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped: set[int] = set()
    for node in ast.walk(tree):
        types = [getattr(node, "annotation", None), getattr(node, "returns", None)]
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
            types.append(node)
        if isinstance(node, ast.keyword) and node.arg == "strict":
            types.append(node)  # lists of one length are zipped as well without it
        for one in types:
            skipped |= {id(inner) for inner in ast.walk(one)} if one is not None else set()
    return [
        Place(path, number, how, getattr(node, "lineno", 0), _last(node))
        for number, node in enumerate(ast.walk(tree))
        if id(node) not in skipped
        for how in ways(node)
    ]


def _last(node: ast.AST) -> int:
    """Return the last line of a node, without the body that a condition stands before."""
    shown = node.test if isinstance(node, (ast.If, ast.While)) else node
    return getattr(shown, "end_lineno", 0)


def changed(place: Place) -> tuple[str, str, str]:
    """Return the module with one change, and the changed statement before and after."""
    tree = ast.parse(place.path.read_text(encoding="utf-8"))
    node = list(ast.walk(tree))[place.node]
    before = copy.deepcopy(node)
    if place.how == "compared":
        node.ops[0] = COMPARED[type(node.ops[0])]()
    elif place.how == "counted":
        node.op = COUNTED[type(node.op)]()
    elif place.how == "and for or":
        node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    elif place.how == "sign left out":
        node.op = ast.UAdd() if isinstance(node.op, ast.USub) else _Twice()
    elif place.how == "another value":
        node.value = _other(node.value)
    elif place.how == "condition turned":
        node.test = ast.UnaryOp(ast.Not(), node.test)
    elif place.how == "call left out":
        node.value = ast.Constant(value=None)
    else:
        node.value = ast.Constant(value=None)
    if isinstance(getattr(node, "op", None), _Twice):
        node.op = ast.Not()
        node.operand = ast.UnaryOp(ast.Not(), node.operand)
    ast.fix_missing_locations(tree)
    return ast.unparse(tree), _one_line(before), _one_line(node)


class _Twice(ast.Not):
    """``not not``: the sign taken away while the answer stays true or false."""


def _other(value: float) -> float:
    if isinstance(value, bool):
        return not value
    if isinstance(value, int) or value == 0.0:
        return value + 1
    return value * 1.25


def _one_line(node: ast.AST) -> str:
    shown = node
    if isinstance(node, (ast.If, ast.While)):
        shown = node.test
    return " ".join(ast.unparse(shown).split())[:160]


def drawn(package: str, count: int, seed: int) -> list[Place]:
    """Return so many places of a package, without any twice."""
    every = [
        place for path in sorted((SOURCE / package).rglob("*.py")) for place in places(path)
    ]
    return random.Random(seed).sample(every, min(count, len(every)))  # noqa: S311


def tests_of(package: str) -> list[Path]:
    """Return a package's test files: its folder's, of print, of properties, of the sample."""
    found = sorted((TESTS / package).glob("test_*.py"))
    for folder in ("published", "properties"):
        for path in sorted((TESTS / folder).glob("test_*.py")):
            text = path.read_text(encoding="utf-8")
            if re.search(rf"quietacre\.{package}\b", text):
                found.append(path)
    return [*found, SAMPLE]


@dataclass
class Tests:
    """The tests of a package, and which of them come by each line of a module."""

    source: Path
    files: list[Path]
    most_s: float | None = None
    lines: dict[str, dict[int, list[str]]] = field(default_factory=dict)

    def look(self, package: str) -> bool:
        """Run all of them on the source as it is; return whether they pass."""
        data = self.source / "coverage"
        settings = self.source / "coveragerc"
        settings.write_text(
            f"[run]\nsource = {self.source / 'quietacre' / package}\ndata_file = {data}\n"
            "dynamic_context = test_function\n"
        )
        start = time.monotonic()
        ran = self._run(["-m", "coverage", "run", f"--rcfile={settings}"], self.files)
        if ran != 0:
            return False
        self.most_s = TIMES * (time.monotonic() - start) + MORE_SECONDS
        from coverage import CoverageData

        known = CoverageData(str(data))
        known.read()
        for name in known.measured_files():
            self.lines[name] = known.contexts_by_lineno(name)
        return True

    def of(self, place: Place) -> list[str]:
        """Return what pytest is to run for a change: some tests, or all the files."""
        path = self.source / place.path.relative_to(SOURCE.parent)
        lines = self.lines.get(str(path), {})
        names = {name for line in place.lines for name in lines.get(line, ())}
        if "" in names:
            return [str(path) for path in self.files]
        by_stem = {path.stem: path for path in self.files}
        found = set()
        for name in names:
            module, _, test = name.rpartition(".test_")
            stem = module.rpartition(".")[2]
            if stem in by_stem:
                found.add(f"{by_stem[stem]}::test_{test}")
            else:  # hypothesis calls the test itself, under a name of its own
                found |= {str(one) for one in self.files if "hypothesis" in one.read_text()}
        return sorted(found, key=lambda name: (name.startswith(str(SAMPLE)), name))

    def notice(self, place: Place) -> bool:
        """Return whether one of them fails with a change in place."""
        chosen = self.of(place)
        return bool(chosen) and self._run([], chosen) != 0

    def _run(self, words: list[str], chosen: list[Path] | list[str]) -> int:
        command = [
            sys.executable, *words, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider",
            "-m", "not slow and not browser", "--no-header", *map(str, chosen),
        ]  # fmt: skip
        env = {**os.environ, "PYTHONPATH": str(self.source)}
        try:
            return subprocess.run(
                command, cwd=ROOT, env=env, capture_output=True, check=False,
                timeout=self.most_s,
            ).returncode  # fmt: skip
        except subprocess.TimeoutExpired:
            return 1


def main() -> int:
    """Draw places, change each in a copy, and print what was not noticed."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("package", help="such as strip, need, year or boundary")
    parser.add_argument("--count", type=int, default=10, help="changes to make (10)")
    parser.add_argument("--seed", type=int, default=1, help="which changes (1)")
    parser.add_argument("--list", action="store_true", help="print them and stop")
    asked = parser.parse_args()
    chosen = drawn(asked.package, asked.count, asked.seed)
    if asked.list:
        for place in chosen:
            _, before, after = changed(place)
            print(f"{place.shown}: {place.how}\n  {before}\n  {after}")
        return 0
    with tempfile.TemporaryDirectory(prefix="quietacre-mutation-") as room:
        source = Path(room)
        shutil.copytree(
            SOURCE, source / "quietacre", ignore=shutil.ignore_patterns("__pycache__")
        )
        tests = Tests(source, tests_of(asked.package))
        if not tests.look(asked.package):
            print("a test fails on the source as it is: mend that first")
            return 2
        missed = [place for place in chosen if not _tried(place, tests)]
    print(
        f"{asked.package}, seed {asked.seed}: {len(chosen) - len(missed)} of {len(chosen)} noticed"
    )
    return 1 if missed else 0


def _tried(place: Place, tests: Tests) -> bool:
    """Return whether one change is noticed; it is said when it is not."""
    path = tests.source / place.path.relative_to(SOURCE.parent)
    # of the copy: the source may be worked on meanwhile
    text, before, after = changed(replace(place, path=path))
    kept = path.read_text(encoding="utf-8")
    _write(path, text)
    try:
        seen = tests.notice(place)
    finally:
        _write(path, kept)
    word = "noticed" if seen else f"NOT noticed ({len(tests.of(place))} tests)"
    print(f"{place.shown}: {place.how}, {word}\n  {before}\n  {after}", flush=True)
    return seen


def _write(path: Path, text: str) -> None:
    """Write a module that no compiled one is taken for: each has a second of its own."""
    was = path.stat().st_mtime
    path.write_text(text, encoding="utf-8")
    os.utime(path, (was + 2, was + 2))


if __name__ == "__main__":
    sys.exit(main())
