"""Tables as spreadsheets save them: any line end, any mark between cells, one line of error."""

import datetime as dt

import numpy as np
import pytest

from quietacre.errors import FileProblem
from quietacre.intake.log import read_log
from quietacre.intake.transects import read_transects
from quietacre.intake.vector import read_layer
from quietacre.intake.weather import read_weather
from quietacre.model import Job

TABLES = {
    "rain": (read_weather, "date,inches\n2027-01-01,0.25\n2027-01-02,1.5\n"),
    "ghcn": (read_weather, "X1,20270101,PRCP,64,,,0,0700\nX1,20270102,PRCP,381,,,0,0700\n"),
    "log": (read_log, "date,area,task\n2027-01-01,Field,mow\n2027-01-02,Field,mow\n"),
    "tapes": (
        read_transects,
        "patch,transect,from,to,advance_ft,cut\nBank,T1,2027-05-01,2027-06-01,11.5,yes\n",
    ),
    "vertices": (
        read_layer,
        "lon,lat,name\n-88,34,F\n-87.99,34,F\n-87.99,34.01,F\n",
    ),
}


def told(found):
    """Return what a reader found, as something that compares."""
    if hasattr(found, "rain_in"):
        return found.start, np.nan_to_num(found.rain_in, nan=-1.0).tolist()
    return (
        str([shape.wkt for shape in found.geometry])
        if hasattr(found, "geometry")
        else found
    )


@pytest.mark.parametrize("kind", TABLES)
@pytest.mark.parametrize(
    "changed",
    [
        pytest.param(lambda s: s.replace("\n", "\r"), id="line ends of an old Mac"),
        pytest.param(lambda s: s.replace("\n", "\r\n"), id="line ends of Windows"),
        pytest.param(lambda s: s.replace(",", ";"), id="semicolons"),
        pytest.param(lambda s: s.replace(",", "\t"), id="tabs"),
        pytest.param(lambda s: "\ufeff" + s, id="a byte order mark"),
        pytest.param(lambda s: s.replace("\n", "\n\n"), id="blank lines"),
        pytest.param(lambda s: s.replace("\n", ",,\n"), id="empty cells at the end"),
        pytest.param(lambda s: s[0].upper() + s[1:], id="a capital"),
    ],
)
def test_a_table_is_read_however_it_was_saved(kind, changed, tmp_path):
    reader, text = TABLES[kind]
    if kind == "ghcn" and "," not in changed(text):
        pytest.skip("the network writes commas")
    plain, other = tmp_path / "plain.csv", tmp_path / "other.csv"
    plain.write_text(text)
    other.write_bytes(changed(text).encode())
    assert told(reader(other)) == told(reader(plain))


@pytest.mark.parametrize("kind", TABLES)
@pytest.mark.parametrize("damage", ["x" * 200_000, '"', 'a"b\r"c\r'])
def test_what_is_no_table_is_refused_in_one_line(kind, damage, tmp_path):
    reader, text = TABLES[kind]
    path = tmp_path / "damaged.csv"
    path.write_text(text.replace("\n", "\n" + damage, 1))
    with pytest.raises(FileProblem) as problem:
        reader(path)
    assert len(str(problem.value).splitlines()) == 1


def test_the_line_is_the_one_a_person_sees(tmp_path):
    path = tmp_path / "rain.csv"
    path.write_text("date,inches\n\n\n2027-01-01,0.1\n\n2027-13-01,0.1\n")
    with pytest.raises(FileProblem, match=r"line 6: “2027-13-01” is not a date"):
        read_weather(path)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("date,inches\n2027-01-01,0,25\n", "more values than there are columns"),
        ("date;inches\n2027-01-01;0,25\n", "decimal comma; save it with decimal points"),
        ("date,inches,Inches\n2027-01-01,0,1\n", "two columns named inches"),
    ],
)
def test_rain_is_never_read_from_the_wrong_cell(text, words, tmp_path):
    path = tmp_path / "rain.csv"
    path.write_text(text)
    with pytest.raises(FileProblem, match=words):
        read_weather(path)


def test_a_log_may_have_more_beside_it(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("Date,Area,Task\n2027-01-01,Field,mow,windy,cold\n")
    assert read_log(path).jobs == (Job(dt.date(2027, 1, 1), "Field", "mow"),)


def test_the_rest_of_a_log_line_is_kept_as_it_was_typed(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(
        "date,area,task,minutes,rain,who,note\n"
        "2027-01-01,Field,mow,40,0.4 in,,by the gate\n2027-01-01,Field,mow,an hour,,J,\n"
    )
    first, second = read_log(path).jobs
    assert first.cells == {"minutes": "40", "rain": "0.4 in", "note": "by the gate"}
    assert second.cells == {"minutes": "an hour", "who": "J"}
