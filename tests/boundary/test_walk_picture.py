"""The picture of a walk: valid SVG, every cause in words, names as text only."""

import io
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from quietacre.boundary.picture import walk_png, walk_svg
from quietacre.boundary.read import read_walk
from quietacre.model import Track

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def walk():
    angle = np.linspace(0, 2 * np.pi * 1.03, 110)
    loop = 40 * np.column_stack([np.cos(angle), np.sin(angle)])
    lead = np.linspace((150, 10), loop[0], 40)[:-1]
    xy = np.vstack([lead, loop])
    xy[70] += [70, 10]
    return read_walk([
        Track("a <b> & \x07c", "w.gpx", "track", -87.6 + xy[:, 0] / 92_265,
              34.2 + xy[:, 1] / 110_927, np.arange(len(xy)) * 2.0,
              np.zeros(len(xy), dtype=int))
    ])  # fmt: skip


def test_every_cause_has_its_mark_and_its_words(walk):
    root = ET.fromstring(walk_svg(walk))  # noqa: S314 - our own output
    words = [text.text for text in root.iter(f"{SVG}text")]
    for cause in ("spike", "way in"):
        count = walk.removed_cause.count(cause)
        assert count > 0
        assert f"set aside: {cause}, {count}" in words
    assert any("ac, between" in w for w in words)
    assert any(w.endswith("ft, north up") for w in words)
    assert len(list(root.iter(f"{SVG}circle"))) >= len(walk.kept_lon)


def test_a_name_stays_text(walk):
    drawn = walk_svg(walk)
    assert "<b>" not in drawn
    assert "\x07" not in drawn


def test_everything_lies_on_the_sheet(walk):
    root = ET.fromstring(walk_svg(walk))  # noqa: S314 - our own output
    width = float(root.get("width"))
    for dot in root.iter(f"{SVG}circle"):
        if dot.get("cx"):
            assert 0 <= float(dot.get("cx")) <= width
            assert 0 <= float(dot.get("cy")) <= width


def test_png_shows_the_same(walk):
    """Every mark of the SVG has its colour at its place in the PNG."""
    drawn = Image.open(io.BytesIO(walk_png(walk)))
    root = ET.fromstring(walk_svg(walk))  # noqa: S314 - our own output
    assert drawn.size == (int(root.get("width")), int(root.get("height")))
    rgb = np.asarray(drawn.convert("RGB")).astype(int)
    dots = [d for d in root.iter(f"{SVG}circle") if d.get("cx")]
    assert len(dots) > 50
    dark = [rgb[int(float(d.get("cy"))), int(float(d.get("cx")))].sum() < 560 for d in dots]
    assert np.mean(dark) > 0.95
    red = (rgb[..., 0] - rgb[..., 1] > 90) & (rgb[..., 0] - rgb[..., 2] > 60)
    brown = (rgb[..., 0] - rgb[..., 2] > 70) & ~red
    blue = rgb[..., 2] - rgb[..., 0] > 40
    for mask in (red, brown, blue):
        assert mask.sum() > 30
    assert walk_png(walk) == walk_png(walk)
