"""Texts that keep their parts: the first sentence, the rest, and where it was read."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Self

#: What stands before the ways out of a trouble.
HELP = "What would help:"


def one_text(head: str, more: str, ways: tuple[str, ...], cited: str) -> str:
    """Return what is said, the rest, what would help and where it was read as one text."""
    text = head
    if more and head[-1:] in ".:?!":
        text = f"{head} {more}"
    elif more:  # a sentence follows a full stop, the rest of one a colon
        text = f"{head}{'.' if more[0].isupper() else ':'} {more}"
    if ways:
        steps = "; ".join(
            f"{number}. {way.rstrip('.')}" for number, way in enumerate(ways, 1)
        )
        text = f"{text.rstrip('.')}. {HELP} {steps}."
    return f"{text.rstrip('.')} ({cited})." if cited else text


class InParts(str):
    """A text that keeps its parts: its first sentence, the rest, and where it was read.

    It is the whole text wherever a text is wanted. A note made of it has the parts.
    """

    __slots__ = ("cited", "head", "more")

    head: str
    more: str
    cited: str

    def __new__(cls, head: str, more: str = "", cited: str = "") -> Self:
        """Return the text of some parts; the last two may be empty."""
        made = super().__new__(cls, one_text(head, more, (), cited))
        made.head, made.more, made.cited = head, more, cited
        return made


def led_by(lead: str, text: str) -> str:
    """Return a text behind some words, in parts where it has parts."""
    if isinstance(text, InParts):
        return InParts(lead + text.head, text.more, text.cited)
    return lead + text


def with_words(text: str, old: str, new: str) -> str:
    """Return a text with other words in place of some, in parts where it has parts."""
    if isinstance(text, InParts):
        parts = (part.replace(old, new) for part in (text.head, text.more, text.cited))
        return InParts(*parts)
    return text.replace(old, new)


def ended(text: str, end: str = ".") -> str:
    """Return a text with an end, in parts where it has parts."""
    if not isinstance(text, InParts):
        return text + end
    if text.more:
        return InParts(text.head, text.more + end, text.cited)
    return InParts(text.head + end, "", text.cited)
