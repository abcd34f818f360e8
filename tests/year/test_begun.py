"""What nobody could have logged is not asked for: before the record, before an edge was surveyed."""

import datetime as dt
from collections import Counter
from dataclasses import replace

import geopandas as gpd
import pytest
from pydantic import TypeAdapter
from record_of import record_of
from shapely.geometry import box

from quietacre.settings import Area, Property, PropertyInfo, Quiet
from quietacre.strip.records import Ring
from quietacre.year.begun import begun_notes, jobs_from_begin
from quietacre.year.report import plan_year
from quietacre.year.rings import WorkedRing
from quietacre.year.task import Task

BEGUN = dt.date(2026, 11, 27)
STRIP = record_of(
    Ring,
    {"id": "s01", "of": "a01", "name": "Vine strip", "kind": "strip", "acres": 2.0,
     "length_ft": 2000.0},
)  # fmt: skip


def place(begun=None, vine=(), plant="09-25"):
    return TypeAdapter(Property).validate_python(
        {
            "property": {"name": "Place of the test", **({"begun": begun} if begun else {})},
            "quiet": [
                {"name": "nesting", "start": "05-15", "end": "07-03", "keeps_out": "all"}
            ],
            "area": [
                {"name": "Vine", "kind": "patch", "vine": "kudzu", "from": "v.gpx", **dict(vine)},
                {"name": "Top", "kind": "plot", "from": "t.gpx", "mix": "fall", "plant": plant},
                {"name": "Block", "kind": "burn", "from": "b.gpx"},
            ],
            "mix": [{"name": "fall", "seed": [{"crop": "oats", "rate_lb_ac": 60.0}]}],
            "round": [
                {"task": "clip", "kind": "plot", "every": "1 year", "months": ["09-01", "10-15"]}
            ],
        }
    )  # fmt: skip


def year(prop, today=BEGUN, done=None, walked=None):
    frame = gpd.GeoDataFrame(
        {"id": ["a01", "a02", "a03"], "name": ["Vine", "Top", "Block"],
         "kind": ["patch", "plot", "burn"], "acres": [3.0, 5.0, 8.0]},
        geometry=[box(-84.5 + n / 100, 32.4, -84.495 + n / 100, 32.405) for n in range(3)],
        crs="EPSG:4326",
    )  # fmt: skip
    return plan_year(
        frame,
        prop,
        today=today,
        needs={},
        strips_report=[STRIP],
        done=done or {},
        walked=walked,
    )


def missed(plan):
    return Counter(t.area for t in plan.year.tasks if t.state == "missed")


def told(plan):
    return [note.text for note in plan.notes if note.code == "jobs-before-begin"]


def test_a_place_begun_today_has_missed_nothing_and_says_what_it_does_not_ask():
    without = year(place())
    assert missed(without)["Vine strip"] > 10
    assert missed(without)["Block"] == 3
    plan = year(place(begun=BEGUN))
    assert not missed(plan)
    assert not plan.year.missed
    (text,) = told(plan)
    count = sum(missed(without).values())
    count += sum(row.text.startswith("plant, by") for row in without.year.missed)
    assert f"{count} jobs are not asked for" in text
    assert "November 27, 2026" in text


@pytest.mark.parametrize(
    ("left_out", "words"),
    [
        ([("Top", dt.date(2026, 9, 1))], "1 job is not asked for, 1 on “Top”, the last due by "
         "September 1, 2026: the record of this place begins"),
        ([("Top", dt.date(2026, 9, 1)), ("Vine", dt.date(2026, 8, 3))],
         "2 jobs are not asked for, 1 on “Top”, 1 on “Vine”, the last due by September 1"),
        ([("Vine", BEGUN)], "1 job is not asked for, 1 on “Vine”, the last due by November 27, "
         "2026: the edge that they go by was not surveyed yet"),
    ],
)  # fmt: skip
def test_what_is_not_asked_for_is_counted_in_words(left_out, words):
    (note,) = begun_notes(left_out, place(begun=BEGUN))
    assert note.text.startswith(words)


