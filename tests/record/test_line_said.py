"""A line of the log is said in plain words, in the units of its reader."""

import pytest

from quietacre.figures import printed
from quietacre.logbook import COLUMNS
from quietacre.record.line_said import line_said


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        (
            {"task": "planted", "item": "crimson clover", "amount": "2", "unit": "bags",
             "bag_lb": "25", "minutes": "60"},
            "planted 2 bags of crimson clover, 25 lb each; 60 minutes",
        ),
        (
            {"task": "lime", "item": "lime", "amount": "1500", "unit": "kg", "price": "412.5",
             "minutes": "180", "note": "moved 1 load", "who": "José"},
            "lime: 1,500 kg of lime; $412.50 paid; 180 minutes; moved 1 load; by José",
        ),
        ({"task": "wait", "until": "2027-01-10"}, "wait until January 10, 2027"),
        ({"task": "limed", "item": "lime-pellet", "amount": "4", "unit": "ton"},
         "limed 4 tons of lime-pellet"),
        ({"task": "limed", "amount": "1", "unit": "tons"}, "limed 1 ton"),
        ({"task": "bought", "item": "oats", "amount": "1,250.5", "unit": "lbs"},
         "bought 1,250.5 lb of oats"),
        ({"task": "bought", "item": "glyphosate", "amount": "1", "unit": "jugs"},
         "bought 1 jug of glyphosate"),
        ({"task": "mowed", "minutes": "1"}, "mowed; 1 minute"),
        ({"task": "mowed", "minutes": "an hour"}, "mowed; minutes an hour"),
        ({"task": "planted", "mix": "Fall", "method": "drill", "rate_lb_ac": "60", "until": "2027-09-12"},
         "planted until September 12, 2027; at 60 lb/ac; the mix Fall; drill"),
        ({"task": "rained", "rain_in": "0.6"}, "rained; 0.6 in of rain"),
        ({"task": "clip", "stand": "7", "ground": "wet", "photo": "a.jpg", "wind": "north"},
         "clip; came up 7 of 10; the ground wet; photograph a.jpg; wind north"),
        ({"task": "fixed the gate", "item": "hinges"}, "fixed the gate: hinges"),
    ],
)  # fmt: skip
def test_a_line_in_plain_words(cells, said):
    assert printed(line_said(cells)) == said


def test_a_line_in_metric_units():
    cells = {"task": "planted", "item": "oats", "amount": "2", "unit": "bags", "bag_lb": "50",
             "rate_lb_ac": "60", "rain_in": "0.4"}  # fmt: skip
    said = printed(line_said(cells), metric=True)
    # 50 lb = 22.68 kg; 60 lb/ac = 67.25 kg/ha; 0.4 in = 10.16 mm
    assert said == "planted 2 bags of oats, 22.7 kg each; at 67.3 kg/ha; 10 mm of rain"
    tons = {"task": "limed", "amount": "4", "unit": "ton"}
    assert printed(line_said(tons), metric=True) == "limed 3.63 t"  # 4 × 0.907185
    pints = {"task": "sprayed", "amount": "3", "unit": "pt", "item": "a spray"}
    # 3 pt = 48 fl oz = 1,419.5 mL
    assert printed(line_said(pints), metric=True) == "sprayed 1,420 mL of a spray"
    assert printed(line_said(pints)) == "sprayed 3 pt of a spray"


def test_no_cell_is_left_out():
    cells = {column.name: f"{column.name}-cell" for column in COLUMNS} | {
        "more": "more-cell"
    }
    said = line_said(cells)
    left_out = {name for name in cells if f"{name}-cell" not in said}
    assert left_out == {"id", "date", "area"}
