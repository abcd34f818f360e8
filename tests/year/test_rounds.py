"""Jobs that come round without a planting: turns, the log, quiet seasons, burns."""

import datetime as dt

import geopandas as gpd
import pytest
from pydantic import TypeAdapter
from shapely.geometry import box

from quietacre.errors import SettingsProblem
from quietacre.intake.property import parse_property
from quietacre.quiet import seasons, shut_by
from quietacre.settings import Area, Property, PropertyInfo, Round
from quietacre.year.report import plan_year
from quietacre.year.rounds import round_tasks, turns_of


def prop_of(areas, rounds, **more):
    return TypeAdapter(Property).validate_python(
        {
            "property": {"name": "Test place"},
            "quiet": [
                {"name": "nesting", "start": "05-15", "end": "07-03", "keeps_out": "all"}
            ],
            "area": [
                {"name": name, "kind": kind, "from": "x.geojson"} for name, kind in areas
            ],
            "round": rounds,
            **more,
        }
    )


def year_of(prop, today, done=None):
    frame = gpd.GeoDataFrame(
        {
            "id": list(prop.area_by_id),
            "name": [area.name for area in prop.area],
            "kind": [area.kind for area in prop.area],
            "acres": [10.0 + n for n in range(len(prop.area))],
        },
        geometry=[
            box(-86.3 + n / 100, 33.2, -86.295 + n / 100, 33.205)
            for n in range(len(prop.area))
        ],
        crs="EPSG:4326",
    )
    plan = plan_year(frame, prop, today=today, needs={}, done=done)
    return plan.report["tasks"], plan.notes


ROADS = {"task": "clip roads", "every": "1 year", "months": ["04-15", "07-31"], "kind": "road",
         "machine": "mower", "source": "common practice"}  # fmt: skip


def test_a_yearly_job_comes_each_year_outside_the_quiet_season():
    prop = prop_of([("Ridge road", "road"), ("Hill", "timber")], [ROADS])
    tasks, _ = year_of(prop, dt.date(2027, 1, 10))
    assert [task["area"] for task in tasks] == ["Ridge road"]
    day = dt.date.fromisoformat(tasks[0]["scheduled"])
    assert dt.date(2027, 4, 15) <= day <= dt.date(2027, 7, 31)
    assert shut_by(day, ("road", "Ridge road"), seasons(prop.quiet, 2026, 2028)) is None
    # 10 ac at (6 - 0.5) ft × 3 mph × 0.7 / 8.25 ac an hour, and ten minutes
    assert tasks[0]["minutes"] == pytest.approx(60 * 10 / (5.5 * 3 * 0.7 / 8.25) + 10)
    assert "common practice" in tasks[0]["reason"]


@pytest.mark.parametrize("after", [False, True])
def test_a_time_that_is_all_quiet_moves_before_or_after_and_says_so(after):
    rule = ROADS | {"months": ["05-20", "06-20"], "after_quiet": after}
    tasks, _ = year_of(prop_of([("Ridge road", "road")], [rule]), dt.date(2027, 1, 10))
    day = dt.date.fromisoformat(tasks[0]["scheduled"])
    assert day > dt.date(2027, 7, 3) if after else day < dt.date(2027, 5, 15)
    assert any("falls in" in note for note in tasks[0]["notes"])


NATIVE = {"task": "disk cover", "every": "3 years", "months": ["11-01", "02-28"], "kind": "native",
          "machine": "disk"}  # fmt: skip
FIELDS = [(f"Field {n}", "native") for n in range(1, 7)]


def test_pieces_take_turns_and_each_comes_once_in_three_years():
    prop = prop_of(FIELDS, [NATIVE])
    seen = []
    for year in (2027, 2028, 2029):
        tasks, notes = year_of(prop, dt.date(year, 3, 15))
        tasks = [task for task in tasks if task["state"] == "planned"]
        seen += [task["area"] for task in tasks]
        assert len(tasks) == 2
        share = next(note for note in notes if note.code == "round-share")
        assert all(task["area"] in share.text for task in tasks)
    assert sorted(seen) == [name for name, _ in FIELDS]


