"""Sentences on amounts, in US units and in metric ones."""

import datetime as dt

import geopandas as gpd
import pytest
import shapely
from in_units import US

from quietacre import settings as keys
from quietacre.figures import AFTER, BEFORE, printed
from quietacre.model import Job
from quietacre.need import machine
from quietacre.need.buffers import buffer_methods, its_method
from quietacre.need.cautions import all_cautions, grade_cautions
from quietacre.need.crop_said import crop_lines
from quietacre.need.exclosure import browse, cage_lines
from quietacre.need.forage import forage_balance, published_ranges, range_line
from quietacre.need.legumes import left_out_text
from quietacre.need.lime import lime_rate
from quietacre.need.plan import plan_needs
from quietacre.need.removal import removal_lines, removals
from quietacre.need.tables import crops, lime_bases
from quietacre.record.book import book_of
from quietacre.settings import Mix, NeedLbAc, Product, Seed, SoilTest, Spray
from quietacre.shipped import rows

D = dt.date
TODAY = D(2027, 11, 1)
#: Told in US units wherever they are told: a formula, that ounces are gallons an acre, the pounds that a
#: laboratory's measure counts, what is typed into a box and what that is called, words of a rule.
ALWAYS_US = (
    "are gallons an acre", "lb ENP", "lb ENM", "lb/ac under “", "by pounds an acre”",
    "an acre that its report", "most an acre holds",
)  # fmt: skip


def told_twice(texts):
    """Return texts in US and in metric units, once each holds no mark and the latter no US unit."""
    texts = list(texts)
    us = [printed(text) for text in texts]
    metric = [printed(text, metric=True) for text in texts]
    for text in (*us, *metric):
        assert BEFORE not in text, text
        assert AFTER not in text, text
    for text in metric:
        assert not US.search(text) or any(words in text for words in ALWAYS_US), text
    return us, metric


def of_one(us, metric, text):
    """Return how the first text that holds some words in US units is told in metric ones."""
    return next(told for one, told in zip(us, metric, strict=True) if text in one)


def each_is_told(us, metric, pairs):
    """Hold each text of some words in US units to its words in metric ones."""
    for text, told in pairs.items():
        assert told in of_one(us, metric, text)


def place():
    """Return a property whose amounts leave few sentences unsaid, and its ground."""
    mix = Mix("grain", (
        Seed("crimson clover", share=1.0, purity=0.9, germination=0.8, coating=0.3, price_lb=2.0,
             bag_lb=50.0),
        Seed("oats", rate_lb_ac=300.0, basis="bulk", seeds_per_lb=13000.0),
        Seed("turnip (forage)", seeds_ft2=30.0), Seed("corn", share=0.5),
    ))  # fmt: skip
    prop = keys.Property(
        keys.PropertyInfo("p", state="AL"),
        area=(
            keys.Area("North", "plot", "f.gpx", mix="grain", soil_test="lab", plant=D(2027, 9, 20),
                      topdress_n_lb_ac=200.0, history=("2027: hairy vetch, turned under in May",)),
            keys.Area("South", "plot", "f.gpx", mix="grain", soil_test="undated"),
            keys.Area("Hay", "plot", "f.gpx", fertilizer="removal",
                      harvest=keys.Harvest("hay", ton_ac=2.0)),
            keys.Area("Kept", "plot", "f.gpx", mix="grain", fertilizer="maintenance",
                      feed=(keys.Feed("jug"), keys.Feed("gun"))),
        ),
        mix=(mix,),
        soil_test=(
            SoilTest("lab", need_lb_ac=NeedLbAc(n=120.0, p2o5=40.0, k2o=90.0), lime_ton_ac=5.0,
                     lime_basis="ECCE", lime_basis_pct=100.0, on=D(2027, 1, 5)),
            SoilTest("undated", need_ppm=NeedLbAc(n=20.0, k2o=30.0), lime_lb_ac=3000.0,
                     lime_basis_depth_in=6.0, lime_depth_in=8.0),
        ),
        product=(
            Product("34-0-0", bag_lb=50.0, price=19.0, max_bags=4),
            Product("13-13-13", bag_lb=50.0, price=12.0),
            Product("46-0-0", bag_lb=50.0, price=20.0, max_bags=1),
            Product("lime-ag", bulk=True, price=50.0, ecce_pct=100.0),
        ),
        spray=(
            Spray("jug", "foliar feed", rate_fl_oz_ac=32.0, max_rate_fl_oz_ac=16.0),
            Spray("gun", "spot spray", rate_pct_volume=2.0),
        ),
        forage=keys.Forage(20.0, 2.0, 100.0, 0.5, yield_lb_ac=900.0),
        buying=keys.Buying(short_pct=5.0),
        stock=(keys.Stock("oats", amount_lb=100.0, on=D(2027, 1, 1)),),
    )  # fmt: skip
    names = [area.name for area in prop.area]
    frame = {"id": [f"a0{n}" for n in range(1, 5)], "name": names, "kind": "plot",
             "acres": 8.0, "acres_low": 7.6, "acres_high": 8.4}  # fmt: skip
    ground = [shapely.box(n, 0, n + 0.5, 1) for n in range(4)]
    return prop, gpd.GeoDataFrame(frame, geometry=ground, crs=4326)


