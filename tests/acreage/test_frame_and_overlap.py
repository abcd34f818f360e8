"""Local frames keep lengths; ground drawn twice counts once."""

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from pyproj.exceptions import ProjError

from quietacre.acreage import overlap
from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame, sound
from quietacre.acreage.overlap import covered_m2, find_overlaps, heaped, overlap_notes
from quietacre.errors import FileProblem

GEOD = Geodesic.WGS84


@pytest.mark.parametrize("lat", [25.0, 49.0])
@pytest.mark.parametrize("azimuth", [0, 45, 90, 200])
def test_local_lengths_are_ground_lengths(lat, azimuth):
    frame = LocalFrame(-90.0, lat)
    for far_m in (0, 3000):
        start = GEOD.Direct(lat, -90.0, 33, far_m)
        end = GEOD.Direct(start["lat2"], start["lon2"], azimuth, 100.0)
        x, y = frame.xy(
            np.array([start["lon2"], end["lon2"]]), np.array([start["lat2"], end["lat2"]])
        )
        assert np.hypot(*(np.diff(x)[0], np.diff(y)[0])) == pytest.approx(100.0, rel=3e-6)


def test_there_and_back():
    shapes = np.array([shapely.Point(-87.6, 34.2).buffer(0.01), shapely.Point(-87.6, 34.3)])
    frame = LocalFrame.around(shapes)
    back = frame.to_lonlat(frame.to_local(shapes))
    np.testing.assert_allclose(
        shapely.get_coordinates(back), shapely.get_coordinates(shapes), atol=1e-11
    )


def test_frame_straddles_the_antimeridian():
    frame = LocalFrame.around([shapely.LineString([(179.99, 52), (-179.99, 52)])])
    assert abs(abs(frame.lon0) - 180) < 1e-9


def test_frame_of_nothing():
    with pytest.raises(ValueError, match="at least one coordinate"):
        LocalFrame.around([])


@pytest.mark.parametrize("shape", [shapely.Polygon(), shapely.Point()])
def test_what_is_empty_stays_empty(shape):
    frame = LocalFrame(-90.0, 34.0)
    for moved in (frame.to_local, frame.to_lonlat):
        assert moved(np.array([shape], dtype=object))[0].is_empty


def test_a_place_off_the_globe_is_no_place():
    """Twice as far off as the globe is wide there is no ground to come back to."""
    frame = LocalFrame(-90.0, 34.0)
    with pytest.raises(ProjError):
        frame.lonlat(np.array([3e7]), np.array([0.0]))
    with pytest.raises(ProjError):
        frame.xy(np.array([-90.0]), np.array([95.0]))


def box(x, y, size=0.001):
    return shapely.box(x, y, x + size, y + size)


def test_shared_ground_is_counted_once():
    shapes = np.array([box(-90, 35), box(-89.9995, 35), box(-89.9, 35)])
    single = area_m2(shapes)
    found = find_overlaps(shapes)
    assert [(pair.first, pair.second) for pair in found] == [(0, 1)]
    assert found[0].area_m2 == pytest.approx(single[0] / 2, rel=1e-6)
    # merging makes one long geodesic of two short ones: parts in 1e7
    assert covered_m2(shapes, found) == pytest.approx(2.5 * single[0], rel=3e-7)
    (note,) = overlap_notes(found, ["left", "right", "far"], single)
    assert "“left” and “right” share" in note.text
    assert shapely.Point(note.lon, note.lat).within(shapes[0])


def test_touching_neighbours_do_not_overlap():
    shapes = np.array([box(-90, 35), box(-89.999, 35)])
    assert find_overlaps(shapes) == ()
    assert covered_m2(shapes, ()) == pytest.approx(area_m2(shapes).sum(), rel=1e-15)


def test_far_apart_share_nothing():
    shapes = np.array([box(-90, 35), box(-80, 35)])
    assert find_overlaps(shapes) == ()
    assert find_overlaps(shapes[:0]) == ()


def test_a_square_foot_in_common_is_found_and_the_first_in_the_list_comes_first():
    small = 0.3048 / 111_000
    shapes = np.array(
        [box(-90, 35), box(-90.001 + small, 35), box(-90.0005, 35.001 - small)]
    )
    found = find_overlaps(shapes)
    assert sorted((pair.first, pair.second) for pair in found) == [(0, 1), (0, 2), (1, 2)]
    # a strip of a foot by 111 m, one by half of 91 m, one by the other half
    assert sum(pair.area_m2 for pair in found) == pytest.approx(
        0.25 * 111 + 0.3 * 91, rel=0.05
    )


def heap(same, alone):
    """Boxes on one another, which meet in each pair both ways and with themselves, and others."""
    lone = [shapely.box(n, 50.0, n + 0.5, 50.5) for n in range(alone)]
    return np.array([shapely.box(0, 0, 1, 1)] * same + lone)


@pytest.mark.parametrize(
    ("same", "alone", "told"),
    [
        # the limit is 50,000 pairs and 50 for each area: 250² is 50,000 + 50 · 250
        (250, 0, False),
        (251, 0, True),
        # 267² + 162 is one more than 50,000 + 50 · 429
        (267, 162, True),
        (267, 163, False),
    ],
)
def test_areas_heaped_on_one_another_are_refused_from_so_many_pairs_on(same, alone, told):
    shapes = heap(same, alone)
    assert heaped(shapes) is told
    if told:
        words = (
            f"its {same + alone} areas .* more than {50_000 + 50 * (same + alone):,} pairs"
        )
        with pytest.raises(FileProblem, match=words):
            find_overlaps(shapes, source="f.gpx")


