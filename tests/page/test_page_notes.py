"""A note's text in parts: heading, rest, what would help, where it was read."""

import re

from hypothesis import given
from hypothesis import strategies as st

from quietacre.model import Note
from quietacre.page.notes import parted, parts_of


def test_what_would_help_is_a_list():
    parts = parted(
        "the strip does not hold: it is 75 ft wide. What would help: 1. dig it back 5 ft; "
        "the strip is then 80 ft; 2. pull runners by hand."
    )
    assert parts.head == "The strip does not hold: it is 75 ft wide."
    assert parts.help == (
        "Dig it back 5 ft; the strip is then 80 ft.", "Pull runners by hand.",
    )  # fmt: skip


def test_a_note_is_shown_as_it_was_written():
    note = Note(
        "x", "the strip of U.S. 50: thin (dug, 2026)", more="it is 75 ft wide.", cited="A, 1947",
        help=("dig it back: then it is 80 ft", "pull runners."),
    )  # fmt: skip
    assert parts_of(note.to_dict()) == (
        "The strip of U.S. 50: thin (dug, 2026).", "It is 75 ft wide.",
        ("Dig it back: then it is 80 ft.", "Pull runners."), "A, 1947",
    )  # fmt: skip
    assert note.text == (
        "the strip of U.S. 50: thin (dug, 2026): it is 75 ft wide. What would help: 1. dig it "
        "back: then it is 80 ft; 2. pull runners (A, 1947)."
    )
    assert Note("x", "thin", more="Mend it.").text == "thin. Mend it."


def test_where_it_was_read_stands_apart():
    parts = parted(
        "oats wants pH 5.8 at least (Food Plots table, UF/IFAS, n.d.). Lime first."
    )
    assert parts == (
        "Oats wants pH 5.8 at least.",
        "Lime first.",
        (),
        "Food Plots table, UF/IFAS, n.d.",
    )


def test_a_parenthesis_that_cites_nothing_stays():
    text = "No cut from May 15 to July 3 (nesting, 50 days) while the vine runs."
    assert parted(text) == (text, "", (), "")


def test_a_file_is_not_written_large():
    assert parted("log.csv: “x” is no job").head == "log.csv: “x” is no job."
    assert parted("walks/a.gpx stops short").head == "walks/a.gpx stops short."
    assert parted("spray. Then mow.").head == "Spray."


def words(text):
    return re.findall(r"\w+", text.replace("What would help:", "").lower())


@given(
    st.text(max_size=300), st.lists(st.text("abc (),.;:1920n.d", max_size=40), max_size=4)
)
def test_no_word_is_lost(text, ways):
    if ways:
        text += " What would help: " + "; ".join(f"{n}. {w}" for n, w in enumerate(ways, 1))
    parts = parted(text)
    found = words(" ".join([parts.head, parts.more, *parts.help, parts.cited]))
    numbers = {str(n) for n in range(1, 10)}
    assert sorted(set(words(text)) - numbers) == sorted(set(found) - numbers)


def test_a_long_hostile_text_is_parted_at_once():
    for text in ("(" * 10_000, "(1999 " * 5_000, "a. " * 5_000, " (x, 1999" * 3_000):
        assert parted(text).head
