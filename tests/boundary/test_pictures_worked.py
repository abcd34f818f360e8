"""Pictures placed by points and the picture of a walk, as worked by hand."""

import io
import math
import xml.etree.ElementTree as ET

import numpy as np
import pytest
import shapely
from PIL import Image
from pyproj import Transformer

from quietacre.boundary.differ import OtherReading
from quietacre.boundary.laid_picture import lay_picture
from quietacre.boundary.picture import _bar, walk_png, walk_svg
from quietacre.boundary.placing import (
    place_picture,
    radius95,
    t95,
    wrong_if_north_up,
)
from quietacre.boundary.plane import Plane
from quietacre.boundary.walk import Walk
from quietacre.errors import BadInput
from quietacre.model import Note
from quietacre.units import FT_M

GROUND = np.array([500_000.0, 3_700_000.0])
SVG = "{http://www.w3.org/2000/svg}"

# how sure


def test_points_of_students_t_and_of_two_axes_as_tables_print_them():
    """From memory of any table of t and of F: 12.71, 4.30, 2.78; √(2 F) of 19.00 and 6.94."""
    assert [t95(n) for n in (1, 2, 4)] == pytest.approx([12.706, 4.303, 2.776], abs=1e-3)
    assert [radius95(n) for n in (2, 4)] == pytest.approx(
        [math.sqrt(2 * 19.0), math.sqrt(2 * 6.944)], rel=1e-4
    )
    assert t95(0) == pytest.approx(1.96, abs=1e-3)
    assert radius95(0) == pytest.approx(2.4477, abs=1e-4)
    assert t95(10**6) == pytest.approx(t95(0), abs=1e-4)


PIXELS = np.array([(0.0, 0), (1000, 0), (1000, 800), (0, 800)])
UP = np.array([[1.0, 0.0], [0.0, -1.0]])


def test_what_four_pairs_leave_over_is_their_error():
    """Moved by 3 m out and in, turn about: 4 · 9 over 8 - 4 degrees of freedom is 3 m."""
    off = np.array([(3.0, 0), (-3, 0), (3, 0), (-3, 0)])
    placed = place_picture(PIXELS, PIXELS @ UP.T + GROUND + off)
    assert placed.degrees == 4
    left = placed.ground_m(PIXELS) - (PIXELS @ UP.T + GROUND + off)
    assert placed.sigma_m == pytest.approx(math.sqrt((left**2).sum() / 4))
    assert placed.sigma_m == pytest.approx(3.0, rel=0.02)
    # in the middle of four pairs the place is twice as sure as one of them
    (middle,) = placed.pm_m(np.array([(500.0, 400.0)]))
    assert middle == pytest.approx(2.776 * placed.sigma_m / 2, rel=1e-3)
    (radius,) = placed.radius_m(np.array([(500.0, 400.0)]))
    assert radius == pytest.approx(math.sqrt(2 * 6.944) * placed.sigma_m / 2, rel=1e-3)
    # and off the middle by the distance over that of the pairs: r² / Σ r²
    (corner,) = placed.pm_m(PIXELS[:1])
    assert corner == pytest.approx(
        2.776 * placed.sigma_m * math.sqrt(0.25 + 0.25), rel=1e-3
    )


@pytest.mark.parametrize(("height", "refused"), [(45, True), (55, False)])
def test_a_leaning_fit_needs_points_off_a_line(height, refused):
    """Of a thousand pixels, some fifty across; the band counts by what points spread."""
    pixels = [(0, 0), (1000, height), (1000, 0), (0, height)]
    ground = [tuple(np.array(one) @ UP.T + GROUND) for one in pixels]
    if refused:
        with pytest.raises(BadInput, match="nearly in line"):
            place_picture(pixels, ground, fit="affine")
    else:
        assert place_picture(pixels, ground, fit="affine").fit == "affine"


def test_a_leaning_picture_is_placed_by_a_leaning_fit():
    lean = np.array([[0.8, 0.3], [-0.1, -1.2]])
    pixels = np.vstack([PIXELS, [(300, 500), (700, 100)]])
    placed = place_picture(pixels, pixels @ lean.T + GROUND, fit="affine")
    assert placed.matrix == pytest.approx(np.column_stack([lean, GROUND]), rel=1e-9)
    assert placed.degrees == 6
    assert placed.wrong is None


