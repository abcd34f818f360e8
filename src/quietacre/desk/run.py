"""The desk's process: one for a person, on the loopback, until its last tab is gone."""

from __future__ import annotations

import contextlib
import json
import os
import socket
import threading
from typing import TYPE_CHECKING

from quietacre.desk.kept_file import is_kept
from quietacre.desk.worker import Worker
from quietacre.errors import BadInput
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

LOOPBACK = "127.0.0.1"
#: The desk ends when no tab asked anything for so long while the computer was awake. [s]
IDLE_SECONDS = 600
TICK_SECONDS = 15
#: A desk that runs already answers its starter within this. [s]
KNOCK_SECONDS = 2.0


def run_desk(
    folder: Path | None, *, port: int | None, browser: bool, tell: Callable[[str], None]
) -> None:
    """Serve the desk until it ends; where one runs already, open a tab of that one.

    Parameters
    ----------
    folder : the place to open, None for the page that offers them.
    port : where to listen; a free one, the same as last time if it can be, when None.
    browser : whether to open the person's browser.
    tell : given the address, the first thing that is said.

    Raises
    ------
    BadInput
        The port is taken.
    """
    known = _Known.read()
    if known is not None and folder is None and (ticket := known.knock()) is not None:
        _show(f"http://{LOOPBACK}:{known.port}/#{ticket}", browser=browser, tell=tell)
        return
    listener = _listener(port, None if known is None else known.port)
    here = listener.getsockname()[1]
    worker = Worker()
    if folder is None or not is_kept(folder):
        worker.start()  # its libraries take longest, and load while all else is made ready
    import secrets

    from quietacre.desk.guard import Secrets

    # tabs of a desk that was cut short go on with the next one
    cut_short = known if known is not None and known.starter and not known.knock() else None
    key = (cut_short.key if cut_short is not None else "") or secrets.token_urlsafe(32)
    if cut_short is not None and folder is None and cut_short.folder:
        folder = _still_there(cut_short.folder)
    opened = Secrets(key, secrets.token_urlsafe(32))
    ticket = secrets.token_urlsafe(24)
    opened.tickets.add(ticket)
    mine = _Known(here, opened.starter, os.getpid(), key)
    mine.write()
    with contextlib.ExitStack() as ending:
        ending.callback(worker.close)
        ending.callback(mine.forget)
        ending.enter_context(contextlib.suppress(KeyboardInterrupt))  # the person's own end
        # the browser begins meanwhile; what it asks waits until the desk serves
        _show(f"http://{LOOPBACK}:{here}/#{ticket}", browser=browser, tell=tell)
        from quietacre.desk.state import Desk

        desk = Desk(here, opened, mine.hold, worker)
        ending.callback(desk.close)
        if folder is not None:
            desk.open_place(folder)
        desk.look_ahead()
        import asyncio

        asyncio.run(_serve(desk, listener))


async def _serve(desk: object, listener: socket.socket) -> None:
    """Serve until Ctrl-C, or until nobody asked anything for a while."""
    import asyncio

    import uvicorn

    from quietacre.desk.app import desk_app
    from quietacre.desk.state import Desk

    assert isinstance(desk, Desk)  # noqa: S101 - for the type checker
    server = uvicorn.Server(
        uvicorn.Config(
            desk_app(desk), http="h11", ws="none", lifespan="off", proxy_headers=False,
            server_header=False, date_header=False, log_level="critical", access_log=False,
            timeout_keep_alive=20, limit_concurrency=64,
        )
    )  # fmt: skip

    async def watch() -> None:
        # ticks do not run while the computer sleeps, so sleep is no idling
        while not server.should_exit:
            await asyncio.sleep(TICK_SECONDS)
            busy = desk.build is not None and desk.build.running
            desk.idle = 0 if busy else desk.idle + TICK_SECONDS
            if desk.idle >= IDLE_SECONDS:
                server.should_exit = True

    watcher = asyncio.create_task(watch())
    try:
        await server.serve(sockets=[listener])
    finally:
        watcher.cancel()


def _still_there(folder: str) -> Path | None:
    """Return a property folder that was open, None when it is gone."""
    from pathlib import Path

    return Path(folder) if (Path(folder) / SETTINGS_FILE).is_file() else None


def _listener(port: int | None, last: int | None) -> socket.socket:
    """Return a socket that listens on the loopback: the port asked for, the last one, any."""
    for wanted in [port] if port is not None else [last or 0, 0]:
        # named as TCP, so that asyncio sends the end of an answer without waiting for word
        # that its beginning came (40 ms each)
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        if os.name != "nt":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((LOOPBACK, wanted))
        except OSError:
            listener.close()
            continue
        listener.listen(64)
        return listener
    raise BadInput(
        f"port {port} is taken", fix="leave --port out, or name another", source="--port"
    )


def _show(address: str, *, browser: bool, tell: Callable[[str], None]) -> None:
    import webbrowser  # before the address is told, too

    tell(address)
    if browser:
        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()


class _Known:
    """The desk that runs, in a file of the person's alone: port, words that open it, its place."""

    def __init__(
        self, port: int, starter: str, pid: int, key: str = "", folder: str = ""
    ) -> None:
        self.port, self.starter, self.pid = port, starter, pid
        self.key, self.folder = key, folder

    def hold(self, folder: Path) -> None:
        """Put down which place is open, for a desk that goes on after this one was cut short."""
        self.folder = str(folder)
        self.write()

    @staticmethod
    def _path() -> Path:
        from quietacre.edit.state import user_state

        return user_state() / "desk" / "running.json"

    @classmethod
    def read(cls) -> _Known | None:
        """Return the desk that ran last, None when none is known."""
        try:
            row = json.loads(cls._path().read_text(encoding="utf-8"))
            more = (str(row.get("key", "")), str(row.get("folder", "")))
            return cls(int(row["port"]), str(row["starter"]), int(row["pid"]), *more)
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def write(self) -> None:
        """Put it down for the next start, readable by this user alone."""
        path = self._path()
        with contextlib.suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC
            with open(os.open(path, flags, 0o600), "w", encoding="utf-8") as handle:  # noqa: PTH123
                json.dump(vars(self), handle)
            path.chmod(0o600)

    def forget(self) -> None:
        """Keep the port for the next start, and nothing that opens anything."""
        known = self.read()
        if known is not None and known.pid == self.pid:
            _Known(self.port, "", 0).write()

    def knock(self) -> str | None:
        """Return a ticket of the desk that runs, None when none answers."""
        if not self.starter:
            return None
        import http.client

        from quietacre.desk.guard import STARTER_HEADER, STARTER_PATH

        call = http.client.HTTPConnection(LOOPBACK, self.port, timeout=KNOCK_SECONDS)
        try:
            headers = {STARTER_HEADER.decode(): self.starter, "Content-Length": "0"}
            call.request("POST", STARTER_PATH, headers=headers)
            answer = call.getresponse()
            if answer.status != 200:  # noqa: PLR2004 - all is well
                return None
            return str(json.loads(answer.read())["ticket"])
        except (OSError, ValueError, KeyError, http.client.HTTPException):
            return None
        finally:
            call.close()
