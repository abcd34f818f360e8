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
from quietacre.figures import (
    AS_IT_IS,
    MEASURES,
    acres,
    feet,
    figure,
    figures_in,
    in_words,
    number,
    printed,
    seeds,
    signed,
    span_of,
    with_figures,
)
from quietacre.model import AREA_KINDS, MADE_KINDS
from quietacre.page.figures_of_page import figures_for_page
from quietacre.report_records import Report

TEMPLATES = Path(figures.__file__).parent / "page" / "templates"
NODE = shutil.which("node")


def test_halves_go_away_from_zero():
    assert [printed(feet(v)) for v in (65.5, 66.5, 67.5, 66.49)] == [
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


def page_says(values, texts=()):
    """Return what the page's figures.js says of each (unit, value, metric), and of texts."""
    script = (TEMPLATES / "figures.js").read_text()
    code = (
        f"const FIGURES = {json.dumps(figures_for_page())}; let metric = false;\n"
        + script
        + "\nconst told = [];\n"
        + f"for (const [name, v, m] of {json.dumps(values)})"
        + "{ metric = m; told.push(name ? measure(name)(v) : n(v, 2)); }\n"
        + f"for (const [text, m] of {json.dumps(texts)})"
        + "{ metric = m; told.push(printed(text)); }\n"
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


def test_a_figure_in_a_text_is_a_value_until_it_is_printed():
    text = (
        f"keep {feet(66.5)} of {acres(2.314)}; sow {figure(10, 'lb/ac', AS_IT_IS, to=12)}"
    )
    assert "66.5" in text
    assert "67" not in text
    assert printed(text) == "keep 67 ft of 2.31 ac; sow 10–12 lb/ac"
    assert printed(text, metric=True) == "keep 20.3 m of 0.94 ha; sow 11.2–13.5 kg/ha"
    between = f"between {figure(2.1, 'ac', 2, to=2.3, joined=' and ')}"
    assert printed(between) == "between 2.10 and 2.30 ac"
    assert printed(between, metric=True) == "between 0.850 and 0.931 ha"
    swaths = figures_in("ft", [8, 10, 12.5], AS_IT_IS, last=" or ")
    assert printed(swaths) == "8, 10 or 12.5 ft"
    assert printed(swaths, metric=True) == "2.44, 3.05 or 3.81 m"
    assert printed(seeds(39.04, live=True), metric=True) == "420 live seeds a m²"
    assert printed(seeds(0.34, live=False)) == "14,800 seeds an acre"
    assert printed(seeds(0.34, live=False), metric=True) == "36,600 seeds a hectare"
    assert printed(figure(243_000, "seeds a pound"), metric=True) == "535,700 seeds a kg"
    assert (number(250, -2), number(-250, -2), number(49, -2)) == ("300", "-300", "0")
    assert printed(figure(24.5, "$ an acre"), metric=True) == "$60.54 a hectare"
    assert printed(figure(28, "°F"), metric=True) == "-2 °C"


def test_next_to_nothing_is_said_with_no_more_noughts_than_it_needs():
    assert printed(figure(0.0, "ft", 1)) == "0.0 ft"
    assert printed(figure(0.0, "ft", 1), metric=True) == "0 m"
    assert printed(figure(1e-12, "ft", 1), metric=True) == "0 m"
    assert printed(figure(0.000123, "ac", 6), metric=True) == "0.00005 ha"
    assert printed(figure(-1e-4, "ac", 2), metric=True) == "-0.00004 ha"


def test_a_figure_can_have_its_sign_and_stand_without_the_word_of_its_unit():
    low = figure(-0.1, "ac", 2, sign=True, bare=True)
    text = (
        f"{figure(0.2, 'ac', sign=True)} (between {low} and {figure(0.5, 'ac', sign=True)})"
    )
    assert printed(text) == "+0.20 ac (between -0.10 and +0.50 ac)"
    assert printed(text, metric=True) == "+0.08 ha (between -0.040 and +0.20 ha)"
    assert printed(figure(0.2, "ft", sign=True)) == "0 ft"
    of = f"{feet(40)} of {figure(60, 'ft', bare=True)}"
    assert (printed(of), printed(of, metric=True)) == ("40 ft of 60", "12.2 m of 18.3")


def test_a_figure_may_have_words_of_its_own_in_us_units():
    text = f"{in_words('half an inch', 0.5, 'in')} of rain"
    assert printed(text) == "half an inch of rain"
    assert printed(text, metric=True) == "13 mm of rain"


def test_a_printed_range_may_be_one_figure_or_open():
    told = [span_of(5, high, "acres") for high in (8, 5, None)]
    assert [printed(one) for one in told] == ["5-8 acres", "5 acres", "5 or more acres"]
    assert printed(told[2], metric=True) == "2.02 or more ha"


def test_a_text_of_a_table_may_hold_figures():
    text = with_figures(
        "{4 by 5 ft} or {0.25-0.5 in.} for {a quarter mile=0.25 mi} of {“x”}"
    )
    assert printed(text) == "4 by 5 ft or 0.25-0.5 in. for a quarter mile of {“x”}"
    assert printed(text, metric=True) == "1.22 by 1.52 m or 6.4-13 mm for 0.402 km of {“x”}"
    with pytest.raises(KeyError):
        with_figures("{8 furlongs}")
    with pytest.raises(KeyError):
        with_figures("{a furlong=1 furlongs}")


def test_a_name_keeps_its_figures_and_its_brackets():
    named = (
        f"“Back 40 ac” of {acres(1)}, by the 30 ft gate ⟦old⟧ ⟦ac|2|x⟧ ⟦hands|2|3⟧ ⟦ac|2⟧"
    )
    metric = printed(named, metric=True)
    assert metric == named.replace(acres(1), "0.40 ha")


def test_a_figure_of_no_known_unit_is_refused():
    with pytest.raises(KeyError):
        figure(2.0, "furlongs")


@pytest.mark.skipif(NODE is None, reason="needs node to run the page's script")
def test_the_page_prints_texts_as_paper_does():
    rng = np.random.default_rng(7)
    values = [0.0, 0.04, 0.125, 2.5, 66.5, 99.95, 1234.5, 1000.0, -3.5]
    values += [figures.as_sent(10.0 ** rng.uniform(-3, 5)) for _ in range(40)]
    texts = [
        f"of {figure(value, unit, places, to=to, joined=' to ')}, told"
        for unit in MEASURES
        for places in (None, 0, 2, AS_IT_IS)
        for value in values
        for to in (None, 2 * value)
    ]
    texts += [
        figure(value, unit, places, to=-value, sign=True, bare=bare)
        for unit in MEASURES
        for places in (None, 0, 2, AS_IT_IS)
        for value in values
        for bare in (False, True)
    ]
    texts += [
        figures_in("ft", [1, 2.5, 3000], 1, last=" and "),
        in_words("half an inch", 0.5, "in"),
        span_of(2.5, None, "acres"),
        "⟦old⟧ ⟦ac|2|x⟧ ⟦ac|=x⟧ ⟦=|=⟧ ⟦ac|=|1⟧ ⟦ac|=x|y⟧",
        "⟦ac|2|⟧",
        "",
    ]
    asked = [[text, metric] for text in texts for metric in (False, True)]
    assert page_says([], asked) == [printed(text, metric=metric) for text, metric in asked]


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