LOG = (
    ("2027-02-01", "North", "lime", {"item": "lime-ag", "amount": "90000", "unit": "lb"}),
    (
        "2027-09-01",
        "North",
        "fertilize",
        {"item": "46-0-0", "amount": "9000", "unit": "lb"},
    ),
    (
        "2027-09-02",
        "South",
        "fertilize",
        {"item": "13-13-13", "amount": "300", "unit": "lb"},
    ),
    (
        "2027-09-03",
        "North, South",
        "fertilize",
        {"item": "13-13-13", "amount": "300", "unit": "lb"},
    ),
    ("2027-09-20", "North", "plant", {"item": "oats", "amount": "3000", "unit": "lb"}),
    ("2027-09-20", "North", "plant", {"item": "rye", "amount": "30", "unit": "lb"}),
    ("2027-09-21", "Kept", "plant", {"item": "oats"}),
)


def logged():
    """Return the lines of the log."""
    return [
        Job(D.fromisoformat(on), area, task, line, f"l{line}", cells)
        for line, (on, area, task, cells) in enumerate(LOG, 2)
    ]


def texts_of(plan):
    """Return every text of a plan of amounts."""
    for need in plan.needs.values():
        yield from (note.marked for note in need.notes)
        yield from need.setting
        yield from filter(None, (need.asked_of, need.lime and need.lime.text))
        for row in need.seed:
            yield from filter(None, (row.source, row.note))
    yield from (note.marked for note in plan.notes)
    yield from plan.fertilizer_plan.text
    yield from plan.how_much.text
    yield from (caution.text for caution in plan.cautions)
    yield from filter(None, (line.note for line in plan.lines))
    for lines in plan.crops.values():
        yield from lines


@pytest.fixture(scope="module")
def said():
    prop, ground = place()
    without = plan_needs(ground, prop, property_acres=200.0)
    with_log = plan_needs(ground, prop, book=book_of(logged(), prop), today=TODAY)
    return told_twice([*texts_of(without), *texts_of(with_log)])


def test_a_plan_of_amounts_is_told_in_both(said):
    us, metric = said
    pairs = {
        "5.00 tons of lime an acre is more than 2 at a time: 2.00 now, 2.00 two to three":
            "11.2 t of lime a hectare is more than 4.48 at a time: 4.48 now, 4.48 two to three",
        "crimson clover: the table's rate is taken as live seed, 45.6 lb/ac out of the bag; "
        "poured as it is it would be 23.0.":
            "51.1 kg/ha out of the bag; poured as it is it would be 25.8.",
        "is set to 32 fl oz/ac, above the label maximum you typed (16)":
            "is set to 2,338 mL/ha, above the label maximum you typed (1,169)",
        "200 lb/ac of nitrogen was to be top-dressed, but only 120 is called for.":
            "224 kg/ha of nitrogen was to be top-dressed, but only 135 is called for.",
        "20 deer × 2 lb × 100 days = 4,000 lb; 32.00 ac × 900 lb/ac × 0.5 = 14,400 lb: enough":
            "0.907 kg × 100 days = 1,814 kg; 12.9 ha × 1,009 kg/ha × 0.5 = 6,532 kg: enough",
        "13-13-13: 519 lb/ac is 11.9 lb on 1,000 sq ft (a course of 50 ft)":
            "13-13-13: 582 kg/ha is 5.41 kg on 93 m² (a course of 15.2 m)",
        "1-3 acres a plot: winter plots": "0.405-1.21 ha a plot: winter plots",
        "1.5-2.5 in. deep [1] (also printed: 2 Missouri": "38-64 mm deep [1] (also printed: 51",
        "30 seeds a square foot, 243,000 a pound": "323 seeds a m², 535,700 a kg",
        "mixed 8 in. of 6": "laboratory: 3.36 t/ha at ECCE 100 %; mixed 203 mm of 152",
    }  # fmt: skip
    each_is_told(us, metric, pairs)


