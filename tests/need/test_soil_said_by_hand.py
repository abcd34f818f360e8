"""What a soil test says of a piece of ground: its age to the day, its pH, its lime in pounds."""

import dataclasses
import datetime as dt

import pytest

from quietacre.figures import printed
from quietacre.need.job import Job
from quietacre.need.lime import MONTHS_AHEAD, Lime
from quietacre.need.lime_words import months_text, parts_text
from quietacre.need.records import LimeLine
from quietacre.need.soil import lime, lime_product, look_at_test, say_of_lime, test_lines
from quietacre.need.tables import Figure, crops
from quietacre.plantings import Sown
from quietacre.settings import Mix, Product, Property, PropertyInfo, Seed, SoilTest
from quietacre.shipped import cite

test_lines.__test__ = False  # a function of the program, no test
D = dt.date


def crop(name, ph=None, source="msu-grains"):
    figures = {} if ph is None else {"ph_min": Figure("ph_min", ph, ph, "", "", "", source)}
    return dataclasses.replace(crops()["oats"], name=name, figures=figures)


TABLE = {
    "oats": crop("oats", 5.5), "clover": crop("clover", 6.0, "memory"), "rye": crop("rye"),
    "pea": crop("pea", 6.25),
}  # fmt: skip
MIX = Mix(
    "field", tuple(Seed(name) for name in ("oats", "clover", "rye", "moonwort", "pea"))
)


def job(test, *, mix=MIX, plant=None, acres=2.0, name="North", **more):
    area = Sown("North", "plot", "f.gpx", area_id="a01", key="a01", plant=plant)
    return Job(
        "a01", name, acres, 0.75 * acres, 1.5 * acres, -86.0, 33.0, mix, test, area, False, TABLE, **more
    )  # fmt: skip


def looked(test, today=None, **more):
    ground = job(test, **more)
    look_at_test(ground, today)
    return ground.notes


# ---- its age --------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("days", "level"), [(730, None), (731, "caution"), (1095, "caution"), (1096, "warning")]
)
def test_a_test_is_old_by_the_later_of_today_and_planting(days, level):
    """Two years are 730.5 days, three 1,095.75."""
    first = D(2024, 3, 1)
    last = first + dt.timedelta(days=days)
    test = SoilTest("lab", on=first)
    for plant, today, at in (
        (last, None, "at planting"), (None, last, "now"), (D(2024, 5, 1), last, "now"),
        (last, D(2024, 5, 1), "at planting"),
    ):  # fmt: skip
        notes = looked(test, today, plant=plant)
        if level is None:
            assert notes == []
            continue
        (note,) = notes
        assert (note.code, note.level) == ("old-soil-test", level)
        assert printed(note.head) == (
            f"the soil test “lab” is {days / 365.25:.1f} years old {at}; take one at least every two "
            f"years ({cite('al-deer')}), and at the latest after three ({cite('ms-cycle')})"
        )
        assert (
            note.more
            == "Its figures are used as they stand, less what the log has spread since."
        )


def test_a_test_without_a_day_or_seen_on_no_day_has_no_age():
    assert looked(SoilTest("lab"), D(2030, 1, 1)) == []
    assert looked(SoilTest("lab", on=D(2020, 1, 1))) == []
    assert looked(None, D(2030, 1, 1)) == []
    both = looked(SoilTest("lab", on=D(2020, 1, 1), ph=5.0), D(2030, 1, 1))
    assert [one.code for one in both] == ["old-soil-test", "ph-too-low"]


# ---- its pH -----------------------------------------------------------------------------------------
def test_every_crop_that_finds_it_too_sour_is_named_with_its_page():
    """Oats want 5.5, clover 6 and a pea 6.25; of rye nothing was read."""
    oats = f"oats wants 5.5 at least ({cite('msu-grains')})"
    pea = f"pea wants 6.25 at least ({cite('msu-grains')})"
    clover = "clover wants 6 at least (from memory)"
    for ph, named in (
        (5.0, [oats, clover, pea]), (5.5, [clover, pea]), (6.0, [pea]), (6.25, []), (7.0, []),
    ):  # fmt: skip
        notes = looked(SoilTest("lab", ph=ph))
        if not named:
            assert notes == []
            continue
        (note,) = notes
        assert (note.code, note.level) == ("ph-too-low", "caution")
        assert note.head == f"the soil test reads pH {ph:g}; {', '.join(named)}"
    assert looked(SoilTest("lab")) == looked(SoilTest("lab", ph=5.0), mix=None) == []


@pytest.mark.parametrize(
    ("keys", "asks"),
    [
        ({}, False), ({"lime_ton_ac": 0.0}, False), ({"lime_ton_ac": 0.5}, True), ({"lime_lb_ac": 900.0}, True),
        ({"lime_lb_ac": 0.0}, False), ({"buffer_ph": 6.1}, True), ({"lime_ton_ac": 0.0, "buffer_ph": 6.1}, True),
    ],
)  # fmt: skip
def test_sour_ground_is_limed_as_its_test_asks_or_the_laboratory_is_asked(keys, asks):
    (note,) = looked(SoilTest("lab", ph=5.0, **keys))
    assert note.more == (
        "Lime first, months ahead, as this test asks; take the next sample before you sow."
        if asks
        else "Lime first, months ahead; this test asks for none, so ask the laboratory how much."
    )


