"""Readers, steps and outputs of other packages: used when named, and held to what they say."""

import json
import sqlite3
import subprocess
import sys
import textwrap
import tomllib
import zipfile
from contextlib import closing
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.build import build_property
from quietacre.cli import main
from quietacre.demo.sample import SAMPLE_DAY
from quietacre.errors import BadInput, PluginProblem
from quietacre.intake import deadline
from quietacre.report_records import NoSteps

EXAMPLE = Path(__file__).parent / "example"
PLACE = """
[property]
name = "An invented bend"

[[area]]
name = "Drawn"
kind = "plot"
from = "drawn.geojson"
"""
USED = """
[[area]]
name = "Listed"
kind = "plot"
from = "east.corners"

[use]
readers = ["corners"]
steps = ["hedge"]
outputs = ["hedge-list"]
"""
CORNERS = "-87.60 34.20\n-87.599 34.20\n-87.599 34.201\n-87.60 34.201\n"


@pytest.fixture
def place(tmp_path):
    folder = tmp_path / "place"
    folder.mkdir()
    ring = [[-87.61, 34.2], [-87.609, 34.2], [-87.609, 34.201], [-87.61, 34.2]]
    drawn = {"type": "Polygon", "coordinates": [ring]}
    (folder / "drawn.geojson").write_text(json.dumps(drawn))
    (folder / "east.corners").write_text(CORNERS)
    (folder / "property.toml").write_text(PLACE + USED)
    return folder


