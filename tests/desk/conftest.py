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
