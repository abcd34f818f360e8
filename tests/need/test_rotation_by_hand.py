"""What stood on the ground before, year by year and sentence by sentence."""

import datetime as dt
from types import SimpleNamespace

import pytest

from quietacre.figures import printed
from quietacre.need.before import (
    Credit,
    Stood,
    credits_by_crop,
    look_back,
    stood_before,
    stood_in_log,
)
from quietacre.settings import Mix, Property, PropertyInfo, Seed
from quietacre.shipped import cite

D = dt.date
FALL = D(2027, 9, 20)
TURNIP, RAPE = "turnip (forage)", "rape (forage)"


def logged(day, *crops):
    return Stood(day.year, day.month, crops, turned_under=False, on=day)


def told(crops, history=(), log=(), plant=FALL):
    return [
        (code, printed(text), level)
        for code, text, level in look_back(crops, history, plant, log)
    ]


# ---- a history -------------------------------------------------------------------------------------------
def test_lines_of_a_history_that_begin_with_a_year_are_read_whole():
    assert stood_before(
        [
            "2024: oats and crimson clover",
            " 2025 - the SAME mix, mowed in May",
            "1998, oats turned under in Apr",
            "2026. hairy vetch, Plowed Down",
            "2026 green manure",
            "rye in 2020",
        ]
    ) == (
        Stood(2024, None, ("oats", "crimson clover"), False),
        Stood(2025, 5, ("oats", "crimson clover"), False),
        Stood(1998, 4, ("oats",), True),
        Stood(2026, None, ("hairy vetch",), True),
        Stood(2026, None, (), True),
    )
    assert stood_before(["2025: same mix"]) == (Stood(2025, None, (), False),)
    assert stood_before(["2024: oats", "2025: sameness"])[1].crops == ()
    assert stood_before(["2024: oats", "2025: the same, and wheat"])[1].crops == ("wheat",)


def test_a_log_s_sowings_are_those_of_its_item_or_its_mix():
    prop = Property(
        PropertyInfo("x"), mix=(Mix("Fall mix", (Seed("oats"), Seed("crimson clover"))),)
    )

    def line(on, item="", mix="", parts=(("North", "plant"),)):
        return SimpleNamespace(on=on, item=item, mix=mix, parts=parts)

    first, second = D(2026, 9, 1), D(2027, 3, 2)
    both = (("North", "plant"), ("South", "plant"), ("East", "lime"))
    assert stood_in_log(
        [
            line(second, mix="fall MIX"),
            line(first, item="wheat", mix="Fall mix"),
            line(first, item="oats", parts=both),
            line(first, item="wheat", parts=both),
            line(first, item="rye", parts=(("West", "lime"),)),
            line(second, item="seed of uncle's", parts=(("East", "plant"),)),
            line(first, item="Fall mix", parts=(("Hill", "plant"),)),
        ],
        prop,
    ) == {
        "North": (logged(first, "wheat", "oats"), logged(second, "oats", "crimson clover")),
        "South": (logged(first, "oats", "wheat"),),
        "East": (logged(second),),
        "Hill": (logged(first, "oats", "crimson clover"),),
    }
    assert (logged(first).told, Stood(2026, None, (), False).told) == ("log", "history")


# ---- what it means ---------------------------------------------------------------------------------------
BUILD_UP = (
    "Diseases and insects build up: keep them off the same ground for 2 to 4 years "
    f"({cite('udel-rotation')})."
)


@pytest.mark.parametrize(
    ("history", "log", "said"),
    [
        (["2025: turnips"], [], "the history has brassicas here in 2025"),
        (["2024: turnips"], [], None),
        (["2027: turnips"], [], None),
        (["2026: oats"], [], None),
        ([], [logged(D(2027, 3, 1), RAPE)], "the log has brassicas here in 2027"),
        (
            ["2026: turnips", "2025: rape"],
            [logged(D(2026, 3, 1), RAPE)],
            "the history and the log have brassicas here in 2025 and 2026",
        ),
    ],
)
def test_brassicas_within_two_years_of_brassicas_are_told_by_who_tells_of_them(
    history, log, said
):
    expected = [
        ("brassicas-again", f"{TURNIP}, {RAPE}: {said}. {BUILD_UP}", "caution")
    ] if said else []  # fmt: skip
    assert told([TURNIP, "oats", RAPE], history, log) == expected
    assert told(["oats"], history, log) == []
    assert told([TURNIP], history, log, plant=None) == []


