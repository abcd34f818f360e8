"""When heights show a slope, to a hundredth; a sketch of legs fits its frame both ways."""

import re

import numpy as np
import pytest

from quietacre.boundary.level import slope_of
from quietacre.boundary.sketch import sketch_svg
from quietacre.intake.vector import read_layer


def round_plot(count=240, radius_m=60.0):
    turn = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    return radius_m * np.column_stack([np.cos(turn), np.sin(turn)]), turn


@pytest.mark.parametrize(("times", "sure"), [(0.996, True), (1.004, False)])
def test_a_slope_is_sure_beyond_five_times_what_heights_make_of_it(times, sure):
    xy, turn = round_plot()
    slope = 0.2
    # sixty fixes err together: 240 are four looks, and a circle of 60 m reaches 60 / √2
    most_off_m = slope * (60.0 / 2**0.5) * (240 / 60) ** 0.5 / 5.0
    off = most_off_m * times * 2**0.5 * np.cos(7.0 * turn)  # seen from no plane
    told = slope_of(xy, 100.0 + slope * xy[:, 0] + off)
    assert told == (pytest.approx(slope) if sure else 0.0)


@pytest.mark.parametrize(("count", "sure"), [(30, True), (29, False)])
def test_thirty_heights_show_a_slope_and_one_fewer_none(count, sure):
    xy, _ = round_plot(count)
    assert (slope_of(xy, 0.3 * xy[:, 1]) > 0.0) is sure
    assert slope_of(xy, None) == 0.0
    line = np.column_stack([xy[:, 0], np.zeros(count)])
    assert slope_of(line, 0.3 * xy[:, 0]) == 0.0, "a line has no plane"


def test_fewer_than_sixty_fixes_are_one_look():
    xy, turn = round_plot(40)
    slope = 0.2
    most_off_m = slope * (60.0 / 2**0.5) / 5.0
    for times, sure in ((0.99, True), (1.01, False)):
        off = most_off_m * times * 2**0.5 * np.cos(7.0 * turn)
        assert (slope_of(xy, slope * xy[:, 0] + off) > 0.0) is sure


@pytest.mark.parametrize(("east_ft", "north_ft"), [(900, 300), (300, 900), (500, 500)])
def test_a_sketch_fits_its_frame_whichever_way_it_is_long(tmp_path, east_ft, north_ft):
    path = tmp_path / "legs.csv"
    path.write_text(
        f"bearing,distance\nN 90 E,{east_ft}\nN 0 E,{north_ft}\nS 90 W,{east_ft}\nS 0 E,{north_ft}\n"
    )
    svg = sketch_svg(read_layer(path))
    points = re.search(r'points="([^"]+)"', svg)[1].split()
    xy = np.array([[float(one) for one in point.split(",")] for point in points])
    long = max(east_ft, north_ft)
    assert xy.min(axis=0)[0] == 70.0
    assert xy.max(axis=0)[1] == 570.0
    assert np.ptp(xy[:, 0]) == pytest.approx(500.0 * east_ft / long, abs=0.2)
    assert np.ptp(xy[:, 1]) == pytest.approx(500.0 * north_ft / long, abs=0.2)
