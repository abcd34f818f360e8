"""The outputs of a build as one set: whole, cut short at every step, or changed by a person."""

import json
from pathlib import Path

import pytest

from quietacre.export import build_set
from quietacre.export.build_set import BANNER, BANNER_SHOWN, look_at, write_build


def files(word):
    page = b"<body>" + BANNER + f"cut short</p>{word}</body>".encode()
    return {
        "map.html": page,
        "plan.csv": word.encode(),
        "report.json": b"{" + word.encode(),
    }


def contents(folder):
    return {p.name: p.read_bytes() for p in folder.iterdir() if p.name != "build.json"}


def test_a_set_is_written_together_and_known(tmp_path):
    out = tmp_path / "out"
    assert look_at(out).state == "none"
    write_build(out, files("one"))
    assert contents(out) == files("one")
    assert (look_at(out).state, look_at(out).text) == ("whole", None)
    record = json.loads((out / "build.json").read_text())
    assert set(record["files"]) == set(files("one"))
    first = look_at(out).build
    write_build(out, files("one"))
    assert look_at(out).build == first  # the same files, the same build
    write_build(out, files("two"))
    assert look_at(out).build != first


class Cut(Exception):
    """The program ends here."""


def cut_after(monkeypatch, renames):
    """Let the program end after so many renames; nothing after it is cleaned up."""
    left = [renames]
    replace = Path.replace

    def counted(self, target):
        if not left[0]:
            raise Cut
        left[0] -= 1
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", counted)


@pytest.mark.parametrize("before", [None, "one"])
@pytest.mark.parametrize("renames", range(7))
def test_every_moment_of_the_renaming_is_told(tmp_path, monkeypatch, before, renames):
    """After any number of renames a mixed set is said by page and record; the next mends it."""
    if before:
        write_build(tmp_path, files(before))
    with monkeypatch.context() as patch:
        cut_after(patch, renames)
        if renames < 6:  # record, banner, two lists, page, record
            with pytest.raises(Cut):
                write_build(tmp_path, files("two"))
        else:
            write_build(tmp_path, files("two"))
    found = contents(tmp_path)
    mixed = found not in (files("two"), files(before) if before else {})
    assert (look_at(tmp_path).state == "unfinished") == mixed
    if mixed and "map.html" in found:
        assert BANNER_SHOWN in found["map.html"]
    elif "map.html" in found:
        assert BANNER in found["map.html"]
    assert mixed == (2 <= renames < 5)
    # cut short once more in another place, then finished
    with monkeypatch.context() as patch:
        cut_after(patch, 1)
        with pytest.raises(Cut):
            write_build(tmp_path, files("three"))
    assert (look_at(tmp_path).state == "unfinished") == mixed
    assert write_build(tmp_path, files("three")) == ()
    assert contents(tmp_path) == files("three")
    assert look_at(tmp_path).state == "whole"


def test_what_a_person_put_or_changed_there_stays(tmp_path):
    write_build(tmp_path, files("one"))
    (tmp_path / "my notes.txt").write_text("mine")
    (tmp_path / "plan.csv").write_text("ticked off")
    (tmp_path / "report.json").unlink()
    found = look_at(tmp_path)
    assert (found.state, found.changed, found.missing) == (
        "changed", ("plan.csv",), ("report.json",),
    )  # fmt: skip
    assert "plan.csv was changed" in found.text
    assert write_build(tmp_path, files("two")) == ("plan (changed 1).csv",)
    assert (tmp_path / "plan (changed 1).csv").read_text() == "ticked off"
    assert (tmp_path / "my notes.txt").read_text() == "mine"
    assert look_at(tmp_path).state == "whole"
    (tmp_path / "plan.csv").write_text("again")
    assert write_build(tmp_path, files("two")) == ("plan (changed 2).csv",)


def test_an_output_that_no_build_writes_any_more_goes_unless_changed(tmp_path):
    write_build(tmp_path, {**files("one"), "old.txt": b"old", "kept.txt": b"old"})
    (tmp_path / "kept.txt").write_text("mine")
    write_build(tmp_path, files("two"))
    assert not (tmp_path / "old.txt").exists()
    assert (tmp_path / "kept.txt").read_text() == "mine"


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", '{"build": "x", "files": {"../a": "0"}}', "[" * 100_000,
             '{"build": "x", "files": ["a"]}', '{"build": "x", "files": {"a": [["b"]]}}',
             '{"build": "x", "files": {"a": []}, "writing": true}', '{"build": "x", "files": {"a": 5}}'],
)  # fmt: skip
def test_a_record_that_is_none_does_no_harm(tmp_path, text):
    (tmp_path / "build.json").write_text(text)
    assert look_at(tmp_path).state == "unread"
    write_build(tmp_path, files("two"))
    assert look_at(tmp_path).state == "whole"


def test_the_page_has_the_banner_hidden():
    page = Path(build_set.__file__).parents[1] / "page" / "templates" / "page.html"
    assert page.read_bytes().count(BANNER) == 1


def test_commands_say_that_a_set_was_cut_short(tmp_path, monkeypatch):
    """A real property: the build is cut short, ``acres`` and the next build say so."""
    from click.testing import CliRunner
    from kill_builds import write_property

    from quietacre.cli import main

    def run(*words):
        done = CliRunner().invoke(main, [*map(str, words)])
        assert done.exit_code == 0, done.output
        return done

    write_property(tmp_path, 1)
    assert run("build", tmp_path).stderr == ""
    assert run("acres", tmp_path / "out" / "areas.gpkg").stderr == ""
    write_property(tmp_path, 2)
    with monkeypatch.context() as patch:
        cut_after(patch, 4)
        assert CliRunner().invoke(main, ["build", str(tmp_path)]).exit_code == 1
    assert "two builds" in run("acres", tmp_path / "out" / "areas.gpkg").stderr
    assert b'alert" hidden' not in (tmp_path / "out" / "map.html").read_bytes()
    assert "this one finishes it" in run("build", tmp_path).stderr
    assert run("build", tmp_path).stderr == ""
    assert look_at(tmp_path / "out").state == "whole"
    (tmp_path / "out" / "plan.csv").write_text("mine")
    assert "plan (changed 1).csv" in run("build", tmp_path).stderr
