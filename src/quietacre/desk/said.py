"""What a command says, for the screen: options of the terminal become boxes and buttons."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, TypedDict

from quietacre.desk.no_commands import without_terminal
from quietacre.figures import printed
from quietacre.words import settings_words, written

if TYPE_CHECKING:
    from collections.abc import Callable

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


def _outside_names(pattern: str) -> re.Pattern[str]:
    """Return what finds a pattern, and whole what stands in “…”: somebody's own word."""
    return re.compile(f"“[^”]*”|{pattern}")


KEY = _outside_names(r"\b[a-z0-9]+(?:_[a-z0-9]+)+\b")
TABLE = _outside_names(r"\[\[(\w+)\]\]")


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
    wrong = wrong.replace("share (of the full rate)", _quoted("share", keys))
    wrong = _put(TABLE, _table_word, wrong)
    wrong = _put(KEY, lambda key: _quoted(key[0], keys), wrong)
    label = _label(keys[-1], keys[:-1]) if len(keys) > 1 else ""
    return f"“{label}”: {wrong}" if label else wrong[:1].upper() + wrong[1:]


def _put(pattern: re.Pattern[str], word: Callable[[re.Match[str]], str], text: str) -> str:
    """Return a text with words in place of a pattern, but for what stands in “…”."""
    return pattern.sub(lambda found: found[0] if found[0][0] == "“" else word(found), text)


def _table_word(table: re.Match[str]) -> str:
    return table[1].replace("_", " ")


def _quoted(key: str, path: list[str]) -> str:
    """Return a key that a message names as its box's label in quotes, or as it stands."""
    label = _label(key, path)
    return f"“{label}”" if label else key


def _label(key: str, path: list[str]) -> str:
    """Return the label of a key's box, the one nearest to a path; "" where it has none."""
    tables = settings_words()
    near = [tables[part] for part in reversed(path) if part in tables]
    found = (
        table.keys[key].label for table in [*near, *tables.values()] if key in table.keys
    )
    return next(found, "")


#: What a text says besides for who writes the file by hand, or types commands.
BY_HAND = _outside_names(r" \((?:[^()]* in property\.toml|quietacre [^()]*)\)")
#: Where in the file something stands: the box is named already.
UNDER = _outside_names(r" under (?:\[[a-z_]+\]|(?:its|this|the) \[\[[a-z_]+\]\])")
USED = _outside_names(r"\bproperty\.toml(?= (?:uses|has|still|names)\b)")
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
    text = without_terminal(printed(text))
    text = _put(UNDER, lambda _: "", _put(BY_HAND, lambda _: "", text))
    text = _put(KEY, lambda key: _quoted(key[0], []), _put(TABLE, _table_word, text))
    return _put(USED, lambda _: "this place", text)


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
