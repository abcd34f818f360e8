"""A crop of invented figures, told line by line: ranges, states, sources, what is from memory."""

import dataclasses

from quietacre.figures import printed
from quietacre.need.crop_said import Cited, crop_lines
from quietacre.need.records import FertilizerLine
from quietacre.need.tables import (
    MEMORY,
    NO_WAY_TOLD,
    Crop,
    Figure,
    bushels_lb,
    crops,
    figure_here,
    lime_bases,
    lime_fineness,
    number,
    printed_figures,
)
from quietacre.shipped import cite, rows
from quietacre.windows import states

A, B, C = "udel-rotation", "uga-arrowleaf", "purdue-cover"


def crop(*figures, **more):
    """Return a crop of some figures, the first of each name used."""
    spread = {}
    for one in figures:
        spread.setdefault(one.name, []).append(one)
    plain = {
        "life_cycle": "annual", "legume": False, "inoculant": None, "inoculant_source": "",
        "from_memory": frozenset(), "source": A, "state": "AL", "region": None,
    }  # fmt: skip
    return Crop(
        "grandfather's grass", **{**plain, **more},
        figures={name: some[0] for name, some in spread.items()},
        spread={name: tuple(some) for name, some in spread.items()},
    )  # fmt: skip


def read(name, low, high=None, source=A, *, state="", note=""):
    return Figure(name, low, low if high is None else high, "", state, note, source)


DEPTH, SEEDS = read("depth_in", 0.5, 1.0), read("seeds_per_lb", 12_000.0, 14_000.0)


def lines(*figures, **more):
    return [printed(line) for line in crop_lines(crop(*figures, **more))]


def test_a_crop_of_few_figures_says_what_was_not_read():
    assert lines(DEPTH, SEEDS) == [
        "0.5-1 in. deep [1]",
        "broadcast: no publication that was read gives a broadcast rate; ask your seed dealer or "
        "county extension office",
        "drill: no publication that was read gives a drill rate; ask your seed dealer or county "
        "extension office",
        "no inoculant, it is no legume",
        "13,000 seeds a pound [1]",
        "planting window: none was read for Alabama; ask your county extension office",
        f"[1] {cite(A)}",
    ]


def test_a_crop_of_many_figures_is_told_with_the_states_and_sources_of_each():
    told = lines(
        DEPTH, SEEDS,
        read("broadcast_lb_ac", 80.0, 100.0, f"{A};{B}", state="AL"),
        read("broadcast_lb_ac", 90.0, 120.0, C, state="FL"),
        read("broadcast_lb_ac", 90.0, 120.0, A, state="FL"),
        # what is printed alike elsewhere is not told again
        read("broadcast_lb_ac", 80.0, 100.0, C, state="GA"),
        read("broadcast_lb_ac", 20.0, 30.0, C, note="frost seeded"),
        read("drill_lb_ac", 60.0, note=NO_WAY_TOLD),
        read("drill_lb_ac", 50.0, source=MEMORY),
        read("in_mix_lb_ac", 10.0, 40.0, B),
        read("ph_min", 5.0, 6.0, B), read("ph_min", 5.25, source=C),
        read("ph_target", 6.0, 7.0), read("ph_target", 7.5),
        inoculant="pea group", inoculant_source=C, legume=True, state=None,
    )  # fmt: skip
    assert told == [
        "0.5-1 in. deep [1]",
        "broadcast 80-100 lb/ac [1, 2] (printed for Alabama; also printed: 90-120 Florida [1, 3], "
        "20-30 frost seeded [3])",
        "drill 60 lb/ac, as printed to plant, drilled or broadcast not told [1] (also printed: 50)",
        "in a mix 10-40 lb/ac [2]",
        "pH 5.5 at least [2] (also printed: 5.25 [3]), 6.5 best [1]",
        "inoculant: pea group [3]",
        "13,000 seeds a pound [1]",
        "planting window: none was read; ask your county extension office",
        f"[1] {cite(A)}",
        f"[2] {cite(B)}",
        f"[3] {cite(C)}",
    ]


