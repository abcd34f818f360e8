"""The strip's dated cuts: one set of rules for its width and for the year."""

import datetime as dt
import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quietacre.quiet import seasons, shut_by, spans
from quietacre.settings import Quiet, StripSettings, Work
from quietacre.strip.cuts import around, dated_cuts, hardest, next_open, words_of
from quietacre.strip.growth import Season

NESTING = Quiet("nesting", "05-15", "07-03")
WEEKEND = Work()
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
WORDS = words_of("patch", ["V"], "V strip")
D = dt.date
NO_OWN = StripSettings()
HERE = Season()
NEW_YEAR = D(2027, 1, 2)


def cuts(quiet, work=WEEKEND, own=NO_OWN, *, today=NEW_YEAR, every=14,
         growth=HERE):  # fmt: skip
    found = seasons(quiet, 2025, 2030)
    return list(
        dated_cuts(WORDS, found, work, own, growth, every_days=every, first=today,
                   last=D(today.year, 12, 31))
    )  # fmt: skip


def labelled(made, label):
    return [cut for cut in made if cut.label == label]


def test_the_weekend_before_nesting_2027():
    """May 15 2027 is a Saturday: the weekend before is May 8-9. July 4 is a Sunday."""
    made = cuts([NESTING])
    (last,) = labelled(made, "last strip cut before the quiet")
    assert (last.earliest, last.latest) == (D(2027, 5, 8), D(2027, 5, 9))
    (first,) = labelled(made, "first strip cut after the quiet")
    assert (first.earliest, first.latest) == (D(2027, 7, 4), D(2027, 7, 14))
    (look,) = labelled(made, "walk the strip edge, record live nodes")
    assert look.latest <= last.latest
    (pull,) = labelled(made, "walk the strip, pull rooted runners")
    assert pull.earliest == first.earliest


def test_who_has_every_day_cuts_on_the_eve():
    (last,) = labelled(cuts([NESTING], EVERY_DAY), "last strip cut before the quiet")
    assert last.earliest == last.latest == D(2027, 5, 14)


def test_the_width_is_for_the_earlier_day_and_the_latest_that_weather_can_make():
    found = seasons([NESTING], 2026, 2028)
    gap = hardest(
        WORDS, found, WEEKEND, StripSettings(slip_days=12), Season(), D(2027, 1, 2)
    )
    assert gap.last_cut == (D(2027, 5, 8), D(2027, 5, 9))
    assert gap.next_cut == (D(2027, 7, 4), D(2027, 7, 16))


def test_dates_of_ones_own_hold_in_the_year_too():
    own = StripSettings(last_cut=D(2027, 5, 1), next_cut=D(2027, 7, 10), slip_days=3)
    made = cuts([NESTING], own=own)
    (last,) = labelled(made, "last strip cut before the quiet")
    (first,) = labelled(made, "first strip cut after the quiet")
    assert (last.earliest, last.latest) == (D(2027, 5, 1), D(2027, 5, 1))
    assert (first.earliest, first.latest) == (D(2027, 7, 10), D(2027, 7, 13))


def test_no_more_than_four_weeks_lie_between_cuts_of_the_open_year():
    made = [cut for cut in cuts([NESTING]) if cut.task == "strip cut"]
    for one, two in itertools.pairwise(sorted(made, key=lambda cut: cut.ideal)):
        if (one.label, two.label) == (
            "last strip cut before the quiet", "first strip cut after the quiet",
        ):  # fmt: skip
            continue
        assert (two.latest - one.earliest).days <= 28


def test_a_season_from_before_green_up_is_cut_before_it_begins():
    """Ohio's dates of the shipped list, March 1 to July 15: the vine runs from April 1."""
    made = cuts([Quiet("nesting", "03-01", "07-15")])
    (last,) = labelled(made, "last strip cut before the quiet")
    assert last.latest == D(2027, 2, 28)
    assert min(cut.ideal for cut in labelled(made, "routine strip cut")) > D(2027, 7, 15)


