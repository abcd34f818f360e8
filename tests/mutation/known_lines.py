"""Which tests come by which lines of the source: recorded once, kept in ``.cache/mutation``.

Run: ``python tests/mutation/known_lines.py [--all]``; ``mutate.py`` calls it. The tests run
under coverage, each in a context of its own, and what the source keeps between calls is
emptied before each, so that none comes by a line only for those after it. A fixture of
a module or a session has a context too, and every test that uses it needs it. Afterwards
only files of tests that are new or changed are run again. Lines of a source that changed
since are followed by ``difflib``; a new line takes the tests of the one above it.
"""

from __future__ import annotations

import argparse
import difflib
import functools
import gzip
import hashlib
import json
import os
import subprocess
import sys
import time
from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "quietacre"
TESTS = ROOT / "tests"
KEPT = ROOT / ".cache" / "mutation" / "lines.json.gz"
#: Not used: a browser, a server, other languages, a whole step of the checks, kills.
LEFT_OUT = (
    "benchmarks", "browser", "desk", "drawing", "edit/test_journal_stateful.py", "edit/test_many_writers.py",
    "edit/test_surroundings.py", "fuzz", "hostile", "mutation", "page",
    "plugins", "test_docs.py", "test_docs_run.py", "test_house_pages.py", "test_note_codes.py",
    "test_sizes.py",
)  # fmt: skip
MARKED_OUT = "not slow and not browser"


def files_of_tests() -> list[Path]:
    """Return the files of tests that may notice a change."""
    left_out = tuple(f"{name}/" if "." not in name else name for name in LEFT_OUT)
    return [
        path
        for path in sorted(TESTS.rglob("test_*.py"))
        if not path.relative_to(TESTS).as_posix().startswith(left_out)
    ]


