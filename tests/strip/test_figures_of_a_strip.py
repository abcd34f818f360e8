"""Every figure and sentence of one strip, worked out by hand beside its rules."""

import datetime as dt
from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from quietacre.figures import printed
from quietacre.quiet import seasons
from quietacre.settings import Equipment, Quiet, StripSettings, Work
from quietacre.strip.advance import Advance, Change, Sector
from quietacre.strip.cuts import dated_cuts, words_of
from quietacre.strip.growth import KUDZU, MONTH_WEIGHT, Season, effective_days, runs, weight
from quietacre.strip.keeping import keeping
from quietacre.strip.remedies import remedies
from quietacre.strip.width import (
    Case,
    Mower,
    earliest_last_cut,
    latest_next_cut,
    strip_width,
)

D = dt.date
CASE = Case(
    D(2027, 5, 8), D(2027, 7, 4), Mower(6.0, 0.5), slip_days=10, edge_error_ft=9.0,
    live_node_ft=2.0,
)  # fmt: skip
LOW, CENTRAL, STRESS = KUDZU


# ---- growth: the weights in docs/methods-strip.md -------------------------------------------
def test_each_month_s_middle_has_its_weight_and_winter_none():
    printed = (0, 0, 0, 0.25, 0.7, 1, 1, 0.8, 0.5, 0.15, 0, 0)
    assert printed == MONTH_WEIGHT
    for month, wanted in enumerate(printed, 1):
        assert weight(D(2027, month, 15)) == pytest.approx(wanted), month
    assert effective_days(D(2026, 11, 15), D(2027, 3, 15)) == 0.0
    # halfway from 0.25 on April 15 to 0.70 on May 15
    assert weight(D(2027, 4, 30)) == pytest.approx(0.475)


def test_the_day_of_the_last_cut_does_not_count_and_that_of_the_next_does():
    assert effective_days(D(2027, 6, 20), D(2027, 6, 21)) == 1.0
    assert effective_days(D(2027, 6, 20), D(2027, 6, 30)) == 10.0
    assert effective_days(D(2027, 6, 20), D(2027, 6, 20)) == 0.0
    both = effective_days(D(2026, 10, 1), D(2027, 5, 1))
    autumn = effective_days(D(2026, 10, 1), D(2026, 12, 31))
    spring = effective_days(D(2026, 12, 31), D(2027, 5, 1))
    assert both == pytest.approx(autumn + spring)


def test_warmth_counts_from_new_year_s_day_on():
    even = Season(degree_days=(1.0,) * 366)
    whole = effective_days(D(2026, 12, 31), D(2027, 12, 31))
    # four days of the 365; the weights of winter are none
    assert effective_days(D(2026, 12, 30), D(2027, 1, 3), even) == pytest.approx(
        4 / 365 * whole
    )


def test_the_vine_runs_from_the_day_after_the_last_frost_to_the_first():
    days = [D(2027, 3, 31), D(2027, 4, 1), D(2027, 11, 5), D(2027, 11, 6)]
    assert [runs(day) for day in days] == [False, True, True, False]
    north = Season((5, 10), (9, 30))
    days = [D(2027, 5, 10), D(2027, 5, 11), D(2027, 9, 30), D(2027, 10, 1)]
    assert [runs(day, north) for day in days] == [False, True, True, False]


# ---- the width ------------------------------------------------------------------------------
def test_the_terms_of_a_width():
    made = strip_width(CASE)
    grown_ft = 60.085 * 0.305 / 0.3048
    stress = made["stress"]
    assert stress.days == 67
    assert stress.effective_days == pytest.approx(60.085)
    assert [term.ft for term in stress.terms] == pytest.approx([grown_ft, 0, 2, 9, 6])
    assert stress.required_ft == pytest.approx(grown_ft + 17)
    assert (stress.passes, stress.width_ft) == (14, 6 + 13 * 5.5)
    low_ft = 60.085 * 0.136 / 0.3048
    assert [term.ft for term in made["low"].terms] == pytest.approx(
        [low_ft, low_ft / 4, 2, 9, 6]
    )
    assert made["central"].required_ft == pytest.approx(60.085 * 0.2 * 1.25 / 0.3048 + 17)


