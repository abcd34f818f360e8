"""Every command and every block of code in the pages is run, in a scratch copy.

Three kinds are gathered out of README.md, DEVELOPERS.md and docs/: fenced blocks, indented
blocks, and words in `backticks` that begin with a program's name. What cannot be run is
listed in ``NOT_RUN`` with the reason; nothing else is left out.
"""

import datetime as dt
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import shapely
from click.testing import CliRunner
from photographs import jpeg
from PIL import Image

from quietacre.cli import COMMANDS, main
from quietacre.commands.demo import write_sample
from quietacre.demo.sample import sample_files
from quietacre.edit.keep import keep_copy
from quietacre.export.outputs import OUTPUTS
from quietacre.figures import BEFORE
from quietacre.logbook import id_of

ROOT = Path(__file__).parents[1]
PAGES = sorted([ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")])

NOT_RUN = {
    "quietacre edge table": "its name alone; the whole command stands beside it",
    "quietacre open": "serves until it is ended; tests/desk starts it",
    "quietacre open [DIR]": "serves until it is ended; tests/desk starts it",
    "quietacre _work": "waits for the desk on its own pipe; tests/desk starts it",
    "quietacre shortcut": "writes to the desktop; tests/desk runs it",
    "tests/run": "runs this test",
    "tests/run -k acreage": "runs this test's own runner",
    "tests/run tests/benchmarks --benchmark-enable": "some minutes; the pairs run once in tests/benchmarks",
    "python tests/benchmarks/bench_lived.py --jobs 2": "half an hour; tests/record lives some years",
    "python tests/desk/every_tool.py": "ten minutes; tests/desk/test_every_tool.py drives a part",
    "python tests/benchmarks/bench_desk.py": "serves and drives a browser for minutes; its figures are no test",
    "python tests/hostile/kill_desk.py": "half an hour; tests/hostile/test_kills.py kills it twice",
    "quietacre add --only N[:KIND][=NAME]": "an option's form; tests/commands adds with it",
    "quietacre crops WORD": "a form; `quietacre crops` runs below",
    ".ci/run": "runs this test",
    "tests/wheel": "installs a package; .ci/run runs it after the tests",
    "python docs/make_pictures.py": "writes pictures into the docs; its parts are tested in browser/",
    "python3 -m venv .venv && .venv/bin/pip install -q . && .venv/bin/quietacre demo":
        "needs a package index; tests/wheel installs, and `quietacre demo` runs below",
    "sudo apt-get install python3-venv": "changes the machine",
    "python3 -m venv ~/quietacre-program": "needs a package index, as the three that follow",
    "~/quietacre-program/bin/pip install .": "needs a package index; tests/wheel installs",
    "~/quietacre-program/bin/quietacre shortcut": "writes to the desktop; tests/desk runs it",
    "~/quietacre-program/bin/quietacre open": "serves until it is ended; tests/desk starts it",
    r'py -m venv "%USERPROFILE%\quietacre-program"': "another system's, and untried",
    r'"%USERPROFILE%\quietacre-program\Scripts\pip" install .': "another system's, and untried",
    r'"%USERPROFILE%\quietacre-program\Scripts\quietacre" shortcut': "another system's, and untried",
    r'"%USERPROFILE%\quietacre-program\Scripts\quietacre" open': "another system's, and untried",
    "sha256sum -c manifest-sha256.txt": "another program's; tests/edit/test_keep.py runs it",
    "apt-get install python3-venv": "changes the machine",
    "pip install --upgrade shapely pyproj fiona pyogrio": "changes the environment",
}  # fmt: skip
#: Listings and equations, not code: the page and how the block begins.
LISTINGS = {
    ("log.md", "id,date,area,task,who,place_id"),
    # tests/commands/test_edge_table.py and tests/commands/test_edge*.py run these
    ("changing-your-files.md", "quietacre edge split DIR"),
    ("know-your-ground.md", "bearing,distance"),
    ("property-file.md", "property.toml      what is meant"),
    ("property-file.md", "date,area,task"),
    ("methods-acreage.md", "Q(φ0 + δ)"),
    ("methods-acreage.md", "Δλ sin φ"),
    ("methods-strip.md", "W = S × r"),
    ("extending.md", "[project.entry-points"),
    ("extending.md", "[use]"),
}
#: Words that stand for the reader's own, longest first.
STANDS_FOR = {
    "edge split DIR AREA LINE": 'edge split sweetgum-bend "Long field" line.geojson',
    "edge table DIR FILE --area AREA --placed 1=LAT,LON": 'edge table sweetgum-bend tape.csv --area "Spring head" --placed 1=34.21084,-87.6123747',
    "mark DIR --kind gate --at LAT,LON": "mark sweetgum-bend --kind gate --at 34.2135,-87.6122",
    "line DIR AREA": 'line sweetgum-bend "Long field"',
    "close DIR YEAR": "close sweetgum-bend 2025",
    "close DIR 2027": "close sweetgum-bend 2025",
    "add DIR FILE --mend AREA": 'add sweetgum-bend patch.geojson --mend "Plum thicket"',
    "add DIR FILE…": "add sweetgum-bend patch.geojson",
    "survey DIR FILE --area NAME": 'survey sweetgum-bend new-vine.gpx --area "Vine hollow"',
    "set DIR KEY VALUE": "set sweetgum-bend work.trip_minutes 40",
    "undo DIR [--list]": "undo sweetgum-bend --list",
    "log DIR TASK --area NAME": 'log sweetgum-bend mow --area "North bottom"',
    'done DIR "bush hogged" --area NAME': 'done sweetgum-bend "bush hogged" --area "North bottom"',
    "done DIR --from FILE": "done sweetgum-bend --from ticks.csv",
    "log DIR --table FILE": "log sweetgum-bend --table sheet.csv",
    'seen DIR "3 deer" --area NAME': 'seen sweetgum-bend "3 deer" --area "Long field"',
    "list DIR --who NAME --out FILE": "list sweetgum-bend --who Tom --out tom.pdf",
    "wait DIR --until DAY": "wait sweetgum-bend --until 2027-10-09",
    "log DIR --undo ID": "log my-place --undo bbb",
    "copy DIR TO": "copy sweetgum-bend out",
    "copy sweetgum-bend /media/stick": "copy sweetgum-bend out",
    "restore ZIP DIR": "restore sweetgum-bend-2026-11-27.zip new-folder",
    "photo DIR FILE…": 'photo sweetgum-bend gate.jpg --area "North bottom"',
    "merge DIR FILE…": "merge sweetgum-bend other-log.csv",
    "new DIR [FILE…]": "new started drawings.geojson",
    "demo [DIR]": "demo shown",
    "strip FILE": "strip patch.geojson",
    "width …": "width --vine kudzu",
    "need …": "need seed --acres 1 --crop oats",
    "COMMAND --help": "acres --help",
    "fuzz_readers.py READER": "fuzz_readers.py gpx",
    "mutate.py PACKAGE": "mutate.py strip",
    "--width-ft W": "--width-ft 60",
    "--width-available-ft W": "--width-available-ft 60",
    "place PICTURE --at …": "place plat.png --at 0,0=33.2,-86.3 --at 399,299=33.199,-86.299",
    "declination LAT LON": "declination 33.2 -86.3 --on 2027-03-05",
    "OLD NEW": "old.geojson patch.geojson",
    "FILE…": "my-walk.gpx",
    "FILE": "my-walk.gpx",
    "DIR": "sweetgum-bend",
}
#: What makes a long command short, and where it may write.
LESS = {
    "test_advance_pairs.py": "--count 5",
    "bench_acreage.py": "--polygons 1000",
    "bench_start.py": "--most 10",
    "bench_page.py": "--most 60",
    "bench_read.py": "--polygons 100 --fixes 1000",
    "bench_ring.py": "100",
    "bench_walk.py": "--count 2",
    "bench_county.py": "--polygons 1000",
    "bench_year.py": "2",
    "bench_days.py": "all 400 40",
    "bench_edit.py": "--areas 5 --lines 50 --repeats 1",
    "edits_built.py": "--builds 1",
    "bench_fertilizer.py": "--plots 2 --seeds 1 --runners-up 0",
    "run_all.py": "acreage strips county outside --small --out benchmarks.md",
    "run_hostile.py": "plain.gpkg",
    "kill_builds.py": "--kills 1 --rounds 1",
    "kill_changes.py": "--kills 2",
    "random_edits.py": "--edits 20",
    "fuzz_readers.py": "--runs 20",
    "walk_accuracy.py": "--count 20",
    "walks_combined.py": "--count 2",
    "walk_classes.py": "--count 5 --ordinary 5",
    "known_margins.py": "--count 20",
    "random_commands.py": "--scripts 3",
    "walks_with_routes.py": "--count 5",
    "walk_margins.py": "--count 2 --classes open",
    "bench_lived.py": "1",
    "random_drawings.py": "--scripts 20",
    "random_keeping.py": "--scripts 3",
    "mutate.py": "--list",
    "mkdocs build --strict": "-d {scratch}/site",
}
STARTS = (
    "quietacre ",
    "python ",
    "tests/run",
    "tests/wheel",
    "mkdocs ",
    "pip ",
    "apt-get ",
    ".ci/",
)


def blocks(page):
    """Return the fenced and indented blocks of a page, with their language."""
    text = page.read_text()
    found = [
        (m[1], m[2])
        for m in re.finditer(r"^```(\w*)\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    ]
    rest = re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL)
    indented = re.findall(r"(?:^|\n)\n((?:    \S.*\n)+)", rest)
    return found + [
        ("", re.sub(r"^    ", "", block, flags=re.MULTILINE)) for block in indented
    ]


def lines_of(block):
    """Return the commands of a block, without what is said beside them."""
    lines = (re.split(r"\s+#\s", line)[0].strip() for line in block.splitlines())
    return [line for line in lines if line and not line.startswith("#")]


def inline(page):
    """Return commands that stand in backticks in the text of a page."""
    rest = re.sub(r"^```.*?^```", "", page.read_text(), flags=re.MULTILINE | re.DOTALL)
    found = (" ".join(words.split()) for words in re.findall(r"`([^`]+)`", rest))
    return [words for words in found if words.startswith(STARTS)]


def commands():
    """Return every documented command once, with the first page that has it."""
    found = {}
    for page in PAGES:
        # what --help prints is made and compared elsewhere; the year is run on its days
        if page.name in ("commands.md", "a-year-with-it.md"):
            continue
        for language, block in blocks(page):
            listing = any(
                page.name == name and block.startswith(start) for name, start in LISTINGS
            )
            if language in ("python", "toml") or listing:
                continue
            assert language in ("sh", ""), (page.name, language, block)
            for line in lines_of(block):
                found.setdefault(line, page.name)
        for line in inline(page):
            found.setdefault(line, page.name)
    return found


COMMANDS_SAID = commands()


def names_in(data):
    """Return the names of a GeoJSON's features, in order."""
    return [feature["properties"]["name"] for feature in json.loads(data)["features"]]


def known_otherwise(home):
    """Write pins, a table of legs, a deed, its calls and a picture under the pages' names."""
    square = [(33.2, -86.3), (33.2, -86.298), (33.202, -86.298), (33.202, -86.3)]
    pins = "".join(
        f'<wpt lat="{a}" lon="{b}"><name>{n}</name></wpt>'
        for n, (a, b) in enumerate(square)
    )
    (home / "pins.gpx").write_text(
        f'<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">{pins}</gpx>'
    )
    legs = "bearing,distance\n0,400\n90,400\n180,400\n270,401\n"
    (home / "tape.csv").write_text(legs)
    (home / "calls.csv").write_text(legs)
    (home / "deed.txt").write_text(
        "Beginning at a stone; thence north 400 feet; thence east 400 feet; thence south 400 feet; "
        "thence west 400 feet to the beginning."
    )
    Image.new("RGB", (400, 300), "white").save(home / "plat.png")


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A folder with the sample, and with files under the names the pages use."""
    home = tmp_path_factory.mktemp("docs")
    write_sample(home / "sweetgum-bend")
    assert CliRunner().invoke(main, ["build", str(home / "sweetgum-bend")]).exit_code == 0
    files = sample_files()
    walk = files["walks/creek-shelf.gpx"]
    for name in ("my-walk.gpx", "walks/my-walk.gpx"):
        (home / name).parent.mkdir(exist_ok=True)
        (home / name).write_bytes(walk)
    (home / "drawings.geojson").write_bytes(files["drawn/openings.geojson"])
    shutil.copytree(home / "sweetgum-bend" / "out", home / "out")
    shutil.copy(home / "out" / "areas.gpkg", home / "county.gpkg")
    shutil.copy(home / "out" / "areas.gpkg", home / "plots.gpkg")
    known_otherwise(home)
    ring = '{"type":"Polygon","coordinates":[[[-87.6,34.2],[-87.599,34.2],[-87.599,%s],[-87.6,34.2]]]}'
    (home / "old.geojson").write_text(ring % "34.2009")
    (home / "patch.geojson").write_text(ring % "34.201")
    assert CliRunner().invoke(
        main, ["new", str(home / "my-place"), str(home / "my-walk.gpx")]
    ).exit_code == 0  # fmt: skip
    vine = files["walks/vine-2026.gpx"].replace(b"2026-10-", b"2027-10-")
    (home / "new-vine.gpx").write_bytes(vine)
    middle = shapely.from_geojson(files["drawn/openings.geojson"])
    west, south, east, north = next(
        shape.bounds
        for shape, name in zip(
            middle.geoms, names_in(files["drawn/openings.geojson"]), strict=True
        )
        if name == "Long field"
    )
    across = shapely.LineString(
        [((west + east) / 2, south - 0.01), ((west + east) / 2, north + 0.01)]
    )
    (home / "line.geojson").write_text(shapely.to_geojson(across))
    (home / "gate.jpg").write_bytes(jpeg())
    keep_copy(home / "sweetgum-bend", home / "sweetgum-bend-2026-11-27.zip",
              today=dt.date(2026, 11, 27), state=home / "state")  # fmt: skip
    line = "id,date,area,task\nbbb,2026-11-01,My walk,mow\n"
    for name in ("my-place/log.csv", "other-log.csv"):
        (home / name).write_text(line)
    place = id_of("Sweetgum Bend")
    tick = f"bcdfghjkm-nprst,2026-11-20,Long field,clip,Tom,{place}\n"
    (home / "ticks.csv").write_text("id,date,area,task,who,place_id\n" + tick)
    (home / "sheet.csv").write_text("date,area,task\n2026-11-20,Long field,clip\n")
    return home


@pytest.fixture
def scratch(made, tmp_path, monkeypatch):
    """A copy of that folder, which a command may spoil."""
    shutil.copytree(made, tmp_path / "here")
    monkeypatch.chdir(tmp_path / "here")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path / "here"


def filled(line):
    """Return a documented command with files and figures for the words that stand for them."""
    for word, real in STANDS_FOR.items():
        line = re.sub(rf"(?<![\w-]){re.escape(word)}(?!\w)", real, line)
    return line


@pytest.mark.parametrize("line", [c for c in COMMANDS_SAID if c not in NOT_RUN])
def test_command_runs(line, scratch, monkeypatch):
    words = filled(line)
    if words.startswith("quietacre "):
        if words.startswith("quietacre new my-place"):
            shutil.rmtree(scratch / "my-place")
        if words.startswith("quietacre undo"):  # there must be something to take back
            change = ["set", "sweetgum-bend", "work.trip_minutes", "45"]
            assert CliRunner().invoke(main, change).exit_code == 0
            if "--again" in words:
                assert CliRunner().invoke(main, ["undo", "sweetgum-bend"]).exit_code == 0
            if "--settings" in words:  # settings that another hand broke
                (scratch / "sweetgum-bend" / "property.toml").write_text("[")
        if words.startswith("quietacre wait"):
            # something must be due on the day it is said
            monkeypatch.setenv("SOURCE_DATE_EPOCH", "1822176000")  # 2027-09-29
        given = []
        for word in shlex.split(words)[1:]:
            given += sorted(map(str, scratch.glob(word))) if "*" in word else [word]
        if given in [[name] for name in COMMANDS if name != "demo"]:
            given.append("--help")  # only its name was said
        result = CliRunner().invoke(main, given)
        assert result.exit_code == 0, (line, given, result.output[-400:])
        assert result.output.strip()
        assert BEFORE not in result.output, line
        return
    for name, less in LESS.items():
        if name in words:
            words += " " + less.format(scratch=scratch)
    parts = shlex.split(words)
    program = {"python": [sys.executable], "mkdocs": [sys.executable, "-m", "mkdocs"]}[
        parts[0]
    ]
    copy = scratch / "checkout"  # tools that write beside themselves write here
    shutil.copytree(ROOT / "docs", copy / "docs")
    for name in ("tests", "mkdocs.yml", "README.md", "src"):
        (copy / name).symlink_to(ROOT / name)
    done = subprocess.run(
        [*program, *parts[1:]], cwd=copy, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")}, timeout=600,
    )  # fmt: skip
    assert done.returncode == 0, (line, done.stdout[-400:], done.stderr[-800:])
    assert BEFORE not in done.stdout + done.stderr, line


@pytest.mark.parametrize(
    ("name", "block"),
    [
        pytest.param(page.name, block, id=f"{page.name}-{number}")
        for page in PAGES
        for number, (language, block) in enumerate(blocks(page))
        if language == "python"
    ],
)
def test_python_block_runs(name, block, scratch):
    (scratch / "block.py").write_text(block)
    done = subprocess.run(
        [sys.executable, "block.py"], capture_output=True, text=True, check=False, timeout=300,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
    )  # fmt: skip
    assert done.returncode == 0, (name, done.stderr[-800:])
    assert done.stdout.strip()
    assert BEFORE not in done.stdout, done.stdout


@pytest.mark.parametrize(
    "block",
    [block for page in PAGES for language, block in blocks(page) if language == "toml"],
)
def test_settings_block_is_built(block, scratch):
    """A block of property.toml, put behind a property that lacks it."""
    place = scratch / "my-place" / "property.toml"
    sown = '[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 1.0 }]\n'
    place.write_text(place.read_text() + sown + block)
    result = CliRunner().invoke(main, ["build", "my-place"])
    assert result.exit_code == 0, result.output[-400:]


def test_what_is_not_run_is_documented_still():
    """The list of exceptions stays short, and holds nothing that is gone."""
    gone = set(NOT_RUN) - set(COMMANDS_SAID)
    assert gone == set()
    assert len(NOT_RUN) < len(COMMANDS_SAID) / 4
    for name, start in LISTINGS:
        page = next(page for page in PAGES if page.name == name)
        assert any(block.startswith(start) for _, block in blocks(page))


def test_listed_outputs_are_what_a_build_writes(made):
    """The README's table of files names every output, and only those."""
    text = (ROOT / "README.md").read_text()
    said = set(re.findall(r"`out/([\w.-]+)`", text))
    assert said == {path.name for path in (made / "sweetgum-bend" / "out").iterdir()}
    assert said == set(OUTPUTS)