def test_what_nobody_read_is_from_memory_and_has_no_number():
    memory = {"depth_in", "seeds_per_lb", "broadcast_lb_ac", "ph_min", "inoculant_group"}
    told = lines(
        dataclasses.replace(DEPTH, source=MEMORY), dataclasses.replace(SEEDS, source=MEMORY),
        read("broadcast_lb_ac", 8.0, source=MEMORY), read("drill_lb_ac", 6.0),
        read("ph_min", 5.5, source=MEMORY),
        inoculant="pea group", inoculant_source=MEMORY, from_memory=frozenset(memory),
    )  # fmt: skip
    assert told == [
        "0.5-1 in. deep (from memory)",
        "broadcast 8 lb/ac (from memory)",
        "drill 6 lb/ac [1]",
        "pH 5.5 at least (from memory)",
        "inoculant: pea group (from memory)",
        "13,000 seeds a pound (from memory)",
        "planting window: none was read for Alabama; ask your county extension office",
        f"[1] {cite(A)}",
    ]


def test_sources_are_numbered_as_they_come_and_told_in_that_order():
    cited = Cited()
    assert cited.mark("") == ""
    assert cited.mark(MEMORY) == ""
    assert cited.mark(B) == " [1]"
    assert cited.mark(f"{A};{B}") == " [1, 2]"
    assert cited.mark(f"{MEMORY};{A};{A}") == " [2]"
    assert cited.lines() == [f"[1] {cite(B)}", f"[2] {cite(A)}"]


def test_a_window_is_that_of_the_state_or_every_one():
    oats = crop(DEPTH, SEEDS)
    oats = dataclasses.replace(oats, name="oats")
    here = printed(crop_lines(oats)[5])
    assert here == "planting window for Alabama: Alabama September 1-November 1 [2]"
    everywhere = printed(crop_lines(dataclasses.replace(oats, state=None))[5])
    assert everywhere.startswith(
        "planting window: no state or region is chosen, so every one is shown: "
    )
    assert "; " in everywhere


# ---- a figure and a crop of it ---------------------------------------------------------------------------
def test_a_range_has_its_middle_and_says_how_it_was_read():
    one = read("drill_lb_ac", 5.0, 8.0, state="AL", note="frost seeded")
    assert (one.middle, one.from_memory, one.one_way, one.no_way_told, str(one)) == (
        6.5, False, "frost seeded", False, "5-8",
    )  # fmt: skip
    assert printed(one.said("lb/ac")) == "5-8 lb/ac"
    assert printed(one.said("lb/ac", bare=True)) == "5-8"
    plain = read("drill_lb_ac", 6.0, source=MEMORY, note=NO_WAY_TOLD)
    assert (plain.middle, plain.from_memory, plain.one_way, plain.no_way_told, str(plain)) == (
        6.0, True, "", True, "6",
    )  # fmt: skip


def test_a_crop_tells_its_figures_by_name():
    live = Figure("drill_lb_ac", 5.0, 8.0, "pls", "AL", "", B)
    one = crop(
        DEPTH, SEEDS, live, read("in_mix_lb_ac", 1.0, 3.0), read("ph_min", 5.5, source=C),
        read("ph_target", 6.0, 7.0), read("maint_n_lb_ac", 40.0, 60.0),
        read("maint_k2o_lb_ac", 0.0), from_memory=frozenset({"drill_lb_ac"}),
    )  # fmt: skip
    assert (one.depth_in, one.seeds_per_lb) == ((0.5, 1.0), 13_000.0)
    assert one.maintenance_lb_ac == {"n": 50.0, "p2o5": None, "k2o": 0.0}
    assert one.range_lb_ac == {"broadcast": None, "drill": (5.0, 8.0)}
    assert (one.in_mix_lb_ac, one.ph_min, one.ph_source, one.ph_target) == (
        (1.0, 3.0), 5.5, C, 6.5,
    )  # fmt: skip
    told = [
        (one.rate_lb_ac(way), one.rate_basis(way), one.rate_source(way),
         one.rate_from_memory(way))
        for way in ("drill", "broadcast")
    ]  # fmt: skip
    assert told == [(6.5, "pls", B, True), (None, "bulk", A, False)]
    none = crop(DEPTH, SEEDS, read("ph_min", 5.5, source=MEMORY), read("drill_lb_ac", 6.0))
    assert (none.ph_source, none.in_mix_lb_ac, none.ph_target) == ("", None, None)
    assert none.rate_basis("drill") == "bulk"
    assert crop(DEPTH, SEEDS).ph_source == ""
    assert crop(DEPTH, SEEDS).windows == {}


