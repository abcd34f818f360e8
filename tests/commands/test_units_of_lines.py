"""Lines of commands in the units of the property's map, or in those of ``--units``."""

import csv
import json
import re
import shutil

import icalendar
import pytest
import shapely
from click.testing import CliRunner
from photographs import jpeg

from quietacre.cli import main
from quietacre.demo import ground
from quietacre.demo.ground import lonlat
from quietacre.demo.write import write_sample
from quietacre.figures import BEFORE

#: What is to be typed: keys with their values, options, commands, and a line of the log.
TYPED = re.compile(
    r"\w+ = [^;,)]+|“[^”]*”|--[\w-]+( \S+)?|quietacre \S.*|\w+_(ac|ft|in|lb|gal|deg)\b|\[\w+\] .*"
)
#: The course of 1/128 acre is one in US units alone; words of a source are not turned.
OWN_FORM = re.compile(
    r"1/128 acre|ounces caught are gal/ac|\(.*(Association|Extension|AgCenter|Federation).*?\)"
)
US = re.compile(
    r"\d(-| )?(ac|acres?|ft|feet|foot|in\.|inch(es)?|lb|oz|fl oz|gal|tons?|mph|mi|miles|sq ft)\b"
    r"|\d in\b(?! it\b| \d)|°F|lb/ac|gal/ac|gal/min|\ban? (acre|sq ft|foot|pound|gallon|inch|mile)\b"
)


def run(*words, code=0):
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == code, result.output
    assert BEFORE not in result.output
    return result.output


def left_in_us(text):
    """Return the lines that say something in US units."""
    lines = [OWN_FORM.sub("", TYPED.sub("", line)) for line in text.splitlines()]
    return [line for line in lines if US.search(line)]


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    place = tmp_path_factory.mktemp("lines") / "bend"
    write_sample(place)
    return place