def test_seasons_that_meet_are_one_span():
    """Two that overlap, and one that begins the day after the other's end."""
    quiet = [NESTING, Quiet("poults", "06-20", "07-31"), Quiet("late", "08-01", "08-10")]
    found = seasons(quiet, 2027, 2027)
    (span,) = [s for s in spans(WORDS, found) if s.first.year == 2027]
    assert (span.first, span.last, span.days) == (D(2027, 5, 15), D(2027, 8, 10), 88)
    assert span.called == "the nesting season, the poults season and the late season"
    made = cuts(quiet)
    assert len(labelled(made, "last strip cut before the quiet")) == 1


def test_a_season_for_plots_leaves_the_strip_alone():
    made = cuts([Quiet("stands", "05-01", "08-31", ("plot",))])
    assert {cut.label for cut in made} == {"routine strip cut"}
    found = seasons([Quiet("stands", "05-01", "08-31", ("plot",))], 2027, 2028)
    assert hardest(WORDS, found, WEEKEND, NO_OWN, HERE, D(2027, 1, 2)) is None
    for word in ("V", "strip", "V strip", "patch"):
        named = seasons([Quiet("q", "05-01", "08-31", (word,))], 2027, 2028)
        gap = hardest(WORDS, named, WEEKEND, NO_OWN, HERE, D(2027, 1, 2))
        assert gap is not None


def test_a_season_across_new_year_is_cut_round_once():
    made = cuts([Quiet("winter", "10-15", "04-20")])
    (first,) = labelled(made, "first strip cut after the quiet")
    assert first.earliest == D(2027, 4, 24)  # a Saturday; April 21 is a Wednesday
    lasts = labelled(made, "last strip cut before the quiet")
    assert [cut.latest for cut in lasts] == [D(2026, 10, 11), D(2027, 10, 10)]
    keys = [(cut.key, cut.task) for cut in made]
    assert len(keys) == len(set(keys))


def test_a_cool_place_cuts_in_its_own_months():
    growth = Season((5, 10), (9, 25))
    made = cuts([NESTING], growth=growth)
    ideal = [cut.ideal for cut in made if cut.label == "routine strip cut"]
    assert ideal
    assert all(D(2027, 5, 10) < day <= D(2027, 9, 25) for day in ideal)


def test_the_day_of_the_plan_changes_no_date_and_no_key():
    plans = [
        {(c.key, c.task, c.ideal) for c in cuts([NESTING], today=day)}
        for day in (D(2027, 1, 2), D(2027, 4, 17), D(2027, 8, 9))
    ]
    assert plans[0] == plans[1] == plans[2]


month_days = st.dates(D(2027, 1, 1), D(2027, 12, 31)).map(lambda d: d.strftime("%m-%d"))


@given(
    st.lists(st.builds(Quiet, st.just("q"), month_days, month_days), max_size=3),
    st.sampled_from([WEEKEND, EVERY_DAY, Work(("wed",))]),
    st.integers(3, 20),
)
@settings(max_examples=80, deadline=None)
def test_what_round_the_quiet_holds_whatever_the_seasons(quiet, work, every):
    found = seasons(quiet, 2025, 2030)
    made = cuts(quiet, work, every=every)
    assert len({(cut.key, cut.task) for cut in made}) == len(made)
    for cut in made:
        assert cut.earliest <= cut.ideal <= cut.latest
    for span in spans(WORDS, found):
        if span.days > 300:
            continue
        one = around(span, WORDS, found, work, StripSettings())
        assert one.last_cut[0] <= one.last_cut[1] < span.first
        assert one.next_cut[0] > span.last
        assert shut_by(span.first - dt.timedelta(1), WORDS, found) is None
        assert shut_by(span.last + dt.timedelta(1), WORDS, found) is None


@pytest.mark.parametrize(("held", "spacing"), [(3, 7), (9, 9), (14, 14), (40, 14)])
def test_spacing_follows_what_the_width_holds(held, spacing):
    ideal = [cut.ideal for cut in cuts([], every=held)]
    assert {(b - a).days for a, b in itertools.pairwise(ideal)} == {spacing}


# ---- a day more or less ---------------------------------------------------------------------------
def one_quiet(start, end, first=2027, last=2027):
    return seasons([Quiet("q", start, end)], first, last)


