"""Drawn polygons that are none, mended: which ground is left, and what is said of it."""

import math

import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary import repair as mending
from quietacre.boundary.repair import cut_spikes, refuse_empty, repair, repair_all, unwrap
from quietacre.errors import FileProblem
from quietacre.figures import printed
from quietacre.units import ACRE_M2

LON, LAT = -86.3, 33.2
M = 1.0 / 111_000.0


def ring(xy_m):
    return [(LON + x * M / math.cos(math.radians(LAT)), LAT + y * M) for x, y in xy_m]


def ground(xy_m, *holes):
    return shapely.Polygon(ring(xy_m), [ring(hole) for hole in holes])


def box(x, y, wide, tall):
    return [(x, y), (x + wide, y), (x + wide, y + tall), (x, y + tall)]


def of(shapes, names=None):
    shapes = np.array(shapes, dtype=object)
    names = names or [f"n{row}" for row in range(len(shapes))]
    return repair_all(shapes, names, [f"{name}.kml" for name in names])


def acres(shape):
    return area_m2(np.array([shape], dtype=object))[0] / ACRE_M2


def square_m(shape):
    return acres(shape) * ACRE_M2


BOW = [(0, 0), (100, 100), (100, 0), (0, 100)]


@pytest.mark.parametrize(
    ("shape", "said", "left_m2"),
    [
        (ground(BOW), "its edge crosses itself; every part it encloses is counted", 5_000.0),
        (
            ground([(0, 0), (100, 0), (50, 50), (100, 100), (0, 100), (50, 50)]),
            "its edge touches itself; read as separate loops", 5_000.0,
        ),
        (
            ground(box(0, 0, 100, 100), box(200, 0, 50, 50)),
            "a hole lies outside it; the hole was dropped", 10_000.0,
        ),
        (
            ground(box(0, 0, 100, 100), box(20, 20, 60, 60), box(30, 30, 20, 20)),
            "its holes overlap; merged", 6_400.0,
        ),
        (
            shapely.MultiPolygon([ground(box(0, 0, 100, 100)), ground(box(20, 20, 30, 30))]),
            "one part lies inside another; counted once", 10_000.0,
        ),
        (
            shapely.MultiPolygon([ground(box(0, 0, 100, 100)), ground(box(0, 0, 100, 100))]),
            "a ring is drawn twice; counted once", 10_000.0,
        ),
        (
            shapely.MultiPolygon([ground(box(0, 0, 100, 100)), ground(box(50, 0, 100, 100))]),
            "its edge crosses itself; every part it encloses is counted", 15_000.0,
        ),
        (
            ground(box(0, 0, 100, 100), [(0, 50), (50, 100), (100, 50), (50, 0)]),
            "a hole cuts it apart; read as separate parts", 5_000.0,
        ),
    ],
)  # fmt: skip
def test_what_a_polygon_that_is_none_is_read_as(shape, said, left_m2):
    (fixed,), (note,) = of([shape], ["creek"])
    assert fixed.is_valid
    assert square_m(fixed) == pytest.approx(left_m2, rel=5e-3)
    assert (note.code, note.level) == ("drawing-repaired", "warning")
    assert (note.source, note.feature) == ("creek.kml", "creek")
    before = area_m2(np.array([shape], dtype=object))[0] / ACRE_M2
    assert printed(note.text) == (
        f"“creek”: {said}. Its area went from {before:.3f} to {acres(fixed):.3f} ac; "
        "check it on the map, and redraw it if that is not what you meant."
    )
    assert shapely.covers(fixed, shapely.Point(note.lon, note.lat))


def test_what_is_whole_comes_back_as_it_is_and_nothing_as_nothing():
    shapes = [ground(box(0, 0, 100, 100)), ground(box(0, 0, 90, 90), box(10, 10, 20, 20))]
    same, notes = of(shapes)
    assert [one is two for one, two in zip(same, shapes, strict=True)] == [True, True]
    assert notes == ()
    same, notes = of([])
    assert (len(same), notes) == (0, ())


def test_a_curl_that_is_enclosed_twice_is_counted():
    # a square with a loop drawn inside it, its ground gone round twice
    curl = [
        (0, 0),
        (100, 0),
        (100, 100),
        (40, 100),
        (40, 40),
        (70, 40),
        (70, 110),
        (0, 110),
    ]
    (fixed,), (note,) = of([ground(curl)])
    outline = shapely.union_all(
        [ground(curl[:3] + [(0, 100)]), ground(box(0, 100, 70, 10))]
    )
    assert square_m(fixed) == pytest.approx(square_m(outline), rel=1e-3)
    assert "its edge crosses itself" in note.text


