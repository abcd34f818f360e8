"""A change that was taken back is made again, and only where it still leads on."""

import pytest

from quietacre.edit.again import makeable_again, redo
from quietacre.edit.book import Book
from quietacre.edit.journal import FileChange, apply, read, recover, steps, undo
from quietacre.errors import Clash, FileProblem


@pytest.fixture
def place(tmp_path):
    folder = tmp_path / "land"
    folder.mkdir()
    (folder / "property.toml").write_bytes(b"0")
    return folder, tmp_path / "state"


def write(place, after, name="property.toml"):
    folder, state = place
    apply(
        folder,
        [FileChange(name, read(folder, name), after)],
        f"write {after!r}",
        state=state,
    )


def text(place):
    return (place[0] / "property.toml").read_bytes()


def test_changes_are_made_again_in_their_order(place):
    folder, state = place
    for word in (b"1", b"2", b"3"):
        write(place, word)
    for _ in range(3):
        undo(folder, state=state)
    assert text(place) == b"0"
    for word in (b"1", b"2", b"3"):
        redo(folder, state=state)
        assert text(place) == word
    with pytest.raises(FileProblem, match="no change to make again"):
        redo(folder, state=state)
    undo(folder, state=state)
    assert text(place) == b"2"


def test_a_change_made_since_ends_what_was_taken_back_before_it(place):
    folder, state = place
    write(place, b"1")
    undo(folder, state=state)
    write(place, b"2")
    with pytest.raises(FileProblem, match="no change"):
        redo(folder, state=state)
    undo(folder, state=state)
    assert redo(folder, state=state).label == "write b'2'"
    assert text(place) == b"2"


def test_a_change_by_hand_is_never_written_over(place):
    folder, state = place
    write(place, b"1")
    undo(folder, state=state)
    (folder / "property.toml").write_bytes(b"mine")
    with pytest.raises(Clash, match="was changed since"):
        redo(folder, state=state)
    assert text(place) == b"mine"
    assert [step.state for step in steps(folder, state=state)] == ["undone"]


def test_new_files_and_their_rooms_come_again(place):
    folder, state = place
    write(place, b"ring", "drawn/North.geojson")
    undo(folder, state=state)
    assert not (folder / "drawn").exists()
    redo(folder, state=state)
    assert (folder / "drawn" / "North.geojson").read_bytes() == b"ring"


def labels(place, count):
    return [redo(place[0], state=place[1]).label for _ in range(count)]


def test_the_last_one_taken_back_comes_again_where_changes_touch_other_files(place):
    folder, state = place
    write(place, b"1", "marks.geojson")
    undo(folder, state=state)
    write(place, b"2", "log.csv")
    undo(folder, state=state)
    assert labels(place, 1) == ["write b'2'"]
    assert not (folder / "marks.geojson").exists()
    with pytest.raises(FileProblem, match="no change to make again"):
        redo(folder, state=state)


def test_a_change_of_another_file_ends_what_was_taken_back_before_it(place):
    folder, state = place
    write(place, b"1")
    undo(folder, state=state)
    write(place, b"2", "log.csv")
    with pytest.raises(FileProblem, match="no change to make again"):
        redo(folder, state=state)


def test_changes_taken_back_out_of_turn_come_again_last_one_first(place):
    folder, state = place
    for word, name in ((b"1", "log.csv"), (b"2", "property.toml"), (b"3", "marks.geojson")):
        write(place, word, name)
    undo(folder, number=1, state=state)
    undo(folder, state=state)
    undo(folder, number=2, state=state)
    assert labels(place, 3) == ["write b'2'", "write b'3'", "write b'1'"]


def test_a_change_that_failed_ends_nothing(place, monkeypatch):
    folder, state = place
    write(place, b"1")
    undo(folder, state=state)

    def refuse(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("quietacre.edit.moves.put_in_place", refuse)
        with pytest.raises(OSError, match="No space"):
            write(place, b"2", "log.csv")
    assert labels(place, 1) == ["write b'1'"]


def test_taking_back_that_failed_leaves_what_comes_next(place, monkeypatch):
    folder, state = place
    write(place, b"1")
    write(place, b"2", "log.csv")
    undo(folder, number=1, state=state)

    def refuse(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("quietacre.edit.moves.put_in_place", refuse)
        with pytest.raises(OSError, match="No space"):
            undo(folder, state=state)
    assert labels(place, 1) == ["write b'1'"]


def test_a_step_cut_short_while_taken_back_comes_again_first(place, monkeypatch):
    folder, state = place
    write(place, b"1")
    write(place, b"2", "log.csv")
    undo(folder, number=1, state=state)

    class Gone(BaseException):
        pass

    def gone(*_, **_words):
        raise Gone

    with monkeypatch.context() as patch:
        patch.setattr("quietacre.edit.journal.move_files", gone)
        patch.setattr("quietacre.edit.book.Book.turn_to", only_under_way)
        with pytest.raises(Gone):
            undo(folder, state=state)
    assert [one.end for one in recover(folder, state=state)] == ["taken back"]
    assert labels(place, 2) == ["write b'2'", "write b'1'"]


REAL_TURN = Book.turn_to


def only_under_way(book, entry, state, *, sync=False):
    return REAL_TURN(book, entry, state, sync=sync) if state == "undoing" else entry


@pytest.mark.parametrize("note", [None, b"", b"[1]", b'{"since": 2}', b"\xff"])
def test_a_journal_without_the_order_is_still_made_again_by_its_bytes(place, note):
    """So an older version of the program left it; or the note of the order is damaged."""
    folder, state = place
    for word in (b"1", b"2"):
        write(place, word)
    for _ in range(2):
        undo(folder, state=state)
    (order,) = state.glob("places/*/taken-back")
    if note is None:
        order.unlink()
    else:
        order.write_bytes(note)
    assert labels(place, 2) == ["write b'1'", "write b'2'"]
    undo(folder, state=state)
    assert labels(place, 1) == ["write b'2'"]


def test_an_ended_change_is_made_again_by_its_number_where_its_files_stand(place):
    folder, state = place
    write(place, b"1", "marks.geojson")
    write(place, b"2")
    undo(folder, state=state)
    undo(folder, state=state)
    write(place, b"3")
    assert makeable_again(folder, state=state) == {1}
    with pytest.raises(Clash, match="was changed since"):
        redo(folder, number=2, state=state)
    assert redo(folder, number=1, state=state).label == "write b'1'"
    assert (folder / "marks.geojson").read_bytes() == b"1"
    assert makeable_again(folder, state=state) == frozenset()
    for number, why in ((1, "stands, so it is not"), (9, "is not in the journal")):
        with pytest.raises(FileProblem, match=why):
            redo(folder, number=number, state=state)


def test_a_damaged_record_or_a_path_led_astray_is_no_change_to_make_again(place, tmp_path):
    folder, state = place
    assert makeable_again(folder, state=state) == frozenset()
    for name in ("log.csv", "drawn/a.geojson", "marks.geojson"):
        write(place, b"1", name)
    for _ in range(3):
        undo(folder, state=state)
    (record,) = state.glob("places/*/00000001.undone")
    record.write_bytes(b"{}")
    (folder / "drawn").symlink_to(tmp_path, target_is_directory=True)
    assert makeable_again(folder, state=state) == {3}