def test_what_comes_from_the_first_day_on_is_asked_for_as_without_it():
    today = dt.date(2027, 8, 1)
    after = [
        (t.uid, t.state)
        for t in year(place(), today).year.tasks
        if t.latest >= BEGUN and t.planting is None
    ]
    kept = {t.uid: t.state for t in year(place(begun=BEGUN), today).year.tasks}
    assert len(after) > 15
    assert not [uid for uid, state in after if kept.get(uid) != state]


def test_what_was_done_before_the_first_day_is_told_as_done():
    done = {("Vine strip", "strip cut"): [dt.date(2026, 8, 29)]}
    plan = year(place(begun=BEGUN), done=done)
    assert [
        (t.area, t.state) for t in plan.year.tasks if t.state in {"done", "missed"}
    ] == [("Vine strip", "done")]


@pytest.mark.parametrize(
    ("begun", "planted", "asked"),
    [(dt.date(2026, 9, 1), {}, True), (BEGUN, {}, False), (BEGUN, {("Top", "plant"): [dt.date(2026, 9, 28)]}, True)],
)  # fmt: skip
def test_a_planting_stays_or_goes_whole(begun, planted, asked):
    plan = year(place(begun=begun, plant=dt.date(2026, 9, 25)), done=planted)
    jobs = [t.task for t in plan.year.tasks if t.area == "Top" and t.planting]
    assert bool(jobs) == asked
    if asked:
        assert {"clip", "turn under", "plant"} <= set(jobs)


@pytest.mark.parametrize(
    ("vine", "first"),
    [
        ({"surveyed": dt.date(2026, 8, 20)}, dt.date(2026, 8, 20)),
        ({"surveyed": dt.date(2026, 11, 1),
          "previous": {"from": "o.gpx", "on": dt.date(2026, 6, 1)}}, dt.date(2026, 6, 1)),
    ],
)  # fmt: skip
def test_a_strip_is_asked_for_from_the_first_survey_of_its_edge(vine, first):
    plan = year(place(vine=vine))
    days = [t.latest for t in plan.year.tasks if t.area == "Vine strip"]
    assert min(days) >= first
    assert missed(plan)["Vine strip"] >= 2
    assert "not surveyed yet" in told(plan)[0]
    logged = year(
        place(vine=vine), done={("Vine strip", "strip cut"): [dt.date(2026, 4, 18)]}
    )
    assert min(t.latest for t in logged.year.tasks if t.area == "Vine strip") < first


@pytest.mark.parametrize("begun", [None, dt.date(2026, 3, 1)])
def test_a_patch_walked_later_than_the_record_begins_has_its_jobs_from_that_walk_on(begun):
    found = dt.date(2026, 9, 12)
    plan = year(place(begun=begun), walked={"a01": found})
    days = [t.latest for t in plan.year.tasks if t.area == "Vine strip"]
    assert min(days) >= found
    assert "not surveyed yet" in told(plan)[0]
    of_another = year(place(begun=begun), walked={"a02": found})
    assert min(t.latest for t in of_another.year.tasks if t.area == "Vine strip") < found


# from the day on which the record of a place begins


FIRST = dt.date(2027, 6, 15)


def days_off(number):
    return FIRST + dt.timedelta(days=number)


def job(uid="a", **more):
    usual = {
        "area": "P", "area_id": "a01", "kind": "plot", "task": "clip", "label": "clip",
        "earliest": days_off(-99), "ideal": days_off(-80), "latest": FIRST, "minutes": 60.0,
        "machine": "mower", "reason": "",
    }  # fmt: skip
    return Task(uid=uid, **{**usual, **more})


