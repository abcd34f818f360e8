"""Rain of the log by day, and the last word on waiting; each docstring is the log."""

import datetime as dt

import pytest

from quietacre.intake.log import read_log
from quietacre.record.book import book_of
from quietacre.record.rain import WAIT_DAYS, Wait, rain_of, waits_of
from quietacre.settings import Area, Property, PropertyInfo

D = dt.date
PLACE = Property(
    PropertyInfo("Home"), area=(Area("P", "plot", "p.gpx"), Area("Q", "plot", "q.gpx"))
)


@pytest.fixture
def book(request, tmp_path):
    lines = request.function.__doc__.strip().splitlines()
    (tmp_path / "log.csv").write_text("\n".join(line.strip() for line in lines) + "\n")
    read = read_log(tmp_path / "log.csv", shown="log.csv")
    return book_of(read.jobs, PLACE), read.notes


def test_rain_of_words_cells_and_jobs(book):
    """date,area,task,rain_in
    2027-09-20,,rain 0.6,
    2027-09-20,P,plant,0.4
    9/22/2027,,rained,.25
    2027-09-23,Q,clip,
    2027-09-24,,rained .5 in,
    2027-09-25,,rain,
    """
    read, notes = book
    # of two lines of one day the larger counts; rain without inches is none that counts
    assert rain_of(read) == {D(2027, 9, 20): 0.6, D(2027, 9, 22): 0.25, D(2027, 9, 24): 0.5}
    assert not notes


def test_a_line_taken_back_is_no_rain(book):
    """id,date,area,task
    bcd,2027-09-20,,rain 0.6
    bcd,2027-09-21,,undo
    """
    assert rain_of(book[0]) == {}


def test_the_last_word_on_waiting_counts_up_to_a_day(book):
    """date,area,task,until
    2027-09-25,P,wait,2027-10-02
    10/1/2027,P,it has not rained,10/16/2027
    2027-10-01,Q,no rain,
    2027-10-03,,too dry,2027-10-09
    """
    read, notes = book
    assert not notes
    assert waits_of(read, D(2027, 9, 30)) == {
        "P": Wait(D(2027, 9, 25), D(2027, 10, 2), True)
    }
    assert waits_of(read, D(2027, 10, 3)) == {
        "P": Wait(D(2027, 10, 1), D(2027, 10, 16), True),
        "Q": Wait(D(2027, 10, 1), D(2027, 10, 1) + dt.timedelta(days=WAIT_DAYS), False),
        "": Wait(D(2027, 10, 3), D(2027, 10, 9), True),
    }
    assert not read.days_done()  # waiting is no work


def test_a_day_that_is_none_is_said_and_waits_a_week(book):
    """date,area,task,until
    2027-09-25,P,wait,next week
    """
    read, notes = book
    assert [note.code for note in notes] == ["log-figure"]
    assert "until “next week” is no day" in notes[0].text
    assert waits_of(read, D(2027, 9, 26))["P"].until == D(2027, 10, 2)
