"""One desk process for a test: its port, its key, and requests told to it."""

import json
import os
import signal
import subprocess
import sys
import urllib.error
import urllib.request

from quietacre.figures import BEFORE


class RunningDesk:
    """One desk process: its port, its key, and requests told in raw bytes or as a page would."""

    def __init__(self, home, *words):
        env = {**os.environ, "HOME": str(home), "XDG_STATE_HOME": str(home / "state"),
               "XDG_DOCUMENTS_DIR": str(home / "docs")}  # fmt: skip
        self.home, self.env = home, env
        self.process = subprocess.Popen(
            [sys.executable, "-m", "quietacre", "open", "--no-browser", *words],
            env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        self.address = self.process.stdout.readline().strip()
        assert self.address.startswith("http://127.0.0.1:"), self.process.stderr.read()
        self.base, _, self.ticket = self.address.partition("/#")
        self.port = int(self.base.rpartition(":")[2])
        self.key = None

    def call(self, path, body=None, *, key=None, headers=()):
        """Return status and JSON of a request as the page makes it, its figures printed."""
        data = (
            None
            if body is None
            else body
            if isinstance(body, bytes)
            else json.dumps(body).encode()
        )
        request = urllib.request.Request(self.base + path, data)  # noqa: S310 - our own
        request.add_header("Origin", self.base)
        if (key or self.key) is not None:
            request.add_header("X-Quietacre-Key", key or self.key)
        for name, value in headers:
            request.add_header(name, value)
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:  # noqa: S310
                status, told = answer.status, _json(answer.read())
        except urllib.error.HTTPError as problem:
            status, told = problem.code, _json(problem.read())
        if path.startswith("/api/"):
            assert BEFORE not in json.dumps(told, ensure_ascii=False), (path, told)
        return status, told

    def unlock(self):
        """Use the ticket, as the page does first."""
        status, said = self.call("/api/key", {"ticket": self.ticket})
        assert status == 200
        self.key = said["key"]

    def end(self):
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            self.process.wait(90)
        self.process.stdout.close()
        self.process.stderr.close()


def _json(data):
    try:
        return json.loads(data)
    except ValueError:
        return data.decode("utf-8", "replace")
