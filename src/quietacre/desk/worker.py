"""The process beside the server: it runs the same commands as the terminal, and measures.

Commands keep their libraries loaded between calls. One that hangs or dies takes its process with
it, and the next call begins a new one; a build has a process of its own and can be stopped.
"""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypedDict

from quietacre.desk import IN_US, WORK

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

#: No command of the desk takes longer; a build is not one of them. [s]
MOST_SECONDS = 120.0
#: What is said when the process was asked and ended without an answer.
ENDED = (
    "the program ended before it answered: look whether this is done before you do it again"
)


@dataclass(frozen=True)
class Answer:
    """What a command said: its exit code, standard output and standard error."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:  # noqa: ANN401 - any JSON
        """Return the JSON that the command printed, None when it printed none."""
        try:
            return json.loads(self.out)
        except json.JSONDecodeError:
            return None


class Worker:
    """One process that runs one command at a time."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[str] | None = None
        self._closed = False

    def start(self) -> None:
        """Begin the process, so that its libraries load while other things go on."""
        with self._lock:
            if not self._closed:
                self._started()

    def run(self, words: Sequence[str]) -> Answer:
        """Return what a command of quietacre says, its words given without the program's name."""
        return self._ask({"words": list(words)}, changes=True)

    def ground(self, folder: Path) -> Answer:
        """Return the measured ground of a property folder as JSON."""
        return self._ask({"ground": str(folder)})

    def ready(self) -> None:
        """Load what the next question may need, while there is none."""
        self._ask({"ready": True})

    def drawing(
        self, folder: Path | None, what: str, asked: Mapping[str, object]
    ) -> Answer:
        """Return the answer to a question of the page while a person draws, as JSON."""
        return self._ask({"draw": what, "folder": str(folder), "said": asked})

    def close(self) -> None:
        """End the process for good."""
        self._closed = True
        self._drop()

    def _drop(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait(5)
            for pipe in (process.stdin, process.stdout):
                with contextlib.suppress(OSError):  # what was never read is let go
                    if pipe is not None:
                        pipe.close()

    def _ask(self, what: Mapping[str, object], *, changes: bool = False) -> Answer:
        """Return the answer to a question; what ended without one is asked once more.

        What ``changes`` files is asked again only where it was never read: it may be done, and
        a line would stand in the log twice.
        """
        with self._lock:
            for last in (False, True):
                if self._closed:
                    return Answer(1, "", "the desk ends; nothing was done")
                read, line = self._told(what)
                if line:
                    request = json.loads(line)
                    return Answer(request["code"], request["out"], request["err"])
                self._drop()
                if last or (read and changes):
                    break
            return Answer(1, "", ENDED)

    def _told(self, what: Mapping[str, object]) -> tuple[bool, str]:
        """Return whether the process read a question, and the line that answers, blank for none."""
        process = self._started()
        ended = threading.Timer(MOST_SECONDS, process.kill)
        ended.daemon = True  # it holds up no end of the desk
        ended.start()
        read = False
        try:
            assert process.stdin is not None  # noqa: S101 - asked for below
            assert process.stdout is not None  # noqa: S101
            process.stdin.write(json.dumps(what) + "\n")
            process.stdin.flush()
            read = True
            return read, process.stdout.readline()
        except (OSError, ValueError):
            return read, ""
        finally:
            ended.cancel()

    def _started(self) -> subprocess.Popen[str]:
        if self._process is None or self._process.poll() is not None:
            self._process = _program(WORK, stdin=subprocess.PIPE, stderr=subprocess.DEVNULL)
        return self._process


def _program(*words: str, stdin: int, stderr: int) -> subprocess.Popen[str]:
    """Start quietacre itself with other words, text in and out."""
    return subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, "-m", "quietacre", *words],
        stdin=stdin, stdout=subprocess.PIPE, stderr=stderr, text=True, encoding="utf-8",
        errors="replace", env={**os.environ, "PYTHONUTF8": "1"}, start_new_session=True,
    )  # fmt: skip


class BuildLine(TypedDict, total=False):
    """One line of a build as it goes: the step that begins, what it says, or its exit code."""

    step: str
    said: str
    end: int


class Build:
    """A build of one property folder in a process of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.lines: list[BuildLine] = []
        self.changed = threading.Condition()
        self._process = _program(
            *IN_US,
            "build",
            str(folder),
            "--steps",
            stdin=subprocess.DEVNULL,
            stderr=subprocess.STDOUT,
        )
        threading.Thread(target=self._read, daemon=True).start()

    @property
    def running(self) -> bool:
        """Return whether it has not ended."""
        return not self.lines or "end" not in self.lines[-1]

    def stop(self) -> None:
        """End it; what stood in out/ before stays, or the next build finishes it."""
        self._process.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(5)
            return
        self._process.kill()

    def _read(self) -> None:
        assert self._process.stdout is not None  # noqa: S101 - asked for above
        for line in self._process.stdout:
            try:
                answer = json.loads(line)
            except json.JSONDecodeError:
                answer = None
            step = answer.get("step") if isinstance(answer, dict) else None
            self._add({"said": line.strip()} if step is None else {"step": str(step)})
        code = self._process.wait()
        self._add({"end": code})

    def _add(self, line: BuildLine) -> None:
        with self.changed:
            self.lines.append(line)
            self.changed.notify_all()