def wheel_of(example, folder):
    """Pack a wheel as its pyproject.toml says: no build tool is fetched for it."""
    project = tomllib.loads((example / "pyproject.toml").read_text())["project"]
    name, version = project["name"], project["version"]
    stem = f"{name.replace('-', '_')}-{version}"
    points = "".join(
        f"[{group}]\n" + "".join(f"{key} = {value}\n" for key, value in rows.items())
        for group, rows in project["entry-points"].items()
    )
    parts = {
        "METADATA": f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n",
        "WHEEL": "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
        "RECORD": "",
        "entry_points.txt": points,
    }
    wheel = folder / f"{stem}-py3-none-any.whl"
    with zipfile.ZipFile(wheel, "w") as pack:
        for module in example.glob("*.py"):
            pack.write(module, module.name)
        for part, text in parts.items():
            pack.writestr(f"{stem}.dist-info/{part}", text)
    return wheel


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """The folder that pip installed the example package into."""
    target = tmp_path_factory.mktemp("installed")
    wheel = wheel_of(EXAMPLE, tmp_path_factory.mktemp("wheel"))
    done = subprocess.run(
        [sys.executable, "-m", "pip", "install", "-q", "--disable-pip-version-check",
         "--no-index", "--no-deps", "--target", target, wheel],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return target


@pytest.fixture
def on_path(installed, monkeypatch):
    monkeypatch.syspath_prepend(str(installed))
    yield installed
    sys.modules.pop("hedge_rows", None)


def made(tmp_path, monkeypatch, code, group="steps", name="odd"):
    """Put a package of one module on the path, as an installed one would lie there."""
    home = tmp_path / "site"
    info = home / "odd_rows-2.0.dist-info"
    info.mkdir(parents=True, exist_ok=True)
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: odd-rows\nVersion: 2.0\n")
    (info / "entry_points.txt").write_text(f"[quietacre.{group}]\n{name} = odd_rows:made\n")
    (home / "odd_rows.py").write_text(textwrap.dedent(code))
    monkeypatch.syspath_prepend(str(home))
    monkeypatch.delitem(sys.modules, "odd_rows", raising=False)
    monkeypatch.setattr(sys, "dont_write_bytecode", True)


def use(folder, group, name):
    (folder / "property.toml").write_text(PLACE + f'[use]\n{group} = ["{name}"]\n')
    return build_property(folder, today=SAMPLE_DAY)


def refusal(folder, group="steps", name="odd"):
    with pytest.raises(BadInput) as raised:
        use(folder, group, name)
    assert "\n" not in str(raised.value)
    return str(raised.value)


def test_an_installed_package_reads_adds_and_writes(on_path, place):
    result = CliRunner().invoke(main, ["build", str(place)])
    assert result.exit_code == 0, result.output
    assert "the step “hedge” of hedge-rows 0.1 adds hedge_ft, hedge_plants" in result.output
    report = json.loads((place / "out" / "report.json").read_text())
    assert "plugin-used" in {note["code"] for note in report["notes"]}
    listed = next(area for area in report["areas"] if area["name"] == "Listed")
    assert listed["acres"] == pytest.approx(2.53, abs=0.01)
    assert listed["from_steps"]["hedge_ft"] == pytest.approx(listed["perimeter_ft"])
    lines = (place / "out" / "hedge.csv").read_text().splitlines()
    assert f"Listed,{listed['from_steps']['hedge_plants']}" in lines
    with closing(sqlite3.connect(place / "out" / "areas.gpkg")) as base:
        rows = base.execute("SELECT name, hedge_ft, perimeter_ft FROM areas").fetchall()
    assert len(rows) == 2
    assert all(hedge == pytest.approx(edge) for _, hedge, edge in rows)
    assert "hedge.csv" in json.loads((place / "out" / "build.json").read_text())["files"]
    year = CliRunner().invoke(main, ["year", str(place), "--json"])
    assert year.exit_code == 0, year.output
    # taken out again, its file goes with it
    (place / "property.toml").write_text(PLACE)
    assert CliRunner().invoke(main, ["build", str(place)]).exit_code == 0
    assert not (place / "out" / "hedge.csv").exists()
    report = json.loads((place / "out" / "report.json").read_text())
    assert "plugin-used" not in {note["code"] for note in report["notes"]}


def test_an_installed_package_that_is_not_named_is_not_loaded(on_path, place):
    (place / "property.toml").write_text(PLACE)
    built = build_property(place, today=SAMPLE_DAY)
    assert "hedge_rows" not in sys.modules
    assert "hedge_ft" not in built.layers["areas"]
    assert isinstance(built.report.areas[0].steps, NoSteps)


def test_what_is_not_installed_is_said_with_the_cure(place):
    with pytest.raises(PackageNotFoundError):
        distribution("hedge-rows")
    text = refusal(place, "steps", "hedge")
    assert text.startswith("property.toml: use.steps: no installed package has “hedge”")
    assert "install the package" in text


def test_a_bad_file_of_a_reader_names_file_and_package(on_path, place):
    (place / "east.corners").write_text("here and there\n")
    with pytest.raises(BadInput) as raised:
        build_property(place, today=SAMPLE_DAY)
    assert str(raised.value) == (
        "east.corners: reader “corners” of hedge-rows 0.1: holds a line that is not two "
        "numbers; write longitude, a space and latitude on each line"
    )


STEP = """
from quietacre.plugins import Column, Step
made = Step(1, (Column("odd_ft", "ft", "odd"),), lambda areas: GIVES)
"""


def step(gives):
    return STEP.replace("GIVES", gives)


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("raise RuntimeError('out of\\nseed')", "failed with RuntimeError: out of"),
        ("raise SystemExit(3)", "failed with SystemExit: 3"),
        ("other = 1", "failed with AttributeError"),
        ("made = 1", "is no Step of quietacre.plugins"),
        ("import quietacre.plugins as q\nmade = q.Step(2, (), len)", "made for contract 2"),
        (step("areas.odd"), "failed with AttributeError"),
        (step("3"), "returned a int and no frame"),
        (step("areas[['id']]"), "without “odd_ft”"),
        (step("areas[['name']].assign(odd_ft=1)"), "without “id”"),
        (step("areas[['id']].assign(odd_ft=1).iloc[:0]"), "other ids"),
        (step("areas[['id']].assign(odd_ft=1, more=2)"), "“more”, which it does not"),
        (step("areas.assign(odd_ft=1, acres=1.0)"), "changed the column “acres”"),
        (step("areas[['id']].assign(odd_ft=[[1]])"), "put a list into “odd_ft”"),
        (step("areas[['id']].assign(odd_ft=float('inf'))"), "put a float into"),
        (step("areas[['id']]").replace("odd_ft", "acres"), "“acres”, which there is"),
        (step("areas").replace("odd_ft", "Odd ft"), "no name of a column"),
    ],
)  # fmt: skip
def test_a_fault_of_a_step_is_one_line_with_its_package(
    code, said, tmp_path, monkeypatch, place
):
    made(tmp_path, monkeypatch, code)
    text = refusal(place)
    assert said in text
    assert "step “odd” of odd-rows 2.0" in text


OUTPUT = """
from quietacre.plugins import Output
made = Output(1, {}, lambda report, layers: {})
"""