def test_a_strip_wider_than_a_year_s_growth_holds_on_any_day():
    wide_ft = 17.0 + 200 * 0.305 / 0.3048
    assert earliest_last_cut(wide_ft, CASE, STRESS) == CASE.until - dt.timedelta(days=400)
    assert latest_next_cut(wide_ft, CASE, STRESS) == CASE.last_cut + dt.timedelta(days=400)


# ---- the cuts of a year ----------------------------------------------------------------------
def test_the_year_of_a_strip_with_nesting_for_who_has_weekends():
    found = seasons([Quiet("nesting", "05-15", "07-03")], 2025, 2030)
    made = dated_cuts(
        words_of("patch", ["V"], "V strip"), found, Work(), StripSettings(), Season(),
        every_days=14, first=D(2027, 1, 2), last=D(2027, 12, 31),
    )  # fmt: skip
    shown = [
        f"{cut.task} {cut.earliest:%m-%d} {cut.ideal:%m-%d} {cut.latest:%m-%d}"
        for cut in made
    ]
    # from the day after the last frost; evenly to the last cut, then every two weeks to frost,
    # each five days sooner or later; the look no more than six days before the last cut
    assert shown == [
        "strip cut 03-27 04-01 04-06", "strip cut 04-08 04-13 04-18",
        "strip cut 04-21 04-26 05-01", "strip inspection 05-02 05-08 05-09",
        "strip cut 05-08 05-09 05-09", "walk and pull 07-04 07-04 07-14",
        "strip cut 07-04 07-04 07-14", "strip cut 07-13 07-18 07-23",
        "strip cut 07-27 08-01 08-06", "strip cut 08-10 08-15 08-20",
        "strip cut 08-24 08-29 09-03", "strip cut 09-07 09-12 09-17",
        "strip cut 09-21 09-26 10-01", "strip cut 10-05 10-10 10-15",
        "strip cut 10-19 10-24 10-29",
    ]  # fmt: skip


@pytest.mark.parametrize(("asked", "every", "slack"), [(3, 7, 3), (10, 10, 4), (60, 14, 5)])
def test_cuts_come_no_oftener_than_weekends_and_no_rarer_than_two_weeks(
    asked, every, slack
):
    made = list(
        dated_cuts(
            ("strip",), [], Work(), StripSettings(), Season(), every_days=asked,
            first=D(2027, 1, 2), last=D(2027, 12, 31),
        )
    )  # fmt: skip
    days = [cut.ideal for cut in made]
    assert days[0] == D(2027, 4, 1)
    assert {(b - a).days for a, b in zip(days, days[1:], strict=False)} == {every}
    assert days[-1] <= D(2027, 11, 5) < days[-1] + dt.timedelta(days=every)
    assert {(cut.latest - cut.ideal).days for cut in made} == {slack}
    assert {(cut.ideal - cut.earliest).days for cut in made} == {slack}


# ---- what would help ---------------------------------------------------------------------------
def test_what_would_help_sixty_feet_to_its_last_word():
    found = remedies(60.0, CASE, STRESS, length_ft=200.0)
    assert [(row.remedy, row.works, row.on) for row in found] == [
        ("stake the edge", False, None),
        ("shorter season for the strip only", True, D(2027, 6, 26)),
        ("hand-pulling on foot", True, D(2027, 6, 1)),
        ("bare strip", True, D(2027, 6, 14)),
        ("pull the patch edge back", None, None),
        ("give up keeping it", True, None),
    ]
    text = {row.remedy: printed(row.text) for row in found}
    assert text["stake the edge"] == (
        "stake or tape the patch's edge and say so (“Edge staked”): 6 ft of the width is the "
        "walk's own error, and 71 ft are asked then, still more than there is."
    )
    assert text["shorter season for the strip only"] == (
        "cut the strip by June 26, 18 days sooner than planned with its slip; the rest of the "
        "place stays quiet."
    )
    assert text["hand-pulling on foot"] == (
        "pull and roll back the runners on foot; on this width the last time may be no earlier "
        "than June 1, inside the season if that falls there."
    )
    assert text["pull the patch edge back"] == (
        "kill or dig the vine back 18 ft there; the strip is then 77 ft wide and the patch 0.08 "
        "ac smaller."
    )
    back = found[4]
    assert (back.pull_back_ft, back.acres_given_up) == (
        18,
        pytest.approx(18 * 200 / 43560),
    )
    plain = remedies(60.0, CASE, STRESS, bare=True)
    assert plain[3].text.startswith("it is kept bare: keep the strip bare")
    assert plain[3].text.endswith("about June 14, be defended.")
    assert printed(plain[4].text).endswith("the strip is then 77 ft wide.")
    assert plain[4].acres_given_up is None


