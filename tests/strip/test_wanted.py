"""What is wanted of one strip: whose days, whose error, which doubts, at their limits."""

import datetime as dt
from types import SimpleNamespace

import pytest
import shapely

from quietacre.settings import Area, Property, PropertyInfo, Quiet, StripSettings, Work
from quietacre.strip.cuts import growth_of
from quietacre.strip.judged import edge_verdicts, weak_frame, weak_stretches
from quietacre.strip.law import vine_named
from quietacre.strip.ring import Weak
from quietacre.strip.wanted import wanted_strip

D = dt.date
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
TODAY = D(2027, 1, 2)
NESTING = Quiet("nesting", "05-15", "07-03")


class Row(dict):
    """A row of the areas: its id, and a square for its geometry."""

    geometry = shapely.box(0.0, 0.0, 1e-3, 1e-3)


def wanted(strip=None, *, kind="patch", vine="kudzu", sigma_m=None, today=TODAY,
           quiet=(NESTING,), patches=("V",), logged=(), **place):  # fmt: skip
    """Return the strip round one patch whose owner has every day."""
    area = Area("V", kind, "v.gpx", vine=vine, strip=strip)
    prop = Property(PropertyInfo("x", **place), area=(area,), work=EVERY_DAY, quiet=quiet)
    return wanted_strip(
        area,
        Row(id="a01"),
        prop,
        today,
        sigma_m,
        growth_of(prop.property),
        (),
        patches,
        logged,
    )


def codes(made):
    return {note.code for note in made.ring.notes}


def term(made, name):
    (found,) = [one.ft for one in made.ring.width["stress"].terms if one.term == name]
    return found


@pytest.mark.parametrize(
    ("strip", "sigma_m", "feet"),
    [
        (None, None, 1 / 0.3048),
        (None, float("nan"), 1 / 0.3048),
        (None, 2.0, 1.645 * 2 / 0.3048),
        (StripSettings(staked=True), 2.0, 1 / 0.3048),
        (StripSettings(staked=True, edge_error_ft=5.0), 2.0, 5.0),
    ],
)
def test_the_edges_error_is_as_written_as_staked_or_as_walked(strip, sigma_m, feet):
    made = wanted(strip, sigma_m=sigma_m)
    assert term(made, "edge error") == pytest.approx(feet)


def test_without_a_look_no_node_is_counted_and_it_is_said():
    blank, none, five = (
        wanted(StripSettings(live_node_ft=feet)) for feet in (None, 0.0, 5.0)
    )
    nodes = [term(made, "live nodes outside the edge") for made in (blank, none, five)]
    assert nodes == [0.0, 0.0, 5.0]
    assert ["not-inspected" in codes(made) for made in (blank, none, five)] == [
        True,
        False,
        False,
    ]


def test_an_edge_is_doubted_from_four_metres_of_error_on():
    assert "edge-under-leaves" not in codes(wanted(sigma_m=4.0))
    assert "edge-under-leaves" in codes(wanted(sigma_m=4.1))
    assert "edge-under-leaves" not in codes(wanted(StripSettings(staked=True), sigma_m=4.1))


def test_a_width_of_ones_own_is_held_against_ordinary_growth():
    asks = wanted().ring.width["central"].width_ft
    assert "width-below-central" not in codes(wanted(StripSettings(width_ft=asks)))
    less = wanted(StripSettings(width_ft=asks - 0.5))
    assert "width-below-central" in codes(less)
    assert less.ring.width_ft == less.planned_ft == asks - 0.5


@pytest.mark.parametrize(("width_ft", "feet", "said"), [(None, 10, True), (10.0, 10, True),
                                                        (10.5, 10.5, False), (8.0, 8, True)])  # fmt: skip
def test_a_break_of_ten_feet_or_less_is_said_to_be_the_least(width_ft, feet, said):
    made = wanted(StripSettings(width_ft=width_ft), kind="burn", vine=None)
    assert made.ring.width_ft == made.planned_ft == feet
    assert ("firebreak-default" in codes(made)) is said
    assert made.case is None


def test_the_cuts_of_the_quiet_that_comes_are_what_the_width_is_for():
    case = wanted(StripSettings(slip_days=10)).ring.case
    assert (case.last_cut, case.next_cut, case.slip_days) == (
        D(2027, 5, 14),
        D(2027, 7, 4),
        10,
    )
    assert case.why == (
        "last cut May 14, 2027, next cut July 4, 2027 and up to 10 days of bad weather after it"
    )
    own = wanted(StripSettings(last_cut=D(2027, 5, 1), next_cut=D(2027, 7, 9))).ring.case
    assert (own.last_cut, own.next_cut) == (D(2027, 5, 1), D(2027, 7, 9))
    both = wanted(patches=("V", "W")).ring.case.why
    assert both.endswith("“V” asks for the most, in the quiet seasons of all 2")