@pytest.mark.parametrize(("off_m", "wrong"), [(5.0, None), (60.0, 2)])
def test_one_pair_far_from_where_the_others_put_it_is_named(off_m, wrong):
    """Pairs that agree to a metre, told to err by 3 m; the third is off."""
    some = np.vstack([PIXELS, [(500.0, 420.0)]])
    off = np.array([(0.7, -0.4), (-0.5, 0.6), (0, off_m), (0.3, -0.7), (-0.4, 0.2)])
    placed = place_picture(some, some @ UP.T + GROUND + off, point_sigma_m=3.0)
    assert placed.wrong == wrong
    assert place_picture(PIXELS[:3], PIXELS[:3] @ UP.T + GROUND).wrong is None
    # of four the rest are three, which check one another
    four = place_picture(
        some[:4], some[:4] @ UP.T + GROUND + 0.3 * off[[0, 1, 3, 4]], point_sigma_m=3.0
    )
    assert four.wrong is None
    far = np.array([(0.2, 0), (-0.2, 0.1), (0, 90.0), (0.1, -0.2)])
    assert (
        place_picture(some[:4], some[:4] @ UP.T + GROUND + far, point_sigma_m=3.0).wrong
        == 2
    )


@pytest.mark.parametrize(
    ("turn_deg", "north_deg", "named"),
    [
        (0.0, 0.0, 2),
        (0.4, 0.0, 2),
        (1.25, 0.0, 2),
        (1.35, 0.0, None),
        (1.9, 0.0, None),
        (5.0, 5.0, 2),
        (5.0, 0.0, None),
        (-5.0, 5.0, None),
    ],
)
def test_of_three_pairs_the_one_off_the_line_of_north_is_wrong(turn_deg, north_deg, named):
    """Half a degree, and what the pairs' own error turns a line of 600 m by: 0.8 degrees."""
    pixels = np.array([(0.0, 0), (600, 0), (300, 500)])
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    # turned to the right on the ground
    ground = pixels @ UP.T @ np.array([[cos, -sin], [sin, cos]]) + GROUND
    ground[2] += (150.0, 90.0)
    assert (
        wrong_if_north_up(pixels, ground, north_deg=north_deg, point_sigma_m=3.0) == named
    )
    if named is not None:
        # so near each other that their line may turn by more than ten degrees
        assert (
            wrong_if_north_up(pixels, ground, north_deg=north_deg, point_sigma_m=40.0)
            is None
        )
    # a line straight up or across the picture is a line; two pairs in one place are none
    straight = np.array([(0.0, 0), (0, -400), (1.0, 0)])
    there = np.array([(0.0, 0), (0, 400), (300, 900)]) + GROUND
    assert wrong_if_north_up(straight, there, north_deg=0.0, point_sigma_m=3.0) == 2
    one_place = np.vstack([pixels[:1], pixels[:1], pixels[2:]])
    assert wrong_if_north_up(one_place, ground, north_deg=0.0, point_sigma_m=3.0) is None


# a picture laid