def test_a_walk_s_error_is_worth_stakes_from_half_a_foot_on():
    staked_ft = 1 / 0.3048

    def first(gain_ft):
        case = Case(CASE.last_cut, CASE.next_cut, CASE.mower, 10, staked_ft + gain_ft, 2.0)
        return remedies(60.0, case, STRESS)[0].remedy

    assert first(0.49) == "shorter season for the strip only"
    assert first(0.51) == "stake the edge"


# ---- keeping it ---------------------------------------------------------------------------------
def job(task, minutes, scheduled, area="V strip"):
    day = None if scheduled is None else D.fromisoformat(scheduled)
    return SimpleNamespace(
        area=area, task=task, minutes=minutes, scheduled=day, ideal=day or D(2027, 7, 4)
    )


def test_a_year_of_keeping_beside_getting_rid_of_it():
    jobs = [
        job("strip cut", 30.0, "2027-05-08"), job("strip cut", 30.0, None),
        job("walk and pull", 60.0, "2027-07-04"), job("strip inspection", 15.0, "2027-05-08"),
        job("strip cut", 99.0, "2027-05-08", "other"), job("clip", 99.0, "2027-05-08"),
    ]  # fmt: skip
    made = keeping("V strip", jobs, 0.5, 3.0, Equipment(fuel_price_gal=4.0), Season(), None)
    assert (made.keep.cuts, made.keep.hours) == (2, 2.25)
    assert (made.keep.fuel_gal, made.keep.dollars) == (1.0, 4.0)
    # 219 days from frost to frost: 16 cuts; 5.5 ft at 3 mph and 70 % are 1.4 ac an hour
    often = made.rid_often
    assert (often.cuts, often.hours) == (16, pytest.approx(16 * (3 / 1.4 + 10 / 60)))
    assert often.fuel_gal == pytest.approx(16 * 3 / 1.4 * 2.0)
    assert often.dollars == pytest.approx(often.fuel_gal * 4.0)
    assert made.rid_monthly.cuts == 2 * 8
    assert printed(made.text[0]) == (
        "Keeping it, a year, every year: 2 cuts, 2 hours, 1 gal of fuel, $4 of it, trips not "
        "counted."
    )
    assert (
        "for a season, 16 cuts, 37 hours, 69 gal of fuel, $274 of it; or each"
        in printed(made.text[1])
    )
    assert not any("Dollars are not worked out" in line for line in made.text)
    free = keeping("V strip", jobs, 0.5, 3.0, Equipment(), Season(), None)
    assert free.keep.dollars is None
    assert "Dollars are not worked out: “Fuel’s price” is not given." in free.text
    assert keeping("V strip", jobs[2:], 0.5, 3.0, Equipment(), Season(), None) is None


def test_nests_are_those_of_the_state_and_of_no_one_state():
    made = keeping(
        "V strip", [job("strip cut", 30.0, "2027-05-08")], 0.5, 3.0, Equipment(), Season(),
        "Alabama",
    )  # fmt: skip
    assert [line.partition(":")[0] for line in made.nests] == [
        "1 of 1 planned cuts fall in turkey nesting time (Alabama (turkey nesting), April 1 to "
        "June 30; Nesting or no-mow dates as printed there, Alabama Extension, 2020s)",
        "1 of 1 planned cuts fall in bobwhite time (South and Midwest (bobwhite), May 1 to "
        "September 30; Nesting or no-mow dates as printed there, Quail Forever field report; "
        "National Bobwhite & Grassland Initiative, 2011-2013)",
    ]
    late = [job("strip cut", 30.0, "2027-10-01"), job("strip cut", 30.0, "2027-04-30")]
    assert keeping("V strip", late, 0.5, 3.0, Equipment(), Season(), None).nests == ()


