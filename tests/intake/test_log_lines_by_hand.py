"""Lines of the log, compared whole: days in figures, cells kept as words, every note in full."""

import datetime as dt

import pytest

from quietacre.errors import FileProblem
from quietacre.intake.log import LogRead, figure, read_log
from quietacre.intake.logdays import Figures, _month, is_day_first, read_day
from quietacre.intake.marks import features_in, length_ft, mark_of, marks_in, shape_of
from quietacre.model import MARK_KINDS, Job, Mark, Note
from quietacre.workweek import LAST_YEAR

DAY = dt.date(2027, 7, 4)


def read(tmp_path, text, shown="log"):
    path = tmp_path / "log.csv"
    path.write_text(text)
    return read_log(path, shown=shown)


def notes(made):
    return [(note.code, note.level, note.head, note.source) for note in made.notes]


def whole(jobs):
    return [(j.on, j.area, j.task, j.line, j.id, dict(j.cells)) for j in jobs]


def test_lines_are_kept_whole_and_in_their_order(tmp_path):
    made = read(
        tmp_path,
        "Task,id,AREA,date,note,until,amount\n"
        "mow,ab,North, 2027-07-04 ,by the gate,July 9 2027,2\n\n"
        'plant,,,7/5/2027,,soon,"1,5"\n',
    )
    assert whole(made.jobs) == [
        (DAY, "North", "mow", 2, "ab", {"note": "by the gate", "until": "2027-07-09", "amount": "2"}),
        (dt.date(2027, 7, 5), "", "plant", 4, "", {"until": "soon", "amount": "1,5"}),
    ]  # fmt: skip
    assert notes(made) == [
        ("log-figure", "info", "log, line 4: until “soon” is no day and is kept as words.", "log"),
        ("log-figure", "info", "log, line 4: amount “1,5” is no figure and is kept as words.", "log"),
    ]  # fmt: skip


def test_a_log_of_nothing_is_nothing(tmp_path):
    assert read(tmp_path, "date,area,task\n") == LogRead((), ())
    path = tmp_path / "log.csv"
    path.write_text("date,area,task\nx,,\n")
    (note,) = read_log(path).notes
    assert note.source == str(path)


WRONG = [
    (",A,mow", "it has no date"),
    ("2027-07-04,A,", "it has no task"),
    ("never in all these long years,A,mow", "“never in all these l” is not a date (write it as 2027-07-04)"),
    ("1699-12-31,A,mow", "“1699-12-31” cannot be (check its year)"),
    (f"{LAST_YEAR + 1}-01-01,A,mow", f"“{LAST_YEAR + 1}-01-01” cannot be (check its year)"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "words"), WRONG)
def test_a_line_that_counts_for_nothing_is_told(tmp_path, line, words):
    made = read(tmp_path, f"date,area,task\n2027-07-04,A,mow\n{line}\n")
    assert made.jobs == (Job(DAY, "A", "mow"),)
    assert made.notes == (
        Note("log-line", f"log, line 3: {words}, so the line counts for nothing.", "caution", "log"),
    )  # fmt: skip


def test_the_first_and_the_last_year_are_taken(tmp_path):
    lines = f"1700-01-01,A,mow\n{LAST_YEAR}-12-31,A,mow\n"
    assert [job.on.year for job in read(tmp_path, f"date,area,task\n{lines}").jobs] == [
        1700, LAST_YEAR
    ]  # fmt: skip


def test_a_quote_that_takes_the_lines_below_it_is_refused(tmp_path):
    with pytest.raises(FileProblem) as problem:
        read(tmp_path, 'date,area,task\n"2027-07-04\n2027-07-05",A,mow\n')
    assert str(problem.value) == (
        "log: line 3: has a quote that is never closed, which takes the lines below it; close "
        "or take out the quote"
    )


def days(tmp_path, *cells):
    rows = "".join(f"{cell},A,mow\n" for cell in cells)
    made = read(tmp_path, "date,area,task\n" + rows)
    return [(job.on.month, job.on.day) for job in made.jobs], notes(made)


