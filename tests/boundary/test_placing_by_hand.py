"""Pairs of places on a picture and on the ground: which is wrong, told by another way of reckoning.

A picture that is turned, scaled and shifted is one complex number times its place, and one more
added. So what a fit leaves over, and what it would leave without one pair, are sums of a line.
"""

import math

import numpy as np
import pytest

from quietacre.boundary import placing
from quietacre.boundary.placing import place_picture, radius95, t95, wrong_if_north_up
from quietacre.errors import BadInput

SIX = np.array([(0.0, 0), (900, 100), (1000, 800), (100, 700), (500, 300), (620, 640)])
UP = np.array([[0.5, 0.0], [0.0, -0.5]])
GROUND = np.array([500_000.0, 3_700_000.0])


def each_alone(pixels, off):
    """Return each pair's miss of the others' fit, squared and over its lever; and theirs."""
    z = pixels[:, 0] - 1j * pixels[:, 1]
    w = off[:, 0] + 1j * off[:, 1]
    from_middle = z - z.mean()
    slope = (from_middle.conj() * w).sum() / (abs(from_middle) ** 2).sum()
    left = w - w.mean() - slope * from_middle
    own = 1 / len(z) + abs(from_middle) ** 2 / (abs(from_middle) ** 2).sum()
    misses = abs(left) ** 2 / (1 - own)
    return misses, (abs(left) ** 2).sum() - misses


def placed(off, sigma_m, pixels=SIX):
    return place_picture(pixels, pixels @ UP.T + GROUND + off, point_sigma_m=sigma_m)


def some_off(far):
    off = np.array([(0.9, -0.4), (-0.6, 0.8), (0.2, 0.7), (-0.3, -0.9), (0.8, 0.3), (0, 0)])
    off[2] += (0.6 * far, 0.8 * far)
    return off


def test_a_fit_and_what_it_leaves_over_is_that_of_a_line_of_complex_numbers():
    off = some_off(5.0)
    found = placed(off, 3.0)
    misses, rest = each_alone(SIX, off)
    left = rest + misses
    assert np.ptp(left) == pytest.approx(0.0, abs=1e-9)
    assert found.degrees == 2 * 6 - 4
    assert found.sigma_m == pytest.approx(math.sqrt(left[0] / 8), rel=1e-6)
    assert found.fit == "similarity"
    # of two pairs nothing is left over: the error is the one given
    two = placed(off[:2], 3.0, SIX[:2])
    assert (two.degrees, two.sigma_m, two.wrong) == (0, 3.0, None)
    assert two.ground_m(SIX[:2]) == pytest.approx(SIX[:2] @ UP.T + GROUND + off[:2])
    # four pairs and a fit that may lean leave two over
    four = place_picture(SIX[:4], SIX[:4] @ UP.T + GROUND + off[:4], fit="affine")
    assert four.degrees == 2
    missed = four.ground_m(SIX[:4]) - (SIX[:4] @ UP.T + GROUND + off[:4])
    assert four.sigma_m == pytest.approx(math.sqrt((missed**2).sum() / 2), rel=1e-6)


def far_for(odds):
    """How far off the third pair must be for its odds against the others."""
    low, high = 1.0, 1e4
    for _ in range(80):
        middle = (low + high) / 2
        misses, rest = each_alone(SIX, some_off(middle))
        if (misses / (2 * rest / 6)).max() < odds:
            low = middle
        else:
            high = middle
    return low


def fisher(degrees, share):
    """Return the point of F of 2 and so many degrees that is passed by a share: a power."""
    return degrees / 2 * (share ** (-2 / degrees) - 1)


@pytest.mark.parametrize(("times", "wrong"), [(0.999, None), (1.001, 2)])
def test_a_pair_is_wrong_where_the_others_miss_it_by_more_than_once_in_a_hundred(
    times, wrong
):
    """Six others of their own error: once in six hundred each."""
    far = far_for(times * fisher(6, 0.01 / 6))
    assert placed(some_off(far), 1e6).wrong == wrong


@pytest.mark.parametrize(("times", "wrong"), [(0.999, None), (1.001, 2)])
def test_where_the_others_agree_the_error_of_a_pair_is_the_one_given(times, wrong):
    """The square of a miss of two axes passes -2 ln p once in 1 / p."""
    off = some_off(5.0)
    misses, _ = each_alone(SIX, off)
    sigma = math.sqrt(misses[2] / (-2 * math.log(0.01 / 6) * times))
    assert placed(off, sigma).wrong == wrong


@pytest.mark.parametrize(("times", "wrong"), [(0.999, None), (1.001, 2)])
def test_others_that_lie_apart_by_more_than_once_in_twenty_do_not_agree(times, wrong):
    """12.59 is the point of chi squared of six degrees, as tables print it."""
    off = some_off(5.0)
    misses, rest = each_alone(SIX, off)
    assert misses[2] / (2 * rest[2] / 6) < fisher(6, 0.01 / 6)
    sigma = math.sqrt(rest[2] / 12.5916 * times)
    assert misses[2] / sigma**2 > -2 * math.log(0.01 / 6)
    assert placed(off, sigma).wrong == wrong


