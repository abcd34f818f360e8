"""Taped transects: the tolerance factor against printed tables, and when a rate counts."""

import datetime as dt
import math

import numpy as np
import pytest

from quietacre.errors import FileProblem, StripProblem
from quietacre.intake.transects import read_transects
from quietacre.intake.weather import read_weather
from quietacre.model import Transect
from quietacre.strip.growth import degree_days_of, effective_days
from quietacre.strip.transects import k_factor, measured_rate
from quietacre.strip.width import Case, Mower, strip_width

# One-sided factors, 90 % content and 95 % confidence: Experimental Statistics, NBS
# Handbook 91, Table A-7 (Natrella), National Bureau of Standards, 1963. From memory.
TABLE = {
    2: 20.581,
    3: 6.155,
    5: 3.407,
    8: 2.582,
    10: 2.355,
    15: 2.068,
    20: 1.926,
    30: 1.778,
}


@pytest.mark.parametrize(("count", "printed"), TABLE.items())
def test_factor_against_a_printed_table(count, printed):
    assert k_factor(count) == pytest.approx(printed, abs=0.002)


def test_one_transect_has_no_spread():
    with pytest.raises(StripProblem, match="spread"):
        k_factor(1)


def tapes(rng, years, *, median=0.131, sd=0.32, count=12, cut=()):
    out = []
    for year in years:
        start, end = dt.date(year, 6, 1), dt.date(year, 6, 22)
        days = effective_days(start, end)
        for n in range(count):
            rate = median * math.exp(sd * rng.normal())
            out.append(Transect("hollow", str(n), start, end, rate * days, n in cut))
    return out


def test_one_season_does_not_lower_the_rate_and_two_do():
    rng = np.random.default_rng(3)
    one = measured_rate(tapes(rng, [2025], sd=0.2))
    two = measured_rate(tapes(rng, [2025, 2026], sd=0.2))
    assert not one.replaces_default
    assert "second" in one.text
    assert two.replaces_default
    assert two.seasons == 2
    assert two.rate.peak_m_day >= 0.136 * 1.25  # never below the low rate with safety


def test_a_faster_patch_counts_at_once():
    fast = measured_rate(tapes(np.random.default_rng(3), [2025], median=0.30))
    assert fast.replaces_default
    assert fast.upper_m_day > 0.305


def test_lower_bounds_enter_no_mean_and_too_few_say_nothing():
    rng = np.random.default_rng(3)
    rows = tapes(rng, [2025, 2026], cut=(0, 1))
    got = measured_rate(rows)
    assert (got.transects, got.lower_bounds) == (20, 4)
    days = effective_days(dt.date(2026, 7, 1), dt.date(2026, 7, 22))
    rows.append(
        Transect("hollow", "z", dt.date(2026, 7, 1), dt.date(2026, 7, 22), 0.9 * days, True)
    )
    assert measured_rate(rows).upper_m_day == pytest.approx(0.9, abs=0.01)
    assert measured_rate(rows[:4]) is None


def test_the_limit_covers_nine_runners_in_ten_as_often_as_it_says():
    rng = np.random.default_rng(11)
    true = 0.131 * math.exp(1.2816 * 0.32)
    held = sum(measured_rate(tapes(rng, [2025])).upper_m_day >= true for _ in range(300))
    assert held / 300 >= 0.92  # 95 % meant