def asked_for(*tasks, begun=FIRST, logged=()):
    prop = Property(PropertyInfo("Home", begun=begun))
    kept, left = jobs_from_begin(tasks, prop, (), set(logged), {})
    assert len(kept) + len(left) == len(tasks)
    return [task.uid for task in kept]


def test_a_job_whose_last_day_is_the_first_of_the_record_is_asked_for():
    assert asked_for(job(latest=FIRST)) == ["a"]
    assert asked_for(job(latest=days_off(-1))) == []
    assert asked_for(job(latest=days_off(-1)), begun=None) == ["a"]
    assert asked_for(job(latest=days_off(-1)), logged=["a"]) == ["a"]
    assert asked_for(job(latest=days_off(-1), status="done")) == ["a"]


def test_a_planting_stays_whole_by_the_last_day_of_its_sowing():
    early = job(latest=days_off(-60), planting="a01", planted_for=FIRST)
    sow = job("p", task="plant", latest=FIRST, planting="a01", planted_for=FIRST)
    assert asked_for(early, sow) == ["a", "p"]
    sow.latest = days_off(-1)
    assert asked_for(early, sow) == []
    assert asked_for(early, sow, logged=["a"]) == ["a", "p"]
    alone = job(latest=days_off(-60), planting="a02", planted_for=FIRST)
    assert asked_for(alone) == ["a"], "no sowing of it is planned"


def test_what_comes_before_a_job_that_stays_stays_and_no_tie_points_at_nothing():
    plan_of_it = job("plan", latest=days_off(-9), status="planned")
    window = job("burn", latest=days_off(9), after=[("plan", 0), ("gone", 3)])
    other = job("other", latest=days_off(-9))
    assert asked_for(plan_of_it, window, other) == ["plan", "burn"]
    assert window.after == [("plan", 0)]


RING = WorkedRing("s01", "a01", "R", "strip", 1.0, 900.0, also_of=("a02",))


@pytest.mark.parametrize(
    ("begun", "walked", "asked"),
    [
        (None, {}, ["l", "m", "n"]),
        (None, {"a01": -2}, ["l", "m", "n"]),  # of one patch nobody knows
        (None, {"a01": -2, "a02": 5}, ["m", "n"]),
        (None, {"a01": 5, "a02": -2}, ["m", "n"]),
        (FIRST, {"a01": -2, "a02": 5}, ["n"]),
        (FIRST, {"a01": 9, "a02": 5}, []),
        (FIRST, {"a01": -2}, ["n"]),
    ],
)
def test_a_strip_of_two_patches_begins_with_the_first_that_was_walked(begun, walked, asked):
    """Three jobs, of three and two days before June 15 and of that day."""
    areas = (Area("V", "patch", "v.gpx"), Area("W", "patch", "w.gpx"))
    prop = Property(PropertyInfo("Home", begun=begun), area=areas)
    tasks = [
        job(uid, area="R", latest=days_off(n))
        for uid, n in (("l", -3), ("m", -2), ("n", 0))
    ]
    days = {key: days_off(n) for key, n in walked.items()}
    kept, left = jobs_from_begin(tasks, prop, (RING,), set(), days)
    assert [task.uid for task in kept] == asked
    assert len(left) == 3 - len(asked)
    kept, _ = jobs_from_begin(tasks, prop, (RING,), {"l"}, days)
    known = ["l", "n"] if begun else ["l", "m", "n"]
    assert [task.uid for task in kept] == known, "it was there before a walk that is known"


def test_what_was_missed_is_a_caution_and_what_has_no_day_a_warning():
    shut = ({"name": "all of it", "start": "01-01", "end": "12-31", "keeps_out": "all"},)
    levels = {note.code: note.level for note in year(place()).notes}
    assert levels["task-missed"] == "caution"
    prop = place(begun=BEGUN)
    prop = replace(prop, quiet=TypeAdapter(tuple[Quiet, ...]).validate_python(shut))
    levels = {note.code: note.level for note in year(prop).notes}
    assert levels["task-unplaced"] == "warning"
