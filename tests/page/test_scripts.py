"""The page's scripts: one layout, linted, types checked, their units tested without a page."""

import dataclasses
import json
import os
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
import shapely
from pyproj import Geod

from quietacre.acreage.equal_area import area_m2, perimeter_m
from quietacre.acreage.live import live_numbers
from quietacre.desk.typed_units import units_typed
from quietacre.page.figures_of_page import figures_for_page
from quietacre.page.helper import HELPER_SCRIPTS
from quietacre.page.layers import coded
from quietacre.page.map import SCRIPTS
from quietacre.page.pack import packed, whole_text
from quietacre.units import ACRE_M2, FT_M
from quietacre.words import settings_words

ROOT = Path(__file__).parents[2]
OURS = ROOT / "tests" / "javascript"
TEMPLATES = ROOT / "src" / "quietacre" / "page" / "templates"
TOOLS = Path(os.environ.get("QUIETACRE_TOOLS", ROOT / ".cache" / "tools")) / "javascript"
BIOME, TSC = (TOOLS / "node_modules" / ".bin" / name for name in ("biome", "tsc"))
NODE = shutil.which("node")
DESK = ROOT / "src" / "quietacre" / "desk" / "static"
SOURCES = (TEMPLATES, DESK, *sorted(OURS.glob("*.mjs")))

tooled = pytest.mark.skipif(
    not (BIOME.exists() and TSC.exists()), reason="tests/run fetches the tools with npm"
)


