"""Amounts in the log: a bag keeps its pounds, and what is spread may be on the whole place."""

import csv

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.logbook import log_unit

TOML = """[property]
name = "Invented"
[[area]]
name = "North bottom"
kind = "plot"
from = "a.geojson"
[[product]]
grade = "13-13-13"
bag_lb = 40
[[product]]
grade = "lime-ag"
"""


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795737600")  # 2026-11-27
    folder = tmp_path / "place"
    folder.mkdir()
    (folder / "property.toml").write_text(TOML)
    (folder / "a.geojson").write_text('{"type": "FeatureCollection", "features": []}')
    return folder


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def last_line(place):
    with (place / "log.csv").open(newline="") as file:
        return list(csv.DictReader(file))[-1]


def bought(place, item, *more):
    return run(
        "log", place, "bought", "--item", item, "--amount", "3", "--unit", "bags", *more
    )


def test_a_bag_keeps_the_pounds_it_has_today(place):
    result = bought(place, "13-13-13")
    assert result.exit_code == 0, result.output
    assert "a bag weighs 40 lb by property.toml" in result.stderr
    assert last_line(place)["bag_lb"] == "40"


def test_the_persons_own_weight_stands(place):
    bought(place, "13-13-13", "--bag-lb", "50")
    assert last_line(place)["bag_lb"] == "50"


def test_a_bag_that_nobody_weighed_is_asked_for(place):
    result = bought(place, "lime-ag")
    assert result.exit_code == 0
    assert "does not say what a bag of lime-ag weighs" in result.stderr
    assert not last_line(place).get("bag_lb")


def test_pounds_and_settings_that_cannot_be_read_are_left(place):
    run("log", place, "bought", "--item", "13-13-13", "--amount", "3", "--unit", "lb")
    assert not last_line(place).get("bag_lb")
    (place / "property.toml").write_text(TOML + "[[product]]\n")
    assert bought(place, "13-13-13").exit_code == 0
    assert not last_line(place).get("bag_lb")


def test_what_is_spread_may_be_on_the_whole_place(place):
    assert run("log", place, "limed", "--area", "all").exit_code == 0
    assert last_line(place)["area"] == "all"
    result = run("log", place, "mowed", "--area", "all")
    assert result.exit_code == 2
    assert "names no piece of ground “all”" in result.stderr


@pytest.mark.parametrize(
    ("word", "name", "counts", "each"),
    [
        ("Kilos", "kg", "lb", 2.2046226218), ("metric tons", "tonne", "lb", 2204.6226218),
        ("l", "L", "fl oz", 33.8140227), ("Litres", "L", "fl oz", 33.8140227),
        ("ml", "mL", "fl oz", 0.0338140227), ("Tons", "ton", "lb", 2000.0),
    ],
)  # fmt: skip
def test_metric_units_of_the_log_are_so_many_pounds_and_fluid_ounces(
    word, name, counts, each
):
    unit = log_unit(word)
    assert (unit.name, unit.counts) == (name, counts)
    assert unit.each == pytest.approx(each, rel=1e-9)


@pytest.mark.parametrize("word", ["kgz", "oz", "t", "scoops"])
def test_an_amount_of_what_is_no_unit_is_refused_and_nothing_is_written(place, word):
    line = ("log", place, "limed", "--area", "North bottom", "--item", "lime-ag")
    result = run(*line, "--amount", "1500", "--unit", word)
    assert result.exit_code == 2
    (told,) = result.stderr.splitlines()
    assert f"“{word}” is no unit that an amount counts" in told
    assert "write one of lb, ton, bag, gal, qt, pt, fl oz, kg, tonne, L, mL" in told
    assert not (place / "log.csv").exists()
    assert run(*line, "--amount", "1500", "--unit", "kg").exit_code == 0
    assert (last_line(place)["amount"], last_line(place)["unit"]) == ("1500", "kg")