def test_holes_of_a_ring_that_crosses_itself_stay_holes():
    (fixed,), _ = of(
        [ground([*box(0, 0, 200, 100), (0, 150), (200, 150), (0, 50)], box(20, 10, 30, 20))]
    )
    without, _ = of([ground([*box(0, 0, 200, 100), (0, 150), (200, 150), (0, 50)])])
    assert square_m(without[0]) - square_m(fixed) == pytest.approx(600.0, rel=5e-3)


def test_a_hole_as_large_as_its_edge_leaves_nothing():
    shape, note = repair(ground(box(0, 0, 50, 50), box(0, 0, 50, 50)), "a", "a.kml")
    assert shape.is_empty
    assert (note.lon, note.lat) == (None, None)
    with pytest.raises(FileProblem) as refused:
        refuse_empty(shape, "a.kml", "area “a”")
    assert str(refused.value) == (
        "a.kml: area “a”: encloses no ground (a hole as large as its edge, or corners on "
        "one line); draw it again"
    )
    refuse_empty(ground(box(0, 0, 50, 50)), "a.kml", "")


@pytest.mark.parametrize("lon", [179.9995, -179.9995])
def test_a_polygon_across_the_antimeridian_runs_on_past_it(lon):
    # 0.001° each way of 180, written on both sides
    def turned(x):
        return (x + 180.0) % 360.0 - 180.0

    xy = [(turned(180 + x), 10 + y) for x, y in ((-1, 0), (1, 0), (1, 1), (-1, 1))]
    hole = [(turned(180 + x), 10 + y) for x, y in ((-0.5, 0.2), (0.5, 0.2), (0.5, 0.6))]
    start = 0 if lon > 0 else 1
    shape = shapely.Polygon(xy[start:] + xy[:start], [hole])
    (fixed,), notes = of([shape])
    low, _, high, _ = fixed.bounds
    assert high - low == pytest.approx(2.0)
    assert fixed.area == pytest.approx(2.0 - 0.2)
    assert [note.code for note in notes] == []
    both = shapely.MultiPolygon([shape, shapely.box(170, 10, 170.5, 11)])
    assert unwrap(both).geom_type == "MultiPolygon"
    assert unwrap(both).geoms[0].equals(unwrap(shape))


def test_a_ring_right_round_the_pole_and_wide_ground_are_left_alone():
    pole = shapely.Polygon([(lon, 80.0) for lon in range(-180, 180, 30)])
    assert unwrap(pole).equals(pole)
    wide = shapely.Polygon(
        [(-170, 0), (-60, 0), (60, 0), (170, 0), (170, 1), (60, 1), (-60, 1), (-170, 1)]
    )
    assert wide.area == 340.0  # 340 degrees in steps of less than half a turn
    assert unwrap(wide).bounds == wide.bounds


# needles


def needled(out_m=300.0, wide_m=1.0, times=1):
    """Return a lobed plot with needles: corners that go out and come straight back."""
    edge = []
    for at in range(24):
        turn = 2 * math.pi * at / 24
        edge.append((50 * math.cos(turn), 50 * math.sin(turn)))
        if at in range(0, 6 * times, 6):
            far = 50 + out_m
            edge.append((far * math.cos(turn), far * math.sin(turn)))
            edge.append(
                (50 * math.cos(turn + wide_m / 50), 50 * math.sin(turn + wide_m / 50))
            )
    return edge


@pytest.mark.parametrize("times", [1, 2, 3])
def test_needles_are_cut_off_and_told_with_the_acres(times):
    shape = ground(needled(times=times), box(-10, -10, 20, 20))
    trimmed, note = cut_spikes(shape, "oak", "oak.kml")
    assert shapely.get_num_coordinates(trimmed.exterior) == 24 + times + 1
    assert len(trimmed.interiors) == 1
    assert printed(note.text) == (
        f"“oak”: {times} needle(s) in its edge were cut off; its area went from "
        f"{acres(shape):.3f} to {acres(trimmed):.3f} ac."
    )
    assert (note.code, note.source, note.feature) == (
        "spike-cut",
        "oak.kml",
        "oak",
    )
    assert (note.lon, note.lat) == pytest.approx(ring([(350, 0)])[0], rel=1e-9)
    (fixed,), notes = of([shape], ["oak"])
    assert "spike-cut" in [one.code for one in notes]
    assert shapely.normalize(fixed) == shapely.normalize(trimmed)


