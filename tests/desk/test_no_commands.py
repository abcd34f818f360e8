"""No command, option or id of the terminal reaches the desk; a name that is near is offered."""

import ast
import re
from pathlib import Path

import pytest

import quietacre
from quietacre.desk.no_commands import COMMANDS, TERMINAL, without_options, without_terminal
from quietacre.desk.said import for_desk
from quietacre.model import names_like

SOURCE = Path(quietacre.__file__).parent
PLACES = ["Étang de Mémère", "Slått", "Pond Field", "Pond Bottom", "Hog Waller"]


def _told(tree):
    """Every text that is put together in a module, its values as a short word; no help texts."""
    inside = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            inside |= {id(part) for part in ast.walk(node) if part is not node}
            yield "".join(
                str(part.value) if isinstance(part, ast.Constant) else "7"
                for part in node.values
            )
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in inside
        ):
            yield node.value


def test_no_text_of_the_program_has_a_command_or_an_option_at_the_desk():
    seen = 0
    for path in sorted(SOURCE.rglob("*.py")):
        for text in _told(ast.parse(path.read_text(encoding="utf-8"))):
            if TERMINAL.search(text):
                seen += 1
                assert not TERMINAL.search(for_desk(text)), (path, text)
                assert not TERMINAL.search(for_desk(f"the log: it is none; {text}")), (
                    path,
                    text,
                )
    assert seen > 100
    assert {"log", "undo", "new"} <= set(COMMANDS)


def test_the_page_itself_names_no_command():
    for path in (SOURCE / "desk" / "static").iterdir():
        if path.suffix in (".js", ".html"):
            text = re.sub(r"^\s*(//|\*|/\*\*).*$", "", path.read_text(), flags=re.MULTILINE)
            assert not re.search(rf"quietacre:? (?:{'|'.join(COMMANDS)}|--)\b", text), path


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("--count: “3 or 4” is not a number of 0 or more; type a plain number such as 12.5",
         "Count: “3 or 4” is not a number of 0 or more; type a plain number such as 12.5"),
        ("--bag-lb: “x” is not a number of 0 or more", "The pounds in a bag: “x” is not a number of 0 or more"),
        ("log.csv: line 4: the line of ftqhkpkfs is taken back already; write it again if it was done after all",
         "The log: that line is taken back already; write it again if it was done after all"),
        ("seen.csv: the id “abc” is taken back already; look in its column id",
         "seen.csv: that line is taken back already"),
        ("no planting can wait; nothing was written. See what is planned, or name it:\n"
         "  quietacre year '/tmp/a b'\n  quietacre wait '/tmp/a b' --area NAME",
         "no planting can wait; nothing was written"),
        ("Usage: quietacre mark [OPTIONS] DIR\n\nError: Invalid value for 'KIND': x is none", "Invalid value for 'KIND': x is none"),
        ("a roll is short; give --wire-ft", "a roll is short"),
        ("two lines (quietacre crops lists them) stay", "two lines stay"),
        ("“--odd name” is no plot", "“--odd name” is no plot"),
    ],
)  # fmt: skip
def test_what_a_terminal_would_type_is_left_out(text, says):
    assert without_terminal(text) == says


def test_an_option_of_the_terminal_is_told_by_its_word():
    told = without_options("--minutes: “two” is not a number of 0 or more; type 12.5")
    assert told == "Minutes: “two” is not a number of 0 or more; type 12.5"
    assert without_options("the log is not there; look") == "the log is not there; look"


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("etang de memere", ["Étang de Mémère"]),
        ("SLATT", ["Slått"]),
        ("Hog Wallow", ["Hog Waller"]),
        ("Pond Feild", ["Pond Field"]),
        ("quarry", []),
    ],
)
def test_names_are_like_each_other_whatever_their_accents_and_capitals(typed, meant):
    got = names_like(typed, PLACES, 3)
    assert got[:1] == meant[:1]
    assert got == meant or typed.startswith("Pond")


def test_a_name_that_nothing_has_is_asked_about_with_names_that_there_are(desk, sample):
    settings = desk.call("/api/place")[1]["settings"]
    plot = next(one["name"] for one in settings["area"] if one["kind"] == "plot")
    patch = next(one["name"] for one in settings["area"] if one["kind"] == "patch")

    def log(area):
        return desk.call("/api/log", {"task": "mowed", "area": area, "on": "2026-01-05"})

    status, told = log(plot[:-1])
    assert (status, told["instead"]["box"]) == (422, "area")
    assert (
        told["why"]
        == (
            f"No piece of ground here is called “{plot[:-1]}”; nothing was written. Did you mean “{plot}”?"
        )
        or plot in told["instead"]["names"]
    )
    assert not any(name.endswith("firebreak") for name in told["instead"]["names"])
    status, told = log(f"{patch} stripp")
    assert f"{patch} strip" in told["instead"]["names"]
    assert not any(name.endswith("firebreak") for name in told["instead"]["names"])
    status, told = log(f"{plot}; {patch[:-1]}")
    assert f"{plot}; {patch}" in told["instead"]["names"]
    status, told = log("zzzz")
    assert (status, told["instead"]["names"]) == (422, [])
    for one in (told["why"], log(plot[:-1])[1]["why"]):
        assert not TERMINAL.search(one)
        assert "property.toml" not in one


def test_a_value_that_an_option_does_not_take_is_told_by_its_box():
    said = "Usage: quietacre mark [OPTIONS] DIR\n\nError: Invalid value for '--kind': 'moon' is not one of 'gate', 'water'."
    assert without_terminal(said) == "Kind: 'moon' is not one of 'gate', 'water'."
