"""What a command says, for the screen: options of the terminal become boxes and buttons."""

from __future__ import annotations

import re
from typing import Any, TypedDict

from quietacre.desk.no_commands import without_terminal
from quietacre.figures import printed
from quietacre.words import written
from quietacre.words.for_reader import (
    KEY,
    TABLE,
    for_reader,
    label_of,
    put,
    quoted,
    table_word,
)

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


class Ask(TypedDict):
    """What a file leaves open: the option that says it, its words, each choice with its words."""

    option: str
    words: str
    choices: list[list[str]]


def what_is_asked(text: str) -> tuple[str, list[Ask]]:
    """Return a message without its options, and what it asks for instead.

    Parameters
    ----------
    text : the line of a command that could not go on.
    """
    asks: list[Ask] = [
        {"option": option, "words": words, "choices": [list(choice) for choice in choices]}
        for option, words, choices in ASKS
        if f"--{option.replace('_', '-')}" in text
    ]
    return (text.rsplit("; ", 1)[0] if asks else text), asks


def without_commands(text: str) -> str:
    """Return a message without the commands that a terminal could type for another name."""
    head, typed, _ = text.partition(TYPED)
    return f"{head.split('; ')[0]}{OTHER_NAME}" if typed else text


#: A fault of property.toml: the path of its key, and what is wrong.
FAULT = re.compile(r"property\.toml: ([^\s:]+|[^:]*\"[^\"]*\"[^\s:]*): (.*)")


def in_boxes(text: str) -> str:
    """Return what is wrong with settings in the words of their boxes, a line for each.

    Parameters
    ----------
    text : what ``quietacre set`` said on what it refused.
    """
    return "\n".join(_in_box(line) for line in text.strip().splitlines())


def _in_box(line: str) -> str:
    """Return one fault with its box's label in place of the path of its key."""
    found = FAULT.fullmatch(line)
    if found is None:
        return line
    path, wrong = found.groups()
    for one in written.ALL:
        wrong = wrong.replace(one.in_file, one.in_box)
    keys = re.sub(r"\[[^\]]*\]", "", path).split(".")
    wrong = wrong.replace("share (of the full rate)", quoted("share", keys))
    wrong = put(TABLE, table_word, wrong)
    wrong = put(KEY, lambda key: quoted(key[0], keys), wrong)
    label = label_of(keys[-1], keys[:-1]) if len(keys) > 1 else ""
    return f"“{label}”: {wrong}" if label else wrong[:1].upper() + wrong[1:]


#: What an answer holds under these names is said to the person, all of it.
SAID_UNDER = frozenset(
    ("said", "why", "notes", "warnings", "cautions", "law", "remedies", "offers")
)


def for_desk(text: str) -> str:
    """Return what the program says of the ground or the year, as the desk's boxes call it.

    Commands, options and ids of the terminal are left out.

    What stands in “…” is a name or somebody's own word, and stays.

    Parameters
    ----------
    text : any note, refusal or line of a build.
    """
    return for_reader(without_terminal(printed(text)))


def answer_for_desk(answer: Any, *, said: bool = False) -> Any:  # noqa: ANN401 - any JSON
    """Return an answer with all that is said in it as the desk says it, in US units as its boxes."""
    if isinstance(answer, dict):
        return {
            key: answer_for_desk(value, said=said or key in SAID_UNDER)
            for key, value in answer.items()
        }
    if isinstance(answer, list | tuple):
        return [answer_for_desk(value, said=said) for value in answer]
    if not isinstance(answer, str):
        return answer
    return for_desk(answer) if said else printed(answer)