def test_the_terminal_names_the_grounds_of_one_old_test_together():
    test = SoilTest("lab", on=D(2020, 1, 1))
    old = [job(test, name=name) for name in ("North", "South")]
    for ground in old:
        look_at_test(ground, D(2030, 1, 1))
    east = job(None, name="East")
    east.say("soil-test-undated", "it has no day")
    east.say("other", "another thing")
    lines = test_lines([*old, east])
    assert lines == [f"North, South: {old[0].notes[0].marked}", "East: it has no day"]


# ---- its lime -----------------------------------------------------------------------------------------
PRODUCTS = (
    Product("13-13-13"), Product("lime-ag", ecce_pct=50.0), Product("lime-pellet", ecce_pct=90.0),
)  # fmt: skip
ASKS = SoilTest("lab", lime_ton_ac=1.5, lime_basis="ECCE", lime_basis_pct=100.0)


def home(state=None, products=PRODUCTS):
    return Property(PropertyInfo("Home", state=state), product=products)


def test_the_first_lime_that_can_be_bought_is_taken():
    assert lime_product(home()).grade == "lime-ag"
    assert lime_product(home(products=PRODUCTS[::-1])).grade == "lime-pellet"
    assert lime_product(home(products=PRODUCTS[:1])) is None


def test_the_lime_of_two_acres_is_that_of_its_first_part():
    """1.5 tons of 100 % are 3 of 50 %: two tons an acre now and one later; 1.5 to 3 acres."""
    ground = job(ASKS)
    lime(ground, home())
    assert ground.lime.ton_ac == 3.0
    assert ground.lime_line == LimeLine(
        whole_ton_ac=3.0, parts_ton_ac=(2.0, 1.0), ton_ac=2.0, ton=4.0, ton_low=3.0, ton_high=6.0,
        product="lime-ag", basis="ECCE 100 %", text=ground.lime.text, months_ahead=MONTHS_AHEAD,
    )  # fmt: skip
    assert ground.notes == []


def test_ground_without_lime_to_ask_has_no_line():
    for test in (None, SoilTest("lab"), SoilTest("lab", lime_ton_ac=0.0)):
        ground = job(test)
        lime(ground, home())
        say_of_lime(ground)
        assert (ground.lime, ground.lime_line, ground.notes) == (None, None, [])


def test_the_state_of_the_property_says_what_its_tons_are_of():
    ground = job(SoilTest("lab", lime_ton_ac=1.0))
    lime(ground, home("AR"))
    assert (ground.lime.basis, ground.lime.ton_ac) == ("ECCE 47 %", pytest.approx(0.94))


def test_ground_that_another_planting_limes_is_limed_once():
    ground = job(ASKS, limed_with="spring")
    lime(ground, home())
    (note,) = ground.notes
    assert (note.code, note.level, note.text) == (
        "limed-once",
        "info",
        "the ground is limed once, by the newest of its soil tests, with spring; the lime of “lab” is "
        "not counted here.",
    )
    assert (ground.lime, ground.lime_line) == (None, None)


def test_what_is_said_of_lime_in_its_order():
    ground = job(ASKS)
    lime(ground, home())
    told = dataclasses.replace(ground.lime, warnings=("weak",), doubts=("which basis",))
    ground.lime = told
    say_of_lime(ground)
    assert [(one.code, one.head, one.level) for one in ground.notes[:2]] == [
        ("lime-basis", "weak", "caution"), ("lime-basis", "which basis", "warning"),
    ]  # fmt: skip
    parts, months = ground.notes[2:]
    assert (parts.code, parts.level, parts.text) == (
        "lime-in-parts", "warning", printed(parts_text(told)),
    )  # fmt: skip
    assert parts.text.startswith(
        "3.00 tons of lime an acre is more than 2 at a time: 2.00 now, 1.00 two to three years later "
    )
    assert (months.code, months.level) == ("lime-months-ahead", "info")
    assert months.head == "spread the lime 3-6 months before planting"
    assert months.more == f"{months_text().more}."
    assert months.cited == cite("mo-lime-time")


def test_lime_that_goes_on_at_once_is_told_in_no_parts_and_gone_lime_not_at_all():
    ground = job(dataclasses.replace(ASKS, lime_ton_ac=1.0))
    lime(ground, home())
    say_of_lime(ground)
    assert [one.code for one in ground.notes] == ["lime-months-ahead"]
    spread = job(ASKS)
    lime(spread, home())
    spread.lime_line = None
    say_of_lime(spread)
    assert spread.notes == []


def test_lime_in_more_than_two_parts_says_how_long_after_that():
    told = Lime(5.5, "lime-ag", "ECCE 100 %", "", parts_ton_ac=(2.0, 2.0, 1.5))
    assert printed(parts_text(told)).startswith(
        "5.50 tons of lime an acre is more than 2 at a time: 2.00 now, 2.00 two to three years later, "
        f"1.50 as long after that ({cite('mo-lime')}), by a soil test taken then"
    )