@pytest.mark.parametrize(("wide_m", "level"), [(0.5, "caution"), (2.5, "warning")])
def test_a_needle_of_more_than_a_twentieth_of_the_ground_is_a_warning(wide_m, level):
    shape = ground(needled(330.0, wide_m))  # 165 m² a metre of its foot, of 7,765 m²
    trimmed, note = cut_spikes(shape, "a", "a")
    share = square_m(shape) / square_m(trimmed) - 1.0
    assert (share > 0.05) == (level == "warning")
    assert note.level == level


@pytest.mark.parametrize(
    ("out_m", "wide_m", "cut"),
    [
        (300.0, 2.5, True), (300.0, 2.7, False),  # half a degree of 300 m is 2.6 m
        (66.0, 0.3, True), (62.0, 0.3, False),  # five times the usual side of some 13 m
    ],
)  # fmt: skip
def test_a_needle_is_half_a_degree_and_five_usual_sides(out_m, wide_m, cut):
    shape = ground(needled(out_m, wide_m))
    trimmed, note = cut_spikes(shape, "a", "a")
    assert (note is not None) is cut
    assert (trimmed is shape) is not cut
    assert (0 in mending._maybe_spiked(np.array([shape]))) or not cut


def test_a_few_corners_no_polygon_and_what_would_be_none_are_left():
    thin = ground([(0, 0), (300, 1), (600, 0), (300, -1)])
    assert cut_spikes(thin, "a", "a") == (thin, None)
    two = shapely.MultiPolygon([ground(needled()), ground(box(900, 0, 9, 9))])
    assert cut_spikes(two, "a", "a") == (two, None)
    assert len(mending._maybe_spiked(np.array([two]))) == 0
    assert len(mending._maybe_spiked(np.array([shapely.Polygon()]))) == 0


def test_which_of_many_may_have_a_needle_is_seen_at_its_first_corner_too():
    edge = needled()
    plain = ground(box(0, 0, 100, 100))
    turned = [ground(edge[at:] + edge[:at]) for at in range(0, 26, 1)]
    shapes = np.array([plain, shapely.Polygon(), *turned, plain], dtype=object)
    assert mending._maybe_spiked(shapes).tolist() == list(range(2, 28))
    for shape in turned:
        assert cut_spikes(shape, "a", "a")[1] is not None


# scribbles


def test_an_edge_that_crosses_itself_without_end_is_refused(monkeypatch):
    rng = np.random.default_rng(1)
    scribble = shapely.Polygon(np.array(ring([(0, 0)])) + rng.uniform(0, 0.01, (60, 2)))
    sides = shapely.get_coordinates(scribble.exterior)
    lines = [shapely.LineString(sides[at : at + 2]) for at in range(len(sides) - 1)]
    crossings = sum(
        lines[one].crosses(lines[two]) for one in range(60) for two in range(one)
    )
    assert crossings > 300
    for batch in (7, 500):
        monkeypatch.setattr(mending, "CROSSINGS_BATCH", batch)
        monkeypatch.setattr(mending, "MOST_CROSSINGS", crossings)
        mending._refuse_scribble(scribble, "a", "a.kml")
        monkeypatch.setattr(mending, "MOST_CROSSINGS", crossings - 1)
        with pytest.raises(FileProblem) as refused:
            mending._refuse_scribble(scribble, "a", "a.kml")
        assert str(refused.value) == (
            f"a.kml: a: its edge crosses itself more than {crossings - 1:,} times; draw it again"
        )


def test_many_rings_on_one_another_are_refused_and_many_apart_are_not():
    apart = shapely.MultiPolygon(
        [
            shapely.box(x * 0.001, y * 0.001, x * 0.001 + 5e-4, y * 0.001 + 5e-4)
            for x in range(32)
            for y in range(32)
        ]
    )
    mending._refuse_heaps(np.array([apart]), ["a"], ["a.kml"])
    heap = shapely.MultiPolygon(
        [shapely.box(0, 0, 1 + at * 1e-3, 1) for at in range(1_024)]
    )
    with pytest.raises(FileProblem) as refused:
        mending._refuse_heaps(np.array([apart, heap]), ["a", "b"], ["a.kml", "b.kml"])
    most = mending.PAIRS + mending.PAIRS_AN_AREA * 1_024
    assert str(refused.value) == (
        f"b.kml: b: its 1,024 rings lie on one another in more than {most:,} pairs; "
        "keep each piece of ground once"
    )
    few = shapely.MultiPolygon(list(heap.geoms)[:1_000])
    mending._refuse_heaps(np.array([few]), ["b"], ["b.kml"])
