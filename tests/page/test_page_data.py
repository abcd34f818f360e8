"""What the page carries: thinned shapes with the same acres, sides that add up, texts once."""

import json
import string

import geopandas as gpd
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from record_of import record_of
from shapely.affinity import rotate

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.frame import LocalFrame
from quietacre.page.layers import STEPS_PER_DEG, coded, features, shown_layers
from quietacre.page.pack import packed, whole_text
from quietacre.page.report_data import MOST_ON_MAP, report_data, slim
from quietacre.page.side_lengths import MOST_SIDES, sides
from quietacre.report_records import Report
from quietacre.units import FT_M

FRAME = LocalFrame(-87.6, 34.2)


def on_ground(shape):
    """Return a shape drawn in metres, in longitude and latitude."""
    return FRAME.to_lonlat(np.array([shape], dtype=object))[0]


def wobbly(radius_m=90.0, points=400, seed=1):
    rng = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * np.pi, points, endpoint=False)
    radius = radius_m * (1 + 0.15 * np.sin(3 * angle)) + rng.normal(0, 0.3, points)
    return shapely.Polygon(
        np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    )


SIGN = {sign: n for n, sign in enumerate(string.ascii_uppercase + string.ascii_lowercase + string.digits + "-_")}  # fmt: skip


def whole(text):
    """Read whole numbers back as the page's script does."""
    out, value, bit = [], 0, 0
    for sign in text:
        value += (SIGN[sign] & 31) << bit
        bit += 5
        if SIGN[sign] < 32:
            out.append(-(value + 1) // 2 if value & 1 else value // 2)
            value = bit = 0
    return out


def column(told, count):
    """Read a packed column back as the page's script does."""
    if isinstance(told, list):
        return told
    if "=" in told:
        return [told["="]] * count
    if "of" in told:
        values = column(told["of"], told["d"])
        return [values[i] for i in whole(told["at"])]
    if "in" in told:
        counts = whole(told["rows"])
        inside = iter(column(told["in"], sum(max(n, 0) for n in counts)))
        return [None if n < 0 else [next(inside) for _ in range(n)] for n in counts]
    none = set(whole(told["no"]))
    made = {}
    for key, cells in told["keys"].items():
        made[key] = (
            made[cells] if isinstance(cells, str) else column(cells, count - len(none))
        )
    rows = iter(range(count))
    return [
        None if row in none else {key: cells[at] for key, cells in made.items()}
        for row, at in _counted(rows, none)
    ]


def _counted(rows, none):
    at = 0
    for row in rows:
        yield row, at
        at += row not in none


def decoded(record):
    """Read a record's ground back as the page's script does."""
    polygons = []
    for rings in record["polygons"]:
        read = [
            np.cumsum(np.reshape(whole(r), (-1, 2)), axis=0) / STEPS_PER_DEG for r in rings
        ]
        polygons.append(shapely.Polygon(read[0], read[1:]))
    return shapely.union_all(polygons)


@pytest.mark.parametrize("hole", [False, True])
def test_shapes_keep_their_acres_and_lose_most_vertices(hole):
    import geopandas as gpd

    shape = wobbly()
    if hole:
        shape = shape.difference(shapely.Point(0, 0).buffer(30, quad_segs=40))
    frame = gpd.GeoDataFrame({"id": ["a"]}, geometry=[on_ground(shape)], crs=4326)
    (record,) = features(frame, ("id",))
    true = area_m2(frame.geometry.to_numpy())[0]
    # thinning may change 0.05 %; steps of a millionth of a degree add far less
    assert area_m2(np.array([decoded(record)]))[0] == pytest.approx(true, rel=7e-4)
    kept = sum(len(whole(ring)) // 2 for rings in record["polygons"] for ring in rings)
    assert kept < 0.7 * shapely.get_num_coordinates(shape)


def test_steps_come_back_to_a_tenth_of_a_metre():
    line = on_ground(shapely.LineString([(0, 0), (40.03, 7.7), (40.04, 7.71), (99.9, -3)]))
    (steps,) = coded(line)["lines"]
    back = np.cumsum(np.reshape(whole(steps), (-1, 2)), axis=0) / STEPS_PER_DEG
    away = [line.distance(shapely.Point(p)) for p in back]
    assert max(away) * 111_320 < 0.1
    assert whole(coded(shapely.Point(-87.6, 34.2))["at"]) == [-87_600_000, 34_200_000]


json_values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**40), 2**40) | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=6),
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(st.sampled_from("abcdef"), inner, max_size=4),
    max_leaves=30,
)  # fmt: skip


