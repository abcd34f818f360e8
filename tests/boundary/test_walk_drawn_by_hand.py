"""The picture of a walk stroke by stroke: each mark as it is laid on the sheet, and in its place."""

import io
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image, ImageDraw

from quietacre.boundary import picture
from quietacre.boundary.picture import walk_png
from quietacre.units import FT_M

sys.path.insert(0, str(Path(__file__).parent))
from test_pictures_worked import MIDDLE, PLANE, drawn_walk


class Strokes:
    """Stands for what draws on a picture: keeps each stroke in halves of a pixel."""

    def __init__(self):
        self.made = []

    def __getattr__(self, name):
        def stroke(points, *given, **more):
            self.made.append((name, np.ravel(points).tolist(), [*given, *more.values()]))

        return stroke


def box(x, y, wide, high):
    return [2 * (x - wide), 2 * (y - high), 2 * (x + wide), 2 * (y + high)]


def twice(*points):
    return [2.0 * one for point in points for one in point]


def mark_of(cause, x, y):
    """Return the strokes of a mark, twice as large as it is seen."""
    if cause == "kept":
        return [("ellipse", box(x, y, 1.6, 1.6), ["#111"])]
    if cause == "ring":
        return [("line", twice((x - 8, y), (x + 8, y)), ["#0b5394", 4])]
    if cause == "reading":
        return [("line", twice((x - 8, y), (x + 8, y)), ["#0d473d", 3])]
    if cause == "band":
        return [("rectangle", box(x, y, 8, 5), ["#cbe3f6"])]
    if cause == "spike":
        return [
            ("line", twice((x - 5, y - 5), (x + 5, y + 5)), ["#a3132b", 4]),
            ("line", twice((x - 5, y + 5), (x + 5, y - 5)), ["#a3132b", 4]),
        ]
    if cause == "way in":
        return [("polygon", twice((x, y - 4), (x + 4, y + 4), (x - 4, y + 4)), ["#6b4a00"])]
    if cause == "way out":
        return [("polygon", twice((x, y + 4), (x + 4, y - 4), (x - 4, y - 4)), ["#6b4a00"])]
    if cause == "repeat":
        return [("ellipse", box(x, y, 4, 4), ["#4b4b4b", 2])]
    return [("rectangle", box(x, y, 3, 3), ["#4b4b4b", 2])]


def alike(made, wanted):
    assert [(name, given) for name, _, given in made] == [
        (name, given) for name, _, given in wanted
    ]
    for (name, points, _), (_, places, _) in zip(made, wanted, strict=True):
        assert points == pytest.approx(places, abs=0.05), name


@pytest.mark.parametrize(
    "cause",
    ["kept", "ring", "reading", "band", "spike", "way in", "way out", "repeat", "stop"],
)
def test_each_cause_has_its_mark(cause):
    strokes = Strokes()
    picture._Pen(strokes).mark(cause, 100.0, 60.0)
    alike(strokes.made, mark_of(cause, 100.0, 60.0))


CAUSES = ("spike", "repeat", "way in", "way out", "stop")


def corners(east, north):
    """Return the ring of a box so wide and tall about the middle of the sheet, as it is drawn."""
    ground = PLANE.local(PLANE.ground(shapely.box(-east, -north, east, north)))
    return [(360 + 6.6 * x, MIDDLE - 6.6 * y) for x, y in shapely.get_coordinates(ground)]