def test_two_years_of_arrowleaf_are_several():
    again = (
        "arrowleaf-again",
        "arrowleaf clover: the history and the log have it here in 2015, 2026. After several "
        "years on one ground a root disease keeps it from coming back by its own seed: sow "
        f"another clover for a while ({cite('uga-arrowleaf')}).",
        "caution",
    )
    log = [logged(D(2026, 9, 1), "arrowleaf clover")]
    sown = ["arrowleaf clover"]
    assert told(sown, ["2015: arrowleaf clover"], log) == [again]
    assert told(sown, ["2026: arrowleaf clover"], log) == []
    assert told(["crimson clover"], ["2015: arrowleaf clover"], log) == []
    assert told(sown, [], log) == []


def test_a_sowing_without_a_crop_is_asked_for_where_it_decides():
    log = [
        logged(D(2024, 9, 1)), logged(D(2025, 9, 1)), logged(D(2026, 3, 2), "oats"),
        logged(D(2026, 9, 3)),
    ]  # fmt: skip
    assert told(["oats", TURNIP, "arrowleaf clover"], [], log) == [
        (
            "sowing-unnamed",
            f"{TURNIP}, arrowleaf clover: the log has a sowing here on September 1, 2025 and "
            "September 3, 2026 that names no crop, so whether the same stood here before is not "
            "known. Write the crop or the mix on its line.",
            "info",
        )
    ]
    assert told(["oats"], [], log) == []
    assert told([TURNIP], ["2026: something"], log[:1]) == []


VETCH = credits_by_crop()["hairy vetch"]
NOT_LOWERED = (
    "The nitrogen asked for here is not lowered for it: lower it yourself where the stand was "
    "good. "
)
NO_MORE = (
    "It brings no phosphate, potash or lime that was not there, and kills no weed that comes "
    "back from its root (common practice, no source)."
)


def test_a_green_manure_of_this_year_is_told_with_what_print_counts():
    expected = (
        "green-manure",
        f"hairy vetch turned under in 2027: print counts {printed(str(VETCH))}. "
        f"{NOT_LOWERED}{NO_MORE}",
        "info",
    )
    assert told(["oats"], ["2027: hairy vetch turned under in Apr"]) == [expected]
    assert told(["oats"], ["2027: hairy vetch turned under in Apr", "2027: oats"]) == [
        expected
    ]
    both = told(["oats"], ["2027: hairy vetch and oats turned under in Apr"])
    assert both[0][1].startswith("hairy vetch and oats turned under in 2027: print counts ")
    (plain,) = told(["oats"], ["2027: oats turned under in Apr"])
    assert plain[1] == (
        "oats turned under in 2027: no source that was read counts nitrogen for it, and old or "
        "woody growth ties nitrogen up while it rots (more than 30 parts carbon to one; "
        f"{cite('purdue-cover')}). {NO_MORE}"
    )


@pytest.mark.parametrize(
    ("line", "plant", "counts"),
    [
        ("2027: oats turned under in Apr", D(2027, 4, 1), True),
        ("2027: oats turned under in Apr", D(2027, 3, 31), False),
        ("2027: oats turned under in Apr", D(2028, 3, 31), True),
        ("2027: oats turned under in Apr", D(2028, 4, 1), False),
        ("2026: oats turned under", D(2026, 12, 1), True),
        ("2026: oats turned under", D(2026, 11, 30), False),
        ("2026: oats mowed in Apr", D(2026, 5, 1), False),
    ],
)
def test_a_green_manure_counts_for_a_year(line, plant, counts):
    assert bool(told(["oats"], [line], plant=plant)) is counts


def test_a_green_manure_without_a_name_is_what_the_log_says_was_sown_last():
    log = [logged(D(2026, 3, 1), "oats"), logged(D(2026, 9, 1), "hairy vetch"),
           logged(D(2026, 10, 1)), logged(D(2027, 4, 1), "wheat")]  # fmt: skip
    (one,) = told(["oats"], ["2027: turned under in Apr"], log)
    assert one[1].startswith("hairy vetch turned under in 2027: print counts ")
    assert told(["oats"], ["2027: turned under in Apr"]) == []
    assert told(["oats"], ["2027: turned under in Apr"], log[2:]) == []


def test_a_credit_is_told_with_how_and_where():
    one = Credit("vetch", 60.0, 80.0, "at bloom", "udel-rotation")
    assert printed(str(one)) == (
        f"vetch 60-80 lb/ac of nitrogen (at bloom; {cite('udel-rotation')})"
    )
