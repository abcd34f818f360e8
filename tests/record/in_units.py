"""Whether texts say their figures in US or in metric units, wholly."""

import re

from quietacre.figures import AFTER, BEFORE, printed

US = re.compile(
    r"\d(?: |-)?(?:ac|acres?|sq ft|ft|feet|foot|in\.|inch(?:es)?|mi|miles?|mph|lb|oz|fl oz|gal|tons?|°F)\b(?!-)"
    r"|\ban? (?:acre|sq ft|square foot|foot|inch)\b"
)
METRIC = re.compile(r"\d (?:ha|m|m²|mm|km|kg|g|L|t|°C|kg/ha)(?!\w)")


def both(texts):
    """Return texts in US units and in metric ones, when each says its figures in one of them.

    Parameters
    ----------
    texts : with marks; each has a figure of ground, length or weight.
    """
    us = [printed(text) for text in texts]
    metric = [printed(text, metric=True) for text in texts]
    for text in (*us, *metric):
        assert BEFORE not in text, text
        assert AFTER not in text, text
    for text in us:
        assert US.search(text), text
    for text in metric:
        assert not US.search(text), text
        assert METRIC.search(text), text
    return us, metric


#: A figure in a unit of the United States on a page or a paper, and those that stay in a metric
#: place: what is typed into a box, what the person wrote, what is told as done in US units.
_LEFT = re.compile(
    r"\d (?:lb/ac|lb|oz|fl oz|sq ft|ft|feet|in\.?|inch(?:es)?|gal/ac|gal(?:lons)?|tons?(?:/ac)?"
    r"|ac|acres?|mph|miles?|°F)(?![\w/]| \d)"
)
_STAYS = (
    re.compile(r"[\d.]+ lb/ac (?=under “)"),
    re.compile(r"keep the mower 8 ft off"), re.compile(r"edge_pm_ft = \d+"),
    re.compile(r"1/128 acre"), re.compile(r"even odds of 32 °F"),
)  # fmt: skip


def us_left(text):
    """Return the figures in US units that a whole metric page or paper holds, with their words."""
    text = " ".join(text.split())
    text = ";".join(part for part in text.split(";") if "÷" not in part)  # a formula
    for stays in _STAYS:
        text = stays.sub("", text)
    return [text[max(0, m.start() - 60) : m.end() + 30] for m in _LEFT.finditer(text)]