def passes(*words):
    done = subprocess.run(
        list(map(str, words)), cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_script_is_in_the_page_once():
    assert len(set(SCRIPTS)) == len(SCRIPTS)
    assert {*SCRIPTS, *HELPER_SCRIPTS} == {path.name for path in TEMPLATES.glob("*.js")}


def test_no_line_is_longer_than_100_and_no_script_than_400_lines():
    for path in [*TEMPLATES.glob("*.js"), *DESK.glob("*.js"), *OURS.glob("*.mjs")]:
        lines = path.read_text(encoding="utf-8").splitlines()
        assert max(map(len, lines)) <= 100, path.name
        assert len(lines) <= 400, path.name


@tooled
def test_scripts_are_laid_out_by_the_formatter():
    passes(BIOME, "format", "--config-path", OURS / "layout.json", *SOURCES)


@tooled
def test_scripts_have_no_fault_that_the_linter_finds():
    passes(
        BIOME,
        "lint",
        "--error-on-warnings",
        "--config-path",
        OURS / "layout.json",
        *SOURCES,
    )


@pytest.mark.parametrize("names", [SCRIPTS, HELPER_SCRIPTS], ids=["map", "helper"])
def test_nothing_in_a_whole_script_is_named_twice(names):
    """The scripts of a page share their names, and the last function of a name would win."""
    found = [
        name
        for script in names
        for name in re.findall(
            r"^(?:async )?(?:function|const|let) (\w+)",
            (TEMPLATES / script).read_text(encoding="utf-8"), re.MULTILINE,
        )
    ]  # fmt: skip
    assert len(found) > 50
    assert sorted(found) == sorted(set(found))


@tooled
def test_nothing_in_the_whole_script_is_unused(tmp_path):
    whole = "".join((TEMPLATES / name).read_text(encoding="utf-8") for name in SCRIPTS)
    joined = tmp_path / "joined.js"
    joined.write_text(f"(function () {{\n{whole}}})();\n", encoding="utf-8")
    rules = ["--only=correctness/noUnusedVariables", "--only=style/useConst"]
    passes(
        BIOME,
        "lint",
        "--error-on-warnings",
        *rules,
        "--config-path",
        OURS / "layout.json",
        joined,
    )


@tooled
@pytest.mark.parametrize(
    "config", ["tsconfig.json", "tsconfig.pure.json", "tsconfig.desk.json"]
)
def test_types_hold(config):
    """Scripts that need no page declare every type; in the others, what Leaflet and the page say."""
    passes(TSC, "-p", OURS / config, "--typeRoots", TOOLS / "node_modules" / "@types")


@tooled
@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("unpack.js", "out.push([y / STEP, x / STEP]);", 'out.push([y / STEP, "x"]);'),
        ("figures.js", "return ways[d].format(v)", "return ways[d].form(v)"),
        ("names.js", 'icon: L.divIcon({ className: "spot" })', 'icon: "spot"'),
    ],
)
def test_a_wrong_type_is_found(name, old, new, tmp_path):
    """The check can fail: a fault put into a copy of the scripts is reported."""
    copy = tmp_path / "src" / "quietacre" / "page" / "templates"
    shutil.copytree(TEMPLATES, copy)
    shutil.copytree(OURS, tmp_path / "tests" / "javascript")
    text = (copy / name).read_text(encoding="utf-8")
    assert old in text
    (copy / name).write_text(text.replace(old, new), encoding="utf-8")
    done = subprocess.run(
        [TSC, "-p", tmp_path / "tests" / "javascript", "--typeRoots", TOOLS / "node_modules" / "@types"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode != 0
    assert name in done.stdout


def python_said():
    """Return what Python packs and says, for the scripts to give back."""
    rng = np.random.default_rng(11)
    numbers = [[0], [-1, 1, 15, 16, -16, 31, 32], [10**9, -(10**9)], rng.integers(-500, 500, 99).tolist()]  # fmt: skip
    records = [
        [{"a": 1, "b": "x"}, {"a": 1, "b": "y"}],
        [{"a": 1.5}, None, {"a": None}],
        [{"l": [1, 2]}, {"l": []}, {"l": [3]}],
        ["same", "same", "same"],
        [{"n": {"deep": [{"k": "“</script>”"}]}}, {"n": None}],
    ]
    lines = [[[-87.6, 34.2], [-87.5999, 34.2001], [-87.61, 34.19]]]
    lines.append((rng.normal(0, 0.002, (50, 2)) + [-87.6, 34.2]).tolist())
    geod = Geod(ellps="WGS84")
    metres = []
    for lat, lon in ((34.2, -87.6), (45.0, -93.0), (-30.0, 150.0)):
        for d_lat, d_lon in ((0.001, 0.0), (0.0, 0.001)):
            _, _, far = geod.inv(lon, lat, lon + d_lon, lat + d_lat)
            metres.append({
                "from": [lat, lon], "to": [lat + d_lat, lon + d_lon],
                "east": far if d_lon else 0.0, "north": far if d_lat else 0.0,
            })  # fmt: skip
    return {
        "units": units_typed(),
        "words": [
            {
                "about": table.about,
                "keys": {
                    key: {"label": row.label, "is": row.in_box, "why": row.why}
                    for key, row in table.keys.items()
                },
            }
            for table in settings_words().values()
        ],
        "whole": [[whole_text(some), some] for some in numbers],
        "packed": [[packed(some), some] for some in records],
        "lines": [[coded(shapely.LineString(line))["lines"][0], line] for line in lines],
        "metres": metres,
        "figures": figures_for_page(),
        "drawing": drawing_said(rng),
    }


def drawing_said(rng):
    """Return random pieces about a place, some with a hole, and their acres and feet round."""
    numbers = live_numbers(33.2)
    rows = []
    for _ in range(150):
        lon, lat = -86.3 + rng.uniform(-0.1, 0.1), 33.2 + rng.uniform(-0.1, 0.1)
        count = int(rng.integers(3, 700))
        turn = np.sort(rng.uniform(0, 2 * np.pi, count))
        far = 10 ** rng.uniform(-4.3, -2) * rng.uniform(0.5, 1, count)
        edge = np.column_stack([lon + far * np.cos(turn), lat + far * np.sin(turn)])
        holes = (
            [edge[::-1] * 0.1 + np.array([lon, lat]) * 0.9] if rng.random() < 0.4 else []
        )
        shape = shapely.Polygon(edge, holes)
        if not shape.is_valid:
            continue
        rings = [edge.tolist(), *(hole.tolist() for hole in holes)]
        rows.append({
            "shape": [rings], "acres": area_m2([shape])[0] / ACRE_M2,
            "perimeter_ft": perimeter_m([shape])[0] / FT_M,
        })  # fmt: skip
    return {"live": dataclasses.asdict(numbers), "rings": rows}


@pytest.mark.skipif(NODE is None, reason="needs node, which runs the scripts")
@pytest.mark.parametrize("name", sorted(path.name for path in OURS.glob("*.test.mjs")))
def test_units_of_the_scripts(name, tmp_path):
    cases = tmp_path / "cases.json"
    cases.write_text(json.dumps(python_said()), encoding="utf-8")
    modules = tmp_path / "desk"
    shutil.copytree(DESK, modules)
    (modules / "package.json").write_text('{"type": "module"}')
    done = subprocess.run(
        [NODE, "--test", OURS / name],
        env={**os.environ, "CASES": str(cases), "DESK_MODULES": str(modules)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, (
        done.stdout[done.stdout.find("not ok") :][:3000] + done.stderr[-500:]
    )