def laid(width=1000, height=800, lon=-86.31, lat=33.2, off=None, **more):
    """A picture of half a metre a pixel, north up on its grid."""
    south = lat < 0
    zone = int((lon + 180) // 6) + 1
    system = f"EPSG:{(32700 if south else 32600) + zone}"
    east, north = Transformer.from_crs("EPSG:4326", system, always_xy=True).transform(
        lon, lat
    )
    ground = PIXELS * (0.5, -0.5) + (east, north) + (0.0 if off is None else off)
    back = Transformer.from_crs(system, "EPSG:4326", always_xy=True)
    pairs = [(*p, *back.transform(*g)) for p, g in zip(PIXELS, ground, strict=True)]
    return lay_picture(pairs, width, height, **more), (east, north), system


@pytest.mark.parametrize(("lon", "lat"), [(-86.31, 33.2), (-90.0, 33.2), (-179.5, 51.9), (149.0, -35.2),
                                          (179.9, 0.5)])  # fmt: skip
def test_a_picture_lies_in_the_zone_of_its_first_point(lon, lat):
    made, (east, north), system = laid(lon=lon, lat=lat)
    assert made.system == system
    a, b, c, d, e, f = (float(line) for line in made.world_file().decode().split())
    # half a metre a pixel, north up; the middle of the first pixel lies a quarter in
    assert (a, b, c, d) == pytest.approx((0.5, 0.0, 0.0, -0.5), abs=1e-6)
    assert (e, f) == pytest.approx((east + 0.25, north - 0.25), abs=1e-3)
    corners = made.corners()
    assert corners[0] == pytest.approx((lon, lat), abs=1e-7)
    assert made.outline.tolist() == [[0, 0], [1000, 0], [1000, 800], [0, 800]]
    assert made.pixels_at(np.array(corners)) == pytest.approx(made.outline, abs=1e-3)
    assert made.misses_ft() == pytest.approx(0.0, abs=1e-3)


def test_the_error_is_told_between_the_points_in_the_corners_and_on_a_grid():
    off = np.array([(2.0, 0), (-2, 0), (2, 0), (-2, 0)])
    made, *_ = laid(width=2000, height=1600, off=off)
    inside, corners = made.errors_ft()
    assert inside == pytest.approx(made.pm_ft(PIXELS).max())
    assert corners == pytest.approx(made.pm_ft(np.array([(2000.0, 1600.0)]))[0])
    assert corners > inside
    x, y, grid = made.grid()
    assert (len(x), len(y), grid.shape) == (9, 9, (9, 9))
    assert (x[-1], y[-1]) == (2000, 1600)
    assert grid[8, 8] == pytest.approx(corners)
    assert grid[0, 8] == pytest.approx(made.pm_ft(np.array([(2000.0, 0.0)]))[0])
    assert made.misses_ft() == pytest.approx(2 / FT_M, rel=0.03)
    assert made.pm_ft(PIXELS) == pytest.approx(made.placed.radius_m(PIXELS) / FT_M)


@pytest.mark.parametrize(
    ("pair", "said"),
    [
        ((-1, 0, -86, 33), "-1,0 lies off the picture"),
        ((1001, 0, -86, 33), "1001,0 lies off the picture"),
        ((0, 801, -86, 33), "it has 1000 by 800 pixels"),
        ((0, 0, -86, 84.5), "84.5,-86 is no place"),
        ((0, 0, -180.5, 33), "33,-180.5 is no place"),
        ((0, 0, np.nan, 33), "the pairs are none"),
        ((0, 0, 33), "the pairs are none"),
        ((0, 0, "x", 33), "the pairs are none"),
    ],
)
def test_a_pair_that_is_none_is_refused(pair, said):
    with pytest.raises(BadInput) as told:
        lay_picture([pair, (10, 10, -86.0, 33.0)], 1000, 800)
    assert said in f"{told.value.what}; {told.value.fix}"


@pytest.mark.parametrize("lat", [84.0, -84.0])
def test_a_picture_may_lie_as_far_north_or_south_as_84_degrees(lat):
    lay_picture([(0, 0, -86.0, lat), (900, 700, -86.01, lat)], 1000, 800)


def test_what_is_said_of_too_few_pairs():
    """Two fit whatever they are; three that are 60 m apart do not."""
    made, _, system = laid()
    back = Transformer.from_crs(system, "EPSG:4326", always_xy=True)

    def of(rows, off=(0.0, 0.0)):
        ground = made.ground_m[rows].copy()
        ground[-1] += off
        return lay_picture(
            [(*PIXELS[r], *back.transform(*g)) for r, g in zip(rows, ground, strict=True)],
            1000,
            800,
        )

    assert "with 2 pairs a wrong one cannot be told; 4 or more" in of([0, 2]).words()[1]
    assert "with 3 pairs a wrong one" in of([0, 1, 2]).words()[1]
    bent = of([0, 1, 2], (60.0, 60.0))
    assert (bent.apart, bent.doubted) == (True, 2)
    assert len(made.words()) == 1
    fine = of([0, 1, 2], (3.0, 0.0))
    assert (fine.apart, fine.doubted) == (False, None)
    leaning, *_ = laid(off=PIXELS[:, ::-1] * (0.05, 0.0))
    assert leaning.leans
    assert "place it as affine" in leaning.words()[1]
    assert not made.leans


def test_the_pair_that_disagrees_is_named_by_its_number():
    off = np.zeros_like(PIXELS, dtype=float)
    off[2] = (80.0, -60.0)
    made, *_ = laid(off=off)
    assert made.placed.wrong == 2
    assert made.words()[-1].startswith("pair 3 disagrees with all others; look at it")
    assert not any("pair" in line for line in laid()[0].words())


# the picture of a walk

PLANE = Plane(-86.3, 33.2)


def drawn_walk(**more):
    """100 m by 66 m, drawn 6.6 times: the sheet is 720 wide with 30 to either side."""
    ground = shapely.box(-50, -25, 50, 25)
    kept = PLANE.lonlat(np.array([(-50.0, 0.0), (50.0, 10.0)]))
    gone = PLANE.lonlat(np.array([(-30.0, 0), (-15, 0), (0, 0), (15, 0), (30, 0)]))
    causes = ("spike", "repeat", "way in", "way out", "stop")
    said = {
        "band": PLANE.ground(shapely.box(-50, -33, 50, 33).difference(shapely.box(-40, -20, 40, 20))),
        "acres": 1.2355, "acres_low": 1.1, "acres_high": 1.3, "half_width_pct": 8.0, "name": "Bench",
        "readings": (OtherReading("a lap", 1.19, PLANE.ground(shapely.box(-45, -22, 45, 22))),),
        "notes": (Note("readings-differ", "words"),),
    }  # fmt: skip
    return Walk(
        PLANE.ground(ground), method="m", laps=1.0, removed={}, sigma_m=2.0, advice=(),
        kept_lon=kept[:, 0], kept_lat=kept[:, 1], removed_lon=gone[:, 0], removed_lat=gone[:, 1],
        removed_cause=causes, **{**said, **more},
    )  # fmt: skip


MIDDLE = 30 + 33 * 6.6


def test_the_svg_has_everything_in_its_place():
    root = ET.fromstring(walk_svg(drawn_walk()))  # noqa: S314 - our own output
    dots = [
        (float(d.get("cx")), float(d.get("cy")))
        for d in root.iter(f"{SVG}circle")
        if d.get("cx")
    ]
    assert dots == pytest.approx(np.array([(30, MIDDLE), (690, MIDDLE - 66)]), abs=0.11)
    marks = [g for g in root if g.tag == f"{SVG}g" and g.find(f"{SVG}text") is None]
    moved = [g.get("transform")[10:-1].split() for g in marks]
    wanted = [(360 + 6.6 * x, MIDDLE) for x in (-30, -15, 0, 15, 30)]
    assert np.array(moved, float) == pytest.approx(np.array(wanted), abs=0.11)
    paths = [p.get("d") for p in root if p.tag == f"{SVG}path"]
    assert [path.count("M") for path in paths] == [2, 1, 1], (
        "band with its hole, ring, reading"
    )
    ring = [tuple(map(float, one.split())) for one in paths[1][1:-1].split("L")]
    assert min(ring) == pytest.approx((30, MIDDLE - 165), abs=0.11)
    assert max(ring) == pytest.approx((690, MIDDLE + 165), abs=0.11)
    # nine rows of words from 24 below the ground, which is 60 and 66 m high
    top = int(60 + 66 * 6.6) + 24
    rows = [g for g in root if g.find(f"{SVG}text") is not None]
    at = [float(g.get("transform")[10:-1].split()[1]) for g in rows]
    assert at == [top + 22 * k for k in range(9)] + [top]
    words = [g.find(f"{SVG}text").text for g in rows]
    assert words[0] == "kept, 2"
    assert words[3:8] == [
        f"set aside: {c}, 1" for c in ("repeat", "spike", "stop", "way in", "way out")
    ]
    assert words[8:] == ["a lap, 1.19 ac", "100 ft, north up"]
    bar = 100 * FT_M * 6.6
    assert rows[-1].get("transform").startswith(f"translate({690 - bar:.1f} ")
    assert root.get("viewBox") == f"0 0 720 {top + 22 * 9 + 10}"
    assert root.find(f"{SVG}title").text == "Bench: 1.24 ac, between 1.10 and 1.30"


def test_readings_are_drawn_only_where_they_are_said_to_differ():
    plain = walk_svg(drawn_walk(notes=()))
    assert "a lap" not in plain
    assert plain.count("stroke-dasharray") == 0
    two = drawn_walk().readings * 4
    root = ET.fromstring(walk_svg(drawn_walk(readings=two)))  # noqa: S314 - our own output
    dashes = [p.get("stroke-dasharray") for p in root]
    assert [d for d in dashes if d] == ["8 3", "2 3", "8 3 2 3", "8 3"]
    assert walk_svg(drawn_walk(band=None)).count("fill-rule") == 0
    assert "walked area: 1.24 ac" in walk_svg(drawn_walk(name=""))


def near(pixels, x, y, reach=1):
    """Return the darkest and the most colored pixel about a place."""
    return pixels[
        round(y) - reach : round(y) + reach + 1, round(x) - reach : round(x) + reach + 1
    ].reshape(-1, 3)


def like(pixels, color, within=40):
    wanted = np.array([int(color[k : k + 2], 16) for k in (1, 3, 5)])
    return bool((np.abs(pixels.astype(int) - wanted).max(axis=1) <= within).any())


def test_the_png_has_the_marks_of_the_svg_in_their_places():
    rgb = np.asarray(Image.open(io.BytesIO(walk_png(drawn_walk()))).convert("RGB"))
    top = int(60 + 66 * 6.6) + 24
    assert rgb.shape == (top + 22 * 9 + 10, 720, 3)
    x = dict(
        zip(
            ("spike", "repeat", "way in", "way out", "stop"),
            360 + 6.6 * np.arange(-30, 31, 15),
            strict=True,
        )
    )
    at = {
        "spike": [(0, 0), (-4, -4), (4, 4), (-4, 4), (4, -4)],
        "repeat": [(-4, 0), (4, 0), (0, -4), (0, 4)],
        "way in": [(0, -2), (3, 3), (-3, 3)],
        "way out": [(0, 2), (3, -3), (-3, -3)],
        "stop": [(-3, 0), (3, 0), (0, -3), (0, 3)],
    }
    colors = {"spike": "#a3132b", "repeat": "#4b4b4b", "way in": "#6b4a00", "way out": "#6b4a00",
              "stop": "#4b4b4b"}  # fmt: skip
    order = ("repeat", "spike", "stop", "way in", "way out")
    for cause, places in at.items():
        for dx, dy in places:
            for cx, cy in ((x[cause], MIDDLE), (30, top + 22 * (3 + order.index(cause)))):
                found = near(rgb, cx + dx, cy + dy)
                assert like(found, colors[cause], 75), (cause, dx, dy)
        for dx, dy in ((-7, 0), (7, 0), (0, -7), (0, 7)):  # and no larger
            assert like(near(rgb, x[cause] + dx, MIDDLE + dy, 0), "#ffffff", 12), (
                cause,
                dx,
                dy,
            )
    assert like(near(rgb, x["repeat"], MIDDLE, 0), "#ffffff"), "a ring is open"
    assert like(near(rgb, 360 + 6.6 * 20, MIDDLE - 165), "#0b5394"), "the boundary"
    assert like(near(rgb, 360 + 6.6 * 20, MIDDLE - 22 * 6.6), "#0d473d", 60), "a reading"
    assert like(near(rgb, 360 + 6.6 * 20, MIDDLE - 29 * 6.6, 0), "#cbe3f6", 12), "its band"
    assert like(near(rgb, 360 + 6.6 * 20, MIDDLE - 12 * 6.6, 0), "#ffffff", 5), "its hole"
    for dx in (-6, 0, 6):
        assert like(near(rgb, 30 + dx, top + 22), "#0b5394", 60), (
            "the words on the boundary"
        )
        assert like(near(rgb, 30 + dx, top + 44), "#cbe3f6", 20)
        assert like(near(rgb, 30 + dx, top + 22 * 8), "#0d473d", 75)
    assert like(near(rgb, 30 + 11, top + 44, 0), "#ffffff", 5)
    assert like(near(rgb, 30, top), "#111111", 60), "a fix kept"
    bar = 100 * FT_M * 6.6
    for along in (0, bar / 2, bar):
        assert like(near(rgb, min(690 - bar + along, 689), top), "#111111", 90), "the bar"
    assert like(near(rgb, 690 - bar - 6, top, 0), "#ffffff", 5)
    for ends in (690 - bar, 690):
        assert like(near(rgb, ends, top - 4), "#111111", 90), "its ends stand up"
    # words stand beside their marks, and over the drawing
    for row in range(9):
        assert (rgb[top + 22 * row - 6 : top + 22 * row + 6, 48:120] < 120).any(), row
        assert (rgb[top + 22 * row - 6 : top + 22 * row + 6, 42:47] > 240).all(), row
    assert (rgb[6:20, 30:200] < 120).any()
    assert (rgb[top + 8 : top + 20, 690 - int(bar) : 690] < 120).any()


@pytest.mark.parametrize("metric", [False, True])
def test_the_scale_bar_is_one_two_or_five_tens_and_no_wider_than_a_third_of_the_sheet(
    metric,
):
    one_m, unit = (1.0, "m") if metric else (FT_M, "ft")
    found = {}
    for scale in np.geomspace(240 / (9000 * one_m), 240 / (8 * one_m), 400):
        words, wide = _bar(float(scale), metric=metric)
        length = int(words.removesuffix(f" {unit}, north up"))
        assert wide == pytest.approx(length * one_m * scale)
        assert wide <= 240 or length == 10
        assert wide > 240 / 2.5 - 1 or length == 5000
        found[length] = wide
    assert sorted(found) == [10, 20, 50, 100, 200, 500, 1000, 2000, 5000]
