"""What a command says, for the screen: options of the terminal become boxes and buttons."""

from __future__ import annotations

from typing import Any

#: What a file may leave open: the option that says it, its words and what each means; a
#: number is typed where there are none.
ASKS: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...] = (
    ("corners", "How does the edge run between its pins?",
     (("straight", "The edge is straight between pins"),
      ("curved", "The edge is curved between pins"))),
    ("order", "In which order do the pins follow each other?",
     (("ring", "As a ring that does not cross itself"), ("file", "As they stand in the file"))),
    ("pace_ft", "How long is a pace, in feet? Walk 100 ft several times and divide.", ()),
    ("vara_ft", "How long is a vara of this deed, in feet? It differs by state and day.", ()),
)  # fmt: skip
#: Where the lines of a command that ask to type another begin.
TYPED = "; nothing was written. Type one of:"
OTHER_NAME = (
    "; give this one another name, or, where it is the new edge of that piece, open the piece "
    "and draw its edge over it"
)


def what_is_asked(text: str) -> tuple[str, list[dict[str, Any]]]:
    """Return a message without its options, and what it asks for instead.

    Parameters
    ----------
    text : the line of a command that could not go on.
    """
    asks = [
        {"option": option, "words": words, "choices": [list(choice) for choice in choices]}
        for option, words, choices in ASKS
        if f"--{option.replace('_', '-')}" in text
    ]
    return (text.rsplit("; ", 1)[0] if asks else text), asks


def without_commands(text: str) -> str:
    """Return a message without the commands that a terminal could type."""
    head, typed, _ = text.partition(TYPED)
    return f"{head.split('; ')[0]}{OTHER_NAME}" if typed else text
