"""Numbers are said one way by paper, phone and page, and kinds look one way everywhere."""

import json
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from record_of import record_of

from quietacre import figures, kinds
from quietacre.export.phone import phone_gpx
from quietacre.export.quantities import Say
from quietacre.figures import MEASURES, feet, number, signed
from quietacre.model import AREA_KINDS, MADE_KINDS
from quietacre.report_records import Report

TEMPLATES = Path(figures.__file__).parent / "page" / "templates"
NODE = shutil.which("node")


def test_halves_go_away_from_zero():
    assert [feet(v) for v in (65.5, 66.5, 67.5, 66.49)] == [
        "66 ft",
        "67 ft",
        "68 ft",
        "66 ft",
    ]
    assert [number(v, 2) for v in (0.125, 0.135, 2.675)] == ["0.13", "0.14", "2.68"]
    assert (number(-66.5), number(-0.2), number(12345.5)) == ("-67", "0", "12,346")
    assert (signed(2.5), signed(-2.5), signed(0.2)) == ("+3", "-3", "0")


def test_an_amount_that_is_not_nothing_is_never_said_as_zero():
    assert Say().pounds(0.4) == "0.4 lb"
    assert Say().pounds(0.04) == "0.040 lb"
    assert Say().tons(0.002) == "0.0020 tons"
    assert Say(metric=True).pounds(0.04) == "0.018 kg"
    assert Say().pounds(0.0) == "0.0 lb"


def page_says(values):
    """Return what the page's own figures.js says of each (measure, value, metric)."""
    script = (TEMPLATES / "figures.js").read_text()
    code = (
        f"const FIGURES = {json.dumps(figures.for_page())}; let metric = false;\n"
        + script
        + "\nconst told = [];\n"
        + f"for (const [name, v, m] of {json.dumps(values)})"
        + "{ metric = m; told.push(name ? measure(name)(v) : n(v, 2)); }\n"
        + "console.log(JSON.stringify(told));"
    )
    done = subprocess.run(
        [NODE, "-"], input=code, capture_output=True, text=True, check=True
    )
    return json.loads(done.stdout)


@pytest.mark.skipif(NODE is None, reason="needs node to run the page's script")
def test_the_page_says_every_figure_as_paper_does():
    rng = np.random.default_rng(5)
    plain = [
        0.0,
        0.4,
        0.04,
        0.005,
        0.125,
        1.005,
        2.675,
        66.5,
        67.5,
        99.95,
        100.5,
        160.5,
        1234.5,
    ]
    plain += [
        figures.as_sent(rng.choice([1.0, 30.0, 5000.0]) * rng.random()) for _ in range(200)
    ]
    plain += (rng.integers(0, 4000, 200) / 8).tolist()
    plain += [-v for v in plain]
    values = [[name, v, m] for v in plain for name in MEASURES for m in (False, True)]
    values += [["", v, False] for v in plain]
    ours = [
        MEASURES[name].said(v, metric=m) if name else number(v, 2) for name, v, m in values
    ]
    assert page_says(values) == ours


def test_phone_marks_do_not_turn_small_amounts_into_nothing():
    need = {"seed": [{"lb": 0.4, "crop": "white clover"}], "fertilizer": [], "lime": None}
    area = {
        "lon": 1.0,
        "lat": 2.0,
        "name": "A",
        "acres": 0.125,
        "kind": "patch",
        "need": need,
    }
    weak = {"lon": 1.0, "lat": 2.0, "available_ft": 66.5, "reason": "water"}
    told = {"property": {"name": "P"}, "areas": [area],
            "strips": [{"weak": [weak], "area": "A"}]}  # fmt: skip
    report = record_of(Report, told)
    import geopandas as gpd

    none = gpd.GeoDataFrame({"name": [], "kind": [], "acres": []}, geometry=[], crs=4326)
    text = phone_gpx(report, {"areas": none, "strips": none})
    assert "vine patch; 0.4 lb white clover" in text
    assert "A 0.13 ac" in text
    assert "strip 67 ft wide here" in text
    metric = phone_gpx(report, {"areas": none, "strips": none}, Say(metric=True))
    assert "0.2 kg white clover" in metric


def test_kinds_are_told_once():
    assert tuple(kinds.KINDS) == (*AREA_KINDS, *MADE_KINDS)
    assert kinds.svg_patterns().count("<pattern ") == len(kinds.KINDS) + 1
    for path in TEMPLATES.iterdir():
        text = path.read_text()
        told = [k.line for k in kinds.KINDS.values() if f'"{k.line}"]' in text]
        assert told == [], path.name
        assert not re.search(r'id="pat-(plot|patch|quiet)"', text)
