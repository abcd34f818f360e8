"""The words of a deed made plain: signs, fractions and numbers in words, and what bounds nothing."""

from __future__ import annotations

import re

ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
VALUE = {word: value for value, word in enumerate(ONES)}
VALUE |= {word: 10 * tens for tens, word in enumerate(TENS, 2)}
BIG = {"hundred": 100, "thousand": 1000}
WORD = "|".join(sorted([*VALUE, *BIG], key=len, reverse=True))
WORDS = re.compile(rf"\b(?:{WORD})(?:(?:\s+and\s+|[\s-]+)(?:{WORD}))*\b", re.IGNORECASE)
#: A number in words and again in digits.
TWICE = re.compile(r"(\d+(?:\.\d+)?)\s*\(\s*(\d+(?:\.\d+)?)\s*\)")
SIGNS = {"º": "°", "˚": "°", "’": "'", "′": "'", "‘": "'", "”": '"', "″": '"', "“": '"',
         "''": '"', "–": "-", "—": "-", "½": " 1/2", "¼": " 1/4", "¾": " 3/4"}  # fmt: skip
#: What stands in deeds beside the calls: sizes of monuments, numbers of lots, roads and pages,
#: days, what another paper says. None of it bounds the ground.
BESIDE = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        r"\((?:[^()]*\b(?:deed|record|plat|called|calculated|measured)\b[^()]*)\)",
        r"\bpassing\b[^;]*?\bat\s+(?:a distance of\s+)?[\d.]+\s*(?:feet|foot|ft\.?|chains?|poles?|rods?|"
        r"links?)\s*(?:,|and(?=\s+continuing))?",
        r"\b\d+(?:[\s-]+\d+/\d+|/\d+|\.\d+)?\s*-?\s*(?:inch|in\.|\")\s*(?:diameter\s+)?(?:iron|rebar|steel|pipe|rod|pin|"
        r"oak|pine|hickory|cedar|poplar|gum|elm|tree|stone|post|axle|square|capped|o\.?d\.?)\b",
        r"\b(?:lots?|blocks?|sections?|townships?|ranges?|tracts?|parcels?|highways?|hwy\.?|routes?|county\s+roads?|"
        r"roads?|books?|volumes?|pages?|instrument|corners?|stations?|no\.|number)\s*(?:no\.?\s*|#\s*)?\d+[a-z]?\b",
        r"\b(?:january|february|march|april|may|june|july|august|september|october|november|december)"
        r"\s+\d{1,2},?\s+\d{4}\b",
        r"\b(?:no|north|south)\.?\s*\d+\s*(?:road|street|avenue)\b",
    )
)  # fmt: skip


class NumbersDisagreeError(ValueError):
    """A number in words is not the one in digits beside it."""


def plain_text(text: str) -> str:
    """Return a deed's text with one kind of sign, numbers in digits, and single spaces.

    Raises
    ------
    NumbersDisagreeError
        A number in words and the digits in brackets behind it are not the same.
    """
    for sign, plain in SIGNS.items():
        text = text.replace(sign, plain)
    text = re.sub(r"(?<=\d),(?=\d{3}\b)", "", text)
    text = WORDS.sub(lambda match: str(_value(match[0])), text)
    text = TWICE.sub(_once, text)
    return " ".join(text.split())


def without_what_stands_beside(piece: str) -> str:
    """Return a call without what bounds nothing: monuments, lots, roads, pages, days."""
    for pattern in BESIDE:
        piece = pattern.sub(" ", piece)
    return piece


def _once(match: re.Match[str]) -> str:
    if float(match[1]) != float(match[2]):
        raise NumbersDisagreeError(match[0])
    return match[2]


def _value(words: str) -> int:
    """Return a whole number in words: "one hundred and twenty-five"."""
    total = part = 0
    for word in re.findall(r"[a-z]+", words.lower()):
        if word == "and":
            continue
        if word == "thousand":
            total, part = total + max(part, 1) * BIG[word], 0
        elif word == "hundred":
            part = max(part, 1) * BIG[word]
        else:
            part += VALUE[word]
    return total + part