def test_what_the_log_takes_off_is_told_in_both(said):
    us, metric = said
    pairs = {
        "(the soil test asks for ": "kg of lime too much (the soil test asks for ",
        "lb of rye, which is not in the mix": "13.6 kg of rye, which is not in the mix",
        "more used than there was (oats:": "45.4 kg counted and bought",
        "The log has 300 lb of 13-13-13 on it": "The log has 136 kg of 13-13-13 on it",
    }
    each_is_told(us, metric, pairs)


def test_every_crop_of_the_table_is_told_in_both():
    for state in (None, "AL", "OH"):
        for crop in crops(state).values():
            us, metric = told_twice(text for text in crop_lines(crop) if text[0] != "[")
            assert any(" in. deep" in text for text in us), crop.name
            assert any(" mm deep" in text for text in metric), crop.name
            assert any("seeds a kg" in text for text in metric), crop.name


def test_texts_of_the_tables_are_told_in_both():
    limes = (
        lime_rate(
            SoilTest("t", lime_ton_ac=1.0, lime_depth_in=6.0),
            Product("lime", cce_pct=100.0, passing_pct={8: 90.0, 60: 50.0}, ecce_pct=60.0,
                    enp_lb_ton=1200.0),
            state,
        )
        for state in lime_bases()
    )  # fmt: skip
    grades = [row["grade"] for row in rows("fertilizers")]
    texts = [
        *(text for lime in limes for text in (lime.text, *lime.warnings, *lime.doubts)),
        *(its_method(state) for state in buffer_methods()),
        *(caution.text for caution in all_cautions()),
        *(text for _, text in grade_cautions(grades, drilled=True)),
        *cage_lines(8.0, 50.0),
        left_out_text(60.0, 0.4, ["oats"]),
        *(forage_balance(20.0, 2.0, 100.0, 2000.0, 0.5, ac).text for ac in (0.0, 3.0)),
        machine.hand_gun_line(15.0),
        machine.sprayer_line(15.0, 30.0, 4.0),
        *(text for what in removals() for text in removal_lines(what, off_of_two(what))),
        *(range_line(row) for row in published_ranges()),
        *browse([40.0, 50.0], [20.0, 35.0], 10.0, 0.3).lines(),
    ]
    us, metric = told_twice(texts)
    pairs = {
        "90 % CCE in a slice of 8 in.": "90 % CCE in a slice of 203 mm",
        "a cage of 8 ft of wire stands on 5.09 sq ft; a 50 ft roll makes 6":
            "a cage of 2.44 m of wire stands on 0.47 m²; a 15.2 m roll makes 6",
        "6 sq ft or more: at least that much": "0.56 m² or more: at least that much",
        "to wet 18.5 by 18.5 ft with": "fluid ounces caught are gallons an acre, 444 mL as planned",
        # 340.3 sq ft, a hundred-and-twenty-eighth of an acre: 31.6 m² of 444 mL are 140 L/ha
        "sprayer: over 11 ft at 30 ft wide": "sprayer: over 3.46 m at 9.14 m wide catch 444 mL",
        "at 4 mph 15 gal/ac is 3.64 gal a minute": "at 6.44 km/h 140 L/ha is 13.8 L a minute",
        "60 lb/ac are left out": "put 35 lb/ac under “",  # its box is in US units
        "0 lb: 4.0 ac would feed them": "0 kg: 1.62 ha would feed them",
        "short by 1,000 lb: 1.0 ac more": "short by 454 kg: 0.405 ha more",
        "half an inch of rain at one time": "13 mm of rain at one time",
        "308 lb of 13-13-13": "140 kg of 13-13-13",
        "hauled off with hay: 100 lb/ac N": "hauled off with hay: 112 kg/ha N",
        "5 or more acres a plot: dove fields": "within 0.805 km of water",
        "(95 %: ": "kg/ha (95 %: ",
    }  # fmt: skip
    each_is_told(us, metric, pairs)


def off_of_two(what):
    """Return what two tons or bushels an acre carry off. [lb/ac]"""
    spans = removals()[what].lb_per_unit.items()
    return {k: span and (2 * span[0], 2 * span[1]) for k, span in spans}
