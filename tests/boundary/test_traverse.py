"""Compass and tape: closure, balance, ±, and the leg that is likely wrong."""

from dataclasses import replace

import numpy as np
import pytest

from quietacre.boundary.traverse import CARE, work_out
from quietacre.errors import FileProblem
from quietacre.figures import printed
from quietacre.intake.legs import is_leg_table, legs_in
from quietacre.model import Leg, Traverse
from quietacre.units import ACRE_FT2


def ring(count, acres, rng):
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False) + rng.normal(0, 0.1, count)
    xy = np.column_stack([np.cos(turn), np.sin(turn)]) * rng.uniform(0.8, 1.2, (count, 1))
    area = 0.5 * abs(
        np.dot(xy[:, 0], np.roll(xy[:, 1], -1)) - np.dot(xy[:, 1], np.roll(xy[:, 0], -1))
    )
    return xy * np.sqrt(acres * ACRE_FT2 / area)


def legs_of(xy):
    step = np.roll(xy, -1, axis=0) - xy
    return tuple(
        Leg(
            float(np.degrees(np.arctan2(e, n)) % 360),
            float(np.hypot(e, n)),
            0.0,
            0.0,
            None,
            "leg",
        )
        for e, n in step
    )


def test_a_perfect_traverse_closes_and_has_its_acres():
    rng = np.random.default_rng(1)
    for count in (3, 5, 12):
        figure = work_out(Traverse("", "", legs_of(ring(count, 5.0, rng)), "tape"))
        assert figure.acres == pytest.approx(5.0, rel=1e-9)
        assert figure.misclosure_ft < 1e-6
        assert not figure.doubtful


@pytest.mark.parametrize("method", ["tape", "pace"])
def test_the_stated_range_covers_the_truth(method):
    # 400 traverses of each, seed 7: errors drawn by the care stated, scale included
    rng = np.random.default_rng(7)
    care, held = CARE[method], 0
    for _ in range(400):
        true = legs_of(ring(int(rng.integers(4, 10)), 4.0, rng))
        scale = 1 + rng.normal(0, care.scale_share)
        read = tuple(
            replace(
                leg,
                azimuth_deg=leg.azimuth_deg + rng.normal(0, care.bearing_deg),
                length_ft=leg.length_ft * scale * (1 + rng.normal(0, care.length_share)),
            )
            for leg in true
        )
        figure = work_out(Traverse("", "", read, method))
        held += figure.acres_low <= 4.0 <= figure.acres_high
    assert 0.92 <= held / 400 <= 0.975


def test_a_long_pace_closes_perfectly_and_its_range_is_wide():
    legs = legs_of(ring(6, 3.0, np.random.default_rng(2)))
    long = tuple(replace(leg, length_ft=leg.length_ft * 1.03) for leg in legs)
    figure = work_out(Traverse("", "", long, "pace"))
    assert figure.misclosure_ft < 1e-6
    assert figure.acres == pytest.approx(3.0 * 1.03**2)
    assert (figure.acres_high - figure.acres_low) / 2 > 0.03 * figure.acres


def test_declination_turns_the_figure_and_leaves_its_acres():
    legs = legs_of(ring(7, 3.0, np.random.default_rng(3)))
    turned = tuple(replace(leg, azimuth_deg=leg.azimuth_deg + 4.0) for leg in legs)
    assert work_out(Traverse("", "", turned, "tape")).acres == pytest.approx(3.0, rel=1e-9)


@pytest.mark.parametrize(
    ("row", "change", "told"),
    [
        (2, {"length_ft": lambda v: v + 100.0}, "ft"),
        (1, {"azimuth_deg": lambda v: (180.0 - v) % 360}, "°"),
        (4, {"azimuth_deg": lambda v: (v + 20.0) % 360}, "°"),
    ],
)
def test_a_wrong_leg_is_doubted_and_named(row, change, told):
    xy = np.array([(0, 0), (30, 400), (420, 510), (700, 280), (520, -60)], dtype=float)
    legs = list(legs_of(xy))
    key, how = next(iter(change.items()))
    legs[row] = replace(legs[row], **{key: how(getattr(legs[row], key))})
    figure = work_out(Traverse("", "", tuple(legs), "tape"))
    assert figure.doubtful
    assert row + 1 in [some.number for some in figure.suspects]
    assert any(told in printed(some.change) for some in figure.suspects)


def test_a_figure_far_from_closing_is_refused_with_the_leg_that_would_close_it():
    legs = list(legs_of(np.array([(0, 0), (0, 400), (400, 400), (400, 0)], dtype=float)))
    legs[2] = replace(legs[2], azimuth_deg=0.0)
    with pytest.raises(FileProblem, match=r"leg 3 \(leg\) as due south"):
        work_out(Traverse("", "t.csv", tuple(legs), "tape"))


def test_a_leg_that_is_missing_is_refused_not_closed():
    legs = legs_of(np.array([(0, 0), (0, 400), (400, 400), (400, 0)], dtype=float))
    with pytest.raises(FileProblem, match="from where they began"):
        work_out(Traverse("", "t.csv", legs[:3], "tape"))


def test_both_sights_are_averaged_and_a_bent_one_is_said():
    text = (
        "bearing,distance,back_bearing\n10,100,191\n100,100,286\n190,100,10\n280,100,100\n"
    )
    traverse = legs_in(text, "t.csv")
    assert traverse.legs[0].azimuth_deg == pytest.approx(10.5)
    assert [note.code for note in traverse.notes] == ["sights-differ"]
    assert "line 3" in traverse.notes[0].text
    assert "6.0°" in traverse.notes[0].text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("bearing,distance\nbanana,10\n", "no bearing"),
        ("bearing,distance\n10,ten\n", "not a number"),
        ("bearing,distance,unit\n10,10,furls\n", "no unit"),
        ("bearing,distance,unit\n10,10,paces\n", "length of a pace"),
        ("bearing,distance\n10,-5\n", "goes nowhere"),
        ("bearing,distance\n10,5\n20,5\n", "2 legs"),
        ("bearing,distance,slope_pct\n10,5,400\n", "slope"),
        ("bearing,distance,radius_ft\n10,5,40\n", "neither left nor right"),
        ('bearing,distance\n"N 45° 75\' E",5\n', "no bearing"),
    ],
)
def test_what_is_not_understood_is_refused(text, said):
    with pytest.raises(FileProblem, match=said):
        legs_in(text, "t.csv")


def test_units_beside_the_number_and_in_their_column():
    text = "bearing,distance,unit\n0,10 ch,\n90,660,ft\n180,40,poles\n270,201.168,m\n"
    assert [leg.length_ft for leg in legs_in(text, "t").legs] == pytest.approx([660] * 4)


def test_other_tables_are_not_taken_for_legs():
    assert not is_leg_table("name,lon,lat\nbearing tree,1,2\n", "t")
    assert not is_leg_table("", "t")
    assert is_leg_table("\ufeffBearing;Distance\n1;2\n", "t")