def test_points_of_t_and_of_two_axes_begin_with_one_degree():
    """From memory of tables: 12.706; F of 2 and 1 is 199.5."""
    assert t95(1) == pytest.approx(12.706, abs=1e-3)
    assert radius95(1) == pytest.approx(math.sqrt(2 * 199.5), rel=1e-4)


# what places nothing


@pytest.mark.parametrize(("apart", "good"), [(1.3, False), (1.6, True)])
def test_two_points_of_a_picture_lie_farther_apart_than_a_pixel_and_a_half(apart, good):
    pixels = [(10.0, 10), (10 + apart, 10)]
    if good:
        assert place_picture(pixels, [(0, 0), (9, 0)]).matrix[0, 0] == pytest.approx(
            9 / apart
        )
        return
    with pytest.raises(BadInput) as told:
        place_picture(pixels, [(0, 0), (9, 0)])
    assert str(told.value) == (
        "the points lie on one spot of the picture; choose them well apart"
    )


@pytest.mark.parametrize(("count", "fit", "least"), [(1, None, 2), (3, "affine", 4)])
def test_too_few_pairs_say_how_many_are_enough(count, fit, least):
    with pytest.raises(BadInput) as told:
        place_picture(SIX[:count], SIX[:count], fit=fit)
    assert str(told.value) == (
        f"{count} pairs of points do not place a picture; give at least {least}, well apart"
    )


def test_points_in_a_narrow_band_may_be_turned_but_not_lean():
    band = [(0.0, 0), (1000, 40), (500, 0), (800, 40)]
    assert place_picture(band, band).fit == "similarity"
    with pytest.raises(BadInput) as told:
        place_picture(band, band, fit="affine")
    assert str(told.value) == (
        "the points lie nearly in line, so the picture could lean to any side; add one well off "
        "that line, or leave affine out"
    )


# north up


@pytest.mark.parametrize("aside", [1.0, -1.0])
def test_a_line_down_the_picture_may_lean_to_either_side_of_south(aside):
    """A hair west of south on the one, a hair east of it on the other."""
    pixels = np.array([(0.0, 0), (aside, 600), (300, 100)])
    ground = np.array([(0.0, 0), (-aside, -600), (900, 500)])
    assert wrong_if_north_up(pixels, ground, north_deg=0.0, point_sigma_m=1.0) == 2
    far = np.array([(0.0, 0), (30 * aside, -600), (900, 500)])
    assert wrong_if_north_up(pixels, far, north_deg=0.0, point_sigma_m=1.0) is None


def turned_by(deg, sigma_m, length_m=600.0):
    """Three pairs of which the line of two is so long and turned by so much."""
    at = math.radians(deg)
    pixels = np.array([(0.0, 0), (length_m, 0), (300, 500)])
    ground = np.array(
        [(0.0, 0), (length_m * math.cos(at), -length_m * math.sin(at)), (0, 2e3)]
    )
    return wrong_if_north_up(pixels, ground, north_deg=0.0, point_sigma_m=sigma_m)


@pytest.mark.parametrize(("more_deg", "named"), [(-0.01, 2), (0.01, None)])
def test_a_line_is_north_up_within_half_a_degree_and_the_error_of_its_ends(more_deg, named):
    """Each end off by 1.96 · 3 m on one axis: √2 of it over 600 m, in degrees."""
    ends_deg = math.degrees(1.96 * math.sqrt(2) * 3.0 / 600)
    assert turned_by(0.5 + ends_deg + more_deg, 3.0) == named
    assert turned_by(-0.5 - ends_deg - more_deg, 3.0) == named


@pytest.mark.parametrize(("ends_deg", "named"), [(9.9, 2), (10.1, None)])
def test_ends_so_unsure_that_their_line_may_turn_by_ten_degrees_say_nothing(
    ends_deg, named
):
    sigma_m = math.radians(ends_deg) * 600 / (1.96 * math.sqrt(2))
    pixels = np.array([(0.0, 0), (600, 0), (0, 1200)])
    ground = np.array([(0.0, 0), (600, 0), (1200, 0)])
    found = wrong_if_north_up(pixels, ground, north_deg=0.0, point_sigma_m=sigma_m)
    assert found == named


def test_two_pairs_in_one_place_on_picture_or_ground_have_no_line():
    pixels = np.array([(0.0, 0), (600, 0), (300, 500)])
    ground = np.array([(0.0, 0), (600, 0), (900, 900)])
    for row in range(3):
        for some, there in ((pixels, ground), (ground, pixels)):
            twice = some.copy()
            twice[row] = twice[(row + 1) % 3]
            pair = (twice, there) if some is pixels else (there, twice)
            assert wrong_if_north_up(*pair, north_deg=0.0, point_sigma_m=1.0) is None


def test_the_equations_of_a_point_are_those_of_its_two_axes():
    point = np.array([(3.0, 7.0)])
    assert placing._design(point, "similarity").tolist() == [[3, 7, 1, 0], [-7, 3, 0, 1]]
    assert placing._design(point, "affine").tolist() == [
        [3, 7, 1, 0, 0, 0], [0, 0, 0, 3, 7, 1],
    ]  # fmt: skip