# ---- what two surveys say -------------------------------------------------------------------------
def side(direction, mean_ft, *, seen):
    return Sector(direction, mean_ft, mean_ft + 5.0, mean_ft - 8.0, mean_ft + 8.0, seen)


def moved(sectors, change, seen_by, **more):
    means = np.array([s.mean_ft for s in sectors])
    known = {"days": None, "most_ft_year": None, **more}
    return Advance(
        tuple(sectors), change, float(means.mean()), float(means.max() + 5.0), 0.0, 0.0, 16.0,
        seen_by, breach=shapely.Polygon(), **known,
    )  # fmt: skip


GREW, SAME, LESS = Change(0.4, 0.1, 0.7), Change(0.1, -0.2, 0.4), Change(-0.4, -0.7, -0.1)
END = "; less than 16 ft at one place could not have been seen."


def test_one_side_that_moved_is_told_with_its_range_and_rate():
    out = [side("N", 20.0, seen=True), side("S", 1.0, seen=False)]
    made = moved(out, SAME, ("a side",), days=365, most_ft_year=25.0)
    head = (
        "the edge moved out 20 ft on the N side (nine times in ten between +12 and +28), +25 ft "
        "at its farthest"
    )
    assert printed(made.text) == f"{head}, 25 ft a year{END}"
    grew = "; the patch changed by +0.40 ac (19 times in 20 between +0.10 and +0.70)"
    assert printed(moved(out, GREW, ("a side",)).text) == f"{head}{grew}{END}"
    back = [side("E", -20.0, seen=True), side("S", 1.0, seen=False)]
    assert printed(moved(back, SAME, ("a side",)).text).startswith(
        "the edge moved back 20 ft on the E side (nine times in ten between -28 and -12)"
    )


def test_acres_or_many_sides_that_moved():
    even = [side(way, 4.0, seen=False) for way in ("N", "S")]
    made = moved(even, GREW, ("acres",), days=730)
    told = "the patch grew: +0.40 ac (19 times in 20 between +0.10 and +0.70); its edge moved out 4 ft on average"
    assert printed(made.text) == f"{told}, 2 ft a year{END}"
    shrunk = [side(way, -4.0, seen=False) for way in ("N", "S")]
    assert printed(moved(shrunk, LESS, ("acres",)).text).startswith(
        "the patch shrank: -0.40 ac (19 times in 20 between -0.70 and -0.10); its edge moved "
        "back 4 ft on average"
    )
    many = [side(way, 18.0, seen=True) for way in ("N", "S", "E")]
    sides = "these sides moved beyond their own ranges: N +18 ft, S +18 ft, E +18 ft"
    assert printed(moved(many, SAME, ("many sides",)).text) == (
        f"{sides}; the patch changed by {printed(SAME.text)}{END}"
    )
    assert printed(moved(many, GREW, ("many sides", "acres")).text) == (
        f"the patch grew: {printed(GREW.text)}; its edge moved out 18 ft on average; {sides}{END}"
    )


def test_what_cannot_be_seen_is_said_so():
    still = [side(way, 2.0, seen=False) for way in ("N", "S")]
    assert printed(moved(still, SAME, ()).text) == (
        "these two surveys cannot see a movement below 16 ft at one place; the patch changed by "
        f"{printed(SAME.text)}; no side of the edge moved more than their own errors can make it seem "
        "(its farthest point: +7 ft)."
    )
    one = [side("N", 17.0, seen=True), side("S", 2.0, seen=False)]
    assert (
        ". These sides moved beyond their own ranges: N +17 ft; of eight sides one or two do so "
        "by chance in one unchanged pair of five, so tape that edge before you call it growth."
    ) in printed(moved(one, SAME, ()).text)
    assert not moved(one, SAME, ()).seen


@pytest.mark.parametrize(("change", "seen"), [(GREW, True), (SAME, False), (LESS, True)])
def test_a_change_in_acres_is_seen_when_its_range_leaves_out_none(change, seen):
    assert change.seen is seen
    assert Change(0.1, 0.0, 0.2).seen is False
