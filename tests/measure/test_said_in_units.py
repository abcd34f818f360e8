"""Sentences on the ground of a property, in US units and in metric ones."""

import datetime as dt
import json

import pytest
import shapely
from in_units import both
from random_files import geojson, gpx, gpx_line

from quietacre.build import plan_records
from quietacre.figures import BEFORE, printed
from quietacre.intake.vector import OwnUnits
from quietacre.measure.known import HowKnown
from quietacre.measure.property import measure_property
from quietacre.measure.table import read_table

DAY = dt.datetime(2026, 5, 3, 14, tzinfo=dt.UTC)
LEGS = "bearing,distance\n0,100\n90,100\n180,100\n270,110\n"


def box(east, north, side=0.002):
    west, south = -87.6 + 0.003 * east, 34.2 + 0.003 * north
    return shapely.box(west, south, west + side, south + side)


def edge(shape, days=0):
    at = shapely.get_coordinates(shape.segmentize(2e-5).exterior)
    return gpx([gpx_line("edge", at, DAY + dt.timedelta(days=days))])


def area(name, source, **more):
    keys = {"name": name, "kind": "plot", "from": source, **more}
    return "[[area]]\n" + "".join(f"{k} = {json.dumps(v)}\n" for k, v in keys.items())


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("land")
    files = {
        "two.geojson": geojson([("A", box(0, 0)), ("A", box(0.3, 0)), ("Left", box(2, 0)),
                                ("B", box(4, 0)), ("C", box(6, 0))]),
        "line.geojson": geojson([("Line", shapely.box(-87.7, 34.1, -87.5, 34.205)),
                                 ("Far", box(0, -20))]),
        "out.geojson": geojson([("Out", box(0, 1, side=0.004))]),
        "walk.gpx": edge(box(4, 0, side=0.0021)),
        "shelf.gpx": edge(box(8, 0)),
        "more.geojson": geojson([("Q", box(10, 0))]),
        "rest.geojson": geojson([("Q", box(10.5, 0))]),
        "over.geojson": geojson([("Shelf", box(8, 0, side=0.0022))]),
        "legs.csv": LEGS.replace("110", "100.5"),
    }  # fmt: skip
    for name, text in files.items():
        (place / name).write_text(text, encoding="utf-8")
    place.joinpath("property.toml").write_text(
        '[property]\nname = "Place"\nboundary = "line.geojson"\n'
        + area("A", "two.geojson")
        + area("B", ["two.geojson", "walk.gpx"], edge_pm_ft=12)
        + area("C", "two.geojson")
        + area("Again", "two.geojson", feature="C")
        + area("Out", "out.geojson")
        + area("Q", ["more.geojson", "rest.geojson"])
        + area("Shelf", "over.geojson", over="shelf.gpx", edge_pm_ft=20)
        + area("Inside", "shelf.gpx", walked_inside_ft=3.5)
        + area("Legs", "legs.csv", declination_deg=0.0)
        + "placed = [{ corner = 1, lat = 34.2, lon = -87.56 }]\n",
        encoding="utf-8",
    )  # fmt: skip
    return place


def test_every_sentence_on_ground(folder):
    found = measure_property(folder).extras
    notes = [*found.notes, *(note for some in found.area_notes.values() for note in some)]
    codes = {
        "features-together", "ground-unused", "feature-twice", "line-of-many",
        "drawing-over-walk", "area-crosses-boundary", "drawn-over-walk", "closes",
    }  # fmt: skip
    told = [note.marked for note in notes if note.code in codes]
    assert codes == {note.code for note in notes if note.code in codes}
    methods = [text for text in found.methods.values() if BEFORE in text]
    us, _ = both([*told, *methods])
    assert "drawn, its edge within 12 ft (95 %, by edge_pm_ft)" in us
    assert any("walked 3.5 ft inside the edge" in text for text in us)
    assert any(text.endswith("drawn twice and counted once.") for text in us)


def test_the_frame_of_areas_says_us_units_and_the_report_keeps_values(folder):
    measured = measure_property(folder)
    methods = list(measured.areas["method"])
    assert not any(BEFORE in text for text in methods)
    assert any("walked 3.5 ft inside" in text for text in methods)
    report = plan_records(measured, today=DAY.date()).report
    (inside,) = (one.size.method for one in report.areas if one.name == "Inside")
    us, metric = both([inside])
    assert "walked 3.5 ft inside" in us[0]
    assert "walked 1.07 m inside" in metric[0]


def test_a_table_and_a_deed():
    own, how = OwnUnits(), HowKnown()
    bad = read_table(LEGS.replace("270,110", "270,40"), how, own, "t.csv")
    open_ = read_table(LEGS.replace("180,100", "90,100"), how, own, "t.csv")
    deed = read_table(
        "Beginning at a stone; thence N 0 E 400 feet; thence N 90 E 400 feet; thence S 0 W 400 "
        "feet; thence S 90 W 400 feet to the beginning, containing 9 acres. Except: beginning at "
        "a post; thence N 0 E 50 feet; thence N 90 E 50 feet; thence S 0 W 50 feet; thence S 90 W "
        "50 feet to the beginning.", how, own, "d.txt",
    )  # fmt: skip
    assert bad.known is not None
    assert deed.known is not None
    notes = [*bad.notes, *deed.notes]
    texts = [note.marked for note in notes if BEFORE in note.marked]
    # a leg itself is told as it was written
    assert printed(open_.why).startswith(
        "t.csv: its legs end 135 ft from where they began, of 410 ft"
    )
    assert printed(open_.why, metric=True).startswith(
        "t.csv: its legs end 41.0 m from where they"
    )
    us, metric = both([text for text in texts if "Leg" not in text])
    assert any("exception of 0.06 ac (4 calls) is taken off" in text for text in us)
    assert any("the deed says 3.64 ha; its calls give 1.49 ha ±" in text for text in metric)
