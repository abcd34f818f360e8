"""The next season of plantings that are finished, listed and set."""

import json

import pytest
from click.testing import CliRunner
from small_place import write_place

from quietacre.cli import main

SETTINGS = """\
[property]
name = "Home"
state = "AL"

[[area]]
name = "Hill"
kind = "plot"
from = "h.geojson"
mix = "grain"
plant = 2027-09-25  # the Saturday
topdress_n_lb_ac = 20
topdress_on = 2027-11-10
tasks = [{ task = "clip", on = 2027-08-01 }]

[[area]]
name = "Creek"
kind = "plot"
from = "h.geojson"
plantings = [
  { mix = "grain", plant = "03-01" },
  { mix = "grain", plant = 2027-09-27 },
]

[[mix]]
name = "grain"
seed = [{ crop = "wheat", share = 1.0 }]
"""
LOG = """\
date,area,task
2027-09-24,Hill,plant
2027-09-26,Creek,plant
"""


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return write_place(tmp_path / "home", SETTINGS, LOG)


def typed(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def test_what_is_finished_is_offered_and_nothing_written(place):
    before = (place / "property.toml").read_bytes()
    said = typed("next", place, "--today", "2028-02-01").output
    assert (
        "Hill, grain: finished; same as last time (September 24, 2027): about September 24, 2028"
        in said
    )
    assert "Creek, grain: finished; same as last time (September 26, 2027)" in said
    assert 'Creek, grain: comes back by itself, March 1, 2028 (plant = "03-01")' in said
    assert "set them with: quietacre next DIR --write" in said
    assert (place / "property.toml").read_bytes() == before


def test_the_days_are_set_in_one_change_and_taken_back(place):
    before = (place / "property.toml").read_bytes()
    said = typed("next", place, "--today", "2028-02-01", "--write")
    assert said.exit_code == 0, said.output
    after = (place / "property.toml").read_text()
    assert "plant = 2028-09-24  # the Saturday" in after
    assert "topdress_on = 2028-11-09" in after  # as long after it as before
    assert (
        '{ mix = "grain", plant = "03-01" },\n  { mix = "grain", plant = 2028-09-24 }'
        in after
    )
    assert "its task “clip” has a day of its own, 2027-08-01" in said.output
    again = typed("next", place, "--today", "2028-02-01", "--write").output
    assert "finished" not in again
    assert typed("undo", place).exit_code == 0
    assert (place / "property.toml").read_bytes() == before


def test_a_month_day_of_top_dressing_stays_one(place):
    text = SETTINGS.replace("topdress_on = 2027-11-10", 'topdress_on = "11-10"')
    (place / "property.toml").write_text(text)
    assert typed("next", place, "--today", "2028-02-01", "--write").exit_code == 0
    assert 'topdress_on = "11-10"' in (place / "property.toml").read_text()


def test_nothing_is_offered_while_a_season_runs(place):
    said = typed("next", place, "--today", "2027-10-15", "--json")
    assert json.loads(said.output)["offers"] == []
    said = typed("next", place, "--today", "2027-10-15", "--write")
    assert "--write" not in said.output
    assert (place / "property.toml").read_text() == SETTINGS


def test_a_planting_that_is_over_without_a_line_is_offered_too(place):
    (place / "log.csv").unlink()
    said = typed("next", place, "--today", "2028-02-01").output
    told = (
        "over, and not in the log; same as last time (September 25, 2027, not in the log)"
    )
    assert f"Hill, grain: {told}: about September 24, 2028" in said