def test_which_figure_is_the_day(tmp_path):
    assert days(tmp_path, "3/5/2027", "5/5/2027") == ([(3, 5), (5, 5)], [])
    assert days(tmp_path, "13/5/2027", "5/5/2027") == ([(5, 13), (5, 5)], [])
    assert days(tmp_path, "3/5/2027", "5/14/2027") == ([(3, 5), (5, 14)], [])
    assert days(tmp_path, "3/5/2027", "4/5/2027", "13/5/2027") == (
        [(5, 3), (5, 4), (5, 13)],
        [("log-days", "info", "log: the day is read before the month in 2 lines too, because "
          "line 4 can be read only so.", "log")],
    )  # fmt: skip
    mixed = "line 3 has the day before the month and line 2 the month before the day; "
    assert days(tmp_path, "5/14/2027", "13/5/2027", "3/5/2027") == (
        [(5, 14), (5, 13), (3, 5)],
        [("log-days-mixed", "caution",
          f"log: {mixed}line 4 could be either and is read month first.", "log")],
    )  # fmt: skip
    assert days(tmp_path, "5/14/2027", "13/5/2027", "3/5/2027", "4/5/2027")[1][0][2] == (
        f"log: {mixed}2 lines could be either and are read month first."
    )


def test_the_days_of_other_columns_follow_the_first(tmp_path):
    made = read(
        tmp_path,
        "date,area,task,until\n13/5/2027,A,mow,3/6/2027\n3/5/2027,A,mow,1/6/2027\n",
    )
    assert [job.cells["until"] for job in made.jobs] == ["2027-06-03", "2027-06-01"]


@pytest.mark.parametrize(
    ("cell", "value"),
    [("0", 0.0), ("2.5", 2.5), ("$ 1,234.5", 1234.5), ("1,234,567", 1234567.0), ("12,34", None),
     ("1,2345", None), ("1234,567", None), ("-1", None), ("1_0", None), ("inf", None), ("", None),
     ("$$1", None)],
)  # fmt: skip
def test_a_figure_of_a_cell(cell, value):
    assert figure(cell) == value
    assert (figure("10", 10.0), figure("10.5", 10.0)) == (10.0, None)


# days


def test_figures_prove_which_is_the_day_only_where_one_cannot_be_a_month():
    proofs = {(13, 12): "first", (12, 13): "second", (12, 12): "", (13, 13): "", (1, 2): ""}
    for (first, second), proof in proofs.items():
        assert Figures(first, second, 2027).proves == proof
    assert Figures(13, 12, 2027).day(day_first=False) == dt.date(2027, 12, 13)
    assert Figures(12, 13, 2027).day(day_first=True) == dt.date(2027, 12, 13)
    assert Figures(3, 5, 2027).day(day_first=True) == dt.date(2027, 5, 3)
    assert Figures(3, 5, 2027).day(day_first=False) == dt.date(2027, 3, 5)
    assert Figures(13, 13, 2027).day(day_first=True) is None
    first, second, either = (Figures(13, 1, 27), Figures(1, 13, 27), Figures(1, 2, 27))
    assert is_day_first([first, either, None, DAY])
    assert not is_day_first([first, second])
    assert not is_day_first([either, second])


def test_days_in_numbers_and_words():
    assert read_day("36526") == dt.date(2000, 1, 1)
    assert read_day("73050") == dt.date(2099, 12, 31)
    assert (read_day("36525"), read_day("73051")) == (None, None)
    assert read_day("3/5/00") == Figures(3, 5, 2000)
    assert read_day("3/5/99") == Figures(3, 5, 2099)
    assert read_day("3/5/0099") == Figures(3, 5, 99)
    assert read_day("3/5-2027") is None
    assert read_day("Sept 9 2027") == read_day("9 sept. 27") == dt.date(2027, 9, 9)
    assert [_month(word) for word in ("jan", "DECEMBER", "may", "mar", "sept", "xyz")] == [
        1, 12, 5, 3, 9, 0
    ]  # fmt: skip


# marks


