"""What the page is made of, without a browser: data inert, policy tight, bytes stable."""

import base64
import hashlib
import json
import re

import geopandas as gpd
import pytest
import shapely
from record_of import record_of

from quietacre.page.map import escaped_json, render_page
from quietacre.report_records import Report

HOSTILE = [
    "<img src=x onerror=alert(1)>", "</script><script>alert(1)</script>", "${7*7}", "{{7*7}}",
    "{% raise %}", "{{ ''.__class__.__mro__[1].__subclasses__() }}", "`${alert(1)}`", "<!--",
    "\u2028\u2029", "\u202eright to left", "🦃🌱", "'\"\\", "\ud800", "a" * 10_000,
]  # fmt: skip


def sample(name="Plot", count=1):
    shapes = [
        shapely.box(-87.6 + i / 500, 34.2, -87.5985 + i / 500, 34.201) for i in range(count)
    ]
    ids = [f"a{i + 1:02d}" for i in range(count)]
    rows = [
        {
            "id": key, "name": name, "kind": "plot", "source": "drawn/x.geojson", "acres": 1.5,
            "acres_low": 1.4, "acres_high": 1.6, "half_width_pct": 6.0, "perimeter_ft": 900.0,
            "method": "drawn", "walk": None, "need": None, "settings": [], "mix": None,
            "plant": None, "vine": None, "history": [name], "note": name,
            "record": [{"on": "2026-05-02", "task": name, "said": name}],
            "notes": [{"code": "x", "level": "warning", "text": name, "source": None,
                       "head": name, "more": "", "help": [], "cited": "",
                       "feature": name, "lon": -87.6, "lat": 34.2}],
            "lon": s.centroid.x, "lat": s.centroid.y,
        }
        for key, s in zip(ids, shapes, strict=True)
    ]  # fmt: skip
    report = {
        "schema": 1, "made_on": "2027-01-02", "version": "0",
        "property": {"name": name, "state": None, "acres": None, "place_id": "bcdfghjkm",
                     "own_id": True},
        "ticks": [],
        "totals": {"total_acres": 1.5 * count, "total_acres_low": 1.4, "total_acres_high": 1.6,
                   "by_kind": {"plot": 1.5 * count}, "overlap_acres": 0.0, "cost": None},
        "areas": rows, "strips": [], "shopping": [], "cautions": [], "notes": [],
    }  # fmt: skip
    frame = gpd.GeoDataFrame({"id": ids}, geometry=shapes, crs=4326)
    return record_of(Report, report), {"areas": frame}


@pytest.mark.parametrize("name", HOSTILE)
def test_names_are_data_and_nothing_else(name):
    page = render_page(*sample(name))
    data = re.search(
        r'<script type="application/json" id="ledger-data">(.*?)</script>', page, re.DOTALL
    )
    held = json.loads(data.group(1))
    shown = held["keys"]["report"]["keys"]["property"]["keys"]["name"]
    assert shown[0] == name.replace("\ud800", "\ufffd" * 3)
    rest = page.replace(data.group(0), "")
    assert page.count("<script") == render_page(*sample()).count("<script")
    assert "alert(1)" not in rest
    page.encode("utf-8")


def test_policy_covers_every_script_and_style():
    page = render_page(*sample())
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page).group(1)
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    assert "http" not in policy
    for text in re.findall(r"<script>(.*?)</script>", page, re.DOTALL):
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"'sha256-{digest}'" in policy
    # before the policy, nothing but the character set
    assert page.index("Content-Security-Policy") < page.index("<style")


def test_nothing_is_asked_for_and_two_fingers_may_zoom():
    page = render_page(*sample())
    assert not re.search(r"<(script|img|link|iframe)[^>]+(src|href)=", page)
    assert "user-scalable" not in page
    assert "sourceMappingURL" not in page
    assert "BSD 2-Clause" in page or "Redistribution and use" in page


def test_same_input_same_page():
    assert render_page(*sample()) == render_page(*sample())


def test_nan_is_refused():
    with pytest.raises(ValueError, match="JSON"):
        escaped_json({"x": float("nan")})


def test_sixty_areas_stay_small():
    assert len(render_page(*sample(count=60)).encode()) < 600_000
