"""The year turns at the desk: a year that is over is kept, the next season's days are set."""

import datetime as dt
import tomllib

import pytest
from small_place import write_place

from quietacre.commands.build import build_folder
from quietacre.desk.turn_routes import turning

TODAY = dt.date.today()  # noqa: DTZ011 - the desk's own
LAST = TODAY.year - 1
SETTINGS = f"""\
[property]
name = "Home"

[[area]]
name = "Hill"
kind = "plot"
from = "h.geojson"
mix = "grain"
plant = {LAST}-09-25

[[mix]]
name = "grain"
seed = [{{ crop = "oats", share = 1.0 }}]
"""


@pytest.fixture
def place(desk):
    log = f"date,area,task\n{LAST}-09-24,Hill,plant\n"
    home = write_place(desk.home / "hill", SETTINGS, log)
    build_folder(home, today=TODAY)
    code, said = desk.call("/api/open", {"folder": str(home)})
    assert code == 200, said
    return home


def test_a_year_is_closed_and_the_next_days_are_set(desk, place):
    _, year = desk.call("/api/year")
    assert year["to_close"] == LAST
    (offer,) = year["offers"]
    assert (offer["area"], offer["mix"]) == ("Hill", "grain")
    code, made = desk.call("/api/close", {"year": LAST})
    assert code == 200, made
    assert (made["folder"], made["new"]) == (f"years/{LAST}", True)
    assert (place / "years" / str(LAST) / "map.html").is_file()
    _, year = desk.call("/api/year")
    assert year["to_close"] is None  # at once, before it is worked out again
    code, made = desk.call("/api/next", {})
    assert code == 200, made
    now = tomllib.loads((place / "property.toml").read_text())["area"][0]["plant"]
    assert now.isoformat() == offer["day"]
    assert now > TODAY
    code, _ = desk.call("/api/undo", {})
    assert code == 200
    assert (place / "property.toml").read_text() == SETTINGS


@pytest.mark.parametrize("year", ["", "--help", LAST - 5, TODAY.year])
def test_what_cannot_be_closed_is_said(desk, place, year):
    code, said = desk.call("/api/close", {"year": year})
    assert code >= 400, said
    assert not (place / "years").exists()


def test_a_report_of_last_year_offers_to_close_it(tmp_path):
    this = {"year": 2027, "whole": {"jobs": 3}}
    report = {"years": {"this": this, "to_close": None}, "year": {"offers": []}}
    assert turning(report, tmp_path, 2027)["to_close"] is None
    assert turning(report, tmp_path, 2028)["to_close"] == 2027
    (tmp_path / "years/2027").mkdir(parents=True)
    assert turning(report, tmp_path, 2028)["to_close"] is None
    assert turning({}, tmp_path, 2028) == {"to_close": None, "offers": []}
