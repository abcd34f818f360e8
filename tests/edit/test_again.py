"""A change that was taken back is made again, and only where it still leads on."""

import pytest

from quietacre.edit.again import redo
from quietacre.edit.journal import FileChange, apply, read, steps, undo
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