def test_the_log_counts_from_the_day_it_was_done():
    prop = prop_of(FIELDS[:2], [NATIVE])
    done = {("Field 1", "disk cover"): [dt.date(2026, 12, 5)],
            ("Field 2", "disk cover"): [dt.date(2024, 12, 5)]}  # fmt: skip
    tasks, notes = year_of(prop, dt.date(2027, 3, 15), done)
    states = {task["area"]: (task["state"], task["scheduled"]) for task in tasks}
    assert states["Field 1"] == ("done", "2026-12-05")  # it stays in the list
    (open_,) = [task for task in tasks if task["state"] != "done"]
    assert open_["area"] == "Field 2"
    assert "December 5, 2024" in open_["reason"]
    tasks, _ = year_of(prop, dt.date(2029, 3, 15), done)
    assert {task["area"] for task in tasks} == {"Field 1", "Field 2"}
    assert not [note for note in notes if note.code == "log-remark"]


def test_a_word_of_the_trade_in_the_log_counts_for_the_round():
    rule = ROADS | {"task": "mow"}
    prop = prop_of([("Ridge road", "road")], [rule])
    done = {("Ridge road", "clip"): [dt.date(2027, 4, 20)]}
    tasks, _ = year_of(prop, dt.date(2027, 4, 25), done)
    assert [(t["state"], t["scheduled"]) for t in tasks][0] == ("done", "2027-04-20")
    assert all(task["earliest"] >= "2028" for task in tasks if task["state"] != "done")


BURNS = {"task": "burn", "every": "3 years", "months": ["02-01", "03-15"], "kind": "burn"}


def test_burn_blocks_come_in_turn_with_all_that_goes_before():
    prop = prop_of([(f"Block {n}", "burn") for n in range(1, 4)], [BURNS])
    tasks, notes = year_of(prop, dt.date(2026, 11, 27))
    assert len({task["area"] for task in tasks}) == 1
    # another block had its turn in the winter before: this one has missed nothing
    assert all(task["state"] != "missed" for task in tasks)
    assert {task["task"] for task in tasks} == {
        "burn plan and permit",
        "firebreak",
        "burn window",
    }
    share = next(note for note in notes if note.code == "round-share")
    assert "33.0 ac" in share.text
    done = {(f"Block {n}", "burn window"): [dt.date(2023 + n, 2, 20)] for n in range(1, 4)}
    tasks, _ = year_of(prop, dt.date(2026, 11, 27), done)
    open_ = {task["area"] for task in tasks if task["state"] not in ("done", "missed")}
    assert open_ == {"Block 1"}  # last burned in 2024
    assert [t["scheduled"] for t in tasks if t["task"] == "burn window" and t["state"] == "done"] == [
        "2026-02-20"
    ]  # fmt: skip


@pytest.mark.parametrize(
    "day", [dt.date(2031, 2, 20), dt.date(2032, 2, 29), dt.date(2030, 12, 1)]
)
def test_inside_the_burn_season_only_the_block_of_that_winter_has_its_turn(day):
    prop = prop_of([(f"Block {n}", "burn") for n in range(1, 4)], [BURNS])
    tasks, notes = year_of(prop, day)
    windows = [(t["area"], t["latest"][:4]) for t in tasks if t["task"] == "burn window"]
    # two winters may begin within a year: each block in its own
    assert (
        len(windows) == len({year for _, year in windows}) == len({a for a, _ in windows})
    )
    (share,) = [note.text for note in notes if note.code == "round-share"]
    for area, year in windows:
        assert f"in {year} “{area}”" in share
    assert "67 %" not in share


def test_a_burn_whose_turn_was_missed_is_told():
    prop = prop_of([(f"Block {n}", "burn") for n in range(1, 4)], [BURNS])
    tasks, _ = year_of(prop, dt.date(2031, 3, 20))
    missed = {
        t["area"] for t in tasks if t["state"] == "missed" and t["latest"][:4] == "2031"
    }
    assert len(missed) == 1


