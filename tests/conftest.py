"""What tests of several folders share: one browser for all pages."""

import os
import shutil

import pytest

CHROMIUM = (
    os.environ.get("QUIETACRE_CHROMIUM") or shutil.which("chromium") or "/usr/bin/chromium"
)
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync"]  # fmt: skip


def pytest_collection_modifyitems(items):
    """Begin with the longest, so that no process waits for another at the end."""
    items.sort(
        key=lambda item: [item.get_closest_marker(m) is None for m in ("long", "slow")]
    )


@pytest.fixture(scope="session")
def play():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(play):
    started = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
    yield started
    started.close()
