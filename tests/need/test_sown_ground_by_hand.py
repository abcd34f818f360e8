"""A piece of ground that is sown: its pounds, its machines, what is said of it, from made-up crops."""

import dataclasses
import datetime as dt
from types import SimpleNamespace

from quietacre.figures import printed
from quietacre.need import sown
from quietacre.need.job import Job
from quietacre.need.tables import Figure, crops
from quietacre.plantings import Sown
from quietacre.settings import Mix, Property, PropertyInfo, Seed

D = dt.date


def crop(name, lb_ac, shallowest_in, deepest_in, seeds_per_lb, **more):
    ends = {
        "broadcast_lb_ac": (lb_ac, lb_ac), "drill_lb_ac": (lb_ac, lb_ac),
        "depth_in": (shallowest_in, deepest_in), "seeds_per_lb": (seeds_per_lb, seeds_per_lb),
    }  # fmt: skip
    used = {key: Figure(key, *span, "", "", "", "msu-grains") for key, span in ends.items()}
    return dataclasses.replace(
        crops()["oats"], name=name, figures=used, from_memory=frozenset(), **more
    )


CLOVER = crop(
    "crimson clover", 20.0, 0.25, 0.5, 150_000.0, legume=True, inoculant="true clover group"
)
TABLE = {
    "oats": crop("oats", 100.0, 1.0, 2.0, 13_000.0),
    "crimson clover": dataclasses.replace(
        CLOVER, from_memory=frozenset({"broadcast_lb_ac"})
    ),
    "rape (forage)": crop("rape (forage)", 4.0, 0.25, 0.5, 150_000.0),
}


def sown_on(mix, *, window=None, sown_day=None, made=False, history=()):
    area = Sown(
        "North",
        "plot",
        "f.gpx",
        area_id="a01",
        key="a01",
        plant=D(2027, 9, 1),
        history=history,
    )
    job = Job(
        "a01",
        "North",
        2.0,
        1.5,
        3.0,
        -86.0,
        33.0,
        mix,
        None,
        area,
        made,
        TABLE,
        sown_on=sown_day,
    )
    rules = {"oats": SimpleNamespace(window=window)} if window else {}
    prop = dataclasses.replace(Property(PropertyInfo("Home")), crop=rules)
    sown.sow(job, prop)
    return job


GRAIN = Mix(
    "field", (Seed("oats", rate_lb_ac=90.0), Seed("crimson clover", share=1.0)), "broadcast"
)


def test_what_is_sown_sets_its_machines_and_says_what_to_know():
    job = sown_on(GRAIN)
    assert [(one.crop, one.lb, one.lb_low, one.lb_high) for one in job.seed] == [
        ("oats", 180.0, 135.0, 270.0), ("crimson clover", 40.0, 30.0, 60.0),
    ]  # fmt: skip
    oats, clover, cover, inoculate = map(printed, job.setting)
    assert oats.startswith("oats: ")
    assert clover.startswith("crimson clover: ")
    assert cover.startswith(
        "cover: oats disk lightly or drag in, 1-2 in.; crimson clover drag"
    )
    assert (
        inoculate
        == "inoculate crimson clover with true clover group; sow within a day of it"
    )
    notes = {one.code: one for one in job.notes}
    assert (notes["inoculate"].text, notes["inoculate"].level) == (f"{inoculate}.", "info")
    assert (notes["baiting-law"].level, notes["companion-grain"].level) == ("info", "info")
    memory = notes["rate-from-memory"]
    assert (memory.head, memory.more, memory.level) == (
        "the broadcast rate of crimson clover is from memory, read in no source",
        "check it with extension.",
        "warning",
    )
    assert notes["separate-passes"].level == "info"
    assert list(notes) == [
        "separate-passes", "seeds-per-square-foot", "baiting-law", "rate-from-memory", "companion-grain",
        "inoculate",
    ]  # fmt: skip
    assert len(job.notes) == len(notes)


def test_a_group_that_nobody_read_is_told_as_that():
    table = {
        "crimson clover": dataclasses.replace(
            CLOVER, from_memory=frozenset({"inoculant_group"})
        )
    }
    area = Sown("North", "plot", "f.gpx", area_id="a01", key="a01")
    mix = Mix("field", (Seed("crimson clover", rate_lb_ac=20.0),))
    job = Job("a01", "North", 2.0, 2.0, 2.0, -86.0, 33.0, mix, None, area, False, table)
    sown.sow(job, Property(PropertyInfo("Home")))
    assert "(group from memory: the seed's tag or the packet decides)" in job.setting[-1]
    assert "rate-from-memory" not in [one.code for one in job.notes]


def test_ground_that_is_sown_has_its_pounds_and_nothing_more_is_said():
    job = sown_on(GRAIN, sown_day=D(2027, 9, 3), window="09-01 to 10-15")
    assert [one.lb for one in job.seed] == [180.0, 40.0]
    assert [one.own_window for one in job.seed] == [None, None]
    assert (job.setting, job.notes) == ([], [])
    bare = sown_on(None)
    assert (bare.seed, bare.setting, bare.notes) == ((), [], [])


def test_a_window_of_ones_own_is_the_crops_unless_the_seed_has_one():
    job = sown_on(GRAIN, window="09-01 to 10-15")
    assert [one.own_window for one in job.seed] == ["09-01 to 10-15", None]
    mine = Seed("oats", rate_lb_ac=90.0, plant_from="08-01", plant_to="08-20")
    job = sown_on(Mix("field", (mine,)), window="09-01 to 10-15")
    assert [one.own_window for one in job.seed] == ["08-01 to 08-20"]


def test_what_stood_before_is_looked_at_on_an_area_and_not_on_a_strip():
    rape = Mix("field", (Seed("rape (forage)", rate_lb_ac=4.0),))
    told = [one.code for one in sown_on(rape, history=("2026: rape",)).notes]
    strip = [one.code for one in sown_on(rape, history=("2026: rape",), made=True).notes]
    assert [code for code in told if code not in strip] == ["brassicas-again"]
