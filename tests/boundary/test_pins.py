"""Waypoints as corners: order, straight or curved, averages, ±."""

import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.pins import ground_between
from quietacre.errors import FileProblem
from quietacre.model import Waypoint
from quietacre.units import ACRE_M2

FRAME = LocalFrame(-86.3, 33.2)


def pins(xy, names=None, times=None):
    lon, lat = FRAME.lonlat(np.array(xy, float)[:, 0], np.array(xy, float)[:, 1])
    names = names or [str(n + 1) for n in range(len(xy))]
    times = times or [float("nan")] * len(xy)
    return [
        Waypoint(name, "p.gpx", float(x), float(y), time)
        for name, x, y, time in zip(names, lon, lat, times, strict=True)
    ]


def square(acres=5.0):
    side = (acres * ACRE_M2) ** 0.5
    return [(0, 0), (side, 0), (side, side), (0, side)]


def test_a_square_of_pins_has_its_acres_and_the_stated_range():
    ground = ground_between(pins(square()), corners="straight", sky="open")
    assert ground.acres == pytest.approx(5.0, rel=1e-5)
    # SD of a square of side a is √2 a σ: ± 0.195 ac at σ 2 m (exact, but for the second term)
    assert (ground.acres_high - ground.acres_low) / 2 == pytest.approx(0.195, abs=0.001)
    assert ground.order == "number"


def test_straight_or_curved_is_asked_with_the_acres_of_both():
    turn = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    radius = (5.0 * ACRE_M2 / np.pi) ** 0.5
    round_field = pins(np.column_stack([radius * np.cos(turn), radius * np.sin(turn)]))
    with pytest.raises(
        FileProblem, match=r"straight between them \(4\.7\d ac\) or in a curve \(4\.99|5\.0"
    ) as told:
        ground_between(round_field, corners=None)
    assert "--corners" in str(told.value)
    # a circle's 12 chords hold 0.955 of it (exact); the curve gives it back
    straight = ground_between(round_field, corners="straight")
    curved = ground_between(round_field, corners="curved")
    assert straight.acres == pytest.approx(0.955 * 5.0, abs=0.005)
    assert curved.acres == pytest.approx(5.0, rel=0.003)


def test_pins_go_by_time_then_by_number_and_two_comes_before_ten():
    xy = np.array([(0, 0), (100, 0), (150, 80), (100, 160), (0, 160), (-40, 80),
                   (-60, 60), (-70, 40), (-60, 20), (-40, 10)], float)  # fmt: skip
    mixed = [3, 9, 0, 5, 1, 7, 2, 8, 6, 4]
    names = [f"corner {row + 1}" for row in mixed]
    by_number = ground_between(pins(xy[mixed], names), corners="straight")
    assert by_number.order == "number"
    times = [1000.0 + row for row in mixed]
    by_time = ground_between(pins(xy[mixed], ["x"] * 10, times), corners="straight")
    assert by_time.order == "time"
    wanted = shapely.Polygon(xy).area / ACRE_M2
    assert by_number.acres == pytest.approx(wanted, rel=1e-4)
    assert by_time.acres == pytest.approx(wanted, rel=1e-4)


def test_an_unknown_order_is_asked_and_a_guessed_one_is_said():
    unnamed = pins(square(), [""] * 4)
    with pytest.raises(FileProblem, match="which follows which is not known"):
        ground_between(unnamed, corners="straight")
    ground = ground_between(unnamed, corners="straight", order="ring")
    assert [note.code for note in ground.notes] == ["pins-order-guessed"]
    assert ground.notes[0].level == "warning"
    assert "5.00 ac" in ground.notes[0].text


def test_an_order_that_crosses_itself_is_refused_and_ring_untangles_it():
    xy = square()
    crossed = pins([xy[0], xy[2], xy[1], xy[3]])
    with pytest.raises(FileProblem, match="crosses itself"):
        ground_between(crossed, corners="straight")
    assert ground_between(crossed, corners="straight", order="ring").acres == pytest.approx(
        5.0, rel=1e-5
    )


