"""The last day of a season, what is told of one that is over, and which planting is named first."""

import datetime as dt
from dataclasses import replace
from types import SimpleNamespace

import pytest

from quietacre.settings import Area, Mix, Planting, Property, PropertyInfo, Seed, Work
from quietacre.year.next_planting import offer_note, offered_day, offers_of
from quietacre.year.planting_season import PlantingSeason
from quietacre.year.seasons import first_day, season_told, seasons_of

D = dt.date
DAY = dt.timedelta(days=1)
PLANT = D(2027, 9, 25)
WHEAT = Mix("wheat", (Seed("wheat"),))
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))


def place(plant, **more):
    area = Area("Hill", "plot", "h.gpx", mix="wheat", plant=plant, **more)
    return Property(PropertyInfo("Home"), area=(area,), mix=(WHEAT,), work=EVERY_DAY)


def meant(plant, today, done=None, **more):
    (row,) = seasons_of(place(plant), today, done, **more).rows
    return row


def test_a_sowing_is_worth_doing_while_the_cage_can_still_be_set_after_it():
    """It may come until October 9; the cage after it may be set until October 16."""
    assert meant(PLANT, D(2027, 1, 5)).last == D(2027, 10, 16)
    assert meant(PLANT, D(2027, 10, 16)).state == "ahead"
    assert meant(PLANT, D(2027, 10, 17)).state == "over"


def test_a_planting_with_a_day_of_its_own_that_was_not_sown_is_over_and_no_other_is_planned():
    found = seasons_of(place(PLANT), D(2027, 11, 20))
    assert [(row.plant, row.state) for row in found.rows] == [(PLANT, "over")]
    assert (found.unsown, found.notes) == ((), ())


def test_the_last_day_of_a_season_that_was_sown():
    """The cage is read until December 24, and two weeks late; when all is done, with the last."""
    sown = {("Hill", "plant"): (D(2027, 9, 24),)}
    assert meant(PLANT, D(2027, 9, 25), sown).last == D(2028, 1, 7)
    done = {
        **sown,
        ("Hill", "set exclosure"): (D(2027, 10, 1),),
        ("Hill", "top-dress"): (D(2027, 11, 1),),
        ("Hill", "read exclosure"): (D(2027, 11, 24),),
    }
    for today in (D(2027, 11, 24), D(2028, 3, 1)):
        row = meant(PLANT, today, done)
        assert (row.last, row.state, row.sown_on) == (
            D(2027, 11, 24), "finished", D(2027, 9, 24),
        )  # fmt: skip


@pytest.mark.parametrize(("on", "sown"), [(0, True), (1, False)])
def test_a_ticked_line_counts_from_its_own_day(on, sown):
    """A line with the letters of the sowing, of today or of tomorrow."""
    from quietacre.year.plan import Ground, plan_days

    today = D(2027, 9, 20)
    ground = Ground(("a01",), (1.0,), {}, (), today, {})
    (task,) = [
        t
        for t in plan_days(ground, place(PLANT), effort="plain").tasks
        if t.task == "plant"
    ]
    line = SimpleNamespace(on=today + on * DAY, area="Hill", task="sowed")
    row = meant(PLANT, today, ticked={task.letters: line})
    assert row.sown_on == (today if sown else None)
    assert row.state == ("growing" if sown else "ahead")


def row(day, state):
    return PlantingSeason("a01", "a01", "Hill", "wheat", day, None, state, None, day)


def test_the_planting_that_is_ahead_is_named_first_and_of_those_the_next():
    grows, soon, late = (
        row(D(2027, 5, 10), "growing"), row(D(2027, 9, 25), "ahead"), row(D(2027, 10, 9), "ahead"),
    )  # fmt: skip
    assert first_day([late, grows, soon]) == D(2027, 9, 25)
    assert first_day([row(D(2027, 9, 25), "finished"), grows]) == D(2027, 5, 10)
    assert first_day([]) is None


