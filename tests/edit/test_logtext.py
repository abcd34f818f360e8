"""Lines added to a log: whole, in the file's own manner, every other byte as it was."""

import codecs
import csv
import io

import pytest

from quietacre.cells import safe_cell, typed_cell
from quietacre.edit.logtext import read_log_text, with_lines
from quietacre.errors import BadInput
from quietacre.intake.log import read_log
from quietacre.logbook import NAMES

LINE = {"id": "kfrwtbxmq", "date": "2027-07-04", "area": "North", "task": "mow"}


def added(data, *lines):
    return with_lines(read_log_text(data), lines or [LINE]).data


def test_a_new_log_gets_every_column():
    head, line, rest = added(b"").decode().split("\n")
    assert head == ",".join(NAMES)
    assert line.startswith("kfrwtbxmq,2027-07-04,North,mow,,")
    assert rest == ""


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16-le", "utf-16-be"])
def test_the_files_own_manner_is_kept(mark, end, encoding):
    first = {
        "utf-16-le": codecs.BOM_UTF16_LE, "utf-16-be": codecs.BOM_UTF16_BE,
    }.get(encoding, b"")  # fmt: skip
    text = end.join(["task,id,date,AREA ,sky", "mow,,2027-01-01,Ä,grey", ""])
    text = text.replace(",", mark)
    data = first + text.encode(encoding)
    plain = encoding.removesuffix("-sig")
    wanted = mark.join(["mow", "kfrwtbxmq", "2027-07-04", "North", ""]) + end
    assert added(data) == data + wanted.encode(plain)


def test_a_last_line_without_an_end_gets_one():
    result = with_lines(read_log_text(b"id,date,area,task\r\nx,2027-01-01,a,b"), [LINE])
    assert result.ended
    assert result.data.endswith(b"a,b\r\nkfrwtbxmq,2027-07-04,North,mow\r\n")


def test_columns_that_lack_are_added_to_the_first_line_alone():
    data = b"date,area,task\r\n2027-01-01,a,b\r\n"
    result = with_lines(read_log_text(data), [LINE | {"who": "Ann", "minutes": "30"}])
    assert result.columns == ("id", "minutes", "who")
    assert result.data == (
        b"date,area,task,id,minutes,who\r\n2027-01-01,a,b\r\n"
        b"2027-07-04,North,mow,kfrwtbxmq,30,Ann\r\n"
    )


def test_cells_beyond_the_last_column_get_no_name():
    result = added(b"date,area,task\n2027-01-01,a,b,stray, \n")
    assert result == (
        b"date,area,task,,id\n2027-01-01,a,b,stray, \n2027-07-04,North,mow,,kfrwtbxmq\n"
    )


@pytest.mark.parametrize(
    ("data", "line"),
    [
        pytest.param(b'"id","date","area","task","minutes"\n"x","2027-01-01","a","b","3"\n',
                     b'"kfrwtbxmq","2027-07-04","North","mow","30"\n', id="all"),
        pytest.param(b'"id","date","area","task","minutes"\n"x",2027-01-01,"a","b",3\n',
                     b'"kfrwtbxmq",2027-07-04,"North","mow",30\n', id="words"),
        pytest.param(b'id,date,"area",task,minutes\nx,2027-01-01,"a, b",b,3\n',
                     b"kfrwtbxmq,2027-07-04,North,mow,30\n", id="where needed"),
    ],
)  # fmt: skip
def test_quotes_are_set_as_the_file_sets_them(data, line):
    assert added(data, LINE | {"minutes": "30"}) == data + line


def test_a_first_line_with_a_break_inside_a_quote():
    data = b'date,area,task,"two\nlines"\n2027-01-01,a,b,c\n'
    assert added(data).startswith(b'date,area,task,"two\nlines",id\n2027-01-01,a,b,c\n')


def test_a_quote_that_never_ends_is_named():
    with pytest.raises(BadInput, match="line 3: ends inside a quote"):
        added(b'id,date,area,task\nx,2027-01-01,a,b\nx,2027-01-01,a,"b\n')


@pytest.mark.parametrize(
    "data", [b"2027-01-01,a,b\n", b"date,area,task,date\n", b"\xff\xfe\xff", b"a\x00b"]
)
def test_what_is_no_log_is_refused(data):
    with pytest.raises(BadInput):
        added(data)


@pytest.mark.parametrize(
    "cell", ["=1+1", "+5 acres", "-", "@x", "'=1", "''=1", "＝1", "'quoted'", "plain", "'"]
)
def test_no_cell_runs_and_what_was_typed_is_kept(cell, tmp_path):
    data = added(b"", LINE | {"note": cell})
    held = list(csv.DictReader(io.StringIO(data.decode())))[0]["note"]
    assert not held.startswith(("=", "+", "-", "@", "＝"))
    assert typed_cell(held) == cell
    assert typed_cell(safe_cell(cell)) == cell
    assert dict(next(read_log_text(data).typed())[1])["note"] == cell


def test_the_reader_of_the_log_reads_what_was_added(tmp_path):
    path = tmp_path / "log.csv"
    path.write_bytes(added(b"date;area;task\n2027-01-01;a;b", LINE | {"minutes": "30"}))
    first, second = read_log(path).jobs
    assert (first.area, second.area, second.task) == ("a", "North", "mow")
    assert second.cells["minutes"] == "30"
