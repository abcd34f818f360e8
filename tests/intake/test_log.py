"""The log read kindly: a spreadsheet's days, one bad line a note, every column in any order."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quietacre.errors import FileProblem
from quietacre.intake.log import figure, read_log
from quietacre.intake.logdays import Figures, read_day
from quietacre.logbook import NAMES

DAY = dt.date(2027, 3, 5)


def read(tmp_path, text):
    path = tmp_path / "log.csv"
    path.write_text(text)
    return read_log(path, shown="log.csv")


def days(tmp_path, *cells):
    text = "area;task;date\n" + "".join(f"P;clip;{cell}\n" for cell in cells)
    made = read(tmp_path, text)
    return [job.on for job in made.jobs], [note.text for note in made.notes]


@pytest.mark.parametrize(
    "cell",
    [
        "2027-03-05", "2027-3-5", "2027-03-05 00:00:00", "2027-03-05T07:30", "2027/03/05", "3/5/2027",
        "03/05/2027", "3/5/27", "3/5/27 14:05", "3/5/2027 2:05 PM", "3-5-2027", "3.5.2027",
        "Mar 5 2027", "Mar 5, 2027", "March 5, 2027", "march 5th, 2027", "5 Mar 2027", "5-Mar-27",
        "5 March 2027", "46451", "46451.5",
    ],
)  # fmt: skip
def test_a_day_in_each_form_a_spreadsheet_writes(cell, tmp_path):
    assert days(tmp_path, cell) == ([DAY], [])


@pytest.mark.parametrize(
    "cell",
    ["soon", "2027-02-30", "2/30/2027", "13/13/2027", "Foo 5 2027", "99999", "12", "27", "3/5",
     "5 2027", "0/0/2027", "20270305x"],
)  # fmt: skip
def test_what_is_no_day_is_a_note_with_its_line(cell, tmp_path):
    found, notes = days(tmp_path, "2027-01-01", cell, "2027-01-03")
    assert found == [dt.date(2027, 1, 1), dt.date(2027, 1, 3)]
    assert notes == [
        f"log.csv, line 3: “{cell}” is not a date (write it as 2027-07-04), so the line counts "
        "for nothing."
    ]


def test_the_month_comes_first_unless_another_line_proves_otherwise(tmp_path):
    assert days(tmp_path, "3/5/2027", "3/25/2027")[0] == [DAY, dt.date(2027, 3, 25)]
    found, notes = days(tmp_path, "3/5/2027", "25/3/2027", "4/4/2027")
    assert found == [dt.date(2027, 5, 3), dt.date(2027, 3, 25), dt.date(2027, 4, 4)]
    assert notes == [
        "log.csv: the day is read before the month in line 2 too, because line 3 can be read only so."
    ]
    found, notes = days(tmp_path, "3/5/2027", "25/3/2027", "3/26/2027")
    assert found == [DAY, dt.date(2027, 3, 25), dt.date(2027, 3, 26)]
    assert "line 2 could be either and is read month first" in notes[0]


@given(st.dates(dt.date(2000, 1, 1), dt.date(2069, 12, 31)))
def test_every_day_is_read_back_from_every_form(day):
    serial = (day - dt.date(1899, 12, 30)).days
    for cell in (day.isoformat(), f"{day:%b} {day.day}, {day.year}", f"{day.day}-{day:%b}-{day:%y}",
                 f"{day:%B} {day.day} {day.year}", str(serial)):  # fmt: skip
        assert read_day(cell) == day
    found = read_day(f"{day.month}/{day.day}/{day.year}")
    assert isinstance(found, Figures)
    assert found.day(day_first=False) == day


@given(st.text(max_size=30))
def test_no_cell_stops_the_reading(cell):
    found = read_day(cell)
    if isinstance(found, Figures):
        found.day(day_first=True)


@pytest.mark.parametrize(
    ("line", "words"),
    [(",P,clip", "it has no date"), ("2027-01-01,P,", "it has no task"),
     ("0027-01-01,P,clip", "cannot be (check its year)")],
)  # fmt: skip
def test_a_line_that_says_too_little_is_a_note(line, words, tmp_path):
    made = read(tmp_path, f"date,area,task\n2027-01-01,P,clip\n{line}\n")
    assert len(made.jobs) == 1
    (note,) = made.notes
    assert (note.code, note.level) == ("log-line", "caution")
    assert note.text.startswith("log.csv, line 3: ")
    assert words in note.text


def test_every_column_in_any_order_and_a_cell_that_is_no_figure(tmp_path):
    names = [name for name in reversed(NAMES) if name != "date"]
    cells = {
        name: "3" if name in ("amount", "minutes", "stand") else name for name in names
    }
    cells |= {"price": "$1,234.50", "rain_in": "0,4", "bag_lb": "50", "rate_lb_ac": "12"}
    cells["until"] = "Mar 9 2027"
    text = ",".join([*names, "date", "sky"]) + "\n"
    text += ",".join(f'"{cells[name]}"' for name in names) + ",2027-03-05,blue\n"
    made = read(tmp_path, text)
    (job,) = made.jobs
    assert (job.on, job.area, job.task, job.id, job.line) == (DAY, "area", "task", "id", 2)
    assert job.cells["sky"] == "blue"
    assert set(job.cells) == {*names, "sky"} - {"area", "task", "id"}
    assert [note.text for note in made.notes] == [
        "log.csv, line 2: rain_in “0,4” is no figure and is kept as words."
    ]
    assert figure("$1,234.50") == 1234.5
    assert figure("11", most=10.0) is None


def test_a_log_without_its_columns_is_refused(tmp_path):
    with pytest.raises(FileProblem, match="has no column task"):
        read(tmp_path, "date,area\n2027-01-01,P\n")