def like(found, wanted):
    """Whether values are the same, but for keys that a record has not: those are None."""
    if isinstance(wanted, dict):
        return isinstance(found, dict) and all(
            like(found[key], wanted[key]) if key in wanted else found[key] is None
            for key in found.keys() | wanted.keys()
        )
    if isinstance(wanted, list):
        return len(found) == len(wanted) and all(map(like, found, wanted))
    return type(found) is type(wanted) and found == wanted


@given(st.lists(json_values, max_size=12))
@settings(max_examples=300, deadline=None)
def test_what_is_packed_comes_back(values):
    told = json.loads(json.dumps(packed(values)))
    assert like(column(told, len(values)), values)


@given(st.lists(st.integers(-(2**31), 2**31)))
def test_whole_numbers_come_back(numbers):
    assert whole(whole_text(numbers)) == numbers


def test_what_repeats_is_written_once():
    said = "the same long warning, many times over"
    rows = [{"note": said, "number": n, "more": [{"text": said}]} for n in range(50)]
    told = json.dumps(packed(rows))
    assert told.count(said) == 2  # once for each place it stands in
    assert len(told) < 500


def test_slim_keeps_places_and_cents():
    told = slim(
        {"lon": -87.6123456789, "cost": 12345.67, "uid": "x", "n": [2.0], "e": 1e-9}
    )
    assert told == {"lon": -87.612346, "cost": 12345.67, "n": [2], "e": 1e-9}


def test_sides_of_a_rectangle_are_its_sides():
    box = rotate(shapely.box(0, 0, 200 * FT_M, 90 * FT_M), 25)
    found = sides(on_ground(box), FRAME)
    assert sorted(found.length_ft) == pytest.approx([90, 90, 200, 200], abs=0.05)
    assert len(found.lon) == 4


@pytest.mark.parametrize("seed", range(8))
def test_sides_run_along_the_edge_and_add_up(seed):
    shape = on_ground(wobbly(seed=seed))
    found = sides(shape, FRAME)
    assert 3 <= len(found.length_ft) <= MOST_SIDES
    round_ft = perimeter_m(np.array([shape]))[0] / FT_M
    assert found.length_ft.sum() == pytest.approx(round_ft, rel=1e-4)
    for point in zip(found.lon, found.lat, strict=True):
        assert shape.exterior.distance(shapely.Point(point)) * 111_320 < 0.01
    assert found.east_ft < round_ft / 2


def test_sides_of_the_largest_part_and_of_nothing():
    two = shapely.MultiPolygon([shapely.box(0, 0, 10, 10), shapely.box(50, 0, 90, 40)])
    found = sides(on_ground(two), FRAME)
    assert found.length_ft * FT_M == pytest.approx([40] * 4, abs=0.01)
    assert sides(shapely.Polygon(), FRAME) is None


def test_tiles_open_the_policy_to_one_host_only():
    from quietacre.page.map import render_page

    report = {
        "made_on": "2027-01-02",
        "property": {"name": "P", "place_id": "bcdfghjkm", "own_id": True},
    }
    report = record_of(Report, report)
    page = render_page(report, {})
    assert "img-src data:;" in page
    tiles = {"url": "https://tiles.example/{z}/{x}/{y}.png", "credit": "c", "most_zoom": 18}
    asked = render_page(report, {}, tiles=tiles)
    assert "img-src data: https://tiles.example;" in asked
    assert asked.count("https://tiles.example") == 2  # the policy, and the address as data


def test_long_names_on_the_map_are_told_apart():
    start = "Old pasture behind the church and the graveyard"
    names = [f"{start}, north half", f"{start}, south half", "Hog Waller"]
    report = record_of(
        Report, {"areas": [{"id": f"a{n}", "name": name} for n, name in enumerate(names)]}
    )
    areas = report_data(report)["areas"]
    called = [area.get("called") for area in areas]
    assert [area["name"] for area in areas] == names  # whole wherever there is room
    assert called[2] is None
    assert all(len(name) <= MOST_ON_MAP for name in called[:2])
    assert (called[0][-10:], called[1][-10:]) == ("north half", "south half")
    marks = gpd.GeoDataFrame(
        {"name": names[:2]}, geometry=[shapely.Point(-87, 34)] * 2, crs=4326
    )
    shown = shown_layers({"waypoints": marks})["waypoints"]
    assert [row["name"] for row in shown] == called[:2]