def test_three_workdays_in_a_row_are_a_weekend_and_four_are_not():
    """May 18 2027 is a Tuesday; a weekend's day before will do too."""
    found = one_quiet("05-18", "07-03")
    (span,) = [one for one in spans(WORDS, found) if one.first.year == 2027]
    for days, early in (
        (("sat", "sun", "mon"), D(2027, 5, 16)),
        (("fri", "sat", "sun", "mon"), D(2027, 5, 17)),
        (("mon",), D(2027, 5, 17)),
    ):
        one = around(span, WORDS, found, Work(days), NO_OWN)
        assert one.last_cut == (early, D(2027, 5, 17)), days


@pytest.mark.parametrize(("days", "belongs"), [(60, True), (61, False)])
def test_a_date_of_ones_own_belongs_to_the_quiet_within_sixty_days(days, belongs):
    found = one_quiet("05-15", "07-03")
    (span,) = [one for one in spans(WORDS, found) if one.first.year == 2027]
    before, after = (
        D(2027, 5, 15) - dt.timedelta(days),
        D(2027, 7, 3) + dt.timedelta(days),
    )
    one = around(
        span, WORDS, found, EVERY_DAY, StripSettings(last_cut=before, next_cut=after)
    )
    assert (one.last_cut[0] == before) is (one.next_cut[0] == after) is belongs


def test_two_months_ahead_is_as_far_as_a_free_day_is_looked_for():
    day = D(2027, 1, 1)
    for ahead, found in ((59, day + dt.timedelta(days=59)), (60, day)):
        work = Work((), extra_days=(day + dt.timedelta(days=ahead),))
        assert next_open(day, (), (), work) == found


def test_a_quiet_that_ended_on_new_year_s_day_still_counts_for_its_year():
    """From August 1 to January 1, twice alike: that of the year before comes first."""
    found = seasons([Quiet("q", "08-01", "01-01")], 2027, 2027)
    gap = hardest(WORDS, found, EVERY_DAY, NO_OWN, HERE, D(2027, 3, 1))
    assert gap.span.first == D(2026, 8, 1)


def test_a_quiet_counts_from_a_year_before_it_on():
    found = [
        one for one in one_quiet("05-15", "07-03", 2028, 2028) if one.first.year == 2028
    ]
    assert hardest(WORDS, found, EVERY_DAY, NO_OWN, HERE, D(2027, 5, 14)) is None
    gap = hardest(WORDS, found, EVERY_DAY, NO_OWN, HERE, D(2027, 5, 15))
    assert gap.span.first == D(2028, 5, 15)


def test_what_may_begin_on_the_last_day_asked_for_is_told():
    found = one_quiet("05-15", "07-03")

    def until(last):
        made = dated_cuts(
            WORDS, found, WEEKEND, NO_OWN, HERE, every_days=14, first=NEW_YEAR, last=last
        )
        return [cut.label for cut in made]

    assert "last strip cut before the quiet" in until(D(2027, 5, 8))
    assert "last strip cut before the quiet" not in until(D(2027, 5, 7))


@pytest.mark.parametrize(("second", "lasts"), [("07-09", 2), ("07-08", 1)])
def test_between_two_quiets_a_week_apart_the_strip_is_cut_twice_and_nearer_once(
    second, lasts
):
    """From July 1 to the eve of the second quiet: seven days, or six."""
    quiet = [Quiet("a", "05-15", "06-30"), Quiet("b", second, "08-20")]
    made = cuts(quiet, EVERY_DAY)
    assert len(labelled(made, "last strip cut before the quiet")) == lasts
    assert len(labelled(made, "first strip cut after the quiet")) == 2
    between = [
        cut
        for cut in labelled(made, "routine strip cut")
        if D(2027, 7, 1) < cut.ideal < D(2027, 7, 9)
    ]
    assert between == []


@pytest.mark.parametrize(
    ("frost", "last"), [((10, 28), D(2027, 10, 28)), ((10, 27), D(2027, 10, 14))]
)
def test_the_day_of_the_first_frost_is_the_last_for_a_cut(frost, last):
    """Every two weeks from April 1: the fifteenth step falls on October 28."""
    made = cuts([], growth=Season((3, 31), frost))
    assert max(cut.ideal for cut in made) == last
