"""Reverse questions, remedies, frost dates and degree-days, law."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quietacre.errors import StripProblem
from quietacre.figures import printed
from quietacre.shipped import rows
from quietacre.strip.growth import (
    BASE,
    KUDZU,
    Season,
    degree_days,
    effective_days,
)
from quietacre.strip.judged import what_holds
from quietacre.strip.law import is_runner_vine, law_of, vine_rows
from quietacre.strip.remedies import remedies
from quietacre.strip.reverse import answers, holds, pass_by_pass
from quietacre.strip.width import Case, Mower, strip_width
from quietacre.units import FT_M

MOWER = Mower(1.83 / FT_M, 0.15 / FT_M)
CENTRAL, STRESS = KUDZU[1], KUDZU[2]


def case(last, after, **more):
    return Case(
        dt.date(2027, *last), dt.date(2027, *after), MOWER,
        edge_error_ft=1.0 / FT_M, watch_lane_ft=1.83 / FT_M, **more,
    )  # fmt: skip


DESIGN = case((5, 14), (7, 6), slip_days=10)

# Worked by hand from the formulas of docs/methods-strip.md, rounded to a day: width m,
# then by rate the earliest last cut for a return by July 16, the latest return after a
# cut on May 14, and days at the peak of summer.
INVERSE = [
    (6, "central", (7, 4), (5, 30), 13), (6, "stress", (7, 6), (5, 27), 10),
    (9, "central", (6, 22), (6, 12), 25), (9, "stress", (6, 26), (6, 7), 20),
    (12, "central", (6, 10), (6, 24), 28), (12, "stress", (6, 16), (6, 17), 28),
    (15, "central", (5, 27), (7, 6), 28), (15, "stress", (6, 6), (6, 27), 28),
    (20, "central", (4, 25), (7, 26), 28), (20, "stress", (5, 17), (7, 14), 28),
]  # fmt: skip


@pytest.mark.parametrize(("width_m", "name", "early", "late", "days"), INVERSE)
def test_inverse_table(width_m, name, early, late, days):
    rate = next(r for r in KUDZU if r.name == name)
    got = answers(width_m / FT_M, DESIGN, rate)
    day = dt.timedelta(days=1)
    assert abs(got.earliest_last_cut - dt.date(2027, *early)) <= day
    assert abs(got.latest_next_cut - dt.date(2027, *late)) <= day
    june = answers(width_m / FT_M, case((6, 15), (7, 6)), rate).longest_interval_days
    assert abs(june - days) <= 1


def test_each_pass_buys_days_until_the_case_holds():
    table = pass_by_pass(DESIGN, STRESS)
    assert [row.passes for row in table] == list(range(1, 16))  # 13 asked, two beyond
    days = [row.latest_next_cut for row in table if row.latest_next_cut]
    assert days == sorted(days)
    assert len(set(days)) == len(days)
    assert all(row.days_bought > 0 for row in table[3:])
    assert [row.width_ft for row in table] == [MOWER.built_ft(n) for n in range(1, 16)]
    for row, before in zip(table[1:], table, strict=False):
        known = row.latest_next_cut and before.latest_next_cut
        days = (row.latest_next_cut - before.latest_next_cut).days if known else None
        assert row.days_bought == days
    assert table[0].days_bought is None
    held = next(
        row for row in table if row.latest_next_cut and row.latest_next_cut >= DESIGN.until
    )
    assert held.passes == strip_width(DESIGN)["stress"].passes


def test_remedies_in_order_and_each_keeps_its_word():
    width_ft = 12.0 / FT_M
    found = remedies(width_ft, DESIGN, STRESS, length_ft=300.0)
    assert [row.remedy for row in found] == [
        "shorter season for the strip only", "hand-pulling on foot", "bare strip",
        "pull the patch edge back", "give up keeping it",
    ]  # fmt: skip
    assert all(row.costs for row in found)
    back = found[3]
    assert holds(width_ft + back.pull_back_ft, DESIGN, STRESS)
    assert not holds(width_ft + back.pull_back_ft - 1.1, DESIGN, STRESS)
    assert back.acres_given_up == pytest.approx(back.pull_back_ft * 300 / 43560)
    shorter = case((5, 14), (7, 6))
    until = found[0].on
    assert holds(width_ft, case((5, 14), (until.month, until.day)), STRESS)
    pulled = found[1].on
    assert holds(width_ft, case((pulled.month, pulled.day), (7, 16)), STRESS)
    assert not holds(width_ft, shorter, STRESS)


def test_no_more_is_given_up_than_there_is():
    back = remedies(12.0 / FT_M, DESIGN, STRESS, length_ft=300.0, patch_ac=0.1)[3]
    assert back.acres_given_up == 0.1
    assert "hardly any of the patch is left" in back.text
    assert "smaller" not in back.text


def test_never_a_silent_ok_and_none_when_it_holds():
    assert remedies(22.0 / FT_M, DESIGN, STRESS) == ()
    narrow = remedies(3.0 / FT_M, DESIGN, STRESS)
    assert len(narrow) == 5
    assert [row.works for row in narrow] == [False, False, False, None, True]
    dirty = case((5, 14), (7, 16), live_node_ft=5.0)
    wide = strip_width(case((5, 14), (7, 16)))["stress"].required_ft
    by = {row.remedy: row for row in remedies(wide, dirty, STRESS)}
    assert "then it holds" in by["hand-pulling on foot"].text


def test_stakes_come_first_where_the_walk_s_error_is_part_of_the_width():
    walked = replace(DESIGN, edge_error_ft=12.3)
    asked = strip_width(walked)["stress"].required_ft
    first = remedies(asked - 5.0, walked, STRESS)[0]
    assert (first.remedy, first.works) == ("stake the edge", True)
    assert "9 ft of the width is the walk's own error" in printed(
        first.text
    )  # 12.3 less 1 m
    assert remedies(asked - 20.0, walked, STRESS)[0].works is False
    assert remedies(10.0, DESIGN, STRESS)[0].remedy != "stake the edge"  # staked already


@given(
    st.integers(100, 200), st.integers(10, 100), st.sampled_from(KUDZU), st.integers(1, 10)
)
@settings(max_examples=80, deadline=None)
def test_width_to_dates_to_width(day, gap, rate, earlier):
    last = dt.date(2027, 1, 1) + dt.timedelta(days=day)
    season = Season((4, 10 + earlier), (10, 30))
    this = Case(last, last + dt.timedelta(days=gap), Mower(6.0, 0.5), season=season)
    wide = strip_width(this)[rate.name].required_ft
    got = answers(wide, this, rate)
    early = got.earliest_last_cut
    back = Case(early, this.until, this.mower, season=season)
    assert strip_width(back)[rate.name].required_ft <= wide + 1e-6
    assert early <= last
    late = got.latest_next_cut
    assert late >= this.until


def test_frost_dates_shift_and_stretch_the_season():
    late = Season((4, 30), (10, 6))  # north: a month later out, a month sooner in
    year = (dt.date(2026, 12, 31), dt.date(2027, 12, 31))
    share = effective_days(*year, late) / effective_days(*year)
    assert share == pytest.approx(159 / 219, rel=0.01)
    may = (dt.date(2027, 5, 1), dt.date(2027, 5, 31))
    assert effective_days(*may, late) < effective_days(*may)
    assert effective_days(*may, BASE) == effective_days(*may)
    with pytest.raises(StripProblem, match="frost"):
        Season((11, 1), (4, 1))


def test_degree_days_take_the_larger_share():
    """A made year, 16 °C on average and 11 either side: degree-days above 10 °C by hand."""
    days = [dt.date(2024, 1, 1) + dt.timedelta(days=n) for n in range(366)]
    mean = 16.0 - 11.0 * np.cos(2 * np.pi * (np.arange(366) - 20) / 366)
    table = degree_days(days, mean - 6, mean + 6)
    assert table[196] == pytest.approx(mean[196] - 10.0)
    season = Season(degree_days=table)
    gap = (dt.date(2027, 5, 14), dt.date(2027, 7, 6))
    share = sum(table[n] for n in range(135, 188)) / sum(table)
    assert 0.24 < share < 0.33  # the weights give 36 %
    assert effective_days(*gap, season) == pytest.approx(effective_days(*gap))
    autumn = (dt.date(2027, 9, 20), dt.date(2027, 10, 25))
    assert effective_days(*autumn, season) > effective_days(*autumn)
    with pytest.raises(StripProblem, match="whole year"):
        degree_days(days[:200], mean[:200], mean[:200])


def test_law_says_what_was_read_and_unknown_says_unknown():
    indiana = law_of("Kudzu", "IN")
    assert indiana.status == "unlawful to keep"
    assert len(indiana.eradication) >= 5
    assert law_of("kudzu", "OH").eradication == ()
    honeysuckle = law_of("Japanese honeysuckle", "MN")  # its steps were not read
    assert honeysuckle.unlawful
    assert honeysuckle.eradication == ()
    assert law_of("kudzu", "TN").status == "not on its list"
    assert not law_of("kudzu", "TN").unlawful
    kinds = {"unlawful to keep", "listed", "sale or movement barred", "no list of its own"}
    assert {row["status"] for row in rows("vine_law")} <= {
        *kinds,
        "not on its list",
        "proposed",
    }
    assert {row["vine"] for row in rows("vine_law")} <= {*vine_rows(), "any"}
    for vine, state in (("kudzu", "AL"), ("kudzu", None), ("wisteria", "IN")):
        assert law_of(vine, state).status == "unknown"
        assert "ask the state department of agriculture" in law_of(vine, state).text
    known = {row["id"] for row in rows("sources")}
    for table in ("vines", "vine_law", "vine_eradication"):
        assert {one for row in rows(table) for one in row["source"].split(";")} <= known
        assert all(None not in row and None not in row.values() for row in rows(table))


def test_only_kudzu_has_a_model():
    assert [name for name in vine_rows() if is_runner_vine(name)] == ["kudzu"]
    assert {row["control"] for row in vine_rows().values()} == {
        "model",
        "runner control only",
    }


def test_intervals_are_shown_from_the_first_of_each_growing_month():
    shown = answers(12.0 / FT_M, DESIGN, STRESS).intervals
    assert [one.from_ for one in shown] == [dt.date(2027, n, 1) for n in range(4, 11)]
    days = [one.days for one in shown]
    # four weeks where the vine is slow; in July the 8.2 m left of 12 are 27 days at 0.305 m
    assert days[0] == days[-1] == 28
    for one in shown:
        until = one.from_ + dt.timedelta(days=one.days)
        assert holds(
            12.0 / FT_M,
            replace(DESIGN, last_cut=one.from_, next_cut=until, slip_days=0),
            STRESS,
        )


def test_a_width_of_nothing_but_margins_is_helped_by_no_date():
    """No day of growth fits: neither an earlier cut nor pulling by hand makes it hold."""
    rows = {row.remedy: row for row in remedies(DESIGN.fixed_ft, DESIGN, STRESS)}
    shorter = rows["shorter season for the strip only"]
    assert (shorter.works, shorter.on) == (False, None)
    assert shorter.text == "no cut after the last one comes soon enough."
    pulled = rows["hand-pulling on foot"]
    assert pulled.works is False
    assert "does not make this width hold at any date" in pulled.text


def test_giving_up_as_much_as_there_is_leaves_nothing():
    short = remedies(12.0 / FT_M, DESIGN, STRESS, length_ft=300.0)[3]
    just = remedies(
        12.0 / FT_M, DESIGN, STRESS, length_ft=300.0, patch_ac=short.acres_given_up
    )[3]
    assert "hardly any of the patch is left" in just.text


# ---- warmth ----------------------------------------------------------------------------------------
def test_the_warmth_of_leap_day_counts_in_leap_years_alone():
    """Half of the year's degree-days on February 29, the other half on July 1."""
    table = [0.0] * 366
    table[59] = table[182] = 1.0
    season = Season(degree_days=tuple(table))
    whole = effective_days(dt.date(2026, 12, 31), dt.date(2027, 12, 31))
    leap = effective_days(dt.date(2028, 2, 28), dt.date(2028, 2, 29), season)
    assert leap == pytest.approx(whole / 2)
    assert effective_days(dt.date(2027, 2, 27), dt.date(2027, 3, 2), season) == 0.0
    july = effective_days(dt.date(2027, 6, 30), dt.date(2027, 7, 1), season)
    assert july == pytest.approx(whole)