def test_files_are_read_and_their_faults_named(tmp_path):
    path = tmp_path / "transects.csv"
    head = "patch,transect,from,to,advance_ft,cut\n"
    path.write_text(
        head + "hollow,1,2026-06-01,2026-06-22,9.5,\nhollow,2,2026-06-01,2026-06-22,7,yes\n"
    )
    first, second = read_transects(path)
    assert first.advance_m == pytest.approx(9.5 * 0.3048)
    assert (first.censored, second.censored) == (False, True)
    for row, words in (
        ("hollow,1,2026-06-01,2026-06-22,much,\n", "not a number"),
        ("hollow,1,2026-06-01,2026-05-22,5,\n", "not after"),
        ("hollow,1,June,2026-05-22,5,\n", "not a date"),
        ("hollow,1,2026-06-01,2026-06-22,,\n", "has no advance_ft"),
    ):
        path.write_text(head + row)
        with pytest.raises(FileProblem, match=words):
            read_transects(path)
    days = [dt.date(2025, 1, 1) + dt.timedelta(days=n) for n in range(365)]
    warm = tmp_path / "warm.csv"
    warm.write_text(
        "date,low_f,high_f\n"
        + "".join(f"{d},50,{70 if 4 <= d.month <= 9 else 50}\n" for d in days)
    )
    table = degree_days_of(read_weather(warm))
    assert table[200] == pytest.approx(5.556, abs=0.01)
    assert table[10] == 0.0


def test_one_reader_serves_strip_and_year(tmp_path):
    """Fahrenheit, Celsius and GHCN-Daily say the same; a day without a value is missing."""
    days = [dt.date(2025, 1, 1) + dt.timedelta(days=n) for n in range(365)]
    texts = {
        "f.csv": "date,low_f,high_f\n"
        + "".join(f"{d},50,{'' if d.day == 9 else 68}\n" for d in days),
        "c.csv": "date,low_c,high_c\n"
        + "".join(f"{d},10,{'' if d.day == 9 else 20}\n" for d in days),
        "station.csv": "".join(
            f"X0000000001,{d:%Y%m%d},TMIN,100,,,Z,\n"
            + ("" if d.day == 9 else f"X0000000001,{d:%Y%m%d},TMAX,200,,,Z,\n")
            for d in days
        ),
    }
    for name, text in texts.items():
        (tmp_path / name).write_text(text)
        # (10 + 20) / 2 - 10 = 5 degree-days [°C] a day, the missing days filled in
        assert degree_days_of(read_weather(tmp_path / name)) == pytest.approx(
            [5.0] * 366, abs=1e-9
        )
    rain = tmp_path / "rain.csv"
    rain.write_text("date,inches\n2025-01-01,1\n")
    with pytest.raises(FileProblem, match="no day with a low and a high"):
        degree_days_of(read_weather(rain))


def slow(count, advance_m=0.1):
    """Tapes of three weeks of June, two years, of runners that hardly grow."""
    return [
        Transect("v", f"{n}", dt.date(year, 6, 1), dt.date(year, 6, 22), advance_m * (1 + n / 50), False)
        for year in (2025, 2026)
        for n in range(count)
    ]  # fmt: skip


def test_no_tape_asks_for_less_than_the_slow_rate_with_its_safety():
    """0.136 m a day and a quarter more; the tapes' own limit is all the safety of a faster one."""
    made = measured_rate(slow(5))
    assert made.upper_m_day < 0.17
    assert made.rate.peak_m_day == pytest.approx(0.136 * 1.25)
    fast = measured_rate(slow(5, advance_m=6.0)).rate
    assert fast.peak_m_day > 0.29
    this = Case(dt.date(2027, 6, 15), dt.date(2027, 7, 5), Mower(6.0, 0.5))
    asked = strip_width(this, (fast,))["measured"].required_ft
    assert asked == pytest.approx(20 * fast.peak_m_day / 0.3048 + this.fixed_ft)


def test_a_tape_of_one_day_and_of_a_few_inches_counts():
    """Five runners that came 0.2 to 0.22 m on in a day of June, when growth is at its peak."""
    day = dt.date(2026, 6, 20)
    short = [
        Transect("v", f"{n}", day, day + dt.timedelta(days=1), 0.2 + n / 200, False)
        for n in range(5)
    ]
    made = measured_rate(short)
    assert made.transects == 5
    assert made.median_m_day == pytest.approx(0.21, abs=0.001)