def test_a_season_is_told_with_the_day_that_is_offered():
    told = season_told(row(PLANT, "over"), (D(2028, 9, 23), "about the same"))
    assert (told.next, told.next_text, told.year) == (
        D(2028, 9, 23),
        "about the same",
        2027,
    )
    told = season_told(row(PLANT, "over"))
    assert (told.next, told.next_text) == (None, None)


def test_of_two_plantings_each_missed_one_is_called_by_its_mix():
    rows = (Planting("wheat", "09-25"), Planting("peas", "05-10"))
    area = Area("Hill", "plot", "h.gpx", plantings=rows)
    peas = Mix("peas", (Seed("cowpea (iron-and-clay type)"),))
    prop = replace(place(PLANT), area=(area,), mix=(WHEAT, peas))
    found = seasons_of(prop, D(2027, 11, 20))
    (text,) = [one.text for one in found.missed_jobs() if "wheat" in one.text]
    assert text.startswith("plant wheat, by October 16, 2027: nothing is sown")
    (note,) = [one for one in found.notes if "wheat" in one.text]
    assert "the planting wheat of September 25, 2027 is not in the log" in note.text
    assert (
        "so that of September 25, 2028 is planned, for its day comes back each year"
        in note.text
    )


# the next season


def test_the_second_of_two_plantings_is_offered_with_its_own_place_and_top_dressing():
    """Sown on May 12 and September 24, 2027; top-dressed November 1, 37 days after the 25th."""
    rows = (
        Planting("peas", D(2027, 5, 10), topdress_on=D(2027, 6, 20)),
        Planting("wheat", PLANT, topdress_on=D(2027, 11, 1)),
    )
    areas = (
        Area("Road", "road", "r.gpx"),
        Area("Hill", "plot", "h.gpx", plantings=rows),
    )
    peas = Mix("peas", (Seed("cowpea (iron-and-clay type)"),))
    prop = replace(place(PLANT), area=areas, mix=(WHEAT, peas))
    today = D(2028, 3, 1)
    done = {("Hill", "plant"): (D(2027, 5, 12), D(2027, 9, 24))}
    first, second = offers_of(seasons_of(prop, today, done), today)
    assert (first.path, second.path) == (
        ("area", 1, "plantings", 0),
        ("area", 1, "plantings", 1),
    )
    assert (first.day, second.day) == (D(2028, 5, 12), D(2028, 9, 24))
    assert second.later == D(2028, 9, 24) + 37 * DAY
    assert first.later == D(2028, 5, 12) + 41 * DAY
    note = offer_note(second)
    assert note.text.startswith(
        "wheat: this season is finished. Sow it again? same as last time"
    )
    assert note.text.endswith("“quietacre next DIR --write” sets it.")
    told = offered_day(second)
    assert (told.planting, told.last, told.day) == ("a02.2", D(2027, 9, 24), D(2028, 9, 24))


def test_a_season_without_a_line_is_offered_by_the_day_it_was_meant_for():
    prop, today = place(D(2026, 9, 25)), D(2028, 2, 1)
    (offer,) = offers_of(seasons_of(prop, today), today)
    assert offer_note(offer).text.startswith("this season is over. Sow it again?")
    assert offered_day(offer).last == D(2026, 9, 25)
    away = replace(prop, work=Work((), extra_days=(D(2028, 10, 5),)))
    (offer,) = offers_of(seasons_of(away, today), today)
    assert offer.text == (
        "last time September 25, 2026, not in the log; October 5, 2028 is the nearest day of "
        "yours to that which quiet seasons, windows and frost leave"
    )
    never = replace(prop, work=Work((), extra_days=(D(2028, 12, 5),)))
    (offer,) = offers_of(seasons_of(never, today), today)
    assert "no day of yours within 28 days of September 25, 2028 is out of" in offer.text
    assert "sets it" not in offer_note(offer).text