def test_a_heap_is_found_whatever_fits_in_memory_at_once(monkeypatch):
    for at_once in (1, 300, 26_000, 10**9):
        monkeypatch.setattr(overlap, "PAIRS_AT_ONCE", at_once)
        assert heaped(heap(251, 0))
        assert not heaped(heap(250, 0))


def test_a_plot_drawn_twice_is_named():
    shapes = np.array([box(-90, 35), box(-90, 35)])
    (note,) = overlap_notes(find_overlaps(shapes), ["a", "b"], area_m2(shapes))
    assert "same ground" in note.text


def test_a_line_round_everything_is_said_once():
    shapes = np.array(
        [box(-90.01, 34.99, 0.1), box(-90, 35), box(-89.99, 35), box(-89.98, 35)]
    )
    (note,) = overlap_notes(find_overlaps(shapes), ["all", "a", "b", "c"], area_m2(shapes))
    assert "“all” encloses 3 other: “a”, “b”, “c”" in note.text


def notes_of(*shapes, names="abcdefgh"):
    shapes = np.array(shapes)
    return overlap_notes(find_overlaps(shapes), names, area_m2(shapes), source="f.gpx")


@pytest.mark.parametrize(("share", "told"), [(0.004, False), (0.006, True), (0.97, True)])
def test_an_edge_drawn_twice_is_no_overlap_and_more_than_that_is(share, told):
    """Half a percent of the lesser is two hands' drawing of one fence."""
    notes = notes_of(box(-90, 35, 0.01), box(-90 + 0.01 * (1 - share), 35, 0.01))
    assert bool(notes) is told
    if told:  # 0.01° by 0.01° at 35° north is 250.2 ac: 912.9 m by 1,109.4 m
        words = notes[0].text.split(" share ")[1].split(" ac")[0]
        assert float(words) == pytest.approx(250.2 * share, rel=0.01)
        assert (notes[0].source, notes[0].feature) == ("f.gpx", "a")


@pytest.mark.parametrize("size", [0.0001, 0.01])
def test_the_same_ground_is_named_whatever_its_size(size):
    (note,) = notes_of(box(-90, 35, size), box(-90 + size * 0.01, 35, size))
    assert note.head.startswith(
        "“a” and “b” are the same ground, drawn twice; counted once"
    )
    (note,) = notes_of(box(-90, 35, size), box(-90 + size * 0.05, 35, size))
    assert "share" in note.head


def test_the_larger_encloses_wherever_it_stands_in_the_list():
    wide = box(-90.01, 34.99, 0.1)
    plots = [box(-90 + 0.002 * n, 35) for n in range(4)]
    (note,) = notes_of(*plots, wide)
    assert "“e” encloses 4 other: “a”, “b”, “c” …" in note.text
    assert note.feature == "e"
    assert shapely.Point(note.lon, note.lat).within(plots[0])
    (note,) = notes_of(wide, *plots[:3])
    assert "“a” encloses 3 other: “b”, “c”, “d”;" in note.text


@pytest.mark.parametrize(("ft2", "told"), [(205, False), (225, True)])
def test_a_small_plot_shares_twenty_square_metres_before_it_is_told(ft2, told):
    """215 ft² are 20 m², some three paces each way."""
    size = 0.0003  # 33.3 by 27.3 m at 35° north: some 900 m²
    wide = ft2 * 0.3048**2 / 33.28 / 91_300
    assert bool(notes_of(box(-90, 35, size), box(-90 + size - wide, 35, size))) is told


def test_a_corner_drawn_over_by_a_hand_is_no_note():
    """Some square feet are less than any receiver sees, however small the plot."""
    tiny = 0.00003
    assert notes_of(box(-90, 35, tiny), box(-90 + 0.95 * tiny, 35, tiny)) == ()


@pytest.mark.parametrize("lon0", [-179.9995, 179.9995, 180.0, -90.0, 12.0])
def test_a_frame_gives_back_ground_beside_its_middle(lon0):
    """Ground across the antimeridian stays in one piece."""
    frame = LocalFrame(lon0, 52.0)
    x, y = np.array([-90.0, 0.0, 90.0]), np.array([0.0, 50.0, 0.0])
    lon, lat = frame.lonlat(x, y)
    assert np.abs(lon - lon0).max() < 0.002
    assert np.abs(lat - 52.0).max() < 0.001
    assert np.all(np.diff(lon) > 0)
    back = frame.xy(lon, lat)
    assert np.allclose(back, (x, y), atol=1e-3)


@pytest.mark.parametrize("lons", [(179.99, -179.97), (179.99, 180.03), (-179.97, 179.99)])
def test_the_middle_across_the_antimeridian_is_between(lons):
    frame = LocalFrame.around([shapely.LineString([(lons[0], 52), (lons[1], 52.2)])])
    assert frame.lon0 % 360 == pytest.approx(180.01)
    assert frame.lat0 == pytest.approx(52.1)


def test_polygons_that_touch_themselves_are_made_sound_and_keep_their_ground():
    bow = shapely.Polygon([(0, 0), (2, 2), (2, 0), (0, 2)])
    plain = shapely.box(5, 5, 6, 6)
    made = sound(np.array([bow, plain]))
    assert shapely.is_valid(made).all()
    assert made[1] is plain
    assert made[0].geom_type == "MultiPolygon"
    assert made[0].area == pytest.approx(2.0)
    spiked = shapely.Polygon([(0, 0), (4, 0), (4, 4), (2, 4), (2, 6), (2, 4), (0, 4)])
    (one,) = sound(np.array([spiked]))
    assert (one.geom_type, one.area) == ("Polygon", pytest.approx(16.0))
