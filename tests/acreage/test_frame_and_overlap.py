"""Local frames keep lengths; ground drawn twice counts once."""

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame
from quietacre.acreage.overlap import covered_m2, find_overlaps, overlap_notes

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