@pytest.mark.parametrize(("missing", "covers"), [(30, True), (31, False)])
def test_a_month_without_temperatures_may_be_filled_in_and_a_day_more_may_not(
    missing, covers
):
    days = [dt.date(2025, 1, 1) + dt.timedelta(days=n) for n in range(365)]
    left = [day for n, day in enumerate(days) if not 200 <= n < 200 + missing]
    warm = np.full(len(left), 20.0)
    if covers:
        assert degree_days(left, warm, warm) == pytest.approx([10.0] * 366)
        return
    with pytest.raises(StripProblem, match="do not cover a whole year"):
        degree_days(left, warm, warm)


def test_a_year_without_warmth_or_without_a_day_is_none():
    days = [dt.date(2025, 1, 1) + dt.timedelta(days=n) for n in range(365)]
    cold = np.full(365, 5.0)
    with pytest.raises(StripProblem, match="whole year"):
        degree_days(days, cold, cold)
    with pytest.raises(StripProblem, match="frost"):
        Season((5, 1), (5, 1))


def test_cuts_in_the_wrong_order_have_no_growth_between_them():
    for first, second in (((7, 6), (5, 14)), ((7, 6), (7, 6))):
        assert effective_days(dt.date(2027, *first), dt.date(2027, *second)) == 0.0
    assert effective_days(dt.date(2028, 5, 1), dt.date(2027, 5, 14)) == 0.0


def test_vine_is_given_up_along_the_stretches_that_do_not_hold_alone():
    """12 m hold too little along 200 ft; 21 m hold along 900 ft, as the whole width does."""
    weak = [
        SimpleNamespace(available_ft=12.0 / FT_M, length_ft=200.0),
        SimpleNamespace(available_ft=21.0 / FT_M, length_ft=900.0),
    ]

    def back(stretches, vine="kudzu"):
        made = what_holds(
            22.0 / FT_M, stretches, DESIGN, STRESS, planned_ft=22.0 / FT_M, length_ft=5_000.0,
            patch_ac=9.0, bare=False, vine=vine,
        )  # fmt: skip
        return made, next(
            (one for one in made.remedies if hasattr(one, "pull_back_ft")), None
        )

    made, some = back(weak)
    assert made.holds is False
    assert some.acres_given_up == pytest.approx(some.pull_back_ft * 200.0 / 43_560)
    held, none = back(weak[1:])
    assert (held.holds, none, held.remedies) == (True, None, ())
    rose, none = back(weak, "multiflora rose")
    assert (rose.holds, none, rose.cut_every_days) == (None, None, 14)
