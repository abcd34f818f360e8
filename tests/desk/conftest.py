"""A desk running for the tests, in a home of its own."""

import pytest
from running_desk import RunningDesk

from quietacre.demo.write import write_sample


@pytest.fixture
def desk(tmp_path):
    running = RunningDesk(tmp_path)
    running.unlock()
    yield running
    running.end()


@pytest.fixture(scope="module")
def shared_desk(tmp_path_factory):
    running = RunningDesk(tmp_path_factory.mktemp("desk"))
    running.unlock()
    yield running
    running.end()


@pytest.fixture
def sample(desk):
    folder = desk.home / "sample"
    write_sample(folder)
    code, place = desk.call("/api/open", {"folder": str(folder)})
    assert code == 200, place
    return folder


@pytest.fixture(autouse=True)
def _tabs_closed(request):
    """Close the tabs that a test opened before its desk ends; left open, each asks for it on."""
    names = request.fixturenames
    if "browser" not in names or "bench" in names:
        yield
        return
    for name in ("desk", "shared_desk"):
        if name in names:
            request.getfixturevalue(name)
    browser = request.getfixturevalue("browser")
    before = list(browser.contexts)
    yield
    for context in browser.contexts:
        if context not in before:
            context.close()
