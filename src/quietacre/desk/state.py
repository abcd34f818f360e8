"""One running desk: what opens it, the place that is open, and the work under way."""

from __future__ import annotations

import asyncio
import secrets
import tempfile
import threading
import time
from collections.abc import Awaitable, Callable, Mapping
from concurrent.futures import Future
from typing import TYPE_CHECKING, NamedTuple

from quietacre.desk import places
from quietacre.desk.kept_ground import Kept, inputs_sum, keep_ground, kept_ground

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response

    from quietacre.desk.guard import Secrets
    from quietacre.desk.worker import Answer, Build, Worker


#: After the ground is told, the page draws it; what else the helper loads waits so long. [s]
READY_SECONDS = 1.0


class _Measuring(NamedTuple):
    """A place that is being measured: the sum of what is read, and its ground once it is known."""

    folder: Path
    sum: str
    answer: Future[Answer]


class Desk:
    """One running desk: what opens it, the place that is open, and the work under way."""

    def __init__(
        self,
        port: int,
        opened: Secrets,
        hold: Callable[[Path], None],
        worker: Worker,
    ) -> None:
        self.port, self.secrets, self.hold = port, opened, hold
        self.worker = worker
        self.folder: Path | None = None
        self.build: Build | None = None
        self.papers = secrets.token_urlsafe(18)
        self.brought = tempfile.TemporaryDirectory(prefix="quietacre-desk-")
        self.made: dict[str, Path] = {}  # papers made for one occasion, by their names
        self.idle = 0
        self.one_change = (
            asyncio.Lock()
        )  # what was there is looked at and changed in one go
        self._ahead: _Measuring | None = None
        self._kept: Kept | None = None  # of the last opening of the place

    def close(self) -> None:
        """End what runs beside the server."""
        if self.build is not None and self.build.running:
            self.build.stop()
        self.worker.close()
        self.brought.cleanup()

    def open_place(self, folder: Path) -> None:
        """Take a folder for the one that is open."""
        self.folder = folder.resolve()
        places.remember(self.folder)
        self.hold(self.folder)
        self._kept = kept_ground(self.folder)

    def look_ahead(self) -> None:
        """Measure the open place beside the server, before its page asks; once.

        Where its ground is kept, the page has that first, and the machine to itself.
        """
        if self.folder is not None and self._kept is None:
            self._ahead = self._measuring(self.folder)

    def _measuring(self, folder: Path) -> _Measuring:
        """Begin to measure a place; its ground is kept then for the next opening."""
        was = inputs_sum(folder)
        made = _Measuring(folder, was or self.sum(), Future())

        def measure() -> None:
            answer = self.worker.ground(folder)
            made.answer.set_result(answer)
            if answer.code == 0:
                keep_ground(folder, Kept(was, answer.out))
            time.sleep(READY_SECONDS)
            self.worker.ready()

        threading.Thread(target=measure, daemon=True).start()
        return made

    async def kept(self) -> str | None:
        """Return the ground as the last opening measured it, as JSON, once; None where it changed.

        The page draws it, and then asks for what is measured now.
        """
        kept, self._kept = self._kept, None
        if kept is None or self.folder is None:
            return None
        if await asyncio.to_thread(inputs_sum, self.folder) != kept.sum:
            return None
        return kept.ground

    async def ground(self) -> Answer:
        """Return the measured ground of the open place, as it is now."""
        assert self.folder is not None  # noqa: S101 - asked for an open place
        folder, ahead = self.folder, self._ahead
        self._ahead = None
        now = await asyncio.to_thread(inputs_sum, folder) or self.sum()
        if ahead is None or (ahead.folder, ahead.sum) != (folder, now):
            ahead = self._measuring(folder)
        return await asyncio.wrap_future(ahead.answer)

    def sum(self) -> str:
        """Return the sum of the open place's settings, "" without a place."""
        return "" if self.folder is None else places.settings_sum(self.folder)

    async def run(self, *words: str) -> Answer:
        """Return what a command answers, run beside the server."""
        return await asyncio.to_thread(self.worker.run, words)

    async def ask(self, what: str, asked: Mapping[str, object]) -> Answer:
        """Return what the process beside the server answers to a question on drawing."""
        return await asyncio.to_thread(self.worker.drawing, self.folder, what, asked)


#: What answers a route: the desk, and what was asked.
Handler = Callable[[Desk, "Request"], Awaitable["Response"]]