class Recorder:
    """A plugin of pytest: a context of coverage for each test and each shared fixture."""

    def __init__(self, coverage: Any) -> None:
        self.coverage = coverage
        self.tests: dict[str, dict[str, Any]] = {}
        self.now = [""]
        self.cached: tuple[int, list[Any]] = (0, [])

    def _enter(self, context: str) -> None:
        self.now.append(context)
        self.coverage.switch_context(context)

    def _leave(self) -> None:
        self.now.pop()
        self.coverage.switch_context(self.now[-1])

    def _empty_caches(self) -> None:
        if self.cached[0] != len(sys.modules):
            ours = [m for name, m in sys.modules.items() if name.startswith("quietacre")]
            found = {id(v): v for m in ours for v in vars(m).values() if _is_cached(v)}
            self.cached = (len(sys.modules), list(found.values()))
        for one in self.cached[1]:
            one.cache_clear()

    @pytest.hookimpl(hookwrapper=True, tryfirst=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
        """Run one test in its context."""
        self._empty_caches()
        shared = [
            _fixture(one[-1])
            for one in item._fixtureinfo.name2fixturedefs.values()  # noqa: SLF001
            if one[-1].scope != "function"
        ]
        start = time.process_time()
        self._enter(item.nodeid)
        yield
        self._leave()
        took = round(time.process_time() - start, 3)
        if item.stash.get(PASSED, False):
            self.tests[item.nodeid] = {"cpu_s": took, "shared": shared}

    @pytest.hookimpl(hookwrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Any:
        """Make a shared fixture in its context."""
        if fixturedef.scope == "function":
            yield
            return
        self._enter(_fixture(fixturedef))
        yield
        self._leave()

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_makereport(self, item: pytest.Item, call: Any) -> Any:
        """Remember which tests pass on the source as it is."""
        made = yield
        if call.when == "call":
            item.stash[PASSED] = made.get_result().passed


PASSED = pytest.StashKey[bool]()


def _is_cached(value: Any) -> bool:
    return isinstance(value, functools._lru_cache_wrapper)  # noqa: SLF001


def _fixture(definition: Any) -> str:
    return f"fixture {definition.baseid} {definition.argname}"


def record(files: list[Path], kept: Path) -> None:
    """Run the tests of files under coverage, in this process, and keep what they come by."""
    from coverage import Coverage

    coverage = Coverage(data_file=None, source=[str(SOURCE)], config_file=False)
    recorder = Recorder(coverage)
    words = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-m", MARKED_OUT]
    coverage.start()
    pytest.main([*words, "--no-header", *map(str, files)], plugins=[recorder])
    coverage.stop()
    data = coverage.get_data()
    lines = {}
    for name in data.measured_files():
        by_line = {line: sorted(who) for line, who in data.contexts_by_lineno(name).items()}
        lines[Path(name).relative_to(SOURCE).as_posix()] = by_line
    kept.parent.mkdir(parents=True, exist_ok=True)
    kept.write_bytes(gzip.compress(json.dumps([recorder.tests, lines]).encode()))


def in_parts(files: list[str]) -> list[list[str]]:
    """Return files in parts, a folder each; a run that is cut short keeps those before."""
    found = defaultdict(list)
    for name in files:
        found[Path(name).parent].append(name)
    return list(found.values())


def followed(before: str, after: str) -> dict[int, int]:
    """Return the line of the text before whose tests a line of the text after takes."""
    one, two = before.splitlines(), after.splitlines()
    found = {}
    matcher = difflib.SequenceMatcher(a=one, b=two, autojunk=False)
    for _, i1, i2, j1, j2 in matcher.get_opcodes():
        for step, line in enumerate(range(j1, j2)):
            found[line + 1] = max(1, min(i1 + step + 1, i2) if i2 > i1 else i1)
    return found


class Known:
    """What is known of tests and lines, brought up to the files of now."""

    def __init__(self, kept: Path | None = None) -> None:
        self.kept = kept = kept or KEPT
        self.tests: dict[str, dict[str, Any]] = {}
        self.lines: dict[str, dict[int, set[str]]] = {}
        self.sources: dict[str, str] = {}
        self.hashes: dict[str, str] = {}
        if kept.exists():
            read = json.loads(gzip.decompress(kept.read_bytes()))
            self.tests, self.sources, self.hashes = read[0], read[1], read[2]
            names = read[3]
            self.lines = {
                file: {int(line): {names[n] for n in who} for line, who in lines.items()}
                for file, lines in read[4].items()
            }

    def refresh(self, *, every: bool = False, only: str = "") -> int:
        """Record what is new, all or a folder; return how many files of tests were run."""
        now = {path.relative_to(ROOT).as_posix(): _hash(path) for path in files_of_tests()}
        stale = [
            name for name, mark in now.items() if every or self.hashes.get(name) != mark
        ]
        stale = [name for name in stale if name.startswith(f"tests/{only}")]
        gone = {*stale, *(name for name in self.hashes if name not in now)}
        self._follow()
        self._forget(gone)
        self.hashes = {k: v for k, v in self.hashes.items() if k not in gone}
        for files in in_parts(stale):
            self._record(files)
            self.hashes |= {name: now[name] for name in files}
            self._write()
        if gone and not stale:
            self._write()
        return len(stale)

    def _record(self, files: list[str]) -> None:
        """Run some files of tests in a process of their own, and take up what they come by."""
        part = self.kept.with_name("part.json.gz")
        subprocess.run(
            [sys.executable, __file__, "--part", str(part), *files],
            cwd=ROOT, check=True, stdout=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": str(SOURCE.parent)},
        )  # fmt: skip
        tests, lines = json.loads(gzip.decompress(part.read_bytes()))
        part.unlink()
        self.tests |= tests
        for file, by_line in lines.items():
            here = self.lines.setdefault(file, {})
            for line, who in by_line.items():
                here.setdefault(int(line), set()).update(who)

    def _follow(self) -> None:
        """Bring the lines of sources that changed to where they stand now."""
        now = {
            p.relative_to(SOURCE).as_posix(): p.read_text() for p in SOURCE.rglob("*.py")
        }
        for file in list(self.lines):
            if file not in now:
                del self.lines[file]
            elif now[file] != self.sources.get(file):
                where = followed(self.sources.get(file, ""), now[file])
                was = self.lines[file]
                self.lines[file] = {
                    n: set(was[old]) for n, old in where.items() if old in was
                }
        self.sources = now

    def _forget(self, files: set[str]) -> None:
        old = {name for name in self.tests if name.partition("::")[0] in files}
        self.tests = {name: one for name, one in self.tests.items() if name not in old}
        for by_line in self.lines.values():
            for line, who in by_line.items():
                by_line[line] = who - old

    def _write(self) -> None:
        names = sorted(
            {who for lines in self.lines.values() for w in lines.values() for who in w}
        )
        number = {name: n for n, name in enumerate(names)}
        lines = {
            file: {line: [number[name] for name in who] for line, who in by_line.items()}
            for file, by_line in self.lines.items()
        }
        self.kept.parent.mkdir(parents=True, exist_ok=True)
        whole = json.dumps([self.tests, self.sources, self.hashes, names, lines])
        new = self.kept.with_suffix(".new")
        new.write_bytes(gzip.compress(whole.encode(), 5))
        new.replace(self.kept)

    @functools.cached_property
    def users(self) -> dict[str, list[str]]:
        """Return the tests that need each shared fixture."""
        found = defaultdict(list)
        for name, test in self.tests.items():
            for fixture in test["shared"]:
                found[fixture].append(name)
        return found

    def by(self, file: str, lines: range) -> set[str]:
        """Return the tests that come by any of some lines of a module."""
        known = self.lines.get(file, {})
        found = set()
        for who in (name for line in lines for name in known.get(line, ())):
            found.update(self.users.get(who, ()) if who.startswith("fixture ") else (who,))
        return {name for name in found if name in self.tests}


def _hash(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def main() -> int:
    """Bring what is known up to date, or record one part of it."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument(
        "--all", action="store_true", help="every file of tests, not new ones"
    )
    parser.add_argument("--only", default="", help="such as strip: one folder of tests")
    parser.add_argument("--part", help=argparse.SUPPRESS)
    parser.add_argument("files", nargs="*", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.part:
        record([ROOT / name for name in asked.files], Path(asked.part))
        return 0
    known = Known()
    start = time.monotonic()
    count = known.refresh(every=asked.all, only=asked.only)
    print(f"{count} files of tests recorded in {time.monotonic() - start:.0f} s")
    print(f"{len(known.tests)} tests are known; not used: {', '.join(LEFT_OUT)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