def test_without_a_round_every_block_is_planned_as_before():
    prop = prop_of([(f"Block {n}", "burn") for n in range(1, 4)], [])
    tasks, _ = year_of(prop, dt.date(2026, 11, 27))
    assert {task["area"] for task in tasks} == {"Block 1", "Block 2", "Block 3"}


def test_a_round_for_ground_that_is_not_there_is_said():
    _, notes = year_of(prop_of([("Hill", "timber")], [ROADS]), dt.date(2027, 1, 10))
    assert [note.code for note in notes if note.code == "round-without-ground"]


def test_a_time_that_passed_without_a_line_is_missed_and_not_gone():
    prop = prop_of([("Ridge road", "road")], [ROADS])
    tasks, _ = year_of(prop, dt.date(2027, 8, 20))
    assert [(task["state"], task["earliest"][:4]) for task in tasks] == [
        ("missed", "2027"),
        ("planned", "2028"),
    ]
    done = {("Ridge road", "clip roads"): [dt.date(2027, 4, 25)]}
    tasks, _ = year_of(prop, dt.date(2027, 8, 20), done)
    assert [task["state"] for task in tasks if task["earliest"] >= "2028"] == ["planned"]
    assert not [task for task in tasks if task["state"] == "missed"]


def test_a_leap_day_comes_back_on_the_28th():
    rule = ROADS | {"months": ["02-29", "02-29"]}
    tasks, _ = year_of(
        prop_of(
            [("Ridge road", "road")],
            [rule],
            work={"weekdays": ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]},
        ),
        dt.date(2027, 1, 10),
    )
    assert tasks[0]["scheduled"] == "2027-02-28"


@pytest.mark.parametrize("every", ["0 years", "3", "three years", "2 weeks"])
def test_a_length_of_time_that_is_none_is_refused(every, tmp_path):
    text = f"""
[property]
name = "P"
[[round]]
task = "clip roads"
every = "{every}"
months = ["04-15", "07-31"]
kind = "road"
"""
    with pytest.raises(SettingsProblem, match="length of time"):
        parse_property(text, tmp_path)


def test_no_job_falls_in_a_quiet_season_on_any_day_of_the_year():
    prop = prop_of(
        [("Ridge road", "road"), *FIELDS[:3], ("Block 1", "burn")], [ROADS, NATIVE, BURNS]
    )
    found = seasons(prop.quiet, 2026, 2030)
    for start in range(0, 365, 30):
        tasks, _ = year_of(prop, dt.date(2027, 1, 1) + dt.timedelta(start))
        for task in tasks:
            if task["scheduled"]:
                day = dt.date.fromisoformat(task["scheduled"])
                kind = next(area.kind for area in prop.area if area.name == task["area"])
                assert shut_by(day, (kind, task["area"]), found) is None


@pytest.mark.parametrize("rounds", [[BURNS], []])
def test_what_comes_before_a_burn_that_was_done_is_taken_as_done(rounds):
    prop = prop_of([("Block 1", "burn")], rounds)
    year = (
        2031 if rounds else 2028
    )  # a single block in turn of three years has that of 2031
    done = {("Block 1", "burn window"): [dt.date(year, 2, 26)]}
    tasks, _ = year_of(prop, dt.date(year, 3, 1), done)
    mine = {t["task"]: t["state"] for t in tasks if t["latest"][:4] == str(year)}
    assert mine == dict.fromkeys(
        ("burn plan and permit", "firebreak", "burn window"), "done"
    )


@pytest.mark.parametrize(
    "today", [dt.date(2027, 1, 31), dt.date(2027, 2, 1), dt.date(2027, 3, 2)]
)
def test_a_burn_done_in_autumn_is_not_asked_again_in_spring(today):
    """From February on, this year's burn and the next are both in the list."""
    rule = BURNS | {"every": "1 year", "offset": 2}
    prop = prop_of([("Burn", "burn")], [rule])
    tasks, _ = year_of(prop, today, {("Burn", "burn window"): [dt.date(2026, 10, 24)]})
    mine = {
        t["task"]: (t["state"], t["scheduled"]) for t in tasks if t["latest"][:4] == "2027"
    }
    assert mine["burn window"] == ("done", "2026-10-24")
    assert {state for state, _ in mine.values()} == {"done"}
    assert all(t["state"] == "planned" for t in tasks if t["latest"][:4] == "2028")


