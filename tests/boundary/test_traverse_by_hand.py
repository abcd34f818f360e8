"""Legs worked out on paper: departures, areas, arcs, the compass rule, what closes a figure."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from quietacre.boundary import traverse as legwork
from quietacre.boundary.traverse import CARE, Care, Figure, work_out
from quietacre.boundary.typing_slips import Suspect
from quietacre.errors import FileProblem
from quietacre.figures import printed
from quietacre.model import Arc, Leg, Traverse
from quietacre.units import ACRE_FT2

NORTH, EAST, SOUTH, WEST = 0.0, 90.0, 180.0, 270.0


def round_of(*legs, method="tape", name="", source="t.csv"):
    return Traverse(name, source, tuple(legs), method)


def oblong(east_ft=400.0, north_ft=300.0, **more):
    """Return four legs, counter-clockwise from the south-west corner."""
    return [
        Leg(EAST, east_ft, text="one", **more), Leg(NORTH, north_ft, text="two", **more),
        Leg(WEST, east_ft, text="three", **more), Leg(SOUTH, north_ft, text="four", **more),
    ]  # fmt: skip


def test_departures_and_latitudes_of_the_quarters_and_between():
    legs = [Leg(azimuth, 10.0) for azimuth in (0.0, 90.0, 180.0, 270.0, 30.0, 210.0)]
    east, north = legwork.departures_ft(legs)
    half, more = 5.0, 10.0 * math.sqrt(3.0) / 2.0
    assert east == pytest.approx([0, 10, 0, -10, half, -half], abs=1e-12)
    assert north == pytest.approx([10, 0, -10, 0, more, -more], abs=1e-12)


@pytest.mark.parametrize("seed", range(6))
def test_double_meridian_distances_are_twice_the_signed_area(seed):
    xy = np.random.default_rng(seed).uniform(-50.0, 50.0, (3 + seed, 2))
    step = np.roll(xy, -1, axis=0) - xy
    twice = legwork.double_meridian_area_ft2(step[:, 0], step[:, 1])
    x, y = xy.T
    shoelace = float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())
    assert twice == pytest.approx(shoelace)


@pytest.mark.parametrize(
    ("chord_ft", "radius_ft", "area_ft2"),
    [
        (20.0, 10.0, 50.0 * math.pi),  # half a circle
        (10.0, 10.0, 100.0 * (math.pi / 3 - math.sqrt(3) / 2) / 2),  # a sixth
        (10.0 * math.sqrt(2.0), 10.0, 100.0 * (math.pi / 2 - 1) / 2),  # a quarter
        (20.000001, 10.0, 50.0 * math.pi),
    ],
)
def test_the_ground_between_a_chord_and_its_arc(chord_ft, radius_ft, area_ft2):
    assert legwork.segment_ft2(chord_ft, radius_ft) == pytest.approx(area_ft2, rel=1e-6)


def area_by_compass_rule_ft2(legs):
    """Return the area of legs whose misclosure is shared out by length, by another way."""
    step = np.array(
        [
            (
                leg.length_ft * math.sin(math.radians(leg.azimuth_deg)),
                leg.length_ft * math.cos(math.radians(leg.azimuth_deg)),
            )
            for leg in legs
        ]
    )
    length = np.array([leg.length_ft for leg in legs])
    step -= step.sum(axis=0) * (length / length.sum())[:, None]
    return shapely.Polygon(np.vstack([[0.0, 0.0], np.cumsum(step, axis=0)[:-1]])).area


CROOKED = [
    Leg(88.0, 410.0, 0.5, 1.0, text="a"), Leg(2.0, 296.0, 0.5, 1.0, text="b"),
    Leg(271.0, 395.0, 0.5, 1.0, text="c"), Leg(179.5, 305.0, 0.5, 1.0, text="d"),
]  # fmt: skip


def test_a_figure_whole_with_every_error_by_differences():
    care = Care(0.004, 0.7, 0.003, "ours")
    figure = work_out(round_of(*CROOKED, name="back forty"), care=care)
    area_ft2 = area_by_compass_rule_ft2(CROOKED)
    sd2 = (2.0 * area_ft2 * 0.003) ** 2
    for row, leg in enumerate(CROOKED):
        sd_ft = math.hypot(leg.length_ft * 0.004, 1.0 / math.sqrt(12.0))
        sd_deg = math.hypot(0.7, 0.5 / math.sqrt(12.0))
        for key, sd in (("length_ft", sd_ft), ("azimuth_deg", sd_deg)):
            ends = []
            for step in (-1e-3, 1e-3):
                moved = list(CROOKED)
                moved[row] = replace(leg, **{key: getattr(leg, key) + step})
                ends.append(area_by_compass_rule_ft2(moved))
            sd2 += ((ends[1] - ends[0]) / 2e-3 * sd) ** 2
    half_ac = 1.959964 * math.sqrt(sd2) / ACRE_FT2
    assert figure.acres == pytest.approx(area_ft2 / ACRE_FT2)
    assert figure.acres_low == pytest.approx(figure.acres - half_ac, rel=1e-4)
    assert figure.acres_high == pytest.approx(figure.acres + half_ac, rel=1e-4)
    assert (figure.name, figure.perimeter_ft) == ("back forty", 1406.0)
    east = sum(leg.length_ft * math.sin(math.radians(leg.azimuth_deg)) for leg in CROOKED)
    north = sum(leg.length_ft * math.cos(math.radians(leg.azimuth_deg)) for leg in CROOKED)
    assert figure.misclosure_ft == pytest.approx(math.hypot(east, north))
    assert figure.ratio == pytest.approx(1406.0 / math.hypot(east, north))
    expected_2 = sum(
        (leg.length_ft * 0.004) ** 2 + 1.0 / 12.0
        + (leg.length_ft * math.radians(math.hypot(0.7, 0.5 / math.sqrt(12.0)))) ** 2
        for leg in CROOKED
    )  # fmt: skip
    assert figure.expected_ft == pytest.approx(math.sqrt(expected_2))


def test_the_corners_are_balanced_by_length_and_begin_at_the_first():
    legs = oblong()
    legs[0] = replace(legs[0], length_ft=414.0)  # 14 ft too far east, of 1,414 ft in all
    figure = work_out(round_of(*legs))
    off = 14.0 / 1414.0  # taken off for each foot walked
    corners = [(0, 0), (414 - 414 * off, 0), (414 - 714 * off, 300), (14 - 1114 * off, 300)]
    assert figure.xy_ft == pytest.approx(np.array(corners), abs=1e-9)
    assert figure.misclosure_ft == pytest.approx(14.0)
    assert printed(figure.missed) == ("it misses its beginning by 14.0 ft in 1,414 (1:101)")


def test_a_perfect_figure_is_told_as_one_in_a_million():
    figure = work_out(round_of(*oblong()))
    assert figure.ratio == 1_000_000
    assert figure.suspects == ()
    assert figure.acres == pytest.approx(120_000 / ACRE_FT2)


@pytest.mark.parametrize(
    ("misclosure_ft", "doubtful"), [(17.2, False), (17.3, False), (17.4, True)]
)
def test_a_figure_is_doubted_beyond_what_comes_once_in_twenty(misclosure_ft, doubtful):
    # about exponential: the square passes 1.73² once in exp(1.73²) = 20
    assert math.exp(-(1.73**2)) == pytest.approx(0.05, rel=0.01)
    figure = Figure("", np.zeros((4, 2)), 1.0, 1.0, 1.0, 9.0, misclosure_ft, 10.0, 1.0, ())
    assert figure.doubtful is doubtful


def test_only_a_doubted_figure_names_legs():
    legs = oblong()
    # 2 ft too long: with a tape's cares of a degree 8.7 ft are expected
    legs[1] = replace(legs[1], length_ft=302.0)
    assert work_out(round_of(*legs)).suspects == ()
    legs[1] = replace(legs[1], length_ft=360.0)
    figure = work_out(round_of(*legs))
    told = [(one.number, one.text, printed(one.change)) for one in figure.suspects]
    assert (2, "two", "300.0 ft long") in told
    assert (4, "four", "360.0 ft long") in told
    assert figure.doubtful


@pytest.mark.parametrize(
    ("legs", "said"),
    [
        (oblong()[:2], "its 2 legs go round nothing; give every leg"),
        ([], "its 0 legs go round nothing; give every leg"),
        ([Leg(EAST, 0.0), Leg(NORTH, 0.0), Leg(WEST, 0.0)], "its 3 legs go round nothing; give every leg"),
        ([Leg(NORTH, 8.0), Leg(NORTH, 0.0), Leg(-180.0, 8.0)], "its legs go round nothing; check the bearings"),
    ],
)  # fmt: skip
def test_legs_that_go_round_nothing(legs, said):
    with pytest.raises(FileProblem) as refused:
        work_out(round_of(*legs))
    assert str(refused.value) == f"t.csv: {said}"
    with pytest.raises(FileProblem) as refused:
        work_out(round_of(*legs, name="creek"))
    assert str(refused.value) == f"t.csv: creek: {said}"


def test_two_legs_enclose_ground_where_one_is_a_curve():
    half = Leg(EAST, 200.0, arc=Arc(100.0, "right"))
    figure = work_out(round_of(half, Leg(WEST, 200.0)))
    assert figure.acres == pytest.approx(math.pi * 100.0**2 / 2.0 / ACRE_FT2)
    with pytest.raises(FileProblem, match="its 2 legs go round nothing"):
        work_out(round_of(replace(half, arc=None), Leg(WEST, 200.0)))


@pytest.mark.parametrize(("turn", "sign"), [("left", 1.0), ("right", -1.0)])
def test_a_curve_adds_its_bow_where_it_bulges_out(turn, sign):
    legs = oblong()
    legs[1] = replace(legs[1], arc=Arc(250.0, turn))  # counter-clockwise: left bulges out
    bow = legwork.segment_ft2(300.0, 250.0)
    figure = work_out(round_of(*legs))
    assert figure.acres == pytest.approx((120_000 + sign * bow) / ACRE_FT2)
    back = [replace(leg, azimuth_deg=(leg.azimuth_deg + 180.0) % 360.0) for leg in legs]
    assert work_out(round_of(*back)).acres == pytest.approx(figure.acres)


def test_a_curve_tighter_than_its_chord_is_refused_at_its_place():
    legs = oblong()
    legs[0] = replace(legs[0], arc=Arc(200.0, "right"))
    work_out(round_of(*legs))  # half a circle
    legs[0] = replace(legs[0], arc=Arc(199.5, "right"))
    with pytest.raises(FileProblem) as refused:
        work_out(round_of(*legs))
    assert printed(str(refused.value)) == (
        "t.csv: one: a curve of 199.5 ft radius has no chord of 400 ft; "
        "check radius and chord"
    )
    legs[0] = replace(legs[0], place="line 4")
    with pytest.raises(FileProblem, match=r"t\.csv: line 4: a curve"):
        work_out(round_of(*legs))


@pytest.mark.parametrize(("last_ft", "closes"), [(1.0, False), (3.0, True)])
def test_legs_that_end_a_quarter_of_their_length_off_are_refused(last_ft, closes):
    # 40 east, 30 north, 40 west and a little south: 27 or 29 ft off, of 113 or 111
    legs = oblong(40.0, 30.0)
    legs[3] = replace(legs[3], length_ft=last_ft)
    if closes:
        assert work_out(round_of(*legs)).misclosure_ft == pytest.approx(27.0)
        return
    with pytest.raises(FileProblem) as refused:
        work_out(round_of(*legs))
    text = printed(str(refused.value))
    assert text.startswith(
        "t.csv: its legs end 29 ft from where they began, of 111 ft in all; "
        "the leg back to the start is missing, or a bearing is turned about; "
    )
    assert "one of these alone would close it: leg " in text
    assert text.count("; leg ") <= 3  # four at most


def test_far_from_closing_and_no_leg_alone_would_close_it():
    legs = [Leg(EAST, 100.0), Leg(30.0, 90.0), Leg(75.0, 120.0), Leg(120.0, 70.0)]
    some = legwork._suspects(legs, 1e-9)
    assert some == ()
    advice = legwork._advice(round_of(*legs), Care(0.0, 0.0, 0.0, ""))
    assert advice == "check each leg against your notes"


def test_what_each_leg_would_have_to_be_the_slips_of_writing_first():
    legs = oblong()
    legs[2] = replace(legs[2], azimuth_deg=290.0)  # 20° off on 400 ft
    some = legwork._suspects(legs, 6.0)
    plain = [one for one in some if "azimuth" in printed(one.change)]
    # the first leg, as long and the other way, would close it as well
    assert [(one.number, one.change) for one in plain] == [
        (1, "azimuth 110.0°"), (3, "azimuth 270.0°")
    ]  # fmt: skip
    assert [one.misclosure_ft for one in plain] == pytest.approx([0.0, 0.0], abs=1e-9)
    slips = [one for one in some if one not in plain]
    assert some == (*slips, *plain)
    assert all(isinstance(one, Suspect) and one.misclosure_ft <= 6.0 for one in slips)
    assert [one.misclosure_ft for one in slips] == sorted(
        one.misclosure_ft for one in slips
    )


def test_the_cares_are_those_of_the_page_on_pacing_and_of_common_practice():
    assert CARE["pace"].scale_share == 0.01  # 1:100, FE 345 Pacing, Univ. of Washington
    assert (CARE["tape"].length_share, CARE["tape"].bearing_deg) == (0.002, 1.0)
    assert (CARE["pace"].length_share, CARE["pace"].bearing_deg) == (0.02, 2.0)
    deed = work_out(round_of(*CROOKED, method="deed"))
    # a deed's errors are the rounding of its own figures alone
    rounding = sum(
        1.0 / 12.0 + (leg.length_ft * math.radians(0.5 / math.sqrt(12.0))) ** 2
        for leg in CROOKED
    )
    assert deed.expected_ft == pytest.approx(math.sqrt(rounding))
