"""Logs merged: nothing twice, nothing lost, and what may be either is asked."""

import datetime as dt

import pytest

from quietacre.edit.logtext import read_log_text, with_lines
from quietacre.edit.merge import merge, unsure_day
from quietacre.errors import BadInput

HEAD = "date,area,task,minutes\n"
MOW = "2027-05-01,North,mow,30\n"


def log(text, source="other.csv"):
    return read_log_text(text.encode(), source)


def after(own, *others, **answers):
    result = merge(own, others, **answers)
    assert not result.questions
    return read_log_text(with_lines(own, result.lines).data)


def words(text):
    return sorted(
        tuple(sorted((k, v) for k, v in cells.items() if k != "id"))
        for _, cells in text.typed()
    )


def test_two_equal_mowings_on_one_day_stay_two_and_a_file_merged_twice_stays_one():
    ticks = log(HEAD + MOW + MOW)
    once = after(log(HEAD), ticks)
    assert len(once.lines) == 2
    assert after(once, ticks).data == once.data
    assert len({cells["id"] for _, cells in once.typed()}) == 2


def test_a_file_that_has_grown_adds_only_what_is_new():
    own = after(log(HEAD), log(HEAD + MOW))
    own = after(own, log("minutes,task,date,area,sky\n30,mow,2027-05-01,North,\n"
                         "30,mow,2027-05-01,North,\n"))  # fmt: skip
    assert len(own.lines) == 2


def test_a_copy_of_the_log_itself_adds_only_what_is_new():
    own = log(HEAD + MOW + MOW)
    result = merge(own, [log(HEAD + MOW + MOW + MOW)])
    assert (result.files[0].added, result.files[0].known) == (1, 2)


def test_a_line_alike_from_another_file_is_asked_about():
    own = log(HEAD + "2027-04-01,North,lime,60\n" + MOW)
    other = log(HEAD + MOW + "2027-05-02,North,mow,30\n")
    result = merge(own, [other])
    assert [(q.kind, q.line) for q in result.questions] == [("alike", 2)]
    assert len(after(own, other, alike="same").lines) == 3
    more = after(own, other, alike="more")
    assert len(more.lines) == 4
    assert after(more, other).data == more.data  # and then it is known


def test_a_line_alike_in_two_other_files_is_asked_about():
    first, second = log(HEAD + MOW), log(HEAD + "2027-04-01,x,y,\n" + MOW, "second.csv")
    result = merge(log(HEAD), [first, second])
    assert [(q.source, q.line) for q in result.questions] == [("second.csv", 3)]


def test_ids_tell_lines_apart_and_alike_ones_stay_two():
    own = log("id,date,area,task\nbbb,2027-05-01,North,mow\n")
    other = log("id,date,area,task\nccc,2027-05-01,North,mow\nbbb,2027-05-01,North,mow\n")
    own = after(own, other)
    assert [cells["id"] for _, cells in own.typed()] == ["bbb", "ccc"]


def test_one_id_with_two_contents_is_asked_about():
    own = log("id,date,area,task,minutes\nbbb,2027-05-01,North,mow,30\n")
    other = log("id,date,area,task,minutes\nbbb,2027-05-01,North,mow,45\n")
    result = merge(own, [other])
    assert [q.kind for q in result.questions] == ["changed"]
    assert after(own, other, changed="ours").data == own.data
    both = after(own, other, changed="both")
    assert [cells["minutes"] for _, cells in both.typed()] == ["30", "45"]
    assert after(both, other).data == both.data


def test_a_line_and_the_one_that_takes_it_back_come_together():
    own = log("id,date,area,task\nbbb,2027-05-01,North,mow\n")
    other = log("id,date,area,task\nbbb,2027-05-01,North,mow\nbbb,2027-05-02,North,undo\n")
    own = after(own, other)
    assert [cells["task"] for _, cells in own.typed()] == ["mow", "undo"]
    later = log("id,date,area,task\nbbb,2027-06-09,North,undo\n")
    assert after(own, later).data == own.data


def test_columns_of_the_other_file_come_along():
    own = after(log(HEAD + MOW), log("date,area,task,sky\n2027-05-03,North,mow,grey\n"))
    assert own.columns == ("date", "area", "task", "minutes", "id", "sky")
    assert words(own)[1] == (
        ("area", "North"), ("date", "2027-05-03"), ("sky", "grey"), ("task", "mow"),
    )  # fmt: skip


def test_what_would_run_in_a_spreadsheet_does_not():
    own = after(log(HEAD), log(HEAD.replace("minutes", "note") + "2027-05-03,a,b,=1+1\n"))
    assert b",'=1+1\n" in own.data
    assert after(own, log(HEAD.replace("minutes", "note") + "2027-05-03,a,b,=1+1\n")) == own


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("2027-05-01,North,,30\n", "line 3: has no task"),
        (",North,mow,30\n", "line 3: has no date"),
        ("1027-05-01,North,mow,30\n", "line 3: “1027-05-01” is not a date"),
        ("May the 1st,North,mow,30\n", "line 3: “May the 1st” is not a date"),
        ("2027-05-01,North,mow,30,stray\n", "line 3: has more values"),
    ],
)
def test_lines_that_are_not_whole_are_named_and_nothing_is_merged(line, said):
    with pytest.raises(BadInput, match=said):
        merge(log(HEAD), [log(HEAD + MOW + line + MOW)])


def test_a_spreadsheets_days_are_the_same_days():
    own = log(HEAD + "2027-05-13,North,mow,30\n2027-05-01,North,clip,\n")
    saved = log(HEAD + "5/13/2027,North,mow,30\n5/1/27,North,clip,\n")
    assert after(own, saved).data == own.data
    assert unsure_day(saved) == (3, dt.date(2027, 5, 1))


def test_days_before_months_are_written_as_the_days_they_are():
    other = log(HEAD + "13/5/2027,North,mow,30\n1/5/2027,North,mow,\n")
    own = after(log(HEAD), other)
    assert [cells["date"] for _, cells in own.typed()] == ["2027-05-13", "2027-05-01"]
    assert unsure_day(other) is None


def test_a_purchase_needs_no_ground():
    own = after(log(HEAD), log("date,area,task,item\n2027-05-01,,bought,lime\n"))
    assert [cells["item"] for _, cells in own.typed()] == ["lime"]


def test_a_figure_is_alike_however_it_is_written():
    own = log(HEAD + "2027-05-01,North,mow,30.50\n")
    assert after(own, log(HEAD + "5/1/2027,north, Mow,30.5\n")).data == own.data
    other = log(HEAD + "2027-04-01,x,y,\n2027-05-01,North,mow,$30.5\n")
    assert [q.kind for q in merge(own, [other]).questions] == ["alike"]
