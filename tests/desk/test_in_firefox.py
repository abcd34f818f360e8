"""The whole path in Firefox, where it is there and this Playwright drives it."""

import shutil

import pytest
from desk_tab import tab
from test_whole_path import MOST_CLICKS, Mouse, from_loops_to_list

pytestmark = pytest.mark.browser
FIREFOX = shutil.which("firefox-esr") or shutil.which("firefox")


@pytest.fixture
def firefox(play):
    """Firefox by WebDriver BiDi; Playwright's own build is another one."""
    from playwright.sync_api import Error

    if FIREFOX is None:
        pytest.skip("there is no Firefox")
    try:
        started = play.firefox.launch(channel="moz-firefox", executable_path=FIREFOX)
        started.new_context().close()
    except Error as problem:
        pytest.skip(f"this Playwright does not drive it: {str(problem).splitlines()[0]}")
    yield started
    started.close()


def test_from_three_loops_to_a_shopping_list_in_firefox(firefox, desk, tmp_path):
    page, said = tab(firefox, desk)
    clicks = from_loops_to_list(page, Mouse(page), desk, tmp_path)
    assert clicks < MOST_CLICKS
    assert said == []
