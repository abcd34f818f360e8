"""A note's parts as the page shows them: heading, rest, what would help, where it was read."""

from quietacre.in_parts import InParts, ended, led_by, with_words
from quietacre.model import Note
from quietacre.page.notes import parts_of


def shown(*args, **kwargs):
    return parts_of(Note("x", *args, **kwargs))


def test_a_note_is_shown_as_it_was_written():
    note = Note(
        "x", "the strip of U.S. 50: thin (dug, 2026)", more="it is 75 ft wide.", cited="A, 1947",
        help=("dig it back: then it is 80 ft", "pull runners."),
    )  # fmt: skip
    assert parts_of(note) == (
        "The strip of U.S. 50: thin (dug, 2026).", "It is 75 ft wide.",
        ("Dig it back: then it is 80 ft.", "Pull runners."), "A, 1947",
    )  # fmt: skip
    assert note.text == (
        "the strip of U.S. 50: thin (dug, 2026): it is 75 ft wide. What would help: 1. dig it "
        "back: then it is 80 ft; 2. pull runners (A, 1947)."
    )
    assert Note("x", "thin", more="Mend it.").text == "thin. Mend it."
    assert (
        Note("x", "sow it again?", more="as last time.").text
        == "sow it again? as last time."
    )
    assert (
        Note("x", "a placeholder.", more="hauled off.").text == "a placeholder. hauled off."
    )


def test_a_plain_text_is_a_heading_and_is_never_cut():
    for text in (
        "No cut (nesting, 50 days) while the vine runs. Mow then: it helps.",
        "Thin. What would help: 1. dig; 2. pull (A Table, 1947).",
    ):
        assert shown(text) == (text, "", (), "")


def test_a_text_in_parts_is_one_text_and_gives_a_note_its_parts():
    text = InParts("oats wants pH 5.8", "lime it first", "A, n.d.")
    assert text == "oats wants pH 5.8: lime it first (A, n.d.)."
    note = Note("x", led_by("grain: ", with_words(text, "5.8", "6")), more="Wait.")
    assert (note.head, note.more, note.cited) == (
        "grain: oats wants pH 6", "lime it first Wait.", "A, n.d.",
    )  # fmt: skip
    assert led_by("a ", "b") == "a b"
    assert with_words("a b", "b", "c") == "a c"


def test_an_end_goes_to_the_last_part():
    assert ended("thin") == "thin."
    assert ended(InParts("thin", "mend it")) == "thin: mend it."
    assert ended(InParts("thin", "mend it")).more == "mend it."
    assert ended(InParts("thin", cited="A, 1947")) == "thin (A, 1947)."


def test_a_file_is_not_written_large():
    assert shown("log.csv: “x” is no job").head == "log.csv: “x” is no job."
    assert shown("walks/a.gpx stops short").head == "walks/a.gpx stops short."
    assert shown("spray", more="then mow").more == "Then mow."
