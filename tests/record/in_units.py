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
