"""One running desk: what opens it, the place that is open, and the work under way."""

from __future__ import annotations

import asyncio
import secrets
import tempfile
import threading
from collections.abc import Awaitable, Callable
from concurrent.futures import Future
from typing import TYPE_CHECKING, Any

from quietacre.desk import places
from quietacre.desk.worker import Answer, Build

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request
    from starlette.responses import Response

    from quietacre.desk.guard import Secrets
    from quietacre.desk.worker import Worker


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
        self._ahead: tuple[Path, str, Future[Answer]] | None = None

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

    def look_ahead(self) -> None:
        """Measure the open place beside the server, before its page asks; once."""
        if self.folder is None:
            return
        was = self.sum()
        ahead = Future[Answer]()
        self._ahead = (self.folder, was, ahead)
        folder = self.folder
        threading.Thread(
            target=lambda: ahead.set_result(self.worker.ground(folder)), daemon=True
        ).start()

    async def ground(self) -> Answer:
        """Return the measured ground of the open place, as it is now."""
        assert self.folder is not None  # noqa: S101 - asked for an open place
        ahead, self._ahead = self._ahead, None
        if ahead is not None and ahead[:2] == (self.folder, self.sum()):
            return await asyncio.wrap_future(ahead[2])
        return await asyncio.to_thread(self.worker.ground, self.folder)

    def sum(self) -> str:
        """Return the sum of the open place's settings, "" without a place."""
        return "" if self.folder is None else places.settings_sum(self.folder)

    async def run(self, *words: str) -> Answer:
        """Return what a command answers, run beside the server."""
        return await asyncio.to_thread(self.worker.run, words)

    async def ask(self, what: str, asked: dict[str, Any]) -> Answer:
        """Return what the process beside the server answers to a question on drawing."""
        return await asyncio.to_thread(self.worker.drawing, self.folder, what, asked)


#: What answers a route: the desk, and what was asked.
Handler = Callable[[Desk, "Request"], Awaitable["Response"]]