def test_several_pins_of_a_corner_are_averaged_and_narrow_the_range():
    once = ground_between(pins(square()), corners="straight", sky="open")
    thrice = [(x + dx, y) for x, y in square() for dx in (-1.0, 0.0, 1.0)]
    ground = ground_between(pins(thrice), corners="straight", sky="open")
    assert ground.pins == 4
    assert ground.acres == pytest.approx(5.0, rel=1e-4)
    width = (ground.acres_high - ground.acres_low) / (once.acres_high - once.acres_low)
    assert width == pytest.approx(1 / 3**0.5, rel=0.02)
    assert "12 pins stand for 4 corners" in ground.notes[0].text


def test_a_last_pin_on_the_first_corner_closes_the_round():
    ground = ground_between(pins([*square(), (0.5, 0.5)]), corners="straight")
    assert ground.pins == 4


def test_two_corners_go_round_nothing():
    with pytest.raises(FileProblem, match="has 2 corners"):
        ground_between(pins([(0, 0), (100, 0)]), corners="straight")


def test_no_pins_at_all_are_refused_like_too_few_of_them():
    with pytest.raises(FileProblem) as refused:
        ground_between([], corners="straight", name="back field")
    assert str(refused.value) == "back field: has 0 corners; mark at least three"


def lobed(turn, phase):
    return 60 * (1 + 0.12 * np.cos(2 * turn + phase) + 0.05 * np.cos(3 * turn))


@pytest.mark.parametrize(("count", "curved"), [(4, False), (9, False), (12, True)])
def test_the_stated_range_covers_the_truth(count, curved):
    # 300 fields each, seed 11, pins off by 2 m on each axis
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(300):
        turn = np.linspace(0, 2 * np.pi, count, endpoint=False) + rng.normal(0, 0.05, count)
        if curved:
            fine = np.linspace(0, 2 * np.pi, 3000)
            phase = rng.uniform(0, 6)
            whole = lobed(fine, phase)
            true = shapely.Polygon(
                np.column_stack([whole * np.cos(fine), whole * np.sin(fine)])
            ).area
            reach = lobed(turn, phase)
        else:
            reach = rng.uniform(50, 80, count)
            true = None
        xy = np.column_stack([reach * np.cos(turn), reach * np.sin(turn)])
        true = shapely.Polygon(xy).area if true is None else true
        ground = ground_between(
            pins(xy + rng.normal(0, 2.0, xy.shape)), sky="open",
            corners="curved" if curved else "straight",
        )  # fmt: skip
        held += ground.acres_low <= true / ACRE_M2 <= ground.acres_high
    assert 0.925 <= held / 300 <= 0.99


@pytest.mark.parametrize("seed", range(12))
def test_a_ring_of_pins_in_no_order_crosses_nowhere_and_no_two_sides_turned_make_it_shorter(
    seed,
):
    rng = np.random.default_rng(seed)
    scattered = pins(rng.uniform(0, 300, (9, 2)), names=["pin"] * 9)
    with pytest.raises(FileProblem, match="which follows which is not known"):
        ground_between(scattered, corners="straight")
    ring = ground_between(scattered, corners="straight", order="ring").polygon.exterior
    assert ring.is_simple
    lon, lat = np.array(ring.coords)[:-1].T
    xy = np.column_stack(FRAME.xy(lon, lat))
    assert len(xy) == 9

    def around(order):
        return np.hypot(*(xy[order] - xy[np.roll(order, 1)]).T).sum()

    order = list(range(9))
    for one in range(8):
        for two in range(one + 2, 9):
            turned = order[: one + 1] + order[one + 1 : two + 1][::-1] + order[two + 1 :]
            assert around(turned) > around(order) - 0.5
