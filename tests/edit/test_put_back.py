"""property.toml that cannot be read, put back as quietacre wrote it last."""

import pytest
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.edit.journal import FileChange, apply, steps, undo
from quietacre.edit.put_back import known_settings, put_back_settings, unreadable
from quietacre.errors import FileProblem

OLD, NEW, BROKEN = b"a = 1\n", b"a = 2\n", b"a = 2\noops [\n"


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "home"
    folder.mkdir()
    (folder / "property.toml").write_bytes(OLD)
    return folder


def test_what_was_written_last_comes_back_and_the_broken_file_with_undo(place):
    settings = place / "property.toml"
    apply(place, [FileChange("property.toml", OLD, NEW)], "set a")
    apply(place, [FileChange("log.csv", None, b"x\n")], "log")
    settings.write_bytes(BROKEN)
    step = put_back_settings(place)
    assert settings.read_bytes() == NEW
    assert step.label == "property.toml put back as of “set a”"
    undo(place)
    assert settings.read_bytes() == BROKEN


def test_a_change_taken_back_gives_what_was_before_it(place):
    apply(place, [FileChange("property.toml", OLD, NEW)], "set a")
    undo(place)
    (place / "property.toml").write_bytes(BROKEN)
    known = known_settings(place)
    assert (known.data, known.step.state) == (OLD, "undone")


def test_a_damaged_step_gives_way_to_the_one_before(place, tmp_path):
    apply(place, [FileChange("property.toml", OLD, NEW)], "first")
    apply(place, [FileChange("property.toml", NEW, b"a = 3\n")], "second")
    (newest,) = tmp_path.glob("state/**/00000002.done")
    newest.write_bytes(newest.read_bytes()[:-1])
    (place / "property.toml").write_bytes(BROKEN)
    assert known_settings(place).step.label == "first"


def test_settings_that_are_gone_come_back(place):
    apply(place, [FileChange("property.toml", OLD, NEW)], "set a")
    (place / "property.toml").unlink()
    put_back_settings(place)
    assert (place / "property.toml").read_bytes() == NEW


@pytest.mark.parametrize("written", [False, True])
def test_nothing_is_put_back_without_need_or_without_any(place, written):
    if written:
        apply(place, [FileChange("property.toml", OLD, NEW)], "set a")
        match = "can be read"
    else:
        (place / "property.toml").write_bytes(BROKEN)
        match = "has no settings of this place"
    before = (place / "property.toml").read_bytes()
    with pytest.raises(FileProblem, match=match):
        put_back_settings(place)
    assert (place / "property.toml").read_bytes() == before
    assert len(steps(place)) == int(written)


def test_why_it_cannot_be_read_names_the_line():
    assert "line 2" in unreadable(BROKEN)
    assert "UTF-8" in unreadable(b"a = '\xff'\n")
    assert "too deep" in unreadable(b"a = " + b"[" * 20_000)
    assert unreadable(None) == "it is not there"
    assert unreadable(NEW) == ""


def test_the_command_says_what_it_did_and_refuses_in_one_line(place):
    apply(place, [FileChange("property.toml", OLD, NEW)], "set a")
    (place / "property.toml").write_bytes(BROKEN)
    said = CliRunner().invoke(main, ["undo", str(place), "--settings"])
    assert said.exit_code == 0, said.output
    assert said.output.startswith("property.toml put back as of “set a”\n")
    again = CliRunner().invoke(main, ["undo", str(place), "--settings"])
    assert again.exit_code == 2
    assert again.stderr.startswith("property.toml: can be read")
