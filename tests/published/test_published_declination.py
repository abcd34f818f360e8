"""Declination against the published test values of the World Magnetic Model."""

import datetime as dt
import json

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.declination import declination_at

# "WMM2025 test values", National Centers for Environmental Information and British Geological
# Survey, 2024: year, height in km, latitude, longitude, declination, printed to 0.01.
PRINTED = [
    (2025.5, 44, 33, -118, 11.10),
    (2025.5, 69, 38, -144, 12.93),
    (2025.5, 22, -37, 140, 9.28),
    (2025.0, 48, 80, -96, -29.91),
]


@pytest.mark.parametrize(("year", "height_km", "lat", "lon", "printed"), PRINTED)
def test_the_library_gives_the_printed_values(year, height_km, lat, lon, printed):
    from pygeomag import GeoMag

    found = GeoMag(coefficients_file="wmm/WMM_2025.COF").calculate(
        glat=lat, glon=lon, alt=height_km, time=year
    )
    assert found.d == pytest.approx(printed, abs=0.006)


def test_at_sea_level_it_hardly_differs_and_has_a_range():
    degrees, plus_minus = declination_at(33, -118, dt.date(2025, 7, 2))
    assert degrees == pytest.approx(11.10, abs=0.15)
    assert 0.3 < plus_minus < 1.0


@pytest.mark.parametrize("day", ["2024-12-31", "2030-01-01", "1925-06-01"])
def test_other_years_are_refused_in_one_line(day):
    run = CliRunner().invoke(main, ["declination", "33.2", "-86.3", "--on", day])
    assert run.exit_code == 2
    assert "does not hold on" in run.output


def test_the_command_prints_and_gives_json():
    words = ["declination", "33.2", "-86.3", "--on", "2027-03-05"]
    said = CliRunner().invoke(main, words)
    assert said.exit_code == 0
    assert "west of true north on 2027-03-05" in said.output
    told = json.loads(CliRunner().invoke(main, [*words, "--json"]).output)
    assert -6 < told["declination_deg"] < -2
