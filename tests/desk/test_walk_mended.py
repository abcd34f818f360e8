"""A walk whose edge is mended at the desk keeps its walk, and fixes set aside come in again."""

import json
import math
import tomllib
from pathlib import Path

import pytest
from desk_tab import tab
from drawing_hand import corners_now, keep, mend

pytestmark = pytest.mark.browser


@pytest.fixture
def walked(desk, tmp_path):
    """A place with one walk that has a spike; invented."""
    _, place = desk.call("/api/open", {"new": "Crow Ridge"})
    points = []
    for n in range(241):
        turn = math.tau * n / 240
        far = 4 if n == 60 else 1
        lat, lon = (
            33.2 + 0.0007 * far * math.sin(turn),
            -86.3 + 0.0009 * far * math.cos(turn),
        )
        points.append(
            f'<trkpt lat="{lat:.6f}" lon="{lon:.6f}"><time>2026-10-01T15:{n // 60:02d}:'
            f"{n % 60:02d}Z</time></trkpt>"
        )
    gpx = (
        '<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><trk>'
        f"<name>Mill flat</name><trkseg>{''.join(points)}</trkseg></trk></gpx>"
    )
    _, found = desk.call("/api/file", gpx.encode(), headers=[("X-Name", "mill.gpx")])
    code, said = desk.call(
        "/api/add", {"tokens": [found["token"]], "as": "Mill flat", "kind": "plot"}
    )
    assert code == 200, said
    return place["folder"]


def test_a_fix_that_was_set_aside_is_taken_in_and_the_walk_stays(browser, desk, walked):
    _, edge = desk.call("/api/edge?area=Mill%20flat")
    aside = [(one["lon"], one["lat"]) for one in edge["walk"]["aside"]]
    assert aside, json.dumps(edge["walk"])[:300]
    page, said = tab(browser, desk)
    mend(page, "Mill flat")
    before = corners_now(page)
    page.click("text=Take in a point of the walk that was left out")
    page.wait_for_selector(".fix")
    assert page.locator(".fix").count() == len(aside)
    page.click("text=Put it at the cross")
    page.wait_for_selector("button:has-text('Take back: a corner put in')")
    (new,) = [corner for corner in corners_now(page) if corner not in before]
    assert tuple(new) in aside
    keep(page)
    assert "needle" in page.inner_text("#said"), "what the readers cut off again is said"
    (area,) = tomllib.loads((Path(walked) / "property.toml").read_text())["area"]
    assert area["over"], "the walk stays behind what was drawn over it"
    assert said == []
