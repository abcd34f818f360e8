"""A shapefile read in a process of its own, with a deadline and a bound on its memory.

GDAL puts the rings of one shape together inside one call that nothing can interrupt, and
what breaks it would take us with it.
What comes back are lines of JSON, each with shapes as well-known binary behind it.
"""

from __future__ import annotations

import itertools
import json
import math
import subprocess
import sys
import threading
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import shapely

from quietacre.beside import Beside
from quietacre.intake.deadline import PATIENCE, allowed_seconds, too_slow
from quietacre.intake.shapes import UNREADABLE, Shapes, open_shapes

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre.intake.collect import Collector

#: A smaller shapefile has too few rings to keep anyone waiting. [bytes]
SMALL_BYTES = 200_000
BLOCK_FEATURES = 4096
#: Address space of the reading process, libraries included, where the system can hold
#: a process to it.
MAX_MEMORY_BYTES = 3_000_000_000
#: How the system ends a process whose seconds are over.
OUT_OF_TIME = {-24, -9}
#: Started with our own way of finding modules, whatever it is.
START = (
    "import json, sys; sys.path[:] = json.loads(sys.argv[1]); "
    "from quietacre.intake.own_process import main; main()"
)


def can_read_in_own_process(path: Path) -> bool:
    """Return whether a shapefile is large, and there is a Python to start."""
    python = Path(sys.executable or "").name.lower().startswith("python")
    return python and path.stat().st_size > SMALL_BYTES


@contextmanager
def shapes_from_own_process(path: Path, into: Collector, label: str) -> Iterator[Shapes]:
    """Give what a shapefile holds, read by another process.

    Raises
    ------
    FileProblem
        It cannot be read, or not in time.
    """
    seconds = allowed_seconds(path.stat().st_size)
    words = [sys.executable, "-c", START, json.dumps(sys.path), str(path.resolve())]
    words.append(str(math.ceil(seconds)))
    late, over = threading.Event(), threading.Event()
    with subprocess.Popen(  # noqa: S603 - ourselves
        words, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    ) as process:

        def end() -> None:
            if not over.wait(PATIENCE * seconds):
                late.set()
                process.kill()

        try:
            Beside(end).start()
            head = _said(process, into, label, late, seconds)
            bounds = tuple(head["bounds"]) if head["bounds"] else None
            rows = _rows(process, into, label, late, seconds)
            yield Shapes(head["system"], bounds, head["count"], rows)
        finally:
            over.set()
            process.kill()


def _said(
    process: subprocess.Popen[bytes],
    into: Collector,
    label: str,
    late: threading.Event,
    seconds: float,
) -> dict[str, Any]:
    """Return the next line of the other process, or say why there is none."""
    line = process.stdout.readline() if process.stdout else b""
    if not line.endswith(b"\n") and process.wait() in OUT_OF_TIME:
        late.set()
    if late.is_set():
        raise too_slow(into.source, seconds)
    if not line.endswith(b"\n"):
        raise into.problem(
            f"{label}cannot be read (its reading broke off)", "export it again, or split it"
        )
    message: dict[str, Any] = json.loads(line)
    if "problem" in message:
        raise into.problem(
            f"{label}cannot be read ({message['problem']})", "export it again"
        )
    return message


def _rows(
    process: subprocess.Popen[bytes],
    into: Collector,
    label: str,
    late: threading.Event,
    seconds: float,
) -> Iterator[tuple[shapely.Geometry | None, dict[str, Any]]]:
    while sizes := (message := _said(process, into, label, late, seconds))["sizes"]:
        blob = process.stdout.read(sum(sizes)) if process.stdout else b""
        if late.is_set() or len(blob) < sum(sizes):
            raise too_slow(into.source, seconds)
        at = 0
        for size, name, kind in zip(sizes, message["names"], message["kinds"], strict=True):
            shape = shapely.from_wkb(blob[at : at + size]) if size else None
            at += size
            yield shape, {"name": name, "kind": kind}


def main() -> None:
    """Read the shapefile that the second argument names; the first was the module path."""
    _hold(int(sys.argv[3]))
    path = Path(sys.argv[2])
    try:
        with open_shapes(path) as shapes:
            _tell(system=shapes.system, bounds=shapes.bounds, count=shapes.count)
            while block := list(itertools.islice(shapes.rows, BLOCK_FEATURES)):
                known = [{key.casefold(): v for key, v in row.items()} for _, row in block]
                blobs = [
                    b"" if shape is None else shapely.to_wkb(shape) for shape, _ in block
                ]
                _tell(
                    sizes=[len(blob) for blob in blobs],
                    names=[row.get("name") for row in known],
                    kinds=[row.get("kind") for row in known],
                )
                sys.stdout.buffer.writelines(blobs)
            _tell(sizes=[])
    except MemoryError:
        _tell(problem="not enough memory")
    except UNREADABLE as problem:
        _tell(problem=str(problem))


def _tell(**values: object) -> None:
    sys.stdout.buffer.write(json.dumps(values, default=str).encode() + b"\n")


def _hold(seconds: int) -> None:
    """Hold this process to its memory and to seconds of the processor."""
    try:
        import resource
    except ImportError:  # not a POSIX system
        return
    resource.setrlimit(resource.RLIMIT_AS, (MAX_MEMORY_BYTES, MAX_MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