def test_without_a_quiet_season_that_of_nesting_is_assumed_and_said():
    case = wanted(quiet=()).ring.case
    assert (case.last_cut, case.next_cut) == (D(2027, 5, 14), D(2027, 7, 4))
    assert "so May 15 to July 3 is assumed" in case.why


@pytest.mark.parametrize(
    ("today", "year"), [(D(2027, 5, 14), 2027), (D(2027, 5, 15), 2028)]
)
def test_so_far_north_that_no_vine_runs_then_the_next_nesting_season_counts(today, year):
    case = wanted(quiet=(), today=today, last_frost="07-10", first_frost="09-20").ring.case
    assert (case.last_cut, case.next_cut) == (D(year, 5, 14), D(year, 7, 4))


def test_a_missed_cut_widens_what_is_mowed_and_not_what_was_planned():
    plain = wanted(today=D(2027, 9, 1))
    late = wanted(today=D(2027, 9, 1), logged=[D(2027, 4, 10)])
    assert "strip-cut-missed" in codes(late)
    assert late.ring.width_ft > late.planned_ft == plain.planned_ft == plain.ring.width_ft
    own = wanted(StripSettings(width_ft=50.0), today=D(2027, 9, 1), logged=[D(2027, 4, 10)])
    assert own.ring.width_ft == own.planned_ft == 50.0


def test_another_vine_gets_kudzus_width_and_the_reason_that_it_is_none():
    said = {note.code: note for note in wanted(vine="multiflora rose").ring.notes}
    assert vine_named("multiflora rose")["why"] in said["runner-control-only"].text
    nameless = {note.code: note for note in wanted(vine=None).ring.notes}
    assert "for a vine that has no name here" in nameless["runner-control-only"].text
    assert "runner-control-only" not in codes(wanted())


def test_frost_dates_that_are_not_given_are_said_to_be_assumed():
    assert "frost-assumed" in codes(wanted(last_frost="04-01"))
    assert "frost-assumed" not in codes(wanted(last_frost="04-01", first_frost="11-01"))
    half = {note.code: note.text for note in wanted(first_frost="11-01").ring.notes}
    assert "drawn for a last frost of March 31 (assumption" in half["frost-assumed"]


# ---- thin places ---------------------------------------------------------------------------------
def thin(x, length, verdict="NARROW", feet=12.0):
    return Weak(shapely.LineString([(x, 34.0), (x + length, 34.0)]), feet, "pond", verdict)


def test_a_thin_stretch_is_named_in_turn_with_its_middle():
    stations = SimpleNamespace(weak=[thin(-88.0, 0.002), thin(-87.9, 0.004, "FAIL", 5.0)])
    one, two = weak_stretches("s01", stations)
    assert (one.id, two.id) == ("s01-w1", "s01-w2")
    assert (one.lon, one.lat) == (pytest.approx(-87.999), 34.0)
    assert two.lon == pytest.approx(-87.898)
    assert two.length_ft == pytest.approx(2 * one.length_ft, rel=1e-4)
    frame = weak_frame(
        [("s01", thin(-88, 0.1)), ("s02", thin(-87, 0.1)), ("s01", thin(-86, 0.1))]
    )
    assert list(frame["id"]) == ["s01-w1", "s02-w1", "s01-w2"]


def test_an_edge_that_is_thin_all_round_has_no_foot_left():
    """Chords of the stretches may come to a hair more than the edge."""
    stations = SimpleNamespace(
        verdict=["FAIL"] * 8, count={"PASS": 0, "NARROW": 3, "FAIL": 5}.get
    )
    weak = [
        SimpleNamespace(length_ft=300.0, verdict="NARROW"),
        SimpleNamespace(length_ft=100.2, verdict="FAIL"),
    ]
    found = edge_verdicts(stations, weak, 400.0)
    assert (found.pass_ft, found.narrow_ft, found.fail_ft) == (0.0, 300.0, 100.2)
    assert edge_verdicts(stations, weak, 500.0).pass_ft == pytest.approx(99.8)
    assert (found.count, found.pass_, found.narrow, found.fail) == (8, 0, 3, 5)
