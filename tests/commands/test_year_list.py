"""``quietacre year`` on the sample, as somebody with weekends reads it."""

import datetime as dt
import json
import re

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.commands.demo import write_sample


def written(folder):
    """Write the sample, with no time lost on fertilizer."""
    write_sample(folder)
    with (folder / "property.toml").open("a") as file:
        file.write("\n[buying]\nseconds = 0.1\n")
    return folder


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    return written(tmp_path_factory.mktemp("year") / "p")


@pytest.fixture(scope="module")
def said(sample):
    return run(sample)


def run(folder, *words):
    done = CliRunner().invoke(main, ["year", str(folder), "--today", "2027-01-02", *words])
    assert done.exit_code == 0, done.output
    return done.output


def test_every_date_is_said_the_same_way(said):
    """Month and day in words; figures only where the person types them into the file."""
    figures = re.findall(r"\d{4}-\d{2}-\d{2}", said)
    typed = re.findall(r"on = (\d{4}-\d{2}-\d{2})", said)
    assert figures == typed


def test_days_are_weekends_with_their_hours_and_none_is_quiet(sample, said):
    months = {f"{dt.date(2027, n, 1):%B}": n for n in range(1, 13)}
    year = month = None
    days = []
    for line in said.splitlines():
        if head := re.fullmatch(r"([A-Z][a-z]+) (\d{4})", line):
            month, year = months[head[1]], int(head[2])
        elif day := re.fullmatch(r"  (Sat|Sun) (\d+), ([\d.]+) h of 6.2", line):
            date = dt.date(year, month, int(day[2]))
            assert f"{date:%a}" == day[1]
            assert float(day[3]) <= 6.2
            days.append(date)
    assert len(days) == json.loads(run(sample, "--json"))["trips"]
    assert days == sorted(days)
    assert not [d for d in days if (5, 15) <= (d.month, d.day) <= (7, 3)]
    assert dt.date(2027, 4, 4) not in days  # blocked
    assert dt.date(2027, 9, 5) not in days


def test_quiet_windows_conflicts_rain_and_the_bound_are_said(said):
    text = said
    assert "quiet: nesting, May 15 to July 3, everything (common practice)" in text
    assert "quiet: deer season at the stands, November 20 to January 31, plot" in text
    assert "February 1 to March 15, 2027" in text
    assert "no cut from May 15 to July 3 (nesting, 50 days)" in text
    assert (
        "Creek shelf: best planting weekend September 18 to 19: 0.5 in of rain fell within 7 days"
        in text
    )
    assert re.search(
        r"^\d+ trips; with (the days you asked for|these jobs) it cannot be done in fewer",
        text,
        re.MULTILINE,
    )


def test_planting_stands_before_its_cage_on_one_day(said):
    lines = said.splitlines()
    plant = next(n for n, line in enumerate(lines) if "Dove field: plant" in line)
    cage = next(n for n, line in enumerate(lines) if "Dove field: set a wire cage" in line)
    assert plant < cage


def test_without_a_quiet_season_the_advice_and_the_default_are_said(tmp_path):
    written(tmp_path / "p")
    path = tmp_path / "p" / "property.toml"
    text = path.read_text()
    start, end = text.index("[[quiet]]"), text.index("[equipment]")
    path.write_text(text[:start] + text[end:])
    said = run(tmp_path / "p")
    assert (
        "no quiet season is set. Nesting commonly runs from about May 15 to July 4" in said
    )
    assert "use your state's own dates" in said
    assert "quietacre year --seasons" in said


def test_a_log_entry_that_counts_for_nothing_is_told(tmp_path):
    written(tmp_path / "p")
    path = tmp_path / "p" / "log.csv"
    path.write_text(path.read_text() + "2027-01-01,Long field,lyme,30,\n")
    said = run(tmp_path / "p")
    assert (
        "log.csv: 1 line is kept as a remark, because no job here goes by “lyme”. If it is one, "
        'write "lyme" = "lime" under “Your own words for jobs” ([log_words] in property.toml)'
    ) in said


@pytest.mark.parametrize("day", ["9999-12-31", "0001-01-01"])
def test_a_day_out_of_time_is_refused_in_a_line(sample, day):
    done = CliRunner().invoke(main, ["year", str(sample), "--today", day])
    assert done.exit_code == 2
    assert "is no year to plan in" in done.output


def test_a_build_says_what_of_the_log_does_not_count_and_what_is_behind(tmp_path):
    written(tmp_path / "p")
    path = tmp_path / "p" / "log.csv"
    path.write_text(
        path.read_text() + "soon,Long field,lime,30,\n2026-11-01,Long field,whittled,5,\n"
    )
    done = CliRunner().invoke(main, ["build", str(tmp_path / "p"), "--today", "2027-09-27"])
    assert done.exit_code == 0, done.output
    assert (
        "“soon” is not a date (write it as 2027-07-04), so the line counts for nothing."
        in done.output
    )
    assert "no job here goes by “whittled”" in done.output
    assert re.search(
        r"\d+ jobs missed: “What is due” at the desk tells which",
        done.output,
    )
