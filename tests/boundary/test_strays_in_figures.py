"""Far corners found by a plain loop over each corner, beside the look at all rings at once."""

import math

import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary import strays
from quietacre.boundary.strays import crumbs, far_corners, long_sides
from quietacre.figures import printed
from quietacre.units import ACRE_M2

HERE = np.array([-86.3, 33.2])
M = 1.0 / 111_200.0  # degrees, north


def ground(xy_m, holes=()):
    """Return a polygon of metres about a place."""

    def ring(some):
        scale = np.array([M / math.cos(math.radians(HERE[1])), M])
        return HERE + np.asarray(some, dtype=float) * scale

    return shapely.Polygon(ring(xy_m), [ring(hole) for hole in holes])


def times_allowed(xy):
    """Return how many widths of the others a corner may stand off, by the rule as written."""
    turns = 0
    for before, here, after in zip(
        np.roll(xy, 1, axis=0), xy, np.roll(xy, -1, axis=0), strict=True
    ):
        a, b = here - before, after - here
        turns += abs(math.atan2(a[0] * b[1] - a[1] * b[0], float(a @ b))) > 1e-5
    if turns < 4:
        return math.inf
    ring = shapely.LinearRing(xy)
    inward = shapely.Polygon(xy).area < 0.97 * shapely.convex_hull(ring).area
    if not ring.is_simple or (turns == 4 and inward):
        return 0.8
    return {4: 1.5, 5: 1.3}.get(turns, 1.15)


def strays_by_loop(lonlat):
    """Return the far corners of one ring, the farthest first, three at most."""
    scale = np.array([math.cos(math.radians(lonlat[:, 1].mean())), 1.0])
    left, out = list(map(tuple, lonlat)), []
    while len(out) < 3:
        xy = np.array(left) * scale
        best, at = 0.0, None
        for row in range(len(xy)):
            rest = np.delete(xy, row, axis=0)
            away = min(math.dist(xy[row], one) for one in rest)
            across = math.dist(rest.min(axis=0), rest.max(axis=0))
            if away / across > best:
                best, at, off = away / across, row, away
        if at is None or best <= times_allowed(xy):
            break
        out.append((left.pop(at), off))
    return out


def random_ring(rng):
    count = int(rng.integers(4, 9))
    turn = np.sort(rng.uniform(0.0, 2 * np.pi, count))
    xy = np.column_stack([np.cos(turn), np.sin(turn)]) * rng.uniform(40, 100, (count, 1))
    for row in rng.choice(count, int(rng.integers(0, 3)), replace=False):
        xy[row] *= rng.uniform(1.0, 12.0)
    return xy


@pytest.mark.parametrize("seed", range(8))
def test_far_corners_are_those_of_a_loop_over_each_corner(seed):
    rng = np.random.default_rng(seed)
    shapes = [ground(random_ring(rng)) for _ in range(60)]
    kept = np.array(shapes, dtype=object)
    names = [f"n{row}" for row in range(60)]
    told = {}
    for note in far_corners(kept, names, names):
        told.setdefault(note.feature, []).append(note)
    seen = 0
    for name, shape in zip(names, shapes, strict=True):
        lonlat = shapely.get_coordinates(shape.exterior)[:-1]
        wanted = []
        for (lon, lat), away in strays_by_loop(lonlat):
            before = lonlat
            lonlat = lonlat[~((lonlat[:, 0] == lon) & (lonlat[:, 1] == lat))]
            now, without = area_m2(
                shapely.make_valid(np.array([shape, shapely.Polygon(lonlat)], dtype=object))
            )
            if abs(now - without) / min(now, without) >= 0.005 and len(before) > 3:
                wanted.append((lon, lat, away))
        notes = told.get(name, [])
        assert [note.lon for note in notes][:1] == [one[0] for one in wanted][:1], name
        assert len(notes) == len(wanted)
        seen += len(notes)
    assert seen > 5


def test_the_note_of_a_far_corner_word_for_word():
    # a square of 100 m whose fifth corner lies 300 m east of the nearest
    shape = ground([(0, 0), (100, 0), (400, 50), (100, 100), (0, 100)])
    (note,) = far_corners(np.array([shape]), ["east field"], ["east.kml"])
    now_ac = area_m2(np.array([shape]))[0] / ACRE_M2
    assert note.code == "corner-far"
    assert (note.level, note.source, note.feature) == ("warning", "east.kml", "east field")
    lon, lat = shapely.get_coordinates(shape)[2]
    assert (note.lon, note.lat) == (lon, lat)
    away_ft = math.hypot(300.0, 50.0) / 0.3048
    assert printed(note.text) == (
        f"“east field”: the corner at {lat:.5f}, {lon:.5f} lies {away_ft:,.0f} ft from the "
        "next one, farther than the rest of its edge is wide. "
        f"With it the acreage is {now_ac:.2f}, without it 2.47; mend it if it does not "
        "belong there."
    )


