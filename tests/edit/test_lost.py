"""Lines that vanish from a log are noticed and offered back."""

import pytest

from quietacre.edit.journal import undo
from quietacre.edit.logs import Writer, merge_files, write_line
from quietacre.edit.logtext import read_log_text
from quietacre.edit.lost import gone, let_go, look, lost_lines

HEAD = "date,area,task,minutes\n"
CELLS = {"date": "2027-05-01", "area": "North", "task": "mow"}


@pytest.fixture
def writer(tmp_path):
    folder = tmp_path / "land"
    folder.mkdir()
    return Writer(folder, wait_s=0.0, state=tmp_path / "state")


def write(writer, **more):
    written = write_line(writer, CELLS | more)
    look(writer.folder, state=writer.state)
    return written.lines[0]["id"]


def test_an_old_spreadsheet_saved_over_the_log_loses_nothing(writer):
    path = writer.folder / "log.csv"
    first = write(writer)
    old = path.read_bytes()
    second, third = write(writer, minutes="5"), write(writer, minutes="6")
    path.write_bytes(old + b",2027-05-02,North,burn\n")
    lost = look(writer.folder, state=writer.state)
    assert [cells["id"] for cells in lost] == [second, third]
    write(writer, minutes="7")  # a line in between changes nothing
    assert len(look(writer.folder, state=writer.state)) == 2
    list_of = lost_lines(writer.folder, state=writer.state)
    merge_files(writer, [list_of])
    assert look(writer.folder, state=writer.state) == ()
    ids = [cells.get("id") for _, cells in read_log_text(path.read_bytes()).typed()]
    assert {first, second, third} <= set(ids)
    assert len(ids) == 5
    assert lost_lines(writer.folder, state=writer.state) is None


def test_lines_that_were_meant_to_go_are_let_go(writer):
    path = writer.folder / "log.csv"
    write(writer)
    path.write_bytes(path.read_bytes().split(b"\n")[0] + b"\n")
    assert len(look(writer.folder, state=writer.state)) == 1
    let_go(writer.folder, state=writer.state)
    assert look(writer.folder, state=writer.state) == ()


def test_a_log_that_is_gone_is_noticed(writer):
    write(writer)
    (writer.folder / "log.csv").unlink()
    assert len(look(writer.folder, state=writer.state)) == 1


def test_what_undo_takes_back_is_not_lost(writer):
    write(writer)
    write(writer, minutes="5")
    undo(writer.folder, state=writer.state)
    assert look(writer.folder, state=writer.state) == ()
    undo(writer.folder, state=writer.state)
    assert look(writer.folder, state=writer.state) == ()


@pytest.mark.parametrize(
    ("before", "now", "count"),
    [
        pytest.param("2027-05-01,a,mow,30\n", "2027-05-01,a,mow,45\n", 0, id="mended"),
        pytest.param("2027-05-01,a,mow,30\n", "2027-05-02,a,mow,30\n", 0, id="day mended"),
        pytest.param("2027-05-01,a,mow,30\n", "2027-06-02,b,mow,30\n", 1, id="another"),
        pytest.param("2027-05-01,a,mow,30\n" * 2, "2027-05-01,a,mow,30\n", 1, id="one of two"),
        pytest.param("2027-05-01,a,mow,30\n2027-05-02,b,x,\n",
                     "2027-05-02,b,x,\n2027-05-01,a,mow,30\n", 0, id="sorted"),
        pytest.param("2027-05-13,a,mow,0.50\n", "5/13/27,a,mow,0.5\n", 0, id="spreadsheet"),
    ],
)  # fmt: skip
def test_lines_without_an_id_are_gone_when_nothing_like_them_is_there(before, now, count):
    found = gone(
        read_log_text((HEAD + before).encode()), read_log_text((HEAD + now).encode())
    )
    assert len(found) == count


def test_ids_deleted_in_a_spreadsheet_lose_no_line():
    before = b"id,date,area,task\nbbb,2027-05-01,North,mow\n"
    assert (
        gone(
            read_log_text(before), read_log_text(b"date,area,task\n2027-05-01,North,mow\n")
        )
        == ()
    )


def test_thousands_of_lines_mended_at_once_are_not_gone():
    rows = [f"2027-05-01,North,mow {n},30\n" for n in range(5000)]
    before = read_log_text((HEAD + "".join(rows)).encode())
    now = read_log_text((HEAD + "".join(rows)).replace("North", "Nord").encode())
    assert gone(before, now) == ()
    assert len(gone(before, read_log_text(HEAD.encode()))) == 5000