@pytest.mark.parametrize(
    ("files", "gives", "said"),
    [
        ("{'map.html': 'x'}", "{}", "“map.html”, which there is already"),
        ("{'build.json': 'x'}", "{}", "which there is already"),
        ("{'MAP.html': 'x'}", "{}", "which there is already"),
        ("{'../x': 'x'}", "{}", "no safe file name"),
        ("{'.x': 'x'}", "{}", "no safe file name"),
        ("{'x.csv': 'x'}", "{'y.csv': b''}", "other files than it declares"),
        ("{'x.csv': 'x'}", "{'x.csv': 'text'}", "a str for “x.csv”, and no bytes"),
    ],
)
def test_an_output_writes_what_it_declares_and_nothing_of_ours(
    files, gives, said, tmp_path, monkeypatch, place
):
    made(tmp_path, monkeypatch, OUTPUT.replace("{},", files + ",").replace("{})", gives + ")"), "outputs")  # fmt: skip
    assert said in refusal(place, "outputs")


READER = """
from quietacre.plugins import Reader
import numpy as np, shapely
from quietacre.model import Layer
made = Reader(1, ENDINGS, lambda path, shown: GIVES)
"""


@pytest.mark.parametrize(
    ("endings", "gives", "said"),
    [
        ("('.gpx',)", "1", "reads .gpx, which quietacre reads"),
        ("('.csv',)", "1", "reads .csv, which quietacre reads"),
        ("('odd',)", "1", "which is no ending"),
        ("('.odd',)", "1", "gave for east.odd a int and no Layer"),
        ("('.odd',)", "Layer(shown, np.array([shapely.Point(1, 2)], object), ('',), ('',), ('',))", "neither polygon"),
        ("('.odd',)", "Layer(shown, np.array([shapely.box(0, 0, 500, 1)], object), ('',), ('',), ('',))", "no longitude and latitude"),
        ("('.odd',)", "Layer(shown, np.array([shapely.box(0, 0, 1, 1)], object), ('',), ('pond',), ('',))", "the kind “pond”"),
        ("('.odd',)", "Layer(shown, np.array([shapely.box(0, 0, 1, 1)], object), (), ('',), ('',))", "of another count"),
    ],
)  # fmt: skip
def test_a_reader_takes_its_endings_and_gives_ground(
    endings, gives, said, tmp_path, monkeypatch, place
):
    made(tmp_path, monkeypatch, READER.replace("ENDINGS", endings).replace("GIVES", gives), "readers")  # fmt: skip
    (place / "east.odd").write_text("x")
    area = '[[area]]\nname = "Odd"\nkind = "plot"\nfrom = "east.odd"\n'
    (place / "property.toml").write_text(PLACE + area + '[use]\nreaders = ["odd"]\n')
    with pytest.raises(PluginProblem) as raised:
        build_property(place, today=SAMPLE_DAY)
    assert said in str(raised.value)


def test_a_reader_is_ended_when_its_time_is_over(tmp_path, monkeypatch, place):
    gives = "[None for _ in iter(int, 1)]"  # it never ends
    made(tmp_path, monkeypatch, READER.replace("ENDINGS", "('.odd',)").replace("GIVES", gives), "readers")  # fmt: skip
    monkeypatch.setattr(deadline, "allowed_seconds", lambda _size: 0.3)
    (place / "east.odd").write_text("x")
    area = '[[area]]\nname = "Odd"\nkind = "plot"\nfrom = "east.odd"\n'
    text = '[property]\nname = "p"\n' + area + '[use]\nreaders = ["odd"]\n'
    (place / "property.toml").write_text(text)
    with pytest.raises(BadInput, match="could not be read within"):
        build_property(place, today=SAMPLE_DAY)


def test_what_a_step_prints_is_no_data(tmp_path, monkeypatch, place):
    made(tmp_path, monkeypatch, """
        from quietacre.plugins import Column, Step
        def run(areas):
            print("counting")
            areas["name"] = "changed"  # its own copy
            return areas[["id"]].assign(odd_ft=1.5)
        made = Step(1, (Column("odd_ft", "ft", "odd"),), run)
    """)  # fmt: skip
    (place / "property.toml").write_text(PLACE + '[use]\nsteps = ["odd"]\n')
    result = CliRunner().invoke(main, ["build", str(place), "--json"])
    report = json.loads(result.stdout)
    assert "counting" in result.stderr
    assert report["areas"][0]["from_steps"] == {"odd_ft": 1.5}
    assert report["areas"][0]["name"] == "Drawn"


def test_a_name_twice_and_a_name_of_two_packages_are_refused(
    on_path, tmp_path, monkeypatch, place
):
    (place / "property.toml").write_text(PLACE + '[use]\nsteps = ["hedge", "hedge"]\n')
    with pytest.raises(PluginProblem, match="stands there twice"):
        build_property(place, today=SAMPLE_DAY)
    made(tmp_path, monkeypatch, "made = 1", name="hedge")
    assert "is in hedge-rows 0.1 and in odd-rows 2.0" in refusal(place, "steps", "hedge")