def test_a_remark_on_the_whole_place_is_a_remark_and_of_no_unknown_ground():
    prop = prop_of([("Ridge road", "road")], [ROADS])
    done = {
        ("all", "mended gates"): [dt.date(2027, 4, 20)],
        ("al", "clip"): [dt.date(2027, 4, 21)],
    }
    _, notes = year_of(prop, dt.date(2027, 4, 25), done)
    codes = [note.code for note in notes]
    assert codes.count("log-remark") == 1
    assert [n.text for n in notes if n.code == "log-unknown"] == [
        "log.csv: “al” is no area or strip, so the entry counts for nothing."
    ]


EVERY_DAY = {"weekdays": ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]}
BEFORE = ROADS | {"months": ["04-01", "05-10"]}
AFTER = ROADS | {"months": ["07-05", "08-20"]}


def states_of(tasks):
    return [(t["state"], t["earliest"][:7], t["scheduled"]) for t in tasks]


def test_of_two_rounds_with_one_word_each_line_is_of_that_whose_time_it_is():
    prop = prop_of([("Ridge road", "road")], [BEFORE, AFTER])
    done = {("Ridge road", "clip roads"): [dt.date(2026, 7, 20), dt.date(2027, 4, 20)]}
    tasks, _ = year_of(prop, dt.date(2027, 4, 25), done)
    mine = states_of(tasks)
    assert ("done", "2027-04", "2027-04-20") in mine
    assert [(state, month) for state, month, _ in mine if state != "done"] == [
        ("planned", "2027-07"),
        ("planned", "2028-04"),
    ]
    done["Ridge road", "clip roads"].append(dt.date(2027, 7, 10))
    tasks, _ = year_of(prop, dt.date(2027, 7, 12), done)
    assert ("done", "2027-07", "2027-07-10") in states_of(tasks)


@pytest.mark.parametrize("every", ["1 year", "3 years"])
@pytest.mark.parametrize("day", [dt.date(2027, 5, 24), dt.date(2027, 4, 2)])
def test_a_turn_done_late_or_before_its_time_stays_in_the_list_as_done(every, day):
    rule = ROADS | {"months": ["04-20", "05-10"], "every": every}
    prop = prop_of([("Ridge road", "road")], [rule], quiet=[], work=EVERY_DAY)
    done = {("Ridge road", "clip roads"): [dt.date(2024, 4, 25), day]}
    tasks, _ = year_of(prop, day + dt.timedelta(1), done)
    assert ("done", "2027-04", day.isoformat()) in states_of(tasks)
    assert all(t["earliest"] >= "2028" for t in tasks if t["state"] == "planned")


@pytest.mark.parametrize(
    ("after", "day"), [(False, dt.date(2027, 5, 12)), (True, dt.date(2027, 7, 10))]
)
def test_a_turn_that_was_moved_out_of_the_quiet_and_done_there_stays_as_done(after, day):
    rule = ROADS | {"months": ["06-01", "06-20"], "every": "2 years", "after_quiet": after}
    prop = prop_of([("Ridge road", "road")], [rule], work=EVERY_DAY)
    logged = [dt.date(2025, 6, 10)]
    tasks, _ = year_of(prop, day, {("Ridge road", "clip roads"): logged})
    assert [t["state"] for t in tasks if t["earliest"][:4] == "2027"] == ["due"]
    tasks, _ = year_of(prop, day, {("Ridge road", "clip roads"): [*logged, day]})
    mine = [t for t in tasks if t["earliest"][:4] == "2027"]
    assert [(t["state"], t["scheduled"]) for t in mine] == [("done", day.isoformat())]


