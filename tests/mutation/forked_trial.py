"""Tests run in a copy of this process, against a copy of the source, until one fails."""

from __future__ import annotations

import contextlib
import importlib
import os
import resource
import shutil
import signal
import sys
import warnings
from pathlib import Path
from typing import Any

import pytest

#: Loaded once, before the copies are made; none of them starts a thread by being loaded.
LIBRARIES = (
    "numpy", "scipy.optimize", "scipy.spatial", "pandas", "shapely", "pyproj", "geopandas",
    "fiona", "folium", "hypothesis", "highspy", "PIL.Image", "jsonschema",
)  # fmt: skip
ANSWER = "noticed-by"
#: How an answer begins that says nothing of the change.
FAULT = "the tests could not be run:"


def load_libraries() -> None:
    """Load what every test needs, and none of quietacre."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for name in LIBRARIES:
            with contextlib.suppress(ImportError):
                importlib.import_module(name)
    if any(name.partition(".")[0] == "quietacre" for name in sys.modules):
        raise RuntimeError("quietacre is loaded before its copy was changed")


def start(room: Path, runs: list[list[str]], cpu_s: float) -> int:
    """Run tests against the source in a folder; return the process that does."""
    answer = room / ANSWER
    answer.unlink(missing_ok=True)
    sys.stdout.flush()
    child = os.fork()
    if child:
        return child
    try:
        os.setsid()
        resource.setrlimit(resource.RLIMIT_CPU, (int(cpu_s), int(cpu_s) + 1))
        with (room / "said").open("wb") as said:
            os.dup2(said.fileno(), 1)
            os.dup2(said.fileno(), 2)
        answer.write_text("the time limit")
        answer.write_text(_first_that_fails(room, runs))
    except BaseException as fault:  # noqa: BLE001 - what pytest lets through is no test's
        answer.write_text(f"{FAULT} {type(fault).__name__}: {fault}")
    finally:
        os._exit(0)


def _first_that_fails(room: Path, runs: list[list[str]]) -> str:
    sys.path.insert(0, str(room))
    os.environ["PYTHONPATH"] = str(room)
    os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = str(room / "hypothesis")
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    sys.dont_write_bytecode = True
    from hypothesis import HealthCheck, settings

    settings.register_profile(
        "one change",
        deadline=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    settings.load_profile("one change")
    for names in runs:
        chosen = Chosen(names)
        files = list(dict.fromkeys(name.partition("::")[0] for name in names))
        code = pytest.main(
            [
                "-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--no-header", "--tb=line",
                "-W", "ignore::pytest.PytestAssertRewriteWarning",
                "--basetemp", str(room / "tmp"), *files,
            ],
            plugins=[chosen],
        )  # fmt: skip
        if code not in (0, pytest.ExitCode.NO_TESTS_COLLECTED):
            return chosen.failed or f"pytest ended with {int(code)}"
    return ""


class Chosen:
    """A plugin of pytest: only these tests, in this order; remembers what failed."""

    def __init__(self, names: list[str]) -> None:
        self.place = {name: number for number, name in enumerate(names)}
        self.failed = ""

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Leave the chosen tests, in their order."""
        items[:] = [item for item in items if item.nodeid in self.place]
        items.sort(key=lambda item: self.place[item.nodeid])

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Remember the test that failed."""
        if report.failed:
            self.failed = self.failed or report.nodeid

    def pytest_collectreport(self, report: Any) -> None:
        """Remember the file that could not be read."""
        if report.failed:
            self.failed = self.failed or f"reading {report.nodeid}"


def noticed(room: Path) -> str:
    """Return what noticed the change in a folder; nothing when no test failed."""
    answer = room / ANSWER
    shutil.rmtree(room / "tmp", ignore_errors=True)
    said = answer.read_text() if answer.exists() else "the time limit"
    if said.startswith(FAULT):
        raise RuntimeError(said)
    return said


def stop(child: int) -> None:
    """End a process and all it started."""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