def test_a_hole_keeps_its_place_when_a_corner_of_the_edge_is_taken_off():
    edge = [(0, 0), (100, 0), (400, 50), (100, 100), (0, 100)]
    hole = [(20, 20), (20, 60), (60, 60), (60, 20)]
    whole = ground(edge, holes=[hole])
    (note,) = far_corners(np.array([whole]), ["a"], ["a"])
    now_ac = area_m2(np.array([whole]))[0] / ACRE_M2
    square = ground(edge[:2] + edge[3:], holes=[hole])
    left_ac = area_m2(np.array([square]))[0] / ACRE_M2
    assert f"With it the acreage is {now_ac:.2f}, without it {left_ac:.2f}" in printed(
        note.text
    )


def test_rings_of_three_corners_and_none_at_all_show_nothing():
    three = ground([(0, 0), (10, 0), (5000, 5000)])
    assert far_corners(np.array([three]), ["a"], ["a"]) == ()
    assert far_corners(np.array([], dtype=object), [], []) == ()


def test_a_closing_point_that_is_an_end_of_the_bounds_is_looked_past():
    # the first corner, which the closing point repeats, is the far one, whichever it is
    edge = [(400, 50), (100, 100), (0, 100), (0, 0), (100, 0)]
    for turn in range(5):
        ring = edge[turn:] + edge[:turn]
        (note,) = far_corners(np.array([ground(ring)]), ["a"], ["a"])
        assert note.lon == pytest.approx(
            HERE[0] + 400 * M / math.cos(math.radians(HERE[1]))
        )


def largest_by_loop(xy, first):
    """Return for each point the largest x and y among the others, its double left out."""
    out = np.empty_like(xy)
    ends = [*first[1:], len(xy)]
    for start, stop in zip(first, ends, strict=True):
        ring = xy[start : stop - 1]
        for row in range(start, stop):
            others = np.delete(ring, (row - start) % len(ring), axis=0)
            out[row] = others.max(axis=0)
    return out


@pytest.mark.parametrize("seed", range(5))
def test_the_largest_of_the_others_with_equal_corners(seed):
    rng = np.random.default_rng(seed)
    parts, first, at = [], [], 0
    for _ in range(30):
        ring = rng.integers(0, 4, (int(rng.integers(3, 7)), 2)).astype(float)
        parts += [ring, ring[:1]]
        first.append(at)
        at += len(ring) + 1
    xy, first = np.vstack(parts), np.array(first)
    told = strays._largest_of_others(xy, first)
    wanted = largest_by_loop(xy, first)
    # of one value only, the others have no lower one: the largest stands
    assert np.array_equal(told, wanted)


def test_sides_of_each_ring_on_one_scale():
    rings = np.array(
        [
            shapely.LinearRing(
                [(0, 60), (8, 60), (8, 61)]
            ),  # at 60° a degree is half as long
            shapely.LinearRing([(0, 0), (3, 0), (3, 4), (0, 4)]),
        ]
    )
    xy, first, shorter = strays._sides(rings)
    assert first.tolist() == [0, 4]
    assert xy[:4, 0] == pytest.approx([0.0, 4.0, 4.0, 0.0])
    long = math.hypot(4.0, 1.0)
    assert shorter[:4] == pytest.approx([4.0, 1.0, 1.0, 4.0])
    assert shorter[4:] == pytest.approx([3.0, 3.0, 3.0, 3.0, 3.0])
    assert long > 4.0


@pytest.mark.parametrize(("side_m", "said"), [(2.0, True), (2.03, False)])
def test_less_than_a_thousandth_of_an_acre_is_no_ground(side_m, said):
    # 4.0469 m²
    shape = ground([(0, 0), (side_m, 0), (side_m, 2.0), (0, 2.0)])
    notes = crumbs(
        np.array([ground([(0, 0), (99, 0), (0, 99)]), shape]),
        ["x", "tiny plot"],
        ["x", "b.kml"],
    )
    assert len(notes) == said
    for note in notes:
        acres = area_m2(np.array([shape]))[0] / ACRE_M2
        assert (note.code, note.source, note.feature) == (
            "hardly-any-acres",
            "b.kml",
            "tiny plot",
        )
        assert printed(note.text) == (
            f"“tiny plot” is {acres:.6f} ac, which is no piece of ground; "
            "check its file's units and reference system."
        )


@pytest.mark.parametrize(("side_deg", "said"), [(15.0, False), (15.2, True)])
@pytest.mark.parametrize("tall", [False, True])
def test_a_side_of_more_than_fifteen_degrees_is_none(side_deg, said, tall):
    flat = np.array([(0, 0), (side_deg, 0), (side_deg, 1), (0, 1)])
    shape = shapely.Polygon(flat[:, ::-1] if tall else flat)
    notes = long_sides(
        np.array([shapely.box(0, 0, 1, 1), shape]), ["x", "b"], ["x", "b.shp"]
    )
    assert len(notes) == said
    for note in notes:
        assert (note.code, note.source, note.feature) == ("side-very-long", "b.shp", "b")
        assert note.text.startswith("“b” has a side of 15°, which is no side of a piece")


def test_a_wide_shape_of_short_sides_and_the_gap_between_its_parts_are_no_long_side():
    steps = [(x, 0.0) for x in range(0, 31, 5)] + [(x, 1.0) for x in range(30, -1, -5)]
    far = shapely.MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(40, 0, 41, 1)])
    shapes = np.array([shapely.Polygon(steps), far, shapely.Polygon()])
    assert long_sides(shapes, ["a", "b", "c"], ["a", "b", "c"]) == ()
