"""The desk opened with no terminal: nothing can be printed, and what is wrong is shown."""

import http.client
import os
import re
import signal
import subprocess
import sys
import time
import tomllib
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
#: As pythonw starts a program: with no streams at all.
WINDOWLESS = """
import sys, webbrowser
shown = sys.argv.pop(1)
sys.stdin = sys.stdout = sys.stderr = None
def show(address):
    with open(shown, "w") as handle:
        handle.write(address)
    return True
webbrowser.open = show
from quietacre.__main__ import open_desk
open_desk()
"""


@pytest.fixture
def windowless(tmp_path):
    """Start the desk with no streams; what the browser was given is in the file `shown`."""
    env = {**os.environ, "HOME": str(tmp_path), "XDG_STATE_HOME": str(tmp_path / "state")}
    started = []

    def begin(*words):
        process = subprocess.Popen(
            [sys.executable, "-c", WINDOWLESS, str(tmp_path / "shown"), *words],
            env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
        started.append(process)
        until = time.monotonic() + 60
        while not (shown := tmp_path / "shown").exists() or not shown.read_text():
            assert time.monotonic() < until
            assert process.poll() is None or shown.exists(), process.stdout.read()
            time.sleep(0.05)
        return process, shown.read_text()

    yield begin
    for process in started:
        if process.poll() is None:
            process.kill()
        process.wait(30)
        process.stdout.close()


def test_it_serves_opens_the_browser_and_ends_well_with_no_streams(windowless):
    process, address = windowless()
    port = int(re.fullmatch(r"http://127\.0\.0\.1:(\d+)/#\S+", address)[1])
    call = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    call.request("GET", "/")
    assert call.getresponse().status == 200
    call.close()
    process.send_signal(signal.SIGINT)
    assert process.wait(60) == 0
    assert process.stdout.read() == ""


def test_what_is_wrong_is_shown_in_the_browser(windowless, tmp_path):
    folder = tmp_path / "no <b>place"
    folder.mkdir()
    process, address = windowless(str(folder))
    assert process.wait(60) == 2
    page = Path(address.removeprefix("file://")).read_text()
    assert "no &lt;b&gt;place: there is no property.toml" in page
    assert "<b>" not in page


def test_the_json_address_does_not_crash_either(windowless):
    process, address = windowless("--json")
    assert address.startswith("http://127.0.0.1:")
    process.send_signal(signal.SIGINT)
    assert process.wait(60) == 0


def test_the_windowless_script_is_that_function():
    scripts = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["gui-scripts"]
    module, _, name = scripts["quietacre-desk"].partition(":")
    assert name == "open_desk"
    assert callable(getattr(import_module(module), name))