def point(at=(-88.0, 34.0), kind="Point", **more):
    properties = {key: value for key, value in more.items() if key != "id"}
    made = {"geometry": {"type": kind, "coordinates": at}, "properties": properties}
    return made | ({"id": more["id"]} if "id" in more else {})


def test_a_mark_is_read_whole():
    assert mark_of(point(name="Gate", note="locked", id="k", kind_="x"), 3) == Mark(
        "k", "mark", "Gate", ((-88.0, 34.0),), "locked", 0.0
    )
    bare = mark_of({"geometry": {"type": "Point", "coordinates": [1, 2, 3]}}, 3)
    assert bare == Mark("n3", "mark", "", ((1.0, 2.0),), "", 0.0)
    long = mark_of(point(name="n" * 201, note="o" * 201, id="k" * 201), 1)
    assert (len(long.id), len(long.name), len(long.note)) == (200, 200, 200)
    assert shape_of(bare).wkt == "POINT (1 2)"


def test_a_taped_line_has_a_length():
    """A minute of the equator is 1855.32 m: 6378137 × 2π / 21600; a foot is 0.3048 m."""
    line = mark_of(point([[0, 0], [1 / 60, 0]], "LineString"), 1)
    assert (line.kind, line.at) == ("tape", ((0.0, 0.0), (1 / 60, 0.0)))
    assert line.length_ft == pytest.approx(1855.3248 / 0.3048, rel=1e-7)
    assert length_ft(((1.0, 2.0),)) == length_ft(()) == 0.0
    assert shape_of(line).geom_type == "LineString"


KINDS = f"write {', '.join(MARK_KINDS)}"
NO_MARKS = [
    (point(kind="Polygon"), "is no point and no line; mark it with a point"),
    ({}, "is no point and no line; mark it with a point"),
    (point(None), "has no place; give longitude and latitude"),
    (point([1]), "has no place; give longitude and latitude"),
    (point([1, "x"]), "has no place; give longitude and latitude"),
    (point([1, float("inf")]), "has no place; give longitude and latitude"),
    (point([], "LineString"), "has no place; give longitude and latitude"),
    (point([540.5, 1]), "lies nowhere on Earth; give longitude, then latitude"),
    (point([1, -90.5]), "lies nowhere on Earth; give longitude, then latitude"),
]


@pytest.mark.parametrize(("feature", "words"), NO_MARKS)
def test_what_is_no_mark_is_told(feature, words):
    with pytest.raises(FileProblem) as problem:
        mark_of(feature, 2)
    assert str(problem.value) == f"marks.geojson: feature 2: {words}"


def test_kinds_of_marks_are_held_to_their_shapes():
    assert mark_of(point([-540, 90]), 1).at == ((-540.0, 90.0),)
    odd = point(name="A")
    odd["properties"]["kind"] = "k" * 50
    taped = point()
    taped["properties"]["kind"] = "tape"
    stand = point([[1, 2], [3, 4]], "LineString")
    stand["properties"]["kind"] = next(kind for kind in MARK_KINDS if kind != "tape")
    for feature, words in (
        (odd, "feature 1 “A”: “" + "k" * 40 + "” is no kind of mark"),
        (taped, "feature 1: a line is taped, and a point is not"),
        (stand, "feature 1: a line is taped, and a point is not"),
    ):
        with pytest.raises(FileProblem) as problem:
            mark_of(feature, 1)
        assert str(problem.value) == f"marks.geojson: {words}; {KINDS}"


def test_the_marks_of_a_file_are_numbered_from_one(monkeypatch):
    text = b'{"type": "FeatureCollection", "features": [%s]}'
    one = b'{"geometry": {"type": "Point", "coordinates": [1, 2]}}'
    assert [mark.id for mark in marks_in(text % (one + b"," + one))] == ["n1", "n2"]
    with pytest.raises(FileProblem):
        features_in(text % b"3")
    monkeypatch.setattr("quietacre.intake.marks.MOST_MARKS", 2)
    assert len(features_in(text % (one + b"," + one))) == 2
    with pytest.raises(FileProblem, match="holds more than 2 marks; split the file"):
        features_in(text % b",".join([one] * 3))
