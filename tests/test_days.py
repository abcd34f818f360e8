"""Days that come back every year, and their words: February 29 one way wherever it is told."""

import datetime as dt
import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import quietacre
from quietacre.cli import main
from quietacre.daily import Daily
from quietacre.days import month_day, on_year, say_month_day, say_span
from quietacre.errors import SettingsProblem
from quietacre.intake.property import read_property
from quietacre.quiet import seasons
from quietacre.settings import PropertyInfo, Quiet, Seed
from quietacre.strip.cuts import growth_of
from quietacre.strip.growth import runs
from quietacre.windows import inside, windows_of
from quietacre.year.frost import growing_days_f

SOURCE = Path(quietacre.__file__).parent


@pytest.mark.parametrize(("year", "day"), [(2027, 28), (2028, 29), (2100, 28), (2000, 29)])
def test_february_29_is_the_28th_of_a_year_without_one(year, day):
    leap = dt.date(year, 2, day)
    assert on_year(year, 2, 29) == leap
    (quiet,) = (
        s
        for s in seasons([Quiet("cold", "02-29", "03-10")], year, year)
        if s.first.year == year
    )
    assert quiet.first == leap
    own = windows_of(Seed("oats", plant_from="02-29", plant_to="04-01"), None)[
        "your own window"
    ]
    assert inside(leap, own)
    assert not inside(leap - dt.timedelta(days=1), own)
    growth = growth_of(PropertyInfo("Home", last_frost="02-29"))
    assert not runs(leap, growth)
    assert runs(dt.date(year, 3, 1), growth)


def test_growing_degree_days_begin_on_the_day_itself():
    # one warm day, September 30, each year: from that day on it counts, a day later no more
    days = [dt.date(2010, 1, 1) + dt.timedelta(days=n) for n in range(12 * 365)]
    warm = np.array([60.0 if (d.month, d.day) == (9, 30) else 50.0 for d in days])
    record = Daily("made up", days[0], np.zeros(len(days)), warm, warm)
    got, _ = growing_days_f(record, dt.date(2027, 9, 30), dt.date(2027, 9, 30), base_f=50.0)
    assert got == pytest.approx(10.0)
    got, _ = growing_days_f(record, dt.date(2027, 9, 28), dt.date(2027, 9, 29), base_f=50.0)
    assert got == pytest.approx(0.0)


def test_a_day_that_no_year_has_is_refused():
    with pytest.raises(ValueError, match="day"):
        month_day("02-30")
    assert say_month_day("02-29") == "February 29"


def test_spans_in_words():
    assert say_span(dt.date(2027, 5, 30), dt.date(2027, 6, 2)) == "May 30 to June 2"


def test_width_takes_february_29_of_any_year():
    done = CliRunner().invoke(main, ["width", "--last-frost", "02-29", "--vine", "kudzu"])
    assert done.exit_code == 0, done.output
    assert re.search(r"from a cut on May 14 until July \d+\n", done.output)


def test_no_day_is_written_with_a_form_that_one_system_lacks():
    # "%-d" is unknown on Windows
    wrong = [
        p.name for p in SOURCE.rglob("*.py") if re.search(r"%-[a-zA-Z]", p.read_text())
    ]
    assert not wrong


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('[map]\ntiles = "http://tiles.example/a b"', "map.tiles: “http://tiles.example/a b” "
         "should be an address that begins with https://"),
        ('[[quiet]]\nname = "n"\nstart = "5-15"\nend = "07-03"',
         "quiet[1].start: “5-15” should be month-day, as “05-15”"),
        ('[[mix]]\nname = "m"\nseed = [{ crop = "oats", share = 1.0, plant_from = "02-30", '
         'plant_to = "04-01" }]', "mix[1].seed[1].plant_from: “02-30” is not a day of the year"),
    ],
)  # fmt: skip
def test_a_text_of_the_wrong_form_is_told_with_its_own_form(tmp_path, line, said):
    (tmp_path / "property.toml").write_text(f'[property]\nname = "Home"\n{line}\n')
    with pytest.raises(SettingsProblem) as caught:
        read_property(tmp_path)
    assert said in str(caught.value)
