"""Planting windows: every form of the shipped crop table, read by hand beside the text."""

import csv
import datetime as dt
from pathlib import Path

import pytest

import quietacre
from quietacre.windows import inside, read_window

TABLE = Path(quietacre.__file__).parent / "data" / "crops.csv"
COLUMNS = ("window_upper_south", "window_coastal_plain", "window_midwest")

#: What each text of the table means, read by a person: month.day to month.day, "" for none.
#: "early" is the 1st to the 10th, "mid" to the 20th, "late" from the 21st; "about" and a
#: lone day are a week either way; "to Jun 1" leaves its beginning open.
MEANS = {
    "Oct 1-Nov 15 (N Florida)": "10.1-11.15",
    "Feb-Apr frost seed; Aug [memory]": "2.1-4.30 8.1-8.31",
    "Aug-early Sep, may winterkill [memory]": "8.1-9.10",
    "Sep 1-Oct 15 [memory]": "9.1-10.15",
    "not adapted [memory]": "",
    "Feb-Apr; Aug [memory]": "2.1-4.30 8.1-8.31",
    "Sep [memory]": "9.1-9.30",
    "Apr-May or Aug as winterkill cover [memory]": "4.1-5.31 8.1-8.31",
    "Aug 25-Oct 1 [memory]": "8.25-10.1",
    "Sep 15-Nov 1 [memory]": "9.15-11.1",
    "Aug [memory]": "8.1-8.31",
    "UGA: Limestone Valley/Mountains late Aug-early Oct; Piedmont early Sep-mid/late Oct; "
    "Mississippi Aug 15-Oct 15": "8.21-10.10 9.1-10.31 8.15-10.15",
    "UGA: late Sep-late Oct; N Florida Sep 15-Nov 15": "9.21-10.31 9.15-11.15",
    "Aug-early Sep [memory]": "8.1-9.10",
    "UGA: late Sep-late Oct; N Florida Oct 15-Nov 15": "9.21-10.31 10.15-11.15",
    "Sep 1-Oct 15; see dove-bait caution": "9.1-10.15",
    "UGA: Limestone Valley/Mountains late Aug-early Oct; Piedmont early Sep-mid/late Oct":
        "8.21-10.10 9.1-10.31",
    "Aug 15-Oct 15 [memory]": "8.15-10.15",
    "UGA: late Sep-late Oct": "9.21-10.31",
    "Aug 15-Sep 30 [memory]": "8.15-9.30",
    "Sep-Oct [memory]": "9.1-10.31",
    "Aug-Sep [memory]": "8.1-9.30",
    "Apr-May; Aug [memory]": "4.1-5.31 8.1-8.31",
    "Indiana Mar 1-May 1 or Aug 1-Sep 1": "3.1-5.1 8.1-9.1",
    "Aug-Sep; Mar-Apr [memory]": "8.1-9.30 3.1-4.30",
    "Indiana Aug 1-Oct 1": "8.1-10.1",
    "Apr 15-Aug 1 (UF Panhandle: Aug 1 still matures, ~100 d)": "4.15-8.1",
    "May 20-Jul 1 [memory]": "5.20-7.1",
    "May 15-Jun 30 [memory]": "5.15-6.30",
    "Jun 1 [memory]": "5.25-6.8",
    "May-Jun [memory]": "5.1-6.30",
    "Tennessee: to Jun 1 best, early Jun acceptable": "1.1-6.1 6.1-6.10",
    "Georgia: soil 65 F for 5 days": "",
    "May 15-Jun 15 [memory]": "5.15-6.15",
    "May 20-Jun 20 [memory]": "5.20-6.20",
    "Apr 1-May 15 [memory]": "4.1-5.15",
    "Mar 1-Apr 30 [memory]": "3.1-4.30",
    "Apr 20-May 20 [memory]": "4.20-5.20",
    "Apr 15-May 31 [memory]": "4.15-5.31",
    "May; needs 110-120 d to mature (MDC)": "5.1-5.31",
    "Georgia: late May-Aug": "5.21-8.31",
    "May 20-Jul 31 [memory]": "5.20-7.31",
    "Soil 70 F (a.m.) to about Jul 4": "1.1-7.4",
    "Missouri about Jun 1 (secondary)": "5.25-6.8",
    "Apr 15-Aug 15 (secondary); SC first 2 weeks Jun for opening day": "4.15-8.15 6.1-6.14",
    "not well adapted (NRCS)": "",
    "N AL/N GA May 15-Jun 10": "5.15-6.10",
    "central Apr 15-Jun 10; south Mar 15-Jun 10; dove hunts Jun 1-10":
        "4.15-6.10 3.15-6.10 6.1-6.10",
    "late Jul-early Aug for ducks": "7.21-8.10",
    "as near Aug 1 as possible (waterfowl)": "7.25-8.8",
    "Jun-Jul [memory]": "6.1-7.31",
    "May-Jun (Mississippi); soil 65 F": "5.1-6.30",
    "May 25-Jun 30 [memory]": "5.25-6.30",
    "Mar-Apr or dormant Nov-Feb [memory]": "3.1-4.30 11.1-2.29",
    "Mar-May 1 (Mississippi text, second-hand)": "3.1-5.1",
    "Apr-May [memory]": "4.1-5.31",
    "May 15-Jul 15 [memory]": "5.15-7.15",
    "May-Aug [memory]": "5.1-8.31",
    "Jun [memory]": "6.1-6.30",
    "May-Jun (Upper South) [memory]": "5.1-6.30",
    "Apr-Jul (MDWFP, 'the South'); soil >65 F": "4.1-7.31",
    "doubtful persistence [memory]": "",
    "Apr; Aug [memory]": "4.1-4.30 8.1-8.31",
    "marginal [memory]": "",
    "May-Jun (N Florida)": "5.1-6.30",
    "Kentucky Feb 1-Apr 15; Aug 1-Sep 15; Mississippi Sep-Oct": "2.1-4.15 8.1-9.15 9.1-10.31",
    "Kentucky Feb 1-Apr 15; Aug 1-Sep 15; Mississippi Aug 15-Sep 30":
        "2.1-4.15 8.1-9.15 8.15-9.30",
    "Aug 15-Oct 1 (USDA)": "8.15-10.1",
    "Mississippi Sep 1-Nov 10": "9.1-11.10",
    "Mississippi Aug 25-Oct 15": "8.25-10.15",
    "Mississippi Aug-Sep": "8.1-9.30",
    "Mississippi Sep-Oct": "9.1-10.31",
    "Mississippi Apr-Jul": "4.1-7.31",
    "Mississippi May-Jun": "5.1-6.30",
    "Mississippi Apr-Jun; soil 65 F": "4.1-6.30",
    "Texas May-Jul": "5.1-7.31",
    "Ohio Jul-Aug": "7.1-8.31",
}  # fmt: skip