# ---- which figure holds for a place ----------------------------------------------------------------------
def test_the_figure_of_the_state_holds_then_one_of_its_region_then_the_first():
    known = states()
    south = next(code for code, one in known.items() if one.regions and code != "AL")
    region = min(known[south].regions)
    far = next(code for code, one in known.items() if region not in one.regions)
    first, farther = read("drill_lb_ac", 1.0), read("drill_lb_ac", 2.0, state=far)
    near, frost = (
        read("drill_lb_ac", 3.0, state=south),
        read("drill_lb_ac", 4.0, note="into sod"),
    )
    assert figure_here((first, farther, near)) is first
    assert figure_here((first, farther, near), far) is farther
    assert figure_here((first, farther, near), None, region) is near
    assert figure_here((first, farther, near), far, region) is farther
    assert figure_here((first, farther), None, region) is first
    assert figure_here((frost, first, near)) is first
    assert figure_here((frost,)) is frost
    other = read("drill_lb_ac", 5.0, state="elsewhere")
    assert figure_here((first, other), "elsewhere") is other
    assert figure_here((first, other), None, region) is first


def test_tables_hold_what_their_files_do():
    assert (number(""), number("0"), number("2.5")) == (None, 0.0, 2.5)
    oats = next(row for row in rows("crops") if row["crop"] == "oats")
    vetch = next(row for row in rows("crops") if row["crop"] == "hairy vetch")
    table = crops()
    assert set(table) == {row["crop"] for row in rows("crops")}
    assert (table["oats"].legume, table["oats"].inoculant) == (False, None)
    assert (table["hairy vetch"].legume, table["hairy vetch"].inoculant) == (
        True, vetch["inoculant_group"],
    )  # fmt: skip
    assert table["oats"].life_cycle == oats["life_cycle"]
    for name, one in table.items():
        assert one.spread == printed_figures()[name]
        marked = {key for key, figure in one.figures.items() if figure.source == MEMORY}
        assert one.from_memory - {"inoculant_group"} == marked
        assert MEMORY not in one.source.split(";") or one.source == MEMORY
        ids = one.source.split(";")
        assert len(ids) == len(set(ids))
        assert {key for f in one.figures.values() for key in f.source.split(";")} - {
            MEMORY
        } <= set(ids)
    for row in rows("crops"):
        from_memory = row["inoculant_source"] == MEMORY
        assert ("inoculant_group" in table[row["crop"]].from_memory) is from_memory
    for row in rows("bushels"):
        assert bushels_lb()[row["crop"]] == (float(row["lb"]), row["from_memory"] != "")
    for row in rows("lime_fineness"):
        assert lime_fineness()[row["state"]][int(row["mesh"])] == float(row["weight"])
    for row in rows("lime_bases"):
        one = lime_bases()[row["state"]]
        assert (
            one.measure,
            one.note,
            one.source,
            one.least_measure,
            one.least_source,
        ) == tuple(
            row[key]
            for key in ("measure", "note", "source", "least_measure", "least_source")
        )
        assert (one.assumed_pct, one.depth_in, one.least_pct) == tuple(
            number(row[key]) for key in ("assumed_pct", "depth_in", "least_pct")
        )


def test_a_line_of_fertilizer_tells_each_nutrient():
    one = FertilizerLine(
        "g", 0.0, 0.0, 0.0, 0.0, 50.0, 0.0, 1.0, 2.0, 3.0, 4.0, "planting", None
    )  # fmt: skip
    assert [one.nutrient_lb_ac(k) for k in ("n", "p2o5", "k2o", "s")] == [
        1.0,
        2.0,
        3.0,
        4.0,
    ]