def test_a_turn_that_was_missed_stays_missed_when_the_next_is_done_early():
    prop = prop_of([("Ridge road", "road")], [BEFORE], quiet=[], work=EVERY_DAY)
    done = {("Ridge road", "clip roads"): [dt.date(2025, 4, 25), dt.date(2027, 1, 20)]}
    tasks, _ = year_of(prop, dt.date(2027, 1, 25), done)
    assert [state[:2] for state in states_of(tasks)] == [
        ("missed", "2026-04"), ("done", "2027-04"),
    ]  # fmt: skip


@pytest.mark.parametrize(("every", "next_year"), [("1 year", 2028), ("3 years", 2030)])
@pytest.mark.parametrize("month", [5, 8])
def test_a_turn_done_months_late_does_not_put_off_the_next(every, next_year, month):
    late = {**ROADS, "every": every, "months": ["02-01", "03-31"]}
    prop = prop_of([("Ridge road", "road")], [late])
    done = {("Ridge road", "clip roads"): [dt.date(2027, month, 10)]}
    for year in range(2028, next_year + 1):
        tasks, _ = year_of(prop, dt.date(year, 1, 5), done)
        own = [t for t in tasks if t["latest"].startswith(str(year))]
        assert bool(own) == (year == next_year)


# to the day


def one_road(**more):
    rule = Round("clip roads", **{"every": "1 year", "months": ("04-15", "07-31"), **more})
    road = Area("Ridge road", "road", "x.geojson")
    return Property(PropertyInfo("Test place"), area=(road,), round=(rule,))


def days_of_turns(today, logged=(), every="1 year", **more):
    """Return (first day, whether it is done) of each turn of a road from a day to a year on."""
    prop = one_road(every=every, **more)
    until = today + dt.timedelta(days=365)
    done = {("Ridge road", "clip roads"): logged}
    found = turns_of(prop.round[0], prop, {"a01": 4.0}, today, until, done)
    assert {turn.acres for turn in found} <= {4.0}
    return [(turn.first.year, turn.done is not None) for turn in found]


@pytest.mark.parametrize(
    ("today", "logged", "told"),
    [
        # without a log for 90 days after July 31, with one for a year
        (dt.date(2026, 10, 29), (), [2026, 2027]),
        (dt.date(2026, 10, 30), (), [2027]),
        (dt.date(2027, 7, 31), (dt.date(2025, 6, 1),), [2026, 2027, 2028]),
        (dt.date(2027, 8, 1), (dt.date(2025, 6, 1),), [2027, 2028]),
        # the last day of the time, and the first of the next within a year
        (dt.date(2026, 4, 15), (), [2026, 2027]),
        (dt.date(2026, 4, 14), (), [2026]),
    ],
)
def test_a_time_that_passed_is_told_for_a_season_or_a_year(today, logged, told):
    assert [year for year, _ in days_of_turns(today, logged)] == told


@pytest.mark.parametrize(
    ("day", "done"),
    [
        (dt.date(2026, 12, 7), [2026]),  # 258 days lie between; 129 of them belong to each
        (dt.date(2026, 12, 8), [2027]),
        (dt.date(2026, 6, 1), [2026]),
    ],
)
def test_a_line_is_of_the_time_of_year_it_is_nearest_to(day, done):
    found = days_of_turns(dt.date(2026, 12, 31), (day,))
    assert [year for year, is_done in found if is_done] == done


@pytest.mark.parametrize(
    ("every", "next_year"),
    [("1 year", 2026), ("16 months", 2026), ("17 months", 2027), ("3 years", 2028), ("6 months", 2026)],
)  # fmt: skip
def test_a_quarter_of_the_time_early_is_early_enough(every, next_year):
    """Done in June 2025. Of 16 months 4 may be wanting, so that twelve will do; of 17 too, which
    leaves thirteen; of three years nine months."""
    for today in (dt.date(2026, 1, 10), dt.date(2027, 1, 10), dt.date(2028, 1, 10)):
        found = days_of_turns(today, (dt.date(2025, 6, 1),), every)
        assert all(done or year >= next_year for year, done in found)
    found = days_of_turns(dt.date(next_year, 1, 10), (dt.date(2025, 6, 1),), every)
    assert (next_year, False) in found