@pytest.mark.parametrize("band", [True, False])
def test_a_sheet_is_drawn_stroke_by_stroke_twice_as_large(band, monkeypatch):
    strokes, masks = Strokes(), Strokes()
    seen = []

    def draw(image):
        seen.append((image.mode, image.size))
        return masks if image.mode == "L" else strokes

    monkeypatch.setattr(ImageDraw, "Draw", draw)
    # without the band the boundary, here of 52 m, is what reaches farthest to the north
    north = 25 if band else 26
    walk = replace(drawn_walk(), polygon=PLANE.ground(shapely.box(-50, -north, 50, north)))
    walk = walk if band else replace(walk, band=None)
    middle = MIDDLE if band else 30 + 26 * 6.6
    down = middle - MIDDLE
    top = int(2 * middle) + 24
    walk_png(walk)
    wide = 2 * 720, 2 * (top + 22 * 9 + 10)
    assert seen == ([("L", wide)] if band else []) + [("RGB", wide)]
    rings = ((corners(50, 33), 102), (corners(40, 20), 0)) if band else ()
    assert len(masks.made) == len(rings)
    for (ring, fill), made in zip(rings, masks.made, strict=True):
        alike([made], [("polygon", twice(*_like(ring, made)), [fill])])
    legend = ["kept", "ring", "band", *sorted(CAUSES), "reading"]
    words = [
        "kept, 2", "the boundary", "where the true edge lies, 95 %",
        *(f"set aside: {cause}, 1" for cause in sorted(CAUSES)), "a lap, 1.19 ac",
    ]  # fmt: skip
    wanted = [*mark_of("kept", 30, middle), *mark_of("kept", 690, middle - 66)]
    for ring, color, thick in (
        (corners(50, north), "#0b5394", 4),
        (corners(45, 22), "#0d473d", 3),
    ):
        moved = [(x, y + down) for x, y in ring]
        wanted.append(("line", twice(*moved), [color, thick]))
    for cause, x in zip(CAUSES, (-30, -15, 0, 15, 30), strict=True):
        wanted += mark_of(cause, 360 + 6.6 * x, middle)
    for row, (cause, text) in enumerate(zip(legend, words, strict=True)):
        wanted += mark_of(cause, 30, top + 22 * row)
        wanted.append(("text", twice((48, top + 22 * row)), [text, "#111", "lm"]))
    bar = 100 * FT_M * 6.6
    ends = [(690 - bar, top - 5), (690 - bar, top), (690, top), (690, top - 5)]
    wanted += [
        ("line", twice(*ends), ["#111", 4]),
        ("text", twice((690 - bar, top + 14)), ["100 ft, north up", "#111", "lm"]),
        ("text", twice((30, 13)), ["Bench: 1.24 ac, between 1.10 and 1.30", "#111", "lm"]),
    ]
    made = [
        (name, points, [one for one in given if not hasattr(one, "getmask")])
        for name, points, given in strokes.made
    ]
    alike(made, wanted)
    sizes = {
        one.size for *_, given in strokes.made for one in given if hasattr(one, "getmask")
    }
    assert sizes == {28}


def _like(ring, made):
    """Return a ring begun and turned as the one that was made."""
    first = np.array(made[1][:2]) / 2
    ring = ring[:-1]
    start = int(np.argmin([np.hypot(*(first - one)) for one in ring]))
    turned = ring[start:] + ring[:start]
    second = np.array(made[1][2:4]) / 2
    if np.hypot(*(second - turned[1])) > 1:
        turned = [turned[0], *turned[:0:-1]]
    return [*turned, turned[0]]


def test_the_sheet_is_brought_down_smoothly_and_packed_small():
    drawn = walk_png(drawn_walk())
    sheet = Image.open(io.BytesIO(drawn))
    assert (sheet.mode, sheet.size) == ("RGB", (720, int(60 + 66 * 6.6) + 24 + 22 * 9 + 10))
    packed = io.BytesIO()
    sheet.save(packed, "PNG", optimize=True)
    assert packed.getvalue() == drawn
    # two fifths of the band's blue on white, between the ring and the edge of the band
    pixel = sheet.getpixel((600, round(MIDDLE - 29 * 6.6)))
    wanted = [round(255 + (one - 255) * 102 / 255) for one in (0x7D, 0xB8, 0xE8)]
    assert pixel == pytest.approx(wanted, abs=1)


def bare(shape):
    """A walk of which only its ground is known."""
    none = np.zeros(0)
    return replace(
        drawn_walk(band=None, notes=()), polygon=PLANE.ground(shape), kept_lon=none, kept_lat=none,
        removed_lon=none, removed_lat=none, removed_cause=(),
    )  # fmt: skip


def test_ground_of_less_than_a_metre_is_drawn_as_if_it_were_one():
    tiny = shapely.box(-0.2, -0.2, 0.2, 0.2)
    laid = picture._laid_out(bare(tiny))
    assert laid.scale == 660
    assert laid.tall == pytest.approx(60 + 0.4 * 660, abs=0.01)
    assert picture._laid_out(bare(shapely.box(0, 0, 1.1, 0.5))).scale == pytest.approx(
        660 / 1.1, rel=1e-4
    )


def test_a_tall_plot_fills_the_sheet_from_its_middle_down():
    """110 m by 60 m of longitude and latitude that lie about another middle than their plane's."""
    laid = picture._laid_out(bare(shapely.box(5000, 2e5, 5060, 2e5 + 110)))
    ring = shapely.get_coordinates(laid.ring)
    assert laid.tall == pytest.approx(720, abs=0.5)
    assert laid.scale == pytest.approx(6.0, rel=2e-3)
    low, high = ring.min(axis=0), ring.max(axis=0)
    assert (low[0], low[1], high[1]) == pytest.approx((30, 30, 690), abs=0.5)
    # a degree of longitude is shorter there than about the plane of the other walks
    east = np.cos(np.radians(33.2 + 2e5 / 110_900)) / np.cos(np.radians(33.2))
    assert high[0] == pytest.approx(30 + 60 * east * 6, abs=0.5)