def ranges_of(text):
    """Return "8.15-10.1 2.1-3.31" as ranges."""
    return tuple(
        tuple(tuple(int(n) for n in end.split(".")) for end in span.split("-"))
        for span in text.split()
    )


def windows_of_table():
    with TABLE.open(newline="") as file:
        return {row[key] for row in csv.DictReader(file) for key in COLUMNS if row[key]}


def test_every_window_of_the_table_is_in_this_list():
    assert windows_of_table() == set(MEANS)


@pytest.mark.parametrize("text", sorted(MEANS))
def test_every_form_of_the_table_is_read(text):
    window = read_window(text)
    assert window.ranges == ranges_of(MEANS[text])
    assert window.unread == ()


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("September 1 to October 15", "9.1-10.15"),
        ("Sept 5", "8.29-9.12"),
        ("mid-Sep to Oct 3", "9.11-10.3"),
        ("Nov 15-Feb 2", "11.15-2.2"),
        ("09-01 to 10-15", "9.1-10.15"),
        ("after Sep 1", "9.1-12.31"),
        ("Feb", "2.1-2.29"),
        ("May 5-31", "5.5-5.31"),
    ],
)
def test_forms_a_person_may_type(text, means):
    assert read_window(text).ranges == ranges_of(means)
    assert read_window(text).unread == ()


@pytest.mark.parametrize(
    ("text", "unread"),
    [
        ("soonish", ("soonish",)),
        ("Sep 1-Oct 15; when the dogwoods bloom", ("when the dogwoods bloom",)),
        ("Jun 31", ("Jun 31",)),
        ("may", ("may",)),
        ("9/1-10/15", ("9/1-10/15",)),
    ],
)
def test_what_cannot_be_read_is_told(text, unread):
    assert read_window(text).unread == unread


def test_a_window_across_new_year_holds_its_days():
    ranges = read_window("dormant Nov-Feb").ranges
    for month, day in ((11, 1), (12, 31), (1, 1), (2, 28)):
        assert inside(dt.date(2027, month, day), ranges)
    for month, day in ((10, 31), (3, 1)):
        assert not inside(dt.date(2027, month, day), ranges)