@pytest.fixture
def metric(sample, tmp_path, monkeypatch):
    """Return the sample with a map in metric units."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1798934400")  # January 3, 2027
    place = tmp_path / "bend"
    shutil.copytree(sample, place)
    path = place / "property.toml"
    path.write_text(path.read_text().replace('units = "us"', 'units = "metric"'))
    return place


#: Commands without a folder, and a line of each in US and in metric units.
WITHOUT_FOLDER = {
    "acres {0}/drawn/openings.geojson {0}/walks/creek-shelf.gpx":
        ("Long field        6.425 ac ", "Long field        2.600 ha "),
    "acres {0}/known/graveyard-deed.txt": ("0.262 ac ± 0.02", "0.106 ha ± 0.009"),
    "walk {0}/walks/north-bottom-1.gpx {0}/walks/north-bottom-2.gpx":
        ("7.158 ac, between 6.922 and 7.394 (", "2.897 ha, between 2.801 and 2.992 ("),
    "width --width-available-ft 30 --state AL":
        (" slow growth:  44.5 ft in 8 passes (asks 40.6 ft: runner growth 25.1 + ",
         " slow growth:   13.6 m in 8 passes (asks 12.4 m: runner growth 7.64 + "),
    "strip {0}/walks/vine-2026.gpx --width-ft 30 --timber {0}/drawn/timber.geojson":
        ("strip 30 ft wide: 0.946 ac round 2.792 ac", "strip 9.14 m wide: 0.383 ha round 1.130 ha"),
    "advance {0}/walks/vine-2025.gpx {0}/walks/vine-2026.gpx":
        ("   N:  +10.1 ft on average,  +12.9 at its farthest; nine times in ten -7 to +27",
         "   N:   +3.09 m on average,  +3.95 at its farthest; nine times in ten -2.02 to +8.21"),
    "need spray --acres 4 --rate-fl-oz-ac 32":
        ("2 full tanks of 25 gal (53.33 fl oz each)", "2 full tanks of 94.6 L (1,577 mL each)"),
    "need spray --acres 4 --rate-lb-ac 2 --max-rate 1.5":
        ("60.0 gal with 8.0 lb of product", "227 L with 3.63 kg of product"),
    "need seed --acres 4 --crop oats":
        ("448.0 lb of oats on 4 ac (112.00 lb/ac, broadcast)",
         "203 kg of oats on 1.62 ha (126 kg/ha, broadcast)"),
    "need fertilizer --acres 4 --n 60 --product 34-0-0:50:20 --short-pct 10":
        ("lb of 34-0-0 (159 lb/ac): 13 bags", "kg of 34-0-0 (178 kg/ha): 13 bags"),
    "need lime --acres 4 --lab-ton-ac 1.5 --basis ECCE --basis-pct 100 --ecce-pct 62 "
    "--depth-in 4 --basis-depth-in 6":
        ("6.45 tons on 4 ac (1.61 ton/ac)", "5.85 t on 1.62 ha (3.62 t/ha)"),
    "need forage --deer 20 --intake-lb-day 3 --days 100 --yield-lb-ac 3000 --utilisation 0.5 "
    "--acres 6":
        ("4.00 ac needed; the ground carries 500 deer-days an acre",
         "1.62 ha needed; the ground carries 1,236 deer-days a hectare"),
    "need removal --what hay --ton-ac 2 --acres 5":
        ("on 5 ac that is", "on 2.02 ha that is"),
    "need exclosure --wire-ft 13 --roll-ft 100 --inside-g 120 --outside-g 40 --area-ft2 9.6 "
    "--dry-frac 1":
        ("need forage --yield-lb-ac 1200", "need forage --yield-lb-ac 1200"),
    "need spreader --rate-lb-ac 200 --swath-ft 20 --caught-lb 3 --catch-width-ft 20 "
    "--catch-ft 30":
        ("the trial put out 217.8 lb/ac: 9 % over; 200 is wanted",
         "the trial put out 244 kg/ha: 9 % over; 224 is wanted"),
    "need drill --rate-lb-ac 60 --caught-oz 4 --rows 2":
        ("2.75 oz out of 2 row(s) of 7.5 in. over 100 ft",
         "78.1 g out of 2 row(s) of 191 mm over 30.5 m"),
    "need sprayer --width-in 20 --caught-fl-oz 15 --mph 4 --gal-min 0.3 --gal-ac 15":
        ("ounces caught are gal/ac, 15 fl oz for the 15 gal/ac wanted",
         "ounces caught are gal/ac, 444 mL for the 140 L/ha wanted"),
    "need planter --seeds-ac 24000 --row-in 30":
        ("1.38 seeds on a foot of row, one every 8.71 in.",
         "4.52 seeds on a meter of row, one every 221 mm"),
    "need capacity --width-ft 6 --mph 4 --efficiency 0.8 --acres 12":
        ("2.3 acres an hour: 6 ft at 4 mph, 80%", "0.942 ha an hour: 1.83 m at 6.44 km/h, 80%"),
    "crops oats": ("1-2 in. deep", "25-51 mm deep"),
    "place {0}/pictures/knoll-sketch.png --at 10,10=34.219,-87.624 --at 400,300=34.216,-87.621 "
    "--out {1}/laid.png":
        ("may be off by 20 ft", "may be off by 6.1 m"),
}  # fmt: skip


@pytest.mark.parametrize("words", list(WITHOUT_FOLDER))
def test_a_command_without_a_folder_says_metric_units_when_asked(sample, tmp_path, words):
    split = [word.format(sample, tmp_path) for word in words.split()]
    in_us, in_metric = WITHOUT_FOLDER[words]
    assert in_us in run(*split)
    assert in_us in run("--units", "us", *split)
    said = run("--units", "metric", *split)
    assert in_metric in said
    assert left_in_us(said) == []


def test_json_is_in_us_units_whatever_the_lines_say(sample):
    walk = ("walk", sample / "walks/north-bottom-1.gpx", "--json")
    assert run("--units", "metric", *walk) == run(*walk)
    steps = json.loads(run("--units", "metric", "steps", "--json"))["processes"]
    assert all("units" not in step["inputs"] for step in steps)


def _rows(path):
    return list(csv.DictReader(path.read_text().splitlines()))


def test_a_table_of_acres_has_its_words_in_the_units_of_its_lines(tmp_path):
    bow = shapely.Polygon(
        [(-87.6, 34.2), (-87.59, 34.203), (-87.59, 34.2), (-87.6, 34.202)]
    )
    drawn = _drawn(tmp_path, "bow.geojson", bow)
    run("acres", drawn, "--out", tmp_path / "us.csv")
    run("--units", "metric", "acres", drawn, "--out", tmp_path / "metric.csv")
    (us,), (metric,) = _rows(tmp_path / "us.csv"), _rows(tmp_path / "metric.csv")
    assert us["acres"] == metric["acres"]
    assert " ac" in us["warnings"]
    assert " ha" in metric["warnings"]
    assert left_in_us(metric["warnings"]) == []


def _drawn(folder, name, shape):
    path = folder / name
    geometry = json.loads(shapely.to_geojson(shape))
    path.write_text(json.dumps({"type": "Feature", "properties": {}, "geometry": geometry}))
    return path


@pytest.mark.slow
def test_every_command_says_the_units_of_the_propertys_map(metric, tmp_path):
    field = shapely.Polygon([lonlat(x, y) for x, y in ground.LONG_FIELD])
    west, south, east, north = field.bounds
    across = shapely.LineString(
        [(field.centroid.x, south - 0.001), (field.centroid.x, north + 0.001)]
    )
    line = _drawn(tmp_path, "across.geojson", across)
    hole = _drawn(tmp_path, "hole.geojson", field.centroid.buffer(0.0001, quad_segs=2))
    lane = _drawn(tmp_path, "lane.geojson",
                  shapely.LineString([(west, north + 0.002), (east, north + 0.002)]))  # fmt: skip
    more = _drawn(
        tmp_path, "more.geojson", shapely.box(west, north + 0.003, east, north + 0.004)
    )
    inside = ("--area", "Long field")
    picture = metric / "pictures/knoll-sketch.png"
    pairs = ("--at", "10,10=34.219,-87.624", "--at", "400,300=34.216,-87.621")
    photo = tmp_path / "IMG_1.JPG"
    photo.write_bytes(jpeg(west - 0.03, north))
    steps = [
        ("build", metric, "--today", "2027-01-02"),
        ("year", metric, "--today", "2027-01-02"),
        ("list", metric, "--today", "2027-01-02", "--from", "2027-08-01", "--to", "2027-10-31"),
        ("close", metric, "2026"),
        ("next", metric),
        ("wait", metric, "--until", "2027-01-20", "--area", "North bottom"),
        ("log", metric, "spread", *inside, "--item", "13-13-13", "--amount", "3", "--unit", "bags"),
        ("done", metric, "lime", *inside),
        ("seen", metric, "3 deer", *inside),
        ("mark", metric, "--line", lane, "--name", "fence"),
        ("mark", metric),
        ("set", metric, "equipment.tank_gal", "40"),
        ("add", metric, more, "--as", "Ridge"),
        ("add", metric, hole, "--mend", "Ridge"),
        ("edge", "split", metric, "Long field", line),
        ("edge", "hole", metric, "Long field", hole, "--edge-pm-ft", "12"),
        ("edge", "join", metric, "Long field", "Long field 2"),
        ("edge", "road", metric, lane, "--as", "Lane", "--width-ft", "12"),
        ("edge", "clip", metric, "Lane"),
        ("edge", "snap", metric, "Dove field", "--within-ft", "30"),
        ("edge", "trim", metric, "Dove field", "--spur-ft", "30", "--notch-ft", "30"),
        ("edge", "table", metric, metric / "known/spring-head-tape.csv", "--as", "Tape",
         "--placed", "1=34.2112,-87.6307"),
        ("survey", metric, metric / "walks/vine-2026.gpx", "--area", "Vine hollow", "--on", "2026-12-20"),
        ("undo", metric, "--list"),
        ("undo", metric),
        ("copy", metric, tmp_path / "kept.zip"),
        ("place", picture, *pairs, "--keep", metric),
        ("merge", metric, metric / "property.toml"),
        ("restore", tmp_path / "kept.zip", tmp_path / "back"),
        ("--units", "metric", "new", tmp_path / "other", more, metric / "walks/vine-2026.gpx"),
    ]  # fmt: skip
    said = {" ".join(map(str, words)): run(*words) for words in steps}
    assert {words: left for words, text in said.items() if (left := left_in_us(text))} == {}
    assert " ft, at " in run("--units", "us", "mark", metric)
    refused = run("edge", "straighten", metric, "Dove field", line, code=2)
    assert " m from the edge" in refused
    assert " m from the nearest ground" in run("photo", metric, photo, code=2)
    _check_outputs(metric / "out")


def _check_outputs(out):
    """Check that calendar and lists say metric units in words, US ones in columns of numbers."""
    events = icalendar.Calendar.from_ical((out / "calendar.ics").read_bytes()).walk(
        "VEVENT"
    )
    words = "\n".join(f"{event['summary']}\n{event['description']}" for event in events)
    assert BEFORE not in words
    assert left_in_us(words) == []
    assert " kg " in words
    plan = _rows(out / "plan.csv")
    assert (
        left_in_us(
            "\n".join(f"{row['label']} {row['amounts']} {row['notes']}" for row in plan)
        )
        == []
    )
    shopping = _rows(out / "shopping.csv")
    assert left_in_us("\n".join(row["note"] for row in shopping)) == []
    report = (out / "report.json").read_text()
    assert BEFORE not in report
    needs = {row["item"]: row["need"] for row in json.loads(report)["shopping"]}
    for row in shopping:
        assert float(row["need"]) == pytest.approx(needs[row["item"]], abs=0.006)