def test_of_a_round_of_years_only_the_next_turn_is_told():
    today = dt.date(2026, 4, 15)
    assert len(days_of_turns(today, (dt.date(2024, 6, 1),), "2 years")) == 1
    assert len(days_of_turns(today, (dt.date(2024, 6, 1),), "1 year")) == 3, "and the last"


@pytest.mark.parametrize(("offset", "years"), [(0, [2028]), (1, [2026, 2029]), (2, [2027, 2030])])  # fmt: skip
def test_without_a_log_turns_go_by_the_calendar_and_the_offset(offset, years):
    """2028 is divisible by three, so the first piece has its turn then, moved on by the offset."""
    got = set()
    for year in range(2026, 2031):
        found = days_of_turns(dt.date(year, 1, 10), (), "3 years", offset=offset)
        got |= {first for first, _ in found}
    assert sorted(got) == years


def test_a_time_of_year_over_new_year_is_of_the_year_it_begins_in():
    prop = one_road(months=("12-01", "01-31"))
    for today, first in (
        (dt.date(2027, 1, 31), dt.date(2026, 12, 1)),
        (dt.date(2027, 6, 1), dt.date(2027, 12, 1)),
    ):
        (turn, *_) = turns_of(
            prop.round[0], prop, {}, today, today + dt.timedelta(days=365), {}
        )
        assert (turn.first, turn.last) == (first, dt.date(first.year + 1, 1, 31))
        assert turn.acres == 0.0


def test_a_job_in_turn_takes_its_own_minutes_those_of_the_machine_or_an_hour():
    for more, minutes in (
        ({"minutes": 25}, 25.0), ({"machine": "on foot"}, 60.0),
        ({"machine": "mower"}, 60 * 10.0 / (5.5 * 3 * 0.7 / 8.25) + 10),
        ({"machine": "chain saw"}, 60.0),
    ):  # fmt: skip
        prop, day = one_road(**more), dt.date(2027, 1, 10)
        until = day + dt.timedelta(days=365)
        (task, *_) = round_tasks(prop, {"a01": 10.0}, (), day, until, {})
        assert task.minutes == pytest.approx(minutes)


def test_the_share_of_the_ground_whose_turn_it_is():
    """Three roads of 10, 11 and 12 acres, every third year: 12 of 33 acres are 36 %."""
    prop = prop_of(
        [("R1", "road"), ("R2", "road"), ("R3", "road")], [{**ROADS, "every": "3 years"}]
    )
    _, notes = year_of(prop, dt.date(2027, 1, 10))
    (text,) = [note.text for note in notes if note.code == "round-share"]
    assert text == (
        "clip roads, every 3 years: in 2027 “R2”, 11.0 of 33.0 ac (33 %), the longest without first."
    )
    done = {("R2", "clip roads"): [dt.date(2024, 6, 1)], ("R1", "clip roads"): [dt.date(2023, 6, 1)],
            ("R3", "clip roads"): [dt.date(2026, 6, 1)]}  # fmt: skip
    _, notes = year_of(prop, dt.date(2027, 1, 10), done)
    (text,) = [note.text for note in notes if note.code == "round-share"]
    assert "in 2027 “R1”, “R2”, 21.0 of 33.0 ac (64 %), the longest without first" in text
    _, notes = year_of(
        prop,
        dt.date(2027, 1, 10),
        {(f"R{n}", "clip roads"): [dt.date(2026, 6, 1)] for n in (1, 2, 3)},
    )
    (text,) = [note.text for note in notes if note.code == "round-share"]
    assert "none of 33.0 ac in the year ahead" in text
    alone = prop_of([("R1", "road")], [{**ROADS, "every": "3 years"}])
    assert not [
        n for n in year_of(alone, dt.date(2027, 1, 10))[1] if n.code == "round-share"
    ]
    yearly = prop_of([("R1", "road"), ("R2", "road")], [ROADS])
    assert not [
        n for n in year_of(yearly, dt.date(2027, 1, 10))[1] if n.code == "round-share"
    ]
